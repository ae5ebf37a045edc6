//! The loads on record, each with what the record says of it on this casing; the one under the cursor in full.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::LoadRow;
use crate::quantity::show;
use crate::standing::ItemState;
use crate::tui::theme::Meaning;
use crate::tui::widgets::Paint;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::table::{self, Place, column, numbers};

/// Draw the list, and below it why the selected load is forbidden or warned of.
pub(super) fn draw(loads: &[LoadRow], place: &mut Place, frame: &mut Frame<'_>, below: Rect, paint: &Paint) {
    let (below, foot) = table::above_and_below(below, loads.len(), 5, 2);
    let columns = [
        column("  Record", 17, 0, 0),
        column("Load", 8, 1, 0),
        numbers("Planned peak", 12, 1),
        numbers("Impulse", 10, 3),
        column("First reason", 20, 4, 2),
    ];
    let plain = paint.of(Meaning::Plain);
    table::draw(frame, below, &columns, place, loads.len(), paint, |at| {
        let row = &loads[at];
        let against = row.checklist.items.iter().find(|item| item.state == ItemState::Forbids);
        let warns = row.checklist.items.iter().find(|item| item.state == ItemState::Warns);
        let (word, style) = if against.is_some() {
            ("x forbidden", paint.of(Meaning::Forbids))
        } else if warns.is_some() {
            ("~ nothing forbids", paint.of(Meaning::Warns))
        } else {
            ("= nothing forbids", paint.of(Meaning::InOrder))
        };
        vec![
            (word.to_owned(), style),
            (row.record.name.clone(), paint.of(Meaning::Strong)),
            (
                show(
                    row.record.peak_pressure.value.gauge_under(crate::quantity::STANDARD_ATMOSPHERE_PA),
                    paint.system,
                ),
                plain,
            ),
            (row.record.impulse.as_ref().map_or_else(String::new, |it| show(it.value, paint.system)), plain),
            (against.or(warns).map_or_else(String::new, |item| item.text.clone()), plain),
        ]
    });
    let mut paper = Paper::new(usize::from(foot.width));
    if let Some(row) = loads.get(place.selected) {
        reasons_in_full(row, &mut paper, paint);
    }
    paper.draw(frame, foot, 0, paint);
}

/// What forbids the load under the cursor, what warns, each with what was held against what.
fn reasons_in_full(row: &LoadRow, paper: &mut Paper, paint: &Paint) {
    let of = |state: ItemState| row.checklist.items.iter().filter(move |item| item.state == state);
    for (state, sign, meaning) in
        [(ItemState::Forbids, "x ", Meaning::Forbids), (ItemState::Warns, "~ ", Meaning::Warns)]
    {
        for item in of(state) {
            paper.hang(sign, paint.of(meaning), &item.text, paint.of(Meaning::Strong));
            if let Some(value) = &item.value {
                let limit = item
                    .limit
                    .as_deref()
                    .filter(|it| it != value)
                    .map_or_else(String::new, |it| format!("; limit: {it}"));
                paper.labelled("value", &format!("{value}{limit}"), paint);
            }
        }
    }
    if paper.lines.is_empty() {
        paper.hang(
            "= ",
            paint.of(Meaning::InOrder),
            "nothing on record forbids it or warns of it",
            paint.of(Meaning::Plain),
        );
    }
}

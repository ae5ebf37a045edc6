//! The rack on the screen.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::{Order, RackScreen};
use crate::book::Standing;
use crate::desk::view::RackLine;
use crate::store::RackRow;
use crate::tui::action::{Act, Context};
use crate::tui::theme::Meaning;
use crate::tui::widgets::paper::{Block, Paper};
use crate::tui::widgets::table::{self, Column, column, numbers};
use crate::tui::widgets::{Paint, put, reasons};

const COLUMNS: &[Column] = &[
    column("  Standing", 12, 0, 0),
    column("Serial", 9, 1, 0),
    column("Name", 9, 1, 3),
    numbers("Fired", 5, 4),
    column("Thinnest margin", 21, 1, 2),
    column("Next due, firings", 19, 1, 1),
];

pub(super) fn draw(rack: &mut RackScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    if rack.rows.is_empty() {
        return empty(rack, frame, area, paint);
    }
    put(frame, area, 0, 0, &summary(rack), paint.of(Meaning::Strong));
    let second = Rect { y: area.y + 1.min(area.height), height: area.height.saturating_sub(1), ..area };
    let top = 1 + rack.filter.draw(frame, second, rack.shown.len(), rack.rows.len(), paint);
    let body = Rect { y: area.y + top.min(area.height), height: area.height.saturating_sub(top), ..area };
    let rows = u16::try_from(rack.shown.len().max(1) + 1).unwrap_or(u16::MAX);
    // The reasons are what is read: they stand below a short list in the full width, and beside a long one.
    let short = area.width < 160 && rows <= body.height / 2;
    let wide = area.width >= 120 && !short;
    let (list, why) = if wide {
        // No wider than the list needs.
        let left = (area.width * 55 / 100).clamp(80, 84);
        // The last line of a list that does not fit says so.
        let height = if rows > body.height { body.height.saturating_sub(1) } else { body.height };
        (
            Rect { width: left, height, ..body },
            Rect { x: body.x + left + 2, width: body.width.saturating_sub(left + 2), ..body },
        )
    } else {
        let height = rows.min((body.height * 52 / 100).max(4));
        (
            Rect { height: height.min(body.height), ..body },
            Rect {
                y: body.y + (height + 1).min(body.height),
                height: body.height.saturating_sub(height + 1),
                ..body
            },
        )
    };
    let theme = paint.theme;
    let plain = paint.of(Meaning::Plain);
    let (shown, all) = (&rack.shown, &rack.rows);
    table::draw(frame, list, COLUMNS, &mut rack.place, shown.len(), paint, |at| {
        let row = &all[shown[at]];
        vec![
            (format!("{} {}", row.standing.sign(), row.standing), theme.standing(row.standing)),
            (row.serial.clone(), paint.of(Meaning::Strong)),
            (row.name.clone().unwrap_or_default(), plain),
            (row.firings.to_string(), plain),
            (margin(row), plain),
            (due(row), plain),
        ]
    });
    if rack.shown.is_empty() {
        put(
            frame,
            list,
            1,
            0,
            "No casing holds these words. Other words, or none, bring the others back.",
            plain,
        );
    }
    let below = Rect { y: list.y + list.height, height: 1.min(body.bottom() - list.bottom()), ..list };
    table::out_of_view(frame, below, &rack.place, rack.shown.len(), paint);
    let rows = Rect { y: list.y + 1.min(list.height), height: list.height.saturating_sub(1), ..list };
    rack.filter.mark(frame, rows, paint);
    if let Some(line) = &rack.line {
        let mut paper = Paper::new(usize::from(why.width));
        write_reasons(&mut paper, line, paint);
        paper.draw(frame, why, 0, paint);
    }
}

/// The answer to the first question of the day, in one line.
fn summary(rack: &RackScreen) -> String {
    let count = |test: fn(Standing) -> bool| rack.rows.iter().filter(|row| test(row.standing)).count();
    let retired = count(|it| it == Standing::Retired);
    let forbidden = count(|it| it.forbids() && it != Standing::Retired);
    let limits = count(|it| matches!(it, Standing::Restricted | Standing::Watch));
    let free = count(|it| it == Standing::InService);
    let mut words = format!("Nothing on record forbids {} of {}", free + limits, rack.rows.len());
    if limits > 0 {
        words.push_str(&format!(" ({limits} with limits)"));
    }
    words.push_str(&format!(" · {forbidden} forbidden"));
    if retired > 0 {
        words.push_str(&format!(" · {retired} retired"));
    }
    if rack.order != Order::Worst {
        words.push_str(&format!(" · {}", rack.order.word()));
    }
    words
}

fn margin(row: &RackRow) -> String {
    match (&row.weakest, row.factor) {
        (Some(mode), Some(factor)) => format!("{factor:.2}x {mode}"),
        (Some(mode), None) => mode.clone(),
        _ => "unknown".to_owned(),
    }
}

pub(super) fn due(row: &RackRow) -> String {
    if row.standing == Standing::Retired {
        return "never again".to_owned();
    }
    match (row.due_on, row.firings_left) {
        (Some(on), Some(left)) => format!("{on}, {left} left"),
        (Some(on), None) => on.to_string(),
        (None, Some(left)) => crate::quantity::counted(left, "firing"),
        (None, None) => "proof".to_owned(),
    }
}

fn write_reasons(paper: &mut Paper, line: &RackLine, paint: &Paint) {
    let row = &line.row;
    let name = row.name.as_ref().map_or_else(String::new, |name| format!(" {name}"));
    let words = if row.standing.forbids() {
        format!("{}{name} may not be fired: {}", row.serial, row.standing)
    } else if row.standing == Standing::InService {
        format!("{}{name}: nothing on record stands against it", row.serial)
    } else {
        format!("{}{name}: {}, within its limits", row.serial, row.standing)
    };
    paper.hang(
        &format!("{} ", row.standing.sign()),
        paint.theme.standing(row.standing),
        &words,
        paint.theme.standing(row.standing),
    );
    for flag in &line.flags {
        paper.hang("!! ", paint.of(Meaning::Forbids), flag, paint.of(Meaning::Forbids));
    }
    // What is due matters most where nothing forbids; elsewhere the reasons come first.
    if !row.standing.forbids() {
        write_due(paper, line, paint);
    }
    for reason in &line.reasons {
        reasons::reason(paper, reason, paint);
    }
    if row.standing.forbids() && row.standing != Standing::Retired {
        write_due(paper, line, paint);
    }
}

fn write_due(paper: &mut Paper, line: &RackLine, paint: &Paint) {
    for due in &line.due {
        let when = match (due.on, due.firings_left) {
            (Some(on), Some(left)) => format!("{}: good until {on} or {left} more firings", due.what),
            (Some(on), None) => format!("{}: good until {on}", due.what),
            (None, Some(left)) => format!("{}: {left} more firings", due.what),
            (None, None) => due.what.clone(),
        };
        paper.labelled("due", &when, paint);
    }
}

/// A casing of the rack as lines to paste elsewhere: its row with tabs, then why.
pub(super) fn as_text(line: &RackLine) -> String {
    let row = &line.row;
    let name = row.name.clone().unwrap_or_default();
    let mut words =
        format!("{}\t{name}\t{}\t{}\t{}\t{}\n", row.serial, row.standing, row.firings, margin(row), due(row));
    for reason in &line.reasons {
        words.push_str(&format!("{} (rule {})\n", reasons::said(reason), reason.rule));
    }
    words
}

/// A book without casings teaches how to begin.
fn empty(rack: &RackScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let mut paper = Paper::new(usize::from(area.width.saturating_sub(4).min(72)));
    let mut blocks = vec![Block::Gap, Block::Strong("No casing is on record yet.".to_owned()), Block::Gap];
    if rack.writable {
        let key = |act| paint.keys.first(act, Context::Rack);
        blocks.extend([
            Block::Labelled(key(Act::Register), "register the first casing: its mark, its tube, its ends, its MEOP".to_owned()),
            Block::Labelled(key(Act::LogMenu), "log anything else: a load, a batch, a part".to_owned()),
            Block::Labelled(key(Act::Help), "every key of this screen".to_owned()),
            Block::Labelled(key(Act::Quit), "quit".to_owned()),
            Block::Gap,
            Block::Text(paint.keys.fill(
                "After that: proof it with water ({proof-at-the-rig-from-rack} plans it step by step, {log-proof} records it), record a load ({log-anything}), run the pre-fire \
                 checklist ({prefire}), log the firing ({log-firing}) and the inspection after it ({log-strip}). What \
                 may be fired, and why, stands here.",
            )),
            Block::Gap,
            Block::Text("To look around in an invented club's book first: quit, and run proofmark demo.".to_owned()),
        ]);
    } else {
        blocks.push(Block::Text("This book is open for reading only.".to_owned()));
    }
    paper.blocks(&blocks, paint);
    let inner = Rect { x: area.x + 2.min(area.width), width: area.width.saturating_sub(2), ..area };
    paper.draw(frame, inner, 0, paint);
}

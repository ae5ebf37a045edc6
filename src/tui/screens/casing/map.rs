//! The growth map: stations down, clock angles across, the station in focus explained below.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::growth::side_by_side;
use super::panels::split;
use super::{CasingScreen, Panel};
use crate::quantity::{Length, System, show};
use crate::report::growth::{cell as words_of, clock, grown, point, spot as spot_words, taper, unit};
use crate::standing::growth_map::{Cell, GrowthMap, Letter, Row};
use crate::standing::in_units::in_units;
use crate::tui::text;
use crate::tui::theme::Meaning;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::table::whereabouts;
use crate::tui::widgets::{Paint, keep_in_view, put};

/// The columns of a station's place.
const PLACE: u16 = 11;

/// The columns of one cell; inches have two more digits.
const fn cell_width(system: System) -> u16 {
    match system {
        System::Si => 9,
        System::Us => 10,
    }
}

fn style_of(cell: &Cell, paint: &Paint) -> Style {
    paint.of(match cell.letter {
        Letter::Yielded | Letter::Hold | Letter::Shrunk => Meaning::Forbids,
        Letter::Seen => Meaning::Warns,
        Letter::Noise => Meaning::InOrder,
        Letter::Birth => Meaning::Plain,
    })
}

pub(super) fn draw(screen: &mut CasingScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let Some(map) = &screen.map else { return };
    let selected = screen.places[Panel::Growth as usize].selected.min(map.rows.len().saturating_sub(1));
    let mut below = Paper::new(usize::from(area.width));
    explain(screen, map, map.rows.get(selected), &mut below, paint);
    let wanted = u16::try_from(below.len()).unwrap_or(u16::MAX).clamp(3, area.height / 2);
    let (grid, foot) = split(area, map.rows.len(), wanted);
    let cell = cell_width(paint.system);
    let clocks = usize::from((grid.width.saturating_sub(PLACE + 16)) / cell).max(1).min(map.clocks.len());
    put(frame, grid, 0, 0, &text::pad_left("station", usize::from(PLACE - 1)), paint.of(Meaning::Heading));
    for (at, angle) in map.clocks.iter().take(clocks).enumerate() {
        let column = PLACE + u16::try_from(at).unwrap_or(0) * cell;
        put(
            frame,
            grid,
            0,
            column,
            &text::pad_left(&clock(*angle), usize::from(cell - 1)),
            paint.of(Meaning::Heading),
        );
    }
    let beside = PLACE + u16::try_from(clocks).unwrap_or(0) * cell;
    let more = map.clocks.len() - clocks;
    let title = if more > 0 { format!("+{more} angles  round  place") } else { "round   place".to_owned() };
    put(frame, grid, 0, beside + 1, &title, paint.of(Meaning::Heading));
    let height = usize::from(grid.height.saturating_sub(1));
    let titled = beside + 1 + u16::try_from(text::width(&title)).unwrap_or(0);
    whereabouts(frame, grid, titled, selected, height, map.rows.len(), paint);
    let place = &mut screen.places[Panel::Growth as usize];
    place.selected = selected;
    place.page = height;
    place.top = keep_in_view(place.top, height, selected, selected + 1, map.rows.len());
    for (line, row) in map.rows.iter().enumerate().skip(place.top).take(height) {
        let y = u16::try_from(line - place.top + 1).unwrap_or(0);
        let focus = line == selected;
        let station = text::pad_left(&show(Length::mm(row.station_mm), paint.system), usize::from(PLACE - 1));
        put(frame, grid, y, 0, &station, paint.of(if focus { Meaning::Selected } else { Meaning::Strong }));
        for (at, it) in row.cells.iter().take(clocks).enumerate() {
            let column = PLACE + u16::try_from(at).unwrap_or(0) * cell;
            if let Some(it) = it {
                let words = text::pad_left(&words_of(it, paint.system), usize::from(cell - 1));
                put(frame, grid, y, column, &words, style_of(it, paint));
            }
        }
        let round = row.ovality_percent.map_or_else(|| "      ".to_owned(), |it| format!("{it:.2} %"));
        let mut marks = Vec::new();
        if row.weld_mm.is_some() {
            marks.push("weld zone".to_owned());
        }
        if !row.spots.is_empty() {
            marks.push("* soft or thin".to_owned());
        }
        put(frame, grid, y, beside + 1, &format!("{round}  {}", marks.join(", ")), paint.of(Meaning::Plain));
    }
    below.draw(frame, foot, 0, paint);
}

/// The station in focus: what grew, where, over time; then what the letters mean.
fn explain(screen: &CasingScreen, map: &GrowthMap, row: Option<&Row>, paper: &mut Paper, paint: &Paint) {
    let plain = paint.of(Meaning::Plain);
    let length = |mm: f64| show(Length::mm(mm), paint.system);
    if let Some(row) = row {
        let mut said = vec![format!("station {}", length(row.station_mm))];
        match row.worst() {
            Some(it) => said.push(format!(
                "{} to {} at {}: {} {}, {:.2} %{}",
                length(it.birth_mm),
                length(it.now_mm),
                clock(it.clock_deg),
                grown(it.grown_mm(), paint.system),
                unit(paint.system),
                it.grown_percent(),
                if it.noise { ", within noise" } else { "" }
            )),
            None => said.push("not read since birth".to_owned()),
        }
        if let Some(mm) = row.weld_mm {
            said.push(in_units(&format!("{mm:.0} mm from the weld"), paint.system, true));
        }
        paper.text(&said.join(" · "), paint.of(Meaning::Strong));
        for spot in &row.spots {
            paper.hang("  * ", paint.of(Meaning::Warns), &spot_words(spot, paint.system), plain);
        }
        for growth in row.cells.iter().flatten().filter_map(|it| it.growth.as_ref()) {
            for words in side_by_side(&screen.page, growth, paint.system) {
                paper.hang("  ≠ ", paint.of(Meaning::Warns), &words, paint.of(Meaning::Strong));
            }
        }
        if row.trend.len() > 1 {
            let points: Vec<String> = row.trend.iter().map(|it| point(it, paint.system)).collect();
            paper.labelled("trend", &points.join(" · "), paint);
        }
    }
    let letters: Vec<String> =
        Letter::ALL.iter().map(|letter| format!("{} {}", letter.sign(), letter.means())).collect();
    paper.labelled("letters", &letters.join(" · "), paint);
    let gauge = map.gauge.as_ref().map_or_else(String::new, |mark| format!(", read with {mark}"));
    paper.labelled(
        "limits",
        &format!(
            "nothing up to {} is growth{gauge}; {}; {}",
            in_units(&format!("{:.2} mm", map.noise_mm), paint.system, true),
            screen.rules.says_in("growth-hold", paint.system),
            screen.rules.says_in("growth-yield", paint.system)
        ),
        paint,
    );
    if let Some(found) = map.taper {
        paper.labelled("taper", &taper(found, paint.system), paint);
    }
}

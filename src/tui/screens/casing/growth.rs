//! Growth at every station against birth, and where readings of one day differ.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::panels::{bar, split};
use super::{CasingScreen, Panel};
use crate::book::{Details, Phase, Reading, What};
use crate::desk::view::CasingPage;
use crate::quantity::{Length, System, show};
use crate::report::growth::{grown, unit};
use crate::standing::growth::{Degree, Growth, degree};
use crate::tui::theme::Meaning;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::table::{self, bars, column, numbers};
use crate::tui::widgets::{Paint, put};

const fn degree_word(degree: Degree, noise: bool) -> &'static str {
    match (degree, noise) {
        (_, true) => "within noise",
        (Degree::None, _) => "none",
        (Degree::Seen, _) => "seen",
        (Degree::Hold, _) => "at hold limit",
        (Degree::Yielded, _) => "yielded",
    }
}

pub(super) fn draw(screen: &mut CasingScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    if !screen.listed && screen.map.is_some() {
        super::map::draw(screen, frame, area, paint);
        return;
    }
    let found = &screen.page.assessed.growth;
    if found.is_empty() {
        let words = if screen.page.assessed.has_baseline {
            "No diameters have been read since birth. The inspection form (i) takes them."
        } else {
            "There is no birth record of diameters, so growth cannot be seen."
        };
        put(frame, area, 0, 0, words, paint.of(Meaning::Plain));
        return;
    }
    let rules = &screen.rules;
    let differing = differing(&screen.page, screen.places[Panel::Growth as usize].selected, paint.system);
    let (list, below) = split(area, found.len(), 3 + u16::try_from(differing.len()).unwrap_or(0).min(4));
    let columns = [
        numbers("Station", 10, 0),
        numbers("Clock", 5, 3),
        numbers("Birth", 10, 5),
        numbers("Now", 10, 1),
        numbers("Grown", 10, 4),
        numbers("%", 5, 0),
        column("", 14, 0, 0),
        bars("0 to yielded", 12, 1, 2),
    ];
    let most = found.iter().map(|it| it.percent.abs()).fold(rules.value("growth-yield"), f64::max);
    let length = |mm: f64| show(Length::mm(mm), paint.system);
    let odd: Vec<bool> = found.iter().map(|it| differs(&screen.page, it)).collect();
    let place = &mut screen.places[Panel::Growth as usize];
    let wide = table::layout(&columns, list.width).iter().find(|(at, _)| *at == 7).map_or(0, |it| it.1);
    table::draw(frame, list, &columns, place, found.len(), paint, |at| {
        let it = &found[at];
        let degree = degree(it.percent, rules);
        let style = match degree {
            Degree::Yielded | Degree::Hold => paint.of(Meaning::Forbids),
            Degree::Seen => paint.of(Meaning::Warns),
            Degree::None => paint.of(Meaning::Plain),
        };
        vec![
            (length(it.station_mm), style),
            (it.clock_deg.map_or_else(|| "round".to_owned(), |clock| format!("{clock:.0}°")), style),
            (length(it.birth_mm), style),
            (length(it.now_mm), style),
            (format!("{} {}", grown(it.grown_mm(), paint.system), unit(paint.system)), style),
            (format!("{:.2}", it.grown_percent()), style),
            (format!("{}{}", degree_word(degree, it.noise), if odd[at] { " ≠" } else { "" }), style),
            (bar(it.percent / most, usize::from(wide)), style),
        ]
    });
    let mut paper = Paper::new(usize::from(below.width));
    for words in &differing {
        paper.hang("  ≠ ", paint.of(Meaning::Warns), words, paint.of(Meaning::Strong));
    }
    for rule in ["growth-noise", "growth-hold", "growth-yield"] {
        paper.labelled(rule.trim_start_matches("growth-"), &rules.says_in(rule, paint.system), paint);
    }
    paper.draw(frame, below, 0, paint);
}

/// The readings an entry took afterwards.
fn readings(details: &Details) -> &[Reading] {
    match details {
        Details::Strip(record) => &record.readings,
        Details::Proof(record) => &record.readings,
        _ => &[],
    }
}

/// Whether any other entry of the same day read this station differently.
pub(super) fn differs(page: &CasingPage, growth: &Growth) -> bool {
    others(page, growth).iter().any(|(_, _, mm)| (mm - growth.now_mm).abs() > 1e-6)
}

/// The readings of a station by every entry of the same day: entry, by whom, millimetres.
fn others<'a>(page: &'a CasingPage, growth: &Growth) -> Vec<(i64, &'a str, f64)> {
    let mut found = Vec::new();
    let same_day = page
        .ledger
        .iter()
        .filter(|line| line.struck_by.is_none() && line.entry.entry.happened_on == growth.entry.on);
    for line in same_day {
        for reading in readings(&line.entry.entry.details) {
            let here = reading.what == What::OutsideDiameter
                && reading.phase == Phase::After
                && (reading.station.value.as_mm() - growth.station_mm).abs() <= 0.5
                && reading.clock_deg == growth.clock_deg;
            if let (true, Some(value)) = (here, &reading.value) {
                found.push((line.entry.number, line.entry.entry.recorded_by.as_str(), value.value.as_mm()));
            }
        }
    }
    found
}

/// The differing readings of the selected station, side by side.
fn differing(page: &CasingPage, selected: usize, system: System) -> Vec<String> {
    page.assessed.growth.get(selected).map_or_else(Vec::new, |growth| side_by_side(page, growth, system))
}

/// The differing readings of a station and angle, side by side.
pub(super) fn side_by_side(page: &CasingPage, growth: &Growth, system: System) -> Vec<String> {
    if !differs(page, growth) {
        return Vec::new();
    }
    let sides: Vec<String> = others(page, growth)
        .into_iter()
        .map(|(number, by, mm)| format!("{} (entry {number}, {by})", show(Length::mm(mm), system)))
        .collect();
    vec![format!("{} was read differently: {}. Both are kept.", growth.entry.on, sides.join("  |  "))]
}

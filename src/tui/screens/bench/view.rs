//! The load bench drawn: fields at the left, curves at the right, figures below.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::{BenchScreen, Shown, Worked, figures};
use crate::quantity::{GaugePressure, Quantity, System, show};
use crate::tui::theme::Meaning;
use crate::tui::widgets::live::Note;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::plot::{Curve, Level, Plot, Span, Stroke};
use crate::tui::widgets::{Paint, put};

const PSI_PA: f64 = 6_894.757_293_168;
const POUND_FORCE_N: f64 = 4.448_221_615_260_5;

pub(super) fn draw(screen: &mut BenchScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let (answer, meaning) = figures::answer(screen, paint.system);
    put(frame, area, 0, 0, &answer, paint.of(meaning));
    let wide = area.width >= 130;
    let left = if wide { 62 } else { 33 }.min(area.width / 2);
    let below = Rect { y: area.y + 1.min(area.height), height: area.height.saturating_sub(1), ..area };
    let count = u16::try_from(screen.fields.fields.len()).unwrap_or(u16::MAX);
    // Plots get most of a tall screen, figures their share of a short one.
    let plots = if wide { below.height } else { (below.height * 3 / 5).max(6).min(below.height) };
    let rows = if wide { count } else { count.min(plots.saturating_sub(2)) };
    let fields = Rect { width: left, height: rows.min(below.height), ..below };
    screen.fields.draw(frame, fields, paint);
    if !wide {
        let note = match screen.fields.current().map(|field| &field.note) {
            Some(Note::Wrong(words)) => Some((format!("! {words}"), Meaning::Forbids)),
            Some(Note::Says(words)) => Some((words.clone(), Meaning::Plain)),
            _ => None,
        };
        if let Some((words, meaning)) = note
            && plots > rows
        {
            put(frame, Rect { width: left, ..below }, rows, 0, &words, paint.of(meaning));
        }
        if rows < count && plots > rows + 1 {
            let words = format!("field {} of {count}", screen.fields.focus + 1);
            put(frame, Rect { width: left, ..below }, rows + 1, 0, &words, paint.of(Meaning::Label));
        }
    }
    let right =
        Rect { x: area.x + left + 1, width: area.width.saturating_sub(left + 1), height: plots, ..below };
    curves(screen, frame, right, paint);
    let figures = if wide {
        let top = (rows + 1).min(below.height);
        Rect { y: below.y + top, height: below.height - top, width: left, ..below }
    } else {
        Rect { y: below.y + plots, height: below.height - plots, ..below }
    };
    let mut paper = Paper::new(usize::from(figures.width));
    figures::write(screen, &mut paper, paint);
    screen.fields.answer.draw(&paper, frame, figures, paint);
}

/// As many plots as the height takes, the one that was asked for first.
fn curves(screen: &BenchScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let all = match screen.shown {
        Shown::Pressure => [Shown::Pressure, Shown::Thrust, Shown::Kn],
        Shown::Thrust => [Shown::Thrust, Shown::Pressure, Shown::Kn],
        Shown::Kn => [Shown::Kn, Shown::Pressure, Shown::Thrust],
    };
    let count = (area.height / 12).clamp(1, 3);
    let first = if count == 1 { area.height } else { area.height - (count - 1) * (area.height * 2 / 7) };
    let mut top = area.y;
    for (at, shown) in all.into_iter().take(usize::from(count)).enumerate() {
        let height = if at == 0 { first } else { area.height * 2 / 7 };
        one(screen, shown, frame, Rect { y: top, height, ..area }, paint);
        top += height;
    }
}

fn one(screen: &BenchScreen, shown: Shown, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let Some(good) = &screen.good else {
        let words = "The curve appears when the fields say a whole load.";
        return put(frame, area, 1, 0, words, paint.of(Meaning::Plain));
    };
    let us = paint.system == System::Us;
    let points = |worked: &Worked| -> Vec<(f64, f64)> {
        worked
            .plan
            .curve
            .iter()
            .map(|it| match shown {
                Shown::Pressure => (it.time_s.si(), it.pressure_pa.si() / if us { PSI_PA } else { 1e6 }),
                Shown::Thrust => (it.time_s.si(), it.thrust_n.si() / if us { POUND_FORCE_N } else { 1.0 }),
                Shown::Kn => (it.web_m.si() * if us { 1.0 / 0.0254 } else { 1e3 }, it.kn),
            })
            .collect()
    };
    let (title, along) = match (shown, us) {
        (Shown::Pressure, false) => ("pressure, MPa", "s"),
        (Shown::Pressure, true) => ("pressure, psi", "s"),
        (Shown::Thrust, false) => ("thrust, N", "s"),
        (Shown::Thrust, true) => ("thrust, lbf", "s"),
        (Shown::Kn, false) => ("Kn", "mm of web"),
        (Shown::Kn, true) => ("Kn", "in of web"),
    };
    let now = points(good);
    let before = screen.held.as_ref().map(points);
    let stale = !screen.problems.is_empty();
    let mut curves = Vec::new();
    if let (Some(held), Some(points)) = (&screen.held, &before) {
        curves.push(Curve { name: &held.title, points, stroke: Stroke::Dashed, meaning: Meaning::Plain });
    }
    // A curve that no longer belongs to what is typed is dotted and says so.
    curves.push(Curve {
        name: if stale { "last good plan" } else { "now" },
        points: &now,
        stroke: if stale { Stroke::Dotted } else { Stroke::Solid },
        meaning: if stale { Meaning::Label } else { Meaning::Strong },
    });
    let limits = if shown == Shown::Pressure { levels(screen, paint.system) } else { Vec::new() };
    let levels: Vec<Level<'_>> = limits
        .iter()
        .map(|(name, value, meaning)| Level { name, value: *value, meaning: *meaning })
        .collect();
    let highest = now.iter().chain(before.iter().flatten()).map(|it| it.1).fold(0.0, f64::max);
    // Limits near the curve are drawn to scale; those far above are named at the top.
    let near = levels.iter().map(|it| it.value).filter(|it| *it < 2.2 * highest);
    let y = Span::over(now.iter().chain(before.iter().flatten()).map(|it| it.1).chain(near));
    let x = Span::over(now.iter().chain(before.iter().flatten()).map(|it| it.0));
    let plot = Plot { title, along, x, y, curves: &curves, levels: &levels, stretches: &[], cursor: None };
    plot.draw(frame, area, paint);
}

/// The casing's limits as lines on the plot.
fn levels(screen: &BenchScreen, system: System) -> Vec<(String, f64, Meaning)> {
    let Some(limits) = &screen.limits else { return Vec::new() };
    let scale = if system == System::Us { PSI_PA } else { 1e6 };
    let shown = |pascals: f64| show(GaugePressure::from_si(pascals), system);
    let mut found = Vec::new();
    let mode = limits.weakest.as_deref().and_then(|it| it.split(',').next()).unwrap_or("wall");
    for (name, pascals, meaning) in [
        ("MEOP".to_owned(), limits.meop_pa, Meaning::Warns),
        ("proof".to_owned(), limits.proof_pa, Meaning::Warns),
        (format!("{mode} yields"), limits.yield_pa, Meaning::Forbids),
    ] {
        if let Some(pascals) = pascals {
            found.push((format!("{name} {}", shown(pascals)), pascals / scale, meaning));
        }
    }
    found
}

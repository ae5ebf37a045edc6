//! The panels of a casing's page.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::{CasingScreen, Panel, growth, margins};
use crate::book::Details;
use crate::desk::view::{belongs, said_of};
use crate::quantity::{Length, Quantity, show};
use crate::tui::theme::Meaning;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::table::{self, column, numbers};
use crate::tui::widgets::{Paint, keep_in_view, put, reasons};

pub(super) fn draw(
    screen: &mut CasingScreen,
    panel: Panel,
    frame: &mut Frame<'_>,
    area: Rect,
    paint: &Paint,
) {
    match panel {
        Panel::Standing => standing(screen, frame, area, paint),
        Panel::Ledger => ledger(screen, frame, area, paint),
        Panel::Growth => growth::draw(screen, frame, area, paint),
        Panel::Parts => parts(screen, frame, area, paint),
        Panel::Margins => margins::draw(screen, frame, area, paint),
    }
}

/// The list above, the selected line in full below.
pub(super) fn split(area: Rect, count: usize, below: u16) -> (Rect, Rect) {
    table::above_and_below(area, count, below, 3)
}

fn standing(screen: &mut CasingScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let all = screen.page.assessed.reasons_on(screen.page.day);
    let focused = screen.panel == Panel::Standing;
    let mut paper = Paper::new(usize::from(area.width.saturating_sub(2)));
    let mut starts = Vec::new();
    for reason in &all {
        starts.push(paper.len());
        reasons::reason(&mut paper, reason, paint);
    }
    starts.push(paper.len());
    let height = usize::from(area.height);
    let place = &mut screen.places[Panel::Standing as usize];
    place.selected = place.selected.min(all.len().saturating_sub(1));
    let (from, to) = match starts.get(place.selected..) {
        Some([from, to, ..]) => (*from, *to),
        _ => (0, 0),
    };
    place.top = keep_in_view(place.top, height, from, to, paper.len());
    place.page = 3;
    let inner = Rect { x: area.x + 2.min(area.width), width: area.width.saturating_sub(2), ..area };
    paper.draw(frame, inner, place.top, paint);
    if focused {
        for line in from.max(place.top)..to.min(place.top + height) {
            put(frame, area, u16::try_from(line - place.top).unwrap_or(0), 0, "▌", paint.of(Meaning::Key));
        }
    }
    if all.is_empty() {
        put(frame, area, 0, 2, "Nothing on record yet.", paint.of(Meaning::Plain));
    }
}

fn ledger(screen: &mut CasingScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let (list, below) = split(area, screen.page.ledger.len(), 4);
    let columns = [
        numbers("Entry", 5, 3),
        column("Date", 10, 0, 0),
        column("Kind", 11, 0, 1),
        column("By", 10, 0, 4),
        column("What it says", 20, 1, 0),
    ];
    let (page, system) = (&screen.page, paint.system);
    let said = |at: usize| {
        let line = &page.ledger[at];
        let mut words = said_of(line, system).replace('\n', " ");
        if let Some(of) = belongs(page, line) {
            words = format!("{of}: {words}");
        }
        match line.struck_by {
            Some(by) => format!("struck by {by}: {words}"),
            None if line.differs_from.is_some() => {
                format!("differs from {}: {words}", line.differs_from.unwrap_or_default())
            }
            None => words,
        }
    };
    let breached = |at: usize| {
        let line = &page.ledger[at];
        let said = matches!(&line.entry.entry.details, Details::Firing(firing) if firing.breach.is_some());
        let found = page.assessed.breaches.iter().any(|breach| breach.firing.id == line.entry.id);
        line.struck_by.is_none() && (said || found)
    };
    let place = &mut screen.places[Panel::Ledger as usize];
    table::draw(frame, list, &columns, place, page.ledger.len(), paint, |at| {
        let line = &page.ledger[at];
        let style = if line.struck_by.or(line.firing_struck_by).is_some() {
            paint.of(Meaning::Struck)
        } else if breached(at) {
            paint.of(Meaning::Forbids)
        } else {
            paint.of(Meaning::Plain)
        };
        let guess = if line.entry.entry.date_approximate { "~" } else { "" };
        let flag = if breached(at) { "!! breach: " } else { "" };
        vec![
            (line.entry.number.to_string(), style),
            (format!("{}{guess}", line.entry.entry.happened_on), style),
            (line.entry.kind().to_string(), style),
            (line.entry.entry.recorded_by.clone(), style),
            (format!("{flag}{}", said(at)), style),
        ]
    });
    let at = place.selected;
    if at < page.ledger.len() {
        let line = &page.ledger[at];
        let mut paper = Paper::new(usize::from(below.width));
        let second =
            line.entry.entry.second.as_ref().map_or_else(String::new, |name| format!(" with {name}"));
        paper.text(
            &format!("Entry {} by {}{second}", line.entry.number, line.entry.entry.recorded_by),
            paint.of(Meaning::Heading),
        );
        paper.text(&said(at), paint.of(Meaning::Plain));
        for breach in page.assessed.breaches.iter().filter(|it| it.firing.id == line.entry.id) {
            let why: Vec<&str> = breach.forbidden_by.iter().map(|it| it.text.as_str()).collect();
            paper.hang(
                "!! ",
                paint.of(Meaning::Forbids),
                &format!("fired although the record forbids it: {}", why.join("; ")),
                paint.of(Meaning::Forbids),
            );
        }
        paper.draw(frame, below, 0, paint);
    }
}

/// A bar of a share of so many columns; its length, never its colour, carries the meaning.
pub(super) fn bar(share: f64, columns: usize) -> String {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped to 0..=columns
    let filled = (share.clamp(0.0, 1.0) * columns as f64).round() as usize;
    "━".repeat(filled.min(columns))
}

fn parts(screen: &mut CasingScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let fitted = &screen.page.assessed.parts;
    if fitted.is_empty() {
        put(
            frame,
            area,
            0,
            0,
            "No part is on record as fitted. Register parts with l, and fit them with m.",
            paint.of(Meaning::Plain),
        );
        return;
    }
    let columns = [
        column("Position", 16, 0, 0),
        column("Part", 12, 1, 0),
        numbers("Fired", 6, 0),
        numbers("Proofs", 6, 3),
        numbers("Life", 8, 2),
        numbers("Left", 8, 0),
        numbers("Throat", 10, 1),
    ];
    let place = &mut screen.places[Panel::Parts as usize];
    table::draw(frame, area, &columns, place, fitted.len(), paint, |at| {
        let part = &fitted[at];
        let style = match part.left() {
            Some(0) => paint.of(Meaning::Forbids),
            Some(1) => paint.of(Meaning::Warns),
            _ => paint.of(Meaning::Plain),
        };
        vec![
            (part.position.to_string(), style),
            (part.part.clone(), style),
            (part.firings.to_string(), style),
            (part.proofs.to_string(), style),
            (part.life_firings.map_or_else(|| "no limit".to_owned(), |life| life.to_string()), style),
            (
                part.left().map_or_else(String::new, |left| {
                    if left == 0 { "! none".to_owned() } else { left.to_string() }
                }),
                style,
            ),
            (
                part.throat_m.map_or_else(String::new, |throat| show(Length::from_si(throat), paint.system)),
                style,
            ),
        ]
    });
}

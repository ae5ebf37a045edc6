//! A casing's page on the screen: the answer, what every page must say, and the panel in focus.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::{CasingScreen, Panel, panels};
use crate::book::Standing;
use crate::quantity::{GaugePressure, Quantity, show};
use crate::tui::screens::drawing;
use crate::tui::text;
use crate::tui::theme::Meaning;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::section::Section;
use crate::tui::widgets::{Paint, put};

pub(super) fn draw(screen: &mut CasingScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let mut head = Paper::new(usize::from(area.width));
    write_head(screen, &mut head, area.height < 16, paint);
    let tall = u16::try_from(head.len()).unwrap_or(u16::MAX).min(area.height / 2);
    let above = Rect { height: tall, ..area };
    head.draw(frame, above, 0, paint);
    let mut tall = tall;
    if area.width >= 120 && area.height >= 38 {
        // Room to spare: the casing itself stands above what is said of it.
        let strip = Rect { y: area.y + tall, height: 13.min(area.height - tall), ..area };
        tall += draw_section(screen, frame, strip, paint);
    }
    tabs(
        screen,
        frame,
        Rect { y: area.y + tall, height: area.height.saturating_sub(tall).min(1), ..area },
        paint,
    );
    let body = Rect {
        y: area.y + (tall + 1).min(area.height),
        height: area.height.saturating_sub(tall + 1),
        ..area
    };
    if area.width >= 120 {
        // Wide: the reasons stay in sight beside whatever else is looked at.
        let left = area.width * 2 / 5;
        let beside = Rect { width: left, ..body };
        let rest = Rect { x: body.x + left + 2, width: body.width.saturating_sub(left + 2), ..body };
        let other = if screen.panel == Panel::Standing { Panel::Ledger } else { screen.panel };
        panels::draw(screen, Panel::Standing, frame, beside, paint);
        panels::draw(screen, other, frame, rest, paint);
    } else {
        let panel = screen.panel;
        panels::draw(screen, panel, frame, body, paint);
    }
}

fn draw_section(screen: &CasingScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) -> u16 {
    let Some(design) = &screen.page.assessed.design else { return 0 };
    let marks = drawing::marks(&screen.page, &screen.rules);
    let section = Section { design, marks: &marks, throat_mm: drawing::throat_mm(&screen.page) };
    let width = area.width / 2;
    let height = section.height(width, area.height);
    section.draw(frame, Rect { width, height, ..area }, paint);
    let life = Rect { x: area.x + width + 2, width: area.width.saturating_sub(width + 2), height, ..area };
    drawing::draw_life(&screen.page, &drawing::life(&screen.page), frame, life, paint);
    height
}

fn write_head(screen: &CasingScreen, head: &mut Paper, short: bool, paint: &Paint) {
    let page = &screen.page;
    let style = paint.theme.standing(page.standing);
    let firings = match page.assessed.firings {
        1 => "1 firing".to_owned(),
        count => format!("{count} firings"),
    };
    let proofs = match page.assessed.proofs {
        1 => "1 proof".to_owned(),
        count => format!("{count} proofs"),
    };
    let answer = match page.standing {
        Standing::InService => "in service: nothing on record stands against it".to_owned(),
        standing if standing.forbids() => format!("{standing}: may not be fired"),
        standing => format!("{standing}: within its limits"),
    };
    head.hang(&format!("{} ", page.standing.sign()), style, &answer, style);
    let shown = |pa: f64| show(GaugePressure::from_si(pa), paint.system);
    if short {
        for flag in &page.assessed.flags {
            head.hang("!! ", paint.of(Meaning::Forbids), flag, paint.of(Meaning::Forbids));
        }
        return;
    }
    let mut facts = vec![firings, proofs];
    if let Some(meop) = page.assessed.meop_pa {
        facts.push(format!("MEOP {}", shown(meop)));
    }
    if let Some((entry, pressure, since)) = &page.assessed.proof {
        facts.push(format!("proved {} on {}, {since} fired since", shown(*pressure), entry.on));
    }
    if let Some((peak, entry)) = &page.assessed.highest_peak {
        facts.push(format!("highest peak {} on {}", shown(*peak), entry.on));
    }
    head.text(&facts.join(" · "), paint.of(Meaning::Plain));
    for flag in &page.assessed.flags {
        head.hang("!! ", paint.of(Meaning::Forbids), flag, paint.of(Meaning::Forbids));
    }
}

fn tabs(screen: &CasingScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let rule = "─".repeat(usize::from(area.width));
    put(frame, area, 0, 0, &rule, paint.of(Meaning::Plain));
    let mut at = 1;
    for (number, panel) in Panel::ALL.into_iter().enumerate() {
        let words = format!(" {} {} ", number + 1, panel.word());
        let style = if panel == screen.panel { paint.of(Meaning::Bar) } else { paint.of(Meaning::Plain) };
        put(frame, area, 0, at, &words, style);
        at += u16::try_from(text::width(&words)).unwrap_or(0) + 1;
    }
}

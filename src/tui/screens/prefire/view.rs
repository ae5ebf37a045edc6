//! The checklist on the screen: the verdict, the distance, the items by hold point, the selected one in full.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::checklist::ChecklistScreen;
use crate::quantity::System;
use crate::standing::ItemState;
use crate::standing::prefire::HOLDS;
use crate::tui::action::{Act, Context};
use crate::tui::screens::big;
use crate::tui::text;
use crate::tui::theme::Meaning;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::{Paint, keep_in_view, put, reasons};

pub(super) fn draw(screen: &mut ChecklistScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let tall = draw_head(screen, frame, area, paint);
    let below = if area.height >= 30 { 8 } else { 5 };
    let list_height = area.height.saturating_sub(tall + below + 1);
    let list = Rect { y: area.y + tall.min(area.height), height: list_height, ..area };
    draw_items(screen, frame, list, paint);
    let at = (tall + list_height).min(area.height);
    let width = usize::from(area.width);
    let legend = if screen.checklist.items.iter().any(|item| item.second) {
        "── [2] two people look at this one, each for themselves "
    } else {
        ""
    };
    let rule = legend.to_owned() + &"─".repeat(width.saturating_sub(text::width(legend)));
    put(frame, area, at, 0, &rule, paint.of(Meaning::Plain));
    let detail =
        Rect { y: area.y + (at + 1).min(area.height), height: area.height.saturating_sub(at + 1), ..area };
    draw_selected(screen, frame, detail, paint);
}

fn draw_head(screen: &ChecklistScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) -> u16 {
    let who = match &screen.run.name {
        Some(name) => format!("{} {name}", screen.run.serial),
        None => screen.run.serial.clone(),
    };
    let what = format!("{} {} of {who}", screen.run.load, screen.run.mode);
    let mut paper = Paper::new(usize::from(area.width));
    if screen.checklist.forbidden() {
        let style = paint.of(Meaning::Forbids);
        paper.hang("x ", style, &format!("FORBIDDEN by the record: {what}. It cannot be released."), style);
        let against: Vec<&str> = screen
            .checklist
            .items
            .iter()
            .filter(|item| item.state == ItemState::Forbids)
            .map(|item| item.text.as_str())
            .collect();
        for words in against.iter().take(3) {
            paper.hang("  because ", paint.of(Meaning::Strong), words, paint.of(Meaning::Plain));
        }
        if against.len() > 3 {
            paper
                .text(&format!("  and {} more, marked x below", against.len() - 3), paint.of(Meaning::Plain));
        }
        paper.gap();
    } else if let refused @ [_, ..] = screen.refused().as_slice() {
        // A person's refusal leads as the record's does.
        let style = paint.of(Meaning::Forbids);
        for words in refused.iter().take(3) {
            let words = format!("NOT IN ORDER: {words}: do not fire until it is put right");
            paper.hang("x ", style, &words, style);
        }
        let more = match refused.len().saturating_sub(3) {
            0 => String::new(),
            more => format!("And {more} more, marked n below. "),
        };
        let (done, all) = screen.progress();
        let words = format!("{more}Not released: {what}. Attested: {done} of {all}.");
        paper.hang("  ", style, &words, paint.of(Meaning::Strong));
    } else {
        let (done, all) = screen.progress();
        let words = if screen.complete() {
            let key = paint.keys.first(Act::Release, Context::Checklist);
            let warned = screen.warnings().map_or_else(String::new, |it| format!(", {it} (~)"));
            format!("Every item is in order{warned}: {what}. Press {key} for the two names.")
        } else {
            let warned = screen.warnings().map_or_else(String::new, |it| format!(" {it}, marked ~."));
            format!("Nothing on record forbids {what}.{warned} Attested: {done} of {all}.")
        };
        let style = paint.of(if screen.complete() { Meaning::InOrder } else { Meaning::Strong });
        // The head carries the casing's own sign: a restricted one is not simply in order.
        paper.hang(&format!("{} ", screen.run.standing.sign()), style, &words, style);
    }
    for flag in &screen.run.flags {
        paper.hang("!! ", paint.of(Meaning::Forbids), flag, paint.of(Meaning::Forbids));
    }
    let tall = u16::try_from(paper.len()).unwrap_or(u16::MAX).min(area.height / 2);
    paper.draw(frame, Rect { height: tall, ..area }, 0, paint);
    if screen.checklist.forbidden() {
        return tall;
    }
    tall + draw_standoff(screen, frame, Rect { y: area.y + tall, height: area.height - tall, ..area }, paint)
}

/// How far people keep, big enough to be read over a shoulder.
fn draw_standoff(screen: &ChecklistScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) -> u16 {
    let Some((metres, source)) = &screen.checklist.standoff else {
        put(
            frame,
            area,
            0,
            0,
            "~ No distance is known for this load: ask the range safety officer.",
            paint.of(Meaning::Warns),
        );
        return 2;
    };
    let feet = metres / 0.3048;
    let (number, unit, other) = match paint.system {
        System::Si => (format!("{metres:.0}"), "metres", format!("{feet:.0} ft")),
        System::Us => (format!("{feet:.0}"), "feet", format!("{metres:.0} m")),
    };
    let words = format!("{unit} ({other}): nobody nearer, everyone under cover");
    // On a low screen the items need the rows more than the number does; read back, it is big.
    if area.height < 22 {
        put(frame, area, 0, 0, &format!("{number} {words}"), paint.of(Meaning::Strong));
        return 1;
    }
    let wide = u16::try_from(text::width(&number) * 4).unwrap_or(0);
    let from = wide + 2;
    big::draw(&number, frame, Rect { x: area.x + 1, width: wide.min(area.width), ..area }, paint);
    let beside = usize::from(area.width.saturating_sub(from));
    put(frame, area, 0, from, &words, paint.of(Meaning::Strong));
    for (at, line) in (1..3).zip(text::wrap(source, beside)) {
        put(frame, area, at, from, &line, paint.of(Meaning::Plain));
    }
    5
}

const fn sign(state: ItemState) -> (&'static str, Meaning) {
    match state {
        ItemState::InOrder => ("=", Meaning::InOrder),
        ItemState::Forbids => ("x", Meaning::Forbids),
        ItemState::Warns => ("~", Meaning::Warns),
        ItemState::ToAttest => ("·", Meaning::Plain),
        ItemState::Attested => ("y", Meaning::InOrder),
        ItemState::NotInOrder => ("n", Meaning::Forbids),
    }
}

enum Row {
    Hold(usize),
    Item(usize),
}

fn draw_items(screen: &mut ChecklistScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let mut rows = Vec::new();
    let mut selected_row = 0;
    let mut last = None;
    for (place, at) in screen.order.iter().enumerate() {
        let hold = HOLDS.iter().position(|(id, _)| *id == screen.checklist.items[*at].hold);
        if hold != last {
            last = hold;
            rows.push(Row::Hold(hold.unwrap_or(0)));
        }
        if place == screen.place.selected {
            selected_row = rows.len();
        }
        rows.push(Row::Item(*at));
    }
    let height = usize::from(area.height);
    screen.place.page = height;
    // The hold point above the selected item stays in view with it.
    let from = selected_row.saturating_sub(1);
    screen.place.top = keep_in_view(screen.place.top, height, from, selected_row + 1, rows.len());
    for (line, row) in rows.iter().skip(screen.place.top).take(height).enumerate() {
        let y = u16::try_from(line).unwrap_or(0);
        match row {
            Row::Hold(hold) => draw_hold(screen, *hold, frame, area, y, paint),
            Row::Item(at) => {
                let over = (screen.selected() == Some(*at)).then(|| paint.of(Meaning::Selected));
                draw_item(screen, *at, over, frame, area, y, paint);
            }
        }
    }
}

fn draw_hold(
    screen: &ChecklistScreen,
    hold: usize,
    frame: &mut Frame<'_>,
    area: Rect,
    y: u16,
    paint: &Paint,
) {
    let Some((id, what)) = HOLDS.get(hold) else { return };
    let waits = screen
        .checklist
        .items
        .iter()
        .position(|item| item.hold == *id)
        .and_then(|at| screen.held(at))
        .map(|at| format!(" (waits for {at})"))
        .unwrap_or_default();
    let words = format!("── {id}  {what}{waits} ");
    let filled = words.clone() + &"─".repeat(usize::from(area.width).saturating_sub(text::width(&words)));
    put(frame, area, y, 0, &filled, paint.of(Meaning::Heading));
}

fn draw_item(
    screen: &ChecklistScreen,
    at: usize,
    over: Option<Style>,
    frame: &mut Frame<'_>,
    area: Rect,
    y: u16,
    paint: &Paint,
) {
    let item = &screen.checklist.items[at];
    let state = screen.state(at);
    let (sign, meaning) = sign(state);
    let style = |base: Style| over.map_or(base, |over| base.patch(over));
    if over.is_some() {
        put(frame, area, y, 0, &text::pad("", usize::from(area.width)), over.unwrap_or_default());
    }
    let word = if item.is_afterwards() { "afterwards" } else { state.word() };
    put(frame, area, y, 1, &format!("{sign} {}", text::pad(word, 12)), style(paint.of(meaning)));
    let second = if item.second { "[2] " } else { "" };
    put(frame, area, y, 16, &format!("{second}{}", item.text), style(paint.of(Meaning::Plain)));
}

fn draw_selected(screen: &ChecklistScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let Some(at) = screen.selected() else { return };
    let item = &screen.checklist.items[at];
    let mut paper = Paper::new(usize::from(area.width));
    let (sign, meaning) = sign(screen.state(at));
    let lead = format!("{sign} {} ", item.hold);
    paper.hang(&lead, paint.of(meaning), &item.text, paint.of(Meaning::Strong));
    let or = |words: &Option<String>| words.clone().unwrap_or_default();
    if item.decided_by == "record" {
        reasons::details(
            &mut paper,
            [&or(&item.rule), &or(&item.value), &or(&item.limit), &or(&item.source)],
            item.entry.as_ref(),
            paint,
        );
    } else {
        if item.second {
            paper
                .text("  [2] An independent second person looks at this one, too.", paint.of(Meaning::Plain));
        }
        let words = if screen.checklist.forbidden() {
            "  Nothing to attest while the record forbids the firing.".to_owned()
        } else if let Some(hold) = screen.held(at) {
            let open = screen.holding(at).map_or("", |item| item.text.as_str());
            let key = paint.keys.first(Act::FirstOpen, Context::Checklist);
            format!("  Held: this is open at {hold}: {open}. {key} goes to it.")
        } else {
            paint.keys.fill("  {in-order}: seen, and in order.   {not-in-order}: seen, and not in order.   {open-again}: open again.")
        };
        paper.text(&words, paint.of(Meaning::Key));
    }
    paper.draw(frame, area, 0, paint);
}

//! A calculator on the screen: what it is for, its fields, its answer, and what the answer rests on.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};

use super::sheet::SheetScreen;
use crate::desk::calculators::Outcome;
use crate::tui::text;
use crate::tui::theme::Meaning;
use crate::tui::widgets::live::{Note, other};
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::{Paint, put, stacked};

pub(super) fn draw(sheet: &mut SheetScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    if area.width < 120 {
        let mut below = Paper::new(usize::from(area.width));
        answer(sheet, &mut below, paint);
        rests_on(sheet, &mut below, paint);
        column(sheet, &below, frame, area, paint);
        return;
    }
    let left = area.width * 11 / 20;
    let mut below = Paper::new(usize::from(left));
    answer(sheet, &mut below, paint);
    column(sheet, &below, frame, Rect { width: left, ..area }, paint);
    let right = Rect { x: area.x + left + 3, width: area.width.saturating_sub(left + 3), ..area };
    let mut paper = Paper::new(usize::from(right.width));
    rests_on(sheet, &mut paper, paint);
    paper.draw(frame, right, 0, paint);
}

/// What it is for, the fields, the field in focus explained, and the answer, which scrolls.
fn column(sheet: &mut SheetScreen, below: &Paper, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let mut head = Paper::new(usize::from(area.width));
    head.text(sheet.of.purpose, paint.of(Meaning::Heading));
    let mut help = Paper::new(usize::from(area.width));
    explain(sheet, &mut help, paint);
    let tall = |paper: &Paper, most: u16| u16::try_from(paper.len()).unwrap_or(u16::MAX).min(most);
    let rows = u16::try_from(sheet.fields.fields.len()).unwrap_or(u16::MAX);
    let (top, explained) = (tall(&head, 2), tall(&help, 3));
    let fields = rows.min(area.height.saturating_sub(top + explained + 5)).max(area.height.min(1));
    let [head_at, fields_at, help_at, rule_at, answer_at] =
        stacked(area, [top, fields, explained, 1, u16::MAX / 2]);
    head.draw(frame, head_at, 0, paint);
    sheet.fields.draw(frame, fields_at, paint);
    help.draw(frame, help_at, 0, paint);
    put(frame, rule_at, 0, 0, &"─".repeat(usize::from(area.width)), paint.of(Meaning::Plain));
    sheet.fields.answer.draw(below, frame, answer_at, paint);
}

/// The field in focus: what it is, and what is wrong with it or what it takes.
fn explain(sheet: &SheetScreen, paper: &mut Paper, paint: &Paint) {
    let (Some(input), Some(field)) = (sheet.input(), sheet.fields.current()) else { return };
    let wrong = match &field.note {
        Note::Wrong(words) => Some(words),
        _ => None,
    };
    paper.hang("  ", paint.of(Meaning::Plain), input.help, paint.of(Meaning::Plain));
    match wrong {
        Some(words) => {
            paper.hang("! ", paint.of(Meaning::Forbids), words, paint.of(Meaning::Forbids));
        }
        None => {
            let words = format!("takes {}", input.accepted());
            paper.hang("  ", paint.of(Meaning::Plain), &words, paint.of(Meaning::Plain));
        }
    }
}

fn answer(sheet: &SheetScreen, paper: &mut Paper, paint: &Paint) {
    for problem in sheet.homeless() {
        let words = format!("{}: {}", problem.field, problem.message);
        paper.hang("! ", paint.of(Meaning::Forbids), &words, paint.of(Meaning::Forbids));
    }
    match &sheet.outcome {
        Ok(outcome) => {
            results(outcome, paper, paint);
            for words in &outcome.warnings {
                paper.hang("~ ", paint.of(Meaning::Warns), words, paint.of(Meaning::Warns));
            }
        }
        Err(problems) => {
            let missing: Vec<String> = problems
                .iter()
                .filter(|it| it.message.starts_with("is missing"))
                .map(|it| it.field.replace('_', " "))
                .collect();
            let words = if missing.len() < problems.len() {
                "No answer: see the fields marked with !".to_owned()
            } else {
                format!("Still needed: {}", missing.join(", "))
            };
            paper.text(&words, paint.of(Meaning::Strong));
        }
    }
}

fn results(outcome: &Outcome, paper: &mut Paper, paint: &Paint) {
    let names: Vec<String> = outcome.results.iter().map(|it| it.output.label().replace('_', " ")).collect();
    let label = names.iter().map(|it| text::width(it)).max().unwrap_or(0).min(30) + 2;
    let room = paper.width();
    for (name, it) in names.iter().zip(&outcome.results) {
        let first = it.value.shown(it.output.shows, paint.system);
        let second = it.value.shown(it.output.shows, other(paint.system));
        if text::width(&first) > 18 || label + 40 > room {
            let both = if first == second { first } else { format!("{first} ({second})") };
            let lead = text::pad(name, label);
            paper.hang(&lead, paint.of(Meaning::Label), &both, paint.of(Meaning::Strong));
            continue;
        }
        let second = if first == second { String::new() } else { second };
        let help = if room >= label + 38 + 16 { it.output.help } else { "" };
        let help = text::fit(help, room.saturating_sub(label + 38));
        paper.lines.push(Line::from(vec![
            Span::styled(text::pad(name, label), paint.of(Meaning::Label)),
            Span::styled(text::pad_left(&first, 16), paint.of(Meaning::Strong)),
            Span::styled(text::pad_left(&second, 18), paint.of(Meaning::Plain)),
            Span::styled(format!("    {help}"), paint.of(Meaning::Plain)),
        ]));
    }
}

/// Formula, where it holds, what happens outside, the source, and what each result is.
fn rests_on(sheet: &SheetScreen, paper: &mut Paper, paint: &Paint) {
    let source = match &sheet.outcome {
        Ok(outcome) => outcome.source.as_str(),
        Err(_) => sheet.of.source,
    };
    paper.labelled("source", source, paint);
    paper.labelled("formula", sheet.of.formula, paint);
    paper.labelled("holds", sheet.of.range, paint);
    paper.labelled("outside", sheet.of.outside, paint);
    paper.hang("  ", paint.of(Meaning::Label), "it gives", paint.of(Meaning::Label));
    for output in sheet.of.results {
        let lead = format!("    {}: ", output.label().replace('_', " "));
        paper.hang(&lead, paint.of(Meaning::Label), output.help, paint.of(Meaning::Plain));
    }
}

//! A form on the screen: one row a field, what was understood or what is wrong beside it, help below.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::FormScreen;
use super::field::{Buffer, FormField};
use crate::book::inspection::item_by_id;
use crate::book::{Ask, Kind};
use crate::quantity::input_unit;
use crate::tui::text;
use crate::tui::theme::Meaning;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::path;
use crate::tui::widgets::{Paint, keep_in_view, put};

/// Where the label ends; before it stands the field's number, as on the blank form on paper.
const LABEL: u16 = 28;
/// The rows a field of several rows takes while it is typed in.
const ROWS: usize = 5;

pub(super) fn draw(form: &mut FormScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let below = if area.height >= 18 { 4 } else { 3 };
    let [head, body, help] = ratatui::layout::Layout::vertical([
        ratatui::layout::Constraint::Length(head_height(form, area)),
        ratatui::layout::Constraint::Min(1),
        ratatui::layout::Constraint::Length(below),
    ])
    .areas(area);
    draw_head(form, frame, head, paint);
    let visible = form.visible();
    let mut starts = Vec::new();
    let mut line = 0;
    let mut group = None;
    let mut headings = Vec::new();
    for at in visible.iter().copied() {
        let own = group_of(form.fields[at].spec.name);
        if own != group {
            group = own;
            if let Some(words) = own {
                headings.push((line, words));
                line += 1;
            }
        }
        starts.push(line);
        line += height(form, at);
    }
    let save_at = line;
    let shown = usize::from(body.height);
    let (from, to) = match visible.iter().position(|at| *at == form.focus) {
        Some(place) => (starts[place], starts[place] + height(form, form.focus)),
        None => (save_at, save_at + 1),
    };
    form.top = keep_in_view(form.top, shown, from, to, save_at + 1);
    let top = form.top;
    for (line, words) in headings {
        if (top..top + shown).contains(&line) {
            let y = u16::try_from(line - top).unwrap_or(0);
            put(frame, body, y, 0, &format!("── {words} ──"), paint.of(Meaning::Heading));
        }
    }
    for (place, at) in visible.iter().copied().enumerate() {
        let tall = height(form, at);
        if starts[place] + tall <= top || starts[place] >= top + shown {
            continue;
        }
        let y = starts[place].saturating_sub(top);
        let hidden = top.saturating_sub(starts[place]);
        let room = (tall - hidden).min(shown - y);
        let row = Rect {
            y: body.y + u16::try_from(y).unwrap_or(0),
            height: u16::try_from(room).unwrap_or(1),
            ..body
        };
        draw_field(form, at, frame, row, paint);
    }
    if save_at >= top && save_at < top + shown {
        let y = u16::try_from(save_at - top).unwrap_or(0);
        let style = if form.on_save_row() { paint.of(Meaning::Selected) } else { paint.of(Meaning::Strong) };
        put(frame, body, y, 2, " Save ", style);
        put(frame, body, y, 10, &save_words(form), paint.of(Meaning::Plain));
    }
    more_marks(frame, body, top, shown, save_at + 1, paint);
    draw_help(form, frame, help, paint);
}

/// The heading over the fields of one part of a design or load.
fn group_of(name: &str) -> Option<&'static str> {
    Some(match name.split_once('.')?.0 {
        "tube" => "Tube",
        "forward" => "Forward end",
        "aft" => "Aft end",
        "service" => "Service",
        "grain" => "Grain",
        "propellant" => "Propellant, by its numbers only",
        "nozzle" => "Nozzle",
        _ => return None,
    })
}

/// What is wrong and what was refused is said whole, as long as the fields keep most of the screen.
fn head_height(form: &FormScreen, area: Rect) -> u16 {
    let words = form.message.as_deref().or(form.note.as_deref()).unwrap_or(form.form.does);
    u16::try_from(text::wrap(words, usize::from(area.width)).len())
        .unwrap_or(1)
        .clamp(1, (area.height / 3).max(3))
}

fn draw_head(form: &FormScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let mut paper = Paper::new(usize::from(area.width));
    match &form.message {
        Some(message) => paper.text(message, paint.of(Meaning::Forbids)),
        None => paper.text(form.note.as_deref().unwrap_or(form.form.does), paint.of(Meaning::Heading)),
    }
    paper.draw(frame, area, 0, paint);
}

fn height(form: &FormScreen, at: usize) -> usize {
    match &form.fields[at].buffer {
        Buffer::Rows(rows) if at == form.focus => rows.len().clamp(2, ROWS),
        _ => 1,
    }
}

fn save_words(form: &FormScreen) -> String {
    let missing = form
        .visible()
        .into_iter()
        .filter(|at| form.fields[*at].spec.required && form.fields[*at].is_empty())
        .count();
    let wrong = form
        .visible()
        .into_iter()
        .filter(|at| !form.fields[*at].is_empty())
        .filter(|at| form.problems.iter().any(|it| it.field == form.fields[*at].spec.name))
        .filter(|at| !form.half_typed(&form.fields[*at]))
        .count();
    let mut parts = Vec::new();
    if missing > 0 {
        parts.push(format!("{missing} still to answer (*)"));
    }
    if wrong > 0 {
        parts.push(format!("{wrong} to put right (!)"));
    }
    // As many as are marked; what belongs to no field on the screen is said itself.
    let visible = form.visible();
    let odd = visible
        .iter()
        .map(|at| &form.fields[*at])
        .filter(|field| form.problem(field).is_none() && form.warning(field).is_some())
        .count();
    if odd > 0 {
        parts.push(format!("{odd} to look at again (~)"));
    }
    let shown = |name: &str| visible.iter().any(|at| form.fields[*at].spec.name == name);
    parts.extend(form.warnings.iter().filter(|it| !shown(&it.field)).map(|it| format!("~ {}", it.message)));
    if parts.is_empty() { "Enter here, or Ctrl-S anywhere".to_owned() } else { parts.join(", ") }
}

fn draw_field(form: &mut FormScreen, at: usize, frame: &mut Frame<'_>, row: Rect, paint: &Paint) {
    let focused = at == form.focus;
    let field = &form.fields[at];
    let problem = form.problem(field);
    let warning = form.warning(field);
    let (mark, style) = if problem.is_some() {
        ("!", paint.of(Meaning::Forbids))
    } else if warning.is_some() {
        ("~", paint.of(Meaning::Warns))
    } else if field.spec.required && field.is_empty() {
        ("*", paint.of(Meaning::Strong))
    } else {
        (" ", paint.of(Meaning::Plain))
    };
    put(frame, row, 0, 0, mark, style);
    let label_style = if focused { paint.of(Meaning::Selected) } else { paint.of(Meaning::Label) };
    if let Some(number) = field.spec.number(at) {
        put(frame, row, 0, 1, &text::pad_left(&number.to_string(), 2), paint.of(Meaning::Plain));
    }
    let label = text::pad(field.spec.label, usize::from(LABEL - 4));
    put(frame, row, 0, 4, &label, label_style);
    let value =
        Rect { x: row.x + (LABEL + 1).min(row.width), width: row.width.saturating_sub(LABEL + 1), ..row };
    let said = if let Some(problem) = problem {
        Some((problem, paint.of(Meaning::Forbids)))
    } else if let Some(warning) = warning {
        Some((warning, paint.of(Meaning::Warns)))
    } else {
        field.echo.clone().map(|echo| (echo, paint.of(Meaning::Plain)))
    };
    let typed = text::width(&field.text());
    let placeholder = placeholder(form, field, focused);
    let stands = if typed == 0 { text::width(&placeholder) + 2 } else { typed };
    let long = matches!(field.spec.ask, Ask::LongText | Ask::Text | Ask::Names | Ask::File);
    let room = match &said {
        Some(_) if !(long && focused) => {
            u16::try_from(stands + 2).unwrap_or(24).clamp(16, 26).min(value.width)
        }
        _ => value.width,
    };
    let field_area = Rect { width: room, ..value };
    match &mut form.fields[at].buffer {
        Buffer::Line(line) => {
            line.draw(frame, Rect { height: value.height.min(1), ..field_area }, focused, paint);
            if typed == 0 {
                put(frame, field_area, 0, u16::from(focused) * 2, &placeholder, paint.of(Meaning::Plain));
            } else if focused && form.fields[at].names_file() {
                let from = u16::try_from(typed + 3).unwrap_or(u16::MAX);
                let names = path::beside(&form.fields[at].names, usize::from(room.saturating_sub(from)));
                put(frame, field_area, 0, from, &names, paint.of(Meaning::Plain));
            }
        }
        Buffer::Rows(rows) if focused => rows.draw(frame, field_area, true, paint),
        Buffer::Rows(rows) => {
            let text = rows.text();
            let first = text.lines().next().unwrap_or("").to_owned();
            let more = match rows.len() {
                0 | 1 => String::new(),
                2 => " (+1 row)".to_owned(),
                count => format!(" (+{} rows)", count - 1),
            };
            put(frame, field_area, 0, 0, &(first + &more), paint.of(Meaning::Plain));
        }
    }
    if let Some((words, style)) = said
        && room + 2 < value.width
    {
        put(frame, value, 0, room + 1, &words, style);
    }
}

/// What stands in an empty field: what leaving it empty means, or what would complete it.
fn placeholder(form: &FormScreen, field: &FormField, focused: bool) -> String {
    match field.spec.name {
        "on" => form.today.map_or_else(
            || "today".to_owned(),
            |today| format!("today, {}: not the day asked about", today.format("%a %Y-%m-%d")),
        ),
        "date_approximate" if !focused => "no".to_owned(),
        _ if focused && field.names_file() => String::new(),
        _ if focused && field.chooses() => {
            let words = field.matching();
            if words.is_empty() { String::new() } else { format!("← → {}", some_of(&words)) }
        }
        _ if focused => {
            let unit = unit_of(field.spec.ask);
            unit.map_or_else(String::new, |dimension| match input_unit(dimension, form.system) {
                "in" => "in inches where no unit is typed".to_owned(),
                unit => format!("in {unit} where no unit is typed"),
            })
        }
        _ => String::new(),
    }
}

/// As many choices as anybody reads.
fn some_of(words: &[&str]) -> String {
    const READ: usize = 40;
    let more = if words.len() > READ { " …" } else { "" };
    words.iter().take(READ).copied().collect::<Vec<_>>().join(" · ") + more
}

const fn unit_of(ask: Ask) -> Option<crate::quantity::Dimension> {
    match ask {
        Ask::Quantity(dimension) => Some(dimension),
        Ask::GaugePressure => Some(crate::quantity::Dimension::Pressure),
        _ => None,
    }
}

fn more_marks(frame: &mut Frame<'_>, body: Rect, top: usize, shown: usize, count: usize, paint: &Paint) {
    let mut mark = |row: u16, words: &str| {
        let at = body.width.saturating_sub(u16::try_from(text::width(words)).unwrap_or(0));
        put(frame, body, row, at, words, paint.of(Meaning::Key));
    };
    if top > 0 {
        mark(0, &format!(" ↑ {top} more"));
    }
    let left = count.saturating_sub(top + shown);
    if left > 0 && body.height > 0 {
        mark(body.height - 1, &format!(" ↓ {left} more"));
    }
}

/// What the field in focus means, what is wrong with it in full, and what it could be.
fn draw_help(form: &FormScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let mut paper = Paper::new(usize::from(area.width));
    let Some(field) = form.fields.get(form.focus) else {
        paper.gap();
        paper.text(
            "Writes the entry into the book, for good: a wrong one is struck, never changed.",
            paint.of(Meaning::Plain),
        );
        paper.draw(frame, area, 0, paint);
        return;
    };
    let rule = "─".repeat(usize::from(area.width));
    put(frame, area, 0, 0, &rule, paint.of(Meaning::Plain));
    let area = Rect { y: area.y + 1.min(area.height), height: area.height.saturating_sub(1), ..area };
    let must = if field.spec.required {
        "must be answered"
    } else if field.is_empty() && form.problems.iter().any(|it| it.field == field.spec.name) {
        "must be answered, after what is answered above"
    } else {
        "may be left out"
    };
    if let Some(problem) = form.problem(field) {
        paper.hang("! ", paint.of(Meaning::Forbids), &problem, paint.of(Meaning::Forbids));
    }
    if let Some(warning) = form.warning(field) {
        paper.hang("~ ", paint.of(Meaning::Warns), &warning, paint.of(Meaning::Warns));
    }
    if paper.len() < usize::from(area.height) {
        let help = match item_by_id(field.spec.name).filter(|_| form.kind == Kind::Strip) {
            Some(item) if item.required => {
                format!("{}. Every firing needs it: {}", item.text, field.spec.help)
            }
            Some(item) => format!("{}: {}", item.text, field.spec.help),
            None => format!("{}: {} ({must})", field.spec.label, field.spec.help),
        };
        paper.text(&help, paint.of(Meaning::Plain));
    }
    if field.names_file() && !field.is_empty() {
        let room = usize::from(area.width);
        paper.text(&path::beside(&field.names, room), paint.of(Meaning::Strong));
    } else if let (true, Some(echo)) = (field.chooses(), &field.echo) {
        paper.text(echo, paint.of(Meaning::Strong));
    } else if field.chooses() && paper.len() < usize::from(area.height) {
        let words = field.matching();
        let words = if words.is_empty() { field.choices.iter().map(String::as_str).collect() } else { words };
        paper.text(&some_of(&words), paint.of(Meaning::Strong));
    } else if let Some(echo) = &field.echo
        && paper.len() < usize::from(area.height)
    {
        paper.text(echo, paint.of(Meaning::Strong));
    }
    paper.draw(frame, area, 0, paint);
}

//! A desk with a fixed clock, and an app that is typed at.

use std::path::Path;

use chrono::{DateTime, NaiveDate, TimeZone, Utc};
use proofmark::book::{Answers, Kind};
use proofmark::desk::{Desk, Surroundings};
use proofmark::quantity::System;
use proofmark::tui::{App, Event, Options};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use uuid::Uuid;

pub struct Fixed {
    next: u64,
}

impl Surroundings for Fixed {
    fn now(&self) -> DateTime<Utc> {
        Utc.with_ymd_and_hms(2026, 10, 3, 18, 0, 0).unwrap()
    }
    fn today(&self) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 10, 3).unwrap()
    }
    fn identity(&mut self) -> Uuid {
        self.next += 1;
        uuid::Builder::from_unix_timestamp_millis(1_790_000_000_000 + self.next, &[7; 10]).into_uuid()
    }
}

pub fn fixed(next: u64) -> Box<dyn Surroundings> {
    Box::new(Fixed { next })
}

pub fn empty() -> Desk {
    Desk::in_memory(fixed(0)).unwrap()
}

pub fn on_disk(path: &Path, next: u64) -> Desk {
    Desk::writing(path, fixed(next), None).unwrap()
}

pub fn options() -> Options {
    Options { by: Some("Ines".to_owned()), colour: true, ..Options::default() }
}

pub fn record(desk: &mut Desk, kind: Kind, fields: &[(&str, &str)]) {
    let mut answers = Answers::new();
    answers.set("by", "Ines");
    for (field, words) in fields {
        answers.set(field, *words);
    }
    if let Err(refusal) = desk.record(kind, &answers, Some(System::Si)) {
        panic!("{kind} refused: {refusal:?}");
    }
}

pub const CASING: &[(&str, &str)] = &[
    ("serial", "MF-48-10"),
    ("name", "Teasel"),
    ("on", "2026-08-01"),
    ("tube.material", "6061-T6"),
    ("tube.od", "2.000 in"),
    ("tube.wall", "0.065 in"),
    ("tube.wall_min", "0.065 in"),
    ("forward.kind", "retaining ring"),
    ("forward.groove_depth", "1.0 mm"),
    ("forward.ring_thickness", "2 mm"),
    ("forward.edge", "10 mm"),
    ("aft.kind", "retaining ring"),
    ("aft.groove_depth", "1.0 mm"),
    ("aft.ring_thickness", "2 mm"),
    ("aft.edge", "10 mm"),
    ("service.meop", "5.9 MPa"),
    ("od", "30 mm @ 0: 50.80 mm\n120 mm @ 0: 50.80 mm"),
];

pub const PROOF: &[(&str, &str)] = &[
    ("casing", "MF-48-10"),
    ("on", "2026-08-15"),
    ("pressure", "8.85 MPa"),
    ("medium", "water"),
    ("bled", "yes"),
    ("hold", "5 min"),
    ("method", "diameters only"),
    ("od_before", "30 mm @ 0: 50.80 mm\n120 mm @ 0: 50.80 mm"),
    ("od_after", "30 mm @ 0: 50.80 mm\n120 mm @ 0: 50.80 mm"),
    ("leak", "no"),
    ("pressure_drop", "no"),
    ("second", "Bo Ray"),
];

pub const LOAD: &[(&str, &str)] = &[
    ("name", "48A"),
    ("on", "2026-08-20"),
    ("peak_pressure", "4.6 MPa"),
    ("impulse", "951 Ns"),
    ("nozzle.throat", "9.35 mm"),
];

/// A proved casing and a load.
pub fn small() -> Desk {
    let mut desk = empty();
    fill(&mut desk);
    desk
}

pub fn fill(desk: &mut Desk) {
    record(desk, Kind::Casing, CASING);
    record(desk, Kind::Proof, PROOF);
    record(desk, Kind::Load, LOAD);
}

/// The demo book, in a folder of its own.
pub fn demo() -> (tempfile::TempDir, Desk) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("demo.db");
    proofmark::demo::write(&path).unwrap();
    let desk = on_disk(&path, 9_000);
    (folder, desk)
}

pub fn key(code: KeyCode) -> Event {
    Event::Key(KeyEvent::new(code, KeyModifiers::NONE))
}

pub fn ctrl(letter: char) -> Event {
    Event::Key(KeyEvent::new(KeyCode::Char(letter), KeyModifiers::CONTROL))
}

/// Type keys: names of keys in angle brackets, everything else letter by letter.
pub fn press(app: &mut App, keys: &str) {
    let mut rest = keys;
    while let Some(first) = rest.chars().next() {
        if first == '<' {
            let end = rest.find('>').expect("an unclosed key name");
            app.handle(named(&rest[1..end]));
            rest = &rest[end + 1..];
        } else {
            app.handle(key(KeyCode::Char(first)));
            rest = &rest[first.len_utf8()..];
        }
    }
}

fn named(name: &str) -> Event {
    match name {
        "Enter" => key(KeyCode::Enter),
        "Esc" => key(KeyCode::Esc),
        "Tab" => key(KeyCode::Tab),
        "BackTab" => key(KeyCode::BackTab),
        "Up" => key(KeyCode::Up),
        "Down" => key(KeyCode::Down),
        "Left" => key(KeyCode::Left),
        "Right" => key(KeyCode::Right),
        "Home" => key(KeyCode::Home),
        "End" => key(KeyCode::End),
        "Backspace" => key(KeyCode::Backspace),
        "Delete" => key(KeyCode::Delete),
        "C-s" => ctrl('s'),
        "C-c" => ctrl('c'),
        other => match other.strip_prefix('F').and_then(|number| number.parse().ok()) {
            Some(number) => key(KeyCode::F(number)),
            None => panic!("no key {other}"),
        },
    }
}

/// The screen as text, and where the cursor is.
pub fn shown(app: &mut App, width: u16, height: u16) -> String {
    let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
    terminal.draw(|frame| app.draw(frame)).unwrap();
    let buffer = terminal.backend().buffer();
    let mut text = String::new();
    for y in 0..height {
        let mut line = String::new();
        let mut x = 0;
        while x < width {
            let symbol = buffer[(x, y)].symbol();
            line.push_str(symbol);
            x += u16::try_from(unicode_width::UnicodeWidthStr::width(symbol)).unwrap().max(1);
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// The screen with a line of marks under each line that is not plain: B bold, R reversed, U underlined, S struck;
/// before them the colour's first letter, small.
pub fn painted(app: &mut App, width: u16, height: u16) -> String {
    use ratatui::style::{Color, Modifier};
    let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
    terminal.draw(|frame| app.draw(frame)).unwrap();
    let buffer = terminal.backend().buffer();
    let mut text = String::new();
    for y in 0..height {
        let (mut line, mut marks) = (String::new(), String::new());
        for x in 0..width {
            let cell = &buffer[(x, y)];
            line.push_str(cell.symbol());
            let colour = match cell.fg {
                Color::Reset => None,
                Color::Red | Color::LightRed => Some('r'),
                Color::Magenta => Some('m'),
                Color::LightYellow => Some('y'),
                Color::LightGreen => Some('g'),
                other => panic!("{other:?} is not a colour of any theme"),
            };
            assert_eq!(cell.bg, Color::Reset, "backgrounds are the terminal's own");
            let mark = [
                (Modifier::REVERSED, 'R'),
                (Modifier::UNDERLINED, 'U'),
                (Modifier::CROSSED_OUT, 'S'),
                (Modifier::BOLD, 'B'),
            ]
            .into_iter()
            .find(|(modifier, _)| cell.modifier.contains(*modifier))
            .map(|it| it.1);
            marks.push(colour.or(mark).unwrap_or(' '));
        }
        text.push_str(line.trim_end());
        text.push('\n');
        if !marks.trim().is_empty() {
            text.push_str(marks.trim_end());
            text.push('\n');
        }
    }
    text
}

/// The screen as runs of text with their styles, so that a selection nobody can see fails a test.
pub fn styles(app: &mut App, width: u16, height: u16) -> Vec<(String, ratatui::style::Style)> {
    let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
    terminal.draw(|frame| app.draw(frame)).unwrap();
    let buffer = terminal.backend().buffer();
    let mut runs: Vec<(String, ratatui::style::Style)> = Vec::new();
    for cell in buffer.content() {
        match runs.last_mut() {
            Some((text, style)) if *style == cell.style() => text.push_str(cell.symbol()),
            _ => runs.push((cell.symbol().to_owned(), cell.style())),
        }
    }
    runs
}

/// Fill in fields of the form on the screen: from the field in focus, go on to each by its label.
pub fn fill_in(app: &mut App, fields: &[(&str, &str)]) {
    for (label, words) in fields {
        go_to(app, label);
        for (at, row) in words.split('\n').enumerate() {
            if at > 0 {
                press(app, "<Enter>");
            }
            press(app, row);
        }
    }
}

/// Go to a field by its label.
pub fn go_to(app: &mut App, label: &str) {
    for _ in 0..80 {
        let focused = styles(app, 100, 60).iter().any(|(text, style)| {
            style.add_modifier.contains(ratatui::style::Modifier::REVERSED) && text.trim() == label
        });
        if focused {
            return;
        }
        press(app, "<Tab>");
    }
    panic!("no field {label} on\n{}", shown(app, 100, 60));
}

/// A book of text that would like to move the cursor, reorder the line and break the layout.
pub fn hostile() -> Desk {
    let mut desk = empty();
    let long = "日本語 ".repeat(300);
    let nasty = "\u{202e}evil\u{200b} a\u{1b}[2J<b> =cmd() é\u{301}👩‍👩‍👧 ";
    let mut casing: Vec<(&str, &str)> = CASING.to_vec();
    casing.retain(|(field, _)| *field != "name" && *field != "od");
    casing.push(("name", nasty));
    casing.push(("remark", &long));
    record(&mut desk, Kind::Casing, &casing);
    record(&mut desk, Kind::Note, &[("casing", "MF-48-10"), ("text", nasty)]);
    record(&mut desk, Kind::Note, &[("casing", "MF-48-10"), ("text", &long)]);
    record(&mut desk, Kind::Load, LOAD);
    record(
        &mut desk,
        Kind::Finding,
        &[("casing", "MF-48-10"), ("damage", "burst"), ("evidence", nasty), ("found_by", &long)],
    );
    desk
}

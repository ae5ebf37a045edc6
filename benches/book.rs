//! A large book: what a frame, a key, an entry and a look-up cost. Not a timed test; it prints what it measured.
//!
//! `PROOFMARK_LARGE=FILE cargo bench --bench book` measures that book (it is copied before anything is written); without
//! it a small generated one. A book of long histories: `proofmark demo --at FILE --casings 10 --firings 10000`. Times are of this thread's processor, so that a busy machine does not blur them.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::path::{Path, PathBuf};
use std::time::Duration;

use chrono::{DateTime, NaiveDate, Utc};
use proofmark::book::{Answers, Kind};
use proofmark::desk::{Desk, Surroundings};
use proofmark::tui::{App, Event, Options};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use uuid::Uuid;

struct Real;

impl Surroundings for Real {
    fn now(&self) -> DateTime<Utc> {
        Utc::now()
    }
    fn today(&self) -> NaiveDate {
        Utc::now().date_naive()
    }
    fn identity(&mut self) -> Uuid {
        Uuid::now_v7()
    }
}

/// What this thread has used of a processor.
fn used() -> Duration {
    let now = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
    Duration::new(now.tv_sec.unsigned_abs(), u32::try_from(now.tv_nsec).unwrap())
}

fn taken<T>(work: impl FnOnce() -> T) -> (Duration, T) {
    let before = used();
    let done = work();
    (used() - before, done)
}

fn report(what: &str, mut times: Vec<Duration>) {
    times.sort();
    let at = |share: f64| times[((times.len() - 1) as f64 * share).round() as usize];
    println!(
        "{what:34} {:>5} x  median {:>10.2?}  p99 {:>10.2?}  most {:>10.2?}",
        times.len(),
        at(0.5),
        at(0.99),
        at(1.0)
    );
}

fn key(name: &str) -> KeyEvent {
    let code = match name {
        "Enter" => KeyCode::Enter,
        "Esc" => KeyCode::Esc,
        "Down" => KeyCode::Down,
        "Up" => KeyCode::Up,
        "End" => KeyCode::End,
        "Home" => KeyCode::Home,
        "PageDown" => KeyCode::PageDown,
        "Tab" => KeyCode::Tab,
        "Backspace" => KeyCode::Backspace,
        other => KeyCode::Char(other.chars().next().unwrap()),
    };
    KeyEvent::new(code, KeyModifiers::NONE)
}

/// Keys of one screen after those that open it.
const SCREENS: &[(&str, &str, &str)] = &[
    ("rack", "", "Down Down PageDown End Up Home Down Down"),
    ("rack, opening a casing", "Down Down Down", "Enter Esc Enter Esc"),
    ("casing", "Down Down Enter", "1 Down 2 Up Up Home End PageDown 3 Down 4 5 Down"),
    ("rack, filtering", "/", "g n 0 0 9 Backspace 8"),
    ("who may be fired", "g", "Down Down PageDown End Up Home"),
    ("rack, opening who may be fired", "", "g Esc"),
    ("choosing a load", "Down p", "Down Up b s f"),
    ("rack, opening a pre-fire", "Down Down", "p Esc"),
    ("form of a firing", "Down f Enter", "Tab a b Backspace Tab 1 Down"),
    ("rack, opening a firing's form", "Down", "f Esc"),
    ("form of a casing", "c", "a b c Tab d Backspace Tab"),
    ("rack, opening a casing's form", "", "c Esc"),
    ("rack, looking for letters", "/", "g 0 0 9 9 8 Backspace Backspace q z"),
    ("rules", "r", "Down PageDown End Home"),
    ("calculators", "t", "Down Down PageDown Home"),
];

fn screens(book: &Path) {
    for (name, before, keys) in SCREENS {
        let desk = Desk::writing(book, Box::new(Real), None).unwrap();
        let mut terminal = Terminal::new(TestBackend::new(200, 60)).unwrap();
        let mut app =
            App::new(desk, Options { colour: true, by: Some("Ann Lee".to_owned()), ..Options::default() });
        for name in before.split_whitespace() {
            app.handle(Event::Key(key(name)));
        }
        terminal.draw(|frame| app.draw(frame)).unwrap();
        let (mut times, mut slowest) = (Vec::new(), (Duration::ZERO, String::new()));
        for round in 0..12 {
            for name in keys.split_whitespace() {
                let (time, ()) = taken(|| {
                    app.handle(Event::Key(key(name)));
                    terminal.draw(|frame| app.draw(frame)).unwrap();
                });
                if time > slowest.0 {
                    slowest = (time, format!("{name} in round {}", round + 1));
                }
                times.push(time);
            }
        }
        report(name, times);
        println!("{:34} slowest: {} ({:.2?})", "", slowest.1, slowest.0);
    }
}

/// What a casing's page is made of.
fn history(desk: &Desk, casing: &str) {
    let times = |work: &dyn Fn()| (0..20).map(|_| taken(work).0).collect();
    let read = || desk.book().history(casing).unwrap();
    let entries = read();
    let rules = desk.book().rules_on(NaiveDate::MAX).unwrap();
    report(&format!("reading {} entries of a casing", entries.len()), times(&|| drop(read())));
    let walk = || {
        let history = proofmark::standing::History { serial: casing, entries: &entries, rules: &rules };
        drop(proofmark::standing::assess(history, NaiveDate::MAX));
    };
    report("walking them", times(&walk));
    let lines: Vec<Duration> = (0..20)
        .map(|_| {
            let entries = entries.clone();
            taken(|| desk.book().lines_of(entries, NaiveDate::MAX).unwrap()).0
        })
        .collect();
    report("marking what is struck", lines);
    report("a casing's page", times(&|| drop(desk.casing(casing).unwrap())));
    let page = desk.casing(casing).unwrap();
    report("its growth map", times(&|| drop(desk.growth_map(&page).unwrap())));
}

fn main() {
    let folder = std::env::temp_dir().join(format!("proofmark-bench-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let book = folder.join("book.db");
    match std::env::var_os("PROOFMARK_LARGE").map(PathBuf::from) {
        Some(large) => drop(std::fs::copy(large, &book).unwrap()),
        None => drop(proofmark::demo::write_large(&book, 500, 5_000).unwrap()),
    }
    // The copy goes to the disk now, not at the first key that writes a draft.
    std::fs::File::open(&book).and_then(|file| file.sync_all()).unwrap();
    let first: Vec<Duration> = (0..10)
        .map(|_| {
            taken(|| {
                let desk = Desk::writing(&book, Box::new(Real), None).unwrap();
                let mut terminal = Terminal::new(TestBackend::new(200, 60)).unwrap();
                let mut app = App::new(desk, Options { colour: true, ..Options::default() });
                terminal.draw(|frame| app.draw(frame)).unwrap();
            })
            .0
        })
        .collect();
    report("first frame", first);
    screens(&book);
    let mut desk = Desk::writing(&book, Box::new(Real), None).unwrap();
    let rows = desk.rack_rows().unwrap();
    let casing = &rows[rows.len().min(123) - 1].serial;
    history(&desk, casing);
    let mut answers = Answers::new();
    answers.set("by", "Ann Lee").set("text", "measured").set("casing", casing);
    let entries = (0..40).map(|_| taken(|| desk.record(Kind::Note, &answers, None).unwrap()).0).collect();
    report("one entry about a casing", entries);
    let mut answers = Answers::new();
    answers.set("by", "Ann Lee").set("text", "measured");
    let entries = (0..40).map(|_| taken(|| desk.record(Kind::Note, &answers, None).unwrap()).0).collect();
    report("one entry about the book", entries);
    report("the rack's rows", (0..10).map(|_| taken(|| desk.rack_rows().unwrap()).0).collect());
    let _ = std::fs::remove_dir_all(&folder);
}

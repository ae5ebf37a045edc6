//! The trace screen: opened, moved about in, held against others, read on a worker that stops when told.

use std::time::{Duration, Instant};

use proofmark::tui::action::Context;
use proofmark::tui::{App, Event};
use ratatui::crossterm::event::{KeyModifiers, MouseButton, MouseEvent, MouseEventKind};

use super::screens::picture;
use super::support::{ctrl, demo, empty, fill_in, options, press, shown};

/// Wait for the worker, as the loop would be woken.
fn woken(app: &mut App) {
    let begun = Instant::now();
    loop {
        app.handle(Event::Woke);
        let text = shown(app, 100, 30);
        if !text.contains(" reading ") || begun.elapsed() > Duration::from_secs(30) {
            return;
        }
        std::thread::sleep(Duration::from_millis(5));
    }
}

fn file(rows: u32) -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("stand.csv");
    let mut text = String::from("Time (ms),Load (lbf)\n");
    for i in 0..rows {
        let x = f64::from(i) / f64::from(rows);
        let thrust = ((x - 0.3) / 0.01).min((0.7 - x) / 0.05).clamp(0.0, 1.0) * 100.0;
        text.push_str(&format!("{:.3},{:.3}\n", x * 5000.0, thrust + 0.01 * f64::from(i % 7)));
    }
    std::fs::write(&path, text).unwrap();
    let path = path.to_string_lossy().into_owned();
    (folder, path)
}

/// From the rack to the ledger of a casing, on the line that holds some words.
fn on_line(app: &mut App, casing: &str, words: &str) {
    press(app, &format!("/{casing}<Enter><Enter>2<Home>"));
    for _ in 0..60 {
        let text = shown(app, 200, 60);
        let on = super::support::styles(app, 200, 60).iter().any(|(run, style)| {
            style.add_modifier.contains(ratatui::style::Modifier::REVERSED) && run.contains(words)
        });
        if on {
            return;
        }
        assert!(text.contains("ledger"), "{text}");
        press(app, "<Down>");
    }
    panic!("no line {words} on\n{}", shown(app, 200, 60));
}

#[test]
fn a_trace_on_record_opens_from_its_line_and_from_its_firings() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    on_line(&mut app, "thistle", "trace thistle-6.csv");
    press(&mut app, "e");
    woken(&mut app);
    picture("trace_80x24", &shown(&mut app, 80, 24));
    picture("trace_160x50", &shown(&mut app, 160, 50));
    picture("trace_60x16", &shown(&mut app, 60, 16));
    assert_eq!(app.context(), Context::Trace);
    press(&mut app, "<Esc>");
    on_line_again(&mut app, "static firing with 48A of P24-1");
    press(&mut app, "e");
    woken(&mut app);
    let text = shown(&mut app, 100, 30);
    assert!(text.contains("trace thistle-6.csv") && text.contains("plan"), "{text}");
    press(&mut app, "<Enter>");
    let text = shown(&mut app, 100, 60);
    assert!(
        text.contains("What the rules say as the record stands") && text.contains("peak-far-over-plan"),
        "{text}"
    );
}

fn on_line_again(app: &mut App, words: &str) {
    press(app, "<Home>");
    for _ in 0..60 {
        let on = super::support::styles(app, 200, 60).iter().any(|(run, style)| {
            style.add_modifier.contains(ratatui::style::Modifier::REVERSED) && run.contains(words)
        });
        if on {
            return;
        }
        press(app, "<Down>");
    }
    panic!("no line {words}");
}

#[test]
fn two_firings_stand_on_one_plot() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    on_line(&mut app, "thistle", "trace thistle-6.csv");
    press(&mut app, "ev");
    let list = shown(&mut app, 100, 24);
    assert!(list.contains("a file…") && list.contains("thistle-1.csv"), "{list}");
    for _ in 0..6 {
        if super::support::styles(&mut app, 100, 24).iter().any(|(run, style)| {
            style.add_modifier.contains(ratatui::style::Modifier::REVERSED) && run.contains("thistle-1.csv")
        }) {
            break;
        }
        press(&mut app, "<Down>");
    }
    press(&mut app, "<Enter>");
    // The first may still be read when the second is asked for.
    let end = std::time::Instant::now() + Duration::from_secs(30);
    while std::time::Instant::now() < end {
        app.handle(Event::Woke);
        if shown(&mut app, 160, 50).contains("Against thistle-1.csv") {
            break;
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    let text = shown(&mut app, 160, 50);
    assert!(text.contains("Against thistle-1.csv") && text.contains("┈┈┈"), "{text}");
    // 978 N over 512 N.
    assert!(text.contains("peak 1.91"), "{text}");
}

#[test]
fn the_cursor_reads_out_and_the_window_moves() {
    let (_folder, path) = file(4000);
    let mut app = App::new(empty(), options());
    press(&mut app, "e");
    assert_eq!(app.context(), Context::TraceFile);
    press(&mut app, &path);
    press(&mut app, "<Enter>");
    woken(&mut app);
    let text = shown(&mut app, 100, 30);
    assert!(text.contains("peak 445 N") && text.contains("impulse so far"), "{text}");
    press(&mut app, "<Tab><Tab><Tab><Tab>");
    press(&mut app, "<Home>");
    let start = shown(&mut app, 100, 30);
    assert!(start.contains("impulse so far 0 N·s"), "{start}");
    press(&mut app, "+++");
    let near = shown(&mut app, 100, 30);
    assert_ne!(start, near);
    press(&mut app, "]]");
    assert_ne!(near, shown(&mut app, 100, 30));
    press(&mut app, "0");
    let whole = shown(&mut app, 100, 30);
    press(&mut app, "0");
    assert_ne!(whole, shown(&mut app, 100, 30));
    press(&mut app, "u");
    assert!(shown(&mut app, 100, 30).contains("thrust, lbf"));
    // The mouse: a press puts the cursor there, the wheel shows less, a drag moves what is held.
    let mouse =
        |kind, column, row| Event::Mouse(MouseEvent { kind, column, row, modifiers: KeyModifiers::NONE });
    press(&mut app, "0");
    shown(&mut app, 100, 30);
    app.handle(mouse(MouseEventKind::Down(MouseButton::Left), 30, 8));
    let put = shown(&mut app, 100, 30);
    assert_ne!(whole, put);
    app.handle(mouse(MouseEventKind::ScrollUp, 30, 8));
    let near = shown(&mut app, 100, 30);
    assert_ne!(put, near);
    app.handle(mouse(MouseEventKind::Down(MouseButton::Left), 30, 8));
    app.handle(mouse(MouseEventKind::Drag(MouseButton::Left), 20, 8));
    assert_ne!(near, shown(&mut app, 100, 30));
}

#[test]
fn a_long_file_is_read_beside_live_keys_and_esc_stops_it_at_once() {
    let (_folder, path) = file(300_000);
    let mut app = App::new(empty(), options());
    press(&mut app, "e");
    press(&mut app, &path);
    press(&mut app, "<Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("reading stand.csv"), "{text}");
    // The keys are live: help opens over it.
    press(&mut app, "?");
    assert_eq!(app.context(), Context::Read);
    press(&mut app, "<Esc>");
    let begun = Instant::now();
    press(&mut app, "<Esc>");
    let text = shown(&mut app, 80, 24);
    assert!(begun.elapsed() < Duration::from_millis(100), "{:?}", begun.elapsed());
    assert_eq!(app.context(), Context::Rack);
    assert!(text.contains("Stopped"), "{text}");
}

#[test]
fn what_cannot_be_read_says_why_and_what_to_type() {
    let (folder, _) = file(10);
    let path = folder.path().join("bare.csv");
    std::fs::write(&path, "Time,Load\n0,0\n1,5\n2,0\n").unwrap();
    let mut app = App::new(empty(), options());
    press(&mut app, "e");
    press(&mut app, &path.to_string_lossy());
    press(&mut app, "<Enter>");
    woken(&mut app);
    let text = shown(&mut app, 100, 24);
    assert!(text.contains("cannot be shown") && text.contains("--column time=Time:ms"), "{text}");
    press(&mut app, "e");
    press(&mut app, &format!("{} --column time=Time:s --column thrust=Load:N", path.to_string_lossy()));
    press(&mut app, "<Enter>");
    woken(&mut app);
    assert!(shown(&mut app, 100, 24).contains("peak 5.00 N"), "{}", shown(&mut app, 100, 24));
    press(&mut app, "e<Enter>");
    assert!(shown(&mut app, 100, 24).contains("type the path"), "{}", shown(&mut app, 100, 24));
    press(&mut app, "<Esc><Esc>");
    assert_eq!(app.context(), Context::Rack);
}

#[test]
fn a_form_shows_the_file_it_names_before_it_is_written() {
    let (_stand, path) = file(2000);
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/patch<Enter>f<Enter>");
    fill_in(&mut app, &[("Trace file", &path)]);
    app.handle(ctrl('t'));
    woken(&mut app);
    let text = shown(&mut app, 100, 30);
    assert!(text.contains("trace stand.csv") && text.contains("peak 445 N"), "{text}");
    press(&mut app, "<Esc>");
    assert_eq!(app.context(), Context::FormFile, "back in the form, nothing lost");
}

//! On the screen: a trace on record is judged by the record, and a path completes.

use std::time::{Duration, Instant};

use proofmark::book::Kind;
use proofmark::tui::action::Context;
use proofmark::tui::{App, Event};

use super::bench::{burn, cut_at, thrust};
use super::support::{empty, fill, go_to, options, press, record, shown};

fn woken(app: &mut App) {
    let begun = Instant::now();
    while begun.elapsed() < Duration::from_secs(30) {
        app.handle(Event::Woke);
        if !shown(app, 100, 30).contains("stops it.") {
            return;
        }
        std::thread::sleep(Duration::from_millis(5));
    }
}

const STRIP: &[(&str, &str)] = &[
    ("casing", "MF-48-10"),
    ("on", "2026-09-02"),
    ("as_found", "good"),
    ("heat", "good"),
    ("straight_edge", "good"),
    ("effort", "good"),
    ("seals", "good"),
    ("liner", "good"),
    ("throat", "good"),
    ("cleaned", "good"),
    ("diameters", "good"),
    ("bore", "good"),
    ("penetrant", "good"),
    ("od", "30 mm @ 0: 50.80 mm\n120 mm @ 0: 50.80 mm"),
    ("second", "Bo Ray"),
];

/// From the rack to the trace of the casing's firing.
fn open_trace(app: &mut App) -> String {
    press(app, "<Enter>2<Home>");
    for _ in 0..30 {
        let on = super::support::styles(app, 160, 50).iter().any(|(run, style)| {
            style.add_modifier.contains(ratatui::style::Modifier::REVERSED) && run.contains("stand.csv")
        });
        if on {
            break;
        }
        press(app, "<Down>");
    }
    press(app, "e");
    woken(app);
    let head = shown(app, 160, 50);
    press(app, "<Enter>");
    head + &shown(app, 160, 80)
}

#[test]
fn a_trace_on_record_is_judged_by_the_record_as_it_stands() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("stand.csv");
    std::fs::write(&path, thrust(200.0, |t| burn(t, 500.0))).unwrap();
    let mut desk = empty();
    fill(&mut desk);
    let trace = path.to_string_lossy().into_owned();
    // 5.4 MPa above vacuum is 1.18 of a plan of 4.6 MPa, both above the atmosphere.
    record(
        &mut desk,
        Kind::Firing,
        &[
            ("casing", "MF-48-10"),
            ("on", "2026-09-01"),
            ("mode", "static"),
            ("load", "48A"),
            ("peak_pressure", "5.4 MPa"),
            ("trace", &trace),
        ],
    );
    let mut app = App::new(desk, options());
    let text = open_trace(&mut app);
    assert!(text.contains("has had no inspection") && text.contains("still open, hold"), "{text}");

    let mut desk = empty();
    fill(&mut desk);
    record(
        &mut desk,
        Kind::Firing,
        &[
            ("casing", "MF-48-10"),
            ("on", "2026-09-01"),
            ("mode", "static"),
            ("load", "48A"),
            ("peak_pressure", "5.4 MPa"),
            ("trace", &trace),
        ],
    );
    record(&mut desk, Kind::Strip, STRIP);
    let decided = [
        ("casing", "MF-48-10"),
        ("on", "2026-09-03"),
        ("decision", "keep"),
        ("reason", "throat measured 0.1 mm small"),
        ("second", "Bo Ray"),
    ];
    record(&mut desk, Kind::Disposition, &decided);
    let mut app = App::new(desk, options());
    let text = open_trace(&mut app);
    assert!(!text.contains("has had no inspection") && !text.contains("still open"), "{text}");
    assert!(text.contains("nothing of it is open; its casing is in service today"), "{text}");
    assert!(text.contains("settled since; at the time hold: the peak came to"), "{text}");
    assert!(
        text.contains("What the rules said at the time") && text.contains("rule peak-over-plan"),
        "{text}"
    );
}

#[test]
fn a_trace_cut_off_says_at_least_first() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("cut.csv");
    std::fs::write(&path, cut_at(&thrust(200.0, |t| burn(t, 950.0)), 520.0)).unwrap();
    let mut app = App::new(empty(), options());
    press(&mut app, "e");
    press(&mut app, &path.to_string_lossy());
    press(&mut app, "<Enter>");
    woken(&mut app);
    let text = shown(&mut app, 120, 30);
    let answer = text.lines().find(|line| line.contains("peak")).unwrap();
    assert!(answer.contains("at least 520 N") && answer.contains("at least J"), "{text}");
}

fn folder() -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("stand days")).unwrap();
    for name in ["stand days/june-1.csv", "stand days/june-2.csv", "notes.txt", ".hidden.csv"] {
        std::fs::write(folder.path().join(name), thrust(100.0, |t| burn(t, 500.0))).unwrap();
    }
    let path = folder.path().to_string_lossy().into_owned();
    (folder, path)
}

#[test]
fn a_path_completes_with_tab() {
    let (_folder, path) = folder();
    let mut app = App::new(empty(), options());
    press(&mut app, "e");
    assert_eq!(app.context(), Context::TraceFile);
    press(&mut app, &format!("{path}/"));
    let text = shown(&mut app, 160, 24);
    assert!(text.contains("notes.txt · stand days/") && !text.contains(".hidden"), "{text}");
    press(&mut app, "st<Tab>");
    let text = shown(&mut app, 160, 24);
    assert!(text.contains("/stand days/") && text.contains("june-1.csv · june-2.csv"), "{text}");
    // As far as there is no choice.
    press(&mut app, "<Tab>");
    assert!(shown(&mut app, 160, 24).contains("/stand days/june-"), "{text}");
    press(&mut app, "2<Tab>");
    assert!(shown(&mut app, 160, 24).contains("/stand days/june-2.csv"));
    press(&mut app, "<Enter>");
    woken(&mut app);
    assert!(shown(&mut app, 100, 24).contains("peak 50"), "{}", shown(&mut app, 100, 24));
}

#[test]
fn a_path_in_a_form_completes_too_and_goes_on() {
    let (_folder, path) = folder();
    let mut desk = empty();
    fill(&mut desk);
    let mut app = App::new(desk, options());
    press(&mut app, "f<Enter>");
    go_to(&mut app, "Trace file");
    assert_eq!(app.context(), Context::FormFile);
    press(&mut app, &format!("{path}/stand"));
    press(&mut app, "<Tab>");
    let text = shown(&mut app, 160, 60);
    assert!(text.contains("/stand days/") && text.contains("june-1.csv · june-2.csv"), "{text}");
    press(&mut app, "june-1<Tab>");
    assert_eq!(app.context(), Context::FormFile, "the path was completed");
    press(&mut app, "<Tab>");
    assert_ne!(app.context(), Context::FormFile, "nothing is left to add: the next field");
}

#[test]
fn a_wrong_path_says_what_why_and_what_next() {
    let (_folder, path) = folder();
    let mut app = App::new(empty(), options());
    for (typed, parts) in [
        (format!("{path}/note.txt"), vec!["no file of that name", "notes.txt", "spelling"]),
        (format!("{path}/stnd/june-1.csv"), vec!["there is no folder", "stnd", "spelling"]),
        (format!("{path}/stand days"), vec!["it is a folder", "name a file in it"]),
    ] {
        press(&mut app, "e");
        press(&mut app, &typed);
        press(&mut app, "<Enter>");
        woken(&mut app);
        let text = shown(&mut app, 300, 24);
        assert!(!text.contains("os error"), "{text}");
        for part in parts {
            assert!(text.contains(part), "{part}\n{text}");
        }
    }
}

//! Writing an entry again from the screens, and what is said before one is written.

use proofmark::book::{Details, Kind};
use proofmark::tui::App;

use crate::support::{CASING, PROOF, demo, empty, fill_in, go_to, options, press, record, shown, small};

fn with_one_name() -> App {
    let mut desk = empty();
    record(&mut desk, Kind::Casing, CASING);
    let proof: Vec<(&str, &str)> = PROOF.iter().copied().filter(|(field, _)| *field != "second").collect();
    record(&mut desk, Kind::Proof, &proof);
    App::new(desk, options())
}

#[test]
fn a_forgotten_second_name_is_put_right_from_the_ledger() {
    let mut app = with_one_name();
    press(&mut app, "<Enter>2X");
    let text = shown(&mut app, 100, 50);
    assert!(text.contains("Entry 2 again") && text.contains("8.85 MPa"), "{text}");
    fill_in(
        &mut app,
        &[
            ("Second person", "Bo Ray"),
            ("Why it was wrong", "the name was forgotten"),
            ("Who agrees that it was", "Bo Ray"),
        ],
    );
    press(&mut app, "<C-s>");
    let text = shown(&mut app, 100, 50);
    assert!(text.contains("entry 3 strikes entry 2") && text.contains("proof of MF-48-10"), "{text}");
    assert_eq!(app.desk().book().size().unwrap().1, 4);
    press(&mut app, "<Esc>");
    assert!(shown(&mut app, 100, 50).contains("struck by 3"));
}

#[test]
fn leaving_it_changes_nothing() {
    let mut app = with_one_name();
    press(&mut app, "<Enter>2X");
    fill_in(&mut app, &[("Why it was wrong", "a slip")]);
    press(&mut app, "<Esc>");
    assert!(shown(&mut app, 100, 50).contains("the entry stands as it was"));
    press(&mut app, "d");
    assert_eq!(app.desk().book().size().unwrap().1, 2);
    assert!(app.desk().book().drafts().unwrap().is_empty());
}

#[test]
fn after_a_strike_the_page_leads_to_the_entry_filled_in() {
    let mut app = App::new(small(), options());
    press(&mut app, "<Enter>2<Home><Down>x");
    fill_in(&mut app, &[("Reason", "wrong pressure")]);
    press(&mut app, "<C-s>");
    let text = shown(&mut app, 100, 50);
    assert!(text.contains("be written again, corrected: X"), "{text}");
    press(&mut app, "X");
    let text = shown(&mut app, 100, 50);
    assert!(text.contains("struck: put right") && text.contains("8.85 MPa"), "{text}");
    assert!(!text.contains("Why it was wrong"), "it is crossed out already: {text}");
    // Whoever signed it looked at what was wrong, not at what it says now.
    fill_in(&mut app, &[("Second person", "Bo Ray"), ("Remark", "again")]);
    press(&mut app, "<C-s>");
    let text = shown(&mut app, 100, 50);
    assert!(text.contains("written: proof of MF-48-10"), "{text}");
}

#[test]
fn a_proof_that_would_not_count_is_asked_about_once() {
    let mut app = with_one_name();
    press(&mut app, "<Enter>2X");
    fill_in(&mut app, &[("Why it was wrong", "a slip"), ("Who agrees that it was", "Bo Ray")]);
    press(&mut app, "<C-s>");
    let text = shown(&mut app, 100, 50);
    assert!(text.contains("would not count") && text.contains("no second person"), "{text}");
    assert_eq!(app.desk().book().size().unwrap().1, 2, "not yet written");
    press(&mut app, "<C-s>");
    assert_eq!(app.desk().book().size().unwrap().1, 4);
}

#[test]
fn what_is_written_is_named() {
    let mut app = App::new(small(), options());
    press(&mut app, "w");
    press(&mut app, "p");
    fill_in(&mut app, &[("Name", "Bo Ray")]);
    go_to(&mut app, "Role");
    press(&mut app, "<Right>");
    press(&mut app, "<C-s>");
    let text = shown(&mut app, 100, 40);
    assert!(text.contains("written: person Bo Ray."), "{text}");
}

#[test]
fn a_trace_without_units_is_asked_about_in_the_words_of_the_form() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("stand.csv");
    let rows: String = (0..400)
        .map(|at| {
            let thrust = if (50..250).contains(&at) { 400 } else { 0 };
            format!("{},{thrust}\n", f64::from(at) * 0.01)
        })
        .collect();
    std::fs::write(&file, format!("time,thrust\n{rows}")).unwrap();
    let mut app = App::new(small(), options());
    press(&mut app, "f<Enter>");
    fill_in(&mut app, &[("Mode", "static"), ("Load", "48A"), ("Trace file", file.to_str().unwrap())]);
    press(&mut app, "<C-s>");
    let text = shown(&mut app, 110, 60);
    assert!(text.contains("write here time=time:") && !text.contains("--column"), "{text}");
    press(&mut app, "time=time:s, thrust=thrust:N<C-s>");
    let entries = app.desk().book().size().unwrap().1;
    if entries == 3 {
        press(&mut app, "<C-s>");
    }
    let text = shown(&mut app, 110, 60);
    assert_eq!(app.desk().book().size().unwrap().1, 5, "{text}");
    let id = app.desk().book().find_entry("5").unwrap().unwrap();
    let entry = app.desk().book().entry(id).unwrap().unwrap();
    assert!(
        matches!(&entry.entry.details, Details::Trace(trace) if trace.columns.as_deref() == Some("time=time:s; thrust=thrust:N"))
    );
}

#[test]
fn a_struck_entry_of_a_part_says_so_in_words() {
    let mut desk = small();
    record(&mut desk, Kind::Part, &[("serial", "N-02"), ("what", "nozzle carrier"), ("on", "2026-08-21")]);
    record(&mut desk, Kind::Fit, &[("casing", "MF-48-10"), ("part", "N-02"), ("on", "2026-08-22")]);
    record(&mut desk, Kind::Note, &[("part", "N-02"), ("text", "a scratch")]);
    record(&mut desk, Kind::Strike, &[("entry", "6"), ("reason", "it was another")]);
    let mut app = App::new(desk, options());
    press(&mut app, "<Enter>4<Enter>");
    let text = shown(&mut app, 100, 40);
    assert!(text.contains("struck by 7: a scratch"), "{text}");
}

#[test]
fn an_entry_page_has_units_and_entry_numbers_and_no_endless_decimals() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "<Enter>2<Up><Enter>");
    let text = shown(&mut app, 100, 60);
    assert!(text.contains("kept (") && text.contains("burn time"), "a trace: {text}");
    let firing = text.lines().find(|line| line.trim_start().starts_with("firing ")).unwrap_or_default();
    assert!(firing.contains("entry "), "{text}");
    let digits = |word: &&str| {
        word.split_once('.')
            .is_some_and(|(_, after)| after.len() > 6 && after.bytes().all(|it| it.is_ascii_digit()))
    };
    assert_eq!(text.split_whitespace().find(digits), None, "{text}");
    assert!(!text.contains("_pa") && !text.contains(" pa "), "{text}");
}

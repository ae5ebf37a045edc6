//! Nothing typed is lost.

use proofmark::tui::App;

use super::support::{fill, fill_in, go_to, on_disk, options, press, shown, small};

#[test]
fn a_half_typed_form_comes_back_after_a_crash() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.db");
    let mut desk = on_disk(&path, 0);
    fill(&mut desk);
    let mut app = App::new(desk, options());
    press(&mut app, "f<Enter>");
    fill_in(&mut app, &[("Mode", "static"), ("Place", "Fen pit")]);
    drop(app); // as a crash leaves it: no goodbye
    let mut app = App::new(on_disk(&path, 500), options());
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("half-typed firing of MF-48-10"), "{text}");
    press(&mut app, "f<Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("left half typed here"), "{text}");
    press(&mut app, "y");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("Fen pit") && text.contains("static"), "{text}");
}

#[test]
fn the_draft_key_opens_it_where_it_was_left() {
    let mut app = App::new(small(), options());
    press(&mut app, "n");
    fill_in(&mut app, &[("Note", "seen at dusk")]);
    press(&mut app, "<Esc>");
    assert!(shown(&mut app, 80, 24).contains("not written into the book yet"));
    press(&mut app, "<Esc>");
    assert!(shown(&mut app, 80, 24).contains("seen at dusk"), "staying stays");
    press(&mut app, "<Esc>k");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("open draft"), "{text}");
    press(&mut app, "o");
    assert!(shown(&mut app, 80, 24).contains("seen at dusk"));
    press(&mut app, "<C-s>");
    assert!(shown(&mut app, 80, 24).contains("written: note"));
    assert!(app.desk().book().drafts().unwrap().is_empty(), "a written form leaves no draft");
}

#[test]
fn discarding_forgets() {
    let mut app = App::new(small(), options());
    press(&mut app, "n");
    fill_in(&mut app, &[("Note", "x")]);
    press(&mut app, "<Esc>d");
    assert!(app.desk().book().drafts().unwrap().is_empty());
    press(&mut app, "n");
    assert!(!shown(&mut app, 80, 24).contains("half typed"));
}

#[test]
fn starting_fresh_forgets_and_leaving_the_question_keeps() {
    let mut app = App::new(small(), options());
    press(&mut app, "n");
    fill_in(&mut app, &[("Note", "x")]);
    press(&mut app, "<Esc>kn<Esc>");
    assert_eq!(app.desk().book().drafts().unwrap().len(), 1);
    // A serial typed into the question throws nothing away.
    press(&mut app, "nmf-48-10 fkd");
    assert_eq!(app.desk().book().drafts().unwrap().len(), 1);
    // Nor does one key: what was typed is named and asked about once more, and the same key again does nothing.
    press(&mut app, "<Delete>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("forget what was typed?") && text.contains("1 answer would be gone"), "{text}");
    assert!(text.contains("note x."), "{text}");
    press(&mut app, "<Delete><Delete>");
    assert_eq!(app.desk().book().drafts().unwrap().len(), 1);
    // Esc leaves with it kept; yes goes on with it.
    press(&mut app, "<Esc>");
    assert!(shown(&mut app, 80, 24).contains("Nothing on record forbids"));
    assert_eq!(app.desk().book().drafts().unwrap().len(), 1);
    press(&mut app, "n<Delete>y");
    let text = shown(&mut app, 80, 24);
    assert!(!text.contains("forget") && text.contains('x'), "{text}");
    press(&mut app, "<Esc>kn<Delete>d");
    assert!(app.desk().book().drafts().unwrap().is_empty());
    // The form itself stays, and is empty.
    fill_in(&mut app, &[("Note", "afresh")]);
    let draft = app.desk().book().draft("note", "MF-48-10").unwrap().unwrap();
    assert_eq!(draft.text("text"), Some("afresh"));
}

#[test]
fn a_draft_in_which_nothing_is_typed_is_forgotten_without_a_second_question() {
    let desk = small();
    let mut answers = proofmark::book::Answers::new();
    answers.set("casing", "MF-48-10");
    desk.book().keep_draft("note", "MF-48-10", &answers, "2026-10-03T12:00:00Z".parse().unwrap()).unwrap();
    let mut app = App::new(desk, options());
    press(&mut app, "n");
    assert!(shown(&mut app, 80, 24).contains("half typed"));
    press(&mut app, "<Delete>");
    assert!(!shown(&mut app, 80, 24).contains("forget what was typed?"));
    assert!(app.desk().book().drafts().unwrap().is_empty());
}

#[test]
fn an_untouched_form_closes_without_a_question() {
    let mut app = App::new(small(), options());
    press(&mut app, "n<Esc>");
    assert!(shown(&mut app, 80, 24).contains("Nothing on record forbids"));
    assert!(app.desk().book().drafts().unwrap().is_empty());
}

#[test]
fn a_failed_save_keeps_everything_and_goes_to_the_first_wrong_field() {
    let mut app = App::new(small(), options());
    press(&mut app, "h<Enter>");
    fill_in(&mut app, &[("Pressure", "8.85"), ("Gauge", "G-03"), ("Method", "dia")]);
    press(&mut app, "<C-s>");
    let text = shown(&mut app, 80, 30);
    assert!(text.contains("Not saved") && text.contains("G-03"), "{text}");
    assert!(text.contains("diameters only"), "a beginning only one word has is written out: {text}");
    assert_eq!(app.desk().book().size().unwrap().1, 3);
    press(&mut app, "wat<Tab>y<Tab>");
    let text = shown(&mut app, 80, 30);
    assert!(text.contains("water"), "{text}");
}

#[test]
fn quitting_over_a_form_asks_once() {
    let mut app = App::new(small(), options());
    press(&mut app, "n");
    fill_in(&mut app, &[("Note", "x")]);
    press(&mut app, "<C-c>");
    assert!(!app.quitting());
    press(&mut app, "<Esc>");
    assert!(!app.quitting() && shown(&mut app, 80, 24).contains("Note"));
    press(&mut app, "<C-c>y");
    assert!(app.quitting());
    assert_eq!(app.desk().book().drafts().unwrap().len(), 1);
}

#[test]
fn a_slip_is_shown_and_asked_about_once() {
    let mut app = App::new(small(), options());
    press(&mut app, "h<Enter>");
    fill_in(
        &mut app,
        &[
            ("Pressure", "8.85 bar"),
            ("Medium", "water"),
            ("Bled of air", "yes"),
            ("Method", "diameters only"),
            ("Leak", "no"),
            ("Pressure drop", "no"),
        ],
    );
    let entries = app.desk().book().size().unwrap().1;
    press(&mut app, "<C-s>");
    let text = shown(&mut app, 80, 30);
    assert!(text.contains("looks like a slip") && text.contains('~'), "{text}");
    assert_eq!(app.desk().book().size().unwrap().1, entries, "not yet written");
    press(&mut app, "<C-s>");
    assert_eq!(app.desk().book().size().unwrap().1, entries + 1, "{}", shown(&mut app, 80, 30));
}

#[test]
fn parsed_values_are_said_back_in_both_systems() {
    let mut app = App::new(small(), options());
    press(&mut app, "h<Enter>");
    fill_in(&mut app, &[("Pressure", "8.85")]);
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("8.85 MPa (1284 psi)"), "{text}");
    go_to(&mut app, "Happened on");
    press(&mut app, "3 Oct 2026");
    assert!(shown(&mut app, 80, 24).contains("Saturday 3 October 2026"));
}

#[test]
fn another_program_may_write_meanwhile() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.db");
    let mut app = App::new(on_disk(&path, 0), options());
    assert!(shown(&mut app, 80, 24).contains("No casing is on record yet"));
    fill(&mut on_disk(&path, 800));
    press(&mut app, "<Down>");
    assert!(shown(&mut app, 80, 24).contains("Teasel"));
}

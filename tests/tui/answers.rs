//! What stands first: the read-back of a checklist, the keys that help, where a form begins.

use proofmark::tui::App;

use super::support::{demo, options, press, shown};

#[test]
fn what_is_read_back_of_a_checklist_never_sounds_like_leave() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/heron<Enter>p<Enter><Enter>");
    let head = shown(&mut app, 80, 24);
    assert!(head.contains("- Nothing on record forbids") && head.contains("2 warnings, marked ~"), "{head}");
    for (width, height) in [(60, 16), (80, 24), (120, 40)] {
        let opened = shown(&mut app, width, height);
        assert!(opened.contains("~ warns"), "it opens at what warns at {width}x{height}:\n{opened}");
    }
    press(&mut app, "<F3>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("0 of 15 attested, 2 warnings: NOT RELEASED"), "{text}");
    assert!(text.contains("nobody nearer"), "{text}");
    assert!(!text.contains("nothing forbids"), "{text}");
    assert!(!text.contains("plan a proof"), "{text}");
    press(&mut app, "<Esc><Tab>");
    for _ in 0..15 {
        press(&mut app, "y");
    }
    press(&mut app, "<F3>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("record: nothing forbids, 2 warnings: 15 of 15 attested"), "{text}");
    assert!(!text.contains("NOT RELEASED"), "{text}");
}

#[test]
fn what_is_read_back_of_a_forbidden_firing_says_so_first() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/MF-48-02<Enter>p<Enter><Enter><F3>");
    let text = shown(&mut app, 80, 24);
    assert!(text.lines().nth(1).is_some_and(|line| line.contains("FORBIDDEN")), "{text}");
}

#[test]
fn the_keys_that_clear_a_hold_come_first() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/MF-41-07<Enter><Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("hold"), "{text}");
    for key in ["b  damage", "d  decide"] {
        assert!(text.contains(key), "{key}: {text}");
    }
    press(&mut app, "<Esc>/<Esc>/MF-48-02<Enter><Enter>");
    assert!(shown(&mut app, 80, 24).contains("c  read a bulge"), "{}", shown(&mut app, 80, 24));
    press(&mut app, "c");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("d  decide"), "{text}");
    press(&mut app, "d");
    assert!(shown(&mut app, 80, 24).contains("deciding"), "{}", shown(&mut app, 80, 24));
}

#[test]
fn the_place_one_is_in_is_said_at_every_width() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/heron<Enter><Enter>");
    for width in [60, 70, 80, 100] {
        let text = shown(&mut app, width, 24);
        let bar = text.lines().next().unwrap_or_default();
        assert!(bar.contains("rack › MF-60-05 Heron") && bar.contains("2026-10-03"), "{width}: {bar}");
    }
}

#[test]
fn a_field_is_judged_when_it_is_left_and_one_an_answer_makes_necessary_says_so() {
    let mut app = App::new(super::support::empty(), options());
    press(&mut app, "c");
    super::support::fill_in(&mut app, &[("Tube metal", "unobtainium")]);
    assert!(!shown(&mut app, 80, 24).contains("is not listed"), "not while it is typed");
    super::support::fill_in(&mut app, &[("Outside diameter", "50.8 in"), ("Wall", "1.65")]);
    let text = shown(&mut app, 100, 50);
    assert!(text.contains("\"unobtainium\" is not listed"), "{text}");
    let odd = text.lines().find(|line| line.contains("Outside diameter")).unwrap_or_default();
    assert!(odd.starts_with('~'), "{text}");
}

#[test]
fn a_casing_just_registered_is_selected() {
    let mut app = App::new(super::support::small(), options());
    assert!(shown(&mut app, 80, 24).contains("MF-48-10 Teasel: nothing on record"));
    press(&mut app, "c");
    super::support::fill_in(
        &mut app,
        &[
            ("Serial", "MF-99-01"),
            ("Tube metal", "6061-T6"),
            ("Outside diameter", "2.000 in"),
            ("Wall", "0.065 in"),
            ("Forward end", "retaining ring"),
            ("Forward edge distance", "10 mm"),
            ("Forward groove depth", "1.0 mm"),
            ("Forward ring thickness", "2 mm"),
            ("Aft end", "ret<Tab>"),
            ("Aft edge distance", "10"),
            ("Aft groove depth", "1.0"),
            ("Aft ring thickness", "2"),
            ("MEOP", "5.9"),
        ],
    );
    app.handle(super::support::ctrl('s'));
    app.handle(super::support::ctrl('s'));
    assert!(shown(&mut app, 100, 40).contains("written: casing"), "{}", shown(&mut app, 100, 40));
    press(&mut app, "<Esc>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("MF-99-01 may not be fired: unproved"), "{text}");
}

//! The growth map, a bulge read, deciding, a part's page, people and instruments.

use proofmark::tui::App;

use super::screens::picture;
use super::support::{ctrl, demo, empty, fill_in, options, press, shown, small};

fn on(app: &mut App, name: &str, keys: &str) {
    press(app, &format!("/{name}<Enter><Enter>{keys}"));
}

#[test]
fn the_growth_map_is_lettered_and_the_list_is_a_key_away() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    on(&mut app, "thistle", "3");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("Y+0.46") && text.contains("weld zone") && text.contains("trend"), "{text}");
    assert!(text.contains("2024-05-11 = · 2024-09-28 +0.46"), "it opens on what grew most: {text}");
    press(&mut app, "a");
    assert!(shown(&mut app, 80, 24).contains("0 to yielded"));
    press(&mut app, "a<Enter>");
    assert!(shown(&mut app, 80, 24).contains("strip"), "Enter shows the entry of the reading");
    press(&mut app, "<Esc><Esc><Esc>");
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    on(&mut app, "heron", "3<End>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("* soft or thin") && text.contains("HB 74"), "{text}");
    picture("growth_map_heron_80x24", &text);
}

#[test]
fn a_bulge_is_read_on_the_screen() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    on(&mut app, "thistle", "c");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("51 % of 240 MPa yield, base metal"), "{text}");
    assert!(text.contains("no verdict") && text.contains("1. softened weld zone"), "{text}");
    picture("bulge_80x24", &text);
    press(&mut app, "<Down><Down><Enter>");
    assert!(shown(&mut app, 80, 24).contains("Marigold"), "a casing that shares a trait is a key away");
    // Where nothing grew the key is not offered, and says so.
    let mut app = App::new(small(), options());
    press(&mut app, "<Enter>c");
    assert!(shown(&mut app, 80, 24).contains("Nothing on record has grown"));
}

#[test]
fn deciding_shows_the_trail_and_fills_in_the_form() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    on(&mut app, "finch", "d");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("It would stand") && text.contains("rule trail"), "{text}");
    picture("deciding_80x24", &text);
    // Restrict: its proposals are filled in, and the reason is what leads the trail beside earlier decisions.
    press(&mut app, "<Home><Down><Down><Enter>");
    let text = shown(&mut app, 100, 60);
    for words in ["restrict", "41A, 41B", "found something at seals", "2027-10-03"] {
        assert!(text.contains(words), "{words} is not on\n{text}");
    }
    // Its margins bear the drawing's 4.9 MPa: that is no lower MEOP, and is not proposed as one.
    assert!(!text.contains("4.9 MPa"), "{text}");
    fill_in(&mut app, &[("Second person", "Ravi Sandoval")]);
    app.handle(ctrl('s'));
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("written: disposition"), "{text}");
}

#[test]
fn a_retired_casings_parts_are_released_one_by_one() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    on(&mut app, "thistle", "d");
    assert!(shown(&mut app, 80, 24).contains("Release or retire its parts one by one"));
    press(&mut app, "<Down><Down><Enter>");
    app.handle(ctrl('s'));
    // That one name does not release it is said before it is written.
    assert!(shown(&mut app, 120, 24).contains("taken out of the retired"));
    app.handle(ctrl('s'));
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("written: fit"), "{text}");
    let page = app.desk().casing("MF-48-02").unwrap();
    assert!(page.assessed.parts.iter().all(|part| part.part != "C-02"));
    let part = app.desk().part("C-02").unwrap();
    assert_eq!((part.firings, part.here().is_none()), (6, true));
}

#[test]
fn everything_about_a_part_is_a_key_away() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    on(&mut app, "patchwork", "4<End><Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("N-02: in MF-48-08") && text.contains("9 of 12 firings, 3 left"), "{text}");
    assert!(text.contains("MF-48-02, 6 firings"), "{text}");
    picture("part_80x24", &text);
    press(&mut app, "<Enter>");
    assert!(shown(&mut app, 80, 24).contains("As typed") || shown(&mut app, 80, 24).contains("about"));
}

#[test]
fn people_and_instruments_are_kept_by_keyboard_alone() {
    let mut app = App::new(empty(), options());
    press(&mut app, "w");
    assert!(shown(&mut app, 80, 24).contains("No gauge is on record"));
    press(&mut app, "c");
    fill_in(&mut app, &[("Mark", "M-01"), ("What it is", "micrometer"), ("Good until", "2026-09-01")]);
    app.handle(ctrl('s'));
    assert!(shown(&mut app, 80, 24).contains("written: gauge"), "{}", shown(&mut app, 80, 24));
    press(&mut app, "<Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("1 of 1 gauges are out of calibration") && text.contains("no study"), "{text}");
    press(&mut app, "s");
    fill_in(&mut app, &[("What was read", "a rod"), ("Readings", "50.00\n50.01\n50.02")]);
    app.handle(ctrl('s'));
    assert!(shown(&mut app, 80, 24).contains("written: study"), "{}", shown(&mut app, 80, 24));
    press(&mut app, "<Enter>");
    assert!(shown(&mut app, 80, 24).contains("10.0 µm over 3"), "{}", shown(&mut app, 80, 24));
    press(&mut app, "a");
    fill_in(&mut app, &[("Calibrated on", "2026-10-01"), ("Good until", "2027-10-01")]);
    app.handle(ctrl('s'));
    press(&mut app, "<Enter>");
    assert!(shown(&mut app, 80, 24).contains("Every calibration on record holds"));
    press(&mut app, "p");
    fill_in(&mut app, &[("Name", "Ines"), ("Role", "keeper")]);
    app.handle(ctrl('s'));
    press(&mut app, "<Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("Ines") && text.contains("keeper"), "{text}");
    assert_eq!(app.desk().book().verify().unwrap(), []);
}

/// Every new screen, at every size and with a book of hostile text, draws without a stray character.
#[test]
fn the_new_screens_at_every_size() {
    for way in [
        "<Enter>g",
        "<Enter>3",
        "<Enter>3a",
        "<Enter>c",
        "<Enter>d",
        "<Enter>4<Enter>",
        "w",
        "v",
        "<Enter>d<Enter>",
    ] {
        for make in [small, super::support::hostile, empty] {
            let mut app = App::new(make(), options());
            press(&mut app, way);
            for (width, height) in
                [(0, 0), (1, 1), (20, 5), (59, 15), (60, 16), (80, 24), (130, 40), (200, 60)]
            {
                let text = shown(&mut app, width, height);
                assert!(!text.chars().any(|c| c.is_control() && c != '\n'), "{way}: a control character");
            }
        }
        let (_folder, desk) = demo();
        let mut app = App::new(desk, options());
        press(&mut app, "/thistle<Enter>");
        press(&mut app, way);
        for (width, height) in [(60, 16), (80, 24), (160, 45)] {
            assert!(shown(&mut app, width, height).contains("as of "), "{way} at {width}x{height}");
        }
    }
}

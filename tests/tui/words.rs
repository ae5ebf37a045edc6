//! Words a person acts on: in the units asked for, nothing lost at a slip of a finger, nothing drawn over another.

use proofmark::book::Kind;
use proofmark::desk::Desk;
use proofmark::quantity::System;
use proofmark::tui::{App, Event, Options};

use super::support::{CASING, ctrl, demo, empty, on_disk, options, press, record, shown, small};

fn in_us(desk: Desk) -> App {
    App::new(desk, Options { system: System::Us, ..options() })
}

/// Lines that still hold a number with one of these units behind it.
fn metric(text: &str) -> Vec<&str> {
    let units = ["mm", "MPa", "N", "degC", "mL"];
    let holds = |line: &str| {
        let words: Vec<&str> = line.split_whitespace().collect();
        words.windows(2).any(|pair| {
            let number = pair[0].trim_start_matches(['+', '-', '(']);
            number.parse::<f64>().is_ok()
                && units.contains(&pair[1].trim_end_matches([',', ';', '.', ':', ')']))
        })
    };
    text.lines().filter(|line| holds(line)).collect()
}

#[test]
fn the_rules_and_the_growth_map_are_in_the_units_asked_for() {
    let (_folder, desk) = demo();
    let mut app = in_us(desk);
    press(&mut app, "r/dial<Enter>");
    let text = shown(&mut app, 120, 36);
    assert!(
        text.contains("repeats to 0.000118 in") && text.contains("0.003 mm; a change is typed in mm"),
        "{text}"
    );
    press(&mut app, "<Esc><Esc>");
    press(&mut app, "/thistle<Enter><Enter>3");
    let text = shown(&mut app, 120, 36);
    assert!(text.contains("Y+0.0181") && text.contains("-0.0088 in a foot"), "{text}");
    assert!(
        metric(&text).iter().all(|line| line.contains("holed, 12 mm") || line.contains("a 6 mm crack")),
        "{text}"
    );
}

#[test]
fn no_screen_of_a_reader_of_us_units_is_half_metric() {
    let (_folder, desk) = demo();
    let mut app = in_us(desk);
    press(&mut app, "/thistle<Enter><Enter>");
    press(&mut app, "c");
    let text = shown(&mut app, 120, 36);
    assert!(text.contains("+0.0181 in (0.91 %)") && text.contains("2.0000 in x 0.0650 in"), "{text}");
    assert_eq!(metric(&text), Vec::<&str>::new());
    press(&mut app, "<Esc><Esc>w");
    let text = shown(&mut app, 120, 36);
    assert!(text.contains("0.0000512 in over 10"), "{text}");
    assert_eq!(metric(&text), Vec::<&str>::new());
    press(&mut app, "<Down><Down><Down>");
    let text = shown(&mut app, 120, 36);
    assert!(!text.contains(" um"), "{text}");
}

#[test]
fn a_list_longer_than_its_page_says_where_one_is() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "r");
    assert!(shown(&mut app, 80, 24).contains("1 of "), "{}", shown(&mut app, 80, 24));
    press(&mut app, "<Down><Down><Esc>/thistle<Enter><Enter>3");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("1 of 11") || text.contains("3 of 11"), "{text}");
    assert!(!shown(&mut app, 80, 60).contains(" of 11"), "nothing is hidden where all of it is in sight");
}

#[test]
fn what_is_said_behind_a_form_is_in_the_units_asked_for() {
    let (_folder, desk) = demo();
    let mut app = in_us(desk);
    press(&mut app, "/patchwork<Enter><Enter>b");
    super::support::fill_in(
        &mut app,
        &[("Damage", "gouge"), ("Per cent", "12"), ("Station", "112 mm"), ("Evidence", "seen")],
    );
    app.handle(ctrl('s'));
    let text = shown(&mut app, 100, 40);
    assert!(text.contains("written") && text.contains("station 4.4094 in"), "{text}");
}

#[test]
fn readings_at_the_rig_are_not_emptied_by_one_key() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.db");
    let mut desk = on_disk(&path, 0);
    record(&mut desk, Kind::Casing, CASING);
    let mut app = App::new(desk, options());
    press(&mut app, "<Enter>g8.80 MPa<Tab>water<Tab>");
    let typed = |app: &mut App| shown(app, 100, 40).contains("Proof at 8.80 MPa");
    app.handle(ctrl('r'));
    let text = shown(&mut app, 100, 40);
    assert!(text.contains("empty every field?") && text.contains("2 fields"), "{text}");
    // Esc and y both keep them.
    press(&mut app, "<Esc>");
    assert!(typed(&mut app) && !shown(&mut app, 100, 40).contains("empty every field?"));
    app.handle(ctrl('r'));
    press(&mut app, "y");
    assert!(typed(&mut app));
    // Emptied only when asked for, and brought back by the same key.
    app.handle(ctrl('r'));
    press(&mut app, "d");
    let text = shown(&mut app, 160, 40);
    assert!(text.contains("bring back") && text.contains("brings everything back"), "{text}");
    assert!(!typed(&mut app) && !text.contains("8.80"), "{text}");
    app.handle(ctrl('r'));
    assert!(typed(&mut app), "{}", shown(&mut app, 100, 40));
    // The draft has them again, too.
    std::mem::forget(app);
    let mut app = App::new(on_disk(&path, 500), options());
    press(&mut app, "<Enter>o");
    assert!(typed(&mut app), "{}", shown(&mut app, 100, 40));
}

#[test]
fn damage_beyond_the_tube_stretches_no_drawing_and_is_said() {
    let mut desk = empty();
    let mut casing = CASING.to_vec();
    casing.push(("tube.length", "900 mm"));
    record(&mut desk, Kind::Casing, &casing);
    let finding = [("casing", "MF-48-10"), ("damage", "dent"), ("percent", "1"), ("evidence", "seen")];
    let finding = [&finding[..], &[("station", "880 mm")]].concat();
    record(&mut desk, Kind::Finding, &finding);
    // The dented end was cut off.
    casing.pop();
    casing.extend([("tube.length", "250 mm"), ("revision", "B")]);
    record(&mut desk, Kind::Casing, &casing);
    let mut app = App::new(desk, options());
    press(&mut app, "<Enter>s");
    let text = shown(&mut app, 100, 36);
    assert!(text.contains("beyond the tube's end") && text.contains("D at 880.00 mm"), "{text}");
    assert!(text.contains("200") && !text.contains("800"), "{text}");
}

#[test]
fn the_drawing_is_ruled_in_the_units_asked_for() {
    let (_folder, desk) = demo();
    let mut app = in_us(desk);
    press(&mut app, "/thistle<Enter><Enter>s");
    let text = shown(&mut app, 100, 36);
    let rule = text.lines().find(|line| line.trim_end().ends_with(" in")).unwrap_or_default();
    assert!(rule.contains("10") && !rule.contains("100"), "{text}");
}

#[test]
fn an_empty_rig_offers_nothing_to_empty() {
    let mut app = App::new(small(), options());
    press(&mut app, "<Enter>g");
    app.handle(Event::Woke);
    let text = shown(&mut app, 100, 40);
    assert!(!text.contains("empty all") && !text.contains("bring back"), "{text}");
}

#[test]
fn a_new_search_begins_anew_and_one_without_a_hit_says_so() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/heron<Enter>/bracken<Enter>");
    for (width, height) in [(80, 24), (120, 36), (200, 60)] {
        let text = shown(&mut app, width, height);
        assert!(text.contains("find: 1 of 9 bracken"), "{text}");
    }
    // A key that edits goes on with what stands there.
    press(&mut app, "/<Backspace>zz<Enter>");
    for (width, height) in [(80, 24), (120, 36), (200, 60)] {
        let text = shown(&mut app, width, height);
        assert!(
            text.contains("find: 0 of 9 brackezz") && text.contains("No casing holds these words"),
            "{text}"
        );
    }
    press(&mut app, "f");
    let text = shown(&mut app, 120, 36);
    assert!(text.contains("Press / and type others") && !text.contains("register one"), "{text}");
}

#[test]
fn why_a_load_is_forbidden_is_read_before_it_is_chosen() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/patchwork<Enter>p<End>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("x the throat of N-02 is smaller than the plan's"), "{text}");
    assert!(text.contains("value") && text.contains("76A"), "{text}");
}

#[test]
fn a_bare_number_in_inches_is_said_so_and_the_day_is_explained_whole() {
    let (_folder, desk) = demo();
    let mut app = in_us(desk);
    press(&mut app, "a");
    assert!(shown(&mut app, 80, 24).contains("happened by then."), "{}", shown(&mut app, 80, 24));
    press(&mut app, "<Esc>/heron<Enter>c");
    super::support::go_to(&mut app, "Outside diameter");
    let text = shown(&mut app, 80, 60);
    assert!(text.contains("in inches where no unit is typed"), "{text}");
    press(&mut app, "<Esc>d<Down><Down>");
    let text = shown(&mut app, 120, 36);
    assert!(text.contains("MEOP 580 psi keeps every mode") && text.contains("proof it at 870 psi"), "{text}");
}

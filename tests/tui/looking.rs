//! Margins and what follows, what-if, the rules, who may go, and what a revision begins with.

use proofmark::tui::App;
use ratatui::style::Modifier;

use super::screens::picture;
use super::support::{demo, empty, fill_in, options, press, shown, small, styles};

/// The app on Heron's page.
fn heron(app: &mut App, keys: &str) {
    press(app, "/heron<Enter><Enter>");
    press(app, keys);
}

#[test]
fn the_margins_say_what_they_cover_and_what_to_change() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    heron(&mut app, "5");
    let text = shown(&mut app, 80, 24);
    // Proved at 6.00 MPa: 1.25 times 4.80 MPa.
    assert!(text.contains("4.80 MPa is the highest MEOP that margins and proof cover"), "{text}");
    assert!(text.contains("both.groove_depth 1.20 mm to 1.40 mm"), "{text}");
    let first = text.lines().find(|line| line.starts_with("groove bearing")).unwrap();
    assert!(first.contains("3.65"), "on the restricted MEOP of 4.00 MPa: {first}");
    press(&mut app, "<Enter>");
    assert!(shown(&mut app, 80, 24).contains("What follows"));
}

#[test]
fn the_selection_leaves_the_bars_alone() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    heron(&mut app, "5<Down>");
    let runs = styles(&mut app, 80, 24);
    assert!(runs.iter().filter(|(text, _)| text.contains('━')).count() > 0);
    for (text, style) in runs.iter().filter(|(text, _)| text.contains('━')) {
        assert!(!style.add_modifier.contains(Modifier::REVERSED), "{text}");
    }
}

#[test]
fn what_if_shows_before_and_after_and_writes_nothing() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    let before = app.desk().casing("MF-60-05").unwrap().ledger.len();
    heron(&mut app, "w");
    picture("what_if_empty_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "<Right><Tab>1.5");
    let text = shown(&mut app, 160, 40);
    let line = text.lines().find(|line| line.starts_with("thinnest")).unwrap();
    assert!(line.contains("14.6 MPa, 3.65 x MEOP → groove bearing at 18.3 MPa"), "{line}");
    press(&mut app, "<Tab><Tab><Tab>1<Tab>70<Tab>250");
    picture("what_if_80x24", &shown(&mut app, 80, 24));
    let text = shown(&mut app, 160, 40);
    assert!(text.contains("supposed at station 250 mm, on liner breach"), "{text}");
    press(&mut app, "<BackTab><BackTab>9");
    let text = shown(&mut app, 160, 40);
    assert!(text.contains("through the least wall") && text.contains("No answer"), "{text}");
    press(&mut app, "<Esc>");
    assert!(shown(&mut app, 80, 24).contains("1 standing"));
    assert_eq!(app.desk().casing("MF-60-05").unwrap().ledger.len(), before);
}

#[test]
fn what_if_says_what_is_no_dimension_and_what_cannot_be() {
    let mut app = App::new(small(), options());
    press(&mut app, "<Enter>wtube.wal");
    assert!(shown(&mut app, 100, 30).contains("! no dimension of the drawing"));
    press(&mut app, "l<Tab>90 mm");
    let text = shown(&mut app, 100, 30);
    assert!(text.contains("! ") && text.contains("No answer"), "{text}");
    press(&mut app, "<Backspace><Backspace><Backspace><Backspace><Backspace>2");
    let text = shown(&mut app, 100, 30);
    assert!(text.contains("= 2.00 mm") && text.contains("the least wall measured counts"), "{text}");
    press(&mut app, "<Tab>tube.wall_min<Tab>2");
    let text = shown(&mut app, 100, 30);
    assert!(text.contains("→") && !text.contains("the least wall measured counts"), "{text}");
}

#[test]
fn a_rule_is_found_changed_and_says_by_whom() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "r");
    picture("rules_80x24", &shown(&mut app, 80, 24));
    picture("rules_160x40", &shown(&mut app, 160, 40));
    press(&mut app, "/proof-months<Enter><Enter>");
    assert!(shown(&mut app, 80, 24).contains("proof-months"), "the form has the rule already");
    fill_in(&mut app, &[("New value", "18"), ("Reason", "the book is young"), ("Second person", "Ravi")]);
    super::support::shown(&mut app, 80, 24);
    app.handle(super::support::ctrl('s'));
    assert!(shown(&mut app, 80, 24).contains("written: rule"), "{}", shown(&mut app, 80, 24));
    press(&mut app, "<Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("* 18 months") && text.contains("changed Ines by entry"), "{text}");
    assert!(text.contains("before  24 months"), "{text}");
}

#[test]
fn who_may_go_on_a_day() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "g");
    picture("due_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "a2027-04-06<Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("Tuesday 6 April 2027: nothing on record forbids 2 of 9"), "{text}");
    let marigold = text.lines().find(|line| line.contains("Marigold")).unwrap();
    assert!(marigold.contains("overdue") && marigold.contains("proof it (water"), "{marigold}");
    press(&mut app, "<Enter>");
    assert!(shown(&mut app, 80, 24).contains("1 standing"));
}

#[test]
fn differing_readings_of_one_day_stand_side_by_side() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    heron(&mut app, "3a<End>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("66.63 mm (entry 290") && text.contains("66.68 mm (entry 291"), "{text}");
    assert!(text.contains("within noise ≠"), "{text}");
    press(&mut app, "<Home>");
    assert!(!shown(&mut app, 80, 24).contains("read differently"));
}

#[test]
fn a_revision_begins_with_the_last_record() {
    let mut app = App::new(small(), options());
    press(&mut app, "<Enter>v");
    let text = shown(&mut app, 100, 60);
    for words in [
        "MF-48-10",
        "Teasel",
        "B",
        "6061-T6",
        "2.000 in",
        "0.065 in",
        "5.9 MPa",
        "last: 120.00 mm at 0°: 50.80 mm",
    ] {
        assert!(text.contains(words), "{words} is not on\n{text}");
    }
    fill_in(&mut app, &[("Remark", "new carrier")]);
    app.handle(super::support::ctrl('s'));
    let text = shown(&mut app, 100, 40);
    assert!(text.contains("written: casing"), "{text}");
}

#[test]
fn a_standing_is_said_once() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/heron<Enter>");
    let text = shown(&mut app, 160, 40);
    assert!(
        text.contains("- restricted on 2025-09-06") && !text.contains("restricted: restricted"),
        "{text}"
    );
}

#[test]
fn the_window_says_where_one_is() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    assert_eq!(app.window_title(), "proofmark: rack");
    heron(&mut app, "");
    assert_eq!(app.window_title(), "proofmark: MF-60-05 Heron");
    let mut app = App::new(super::support::hostile(), options());
    press(&mut app, "<Enter>");
    assert!(!app.window_title().chars().any(char::is_control), "{:?}", app.window_title());
    assert_eq!(App::new(empty(), options()).window_title(), "proofmark: rack");
}

//! The load bench on the screen: curves that follow every key, limits on the plot, two plans, what is wrong.

use std::time::Instant;

use proofmark::tui::App;
use ratatui::crossterm::event::KeyCode;

use super::support::{ctrl, demo, empty, key, options, press, shown, small, styles};

/// The bench of Quarry, which has not been fired yet.
fn quarry() -> (tempfile::TempDir, App) {
    let (folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/MF-76<Enter><F5>");
    (folder, app)
}

/// Put a text in place of the field in focus.
fn retype(app: &mut App, words: &str) {
    app.handle(ctrl('u'));
    press(app, words);
}

#[test]
fn it_opens_on_a_load_that_fits_with_the_casing_s_limits_on_the_plot() {
    let (_folder, mut app) = quarry();
    let screen = shown(&mut app, 80, 24);
    for part in
        ["76A", "MEOP 6.30 MPa", "proof 9.45 MPa", "hole bearing yields", "5.58 MPa", "class L", "207 s"]
    {
        assert!(screen.contains(part), "{part} in\n{screen}");
    }
    assert!(
        screen.contains("~ planned peak 5.58 MPa is under MEOP 6.30 MPa; passes it in 1 of 19 firings"),
        "{screen}"
    );
    assert!(screen.contains("passed by 1 in 19"), "{screen}");
}

#[test]
fn every_key_redraws_the_curve_and_quickly() {
    let (_folder, mut app) = quarry();
    let before = shown(&mut app, 80, 24);
    press(&mut app, "<Tab>");
    let start = Instant::now();
    retype(&mut app, "100 mm");
    let after = shown(&mut app, 80, 24);
    assert!(start.elapsed().as_millis() < 2000, "six keys took {:?}", start.elapsed());
    assert_ne!(before, after);
    assert!(after.contains("= planned peak 4.84 MPa is under MEOP"), "{after}");
}

#[test]
fn a_wrong_number_keeps_the_last_good_curve_and_says_so() {
    let (_folder, mut app) = quarry();
    press(&mut app, "<Tab><Tab>");
    retype(&mut app, "70 mm");
    let screen = shown(&mut app, 80, 24);
    assert!(
        screen.contains("core dia. is wrong or missing: what is drawn is the last good plan"),
        "{screen}"
    );
    assert!(
        screen.contains("last good plan") && screen.contains("a core below the outside diameter"),
        "{screen}"
    );
    assert!(screen.contains("MEOP 6.30 MPa"), "{screen}");
    retype(&mut app, "");
    assert!(shown(&mut app, 80, 24).contains("needed"));
    retype(&mut app, "24 mm");
    assert!(!shown(&mut app, 80, 24).contains("last good plan"));
}

#[test]
fn two_plans_stand_side_by_side() {
    let (_folder, mut app) = quarry();
    app.handle(key(KeyCode::F(7)));
    retype(&mut app, "3");
    let screen = shown(&mut app, 160, 50);
    assert!(screen.contains("held: 76A") && screen.contains("4152 N·s"), "{screen}");
    app.handle(key(KeyCode::F(7)));
    assert!(!shown(&mut app, 160, 50).contains("held: 76A"));
}

#[test]
fn one_long_grain_comes_with_the_reason() {
    let (_folder, mut app) = quarry();
    app.handle(key(KeyCode::F(4)));
    let screen = shown(&mut app, 160, 50);
    assert!(screen.contains("one long grain") && screen.contains("8.14 MPa"), "{screen}");
    assert!(screen.contains("1.45 times") && screen.contains("206 to") && screen.contains("427"), "{screen}");
}

#[test]
fn room_drives_and_the_batch_s_firings_are_a_key_away() {
    let (_folder, mut app) = quarry();
    app.handle(key(KeyCode::F(5)));
    let screen = shown(&mut app, 100, 40);
    assert!(
        screen.contains("How much room MF-76-09 leaves") && screen.contains("limited by MEOP"),
        "{screen}"
    );
    app.handle(key(KeyCode::F(5)));
    assert!(shown(&mut app, 100, 40).contains("What drives the scatter"));
    // Name a batch: two fields up, and its newest is P26-1.
    press(&mut app, "<BackTab>");
    retype(&mut app, "P26-1");
    app.handle(key(KeyCode::F(5)));
    let screen = shown(&mut app, 100, 40);
    assert!(screen.contains("What the firings of P26-1 say") && screen.contains("F8"), "{screen}");
    app.handle(key(KeyCode::F(8)));
    let screen = shown(&mut app, 100, 40);
    assert!(screen.contains("P26-1") && screen.contains("fit to firings of this batch"), "{screen}");
}

#[test]
fn a_plan_is_saved_through_the_load_form() {
    let (_folder, mut app) = quarry();
    app.handle(ctrl('s'));
    let screen = shown(&mut app, 100, 60);
    for part in ["Record a load", "Planned peak", "5.6777 MPa abs", "39/64 in", "1680 kg/m3", "load bench"] {
        assert!(screen.contains(part), "{part} in\n{screen}");
    }
}

#[test]
fn a_casing_that_may_not_be_fired_says_so_first() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/MF-48-02<Enter><Enter><F5>");
    let screen = shown(&mut app, 80, 24);
    assert!(screen.contains("x MF-48-02 is retired"), "{screen}");
}

#[test]
fn it_opens_from_the_loads_of_a_prefire_with_that_load() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/MF-48-08<Enter>p<F5>");
    let screen = shown(&mut app, 80, 24);
    assert!(screen.contains("load bench") && screen.contains("pressure, MPa"), "{screen}");
}

#[test]
fn curves_change_and_so_do_units() {
    let (_folder, mut app) = quarry();
    app.handle(key(KeyCode::F(6)));
    assert!(shown(&mut app, 80, 24).contains("thrust, N"));
    app.handle(key(KeyCode::F(6)));
    assert!(shown(&mut app, 80, 24).contains("mm of web"));
    app.handle(key(KeyCode::F(6)));
    app.handle(key(KeyCode::F(2)));
    let screen = shown(&mut app, 80, 24);
    assert!(screen.contains("pressure, psi") && screen.contains("MEOP 914 psi"), "{screen}");
}

#[test]
fn without_colour_held_and_last_good_differ_by_stroke_and_name() {
    let (_folder, desk) = demo();
    let mut plain = options();
    plain.colour = false;
    let mut app = App::new(desk, plain);
    press(&mut app, "/MF-76<Enter><F5>");
    app.handle(key(KeyCode::F(7)));
    retype(&mut app, "0");
    let screen = shown(&mut app, 120, 40);
    assert!(screen.contains("╌╌╌ 76A") && screen.contains("┈┈┈ last good plan"), "{screen}");
    assert!(
        styles(&mut app, 120, 40)
            .iter()
            .all(|(_, style)| style.fg.is_none_or(|it| it == ratatui::style::Color::Reset))
    );
}

#[test]
fn it_draws_at_every_size_with_anything_on_record() {
    for make in [empty, small] {
        for way in ["<F5>", "<Enter><F5>", "p<F5>"] {
            let mut app = App::new(make(), options());
            press(&mut app, way);
            for (width, height) in
                [(1, 1), (20, 5), (60, 16), (61, 17), (80, 24), (129, 30), (130, 30), (200, 60)]
            {
                shown(&mut app, width, height);
            }
        }
    }
    let (_folder, mut app) = quarry();
    for page in 0..4 {
        for width in (1..220).step_by(13) {
            for height in [1, 2, 7, 16, 24, 47] {
                shown(&mut app, width, height);
            }
        }
        app.handle(key(if page == 1 { KeyCode::F(4) } else { KeyCode::F(5) }));
    }
}

#[test]
fn a_load_that_does_not_say_enough_asks_for_what_it_lacks() {
    let mut app = App::new(small(), options());
    press(&mut app, "<F5>");
    let screen = shown(&mut app, 160, 40);
    assert!(
        screen.contains("9.35 mm") && screen.contains("needed") && screen.contains("Nothing to draw yet"),
        "{screen}"
    );
}

#[test]
fn hostile_fields_never_stop_it() {
    let (_folder, mut app) = quarry();
    for words in ["NaN", "-1", "1e400", "0", "999999999999", "\u{202e}x", "4 kg", "1/0 in", "日本"] {
        for _ in 0..18 {
            retype(&mut app, words);
            shown(&mut app, 80, 24);
            app.handle(key(KeyCode::F(4)));
            press(&mut app, "<Tab>");
        }
    }
}

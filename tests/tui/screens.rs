//! The main screens as a person sees them, and how they behave.

use proofmark::tui::{App, Options};

use super::support::{demo, empty, options, painted, press, shown, styles};

pub fn picture(name: &str, text: &str) {
    insta::with_settings!({ snapshot_path => "../snapshots", prepend_module_to_snapshot => false, omit_expression => true }, {
        insta::assert_snapshot!(format!("tui_{name}"), text);
    });
}

#[test]
fn the_rack_of_the_demo_book() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    picture("rack_80x24", &shown(&mut app, 80, 24));
    picture("rack_160x40", &shown(&mut app, 160, 40));
}

#[test]
fn the_casing_page() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/thistle<Enter><Enter>");
    picture("casing_standing_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "2");
    picture("casing_ledger_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "3");
    picture("casing_growth_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "4");
    picture("casing_parts_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "5");
    picture("casing_margins_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "s");
    picture("casing_drawn_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "<Esc>");
    picture("casing_160x50", &shown(&mut app, 160, 50));
}

#[test]
fn the_prefire_run() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/heron<Enter>p");
    picture("loads_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "<Enter>");
    picture("cautions_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "<Enter>");
    picture("checklist_opened_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "<Tab>y");
    picture("checklist_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "<Esc>p");
    picture("half_run_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "<Delete>");
    picture("half_run_forget_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "d");
    press(&mut app, "f<Down><Down><Enter><Enter>");
    picture("forbidden_80x24", &shown(&mut app, 80, 24));
}

#[test]
fn the_forms_and_the_help() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "i");
    picture("strip_form_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "<Esc>c");
    picture("casing_form_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "<Esc>?");
    picture("help_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "<Esc>l");
    picture("menu_80x24", &shown(&mut app, 80, 24));
}

#[test]
fn an_empty_book_teaches() {
    let mut app = App::new(empty(), options());
    picture("empty_80x24", &shown(&mut app, 80, 24));
}

#[test]
fn the_selection_can_be_seen_and_stays_on_its_casing() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    let selected = |app: &mut App| -> String {
        styles(app, 80, 24)
            .into_iter()
            .filter(|(_, style)| style.add_modifier.contains(ratatui::style::Modifier::REVERSED))
            .map(|(text, _)| text)
            .find(|text| text.contains("MF-"))
            .unwrap_or_default()
    };
    press(&mut app, "<Down><Down>");
    assert!(selected(&mut app).contains("MF-60-05"), "{}", selected(&mut app));
    press(&mut app, "s");
    assert!(selected(&mut app).contains("MF-60-05"), "sorting keeps it");
    press(&mut app, "/x<Backspace>");
    assert!(selected(&mut app).contains("MF-"), "filtering keeps one");
    press(&mut app, "quarry");
    assert!(selected(&mut app).contains("MF-76-09"));
    press(&mut app, "<Esc>");
    assert!(selected(&mut app).contains("MF-60-05"), "Esc goes back to where one was");
    press(&mut app, "u");
    assert!(shown(&mut app, 80, 24).contains("US units"));
    assert!(selected(&mut app).contains("MF-60-05"));
}

#[test]
fn another_day_can_be_asked_about() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "a2027-04-06<Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("as of Tue 2027-04-06, asked for"), "{text}");
    let marigold = text.lines().find(|line| line.contains("Marigold")).unwrap();
    assert!(marigold.contains("overdue"), "{marigold}");
    press(&mut app, "a31/31<Enter>");
    assert!(shown(&mut app, 80, 24).contains("is not a date"));
    press(&mut app, "<Esc>a<Enter>");
    assert!(shown(&mut app, 80, 24).contains("fixed by this demo book"));
}

#[test]
fn every_screen_helps_and_the_palette_acts() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    for way in ["", "<Enter>", "<Esc>l", "<Esc>p"] {
        press(&mut app, way);
        press(&mut app, "?");
        assert!(shown(&mut app, 80, 24).contains("On this screen"));
        press(&mut app, "<Esc>");
    }
    press(&mut app, "<Esc>:hydro<Enter>");
    assert!(shown(&mut app, 80, 24).contains("Before a proof"), "{}", shown(&mut app, 80, 24));
}

#[test]
fn never_a_bare_safe() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    for way in
        ["", "<Enter>", "2", "3", "4", "5", "<Esc>p", "<Enter>", "<Enter>", "<Esc><Esc>?", "<Esc>f<Enter>"]
    {
        press(&mut app, way);
        let text = shown(&mut app, 160, 60).to_lowercase();
        assert!(!text.split(|c: char| !c.is_alphabetic()).any(|word| word == "safe"), "{text}");
    }
}

#[test]
fn the_styles_of_the_main_screens() {
    for (theme, colour, light) in
        [("dark", true, Some(false)), ("light", true, Some(true)), ("monochrome", false, None)]
    {
        let (_folder, desk) = demo();
        let mut app = App::new(desk, Options { colour, light, ..options() });
        press(&mut app, "/48");
        picture(&format!("styled_rack_{theme}"), &painted(&mut app, 80, 24));
        press(&mut app, "<Esc><Down><Down><Down><Enter>3");
        picture(&format!("styled_casing_{theme}"), &painted(&mut app, 80, 24));
        press(&mut app, "p<Enter><Enter><Tab>yn");
        picture(&format!("styled_checklist_{theme}"), &painted(&mut app, 80, 24));
    }
}

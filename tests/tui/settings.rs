//! Keys a person chose, the mouse, ASCII, and the screens as lines of text.

use proofmark::tui::action::Context;
use proofmark::tui::ascii::Signs;
use proofmark::tui::{App, Event, Keymap, Options, lines};
use ratatui::crossterm::event::{KeyModifiers, MouseButton, MouseEvent, MouseEventKind};

use super::support::{demo, options, press, shown};

fn mouse(kind: MouseEventKind, column: u16, row: u16) -> Event {
    Event::Mouse(MouseEvent { kind, column, row, modifiers: KeyModifiers::NONE })
}

fn press_at(app: &mut App, column: u16, row: u16) {
    app.handle(mouse(MouseEventKind::Down(MouseButton::Left), column, row));
}

#[test]
fn a_remapped_key_is_told_truthfully_everywhere_and_works() {
    let (keys, problems) =
        Keymap::with([("prefire", vec!["P"]), ("help", vec!["F7"]), ("back", vec!["b", "Esc"])]);
    assert_eq!(problems.len(), 1, "b logs damage on the casing page: {problems:?}");
    let (_folder, desk) = demo();
    let mut app = App::new(desk, Options { keys: keys.clone(), ..options() });
    let rack = shown(&mut app, 100, 30);
    assert!(rack.contains("P  pre-fire") && rack.contains("F7  help"), "{rack}");
    assert!(!rack.contains(" p  pre-fire") && !rack.contains(" ?  help"), "{rack}");
    press(&mut app, "p");
    assert_eq!(app.context(), Context::Rack, "the old key does nothing");
    press(&mut app, ":pre-f");
    let palette = shown(&mut app, 100, 30);
    assert!(palette.lines().any(|line| line.contains(" P prefire ")), "{palette}");
    press(&mut app, "<Esc>P");
    assert_eq!(app.context(), Context::Loads);
    let table = keys.table();
    assert!(table.contains("| `P` | rack, casing page |"), "{table}");
}

#[test]
fn the_wheel_scrolls_a_press_selects_and_a_second_press_opens() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    let first = shown(&mut app, 100, 40);
    let row_of = |text: &str, words: &str| {
        u16::try_from(text.lines().position(|line| line.contains(words)).unwrap()).unwrap()
    };
    let row = row_of(&first, "MF-48-08");
    press_at(&mut app, 20, row);
    let selected = shown(&mut app, 100, 40);
    assert!(selected.contains("MF-48-08 Patchwork: nothing on record"), "{selected}");
    press_at(&mut app, 20, row);
    assert_eq!(app.context(), Context::Casing);
    press(&mut app, "<Esc>");
    app.handle(mouse(MouseEventKind::ScrollDown, 3, 3));
    let scrolled = shown(&mut app, 100, 40);
    assert!(!scrolled.contains("MF-48-08 Patchwork: nothing on record"), "{scrolled}");
    // Every key of the footer can be pressed, too.
    let line = row_of(&scrolled, "?  help");
    let text = scrolled.lines().nth(usize::from(line)).unwrap();
    let column = unicode_width::UnicodeWidthStr::width(&text[..text.find("?  help").unwrap()]);
    press_at(&mut app, u16::try_from(column + 4).unwrap(), line);
    assert_eq!(app.context(), Context::Read);
    // Nowhere is nothing.
    press_at(&mut app, 99, 39);
    press_at(&mut app, 5000, 5000);
}

#[test]
fn a_locale_without_utf8_gets_no_byte_beyond_ascii() {
    let mut app = App::new(super::support::hostile(), Options { signs: Signs::AsciiOnly, ..options() });
    for way in ["", "<Enter>2", "<Enter>", "<Esc>3", "<Esc>n", "<Esc>?"] {
        press(&mut app, way);
        let text = shown(&mut app, 100, 40);
        assert!(text.is_ascii(), "{way}: {text}");
        assert!(app.window_title().is_ascii(), "{}", app.window_title());
    }
}

#[test]
fn ascii_draws_nothing_else() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, Options { signs: Signs::OwnInAscii, ..options() });
    for way in [
        "",
        "<Enter>2",
        "3",
        "4",
        "5",
        "w",
        "<Esc>?",
        "<Esc><Esc>p<Enter><Enter>",
        "<Esc><Esc><Esc>t<Enter>",
        "<Esc><Esc>g",
    ] {
        press(&mut app, way);
        for (width, height) in [(80, 24), (160, 50), (40, 10)] {
            let text = shown(&mut app, width, height);
            let strange: Vec<char> = text.chars().filter(|c| !c.is_ascii() && !c.is_alphabetic()).collect();
            assert!(strange.is_empty(), "{way}: {strange:?}\n{text}");
        }
    }
}

#[test]
fn the_screens_are_read_and_filled_in_a_line_at_a_time() {
    let (folder, desk) = demo();
    let typed = "Down\nDown\n\n:panel-ledger\nEsc\nn\nA line read out.\n\n.Ctrl-S\n=\n";
    let mut said = Vec::new();
    lines::run(desk, options(), &mut typed.as_bytes(), &mut said).unwrap();
    let said = String::from_utf8(said).unwrap();
    assert!(
        said.contains("\n[*] = in service MF-48-08") || said.contains("\n[*] - restricted MF-60-05"),
        "{said}"
    );
    assert!(!said.contains('\u{1b}'), "no control sequences");
    drop(folder);
    // Any bytes are taken, and the end of the input is the end.
    let (_folder, desk) = demo();
    let mut said = Vec::new();
    lines::run(desk, options(), &mut &b"\xff\xfe\n\0\n:nothing\n.Ctrl-\n:\n"[..], &mut said).unwrap();
    assert!(!said.is_empty());
}

#[test]
fn a_line_that_is_not_understood_is_answered_and_words_do() {
    let (_folder, desk) = demo();
    let mut said = Vec::new();
    lines::run(desk, options(), &mut &b"foo\nhelp\nEsc\nquit\nDown\n"[..], &mut said).unwrap();
    let said = String::from_utf8(said).unwrap();
    assert!(said.contains("Not understood: foo. Understood here: "), "{said}");
    assert!(said.contains("p pre-fire"), "{said}");
    assert!(said.contains("On this screen (rack)"), "{said}");
    assert_eq!(said.matches("\n? ").count(), 4, "quit leaves: {said}");
}

#[test]
fn a_note_is_written_a_line_at_a_time() {
    let (folder, desk) = demo();
    let book = folder.path().join("demo.db");
    let typed = "n\nA line read out.\n.Ctrl-S\n";
    let mut said = Vec::new();
    lines::run(desk, options(), &mut typed.as_bytes(), &mut said).unwrap();
    let desk = super::support::on_disk(&book, 99_000);
    let said = String::from_utf8(said).unwrap();
    let notes = desk.book().history("MF-41-07").unwrap();
    assert!(format!("{notes:?}").contains("A line read out."), "{said}");
}

#[test]
fn what_was_written_last_is_taken_back_by_a_strike() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "z");
    assert!(shown(&mut app, 80, 24).contains("Nothing was written since"));
    press(&mut app, "n");
    super::support::fill_in(&mut app, &[("Note", "a slip")]);
    press(&mut app, "<C-s>");
    let written = shown(&mut app, 80, 24);
    assert!(written.contains("written: note") && written.contains("take it back (z,"), "{written}");
    press(&mut app, "z");
    super::support::fill_in(&mut app, &[("Reason", "typed into the wrong casing")]);
    press(&mut app, "<C-s>");
    assert!(shown(&mut app, 80, 24).contains("written: strike"), "{}", shown(&mut app, 80, 24));
    press(&mut app, "<Esc><Esc>");
    press(&mut app, "z");
    assert!(shown(&mut app, 80, 24).contains("Nothing was written since"), "{}", shown(&mut app, 80, 24));
}

//! Text from a book, a paste or a draft never acts.

use proofmark::tui::{App, Event};

use super::support::{empty, hostile, options, press, shown, small};

#[test]
fn control_characters_are_written_out() {
    let mut app = App::new(hostile(), options());
    press(&mut app, "<Enter>2");
    for (width, height) in [(80, 24), (160, 50)] {
        let text = shown(&mut app, width, height);
        assert!(
            !text.contains('\u{1b}') && !text.contains('\u{202e}') && !text.contains('\u{200b}'),
            "{text}"
        );
    }
    assert!(shown(&mut app, 160, 50).contains("\\u{202e}"));
}

#[test]
fn a_paste_is_text_and_never_a_command() {
    let mut app = App::new(small(), options());
    app.handle(Event::Paste("q\n:delete\u{1b}[31m".to_owned()));
    assert!(!app.quitting(), "a paste on the rack quit");
    press(&mut app, "n");
    super::support::go_to(&mut app, "Note");
    app.handle(Event::Paste("q\n:delete".to_owned()));
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("q") && text.contains(":delete"), "{text}");
    assert!(!app.quitting());
    press(&mut app, "<Tab><Esc>k");
    press(&mut app, "f<Enter>");
    super::support::go_to(&mut app, "Place");
    app.handle(Event::Paste("Fen pit\nq\u{7}".to_owned()));
    assert!(shown(&mut app, 80, 40).contains("Fen pit q"), "line ends become spaces");
}

#[test]
fn a_draft_from_elsewhere_is_cleaned() {
    let desk = empty();
    let mut answers = proofmark::book::Answers::new();
    answers.set("text", "a\u{1b}]0;title\u{7}b").set("casing", "\u{202e}x").set("no such field", "y");
    desk.book().keep_draft("note", "", &answers, desk.now()).unwrap();
    desk.book().keep_draft("\u{1b}[2Jnonsense", "\u{202e}", &answers, desk.now()).unwrap();
    let mut app = App::new(desk, options());
    assert!(!shown(&mut app, 80, 24).contains('\u{1b}'));
    press(&mut app, "o");
    assert!(!shown(&mut app, 80, 24).contains('\u{1b}'));
    press(&mut app, "l<End><Up><Up><Up><Up><Enter>");
    assert!(!shown(&mut app, 80, 24).contains('\u{1b}'));
}

#[test]
fn wide_letters_keep_the_columns_and_the_cursor() {
    let mut app = App::new(small(), options());
    press(&mut app, "f<Enter>");
    super::support::go_to(&mut app, "Place");
    press(&mut app, "日本é");
    let mut terminal = ratatui::Terminal::new(ratatui::backend::TestBackend::new(80, 40)).unwrap();
    terminal.draw(|frame| app.draw(frame)).unwrap();
    let at = terminal.get_cursor_position().unwrap();
    assert_eq!(at.x, 29 + 5, "two wide letters and one narrow behind the label");
}

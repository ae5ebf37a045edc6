//! Any text as a settings file with its keys, and as words that go to a terminal, a spreadsheet or a label. No panic; no
//! action is left without a key and no key does two things in one place; cleaned text holds nothing a terminal acts on,
//! fills the columns it is given, and no cell is taken for a formula.
#![no_main]

use libfuzzer_sys::fuzz_target;
use proofmark::cli::settings::Settings;
use proofmark::report::data;
use proofmark::report::paper;
use proofmark::report::text::clean_lines;
use proofmark::tui::action::{ACTIONS, Context};
use proofmark::tui::keymap::{Keymap, key_named};
use proofmark::tui::text;
use proofmark_fuzz::assert_seen;

fn keys(settings: &Settings) {
    let changes =
        settings.keys.iter().map(|(id, names)| (id.as_str(), names.iter().map(String::as_str).collect()));
    let (map, said) = Keymap::with(changes);
    assert!(said.iter().all(|line| !line.is_empty()));
    for context in Context::ALL {
        let mut taken = Vec::new();
        for action in ACTIONS.iter().filter(|it| it.contexts.contains(context)) {
            assert!(!map.keys(action).is_empty(), "{} has no key", action.id);
            for key in map.keys(action) {
                assert_eq!(key_named(&key.name()), Some(*key), "{}", key.name());
                assert!(!taken.contains(key), "{} twice in {}", key.name(), context.word());
                taken.push(*key);
            }
        }
    }
}

fuzz_target!(|words: &str| {
    let (settings, said) = Settings::read(words);
    assert!(said.iter().all(|line| !line.is_empty()));
    keys(&settings);
    let _ = key_named(words);
    let _ = Keymap::default().fill(words);

    assert_seen(&clean_lines(words));
    assert_seen(&proofmark::report::text::clean(words));
    assert!(!text::clean(words).chars().any(char::is_control));
    assert!(!text::one_line(words).chars().any(char::is_control));
    assert!(!text::clean_lines(words).chars().any(|c| c.is_control() && !matches!(c, '\n' | '\t')));
    let clean = text::clean(words);
    for columns in [0, 1, 2, 7, 40] {
        assert!(text::width(&text::fit(&clean, columns)) <= columns);
        assert_eq!(text::width(&text::pad(&clean, columns)), columns);
        assert_eq!(text::width(&text::pad_left(&clean, columns)), columns);
        for line in text::wrap(words, columns) {
            assert!(text::width(&line) <= columns.max(2), "{line:?}");
        }
    }
    let cell = data::cell(words);
    assert!(!data::is_formula(&cell) || cell.starts_with('\''), "{words:?}");
    let hidden = |c: char| proofmark::report::text::unseen(c) && !matches!(c, '\t' | '\r' | '\n');
    assert!(!cell.chars().any(hidden), "{words:?}");
    if let Some(svg) = paper::label_svg(words, Some(words)) {
        assert!(!svg.contains("<script"));
        assert_seen(&svg);
    }
    let _ = paper::label_text(words, Some(words));
});

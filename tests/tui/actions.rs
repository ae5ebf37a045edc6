//! The one table of actions.

use std::collections::BTreeMap;

use proofmark::tui::action::{ACTIONS, Context};
use proofmark::tui::key_table;
use ratatui::crossterm::event::KeyCode;

#[test]
fn no_key_twice_in_one_context() {
    for context in Context::ALL {
        let mut seen = BTreeMap::new();
        for action in ACTIONS.iter().filter(|action| action.contexts.contains(context)) {
            for key in action.keys {
                if let Some(other) = seen.insert(key.name(), action.id) {
                    panic!("{} is both {other} and {} in {context:?}", key.name(), action.id);
                }
            }
        }
    }
}

#[test]
fn ids_are_unique_and_kebab_case() {
    let mut seen = std::collections::BTreeSet::new();
    for action in ACTIONS {
        assert!(seen.insert(action.id), "{} twice", action.id);
        assert!(action.id.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{}", action.id);
        assert!(!action.keys.is_empty() && !action.contexts.is_empty(), "{}", action.id);
        assert!(action.sentence.len() >= 5 && !action.sentence.ends_with('.'), "{}", action.id);
    }
}

#[test]
fn plain_letters_are_text_where_text_is_typed() {
    for action in ACTIONS {
        for context in action.contexts.iter().filter(|context| context.typing()) {
            for key in action.keys {
                assert!(
                    key.ctrl || !matches!(key.code, KeyCode::Char(_)),
                    "{} takes a letter in {context:?}",
                    action.id
                );
            }
        }
    }
}

#[test]
fn one_can_leave_from_everywhere() {
    for context in Context::ALL {
        let leaves = ACTIONS.iter().any(|action| {
            action.contexts.contains(context)
                && action.keys.iter().any(|key| {
                    key.code == KeyCode::Esc || (*context == Context::Rack && key.code == KeyCode::Char('q'))
                })
        });
        assert!(leaves, "no way out of {context:?}");
    }
}

#[test]
fn the_key_table_lists_every_action() {
    let table = key_table();
    assert_eq!(table.lines().count(), ACTIONS.len() + 2);
    for action in ACTIONS {
        assert!(table.contains(action.sentence), "{}", action.id);
    }
    assert!(table.contains("| `Ctrl-S` |"), "{table}");
}

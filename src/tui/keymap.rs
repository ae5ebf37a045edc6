//! Which key does what: the table of actions, with the keys a person chose instead.
//!
//! Everything on a screen that names a key asks here, so that after a remap no footer, help, palette or message is
//! untrue.

use super::action::{ACTIONS, Act, Action, Context, Key};

/// The keys in force, one list an action, in the order of [`ACTIONS`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Keymap {
    keys: Vec<Vec<Key>>,
}

impl Default for Keymap {
    fn default() -> Self {
        Self { keys: ACTIONS.iter().map(|action| action.keys.to_vec()).collect() }
    }
}

impl Keymap {
    /// The table with a person's own keys: the stable name of an action and the names of its keys. What cannot be
    /// taken is said, and leaves that action's keys as they were.
    pub fn with<'a>(changes: impl IntoIterator<Item = (&'a str, Vec<&'a str>)>) -> (Self, Vec<String>) {
        let mut map = Self::default();
        let mut problems = Vec::new();
        let mut changed = Vec::new();
        for (id, names) in changes {
            let Some(at) = ACTIONS.iter().position(|action| action.id == id) else {
                problems.push(format!("keys: no action is named \"{id}\"; proofmark keys lists the names"));
                continue;
            };
            let mut keys = Vec::new();
            let mut wrong = false;
            for name in names {
                match key_named(name) {
                    Some(key) => keys.push(key),
                    None => {
                        wrong = true;
                        problems.push(format!(
                            "keys.{id}: \"{name}\" is not a key; write p, P, F5, Ctrl-P, Enter, Esc, Tab, Space, PgUp …"
                        ));
                    }
                }
            }
            if keys.is_empty() && !wrong {
                problems.push(format!("keys.{id}: name at least one key"));
            }
            let letter = ACTIONS[at].contexts.iter().any(|context| context.typing());
            if let Some(key) = keys.iter().find(|key| letter && key.is_text()) {
                problems.push(format!(
                    "keys.{id}: {} is typed as text there; take a key with Ctrl or a function key",
                    key.name()
                ));
                wrong = true;
            }
            if !wrong && !keys.is_empty() {
                map.keys[at] = keys;
                changed.push(at);
            }
        }
        map.settle(&changed, &mut problems);
        (map, problems)
    }

    /// A key that two actions of one place would share stays with the one it was given to; an action left without
    /// a key keeps its own, and the change that took it is undone.
    fn settle(&mut self, changed: &[usize], problems: &mut Vec<String>) {
        for &at in changed {
            for (other, action) in ACTIONS.iter().enumerate() {
                let together = action.contexts.iter().any(|it| ACTIONS[at].contexts.contains(it));
                if other == at || !together {
                    continue;
                }
                let taken: Vec<Key> =
                    self.keys[at].iter().copied().filter(|key| self.keys[other].contains(key)).collect();
                if taken.is_empty() {
                    continue;
                }
                let left: Vec<Key> =
                    self.keys[other].iter().copied().filter(|key| !taken.contains(key)).collect();
                if left.is_empty() || changed.contains(&other) {
                    problems.push(format!(
                        "keys.{}: {} is the key of {} there; give that another key first",
                        ACTIONS[at].id,
                        taken.iter().map(|key| key.name()).collect::<Vec<_>>().join(", "),
                        action.id
                    ));
                    self.keys[at] = ACTIONS[at].keys.to_vec();
                } else {
                    self.keys[other] = left;
                }
            }
        }
    }

    /// The keys of an action of the table.
    pub fn keys(&self, action: &Action) -> &[Key] {
        let at = ACTIONS.iter().position(|it| it.id == action.id);
        at.and_then(|at| self.keys.get(at)).map_or(&[], Vec::as_slice)
    }

    /// The action of a key in a place.
    pub fn find(&self, context: Context, key: Key) -> Option<&'static Action> {
        ACTIONS
            .iter()
            .zip(&self.keys)
            .find(|(action, keys)| action.contexts.contains(&context) && keys.contains(&key))
            .map(|(action, _)| action)
    }

    /// The keys of an action as a table or the footer prints them.
    pub fn names(&self, action: &Action) -> String {
        self.keys(action).iter().map(|key| key.name()).collect::<Vec<_>>().join(" ")
    }

    /// The first key of what a person can ask for in a place.
    pub fn first(&self, act: Act, context: Context) -> String {
        let action = ACTIONS.iter().find(|it| it.act == act && it.contexts.contains(&context));
        action.and_then(|it| self.keys(it).first()).map_or_else(String::new, |key| key.name())
    }

    /// A text with each `{name-of-an-action}` written as that action's first key.
    pub fn fill(&self, words: &str) -> String {
        let mut filled = String::with_capacity(words.len());
        let mut rest = words;
        while let Some(open) = rest.find('{') {
            let (before, after) = rest.split_at(open);
            filled.push_str(before);
            let id = after[1..].split('}').next().unwrap_or("");
            let key = ACTIONS.iter().find(|it| it.id == id).and_then(|it| self.keys(it).first());
            match key {
                Some(key) if after.len() > id.len() + 1 => {
                    filled.push_str(&key.name());
                    rest = &after[id.len() + 2..];
                }
                _ => {
                    filled.push('{');
                    rest = &after[1..];
                }
            }
        }
        filled + rest
    }

    /// Every key, as JSON.
    pub fn json(&self) -> serde_json::Value {
        let keys: Vec<serde_json::Value> = ACTIONS
            .iter()
            .map(|action| {
                serde_json::json!({
                    "name": action.id,
                    "keys": self.keys(action).iter().map(|key| key.name()).collect::<Vec<_>>(),
                    "where": action.contexts.iter().map(|context| context.word()).collect::<Vec<_>>(),
                    "does": action.sentence,
                    "writes": action.writes,
                })
            })
            .collect();
        serde_json::json!({ "schema": 1, "keys": keys })
    }

    /// Every key, as a Markdown table.
    pub fn table(&self) -> String {
        let mut table = String::from("| key | where | what it does | name |\n|---|---|---|---|\n");
        for action in ACTIONS {
            let keys: Vec<String> = self.keys(action).iter().map(|key| format!("`{}`", key.name())).collect();
            let places = if action.contexts.len() == Context::ALL.len() {
                "anywhere".to_owned()
            } else {
                action.contexts.iter().map(|context| context.word()).collect::<Vec<_>>().join(", ")
            };
            table.push_str(&format!(
                "| {} | {places} | {} | {} |\n",
                keys.join(" "),
                action.sentence,
                action.id
            ));
        }
        table
    }
}

/// A key by the name the tables print.
pub fn key_named(name: &str) -> Option<Key> {
    use ratatui::crossterm::event::KeyCode;
    let (ctrl, plain) = match name.get(..5) {
        Some(prefix) if prefix.eq_ignore_ascii_case("ctrl-") => (true, name.get(5..)?),
        _ => (false, name),
    };
    let mut letters = plain.chars();
    let code = match (letters.next(), letters.next()) {
        (Some(c), None) if ctrl => KeyCode::Char(c.to_ascii_lowercase()),
        (Some(c), None) if !c.is_control() && c != ' ' => KeyCode::Char(c),
        _ => match plain.to_ascii_lowercase().as_str() {
            "space" => KeyCode::Char(' '),
            "enter" => KeyCode::Enter,
            "esc" => KeyCode::Esc,
            "tab" => KeyCode::Tab,
            "shift-tab" => KeyCode::BackTab,
            "up" => KeyCode::Up,
            "down" => KeyCode::Down,
            "left" => KeyCode::Left,
            "right" => KeyCode::Right,
            "home" => KeyCode::Home,
            "end" => KeyCode::End,
            "pgup" => KeyCode::PageUp,
            "pgdn" => KeyCode::PageDown,
            "insert" => KeyCode::Insert,
            "delete" => KeyCode::Delete,
            "backspace" => KeyCode::Backspace,
            other => KeyCode::F(other.strip_prefix('f')?.parse().ok().filter(|it| (1..=24).contains(it))?),
        },
    };
    Some(Key { code, ctrl })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_of_the_table_is_read_back_from_its_name() {
        for action in ACTIONS {
            for key in action.keys {
                assert_eq!(key_named(&key.name()), Some(*key), "{}", key.name());
            }
        }
        for name in ["", "ctrl-", "F0", "F99", "hyper-x", "  ", "é\u{301}x"] {
            assert_eq!(key_named(name), None, "{name}");
        }
    }

    #[test]
    fn a_key_given_to_one_action_is_taken_from_no_other_unless_it_has_another() {
        let (map, problems) = Keymap::with([("prefire", vec!["P"])]);
        assert!(problems.is_empty(), "{problems:?}");
        assert_eq!(map.first(Act::Prefire, Context::Rack), "P");
        assert_eq!(map.fill("Press {prefire}, not {this} or {"), "Press P, not {this} or {");
        let (map, problems) = Keymap::with([("prefire", vec!["f"])]);
        assert_eq!(problems.len(), 1, "{problems:?}");
        assert_eq!(map, Keymap::default());
        // The letter k goes up; a person who wants it elsewhere keeps the arrow.
        let (map, problems) = Keymap::with([("units", vec!["q"])]);
        assert_eq!(problems.len(), 1, "{problems:?} {map:?}");
    }

    #[test]
    fn what_cannot_be_taken_is_said() {
        for (change, word) in [
            (("no-such", vec!["x"]), "no action"),
            (("prefire", vec!["hyper"]), "not a key"),
            (("prefire", vec![]), "at least one"),
            (("save", vec!["s"]), "typed as text"),
        ] {
            let (map, problems) = Keymap::with([change]);
            assert_eq!(map, Keymap::default());
            assert!(problems.len() == 1 && problems[0].contains(word), "{problems:?}");
        }
    }
}

//! The settings file: who writes, which units, which book, how the screen looks, which keys. A setting that is not
//! known or cannot be taken is said, and everything else still holds: a slip in this file must not keep a person
//! from the book.

use std::path::PathBuf;

use crate::quantity::System;
use crate::report::ascii::Signs;

/// What the settings file says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Settings {
    /// Who writes.
    pub by: Option<String>,
    /// The book.
    pub book: Option<PathBuf>,
    /// The units shown.
    pub units: Option<System>,
    /// The theme of the screen.
    pub theme: Option<Look>,
    /// Whether the mouse is taken.
    pub mouse: Option<bool>,
    /// Whether only the characters of ASCII are drawn.
    pub ascii: Option<bool>,
    /// Whether the screens are lines of text.
    pub lines: Option<bool>,
    /// An action's stable name and its keys.
    pub keys: Vec<(String, Vec<String>)>,
}

/// A theme.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// For any terminal.
    Either,
    /// For a dark terminal.
    Dark,
    /// For a light terminal.
    Light,
    /// Without colour.
    Monochrome,
}

impl Look {
    /// The words of the themes.
    pub const WORDS: &'static [&'static str] = &["either", "dark", "light", "monochrome"];

    /// A theme by its word.
    pub fn from_word(word: &str) -> Option<Self> {
        Some(match word {
            "either" => Self::Either,
            "dark" => Self::Dark,
            "light" => Self::Light,
            "monochrome" => Self::Monochrome,
            _ => return None,
        })
    }
}

impl Settings {
    /// Which characters may be written: what the settings file says, else what the locale takes.
    pub fn signs(&self, locale: Signs) -> Signs {
        match self.ascii {
            // A locale without these letters has them no more for a setting about signs.
            Some(true) if locale == Signs::Any => Signs::OwnInAscii,
            Some(true) => locale,
            Some(false) => Signs::Any,
            None => locale,
        }
    }
}

const KNOWN: &[&str] = &["by", "book", "units", "theme", "mouse", "ascii", "lines", "keys"];

impl Settings {
    /// Read the text of a settings file; what could not be taken, each with what would be.
    pub fn read(text: &str) -> (Self, Vec<String>) {
        let mut settings = Self::default();
        let mut said = Vec::new();
        let table: toml::Table = match text.parse() {
            Ok(table) => table,
            Err(error) => {
                let line =
                    error.span().map_or(1, |span| text[..span.start.min(text.len())].lines().count().max(1));
                said.push(format!("settings, line {line}: {}; none of them is taken", error.message()));
                return (settings, said);
            }
        };
        for (key, value) in &table {
            let mut wrong = |takes: &str| said.push(format!("settings: {key} takes {takes}"));
            match (key.as_str(), value) {
                ("by", toml::Value::String(name)) if !name.trim().is_empty() => {
                    settings.by = Some(name.trim().to_owned());
                }
                ("by", _) => wrong("a name in quotes"),
                ("book", toml::Value::String(path)) if !path.is_empty() => settings.book = Some(path.into()),
                ("book", _) => wrong("a file name in quotes"),
                ("units", value) => match value.as_str() {
                    Some("us") => settings.units = Some(System::Us),
                    Some("si") => settings.units = Some(System::Si),
                    _ => wrong("\"us\" or \"si\""),
                },
                ("theme", value) => match value.as_str().and_then(Look::from_word) {
                    Some(look) => settings.theme = Some(look),
                    None => wrong(&format!("one of {}", Look::WORDS.join(", "))),
                },
                ("mouse", toml::Value::Boolean(yes)) => settings.mouse = Some(*yes),
                ("ascii", toml::Value::Boolean(yes)) => settings.ascii = Some(*yes),
                ("lines", toml::Value::Boolean(yes)) => settings.lines = Some(*yes),
                ("mouse" | "ascii" | "lines", _) => wrong("true or false"),
                ("keys", toml::Value::Table(keys)) => {
                    for (id, names) in keys {
                        match key_names(names) {
                            Some(names) => settings.keys.push((id.clone(), names)),
                            None => said
                                .push(format!("settings: keys.{id} takes a key or a list of keys in quotes")),
                        }
                    }
                }
                ("keys", _) => wrong("a table: [keys] and lines like prefire = \"P\""),
                (other, _) => said.push(format!(
                    "settings: {} is not known; known are {}",
                    crate::book::reading::shorten(other),
                    KNOWN.join(", ")
                )),
            }
        }
        (settings, said)
    }
}

fn key_names(value: &toml::Value) -> Option<Vec<String>> {
    match value {
        toml::Value::String(name) => Some(vec![name.clone()]),
        toml::Value::Array(names) => names.iter().map(|name| name.as_str().map(str::to_owned)).collect(),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_setting_is_read() {
        let (settings, said) = Settings::read(
            "by = \"Ann Lee\"\nbook = \"a.db\"\nunits = \"us\"\ntheme = \"light\"\nmouse = false\nascii = true\n\
             lines = false\n[keys]\nprefire = \"P\"\ncopy = [\"c\", \"F5\"]\n",
        );
        assert!(said.is_empty(), "{said:?}");
        assert_eq!(settings.by.as_deref(), Some("Ann Lee"));
        assert_eq!((settings.units, settings.theme), (Some(System::Us), Some(Look::Light)));
        assert_eq!((settings.mouse, settings.ascii, settings.lines), (Some(false), Some(true), Some(false)));
        assert_eq!(settings.keys.len(), 2);
    }

    #[test]
    fn what_is_wrong_is_said_and_the_rest_holds() {
        let (settings, said) =
            Settings::read("colour = 3\nunits = \"both\"\nmouse = \"no\"\nby = \"Ann\"\nkeys = 4\n");
        assert_eq!(settings, Settings { by: Some("Ann".to_owned()), ..Settings::default() });
        assert_eq!(said.len(), 4, "{said:?}");
        assert!(said.iter().any(|line| line.contains("colour is not known; known are by,")), "{said:?}");
        let (settings, said) = Settings::read("by = \"Ann\"\nby = [");
        assert_eq!(settings, Settings::default());
        assert!(said.len() == 1 && said[0].contains("line"), "{said:?}");
    }
}

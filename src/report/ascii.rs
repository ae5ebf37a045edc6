//! Text for a terminal, a font or a locale that has no more than ASCII.

use std::io::{self, Write};

use unicode_width::UnicodeWidthChar;

/// Which characters may be written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Signs {
    /// Any.
    #[default]
    Any,
    /// This program's own signs in ASCII; the letters of people's own words as they are.
    OwnInAscii,
    /// Not one byte beyond ASCII: the locale takes no other, so a letter it has not is a question mark.
    AsciiOnly,
}

impl Signs {
    /// What the locale of the environment takes: the first of `LC_ALL`, `LC_CTYPE` and `LANG` that says anything
    /// decides. Where none does, the locale is C, unless the terminal is one that is known to take UTF-8. Windows and
    /// macOS take UTF-8 whatever these say.
    pub fn of_locale(named: &dyn Fn(&str) -> Option<String>) -> Self {
        if cfg!(any(windows, target_os = "macos")) {
            return Self::Any;
        }
        let given = |name: &&str| named(name).filter(|value| !value.is_empty());
        let utf8 = |value: &str| {
            let value = value.to_lowercase();
            value.contains("utf-8") || value.contains("utf8")
        };
        let takes_all = match ["LC_ALL", "LC_CTYPE", "LANG"].iter().find_map(given) {
            Some(locale) => utf8(&locale),
            None => {
                ["VTE_VERSION", "KITTY_WINDOW_ID", "WEZTERM_PANE", "ALACRITTY_WINDOW_ID", "KONSOLE_VERSION"]
                    .iter()
                    .any(|name| given(name).is_some())
            }
        };
        if takes_all { Self::Any } else { Self::AsciiOnly }
    }

    /// What stands for a character of a drawn cell, where it may not be written as it is.
    pub fn instead(self, symbol: &str) -> Option<&'static str> {
        if self == Self::Any || symbol.is_ascii() {
            return None;
        }
        let mut chars = symbol.chars();
        let own = match (chars.next(), chars.next()) {
            (Some(c), None) => instead(c),
            _ => None,
        };
        own.or((self == Self::AsciiOnly).then_some("?"))
    }

    /// A text as it may be written.
    pub fn text(self, words: &str) -> String {
        if self == Self::Any || words.is_ascii() {
            return words.to_owned();
        }
        let mut out = String::with_capacity(words.len());
        for c in words.chars() {
            match instead(c) {
                _ if c.is_ascii() => out.push(c),
                Some(plain) => out.push_str(plain),
                None if self == Self::OwnInAscii => out.push(c),
                // As wide as what it stands for, so that columns stay columns.
                None => out.extend(std::iter::repeat_n('?', c.width().unwrap_or(0))),
            }
        }
        out
    }
}

/// A writer whose text is written as the signs allow.
pub struct Plain<'a> {
    out: &'a mut dyn Write,
    signs: Signs,
    /// The beginning of a character whose end is still to come.
    begun: Vec<u8>,
}

impl<'a> Plain<'a> {
    /// Over another writer.
    pub fn new(out: &'a mut dyn Write, signs: Signs) -> Self {
        Self { out, signs, begun: Vec::new() }
    }
}

impl Write for Plain<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.signs == Signs::Any {
            return self.out.write(bytes);
        }
        self.begun.extend_from_slice(bytes);
        let whole = match std::str::from_utf8(&self.begun) {
            Ok(words) => words.len(),
            Err(error) if error.error_len().is_none() => error.valid_up_to(),
            Err(_) => self.begun.len(),
        };
        let rest = self.begun.split_off(whole);
        let words = self.signs.text(&String::from_utf8_lossy(&self.begun));
        self.begun = rest;
        self.out.write_all(words.as_bytes())?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// The ASCII sign for one of ours, of the same width.
const fn instead(c: char) -> Option<&'static str> {
    Some(match c {
        '─' | '━' | '╌' | '┈' | '┄' | '–' | '—' | '═' => "-",
        '│' | '┃' | '║' | '▌' | '▐' | '▎' | '▏' => "|",
        '┊' | '╎' | '┆' => ":",
        '┌' | '┐' | '└' | '┘' | '├' | '┤' | '┬' | '┴' | '┼' | '╭' | '╮' | '╰' | '╯' | '╔' | '╗' | '╚'
        | '╝' => "+",
        '█' | '▓' | '■' | '▘' | '▝' | '▖' | '▗' | '▙' | '▛' | '▜' | '▟' | '▚' | '▞' => {
            "#"
        }
        '▒' | '▄' | '▀' | '▆' | '▅' | '▇' => "=",
        '░' | '▁' | '▂' | '▃' | '▍' | '▋' | '▊' | '▉' => "-",
        '·' => ".",
        '•' | '●' | '○' | '◆' | '◇' => "*",
        '…' => "~",
        '›' | '»' | '→' | '▸' | '▶' | '⟩' => ">",
        '‹' | '«' | '←' | '◂' | '◀' => "<",
        '↑' | '▲' | '△' => "^",
        '↓' | '▼' | '▽' => "v",
        '×' | '✗' | '✕' => "x",
        '✓' | '✔' => "y",
        '°' => "o",
        '±' => "~",
        '²' => "2",
        '³' => "3",
        '≤' | '⟨' => "<",
        '≥' => ">",
        '≈' => "~",
        'µ' | 'μ' => "u",
        'σ' => "s",
        'Δ' => "d",
        'Σ' => "S",
        '∫' => "S",
        '⌀' | 'Ø' | 'ø' => "o",
        '“' | '”' => "\"",
        '‘' | '’' | '′' => "'",
        '\u{2800}' => " ",
        '\u{2801}'..='\u{28ff}' => braille(c),
        _ => return None,
    })
}

/// A cell of dots by where its dots are: above, below, or both.
const fn braille(c: char) -> &'static str {
    let dots = (c as u32 - 0x2800) as u8;
    let (upper, lower) = (dots & 0b0001_1011 != 0, dots & 0b1110_0100 != 0);
    match (upper, lower) {
        (true, true) => "*",
        (true, false) => "'",
        _ => ".",
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_locale_decides() {
        let of = |pairs: &'static [(&str, &str)]| {
            Signs::of_locale(&|name| pairs.iter().find(|it| it.0 == name).map(|it| it.1.to_owned()))
        };
        if cfg!(any(windows, target_os = "macos")) {
            assert_eq!(of(&[("LC_ALL", "C")]), Signs::Any);
            return;
        }
        assert_eq!(of(&[("LC_ALL", "C"), ("LANG", "en_GB.UTF-8")]), Signs::AsciiOnly);
        assert_eq!(of(&[("LC_ALL", ""), ("LANG", "en_GB.UTF-8")]), Signs::Any);
        assert_eq!(of(&[("LC_CTYPE", "de_DE.utf8"), ("LANG", "C")]), Signs::Any);
        assert_eq!(of(&[("LANG", "de_DE.ISO-8859-1")]), Signs::AsciiOnly);
        assert_eq!(of(&[("LANG", "C.UTF-8")]), Signs::Any);
        assert_eq!(of(&[]), Signs::AsciiOnly);
        assert_eq!(of(&[("VTE_VERSION", "7600")]), Signs::Any);
        assert_eq!(of(&[("VTE_VERSION", "7600"), ("LANG", "C")]), Signs::AsciiOnly);
    }

    #[test]
    fn a_text_keeps_its_columns_and_nothing_beyond_ascii() {
        assert_eq!(Signs::AsciiOnly.text("3.1× · Jörg 日本 e\u{301}"), "3.1x . J?rg ???? e");
        assert_eq!(Signs::OwnInAscii.text("3.1× · Jörg"), "3.1x . Jörg");
        assert_eq!(Signs::Any.text("3.1×"), "3.1×");
    }

    #[test]
    fn a_character_may_come_in_two_writes() {
        let mut out = Vec::new();
        let mut plain = Plain::new(&mut out, Signs::AsciiOnly);
        for byte in "a×b\u{e4}".as_bytes() {
            plain.write_all(&[*byte]).unwrap();
        }
        plain.write_all(&[0xff, b'!']).unwrap();
        assert_eq!(String::from_utf8_lossy(&out), "axb??!");
    }
}

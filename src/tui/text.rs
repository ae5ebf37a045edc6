//! Text as a terminal shows it: cleaned of everything a terminal could act on, cut and wrapped by the
//! columns it takes up.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// Untrusted text with control characters, and the unseen ones that reorder or hide text, written out.
pub fn clean(text: &str) -> String {
    if !text.chars().any(unseen) {
        return text.to_owned();
    }
    text.chars()
        .flat_map(|c| if unseen(c) { c.escape_default().collect::<Vec<_>>() } else { vec![c] })
        .collect()
}

/// The same for a text of several lines with tabs between columns.
pub fn clean_lines(text: &str) -> String {
    let line = |line: &str| line.split('\t').map(clean).collect::<Vec<_>>().join("\t");
    text.lines().map(line).collect::<Vec<_>>().join("\n")
}

/// Untrusted text for a line a person goes on editing: what cannot be seen is taken out, line ends are spaces.
pub fn one_line(text: &str) -> String {
    text.replace("\r\n", " ")
        .chars()
        .map(|c| if matches!(c, '\n' | '\r' | '\t') { ' ' } else { c })
        .filter(|c| !unseen(*c))
        .collect()
}

fn unseen(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}' | '\u{200c}' | '\u{200e}' | '\u{200f}'
            | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}'
            | '\u{e0000}'..='\u{e007f}')
}

/// The columns a text takes up.
pub fn width(text: &str) -> usize {
    text.width()
}

/// A text cut to so many columns, with "…" where something was cut.
pub fn fit(text: &str, columns: usize) -> String {
    if width(text) <= columns {
        return text.to_owned();
    }
    if columns == 0 {
        return String::new();
    }
    let mut kept = String::new();
    let mut used = 0;
    for c in text.chars() {
        let wide = c.width().unwrap_or(0);
        if used + wide > columns - 1 {
            break;
        }
        used += wide;
        kept.push(c);
    }
    kept.push('…');
    kept
}

/// A text cut or filled up with spaces to exactly so many columns.
pub fn pad(text: &str, columns: usize) -> String {
    let mut text = fit(text, columns);
    let used = width(&text);
    text.extend(std::iter::repeat_n(' ', columns.saturating_sub(used)));
    text
}

/// The same, the text at the right.
pub fn pad_left(text: &str, columns: usize) -> String {
    let text = fit(text, columns);
    let mut filled: String = std::iter::repeat_n(' ', columns.saturating_sub(width(&text))).collect();
    filled.push_str(&text);
    filled
}

/// Whether the last word of a line, behind the blank at a place, belongs to the word that follows: a number to its
/// unit, a letter to its meaning unless it is itself a unit.
fn belongs_to_the_next(line: &str, blank: usize) -> bool {
    let (before, last) = (&line[..blank], &line[blank + 1..]);
    let mut letters = last.chars();
    let letter = letters.next().is_some_and(char::is_alphabetic) && letters.next().is_none();
    is_number(last) || (letter && !is_number(before.rsplit(' ').next().unwrap_or_default()))
}

fn is_number(word: &str) -> bool {
    let digits = word.trim_start_matches(['+', '-', '(']);
    digits.starts_with(|c: char| c.is_ascii_digit())
        && digits.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
        && !digits.ends_with(['.', ','])
}

/// A text broken into lines of so many columns, between words where it can be.
pub fn wrap(text: &str, columns: usize) -> Vec<String> {
    let columns = columns.max(1);
    let mut lines = Vec::new();
    for paragraph in text.lines() {
        let mut line = String::new();
        for word in clean(paragraph).split_whitespace() {
            let gap = usize::from(!line.is_empty());
            if width(&line) + gap + width(word) <= columns {
                if gap == 1 {
                    line.push(' ');
                }
                line.push_str(word);
                continue;
            }
            if !line.is_empty() {
                // A number is not parted from what it counts, nor a letter from what it means, where both have room.
                let number = line.rfind(' ').filter(|at| {
                    belongs_to_the_next(&line, *at) && width(&line[at + 1..]) + 1 + width(word) <= columns
                });
                if let Some(at) = number {
                    let number = line.split_off(at);
                    lines.push(std::mem::replace(&mut line, format!("{} {word}", number.trim_start())));
                    continue;
                }
                lines.push(std::mem::take(&mut line));
            }
            for c in word.chars() {
                if width(&line) + c.width().unwrap_or(0) > columns && !line.is_empty() {
                    lines.push(std::mem::take(&mut line));
                }
                line.push(c);
            }
        }
        lines.push(line);
    }
    if lines.is_empty() {
        lines.push(String::new());
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_a_terminal_acts_on_is_left() {
        assert_eq!(clean("a\u{1b}[31mb\u{202e}c"), "a\\u{1b}[31mb\\u{202e}c");
        assert_eq!(one_line("q\n:delete\u{7}"), "q :delete");
    }

    #[test]
    fn width_counts_columns() {
        assert_eq!(fit("日本語の長い名前", 7), "日本語…");
        assert_eq!(width(&pad("é日", 6)), 6);
        assert_eq!(pad_left("3", 3), "  3");
        assert_eq!(wrap("one two three", 7), ["one two", "three"]);
        assert_eq!(wrap("abcdefghij", 4), ["abcd", "efgh", "ij"]);
        assert_eq!(wrap("", 4), [""]);
        assert_eq!(wrap("at the bore 122 MPa", 15), ["at the bore", "122 MPa"]);
        assert_eq!(
            wrap("in 2024, then 3 abcdefghijklmnop", 12),
            ["in 2024,", "then 3", "abcdefghijkl", "mnop"]
        );
        assert_eq!(wrap("above 605.3 N that", 13), ["above 605.3 N", "that"]);
        assert_eq!(wrap("above 605.3 N that", 14), ["above 605.3 N", "that"]);
        assert_eq!(wrap("gauge · s grown", 11), ["gauge ·", "s grown"]);
        assert_eq!(wrap("12345 67890", 6), ["12345", "67890"]);
    }
}

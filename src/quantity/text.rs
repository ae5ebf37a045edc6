//! Clean what a person typed before reading it, and quote it safely in a message.

use super::parse::QuantityError;

/// Longer than any honest quantity.
pub const LONGEST: usize = 200;

/// A typed text with one spelling for every minus, space, fraction and quote mark.
///
/// # Errors
/// The text is longer than [`LONGEST`] characters, or holds control characters or foreign digits.
pub(super) fn normalise(text: &str) -> Result<String, QuantityError> {
    let text = text.trim();
    if text.chars().nth(LONGEST).is_some() {
        return Err(QuantityError::new(format!(
            "{} is longer than {LONGEST} characters: write one value and its unit",
            quote(text)
        )));
    }
    let mut clean = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        if hidden(c) {
            return Err(QuantityError::new(format!(
                "{} holds a control character: type it again without",
                quote(text)
            )));
        }
        match c {
            '\u{2010}'..='\u{2015}' | '\u{2212}' | '\u{FE63}' | '\u{FF0D}' => clean.push('-'),
            '\u{2044}' | '\u{2215}' => clean.push('/'),
            '″' | '”' | '“' => clean.push('"'),
            '′' | '’' | '‘' => clean.push('\''),
            c if c.is_whitespace() => clean.push(' '),
            c => match vulgar(c) {
                Some(fraction) => {
                    if clean.ends_with(|last: char| last.is_ascii_digit()) {
                        clean.push(' ');
                    }
                    clean.push_str(fraction);
                    clean.push(' ');
                }
                None if c.is_numeric() && !c.is_ascii_digit() && !"²³¹".contains(c) => {
                    return Err(QuantityError::new(format!(
                        "{} holds the digit \"{c}\", which is not one of 0 to 9: type it with plain digits",
                        quote(text)
                    )));
                }
                None => clean.push(c),
            },
        }
    }
    Ok(clean.replace("''", "\"").trim().to_owned())
}

/// The text in quotation marks, cut when long, with everything a terminal could act on escaped.
///
/// ```
/// assert_eq!(proofmark::quantity::text::quote("5 \u{1b}[31mMPa"), "\"5 \\u{1b}[31mMPa\"");
/// ```
pub fn quote(text: &str) -> String {
    const SHOWN: usize = 48;
    let mut quoted = String::from("\"");
    for c in text.chars().take(SHOWN) {
        if hidden(c) {
            quoted.extend(c.escape_unicode());
        } else {
            quoted.push(c);
        }
    }
    if text.chars().nth(SHOWN).is_some() {
        quoted.push('…');
    }
    quoted.push('"');
    quoted
}

/// Control characters, and the unseen ones that reorder or hide text.
pub(crate) fn hidden(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

fn vulgar(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        '⅓' => "1/3",
        '⅔' => "2/3",
        '⅕' => "1/5",
        '⅖' => "2/5",
        '⅗' => "3/5",
        '⅘' => "4/5",
        '⅙' => "1/6",
        '⅚' => "5/6",
        '⅒' => "1/10",
        _ => return None,
    })
}

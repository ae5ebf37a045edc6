//! A drawn frame with only the characters of ASCII, for a terminal or a font that has no others. It works on the
//! finished frame, so no screen has to know. Letters of people's own words are left as they are.

use ratatui::buffer::Buffer;

/// Write every sign of this program in ASCII.
pub fn only(buffer: &mut Buffer) {
    for cell in &mut buffer.content {
        if !cell.symbol().is_ascii()
            && let Some(plain) = instead(cell.symbol())
        {
            cell.set_symbol(plain);
        }
    }
}

/// The ASCII sign for one of ours, of the same width.
fn instead(symbol: &str) -> Option<&'static str> {
    let mut chars = symbol.chars();
    let c = chars.next()?;
    if chars.next().is_some() {
        return None;
    }
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
    use ratatui::layout::Rect;
    use ratatui::style::Style;

    use super::*;

    #[test]
    fn signs_become_ascii_and_words_stay() {
        let mut buffer = Buffer::empty(Rect::new(0, 0, 24, 1));
        buffer.set_string(0, 0, "├─ 3.1× ⣿⠉⣀ … Jörg 日本", Style::new());
        only(&mut buffer);
        let text: String = buffer.content.iter().map(|cell| cell.symbol()).collect();
        assert_eq!(text.trim_end(), "+- 3.1x *'. ~ Jörg 日 本");
    }
}

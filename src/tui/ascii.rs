//! A drawn frame with only the characters of ASCII, for a terminal or a font that has no others. It works on the
//! finished frame, so no screen has to know. Letters of people's own words are left as they are.

use ratatui::buffer::Buffer;

pub use crate::report::ascii::Signs;

/// Write every sign as these allow.
pub fn only(buffer: &mut Buffer, signs: Signs) {
    for cell in &mut buffer.content {
        if let Some(plain) = signs.instead(cell.symbol()) {
            cell.set_symbol(plain);
        }
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
        only(&mut buffer, Signs::OwnInAscii);
        let text: String = buffer.content.iter().map(|cell| cell.symbol()).collect();
        assert_eq!(text.trim_end(), "+- 3.1x *'. ~ Jörg 日 本");
        only(&mut buffer, Signs::AsciiOnly);
        let text: String = buffer.content.iter().map(|cell| cell.symbol()).collect();
        assert_eq!(text.trim_end(), "+- 3.1x *'. ~ J?rg ? ?");
    }
}

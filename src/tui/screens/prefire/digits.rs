//! Digits three rows tall, for a number that is read over a shoulder.

const GLYPHS: [[&str; 3]; 10] = [
    ["█▀█", "█ █", "▀▀▀"],
    ["▀█ ", " █ ", "▀▀▀"],
    ["▀▀█", "█▀▀", "▀▀▀"],
    ["▀▀█", " ▀█", "▀▀▀"],
    ["█ █", "▀▀█", "  ▀"],
    ["█▀▀", "▀▀█", "▀▀▀"],
    ["█▀▀", "█▀█", "▀▀▀"],
    ["▀▀█", "  █", "  ▀"],
    ["█▀█", "█▀█", "▀▀▀"],
    ["█▀█", "▀▀█", "▀▀▀"],
];

/// A whole number in three rows.
pub(super) fn rows(number: &str) -> [String; 3] {
    let mut rows = [String::new(), String::new(), String::new()];
    for digit in number.chars().filter_map(|c| c.to_digit(10)) {
        if let Some(glyph) = GLYPHS.get(digit as usize) {
            for (row, part) in rows.iter_mut().zip(glyph) {
                row.push_str(part);
                row.push(' ');
            }
        }
    }
    rows
}

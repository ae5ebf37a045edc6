//! A QR code as an SVG path.

use std::fmt::Write as _;

use fast_qr::{ECL, QRBuilder};
use maud::{Markup, html};

/// Squares of quiet zone around a code (ISO/IEC 18004 asks for four).
const QUIET: usize = 4;

/// The path of the dark squares and the width of the whole, quiet zone included; `None` where the text is longer
/// than any code holds.
pub(super) fn path(text: &str) -> Option<(String, usize)> {
    let code = QRBuilder::new(text).ecl(ECL::M).build().ok()?;
    let mut path = String::new();
    for y in 0..code.size {
        let mut x = 0;
        while x < code.size {
            let start = x;
            while x < code.size && code[y][x].value() {
                x += 1;
            }
            if x > start {
                let run = x - start;
                let _ = write!(path, "M{} {}h{run}v1h-{run}z", start + QUIET, y + QUIET);
            }
            x += 1;
        }
    }
    Some((path, code.size + 2 * QUIET))
}

/// A code as its own drawing.
pub(super) fn svg(text: &str, size: &str, describes: &str) -> Markup {
    match path(text) {
        Some((path, side)) => html! {
            svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox=(format!("0 0 {side} {side}"))
                width=(size) height=(size) shape-rendering="crispEdges" {
                title { (describes) }
                rect width=(side) height=(side) fill="#fff" {}
                path d=(path) fill="#000" {}
            }
        },
        None => html! { p.small { "too long for a code" } },
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    #[test]
    fn a_code_has_its_three_finders_and_a_quiet_zone() {
        let (path, side) = super::path("MF-48-02").unwrap();
        assert_eq!(side, 21 + 8);
        // The top row of a code begins and ends with the seven dark squares of a finder.
        assert!(path.starts_with("M4 4h7v1h-7z"));
        assert!(path.contains("M18 4h7v1h-7z"));
        assert!(super::path(&"x".repeat(5000)).is_none());
    }
}

//! A serial's label: for the box, the rack and the pit, never for the stressed wall itself.

use maud::html;

use super::super::text::clean;
use super::qr;

/// A label 60 mm by 25 mm as a drawing of its own; `None` where the serial is longer than any code holds.
pub fn label_svg(serial: &str, name: Option<&str>) -> Option<String> {
    let serial = clean(serial);
    let (path, side) = qr::path(&serial)?;
    let scale = 21.0 / side as f64;
    // About 0.62 of the height is a bold letter's width: the serial shrinks to fit.
    let fit = |text: &str, most: f64| (34.0 / (0.62 * text.chars().count().max(1) as f64)).min(most);
    let name = clean(name.unwrap_or(""));
    let drawing = html! {
        svg xmlns="http://www.w3.org/2000/svg" role="img" width="60mm" height="25mm" viewBox="0 0 60 25" font-family="sans-serif" {
            title { "Label of " (serial) }
            desc { "The serial as a QR code and in letters" }
            rect x="0.3" y="0.3" width="59.4" height="24.4" rx="1.5" fill="#fff" stroke="#000" stroke-width="0.3" {}
            g transform=(format!("translate(2 2) scale({scale:.5})")) shape-rendering="crispEdges" { path d=(path) fill="#000" {} }
            text x="25" y="11" font-weight="bold" font-size=(format!("{:.2}", fit(&serial, 7.0))) { (serial) }
            text x="25" y="17" font-size=(format!("{:.2}", fit(&name, 4.0))) { (name) }
            text x="25" y="22" font-size="2.2" { "ask the book before firing: proofmark" }
        }
    };
    Some(format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}\n", drawing.into_string()))
}

/// The label as text: the code in half blocks with the serial under it.
pub fn label_text(serial: &str, name: Option<&str>) -> Option<String> {
    use fast_qr::{ECL, QRBuilder};
    let serial = clean(serial);
    let code = QRBuilder::new(serial.as_str()).ecl(ECL::M).build().ok()?;
    // Light squares are drawn, dark ones left out: right on a dark terminal, and readable by most phones on a light one.
    let quiet = 2_isize;
    let size = code.size as isize;
    let dark = |x: isize, y: isize| {
        (0..size).contains(&x) && (0..size).contains(&y) && code[y as usize][x as usize].value()
    };
    let mut out = String::new();
    let mut y = -quiet;
    while y < size + quiet {
        for x in -quiet..size + quiet {
            let below = y + 1 < size + quiet && !dark(x, y + 1);
            out.push(match (!dark(x, y), below) {
                (true, true) => '█',
                (true, false) => '▀',
                (false, true) => '▄',
                (false, false) => ' ',
            });
        }
        out.push('\n');
        y += 2;
    }
    out.push_str(&format!("{serial} {}\n", clean(name.unwrap_or(""))).replace(" \n", "\n"));
    Some(out)
}

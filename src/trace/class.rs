//! Letter classes by total impulse.

use serde::Serialize;

/// A letter class and where in it an impulse lies.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ImpulseClass {
    /// "1/8A", "1/4A", "1/2A", "A" … "Z", "AA", "AB" …
    pub letter: String,
    /// The class begins above this.
    pub lower_ns: f64,
    /// The class ends at this, which still belongs to it.
    pub upper_ns: f64,
    /// How far through the class, from its lower bound (0) to its upper (100).
    pub percent_of_class: f64,
}

/// The letter class of a total impulse.
///
/// Each class ends at twice the impulse of the one before and its upper bound belongs to it:
/// `upper = 2.5 N·s · 2^k`, k = 0 for A, 1 for B … Below A the class is halved: 1/2A to 1.25, 1/4A to 0.625,
/// 1/8A to 0.3125 N·s, and whatever is smaller is called 1/8A too. After Z come AA, AB …
///
/// Valid for 0 < impulse < 1e15 N·s; outside, and for what is not a number, there is no class (`None`).
///
/// Source: NFPA 1125, the class table (A 1.26–2.50 N·s, each doubling; published to two decimals, so that an
/// impulse of exactly the upper figure stays in its class). O ends at 40 960 N·s; letters beyond continue the
/// doubling.
///
/// ```
/// use proofmark::trace::impulse_class;
/// let letter = |ns| impulse_class(ns).map(|class| class.letter);
/// assert_eq!(letter(640.0).as_deref(), Some("I"));
/// assert_eq!(letter(640.01).as_deref(), Some("J"));
/// assert_eq!(letter(1.25).as_deref(), Some("1/2A"));
/// assert_eq!(letter(f64::NAN), None);
/// ```
pub fn impulse_class(impulse_ns: f64) -> Option<ImpulseClass> {
    if !(impulse_ns > 0.0 && impulse_ns < 1e15) {
        return None;
    }
    let mut upper_ns = 0.3125;
    let mut step = 0usize;
    while impulse_ns > upper_ns {
        upper_ns *= 2.0;
        step += 1;
    }
    let letter = match step {
        0 => "1/8A".to_owned(),
        1 => "1/4A".to_owned(),
        2 => "1/2A".to_owned(),
        _ => letters(step - 3),
    };
    let lower_ns = if step == 0 { 0.0 } else { upper_ns / 2.0 };
    Some(ImpulseClass {
        letter,
        lower_ns,
        upper_ns,
        percent_of_class: 100.0 * (impulse_ns - lower_ns) / (upper_ns - lower_ns),
    })
}

/// A … Z, AA, AB … as a spreadsheet counts its columns.
fn letters(mut index: usize) -> String {
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(b'A' + u8::try_from(index % 26).unwrap_or(0)));
        if index < 26 {
            break;
        }
        index = index / 26 - 1;
    }
    letters.iter().rev().collect()
}

/// Letter and mean thrust in whole newtons, as on a motor's label: "J565".
pub fn designation(letter: &str, mean_thrust_n: f64) -> String {
    format!("{letter}{mean_thrust_n:.0}")
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// NFPA 1125 class table (check T8-01).
    #[test]
    fn published_bounds() {
        for (ns, letter) in [
            (1.25, "1/2A"),
            (1.26, "A"),
            (2.5, "A"),
            (2.51, "B"),
            (160.0, "G"),
            (160.01, "H"),
            (640.0, "I"),
            (640.01, "J"),
            (10240.0, "M"),
            (10240.01, "N"),
            (40960.0, "O"),
            (40960.1, "P"),
            (0.3, "1/8A"),
            (0.5, "1/4A"),
            (889_600.0, "T"),
        ] {
            assert_eq!(impulse_class(ns).unwrap().letter, letter, "{ns}");
        }
        assert_eq!(letters(25), "Z");
        assert_eq!(letters(26), "AA");
        assert_eq!(letters(27), "AB");
    }

    #[test]
    fn place_in_the_class() {
        let class = impulse_class(960.0).unwrap();
        assert_eq!((class.lower_ns, class.upper_ns, class.percent_of_class), (640.0, 1280.0, 50.0));
        assert_eq!(designation(&class.letter, 564.6), "J565");
    }

    #[test]
    fn no_class_outside() {
        for ns in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(impulse_class(ns), None);
        }
    }
}

//! Number and letter drill sizes: "#7" and "U" are diameters in inches.
//!
//! Sizes of ASME B94.11M-1993 (twist drills), numbers 1 to 97 and letters A to Z. The rows were entered from
//! memory of that table and compared with printed shop charts for numbers 65 to 80, the common tap drills and
//! the ends of both series; a pin gauge on the very drill is the better witness.

use super::table::INCH_M;

/// Diameters of number drills 1 to 97, in ten-thousandths of an inch.
#[rustfmt::skip] // ten a line, so that a row can be checked against the printed table
const NUMBERS: [u16; 97] = [
    2280, 2210, 2130, 2090, 2055, 2040, 2010, 1990, 1960, 1935,
    1910, 1890, 1850, 1820, 1800, 1770, 1730, 1695, 1660, 1610,
    1590, 1570, 1540, 1520, 1495, 1470, 1440, 1405, 1360, 1285,
    1200, 1160, 1130, 1110, 1100, 1065, 1040, 1015,  995,  980,
     960,  935,  890,  860,  820,  810,  785,  760,  730,  700,
     670,  635,  595,  550,  520,  465,  430,  420,  410,  400,
     390,  380,  370,  360,  350,  330,  320,  310,  292,  280,
     260,  250,  240,  225,  210,  200,  180,  160,  145,  135,
     130,  125,  120,  115,  110,  105,  100,   95,   91,   87,
      83,   79,   75,   71,   67,   63,   59,
];

/// Diameters of letter drills A to Z, in thousandths of an inch.
#[rustfmt::skip]
const LETTERS: [u16; 26] = [
    234, 238, 242, 246, 250, 257, 261, 266, 272, 277, 281, 290, 295,
    302, 316, 323, 332, 339, 348, 358, 368, 377, 386, 397, 404, 413,
];

/// The largest number in the table.
pub const LAST_NUMBER: u32 = 97;

/// Diameter of a number drill in inches.
///
/// ```
/// assert_eq!(proofmark::quantity::drills::number(7), Some(0.2010));
/// assert_eq!(proofmark::quantity::drills::number(98), None);
/// ```
pub fn number(number: u32) -> Option<f64> {
    let index = usize::try_from(number.checked_sub(1)?).ok()?;
    NUMBERS.get(index).map(|size| f64::from(*size) / 1e4)
}

/// Diameter of a letter drill in inches.
///
/// ```
/// assert_eq!(proofmark::quantity::drills::letter('u'), Some(0.368));
/// ```
pub fn letter(letter: char) -> Option<f64> {
    let index = u32::from(letter.to_ascii_uppercase()).checked_sub(u32::from('A'))?;
    LETTERS.get(usize::try_from(index).ok()?).map(|size| f64::from(*size) / 1e3)
}

/// What a text says about a drill.
#[derive(Clone, Debug, PartialEq)]
pub enum Drill {
    /// A drill of this diameter in metres; `name` is "#7 drill" or "letter U drill".
    Size {
        /// How the program writes it.
        name: String,
        /// Diameter in metres.
        diameter_m: f64,
    },
    /// Words for a drill, but no such size.
    NoSuch,
    /// Not about a drill.
    Other,
}

/// Recognise "#7", "#7 drill", "no. 7 drill", "letter U", "U drill", "drill U".
///
/// A lone number or letter is not a drill: it needs a word or a sign that says so.
pub fn recognise(text: &str) -> Drill {
    let spaced = text.to_lowercase().replace('#', " # ").replace("no.", " no ");
    let (mut said_number, mut said_letter, mut said_drill) = (false, false, false);
    let mut size = None;
    for word in spaced.split_whitespace() {
        match word {
            "#" | "no" | "number" | "num" if !said_number => said_number = true,
            "letter" if !said_letter => said_letter = true,
            "drill" | "bit" if !said_drill => said_drill = true,
            "size" if said_drill || said_letter || said_number => {}
            _ if size.is_none() => size = Some(word.to_owned()),
            _ => return Drill::Other,
        }
    }
    let Some(size) = size else { return Drill::Other };
    if !(said_number || said_letter || said_drill) {
        return Drill::Other;
    }
    let mut chars = size.chars();
    if let (Some(first), None) = (chars.next(), chars.next())
        && first.is_alphabetic()
    {
        return match letter(first) {
            Some(inches) if !said_number => Drill::Size {
                name: format!("letter {} drill", first.to_ascii_uppercase()),
                diameter_m: inches * INCH_M,
            },
            _ => Drill::NoSuch,
        };
    }
    if size.chars().all(|c| c.is_ascii_digit()) {
        return match size.parse().ok().and_then(number) {
            Some(inches) if !said_letter => {
                Drill::Size { name: format!("#{size} drill"), diameter_m: inches * INCH_M }
            }
            _ => Drill::NoSuch,
        };
    }
    if said_number || said_letter { Drill::NoSuch } else { Drill::Other }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_tables_fall_and_rise_and_sum_to_what_was_checked() {
        assert!(NUMBERS.windows(2).all(|pair| pair[0] > pair[1]));
        assert!(LETTERS.windows(2).all(|pair| pair[0] < pair[1]));
        assert_eq!(usize::try_from(LAST_NUMBER).unwrap(), NUMBERS.len());
        assert_eq!(NUMBERS.iter().map(|size| u32::from(*size)).sum::<u32>(), 84_212);
        assert_eq!(LETTERS.iter().map(|size| u32::from(*size)).sum::<u32>(), 8_072);
    }

    #[test]
    fn known_sizes() {
        for (at, inches) in [(1, 0.228), (7, 0.201), (29, 0.136), (43, 0.089), (80, 0.0135), (97, 0.0059)] {
            assert_eq!(number(at), Some(inches), "#{at}");
        }
        for (at, inches) in
            [('A', 0.234), ('F', 0.257), ('O', 0.316), ('P', 0.323), ('U', 0.368), ('V', 0.377)]
        {
            assert_eq!(letter(at), Some(inches), "{at}");
        }
        assert_eq!((letter('Z'), letter('ß'), letter('1')), (Some(0.413), None, None));
        assert_eq!((number(0), number(98)), (None, None));
    }

    #[test]
    fn the_ways_a_drill_is_typed() {
        for text in ["#7", "# 7", "#7 drill", "no. 7 drill", "No 7", "number 7 drill", "drill #7", "7 drill"]
        {
            assert_eq!(
                recognise(text),
                Drill::Size { name: "#7 drill".to_owned(), diameter_m: 0.201 * INCH_M },
                "{text}"
            );
        }
        for text in ["letter U drill", "letter U", "u drill", "drill U", "drill letter U"] {
            assert_eq!(
                recognise(text),
                Drill::Size { name: "letter U drill".to_owned(), diameter_m: 0.368 * INCH_M },
                "{text}"
            );
        }
        for text in ["#0", "#98", "#7/8", "letter 7", "# U", "#99999999999999999999"] {
            assert_eq!(recognise(text), Drill::NoSuch, "{text}");
        }
        for text in ["7", "U", "", "drill", "#", "5 mm drill", "27/64 drill", "2 in"] {
            assert_eq!(recognise(text), Drill::Other, "{text}");
        }
    }
}

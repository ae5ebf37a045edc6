//! Decimal numbers out of bytes, fast where the number is an everyday one and right always.

/// Powers of ten a double holds exactly.
const EXACT_POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
    1e19, 1e20, 1e21, 1e22,
];

/// Powers of ten for up to eight digits.
const WHOLE_POWERS: [u64; 16] =
    [1, 10, 100, 1_000, 10_000, 100_000, 1_000_000, 10_000_000, 100_000_000, 0, 0, 0, 0, 0, 0, 0];

/// Reads a decimal number at the start of `bytes`; gives it and how many bytes it took.
///
/// A decimal point is `.`, and `,` too where `comma` says that a comma does not separate cells. A number of
/// up to 19 digits whose digits fit 53 bits is one exact integer and one exact power of ten, so a single
/// division rounds it correctly; anything harder goes to `str::parse`. Words ("nan", "inf") are no numbers.
#[inline]
pub fn leading_number(bytes: &[u8], comma: bool) -> Option<(f64, usize)> {
    let mut at = 0;
    let mut negative = false;
    match bytes.first() {
        Some(b'-') => {
            negative = true;
            at = 1;
        }
        Some(b'+') => at = 1,
        _ => {}
    }
    let mut mantissa: u64 = 0;
    let mut digits = take_digits(bytes, &mut at, &mut mantissa);
    let mut decimals = 0;
    if let Some(&mark) = bytes.get(at)
        && (mark == b'.' || (comma && mark == b',' && bytes.get(at + 1).is_some_and(u8::is_ascii_digit)))
    {
        at += 1;
        decimals = take_digits(bytes, &mut at, &mut mantissa);
        digits += decimals;
    }
    if digits == 0 {
        return None;
    }
    let plain = !matches!(bytes.get(at), Some(b'e' | b'E' | b'd' | b'D'));
    if plain && digits <= 19 && mantissa < (1 << 53) {
        let value = if decimals == 0 {
            mantissa as f64
        } else {
            mantissa as f64 / EXACT_POWERS.get(decimals).copied().unwrap_or(1.0)
        };
        return Some((if negative { -value } else { value }, at));
    }
    hard_number(bytes, at)
}

/// Adds the digits at `at` to the mantissa, eight at a time where there are eight bytes to look at; gives how
/// many there were.
#[inline]
fn take_digits(bytes: &[u8], at: &mut usize, mantissa: &mut u64) -> usize {
    let start = *at;
    while let Some(eight) = bytes.get(*at..).and_then(<[u8]>::first_chunk::<8>) {
        // Digits become 0…9; a byte that is none sets its top bit in `other`.
        let x = u64::from_le_bytes(*eight) ^ 0x3030_3030_3030_3030;
        let other = (x.wrapping_add(0x7676_7676_7676_7676) | x) & 0x8080_8080_8080_8080;
        let count = (other.trailing_zeros() / 8) as usize;
        if count == 0 {
            return *at - start;
        }
        // Push the digits to the end of the word, zeros in front, and add neighbours: 10, 100, 10 000.
        let mut v = x << (64 - 8 * count);
        v = (v & 0x0f0f_0f0f_0f0f_0f0f).wrapping_mul(2561) >> 8;
        v = (v & 0x00ff_00ff_00ff_00ff).wrapping_mul(6_553_601) >> 16;
        v = (v & 0x0000_ffff_0000_ffff).wrapping_mul(42_949_672_960_001) >> 32;
        *mantissa = mantissa.wrapping_mul(WHOLE_POWERS[count & 15]).wrapping_add(v);
        *at += count;
        if count < 8 {
            return *at - start;
        }
    }
    while let Some(&byte) = bytes.get(*at) {
        let digit = byte.wrapping_sub(b'0');
        if digit > 9 {
            break;
        }
        *mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(digit));
        *at += 1;
    }
    *at - start
}

/// The slow way: exponents and long digit strings, by the standard library.
#[cold]
fn hard_number(bytes: &[u8], mut at: usize) -> Option<(f64, usize)> {
    if matches!(bytes.get(at), Some(b'e' | b'E' | b'd' | b'D')) {
        let mut end = at + 1;
        if matches!(bytes.get(end), Some(b'+' | b'-')) {
            end += 1;
        }
        let digits = bytes[end..].iter().take_while(|b| b.is_ascii_digit()).count();
        if digits > 0 {
            at = end + digits;
        }
    }
    let digits = &bytes[..at];
    let plain = std::str::from_utf8(digits).ok().and_then(|text| text.parse::<f64>().ok());
    let value = match plain {
        Some(value) => value,
        None => {
            let text: String = digits
                .iter()
                .map(|&b| match b {
                    b',' => '.',
                    b'd' | b'D' => 'e',
                    other => char::from(other),
                })
                .collect();
            text.parse().ok()?
        }
    };
    value.is_finite().then_some((value, at))
}

/// A whole cell as a number: blanks and one pair of quotes around it are allowed, nothing else is.
pub fn whole_number(cell: &[u8], comma: bool) -> Option<f64> {
    let cell = trim(cell);
    let cell = match cell {
        [b'"', inner @ .., b'"'] => trim(inner),
        other => other,
    };
    match leading_number(cell, comma) {
        Some((value, used)) if used == cell.len() => Some(value),
        _ => None,
    }
}

/// Without blanks at either end.
pub fn trim(mut cell: &[u8]) -> &[u8] {
    while let [b' ' | b'\t' | b'\r', rest @ ..] = cell {
        cell = rest;
    }
    while let [rest @ .., b' ' | b'\t' | b'\r'] = cell {
        cell = rest;
    }
    cell
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn numbers_as_loggers_write_them() {
        for (text, expected) in [
            ("0", 0.0),
            ("-1.5000", -1.5),
            ("+.5", 0.5),
            ("5.", 5.0),
            ("0,248832", 0.248832),
            ("1e-3", 1e-3),
            ("-1.25E+2", -125.0),
            ("\"12.5\"", 12.5),
            (" 7 ", 7.0),
            ("123456789012345678901234567890", 123456789012345678901234567890.0),
            ("0.1234567890123456789", 0.123_456_789_012_345_68),
        ] {
            assert_eq!(whole_number(text.as_bytes(), true), Some(expected), "{text}");
        }
        for text in ["", "-", ".", "nan", "inf", "1.2.3", "12 3", "1,2,3", "0x10", "1e", "1e999", "5,"] {
            assert_eq!(whole_number(text.as_bytes(), true), None, "{text}");
        }
        assert_eq!(whole_number(b"1,5", false), None);
    }

    proptest! {
        #[test]
        fn agrees_with_the_standard_library(value in proptest::num::f64::NORMAL, digits in 0usize..20) {
            let short = format!("{:.*}", digits, value % 1e9);
            prop_assert_eq!(whole_number(short.as_bytes(), false), short.parse().ok());
            let full = format!("{value:e}");
            prop_assert_eq!(whole_number(full.as_bytes(), false), full.parse().ok());
        }

        #[test]
        fn never_panics(bytes in proptest::collection::vec(any::<u8>(), 0..40), comma: bool) {
            if let Some(value) = whole_number(&bytes, comma) {
                prop_assert!(value.is_finite());
            }
        }
    }
}

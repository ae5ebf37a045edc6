//! Read a number as people type one: "5,2", "1.234,5", "1 3/4", "27/64", "3.5e6".
//!
//! A comma is a decimal comma or a thousands mark; where it could be either ("1,234") the reader asks. A
//! lone point is always a decimal point.

use super::parse::QuantityError;
use super::text::{normalise, quote};

/// A number at the start of a text.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scanned {
    /// Its value, finite.
    pub value: f64,
    /// How many bytes it took.
    pub len: usize,
    /// Whether it was written as a fraction, which in a shop means inches.
    pub fraction: bool,
}

/// Why there is no number.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Fault {
    /// The text does not start with one.
    NotANumber,
    /// What is wrong with it, as the end of a sentence that began with the quoted text.
    Bad(String),
}

/// Read a plain number.
///
/// # Errors
/// The text is not one finite number; a unit, a percent sign or an ambiguous comma is refused.
///
/// ```
/// use proofmark::quantity::number::parse_number;
/// assert_eq!(parse_number("5,2").unwrap(), 5.2);
/// assert_eq!(parse_number("1 3/4").unwrap(), 1.75);
/// assert!(parse_number("1,234").unwrap_err().message.contains("1234"));
/// ```
pub fn parse_number(text: &str) -> Result<f64, QuantityError> {
    let clean = normalise(text)?;
    let scanned = scan(&clean).map_err(|fault| complain(text, fault, NUMBER_EXAMPLES))?;
    match clean.get(scanned.len..).map(str::trim) {
        Some("") => Ok(scanned.value),
        rest => Err(QuantityError::new(format!(
            "{} is a number with {} after it; {NUMBER_EXAMPLES}",
            quote(text.trim()),
            quote(rest.unwrap_or_default())
        ))),
    }
}

/// Read a ratio: a number, or a percentage, which is divided by 100.
///
/// # Errors
/// As [`parse_number`].
///
/// ```
/// use proofmark::quantity::number::parse_ratio;
/// assert_eq!(parse_ratio("0.5 %").unwrap(), 0.005);
/// assert_eq!(parse_ratio("0.95").unwrap(), 0.95);
/// ```
pub fn parse_ratio(text: &str) -> Result<f64, QuantityError> {
    let trimmed = text.trim();
    let bare = trimmed.strip_suffix('%').or_else(|| trimmed.strip_suffix("percent"));
    match bare {
        Some(percent) if !percent.trim().is_empty() => Ok(parse_number(percent)? / 100.0),
        _ => parse_number(text),
    }
}

/// Read a whole number, zero or more.
///
/// # Errors
/// The text is not digits; groups of three may be set off by a comma, a space or an underscore.
///
/// ```
/// use proofmark::quantity::number::parse_whole;
/// assert_eq!(parse_whole("1,000").unwrap(), 1000);
/// assert!(parse_whole("2.5").is_err());
/// ```
pub fn parse_whole(text: &str) -> Result<u64, QuantityError> {
    let clean = normalise(text)?;
    let wrong = || {
        QuantityError::new(format!("{} is not a whole number, such as \"8\" or \"1000\"", quote(text.trim())))
    };
    let groups: Vec<&str> = clean.split([',', ' ', '_']).collect();
    let digits = groups.concat();
    let grouped = groups.len() == 1 || thousands(&groups);
    if digits.is_empty() || !grouped || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(wrong());
    }
    digits.parse().map_err(|_| {
        QuantityError::new(format!("{} is too large: the most is {}", quote(text.trim()), u64::MAX))
    })
}

const NUMBER_EXAMPLES: &str = "a plain number is typed like \"0.36\", \"5,2\" or \"1 3/4\"";

/// A fault as a whole message, with what would be accepted.
pub(super) fn complain(text: &str, fault: Fault, accepted: &str) -> QuantityError {
    let quoted = quote(text.trim());
    QuantityError::new(match fault {
        Fault::NotANumber if text.trim().is_empty() => format!("nothing was typed; {accepted}"),
        Fault::NotANumber => format!("{quoted} does not start with a number; {accepted}"),
        Fault::Bad(why) => format!("{quoted} {why}; {accepted}"),
    })
}

/// The number at the start of a normalised text.
pub(super) fn scan(text: &str) -> Result<Scanned, Fault> {
    let bytes = text.as_bytes();
    let at = |index: usize| bytes.get(index).copied().unwrap_or(0);
    let digit = |index: usize| at(index).is_ascii_digit();
    let mut here = 0;
    let negative = at(0) == b'-';
    if negative || at(0) == b'+' {
        here += 1;
        while at(here) == b' ' {
            here += 1;
        }
    }
    let mut body = String::new();
    let mut spaced = false;
    loop {
        match at(here) {
            byte if byte.is_ascii_digit() => body.push(char::from(byte)),
            b'_' if here > 0 && digit(here - 1) && digit(here + 1) => {}
            mark @ (b'.' | b',') if digit(here + 1) => body.push(char::from(mark)),
            b'.' if here > 0 && digit(here - 1) && !matches!(at(here + 1), b'.' | b',') => body.push('.'),
            // "1 234,5": a space sets off exactly three digits, and no fraction follows them.
            b' ' if (1..=3).contains(&body.len()) || spaced => {
                let three = digit(here + 1) && digit(here + 2) && digit(here + 3);
                let fits = !body.contains(['.', ',']) && digit(here.wrapping_sub(1));
                if !(three && fits) || digit(here + 4) || at(here + 4) == b'/' {
                    break;
                }
                spaced = true;
            }
            _ => break,
        }
        here += 1;
    }
    if !body.bytes().any(|byte| byte.is_ascii_digit()) {
        return Err(Fault::NotANumber);
    }
    let whole = !spaced && body.bytes().all(|byte| byte.is_ascii_digit());
    if whole && let Some(result) = fraction(text, here, &body) {
        let (value, len) = result?;
        return Ok(Scanned { value: if negative { -value } else { value }, len, fraction: true });
    }
    let mut plain = decimal(&body, spaced)?;
    if matches!(at(here), b'e' | b'E') {
        let signed = matches!(at(here + 1), b'+' | b'-');
        let mut end = here + 1 + usize::from(signed);
        if digit(end) {
            while digit(end) {
                end += 1;
            }
            plain.push_str(text.get(here..end).unwrap_or_default());
            here = end;
        }
    }
    let value: f64 = plain.parse().map_err(|_| Fault::NotANumber)?;
    if !value.is_finite() {
        return Err(Fault::Bad("is too large a number".to_owned()));
    }
    let mantissa = plain.split(['e', 'E']).next().unwrap_or_default();
    if value == 0.0 && mantissa.bytes().any(|byte| (b'1'..=b'9').contains(&byte)) {
        return Err(Fault::Bad("is too small a number".to_owned()));
    }
    Ok(Scanned { value: if negative { -value } else { value }, len: here, fraction: false })
}

/// "27/64" or "1 3/4", "1-3/4", "1+3/4" whose first digits end at `here`; `None` when no fraction follows.
fn fraction(text: &str, here: usize, first: &str) -> Option<Result<(f64, usize), Fault>> {
    let after = text.get(here..)?;
    let (whole, top, rest) = match after.strip_prefix('/') {
        Some(rest) => ("0", first, rest),
        None => {
            let spaceless = after.trim_start_matches(' ');
            let next =
                if spaceless.len() < after.len() { spaceless } else { after.strip_prefix(['-', '+'])? };
            let (top, rest) = next.split_at(leading_digits(next));
            (first, top, rest.strip_prefix('/')?)
        }
    };
    let (bottom, rest) = rest.split_at(leading_digits(rest));
    if top.is_empty() || bottom.is_empty() {
        return None;
    }
    let bad = |why: &str| Some(Err(Fault::Bad(why.to_owned())));
    if rest.starts_with(['/', '.', ',', '_']) {
        return bad("is not a fraction of two whole numbers");
    }
    let (Ok(whole), Ok(top), Ok(bottom)) = (whole.parse::<u32>(), top.parse::<u32>(), bottom.parse::<u32>())
    else {
        return bad("has a fraction with too many digits");
    };
    if bottom == 0 {
        return bad("divides by zero");
    }
    if first.len() != text.len() && after.strip_prefix('/').is_none() && top >= bottom {
        return bad("adds a fraction of one or more to a whole number");
    }
    let value = (f64::from(whole) * f64::from(bottom) + f64::from(top)) / f64::from(bottom);
    Some(Ok((value, text.len() - rest.len())))
}

fn leading_digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// The digits with a decimal point, thousands marks taken out.
fn decimal(body: &str, spaced: bool) -> Result<String, Fault> {
    let (commas, points) = (body.matches(',').count(), body.matches('.').count());
    let comma_is_last = body.rfind(',') > body.rfind('.');
    let unclear = || Fault::Bad("mixes commas and points in no order that makes a number".to_owned());
    let split = |mark: char| body.rsplit_once(mark).unwrap_or((body, ""));
    match (commas, points) {
        (0, 0 | 1) => Ok(body.to_owned()),
        (1, 0) => {
            let (whole, part) = split(',');
            if part.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0') && !spaced {
                return Err(Fault::Bad(format!(
                    "could be {whole}.{part} or {whole}{part}: write \"{whole}.{part}\" or \"{whole}{part}\""
                )));
            }
            Ok(format!("{whole}.{part}"))
        }
        (1, _) if comma_is_last => join(split(','), '.').ok_or_else(unclear),
        (_, 1) if !comma_is_last => join(split('.'), ',').ok_or_else(unclear),
        (_, 0) => join((body, ""), ',').ok_or_else(unclear),
        (0, _) => join((body, ""), '.').ok_or_else(unclear),
        _ => Err(unclear()),
    }
}

fn join((whole, part): (&str, &str), mark: char) -> Option<String> {
    let groups: Vec<&str> = whole.split(mark).collect();
    thousands(&groups).then(|| format!("{}.{part}", groups.concat()))
}

fn thousands(groups: &[&str]) -> bool {
    match groups {
        [first, rest @ ..] => {
            (1..=3).contains(&first.len()) && !rest.is_empty() && rest.iter().all(|group| group.len() == 3)
        }
        [] => false,
    }
}

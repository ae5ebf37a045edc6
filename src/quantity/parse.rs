//! Read a quantity as a person types it.
//!
//! "1 3/4 in", "27/64\"", "#7 drill", "1 lb 14 oz", "5'2\"", "5,2 MPa", "750 psia", "176 degC". A sign is
//! accepted here; [`Typed::parse`] refuses what cannot be negative.

use super::Typed;
use super::drills::{self, Drill};
use super::number::{self, Fault, scan};
use super::text::{normalise, quote};
use super::types::{Quantity, STANDARD_ATMOSPHERE_PA};
use super::units::{Dimension, Lookup, Reference, Unit, find, look_up};

/// What was read: the SI value, with what was said about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Parsed {
    /// The value in SI.
    pub si: f64,
    /// The symbol of the (first) unit typed, or of the default that was taken; for a drill its name.
    pub unit: String,
    /// For pressures, what it was said to be measured from.
    pub reference: Reference,
}

/// Why a text is not the quantity asked for. The message says what was read and what would be accepted.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct QuantityError {
    /// The whole message.
    pub message: String,
}

impl QuantityError {
    pub(super) fn new(message: String) -> Self {
        Self { message }
    }
}

/// Read a quantity of the given dimension; a bare number takes the default unit, or is refused without one.
///
/// # Errors
/// The text is not one finite quantity of that dimension.
///
/// ```
/// use proofmark::quantity::{Dimension, parse_quantity};
/// let length = parse_quantity("1 3/4 in", Dimension::Length, None).unwrap();
/// assert_eq!((length.si, length.unit.as_str()), (1.75 * 0.0254, "in"));
/// let refused = parse_quantity("66.68", Dimension::Length, None).unwrap_err();
/// assert!(refused.message.starts_with("\"66.68\" has no unit: write \"66.68 mm\" or \"66.68 in\""));
/// ```
pub fn parse_quantity(
    text: &str,
    dimension: Dimension,
    default_unit: Option<&str>,
) -> Result<Parsed, QuantityError> {
    let clean = normalise(text)?;
    match drills::recognise(&clean) {
        Drill::Size { name, diameter_m } if dimension == Dimension::Length => {
            return Ok(Parsed { si: diameter_m, unit: name, reference: Reference::Unstated });
        }
        Drill::Size { .. } => return Err(wrong_dimension(text, Dimension::Length, dimension)),
        Drill::NoSuch => {
            return Err(QuantityError::new(format!(
                "{} is no drill size: numbers run from #1 to #{}, letters from A to Z",
                quote(text.trim()),
                drills::LAST_NUMBER
            )));
        }
        Drill::Other => {}
    }
    let (clean, default_unit) = match without_drill(&clean) {
        // A fraction before "drill" is an inch size by custom.
        Some(size) if dimension == Dimension::Length => (size, size.contains('/').then_some("in")),
        _ => (clean.as_str(), default_unit),
    };
    let terms = read_terms(text, clean, dimension, default_unit)?;
    combine(text, dimension, &terms)
}

impl<Q: Quantity> Typed<Q> {
    /// Read a typed quantity; a pressure said to be absolute where gauge is asked (or the reverse) is
    /// moved by one standard atmosphere, because the person said so. Where the default unit was taken, it is
    /// added to the words kept.
    ///
    /// # Errors
    /// As [`parse_field`].
    ///
    /// ```
    /// use proofmark::quantity::{GaugePressure, Typed};
    /// let meop = Typed::<GaugePressure>::parse("5.16 MPa abs", None).unwrap();
    /// assert_eq!(meop.si(), 5_160_000.0 - 101_325.0);
    /// assert_eq!(meop.typed.as_deref(), Some("5.16 MPa abs"));
    /// ```
    pub fn parse(text: &str, default_unit: Option<&str>) -> Result<Self, QuantityError> {
        let si = parse_field(text, Q::DIMENSION, Q::ABSOLUTE, default_unit)?;
        let mut typed = text.trim().to_owned();
        if let Some(unit) = default_unit
            && parse_quantity(text, Q::DIMENSION, None).is_err()
        {
            // The book keeps words that can be read again without knowing the field's default.
            typed = format!("{typed} {unit}");
        }
        Ok(Self { value: Q::from_si(si), typed: Some(typed) })
    }
}

/// Read what a field takes, in SI: as [`Typed::parse`] does, for a dimension known only at run time.
/// `absolute` says what a pressure is measured from: `Some(false)` gauge, `Some(true)` absolute, `None` a stress.
///
/// # Errors
/// As [`parse_quantity`]; also a value below [`lowest`], and gauge or absolute said of a stress.
///
/// ```
/// use proofmark::quantity::{Dimension, parse_field};
/// assert_eq!(parse_field("0 barg", Dimension::Pressure, Some(true), None).unwrap(), 101_325.0);
/// assert!(parse_field("-3 mm", Dimension::Length, None, None).is_err());
/// ```
pub fn parse_field(
    text: &str,
    dimension: Dimension,
    absolute: Option<bool>,
    default_unit: Option<&str>,
) -> Result<f64, QuantityError> {
    let parsed = parse_quantity(text, dimension, default_unit)?;
    let mut si = match (absolute, parsed.reference) {
        (Some(false), Reference::Absolute) => parsed.si - STANDARD_ATMOSPHERE_PA,
        (Some(true), Reference::Gauge) => parsed.si + STANDARD_ATMOSPHERE_PA,
        (None, Reference::Gauge | Reference::Absolute) => {
            return Err(QuantityError::new(format!(
                "{} is a pressure above {}, but a stress or strength is asked for: write it without that word",
                quote(text.trim()),
                if parsed.reference == Reference::Gauge { "the atmosphere" } else { "vacuum" },
            )));
        }
        _ => parsed.si,
    };
    if let Some(least) = lowest(dimension, absolute)
        && si < least
    {
        // Absolute zero typed in degrees Fahrenheit may miss by a rounding.
        let rounding = if dimension == Dimension::Temperature { 1e-9 } else { 0.0 };
        if si < least - rounding {
            return Err(too_low(text, dimension, absolute));
        }
        si = least;
    }
    Ok(si)
}

/// The least SI value a typed quantity may have, where nature sets one.
///
/// Zero for sizes, masses, times, densities, resistances, strengths and all that cannot be less than
/// nothing; absolute zero; vacuum. A gauge pressure may go down to one standard atmosphere below the
/// surroundings. `None` for force, impulse, speed, energy, angle, voltage, expansion and a difference.
pub const fn lowest(dimension: Dimension, absolute: Option<bool>) -> Option<f64> {
    match dimension {
        Dimension::Force
        | Dimension::Impulse
        | Dimension::Speed
        | Dimension::Energy
        | Dimension::Angle
        | Dimension::Voltage
        | Dimension::Expansion
        | Dimension::TemperatureDifference => None,
        Dimension::Pressure => match absolute {
            Some(false) => Some(-STANDARD_ATMOSPHERE_PA),
            _ => Some(0.0),
        },
        _ => Some(0.0),
    }
}

fn too_low(text: &str, dimension: Dimension, absolute: Option<bool>) -> QuantityError {
    let quoted = quote(text.trim());
    QuantityError::new(match (dimension, absolute) {
        (Dimension::Temperature, _) => format!("{quoted} is below absolute zero; {}", accepted(dimension)),
        (Dimension::Pressure, Some(_)) => format!("{quoted} is below a vacuum; {}", accepted(dimension)),
        (Dimension::Pressure, None) => format!("{quoted}: a stress or strength here is not negative"),
        _ => format!("{quoted}: {} cannot be negative; {}", dimension.noun(), accepted(dimension)),
    })
}

/// "a length is typed like "66.68 mm", "2 5/8 in" or "#7 drill"".
pub(super) fn accepted(dimension: Dimension) -> String {
    let [one, two, three] = dimension.examples();
    format!("{} is typed like \"{one}\", \"{two}\" or \"{three}\"", dimension.noun())
}

struct Term {
    value: f64,
    unit: &'static Unit,
    reference: Reference,
}

fn without_drill(clean: &str) -> Option<&str> {
    let cut = clean.len().checked_sub(6)?;
    let (size, word) = (clean.get(..cut)?, clean.get(cut..)?);
    word.eq_ignore_ascii_case(" drill").then(|| size.trim())
}

fn read_terms(
    text: &str,
    clean: &str,
    dimension: Dimension,
    default_unit: Option<&str>,
) -> Result<Vec<Term>, QuantityError> {
    let complain = |fault| number::complain(text, fault, &accepted(dimension));
    let mut terms: Vec<Term> = Vec::new();
    let mut rest = clean;
    loop {
        let scanned = scan(rest).map_err(complain)?;
        if !terms.is_empty() && scanned.value.is_sign_negative() {
            return Err(complain(Fault::Bad("has a minus sign in the middle".to_owned())));
        }
        let number = rest.get(..scanned.len).unwrap_or_default();
        rest = rest.get(scanned.len..).unwrap_or_default().trim_start();
        if rest.is_empty() {
            let unit = default_unit.filter(|_| terms.is_empty()).and_then(|unit| find(unit, dimension));
            let Some(unit) = unit else { return Err(no_unit(text, number, dimension)) };
            if scanned.fraction && dimension == Dimension::Length && !matches!(unit.symbol, "in" | "ft") {
                return Err(QuantityError::new(format!(
                    "{} is a fraction, which is an inch size by custom, but {} is expected: write \"{number} in\" or \"{number} {}\"",
                    quote(text.trim()),
                    unit.symbol,
                    unit.symbol
                )));
            }
            terms.push(Term { value: scanned.value, unit, reference: Reference::Unstated });
            return Ok(terms);
        }
        let (unit, reference, taken) = read_unit(text, number, rest, dimension)?;
        terms.push(Term { value: scanned.value, unit, reference });
        rest = rest.get(taken..).unwrap_or_default().trim_start();
        if unit.symbol == "ft" {
            // 5'-2" is how drawings write five foot two.
            rest = rest.strip_prefix('-').unwrap_or(rest).trim_start();
        }
        if rest.is_empty() {
            return Ok(terms);
        }
    }
}

/// The unit at the start of `rest`, and how many bytes it took.
fn read_unit(
    text: &str,
    number: &str,
    rest: &str,
    dimension: Dimension,
) -> Result<(&'static Unit, Reference, usize), QuantityError> {
    match look_up(rest, dimension) {
        Lookup::Found(unit, reference) => return Ok((unit, reference, rest.len())),
        Lookup::CaseDoubt(unit) => {
            return Err(QuantityError::new(format!(
                "{}: {} mixes up milli and mega: was it \"{number} {}\"?",
                quote(text.trim()),
                quote(rest),
                unit.symbol
            )));
        }
        Lookup::Ambiguous(one, two) => {
            return Err(QuantityError::new(format!(
                "{}: {} could be {} or {}: type the capitals as they are meant",
                quote(text.trim()),
                quote(rest),
                one.symbol,
                two.symbol
            )));
        }
        Lookup::Unknown => {}
    }
    if let Some(other) = dimension_of(rest) {
        return Err(wrong_dimension(text, other, dimension));
    }
    let mut before = ' ';
    for (index, c) in rest.char_indices() {
        let starts = c.is_ascii_digit() && !before.is_ascii_digit() && !matches!(before, '.' | ',')
            || matches!(c, '.' | ',') && before == ' ';
        before = c;
        let Some(head) = rest.get(..index) else { continue };
        let head = head.trim_end().trim_end_matches('-');
        if !starts || head.is_empty() {
            continue;
        }
        if let Lookup::Found(unit, reference) = look_up(head, dimension) {
            return Ok((unit, reference, head.len()));
        }
    }
    Err(QuantityError::new(format!(
        "{}: no unit is called {}; {}",
        quote(text.trim()),
        quote(rest),
        accepted(dimension)
    )))
}

/// The first dimension that knows this unit.
pub(super) fn dimension_of(unit: &str) -> Option<Dimension> {
    Dimension::ALL.iter().copied().find(|other| find(unit, *other).is_some())
}

fn wrong_dimension(text: &str, read: Dimension, asked: Dimension) -> QuantityError {
    let [one, two, three] = asked.examples();
    QuantityError::new(format!(
        "{} is {}, but {} is asked for, such as \"{one}\", \"{two}\" or \"{three}\"",
        quote(text.trim()),
        read.noun(),
        asked.noun()
    ))
}

fn no_unit(text: &str, number: &str, dimension: Dimension) -> QuantityError {
    let (si, us) = super::show::input_units(dimension);
    let choice = if si == us {
        format!("write \"{number} {si}\"")
    } else {
        format!("write \"{number} {si}\" or \"{number} {us}\"")
    };
    QuantityError::new(if number == text.trim() {
        format!("{} has no unit: {choice}", quote(text.trim()))
    } else {
        format!("{}: {number} has no unit: {choice}", quote(text.trim()))
    })
}

/// Units that are written one after the other, each row from large to small.
const FAMILIES: &[&[&str]] = &[
    &["yd", "ft", "in"],
    &["m", "cm", "mm"],
    &["lb", "oz"],
    &["kg", "g"],
    &["lbf", "ozf"],
    &["week", "day", "h", "min", "s", "ms"],
];

fn combine(text: &str, dimension: Dimension, terms: &[Term]) -> Result<Parsed, QuantityError> {
    let bad = |why: String| Err(number::complain(text, Fault::Bad(why), &accepted(dimension)));
    let Some(first) = terms.first() else { return bad("holds no value".to_owned()) };
    let mut magnitude = first.unit.to_si(first.value.abs());
    if first.value.is_sign_negative() && first.unit.offset != 0.0 {
        magnitude = first.unit.to_si(first.value);
    }
    for pair in terms.windows(2) {
        let [large, small] = pair else { continue };
        let (above, below) = (large.unit.symbol, small.unit.symbol);
        let family = FAMILIES.iter().find(|family| family.contains(&above) && family.contains(&below));
        if family.is_none() || large.unit.scale <= small.unit.scale {
            return bad(format!("puts {below} after {above}: give one value in one unit"));
        }
        if small.unit.to_si(small.value) >= large.unit.to_si(1.0) {
            return bad(format!("has {} {below}, which is one {above} or more", small.value));
        }
        magnitude += small.unit.to_si(small.value);
    }
    let si = if first.value.is_sign_negative() && first.unit.offset == 0.0 { -magnitude } else { magnitude };
    if !si.is_finite() {
        return bad("is too large".to_owned());
    }
    // Adding zero turns a minus zero into a plain one, which is what a record should hold.
    Ok(Parsed { si: si + 0.0, unit: first.unit.symbol.to_owned(), reference: first.reference })
}

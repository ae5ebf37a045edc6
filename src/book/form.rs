//! What a form asks: one table a kind of entry, from which the command line's flags, the TOML keys and the
//! terminal's fields are all made.

use serde::Serialize;

use super::words::Kind;
use crate::quantity::Dimension;

/// Something wrong with one field: which, why, and what would be accepted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// The field's name.
    pub field: String,
    /// What is wrong and what would be accepted.
    pub message: String,
}

impl Problem {
    /// A problem with a field. A message that quotes endless words is cut.
    pub fn new(field: &str, message: impl Into<String>) -> Self {
        const LONGEST: usize = 1_500;
        let mut message = message.into();
        if let Some((at, _)) = message.char_indices().nth(LONGEST) {
            message.truncate(at);
            message.push('…');
        }
        Self { field: field.to_owned(), message }
    }
}

impl std::fmt::Display for Problem {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "{}: {}", self.field, self.message)
    }
}

/// What a field takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ask {
    /// A line of text.
    Text,
    /// Several lines of text.
    LongText,
    /// A casing serial that is on record.
    Casing,
    /// A part serial that is on record.
    Part,
    /// A load that is on record.
    Load,
    /// A batch that is on record.
    Batch,
    /// A gauge by its mark; one that is not on record is taken, with a warning.
    Gauge,
    /// An entry, by number, mark or the start of its id.
    Entry,
    /// A new serial or name.
    NewName,
    /// A date.
    Date,
    /// A whole number.
    Whole,
    /// A plain number.
    Number,
    /// A percentage; "0.9 %" or "0.9".
    Percent,
    /// Yes or no.
    YesNo,
    /// One word from a closed list.
    Word(&'static [&'static str]),
    /// A quantity with its unit.
    Quantity(Dimension),
    /// A pressure above the atmosphere.
    GaugePressure,
    /// A burn rate at a pressure: "7.0 mm/s at 5 MPa".
    BurnRate,
    /// Names separated by commas.
    Names,
    /// Rows of lengths at stations: "250 mm @ 90: 66.68 mm".
    Readings,
    /// Rows of hardness at stations: "250 mm @ 90: 74".
    Hardness,
    /// The path of a file to read.
    File,
}

/// One field of a form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// Its name: the TOML key, and the flag with dots as hyphens.
    pub name: &'static str,
    /// Its label on a screen.
    pub label: &'static str,
    /// What it takes.
    pub ask: Ask,
    /// Whether it must be answered.
    pub required: bool,
    /// What it means, in one line, with an example.
    pub help: &'static str,
    /// Asked only when another field has one of these words; empty: always.
    pub when: Option<(&'static str, &'static [&'static str])>,
}

impl Field {
    /// Its number on the screen and on paper, from its place in the form, heading included; none where the label
    /// bears a number of its own, as the items of an inspection do.
    pub fn number(&self, place: usize) -> Option<usize> {
        (!self.label.starts_with(|c: char| c.is_ascii_digit())).then_some(place + 1)
    }
}

/// A form for one kind of entry.
#[derive(Clone, Copy, Debug)]
pub struct Form {
    /// The kind it writes.
    pub kind: Kind,
    /// What filling it in does.
    pub does: &'static str,
    /// Its fields, in the order a person meets them.
    pub fields: &'static [Field],
}

impl Form {
    /// A field by name.
    pub fn field(&self, name: &str) -> Option<&'static Field> {
        self.fields.iter().find(|field| field.name == name)
    }
}

/// A field that must be answered.
pub const fn must(name: &'static str, label: &'static str, ask: Ask, help: &'static str) -> Field {
    Field { name, label, ask, required: true, help, when: None }
}

/// A field that may be left out.
pub const fn may(name: &'static str, label: &'static str, ask: Ask, help: &'static str) -> Field {
    Field { name, label, ask, required: false, help, when: None }
}

/// A field asked only when another has one of the given words.
pub const fn only(
    when: (&'static str, &'static [&'static str]),
    name: &'static str,
    label: &'static str,
    ask: Ask,
    help: &'static str,
) -> Field {
    Field { name, label, ask, required: false, help, when: Some(when) }
}

/// The name nearest to a mistyped one, if any is near.
pub fn nearest<'a>(wanted: &str, names: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let wanted = wanted.to_lowercase();
    let length = wanted.chars().count();
    names
        // Words of very different lengths are never near; of ten thousand names that leaves few to compare.
        .filter(|name| {
            let other = name.chars().count();
            other.abs_diff(length) <= 1 + other / 4
        })
        .map(|name| (edit_distance(&wanted, &name.to_lowercase()), name))
        .filter(|(distance, name)| *distance <= 1 + name.chars().count() / 4)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

fn edit_distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().take(64).collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().take(64).enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, cb) in b.iter().enumerate() {
            let substituted = diagonal + usize::from(ca != *cb);
            diagonal = row[j + 1];
            row[j + 1] = substituted.min(row[j] + 1).min(row[j + 1] + 1);
        }
    }
    row[b.len()]
}

//! Class, distance and units: `impulse-class`, `standoff`, `convert`.

use serde::Serialize;

use super::input::{Takes, number, of, takes};
use super::outcome::{Answer, gives, plain, words};
use super::{Calculator, Refused};
use crate::design::InputError;
use crate::quantity::{Impulse, Length, Quantity, convert};
use crate::standing::distances::{Arrangement, DistanceTable, distance};
use crate::trace::impulse_class;

#[derive(Serialize)]
struct Standoff {
    distance_m: f64,
    edition: &'static str,
    source: &'static str,
}

#[derive(Serialize)]
struct Converted {
    value: f64,
    unit: String,
}

pub(super) const ALL: &[Calculator] = &[
    Calculator {
        name: "impulse-class",
        purpose: "The letter class of a total impulse",
        formula: "upper bound = 2.5 N·s times 2^k, k = 0 for A; the upper bound belongs to the class",
        inputs: &[of::<Impulse>("impulse", "total impulse")],
        results: &[
            words("letter", "the class"),
            gives::<Impulse>("lower_ns", "the class begins above this"),
            gives::<Impulse>("upper_ns", "the class ends at this"),
            plain("percent_of_class", "how far through the class"),
        ],
        range: "above zero to 1e15 N·s; 1/8A holds everything smaller",
        outside: "refused",
        source: "NFPA 1125 class table; letters beyond O continue the doubling",
        work: |values| {
            let impulse: Impulse = values.get("impulse")?;
            let class = impulse_class(impulse.si()).ok_or_else(|| {
                InputError::outside(
                    "impulse",
                    format!("{} N·s", impulse.si()),
                    "an impulse above zero and below 1e15 N·s",
                )
            })?;
            Ok(Answer::of(&class))
        },
    },
    Calculator {
        name: "standoff",
        purpose: "The distance of a published table for a total impulse; local law comes first",
        formula: "the table's distance times the multiplier",
        inputs: &[
            of::<Impulse>("impulse", "total impulse of everything that may light"),
            takes("table", Takes::Word(DistanceTable::WORDS), "which table"),
            takes("arrangement", Takes::Word(Arrangement::WORDS), "one motor, or more than one"),
            number("multiplier", "the club's factor; 2 for metal casings is common").or("1"),
        ],
        results: &[
            gives::<Length>("distance_m", "distance to people"),
            words("edition", "edition of the table"),
            words("source", "where it stands"),
        ],
        range: "up to 40,960 N·s (California: 20,480)",
        outside: "above the table's last band nothing is permitted by it: refused; a multiplier below 1 is warned of",
        source: "the edition and source of the table stand in the result",
        work: |values| {
            let table = values.text("table")?;
            let arrangement = values.text("arrangement")?;
            let impulse: Impulse = values.get("impulse")?;
            let multiplier = values.number("multiplier")?;
            let found = DistanceTable::from_word(table)
                .zip(Arrangement::from_word(arrangement))
                .and_then(|(table, arrangement)| distance(table, arrangement, impulse.si()))
                .ok_or_else(|| {
                    InputError::outside(
                        "impulse",
                        format!("{} N·s", impulse.si()),
                        format!("an impulse the {table} table has a distance for"),
                    )
                })?;
            let standoff = Standoff {
                distance_m: found.metres * multiplier,
                edition: found.edition,
                source: found.source,
            };
            Ok(Answer::of(&standoff)
                .source(format!("{}, {}", found.source, found.edition))
                .warn_if(multiplier < 1.0, "a multiplier below 1 goes below the published distance")
                .warn_if(
                    true,
                    "local law and the range's own rules come first; take the largest that applies",
                ))
        },
    },
    Calculator {
        name: "convert",
        purpose: "A value in another unit, drills included; dimensions are never mixed",
        formula: "value times the ratio of the units; gauge and absolute differ by 101325 Pa",
        inputs: &[
            takes("value", Takes::Text, "a value with its unit, e.g. 1000 psi or #7 drill"),
            takes("to", Takes::Text, "the unit wanted, e.g. MPa"),
        ],
        results: &[plain("value", "the value in that unit"), words("unit", "how the unit is written")],
        range: "every unit the program knows, number drills 1 to 97 and letter drills A to Z",
        outside: "mixed dimensions, unknown units and values without a unit are refused",
        source: "NIST SP 811 Appendix B; drill sizes ASME B94.11M-1993",
        work: |values| {
            let (text, to) = (values.text("value")?, values.text("to")?);
            match convert(text, to) {
                Ok((value, unit)) => Ok(Answer::of(&Converted { value, unit })),
                Err(error) => {
                    // The fault lies with the value where the unit is good for something else.
                    let field = if convert(&format!("1 {to}"), to).is_ok() { "value" } else { "to" };
                    Err(Refused::Said(field, error.message))
                }
            }
        },
    },
];

//! What was understood of a typed text, said back in both unit systems.

use crate::book::damage::{Damage, Measure};
use crate::book::inspection::item_by_id;
use crate::book::reader::read_date;
use crate::book::reading::{Phase, Reading, What};
use crate::book::{Ask, Field, Outcome};
use crate::desk::{Desk, view};
use crate::quantity::show::show_si;
use crate::quantity::{
    Dimension, Quantity, System, input_unit, parse_burn_rate, parse_field, show::show_both,
};

/// What was understood; `None` where there is nothing to say back, or it was not understood.
pub(super) fn echo(field: &Field, text: &str, desk: &Desk, system: System) -> Option<String> {
    let quantity = |dimension, absolute| {
        parse_field(text, dimension, absolute, Some(input_unit(dimension, system)))
            .ok()
            .map(|si| both(si, dimension, system))
    };
    match field.ask {
        Ask::Quantity(dimension) => quantity(dimension, None),
        Ask::GaugePressure => quantity(Dimension::Pressure, Some(false)).map(|shown| shown + " gauge"),
        Ask::Date => read_date(text, desk.today()).ok().map(|day| day.format("%A %-d %B %Y").to_string()),
        Ask::BurnRate => parse_burn_rate(text)
            .ok()
            .map(|rate| format!("{} at {}", show_both(rate.rate, system), show_both(rate.at, system))),
        Ask::Readings if field.name == "throats" && !text.lines().last()?.contains([':', '=']) => {
            let last = text.lines().map(str::trim).rfind(|row| !row.is_empty())?;
            parse_field(last, Dimension::Length, None, Some(input_unit(Dimension::Length, system)))
                .ok()
                .map(|si| format!("taken as the throat diameter {}", both(si, Dimension::Length, system)))
        }
        Ask::Readings => rows(text, What::OutsideDiameter, system),
        Ask::Hardness => rows(text, What::Hardness, system),
        Ask::Entry => {
            let id = desk.book().find_entry(text).ok()?.ok()?;
            let entry = desk.book().entry(id).ok()??;
            Some(format!("{}: {}", entry.entry.happened_on, view::sentence(&entry.entry.details, system)))
        }
        Ask::Word(_) if field.name == "damage" => damage(text),
        Ask::Word(_) => item_by_id(field.name)
            .filter(|item| item.required && Outcome::from_word(text) == Some(Outcome::NotMeasured))
            .map(|_| "keeps the casing on hold until it is measured".to_owned()),
        _ => None,
    }
}

/// What is measured of a kind of damage, and how it is found.
fn damage(text: &str) -> Option<String> {
    let sheet = Damage::from_word(text)?.sheet();
    let asked = match sheet.measure {
        Measure::Percent => format!("per cent: {}", sheet.of),
        Measure::Depth => format!("depth or size: {}", sheet.of),
        Measure::Temperature => format!("temperature: {}", sheet.of),
        Measure::Count => format!("how many: {}", sheet.of),
        Measure::Presence => "its presence is enough".to_owned(),
    };
    Some(format!("{asked}. Found by {}. Keep: {}", sheet.found_by, sheet.evidence))
}

/// An SI number in the user's units, with the other system's behind it.
fn both(si: f64, dimension: Dimension, system: System) -> String {
    let other = match system {
        System::Si => System::Us,
        System::Us => System::Si,
    };
    let (first, second) = (show_si(si, dimension, system), show_si(si, dimension, other));
    if first == second { format!("= {first}") } else { format!("= {first} ({second})") }
}

fn rows(text: &str, what: What, system: System) -> Option<String> {
    let unit = input_unit(Dimension::Length, system);
    let rows: Vec<&str> = text.lines().map(str::trim).filter(|row| !row.is_empty()).collect();
    let last = Reading::parse(rows.last()?, what, Phase::After, Some(unit)).ok()?;
    let clock = last.clock_deg.map_or_else(String::new, |clock| format!(" at {clock}°"));
    let value = match (&last.value, last.hardness) {
        (Some(value), _) => show_both(value.value, system),
        (None, Some(hardness)) => format!("HB {hardness}"),
        (None, None) => "not measured".to_owned(),
    };
    let station = show_si(last.station.value.si(), Dimension::Length, system);
    let count = rows.len();
    let rows = if count == 1 { "1 row".to_owned() } else { format!("{count} rows") };
    Some(format!("{rows}; last: {station}{clock}: {value}"))
}

//! What is measured or counted: quantities with their units, numbers, percentages, rows of readings.

use super::Reader;
use crate::book::forms;
use crate::book::reading::{Reading, What, shorten};
use crate::book::words::Kind;
use crate::quantity::{
    self, AbsolutePressure, Dimension, GaugePressure, Quantity, Reference, STANDARD_ATMOSPHERE_PA,
    Temperature, Typed,
};

/// No quantity of a workshop is as large in its SI unit: the modulus of steel is 2e11 Pa.
const BEYOND_ANYTHING: f64 = 1e12;
/// The strongest steel wires break below 6 GPa; no chamber comes near half of it.
const BEYOND_METAL_PA: f64 = 3e9;

impl Reader<'_> {
    /// A quantity with its unit.
    pub fn quantity<Q: Quantity>(&mut self, name: &str) -> Option<Typed<Q>> {
        let text = self.raw(name)?;
        let bare = self.desk.bare_numbers.map(|system| quantity::show::input_unit(Q::DIMENSION, system));
        let typed = Typed::<Q>::parse(text, bare).map_err(|error| error.to_string()).and_then(|typed| {
            let shown = shorten(text.trim());
            if typed.si().abs() <= BEYOND_ANYTHING {
                Ok(typed)
            } else {
                Err(format!("\"{shown}\" is beyond anything there is: look at the digits and the unit"))
            }
        });
        typed.map_err(|message| self.wrong(name, message)).ok()
    }

    /// How hot grains are soaked.
    pub fn grain_temperature(&mut self, name: &str) -> Option<Typed<Temperature>> {
        let text = self.raw(name)?;
        let text = text.to_owned();
        let bare =
            self.desk.bare_numbers.map(|system| quantity::show::input_unit(Dimension::Temperature, system));
        read_grain_temperature(&text, bare).map_err(|message| self.wrong(name, message)).ok()
    }

    /// A quantity that must be more than nothing.
    pub fn positive<Q: Quantity>(&mut self, name: &str) -> Option<Typed<Q>> {
        let typed = self.quantity::<Q>(name)?;
        if typed.si() > 0.0 {
            return Some(typed);
        }
        self.wrong(
            name,
            format!("\"{}\" must be more than nothing", shorten(typed.typed.as_deref().unwrap_or(""))),
        );
        None
    }

    /// A peak pressure: what a gauge shows unless the words say "abs", kept above vacuum.
    ///
    /// Taking an unstated one as gauge is the careful reading: the wall is never asked for less than it saw.
    pub fn peak_pressure(&mut self, name: &str) -> Option<Typed<AbsolutePressure>> {
        let gauge = self.positive::<GaugePressure>(name)?;
        if gauge.si() > BEYOND_METAL_PA {
            let typed = shorten(gauge.typed.as_deref().unwrap_or(""));
            self.wrong(
                name,
                format!("\"{typed}\" is more than any metal holds: look at the digits and the unit"),
            );
            return None;
        }
        let said = gauge.typed.map(|text| {
            let unstated = quantity::parse_quantity(&text, Dimension::Pressure, None)
                .is_ok_and(|it| it.reference == Reference::Unstated);
            if unstated { format!("{text} gauge") } else { text }
        });
        Some(Typed { value: gauge.value.absolute_under(STANDARD_ATMOSPHERE_PA), typed: said })
    }

    /// A burn rate at a stated pressure.
    pub fn burn_rate(&mut self, name: &str) -> Option<quantity::BurnRate> {
        let text = self.raw(name)?;
        quantity::parse_burn_rate(text).map_err(|error| self.wrong(name, error.to_string())).ok()
    }

    /// A plain number within a range.
    pub fn number(&mut self, name: &str, range: std::ops::RangeInclusive<f64>) -> Option<f64> {
        let text = self.raw(name)?;
        match quantity::parse_number(text) {
            Ok(number) if range.contains(&number) => Some(number),
            Ok(number) => {
                self.wrong(name, format!("{number} is outside {} to {}", range.start(), range.end()));
                None
            }
            Err(error) => {
                self.wrong(name, error.to_string());
                None
            }
        }
    }

    /// A percentage: "0.9 %" and "0.9" are the same.
    pub fn percent(&mut self, name: &str, range: std::ops::RangeInclusive<f64>) -> Option<f64> {
        let text = self.raw(name)?;
        let bare = text.trim_end_matches('%').trim();
        match quantity::parse_number(bare) {
            Ok(number) if range.contains(&number) => Some(number),
            Ok(number) => {
                self.wrong(name, format!("{number} % is outside {} to {} %", range.start(), range.end()));
                None
            }
            Err(_) => {
                self.wrong(name, format!("\"{}\" is not a percentage; write 0.9 %", shorten(text)));
                None
            }
        }
    }

    /// A whole number within a range.
    pub fn whole(&mut self, name: &str, range: std::ops::RangeInclusive<u32>) -> Option<u32> {
        let text = self.raw(name)?;
        match text.parse::<u32>() {
            Ok(number) if range.contains(&number) => Some(number),
            _ => {
                self.wrong(
                    name,
                    format!(
                        "\"{}\" is not a whole number from {} to {}",
                        shorten(text),
                        range.start(),
                        range.end()
                    ),
                );
                None
            }
        }
    }

    /// A quantity out of a row, a bare number in the user's unit.
    ///
    /// # Errors
    /// The text is no such quantity.
    pub fn typed_of<Q: Quantity>(&self, text: &str) -> Result<Typed<Q>, String> {
        let bare = self.desk.bare_numbers.map(|system| quantity::show::input_unit(Q::DIMENSION, system));
        Typed::<Q>::parse(text, bare).map_err(|error| error.to_string())
    }

    /// A quantity a row, each more than nothing.
    pub fn rows_of<Q: Quantity>(&mut self, name: &str) -> Vec<Typed<Q>> {
        let rows = self.rows(name);
        if rows.is_empty() {
            self.raw(name);
        }
        let mut found = Vec::new();
        for row in rows.iter().flat_map(|row| row.split(';')).map(str::trim).filter(|row| !row.is_empty()) {
            match self.typed_of::<Q>(row) {
                Ok(value) if value.si() > 0.0 => found.push(value),
                Ok(_) => self.wrong(name, format!("\"{}\" must be more than nothing", shorten(row))),
                Err(message) => self.wrong(name, message),
            }
        }
        found
    }

    /// Rows of readings.
    pub fn readings(&mut self, kind: Kind, name: &str, what: What) -> Vec<Reading> {
        self.readings_of(kind, name, what, self.answers.rows(name))
    }

    /// Rows of throat DIAMETERS: there is one throat, so a plain length needs no station; `0 mm @ 90: 9.40 mm` says
    /// at which angle.
    pub fn throats(&mut self, kind: Kind, name: &str) -> Vec<Typed<quantity::Length>> {
        let (placed, plain): (Vec<&str>, Vec<&str>) =
            self.answers.rows(name).into_iter().partition(|row| row.contains([':', '=']));
        let readings = self.readings_of(kind, name, What::InsideDiameter, placed);
        let mut throats: Vec<Typed<quantity::Length>> =
            readings.into_iter().filter_map(|reading| reading.value).collect();
        for row in plain {
            match self.typed_of::<quantity::Length>(row) {
                Ok(throat) if throat.si() > 0.0 => throats.push(throat),
                Ok(_) => self.wrong(name, format!("\"{}\": a throat is wider than nothing", shorten(row))),
                Err(message) => self.wrong(
                    name,
                    format!(
                        "\"{}\": {message}; write 9.40 mm, or with its angle 0 mm @ 90: 9.40 mm",
                        shorten(row)
                    ),
                ),
            }
        }
        throats
    }

    fn readings_of(&mut self, kind: Kind, name: &str, what: What, rows: Vec<&str>) -> Vec<Reading> {
        let bare = self
            .desk
            .bare_numbers
            .map(|system| quantity::show::input_unit(quantity::Dimension::Length, system));
        let phase = forms::phase_of(kind, name);
        let mut readings: Vec<Reading> = Vec::new();
        for row in rows {
            match Reading::parse(row, what, phase, bare) {
                Ok(reading) => {
                    let twice = readings.iter().any(|it| {
                        it.station.value == reading.station.value && it.clock_deg == reading.clock_deg
                    });
                    if twice {
                        self.wrong(
                            name,
                            format!(
                                "\"{}\": this station and clock angle is already given above",
                                shorten(row)
                            ),
                        );
                    }
                    readings.push(reading);
                }
                Err(message) => self.wrong(name, message),
            }
        }
        readings
    }
}

/// How hot grains are soaked; a bare number is in `bare`, where there is such a unit.
///
/// # Errors
/// The text is no temperature, or one at which nobody soaks a grain: what is accepted.
pub fn read_grain_temperature(text: &str, bare: Option<&str>) -> Result<Typed<Temperature>, String> {
    let typed = Typed::<Temperature>::parse(text, bare).map_err(|error| error.message)?;
    if (233.15..=353.15).contains(&typed.si()) {
        Ok(typed)
    } else {
        Err(format!(
            "\"{}\" is no grain temperature: from -40 to 80 degC (-40 to 176 degF)",
            shorten(text.trim())
        ))
    }
}

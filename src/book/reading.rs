//! A diameter, wall or hardness at a station, as a person reads it off an instrument.

use serde::{Deserialize, Serialize};

use crate::quantity::{Length, Typed};
use crate::words;

words! {
    /// When a reading was taken.
    pub enum Phase {
        /// In the build record, before anything happened.
        Birth = "birth",
        /// Before pressure.
        Before = "before",
        /// Under pressure.
        Under = "under",
        /// After pressure, or after a firing.
        After = "after",
    }

    /// What was read.
    pub enum What {
        /// Outside DIAMETER.
        OutsideDiameter = "outside diameter",
        /// Inside DIAMETER.
        InsideDiameter = "inside diameter",
        /// Wall thickness.
        Wall = "wall",
        /// Hardness, Brinell.
        Hardness = "hardness",
    }
}

/// One reading at one station.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// What was read.
    pub what: What,
    /// When.
    pub phase: Phase,
    /// Axial distance from the forward seal face.
    pub station: Typed<Length>,
    /// Clock angle in degrees; absent for a tape that goes all round.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub clock_deg: Option<f64>,
    /// The length read; absent when not measured or for hardness.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub value: Option<Typed<Length>>,
    /// The hardness read (HB).
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub hardness: Option<f64>,
}

impl Reading {
    /// Read one line: `STATION [@ CLOCK]: VALUE`, e.g. `250 mm @ 90: 66.68 mm`, `12 mm: not measured`,
    /// `250 mm @ 90: 74` for hardness.
    ///
    /// # Errors
    /// The line is not of that form; the message says what would be.
    pub fn parse(line: &str, what: What, phase: Phase, default_unit: Option<&str>) -> Result<Self, String> {
        let example = match what {
            What::Hardness => "250 mm @ 90: 74",
            _ => "250 mm @ 90: 66.68 mm",
        };
        let shape = format!("write STATION @ CLOCK: VALUE, for example \"{example}\"");
        let shown = shorten(line);
        let (place, value) = line
            .split_once([':', '='])
            .ok_or_else(|| format!("\"{shown}\" has no \":\" before the value; {shape}"))?;
        let (station, clock) = match place.split_once('@') {
            Some((station, clock)) => (station, Some(clock)),
            None => (place, None),
        };
        let station = Typed::<Length>::parse(station.trim(), default_unit)
            .map_err(|error| format!("station in \"{shown}\": {error}"))?;
        let clock_deg = clock
            .map(|text| {
                let bare = text.trim().trim_end_matches("deg").trim_end_matches('°').trim();
                match bare.replace(',', ".").parse::<f64>() {
                    Ok(angle) if (0.0..=360.0).contains(&angle) => Ok(angle % 360.0),
                    _ => Err(format!(
                        "clock angle in \"{shown}\": \"{}\" is not an angle from 0 to 360 degrees",
                        shorten(bare)
                    )),
                }
            })
            .transpose()?;
        let text = value.trim();
        let mut reading = Self { what, phase, station, clock_deg, value: None, hardness: None };
        if matches!(text.to_lowercase().as_str(), "not measured" | "-" | "nm") {
            return Ok(reading);
        }
        if what == What::Hardness {
            let number = text.trim_end_matches("HB").trim_end_matches("hb").trim().replace(',', ".");
            match number.parse::<f64>() {
                Ok(value) if (1.0..=1000.0).contains(&value) => reading.hardness = Some(value),
                _ => {
                    return Err(format!(
                        "hardness in \"{shown}\": \"{}\" is not a Brinell number from 1 to 1000; {shape}",
                        shorten(text)
                    ));
                }
            }
        } else {
            let length = Typed::<Length>::parse(text, default_unit)
                .map_err(|error| format!("value in \"{shown}\": {error}"))?;
            if length.si() <= 0.0 {
                return Err(format!("value in \"{shown}\": a diameter or wall must be more than nothing"));
            }
            reading.value = Some(length);
        }
        Ok(reading)
    }
}

impl Reading {
    /// Whether an outside diameter was read.
    pub fn is_diameter(&self) -> bool {
        self.what == What::OutsideDiameter && self.value.is_some()
    }

    /// The line a person would type for it, in the words typed where they are on record.
    pub fn as_typed(&self) -> String {
        let words = |length: &Typed<Length>| {
            length.typed.clone().unwrap_or_else(|| format!("{} mm", length.value.as_mm()))
        };
        let clock = self.clock_deg.map_or_else(String::new, |clock| format!(" @ {clock}"));
        let value = match (&self.value, self.hardness) {
            (Some(value), _) => words(value),
            (None, Some(hardness)) => hardness.to_string(),
            (None, None) => "not measured".to_owned(),
        };
        format!("{}{clock}: {value}", words(&self.station))
    }
}

/// At most forty characters of untrusted text, with control characters made visible.
pub fn shorten(text: &str) -> String {
    let mut short: String = text
        .chars()
        .take(40)
        .flat_map(|c| if c.is_control() { c.escape_debug().collect() } else { vec![c] })
        .collect();
    if text.chars().nth(40).is_some() {
        short.push('…');
    }
    short
}

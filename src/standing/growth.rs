//! Growth at stations against the birth record, and roundness. Below the noise floor nothing is called growth.

use serde::{Deserialize, Serialize};

use super::reason::EntryRef;
use super::rules::RuleSet;
use super::{exceeds, reaches};
use crate::book::{Phase, Reading, What};

/// Two stations closer than this are the same mark.
const SAME_STATION_MM: f64 = 0.5;

/// A reading held against its birth reading.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Growth {
    /// Station in millimetres from the forward seal face.
    pub station_mm: f64,
    /// Clock angle in degrees, where one was given.
    pub clock_deg: Option<f64>,
    /// What it was, in millimetres.
    pub birth_mm: f64,
    /// What it is, in millimetres.
    pub now_mm: f64,
    /// The difference in per cent of birth; zero where it is within the noise.
    pub percent: f64,
    /// Whether it is within what the instrument can see.
    pub noise: bool,
    /// The entry of the reading.
    pub entry: EntryRef,
}

impl Growth {
    /// The difference in millimetres.
    pub fn grown_mm(&self) -> f64 {
        self.now_mm - self.birth_mm
    }

    /// The difference in per cent of birth, of a reading within the noise, too: for a page that says the millimetres.
    pub fn grown_percent(&self) -> f64 {
        self.grown_mm() / self.birth_mm * 100.0
    }

    /// Where it was read, in words.
    pub fn place(&self) -> String {
        format!(
            "station {:.0} mm{}",
            self.station_mm,
            self.clock_deg.map_or_else(String::new, |clock| format!(" / {clock:.0} deg"))
        )
    }

    /// What was read against birth: the difference, its share, and both diameters.
    pub fn value(&self) -> String {
        format!(
            "{:+.2} mm, {:.2} % ({:.2} mm to {:.2} mm)",
            self.grown_mm(),
            self.percent,
            self.birth_mm,
            self.now_mm
        )
    }

    /// How much it grew and where, in words.
    pub fn words(&self) -> String {
        format!("{} had grown {:.2} %", self.place(), self.percent)
    }
}

/// The birth record of outside diameters: the first reading at each station and clock angle.
#[derive(Clone, Debug, Default)]
pub struct Birth {
    readings: Vec<(f64, Option<f64>, f64)>,
    nominal_mm: f64,
}

impl Birth {
    /// From a drawing's outside diameter and the birth readings.
    pub fn new(nominal_mm: f64, readings: &[Reading]) -> Self {
        let mut birth = Self { readings: Vec::new(), nominal_mm };
        birth.learn(readings);
        birth
    }

    /// From birth readings as an assessment keeps them: station and clock angle, millimetres.
    pub fn of(nominal_mm: f64, readings: &[(f64, Option<f64>, f64)]) -> Self {
        Self { readings: readings.to_vec(), nominal_mm }
    }

    /// Take in readings at stations that have none yet (the first before-pressure reading is the baseline).
    pub fn learn(&mut self, readings: &[Reading]) {
        for reading in readings {
            if reading.what != What::OutsideDiameter || !matches!(reading.phase, Phase::Birth | Phase::Before)
            {
                continue;
            }
            let station = reading.station.value.as_mm();
            if let Some(value) = reading.value.as_ref().map(|value| value.value.as_mm())
                && self.at(station, reading.clock_deg).is_none()
            {
                self.readings.push((station, reading.clock_deg, value));
            }
        }
    }

    /// Every birth reading: station and clock angle, millimetres.
    pub fn readings(&self) -> &[(f64, Option<f64>, f64)] {
        &self.readings
    }

    /// Whether there is any baseline.
    pub fn is_empty(&self) -> bool {
        self.readings.is_empty()
    }

    /// The birth diameter at a station and clock angle. A reading without a clock angle stands for the mean of
    /// those at its station, and the other way round.
    pub fn at(&self, station_mm: f64, clock_deg: Option<f64>) -> Option<f64> {
        let here: Vec<&(f64, Option<f64>, f64)> =
            self.readings.iter().filter(|it| (it.0 - station_mm).abs() <= SAME_STATION_MM).collect();
        if let Some(exact) = here.iter().find(|it| it.1 == clock_deg) {
            return Some(exact.2);
        }
        let mean =
            |values: Vec<f64>| (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64);
        match clock_deg {
            None => mean(here.iter().map(|it| it.2).collect()),
            Some(_) => here.iter().find(|it| it.1.is_none()).map(|it| it.2),
        }
    }

    /// The largest diameter the tube was born with, in millimetres: of the readings, else of the drawing.
    fn largest_mm(&self) -> f64 {
        self.readings
            .iter()
            .map(|it| it.2)
            .fold(None, |most: Option<f64>, it| Some(most.map_or(it, |most| most.max(it))))
            .unwrap_or(self.nominal_mm)
    }

    /// The smallest diameter the tube was born with, in millimetres: of the readings, else of the drawing.
    fn least_mm(&self) -> f64 {
        self.readings.iter().map(|it| it.2).reduce(f64::min).unwrap_or(self.nominal_mm)
    }

    /// The drawing's outside diameter, in millimetres.
    pub fn nominal_mm(&self) -> f64 {
        self.nominal_mm
    }
}

/// What an entry's readings say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReadingsJudged {
    /// Each believed reading against its birth.
    pub growth: Vec<Growth>,
    /// Readings too far from the drawing to be believed, or without any baseline at their station.
    pub not_believed: Vec<String>,
    /// The largest reading where the birth record has none, against the largest birth reading: place and per cent.
    pub unmatched: Option<(f64, Option<f64>, f64)>,
    /// Worst out-of-roundness in per cent of the nominal diameter, and its station in millimetres.
    pub ovality: Option<(f64, f64)>,
}

impl ReadingsJudged {
    /// The reading that grew most.
    pub fn worst(&self) -> Option<&Growth> {
        self.growth.iter().max_by(|a, b| a.percent.total_cmp(&b.percent))
    }
}

/// What is not growth, in millimetres: the club's least, or twice what the gauge repeats to where that is more.
/// A gauge never hides what asks for a hold on a tube of this diameter, however badly it repeats.
pub fn noise_mm(rules: &RuleSet, repeatability_mm: Option<f64>, od_mm: f64) -> f64 {
    let least = rules.value("growth-noise");
    // A hair below the limit, so that growth of exactly the limit is seen.
    let hold = rules.value("growth-hold") / 100.0 * od_mm * (1.0 - 1e-6);
    repeatability_mm.map_or(least, |it| least.max((it * rules.value("growth-noise-gauge")).min(hold)))
}

/// Whether a gauge cannot see the growth that asks for a hold on a tube of this diameter.
pub fn blind(rules: &RuleSet, repeatability_mm: Option<f64>, od_mm: f64) -> bool {
    let seen = rules.value("growth-hold") / 100.0 * od_mm;
    repeatability_mm.is_some_and(|it| exceeds(it * rules.value("growth-noise-gauge"), seen))
}

/// Hold an entry's readings of a phase against birth.
pub fn judge(
    readings: &[Reading],
    phase: Phase,
    birth: &Birth,
    rules: &RuleSet,
    repeatability_mm: Option<f64>,
    entry: EntryRef,
) -> ReadingsJudged {
    let mut judged = ReadingsJudged::default();
    let noise_mm = noise_mm(rules, repeatability_mm, birth.nominal_mm.min(birth.least_mm()));
    let believed = rules.value("reading-believed") / 100.0;
    let mut by_station: Vec<(f64, f64, f64)> = Vec::new();
    for reading in readings.iter().filter(|it| it.what == What::OutsideDiameter && it.phase == phase) {
        let Some(now_mm) = reading.value.as_ref().map(|value| value.value.as_mm()) else { continue };
        let station_mm = reading.station.value.as_mm();
        if exceeds((now_mm / birth.nominal_mm - 1.0).abs(), believed) {
            judged.not_believed.push(format!("{now_mm:.2} mm at station {station_mm:.0} mm"));
            continue;
        }
        if reading.clock_deg.is_some() {
            match by_station.iter_mut().find(|it| (it.0 - station_mm).abs() <= SAME_STATION_MM) {
                Some(span) => {
                    span.1 = span.1.min(now_mm);
                    span.2 = span.2.max(now_mm);
                }
                None => by_station.push((station_mm, now_mm, now_mm)),
            }
        }
        let Some(birth_mm) = birth.at(station_mm, reading.clock_deg) else {
            // Nothing to hold it against but the tube itself: over its largest birth reading is grown, wherever it is.
            let most_mm = birth.largest_mm();
            let percent =
                if exceeds(now_mm - most_mm, noise_mm) { (now_mm / most_mm - 1.0) * 100.0 } else { 0.0 };
            if judged.unmatched.is_none_or(|(_, _, most)| percent > most) {
                judged.unmatched = Some((station_mm, reading.clock_deg, percent));
            }
            continue;
        };
        let grown = now_mm - birth_mm;
        let noise = !exceeds(grown.abs(), noise_mm);
        let percent = if noise { 0.0 } else { grown / birth_mm * 100.0 };
        judged.growth.push(Growth {
            station_mm,
            clock_deg: reading.clock_deg,
            birth_mm,
            now_mm,
            percent,
            noise,
            entry,
        });
    }
    judged.ovality = by_station
        .iter()
        .filter(|(_, low, high)| exceeds(high - low, noise_mm))
        .map(|(station, low, high)| ((high - low) / birth.nominal_mm * 100.0, *station))
        .max_by(|a, b| a.0.total_cmp(&b.0));
    judged
}

/// How far a growth has gone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Degree {
    /// Nothing anybody could see.
    None,
    /// Seen, and below the limits.
    Seen,
    /// At the hold limit.
    Hold,
    /// A yielded wall.
    Yielded,
}

/// How far a growth in per cent has gone.
pub fn degree(percent: f64, rules: &RuleSet) -> Degree {
    if reaches(percent, rules.value("growth-yield")) {
        Degree::Yielded
    } else if reaches(percent, rules.value("growth-hold")) {
        Degree::Hold
    } else if percent > 0.0 {
        Degree::Seen
    } else {
        Degree::None
    }
}

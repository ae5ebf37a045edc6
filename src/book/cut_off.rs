//! A trace whose readings are cut off at their top says of the peak only that it was this or more.

use serde_json::Value;

use super::PeakFrom;
use super::details::{FiringRecord, TraceRecord};

/// What was written down of a firing's peak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PeakKnown {
    /// Pascals above vacuum.
    pub pressure_pa: Option<f64>,
    /// Where that comes from.
    pub from: Option<PeakFrom>,
    /// Newtons.
    pub thrust_n: Option<f64>,
}

impl PeakKnown {
    /// Of a firing on record.
    pub fn of(firing: &FiringRecord) -> Self {
        Self {
            pressure_pa: firing.peak_pressure.as_ref().map(crate::quantity::Typed::si),
            from: firing.peak_from,
            thrust_n: firing.peak_thrust.as_ref().map(crate::quantity::Typed::si),
        }
    }

    /// Whether the peak of the firing is known only from below by this trace, and why.
    ///
    /// A trace is cut off in the channel its firing is judged by: pressure where there is one, else thrust. What was
    /// written down from elsewhere, a pressure or a higher reading, stays known.
    pub fn only_from_below(&self, trace: &TraceRecord) -> Option<CutOff> {
        let vacuum = crate::quantity::STANDARD_ATMOSPHERE_PA;
        let elsewhere = |known: Option<f64>, bound: f64| known.is_some_and(|known| known > 1.02 * bound);
        if let Some(pressure) = trace.number("peak_pressure_pa").map(|gauge| gauge + vacuum) {
            let why = trace.cut_off_pressure()?;
            let known = elsewhere(self.pressure_pa, pressure) && self.from != Some(PeakFrom::Thrust);
            return (!known).then(|| CutOff { why: format!("pressure: {why}"), pressure_pa: Some(pressure) });
        }
        let (thrust, why) = (trace.number("peak_thrust_n")?, trace.cut_off_thrust()?);
        let known = match self.pressure_pa {
            Some(_) => self.from != Some(PeakFrom::Thrust),
            None => elsewhere(self.thrust_n, thrust),
        };
        (!known).then(|| CutOff { why: format!("thrust: {why}"), pressure_pa: None })
    }
}

/// A peak that is this or more.
#[derive(Clone, Debug, PartialEq)]
pub struct CutOff {
    /// Which channel, and how it is cut off.
    pub why: String,
    /// The lower bound of the pressure above vacuum, where pressure was read.
    pub pressure_pa: Option<f64>,
}

impl TraceRecord {
    /// A number of the reduction.
    pub fn number(&self, key: &str) -> Option<f64> {
        self.reduction.get(key).and_then(Value::as_f64).filter(|it| it.is_finite())
    }

    /// A sentence of the reduction, short and on one line: it may come from anybody's book.
    pub fn words(&self, key: &str) -> Option<String> {
        let words = self.reduction.get(key).and_then(Value::as_str)?;
        Some(words.chars().filter(|c| !c.is_control()).take(200).collect())
    }

    /// How thrust is cut off, where it is. A reduction that was kept before this was looked for says nothing.
    pub fn cut_off_thrust(&self) -> Option<String> {
        self.words("peak_cut_off")
    }

    /// The same of pressure.
    pub fn cut_off_pressure(&self) -> Option<String> {
        self.words("peak_pressure_cut_off")
    }
}

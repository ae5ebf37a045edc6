//! What is measured with, and who signs.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::book::{Instrument, Role};
use crate::quantity::{GaugePressure, Length, Quantity, Typed, Volume};

/// An instrument, or a new calibration of one.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct GaugeRecord {
    /// Its mark.
    pub serial: String,
    /// What it is.
    pub what: Instrument,
    /// Who made it, which model.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub maker: Option<String>,
    /// Full scale of a pressure instrument.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub full_scale: Option<Typed<GaugePressure>>,
    /// Least length it reads.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub least: Option<Typed<Length>>,
    /// Most it reads.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub most: Option<Typed<Length>>,
    /// When it was calibrated last.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub calibrated_on: Option<NaiveDate>,
    /// The last day that calibration is good for.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub calibration_due: Option<NaiveDate>,
    /// Certificate, or what it was compared with.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub certificate: Option<String>,
    /// Stated uncertainty of a length.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub uncertainty: Option<Typed<Length>>,
    /// Stated uncertainty of a pressure.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub pressure_uncertainty: Option<Typed<GaugePressure>>,
    /// Stated uncertainty of a volume.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub volume_uncertainty: Option<Typed<Volume>>,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub remark: Option<String>,
}

impl GaugeRecord {
    /// Whether its calibration no longer holds on a day.
    pub fn out_of_calibration(&self, day: NaiveDate) -> bool {
        self.calibration_due.is_some_and(|due| day > due)
    }
}

/// Repeat readings of one thing with one instrument by one person.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StudyRecord {
    /// The instrument.
    pub gauge: String,
    /// What was read, taken off and put on again each time.
    pub measured: String,
    /// The readings.
    pub lengths: Vec<Typed<Length>>,
    /// Their mean.
    pub mean: Typed<Length>,
    /// Standard deviation of one reading.
    pub repeatability: Typed<Length>,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub remark: Option<String>,
}

/// Mean and experimental standard deviation of repeat readings.
///
/// Formula: mean = sum/n; s = sqrt(sum (x - mean)^2/(n - 1)). Arguments: readings in metres.
/// `None` below two readings. Few readings know their own spread badly: at n = 3 the standard deviation is
/// itself uncertain by about 50 %, at n = 10 by about 24 % (JCGM 100:2008 Table E.1).
/// Source: JCGM 100:2008 (GUM) 4.2.1 and 4.2.2, type A evaluation.
///
/// ```
/// let (mean, s) = proofmark::book::details::repeatability(&[50.80, 50.81, 50.79]).ok_or("two at least")?;
/// assert!((mean - 50.80).abs() < 1e-12 && (s - 0.01).abs() < 1e-12);
/// # Ok::<(), &str>(())
/// ```
pub fn repeatability(readings: &[f64]) -> Option<(f64, f64)> {
    if readings.len() < 2 {
        return None;
    }
    let count = readings.len() as f64;
    let mean = readings.iter().sum::<f64>() / count;
    let squares: f64 = readings.iter().map(|it| (it - mean).powi(2)).sum();
    Some((mean, (squares / (count - 1.0)).sqrt()))
}

impl StudyRecord {
    /// From readings; `None` below two.
    pub fn of(
        gauge: &str,
        measured: &str,
        lengths: Vec<Typed<Length>>,
        remark: Option<String>,
    ) -> Option<Self> {
        let metres: Vec<f64> = lengths.iter().map(Typed::si).collect();
        let (mean, spread) = repeatability(&metres)?;
        Some(Self {
            gauge: gauge.to_owned(),
            measured: measured.to_owned(),
            lengths,
            mean: Typed::computed(Length::from_si(mean)),
            repeatability: Typed::computed(Length::from_si(spread)),
            remark,
        })
    }
}

/// Somebody who may sign, and as what; or that they no longer do.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PersonRecord {
    /// The name they sign with.
    pub name: String,
    /// What they do.
    pub role: Role,
    /// Whether this entry takes them off the list.
    pub leaves: bool,
    /// Training, licence, anything else.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub remark: Option<String>,
}

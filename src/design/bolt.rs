//! Bolt sizes as people write them: `10-32`, `#10-32`, `1/4-28`, `M5x0.8`.

use serde::Serialize;

use super::InputError;
use crate::quantity::{Area, Length, Quantity};

/// A bolt by its nominal thread.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BoltSize {
    /// Nominal (major) diameter.
    pub diameter_m: Length,
    /// Thread pitch.
    pub pitch_m: Length,
    /// Tensile stress area.
    pub stress_area_m2: Area,
    /// Minor diameter at the root of the bolt.
    pub minor_diameter_m: Length,
    /// Area at that minor diameter.
    pub minor_area_m2: Area,
}

const UN: &[(&str, f64, &[f64])] = &[
    ("4", 0.112, &[40.0, 48.0]),
    ("5", 0.125, &[40.0, 44.0]),
    ("6", 0.138, &[32.0, 40.0]),
    ("8", 0.164, &[32.0, 36.0]),
    ("10", 0.190, &[24.0, 32.0]),
    ("12", 0.216, &[24.0, 28.0]),
    ("1/4", 0.250, &[20.0, 28.0]),
    ("5/16", 0.3125, &[18.0, 24.0]),
    ("3/8", 0.375, &[16.0, 24.0]),
    ("7/16", 0.4375, &[14.0, 20.0]),
    ("1/2", 0.500, &[13.0, 20.0]),
];

/// Millimetres: diameter, then pitches, coarse first.
const METRIC: &[(f64, &[f64])] = &[
    (3.0, &[0.5]),
    (4.0, &[0.7]),
    (5.0, &[0.8]),
    (6.0, &[1.0]),
    (8.0, &[1.25, 1.0]),
    (10.0, &[1.5, 1.25, 1.0]),
    (12.0, &[1.75, 1.5, 1.25]),
];

fn refuse(text: &str) -> InputError {
    let un: Vec<_> = UN
        .iter()
        .flat_map(|(name, _, pitches)| pitches.iter().map(move |it| format!("{name}-{it}")))
        .collect();
    let metric: Vec<_> =
        METRIC.iter().flat_map(|(d, pitches)| pitches.iter().map(move |it| format!("M{d}x{it}"))).collect();
    InputError::unlisted("bolt", text, format!("one of {}, {}", un.join(", "), metric.join(", ")))
}

impl BoltSize {
    /// The bolt a text names.
    ///
    /// Unified sizes #4 to 1/2 in coarse and fine ("10-32", "#10-32", "No. 10-32 UNF", "1/4-28"), metric
    /// sizes M3 to M12 ("M5x0.8"; "M5" alone is the coarse pitch). Anything else is an error that lists
    /// the sizes.
    /// Formulas: stress area (pi/4)(D - 0.9743/n)^2 in inches (ASME B1.1), (pi/4)(d - 0.9382 P)^2 (ISO 898-1);
    /// root diameter D - 1.299038/n (ASME B1.1, minor diameter at D - 2 h_b) and d - 1.226869 P (ISO 68-1, d3).
    ///
    /// ```
    /// use proofmark::design::bolt::BoltSize;
    /// use proofmark::quantity::Quantity;
    /// let bolt = BoltSize::from_text("#10-32")?;
    /// assert!((bolt.diameter_m.as_mm() - 4.826).abs() < 1e-9);
    /// assert!((bolt.stress_area_m2.si() / 0.0254_f64.powi(2) - 0.0200).abs() < 5e-5);
    /// # Ok::<(), proofmark::design::InputError>(())
    /// ```
    pub fn from_text(text: &str) -> Result<Self, InputError> {
        let plain: String =
            text.chars().filter(|it| !it.is_whitespace()).map(|it| it.to_ascii_lowercase()).collect();
        if let Some(rest) = plain.strip_prefix('m') {
            return Self::metric(rest).ok_or_else(|| refuse(text));
        }
        Self::unified(&plain).ok_or_else(|| refuse(text))
    }

    fn unified(plain: &str) -> Option<Self> {
        let size = plain.trim_start_matches("no.").trim_start_matches("no").trim_start_matches('#');
        let series = ["unrc", "unrf", "unc", "unf"];
        let size = series.iter().find_map(|it| size.strip_suffix(it)).unwrap_or(size);
        let (name, per_inch) = size.split_once('-')?;
        let name = name.trim_end_matches('"').trim_end_matches("in");
        let per_inch: f64 = per_inch.parse().ok()?;
        let (_, diameter_in, pitches) = UN.iter().find(|it| it.0 == name)?;
        pitches.contains(&per_inch).then(|| Self::unified_thread(*diameter_in, per_inch))
    }

    fn metric(rest: &str) -> Option<Self> {
        let (diameter, pitch) = match rest.split_once(['x', '*', '\u{d7}']) {
            Some((diameter, pitch)) => (diameter, Some(pitch.parse::<f64>().ok()?)),
            None => (rest, None),
        };
        let diameter: f64 = diameter.parse().ok()?;
        let (diameter_mm, pitches) = METRIC.iter().find(|it| it.0 == diameter)?;
        let pitch_mm = match pitch {
            Some(pitch) => *pitches.iter().find(|it| **it == pitch)?,
            None => *pitches.first()?,
        };
        Some(Self::metric_thread(*diameter_mm, pitch_mm))
    }

    fn unified_thread(diameter_in: f64, per_inch: f64) -> Self {
        let stress_in = diameter_in - 0.9743 / per_inch;
        let root_in = diameter_in - 1.299_038 / per_inch;
        Self::from_inner(diameter_in * 0.0254, 0.0254 / per_inch, stress_in * 0.0254, root_in * 0.0254)
    }

    fn metric_thread(diameter_mm: f64, pitch_mm: f64) -> Self {
        let stress_mm = diameter_mm - 0.9382 * pitch_mm;
        let root_mm = diameter_mm - 1.226_869 * pitch_mm;
        Self::from_inner(diameter_mm * 1e-3, pitch_mm * 1e-3, stress_mm * 1e-3, root_mm * 1e-3)
    }

    fn from_inner(diameter_m: f64, pitch_m: f64, stress_m: f64, root_m: f64) -> Self {
        let disc = |d_m: f64| Area::from_si(std::f64::consts::FRAC_PI_4 * d_m * d_m);
        Self {
            diameter_m: Length::from_si(diameter_m),
            pitch_m: Length::from_si(pitch_m),
            stress_area_m2: disc(stress_m),
            minor_diameter_m: Length::from_si(root_m),
            minor_area_m2: disc(root_m),
        }
    }
}

//! Thread geometry: taper pipe threads, and the basic diameters of 60 degree straight threads.

use std::f64::consts::FRAC_PI_4;

use serde::Serialize;

use super::InputError;
use super::error::positive;
use super::pipe::nominal;
use crate::quantity::{Area, Length, Quantity};

/// NPS, outside diameter, threads an inch, hand-tight engagement L1, inches.
const NPT: &[(&str, f64, f64, f64)] = &[
    ("1/16", 0.3125, 27.0, 0.1600),
    ("1/8", 0.405, 27.0, 0.1615),
    ("1/4", 0.540, 18.0, 0.2278),
    ("3/8", 0.675, 18.0, 0.240),
    ("1/2", 0.840, 14.0, 0.320),
    ("3/4", 1.050, 14.0, 0.339),
    ("1", 1.315, 11.5, 0.400),
    ("1-1/4", 1.660, 11.5, 0.420),
    ("1-1/2", 1.900, 11.5, 0.420),
    ("2", 2.375, 11.5, 0.436),
    ("2-1/2", 2.875, 8.0, 0.682),
    ("3", 3.500, 8.0, 0.766),
    ("3-1/2", 4.000, 8.0, 0.821),
    ("4", 4.500, 8.0, 0.844),
    ("5", 5.563, 8.0, 0.937),
    ("6", 6.625, 8.0, 0.958),
];

/// A taper pipe thread.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PipeThread {
    /// Pitch.
    pub pitch_m: Length,
    /// Hand-tight engagement.
    pub hand_tight_l1_m: Length,
    /// Length of effective thread.
    pub effective_l2_m: Length,
    /// Pitch diameter at the small end of the external thread.
    pub pitch_diameter_e0_m: Length,
    /// Pitch diameter at the hand-tight plane.
    pub pitch_diameter_e1_m: Length,
}

/// The dimensions of an NPT thread by nominal size, from its formulas.
///
/// Formula (inches, n threads an inch, D outside diameter): E0 = D - (0.05 D + 1.1)/n; E1 = E0 + L1/16;
/// L2 = (0.80 D + 6.8)/n; taper 1 in 16 on diameter; L1 stands in a table.
/// Arguments: nominal size, "1/16" to "6". Errors: a size that is not listed.
/// Source: ASME B1.20.1; printed tables on the web carry misprints, these are worked out.
///
/// ```
/// let thread = proofmark::design::thread::pipe_thread("2")?;
/// assert!((thread.pitch_diameter_e1_m.as_mm() / 25.4 - 2.29627).abs() < 1e-5);
/// # Ok::<(), proofmark::design::InputError>(())
/// ```
pub fn pipe_thread(size: &str) -> Result<PipeThread, InputError> {
    let wanted = nominal(size);
    let (_, d_in, n, l1_in) = NPT.iter().find(|it| it.0 == wanted).ok_or_else(|| {
        let names: Vec<_> = NPT.iter().map(|it| it.0).collect();
        InputError::unlisted("size", size, format!("a nominal size, one of {}", names.join(", ")))
    })?;
    let e0_in = d_in - (0.05 * d_in + 1.1) / n;
    Ok(PipeThread {
        pitch_m: Length::inches(1.0 / n),
        hand_tight_l1_m: Length::inches(*l1_in),
        effective_l2_m: Length::inches((0.80 * d_in + 6.8) / n),
        pitch_diameter_e0_m: Length::inches(e0_in),
        pitch_diameter_e1_m: Length::inches(e0_in + l1_in / 16.0),
    })
}

/// Basic diameters of a 60 degree straight thread (Unified or ISO metric).
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BasicThread {
    /// Basic pitch diameter.
    pub pitch_diameter_m: Length,
    /// Basic minor diameter of the internal thread.
    pub minor_internal_m: Length,
    /// Tensile stress area of the external thread.
    pub stress_area_m2: Area,
}

/// Basic pitch and minor diameter and stress area of a 60 degree straight thread.
///
/// Formula: d2 = D - 0.649519 P; D1 = D - 1.082532 P; stress area (pi/4)(D - 0.9743 P)^2 (ASME B1.1; ISO 898-1
/// has 0.9382 P, 0.3 to 1 % larger, so the lower is given for both).
/// Arguments: nominal (major) diameter; pitch, below 0.8 of it. Errors: values out of range.
/// Source: ASME B1.1; ISO 724.
///
/// ```
/// use proofmark::quantity::{Length, Quantity};
/// let thread = proofmark::design::thread::basic_thread(Length::inches(0.5), Length::inches(1.0 / 13.0))?;
/// assert!((thread.stress_area_m2.si() / 0.0254_f64.powi(2) - 0.1419).abs() < 5e-5);
/// # Ok::<(), proofmark::design::InputError>(())
/// ```
pub fn basic_thread(major: Length, pitch: Length) -> Result<BasicThread, InputError> {
    let (d_m, p_m) = (positive("diameter", major)?, positive("pitch", pitch)?);
    if p_m > 0.8 * d_m {
        let accepted = format!("a pitch below 0.8 of the diameter, {:.3} mm", d_m * 800.0);
        return Err(InputError::outside("pitch", format!("{:.3} mm", p_m * 1e3), accepted));
    }
    Ok(BasicThread {
        pitch_diameter_m: Length::from_si(d_m - 0.649_519 * p_m),
        minor_internal_m: Length::from_si(d_m - 1.082_532 * p_m),
        stress_area_m2: Area::from_si(FRAC_PI_4 * (d_m - 0.9743 * p_m).max(0.0).powi(2)),
    })
}

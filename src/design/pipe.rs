//! Pipe by nominal size and schedule, and the mass of pipe and bar.

use std::f64::consts::{FRAC_PI_4, PI};

use serde::Serialize;

use super::error::{not_negative, positive};
use super::{InputError, ProductForm, material, wall::mill_tolerance};
use crate::quantity::{Length, Mass, Quantity};

/// NPS, outside diameter, then walls in inches of schedule 5, 10, 40, 80, 120, 160, XXS (0: not made).
type Row = (&'static str, f64, [f64; 7]);

const SCHEDULES: [&str; 7] = ["5", "10", "40", "80", "120", "160", "xxs"];

#[expect(clippy::approx_constant, reason = "0.318 in is a wall, not 1/pi")]
const PIPES: &[Row] = &[
    ("1/8", 0.405, [0.0, 0.049, 0.068, 0.095, 0.0, 0.0, 0.0]),
    ("1/4", 0.540, [0.0, 0.065, 0.088, 0.119, 0.0, 0.0, 0.0]),
    ("3/8", 0.675, [0.0, 0.065, 0.091, 0.126, 0.0, 0.0, 0.0]),
    ("1/2", 0.840, [0.065, 0.083, 0.109, 0.147, 0.0, 0.188, 0.294]),
    ("3/4", 1.050, [0.065, 0.083, 0.113, 0.154, 0.0, 0.219, 0.308]),
    ("1", 1.315, [0.065, 0.109, 0.133, 0.179, 0.0, 0.250, 0.358]),
    ("1-1/4", 1.660, [0.065, 0.109, 0.140, 0.191, 0.0, 0.250, 0.382]),
    ("1-1/2", 1.900, [0.065, 0.109, 0.145, 0.200, 0.0, 0.281, 0.400]),
    ("2", 2.375, [0.065, 0.109, 0.154, 0.218, 0.0, 0.344, 0.436]),
    ("2-1/2", 2.875, [0.083, 0.120, 0.203, 0.276, 0.0, 0.375, 0.552]),
    ("3", 3.500, [0.083, 0.120, 0.216, 0.300, 0.0, 0.438, 0.600]),
    ("3-1/2", 4.000, [0.083, 0.120, 0.226, 0.318, 0.0, 0.0, 0.0]),
    ("4", 4.500, [0.083, 0.120, 0.237, 0.337, 0.438, 0.531, 0.674]),
    ("5", 5.563, [0.109, 0.134, 0.258, 0.375, 0.500, 0.625, 0.750]),
    ("6", 6.625, [0.109, 0.134, 0.280, 0.432, 0.562, 0.719, 0.864]),
    ("8", 8.625, [0.109, 0.148, 0.322, 0.500, 0.719, 0.906, 0.875]),
];

/// A nominal size as written in the tables: "1 1/4", "1-1/4 in", "1.25" and "NPS 1-1/4" are one.
pub(super) fn nominal(text: &str) -> String {
    let lower = text.trim().to_lowercase();
    let lower = lower.trim_start_matches("nps").trim().trim_end_matches('"').trim_end_matches("in").trim();
    let joined = lower.split_whitespace().collect::<Vec<_>>().join("-");
    match joined.as_str() {
        "0.125" => "1/8",
        "0.25" => "1/4",
        "0.375" => "3/8",
        "0.5" => "1/2",
        "0.75" => "3/4",
        "1.0" => "1",
        "1.25" => "1-1/4",
        "1.5" => "1-1/2",
        "2.0" => "2",
        "2.5" => "2-1/2",
        "3.0" => "3",
        "3.5" => "3-1/2",
        "4.0" => "4",
        other => other,
    }
    .to_owned()
}

/// A pipe of a size and schedule.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pipe {
    /// Outside diameter.
    pub od_m: Length,
    /// Nominal wall.
    pub wall_m: Length,
    /// Nominal inside diameter.
    pub id_m: Length,
    /// Wall less the mill tolerance: the one to design with until it is measured.
    pub wall_min_m: Length,
    /// Mass of a metre at the nominal wall.
    pub mass_per_length_kg_m: f64,
}

/// The dimensions of pipe by nominal size and schedule.
///
/// Formula: id = od - 2 wall; least wall = 0.875 wall; mass = pi (od - wall) wall density.
/// Arguments: nominal size, "1/8" to "8"; schedule 5, 10, 40 (STD), 80 (XS), 120, 160 or XXS, an S after it
/// allowed; a listed material (carbon steel of 7850 kg/m3 when `None`).
/// Valid for sizes where 10 and 10S, 40 and 40S and STD, 80 and 80S and XS agree, which these all are.
/// Errors: a size, schedule or material that is not listed.
/// Source: ASME B36.10M and B36.19M (from memory, weights checked); mill tolerance ASTM A53, A106, B241.
///
/// ```
/// let pipe = proofmark::design::pipe::pipe("2", "40", None)?;
/// assert!((pipe.wall_min_m.as_mm() / 25.4 - 0.1348).abs() < 1e-4);
/// # Ok::<(), proofmark::design::InputError>(())
/// ```
pub fn pipe(size: &str, schedule: &str, material: Option<&str>) -> Result<Pipe, InputError> {
    let wanted = nominal(size);
    let (_, od_in, walls) = PIPES.iter().find(|it| it.0 == wanted).ok_or_else(|| {
        let names: Vec<_> = PIPES.iter().map(|it| it.0).collect();
        InputError::unlisted("size", size, format!("a nominal size, one of {}", names.join(", ")))
    })?;
    let word = schedule.trim().to_lowercase();
    let word = word.trim_start_matches("schedule").trim_start_matches("sch").trim_start_matches('.').trim();
    let word = match word {
        "std" => "40",
        "xs" => "80",
        "xxs" => "xxs",
        other => other.trim_end_matches('s'),
    };
    let made: Vec<_> =
        SCHEDULES.iter().zip(walls).filter(|(_, wall)| **wall > 0.0).map(|(name, _)| *name).collect();
    let wall_in = SCHEDULES
        .iter()
        .zip(walls)
        .find(|(name, wall)| **name == word && **wall > 0.0)
        .map(|(_, wall)| *wall)
        .ok_or_else(|| {
            InputError::unlisted("schedule", schedule, format!("for this size one of {}", made.join(", ")))
        })?;
    let density = material.map(material::get).transpose()?.map_or(7850.0, |it| it.density_kg_m3);
    let (od_m, wall_m) = (od_in * 0.0254, wall_in * 0.0254);
    Ok(Pipe {
        od_m: Length::from_si(od_m),
        wall_m: Length::from_si(wall_m),
        id_m: Length::from_si(od_m - 2.0 * wall_m),
        wall_min_m: Length::from_si(wall_m * (1.0 - mill_tolerance(Some(ProductForm::Pipe)).0)),
        mass_per_length_kg_m: PI * (od_m - wall_m) * wall_m * density,
    })
}

/// A bar's mass.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bar {
    /// Mass.
    pub mass_kg: Mass,
}

/// The mass of a round bar or tube blank.
///
/// Formula: (pi/4)(diameter^2 - bore^2) length density.
/// Arguments: diameter, length and bore (zero for solid); a listed material.
/// Errors: a diameter or length not above zero, a bore at or above the diameter, an unlisted material.
/// Source: geometry; density as the material's card.
///
/// ```
/// use proofmark::quantity::{Length, Quantity};
/// let bar = proofmark::design::pipe::bar(Length::mm(50.0), Length::mm(100.0), "6061-T6", Length::mm(0.0))?;
/// assert!((bar.mass_kg.si() - 0.530).abs() < 1e-3);
/// # Ok::<(), proofmark::design::InputError>(())
/// ```
pub fn bar(diameter: Length, length: Length, material: &str, bore: Length) -> Result<Bar, InputError> {
    let (d_m, l_m, b_m) =
        (positive("diameter", diameter)?, positive("length", length)?, not_negative("bore", bore)?);
    if b_m >= d_m {
        let accepted = format!("a bore below the diameter, {:.3} mm", d_m * 1e3);
        return Err(InputError::outside("bore", format!("{:.3} mm", b_m * 1e3), accepted));
    }
    let density = material::get(material)?.density_kg_m3;
    Ok(Bar { mass_kg: Mass::from_si(FRAC_PI_4 * (d_m * d_m - b_m * b_m) * l_m * density) })
}

//! What heat leaves of the strength: at temperature, after over-heating, and in a softened spot.

use serde::Serialize;

use super::InputError;
use super::material::{Family, Metal};
use crate::quantity::{Quantity, Stress, Temperature};

/// Fraction of the room-temperature yield left while hot.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct YieldFraction {
    /// Yield at temperature over yield at room temperature.
    pub fraction: f64,
    /// Where the curve stands.
    pub source: &'static str,
}

type Curve = (&'static [(f64, f64)], &'static str);

const LONG_SOAK: &str = "Aluminum Standards and Data, typical strength at temperature after 10,000 h (from memory); conservative for seconds";

/// Degrees Fahrenheit against yield in ksi, first point room temperature.
const AL_6061: Curve = (
    &[(75.0, 40.0), (212.0, 38.0), (300.0, 31.0), (400.0, 15.0), (500.0, 5.0), (600.0, 2.7), (700.0, 1.8)],
    LONG_SOAK,
);
const AL_6063: Curve = (
    &[(75.0, 31.0), (212.0, 28.0), (300.0, 20.0), (400.0, 6.5), (500.0, 3.5), (600.0, 2.5), (700.0, 2.0)],
    LONG_SOAK,
);
const AL_7075: Curve = (
    &[(75.0, 73.0), (212.0, 65.0), (300.0, 27.0), (400.0, 13.0), (500.0, 9.0), (600.0, 6.5), (700.0, 4.6)],
    LONG_SOAK,
);
const AL_2024: Curve = (
    &[(75.0, 50.0), (212.0, 48.0), (300.0, 45.0), (400.0, 20.0), (500.0, 9.0), (600.0, 6.0), (700.0, 4.0)],
    LONG_SOAK,
);
const CARBON: Curve = (
    &[
        (100.0, 36.0),
        (200.0, 33.0),
        (300.0, 31.8),
        (400.0, 30.8),
        (500.0, 29.3),
        (600.0, 27.6),
        (700.0, 25.8),
    ],
    "ASME BPVC II-D Table Y-1, carbon steel of 36 ksi yield (from memory)",
);
const TYPE_304: Curve = (
    &[
        (100.0, 30.0),
        (200.0, 25.0),
        (300.0, 22.4),
        (400.0, 20.7),
        (500.0, 19.4),
        (600.0, 18.4),
        (700.0, 17.6),
    ],
    "ASME BPVC II-D Table Y-1, type 304 (from memory)",
);

/// Fraction of the room-temperature yield that is left at a temperature.
///
/// Formula: straight lines between the points of the published curve of the alloy, as a fraction of its
/// first point; 1 at and below that first point.
/// Arguments: the metal; its temperature.
/// Valid from -50 degC to 700 degF (371.1 degC); outside that an error names the range. The curves of
/// aluminium are for a soak of 10,000 hours, so they err on the safe side for a burn of seconds; alloys
/// without a curve of their own (6082, 6061-T4) use the lower of 6061 and 6063.
/// Source: Aluminum Standards and Data; ASME BPVC II-D Table Y-1 (both from memory).
///
/// ```
/// use proofmark::design::{derate::yield_fraction, material::find};
/// use proofmark::quantity::Temperature;
/// let metal = find("6061-T6").ok_or("not listed")?;
/// let at_300_f = yield_fraction(metal, Temperature::celsius((300.0 - 32.0) / 1.8))?;
/// assert!((at_300_f.fraction - 0.775).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn yield_fraction(metal: &Metal, temperature: Temperature) -> Result<YieldFraction, InputError> {
    let celsius = temperature.as_celsius();
    let fahrenheit = celsius * 1.8 + 32.0;
    if !celsius.is_finite() || celsius < -50.0 - 1e-9 || fahrenheit > 700.0 + 1e-9 {
        return Err(InputError::outside(
            "temperature",
            format!("{celsius:.1} degC"),
            "a temperature from -50 to 371 degC, the range of the published curve",
        ));
    }
    let alloy = metal.name.split(['-', ' ']).next().unwrap_or_default();
    let (points, source) = match (metal.family, alloy) {
        (Family::Stainless, _) => TYPE_304,
        (Family::Steel, _) => CARBON,
        (Family::Aluminium, "7075") => AL_7075,
        (Family::Aluminium, "2024") => AL_2024,
        (Family::Aluminium, "6061") if metal.name == "6061-T6" => AL_6061,
        (Family::Aluminium, _) => AL_6063,
    };
    let room = points.first().map_or(1.0, |it| it.1);
    let mut fraction = 1.0;
    for pair in points.windows(2) {
        if let [(from_f, from), (to_f, to)] = *pair
            && fahrenheit > from_f
        {
            let share = ((fahrenheit - from_f) / (to_f - from_f)).min(1.0);
            fraction = (from + (to - from) * share) / room;
        }
    }
    Ok(YieldFraction { fraction, source })
}

/// The temperature at and above which a cylinder counts as over-heated and is condemned.
///
/// Aluminium 176 degC (350 degF), steel and nickel 343 degC (650 degF). Source: 49 CFR 180.203,
/// definition of "condemned"/over-heated cylinders. For gas cylinders: a ceiling here, not a permission.
///
/// ```
/// use proofmark::design::{derate::overheat_threshold, material::Family};
/// assert_eq!(overheat_threshold(Family::Aluminium).as_celsius().round(), 176.0);
/// ```
pub const fn overheat_threshold(family: Family) -> Temperature {
    match family {
        Family::Aluminium => Temperature::celsius(176.0),
        Family::Steel | Family::Stainless => Temperature::celsius(343.0),
    }
}

/// Whether a temperature reaches [`overheat_threshold`]; exactly the threshold does.
pub fn overheated(family: Family, temperature: Temperature) -> bool {
    temperature.si() >= overheat_threshold(family).si() - 1e-9
}

pub(crate) fn overheat_words(family: Family) -> String {
    format!(
        "{family} at or above {:.0} degC counts as over-heated (49 CFR 180.203): its listed strength no longer holds after",
        overheat_threshold(family).as_celsius()
    )
}

/// Local yield strength of a softened spot, from its Brinell hardness.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LocalStrength {
    /// Local yield over parent yield.
    pub fraction: f64,
    /// Local yield.
    pub yield_pa: Stress,
    /// The words a report prints.
    #[serde(skip)]
    pub basis: &'static str,
}

/// Brinell hardness and yield (MPa) of an aluminium alloy annealed and in its temper, both typical.
///
/// Source: Aluminum Association typical mechanical properties, from memory (6061-O 8 ksi HB 30, -T6 40 ksi HB 95;
/// 6063-O 7 ksi HB 25, -T5 21 ksi HB 60, -T6 31 ksi HB 73; 2024-O 11 ksi HB 47, -T3 50 ksi HB 120; 7075-O 15 ksi HB 60,
/// -T6 73 ksi HB 150).
fn aluminium_ends(name: &str) -> [(f64, f64); 2] {
    match name {
        "6063-T5" => [(25.0, 48.0), (60.0, 145.0)],
        "6063-T6" => [(25.0, 48.0), (73.0, 214.0)],
        "2024-T3" => [(47.0, 76.0), (120.0, 345.0)],
        "7075-T6" => [(60.0, 103.0), (150.0, 503.0)],
        _ => [(30.0, 55.0), (95.0, 276.0)],
    }
}

/// Local yield from hardness: the parent's minimum times a fraction linear in Brinell hardness.
///
/// Formula for aluminium: straight between annealed and the temper, both typical so that only their ratio is used
/// (the ends stand in the code). For 6061-T6: fraction = (55 + (276 - 55) (HB - 30) / (95 - 30)) / 276, with annealed HB 30 and
/// 55 MPa, T6 HB 95 and 276 MPa.
/// Formula for cold-drawn carbon steel (DOM, 1018 CD, 1020 CD): linear between the hot-rolled state
/// (HB 111 for 1020, 116 for 1018; its published yield) and the hardness `reference_hb` read on the
/// unharmed metal of the same part, where the parent minimum holds.
/// Arguments: the metal; its parent yield; the Brinell hardness read at the spot; for steel the reading on
/// unharmed metal. Never above the parent yield, never below the annealed one.
/// Valid for HB 20 to 200 (aluminium) or 80 to 400 (steel); outside, and for metals without a published
/// pair, an error. A portable tester is good to about 5 %: not allowed for here.
/// Source: common practice, no source for the straight line; end points Aluminum Association typical
/// values (6061), Shigley Table A-20 (steels), from memory.
///
/// ```
/// use proofmark::design::{derate::local_strength, material::find};
/// use proofmark::quantity::Stress;
/// let metal = find("6061-T6").ok_or("not listed")?;
/// let spot = local_strength(metal, Stress::mpa(241.0), 74.0, None)?;
/// assert!((spot.yield_pa.as_mpa() - 178.7).abs() < 0.1);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn local_strength(
    metal: &Metal,
    parent_yield: Stress,
    brinell: f64,
    reference_hb: Option<f64>,
) -> Result<LocalStrength, InputError> {
    let fy_pa = super::error::positive("yield", parent_yield)?;
    let (fraction, basis) = match metal.name {
        "6061-T6" | "6063-T5" | "6063-T6" | "2024-T3" | "7075-T6" => {
            let hb =
                super::error::within("hardness", brinell, 20.0, 200.0, "a Brinell hardness from 20 to 200")?;
            let [(soft_hb, soft), (sound_hb, sound)] = aluminium_ends(metal.name);
            let hb = hb.clamp(soft_hb, sound_hb);
            let fraction = (soft + (sound - soft) * (hb - soft_hb) / (sound_hb - soft_hb)) / sound;
            (
                fraction,
                "linear in Brinell hardness from annealed to the temper, typical values; common practice, no source",
            )
        }
        "DOM steel" | "1018 CD" | "1020 CD" => {
            let (soft_hb, soft_pa) = if metal.name == "1018 CD" { (116.0, 220e6) } else { (111.0, 205e6) };
            let hb =
                super::error::within("hardness", brinell, 80.0, 400.0, "a Brinell hardness from 80 to 400")?;
            let sound = reference_hb.ok_or_else(|| {
                InputError::missing(
                    "reference hardness",
                    "the Brinell hardness of unharmed metal on the same part",
                )
            })?;
            let sound = super::error::within(
                "reference hardness",
                sound,
                soft_hb + 5.0,
                400.0,
                "a Brinell hardness above the annealed state and up to 400",
            )?;
            let share = ((hb - soft_hb) / (sound - soft_hb)).clamp(0.0, 1.0);
            let low = (soft_pa / fy_pa).min(1.0);
            (
                low + (1.0 - low) * share,
                "linear in Brinell hardness from hot-rolled to the reference reading; common practice, no source",
            )
        }
        name => {
            return Err(InputError::outside(
                "material",
                name,
                "6061-T6, 6063-T5, 6063-T6, 2024-T3, 7075-T6, DOM steel, 1018 CD or 1020 CD: others have no hardness line here",
            ));
        }
    };
    Ok(LocalStrength { fraction, yield_pa: Stress::from_si(fy_pa * fraction), basis })
}

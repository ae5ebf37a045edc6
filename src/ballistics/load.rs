//! A load as a person writes it (`predict FILE.toml`), and its numbers once they have been checked.

use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer};

use super::atmosphere::atmosphere;
use super::chamber::{BurnLaw, exponent};
use super::grain::{GrainSize, Stack};
use super::thrust::{disc_m2, divergence_factor};
use super::written::{self, Written};
use crate::design::InputError;
use crate::design::error::{mpa, positive, within};
use crate::quantity::{
    AbsolutePressure, Angle, BurnRate, Density, GaugePressure, Length, Quantity, STANDARD_ATMOSPHERE_PA,
    Speed, Temperature, Typed,
};

/// A load: grain, propellant by its numbers, nozzle, and where it burns.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// What it is called.
    pub name: Option<String>,
    /// `[grain]` for equal grains, `[[grain]]` once for each kind where they differ.
    pub grain: Grains,
    /// The propellant's numbers.
    pub propellant: Propellant,
    /// The nozzle.
    pub nozzle: Nozzle,
    /// The air around it; standard sea level when left out.
    pub ambient: Ambient,
    /// How far a firing scatters about the plan, one sigma, relative.
    pub scatter: Option<Spread>,
    /// Pressures whose chance of being passed is wanted.
    pub limits: Limits,
}

/// Why a load file cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the load cannot be read: {0}")]
pub struct LoadError(String);

impl Load {
    /// Read a load file: the shape of `predict`, or the one `log load --from` takes.
    ///
    /// # Errors
    /// It is not TOML, a key is unknown or missing, or a quantity is not what is asked for; the message
    /// names the line.
    pub fn from_toml(text: &str) -> Result<Self, LoadError> {
        toml::from_str::<Written>(text).map(Self::from).map_err(|error| {
            // The message quotes the file, which may hold what a terminal would act on.
            let message = error.to_string();
            LoadError(message.trim_end().chars().filter(|it| *it == '\n' || !it.is_control()).collect())
        })
    }
}

/// One kind of grain, or several.
#[derive(Clone, Debug, PartialEq)]
pub struct Grains(pub Vec<Grain>);

impl<'de> Deserialize<'de> for Grains {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Either;
        impl<'de> Visitor<'de> for Either {
            type Value = Grains;
            fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                formatter.write_str("a [grain] table, or [[grain]] tables where grains differ")
            }
            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Grains, A::Error> {
                Grain::deserialize(MapAccessDeserializer::new(map)).map(|it| Grains(vec![it]))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, seq: A) -> Result<Grains, A::Error> {
                Vec::deserialize(SeqAccessDeserializer::new(seq)).map(Grains)
            }
        }
        deserializer.deserialize_any(Either)
    }
}

/// Equal grains.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Grain {
    /// How many.
    #[serde(deserialize_with = "written::whole")]
    pub count: u32,
    /// Outside diameter.
    pub outside_diameter: Typed<Length>,
    /// Core DIAMETER.
    pub core: Typed<Length>,
    /// Length of one.
    pub length: Typed<Length>,
    /// Inhibited end FACES of all of these together.
    #[serde(default, deserialize_with = "written::whole")]
    pub inhibited_ends: u32,
}

/// A propellant by its numbers only.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Propellant {
    /// Density.
    pub density: Typed<Density>,
    /// Characteristic velocity.
    pub characteristic_velocity: Typed<Speed>,
    /// Burn rate at a stated absolute pressure.
    pub burn_rate: BurnRate,
    /// Pressure exponent.
    #[serde(deserialize_with = "written::number")]
    pub exponent: f64,
    /// Ratio of specific heats of the exhaust.
    #[serde(deserialize_with = "written::number")]
    #[serde(default = "assumed_ratio_of_heats")]
    pub ratio_of_heats: f64,
    /// Grain temperature the burn rate holds at.
    #[serde(default)]
    pub at_temperature: Option<Typed<Temperature>>,
    /// How much the PRESSURE rises per degree of grain temperature, relative: 0.002, or "0.2 %".
    #[serde(default, deserialize_with = "written::share")]
    pub temperature_sensitivity: Option<f64>,
}

/// A nozzle.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Nozzle {
    /// Throat DIAMETER before the burn.
    pub throat: Typed<Length>,
    /// Exit over throat area; or give `exit`.
    #[serde(default, deserialize_with = "written::maybe_number")]
    pub area_ratio: Option<f64>,
    /// Exit DIAMETER; or give `area_ratio`.
    #[serde(default)]
    pub exit: Option<Typed<Length>>,
    /// Half angle of the cone; none when left out, where the efficiency holds the divergence.
    #[serde(default, deserialize_with = "written::angle")]
    pub half_angle: Option<Typed<Angle>>,
    /// Thrust over the ideal; 1 when left out.
    #[serde(default, deserialize_with = "written::maybe_number")]
    pub efficiency: Option<f64>,
    /// What if: how much the throat's DIAMETER grows over the burn, evenly with the web.
    #[serde(default)]
    pub throat_growth: Option<Typed<Length>>,
    /// What if: how much slag narrows the throat's DIAMETER over the burn, evenly with the web.
    #[serde(default)]
    pub throat_deposit: Option<Typed<Length>>,
}

/// The air around a firing, by pressure or by geometric altitude, and how hot the grains are.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ambient {
    /// ABSOLUTE pressure, as a barometer on the place reads it.
    #[serde(default)]
    pub pressure: Option<Typed<AbsolutePressure>>,
    /// Geometric altitude, in a standard atmosphere.
    #[serde(default)]
    pub altitude: Option<Typed<Length>>,
    /// What if: the temperature the grains are soaked at.
    #[serde(default)]
    pub grain_temperature: Option<Typed<Temperature>>,
}

/// One sigma of each cause of scatter, relative; none of a cause when left out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Spread {
    /// Burn rate.
    #[serde(deserialize_with = "written::number")]
    pub burn_rate: f64,
    /// Burning area.
    #[serde(deserialize_with = "written::number")]
    pub burning_area: f64,
    /// Characteristic velocity.
    #[serde(deserialize_with = "written::number")]
    pub characteristic_velocity: f64,
    /// Throat DIAMETER.
    #[serde(deserialize_with = "written::number")]
    pub throat: f64,
    /// Of the model itself, on the pressure.
    #[serde(deserialize_with = "written::number")]
    pub model: f64,
    /// Chance that a firing starts hard: a crack, a void, a blocked throat.
    #[serde(deserialize_with = "written::number")]
    pub hard_start_chance: f64,
    /// Median peak of a hard start over the planned peak.
    #[serde(deserialize_with = "written::number")]
    pub hard_start_ratio: f64,
    /// One sigma of the logarithm of that ratio.
    #[serde(deserialize_with = "written::number")]
    pub hard_start_sigma: f64,
}

impl Spread {
    /// The club's: burn rate 3 %, burning area 1.5 %, c* 1 %, throat 0.5 %, the model 3 %.
    ///
    /// Source: common practice, no source; a club's own firings are the better one.
    pub const CLUB: Self = Self {
        burn_rate: 0.03,
        burning_area: 0.015,
        characteristic_velocity: 0.01,
        throat: 0.005,
        model: 0.03,
        hard_start_chance: 0.0,
        hard_start_ratio: 0.0,
        hard_start_sigma: 0.0,
    };

    /// The club's causes, each larger or smaller by the same factor so that the peak scatters by `sigma`.
    pub fn of_peak(sigma: f64, exponent: f64) -> Self {
        let whole = Self::CLUB.peak_sigma(exponent);
        let factor = if whole.is_finite() && whole > 0.0 { sigma / whole } else { 0.0 };
        Self {
            burn_rate: Self::CLUB.burn_rate * factor,
            burning_area: Self::CLUB.burning_area * factor,
            characteristic_velocity: Self::CLUB.characteristic_velocity * factor,
            throat: Self::CLUB.throat * factor,
            model: Self::CLUB.model * factor,
            ..Self::CLUB
        }
    }

    /// One sigma of the peak, relative, without hard starts: the root of the sum of squares, each cause through
    /// the power 1/(1 - n) of the balance, the throat's diameter twice.
    pub fn peak_sigma(&self, exponent: f64) -> f64 {
        self.parts(exponent).iter().map(|part| part.powi(2)).sum::<f64>().sqrt()
    }

    /// What one sigma of each cause does to the peak: rate, area, c*, throat, model.
    pub(super) fn parts(&self, exponent: f64) -> [f64; 5] {
        let power = 1.0 / (1.0 - exponent);
        [
            power * self.burn_rate,
            power * self.burning_area,
            power * self.characteristic_velocity,
            2.0 * power * self.throat,
            self.model,
        ]
    }
}

/// Pressures above the atmosphere whose chance of being passed is wanted.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// MEOP of the casing.
    #[serde(default)]
    pub meop: Option<Typed<GaugePressure>>,
    /// Its last proof.
    #[serde(default)]
    pub proof: Option<Typed<GaugePressure>>,
    /// Yield pressure of its thinnest mode.
    #[serde(default, rename = "yield")]
    pub yield_pressure: Option<Typed<GaugePressure>>,
}

/// A load in SI numbers that have been checked.
#[derive(Clone, Debug)]
pub(super) struct Motor {
    pub stack: Stack,
    pub law: BurnLaw,
    pub ratio_of_heats: f64,
    pub throat_m: f64,
    /// Growth of the throat's diameter over the burn, as a share of it.
    pub growth: f64,
    pub exit_m2: f64,
    pub divergence: f64,
    pub efficiency: f64,
    pub ambient_pa: f64,
}

/// What a grain's temperature does to the pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Warmth {
    /// How much hotter than the data.
    pub warmer_k: f64,
    /// Relative rise of the pressure per degree.
    pub sensitivity: f64,
    /// Whether that was taken from what is published.
    pub assumed: bool,
    /// The pressure over the one at the data's temperature.
    pub pressure_ratio: f64,
}

/// The ratio of heats taken where a file does not say; it shapes the thrust only.
pub const ASSUMED_RATIO_OF_HEATS: f64 = 1.2;

const fn assumed_ratio_of_heats() -> f64 {
    ASSUMED_RATIO_OF_HEATS
}

impl Load {
    /// The load's numbers, each checked.
    pub(super) fn motor(&self) -> Result<Motor, InputError> {
        let throat_m = positive("nozzle.throat", self.nozzle.throat.value)?;
        let efficiency = within(
            "nozzle.efficiency",
            self.nozzle.efficiency.unwrap_or(1.0),
            0.3,
            1.0,
            "a thrust efficiency from 0.3 to 1, usually 0.92 to 0.98",
        )?;
        if self.nozzle.throat_growth.is_some() && self.nozzle.throat_deposit.is_some() {
            let given = "given beside a growth";
            return Err(InputError::outside("nozzle.throat_deposit", given, "one of the two"));
        }
        let of = |length: &Option<Typed<Length>>| length.as_ref().map_or(0.0, Typed::si);
        let deposit_m = of(&self.nozzle.throat_deposit);
        if !(0.0..=0.5 * throat_m).contains(&deposit_m) {
            let accepted = format!("a deposit up to half the throat, {:.3} mm", throat_m * 500.0);
            let given = format!("{:.3} mm", deposit_m * 1e3);
            return Err(InputError::outside("nozzle.throat_deposit", given, accepted));
        }
        let growth_m = of(&self.nozzle.throat_growth) - deposit_m;
        if !(-0.5 * throat_m..=throat_m).contains(&growth_m) {
            let accepted = format!("a growth up to the throat itself, {:.3} mm", throat_m * 1e3);
            return Err(InputError::outside(
                "nozzle.throat_growth",
                format!("{:.3} mm", growth_m * 1e3),
                accepted,
            ));
        }
        let stack = self.stack()?;
        let core_m = stack.least_core_m();
        if throat_m > core_m * (1.0 + 1e-9) {
            return Err(InputError::outside(
                "nozzle.throat",
                format!("{:.3} mm", throat_m * 1e3),
                format!(
                    "a throat no wider than the core, {:.3} mm: behind a narrower core the core itself chokes the flow, and the pressure along the grain is not this model's",
                    core_m * 1e3
                ),
            ));
        }
        Ok(Motor {
            stack,
            law: self.law()?,
            ratio_of_heats: super::ratio_of_heats(
                "propellant.ratio_of_heats",
                self.propellant.ratio_of_heats,
            )?,
            throat_m,
            growth: growth_m / throat_m,
            exit_m2: self.exit_m2(throat_m, throat_m + growth_m.max(0.0))?,
            divergence: divergence_factor(
                "nozzle.half_angle",
                self.nozzle.half_angle.as_ref().map_or(Angle::from_si(0.0), |it| it.value),
            )?,
            efficiency,
            ambient_pa: self.ambient_pa()?,
        })
    }

    fn stack(&self) -> Result<Stack, InputError> {
        let in_grain = |error: InputError| match error {
            InputError::Outside { input, given, accepted } => {
                InputError::outside(format!("grain.{input}"), given, accepted)
            }
            other => other,
        };
        if let [grain] = self.grain.0.as_slice() {
            let (outside, core, length) =
                (grain.outside_diameter.value, grain.core.value, grain.length.value);
            return Stack::equal(grain.count, outside, core, length, grain.inhibited_ends).map_err(in_grain);
        }
        let mut sizes = Vec::new();
        for grain in &self.grain.0 {
            // Checked one kind at a time, so that a wild count never makes a wild list.
            let (outside, core, length) =
                (grain.outside_diameter.value, grain.core.value, grain.length.value);
            Stack::equal(grain.count, outside, core, length, grain.inhibited_ends).map_err(in_grain)?;
            let (each, over) = (grain.inhibited_ends / grain.count, grain.inhibited_ends % grain.count);
            sizes.extend((0..grain.count).map(|index| GrainSize {
                outside_diameter: outside,
                core,
                length,
                inhibited_ends: each + u32::from(index < over),
            }));
        }
        Stack::of(&sizes).map_err(in_grain)
    }

    fn law(&self) -> Result<BurnLaw, InputError> {
        let it = &self.propellant;
        let exponent = exponent("propellant.exponent", it.exponent)?;
        let warmth = self.warmth()?.map_or(1.0, |it| it.pressure_ratio);
        Ok(BurnLaw {
            density_kg_m3: positive("propellant.density", it.density.value)?,
            cstar_m_s: positive("propellant.characteristic_velocity", it.characteristic_velocity.value)?,
            rate_m_s: positive("propellant.burn_rate", it.burn_rate.rate)? * warmth.powf(1.0 - exponent),
            at_pa: positive("propellant.burn_rate", it.burn_rate.at)?,
            exponent,
        })
    }

    /// What the grain's temperature does to the pressure, where one is supposed.
    ///
    /// Formula: p = p0 exp(pi (T - T0)), pi the temperature sensitivity of pressure at constant Kn; the burn rate
    /// goes with its power 1 - n. Where no sensitivity is given the end of the published range that gives the
    /// higher pressure is taken: the high one for a hotter grain, the low one for a colder.
    /// Source: Sutton and Biblarz, Rocket Propulsion Elements 7e, section 11.1.
    pub(super) fn warmth(&self) -> Result<Option<Warmth>, InputError> {
        let (low, high, accepted) = (233.15, 353.15, "a grain temperature from -40 to 80 degC");
        if let Some(share) = self.propellant.temperature_sensitivity {
            let accepted = "a share of the pressure per degree, 0 to 0.02; 0.2 % is 0.002";
            within("propellant.temperature_sensitivity", share, 0.0, 0.02, accepted)?;
        }
        if let Some(at) = &self.propellant.at_temperature {
            within("propellant.at_temperature", at.si(), low, high, accepted)?;
        }
        let Some(grain) = &self.ambient.grain_temperature else { return Ok(None) };
        let grain_k = within("ambient.grain_temperature", grain.si(), low, high, accepted)?;
        let Some(at) = &self.propellant.at_temperature else {
            let accepted = "the grain temperature the burn rate holds at, such as \"20 degC\"";
            return Err(InputError::missing("propellant.at_temperature", accepted));
        };
        let warmer_k = grain_k - at.si();
        let [least, most] = super::sensitivity::PRESSURE_PER_KELVIN;
        let published = if warmer_k > 0.0 { most } else { least };
        let sensitivity = self.propellant.temperature_sensitivity.unwrap_or(published);
        Ok(Some(Warmth {
            warmer_k,
            sensitivity,
            assumed: self.propellant.temperature_sensitivity.is_none(),
            pressure_ratio: (sensitivity * warmer_k).exp(),
        }))
    }

    fn exit_m2(&self, throat_m: f64, widest_m: f64) -> Result<f64, InputError> {
        let exit_m2 = match (self.nozzle.area_ratio, &self.nozzle.exit) {
            (Some(ratio), None) => {
                let accepted = "exit over throat area, from 1 to 1000";
                within("nozzle.area_ratio", ratio, 1.0, 1000.0, accepted)? * disc_m2(throat_m)
            }
            (None, Some(exit)) => disc_m2(positive("nozzle.exit", exit.value)?),
            (Some(_), Some(_)) => {
                return Err(InputError::outside(
                    "nozzle.exit",
                    "given beside an area ratio",
                    "one of the two",
                ));
            }
            (None, None) => {
                return Err(InputError::missing("nozzle.area_ratio", "an area ratio, or exit = a diameter"));
            }
        };
        let least_m2 = disc_m2(widest_m);
        if exit_m2 < least_m2 * (1.0 - 1e-12) || exit_m2 > 1000.0 * least_m2 {
            return Err(InputError::outside(
                "nozzle.exit",
                format!("{:.2} mm", (exit_m2 / disc_m2(1.0)).sqrt() * 1e3),
                format!("an exit from the throat at its widest, {:.2} mm, to 31 times that", widest_m * 1e3),
            ));
        }
        Ok(exit_m2)
    }

    fn ambient_pa(&self) -> Result<f64, InputError> {
        match (&self.ambient.pressure, &self.ambient.altitude) {
            (Some(pressure), None) => {
                let accepted = "an absolute pressure of the air, up to 120 kPa";
                if !(0.0..=120_000.0).contains(&pressure.si()) {
                    return Err(InputError::outside("ambient.pressure", mpa(pressure.si()), accepted));
                }
                Ok(pressure.si())
            }
            (None, Some(altitude)) => atmosphere(altitude.value).map(|air| air.pressure_pa.si()),
            (None, None) => Ok(STANDARD_ATMOSPHERE_PA),
            (Some(_), Some(_)) => {
                Err(InputError::outside("ambient.altitude", "given beside a pressure", "one of the two"))
            }
        }
    }
}

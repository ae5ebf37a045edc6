//! Thrust coefficient and the ideal motor.

use std::f64::consts::FRAC_PI_4;

use serde::Serialize;

use super::flow::{area_ratio, critical_ratio, mach_of_pressure, pressure_ratio, supersonic_mach};
use super::{STANDARD_GRAVITY_M_S2, ratio_of_heats};
use crate::design::InputError;
use crate::design::error::{mpa, not_negative, positive, within};
use crate::quantity::{
    AbsolutePressure, Angle, Area, Force, MassFlow, MolarMass, Quantity, SpecificGasConstant, Speed,
    Temperature, TimeSpan,
};

/// Below this share of the ambient pressure at the exit the jet is likely to leave the wall (Summerfield).
const SEPARATION_SHARE: f64 = 0.4;
/// The molar gas constant in joules a mole kelvin, exactly (CODATA 2018).
const MOLAR_GAS_CONSTANT: f64 = 8.314_462_618_153_24;

/// A nozzle at one chamber pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NozzleState {
    /// Ratio of specific heats.
    pub ratio_of_heats: f64,
    /// Exit over throat area.
    pub area_ratio: f64,
    /// ABSOLUTE chamber pressure.
    pub chamber: AbsolutePressure,
    /// ABSOLUTE pressure outside.
    pub ambient: AbsolutePressure,
    /// Half angle of the cone.
    pub half_angle: Angle,
}

/// Thrust coefficient of an ideal nozzle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ThrustCoefficient {
    /// Thrust over chamber pressure times throat area.
    pub thrust_coefficient: f64,
    /// The same in vacuum.
    pub vacuum_coefficient: f64,
    /// Mach number at the exit.
    pub exit_mach: f64,
    /// Pressure at the exit.
    pub exit_pressure_pa: AbsolutePressure,
    /// (1 + cos half angle)/2.
    pub divergence_factor: f64,
    /// Whether the jet is likely to leave the wall before the exit.
    #[serde(skip)]
    pub separated: bool,
}

/// The parts of a thrust coefficient that do not depend on the pressures.
#[derive(Clone, Copy, Debug)]
pub(super) struct Expansion {
    momentum: f64,
    exit_ratio: f64,
    area_ratio: f64,
    mach: f64,
}

impl Expansion {
    pub(super) fn new(k: f64, area_ratio: f64, divergence: f64) -> Self {
        let mach = supersonic_mach(k, area_ratio);
        let exit_ratio = pressure_ratio(k, mach);
        let throat = 2.0 * k * k / (k - 1.0) * (2.0 / (k + 1.0)).powf((k + 1.0) / (k - 1.0));
        let momentum = divergence * (throat * (1.0 - exit_ratio.powf((k - 1.0) / k))).sqrt();
        Self { momentum, exit_ratio, area_ratio, mach }
    }

    pub(super) fn coefficient(&self, chamber_pa: f64, ambient_pa: f64) -> f64 {
        self.momentum + (self.exit_ratio - ambient_pa / chamber_pa) * self.area_ratio
    }

    pub(super) fn separated(&self, chamber_pa: f64, ambient_pa: f64) -> bool {
        self.exit_ratio * chamber_pa < SEPARATION_SHARE * ambient_pa
    }
}

/// A half angle of 0 to 45 degrees, as its divergence factor.
pub(super) fn divergence_factor(input: &'static str, half_angle: Angle) -> Result<f64, InputError> {
    let accepted = "a half angle from 0 to 45 deg; 12 to 18 deg is usual";
    let alpha = within(input, half_angle.si().to_degrees(), 0.0, 45.0 + 1e-9, accepted)?;
    Ok(f64::midpoint(1.0, alpha.to_radians().cos()))
}

/// Whether the throat is choked, or an error that names the chamber pressure.
pub(super) fn choked(
    input: &'static str,
    k: f64,
    chamber_pa: f64,
    ambient_pa: f64,
) -> Result<(), InputError> {
    let least_pa = ambient_pa / critical_ratio(k);
    if chamber_pa > least_pa {
        return Ok(());
    }
    Err(InputError::outside(
        input,
        format!("{} absolute", mpa(chamber_pa)),
        format!("an absolute pressure above {}: below that the throat is not choked", mpa(least_pa)),
    ))
}

/// The thrust coefficient of an ideal nozzle, divergence and outside pressure in it.
///
/// Formula: CF = lambda sqrt(2 k^2/(k - 1) (2/(k + 1))^((k + 1)/(k - 1)) (1 - (pe/pc)^((k - 1)/k))) plus
/// (pe - pa)/pc Ae/At, lambda = (1 + cos a)/2; in vacuum pa = 0.
/// Arguments: [`NozzleState`]; area ratio 1 to 1000, half angle 0 to 45 degrees, ABSOLUTE pressures.
/// Valid for full flow without friction or heat loss; real nozzles reach 0.92 to 0.98 of it. Where the exit
/// pressure is below 0.4 of the ambient the jet leaves the wall: `separated` says so, and the figure is then
/// lower than what a real nozzle gives. Errors: values outside those, a throat that is not choked.
/// Source: Sutton and Biblarz, Rocket Propulsion Elements 7e, Eqs. 3-30 and 3-34 (numbers from memory);
/// separation Summerfield 1954.
///
/// ```
/// use proofmark::ballistics::thrust::{NozzleState, thrust_coefficient};
/// use proofmark::quantity::{AbsolutePressure, Angle, Quantity};
/// let at = thrust_coefficient(&NozzleState {
///     ratio_of_heats: 1.2, area_ratio: 8.0, chamber: AbsolutePressure::mpa(7.0),
///     ambient: AbsolutePressure::mpa(0.1), half_angle: Angle::from_si(0.0),
/// })?;
/// assert!((at.thrust_coefficient - 1.599).abs() < 1e-3 && (at.vacuum_coefficient - 1.7133).abs() < 1e-4);
/// # Ok::<(), proofmark::design::InputError>(())
/// ```
pub fn thrust_coefficient(nozzle: &NozzleState) -> Result<ThrustCoefficient, InputError> {
    let k = ratio_of_heats("ratio_of_heats", nozzle.ratio_of_heats)?;
    let ratio = within("area_ratio", nozzle.area_ratio, 1.0, 1000.0, "an area ratio from 1 to 1000")?;
    let pc_pa = positive("chamber_pressure", nozzle.chamber)?;
    let pa_pa = not_negative("ambient", nozzle.ambient)?;
    let divergence = divergence_factor("half_angle", nozzle.half_angle)?;
    choked("chamber_pressure", k, pc_pa, pa_pa)?;
    let expansion = Expansion::new(k, ratio, divergence);
    Ok(ThrustCoefficient {
        thrust_coefficient: expansion.coefficient(pc_pa, pa_pa),
        vacuum_coefficient: expansion.coefficient(pc_pa, 0.0),
        exit_mach: expansion.mach,
        exit_pressure_pa: AbsolutePressure::from_si(expansion.exit_ratio * pc_pa),
        divergence_factor: divergence,
        separated: expansion.separated(pc_pa, pa_pa),
    })
}

/// The characteristic-velocity function of the ratio of heats: c* = sqrt(R T)/Gamma.
///
/// Formula: Gamma = sqrt(k) (2/(k + 1))^((k + 1)/(2 (k - 1))).
/// Argument: ratio of heats 1.01 to 1.7. Source: Sutton and Biblarz 7e, Eq. 3-32 (number from memory).
///
/// ```
/// assert!((proofmark::ballistics::thrust::vandenkerckhove(1.2)? - 0.64853).abs() < 1e-5);
/// # Ok::<(), proofmark::design::InputError>(())
/// ```
pub fn vandenkerckhove(ratio_of_heats_k: f64) -> Result<f64, InputError> {
    Ok(gamma_function(ratio_of_heats("ratio_of_heats", ratio_of_heats_k)?))
}

pub(super) fn gamma_function(k: f64) -> f64 {
    k.sqrt() * (2.0 / (k + 1.0)).powf((k + 1.0) / (2.0 * (k - 1.0)))
}

/// The gas, by either constant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Gas {
    /// Molar mass of the exhaust.
    MolarMass(MolarMass),
    /// Specific gas constant of the exhaust.
    Constant(SpecificGasConstant),
}

/// How large the motor is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MotorSize {
    /// Throat area.
    ThroatArea(Area),
    /// Mass flow.
    MassFlow(MassFlow),
}

/// An ideal motor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IdealMotorInput {
    /// ABSOLUTE chamber pressure.
    pub chamber: AbsolutePressure,
    /// Chamber temperature.
    pub temperature: Temperature,
    /// The exhaust gas.
    pub gas: Gas,
    /// Ratio of specific heats.
    pub ratio_of_heats: f64,
    /// ABSOLUTE pressure at the exit; the ambient for a nozzle that fits exactly.
    pub exit: AbsolutePressure,
    /// ABSOLUTE pressure outside.
    pub ambient: AbsolutePressure,
    /// How large it is, where thrust and flow are wanted.
    pub size: Option<MotorSize>,
}

/// What an ideal motor does.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct IdealMotor {
    /// Velocity at the exit.
    pub exit_velocity_m_s: Speed,
    /// Characteristic velocity.
    pub characteristic_velocity_m_s: Speed,
    /// Thrust coefficient, outside pressure in it.
    pub thrust_coefficient: f64,
    /// Specific impulse.
    pub specific_impulse_s: TimeSpan,
    /// Mach number at the exit.
    pub exit_mach: f64,
    /// Exit over throat area.
    pub area_ratio: f64,
    /// Mass flow.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass_flow_kg_s: Option<MassFlow>,
    /// Thrust.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thrust_n: Option<Force>,
}

/// Exhaust velocity, characteristic velocity, thrust coefficient and specific impulse of an ideal motor.
///
/// Formula: v = sqrt(2 k/(k - 1) R T (1 - (pe/pc)^((k - 1)/k))); c* = sqrt(R T)/Gamma; CF as
/// [`thrust_coefficient`] without divergence; Isp = CF c*/g0; flow = pc At/c*; thrust = CF pc At.
/// Arguments: [`IdealMotorInput`]; ABSOLUTE pressures; temperature 200 to 6000 K; R = 8.314462618/M.
/// Valid for frozen flow of an ideal gas, no losses: real motors reach 0.85 to 0.95 of the impulse. The exit
/// must lie on the supersonic side of the throat; an exit pressure above that, zero, or a throat that is not
/// choked is an error.
/// Source: Sutton and Biblarz, Rocket Propulsion Elements 7e, Eqs. 3-16, 3-30, 3-32 (numbers from memory).
///
/// ```
/// use proofmark::ballistics::thrust::{Gas, IdealMotorInput, ideal_motor};
/// use proofmark::quantity::{AbsolutePressure, Quantity, SpecificGasConstant, Temperature};
/// let at = ideal_motor(&IdealMotorInput { // Sutton, Example 3-2
///     chamber: AbsolutePressure::mpa(2.068), temperature: Temperature::from_si(2222.0),
///     gas: Gas::Constant(SpecificGasConstant::from_si(345.7)), ratio_of_heats: 1.3,
///     exit: AbsolutePressure::mpa(0.1013), ambient: AbsolutePressure::mpa(0.1013), size: None,
/// })?;
/// assert!((at.exit_velocity_m_s.si() - 1827.0).abs() < 1.0);
/// # Ok::<(), proofmark::design::InputError>(())
/// ```
pub fn ideal_motor(motor: &IdealMotorInput) -> Result<IdealMotor, InputError> {
    let k = ratio_of_heats("ratio_of_heats", motor.ratio_of_heats)?;
    let pc_pa = positive("chamber_pressure", motor.chamber)?;
    let t_k = within(
        "chamber_temperature",
        motor.temperature.si(),
        200.0,
        6000.0,
        "a temperature from 200 to 6000 K",
    )?;
    let r_j_kg_k = match motor.gas {
        Gas::MolarMass(mass) => {
            let accepted = "a molar mass from 1 to 200 g/mol";
            MOLAR_GAS_CONSTANT / within("molar_mass", mass.si(), 0.001, 0.2, accepted)?
        }
        Gas::Constant(constant) => {
            let accepted = "a gas constant from 40 to 8400 J/(kg·K)";
            within("gas_constant", constant.si(), 40.0, 8400.0, accepted)?
        }
    };
    let pa_pa = not_negative("ambient", motor.ambient)?;
    let pe_pa = positive("exit_pressure", motor.exit)?;
    choked("chamber_pressure", k, pc_pa, pa_pa)?;
    let ratio = pe_pa / pc_pa;
    if ratio > critical_ratio(k) {
        return Err(InputError::outside(
            "exit_pressure",
            format!("{} absolute", mpa(pe_pa)),
            format!(
                "at most {} absolute: above that it is upstream of the throat",
                mpa(pc_pa * critical_ratio(k))
            ),
        ));
    }
    let exit_mach = mach_of_pressure(k, ratio);
    let area = area_ratio(k, exit_mach);
    let velocity_m_s = (2.0 * k / (k - 1.0) * r_j_kg_k * t_k * (1.0 - ratio.powf((k - 1.0) / k))).sqrt();
    let cstar_m_s = (r_j_kg_k * t_k).sqrt() / gamma_function(k);
    let coefficient = velocity_m_s / cstar_m_s + (pe_pa - pa_pa) / pc_pa * area;
    let flow_kg_s = match motor.size {
        None => None,
        Some(MotorSize::ThroatArea(throat)) => Some(positive("throat_area", throat)? * pc_pa / cstar_m_s),
        Some(MotorSize::MassFlow(flow)) => Some(positive("mass_flow", flow)?),
    };
    Ok(IdealMotor {
        exit_velocity_m_s: Speed::from_si(velocity_m_s),
        characteristic_velocity_m_s: Speed::from_si(cstar_m_s),
        thrust_coefficient: coefficient,
        specific_impulse_s: TimeSpan::from_si(coefficient * cstar_m_s / STANDARD_GRAVITY_M_S2),
        exit_mach,
        area_ratio: area,
        mass_flow_kg_s: flow_kg_s.map(MassFlow::from_si),
        thrust_n: flow_kg_s.map(|flow| Force::from_si(flow * cstar_m_s * coefficient)),
    })
}

/// The area of a circle of a diameter in metres.
pub(super) fn disc_m2(diameter_m: f64) -> f64 {
    FRAC_PI_4 * diameter_m * diameter_m
}

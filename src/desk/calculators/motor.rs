//! Nozzle, chamber, grain and air: `nozzle-flow`, `thrust-coefficient`, `ideal-motor`, `chamber-pressure`,
//! `bates`, `atmosphere`.

use super::Calculator;
use super::input::{Input, Sign, Takes, number, of, takes};
use super::outcome::{Answer, gives, plain};
use crate::ballistics::atmosphere::atmosphere;
use crate::ballistics::chamber::{Chamber, equilibrium_pressure};
use crate::ballistics::flow::{FlowKnown, nozzle_flow};
use crate::ballistics::grain::Stack;
use crate::ballistics::thrust::{
    Gas, IdealMotorInput, MotorSize, NozzleState, ideal_motor, thrust_coefficient,
};
use crate::design::InputError;
use crate::quantity::{
    AbsolutePressure, Angle, Area, Density, Force, Length, MassFlow, MolarMass, Quantity,
    SpecificGasConstant, Speed, Temperature, TimeSpan, Volume,
};

const FLOW: &str = "one of mach, area_ratio, pressure_ratio";
const GAS: &str = "molar_mass or gas_constant";
const SIZE: &str = "throat_area or mass_flow, where thrust and flow are wanted";
const HEATS: Input =
    number("ratio_of_heats", "ratio of specific heats; 1.1 to 1.3 for rocket exhaust, air 1.4");

pub(super) const ALL: &[Calculator] = &[
    Calculator {
        name: "nozzle-flow",
        purpose: "Isentropic flow from Mach number, area ratio (supersonic) or pressure ratio",
        formula: "T/T0 = 1/(1 + (k - 1)/2 M^2); p/p0 = (T/T0)^(k/(k - 1)); \
                  A/A* = (1/M) ((2/(k + 1))(1 + (k - 1)/2 M^2))^((k + 1)/(2 (k - 1)))",
        inputs: &[
            HEATS,
            number("mach", "Mach number").one_of(FLOW),
            number("area_ratio", "area over throat area, on the SUPERSONIC branch").one_of(FLOW),
            number("pressure_ratio", "static over stagnation pressure, p/p0").one_of(FLOW),
        ],
        results: &[
            plain("mach", "Mach number"),
            plain("area_ratio", "area over throat area"),
            plain("pressure_ratio", "static over stagnation pressure"),
            plain("temperature_ratio", "static over stagnation temperature"),
        ],
        range: "ideal gas of constant k from 1.01 to 1.7, no shock, no friction; area ratios from 1 to 1e6",
        outside: "refused; an area ratio is never taken on the subsonic branch",
        source: "NACA Report 1135 (1953), Eqs. 43, 44, 80 (numbers from memory)",
        work: |values| {
            let one = |name| values.opt_number(name);
            let known = match (one("mach"), one("area_ratio"), one("pressure_ratio")) {
                (Some(mach), None, None) => FlowKnown::Mach(mach),
                (None, Some(ratio), None) => FlowKnown::AreaRatio(ratio),
                (None, None, Some(ratio)) => FlowKnown::PressureRatio(ratio),
                (None, None, None) => return Err(InputError::missing("mach", FLOW).into()),
                _ => return Err(InputError::outside("mach", "not the only one given", FLOW).into()),
            };
            Ok(Answer::of(&nozzle_flow(values.number("ratio_of_heats")?, known)?))
        },
    },
    Calculator {
        name: "thrust-coefficient",
        purpose: "Thrust coefficient of an ideal nozzle at a chamber pressure and an altitude",
        formula: "CF = lambda sqrt(2 k^2/(k - 1) (2/(k + 1))^((k + 1)/(k - 1)) (1 - (pe/pc)^((k - 1)/k))) + \
                  (pe - pa)/pc Ae/At; lambda = (1 + cos a)/2; vacuum: pa = 0",
        inputs: &[
            HEATS,
            number("area_ratio", "exit over throat area"),
            of::<AbsolutePressure>("chamber_pressure", "ABSOLUTE chamber pressure"),
            of::<AbsolutePressure>("ambient", "ABSOLUTE pressure outside").sign(Sign::NotNegative),
            of::<Angle>("half_angle", "half angle of the cone").sign(Sign::NotNegative).bare("deg").or("0"),
        ],
        results: &[
            plain("thrust_coefficient", "thrust over chamber pressure times throat area"),
            plain("vacuum_coefficient", "the same in vacuum"),
            plain("exit_mach", "Mach number at the exit"),
            gives::<AbsolutePressure>("exit_pressure_pa", "pressure at the exit"),
            plain("divergence_factor", "share of the momentum that points aft"),
        ],
        range: "full flow without losses; real nozzles reach 0.92 to 0.98 of it; half angles up to 45 deg",
        outside: "exit pressure under 0.4 of the ambient: the jet leaves the wall, warned of; a throat that is not choked is refused",
        source: "Sutton and Biblarz, Rocket Propulsion Elements 7e, Eqs. 3-30, 3-34 (numbers from memory); separation Summerfield 1954",
        work: |values| {
            let found = thrust_coefficient(&NozzleState {
                ratio_of_heats: values.number("ratio_of_heats")?,
                area_ratio: values.number("area_ratio")?,
                chamber: values.get("chamber_pressure")?,
                ambient: values.get("ambient")?,
                half_angle: values.get("half_angle")?,
            })?;
            Ok(Answer::of(&found).warn_if(
                found.separated,
                "the exit pressure is under 0.4 of the ambient: the jet is likely to leave the wall, and a real nozzle gives more",
            ))
        },
    },
    Calculator {
        name: "ideal-motor",
        purpose: "Exhaust velocity, characteristic velocity and specific impulse of an ideal motor",
        formula: "v = sqrt(2 k/(k - 1) R T (1 - (pe/pc)^((k - 1)/k))); c* = sqrt(R T)/Gamma, Gamma = sqrt(k) \
                  (2/(k + 1))^((k + 1)/(2 (k - 1))); Isp = CF c*/g0; flow = pc At/c*; thrust = CF pc At; R = 8.314462618/M",
        inputs: &[
            of::<AbsolutePressure>("chamber_pressure", "ABSOLUTE chamber pressure"),
            of::<Temperature>("chamber_temperature", "chamber temperature"),
            of::<MolarMass>("molar_mass", "molar mass of the exhaust").one_of(GAS),
            of::<SpecificGasConstant>("gas_constant", "specific gas constant of the exhaust").one_of(GAS),
            HEATS,
            of::<AbsolutePressure>("exit_pressure", "ABSOLUTE exit pressure; the ambient when left out")
                .optional(),
            of::<AbsolutePressure>("ambient", "ABSOLUTE pressure outside").sign(Sign::NotNegative),
            of::<Area>("throat_area", "throat AREA").one_of(SIZE),
            of::<MassFlow>("mass_flow", "mass flow").one_of(SIZE),
        ],
        results: &[
            gives::<Speed>("exit_velocity_m_s", "velocity at the exit"),
            gives::<Speed>("characteristic_velocity_m_s", "characteristic velocity c*"),
            plain("thrust_coefficient", "thrust coefficient"),
            gives::<TimeSpan>("specific_impulse_s", "specific impulse"),
            plain("exit_mach", "Mach number at the exit"),
            plain("area_ratio", "exit over throat area"),
            gives::<MassFlow>("mass_flow_kg_s", "mass flow"),
            gives::<Force>("thrust_n", "thrust"),
        ],
        range: "frozen flow of an ideal gas without losses; real motors reach 0.85 to 0.95 of it; 200 to 6000 K",
        outside: "an exit pressure above the throat's, vacuum at the exit, or a throat that is not choked is refused",
        source: "Sutton and Biblarz, Rocket Propulsion Elements 7e, Eqs. 3-16, 3-30, 3-32 (numbers from memory)",
        work: |values| {
            let gas = match (
                values.opt::<MolarMass>("molar_mass"),
                values.opt::<SpecificGasConstant>("gas_constant"),
            ) {
                (Some(mass), None) => Gas::MolarMass(mass),
                (None, Some(constant)) => Gas::Constant(constant),
                (Some(_), Some(_)) => {
                    return Err(InputError::outside(
                        "gas_constant",
                        "given beside a molar mass",
                        "one of the two",
                    )
                    .into());
                }
                (None, None) => return Err(InputError::missing("molar_mass", GAS).into()),
            };
            let size = match (values.opt::<Area>("throat_area"), values.opt::<MassFlow>("mass_flow")) {
                (None, None) => None,
                (Some(area), None) => Some(MotorSize::ThroatArea(area)),
                (None, Some(flow)) => Some(MotorSize::MassFlow(flow)),
                (Some(_), Some(_)) => {
                    return Err(InputError::outside(
                        "mass_flow",
                        "given beside a throat area",
                        "one of the two",
                    )
                    .into());
                }
            };
            let ambient: AbsolutePressure = values.get("ambient")?;
            Ok(Answer::of(&ideal_motor(&IdealMotorInput {
                chamber: values.get("chamber_pressure")?,
                temperature: values.get("chamber_temperature")?,
                gas,
                ratio_of_heats: values.number("ratio_of_heats")?,
                exit: values.opt("exit_pressure").unwrap_or(ambient),
                ambient,
                size,
            })?))
        },
    },
    Calculator {
        name: "chamber-pressure",
        purpose: "The pressure at which burning and outflow balance",
        formula: "r = r1 (p/p1)^n; p = p1 (Kn rho c* r1/p1)^(1/(1 - n)); Kn = burning area over throat area",
        inputs: &[
            of::<Area>("burning_area", "burning area"),
            of::<Length>("throat", "throat DIAMETER"),
            of::<Density>("density", "density of the propellant"),
            of::<Speed>("characteristic_velocity", "characteristic velocity c*"),
            takes("burn_rate", Takes::BurnRate, "burn rate at a stated pressure"),
            takes("exponent", Takes::Number(Sign::Any), "pressure exponent n of the burn rate"),
        ],
        results: &[
            gives::<AbsolutePressure>("pressure_pa", "chamber pressure, ABSOLUTE"),
            gives::<Speed>("burn_rate_m_s", "burn rate at it"),
            plain("area_ratio_kn", "burning area over throat area, Kn"),
        ],
        range: "steady burning where the burn law was measured, usually 0.5 to 15 MPa; no erosion; n from -1 to 0.95",
        outside: "a pressure outside 0.5 to 15 MPa is worked out and warned of; an exponent outside, or a pressure above 1 GPa, is refused",
        source: "Saint-Robert/Vieille burn law; Sutton and Biblarz 7e, Eqs. 11-3 and 11-5 (numbers from memory)",
        work: |values| {
            let exponent = values.number("exponent")?;
            let found = equilibrium_pressure(&Chamber {
                burning_area: values.get("burning_area")?,
                throat: values.get("throat")?,
                density: values.get("density")?,
                characteristic_velocity: values.get("characteristic_velocity")?,
                burn_rate: values.burn("burn_rate")?,
                exponent,
            })?;
            Ok(Answer::of(&found)
                .warn_if(
                    !(0.5e6..=15e6).contains(&found.pressure_pa.si()),
                    "outside 0.5 to 15 MPa, where burn laws are usually measured",
                )
                .warn_if(
                    true,
                    format!(
                        "1 % more burn rate or area, or less throat area, is {:.1} % more pressure",
                        1.0 / (1.0 - exponent)
                    ),
                ))
        },
    },
    Calculator {
        name: "bates",
        purpose: "Burning area, web and volume of a stack of hollow cylindrical grains",
        formula: "A = N pi ((D^2 - (d + 2x)^2) f/4 + (d + 2x)(L - f x)), f burning faces a grain; greatest at \
                  x = (L - f d)/(3 f); neutral length = f (3 D + d)/4",
        inputs: &[
            takes("count", Takes::Whole, "how many grains"),
            of::<Length>("outside_diameter", "outside diameter D, inhibited"),
            of::<Length>("core", "core DIAMETER d"),
            of::<Length>("length", "length of one grain"),
            takes("inhibited_ends", Takes::Whole, "inhibited end FACES of the whole stack").or("0"),
        ],
        results: &[
            gives::<Area>("area_start_m2", "burning area at the start"),
            gives::<Area>("area_max_m2", "greatest burning area"),
            gives::<Area>("area_end_m2", "burning area just before the end"),
            gives::<Length>("web_at_max_m", "web burned at the greatest area"),
            gives::<Length>("web_m", "web burned at the end"),
            gives::<Volume>("volume_m3", "propellant volume"),
            gives::<Length>("neutral_length_m", "grain length at which the end area is the start area"),
        ],
        range: "cylinders that burn evenly, 1 to 200 grains; a short grain burns through its length first",
        outside: "a core not below the outside diameter, or more inhibited faces than faces, is refused; without a burning face there is no neutral length",
        source: "geometry; the integral of the area over the web is the volume",
        work: |values| {
            let stack = Stack::equal(
                values.whole("count")?,
                values.get("outside_diameter")?,
                values.get("core")?,
                values.get("length")?,
                values.whole("inhibited_ends")?,
            )?;
            Ok(Answer::of(&stack.bates()))
        },
    },
    Calculator {
        name: "atmosphere",
        purpose: "Pressure and temperature of the standard atmosphere at a GEOMETRIC altitude",
        formula: "H = r0 z/(r0 + z), r0 = 6356766 m; p = pb (Tb/T)^(g0 M/(R L)) in a layer of lapse L, \
                  pb exp(-g0 M (H - Hb)/(R T)) where L = 0",
        inputs: &[of::<Length>("altitude", "geometric altitude above sea level").sign(Sign::Any)],
        results: &[
            gives::<AbsolutePressure>("pressure_pa", "absolute pressure"),
            gives::<Temperature>("temperature_k", "temperature"),
        ],
        range: "-5 to 80 km; a mean atmosphere, weather moves the pressure by 2 to 3 %",
        outside: "refused; a barometer read at the place is better than any table",
        source: "U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562), Eqs. 18, 23, 33a, 33b, Table 4 (numbers from memory)",
        work: |values| Ok(Answer::of(&atmosphere(values.get("altitude")?)?)),
    },
];

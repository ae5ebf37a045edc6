//! The quasi-steady burn: from a load to pressure, thrust and impulse over time.

use serde::Serialize;

use super::STANDARD_GRAVITY_M_S2;
use super::grain::Stretch;
use super::load::{Load, Motor};
use super::scatter::Scatter;
use super::thrust::{Expansion, choked, disc_m2, gamma_function};
use crate::design::InputError;
use crate::quantity::{AbsolutePressure, Force, GaugePressure, Impulse, Length, Mass, Quantity, TimeSpan};

/// Steps over each smooth stretch of the web; even, for Simpson's rule.
const STEPS: u32 = 64;
/// Port over throat area below which erosive burning is to be expected.
const LEAST_PORT_TO_THROAT: f64 = 2.0;

/// A moment of the burn.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CurvePoint {
    /// Since the whole surface was alight.
    pub time_s: TimeSpan,
    /// How far the surface has receded.
    pub web_m: Length,
    /// Burning area over throat area.
    pub kn: f64,
    /// Chamber pressure, gauge.
    pub pressure_pa: GaugePressure,
    /// Thrust.
    pub thrust_n: Force,
}

/// What a load is expected to do.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Prediction {
    /// Burning area over throat area at the start.
    pub kn_start: f64,
    /// The greatest.
    pub kn_max: f64,
    /// At the end.
    pub kn_end: f64,
    /// Highest chamber pressure, gauge.
    pub peak_pressure_pa: GaugePressure,
    /// Highest chamber pressure, absolute.
    pub peak_pressure_absolute_pa: AbsolutePressure,
    /// Mean over time, gauge.
    pub mean_pressure_pa: GaugePressure,
    /// Highest thrust.
    pub peak_thrust_n: Force,
    /// Impulse over burn time.
    pub mean_thrust_n: Force,
    /// Total impulse.
    pub impulse_ns: Impulse,
    /// From full ignition to the last web; ignition and tail-off come on top.
    pub burn_time_s: TimeSpan,
    /// Letter class of the impulse: named by whoever knows the class table, which lies after this folder.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub class: Option<String>,
    /// Propellant mass.
    pub propellant_kg: Mass,
    /// Impulse over propellant weight.
    pub specific_impulse_s: TimeSpan,
    /// How far the surface recedes.
    pub web_m: Length,
    /// Core area over throat area at the start, of the narrowest core.
    pub port_to_throat: f64,
    /// Exit over throat area at the start.
    pub area_ratio: f64,
    /// Time for the pressure to fall to a tenth once the propellant is gone.
    pub tail_off_s: TimeSpan,
    /// The air outside.
    pub ambient_pa: AbsolutePressure,
    /// What to know before relying on it.
    pub warnings: Vec<String>,
    /// How far a firing may lie from it, where that was asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scatter: Option<Scatter>,
    /// The burn over time.
    pub curve: Vec<CurvePoint>,
}

/// The state of the burn at a web.
#[derive(Clone, Copy)]
struct State {
    web_m: f64,
    kn: f64,
    pressure_pa: f64,
    rate_m_s: f64,
    thrust_n: f64,
    separated: bool,
}

impl Motor {
    fn throat_at(&self, web_share: f64) -> f64 {
        self.throat_m * (1.0 + self.growth * web_share)
    }

    fn expansion(&self, throat_m: f64) -> Expansion {
        Expansion::new(self.ratio_of_heats, self.exit_m2 / disc_m2(throat_m), self.divergence)
    }

    fn state(&self, stretch: Stretch, web_m: f64, steady: &Expansion, whole_m: f64) -> State {
        let throat_m = self.throat_at(web_m / whole_m);
        let throat_m2 = disc_m2(throat_m);
        let kn = self.stack.area_in(stretch, web_m) / throat_m2;
        let pressure_pa = self.law.pressure_pa(kn);
        let grown;
        let expansion = if self.growth != 0.0 {
            grown = self.expansion(throat_m);
            &grown
        } else {
            steady
        };
        let coefficient = self.efficiency * expansion.coefficient(pressure_pa, self.ambient_pa);
        State {
            web_m,
            kn,
            pressure_pa,
            rate_m_s: self.law.rate_m_s(pressure_pa),
            thrust_n: (coefficient * pressure_pa * throat_m2).max(0.0),
            separated: expansion.separated(pressure_pa, self.ambient_pa),
        }
    }
}

/// Sums over the burn, and its extremes.
#[derive(Default)]
struct Sums {
    time_s: f64,
    impulse_ns: f64,
    pressure_pa_s: f64,
    peak: Option<State>,
    peak_thrust_n: f64,
    separated: bool,
}

impl Sums {
    /// Simpson's rule over two steps.
    fn add(&mut self, step_m: f64, triple: [&State; 3]) {
        let weights = [1.0, 4.0, 1.0];
        for (state, weight) in triple.into_iter().zip(weights) {
            let seconds = weight * step_m / 3.0 / state.rate_m_s;
            self.time_s += seconds;
            self.impulse_ns += seconds * state.thrust_n;
            self.pressure_pa_s += seconds * state.pressure_pa;
        }
    }

    fn see(&mut self, state: State) {
        if self.peak.is_none_or(|peak| state.pressure_pa > peak.pressure_pa) {
            self.peak = Some(state);
        }
        self.peak_thrust_n = self.peak_thrust_n.max(state.thrust_n);
        self.separated |= state.separated;
    }
}

/// What a load is expected to do, by the quasi-steady model.
///
/// Formula: at each web burned the chamber is in balance, p = p1 (Kn rho c* r1/p1)^(1/(1 - n)); thrust =
/// efficiency CF p At; time = integral dx/r; impulse = integral F dx/r, by Simpson's rule over each stretch
/// between grains going out and the peak of the area. Mass is kept: what burns is what leaves.
/// Arguments: [`Load`]; quantities carry their units.
/// Valid for a chamber that fills in a time short against the burn, even burning, no erosion; ignition and
/// tail-off are not in the impulse (`tail_off_s` says how long the pressure takes to fall to a tenth). A
/// core under twice the throat's area is warned of: erosive burning raises the start. A throat that grows
/// or fills with slag (`throat_growth`, `throat_deposit`) does so evenly with the web. Errors: an input outside its range, named by its key.
/// Source: Sutton and Biblarz, Rocket Propulsion Elements 7e, chapters 3 and 11.
///
/// ```
/// use proofmark::quantity::Quantity;
/// let load = proofmark::ballistics::Load::from_toml(r#"
///     [grain]
///     count = 4
///     outside_diameter = "43 mm"
///     core = "16 mm"
///     length = "75 mm"
///     [propellant]
///     density = "1680 kg/m3"
///     characteristic_velocity = "1370 m/s"
///     burn_rate = "7.0 mm/s at 5 MPa"
///     exponent = 0.36
///     ratio_of_heats = 1.2
///     [nozzle]
///     throat = "27/64 in"
///     area_ratio = 8
///     efficiency = 0.95
/// "#).map_err(|it| it.to_string())?;
/// let plan = proofmark::ballistics::predict(&load).map_err(|it| it.to_string())?;
/// assert!((plan.peak_pressure_absolute_pa.as_mpa() - 5.27).abs() < 0.01);
/// assert!((plan.impulse_ns.si() / 1272.0 - 1.0).abs() < 0.01);
/// # Ok::<(), String>(())
/// ```
pub fn predict(load: &Load) -> Result<Prediction, InputError> {
    let motor = load.motor()?;
    let whole_m = motor.stack.web_m();
    let steady = motor.expansion(motor.throat_m);
    let mut sums = Sums::default();
    let mut curve = Vec::new();
    let mut kn = (0.0, 0.0);
    for (index, stretch) in motor.stack.stretches().into_iter().enumerate() {
        let step_m = (stretch.to_m - stretch.from_m) / f64::from(STEPS);
        let at = |step: u32| {
            let web_m = stretch.from_m + step_m * f64::from(step);
            motor.state(stretch, web_m, &steady, whole_m)
        };
        let mut first = at(0);
        if index == 0 {
            kn.0 = first.kn;
        }
        sums.see(first);
        curve.push(point(sums.time_s, &first, motor.ambient_pa));
        for step in (0..STEPS).step_by(2) {
            let (middle, last) = (at(step + 1), at(step + 2));
            sums.add(step_m, [&first, &middle, &last]);
            sums.see(middle);
            sums.see(last);
            curve.push(point(sums.time_s, &last, motor.ambient_pa));
            first = last;
        }
        kn.1 = first.kn;
    }
    let Some(peak) = sums.peak else {
        return Err(InputError::missing("grain.count", "one grain or more"));
    };
    if !(peak.pressure_pa.is_finite() && peak.pressure_pa < 1e9 && sums.time_s.is_finite()) {
        let given = format!("{:.3} mm", motor.throat_m * 1e3);
        let accepted = "a larger throat: the pressure comes out above 1 GPa";
        return Err(InputError::outside("nozzle.throat", given, accepted));
    }
    choked("nozzle.throat", motor.ratio_of_heats, peak.pressure_pa, motor.ambient_pa).map_err(|_| {
        InputError::outside(
            "nozzle.throat",
            format!("{:.3} mm", motor.throat_m * 1e3),
            format!(
                "a smaller throat: the chamber reaches only {:.0} Pa absolute and does not choke it",
                peak.pressure_pa
            ),
        )
    })?;
    let mut plan = assemble(&motor, &sums, &peak, kn, curve);
    plan.warnings.extend(load.warmth()?.map(|it| {
        let (side, degrees) =
            if it.warmer_k < 0.0 { ("colder", -it.warmer_k) } else { ("hotter", it.warmer_k) };
        let of = if it.assumed { "the cautious end of what is published" } else { "as given" };
        format!(
            "grains {degrees:.1} degC {side} than the data: pressure {:+.1} %, at {:.3} % per degC, {of}",
            100.0 * (it.pressure_ratio - 1.0),
            100.0 * it.sensitivity
        )
    }));
    Ok(plan)
}

/// The peak alone, above the atmosphere, whether or not the throat chokes: what planning backwards asks for, many
/// times over.
pub(super) fn peak_only_pa(load: &Load) -> Result<f64, InputError> {
    let motor = load.motor()?;
    let whole_m = motor.stack.web_m();
    let mut kn = 0.0_f64;
    for stretch in motor.stack.stretches() {
        // The area of a stretch is greatest at one of its ends, unless the throat changes meanwhile.
        let steps = if motor.growth == 0.0 { 1 } else { STEPS };
        for step in 0..=steps {
            let web_m = stretch.from_m + (stretch.to_m - stretch.from_m) * f64::from(step) / f64::from(steps);
            kn = kn.max(motor.stack.area_in(stretch, web_m) / disc_m2(motor.throat_at(web_m / whole_m)));
        }
    }
    Ok(motor.law.pressure_pa(kn) - motor.ambient_pa)
}

fn point(time_s: f64, state: &State, ambient_pa: f64) -> CurvePoint {
    CurvePoint {
        time_s: TimeSpan::from_si(time_s),
        web_m: Length::from_si(state.web_m),
        kn: state.kn,
        pressure_pa: GaugePressure::from_si(state.pressure_pa - ambient_pa),
        thrust_n: Force::from_si(state.thrust_n),
    }
}

fn assemble(
    motor: &Motor,
    sums: &Sums,
    peak: &State,
    (kn_start, kn_end): (f64, f64),
    curve: Vec<CurvePoint>,
) -> Prediction {
    let mass_kg = motor.law.density_kg_m3 * motor.stack.volume_at(Length::from_si(0.0)).si();
    let port_to_throat = motor.stack.port_to_throat(motor.throat_m);
    // dp/dt = -p At c* Gamma^2/V, with the gas at R T = (c* Gamma)^2 in the room the grains took up.
    let gamma = gamma_function(motor.ratio_of_heats);
    let end_throat_m2 = disc_m2(motor.throat_at(1.0));
    let fall_s = motor.stack.envelope_m3() / (end_throat_m2 * motor.law.cstar_m_s * gamma * gamma);
    let mut warnings = Vec::new();
    if port_to_throat < LEAST_PORT_TO_THROAT {
        warnings.push(format!(
            "the core has only {port_to_throat:.2} times the throat's area: under {LEAST_PORT_TO_THROAT} erosive \
             burning raises the pressure at the start, which is not in these figures"
        ));
    }
    if sums.separated {
        warnings.push(
            "the jet leaves the nozzle wall at times (exit pressure under 0.4 of the ambient): thrust there is underrated"
                .to_owned(),
        );
    }
    if !(0.5e6..=15e6).contains(&peak.pressure_pa) {
        warnings.push("the peak lies outside 0.5 to 15 MPa, where burn laws are usually measured".to_owned());
    }
    Prediction {
        kn_start,
        // Pressure rises with Kn alone.
        kn_max: peak.kn,
        kn_end,
        peak_pressure_pa: GaugePressure::from_si(peak.pressure_pa - motor.ambient_pa),
        peak_pressure_absolute_pa: AbsolutePressure::from_si(peak.pressure_pa),
        mean_pressure_pa: GaugePressure::from_si(sums.pressure_pa_s / sums.time_s - motor.ambient_pa),
        peak_thrust_n: Force::from_si(sums.peak_thrust_n),
        mean_thrust_n: Force::from_si(sums.impulse_ns / sums.time_s),
        impulse_ns: Impulse::from_si(sums.impulse_ns),
        burn_time_s: TimeSpan::from_si(sums.time_s),
        class: None,
        propellant_kg: Mass::from_si(mass_kg),
        specific_impulse_s: TimeSpan::from_si(sums.impulse_ns / (mass_kg * STANDARD_GRAVITY_M_S2)),
        web_m: motor.stack.web(),
        port_to_throat,
        area_ratio: motor.exit_m2 / disc_m2(motor.throat_m),
        tail_off_s: TimeSpan::from_si(fall_s * 10f64.ln()),
        ambient_pa: AbsolutePressure::from_si(motor.ambient_pa),
        warnings,
        scatter: None,
        curve,
    }
}

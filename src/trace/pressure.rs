//! Chamber pressure from thrust alone, bracketed by the throat before and after.

use serde::Serialize;

use super::error::TraceError;

/// What turns thrust into pressure.
#[derive(Clone, Debug, PartialEq)]
pub struct PressureFromThrust {
    /// Throat diameter before the firing.
    pub throat_before_m: f64,
    /// Throat diameter after it; left out, the one before stands for both.
    pub throat_after_m: Option<f64>,
    /// Thrust coefficient with its efficiency in it.
    pub thrust_coefficient: f64,
    /// Relative standard uncertainty of thrust (0.02 to 0.03 on a calibrated stand; more on a display).
    pub thrust_uncertainty: f64,
    /// Standard uncertainty of a throat diameter.
    pub throat_uncertainty_m: f64,
    /// Relative standard uncertainty of the thrust coefficient (0.04 to 0.05 where it was computed).
    pub coefficient_uncertainty: f64,
}

/// A pressure with the bracket the throat gives it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BracketedPressure {
    /// Between the two, at the mean throat area.
    pub pressure_pa: f64,
    /// With the larger throat.
    pub lower_pa: f64,
    /// With the smaller throat: the one to judge the casing by.
    pub upper_pa: f64,
    /// Standard uncertainty of `upper_pa`.
    pub uncertainty_pa: f64,
}

/// Chamber pressure at a thrust.
///
/// `p = F / (C_F · A_t)`, `A_t = π d²/4`, once with the throat before and once with the throat after: a throat
/// that wears or fouls was somewhere between. Relative uncertainty:
/// `√(u_F² + u_C² + (2 u_d / d)²)`.
///
/// The coefficient must be the one of this nozzle at this pressure and altitude, efficiency included; it is
/// defined with the absolute chamber pressure, so the result is absolute. Valid while the nozzle flows full
/// and is choked, roughly over a fifth of the peak; below that, and in a tail, it is too low. A display on
/// video gives a lower bound at the peak.
///
/// Source: definition of the thrust coefficient, Sutton & Biblarz, Rocket Propulsion Elements, eq. 3-31;
/// uncertainties by the rule of NIST TN 1297.
/// Errors: thrust not finite or not over zero; diameters or coefficient out of range (C_F 0.5 to 2.5).
///
/// ```
/// use proofmark::trace::{PressureFromThrust, pressure_from_thrust};
/// let nozzle = PressureFromThrust {
///     throat_before_m: 9.35e-3,
///     throat_after_m: Some(9.49e-3),
///     thrust_coefficient: 1.476,
///     thrust_uncertainty: 0.025,
///     throat_uncertainty_m: 0.05e-3,
///     coefficient_uncertainty: 0.045,
/// };
/// let p = pressure_from_thrust(523.0, &nozzle)?;
/// // 523 / (1.476 · π/4 · 0.00935²) = 5.161 MPa
/// assert!((p.upper_pa - 5.161e6).abs() < 2e3);
/// assert!((p.lower_pa - 5.010e6).abs() < 2e3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn pressure_from_thrust(
    thrust_n: f64,
    nozzle: &PressureFromThrust,
) -> Result<BracketedPressure, TraceError> {
    let refuse = |what: &str| Err(TraceError::BadOption(what.to_owned()));
    if !(thrust_n > 0.0 && thrust_n < 1e9) {
        return refuse(
            "pressure follows from thrust only where thrust is over zero: take a time within the burn",
        );
    }
    let (before, after) = (nozzle.throat_before_m, nozzle.throat_after_m.unwrap_or(nozzle.throat_before_m));
    if ![before, after].iter().all(|d| (1e-4..2.0).contains(d)) {
        return refuse("a throat diameter must lie between 0.1 mm and 2 m: check its unit");
    }
    if !(0.5..=2.5).contains(&nozzle.thrust_coefficient) {
        return refuse(
            "a thrust coefficient lies between 0.5 and 2.5: check that it is C_F and not a force or an area ratio",
        );
    }
    let shares = [nozzle.thrust_uncertainty, nozzle.coefficient_uncertainty];
    if !shares.iter().all(|u| (0.0..1.0).contains(u))
        || !(0.0..before.min(after)).contains(&nozzle.throat_uncertainty_m)
    {
        return refuse(
            "an uncertainty must not be negative and must be smaller than what it belongs to: give 0.03 for 3 %",
        );
    }
    let at = |area: f64| thrust_n / (nozzle.thrust_coefficient * area);
    let area = |d: f64| std::f64::consts::FRAC_PI_4 * d * d;
    let (small, large) = (area(before.min(after)), area(before.max(after)));
    let upper_pa = at(small);
    let throat_share = 2.0 * nozzle.throat_uncertainty_m / before.min(after);
    let share = shares[0].hypot(shares[1]).hypot(throat_share);
    Ok(BracketedPressure {
        pressure_pa: at(f64::midpoint(small, large)),
        lower_pa: at(large),
        upper_pa,
        uncertainty_pa: share * upper_pa,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn nozzle() -> PressureFromThrust {
        PressureFromThrust {
            throat_before_m: 10e-3,
            throat_after_m: None,
            thrust_coefficient: 1.5,
            thrust_uncertainty: 0.03,
            throat_uncertainty_m: 0.05e-3,
            coefficient_uncertainty: 0.04,
        }
    }

    #[test]
    fn one_throat_has_no_bracket() {
        let p = pressure_from_thrust(1000.0, &nozzle()).unwrap();
        assert!((p.pressure_pa - p.upper_pa).abs() < 1e-6 && (p.pressure_pa - p.lower_pa).abs() < 1e-6);
        assert!((p.uncertainty_pa / p.upper_pa - (0.0009f64 + 0.0016 + 0.0001).sqrt()).abs() < 1e-12);
    }

    #[test]
    fn a_worn_and_a_fouled_throat_give_the_same_bracket() {
        let worn = PressureFromThrust { throat_after_m: Some(10.5e-3), ..nozzle() };
        let fouled = PressureFromThrust { throat_before_m: 10.5e-3, throat_after_m: Some(10e-3), ..nozzle() };
        assert_eq!(pressure_from_thrust(800.0, &worn), pressure_from_thrust(800.0, &fouled));
    }

    #[test]
    fn nonsense_is_refused() {
        for (thrust, change) in [
            (0.0, nozzle()),
            (f64::NAN, nozzle()),
            (10.0, PressureFromThrust { throat_before_m: 10.0, ..nozzle() }),
            (10.0, PressureFromThrust { thrust_coefficient: 5.0, ..nozzle() }),
            (10.0, PressureFromThrust { thrust_uncertainty: -0.1, ..nozzle() }),
        ] {
            assert!(pressure_from_thrust(thrust, &change).is_err());
        }
    }
}

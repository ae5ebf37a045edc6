//! The standard atmosphere.

use serde::Serialize;

use super::STANDARD_GRAVITY_M_S2;
use crate::design::InputError;
use crate::design::error::within;
use crate::quantity::{AbsolutePressure, Length, Quantity, STANDARD_ATMOSPHERE_PA, Temperature};

/// The air at an altitude.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Air {
    /// Absolute pressure.
    pub pressure_pa: AbsolutePressure,
    /// Temperature.
    pub temperature_k: Temperature,
}

/// Base of each layer: geopotential metres, lapse in kelvin a metre.
const LAYERS: [(f64, f64); 7] = [
    (0.0, -6.5e-3),
    (11_000.0, 0.0),
    (20_000.0, 1.0e-3),
    (32_000.0, 2.8e-3),
    (47_000.0, 0.0),
    (51_000.0, -2.8e-3),
    (71_000.0, -2.0e-3),
];
/// Effective radius of the earth of the standard, metres.
const EARTH_M: f64 = 6_356_766.0;
/// Molar mass of air over the molar gas constant of the standard (8314.32 J/(kmol·K)), kg·K/J.
const MASS_OVER_GAS: f64 = 28.9644 / 8_314.32;

/// Pressure and temperature of the US Standard Atmosphere 1976 at a GEOMETRIC altitude.
///
/// Formula: geopotential H = r0 z/(r0 + z), r0 = 6356766 m; in a layer of lapse L from base b:
/// T = Tb + L (H - Hb); p = pb (Tb/T)^(g0 M/(R L)), or pb exp(-g0 M (H - Hb)/(R T)) where L = 0.
/// Arguments: geometric altitude above sea level, -5 to 80 km.
/// Valid as a mean mid-latitude atmosphere; weather moves the pressure by 2 to 3 %, and a barometer read at
/// the place (station pressure, not reduced to sea level) is better. Errors: an altitude outside.
/// Source: U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562), Eqs. 18, 23, 33a, 33b, Table 4 (numbers
/// from memory).
///
/// ```
/// use proofmark::{ballistics::atmosphere::atmosphere, quantity::{Length, Quantity}};
/// let air = atmosphere(Length::from_si(2000.0))?;
/// assert!((air.pressure_pa.si() - 79_501.0).abs() < 2.0);
/// # Ok::<(), proofmark::design::InputError>(())
/// ```
pub fn atmosphere(altitude: Length) -> Result<Air, InputError> {
    let z_m = within("altitude", altitude.si(), -5_000.0, 80_000.0, "a geometric altitude from -5 to 80 km")?;
    let h_m = EARTH_M * z_m / (EARTH_M + z_m);
    let hydrostatic = STANDARD_GRAVITY_M_S2 * MASS_OVER_GAS;
    let (mut pressure_pa, mut base_k) = (STANDARD_ATMOSPHERE_PA, 288.15);
    for (index, (base_m, lapse)) in LAYERS.into_iter().enumerate() {
        let top_m = LAYERS.get(index + 1).map_or(f64::INFINITY, |it| it.0);
        let rise_m = h_m.min(top_m) - base_m;
        let top_k = base_k + lapse * rise_m;
        pressure_pa *= if lapse == 0.0 {
            (-hydrostatic * rise_m / base_k).exp()
        } else {
            (base_k / top_k).powf(hydrostatic / lapse)
        };
        base_k = top_k;
        if h_m <= top_m {
            break;
        }
    }
    Ok(Air {
        pressure_pa: AbsolutePressure::from_si(pressure_pa),
        temperature_k: Temperature::from_si(base_k),
    })
}

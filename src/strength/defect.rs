//! Damage that may stay: the ceilings published for gas cylinders.

use serde::Serialize;

use super::InputError;
use crate::design::error::positive;
use crate::quantity::{Length, Quantity};

/// The deepest and longest gouge.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GougeLimit {
    /// Deepest allowed.
    pub depth_m: Length,
    /// It must be SHORTER than this.
    pub length_m: Length,
}

/// The gouge an aluminium gas cylinder may keep: a ceiling for a casing, not a permission.
///
/// Formula: depth 0.15 of the least design wall, length under 6 in; where the wall is not known, depth 0.031 in.
/// Arguments: least wall, or `None` where it is unknown. Errors: a wall not above zero.
/// Valid for isolated gouges, blended, without a sharp bottom; the club's own limits are lower.
/// Source: CGA C-6.1 4.2, as quoted by a cylinder shop.
///
/// ```
/// use proofmark::quantity::Length;
/// let limit = proofmark::strength::defect::gouge_limit(Some(Length::inches(0.471)))?;
/// assert!((limit.depth_m.as_mm() / 25.4 - 0.0707).abs() < 1e-4);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn gouge_limit(wall_min: Option<Length>) -> Result<GougeLimit, InputError> {
    let depth_m = match wall_min {
        Some(wall) => Length::from_si(0.15 * positive("wall_min", wall)?),
        None => Length::inches(0.031),
    };
    Ok(GougeLimit { depth_m, length_m: Length::inches(6.0) })
}

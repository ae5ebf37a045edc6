//! A load planned: what it is expected to do, its class, and how far a firing may lie from it.

use super::words_of;
use crate::ballistics::{Load, Prediction, predict, scatter};
use crate::book::Problem;
use crate::design::InputError;
use crate::quantity::Quantity;
use crate::trace::impulse_class;

/// Predict a load, name its class, and with `draws` (how many, from which seed) scatter it.
///
/// # Errors
/// The input at fault, named by its key in the load file, with what would be accepted.
pub fn plan(load: &Load, draws: Option<(u32, u64)>) -> Result<Prediction, Problem> {
    let problem = |error: InputError| Problem::new(error.input(), words_of(&error));
    let mut plan = predict(load).map_err(problem)?;
    plan.class = impulse_class(plan.impulse_ns.si()).map(|class| class.letter);
    if let Some((count, seed)) = draws {
        plan.scatter = Some(scatter(load, &plan, count, seed).map_err(problem)?);
    }
    Ok(plan)
}

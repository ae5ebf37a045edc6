//! A load's planned peak against its own numbers: a plan typed too low must not open the way.

use super::calculators::plan;
use crate::ballistics::load::{self, Ambient, Grains, Limits};
use crate::ballistics::{Load, Prediction};
use crate::book::Problem;
use crate::book::details::LoadRecord;
use crate::quantity::{Quantity, System, Typed, show};

/// The load as a pre-fire judges it: with the higher of the planned peak and what its own numbers give.
pub(super) fn as_judged(record: LoadRecord) -> LoadRecord {
    match own_prediction(&record) {
        Some(Ok(own))
            if own.peak_pressure_absolute_pa.si() > (1.0 + PLAN_AGREES) * record.peak_pressure.si() =>
        {
            LoadRecord { peak_pressure: Typed::computed(own.peak_pressure_absolute_pa), ..record }
        }
        _ => record,
    }
}

/// A planned peak far under what the load's own grain, propellant and nozzle give, by the quasi-steady balance.
pub(super) fn object_to_plan(load: &LoadRecord, warnings: &mut Vec<Problem>) {
    let Some(Ok(expected)) = own_prediction(load) else { return };
    let (planned, own) = (load.peak_pressure.si(), expected.peak_pressure_absolute_pa.si());
    if (own / planned - 1.0).abs() > PLAN_AGREES {
        warnings.push(Problem::new(
            "peak_pressure",
            format!(
                "the load's own grain and nozzle give {} above the atmosphere, {:.2} times what is planned: the higher one is what its pre-fire is judged by",
                show(expected.peak_pressure_pa, System::Si),
                own / planned
            ),
        ));
    }
}

/// How far a plan may be from its own numbers before it is said (three sigma of the club's scatter, rounded).
const PLAN_AGREES: f64 = 0.15;

/// What a load's own numbers predict, where it has all of them.
fn own_prediction(record: &LoadRecord) -> Option<Result<Prediction, Problem>> {
    as_load(record).map(|load| plan(&load, None))
}

/// A load on record as one to predict, where it has grain, propellant and nozzle.
pub(super) fn as_load(record: &LoadRecord) -> Option<Load> {
    let (grain, propellant, nozzle) =
        (record.grain.as_ref()?, record.propellant.as_ref()?, record.nozzle.as_ref()?);
    Some(Load {
        name: Some(record.name.clone()),
        grain: Grains(vec![load::Grain {
            count: grain.count,
            outside_diameter: grain.outside_diameter.clone(),
            core: grain.core.clone(),
            length: grain.length.clone(),
            inhibited_ends: grain.inhibited_ends,
        }]),
        propellant: load::Propellant {
            density: propellant.density.clone()?,
            characteristic_velocity: propellant.characteristic_velocity.clone()?,
            burn_rate: propellant.burn_rate?,
            exponent: propellant.exponent?,
            // The peak hardly depends on it; it only shapes the thrust.
            ratio_of_heats: propellant.ratio_of_heats.unwrap_or(1.2),
        },
        nozzle: load::Nozzle {
            throat: nozzle.throat.clone(),
            area_ratio: nozzle.area_ratio.or(nozzle.exit.is_none().then_some(6.0)),
            exit: nozzle.exit.clone(),
            half_angle: None,
            efficiency: nozzle.efficiency,
            throat_growth: None,
        },
        ambient: Ambient::default(),
        scatter: None,
        limits: Limits::default(),
    })
}

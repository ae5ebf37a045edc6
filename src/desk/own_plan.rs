//! A load's planned peak against its own numbers: a plan typed too low must not open the way.

use super::calculators::plan;
use crate::ballistics::load::ASSUMED_RATIO_OF_HEATS;
use crate::ballistics::load::{self, Ambient, Grains, Limits};
use crate::ballistics::{Load, Prediction};
use crate::book::Problem;
use crate::book::details::{BatchRecord, LoadRecord, Propellant};
use crate::quantity::{AbsolutePressure, Angle, BurnRate, Quantity, Speed, System, Typed, show, show_both};
use crate::standing::planned::{Hot, Narrow};

/// The load as a pre-fire judges it: with the higher of the planned peak and what its own numbers give. A batch
/// that is named counts in full; without one, own numbers a little over the plan are the plan. A grain hotter than
/// the batch's numbers raises whichever it is, and so does a throat narrower than the plan's.
pub(super) fn as_judged(
    record: LoadRecord,
    batch: Option<&BatchRecord>,
    hot: Option<Hot>,
    narrow: Option<Narrow>,
) -> LoadRecord {
    let planned = record.peak_pressure.value;
    let own = own_prediction(&record, batch).and_then(Result::ok).map(|own| own.peak_pressure_absolute_pa);
    let agrees = if batch.is_some() { 0.0 } else { PLAN_AGREES };
    let cold = own.filter(|own| own.si() / planned.si() - 1.0 > agrees).unwrap_or(planned);
    let raised = hot.map_or(1.0, |hot| hot.ratio) * narrow.map_or(1.0, |narrow| narrow.ratio);
    let judged = AbsolutePressure::from_si(cold.si() * raised);
    if judged == planned {
        return record;
    }
    LoadRecord { peak_pressure: Typed::computed(judged), ..record }
}

/// How much higher the peak is through the throat that is fitted, where that is narrower than the plan's: peak goes with
/// throat area to the power -1/(1 - n) (quasi-steady balance; Sutton and Biblarz 7e, section 11.1). `None` where the
/// throat is no narrower, or no exponent is on record.
pub(super) fn narrowed(
    record: &LoadRecord,
    batch: Option<&BatchRecord>,
    assessed: &crate::standing::Assessment,
) -> Option<Narrow> {
    let planned_m = record.nozzle.as_ref()?.throat.si();
    let fitted_m = assessed.fitted_throat()?.1;
    let exponent = numbers_of(record.propellant.as_ref(), batch).exponent?;
    let ratio = (planned_m / fitted_m).powf(2.0 / (1.0 - exponent));
    (fitted_m < planned_m && ratio.is_finite() && exponent < 1.0).then_some(Narrow { fitted_m, ratio })
}

/// A planned peak far from what the load's own grain, propellant and nozzle give, by the quasi-steady balance.
///
/// # Errors
/// Its own numbers cannot be burned at all: the input at fault.
pub(super) fn object_to_plan(load: &LoadRecord, warnings: &mut Vec<Problem>) -> Result<(), Problem> {
    let Some(expected) = own_prediction(load, None) else { return Ok(()) };
    let expected = expected?;
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
    Ok(())
}

/// How far a plan may be from its own numbers before it is said (three sigma of the club's scatter, rounded).
const PLAN_AGREES: f64 = 0.15;

/// What a load's own numbers predict, where it has all of them.
pub(super) fn own_prediction(
    record: &LoadRecord,
    batch: Option<&BatchRecord>,
) -> Option<Result<Prediction, Problem>> {
    load_of(record, batch).ok().map(|own| plan(&own, None))
}

/// A load on record as one to predict, where it has grain, propellant and nozzle.
pub(super) fn as_load(record: &LoadRecord) -> Option<Load> {
    load_of(record, None).ok()
}

/// A load on record as the engine takes it, with the numbers of a batch in place of its own where one is named.
///
/// The batch's own density, c*, burn rate, exponent and ratio of heats come first, the load's after them. A batch
/// without a burn rate of its own scales the load's by its burn-rate factor.
///
/// # Errors
/// What is missing: every field at once.
pub(super) fn load_of(record: &LoadRecord, batch: Option<&BatchRecord>) -> Result<Load, Vec<Problem>> {
    let mut problems = Vec::new();
    let mut missing = |field: &str| {
        let name = &record.name;
        let message = format!("load {name} does not say; log its next revision with it (proofmark log load)");
        problems.push(Problem::new(field, message));
    };
    if record.grain.is_none() {
        missing("grain.count");
    }
    if record.nozzle.is_none() {
        missing("nozzle.throat");
    }
    let numbers = numbers_of(record.propellant.as_ref(), batch);
    for (field, there) in [
        ("propellant.density", numbers.density.is_some()),
        ("propellant.characteristic_velocity", numbers.characteristic_velocity.is_some()),
        ("propellant.burn_rate", numbers.burn_rate.is_some()),
        ("propellant.exponent", numbers.exponent.is_some()),
    ] {
        if !there {
            missing(field);
        }
    }
    let (
        Some(grain),
        Some(nozzle),
        Propellant {
            density: Some(density),
            characteristic_velocity: Some(cstar),
            burn_rate: Some(burn_rate),
            exponent: Some(exponent),
            ratio_of_heats,
        },
    ) = (&record.grain, &record.nozzle, numbers)
    else {
        return Err(problems);
    };
    Ok(Load {
        name: Some(record.name.clone()),
        grain: Grains(vec![load::Grain {
            count: grain.count,
            outside_diameter: grain.outside_diameter.clone(),
            core: grain.core.clone(),
            length: grain.length.clone(),
            inhibited_ends: grain.inhibited_ends,
        }]),
        propellant: load::Propellant {
            density,
            characteristic_velocity: cstar,
            burn_rate,
            exponent,
            // The peak does not depend on it; it only shapes the thrust.
            ratio_of_heats: ratio_of_heats.unwrap_or(ASSUMED_RATIO_OF_HEATS),
            at_temperature: batch.and_then(|batch| batch.at_temperature.clone()),
            temperature_sensitivity: None,
        },
        nozzle: load::Nozzle {
            throat: nozzle.throat.clone(),
            area_ratio: nozzle.area_ratio.or(nozzle.exit.is_none().then_some(ASSUMED_AREA_RATIO)),
            exit: nozzle.exit.clone(),
            half_angle: nozzle.half_angle_deg.map(|degrees| Typed {
                value: Angle::from_si(degrees.to_radians()),
                typed: Some(format!("{degrees} deg")),
            }),
            efficiency: nozzle.efficiency,
            throat_growth: None,
            throat_deposit: None,
        },
        ambient: Ambient::default(),
        scatter: None,
        limits: Limits::default(),
    })
}

const ASSUMED_AREA_RATIO: f64 = 6.0;

/// The numbers a load burns with: the batch's own first, then the load's.
fn numbers_of(load: Option<&Propellant>, batch: Option<&BatchRecord>) -> Propellant {
    let own = batch.map(|batch| &batch.propellant);
    let factor = batch.and_then(|batch| batch.burn_rate_factor).unwrap_or(1.0);
    let scaled = load
        .and_then(|it| it.burn_rate)
        .map(|rate| BurnRate { rate: Speed::from_si(rate.rate.si() * factor), ..rate });
    Propellant {
        density: own.and_then(|it| it.density.clone()).or_else(|| load?.density.clone()),
        characteristic_velocity: own
            .and_then(|it| it.characteristic_velocity.clone())
            .or_else(|| load?.characteristic_velocity.clone()),
        burn_rate: own.and_then(|it| it.burn_rate).or(scaled),
        exponent: own.and_then(|it| it.exponent).or_else(|| load?.exponent),
        ratio_of_heats: own.and_then(|it| it.ratio_of_heats).or_else(|| load?.ratio_of_heats),
    }
}

/// What a batch puts in place of the load's numbers, in words.
pub(super) fn batch_words(batch: &BatchRecord) -> String {
    let mut words = Vec::new();
    match (batch.propellant.burn_rate, batch.burn_rate_factor) {
        (Some(rate), _) => words.push(format!(
            "burn rate {} at {}",
            show_both(rate.rate, System::Si),
            show(rate.at, System::Si)
        )),
        (None, Some(factor)) => words.push(format!("burn rate x {factor}")),
        (None, None) => {}
    }
    if let Some(exponent) = batch.propellant.exponent {
        words.push(format!("exponent {exponent}"));
    }
    if let Some(density) = &batch.propellant.density {
        words.push(format!("density {}", show(density.value, System::Si)));
    }
    if let Some(cstar) = &batch.propellant.characteristic_velocity {
        words.push(format!("c* {}", show(cstar.value, System::Si)));
    }
    if words.is_empty() {
        return format!("batch {} (no numbers of its own)", batch.name);
    }
    format!("batch {} ({})", batch.name, words.join(", "))
}

/// What the engine assumes where a load on record does not say.
pub(super) fn assumptions(record: &LoadRecord, batch: Option<&BatchRecord>) -> Vec<String> {
    let mut words = Vec::new();
    if numbers_of(record.propellant.as_ref(), batch).ratio_of_heats.is_none() {
        words.push(format!(
            "ratio of heats not on record: {ASSUMED_RATIO_OF_HEATS} assumed; it shapes the thrust only"
        ));
    }
    if let Some(nozzle) = &record.nozzle {
        if nozzle.area_ratio.is_none() && nozzle.exit.is_none() {
            words.push(format!("exit not on record: {ASSUMED_AREA_RATIO} times the throat's area assumed"));
        }
        if nozzle.efficiency.is_none() {
            words.push(
                "nozzle efficiency not on record: 1 assumed, so the thrust is on the high side".to_owned(),
            );
        }
    }
    words
}

//! A proof before it is pumped, and while it is: what to expect at every step, and whether what is read agrees.
//!
//! A plan is a pure function of what the book says of a casing and a pressure. [`look`] holds what has been read
//! so far against it and says at once what departs.

use chrono::{Months, NaiveDate};

use super::Assessment;
use super::exceeds;
use super::proofs::{expansion, predicted_growth_mm};
use super::rules::RuleSet;
use crate::book::ProofMethod;
use crate::design::EndKind;
use crate::quantity::{GaugePressure, Quantity, System};
use crate::strength::growth::{WATER_COMPRESSIBILITY_PER_PA, WaterExpansion};
use crate::strength::{self, Margins, ProofObjection};

/// What must be in order at the rig on the day: id and words.
pub const RIG: &[(&str, &str)] = &[
    ("solid", "filled with water and bled until solid, tilted and tapped"),
    ("gauges", "two gauges, one in calibration, both seen from behind cover"),
    ("relief", "relief valve set near 1.1 times the proof, snubber and isolation valve in"),
    ("cover", "box or pit, hoses tied, chain round the closures"),
    ("inside", "real closures, dummy nozzle plug; no graphite, phenolic or liner inside"),
    ("water", "water and casing at one temperature, 15 to 30 degC"),
    ("away", "nobody near above MEOP, nothing tightened under pressure, no bangs"),
];

/// A place that is measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// Axial distance from the forward seal face, millimetres.
    pub station_mm: f64,
    /// Clock angle, where one was given.
    pub clock_deg: Option<f64>,
    /// What it was born with, millimetres.
    pub birth_mm: f64,
    /// What makes it read otherwise than the prediction.
    pub note: Option<&'static str>,
}

impl Station {
    /// Station and angle as they are written before a reading: "120 mm @ 0".
    pub fn mark(&self) -> String {
        let station = trimmed(self.station_mm);
        self.clock_deg
            .map_or_else(|| format!("{station} mm"), |clock| format!("{station} mm @ {}", trimmed(clock)))
    }
}

fn trimmed(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// One step of the pumping.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The pressure to reach, pascals above the atmosphere.
    pub pressure_pa: f64,
    /// Its share of the proof.
    pub share: f64,
    /// What it is for.
    pub what: &'static str,
    /// Whether nobody may be near.
    pub away: bool,
    /// Growth of the outside diameter to expect at every station, millimetres.
    pub growth_mm: Option<f64>,
    /// Water to have pumped in by then, cubic metres: growth of the bore and the water's own compression.
    pub water_m3: Option<f64>,
}

/// A proof as planned.
#[derive(Clone, Debug)]
pub struct ProofPlan {
    /// The casing.
    pub serial: String,
    /// The day planned for.
    pub day: NaiveDate,
    /// MEOP in force, pascals above the atmosphere.
    pub meop_pa: f64,
    /// The proof pressure, pascals above the atmosphere.
    pub pressure_pa: f64,
    /// Where that pressure comes from.
    pub pressure_from: String,
    /// Where the stations are.
    pub stations: Vec<Station>,
    /// The steps, in order; the last is the proof.
    pub steps: Vec<Step>,
    /// How long to hold, seconds.
    pub hold_s: f64,
    /// Expansion of the bore and of the water at the proof pressure, where the tube's length is known.
    pub water: Option<WaterExpansion>,
    /// Compressibility of water used, per pascal.
    pub beta_per_pa: f64,
    /// How permanent set is best measured on a casing of this size.
    pub method: ProofMethod,
    /// Why.
    pub method_why: String,
    /// The objection, where a mode would pass its share of local yield.
    pub objection: Option<ProofObjection>,
    /// What speaks against this pressure or is not known.
    pub cautions: Vec<String>,
    /// The last day a proof passed on this day is good for.
    pub good_until: Option<NaiveDate>,
    /// Firings it is good for.
    pub good_for_firings: u32,
    /// What a dial gauge is taken to repeat to, millimetres.
    pub dial_mm: f64,
    /// How far from the prediction, per cent of it, stops the pumping.
    pub stop_percent: f64,
}

/// Why there is no plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoPlan(pub String);

/// A proof pressure that goes with a MEOP.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposed {
    /// The pressure, pascals above the atmosphere.
    pub pressure_pa: f64,
    /// Why it is not the club's factor on MEOP, where it is not.
    pub lowered: Option<String>,
}

/// The highest proof of a MEOP up to the club's factor that takes no mode past its share of yield; `None` where even
/// the least proof that covers the MEOP would.
pub fn propose(margins: &Margins, meop_pa: f64, rules: &RuleSet) -> Option<Proposed> {
    let full_pa = rules.value("proof-factor") * meop_pa;
    let least_pa = rules.value("proof-factor-least") * meop_pa;
    let share = rules.value("proof-yield-share") / 100.0;
    let Some(objection) = strength::proof_objection(margins, GaugePressure::from_si(full_pa), share) else {
        return Some(Proposed { pressure_pa: full_pa, lowered: None });
    };
    let cap_pa = objection.highest_proof_pa.si();
    if exceeds(least_pa, cap_pa) {
        return None;
    }
    // Rounded down to what a gauge shows, where that still covers MEOP.
    let round_pa = (cap_pa / 5e4 + 1e-9).floor() * 5e4;
    let pressure_pa = if round_pa >= least_pa { round_pa } else { cap_pa };
    Some(Proposed {
        pressure_pa,
        lowered: Some(format!(
            "{:.2} MPa ({:.2} times MEOP), not {:.2} MPa ({:.2} times), which would take the {} past {:.0} % of the {:.2} MPa it yields at",
            pressure_pa * 1e-6,
            pressure_pa / meop_pa,
            full_pa * 1e-6,
            full_pa / meop_pa,
            objection.mode,
            100.0 * share,
            objection.yield_pressure_pa.as_mpa(),
        )),
    })
}

/// Plan a proof of a casing as it is, on a day, at a pressure or at the club's factor on MEOP.
///
/// # Errors
/// There is no drawing, it is retired, or no margin can be worked out; the words say what to do.
pub fn plan(
    assessed: &Assessment,
    day: NaiveDate,
    pressure: Option<GaugePressure>,
    rules: &RuleSet,
) -> Result<ProofPlan, NoPlan> {
    let (Some(design), Some(meop_pa)) = (assessed.design_in_force(), assessed.meop_pa) else {
        return Err(NoPlan("no drawing is on record: register it first".to_owned()));
    };
    if assessed.reasons.iter().any(|it| it.standing == crate::book::Standing::Retired) {
        return Err(NoPlan(format!(
            "{} is retired, and that is final: there is nothing to proof",
            assessed.serial
        )));
    }
    let margins = match assessed.margins(None) {
        Some(Ok(margins)) => margins,
        Some(Err(error)) => return Err(NoPlan(format!("no margin can be worked out: {error}"))),
        None => return Err(NoPlan("no drawing is on record: register it first".to_owned())),
    };
    let factor = rules.value("proof-factor");
    let mut cautions = Vec::new();
    let by_rule = format!("{} ({})", rules.says("proof-factor"), rules.source("proof-factor"));
    let (pressure_pa, pressure_from) = match (pressure, propose(&margins, meop_pa, rules)) {
        (Some(asked), _) => (asked.si(), format!("as asked; {}", rules.says("proof-factor"))),
        (None, Some(Proposed { pressure_pa, lowered: Some(why) })) => {
            cautions.push(format!("proposed at {why}"));
            (
                pressure_pa,
                format!(
                    "the highest that keeps to this: {}. By rule, {}; {}",
                    rules.says("proof-yield-share"),
                    rules.says("proof-factor"),
                    rules.says("proof-factor-least")
                ),
            )
        }
        (None, Some(Proposed { pressure_pa, lowered: None })) => (pressure_pa, by_rule),
        (None, None) => (factor * meop_pa, by_rule),
    };
    let least = rules.value("proof-factor-least") * meop_pa;
    if exceeds(least, pressure_pa) {
        cautions.push(format!(
            "{:.2} MPa does not cover MEOP {:.2} MPa: {} ({:.2} MPa)",
            pressure_pa * 1e-6,
            meop_pa * 1e-6,
            rules.says("proof-factor-least"),
            least * 1e-6
        ));
    }
    let share = rules.value("proof-yield-share") / 100.0;
    let objection = strength::proof_objection(&margins, GaugePressure::from_si(pressure_pa), share);
    if let Some(objection) = &objection
        && least > objection.highest_proof_pa.si()
    {
        cautions.push(format!(
            "no proof covers MEOP {:.2} MPa without passing that share: lower MEOP to {:.2} MPa, or change the drawing",
            meop_pa * 1e-6,
            objection.highest_proof_pa.si() * 1e-6 / rules.value("proof-factor-least")
        ));
    }
    let growth = |pa: f64| predicted_growth_mm(&design, GaugePressure::from_si(pa));
    let steps = steps(meop_pa, pressure_pa, rules)
        .into_iter()
        .map(|(pa, what)| Step {
            pressure_pa: pa,
            share: pa / pressure_pa,
            what,
            away: exceeds(pa, meop_pa),
            growth_mm: growth(pa),
            water_m3: expansion(&design, GaugePressure::from_si(pa))
                .map(|it| it.growth_thick_m3.si() + it.water_compression_m3.si()),
        })
        .collect();
    let water = expansion(&design, GaugePressure::from_si(pressure_pa));
    let (method, method_why) = method(water.as_ref(), rules);
    if growth(pressure_pa).is_none() {
        cautions.push(
            "the metal has no modulus or Poisson's ratio on record: growth cannot be predicted".to_owned(),
        );
    }
    let stations = stations(assessed, &design);
    if stations.is_empty() {
        cautions.push(
            "no diameters were read at birth: mark stations and read them before pumping, or growth stays unseen"
                .to_owned(),
        );
    }
    if !assessed.spots.is_empty() {
        cautions.push(
            "a soft or thin place is on record: read a station on it and one a hand's width away, under pressure and after"
                .to_owned(),
        );
    }
    let welded = design.forward.kind == EndKind::WeldedPlug || design.aft.kind == EndKind::WeldedPlug;
    let as_built = rules.value(if welded { "proof-firings-welded" } else { "proof-firings" });
    let good_for = assessed.restriction.as_ref().map_or(as_built, |restriction| {
        let said = restriction.proof_every.map(f64::from);
        said.unwrap_or_else(|| rules.value("proof-firings-restricted")).min(as_built)
    });
    let months = rules.value("proof-months").clamp(0.0, 1200.0) as u32;
    Ok(ProofPlan {
        serial: assessed.serial.clone(),
        day,
        meop_pa,
        pressure_pa,
        pressure_from,
        stations,
        steps,
        hold_s: rules.value("proof-hold"),
        water,
        beta_per_pa: WATER_COMPRESSIBILITY_PER_PA,
        method,
        method_why,
        objection,
        cautions,
        good_until: day.checked_add_months(Months::new(months)),
        good_for_firings: good_for.max(0.0) as u32,
        dial_mm: rules.value("dial-repeatability"),
        stop_percent: rules.value("proof-elastic-agreement"),
    })
}

/// The pressures of a proof, lowest first, each with what it is for.
fn steps(meop_pa: f64, proof_pa: f64, rules: &RuleSet) -> Vec<(f64, &'static str)> {
    let mut steps = vec![(0.10 * proof_pa, "leak check"), (0.50 * proof_pa, "half")];
    let from_pa = if meop_pa < proof_pa { meop_pa } else { 0.5 * proof_pa };
    if meop_pa < proof_pa {
        steps.push((meop_pa, "MEOP: the last look from near"));
    }
    let most = (rules.value("proof-step") / 100.0).clamp(0.01, 1.0) * proof_pa;
    let count = ((proof_pa - from_pa) / most - 1e-9).ceil().clamp(1.0, 100.0);
    let mut at = 1.0;
    while at < count {
        steps.push((from_pa + (proof_pa - from_pa) * at / count, "up"));
        at += 1.0;
    }
    steps.push((proof_pa, "proof: hold"));
    steps.sort_by(|a, b| a.0.total_cmp(&b.0));
    // Of two that are nearly one the higher stays: the proof itself, and the last look at MEOP.
    steps.dedup_by(|higher, lower| {
        let one = (higher.0 - lower.0).abs() < 0.01 * proof_pa;
        if one {
            *lower = *higher;
        }
        one
    });
    steps
}

/// Whether a burette of a shed could see the permanent set that matters.
fn method(water: Option<&WaterExpansion>, rules: &RuleSet) -> (ProofMethod, String) {
    let Some(water) = water else {
        return (
            ProofMethod::Diameters,
            "the tube's length is not on the drawing: diameters only".to_owned(),
        );
    };
    let seen_ml = rules.value("permanent-set-second-reader") / 100.0 * water.growth_thick_m3.si() * 1e6;
    let resolved_ml = rules.value("proof-resolution");
    if seen_ml < 2.0 * resolved_ml {
        let why = format!(
            "diameters only: {} of the expansion is {seen_ml:.3} mL, too little beside the {resolved_ml} mL a burette resolves",
            rules.limit("permanent-set-second-reader")
        );
        (ProofMethod::Diameters, why)
    } else {
        let why = format!(
            "by water jacket, or direct expansion with the water's compression taken off: {} of the expansion is {seen_ml:.2} mL",
            rules.limit("permanent-set-second-reader")
        );
        (ProofMethod::Direct, why)
    }
}

fn stations(assessed: &Assessment, design: &crate::design::Design) -> Vec<Station> {
    let od_mm = design.tube.od.value.as_mm();
    let wall_mm = design.tube.wall.value.as_mm();
    let held_mm = 2.0 * ((od_mm - wall_mm) / 2.0 * wall_mm).sqrt();
    let length_mm = design.tube.length.as_ref().map(|it| it.value.as_mm());
    let mut stations: Vec<Station> = assessed
        .birth
        .iter()
        .map(|(station_mm, clock_deg, birth_mm)| Station {
            station_mm: *station_mm,
            clock_deg: *clock_deg,
            birth_mm: *birth_mm,
            note: (*station_mm < held_mm || length_mm.is_some_and(|length| length - station_mm < held_mm))
                .then_some("close to an end, which holds the tube in: reads less"),
        })
        .collect();
    stations.sort_by(|a, b| {
        a.station_mm
            .total_cmp(&b.station_mm)
            .then(a.clock_deg.unwrap_or(-1.0).total_cmp(&b.clock_deg.unwrap_or(-1.0)))
    });
    stations
}

/// What was read at a step.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StepRead {
    /// The pressure reached, pascals above the atmosphere.
    pub pressure_pa: Option<f64>,
    /// Strokes since the step before.
    pub strokes: Option<f64>,
    /// Growth at each station of the plan, millimetres.
    pub growth_mm: Vec<Option<f64>>,
}

/// Something that departs from the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Flag {
    /// At which step, counted from nought.
    pub step: usize,
    /// At which station of the plan; none: of the whole step.
    pub station: Option<usize>,
    /// Whether to stop and let the pressure off.
    pub stop: bool,
    /// The rule it rests on.
    pub rule: &'static str,
    /// What departs, and what to do.
    pub text: String,
}

/// A growth under pressure as a dial reads it, in the unit that a bare number is taken in, so that what is shown and
/// what is typed are never a thousand times apart.
pub fn growth_words(mm: f64, system: System) -> String {
    match system {
        System::Si => format!("{mm:.3} mm"),
        System::Us => format!("{:.5} in", mm / 25.4),
    }
}

/// Hold what has been read so far against the plan.
pub fn look(plan: &ProofPlan, read: &[StepRead], rules: &RuleSet) -> Vec<Flag> {
    let mut flags = Vec::new();
    let share = rules.value("proof-elastic-agreement") / 100.0;
    let seen_mm = rules.value("growth-noise-gauge") * plan.dial_mm;
    for (at, (step, planned)) in read.iter().zip(&plan.steps).enumerate() {
        let pressure_pa = step.pressure_pa.unwrap_or(planned.pressure_pa);
        if exceeds(pressure_pa, plan.pressure_pa) {
            flags.push(Flag {
                step: at,
                station: None,
                stop: true,
                rule: "proof-yield-share",
                text: format!("{:.2} MPa is over the proof pressure: stop", pressure_pa * 1e-6),
            });
        }
        // Growth is in proportion to pressure while the wall is elastic.
        let Some(predicted) = planned.growth_mm.map(|it| it * pressure_pa / planned.pressure_pa) else {
            continue;
        };
        for (station, grown) in step.growth_mm.iter().enumerate() {
            let Some(grown) = grown else { continue };
            let off = grown - predicted;
            if !exceeds(off.abs(), seen_mm) {
                continue;
            }
            let stop = exceeds(off.abs(), share * predicted);
            let mark = plan.stations.get(station).map_or_else(String::new, Station::mark);
            let held = plan.stations.get(station).and_then(|it| it.note).filter(|_| off < 0.0);
            let what = match (stop, off > 0.0, held) {
                (true, true, _) if *grown > 5.0 * predicted => {
                    "stop: a slip of the dial or its unit, or the wall is going".to_owned()
                }
                (true, true, _) => "stop: thin wall, a soft band, or yield".to_owned(),
                (true, false, None) => "stop: wrong wall, a stuck dial, or air".to_owned(),
                (true, false, Some(why)) => why.to_owned(),
                (false, _, _) => "more than the dial repeats to: read it again before going on".to_owned(),
            };
            flags.push(Flag {
                step: at,
                station: Some(station),
                stop: stop && held.is_none(),
                rule: "proof-elastic-agreement",
                text: format!(
                    "{mark}: grew {} where {} was predicted; {what}",
                    growth_words(*grown, System::Si),
                    growth_words(predicted, System::Si)
                ),
            });
        }
    }
    let pumped: Vec<(f64, Option<f64>)> = read
        .iter()
        .zip(&plan.steps)
        .map_while(|(step, planned)| {
            (step.pressure_pa.is_some() || step.strokes.is_some())
                .then_some((step.pressure_pa.unwrap_or(planned.pressure_pa), step.strokes))
        })
        .collect();
    if let Some((at, text)) = softer(&pumped, rules) {
        flags.push(Flag { step: at, station: None, stop: true, rule: "proof-stiffness", text });
    }
    flags.sort_by_key(|flag| (flag.step, !flag.stop, flag.station));
    flags
}

/// The first step at which the pressure gained a stroke fell off: yield, a leak, or air. Pressures in pascals, in
/// order, each with the strokes since the one before. The first step is left out: it still squeezes air.
pub fn softer(steps: &[(f64, Option<f64>)], rules: &RuleSet) -> Option<(usize, String)> {
    let allowed = 1.0 - rules.value("proof-stiffness") / 100.0;
    let mut best: Option<f64> = None;
    for (at, pair) in steps.windows(2).enumerate() {
        let ([before, after], Some(strokes)) = (pair, pair[1].1.filter(|it| *it > 0.0)) else { continue };
        let gained = (after.0 - before.0) / strokes;
        if let Some(best) = best
            && exceeds(allowed * best, gained)
        {
            return Some((
                at + 1,
                format!(
                    "{:.3} MPa a stroke where it was {:.3}: the pressure falls off. Stop: yield, a leak or air",
                    gained * 1e-6,
                    best * 1e-6
                ),
            ));
        }
        best = Some(best.map_or(gained, |best: f64| best.max(gained)));
    }
    None
}

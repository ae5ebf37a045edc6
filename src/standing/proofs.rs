//! Did the proof pass? Judged before rounding, by every rule at once, and never on a missing reading.

use super::exceeds;
use super::rules::RuleSet;
use crate::book::details::ProofRecord;
use crate::book::{Phase, What};
use crate::design::material;
use crate::design::wall::TubeSize;
use crate::design::{Design, EndKind};
use crate::quantity::{GaugePressure, Quantity, Volume};
use crate::strength;
use crate::strength::growth::{
    Elastic, WaterExpansion, bore_volume_growth, elastic_growth_outside, water_expansion,
};

/// One line of a proof's judgement.
#[derive(Clone, Debug, PartialEq)]
pub struct ProofLine {
    /// The rule.
    pub rule: &'static str,
    /// Whether it is met.
    pub met: bool,
    /// Only retirement follows from not meeting it.
    pub condemns: bool,
    /// It was not shown rather than failed: another proof shows it, and nobody need decide anything.
    pub unshown: bool,
    /// The station it speaks of, in millimetres.
    pub station_mm: Option<f64>,
    /// One sentence.
    pub text: String,
    /// What was measured.
    pub value: String,
}

impl ProofLine {
    fn new(rule: &'static str, met: bool, text: impl Into<String>, value: impl Into<String>) -> Self {
        let (text, value) = (text.into(), value.into());
        Self { rule, met, condemns: false, unshown: false, station_mm: None, text, value }
    }

    fn met(rule: &'static str, text: impl Into<String>, value: impl Into<String>) -> Self {
        Self::new(rule, true, text, value)
    }

    fn missed(rule: &'static str, text: impl Into<String>, value: impl Into<String>) -> Self {
        Self::new(rule, false, text, value)
    }
}

/// What is said of a reading nobody took or a name nobody gave: it was not shown, rather than failed.
const NOT_SAID: &str = "not said";
const NOT_MEASURED: &str = "not measured";
const ONE_NAME: &str = "one name";
/// What is said of how a proof was run, where it cannot count for it.
pub const NOT_BLED: &str = "not bled";
/// The same of its rig.
pub const RIG_NOT_IN_ORDER: &str = "rig not in order";

/// Judge a proof. It passes when every line is met.
pub fn judge(proof: &ProofRecord, second: bool, design: &Design, rules: &RuleSet) -> Vec<ProofLine> {
    let stations = judge_stations(proof, design, rules);
    let set = permanent_set(proof, second, rules);
    let measured = set.is_some() || stations.iter().any(|line| line.rule == "proof-growth-after");
    let mut lines = judge_tightness(proof);
    lines.extend(over_yield(proof, design));
    lines.extend(set);
    lines.extend(judge_expansion(proof, design, rules));
    lines.extend(judge_hold(proof, rules));
    if !second {
        let text = "a proof is read by two: no second person is on record";
        lines.push(ProofLine::missed("proof-second", text, ONE_NAME));
    }
    if proof.total_expansion.is_none() && !weld_zone_read(proof, design, rules) {
        let zone = rules.limit("weld-zone");
        let text = format!("no station within {zone} of the weld was read before and after");
        lines.push(ProofLine::missed("proof-weld-zone", text, NOT_MEASURED));
    }
    let pumped: Vec<(f64, Option<f64>)> =
        proof.steps.iter().map(|step| (step.pressure.si(), step.strokes)).collect();
    if let Some((_, text)) = super::proof_plan::softer(&pumped, rules) {
        lines.push(ProofLine::missed("proof-stiffness", text, "the pressure fell off"));
    }
    if proof.rig_checked == Some(false) {
        let text = "the rig was not in order that day: what it read is doubted";
        lines.push(ProofLine::missed("proof-of-build", text, RIG_NOT_IN_ORDER));
    }
    if !measured {
        let text = "no growth was measured: neither expansion, nor diameters before and after at one station";
        lines.push(ProofLine::missed("proof-growth-after", text, NOT_MEASURED));
    }
    for line in &mut lines {
        let not_said = [NOT_SAID, NOT_MEASURED, ONE_NAME].contains(&line.value.as_str());
        line.unshown = not_said || line.rule == "permanent-set-second-reader";
    }
    lines.extend(stations);
    lines
}

/// Whether the casing was full of water and kept its pressure.
fn judge_tightness(proof: &ProofRecord) -> Vec<ProofLine> {
    let mut lines = Vec::new();
    if proof.leak != Some(false) {
        let value = if proof.leak == Some(true) { "it leaked" } else { NOT_SAID };
        lines.push(ProofLine::missed("proof-of-build", "a proof passes only without a leak", value));
    }
    if proof.pressure_drop != Some(false) {
        let value = if proof.pressure_drop == Some(true) { "the pressure dropped" } else { NOT_SAID };
        let text = "a drop without a wet joint is temperature or yield";
        lines.push(ProofLine::missed("proof-of-build", text, value));
    }
    if proof.bled != Some(true) {
        let text = "not bled of air: trapped air makes it a gas test, and hides growth";
        lines.push(ProofLine::missed("proof-of-build", text, NOT_BLED));
    }
    lines
}

/// A pressure over what the thinnest mode yields at.
fn over_yield(proof: &ProofRecord, design: &Design) -> Option<ProofLine> {
    let margins = strength::margins(design, None, &strength::LocalState::default()).ok()?;
    let thinnest = margins.thinnest()?;
    exceeds(proof.pressure.si(), thinnest.yield_pressure_pa.si()).then(|| {
        let mode = &thinnest.mode;
        ProofLine::missed(
            "proof-yield-share",
            format!("it went over what the {mode} yields at: a slip of unit, or a casing that has yielded"),
            format!("yields at {:.2} MPa", thinnest.yield_pressure_pa.as_mpa()),
        )
    })
}

/// Permanent over total expansion, where both were measured.
fn permanent_set(proof: &ProofRecord, second: bool, rules: &RuleSet) -> Option<ProofLine> {
    let (total, permanent) = (proof.total_expansion.as_ref()?, proof.permanent_expansion.as_ref()?);
    let percent = 100.0 * permanent.si() / total.si();
    let value = format!("{percent:.2} % permanent over total");
    Some(if exceeds(percent, rules.value("permanent-set")) {
        let text = format!("permanent set is {percent:.1} % of the total expansion");
        ProofLine { condemns: true, ..ProofLine::missed("permanent-set", text, value) }
    } else if exceeds(percent, rules.value("permanent-set-second-reader")) && !second {
        let text = format!("permanent set is {percent:.1} %: a second reader must read it");
        ProofLine::missed("permanent-set-second-reader", text, value)
    } else {
        ProofLine::met("permanent-set", format!("permanent set is {percent:.1} %"), value)
    })
}

/// Whether it was held long enough.
fn judge_hold(proof: &ProofRecord, rules: &RuleSet) -> Option<ProofLine> {
    let rule = "proof-hold-least";
    match &proof.hold {
        None => Some(ProofLine::missed(rule, "hold time not on record", NOT_MEASURED)),
        Some(hold) => exceeds(rules.value(rule), hold.si()).then(|| {
            let text = "the pressure was not held long enough to show a leak or a yield";
            ProofLine::missed(rule, text, format!("held {:.1} s", hold.si()))
        }),
    }
}

/// Whether every welded end has a station near it that was read before and after: the softened band is where a
/// welded tube yields first, and what is not read there is not proved.
fn weld_zone_read(proof: &ProofRecord, design: &Design, rules: &RuleSet) -> bool {
    let zone_mm = rules.value("weld-zone");
    let read = |phase: Phase| {
        proof
            .readings
            .iter()
            .filter(move |it| it.what == What::OutsideDiameter && it.phase == phase && it.value.is_some())
            .map(|it| it.station.value.as_mm())
    };
    let near = |within: &dyn Fn(f64) -> bool| {
        read(Phase::Before)
            .any(|before| within(before) && read(Phase::After).any(|after| (after - before).abs() <= 0.5))
    };
    let forward = design.forward.kind != EndKind::WeldedPlug || near(&|station| station <= zone_mm);
    // Stations run from the forward seal face, so the aft weld is known only where the length is.
    let aft = match (&design.tube.length, design.aft.kind) {
        (Some(length), EndKind::WeldedPlug) => {
            let from = length.value.as_mm() - 2.0 * zone_mm;
            near(&|station| station >= from)
        }
        _ => true,
    };
    forward && aft
}

/// Stations in millimetres that a proof read after pressure.
pub fn stations_read(proof: &ProofRecord) -> Vec<f64> {
    proof
        .readings
        .iter()
        .filter(|it| it.what == What::OutsideDiameter && it.phase == Phase::After && it.value.is_some())
        .map(|it| it.station.value.as_mm())
        .collect()
}

fn judge_stations(proof: &ProofRecord, design: &Design, rules: &RuleSet) -> Vec<ProofLine> {
    let mut lines = Vec::new();
    let mut line = |rule, met, station: f64, text: String, value: String| {
        lines.push(ProofLine { station_mm: Some(station), ..ProofLine::new(rule, met, text, value) });
    };
    let at = |phase: Phase, station_mm: f64, clock: Option<f64>| {
        proof
            .readings
            .iter()
            .find(|it| {
                it.what == What::OutsideDiameter
                    && it.phase == phase
                    && (it.station.value.as_mm() - station_mm).abs() <= 0.5
                    && it.clock_deg == clock
            })
            .and_then(|it| it.value.as_ref())
            .map(|value| value.value.as_mm())
    };
    let predicted_mm = predicted_growth_mm(design, proof.pressure.value);
    let noise_mm = rules.value("growth-noise");
    for before in
        proof.readings.iter().filter(|it| it.what == What::OutsideDiameter && it.phase == Phase::Before)
    {
        let station = before.station.value.as_mm();
        let Some(before_mm) = before.value.as_ref().map(|value| value.value.as_mm()) else { continue };
        let under = at(Phase::Under, station, before.clock_deg).map(|it| it - before_mm);
        let after = at(Phase::After, station, before.clock_deg).map(|it| it - before_mm);
        if let Some(after) = after {
            let allowed = rules
                .value("proof-growth-after")
                .max(under.unwrap_or(0.0) * rules.value("proof-growth-share") / 100.0);
            let met = !exceeds(after, allowed);
            line(
                "proof-growth-after",
                met,
                station,
                format!("station {station:.0} mm kept {after:.3} mm of {allowed:.3} mm allowed"),
                format!("{after:.3} mm"),
            );
        }
        if let (Some(under), Some(predicted)) = (under, predicted_mm) {
            // A disagreement smaller than a hundredth of a millimetre is the instrument's, not the wall's.
            let share = rules.value("proof-elastic-agreement") / 100.0;
            let allowed = (share * predicted).max(0.010_f64.min(noise_mm));
            let met = !exceeds((under - predicted).abs(), allowed);
            if !met {
                line(
                    "proof-elastic-agreement",
                    false,
                    station,
                    format!(
                        "station {station:.0} mm grew {under:.3} mm under pressure where {predicted:.3} mm was predicted: wrong wall, wrong gauge or a soft band"
                    ),
                    format!("{under:.3} mm"),
                );
            }
        }
    }
    lines
}

/// The bore's elastic expansion against the prediction: hardly any is a rig that did not measure, too much is a
/// thin or soft wall. Where the water inside was not measured, the whole tube's length stands for it, and the
/// ends are allowed for.
fn judge_expansion(proof: &ProofRecord, design: &Design, rules: &RuleSet) -> Option<ProofLine> {
    let (total, permanent) = (proof.total_expansion.as_ref()?, proof.permanent_expansion.as_ref()?);
    let elastic_ml = (total.si() - permanent.si()) * 1e6;
    let whole = expansion(design, proof.pressure.value);
    let (predicted_ml, least) = match (&proof.water_volume, whole) {
        (Some(water), _) => {
            let growth = bore_growth(design, water.value, proof.pressure.value)?;
            (growth.si() * 1e6, 1.0 - rules.value("proof-elastic-agreement") / 100.0)
        }
        (None, Some(whole)) => {
            (whole.growth_thick_m3.si() * 1e6, rules.value("proof-expansion-least") / 100.0)
        }
        (None, None) => return None,
    };
    let most = 1.0 + rules.value("proof-elastic-agreement") / 100.0;
    let value = format!("{elastic_ml:.2} mL elastic, {predicted_ml:.2} mL predicted");
    let (met, text) = if exceeds(least * predicted_ml, elastic_ml) {
        (
            false,
            format!(
                "it expanded {elastic_ml:.2} mL where {predicted_ml:.2} mL was predicted: the burette, the jacket or the wall is not what it is taken for"
            ),
        )
    } else if exceeds(elastic_ml, most * predicted_ml) {
        (
            false,
            format!(
                "it expanded {elastic_ml:.2} mL where {predicted_ml:.2} mL was predicted: a thin or soft wall, air, or a length that is not the drawing's"
            ),
        )
    } else {
        (true, "it expanded as predicted".to_owned())
    };
    Some(ProofLine::new("proof-elastic-agreement", met, text, value))
}

fn elastic_of(design: &Design) -> Option<(TubeSize, Elastic)> {
    let metal = material::tube_metal(&design.tube).ok()?;
    let tube = TubeSize::from_two(Some(design.tube.od.value), None, Some(design.tube.wall.value)).ok()?;
    Some((tube, Elastic { modulus: metal.modulus?, poisson: metal.poisson? }))
}

fn bore_growth(design: &Design, water: Volume, pressure: GaugePressure) -> Option<Volume> {
    let (tube, elastic) = elastic_of(design)?;
    bore_volume_growth(tube, elastic, water, pressure).ok()
}

/// What a sound tube of this drawing expands by, over its whole length, and the water's own share.
pub fn expansion(design: &Design, pressure: GaugePressure) -> Option<WaterExpansion> {
    let (tube, elastic) = elastic_of(design)?;
    water_expansion(tube, design.tube.length.as_ref()?.value, pressure, elastic, None).ok()
}

/// Elastic growth of the outside diameter, in millimetres, with the nominal wall: what the tube most likely has.
pub fn predicted_growth_mm(design: &Design, pressure: GaugePressure) -> Option<f64> {
    let (tube, elastic) = elastic_of(design)?;
    elastic_growth_outside(tube, elastic, pressure).ok().map(|growth| growth.as_mm())
}

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

/// Judge a proof. It passes when every line is met.
pub fn judge(proof: &ProofRecord, second: bool, design: &Design, rules: &RuleSet) -> Vec<ProofLine> {
    let mut lines = Vec::new();
    let mut line = |rule, met, condemns, text: String, value: String| {
        lines.push(ProofLine { rule, met, condemns, unshown: false, station_mm: None, text, value });
    };
    if proof.leak != Some(false) {
        let value = if proof.leak == Some(true) { "it leaked" } else { "not said" };
        line(
            "proof-of-build",
            false,
            false,
            "a proof passes only without a leak".to_owned(),
            value.to_owned(),
        );
    }
    if proof.pressure_drop != Some(false) {
        let value = if proof.pressure_drop == Some(true) { "the pressure dropped" } else { "not said" };
        line(
            "proof-of-build",
            false,
            false,
            "a drop without a wet joint is temperature or yield".to_owned(),
            value.to_owned(),
        );
    }
    if proof.bled != Some(true) {
        line(
            "proof-of-build",
            false,
            false,
            "not bled of air: trapped air makes it a gas test, and hides growth".to_owned(),
            "not bled".to_owned(),
        );
    }
    if let Ok(margins) = strength::margins(design, None, &strength::LocalState::default())
        && let Some(thinnest) = margins.thinnest()
        && exceeds(proof.pressure.si(), thinnest.yield_pressure_pa.si())
    {
        line(
            "proof-yield-share",
            false,
            false,
            format!(
                "it went over what the {} yields at: a slip of unit, or a casing that has yielded",
                thinnest.mode
            ),
            format!("yields at {:.2} MPa", thinnest.yield_pressure_pa.as_mpa()),
        );
    }
    let mut measured = false;
    if let (Some(total), Some(permanent)) = (&proof.total_expansion, &proof.permanent_expansion) {
        measured = true;
        let percent = 100.0 * permanent.si() / total.si();
        let value = format!("{percent:.2} % permanent over total");
        let limit = rules.value("permanent-set");
        let second_limit = rules.value("permanent-set-second-reader");
        if exceeds(percent, limit) {
            line(
                "permanent-set",
                false,
                true,
                format!("permanent set is {percent:.1} % of the total expansion"),
                value,
            );
        } else if exceeds(percent, second_limit) && !second {
            line(
                "permanent-set-second-reader",
                false,
                false,
                format!("permanent set is {percent:.1} %: a second reader must read it"),
                value,
            );
        } else {
            line("permanent-set", true, false, format!("permanent set is {percent:.1} %"), value);
        }
    }
    if let Some((met, text, value)) = judge_expansion(proof, design, rules) {
        line("proof-elastic-agreement", met, false, text, value);
    }
    match &proof.hold {
        Some(hold) if exceeds(rules.value("proof-hold-least"), hold.si()) => line(
            "proof-hold-least",
            false,
            false,
            "the pressure was not held long enough to show a leak or a yield".to_owned(),
            format!("held {:.1} s", hold.si()),
        ),
        Some(_) => {}
        None => line(
            "proof-hold-least",
            false,
            false,
            "hold time not on record".to_owned(),
            "not measured".to_owned(),
        ),
    }
    if !second {
        line(
            "proof-second",
            false,
            false,
            "a proof is read by two: no second person is on record".to_owned(),
            "one name".to_owned(),
        );
    }
    if proof.total_expansion.is_none() && !weld_zone_read(proof, design, rules) {
        line(
            "proof-weld-zone",
            false,
            false,
            format!("no station within {} of the weld was read before and after", rules.limit("weld-zone")),
            "not measured".to_owned(),
        );
    }
    let pumped: Vec<(f64, Option<f64>)> =
        proof.steps.iter().map(|step| (step.pressure.si(), step.strokes)).collect();
    if let Some((_, text)) = super::proof_plan::softer(&pumped, rules) {
        line("proof-stiffness", false, false, text, "the pressure fell off".to_owned());
    }
    if proof.rig_checked == Some(false) {
        line(
            "proof-of-build",
            false,
            false,
            "the rig was not in order that day: what it read is doubted".to_owned(),
            "rig not in order".to_owned(),
        );
    }
    let stations = judge_stations(proof, design, rules);
    measured |= stations.iter().any(|line| line.rule == "proof-growth-after");
    if !measured {
        line(
            "proof-growth-after",
            false,
            false,
            "no growth was measured: neither expansion, nor diameters before and after at one station"
                .to_owned(),
            "not measured".to_owned(),
        );
    }
    for line in &mut lines {
        let not_said = matches!(line.value.as_str(), "not said" | "not measured" | "one name");
        line.unshown = not_said || line.rule == "permanent-set-second-reader";
    }
    lines.extend(stations);
    lines
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
        let station_mm = Some(station);
        lines.push(ProofLine { rule, met, condemns: false, unshown: false, station_mm, text, value });
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
fn judge_expansion(proof: &ProofRecord, design: &Design, rules: &RuleSet) -> Option<(bool, String, String)> {
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
    Some((met, text, value))
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

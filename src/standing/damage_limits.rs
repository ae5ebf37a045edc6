//! What each kind of damage asks for, by its measured size and the club's limits. What was not measured is
//! held, never let pass.

use super::growth_map::from_weld_mm;
use super::matter::Matter;
use super::reason::{EntryRef, Reason};
use super::rules::RuleSet;
use super::{exceeds, reaches};
use crate::book::damage::{Damage, Measure};
use crate::book::details::FindingRecord;
use crate::book::{Decision, Standing};
use crate::design::bolt::BoltSize;
use crate::design::wall::least_wall;
use crate::design::{Design, EndKind, material};
use crate::quantity::Quantity;

/// What the metal of the casing is, as far as damage limits need it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MetalFamily {
    /// Aluminium alloys.
    Aluminium,
    /// Steels and anything else.
    Steel,
}

impl MetalFamily {
    /// From a metal's name on a drawing.
    pub fn of(material: &str) -> Self {
        match crate::design::material::find(material) {
            Some(metal) if metal.family == crate::design::material::Family::Aluminium => Self::Aluminium,
            Some(_) => Self::Steel,
            None => {
                let lower = material.to_lowercase();
                if lower.contains("alum") || lower.starts_with(['2', '5', '6', '7']) {
                    Self::Aluminium
                } else {
                    Self::Steel
                }
            }
        }
    }
}

enum Ruling {
    Watch(&'static str),
    Blend(&'static str),
    Restrict(&'static str),
    Hold(&'static str),
    HoldAndProof(&'static str),
    Retire(&'static str),
}

/// What a finding asks for.
pub fn judge(
    finding: &FindingRecord,
    design: Option<&Design>,
    metal: MetalFamily,
    rules: &RuleSet,
    entry: EntryRef,
) -> Matter {
    let worked_out = design.and_then(|design| percent_of(finding, design));
    // The worse of the share typed and the share its size comes to.
    let percent = match (finding.percent, worked_out) {
        (Some(typed), Some(worked_out)) => Some(typed.max(worked_out)),
        (typed, worked_out) => typed.or(worked_out),
    };
    let depth_mm = finding.depth.as_ref().map(|depth| depth.value.as_mm());
    let limit = |id: &str| rules.value(id);
    let place = place_of(finding);
    let over_heat = finding.temperature.as_ref().map(|temperature| {
        let rule = match metal {
            MetalFamily::Aluminium => "heat-aluminium",
            MetalFamily::Steel => "heat-steel",
        };
        (temperature.value.as_celsius(), rule)
    });
    // None: the size the rule needs was not measured.
    let ruling = match finding.damage {
        Damage::Bulge => percent.map(|it| {
            if reaches(it, limit("bulge-yield")) {
                Ruling::Retire("bulge-yield")
            } else if reaches(it, limit("bulge-hold")) {
                Ruling::HoldAndProof("bulge-hold")
            } else {
                Ruling::Watch("bulge-hold")
            }
        }),
        Damage::Growth => percent.map(|it| {
            if exceeds(it, limit("permanent-set")) {
                Ruling::Retire("permanent-set")
            } else if exceeds(it, limit("permanent-set-second-reader")) {
                Ruling::Hold("permanent-set-second-reader")
            } else {
                Ruling::Watch("permanent-set-second-reader")
            }
        }),
        Damage::Crack => Some(Ruling::Retire("crack")),
        Damage::Thread => finding.count.map(|it| {
            if exceeds(f64::from(it), limit("thread-damage")) {
                Ruling::HoldAndProof("thread-damage")
            } else {
                Ruling::Hold("thread-damage")
            }
        }),
        Damage::Seal => Some(Ruling::Hold("seal-damage")),
        Damage::Throat => percent.map(|it| {
            if exceeds(it, limit("throat-growth")) {
                Ruling::Hold("throat-growth")
            } else {
                Ruling::Watch("throat-growth")
            }
        }),
        Damage::OverHeat | Damage::LinerBreach => match (over_heat, percent) {
            (Some((celsius, rule)), _) if reaches(celsius, limit(rule)) => Some(Ruling::Retire(rule)),
            (_, Some(lost)) if exceeds(lost, limit("hardness-restrict")) => {
                Some(Ruling::Retire("hardness-restrict"))
            }
            (_, Some(lost)) if exceeds(lost, limit("hardness-watch")) => {
                Some(Ruling::Restrict("hardness-restrict"))
            }
            (_, Some(_)) => Some(Ruling::HoldAndProof("heat-proof")),
            (Some(_), None) => Some(Ruling::HoldAndProof("heat-proof")),
            (None, None) => None,
        },
        Damage::Pit => percent.map(|it| {
            if exceeds(it, limit("pit-retire")) {
                Ruling::Retire("pit-retire")
            } else if exceeds(it, limit("pit-restrict")) {
                Ruling::Restrict("pit-restrict")
            } else {
                Ruling::Watch("pit-restrict")
            }
        }),
        Damage::Dent if design.is_some_and(|design| beside_weld(finding, design, rules)) => {
            Some(Ruling::Retire("dent"))
        }
        Damage::Dent => percent.map(|it| {
            if exceeds(it, limit("dent")) { Ruling::Retire("dent") } else { Ruling::HoldAndProof("dent") }
        }),
        Damage::Gouge => percent.map(|it| {
            if exceeds(it, limit("gouge-retire")) {
                Ruling::Retire("gouge-retire")
            } else if exceeds(it, limit("gouge-restrict")) {
                Ruling::Restrict("gouge-restrict")
            } else if exceeds(it, limit("gouge-blend")) {
                Ruling::Blend("gouge-blend")
            } else {
                Ruling::Watch("gouge-restrict")
            }
        }),
        Damage::Ovality => percent.map(|it| {
            if exceeds(it, limit("ovality-retire")) {
                Ruling::Retire("ovality-retire")
            } else if exceeds(it, limit("ovality-hold")) {
                Ruling::HoldAndProof("ovality-hold")
            } else if exceeds(it, limit("ovality-watch")) {
                Ruling::HoldAndProof("ovality-watch")
            } else {
                Ruling::Watch("ovality-watch")
            }
        }),
        Damage::Groove => depth_mm.map(|it| over(it, limit("groove-lip"), "groove-lip")),
        Damage::Hole => depth_mm.map(|it| {
            let hole = design.and_then(smallest_hole_mm);
            if hole.is_some_and(|hole| exceeds(100.0 * it / hole, limit("hole-retire"))) {
                Ruling::Retire("hole-retire")
            } else {
                over(it, limit("hole-elongation"), "hole-elongation")
            }
        }),
        Damage::Bent => depth_mm.map(|it| over(it, limit("bend"), "bend")),
        Damage::MassChange => percent.map(|it| over(it, limit("mass-change"), "mass-change")),
        Damage::BoreScore | Damage::DullRing => Some(Ruling::Hold("screening")),
        Damage::Fire if metal == MetalFamily::Aluminium => Some(Ruling::Retire("fire")),
        Damage::Fire => Some(Ruling::HoldAndProof("fire")),
        Damage::Burst => Some(Ruling::Retire("burst")),
    };
    let value = size_of(finding, percent);
    let make = |rule: &str, standing: Standing, text: String, next: &str| Reason {
        standing,
        rule: rule.to_owned(),
        text,
        value: value.clone(),
        limit: rules.says(rule),
        source: rules.source(rule),
        entry: Some(entry),
        from: None,
        next: next.to_owned(),
    };
    let damage = finding.damage;
    let unmeasured = ruling.is_none().then_some(damage);
    let matter = match ruling {
        None => Matter::decision(
            make(
                "decision-after-finding",
                Standing::Hold,
                format!("{damage}{place}: its size was not measured"),
                "measure it, write the finding again with its size, and decide",
            ),
            Decision::Restrict,
        ),
        Some(Ruling::Watch(rule)) => Matter::decision(
            make(
                rule,
                Standing::Hold,
                format!("{damage}{place}: {value}, and nobody has decided yet"),
                "decide: keep or watch",
            ),
            Decision::Keep,
        ),
        Some(Ruling::Blend(rule)) => Matter::decision(
            make(
                rule,
                Standing::Hold,
                format!("{damage}{place}: {value}"),
                "blend it out, measure the wall left, and decide with two names: watch, or repair",
            ),
            Decision::Watch,
        )
        .two_names(),
        Some(Ruling::Restrict(rule)) => Matter::decision(
            make(
                rule,
                Standing::Hold,
                format!("{damage}{place}: {value} asks for a restriction"),
                "restrict it to what its local strength bears, with two names, and proof it again",
            ),
            Decision::Restrict,
        )
        .and_proof()
        .two_names(),
        Some(Ruling::Hold(rule)) => Matter::decision(
            make(
                rule,
                Standing::Hold,
                format!("{damage}{place}: {value}"),
                "find out why, and decide with two names",
            ),
            Decision::Keep,
        )
        .two_names(),
        Some(Ruling::HoldAndProof(rule)) => Matter::decision(
            make(
                rule,
                Standing::Hold,
                format!("{damage}{place}: {value}"),
                "decide, and proof it again (water, never gas)",
            ),
            Decision::Keep,
        )
        .and_proof(),
        Some(Ruling::Retire(rule)) => Matter::decision(
            make(
                rule,
                Standing::Hold,
                format!("{damage}{place}: {value}: the rule retires it"),
                "retire it, and make it unusable",
            ),
            Decision::Retire,
        ),
    };
    Matter { unmeasured, ..matter.of_part(finding.part.clone()) }
}

/// Whether a finding lies within the zone that a weld softened.
pub(super) fn beside_weld(finding: &FindingRecord, design: &Design, rules: &RuleSet) -> bool {
    finding
        .station
        .as_ref()
        .and_then(|station| from_weld_mm(design, station.value.as_mm()))
        .is_some_and(|from_weld| reaches(rules.value("weld-zone"), from_weld))
}

/// The wall a finding leaves, in metres: as it was read, else the least wall less what a pit or gouge took of it.
pub(super) fn wall_left_m(finding: &FindingRecord, design: Option<&Design>) -> Option<f64> {
    let read = finding.wall_left.as_ref().map(|wall| wall.si());
    if read.is_some() || !matches!(finding.damage, Damage::Pit | Damage::Gouge) {
        return read;
    }
    let wall = least_wall(&design?.tube).0.si();
    let by_depth = finding.depth.as_ref().map(|depth| wall - depth.si().abs());
    let by_share = finding.percent.map(|share| wall * (1.0 - share / 100.0));
    // Nothing left is a hole, which its own rule retires: there is no wall to work out a margin of.
    [by_depth, by_share].into_iter().flatten().reduce(f64::min).filter(|left| *left > 0.0)
}

/// The share in per cent that a size comes to on the drawing: what the limits are in.
fn percent_of(finding: &FindingRecord, design: &Design) -> Option<f64> {
    let tube = &design.tube;
    let wall = tube.wall_min.as_ref().unwrap_or(&tube.wall).si();
    let depth = finding.depth.as_ref().map(|depth| depth.si().abs());
    let share = |part: Option<f64>, whole: f64| part.map(|part| 100.0 * part / whole);
    let percent = match finding.damage {
        Damage::Pit | Damage::Gouge => {
            let gone = finding.wall_left.as_ref().map(|left| (wall - left.si()).max(0.0));
            share([depth, gone].into_iter().flatten().reduce(f64::max), wall)
        }
        Damage::Dent | Damage::Bulge | Damage::Ovality => share(depth, tube.od.si()),
        Damage::OverHeat | Damage::LinerBreach => {
            let sound = sound_hardness(design)?;
            share(finding.hardness.map(|hardness| (sound - hardness).max(0.0)), sound)
        }
        _ => None,
    };
    percent.filter(|percent| percent.is_finite())
}

/// Brinell hardness of sound metal where nobody read a reference: typical, as the local strength is worked out from.
/// Aluminum Association typical value for 6061-T6, from memory; other metals scatter too much for one number.
fn sound_hardness(design: &Design) -> Option<f64> {
    material::find(&design.tube.material).filter(|metal| metal.name == "6061-T6").map(|_| 95.0)
}

/// The smallest bolt of either end, in millimetres: a hole is hardly wider.
fn smallest_hole_mm(design: &Design) -> Option<f64> {
    [&design.forward, &design.aft]
        .into_iter()
        .filter(|end| end.kind == EndKind::RadialBolts)
        .filter_map(|end| BoltSize::from_text(end.bolt.as_deref()?).ok())
        .map(|bolt| bolt.diameter_m.as_mm())
        .reduce(f64::min)
}

fn over(value: f64, limit: f64, rule: &'static str) -> Ruling {
    if exceeds(value, limit) { Ruling::Hold(rule) } else { Ruling::Watch(rule) }
}

pub(super) fn place_of(finding: &FindingRecord) -> String {
    let station =
        finding.station.as_ref().map(|station| format!(" at station {:.0} mm", station.value.as_mm()));
    let clock = finding.clock_deg.map(|clock| format!(" / {clock:.0} deg"));
    let part = finding.part.as_ref().map(|part| format!(" on {part}"));
    [part, station, clock].into_iter().flatten().collect()
}

fn size_of(finding: &FindingRecord, percent: Option<f64>) -> String {
    let of = finding.damage.sheet().of;
    let mut sizes = Vec::new();
    if let Some(percent) = percent {
        // As typed where it was typed; worked out from a size, two digits say enough beside the size itself.
        let shown =
            if finding.percent == Some(percent) { percent.to_string() } else { format!("{percent:.2}") };
        sizes.push(format!("{shown} % ({of})"));
    }
    if let Some(depth) = &finding.depth {
        sizes.push(format!("{:.2} mm", depth.value.as_mm()));
    }
    if let Some(temperature) = &finding.temperature {
        sizes.push(format!("{:.0} degC", temperature.value.as_celsius()));
    }
    if let Some(count) = finding.count {
        sizes.push(format!("{count} ({of})"));
    }
    if let Some(hardness) = finding.hardness {
        sizes.push(format!("HB {hardness:.0}"));
    }
    match (sizes.is_empty(), finding.damage.sheet().measure) {
        (false, _) => sizes.join(", "),
        (true, Measure::Presence) => "seen".to_owned(),
        (true, _) => "not measured".to_owned(),
    }
}

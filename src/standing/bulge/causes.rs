//! What argues for and against each cause of a bulge. Adding a cause is adding a function.

use std::cmp::Reverse;

use super::{Cause, Ring, SAME_PLACE_MM};
use crate::book::damage::Damage;
use crate::book::details::FindingRecord;
use crate::standing::rules::RuleSet;
use crate::standing::{exceeds, reaches};

/// What the causes are weighed on.
pub(super) struct Evidence<'a> {
    pub station_mm: f64,
    pub ring: Ring,
    pub from_weld_mm: Option<f64>,
    pub over_plan: Option<f64>,
    pub wall_m: f64,
    pub findings: Vec<&'a FindingRecord>,
    pub landed_hard: bool,
    pub over_meop: Option<bool>,
    pub base: Option<f64>,
    pub welded: Option<f64>,
    pub softened: Option<f64>,
    /// The furthest station from the weld that grew.
    pub reach_mm: Option<f64>,
    pub zone_mm: f64,
    pub grown_cells: usize,
    pub hardness_said: bool,
    pub wall_left: Option<f64>,
}

/// Every cause, the most said for it first; among equals the one less is said against.
pub(super) fn causes(evidence: &Evidence<'_>, rules: &RuleSet) -> Vec<Cause> {
    let mut causes = vec![
        over_pressure(evidence, rules),
        weld_zone(evidence),
        hot_spot(evidence),
        thin_wall(evidence),
        dent(evidence),
        slip(evidence),
    ];
    causes.sort_by_key(|cause| (Reverse(cause.leaning()), Reverse(cause.argues_for.len())));
    causes
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// Adds to one side or the other.
#[derive(Default)]
struct Scale {
    argues_for: Vec<String>,
    argues_against: Vec<String>,
}

impl Scale {
    fn weigh(&mut self, for_it: bool, words: String) {
        if for_it { self.argues_for.push(words) } else { self.argues_against.push(words) }
    }

    /// What one side that grew says for a cause that works from one side.
    fn one_sided(&mut self, ring: Ring) {
        match ring {
            Ring::OneSide => self.weigh(true, "only one side grew".to_owned()),
            Ring::Full => self.weigh(false, "it is a full ring".to_owned()),
            Ring::Uneven | Ring::Unknown => {}
        }
    }

    fn cause(self, cause: &'static str, look_next: &'static str) -> Cause {
        Cause { cause, argues_for: self.argues_for, argues_against: self.argues_against, look_next }
    }
}

fn over_pressure(evidence: &Evidence<'_>, rules: &RuleSet) -> Cause {
    let mut scale = Scale::default();
    if let Some(over) = evidence.over_plan {
        let much = exceeds(over, rules.value("peak-far-over-plan"));
        scale.weigh(much, format!("the peak was {over:.2} times the plan"));
    }
    // A proof goes over MEOP by design: only a firing's peak speaks of it.
    if let Some(over) = evidence.over_meop {
        scale.weigh(over, format!("the peak was {} MEOP", if over { "over" } else { "within" }));
    }
    if let Some(base) = evidence.base {
        scale.weigh(reaches(base, 0.9), format!("base metal carried {} of its yield", percent(base)));
    }
    match evidence.ring {
        Ring::Full => scale.weigh(true, "it is a full ring, as pressure makes it".to_owned()),
        Ring::OneSide => scale.weigh(false, "only one side grew".to_owned()),
        _ => {}
    }
    scale.cause("over-pressure", "the trace's shape, the throat, the grain sheet, the rest of the batch")
}

fn weld_zone(evidence: &Evidence<'_>) -> Cause {
    let mut scale = Scale::default();
    match evidence.from_weld_mm {
        Some(mm) => scale.weigh(
            mm <= evidence.zone_mm,
            format!("it is {mm:.0} mm from the weld, the zone reaches {:.0} mm", evidence.zone_mm),
        ),
        None => scale.weigh(false, "no end of this casing is welded".to_owned()),
    }
    if let (Some(welded), Some(base)) = (evidence.welded, evidence.base) {
        scale.weigh(
            reaches(welded, 1.0) && base < 0.9,
            format!("as welded it carried {} of its yield, base metal {}", percent(welded), percent(base)),
        );
    }
    if let (Some(reach), Some(_)) = (evidence.reach_mm, evidence.from_weld_mm) {
        let within = reach <= evidence.zone_mm + 5.0;
        let words = if within { "nothing grew beyond the zone" } else { "it grew beyond the zone too" };
        scale.weigh(within, format!("{words} (furthest {reach:.0} mm from the weld)"));
    }
    if let (Some(softened), Some(_)) = (evidence.softened, evidence.from_weld_mm) {
        scale.weigh(
            reaches(softened, 0.9),
            format!("by its hardness the place carried {} of its yield", percent(softened)),
        );
    }
    scale.cause(
        "softened weld zone",
        "penetrant at the toe inside and out, a hardness walk from the weld; every casing with this welder and joint",
    )
}

fn hot_spot(evidence: &Evidence<'_>) -> Cause {
    let mut scale = Scale::default();
    let hot = evidence.findings.iter().find(|it| {
        matches!(it.damage, Damage::OverHeat | Damage::LinerBreach)
            && it
                .station
                .as_ref()
                .is_none_or(|at| (at.value.as_mm() - evidence.station_mm).abs() <= SAME_PLACE_MM)
    });
    match hot {
        Some(finding) => scale.weigh(true, format!("{} is on record near it", finding.damage)),
        None => scale.weigh(false, "no heat and no liner breach is on record near it".to_owned()),
    }
    scale.one_sided(evidence.ring);
    if let Some(softened) = evidence.softened {
        let beside_weld = evidence.from_weld_mm.is_some_and(|mm| mm <= evidence.zone_mm);
        let words = format!("by its hardness the place carried {} of its yield", percent(softened));
        if beside_weld {
            scale.weigh(false, "the softness is explained by the weld beside it".to_owned());
        } else {
            scale.weigh(reaches(softened, 0.9), words);
        }
    }
    scale.cause("hot spot", "the liner at that station and angle, temper colour, hardness across the patch")
}

fn thin_wall(evidence: &Evidence<'_>) -> Cause {
    let mut scale = Scale::default();
    match evidence.wall_left {
        Some(left) => scale.weigh(
            left < evidence.wall_m,
            format!(
                "{:.2} mm of wall is left there, the drawing has {:.2} mm",
                left * 1e3,
                evidence.wall_m * 1e3
            ),
        ),
        None => scale.weigh(false, "no thin place is on record there; the wall was not read".to_owned()),
    }
    let eaten = evidence.findings.iter().find(|it| {
        matches!(it.damage, Damage::Pit | Damage::Gouge)
            && it
                .station
                .as_ref()
                .is_some_and(|at| (at.value.as_mm() - evidence.station_mm).abs() <= SAME_PLACE_MM)
    });
    if let Some(finding) = eaten {
        scale.weigh(true, format!("{} is on record near it", finding.damage));
    }
    scale.one_sided(evidence.ring);
    scale.cause("thin wall", "ultrasonic wall on the bulge and a hand's width beside it")
}

fn dent(evidence: &Evidence<'_>) -> Cause {
    let mut scale = Scale::default();
    let struck = evidence.findings.iter().any(|it| it.damage == Damage::Dent) || evidence.landed_hard;
    let words =
        if struck { "a dent or hard landing is on record" } else { "no dent or hard landing is on record" };
    scale.weigh(struck, words.to_owned());
    scale.one_sided(evidence.ring);
    scale.cause("a dent pushed out", "the profile along that angle; the landing's photographs")
}

fn slip(evidence: &Evidence<'_>) -> Cause {
    let mut scale = Scale::default();
    match evidence.grown_cells {
        1 => scale.weigh(true, "only one reading grew".to_owned()),
        count => scale.weigh(false, format!("{count} readings grew")),
    }
    let seen = evidence.findings.iter().any(|it| it.damage == Damage::Bulge);
    let words =
        if seen { "a bulge was seen by another means" } else { "nobody has seen it by another means" };
    scale.weigh(!seen, words.to_owned());
    if evidence.hardness_said {
        scale.weigh(false, "hardness was read there too".to_owned());
    }
    scale.cause("a slip of the reading", "a rule against the light; read it again with another gauge")
}

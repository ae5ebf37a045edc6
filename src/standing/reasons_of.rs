//! Why a casing stands as its timeline leaves it: every reason, worst first.

use chrono::NaiveDate;

use super::exceeds;
use super::growth::degree;
use super::matter::Matter;
use super::reason::Reason;
use super::timeline::Timeline;
use crate::book::{Position, Standing};
use crate::design::EndKind;
use crate::quantity::{GaugePressure, Quantity, System, show};
use crate::strength::Mode;
use crate::strength::wear::Wear;

/// Which reasons are asked for. Putting one into words costs more than finding it, and a history asks at each firing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Wanted {
    /// All of them.
    Every,
    /// Those that forbid a firing on a day.
    Forbidding(NaiveDate),
}

impl Wanted {
    /// Whether a reason of this standing, counting from a day on, is asked for.
    fn takes(self, standing: Standing, from: Option<NaiveDate>) -> bool {
        match self {
            Self::Every => true,
            Self::Forbidding(on) => standing.forbids() && from.is_none_or(|from| on >= from),
        }
    }
}

/// What comes before the proof of a casing whose repair is not on record as done.
const REPAIR_FIRST: &str = "finish the repair and write it down: register the new revision (revise on its page, or proofmark log casing), or where no dimension changed a note with the event machining; then ";

/// The reasons asked for as a timeline stands, worst first.
pub(super) fn reasons(timeline: &Timeline<'_>, wanted: Wanted) -> Vec<Reason> {
    let mut reasons = timeline.decided();
    // What only retirement settles comes first: it is why, the rest is what is still to be done.
    let (last, open): (Vec<_>, Vec<_>) = timeline.matters.iter().partition(|matter| matter.is_final());
    let open: Vec<&Matter> = last
        .into_iter()
        .chain(open)
        .filter(|matter| !matter.settled())
        .filter(|matter| {
            matter.part.as_ref().is_none_or(|part| timeline.fitted.values().any(|(fitted, _)| fitted == part))
        })
        .collect();
    reasons
        .extend(open.iter().filter(|matter| worst_of(&open, matter)).map(|matter| counted(timeline, matter)));
    reasons.extend(accepted_growth(timeline));
    // A retired casing is due for nothing any more; what is left is why.
    if timeline.retired.is_none() {
        reasons.extend(timeline.waiting());
        reasons.extend(part_reasons(timeline, wanted));
        reasons.extend(proof_reasons(timeline, wanted));
    }
    reasons.extend(margin_reasons(timeline, wanted));
    reasons.retain(|reason| wanted.takes(reason.standing, reason.from));
    if timeline.under_repair() {
        for reason in reasons.iter_mut().filter(|it| it.next.starts_with("proof it")) {
            reason.next.insert_str(0, REPAIR_FIRST);
        }
    }
    reasons.sort_by_key(|reason| reason.standing);
    reasons
}

/// Whether a matter is the one that speaks for its kind: of growth read at several places, the most grown.
fn worst_of(open: &[&Matter], matter: &Matter) -> bool {
    let Some((_, _, percent)) = matter.growth.filter(|it| it.2 > 0.0) else { return true };
    let of_its_kind = open
        .iter()
        .filter(|it| it.reason.rule == matter.reason.rule && it.reason.standing == matter.reason.standing)
        .filter(|it| it.settled_by_same(matter))
        .filter_map(|it| it.growth.map(|growth| (growth.2, *it)));
    of_its_kind
        .reduce(|most, it| if it.0 > most.0 { it } else { most })
        .is_none_or(|(most, first)| most <= percent && std::ptr::eq(first, matter))
}

/// A matter as a reason, with the number of places that have grown as far.
fn counted(timeline: &Timeline<'_>, matter: &Matter) -> Reason {
    let mut reason = matter.reason_now();
    if let Some((_, _, percent)) = matter.growth.filter(|it| it.2 > 0.0) {
        let far = degree(percent, timeline.rules());
        let places = timeline.growth.iter().filter(|it| degree(it.percent, timeline.rules()) >= far).count();
        if places > 1 {
            reason.text.push_str(&format!(", worst of {places} places"));
        }
    }
    reason
}

/// Growth that people have accepted is still what the tube has grown.
fn accepted_growth(timeline: &Timeline<'_>) -> Option<Reason> {
    let (matter, percent) = timeline
        .matters
        .iter()
        .filter(|matter| matter.settled())
        // What has grown further since, and is still open, is said by that.
        .filter(|matter| {
            !timeline.matters.iter().any(|open| {
                !open.settled()
                    && open.growth.zip(matter.growth).is_some_and(|(open, accepted)| {
                        (open.0 - accepted.0).abs() <= 0.5 && open.1 == accepted.1 && open.2 >= accepted.2
                    })
            })
        })
        .filter_map(|matter| Some((matter, matter.growth?.2)))
        .filter(|(_, percent)| *percent > 0.0)
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    let (station, clock, _) = matter.growth?;
    let clock = clock.map_or_else(String::new, |clock| format!(" / {clock:.0} deg"));
    let accepted = matter.decided_by.map_or_else(String::new, |by| format!(", accepted on {}", by.on));
    Some(Reason {
        standing: Standing::InService,
        text: format!("it has grown {percent:.2} % at station {station:.0} mm{clock} since birth{accepted}"),
        entry: matter.decided_by.or(matter.reason.entry),
        next: String::new(),
        ..matter.reason.clone()
    })
}

fn reason(
    timeline: &Timeline<'_>,
    standing: Standing,
    rule: &str,
    text: String,
    value: String,
    next: &str,
) -> Reason {
    let rules = timeline.rules();
    Reason {
        standing,
        rule: rule.to_owned(),
        text,
        value,
        limit: rules.says(rule),
        source: rules.source(rule),
        entry: None,
        from: None,
        next: next.to_owned(),
    }
}

fn part_reasons(timeline: &Timeline<'_>, wanted: Wanted) -> Vec<Reason> {
    let mut reasons = Vec::new();
    for (position, entry) in timeline.emptied.iter().filter(|(position, _)| position.holds_pressure()) {
        reasons.push(Reason {
            entry: Some(*entry),
            ..reason(
                timeline,
                Standing::Hold,
                "part-missing",
                format!("no {position} is fitted since {}", entry.on),
                "none fitted".to_owned(),
                "fit one, and proof it as it is then (water, never gas)",
            )
        });
    }
    for (position, (part, fit)) in &timeline.fitted {
        let Some(state) = timeline.parts.get(part) else { continue };
        if let Some(retired) = state.retired {
            reasons.push(Reason {
                entry: Some(retired),
                ..reason(
                    timeline,
                    Standing::Hold,
                    "retirement",
                    format!("{position} {part} is retired and still fitted"),
                    "retired part".to_owned(),
                    "take it out and fit another",
                )
            });
        }
        if let Some((casing, retired)) =
            state.bound.as_ref().filter(|(casing, _)| *casing != timeline.serial())
        {
            let tube = *position == Position::Tube;
            reasons.push(Reason {
                entry: Some(*retired),
                ..reason(
                    timeline,
                    Standing::Hold,
                    "parts-released",
                    if tube {
                        format!(
                            "{position} {part} is the tube of {casing}, which was retired on {}",
                            retired.on
                        )
                    } else {
                        format!(
                            "{position} {part} was not released from {casing}, which was retired on {}",
                            retired.on
                        )
                    },
                    if tube { "a retired tube" } else { "not released" }.to_owned(),
                    if tube {
                        "take it out: a retired tube is never fitted again"
                    } else {
                        "take it out, or look at it and decide on the part (keep or watch) with two names"
                    },
                )
            });
        }
        let Some(life) = state.record.as_ref().and_then(|record| record.life_firings) else { continue };
        let left = life.saturating_sub(state.firings);
        let (standing, next) = if left == 0 {
            (Standing::Overdue, "take it out and fit another")
        } else if left <= 1 {
            (Standing::Watch, "have another ready")
        } else {
            (Standing::InService, "")
        };
        if !wanted.takes(standing, None) {
            continue;
        }
        reasons.push(Reason {
            entry: Some(*fit),
            limit: format!("{}, on its record", crate::quantity::counted(life, "firing")),
            ..reason(
                timeline,
                standing,
                "part-life",
                format!(
                    "{position} {part} has {} of {}: {left} left",
                    state.firings,
                    crate::quantity::counted(life, "firing")
                ),
                crate::quantity::counted(state.firings, "firing"),
                next,
            )
        });
    }
    reasons
}

fn proof_reasons(timeline: &Timeline<'_>, wanted: Wanted) -> Vec<Reason> {
    let rules = timeline.rules();
    let mut reasons = Vec::new();
    let registered = timeline.casing.as_ref().map(|(_, entry)| *entry);
    if registered.is_none() {
        reasons.push(reason(
            timeline,
            Standing::Unproved,
            "registered",
            "it is not registered: no registration of it stands on this day".to_owned(),
            "not registered".to_owned(),
            "register it",
        ));
        return reasons;
    }
    let Some(proof) = &timeline.proof else {
        let early = timeline.proofs_before_birth.last();
        reasons.push(Reason {
            entry: early.copied().or(registered),
            ..reason(
                timeline,
                Standing::Unproved,
                "proof-of-build",
                match (early, registered) {
                    (Some(early), Some(registered)) => format!(
                        "no proof of this casing has passed: the proof of {} (entry {}) does not count, because the casing was registered only on {}",
                        early.on, early.number, registered.on
                    ),
                    _ => "no proof of this casing has passed".to_owned(),
                },
                "no passing proof".to_owned(),
                if early.is_some() {
                    "strike the registration and write it again with the day it was built, or proof it (water, never gas)"
                } else {
                    "proof it (water, never gas)"
                },
            )
        });
        return reasons;
    };
    if let Some((entry, why)) = &timeline.build_changed {
        reasons.push(Reason {
            entry: Some(*entry),
            ..reason(
                timeline,
                Standing::Unproved,
                "rebuild-proof",
                format!("no proof of this build has passed: {why}"),
                "no passing proof since".to_owned(),
                "proof it as it is now (water, never gas)",
            )
        });
    }
    let shown = |pascals: f64| show(GaugePressure::from_si(pascals), System::Si);
    if let Some(meop) = timeline.meop_pa()
        && exceeds(meop * rules.value("proof-factor-least"), proof.pressure_pa)
    {
        reasons.push(Reason {
            entry: Some(proof.entry),
            ..reason(
                timeline,
                Standing::Unproved,
                "proof-factor-least",
                format!("the proof reached only {:.3} times MEOP", proof.pressure_pa / meop),
                format!("{}; MEOP {}", shown(proof.pressure_pa), shown(meop)),
                "proof it higher, or restrict it to a lower MEOP",
            )
        });
    }
    let until = timeline.proof_until();
    let alone =
        reasons.is_empty() && timeline.retired.is_none() && timeline.matters.iter().all(Matter::settled);
    if let Some(until) = until.filter(|until| wanted.takes(Standing::Overdue, until.succ_opt())) {
        reasons.push(Reason {
            entry: Some(proof.entry),
            from: until.succ_opt(),
            ..reason(
                timeline,
                Standing::Overdue,
                "proof-months",
                format!("the proof of {} ran out on {until}", proof.entry.on),
                format!("due {until}"),
                if alone {
                    "proof it (water, never gas); nothing else stands against it by date"
                } else {
                    "proof it (water, never gas)"
                },
            )
        });
    }
    let (good_for, rule) = timeline.proof_firings();
    if proof.firings_since >= good_for {
        reasons.push(Reason {
            entry: Some(proof.entry),
            limit: crate::quantity::counted(good_for, "firing"),
            ..reason(
                timeline,
                Standing::Overdue,
                rule,
                format!(
                    "{} since the proof of {}",
                    crate::quantity::counted(proof.firings_since, "firing"),
                    proof.entry.on
                ),
                crate::quantity::counted(proof.firings_since, "firing"),
                "proof it (water, never gas)",
            )
        });
    }
    if !wanted.takes(Standing::InService, None) {
        return reasons;
    }
    reasons.push(Reason {
        entry: Some(proof.entry),
        limit: format!(
            "{} and {}",
            until.map_or_else(String::new, |until| format!("until {until}")),
            crate::quantity::counted(good_for, "firing")
        ),
        ..reason(
            timeline,
            Standing::InService,
            rule,
            format!("proved on {} at {}", proof.entry.on, shown(proof.pressure_pa)),
            format!("{} of {} used", proof.firings_since, crate::quantity::counted(good_for, "firing")),
            "",
        )
    });
    reasons
}

fn margin_reasons(timeline: &Timeline<'_>, wanted: Wanted) -> Vec<Reason> {
    let rules = timeline.rules();
    let Some((_, registered)) = &timeline.casing else {
        return Vec::new();
    };
    let shown = |pascals: f64| show(GaugePressure::from_si(pascals), System::Si);
    let (Some((mode, yields)), Some(meop)) = (&timeline.weakest, timeline.meop_pa()) else {
        return vec![Reason {
            entry: Some(*registered),
            ..reason(
                timeline,
                Standing::Hold,
                "registered",
                "no margin can be worked out from this drawing".to_owned(),
                "unknown strength".to_owned(),
                "register a revision with a listed metal, or its least strengths",
            )
        }];
    };
    let factor = yields / meop;
    let too_thin = factor < rules.value("margin-least") * (1.0 - 1e-9);
    let standing = if too_thin { Standing::Hold } else { Standing::InService };
    if !wanted.takes(standing, None) {
        return Vec::new();
    }
    vec![Reason {
        entry: Some(*registered),
        ..reason(
            timeline,
            standing,
            "margin-least",
            format!("thinnest margin: {mode} yields at {}, {factor:.2} times MEOP", shown(*yields)),
            format!("{factor:.3} x MEOP"),
            &if too_thin {
                format!("restrict it to a lower MEOP; {}", stronger(timeline, mode))
            } else {
                String::new()
            },
        )
    }]
}

/// What makes a mode stronger, in the casing as it is or in the next one.
fn stronger(timeline: &Timeline<'_>, mode: &str) -> String {
    let unknown_bolts = timeline.casing.as_ref().is_some_and(|(casing, _)| {
        [&casing.design.forward, &casing.design.aft]
            .iter()
            .any(|end| end.kind == EndKind::RadialBolts && end.bolt_ultimate.is_none())
    });
    let change = match Mode::from_word(mode) {
        Some(Mode::TubeWall | Mode::TubeBurst) => "a thicker wall",
        Some(Mode::WeldZoneWall) => "a thicker wall, or an end that is not welded",
        Some(Mode::WeldThroat) => "a longer weld leg",
        Some(Mode::ThreadStrip) => "more thread engaged",
        Some(Mode::ThreadRelief) => "a shallower thread relief, or a thicker wall",
        Some(Mode::HoleBearing) => "more or larger bolts, or a thicker wall",
        Some(Mode::BoltShear) if unknown_bolts => {
            return "the bolts' strength is not on record and the weakest class is assumed: a revision with their own may lift it, else build the next one with more or larger bolts".to_owned();
        }
        Some(Mode::BoltShear) => "stronger, more or larger bolts",
        Some(Mode::TearOut) => "more edge distance",
        Some(Mode::NetSection) => "fewer or smaller holes, a shallower groove, or a thicker wall",
        Some(Mode::GrooveBearing) => "a deeper groove in a thicker wall",
        Some(Mode::GrooveShear) => "more metal behind the groove",
        Some(Mode::RingShear) => "a thicker ring",
        Some(Mode::PlateBending) => "a thicker end plate",
        None => "a stronger joint there",
    };
    format!("build the next one with {change}")
}

/// What a fatigue life used up asks for: eyes from a share of it on, and no firing at all once it is gone.
pub(super) fn wear_reasons(timeline: &Timeline<'_>, wear: &[Wear]) -> Vec<Reason> {
    let limit = timeline.rules().value("damage-used");
    let gone = timeline.rules().value("fatigue-life");
    wear.iter()
        .filter(|wear| super::reaches(100.0 * wear.damage, limit))
        .map(|wear| (wear, super::reaches(100.0 * wear.damage, gone)))
        .map(|(wear, gone)| Reason {
            entry: timeline.casing.as_ref().map(|(_, entry)| *entry),
            ..reason(
                timeline,
                // The line is from memory and carried on to the careful side: until it is gone it asks for eyes only.
                if gone { Standing::Hold } else { Standing::Watch },
                if gone { "fatigue-life" } else { "damage-used" },
                format!(
                    "{} at the {} has used {:.0} % of its fatigue life",
                    wear.mode,
                    wear.place,
                    100.0 * wear.damage
                ),
                format!("{:.1} %", 100.0 * wear.damage),
                if gone {
                    "retire it; strike a peak or a proof that was a slip of the pen"
                } else {
                    "penetrant at that detail at every strip; plan its successor"
                },
            )
        })
        .collect()
}

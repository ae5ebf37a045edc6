//! What the book says of a casing on a day.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::conflicts::conflicts;
use super::growth::Growth;
use super::reason::{EntryRef, Reason, standing_on};
use super::reasons_of;
use super::rules::RuleSet;
use super::timeline::Timeline;
use crate::book::details::DispositionRecord;
use crate::book::{Details, Entry, EntryId, Position, Standing, in_order, in_place_of_what_they_correct};
use crate::design::derate::local_strength;
use crate::design::{Design, material};
use crate::quantity::{GaugePressure, Length, Quantity, Typed};
use crate::strength::wear::{Wear, wear};
use crate::strength::{self, LocalSpot, LocalState, Margins, StrengthError};

/// Everything on record that can bear on one casing: its own entries, those of every part it ever had, and the
/// firings and proofs those parts saw elsewhere. In any order.
#[derive(Clone, Copy, Debug)]
pub struct History<'a> {
    /// The casing.
    pub serial: &'a str,
    /// The entries.
    pub entries: &'a [Entry],
    /// The rules in force.
    pub rules: &'a RuleSet,
}

/// A firing that the record forbade.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Breach {
    /// The firing.
    pub firing: EntryRef,
    /// Which firing of this casing it was.
    pub number: u32,
    /// The reason written down for it.
    pub reason: Option<String>,
    /// What forbade it, as the whole record now stands.
    pub forbidden_by: Vec<Reason>,
}

/// A fitted part and its life.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PartLife {
    /// Where it sits.
    pub position: Position,
    /// Its serial.
    pub part: String,
    /// Firings in all, in every casing.
    pub firings: u32,
    /// Proofs in all.
    pub proofs: u32,
    /// Firings it may see.
    pub life_firings: Option<u32>,
    /// Its throat DIAMETER in metres, where it has one.
    pub throat_m: Option<f64>,
}

impl PartLife {
    /// Firings left of its life.
    pub fn left(&self) -> Option<u32> {
        self.life_firings.map(|life| life.saturating_sub(self.firings))
    }
}

/// A place on record as soft or thin.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Spot {
    /// The finding.
    pub entry: EntryRef,
    /// Where, in words.
    pub place: String,
    /// Axial distance from the forward seal face, in millimetres.
    pub station_mm: Option<f64>,
    /// Clock angle, degrees, where it was written down.
    #[serde(default)]
    pub clock_deg: Option<f64>,
    /// Brinell hardness there.
    pub hardness: Option<f64>,
    /// Brinell hardness of sound metal on the same part, where the hardness lost was given.
    pub reference_hardness: Option<f64>,
    /// Wall left there, in metres.
    pub wall_left_m: Option<f64>,
    /// Whether it lies where a weld softened the wall.
    #[serde(default)]
    pub beside_weld: bool,
}

/// What the record says of a casing beyond its drawing, as the margins take it.
pub fn local_state(design: &Design, spots: &[Spot]) -> LocalState {
    let metal = material::tube_metal(&design.tube).ok();
    let listed = material::find(&design.tube.material);
    let spots = spots
        .iter()
        .map(|spot| {
            let soft = spot.hardness.and_then(|hardness| {
                let (metal, listed) = (metal.as_ref()?, listed?);
                local_strength(listed, metal.yield_strength, hardness, spot.reference_hardness).ok()
            });
            LocalSpot {
                place: spot.place.clone(),
                remaining_wall: spot.wall_left_m.map(Length::from_si),
                yield_strength: soft.map(|soft| soft.yield_pa),
                beside_weld: spot.beside_weld,
            }
        })
        .filter(|spot| spot.remaining_wall.is_some() || spot.yield_strength.is_some())
        .collect();
    LocalState { spots, wall_temperature: None }
}

/// What is due next.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Due {
    /// What: a proof, or a part's end of life.
    pub what: String,
    /// The last day it is good for, where a date sets it.
    pub on: Option<NaiveDate>,
    /// Firings left, where a count sets it.
    pub firings_left: Option<u32>,
}

/// What the book says of a casing. Everything in it but [`Assessment::standing`] is the same on every later
/// day, until another entry comes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Assessment {
    /// The casing.
    pub serial: String,
    /// What people call it.
    pub name: Option<String>,
    /// The casing on paper.
    pub design: Option<Design>,
    /// Firings.
    pub firings: u32,
    /// Proofs, passed or not.
    pub proofs: u32,
    /// Every reason, worst first; those of a later day carry it.
    pub reasons: Vec<Reason>,
    /// The weakest mode on paper and its yield pressure in pascals.
    pub weakest: Option<(String, f64)>,
    /// MEOP in force, pascals above the atmosphere.
    pub meop_pa: Option<f64>,
    /// The last passing proof: entry, pascals above the atmosphere, firings since.
    pub proof: Option<(EntryRef, f64, u32)>,
    /// What is due next.
    pub due: Vec<Due>,
    /// The restriction in force.
    pub restriction: Option<DispositionRecord>,
    /// Places on record as soft or thin.
    pub spots: Vec<Spot>,
    /// The parts fitted now.
    pub parts: Vec<PartLife>,
    /// The highest peak, pascals above the atmosphere, and its firing.
    pub highest_peak: Option<(f64, EntryRef)>,
    /// The share of its fatigue life each detail has used, the most used first; empty where no line is listed.
    pub wear: Vec<Wear>,
    /// Firings that the record forbade.
    pub breaches: Vec<Breach>,
    /// The last reading at every station against birth.
    pub growth: Vec<Growth>,
    /// Every birth reading of the outside diameter: station and clock angle, millimetres.
    #[serde(default)]
    pub birth: Vec<(f64, Option<f64>, f64)>,
    /// Whether there is a birth record to hold readings against.
    pub has_baseline: bool,
    /// Things every later page must say.
    pub flags: Vec<String>,
}

/// Those of some reasons that count on a day, worst first.
pub fn counting_on(reasons: &[Reason], day: NaiveDate) -> Vec<&Reason> {
    let mut reasons: Vec<&Reason> = reasons.iter().filter(|it| it.counts_on(day)).collect();
    reasons.sort_by_key(|it| it.standing);
    reasons
}

impl Assessment {
    /// The standing on a day.
    pub fn standing(&self, day: NaiveDate) -> Standing {
        standing_on(&self.reasons, day)
    }

    /// The reasons that count on a day, worst first.
    pub fn reasons_on(&self, day: NaiveDate) -> Vec<&Reason> {
        counting_on(&self.reasons, day)
    }

    /// The pressure of the last passing proof, pascals above the atmosphere, where it was a proof of the build as it is.
    pub fn proof_of_build(&self) -> Option<f64> {
        let rebuilt = self.reasons.iter().any(|it| it.rule == "rebuild-proof");
        self.proof.as_ref().map(|(_, pascals, _)| *pascals).filter(|_| !rebuilt)
    }

    /// The fitted part that holds the throat, and its throat DIAMETER in metres.
    pub fn fitted_throat(&self) -> Option<(&PartLife, f64)> {
        [Position::ThroatInsert, Position::NozzleCarrier].iter().find_map(|position| {
            self.parts
                .iter()
                .filter(|part| part.position == *position)
                .find_map(|part| part.throat_m.map(|throat| (part, throat)))
        })
    }

    /// The factor of the weakest mode on the MEOP in force.
    pub fn factor(&self) -> Option<f64> {
        match (&self.weakest, self.meop_pa) {
            (Some((_, yields)), Some(meop)) if meop > 0.0 => Some(yields / meop),
            _ => None,
        }
    }

    /// What the record says beyond the drawing, as the margins take it.
    pub fn local_state(&self) -> LocalState {
        self.design.as_ref().map_or_else(LocalState::default, |design| local_state(design, &self.spots))
    }

    /// The margins on the MEOP in force, with the soft and thin places on record; `None` before it is registered.
    pub fn margins(&self, pressure: Option<GaugePressure>) -> Option<Result<Margins, StrengthError>> {
        Some(strength::margins(&self.design_in_force()?, pressure, &self.local_state()))
    }

    /// The drawing with the MEOP in force.
    pub fn design_in_force(&self) -> Option<Design> {
        let mut design = self.design.clone()?;
        if let Some(meop) = self.meop_pa {
            design.service.meop = Typed::computed(GaugePressure::from_si(meop));
        }
        Some(design)
    }

    /// The first of what is due by date, if any.
    pub fn next_due_on(&self) -> Option<NaiveDate> {
        self.due.iter().filter_map(|due| due.on).min()
    }

    /// The fewest firings left of what is due by count, if any.
    pub fn firings_left(&self) -> Option<u32> {
        self.due.iter().filter_map(|due| due.firings_left).min()
    }
}

/// Walk a casing's history up to a day and say what the book says of it.
///
/// Entries that happened after `as_of` are left out, so asking about an earlier day gives what was known to
/// have happened by then. Struck entries are left out; the strikes themselves are kept for what they flag.
pub fn assess(history: History<'_>, as_of: NaiveDate) -> Assessment {
    let struck = struck(history.entries, as_of);
    let mut order: Vec<&Entry> =
        history.entries.iter().filter(|entry| entry.entry.happened_on <= as_of).collect();
    in_order(&mut order, |entry| entry);
    let mut timeline = Timeline::new(history.serial, history.rules);
    if !struck.is_empty() {
        timeline.corrected = in_place_of_what_they_correct(&mut order, history.entries);
        order.retain(|entry| !struck.contains(&entry.id));
    }
    timeline.crossed_out(history.entries, &struck);
    for entry in order {
        timeline.take(entry);
    }
    let apart = conflicts(history.entries, Some(history.serial), history.rules, as_of);
    let mut books_differ: Vec<Reason> = apart.iter().map(|it| it.reason(history.rules)).collect();
    // Of a rule of which nobody can say which value is stricter, no casing is fired by either.
    for disputed in history.rules.disputed().filter(|it| it.holds.is_none()) {
        books_differ.push(Reason { text: disputed.sentence(), ..disputed.conflict.reason(history.rules) });
    }
    let mut assessed = finish(&timeline, history.serial, books_differ);
    assessed.flags.extend(history.rules.disputed().filter(|it| it.holds.is_some()).map(|it| it.sentence()));
    assessed
}

/// The entries crossed out by a strike on or before a day.
pub fn struck(entries: &[Entry], as_of: NaiveDate) -> BTreeSet<EntryId> {
    entries
        .iter()
        .filter(|entry| entry.entry.happened_on <= as_of)
        .filter_map(|entry| match &entry.entry.details {
            Details::Strike(strike) => Some(strike.strikes),
            _ => None,
        })
        .collect()
}

fn finish(timeline: &Timeline<'_>, serial: &str, books_differ: Vec<Reason>) -> Assessment {
    let parts = part_lives(timeline);
    let wear = wear_of(timeline);
    let mut reasons = timeline.reasons();
    reasons.extend(books_differ);
    reasons.sort_by_key(|reason| reason.standing);
    if timeline.retired.is_none() {
        reasons.extend(reasons_of::wear_reasons(timeline, &wear));
        reasons.sort_by_key(|reason| reason.standing);
    }
    let mut due = Vec::new();
    if let (Some(proof), Some(until), None) = (&timeline.proof, timeline.proof_until(), &timeline.retired) {
        let (good_for, _) = timeline.proof_firings();
        due.push(Due {
            what: "proof".to_owned(),
            on: Some(until),
            firings_left: Some(good_for.saturating_sub(proof.firings_since)),
        });
    }
    for life in parts.iter().filter(|_| timeline.retired.is_none()) {
        if let Some(left) = life.left() {
            due.push(Due {
                what: format!("{} {}", life.position, life.part),
                on: None,
                firings_left: Some(left),
            });
        }
    }
    Assessment {
        serial: serial.to_owned(),
        name: timeline.casing.as_ref().and_then(|(casing, _)| casing.name.clone()),
        design: timeline.casing.as_ref().map(|(casing, _)| casing.design.clone()),
        firings: timeline.firings,
        proofs: timeline.proofs,
        reasons,
        weakest: timeline.weakest.clone(),
        meop_pa: timeline.meop_pa(),
        proof: timeline.proof.as_ref().map(|proof| (proof.entry, proof.pressure_pa, proof.firings_since)),
        due,
        restriction: timeline.restriction.as_ref().map(|restriction| restriction.record.clone()),
        spots: timeline.spots.clone(),
        parts,
        highest_peak: timeline.highest_peak,
        wear,
        breaches: timeline.breaches.clone(),
        growth: timeline.growth.clone(),
        birth: timeline.birth_readings().to_vec(),
        has_baseline: timeline.has_baseline(),
        flags: flags(timeline),
    }
}

/// The share of its fatigue life each detail has used.
fn wear_of(timeline: &Timeline<'_>) -> Vec<Wear> {
    let Some((casing, _)) = &timeline.casing else { return Vec::new() };
    let local = local_state(&casing.design, &timeline.spots);
    let (Ok(margins), Ok(metal)) =
        (strength::margins(&casing.design, None, &local), material::tube_metal(&casing.design.tube))
    else {
        return Vec::new();
    };
    let peaks: Vec<GaugePressure> = timeline.cycles.iter().copied().map(GaugePressure::from_si).collect();
    wear(&margins, &metal, &peaks)
}

/// What every later page must say: struck retirements, and firings that the record forbade.
fn flags(timeline: &Timeline<'_>) -> Vec<String> {
    let mut flags = timeline.flags.clone();
    if !timeline.breaches.is_empty() {
        let which: Vec<String> = timeline
            .breaches
            .iter()
            .map(|breach| format!("{} on {}", breach.number, breach.firing.on))
            .collect();
        flags.push(format!("fired although the record forbade it: firing {}", which.join(", firing ")));
    }
    flags
}

fn part_lives(timeline: &Timeline<'_>) -> Vec<PartLife> {
    timeline
        .fitted
        .iter()
        .map(|(position, (part, _))| {
            let state = timeline.parts.get(part).cloned().unwrap_or_default();
            PartLife {
                position: *position,
                part: part.clone(),
                firings: state.firings,
                proofs: state.proofs,
                life_firings: state.record.as_ref().and_then(|record| record.life_firings),
                throat_m: state.throat_m,
            }
        })
        .collect()
}

//! Where two books differ: entries about one thing, written on two laptops of which neither knew what the other
//! wrote. Both are kept; a named person settles it by a new entry, a strike of the one that is wrong or a decision
//! made with both at hand.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde_json::Value;

use super::assessment::struck;
use super::exceeds;
use super::reason::{EntryRef, Reason};
use super::rules::RuleSet;
use crate::book::details::{DispositionRecord, StripRecord};
use crate::book::{Details, Entry, Standing, SubjectOf, in_order};
use crate::quantity::{System, show};

/// One of two entries that differ.
#[derive(Clone, Debug, PartialEq)]
pub struct Side {
    /// The entry.
    pub entry: EntryRef,
    /// Who wrote it.
    pub by: String,
    /// What it says of the thing.
    pub says: String,
}

/// Two entries about one thing, of which neither writer knew the other.
#[derive(Clone, Debug, PartialEq)]
pub struct Conflict {
    /// Which serial or name it is about.
    pub about: String,
    /// What they differ on.
    pub what: &'static str,
    /// The earlier.
    pub one: Side,
    /// The later.
    pub other: Side,
}

impl Conflict {
    /// As one sentence.
    pub fn sentence(&self) -> String {
        let side = |side: &Side| format!("{} on {}: {}", side.by, side.entry.on, side.says);
        format!("two books differ on {}: {}; {}", self.what, side(&self.one), side(&self.other))
    }

    /// Both entries with their numbers and marks, so that a person finds them on either laptop.
    pub fn sides(&self) -> String {
        let side = |side: &Side| {
            let (entry, mark) = (side.entry, side.entry.id.mark());
            format!("entry {} ({mark}) by {} on {}: {}", entry.number, side.by, entry.on, side.says)
        };
        format!("{}; {}", side(&self.one), side(&self.other))
    }

    /// As a reason that keeps a casing on hold.
    pub(super) fn reason(&self, rules: &RuleSet) -> Reason {
        Reason {
            standing: Standing::Hold,
            rule: "books-differ".to_owned(),
            text: self.sentence(),
            value: "neither knew of the other".to_owned(),
            limit: rules.says("books-differ"),
            source: rules.source("books-differ"),
            entry: Some(self.other.entry),
            from: None,
            next: "strike the one that is wrong, or decide with both at hand".to_owned(),
        }
    }
}

/// Every difference in a casing's history, or, without a serial, among entries that bear a name.
pub fn conflicts(
    entries: &[Entry],
    serial: Option<&str>,
    rules: &RuleSet,
    as_of: NaiveDate,
) -> Vec<Conflict> {
    let Some(first) = entries.first() else { return Vec::new() };
    // One laptop alone never differs from itself.
    if entries.iter().all(|entry| entry.origin == first.origin) {
        return Vec::new();
    }
    let crossed_out = struck(entries, as_of);
    let mut things: BTreeMap<(&'static str, String), Vec<&Entry>> = BTreeMap::new();
    for entry in entries.iter().filter(|it| it.entry.happened_on <= as_of && !crossed_out.contains(&it.id)) {
        if let Some(thing) = thing(entry, serial) {
            things.entry(thing).or_default().push(entry);
        }
    }
    let none = Vec::new();
    let decisions =
        serial.and_then(|serial| things.get(&(DECISION, serial.to_owned()))).unwrap_or(&none).clone();
    let mut found = Vec::new();
    for ((what, about), mut entries) in things {
        in_order(&mut entries, |entry| entry);
        // Of what has one value in force, only the last words count: what a later one was written knowing is behind.
        // One that bears an earlier day comes into force before it and settles nothing.
        let overtaken: BTreeSet<_> = if IN_FORCE.contains(&what) {
            let behind = |it: &Entry, later: &Entry| {
                later.knew(it) && (what == DECISION || later.entry.happened_on >= it.entry.happened_on)
            };
            entries
                .iter()
                .filter(|it| entries.iter().any(|later| behind(it, later)))
                .map(|it| it.id)
                .collect()
        } else {
            BTreeSet::new()
        };
        for (at, one) in entries.iter().enumerate() {
            for other in &entries[at + 1..] {
                let apart = one.origin != other.origin && !one.knew(other) && !other.knew(one);
                // Of one value in force whoever knew both has overtaken them, or bears an earlier day.
                let settled = !NAMED.contains(&what)
                    && [&decisions, &entries].into_iter().flatten().any(|it| it.knew(one) && it.knew(other));
                if apart
                    && !settled
                    && !overtaken.contains(&one.id)
                    && !overtaken.contains(&other.id)
                    && differ(one, other, rules)
                {
                    let (one_says, other_says) = says(one, other);
                    let side = |entry: &Entry, says: String| Side {
                        entry: EntryRef::from(entry),
                        by: entry.entry.recorded_by.clone(),
                        says,
                    };
                    found.push(Conflict {
                        about: about.split('\n').next().unwrap_or_default().to_owned(),
                        what,
                        one: side(one, one_says),
                        other: side(other, other_says),
                    });
                }
            }
        }
    }
    found
}

const DECISION: &str = "what to do with it";
const LOAD: &str = "the load";
const BATCH: &str = "the batch";
const RULE: &str = "the rule";
/// Things that belong to no casing and of which one entry is in force.
const NAMED: &[&str] = &[LOAD, BATCH, RULE];
/// Things of which one entry is in force.
const IN_FORCE: &[&str] = &[DECISION, LOAD, BATCH, RULE];

/// Which thing an entry is a reading or record of.
fn thing(entry: &Entry, serial: Option<&str>) -> Option<(&'static str, String)> {
    let day = entry.entry.happened_on;
    let here = |casing: &str| serial == Some(casing);
    Some(match &entry.entry.details {
        Details::Disposition(record) => match (&record.casing, &record.part) {
            (Some(casing), _) if here(casing) => (DECISION, casing.clone()),
            (None, Some(part)) => (DECISION, part.clone()),
            _ => return None,
        },
        Details::Casing(record) if here(&record.serial) => {
            ("how it is built", format!("{}\n{}", record.serial, record.revision))
        }
        Details::Part(record) => ("what the part is", record.serial.clone()),
        Details::Fit(record) => ("where the part is", record.part.clone()),
        Details::Firing(record) if here(&record.casing) => ("a firing", format!("{}\n{day}", record.casing)),
        Details::Proof(record) if here(&record.casing) => ("a proof", format!("{}\n{day}", record.casing)),
        Details::Strip(record) if here(&record.casing) => {
            let of = record.firing.map_or_else(|| day.to_string(), |firing| firing.to_string());
            ("an inspection", format!("{}\n{of}", record.casing))
        }
        Details::Trace(record) if here(&record.casing) => {
            ("a trace", format!("{}\n{}", record.casing, record.firing))
        }
        // Whatever its revision: two written apart are two plans under one name.
        Details::Load(record) if serial.is_none() => (LOAD, record.name.clone()),
        Details::Batch(record) if serial.is_none() => (BATCH, record.name.clone()),
        Details::Gauge(record) if serial.is_none() => ("the gauge", format!("{}\n{day}", record.serial)),
        Details::Person(record) if serial.is_none() => ("the person", record.name.clone()),
        Details::Rule(record) if serial.is_none() && entry.entry.subject.of == SubjectOf::Rule => {
            (RULE, record.rule.clone())
        }
        _ => return None,
    })
}

/// A record without the words its quantities were typed in.
fn bare(mut value: Value) -> Value {
    match &mut value {
        Value::Object(map) => {
            map.remove("typed");
            for inner in map.values_mut() {
                *inner = bare(std::mem::take(inner));
            }
        }
        Value::Array(items) => {
            for item in items {
                *item = bare(std::mem::take(item));
            }
        }
        _ => {}
    }
    value
}

fn terms(record: &DispositionRecord) -> DispositionRecord {
    DispositionRecord {
        reason: String::new(),
        extra_checks: None,
        made_unusable: None,
        repair: None,
        ..record.clone()
    }
}

/// Whether two entries about one thing do not say the same of it.
fn differ(one: &Entry, other: &Entry, rules: &RuleSet) -> bool {
    let as_json = |details: &Details| details.to_json().map(bare).ok();
    match (&one.entry.details, &other.entry.details) {
        (Details::Disposition(one), Details::Disposition(other)) => {
            let json = |record| Details::from(terms(record)).to_json().map(bare).ok();
            json(one) != json(other)
        }
        // Two laptops that each hold a firing or a proof of one day hold one thing twice, or two things: a person knows.
        (Details::Firing(_), Details::Firing(_)) | (Details::Proof(_), Details::Proof(_)) => true,
        (Details::Fit(one), Details::Fit(other)) => {
            (&one.casing, one.position, one.action) != (&other.casing, other.position, other.action)
        }
        (Details::Strip(one), Details::Strip(other)) => {
            let outcomes = |strip: &StripRecord| {
                strip.items.iter().map(|it| (it.item.clone(), it.outcome.word())).collect::<BTreeSet<_>>()
            };
            outcomes(one) != outcomes(other)
                || differing_reading(one, other, rules.value("growth-noise")).is_some()
        }
        (Details::Trace(one), Details::Trace(other)) => one.sha256 != other.sha256,
        // Whatever the reasons given for it.
        (Details::Rule(one), Details::Rule(other)) => one.value != other.value,
        (one, other) => as_json(one) != as_json(other),
    }
}

/// The first place that two inspections read differently, beyond what an instrument can see.
fn differing_reading(one: &StripRecord, other: &StripRecord, noise_mm: f64) -> Option<(String, String)> {
    for a in &one.readings {
        let same = |b: &&crate::book::Reading| {
            b.what == a.what
                && b.phase == a.phase
                && b.clock_deg == a.clock_deg
                && (b.station.value.as_mm() - a.station.value.as_mm()).abs() <= 0.5
        };
        let Some(b) = other.readings.iter().find(same) else { continue };
        let place = format!(
            "{} at {:.0} mm{}",
            a.what,
            a.station.value.as_mm(),
            a.clock_deg.map_or_else(String::new, |clock| format!(" / {clock:.0} deg"))
        );
        let length = match (&a.value, &b.value) {
            (Some(a), Some(b)) => exceeds((a.value.as_mm() - b.value.as_mm()).abs(), noise_mm),
            (a, b) => a.is_some() != b.is_some(),
        };
        let shown = |reading: &crate::book::Reading| match (&reading.value, reading.hardness) {
            (Some(value), _) => format!("{place} {:.3} mm", value.value.as_mm()),
            (None, Some(hardness)) => format!("{place} {hardness:.0} HB"),
            (None, None) => format!("{place} not measured"),
        };
        if length || a.hardness != b.hardness {
            return Some((shown(a), shown(b)));
        }
    }
    None
}

/// What each of two entries says of the thing, short enough to stand side by side.
fn says(one: &Entry, other: &Entry) -> (String, String) {
    if let (Details::Strip(a), Details::Strip(b)) = (&one.entry.details, &other.entry.details)
        && let Some(readings) = differing_reading(a, b, 0.0)
    {
        return readings;
    }
    let (a, b) = (said(&one.entry.details), said(&other.entry.details));
    if a != b {
        return (a, b);
    }
    // Where the short words are the same, what else differs is named.
    let values = |entry: &Entry| entry.entry.details.to_json().map(bare).unwrap_or_default();
    let (one, other) = (values(one), values(other));
    let keys = |value: &Value| {
        value.as_object().into_iter().flatten().map(|(key, _)| key.clone()).collect::<BTreeSet<_>>()
    };
    let keys: BTreeSet<String> = &keys(&one) | &keys(&other);
    let apart: Vec<String> =
        keys.iter().filter(|key| one.get(key) != other.get(key)).map(|key| key.replace('_', " ")).collect();
    if apart.is_empty() {
        return (a, b);
    }
    let apart = apart.join(", ");
    (format!("{a}, another {apart}"), format!("{b}, another {apart}"))
}

fn said(details: &Details) -> String {
    let system = System::Si;
    match details {
        Details::Disposition(record) => match &record.meop {
            Some(meop) => format!("{}, MEOP {}", record.decision, show(meop.value, system)),
            None => record.decision.word().to_owned(),
        },
        Details::Casing(record) => format!(
            "revision {}, {} {}, MEOP {}",
            record.revision,
            record.design.tube.material,
            show(record.design.tube.od.value, system),
            show(record.design.service.meop.value, system)
        ),
        Details::Part(record) => format!(
            "{}, {} before, life {}",
            record.what,
            crate::quantity::counted(record.firings_before, "firing"),
            record.life_firings.map_or_else(|| "not said".to_owned(), |life| life.to_string())
        ),
        Details::Fit(record) => format!("{} {} as {}", record.action, record.casing, record.position),
        Details::Firing(record) => format!(
            "{} firing with {}, peak {}",
            record.mode,
            record.load.as_deref().unwrap_or("no load on record"),
            record
                .peak_pressure
                .as_ref()
                .map_or_else(|| "not measured".to_owned(), |peak| show(peak.value, system))
        ),
        Details::Proof(record) => format!("proof at {}", show(record.pressure.value, system)),
        Details::Strip(record) => format!(
            "{} items found, {} left out",
            record.items.iter().filter(|it| it.outcome == crate::book::Outcome::Finding).count(),
            record.items.iter().filter(|it| it.outcome == crate::book::Outcome::NotMeasured).count()
        ),
        Details::Trace(record) => format!("file {}", record.file),
        Details::Load(record) => format!(
            "revision {}, planned peak {}{}",
            record.revision,
            show(record.peak_pressure.value, system),
            record
                .impulse
                .as_ref()
                .map_or_else(String::new, |impulse| format!(", {}", show(impulse.value, system)))
        ),
        Details::Rule(record) => super::rules::spec(&record.rule).map_or_else(
            || record.value.to_string(),
            |spec| super::rules::with_unit(record.value, spec.unit),
        ),
        other => format!("another {}", other.kind()),
    }
}

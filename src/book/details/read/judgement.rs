//! What is judged: findings, dispositions, notes, photographs, strikes, club rules.

use super::drawing::refuse_beyond;
use crate::book::damage::{Damage, Measure};
use crate::book::details::{
    DispositionRecord, FindingRecord, NoteRecord, PhotoRecord, RuleRecord, StrikeRecord,
};
use crate::book::reader::Reader;
use crate::book::{Decision, Event, SubjectOf};
use crate::design::Design;
use crate::quantity::{Length, System, show};

/// A casing or a part, not both, not neither.
fn casing_or_part(from: &mut Reader<'_>) -> Option<(Option<String>, Option<String>)> {
    let casing = from.known("casing", SubjectOf::Casing);
    let part = from.known("part", SubjectOf::Part);
    match (from.has("casing"), from.has("part")) {
        (true, true) => {
            from.wrong("part", "give a casing or a part, not both".to_owned());
            None
        }
        (false, false) => {
            from.wrong("casing", "missing; give the serial of a casing, or of a part with --part".to_owned());
            None
        }
        _ if casing.is_none() && part.is_none() => None,
        _ => Some((casing, part)),
    }
}

pub(super) fn finding(from: &mut Reader<'_>) -> Option<FindingRecord> {
    let subject = casing_or_part(from);
    let damage = from.word("damage", Damage::find);
    let record = FindingRecord {
        casing: None,
        part: None,
        damage: damage.unwrap_or(Damage::Bulge),
        station: from.quantity("station"),
        clock_deg: from.number("clock", 0.0..=360.0),
        percent: from.percent("percent", 0.0..=100.0),
        depth: from.quantity("depth"),
        temperature: from.quantity("temperature"),
        count: from.whole("count", 0..=1000),
        hardness: from.number("hardness", 1.0..=1000.0),
        wall_left: from.positive("wall_left"),
        found_by: from.text("found_by"),
        evidence: from.text("evidence").unwrap_or_default(),
    };
    let damage = damage?;
    if let Some((casing, _)) = &subject
        && let Some(design) = casing.as_deref().and_then(|casing| from.on_record().design(casing))
    {
        expect_on_the_tube(from, &record, damage, &design);
    }
    let sheet = damage.sheet();
    let missing = match sheet.measure {
        Measure::Percent => {
            record.percent.is_none()
                && record.hardness.is_none()
                && record.temperature.is_none()
                && record.depth.is_none()
                && record.wall_left.is_none()
        }
        Measure::Depth => record.depth.is_none(),
        Measure::Temperature => record.temperature.is_none(),
        Measure::Count => record.count.is_none(),
        Measure::Presence => false,
    };
    if missing {
        from.odd(
            match sheet.measure {
                Measure::Depth => "depth",
                Measure::Temperature => "temperature",
                Measure::Count => "count",
                _ => "percent",
            },
            format!("not measured ({}): the casing stays on hold until it is", sheet.of),
        );
    }
    let (casing, part) = subject?;
    Some(FindingRecord { casing, part, damage, ..record })
}

/// Refuse a place the tube does not have, and a depth that does not go into its wall.
fn expect_on_the_tube(from: &mut Reader<'_>, record: &FindingRecord, damage: Damage, design: &Design) {
    if let Some(station) = &record.station {
        refuse_beyond(from, "station", station, design);
    }
    let wall = &design.tube.wall;
    let shown = |length: Length| show(length, System::Si);
    if let Some(depth) = &record.depth {
        let (most, of) = match damage {
            Damage::Pit | Damage::Gouge | Damage::BoreScore | Damage::LinerBreach | Damage::OverHeat => {
                (WALL_OVER * wall.si(), "wall")
            }
            Damage::Dent => (design.tube.od.si(), "tube"),
            _ => return,
        };
        if depth.si() > most {
            let whole = if of == "wall" { wall.value } else { design.tube.od.value };
            from.wrong(
                "depth",
                format!(
                    "{} is deeper than the {of}, {}: what goes right through is as deep as the {of}, and no deeper",
                    depth.typed.clone().unwrap_or_else(|| shown(depth.value)),
                    shown(whole)
                ),
            );
        }
    }
    if let Some(left) = &record.wall_left
        && left.si() > WALL_OVER * wall.si()
    {
        from.hold_against("wall_left", left, wall.si());
        from.odd(
            "wall_left",
            format!("{} is more than the wall of the drawing, {}", shown(left.value), shown(wall.value)),
        );
    }
}

/// A tube's wall may be this much over its nominal one (common practice, no source; ASTM B210 allows about 10 %).
const WALL_OVER: f64 = 1.15;

pub(super) fn disposition(from: &mut Reader<'_>) -> Option<DispositionRecord> {
    let subject = casing_or_part(from);
    let decision = from.word("decision", Decision::from_word);
    let reason = from.text("reason");
    let meop = from.positive("meop");
    let loads = from.names("loads");
    for load in &loads {
        if !from.on_record().knows(SubjectOf::Load, load) {
            from.wrong("loads", format!("no load \"{}\" is on record", crate::book::reading::shorten(load)));
        }
    }
    let record = DispositionRecord {
        casing: None,
        part: None,
        decision: decision.unwrap_or(Decision::Hold),
        reason: reason.clone().unwrap_or_default(),
        meop,
        loads,
        proof_every: from.whole("proof_every", 1..=1000),
        expires: from.date("expires"),
        standoff_multiplier: from.number("standoff_multiplier", 1.0..=20.0),
        lifts_restriction: from.yes_no("lifts_restriction").unwrap_or(false),
        extra_checks: from.text("extra_checks"),
        made_unusable: from.text("made_unusable"),
        repair: from.text("repair"),
    };
    let decision = decision?;
    let restricts = record.meop.is_some()
        || !record.loads.is_empty()
        || record.proof_every.is_some()
        || record.standoff_multiplier.is_some()
        || record.extra_checks.is_some();
    if decision == Decision::Restrict && !restricts {
        from.wrong(
            "meop",
            "a restriction needs a lower meop, the loads it allows, or how often it is proved".to_owned(),
        );
    }
    if decision != Decision::Restrict && (record.meop.is_some() || !record.loads.is_empty()) {
        from.wrong("decision", format!("meop and loads belong to a restriction, not to \"{decision}\""));
    }
    if decision == Decision::Retire && record.made_unusable.is_none() {
        from.odd(
            "made_unusable",
            "not said: a retired casing that is still whole comes back; hole it, saw it, then note it"
                .to_owned(),
        );
    }
    reason?;
    let (casing, part) = subject?;
    Some(DispositionRecord { casing, part, ..record })
}

pub(super) fn note(from: &mut Reader<'_>) -> Option<NoteRecord> {
    let (casing, part) =
        if from.has("casing") || from.has("part") { casing_or_part(from)? } else { (None, None) };
    let event = from.word("event", Event::from_word);
    if event.is_some() && casing.is_none() && part.is_none() {
        from.wrong("event", "an event happens to a casing or a part: give its serial".to_owned());
    }
    Some(NoteRecord { event, text: from.text("text")?, casing, part })
}

pub(super) fn photo(from: &mut Reader<'_>) -> Option<PhotoRecord> {
    let casing = from.known("casing", SubjectOf::Casing);
    let path = from.text("path");
    let caption = from.text("caption");
    let station = from.quantity("station");
    if let Some(station) = &station
        && let Some(design) = casing.as_deref().and_then(|casing| from.on_record().design(casing))
    {
        refuse_beyond(from, "station", station, &design);
    }
    Some(PhotoRecord {
        // The desk reads the file and puts its hash here.
        sha256: String::new(),
        station,
        clock_deg: from.number("clock", 0.0..=360.0),
        casing: casing?,
        path: path?,
        caption: caption?,
    })
}

pub(super) fn strike(from: &mut Reader<'_>) -> Option<StrikeRecord> {
    let strikes = from.entry("entry");
    let reason = from.text("reason");
    Some(StrikeRecord { strikes: strikes?, reason: reason?, lifts_retirement: false, eases: false })
}

pub(super) fn rule(from: &mut Reader<'_>) -> Option<RuleRecord> {
    let rule = from.text("rule");
    let value = from.number("value", 0.0..=1e9);
    let reason = from.text("reason");
    Some(RuleRecord { rule: rule?, value: value?, reason: reason? })
}

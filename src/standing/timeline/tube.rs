//! Which tube a casing has: its birth diameters hold for as long as the tube is the same piece of metal. A drawing
//! that changes anything else changes nothing of what the tube has grown.

use super::Timeline;
use crate::book::details::CasingRecord;
use crate::book::{Decision, Phase, Reading, Standing};
use crate::standing::growth::{self, Birth, Degree, Growth, degree};
use crate::standing::matter::Matter;
use crate::standing::reason::EntryRef;

/// A lot that says which one.
fn lot(record: &CasingRecord) -> Option<String> {
    let lot = record.tube_lot.as_deref()?.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    (!lot.is_empty() && lot != "unknown").then_some(lot)
}

/// What makes the tube of a new revision another piece of metal than the one before: another metal, another lot,
/// or machined to another outside diameter or wall. `None`: it is the same tube, whatever else has changed.
pub fn another(before: &CasingRecord, now: &CasingRecord) -> Option<String> {
    let (old, new) = (&before.design.tube, &now.design.tube);
    let differs = |a: f64, b: f64| (a - b).abs() > 1e-6;
    if differs(old.od.si(), new.od.si()) {
        return Some(format!(
            "outside diameter {:.2} mm to {:.2} mm",
            old.od.value.as_mm(),
            new.od.value.as_mm()
        ));
    }
    if differs(old.wall.si(), new.wall.si()) {
        return Some(format!("wall {:.2} mm to {:.2} mm", old.wall.value.as_mm(), new.wall.value.as_mm()));
    }
    if !old.material.eq_ignore_ascii_case(&new.material) {
        return Some(format!("{} to {}", old.material, new.material));
    }
    match (lot(before), lot(now)) {
        (Some(old), Some(new)) if old != new => Some(format!("lot {old} to {new}")),
        _ => None,
    }
}

impl Timeline<'_> {
    pub(super) fn register(&mut self, record: &CasingRecord, at: EntryRef) {
        let changed = self.casing.as_ref().is_some_and(|(before, _)| before.design != record.design);
        if changed {
            self.repairing = None;
            self.build_changed =
                Some((at, format!("revision {} changed the drawing on {}", record.revision, at.on)));
        }
        let repeats = record.od_repeatability.as_ref().map(|it| it.value.as_mm());
        let another = self.casing.as_ref().and_then(|(before, _)| another(before, record));
        match another {
            _ if self.casing.is_none() => self.be_born(record.design.tube.od.value.as_mm(), &record.readings),
            Some(what) => {
                self.end_of_tube(
                    format!("revision {} of {} is of another tube ({what})", record.revision, at.on),
                    &record.readings,
                    repeats,
                    at,
                );
                self.be_born(record.design.tube.od.value.as_mm(), &record.readings);
            }
            None => {
                // What is only copied from the birth record is no new reading; what differs from it is growth.
                let read: Vec<Reading> =
                    record.readings.iter().filter(|reading| !self.born_with(reading)).cloned().collect();
                self.judge_readings(&read, Phase::Birth, repeats, at);
                self.learn_birth(&record.readings);
            }
        }
        self.casing = Some((record.clone(), at));
        self.find_weakest();
    }

    /// The tube part in it is another than the one before: nothing the old one grew or was born with is this one's.
    pub(super) fn fit_tube(&mut self, part: &str, at: EntryRef) {
        let before = self.tube_part.replace(part.to_owned());
        let Some(before) = before.filter(|before| before != part) else { return };
        let Some((record, registered)) = self.casing.clone() else { return };
        // Diameters registered on the day it was fitted are the new tube's.
        let readings = if registered.on == at.on { record.readings.as_slice() } else { &[] };
        self.end_of_tube(
            format!("tube {part} took the place of {before} on {}", at.on),
            &[],
            record.od_repeatability.as_ref().map(|it| it.value.as_mm()),
            at,
        );
        self.be_born(record.design.tube.od.value.as_mm(), readings);
        self.find_weakest();
    }

    fn be_born(&mut self, nominal_mm: f64, readings: &[Reading]) {
        self.birth = Birth::new(nominal_mm, &[]);
        self.born_at.clear();
        self.learn_birth(readings);
    }

    fn learn_birth(&mut self, readings: &[Reading]) {
        self.birth.learn(readings);
        let read = readings.iter().filter(|it| it.is_diameter()).map(|it| it.station.value.as_mm());
        self.born_at.extend(read);
    }

    /// Whether a reading says just what the birth record says of its place.
    fn born_with(&self, reading: &Reading) -> bool {
        let value = reading.value.as_ref().map(|value| value.value.as_mm());
        let station = reading.station.value.as_mm();
        value
            .zip(self.birth.at(station, reading.clock_deg))
            .is_some_and(|(now, born)| (now - born).abs() < 1e-6)
    }

    /// A tube goes: what it had grown by then is said once more, and somebody answers for it.
    fn end_of_tube(&mut self, what: String, readings: &[Reading], repeats: Option<f64>, at: EntryRef) {
        // Read on the way to the new drawing: beyond belief against the old one only where it was machined.
        let last = growth::judge(readings, Phase::Birth, &self.birth, self.rules, repeats, at);
        let worst: Option<Growth> = self
            .growth
            .iter()
            .chain(&last.growth)
            .filter(|it| it.percent > 0.0)
            .max_by(|a, b| a.percent.total_cmp(&b.percent))
            .cloned();
        self.growth.clear();
        // Where the old tube was soft or thin says nothing of this one.
        self.spots.clear();
        // Growth that was accepted was the old tube's.
        self.matters.retain(|matter| !(matter.settled() && matter.growth.is_some()));
        let Some(worst) = worst else { return };
        let far = degree(worst.percent, self.rules);
        let reason = self.reason(
            if far >= Degree::Hold { Standing::Hold } else { Standing::Watch },
            "growth-hold",
            format!("{what}; against the birth before, {}", worst.words()),
            worst.value(),
            at,
            if far >= Degree::Hold {
                "be sure it is another tube, and decide with two names: from here on growth counts from its own birth"
            } else {
                "decide: keep or watch; from here on growth counts from its own birth"
            },
        );
        let matter = Matter::decision(reason, Decision::Keep);
        self.matters.push(if far >= Degree::Hold { matter.two_names() } else { matter });
    }
}

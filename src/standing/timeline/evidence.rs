//! What the hands and gauges say, on the timeline: inspections, readings, findings.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::Timeline;
use crate::book::damage::Damage;
use crate::book::details::{FindingRecord, StripRecord};
use crate::book::{Decision, EntryId, Outcome, Phase, Position, Reading, Standing, What, inspection};
use crate::quantity::{Length, Quantity, System, show};
use crate::standing::assessment::{Spot, local_state};
use crate::standing::damage_limits::{self, MetalFamily};
use crate::standing::exceeds;
use crate::standing::growth::{self, Degree, Growth, ReadingsJudged, degree};
use crate::standing::matter::Matter;
use crate::standing::reason::EntryRef;
use crate::strength;

/// What an item found in an inspection asks for, until a finding says more of it.
const SIZE_AND_DECISION: &str = "write a finding with its size, and decide with two names";

/// What the inspections of one firing, or of one day, have answered together.
#[derive(Clone, Debug)]
pub(super) struct Stripped {
    on: NaiveDate,
    firing: Option<EntryId>,
    items: BTreeMap<String, Outcome>,
    stations: Vec<f64>,
    hardness: bool,
}

impl Stripped {
    fn new(record: &StripRecord, at: EntryRef) -> Self {
        Self {
            on: at.on,
            firing: record.firing,
            items: BTreeMap::new(),
            stations: Vec::new(),
            hardness: false,
        }
    }

    /// Whether an inspection goes on with this one: of the same firing, or of none and on the same day.
    fn goes_on(&self, record: &StripRecord, at: EntryRef) -> bool {
        match (self.firing, record.firing) {
            (Some(firing), Some(other)) => firing == other,
            _ => self.on == at.on,
        }
    }

    /// Take in one more: a later answer counts, and what it leaves out keeps the answer it had.
    fn take(&mut self, record: &StripRecord, at: EntryRef) {
        self.on = at.on;
        self.firing = record.firing.or(self.firing);
        let answered = record.items.iter().filter(|it| it.outcome != Outcome::NotMeasured);
        self.items.extend(answered.map(|it| (it.item.clone(), it.outcome)));
        let od = record.readings.iter().filter(|it| it.what == What::OutsideDiameter && it.value.is_some());
        self.stations.extend(od.map(|it| it.station.value.as_mm()));
        self.hardness |= record.readings.iter().any(|it| it.hardness.is_some());
    }

    /// What an item of them came to.
    fn outcome(&self, item: &str) -> Outcome {
        self.items.get(item).copied().unwrap_or(Outcome::NotMeasured)
    }
}

/// What an item of one inspection came to.
fn outcome(record: &StripRecord, item: &str) -> Outcome {
    record.items.iter().find(|it| it.item == item).map_or(Outcome::NotMeasured, |it| it.outcome)
}

impl Timeline<'_> {
    pub(super) fn strip(&mut self, record: &StripRecord, at: EntryRef) {
        let asked = self.awaiting_strip.is_some()
            || self.strip_gaps.is_some()
            || self.stripped.as_ref().is_some_and(|it| it.on == at.on);
        let mut stripped = self
            .stripped
            .take()
            .filter(|it| it.goes_on(record, at))
            .unwrap_or_else(|| Stripped::new(record, at));
        stripped.take(record, at);
        // An inspection of an earlier firing does not stand for a later one.
        if record.firing.is_none()
            || self.awaiting_strip.is_none_or(|awaiting| record.firing == Some(awaiting.id))
        {
            self.awaiting_strip = None;
        }
        self.awaiting_decision.get_or_insert(at);
        self.take_throats(record, at);
        self.ask_about_findings(record, at);
        let mut gaps: Vec<String> = inspection::ITEMS
            .iter()
            .filter(|item| item.required)
            .filter(|item| stripped.outcome(item.id) == Outcome::NotMeasured)
            .map(|item| item.text.to_owned())
            .collect();
        let repeats = record.od_repeatability.as_ref().map(|it| it.value.as_mm());
        let judged = growth::judge(&record.readings, Phase::After, &self.birth, self.rules, repeats, at);
        if self.has_baseline() && growth::blind(self.rules, repeats, self.birth.nominal_mm()) {
            gaps.push(
                "outside diameters with a gauge that repeats well enough to see the growth that matters"
                    .to_owned(),
            );
        }
        if self.has_baseline() && judged.growth.is_empty() && judged.unmatched.is_some() {
            gaps.push("an outside diameter at a station that has a birth reading".to_owned());
        }
        if asked {
            self.ask_for_stations(&stripped, &mut gaps);
        }
        self.ask_for_angles(record, &mut gaps);
        self.ask_for_penetrant(record, &mut gaps);
        if (stripped.outcome("heat") == Outcome::Finding || stripped.outcome("liner") == Outcome::Finding)
            && !stripped.hardness
            && stripped.outcome("hardness") == Outcome::NotMeasured
        {
            gaps.push("hardness at the reference and the suspect point, because heat was found".to_owned());
        }
        self.strip_gaps = (!gaps.is_empty()).then_some((at, gaps));
        self.stripped = Some(stripped);
        if let Some(label) = &record.label_temperature {
            let rule = match self.metal() {
                MetalFamily::Aluminium => "heat-aluminium",
                MetalFamily::Steel => "heat-steel",
            };
            if crate::standing::reaches(label.value.as_celsius(), self.rules.value(rule)) {
                let reason = self.reason(
                    Standing::Hold,
                    rule,
                    "a temperature label shows the wall was over-heated: the rule retires it".to_owned(),
                    format!("{:.0} degC", label.value.as_celsius()),
                    at,
                    "retire it, and make it unusable",
                );
                self.matters.push(Matter::decision(reason, Decision::Retire));
            }
        }
        self.judge_readings(&record.readings, Phase::After, repeats, at);
    }

    /// Growth shows where it is and nowhere else: every station of the birth record is read, in one strip or in
    /// several of one firing.
    fn ask_for_stations(&self, stripped: &Stripped, gaps: &mut Vec<String>) {
        let mut missing: Vec<f64> = Vec::new();
        for station in self.born_at.iter().copied() {
            let near = |other: &f64| (other - station).abs() <= 0.5;
            if !stripped.stations.iter().any(near) && !missing.iter().any(near) {
                missing.push(station);
            }
        }
        missing.sort_by(f64::total_cmp);
        if !missing.is_empty() {
            let named: Vec<String> = missing.iter().map(|it| format!("{it:.0} mm")).collect();
            gaps.push(format!("outside diameters at station {}", named.join(", ")));
        }
    }

    /// A hard landing is measured where it shows: a tape, or two angles, are blind to it.
    fn ask_for_angles(&mut self, record: &StripRecord, gaps: &mut Vec<String>) {
        if self.landed_hard.is_none() {
            return;
        }
        let mut stations: Vec<(f64, usize)> = Vec::new();
        let read = record.readings.iter().filter(|it| it.what == What::OutsideDiameter && it.value.is_some());
        for reading in read.filter(|it| it.clock_deg.is_some()) {
            let station = reading.station.value.as_mm();
            match stations.iter_mut().find(|it| (it.0 - station).abs() <= 0.5) {
                Some(found) => found.1 += 1,
                None => stations.push((station, 1)),
            }
        }
        let asked = self.rules.value("station-angles");
        if !stations.is_empty() && stations.iter().all(|(_, angles)| *angles as f64 >= asked) {
            self.landed_hard = None;
        } else {
            gaps.push(
                "outside diameters at four clock angles at every station, after a hard landing".to_owned(),
            );
        }
    }

    /// Penetrant is due at a weld every so many firings, and anywhere after an over-pressure that asks for it.
    fn ask_for_penetrant(&mut self, record: &StripRecord, gaps: &mut Vec<String>) {
        if matches!(outcome(record, "penetrant"), Outcome::Good | Outcome::Finding) {
            self.penetrant_firings = 0;
            self.penetrant_asked = None;
            return;
        }
        let due = self.welded() && f64::from(self.penetrant_firings) >= self.rules.value("penetrant-every");
        if self.penetrant_asked.is_some() {
            gaps.push("penetrant, because of an over-pressure".to_owned());
        } else if due {
            gaps.push("penetrant at the weld, which is due".to_owned());
        }
    }

    /// The smallest throat read is the one that counts: slag makes the next peak higher.
    fn take_throats(&mut self, record: &StripRecord, at: EntryRef) {
        if let Some(least) = record.throats.iter().map(|throat| throat.si()).reduce(f64::min) {
            self.set_throat(least, at);
        }
    }

    /// The throat of the nozzle part that is fitted now. Slag that narrows it makes the next peak higher.
    pub(super) fn set_throat(&mut self, throat_m: f64, at: EntryRef) {
        for position in [Position::ThroatInsert, Position::NozzleCarrier] {
            if let Some((part, _)) = self.fitted.get(&position)
                && let Some(state) = self.parts.get_mut(part)
                && let Some(before_m) = state.throat_m
            {
                let part = part.clone();
                state.throat_m = Some(throat_m);
                // What it was before slag came on is what it is gauged against until it is clear.
                let clear_m = state.clear_throat_m.unwrap_or(before_m);
                let lost = 100.0 * (1.0 - (throat_m / clear_m).powi(2));
                let shrunk = exceeds(lost, self.rules.value("throat-shrink"));
                state.clear_throat_m = shrunk.then_some(clear_m);
                self.matters
                    .retain(|it| it.reason.rule != "throat-shrink" || it.part.as_ref() != Some(&part));
                if shrunk {
                    let shown = |metres: f64| show(Length::from_si(metres), System::Si);
                    let reason = self.reason(
                        Standing::Hold,
                        "throat-shrink",
                        format!("the throat of {part} is {lost:.1} % smaller in area than it was: slag"),
                        format!("{} after {}", shown(throat_m), shown(clear_m)),
                        at,
                        "clean it and gauge it again (the throats of another strip), or decide on the part",
                    );
                    self.matters.push(Matter::decision(reason, Decision::Keep).of_part(Some(part)));
                }
                return;
            }
        }
    }

    /// An item that came out as a finding is settled by two people, whether or not a finding entry says more.
    fn ask_about_findings(&mut self, record: &StripRecord, at: EntryRef) {
        let found: Vec<&str> = record
            .items
            .iter()
            .filter(|item| item.outcome == Outcome::Finding)
            .map(|item| item.item.as_str())
            .collect();
        if found.is_empty() {
            return;
        }
        if found.contains(&"heat") {
            let reason = self.reason(
                Standing::Hold,
                "heat-proof",
                "the inspection found heat on the wall".to_owned(),
                "1 item".to_owned(),
                at,
                "write a finding with its temperature or hardness, decide with two names, and proof it again (water, never gas)",
            );
            self.matters.push(Matter::decision(reason, Decision::Keep).two_names().and_proof());
        }
        let reason = self.reason(
            Standing::Hold,
            "decision-after-finding",
            format!("the inspection found something at {}", found.join(", ")),
            if found.len() == 1 { "1 item".to_owned() } else { format!("{} items", found.len()) },
            at,
            SIZE_AND_DECISION,
        );
        self.matters.push(Matter::decision(reason, Decision::Keep).two_names());
    }

    pub(super) fn judge_readings(
        &mut self,
        readings: &[Reading],
        phase: Phase,
        repeatability_mm: Option<f64>,
        at: EntryRef,
    ) {
        if self.casing.is_none() {
            return;
        }
        let judged: ReadingsJudged =
            growth::judge(readings, phase, &self.birth, self.rules, repeatability_mm, at);
        for now in &judged.growth {
            self.growth.retain(|it| {
                !((it.station_mm - now.station_mm).abs() <= 0.5 && it.clock_deg == now.clock_deg)
            });
            self.growth.push(now.clone());
        }
        self.growth.sort_by(|a, b| {
            (a.station_mm, a.clock_deg.unwrap_or(-1.0))
                .partial_cmp(&(b.station_mm, b.clock_deg.unwrap_or(-1.0)))
                .unwrap_or(std::cmp::Ordering::Equal)
        });
        for reading in judged.not_believed.clone() {
            let reason = self.reason(
                Standing::Hold,
                "reading-believed",
                "a reading cannot be right: a slip of unit or pen".to_owned(),
                reading,
                at,
                "strike the entry and write the reading again",
            );
            self.matters.push(Matter::decision(reason, Decision::Retire));
        }
        self.judge_growth(&judged, at);
        self.judge_unmatched(&judged, at);
        self.judge_shrink(&judged, at);
        self.judge_ovality(&judged, at);
    }

    fn judge_unmatched(&mut self, judged: &ReadingsJudged, at: EntryRef) {
        let Some((station, _, percent)) = judged.unmatched else { return };
        if degree(percent, self.rules) < Degree::Hold {
            return;
        }
        let reason = self.reason(
            Standing::Hold,
            "growth-hold",
            format!("station {station:.0} mm has no birth reading, and is {percent:.2} % over the largest the tube was born with"),
            format!("{percent:.2} %"),
            at,
            "read a station that has a birth reading; decide with two names, and proof it again (water, never gas)",
        );
        self.matters.push(Matter::decision(reason, Decision::Keep).two_names().and_proof());
    }

    /// A wall does not shrink: a smaller diameter is a slip of the pen, a dent or a flat.
    fn judge_shrink(&mut self, judged: &ReadingsJudged, at: EntryRef) {
        let least = judged.growth.iter().min_by(|a, b| a.percent.total_cmp(&b.percent)).cloned();
        let Some(least) = least.filter(|it| it.percent < 0.0) else { return };
        let far = degree(-least.percent, self.rules);
        let spot = (least.station_mm, least.clock_deg, least.percent);
        let noise = self.rules.value("growth-noise") / least.birth_mm * 100.0;
        let known = self.matters.iter().any(|matter| {
            matter.growth.is_some_and(|(station, clock, percent)| {
                (station - spot.0).abs() <= 0.5
                    && clock == spot.1
                    && percent < 0.0
                    && percent <= spot.2 + noise
                    && degree(-percent, self.rules) >= far
            })
        });
        if known {
            return;
        }
        let held = far >= Degree::Hold;
        let reason = self.reason(
            if held { Standing::Hold } else { Standing::Watch },
            "shrink",
            format!(
                "station {:.0} mm reads smaller than it was born: a slip, a dent or a flat",
                least.station_mm
            ),
            format!("{:+.2} mm, {:.2} %", least.grown_mm(), least.percent),
            at,
            if held {
                "read it again; strike a slip, write a finding for a dent, or decide with two names"
            } else {
                "read it again; strike a slip, write a finding for a dent, or decide: keep or watch"
            },
        );
        let matter = Matter::decision(reason, Decision::Keep);
        let matter = if held { matter.two_names() } else { matter };
        self.matters.push(Matter { growth: Some(spot), ..matter });
    }

    /// Every place by itself: growth that was accepted at one must not hide what another has grown.
    fn judge_growth(&mut self, judged: &ReadingsJudged, at: EntryRef) {
        let mut grown: Vec<&Growth> = judged.growth.iter().collect();
        grown.sort_by(|a, b| a.percent.total_cmp(&b.percent));
        for place in grown.into_iter().rev() {
            self.judge_growth_at(place, at);
        }
    }

    fn judge_growth_at(&mut self, grown: &Growth, at: EntryRef) {
        let far = degree(grown.percent, self.rules);
        let (place, value) = (grown.place(), grown.value());
        let spot = (grown.station_mm, grown.clock_deg, grown.percent);
        // Accepted, or waiting already: the same growth read once more is no other matter.
        let known = |settled: bool| {
            self.matters.iter().any(|matter| {
                matter.settled() == settled
                    && matter.growth.is_some_and(|(station, clock, percent)| {
                        (station - spot.0).abs() <= 0.5
                            && clock == spot.1
                            && spot.2 <= percent + self.rules.value("growth-noise") / grown.birth_mm * 100.0
                            && degree(percent, self.rules) >= far
                    })
            })
        };
        if known(false) {
            return;
        }
        let accepted = known(true);
        let matter = match far {
            Degree::Yielded => Matter::decision(
                self.reason(
                    Standing::Hold,
                    "growth-yield",
                    format!("bulge at {place}: the wall has yielded; the rule retires it"),
                    value,
                    at,
                    "retire it, and make it unusable; look up every casing with the same welder, joint and tube lot",
                ),
                Decision::Retire,
            ),
            Degree::Hold if !accepted => Matter::decision(
                self.reason(
                    Standing::Hold,
                    "growth-hold",
                    format!("growth at {place}"),
                    value,
                    at,
                    "decide with two names, and proof it again (water, never gas)",
                ),
                Decision::Keep,
            )
            .two_names()
            .and_proof(),
            Degree::Seen if !accepted => Matter::decision(
                self.reason(
                    Standing::Watch,
                    "growth-hold",
                    format!("growth at {place}, below the limits"),
                    value,
                    at,
                    "read the same station again after the next firing",
                ),
                Decision::Keep,
            ),
            _ => return,
        };
        self.matters.push(Matter { growth: Some(spot), ..matter });
    }

    fn judge_ovality(&mut self, judged: &ReadingsJudged, at: EntryRef) {
        let Some((percent, station)) = judged.ovality else { return };
        let value = format!("{percent:.2} % at station {station:.0} mm");
        let over = |id: &str| exceeds(percent, self.rules.value(id));
        let matter = if over("ovality-retire") {
            Matter::decision(
                self.reason(
                    Standing::Hold,
                    "ovality-retire",
                    "out of round: the rule retires it".to_owned(),
                    value,
                    at,
                    "retire it, and make it unusable",
                ),
                Decision::Retire,
            )
        } else if over("ovality-hold") {
            Matter::decision(
                self.reason(
                    Standing::Hold,
                    "ovality-hold",
                    "out of round".to_owned(),
                    value,
                    at,
                    "decide, and proof it again (water, never gas)",
                ),
                Decision::Keep,
            )
            .and_proof()
        } else if over("ovality-watch") && self.landed_since_proof {
            Matter::decision(
                self.reason(
                    Standing::Hold,
                    "ovality-watch",
                    "out of round after a hard landing".to_owned(),
                    value,
                    at,
                    "decide with two names, and proof it again (water, never gas)",
                ),
                Decision::Keep,
            )
            .two_names()
            .and_proof()
        } else if over("ovality-watch") {
            Matter::decision(
                self.reason(
                    Standing::Watch,
                    "ovality-watch",
                    "slightly out of round".to_owned(),
                    value,
                    at,
                    "decide: keep or watch",
                ),
                Decision::Keep,
            )
        } else {
            return;
        };
        self.matters.push(matter);
    }

    /// Whether a finding speaks of the tube: of no part by name, or of the tube that is fitted.
    fn of_the_tube(&self, part: Option<&str>) -> bool {
        let is_tube = |part: &str| {
            self.parts
                .get(part)
                .and_then(|state| state.record.as_ref())
                .is_some_and(|record| record.what == Position::Tube)
        };
        part.is_none_or(|part| {
            self.tube_part.as_deref() == Some(part) || (self.tube_part.is_none() && is_tube(part))
        })
    }

    /// The weakest mode of the drawing with the soft and thin places found on it since.
    pub(super) fn find_weakest(&mut self) {
        let Some((record, _)) = &self.casing else { return };
        let local = local_state(&record.design, &self.spots);
        self.weakest = strength::margins(&record.design, None, &local).ok().and_then(|margins| {
            margins.thinnest().map(|mode| (mode.mode.word().to_owned(), mode.yield_pressure_pa.si()))
        });
    }

    pub(super) fn find(&mut self, record: &FindingRecord, at: EntryRef) {
        let design = self.casing.as_ref().map(|(casing, _)| &casing.design);
        let matter = damage_limits::judge(record, design, self.metal(), self.rules, at);
        // The finding that an inspection asked for is written: what is left of it is the decision.
        let asked = |it: &&mut Matter| it.reason.rule == "decision-after-finding" && it.part == record.part;
        for asks in self.matters.iter_mut().filter(asked) {
            if asks.reason.next == SIZE_AND_DECISION {
                asks.reason.next = "decide with two names".to_owned();
            }
        }
        if matter.unmeasured.is_none() {
            let same = |it: &Matter| it.unmeasured == Some(record.damage) && it.part == record.part;
            self.matters.retain(|it| !same(it));
        }
        self.matters.push(matter);
        let design = self.casing.as_ref().map(|(casing, _)| &casing.design);
        let wall_left_m = damage_limits::wall_left_m(record, design);
        if (record.hardness.is_none() && wall_left_m.is_none()) || !self.of_the_tube(record.part.as_deref()) {
            return;
        }
        let beside_weld = design.is_some_and(|design| damage_limits::beside_weld(record, design, self.rules));
        let reference_hardness = record
            .hardness
            .zip(record.percent)
            .filter(|_| matches!(record.damage, Damage::OverHeat | Damage::LinerBreach))
            .filter(|(_, lost)| *lost < 100.0)
            .map(|(hardness, lost)| hardness / (1.0 - lost / 100.0));
        self.spots.push(Spot {
            entry: at,
            place: format!("{}{}", record.damage, damage_limits::place_of(record)),
            station_mm: record.station.as_ref().map(|station| station.value.as_mm()),
            clock_deg: record.clock_deg,
            hardness: record.hardness,
            reference_hardness,
            wall_left_m,
            beside_weld,
        });
        self.find_weakest();
    }
}

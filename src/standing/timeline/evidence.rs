//! What the hands and gauges say, on the timeline: inspections, readings, findings.

use super::Timeline;
use crate::book::damage::Damage;
use crate::book::details::{FindingRecord, StripRecord};
use crate::book::{Decision, Outcome, Standing, inspection};
use crate::quantity::Quantity;
use crate::standing::assessment::{Spot, local_state};
use crate::standing::damage_limits::{self, MetalFamily};
use crate::standing::exceeds;
use crate::standing::growth::{self, Degree, ReadingsJudged, degree};
use crate::standing::matter::Matter;
use crate::standing::reason::EntryRef;
use crate::strength;

impl Timeline<'_> {
    pub(super) fn strip(&mut self, record: &StripRecord, at: EntryRef) {
        self.awaiting_strip = None;
        self.awaiting_decision.get_or_insert(at);
        let gaps: Vec<&'static str> = inspection::ITEMS
            .iter()
            .filter(|item| item.required)
            .filter(|item| {
                record
                    .items
                    .iter()
                    .find(|it| it.item == item.id)
                    .is_none_or(|it| it.outcome == Outcome::NotMeasured)
            })
            .map(|item| item.text)
            .collect();
        self.strip_gaps = (!gaps.is_empty()).then_some((at, gaps));
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
        self.judge_readings(&record.readings, at);
    }

    pub(super) fn judge_readings(&mut self, readings: &[crate::book::Reading], at: EntryRef) {
        if self.casing.is_none() {
            return;
        }
        let judged: ReadingsJudged = growth::judge(readings, &self.birth, self.rules, at);
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
        self.judge_ovality(&judged, at);
    }

    fn judge_growth(&mut self, judged: &ReadingsJudged, at: EntryRef) {
        let Some(worst) = judged.worst().cloned() else { return };
        let far = degree(worst.percent, self.rules);
        let place = format!(
            "station {:.0} mm{}",
            worst.station_mm,
            worst.clock_deg.map_or_else(String::new, |clock| format!(" / {clock:.0} deg"))
        );
        let value = format!(
            "{:+.2} mm, {:.2} % ({:.2} mm to {:.2} mm)",
            worst.grown_mm(),
            worst.percent,
            worst.birth_mm,
            worst.now_mm
        );
        let spot = (worst.station_mm, worst.clock_deg, worst.percent);
        let accepted = self.matters.iter().any(|matter| {
            matter.settled()
                && matter.growth.is_some_and(|(station, clock, percent)| {
                    (station - spot.0).abs() <= 0.5
                        && clock == spot.1
                        && spot.2 <= percent + self.rules.value("growth-noise") / worst.birth_mm * 100.0
                })
        });
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
                    "decide, and proof it again (water, never gas)",
                ),
                Decision::Keep,
            )
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

    /// The weakest mode of the drawing with the soft and thin places found on it since.
    pub(super) fn find_weakest(&mut self) {
        let Some((record, _)) = &self.casing else { return };
        let local = local_state(&record.design, &self.spots);
        self.weakest = strength::margins(&record.design, None, &local).ok().and_then(|margins| {
            margins.thinnest().map(|mode| (mode.mode.word().to_owned(), mode.yield_pressure_pa.si()))
        });
    }

    pub(super) fn find(&mut self, record: &FindingRecord, at: EntryRef) {
        self.matters.push(damage_limits::judge(record, self.metal(), self.rules, at));
        if record.hardness.is_none() && record.wall_left.is_none() {
            return;
        }
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
            hardness: record.hardness,
            reference_hardness,
            wall_left_m: record.wall_left.as_ref().map(|wall| wall.si()),
        });
        self.find_weakest();
    }
}

//! A casing's history, walked in the order things happened.

use std::collections::BTreeMap;

use chrono::{Months, NaiveDate};

use super::assessment::{Breach, Spot, local_state};
use super::damage_limits::{self, MetalFamily};
use super::growth::{Birth, Degree, Growth, ReadingsJudged, degree};
use super::matter::{Matter, PassingProof};
use super::reason::{EntryRef, Reason};
use super::rules::RuleSet;
use super::{exceeds, growth, proofs};
use crate::book::damage::Damage;
use crate::book::details::{
    CasingRecord, DispositionRecord, FindingRecord, FiringRecord, FitRecord, PartRecord, ProofRecord,
    StripRecord,
};
use crate::book::{
    Decision, Details, Entry, Event, FitAction, Landing, Outcome, Position, Standing, inspection,
};
use crate::quantity::{GaugePressure, Quantity, STANDARD_ATMOSPHERE_PA, System, show};
use crate::strength;

/// A restriction in force.
#[derive(Clone, Debug, PartialEq)]
pub struct Restriction {
    /// The decision.
    pub entry: EntryRef,
    /// What was decided.
    pub record: DispositionRecord,
}

/// A part as it is known at a moment.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PartState {
    /// Its record.
    pub record: Option<PartRecord>,
    /// Firings it has seen, those before the book included.
    pub firings: u32,
    /// Proofs it has seen.
    pub proofs: u32,
    /// Where it was put last, throat included.
    pub throat_m: Option<f64>,
    /// Whether it is retired, and by which entry.
    pub retired: Option<EntryRef>,
}

/// Everything the walk knows at one moment.
#[derive(Clone, Debug)]
pub struct Timeline<'a> {
    rules: &'a RuleSet,
    serial: &'a str,
    /// The casing's record in force, and its entry.
    pub casing: Option<(CasingRecord, EntryRef)>,
    /// The weakest mode of the casing on paper: words, yield pressure in pascals.
    pub weakest: Option<(String, f64)>,
    birth: Birth,
    /// The parts fitted now.
    pub fitted: BTreeMap<Position, (String, EntryRef)>,
    /// Every part met.
    pub parts: BTreeMap<String, PartState>,
    /// The last passing proof.
    pub proof: Option<PassingProof>,
    /// Passing and failed proofs.
    pub proofs: u32,
    /// Why the build is another than the one proved, where it is.
    pub build_changed: Option<(EntryRef, String)>,
    /// What is not settled.
    pub matters: Vec<Matter>,
    awaiting_strip: Option<EntryRef>,
    strip_gaps: Option<(EntryRef, Vec<&'static str>)>,
    awaiting_decision: Option<EntryRef>,
    /// The restriction in force.
    pub restriction: Option<Restriction>,
    watch: Option<(EntryRef, DispositionRecord)>,
    held: Option<(EntryRef, DispositionRecord)>,
    /// The retirement, where there is one.
    pub retired: Option<(EntryRef, DispositionRecord)>,
    /// Firings of this casing.
    pub firings: u32,
    /// The peak of every firing and proof, pascals above the atmosphere; MEOP where it was not measured.
    pub cycles: Vec<f64>,
    /// The highest peak, pascals above the atmosphere, and its firing.
    pub highest_peak: Option<(f64, EntryRef)>,
    /// Firings that the record forbade.
    pub breaches: Vec<Breach>,
    /// Places on record as soft or thin.
    pub spots: Vec<Spot>,
    /// The last growth reading at each station and angle.
    pub growth: Vec<Growth>,
    /// Things every later page must say.
    pub flags: Vec<String>,
    last_firing: Option<EntryRef>,
}

impl<'a> Timeline<'a> {
    /// Before anything happened.
    pub fn new(serial: &'a str, rules: &'a RuleSet) -> Self {
        Self {
            rules,
            serial,
            casing: None,
            weakest: None,
            birth: Birth::default(),
            fitted: BTreeMap::new(),
            parts: BTreeMap::new(),
            proof: None,
            proofs: 0,
            build_changed: None,
            matters: Vec::new(),
            awaiting_strip: None,
            strip_gaps: None,
            awaiting_decision: None,
            restriction: None,
            watch: None,
            held: None,
            retired: None,
            firings: 0,
            cycles: Vec::new(),
            highest_peak: None,
            breaches: Vec::new(),
            spots: Vec::new(),
            growth: Vec::new(),
            flags: Vec::new(),
            last_firing: None,
        }
    }

    fn metal(&self) -> MetalFamily {
        self.casing
            .as_ref()
            .map_or(MetalFamily::Aluminium, |(casing, _)| MetalFamily::of(&casing.design.tube.material))
    }

    fn welded(&self) -> bool {
        use crate::design::EndKind::WeldedPlug;
        self.casing.as_ref().is_some_and(|(casing, _)| {
            casing.design.forward.kind == WeldedPlug || casing.design.aft.kind == WeldedPlug
        })
    }

    /// The MEOP in force in pascals above the atmosphere: the drawing's, or the restriction's where lower.
    pub fn meop_pa(&self) -> Option<f64> {
        let drawing = self.casing.as_ref().map(|(casing, _)| casing.design.service.meop.si())?;
        let restricted =
            self.restriction.as_ref().and_then(|it| it.record.meop.as_ref()).map(|meop| meop.si());
        Some(restricted.map_or(drawing, |restricted| restricted.min(drawing)))
    }

    /// Firings a proof is good for as things stand, and the rule that says so.
    pub fn proof_firings(&self) -> (u32, &'static str) {
        let (rule, value) = if let Some(restriction) = &self.restriction {
            ("proof-firings-restricted", restriction.record.proof_every.map(f64::from))
        } else if self.welded() {
            ("proof-firings-welded", None)
        } else {
            ("proof-firings", None)
        };
        let by_rule = value.unwrap_or_else(|| self.rules.value(rule));
        let watched =
            self.watch.as_ref().and_then(|(_, record)| record.proof_every).map_or(f64::INFINITY, f64::from);
        (by_rule.min(watched).max(0.0) as u32, rule)
    }

    /// The last day the last proof is good for.
    pub fn proof_until(&self) -> Option<NaiveDate> {
        let proof = self.proof.as_ref()?;
        let months = self.rules.value("proof-months").clamp(0.0, 1200.0) as u32;
        proof.entry.on.checked_add_months(Months::new(months))
    }

    fn reason(
        &self,
        standing: Standing,
        rule: &str,
        text: String,
        value: String,
        entry: EntryRef,
        next: &str,
    ) -> Reason {
        Reason {
            standing,
            rule: rule.to_owned(),
            text,
            value,
            limit: self.rules.says(rule),
            source: self.rules.source(rule),
            entry: Some(entry),
            from: None,
            next: next.to_owned(),
        }
    }

    /// Take in the next entry. Struck entries are never handed in.
    pub fn take(&mut self, entry: &Entry) {
        let at = EntryRef::from(entry);
        let second = entry.entry.second.is_some();
        match &entry.entry.details {
            Details::Casing(record) if record.serial == self.serial => self.register(record, at),
            Details::Part(record) => {
                let state = self.parts.entry(record.serial.clone()).or_default();
                state.firings += record.firings_before;
                state.throat_m = record.throat.as_ref().map(|throat| throat.si());
                state.record = Some((**record).clone());
            }
            Details::Fit(record) => self.fit(record, at),
            Details::Proof(record) => self.press(record, second, at),
            Details::Firing(record) => self.fire(record, at),
            Details::Strip(record) if record.casing == self.serial => self.strip(record, at),
            Details::Finding(record)
                if record.casing.as_deref().is_none_or(|casing| casing == self.serial) =>
            {
                self.find(record, at);
            }
            Details::Disposition(record) => self.decide(record, second, at),
            Details::Note(record) => {
                if let Some(event) = record.event {
                    self.happen(event, record.part.as_deref(), at);
                }
            }
            Details::Strike(record) if record.lifts_retirement => {
                self.flags.push(format!(
                    "a retirement was struck on {} by {} with {} (entry {}): {}",
                    entry.entry.happened_on,
                    entry.entry.recorded_by,
                    entry.entry.second.as_deref().unwrap_or("nobody"),
                    entry.number,
                    record.reason
                ));
            }
            _ => {}
        }
    }

    fn register(&mut self, record: &CasingRecord, at: EntryRef) {
        let changed = self.casing.as_ref().is_some_and(|(before, _)| before.design != record.design);
        if changed {
            self.build_changed =
                Some((at, format!("revision {} changed the drawing on {}", record.revision, at.on)));
        }
        if self.casing.is_none() || changed {
            self.birth = Birth::new(record.design.tube.od.value.as_mm(), &record.readings);
        } else {
            self.birth.learn(&record.readings);
        }
        self.casing = Some((record.clone(), at));
        self.find_weakest();
    }

    /// The weakest mode of the drawing with the soft and thin places found on it since.
    fn find_weakest(&mut self) {
        let Some((record, _)) = &self.casing else { return };
        let local = local_state(&record.design, &self.spots);
        self.weakest = strength::margins(&record.design, None, &local).ok().and_then(|margins| {
            margins.thinnest().map(|mode| (mode.mode.word().to_owned(), mode.yield_pressure_pa.si()))
        });
    }

    fn find(&mut self, record: &FindingRecord, at: EntryRef) {
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

    fn fit(&mut self, record: &FitRecord, at: EntryRef) {
        let here = record.casing == self.serial;
        match record.action {
            FitAction::Fitted if here => {
                let another = self.fitted.get(&record.position).is_some_and(|(part, _)| *part != record.part);
                let first = !self.fitted.contains_key(&record.position);
                self.fitted.insert(record.position, (record.part.clone(), at));
                // The first part named for a position before any proof describes the build; later it changes it.
                if record.position.holds_pressure() && (another || (first && self.proof.is_some())) {
                    self.build_changed =
                        Some((at, format!("{} {} was fitted on {}", record.position, record.part, at.on)));
                }
                if let (Some(throat), Some(state)) = (&record.throat, self.parts.get_mut(&record.part)) {
                    state.throat_m = Some(throat.si());
                }
            }
            FitAction::Removed if here => {
                if self.fitted.get(&record.position).is_some_and(|(part, _)| *part == record.part) {
                    self.fitted.remove(&record.position);
                    if record.position.holds_pressure() {
                        self.build_changed = Some((
                            at,
                            format!("{} {} was taken out on {}", record.position, record.part, at.on),
                        ));
                    }
                }
            }
            // Fitted elsewhere: a part is in one place at a time.
            FitAction::Fitted => {
                let gone: Vec<Position> = self
                    .fitted
                    .iter()
                    .filter(|(_, (part, _))| *part == record.part)
                    .map(|(position, _)| *position)
                    .collect();
                for position in gone {
                    self.fitted.remove(&position);
                    if position.holds_pressure() {
                        self.build_changed = Some((
                            at,
                            format!("{position} {} went to {} on {}", record.part, record.casing, at.on),
                        ));
                    }
                }
            }
            FitAction::Removed => {}
        }
    }

    fn press(&mut self, record: &ProofRecord, second: bool, at: EntryRef) {
        for part in &record.parts {
            self.parts.entry(part.part.clone()).or_default().proofs += 1;
        }
        if record.casing != self.serial {
            return;
        }
        self.proofs += 1;
        self.cycles.push(record.pressure.si());
        let Some((casing, _)) = &self.casing else { return };
        let lines = proofs::judge(record, second, &casing.design, self.rules);
        let failed: Vec<_> = lines.iter().filter(|line| !line.met).cloned().collect();
        if failed.is_empty() {
            self.proof =
                Some(PassingProof { entry: at, pressure_pa: record.pressure.si(), firings_since: 0 });
            self.build_changed = None;
            for matter in &mut self.matters {
                matter.prove();
            }
            self.settle();
        } else {
            for line in failed {
                let next = if line.condemns {
                    "retire it, and make it unusable"
                } else {
                    "find out why, decide, and proof it again (water, never gas)"
                };
                let reason = self.reason(
                    Standing::Hold,
                    line.rule,
                    format!("the proof of {} did not pass: {}", at.on, line.text),
                    line.value.clone(),
                    at,
                    next,
                );
                let matter = if line.condemns {
                    Matter::decision(reason, Decision::Retire)
                } else {
                    Matter::proof(Reason { standing: Standing::Overdue, ..reason })
                };
                self.matters.push(matter);
            }
        }
        self.birth.learn(&record.readings);
        self.judge_readings(&record.readings, at);
    }

    fn fire(&mut self, record: &FiringRecord, at: EntryRef) {
        for part in &record.parts {
            self.parts.entry(part.part.clone()).or_default().firings += 1;
        }
        if record.casing != self.serial {
            return;
        }
        let mut forbidding: Vec<Reason> =
            self.reasons().into_iter().filter(|it| it.standing.forbids() && it.counts_on(at.on)).collect();
        forbidding.extend(
            self.against_restriction(record.load.as_deref(), record.planned_peak.as_ref().map(|it| it.si())),
        );
        if !forbidding.is_empty() || record.breach.is_some() {
            self.breaches.push(Breach {
                firing: at,
                number: self.firings + 1,
                reason: record.breach.as_ref().map(|breach| breach.reason.clone()),
                forbidden_by: forbidding,
            });
        }
        self.firings += 1;
        let peak = record.peak_pressure.as_ref().map(|peak| peak.si() - STANDARD_ATMOSPHERE_PA);
        self.cycles.extend(peak.or_else(|| self.meop_pa()).filter(|peak| *peak > 0.0));
        if let Some(proof) = &mut self.proof {
            proof.firings_since += 1;
        }
        self.last_firing = Some(at);
        self.awaiting_strip = Some(at);
        self.awaiting_decision = Some(at);
        self.strip_gaps = None;
        if let Some(peak) = &record.peak_pressure {
            self.judge_peak(peak.si(), record.planned_peak.as_ref().map(|it| it.si()), at);
        }
        match record.landing {
            Some(Landing::Hard) => {
                let reason = self.reason(
                    Standing::Hold,
                    "hard-landing",
                    format!("the landing of {} was hard", at.on),
                    "hard landing".to_owned(),
                    at,
                    "measure it at four clock angles, write the strip, and decide with two names",
                );
                self.matters.push(Matter::decision(reason, Decision::Keep).two_names());
            }
            Some(Landing::Lost) => {
                let reason = self.reason(
                    Standing::Hold,
                    "hard-landing",
                    format!("it was not found after the flight of {}", at.on),
                    "lost".to_owned(),
                    at,
                    "find it, inspect it, and decide with two names",
                );
                self.matters.push(Matter::decision(reason, Decision::Keep).two_names());
            }
            _ => {}
        }
    }

    /// Reasons a restriction has against a load.
    pub fn against_restriction(&self, load: Option<&str>, planned_absolute_pa: Option<f64>) -> Vec<Reason> {
        let Some(restriction) = &self.restriction else { return Vec::new() };
        let mut reasons = Vec::new();
        if let Some(load) = load
            && !restriction.record.loads.is_empty()
            && !restriction.record.loads.iter().any(|allowed| allowed == load)
        {
            reasons.push(Reason {
                limit: format!("only {}", restriction.record.loads.join(", ")),
                ..self.reason(
                    Standing::Restricted,
                    "restriction",
                    format!("it is restricted to {}", restriction.record.loads.join(", ")),
                    load.to_owned(),
                    restriction.entry,
                    "choose an allowed load",
                )
            });
        }
        if let (Some(meop), Some(planned)) = (&restriction.record.meop, planned_absolute_pa) {
            let gauge = planned - STANDARD_ATMOSPHERE_PA;
            if exceeds(gauge, meop.si()) {
                reasons.push(Reason {
                    limit: format!("MEOP {}", show(meop.value, System::Si)),
                    ..self.reason(
                        Standing::Restricted,
                        "restriction",
                        format!("it is restricted to a MEOP of {}", show(meop.value, System::Si)),
                        format!("planned peak {} gauge", show(GaugePressure::from_si(gauge), System::Si)),
                        restriction.entry,
                        "choose a load that stays under it",
                    )
                });
            }
        }
        reasons
    }

    fn judge_peak(&mut self, peak_absolute_pa: f64, planned_absolute_pa: Option<f64>, at: EntryRef) {
        let peak = peak_absolute_pa - STANDARD_ATMOSPHERE_PA;
        if self.highest_peak.as_ref().is_none_or(|(highest, _)| peak > *highest) {
            self.highest_peak = Some((peak, at));
        }
        let shown = |pascals: f64| show(GaugePressure::from_si(pascals), System::Si);
        let rules = self.rules;
        let share = |limit: &str, of: f64| rules.value(limit) / 100.0 * of;
        let mut found: Vec<Matter> = Vec::new();
        if let Some((mode, yields)) = &self.weakest
            && exceeds(peak, share("peak-share-of-yield", *yields))
        {
            found.push(
                Matter::decision(
                    self.reason(
                        Standing::Hold,
                        "peak-share-of-yield",
                        format!("the peak reached {:.0} % of what the {mode} yields at", 100.0 * peak / yields),
                        format!("{} gauge; yields at {}", shown(peak), shown(*yields)),
                        at,
                        "map the stations, penetrant; proof only if nothing grew by 0.1 %, else retire; two names",
                    ),
                    Decision::Keep,
                )
                .and_proof()
                .two_names(),
            );
        }
        if let Some(proof) = &self.proof {
            if exceeds(peak, share("peak-over-proof", proof.pressure_pa)) {
                found.push(
                    Matter::decision(
                        self.reason(
                            Standing::Hold,
                            "peak-over-proof",
                            "the peak went over the proof pressure".to_owned(),
                            format!("{} gauge; proof {}", shown(peak), shown(proof.pressure_pa)),
                            at,
                            "map the stations, penetrant; proof only if nothing grew by 0.1 %, else retire; two names",
                        ),
                        Decision::Keep,
                    )
                    .and_proof()
                    .two_names(),
                );
            } else if exceeds(peak, share("peak-share-of-proof", proof.pressure_pa)) {
                found.push(Matter::proof(self.reason(
                    Standing::Overdue,
                    "peak-share-of-proof",
                    format!(
                        "the peak came to {:.0} % of the proof pressure",
                        100.0 * peak / proof.pressure_pa
                    ),
                    format!("{} gauge; proof {}", shown(peak), shown(proof.pressure_pa)),
                    at,
                    "proof it again (water, never gas)",
                )));
            }
        }
        if let Some(planned) = planned_absolute_pa {
            let ratio = peak_absolute_pa / planned;
            let value = format!("{ratio:.2} of the plan");
            if exceeds(ratio, rules.value("peak-far-over-plan")) {
                found.push(
                    Matter::decision(
                        self.reason(
                            Standing::Hold,
                            "peak-far-over-plan",
                            format!("the peak came to {ratio:.2} times the plan"),
                            value,
                            at,
                            "full inspection, second inspector, and correct the load model before the next",
                        ),
                        Decision::Keep,
                    )
                    .two_names(),
                );
            } else if exceeds(ratio, rules.value("peak-over-plan")) {
                found.push(Matter::decision(
                    self.reason(
                        Standing::Hold,
                        "peak-over-plan",
                        format!("the peak came to {ratio:.2} times the plan"),
                        value,
                        at,
                        "check throat, grain sheet and batch, and decide",
                    ),
                    Decision::Keep,
                ));
            } else if ratio < rules.value("peak-under-plan") {
                found.push(Matter::decision(
                    self.reason(
                        Standing::Hold,
                        "peak-under-plan",
                        format!("the peak came to only {ratio:.2} of the plan"),
                        value,
                        at,
                        "look for a leak, a breach, a cracked or lost nozzle, unburnt grain; then decide",
                    ),
                    Decision::Keep,
                ));
            }
        }
        if let Some(meop) = self.meop_pa()
            && exceeds(peak, share("peak-over-meop", meop))
        {
            found.push(Matter::decision(
                self.reason(
                    Standing::Hold,
                    "peak-over-meop",
                    "the peak went over MEOP".to_owned(),
                    format!("{} gauge; MEOP {}", shown(peak), shown(meop)),
                    at,
                    "check throat, grain sheet and batch; read the stations; decide",
                ),
                Decision::Keep,
            ));
        }
        self.matters.extend(found);
    }

    fn strip(&mut self, record: &StripRecord, at: EntryRef) {
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
            if super::reaches(label.value.as_celsius(), self.rules.value(rule)) {
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

    fn judge_readings(&mut self, readings: &[crate::book::Reading], at: EntryRef) {
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

    fn decide(&mut self, record: &DispositionRecord, second: bool, at: EntryRef) {
        if let Some(part) = &record.part {
            let state = self.parts.entry(part.clone()).or_default();
            match record.decision {
                Decision::Retire => state.retired = Some(at),
                decision => {
                    for matter in self.matters.iter_mut().filter(|it| it.part.as_deref() == Some(part)) {
                        matter.decide(decision, second);
                    }
                    self.settle();
                    if decision == Decision::Hold {
                        let reason = self.reason(
                            Standing::Hold,
                            "disposition",
                            format!("{part} is on hold: {}", record.reason),
                            "hold".to_owned(),
                            at,
                            "decide on the part, or fit another",
                        );
                        self.matters
                            .push(Matter::decision(reason, Decision::Keep).of_part(Some(part.clone())));
                    }
                }
            }
            return;
        }
        if record.casing.as_deref() != Some(self.serial) {
            return;
        }
        if record.decision != Decision::Hold {
            self.awaiting_decision = None;
            self.held = None;
        }
        if record.lifts_restriction && second {
            self.restriction = None;
        }
        match record.decision {
            Decision::Retire => {
                self.retired = Some((at, record.clone()));
                return;
            }
            Decision::Hold => self.held = Some((at, record.clone())),
            Decision::Watch => self.watch = Some((at, record.clone())),
            Decision::Keep => self.watch = None,
            Decision::Restrict => {
                self.restriction = Some(Restriction { entry: at, record: record.clone() });
                self.watch = None;
            }
            Decision::Repair => {
                self.build_changed = Some((at, format!("it was sent for repair on {}", at.on)));
            }
        }
        for matter in self.matters.iter_mut().filter(|it| it.part.is_none()) {
            matter.decide(record.decision, second);
        }
        self.settle();
    }

    fn happen(&mut self, event: Event, part: Option<&str>, at: EntryRef) {
        let rule = if event == Event::Heat { "heat-proof" } else { "event-proof" };
        let reason = self.reason(
            Standing::Overdue,
            rule,
            format!("{event} on {}: a new proof is due", at.on),
            event.word().to_owned(),
            at,
            "proof it again (water, never gas)",
        );
        self.matters.push(Matter::proof(reason).of_part(part.map(str::to_owned)));
    }

    /// Forget what is settled, except growth that was accepted, which later readings are held against.
    fn settle(&mut self) {
        self.matters.retain(|matter| !matter.settled() || matter.growth.is_some());
    }

    /// Every reason as things stand now, worst first; reasons that begin on a later day carry that day.
    pub fn reasons(&self) -> Vec<Reason> {
        super::assessment::reasons(self)
    }

    /// What the last firing or strip still waits for.
    pub(super) fn waiting(&self) -> Vec<Reason> {
        let mut reasons = Vec::new();
        if let Some(firing) = self.awaiting_strip {
            reasons.push(self.reason(
                Standing::Hold,
                "strip-after-firing",
                format!("the firing of {} has had no inspection", firing.on),
                "no inspection".to_owned(),
                firing,
                "strip it, inspect it, write the strip",
            ));
        }
        if let Some((strip, gaps)) = &self.strip_gaps {
            reasons.push(self.reason(
                Standing::Hold,
                "strip-after-firing",
                format!("the inspection of {} left out: {}", strip.on, gaps.join("; ")),
                "not measured".to_owned(),
                *strip,
                "measure what is missing and write another strip",
            ));
        }
        if let (Some(cause), None) = (self.awaiting_decision, self.awaiting_strip) {
            reasons.push(self.reason(
                Standing::Hold,
                "decision-after-strip",
                format!("nobody has decided since {}", cause.on),
                "no decision".to_owned(),
                cause,
                "decide: keep, watch, restrict, repair, hold or retire",
            ));
        }
        reasons
    }

    pub(super) fn decided(&self) -> Vec<Reason> {
        let mut reasons = Vec::new();
        if let Some((at, record)) = &self.retired {
            let unusable = record.made_unusable.as_ref().map_or_else(String::new, |how| format!(" ({how})"));
            reasons.push(self.reason(
                Standing::Retired,
                "retirement",
                format!("retired on {}{unusable}: {}", at.on, record.reason),
                "retired".to_owned(),
                *at,
                "nothing: it stays retired; release its parts one by one",
            ));
        }
        if let Some((at, record)) = &self.held {
            reasons.push(self.reason(
                Standing::Hold,
                "disposition",
                format!("on hold since {}: {}", at.on, record.reason),
                "hold".to_owned(),
                *at,
                "settle it and decide again",
            ));
        }
        if let Some((at, record)) = &self.watch {
            let mut text = format!("watched since {}: {}", at.on, record.reason);
            if let Some(checks) = &record.extra_checks {
                text.push_str(&format!("; every firing: {checks}"));
            }
            reasons.push(self.reason(
                Standing::Watch,
                "disposition",
                text,
                "watch".to_owned(),
                *at,
                "the extra check",
            ));
        }
        if let Some(restriction) = &self.restriction {
            reasons.extend(self.restriction_reasons(restriction));
        }
        reasons
    }

    fn restriction_reasons(&self, restriction: &Restriction) -> Vec<Reason> {
        let record = &restriction.record;
        let mut terms = Vec::new();
        if let Some(meop) = &record.meop {
            terms.push(format!("MEOP {}", show(meop.value, System::Si)));
        }
        if !record.loads.is_empty() {
            terms.push(format!("only {}", record.loads.join(", ")));
        }
        if let Some(every) = record.proof_every {
            terms.push(format!("proof every {every} firings"));
        }
        if let Some(factor) = record.standoff_multiplier {
            terms.push(format!("{factor} x distance"));
        }
        if let Some(checks) = &record.extra_checks {
            terms.push(checks.clone());
        }
        let mut reasons = vec![Reason {
            limit: terms.join("; "),
            ..self.reason(
                Standing::Restricted,
                "restriction",
                format!("restricted on {}: {}", restriction.entry.on, record.reason),
                terms.join("; "),
                restriction.entry,
                "stay within it; lift it with two names",
            )
        }];
        if let Some(ends) = record.expires {
            reasons.push(Reason {
                from: ends.succ_opt(),
                ..self.reason(
                    Standing::Hold,
                    "restriction",
                    format!("the restriction ended on {ends}"),
                    format!("ended {ends}"),
                    restriction.entry,
                    "decide again",
                )
            });
        }
        reasons
    }

    pub(super) fn rules(&self) -> &'a RuleSet {
        self.rules
    }

    pub(super) fn has_baseline(&self) -> bool {
        !self.birth.is_empty()
    }
}

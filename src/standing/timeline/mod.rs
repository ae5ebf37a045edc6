//! A casing's history, walked in the order things happened.

mod decision;
mod evidence;
mod firing;
mod released;
mod struck;
mod tube;

use evidence::Stripped;
pub use released::{Bound, bound};
use struck::CrossedOut;
pub use tube::another as another_tube;

use std::collections::BTreeMap;

use chrono::{Months, NaiveDate};

use super::assessment::{Breach, Spot};
use super::damage_limits::MetalFamily;
use super::growth::{Birth, Growth};
use super::matter::{FailedProof, Matter, PassingProof, Proved};
use super::proofs;
use super::reason::{EntryRef, Reason};
use super::reasons_of::Wanted;
use super::rules::RuleSet;
use crate::book::details::{
    CasingRecord, DispositionRecord, FitRecord, PartRecord, ProofRecord, StripRecord,
};
use crate::book::{Decision, Details, Entry, EntryId, Event, FitAction, Phase, Position, Standing};

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
    /// Its throat before slag narrowed it, while it is narrowed.
    pub clear_throat_m: Option<f64>,
    /// Whether it is retired, and by which entry.
    pub retired: Option<EntryRef>,
    /// Where it was put last, in whichever casing.
    pub home: Option<String>,
    /// The retired casing it belongs to and was not released from since, and that casing's retirement.
    pub bound: Option<(String, EntryRef)>,
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
    /// The stations read at birth, in millimetres: of this tube, in every record of it.
    born_at: Vec<f64>,
    /// The tube part fitted last.
    tube_part: Option<String>,
    /// The parts fitted now.
    pub fitted: BTreeMap<Position, (String, EntryRef)>,
    /// Places that held a part and hold none now.
    pub emptied: BTreeMap<Position, EntryRef>,
    /// Firings as they were judged.
    fired: Vec<firing::Fired>,
    /// Every part met.
    pub parts: BTreeMap<String, PartState>,
    /// The last passing proof.
    pub proof: Option<PassingProof>,
    /// Passing and failed proofs.
    pub proofs: u32,
    /// Proofs dated before the casing was registered: there was no drawing to judge them by.
    pub proofs_before_birth: Vec<EntryRef>,
    /// Why the build is another than the one proved, where it is.
    pub build_changed: Option<(EntryRef, String)>,
    /// What is not settled.
    pub matters: Vec<Matter>,
    awaiting_strip: Option<EntryRef>,
    strip_gaps: Option<(EntryRef, Vec<String>)>,
    /// What the inspections since the last firing, or of one day, have answered together.
    stripped: Option<Stripped>,
    /// Firings whose peak nobody knows, since the last passing proof.
    peak_unknown: Vec<EntryRef>,
    /// The last day the calibration of each gauge is good for.
    gauges_due: BTreeMap<String, Option<NaiveDate>>,
    awaiting_decision: Option<EntryRef>,
    /// The hard landing whose roundness nobody has read at enough angles yet.
    landed_hard: Option<EntryRef>,
    /// Whether it has landed hard since the last passing proof.
    landed_since_proof: bool,
    /// Firings since the last penetrant, and the over-pressure that asked for one.
    penetrant_firings: u32,
    penetrant_asked: Option<EntryRef>,
    /// The repair that was decided and is not on record as done.
    repairing: Option<EntryRef>,
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
    /// What was crossed out, by its identity.
    crossed_out: BTreeMap<EntryId, CrossedOut>,
    /// Which entry each one that was written again has become.
    pub corrected: BTreeMap<EntryId, EntryId>,
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
            born_at: Vec::new(),
            tube_part: None,
            fitted: BTreeMap::new(),
            emptied: BTreeMap::new(),
            fired: Vec::new(),
            parts: BTreeMap::new(),
            proof: None,
            proofs: 0,
            proofs_before_birth: Vec::new(),
            build_changed: None,
            matters: Vec::new(),
            awaiting_strip: None,
            strip_gaps: None,
            stripped: None,
            peak_unknown: Vec::new(),
            gauges_due: BTreeMap::new(),
            awaiting_decision: None,
            landed_hard: None,
            landed_since_proof: false,
            penetrant_firings: 0,
            penetrant_asked: None,
            repairing: None,
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
            crossed_out: BTreeMap::new(),
            corrected: BTreeMap::new(),
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
        let built = if self.welded() { "proof-firings-welded" } else { "proof-firings" };
        let as_built = (self.rules.value(built), built);
        let (by_rule, rule) = match &self.restriction {
            // A restriction takes firings away; whatever it says, it gives none.
            Some(restriction) => {
                let rule = "proof-firings-restricted";
                let said = restriction.record.proof_every.map(f64::from);
                let restricted = (said.unwrap_or_else(|| self.rules.value(rule)), rule);
                if as_built.0 < restricted.0 { as_built } else { restricted }
            }
            None => as_built,
        };
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
                state.clear_throat_m = None;
                state.record = Some((**record).clone());
            }
            Details::Fit(record) => {
                self.move_part(record, second);
                self.fit(record, at);
            }
            Details::Gauge(record) => {
                self.gauges_due.insert(record.serial.clone(), record.calibration_due);
            }
            Details::Proof(record) => self.press(record, second, at),
            Details::Firing(record) => self.fire(record, at),
            Details::Trace(record) if record.casing == self.serial => self.trace(record, at),
            Details::Strip(record) if record.casing == self.serial => {
                // An inspection of a firing stays one of it where the firing is put right.
                let firing = record.firing.map(|firing| *self.corrected.get(&firing).unwrap_or(&firing));
                if firing == record.firing {
                    self.strip(record, at);
                } else {
                    self.strip(&StripRecord { firing, ..StripRecord::clone(record) }, at);
                }
            }
            Details::Finding(record)
                if record.casing.as_deref().is_none_or(|casing| casing == self.serial) =>
            {
                self.find(record, at);
            }
            Details::Disposition(record) => self.decide(record, second, at),
            Details::Note(record) => {
                if let Some(event) = record.event {
                    if event == Event::Machining && self.repairing.take().is_some() {
                        self.build_changed = Some((at, format!("it was repaired on {}", at.on)));
                    }
                    self.happen(event, record.part.as_deref(), at);
                }
            }
            Details::Strike(record) if record.lifts_retirement || record.eases => self.struck(record, entry),
            _ => {}
        }
    }

    fn fit(&mut self, record: &FitRecord, at: EntryRef) {
        let here = record.casing == self.serial;
        match record.action {
            FitAction::Fitted if here => {
                if record.position == Position::Tube {
                    self.fit_tube(&record.part, at);
                }
                let another = self.fitted.get(&record.position).is_some_and(|(part, _)| *part != record.part);
                let first = !self.fitted.contains_key(&record.position);
                self.fitted.insert(record.position, (record.part.clone(), at));
                self.emptied.remove(&record.position);
                // The first part named for a position before any proof describes the build; later it changes it.
                if record.position.holds_pressure() && (another || (first && self.proof.is_some())) {
                    self.build_changed =
                        Some((at, format!("{} {} was fitted on {}", record.position, record.part, at.on)));
                }
                if let (Some(throat), Some(state)) = (&record.throat, self.parts.get_mut(&record.part)) {
                    state.throat_m = Some(throat.si());
                    state.clear_throat_m = None;
                }
            }
            FitAction::Removed if here => {
                if self.fitted.get(&record.position).is_some_and(|(part, _)| *part == record.part) {
                    self.fitted.remove(&record.position);
                    self.emptied.insert(record.position, at);
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
                    self.emptied.insert(position, at);
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
        let Some((casing, _)) = &self.casing else {
            self.proofs_before_birth.push(at);
            return;
        };
        let lines = proofs::judge(record, second, &casing.design, self.rules);
        let failed: Vec<_> = lines.iter().filter(|line| !line.met).cloned().collect();
        if failed.is_empty() {
            self.pass(record, at);
        } else {
            let stations_mm: Vec<f64> = failed.iter().filter_map(|line| line.station_mm).collect();
            for line in failed {
                let next = if line.condemns {
                    "retire it, and make it unusable"
                } else if line.unshown {
                    "proof it again (water, never gas) with everything read; strike a slip of the pen"
                } else {
                    "find out why, decide with two names, and proof it again (water, never gas); strike a slip of the pen"
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
                } else if line.unshown {
                    Matter::proof(reason)
                } else {
                    let again = FailedProof { stations_mm: stations_mm.clone() };
                    Matter {
                        failed: Some(again),
                        ..Matter::decision(reason, Decision::Keep).and_proof().two_names()
                    }
                };
                self.matters.push(matter);
            }
        }
        self.ask_about_overload(record, at);
        self.ask_about_gauge(record, at);
        let repeats = record.od_repeatability.as_ref().map(|it| it.value.as_mm());
        // Before the readings become a baseline, they are held against what the tube was born with.
        if self.has_baseline() {
            self.judge_readings(&record.readings, Phase::Before, repeats, at);
        }
        self.birth.learn(&record.readings);
        self.judge_readings(&record.readings, Phase::After, repeats, at);
    }

    /// What a passing proof settles.
    fn pass(&mut self, record: &ProofRecord, at: EntryRef) {
        let pressure_pa = record.pressure.si();
        let least = self.rules.value("proof-factor-least");
        let proved = Proved {
            covers_meop: self.meop_pa().is_none_or(|meop| super::reaches(pressure_pa, least * meop)),
            stations_mm: proofs::stations_read(record),
            gauge_in_date: self.gauge_out_since(record, at).is_none(),
        };
        self.proof = Some(PassingProof { entry: at, pressure_pa, firings_since: 0 });
        self.build_changed = None;
        self.repairing = None;
        self.landed_since_proof = false;
        self.peak_unknown.clear();
        for matter in &mut self.matters {
            matter.prove(&proved);
        }
        self.settle();
    }

    /// A proof that takes a mode over its share of yield is itself an overload: somebody says what it did.
    fn ask_about_overload(&mut self, record: &ProofRecord, at: EntryRef) {
        let Some((mode, yields)) = &self.weakest else { return };
        let pressure = record.pressure.si();
        let share = pressure / yields;
        // Over yield itself the proof has failed, and that says more.
        if !super::exceeds(100.0 * share, self.rules.value("proof-yield-share")) || super::exceeds(share, 1.0)
        {
            return;
        }
        let reason = self.reason(
            Standing::Hold,
            "proof-yield-share",
            format!("the proof of {} took the {mode} to {:.1} % of what it yields at", at.on, 100.0 * share),
            format!("{:.1} %", 100.0 * share),
            at,
            "look at the readings before and after, and decide with two names; a lower MEOP needs a lower proof",
        );
        self.matters.push(Matter::decision(reason, Decision::Keep).two_names());
    }

    /// The day the calibration of a proof's gauge ran out, where it had by then, as far as the record knew.
    fn gauge_out_since(&self, record: &ProofRecord, at: EntryRef) -> Option<NaiveDate> {
        let due = *self.gauges_due.get(record.gauge.as_deref()?)?;
        due.filter(|due| at.on > *due)
    }

    /// A pressure read on a gauge whose calibration had run out is known less well than it looks.
    fn ask_about_gauge(&mut self, record: &ProofRecord, at: EntryRef) {
        let Some(since) = self.gauge_out_since(record, at) else { return };
        let mark = record.gauge.as_deref().unwrap_or("its gauge");
        let reason = self.reason(
            Standing::Watch,
            "proof-gauge",
            format!("the proof of {} was read on {mark}, whose calibration ran out on {since}", at.on),
            format!("out since {since}"),
            at,
            "compare the gauge with another; proof it with one in date",
        );
        self.matters.push(Matter { by_gauge: true, ..Matter::proof(reason) });
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

    /// Whether a repair was decided that is not on record as done.
    pub(in crate::standing) fn under_repair(&self) -> bool {
        self.repairing.is_some()
    }

    /// Forget what is settled, except growth that was accepted, which later readings are held against.
    fn settle(&mut self) {
        self.matters.retain(|matter| !matter.settled() || matter.growth.is_some());
    }

    /// Every reason as things stand now, worst first; reasons that begin on a later day carry that day.
    pub fn reasons(&self) -> Vec<Reason> {
        super::reasons_of::reasons(self, Wanted::Every)
    }

    /// The reasons that forbid a firing on a day, by the rules of that day: one that was made stricter later accuses
    /// nobody who kept to it as it was.
    fn forbidding(&self, on: NaiveDate) -> Vec<Reason> {
        match self.rules.until(on) {
            None => super::reasons_of::reasons(self, Wanted::Forbidding(on)),
            Some(rules) => {
                let then = Timeline { rules: &rules, ..self.clone() };
                super::reasons_of::reasons(&then, Wanted::Forbidding(on))
            }
        }
    }

    pub(in crate::standing) fn serial(&self) -> &str {
        self.serial
    }

    pub(in crate::standing) fn rules(&self) -> &'a RuleSet {
        self.rules
    }

    /// Every birth reading: station and clock angle, millimetres.
    pub(in crate::standing) fn birth_readings(&self) -> &[(f64, Option<f64>, f64)] {
        self.birth.readings()
    }

    pub(in crate::standing) fn has_baseline(&self) -> bool {
        !self.birth.is_empty()
    }
}

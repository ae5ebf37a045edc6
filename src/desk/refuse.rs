//! What is refused, and what is objected to but stands.

use chrono::NaiveDate;

use super::Desk;
use super::record::Refusal;
use crate::book::details::{LoadRecord, RuleRecord, StudyRecord};
use crate::book::form::nearest;
use crate::book::{Decision, Details, EntryId, Kind, Problem, Subject, SubjectOf};
use crate::design::Design;
use crate::quantity::{GaugePressure, Quantity, System, show};
use crate::standing::timeline::Bound;
use crate::standing::{self, History, RuleSet, rules, study};
use crate::store::StoreError;
use crate::strength;

/// A limit is changed by two, and only one there is.
pub(super) fn refuse_rule(record: &RuleRecord, second: bool) -> Result<(), Refusal> {
    if !second {
        return Err(Refusal::field("second", "changing a limit takes two names: give the second person"));
    }
    if rules::spec(&record.rule).is_some() {
        return Ok(());
    }
    let hint = nearest(&record.rule, rules::DEFAULTS.iter().map(|rule| rule.id))
        .map_or_else(|| "proofmark rules lists them".to_owned(), |near| format!("did you mean {near}?"));
    Err(Refusal::field("rule", format!("there is no rule \"{}\"; {hint}", record.rule)))
}

/// Repeat readings that are not of one place say nothing of the gauge.
pub(super) fn refuse_study(record: &StudyRecord, rules: &RuleSet) -> Result<(), Refusal> {
    let problems = study::problems(record, rules);
    if problems.is_empty() {
        return Ok(());
    }
    Err(Refusal::Form(problems.into_iter().map(|text| Problem::new("lengths", text)).collect()))
}

impl Desk {
    /// A part is registered once.
    pub(super) fn refuse_same_part(&self, serial: &str) -> Result<(), Refusal> {
        if !self.book().knows(SubjectOf::Part, serial)? {
            return Ok(());
        }
        let last = self.book().last_of(Kind::Part, &Subject::part(serial), NaiveDate::MAX)?;
        let entry = last.map_or_else(String::new, |last| format!(" (entry {})", last.number));
        Err(Refusal::field(
            "serial",
            format!(
                "{serial} is on record already{entry}; a part keeps one serial for life. To correct it, write that entry again, or strike it first"
            ),
        ))
    }

    /// Another plan under a load's name is its next revision.
    pub(super) fn refuse_same_load(&self, record: &LoadRecord) -> Result<(), Refusal> {
        match self.book().load(&record.name, NaiveDate::MAX)? {
            Some((old, at)) if old.revision == record.revision => Err(Refusal::field(
                "revision",
                format!(
                    "load {} revision {} is on record (entry {}); give the next revision, write that entry again, or strike it first",
                    record.name, record.revision, at.number
                ),
            )),
            _ => Ok(()),
        }
    }

    pub(super) fn refuse_same_revision(&self, serial: &str, revision: &str) -> Result<(), Refusal> {
        let last = self.book().last_of(Kind::Casing, &Subject::casing(serial), NaiveDate::MAX)?;
        match last.as_ref().map(|entry| (entry.number, &entry.entry.details)) {
            Some((number, Details::Casing(old))) if old.revision == revision => Err(Refusal::field(
                "serial",
                format!(
                    "{serial} is on record already as revision {revision} (entry {number}); give another revision for a changed drawing, write that entry again, or strike it first"
                ),
            )),
            _ => Ok(()),
        }
    }

    /// A changed drawing dated before a proof would be covered by a proof of another drawing.
    pub(super) fn refuse_before_a_proof(
        &self,
        record: &crate::book::details::CasingRecord,
        day: NaiveDate,
    ) -> Result<(), Refusal> {
        let subject = Subject::casing(&record.serial);
        let before = self.book().last_of(Kind::Casing, &subject, day)?;
        let changed = match before.as_ref().map(|entry| &entry.entry.details) {
            Some(Details::Casing(before)) => before.design != record.design,
            _ => self.book().last_of(Kind::Casing, &subject, NaiveDate::MAX)?.is_some(),
        };
        // A proof that failed covers nothing, and one of the same day comes before this entry: the book's order of a
        // day is the order of writing.
        let proof = self.book().kept_assessment(&record.serial)?.and_then(|it| it.proof).map(|it| it.0);
        match proof {
            Some(proof) if changed && proof.on > day => Err(Refusal::field(
                "on",
                format!(
                    "entry {} proved the drawing before this one on {}, and would cover the changed one: date the change {} or later; or, if the change did come first, strike that proof, register the change, and write the proof again",
                    proof.number, proof.on, proof.on
                ),
            )),
            _ => Ok(()),
        }
    }

    /// Birth diameters copied from the tube before are none of another tube.
    pub(super) fn odd_birth(
        &self,
        record: &crate::book::details::CasingRecord,
        day: NaiveDate,
        warnings: &mut Vec<Problem>,
    ) -> Result<(), StoreError> {
        let before = self.book().last_of(Kind::Casing, &Subject::casing(&record.serial), day)?;
        if let Some(Details::Casing(before)) = before.as_ref().map(|entry| &entry.entry.details)
            && let Some(what) = standing::timeline::another_tube(before, record)
            && !record.readings.is_empty()
            && record.readings == before.readings
        {
            warnings.push(Problem::new(
                "od",
                format!(
                    "these are the birth diameters of the tube before, and this is another ({what}): read the new one, or leave them out"
                ),
            ));
        }
        Ok(())
    }

    /// A part sits where it was made to sit.
    pub(super) fn refuse_wrong_place(
        &self,
        record: &crate::book::details::FitRecord,
        day: NaiveDate,
    ) -> Result<(), Refusal> {
        match self.position_of(&record.part, day)? {
            Some(made) if made != record.position && record.action == crate::book::FitAction::Fitted => {
                Err(Refusal::field(
                    "position",
                    format!(
                        "{} is on record as a {made} and cannot sit as a {}: leave the position out, or register the part as what it is",
                        record.part, record.position
                    ),
                ))
            }
            _ => Ok(()),
        }
    }

    /// The retired casing a part still belongs to on a day.
    fn bound(&self, part: &str, day: NaiveDate) -> Result<Option<Bound>, StoreError> {
        let mut entries = Vec::new();
        for casing in self.book().casings_of(&Subject::part(part))? {
            entries.extend(self.book().history(&casing)?);
        }
        entries.sort_by_key(|entry| entry.number);
        entries.dedup_by_key(|entry| entry.number);
        Ok(standing::timeline::bound(&entries, part, &self.book().rules_on(NaiveDate::MAX)?, day))
    }

    pub(super) fn refuse_retired_part(
        &self,
        record: &crate::book::details::FitRecord,
        second: bool,
        day: NaiveDate,
        warnings: &mut Vec<Problem>,
    ) -> Result<(), Refusal> {
        let bound = self.bound(&record.part, day)?;
        if record.action == crate::book::FitAction::Removed {
            if let Some(bound) = bound.filter(|it| it.casing == record.casing && !it.tube && !second) {
                warnings.push(Problem::new(
                    "second",
                    format!(
                        "{} is taken out of the retired {}, not released: that takes two names, give the second person",
                        record.part, bound.casing
                    ),
                ));
            }
            return Ok(());
        }
        if let Some(bound) = bound.filter(|it| it.casing != record.casing) {
            let on = bound.retirement.on;
            let (part, casing) = (&record.part, &bound.casing);
            return Err(Refusal::field(
                "part",
                if bound.tube {
                    format!(
                        "{part} is the tube of {casing}, which was retired on {on}: a retired tube is never fitted again; make another"
                    )
                } else {
                    format!(
                        "{part} belongs to {casing}, which was retired on {on}, and was not released since: look at it, then release it with two names (decide on {casing}, or log fit --casing {casing} --part {part} --action removed --second NAME)"
                    )
                },
            ));
        }
        let last = self.book().last_of(Kind::Disposition, &Subject::part(&record.part), NaiveDate::MAX)?;
        match last.as_ref().map(|entry| &entry.entry.details) {
            Some(Details::Disposition(decision)) if decision.decision == Decision::Retire => {
                Err(Refusal::field(
                    "part",
                    format!("{} is retired ({}); fit another", record.part, decision.reason),
                ))
            }
            _ => Ok(()),
        }
    }

    pub(super) fn check_disposition(
        &self,
        record: &crate::book::details::DispositionRecord,
        second: bool,
    ) -> Result<(), Refusal> {
        if record.lifts_restriction && !second {
            return Err(Refusal::field(
                "second",
                "lifting a restriction takes two names: give the second person",
            ));
        }
        let Some(casing) = &record.casing else { return Ok(()) };
        let assessed = self.assess(casing, NaiveDate::MAX)?;
        self.check_restriction(record, &assessed, second)?;
        if assessed.reasons.iter().any(|it| it.standing == crate::book::Standing::Retired) {
            return Err(Refusal::field(
                "decision",
                format!(
                    "{casing} is retired, and that is final. A note can be added; a wrong retirement is struck, with two names"
                ),
            ));
        }
        Ok(())
    }

    /// A restriction restricts something, and one that is looser than the one in force lifts part of it.
    fn check_restriction(
        &self,
        record: &crate::book::details::DispositionRecord,
        assessed: &standing::Assessment,
        second: bool,
    ) -> Result<(), Refusal> {
        let (Decision::Restrict, Some(design)) = (record.decision, &assessed.design) else { return Ok(()) };
        let drawing_pa = design.service.meop.si();
        let drawing = show(design.service.meop.value, System::Si);
        let meop = record.meop.as_ref();
        // A thousandth is the unit it was typed in.
        if meop.is_some_and(|meop| standing::exceeds(meop.si(), 1.001 * drawing_pa)) {
            return Err(Refusal::field(
                "meop",
                format!("a restriction lowers MEOP: the drawing has {drawing}"),
            ));
        }
        let lowers = meop.is_some_and(|meop| standing::exceeds(0.999 * drawing_pa, meop.si()));
        let else_restricts = !record.loads.is_empty()
            || record.proof_every.is_some()
            || record.standoff_multiplier.is_some_and(|it| it > 1.0)
            || record.extra_checks.is_some();
        if !lowers && !else_restricts {
            return Err(Refusal::field(
                "meop",
                format!(
                    "this restricts nothing: the drawing has {drawing} already. Give a lower MEOP, the loads it allows, or how often it is proved"
                ),
            ));
        }
        let before = assessed.restriction.as_ref().and_then(|it| it.meop.as_ref()).map(|it| it.si());
        if let Some(before) = before
            && standing::exceeds(meop.map_or(drawing_pa, |it| it.si()), before)
            && !second
        {
            return Err(Refusal::field(
                "second",
                format!(
                    "it is restricted to a MEOP of {} now; a looser restriction lifts that one, which takes two names: give the second person",
                    show(GaugePressure::from_si(before), System::Si)
                ),
            ));
        }
        if let Some(in_force) = assessed.restriction.as_ref().filter(|_| !second)
            && let Some((field, what)) = looser(record, in_force)
        {
            return Err(Refusal::field(
                field,
                format!(
                    "the restriction in force {what}; a looser one lifts that, which takes two names: give the second person"
                ),
            ));
        }
        Ok(())
    }

    /// Whether the strike lifts a retirement.
    pub(super) fn check_strike(&self, target: EntryId, second: bool) -> Result<bool, Refusal> {
        let Some(entry) = self.book().entry(target)? else {
            return Err(Refusal::field("entry", "there is no such entry"));
        };
        let lines =
            self.book().lines(&crate::store::Filter::About(entry.entry.subject.clone()), NaiveDate::MAX)?;
        if let Some(by) = lines.iter().find(|line| line.entry.id == target).and_then(|line| line.struck_by) {
            return Err(Refusal::field(
                "entry",
                format!("entry {} is struck already, by entry {by}", entry.number),
            ));
        }
        match &entry.entry.details {
            Details::Strike(_) => {
                Err(Refusal::field("entry", "a strike is not struck: write the entry again as it should be"))
            }
            Details::Disposition(decision) if decision.decision == Decision::Retire => {
                if second {
                    Ok(true)
                } else {
                    Err(Refusal::field(
                        "second",
                        "striking a retirement takes two names: give the second person",
                    ))
                }
            }
            _ => Ok(false),
        }
    }

    /// Whether a casing would stand better without an entry: crossing that out takes two names.
    pub(super) fn check_easing(&self, target: EntryId, second: bool) -> Result<bool, Refusal> {
        let Some(entry) = self.book().entry(target)? else { return Ok(false) };
        let day = self.today();
        let rules = self.book().rules_on(NaiveDate::MAX)?;
        for casing in self.book().casings_of(&entry.entry.subject)? {
            let mut entries = self.book().history(&casing)?;
            let assess = |entries: &[crate::book::Entry]| {
                let history = History { serial: &casing, entries, rules: &rules };
                standing::assess(history, NaiveDate::MAX)
            };
            let before = assess(&entries).standing(day);
            entries.retain(|it| it.id != target);
            let without = assess(&entries);
            if without.design.is_some() && without.standing(day) > before {
                return if second {
                    Ok(true)
                } else {
                    Err(Refusal::field(
                        "second",
                        format!(
                            "{casing} would stand better without it ({before} to {}): that takes two names, give the second person",
                            without.standing(day)
                        ),
                    ))
                };
            }
        }
        Ok(false)
    }

    /// A proof that takes a mode above its share of yield may itself do harm.
    pub(super) fn object_to_proof(
        &self,
        record: &crate::book::details::ProofRecord,
        second: bool,
        day: NaiveDate,
        warnings: &mut Vec<Problem>,
    ) -> Result<(), StoreError> {
        let assessed = self.assess(&record.casing, day)?;
        if let Some(design) = &assessed.design {
            let rules = self.book().rules_on(day)?;
            warnings.extend(super::counts::of_a_proof(record, second, design, &rules));
            warnings.extend(super::counts::of_too_little(record, design, &rules));
        }
        let registered =
            self.book().last_of(Kind::Casing, &Subject::casing(&record.casing), NaiveDate::MAX)?;
        if let (None, Some(registered)) = (&assessed.design, registered) {
            warnings.push(Problem::new(
                "on",
                format!(
                    "{} was registered only on {} (entry {}): a proof of {day} does not count for it",
                    record.casing, registered.entry.happened_on, registered.number
                ),
            ));
        }
        let cap = self.book().rules_on(NaiveDate::MAX)?.value("proof-yield-share") / 100.0;
        if let Some(Ok(margins)) = assessed.margins(None)
            && let Some(objection) = strength::proof_objection(&margins, record.pressure.value, cap)
        {
            warnings.push(Problem::new("pressure", objection.to_string()));
        }
        Ok(())
    }

    /// An entry dated before a later event may be an old notebook, or a wrong clock: said, never refused.
    pub(super) fn warn_of_clock(
        &self,
        subject: &Subject,
        day: NaiveDate,
        warnings: &mut Vec<Problem>,
    ) -> Result<(), StoreError> {
        if let Some(last) = self.book().last_after(subject, day)? {
            warnings.push(Problem::new(
                "on",
                format!(
                    "{day} is before entry {} of {}: right for an old notebook, wrong for a wrong clock",
                    last.number, last.entry.happened_on
                ),
            ));
        }
        Ok(())
    }
}

/// The field of a drawing that an objection is answered at, so that it is shown where it can be put right.
fn field_of(objection: &str) -> &'static str {
    let edge = objection.contains("edge distance");
    match objection {
        it if it.contains(" fails at ") => "service.meop",
        it if edge && it.starts_with("forward") => "forward.edge",
        it if edge && it.starts_with("aft") => "aft.edge",
        _ => "design",
    }
}

/// What a new restriction gives up of the one in force: the field, and what that one says of it.
fn looser(
    new: &crate::book::details::DispositionRecord,
    in_force: &crate::book::details::DispositionRecord,
) -> Option<(&'static str, String)> {
    let more_loads = new.loads.is_empty() || new.loads.iter().any(|load| !in_force.loads.contains(load));
    if !in_force.loads.is_empty() && more_loads {
        return Some(("loads", format!("allows only {}", in_force.loads.join(", "))));
    }
    let every = |it: &crate::book::details::DispositionRecord| it.proof_every;
    if let Some(now) = every(in_force)
        && every(new).is_none_or(|new| new > now)
    {
        let firings = crate::quantity::counted(now, "firing");
        return Some(("proof_every", format!("asks for a proof every {firings}")));
    }
    let times = |it: &crate::book::details::DispositionRecord| it.standoff_multiplier.unwrap_or(1.0);
    (times(new) < times(in_force))
        .then(|| ("standoff_multiplier", format!("keeps people {} times the distance away", times(in_force))))
}

/// What the strength core objects to in a drawing, loudly, and whether its planned proof would do harm.
pub(super) fn object_to(design: &Design, rules: &RuleSet, warnings: &mut Vec<Problem>) {
    let proof_factor = rules.value("proof-factor");
    match strength::margins(design, None, &strength::LocalState::default()) {
        Ok(margins) => {
            warnings.extend(margins.objections.iter().map(|text| Problem::new(field_of(text), text.clone())));
            let planned = GaugePressure::from_si(design.service.meop.si() * proof_factor);
            let proposed = standing::proof_plan::propose(&margins, design.service.meop.si(), rules);
            if let Some(why) = proposed.as_ref().and_then(|it| it.lowered.as_ref()) {
                warnings.push(Problem::new("service.meop", format!("its proof will be at {why}")));
            } else if let Some(objection) =
                strength::proof_objection(&margins, planned, rules.value("proof-yield-share") / 100.0)
            {
                warnings.push(Problem::new(
                    "service.meop",
                    format!(
                        "a proof at {proof_factor} times MEOP is {}: {objection}",
                        show(planned, System::Si)
                    ),
                ));
            }
        }
        Err(error) => warnings.push(Problem::new("design", format!("no margins: {error}"))),
    }
}

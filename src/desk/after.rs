//! After a firing: its trace against the plan and against another firing, and what the rules would say of it.
//! Nothing here writes.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::Serialize;
use uuid::Uuid;

use super::Desk;
use super::calculators::plan;
use super::record::Refusal;
use crate::ballistics::{Load, Prediction};
use crate::book::details::{FiringRecord, TraceRecord};
use crate::book::{
    Details, Entry, EntryId, FiringMode, NewEntry, PeakFrom, Problem, Standing, Subject, SubjectOf,
};
use crate::quantity::{
    AbsolutePressure, Force, Impulse, Quantity, STANDARD_ATMOSPHERE_PA, System, TimeSpan, Typed,
};
use crate::standing::in_units::turn;
use crate::standing::{self, History, Reason};
use crate::store::StoreError;
use crate::trace::compare::{
    BurnRateFit, COMMON_START, PlannedCurve, Ratios, Side, fit_burn_rate, ratio_is, ratios,
};
use crate::trace::{ChannelReduction, ChannelUnit, Reduced};

/// A firing against its plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AgainstPlan {
    /// The load.
    pub load: String,
    /// How the two are put on one clock.
    pub common_start: &'static str,
    /// The plan's numbers.
    pub planned: PlannedNumbers,
    /// Thrust, measured over planned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thrust: Option<Ratios>,
    /// Pressure, measured over planned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pressure: Option<Ratios>,
    /// The burn-rate factor of this firing alone that fits best: on pressure where it was measured, else on thrust.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub burn_rate: Option<BurnRateFit>,
    /// Why there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_burn_rate: Option<String>,
    /// The whole plan.
    #[serde(skip)]
    pub plan: Prediction,
}

/// What the plan expected.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PlannedNumbers {
    /// Highest thrust.
    pub peak_thrust_n: f64,
    /// Impulse over burn time.
    pub mean_thrust_n: f64,
    /// Total impulse.
    pub impulse_ns: f64,
    /// From full ignition to the last web.
    pub burn_time_s: f64,
    /// Highest pressure, above the atmosphere.
    pub peak_pressure_pa: f64,
}

impl AgainstPlan {
    /// The plan's curve of thrust or pressure, from its own zero of time.
    pub fn curve(&self, unit: ChannelUnit) -> Option<crate::trace::Curve> {
        PlannedCurve::of(&self.plan, unit).map(|planned| planned.curve)
    }
}

/// Hold a trace against a load's plan.
///
/// # Errors
/// The load cannot be burnt; the problem names its key.
pub fn against_plan(reduced: &Reduced, load: &Load, name: &str) -> Result<AgainstPlan, Problem> {
    let plan = plan(load, None)?;
    let sides = sides(reduced);
    let channels = [&reduced.reduction.thrust, &reduced.reduction.pressure];
    let numbers = |unit| channels.into_iter().flatten().find(|channel| channel.unit == unit);
    let cut_off = |unit| numbers(unit).and_then(|channel| channel.cut_off.as_ref());
    let held = |unit: ChannelUnit| -> Option<(Side<'_>, Ratios)> {
        let side = sides.iter().flatten().find(|side| side.curve.unit == unit)?;
        let planned = PlannedCurve::of(&plan, unit)?;
        let (found, numbers) = (ratios(side, &planned.side())?, numbers(unit)?);
        let found = Ratios {
            peak_ratio_is: ratio_is(numbers.peak_is_lower_bound, false),
            impulse_ratio_is: ratio_is(numbers.cut_off.is_some(), false),
            ..found
        };
        Some((*side, found))
    };
    let (thrust, pressure) = (held(ChannelUnit::N), held(ChannelUnit::Pa));
    // A curve that is cut off has no shape to fit.
    let whole = |held: &Option<(Side<'_>, Ratios)>, unit| held.as_ref().is_some() && cut_off(unit).is_none();
    let fitted = match (&pressure, &thrust) {
        (Some((side, _)), _) if whole(&pressure, ChannelUnit::Pa) => {
            Some(fit_burn_rate(load, "pressure", side))
        }
        (_, Some((side, _))) if whole(&thrust, ChannelUnit::N) => Some(fit_burn_rate(load, "thrust", side)),
        _ => None,
    };
    let no_burn_rate = [ChannelUnit::Pa, ChannelUnit::N]
        .into_iter()
        .find_map(cut_off)
        .filter(|_| fitted.is_none())
        .map(|why| format!("{why}: no factor can be told from it"));
    let burn_rate = fitted.transpose().map_err(|error| Problem::new("plan", error.to_string()))?;
    Ok(AgainstPlan {
        load: name.to_owned(),
        common_start: COMMON_START,
        planned: PlannedNumbers {
            peak_thrust_n: plan.peak_thrust_n.si(),
            mean_thrust_n: plan.mean_thrust_n.si(),
            impulse_ns: plan.impulse_ns.si(),
            burn_time_s: plan.burn_time_s.si(),
            peak_pressure_pa: plan.peak_pressure_pa.si(),
        },
        thrust: thrust.map(|(_, ratios)| ratios),
        pressure: pressure.map(|(_, ratios)| ratios),
        burn_rate,
        no_burn_rate,
        plan,
    })
}

/// Two firings on a common start.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AgainstFiring {
    /// The other: a file, or a firing on record.
    pub other: String,
    /// How the two are put on one clock.
    pub common_start: &'static str,
    /// Thrust, this over the other.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thrust: Option<Ratios>,
    /// Pressure, this over the other.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pressure: Option<Ratios>,
}

/// Hold a trace against another.
pub fn against_firing(reduced: &Reduced, other: &Reduced, name: &str) -> AgainstFiring {
    let [thrust, pressure] = sides(reduced);
    let [other_thrust, other_pressure] = sides(other);
    let both = |a: Option<Side<'_>>, b: Option<Side<'_>>| ratios(&a?, &b?);
    let said = |found: Option<Ratios>, ours: &Option<ChannelReduction>, theirs: &Option<ChannelReduction>| {
        let of = |what: fn(&ChannelReduction) -> bool| {
            ratio_is(ours.as_ref().is_some_and(what), theirs.as_ref().is_some_and(what))
        };
        found.map(|found| Ratios {
            peak_ratio_is: of(|it| it.peak_is_lower_bound),
            impulse_ratio_is: of(|it| it.cut_off.is_some()),
            ..found
        })
    };
    let (this, that) = (&reduced.reduction, &other.reduction);
    AgainstFiring {
        other: name.to_owned(),
        common_start: COMMON_START,
        thrust: said(both(thrust, other_thrust), &this.thrust, &that.thrust),
        pressure: said(both(pressure, other_pressure), &this.pressure, &that.pressure),
    }
}

fn sides(reduced: &Reduced) -> [Option<Side<'_>>; 2] {
    let pair = |thrust: bool| {
        let (curve, numbers) = if thrust {
            (reduced.thrust.as_ref()?, reduced.reduction.thrust.as_ref()?)
        } else {
            (reduced.pressure.as_ref()?, reduced.reduction.pressure.as_ref()?)
        };
        Some(Side::measured(curve, numbers))
    };
    [pair(true), pair(false)]
}

/// What a rule would say once a firing with this trace is on record.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Proposal {
    /// What it would make the casing.
    pub standing: Standing,
    /// The rule.
    pub rule: String,
    /// One sentence.
    pub text: String,
    /// What was measured.
    pub value: String,
    /// What it was held against.
    pub limit: String,
    /// Where that limit comes from.
    pub source: String,
    /// What to do next.
    pub next: String,
}

impl From<Reason> for Proposal {
    fn from(reason: Reason) -> Self {
        let Reason { standing, rule, text, value, limit, source, next, .. } = reason;
        Self { standing, rule, text, value, limit, source, next }
    }
}

impl Proposal {
    /// The same with its quantities in the units asked for, for a person to read.
    #[must_use]
    pub fn shown(mut self, system: System) -> Self {
        let Self { rule, text, value, limit, next, .. } = &mut self;
        turn(rule, [text, value, limit, next], system);
        self
    }
}

/// What follows from a trace, before anything is logged.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Proposals {
    /// The casing.
    pub casing: String,
    /// The load.
    pub load: String,
    /// The peak that was judged, over the plan's; nothing where the trace gives none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub peak_over_plan: Option<f64>,
    /// "at least" where that peak is a lower bound.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub peak_over_plan_is: &'static str,
    /// What that ratio is of.
    pub judged_by: &'static str,
    /// What the rules would say of the peak, the impulse and the shape; empty: nothing out of the ordinary.
    pub proposals: Vec<Proposal>,
    /// What every firing asks for.
    pub always: Vec<Proposal>,
}

/// What the record says of a firing that is on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Recorded {
    /// The casing's standing.
    pub standing: Standing,
    /// What is still open of this firing, as the record stands.
    pub open: Vec<Proposal>,
    /// What the rules said when it was fired and nothing had followed yet.
    pub then: Vec<Proposal>,
    /// Whether what was kept of its traces says that a peak is cut off, or that what was put aside may have been real.
    pub doubts_kept: bool,
}

/// Rules that every firing calls on, whatever its trace says.
const EVERY_FIRING: [&str; 2] = ["strip-after-firing", "decision-after-strip"];

impl Desk {
    /// A load on record as one to predict.
    ///
    /// # Errors
    /// It is not on record, or lacks grain, propellant or nozzle.
    pub fn load_to_burn(&self, name: &str, day: NaiveDate) -> Result<Load, Refusal> {
        let record = self.load_on_record(name, day)?;
        super::own_plan::as_load(&record).ok_or_else(|| {
            Refusal::field(
                "load",
                format!(
                    "load {} has no grain, propellant and nozzle on record to burn; log its next revision with them, \
                     or give --plan FILE.toml",
                    record.name
                ),
            )
        })
    }

    fn load_on_record(
        &self,
        name: &str,
        day: NaiveDate,
    ) -> Result<crate::book::details::LoadRecord, Refusal> {
        self.must_know(SubjectOf::Load, "load", name)?;
        match self.book().load(name, day)? {
            Some((record, _)) => Ok(record),
            None => Err(Refusal::field("load", format!("load {name} was not on record yet on {day}"))),
        }
    }

    /// What the rules would say of a casing, were it fired today with this load and this trace. Nothing is written:
    /// the firing is added to a copy of the history, and the standing worked out as always.
    ///
    /// # Errors
    /// The casing or the load is not on record, or the book cannot be read.
    pub fn propose(&self, casing: &str, load: &str, reduced: &Reduced) -> Result<Proposals, Refusal> {
        self.must_know(SubjectOf::Casing, "casing", casing)?;
        let day = self.day();
        let record = self.load_on_record(load, day)?;
        let reduction = &reduced.reduction;
        let thrust = reduction.thrust.as_ref().filter(|c| c.unit == ChannelUnit::N);
        let pressure = reduction.pressure.as_ref().filter(|c| c.unit == ChannelUnit::Pa);
        let by_nozzle = reduction.nozzle.as_ref().and_then(|it| it.peak_pressure_from_thrust);
        let peak_absolute = pressure
            .map(|c| (c.peak + STANDARD_ATMOSPHERE_PA, PeakFrom::Pressure))
            // Of the bracket, the side to judge a casing by.
            .or(by_nozzle.map(|bracket| (bracket.upper_pa, PeakFrom::Thrust)));
        let computed = |si: f64| Typed::computed(AbsolutePressure::from_si(si));
        // The plan's thrust on record, else what its own numbers give: without one thrust says nothing of pressure.
        let own = super::own_plan::as_load(&record).and_then(|load| plan(&load, None).ok());
        let planned_thrust =
            record.peak_thrust.clone().or_else(|| own.as_ref().map(|own| Typed::computed(own.peak_thrust_n)));
        let firing = FiringRecord {
            casing: casing.to_owned(),
            parts: self.fitted(casing, day)?,
            mode: FiringMode::Static,
            load: Some(record.name.clone()),
            planned_peak: Some(record.peak_pressure.clone()),
            planned_thrust: planned_thrust.clone(),
            planned_impulse: record.impulse.clone(),
            batch: None,
            place: None,
            conductor: None,
            peak_pressure: peak_absolute.map(|(si, _)| computed(si)),
            peak_from: peak_absolute.map(|(_, from)| from),
            peak_thrust: thrust.map(|c| Typed::computed(Force::from_si(c.peak))),
            impulse: thrust.map(|c| Typed::computed(Impulse::from_si(c.integral))),
            burn_time: thrust.map(|c| Typed::computed(TimeSpan::from_si(c.burn.time_s()))),
            grain_temperature: None,
            ignition_delay: None,
            throat_before: None,
            throat_after: None,
            landing: None,
            breach: None,
            remark: None,
        };
        let trace = TraceRecord {
            casing: casing.to_owned(),
            firing: SUPPOSED,
            file: String::new(),
            sha256: String::new(),
            bytes: 0,
            columns: None,
            reduction: serde_json::to_value(reduction).unwrap_or_default(),
        };
        // Above the atmosphere on both sides: with it in both, a small motor's excess would look smaller than it is.
        let over = |absolute: f64| {
            let planned = record.peak_pressure.si() - STANDARD_ATMOSPHERE_PA;
            (planned > 0.0).then(|| (absolute - STANDARD_ATMOSPHERE_PA) / planned)
        };
        let (peak_over_plan, judged_by) = match (peak_absolute, thrust, &planned_thrust) {
            (Some((peak, PeakFrom::Pressure)), ..) => {
                (over(peak), "peak pressure above the atmosphere, measured")
            }
            (Some((peak, _)), ..) => {
                (over(peak), "peak pressure above the atmosphere, from thrust and throat, upper side")
            }
            (None, Some(thrust), Some(planned)) => {
                (Some(thrust.peak / planned.si()), "peak thrust: at one throat thrust goes with pressure")
            }
            _ => (None, "nothing: neither a pressure nor a planned thrust"),
        };
        let bound =
            if peak_absolute.is_some_and(|it| it.1 == PeakFrom::Pressure) { pressure } else { thrust };
        let mut entries = self.book().history(casing)?;
        // What is supposed is supposed with everything on record at hand, whichever book it came from.
        let seen: BTreeMap<Uuid, i64> = entries.iter().map(|entry| (entry.origin, i64::MAX)).collect();
        let firing = Details::Firing(Box::new(firing));
        entries.push(self.supposed(SUPPOSED, casing, day, seen.clone(), firing));
        entries.push(self.supposed(SUPPOSED_TRACE, casing, day, seen, Details::Trace(Box::new(trace))));
        let rules = self.book().rules_on(NaiveDate::MAX)?;
        let assessed =
            standing::assess(History { serial: casing, entries: &entries, rules: &rules }, NaiveDate::MAX);
        let (always, proposals): (Vec<Proposal>, Vec<Proposal>) = assessed
            .reasons
            .into_iter()
            .filter(|it| it.entry.is_some_and(|at| at.id == SUPPOSED || at.id == SUPPOSED_TRACE))
            .map(Proposal::from)
            .partition(|it| EVERY_FIRING.contains(&it.rule.as_str()));
        Ok(Proposals {
            casing: casing.to_owned(),
            load: record.name,
            peak_over_plan,
            peak_over_plan_is: ratio_is(bound.is_some_and(|it| it.peak_is_lower_bound), false),
            judged_by,
            proposals,
            always,
        })
    }

    /// What the record says of a firing on it: what is still open today, and what the rules said at the time, when
    /// nothing had followed it yet.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn recorded(&self, casing: &str, firing: EntryId) -> Result<Recorded, StoreError> {
        let day = self.day();
        let entries = self.book().history(casing)?;
        let struck = standing::assessment::struck(&entries, day);
        let of_it = |entry: &Entry| {
            entry.id == firing
                || (!struck.contains(&entry.id)
                    && matches!(&entry.entry.details, Details::Trace(trace) if trace.firing == firing))
        };
        let its: Vec<EntryId> = entries.iter().filter(|it| of_it(it)).map(|it| it.id).collect();
        let said = |reasons: Vec<Reason>| -> Vec<Proposal> {
            reasons
                .into_iter()
                .filter(|it| it.entry.is_some_and(|at| its.contains(&at.id)))
                .map(Proposal::from)
                .collect()
        };
        let now = self.assess(casing, day)?;
        let mut order: Vec<&Entry> = entries.iter().collect();
        crate::book::in_order(&mut order, |entry| entry);
        let place = order.iter().position(|entry| entry.id == firing).unwrap_or(0);
        let until: Vec<Entry> = order
            .iter()
            .enumerate()
            .filter(|(at, entry)| (*at <= place && !struck.contains(&entry.id)) || of_it(entry))
            .map(|(_, entry)| (*entry).clone())
            .collect();
        let rules = self.book().rules_on(NaiveDate::MAX)?;
        let fired_on = order.get(place).map_or(day, |entry| entry.entry.happened_on);
        let then =
            standing::assess(History { serial: casing, entries: &until, rules: &rules }, NaiveDate::MAX);
        let doubts_kept = entries.iter().filter(|it| of_it(it)).any(|it| match &it.entry.details {
            Details::Trace(trace) => {
                let keys = ["peak_cut_off", "peak_pressure_cut_off", "peak_if_real", "peak_pressure_if_real"];
                keys.iter().any(|key| trace.words(key).is_some())
            }
            _ => false,
        });
        Ok(Recorded {
            doubts_kept,
            standing: now.standing(day),
            open: said(now.reasons_on(day).into_iter().cloned().collect()),
            then: said(then.reasons_on(fired_on).into_iter().cloned().collect())
                .into_iter()
                .filter(|it| !EVERY_FIRING.contains(&it.rule.as_str()))
                .collect(),
        })
    }

    fn supposed(
        &self,
        id: EntryId,
        casing: &str,
        day: NaiveDate,
        seen: BTreeMap<Uuid, i64>,
        details: Details,
    ) -> Entry {
        let entry = NewEntry {
            subject: Subject::casing(casing),
            happened_on: day,
            date_approximate: false,
            recorded_by: String::new(),
            second: None,
            details,
        };
        let sequence = i64::MAX - i64::from(id == SUPPOSED);
        Entry {
            number: 0,
            id,
            origin: Uuid::nil(),
            sequence,
            recorded_at: self.now(),
            entry,
            seal: String::new(),
            seen,
        }
    }
}

/// The firing that is only supposed.
const SUPPOSED: EntryId = EntryId(Uuid::from_u128(1));
/// Its trace.
const SUPPOSED_TRACE: EntryId = EntryId(Uuid::from_u128(2));

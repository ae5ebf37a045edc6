//! The load bench: a load and a batch on record as one plan, and the limits of the casing it is planned for.

pub mod batch;
pub mod compare;
pub mod room;
pub mod shape;

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::Serialize;

use super::own_plan::{assumptions, batch_words, load_of, own_prediction};
use super::record::Refusal;
use super::{Desk, Planned};
use crate::ballistics::load::{Limits, Spread};
use crate::ballistics::{HardStarts, Load};
use crate::book::details::{BatchRecord, LoadRecord};
use crate::book::{Details, Position, Problem, SubjectOf};
use crate::design::wall::least_wall;
use crate::quantity::{GaugePressure, Quantity, Typed};
use crate::standing::{Assessment, EntryRef, PlanFacts, RuleSet};
use crate::store::{PeakCount, StoreError};

/// A load on record with a batch, ready for the engine.
#[derive(Clone, Debug)]
pub struct PlannedLoad {
    /// As the engine takes it, scatter and tail of hard starts included.
    pub load: Load,
    /// The load's record.
    pub record: LoadRecord,
    /// Its entry.
    pub entry: EntryRef,
    /// The batch, where one was named.
    pub batch: Option<BatchRecord>,
    /// What the numbers rest on, in sentences.
    pub basis: Vec<String>,
}

/// What a casing takes.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CasingLimits {
    /// The casing.
    pub serial: String,
    /// MEOP in force, gauge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub meop_pa: Option<f64>,
    /// The last passing proof, gauge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub proof_pa: Option<f64>,
    /// The pressure at which its weakest mode yields, gauge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub yield_pa: Option<f64>,
    /// That mode, and where.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weakest: Option<String>,
    /// Why the record forbids firing it with any load, or within what terms; the worst first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub standing: Vec<String>,
    /// The loads a decision restricts it to; none: any.
    #[serde(skip)]
    pub restricted_to: Vec<String>,
    /// The throat fitted: its part and DIAMETER.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fitted_throat: Option<(String, f64)>,
    /// Bore of the tube, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bore_m: Option<f64>,
    /// Cut length of the tube, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tube_m: Option<f64>,
}

impl CasingLimits {
    /// The limits of an assessed casing.
    pub fn of(assessed: &Assessment, day: NaiveDate) -> Self {
        let margins = assessed.margins(None).and_then(Result::ok);
        let thinnest = margins.as_ref().and_then(|it| it.thinnest());
        let design = assessed.design.as_ref();
        Self {
            serial: assessed.serial.clone(),
            meop_pa: assessed.meop_pa,
            proof_pa: assessed.proof.as_ref().map(|proof| proof.1),
            yield_pa: thinnest.map(|it| it.yield_pressure_pa.si()),
            weakest: thinnest.map(|it| format!("{}, {}", it.mode, it.place)),
            standing: standing_words(assessed, day),
            restricted_to: assessed.restriction.as_ref().map_or_else(Vec::new, |it| it.loads.clone()),
            fitted_throat: [Position::ThroatInsert, Position::NozzleCarrier].iter().find_map(|position| {
                let part = assessed.parts.iter().find(|it| it.position == *position)?;
                Some((part.part.clone(), part.throat_m?))
            }),
            bore_m: design.map(bore_m),
            tube_m: design.and_then(|it| it.tube.length.as_ref()).map(Typed::si),
        }
    }

    /// As a load takes them.
    pub fn as_limits(&self) -> Limits {
        let typed = |pascals: f64| Typed::computed(GaugePressure::from_si(pascals));
        Limits {
            meop: self.meop_pa.map(typed),
            proof: self.proof_pa.map(typed),
            yield_pressure: self.yield_pa.map(typed),
        }
    }

    /// What does not fit between a load and this casing, in sentences.
    pub fn misfits(&self, load: &Load) -> Vec<String> {
        let widest = load.grain.0.iter().map(|it| it.outside_diameter.si()).fold(0.0, f64::max);
        let long: f64 = load.grain.0.iter().map(|it| it.length.si() * f64::from(it.count)).sum();
        let mut words = too_large(&self.serial, self.bore_m, self.tube_m, widest, long);
        if let Some((part, fitted)) = &self.fitted_throat
            && (load.nozzle.throat.si() / fitted - 1.0).abs() > 0.005
        {
            words.push(format!(
                "{part} is fitted with a throat of {}, the plan has {}: the peak with it is another",
                millimetres(*fitted),
                millimetres(load.nozzle.throat.si())
            ));
        }
        words
    }
}

/// The widest the bore can be: with the least wall.
fn bore_m(design: &crate::design::Design) -> f64 {
    design.tube.od.si() - 2.0 * least_wall(&design.tube).0.si()
}

/// Why the grains of a load do not go into an assessed casing, in sentences; none: they do, as far as anybody knows.
pub(super) fn grains_too_large(load: &LoadRecord, assessed: &Assessment) -> Vec<String> {
    let (Some(grain), Some(design)) = (&load.grain, &assessed.design) else { return Vec::new() };
    let long = grain.length.si() * f64::from(grain.count);
    let tube = design.tube.length.as_ref().map(Typed::si);
    too_large(&assessed.serial, Some(bore_m(design)), tube, grain.outside_diameter.si(), long)
}

fn too_large(serial: &str, bore: Option<f64>, tube: Option<f64>, widest: f64, long: f64) -> Vec<String> {
    let mut words = Vec::new();
    if let Some(bore) = bore.filter(|bore| widest > *bore) {
        words.push(format!(
            "the grain, {}, is wider than the bore of {serial}, {}",
            millimetres(widest),
            millimetres(bore)
        ));
    }
    if let Some(tube) = tube.filter(|tube| long > *tube) {
        words.push(format!(
            "the grains, {} together, are longer than the tube of {serial}, {}",
            millimetres(long),
            millimetres(tube)
        ));
    }
    words
}

fn millimetres(metres: f64) -> String {
    format!("{:.2} mm", metres * 1e3)
}

/// What stands against a casing, apart from any load.
fn standing_words(assessed: &Assessment, day: NaiveDate) -> Vec<String> {
    let standing = assessed.standing(day);
    let mut words = Vec::new();
    if standing.forbids() {
        let why = assessed.reasons_on(day).first().map_or_else(String::new, |it| format!(": {}", it.text));
        words.push(format!(
            "{} is {standing}{why}. The record forbids firing it, whatever the load",
            assessed.serial
        ));
    }
    if let Some(restriction) = assessed.restriction.as_ref().filter(|it| !it.loads.is_empty()) {
        words.push(format!("{} is restricted to {}", assessed.serial, restriction.loads.join(", ")));
    }
    words
}

/// The club's own count of hard starts, and how it was made.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HardStartCount {
    /// The count.
    pub count: HardStarts,
    /// Chance of the next one; `None` where no firing says anything of it.
    pub chance: Option<f64>,
    /// Entries of the hard starts, the newest first.
    pub entries: Vec<i64>,
    /// How it was counted.
    pub how: String,
}

impl HardStartCount {
    /// A spread with the tail of hard starts, where there is a firing to count it from: with none the estimate
    /// would say nothing of this club, and drown everything else.
    pub fn tail_on(&self, spread: Spread) -> Spread {
        if self.count.firings == 0 { spread } else { self.count.with(spread) }
    }
}

impl Desk {
    /// A load on record, with a batch on record where one is named, as the engine takes it.
    ///
    /// # Errors
    /// Either is not on record, or the load does not say enough to burn it.
    pub fn planned_load(
        &self,
        load: &str,
        batch: Option<&str>,
        day: NaiveDate,
    ) -> Result<PlannedLoad, Refusal> {
        self.must_know(SubjectOf::Load, "load", load)?;
        let Some((record, entry)) = self.book().load(load, day)? else {
            return Err(Refusal::field("load", format!("load {load} was not on record yet on {day}")));
        };
        let asked = super::Planned { load, batch, mode: crate::book::FiringMode::Static, grain: None };
        let differ = self.differences(asked, day)?;
        let batch = match batch {
            Some(name) => Some(self.batch_on(name, day)?),
            None => None,
        };
        let mut planned = load_of(&record, batch.as_ref()).map_err(Refusal::Form)?;
        let rules = self.book().rules_on(day)?;
        let mut basis = vec![format!(
            "load {} revision {}, entry {} of {}",
            record.name, record.revision, entry.number, entry.on
        )];
        basis.extend(differ.iter().map(|found| {
            format!(
                "two books differ on {} {}, and nobody has settled it: {}",
                found.what,
                found.about,
                found.sides()
            )
        }));
        basis.extend(batch.as_ref().map(batch_words));
        basis.extend(assumptions(&record, batch.as_ref()));
        planned.scatter = Some(self.spread_of(&planned, record.peak_scatter, &rules, day)?);
        Ok(PlannedLoad { load: planned, record, entry, batch, basis })
    }

    /// How peaks of a load scatter: by its own scatter or the club's, with the tail of hard starts on record.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn spread_of(
        &self,
        load: &Load,
        peak_scatter: Option<f64>,
        rules: &RuleSet,
        day: NaiveDate,
    ) -> Result<Spread, StoreError> {
        let sigma = peak_scatter.unwrap_or(rules.value("peak-scatter") / 100.0);
        let spread = Spread::of_peak(sigma, load.propellant.exponent);
        Ok(self.hard_starts(rules, day)?.tail_on(spread))
    }

    /// The hard starts on record until a day.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn hard_starts(&self, rules: &RuleSet, day: NaiveDate) -> Result<HardStartCount, StoreError> {
        let ratio = rules.value("peak-far-over-plan");
        let PeakCount { counted, over, left_out, which } = self.book().peak_count(ratio, day)?;
        let count = HardStarts { firings: counted, hard: over };
        let without = if left_out == 0 {
            String::new()
        } else {
            format!(
                "; left out: {} without a measured peak or a plan",
                crate::quantity::counted(left_out, "firing")
            )
        };
        Ok(HardStartCount {
            count,
            chance: (counted > 0).then(|| count.chance()),
            entries: which,
            how: if counted == 0 {
                format!(
                    "not known: no firing on record has a measured peak and a plan, so these chances leave hard starts out{without}"
                )
            } else {
                format!(
                    "{over} of {} on record peaked above {ratio} times the plan{without}; ({over} + 1/2)/({counted} + 1) = {:.2} %",
                    crate::quantity::counted(counted, "firing"),
                    100.0 * count.chance()
                )
            },
        })
    }

    /// A batch on record on a day.
    ///
    /// # Errors
    /// It is not on record.
    pub fn batch_on(&self, name: &str, day: NaiveDate) -> Result<BatchRecord, Refusal> {
        self.must_know(SubjectOf::Batch, "batch", name)?;
        match self.book().batch(name, day)? {
            Some((record, _)) => Ok(record),
            None => Err(Refusal::field("batch", format!("batch {name} was not on record yet on {day}"))),
        }
    }

    /// What a plan's own numbers say, for the pre-fire: worked out once for each load and batch of a casing.
    pub(super) fn plan_facts(
        &self,
        record: &LoadRecord,
        casing: &str,
        planned: Planned<'_>,
        day: NaiveDate,
    ) -> Result<PlanFacts, StoreError> {
        // Names hold no line breaks; the load and the batch are those of that day.
        let grain_k = planned.grain.map(Quantity::si);
        let about = format!("{day}\n{casing}\n{}\n{:?}\n{grain_k:?}", record.name, planned.batch);
        let facts = self
            .book()
            .remembered("facts of a plan", about, || self.work_out_facts(record, casing, planned, day))?;
        Ok((*facts).clone())
    }

    fn work_out_facts(
        &self,
        record: &LoadRecord,
        casing: &str,
        planned: Planned<'_>,
        day: NaiveDate,
    ) -> Result<PlanFacts, StoreError> {
        let batch = match planned.batch {
            Some(name) => self.book().batch(name, day)?.map(|(batch, _)| batch),
            None => None,
        };
        let mut facts = PlanFacts {
            throat_m: record.nozzle.as_ref().map(|nozzle| nozzle.throat.si()),
            smallest_throat_m: *self.book().remembered(
                "smallest throat fired",
                format!("{day} {casing}"),
                || self.smallest_throat_fired(casing, day),
            )?,
            grain_k: planned.grain.map(Quantity::si),
            ..PlanFacts::default()
        };
        if let Some(Ok(own)) = own_prediction(record, batch.as_ref()) {
            facts.kn = Some([own.kn_start.min(own.kn_end), own.kn_max]);
            facts.port_to_throat = Some(own.port_to_throat);
            facts.with_batch =
                batch.as_ref().map(|batch| (own.peak_pressure_absolute_pa.si(), batch_words(batch)));
        }
        if let Some(name) = planned.batch {
            // The same for every load it may go into.
            let page = self.batch_remembered(name, day)?;
            facts.tested_kn = page.tested_kn();
            facts.data_k = page.data_k(batch.as_ref());
            facts.hot = facts.grain_k.and_then(|grain_k| page.hot(batch.as_ref(), grain_k));
        }
        Ok(facts)
    }

    /// The firings of a batch, remembered until anybody writes.
    pub(super) fn batch_remembered(
        &self,
        name: &str,
        day: NaiveDate,
    ) -> Result<std::sync::Arc<batch::BatchFirings>, StoreError> {
        self.book()
            .remembered("firings of a batch", format!("{day} {name}"), || self.batch_firings(name, day))
    }

    /// The smallest throat a casing was fired with: as measured before the firing, else as its load had it.
    fn smallest_throat_fired(&self, casing: &str, day: NaiveDate) -> Result<Option<f64>, StoreError> {
        let entries = self.book().history_kept(casing)?;
        let struck = crate::standing::assessment::struck(&entries, day);
        let mut planned: BTreeMap<String, Option<f64>> = BTreeMap::new();
        let mut smallest: Option<f64> = None;
        for entry in entries.iter().filter(|it| it.entry.happened_on <= day && !struck.contains(&it.id)) {
            let Details::Firing(firing) = &entry.entry.details else { continue };
            if firing.casing != casing {
                continue;
            }
            let throat = match (&firing.throat_before, &firing.load) {
                (Some(throat), _) => Some(throat.si()),
                (None, Some(load)) => match planned.get(load) {
                    Some(known) => *known,
                    None => {
                        let record = self.book().load(load, entry.entry.happened_on)?;
                        let throat = record.and_then(|(load, _)| load.nozzle).map(|it| it.throat.si());
                        planned.insert(load.clone(), throat);
                        throat
                    }
                },
                (None, None) => None,
            };
            smallest = match (smallest, throat) {
                (Some(one), Some(other)) => Some(one.min(other)),
                (one, other) => one.or(other),
            };
        }
        Ok(smallest)
    }

    /// The limits of a casing on record.
    ///
    /// # Errors
    /// It is not on record, or the book cannot be read.
    pub fn casing_limits(&self, serial: &str, day: NaiveDate) -> Result<CasingLimits, Refusal> {
        self.must_know(SubjectOf::Casing, "casing", serial)?;
        let assessed = self.assess(serial, day)?;
        if assessed.design.is_none() {
            let message = format!("{serial} was not registered yet on {day}");
            return Err(Refusal::Form(vec![Problem::new("casing", message)]));
        }
        Ok(CasingLimits::of(&assessed, day))
    }
}

/// A chance as people read it: per cent, and one in how many where it is rare.
pub fn chance_words(chance: f64) -> String {
    if chance >= 0.995 {
        "nearly every one".to_owned()
    } else if chance >= 0.05 {
        format!("{:.0} %", 100.0 * chance)
    } else if chance >= 1e-6 {
        format!("{:.2} % (1 in {:.0})", 100.0 * chance, 1.0 / chance)
    } else {
        // What is assumed of scatter says nothing of tails that far out.
        "under 1 in a million".to_owned()
    }
}

//! A batch and its firings: what they say of its burn law. Nothing is changed here: a fit proposes, and only a new
//! batch entry counts.

use std::collections::HashMap;

use chrono::NaiveDate;
use serde::Serialize;

use crate::ballistics::fit::{Fit, Law, Shot, fit};
use crate::ballistics::sensitivity::hotter;
use crate::book::details::{BatchRecord, FiringRecord, LoadRecord};
use crate::book::{Answers, Kind, PeakFrom};
use crate::desk::Desk;
use crate::desk::calculators::plan;
use crate::desk::own_plan::load_of;
use crate::desk::record::{Follow, Refusal};
use crate::quantity::{AbsolutePressure, Density, Length, Quantity, Speed, Typed};
use crate::standing::planned::Hot;
use crate::standing::{EntryRef, RuleSet};
use crate::store::StoreError;

/// One firing of a batch.
#[derive(Clone, Debug, Serialize)]
pub struct BatchFiring {
    /// Its entry.
    pub entry: EntryRef,
    /// The casing.
    pub casing: String,
    /// The load.
    pub load: Option<String>,
    /// Greatest and least Kn of its burn, where its load says enough.
    pub kn: Option<[f64; 2]>,
    /// Measured peak, absolute.
    pub peak_pa: Option<f64>,
    /// How that peak is known.
    pub peak_from: Option<PeakFrom>,
    /// The peak that the load's own numbers give for the throat it had, absolute.
    pub expected_pa: Option<f64>,
    /// Grain temperature, kelvin.
    pub grain_k: Option<f64>,
    /// Why it is not in the fit.
    pub left_out: Option<String>,
    #[serde(skip)]
    shot: Option<Shot>,
}

/// The firings of a batch.
#[derive(Clone, Debug, Default, Serialize)]
pub struct BatchFirings {
    /// Each, in the order they happened.
    pub firings: Vec<BatchFiring>,
}

impl BatchFirings {
    /// The Kn burned through and in how many firings; odd firings count too: they were fired.
    pub fn tested_kn(&self) -> Option<([f64; 2], u32)> {
        let known: Vec<[f64; 2]> = self.firings.iter().filter_map(|it| it.kn).collect();
        let least = known.iter().map(|it| it[0]).fold(f64::INFINITY, f64::min);
        let most = known.iter().map(|it| it[1]).fold(0.0, f64::max);
        (!known.is_empty()).then(|| ([least, most], u32::try_from(known.len()).unwrap_or(u32::MAX)))
    }

    /// The grain temperatures of the data: of the firings, and the one the batch's numbers are for.
    pub fn data_k(&self, batch: Option<&BatchRecord>) -> Option<[f64; 2]> {
        let stated = batch.and_then(|it| it.at_temperature.as_ref()).map(Typed::si);
        let all = self.firings.iter().filter_map(|it| it.grain_k).chain(stated);
        let (least, most) =
            all.fold((f64::INFINITY, 0.0_f64), |(least, most), it| (least.min(it), most.max(it)));
        (most > 0.0).then_some([least, most])
    }

    /// What a grain hotter than the batch's numbers does to the peak; `None` where it is no hotter, or where nobody
    /// knows what they hold at. They hold at the temperature written down for them, else in the middle of what the
    /// batch was fired at.
    pub(crate) fn hot(&self, batch: Option<&BatchRecord>, grain_k: f64) -> Option<Hot> {
        let stated = batch.and_then(|it| it.at_temperature.as_ref()).map(Typed::si);
        let [least, most] = self.data_k(batch)?;
        let holds_at_k = stated.unwrap_or(0.5 * (least + most));
        (grain_k > holds_at_k).then(|| Hot { holds_at_k, ratio: hotter(grain_k - holds_at_k) })
    }
}

/// A batch, its firings, and what they say.
#[derive(Clone, Debug, Serialize)]
pub struct BatchPage {
    /// The batch.
    pub name: String,
    /// Its numbers in force, in words.
    pub numbers: String,
    /// Where they came from.
    pub numbers_from: Option<String>,
    /// How often it was fired.
    pub fired: usize,
    /// Each firing.
    pub firings: Vec<BatchFiring>,
    /// Grain temperatures of the data, kelvin.
    pub data_k: Option<[f64; 2]>,
    /// What the firings say, where any can be used.
    pub fit: Option<Fit>,
    /// Why there is none.
    pub no_fit: Option<String>,
    /// The fields of the batch entry that would take it up; empty where there is nothing to take up.
    #[serde(skip)]
    pub proposal: Vec<(&'static str, String)>,
    /// The same as a command.
    pub command: Option<String>,
}

impl Desk {
    /// The firings of a batch until a day, each with its Kn and the peak its load's own numbers give.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn batch_firings(&self, name: &str, day: NaiveDate) -> Result<BatchFirings, StoreError> {
        let rules = self.book().rules_on(day)?;
        let mut firings = Vec::new();
        let mut burns = Burns::default();
        for fired in self.fired(name, day)? {
            let burned =
                fired.load.as_deref().and_then(|(load, entry)| burns.of(entry.number, load, &fired.firing));
            let mut found = seen(fired.at, &fired.firing, burned, &rules);
            if fired.peak_cut_off.is_some() {
                found.left_out = fired.peak_cut_off;
                found.shot = None;
            }
            firings.push(found);
        }
        Ok(BatchFirings { firings })
    }

    /// A batch with what its firings say of it.
    ///
    /// # Errors
    /// It is not on record, or the book cannot be read.
    pub fn batch_page(&self, name: &str, day: NaiveDate) -> Result<BatchPage, Refusal> {
        let record = self.batch_on(name, day)?;
        let found = self.batch_firings(name, day)?;
        let rules = self.book().rules_on(day)?;
        let data_k = found.data_k(Some(&record));
        let shots: Vec<Shot> =
            found.firings.iter().filter(|it| it.left_out.is_none()).filter_map(|it| it.shot).collect();
        let nominal = self.nominal_of(&found, day)?;
        let (fit, no_fit) = match &nominal {
            Some((exponent, reference)) if !shots.is_empty() => {
                match fit(&shots, *exponent, *reference, rules.value("peak-scatter") / 100.0) {
                    Ok(fit) => (Some(fit), None),
                    Err(error) => (None, Some(error.to_string())),
                }
            }
            _ => (
                None,
                Some(format!(
                    "no firing of {name} can be used: one is needed with a measured peak and a load that says its grain, propellant and throat"
                )),
            ),
        };
        let proposal = fit.as_ref().map_or_else(Vec::new, |fit| propose(&record, fit, &found));
        let command = (!proposal.is_empty()).then(|| {
            let fields: Vec<String> = proposal
                .iter()
                .map(|(field, words)| format!("--{} \"{words}\"", field.replace(['.', '_'], "-")))
                .collect();
            format!("proofmark log batch {}", fields.join(" "))
        });
        Ok(BatchPage {
            name: record.name.clone(),
            numbers: crate::desk::own_plan::batch_words(&record),
            numbers_from: record.numbers_from.clone(),
            fired: found.firings.len(),
            firings: found.firings,
            data_k,
            fit,
            no_fit,
            proposal,
            command,
        })
    }

    /// Exponent and reference pressure before the fit: of the load of the first firing that says them.
    fn nominal_of(
        &self,
        found: &BatchFirings,
        day: NaiveDate,
    ) -> Result<Option<(f64, AbsolutePressure)>, StoreError> {
        for firing in found.firings.iter().filter(|it| it.shot.is_some()) {
            let Some(name) = &firing.load else { continue };
            if let Some((load, _)) = self.book().load(name, day)?
                && let Ok(load) = load_of(&load, None)
            {
                return Ok(Some((load.propellant.exponent, load.propellant.burn_rate.at)));
            }
        }
        Ok(None)
    }
}

/// What a load's own numbers give for a throat: Kn, peak, and what of the load the fit wants.
#[derive(Clone, Copy)]
struct Burn {
    kn_low: f64,
    kn_max: f64,
    peak: AbsolutePressure,
    density: Density,
    characteristic_velocity: Speed,
}

/// The burns worked out so far, by the load's entry and the throat before and after: most firings of a batch have one
/// in common with another.
#[derive(Default)]
struct Burns(HashMap<(i64, Option<u64>, Option<u64>), Option<Burn>>);

impl Burns {
    fn of(&mut self, entry: i64, load: &LoadRecord, firing: &FiringRecord) -> Option<Burn> {
        let bits = |throat: &Option<Typed<Length>>| throat.as_ref().map(|it| it.si().to_bits());
        let key = (entry, bits(&firing.throat_before), bits(&firing.throat_after));
        *self.0.entry(key).or_insert_with(|| burn(load, firing))
    }
}

fn burn(load: &LoadRecord, firing: &FiringRecord) -> Option<Burn> {
    let mut own = load_of(load, None).ok()?;
    if let Some(throat) = &firing.throat_before {
        own.nozzle.throat = throat.clone();
    }
    if let (Some(before), Some(after)) = (&firing.throat_before, &firing.throat_after) {
        own.nozzle.throat_growth = Some(Typed::computed(Length::from_si(after.si() - before.si())));
    }
    let expected = plan(&own, None).ok()?;
    Some(Burn {
        kn_low: expected.kn_start.min(expected.kn_end),
        kn_max: expected.kn_max,
        peak: expected.peak_pressure_absolute_pa,
        density: own.propellant.density.value,
        characteristic_velocity: own.propellant.characteristic_velocity.value,
    })
}

/// A firing as the fit sees it.
fn seen(entry: EntryRef, firing: &FiringRecord, burned: Option<Burn>, rules: &RuleSet) -> BatchFiring {
    let mut found = BatchFiring {
        entry,
        casing: firing.casing.clone(),
        load: firing.load.clone(),
        kn: None,
        peak_pa: firing.peak_pressure.as_ref().map(Typed::si),
        peak_from: firing.peak_from,
        expected_pa: None,
        grain_k: firing.grain_temperature.as_ref().map(Typed::si),
        left_out: None,
        shot: None,
    };
    let Some(expected) = burned else {
        found.left_out = Some("its load does not say grain, propellant and throat".to_owned());
        return found;
    };
    found.kn = Some([expected.kn_low, expected.kn_max]);
    found.expected_pa = Some(expected.peak.si());
    let Some(peak) = found.peak_pa else {
        found.left_out = Some("no peak pressure on record".to_owned());
        return found;
    };
    let planned = firing.planned_peak.as_ref().map_or(expected.peak.si(), Typed::si);
    let ratio = peak / planned;
    found.left_out = if firing.peak_from == Some(PeakFrom::Video) {
        Some("a scale on video: its peak is a lower bound".to_owned())
    } else if ratio > rules.value("peak-far-over-plan") {
        Some(format!("a hard start, {ratio:.2} x plan: no steady burn"))
    } else if ratio < rules.value("peak-under-plan") {
        Some(format!("{ratio:.2} x plan: a leak, a breach or a lost nozzle, no steady burn"))
    } else {
        None
    };
    found.shot = Some(Shot {
        kn: expected.kn_max,
        kn_low: expected.kn_low,
        density: expected.density,
        characteristic_velocity: expected.characteristic_velocity,
        peak: AbsolutePressure::from_si(peak),
        expected: expected.peak,
    });
    found
}

/// The batch entry that would take up what the firings say: rate and exponent where they bound both, else the factor.
fn propose(record: &BatchRecord, fit: &Fit, found: &BatchFirings) -> Vec<(&'static str, String)> {
    let mut fields = vec![("name", record.name.clone())];
    match fit.law.filter(trusted) {
        Some(law) => {
            let rate = law.burn_rate();
            fields.push((
                "propellant.burn_rate",
                format!("{:.3} mm/s at {:.4} MPa", rate.rate.si() * 1e3, rate.at.as_mpa()),
            ));
            fields.push(("propellant.exponent", format!("{:.3}", law.exponent.value)));
        }
        None => fields.push(("burn_rate_factor", format!("{:.3}", fit.factor.value))),
    }
    if let Some(density) = &record.propellant.density {
        fields.push(("propellant.density", format!("{} kg/m3", density.si())));
    }
    if let Some(cstar) = &record.propellant.characteristic_velocity {
        fields.push(("propellant.characteristic_velocity", format!("{} m/s", cstar.si())));
    }
    if let Some(ratio) = record.propellant.ratio_of_heats {
        fields.push(("propellant.ratio_of_heats", format!("{ratio}")));
    }
    if let Some([low, high]) = found.data_k(None) {
        fields.push(("at_temperature", format!("{:.1} degC", f64::midpoint(low, high) - 273.15)));
    } else if let Some(at) = &record.at_temperature {
        fields.push(("at_temperature", format!("{:.1} degC", at.si() - 273.15)));
    }
    let used: Vec<String> = found
        .firings
        .iter()
        .filter(|it| it.left_out.is_none())
        .map(|it| it.entry.number.to_string())
        .collect();
    fields.push(("numbers_from", format!("fit to firings of this batch, entries {}", used.join(", "))));
    fields
}

/// Whether a law is worth proposing: believable, its exponent bounded on both sides to within 0.2.
pub fn trusted(law: &Law) -> bool {
    let bounded = matches!(
        (law.exponent.low, law.exponent.high),
        (Some(low), Some(high)) if high - low <= 0.4 && low >= -0.5 && high <= 0.95
    );
    law.believable() && bounded
}

/// The proposal as a form's answers.
pub fn answers(page: &BatchPage) -> (Kind, Answers) {
    let mut answers = Answers::new();
    for (field, words) in &page.proposal {
        answers.set(field, words.as_str());
    }
    (Kind::Batch, answers)
}

impl Desk {
    /// New numbers of a batch on record say where they come from, and are not dated before the ones they follow.
    pub(in crate::desk) fn refuse_unfounded_batch(
        &self,
        record: &BatchRecord,
        on: NaiveDate,
        follows: &mut Vec<Follow>,
    ) -> Result<(), Refusal> {
        let Some((_, before)) = self.book().batch(&record.name, NaiveDate::MAX)? else { return Ok(()) };
        if record.numbers_from.is_none() {
            return Err(Refusal::field(
                "numbers_from",
                format!(
                    "batch {} is on record, entry {}: new numbers of it say where they come from; to correct a slip, strike that entry first",
                    record.name, before.number
                ),
            ));
        }
        if on < before.on {
            return Err(Refusal::field(
                "on",
                format!(
                    "batch {} has numbers of {} on record, entry {}: new ones cannot be dated before them",
                    record.name, before.on, before.number
                ),
            ));
        }
        follows.push(Follow::from(format!(
            "batch {} now burns by these numbers; entry {} stays readable and counts for the days before {on}",
            record.name, before.number
        )));
        Ok(())
    }
}

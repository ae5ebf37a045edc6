//! Will an entry count as what it is written as? Said before it is written, while a name, a time or a reading that
//! was left out can still be put in.

use chrono::NaiveDate;

use super::Desk;
use crate::book::details::{GaugeRecord, PersonRecord, ProofRecord};
use crate::book::{Details, Kind, Problem, Subject, SubjectOf};
use crate::design::Design;
use crate::quantity::Quantity;
use crate::standing::proofs::{NOT_BLED, RIG_NOT_IN_ORDER};
use crate::standing::{RuleSet, proofs};
use crate::store::StoreError;

/// What keeps a proof from counting though nothing went wrong with the casing: a name, a time, a reading that is
/// not there. What was measured and failed is no slip, and is left to the judgement.
pub(super) fn of_a_proof(
    record: &ProofRecord,
    second: bool,
    design: &Design,
    rules: &RuleSet,
) -> Vec<Problem> {
    proofs::judge(record, second, design, rules)
        .into_iter()
        .filter(|line| {
            let as_it_was_run =
                line.rule == "proof-hold-least" || line.value == NOT_BLED || line.value == RIG_NOT_IN_ORDER;
            !line.met && (line.unshown || as_it_was_run)
        })
        .map(|line| {
            let field = match line.rule {
                "proof-second" | "permanent-set-second-reader" => "second",
                "proof-hold-least" => "hold",
                _ if line.value == NOT_BLED => "bled",
                _ if line.value == RIG_NOT_IN_ORDER => "rig_checked",
                "proof-growth-after" | "proof-weld-zone" => match record.readings.is_empty() {
                    true => "od_before",
                    false => "od_after",
                },
                _ if record.leak.is_none() => "leak",
                _ if record.pressure_drop.is_none() => "pressure_drop",
                _ => "pressure",
            };
            Problem::new(field, format!("written so, this proof does not count: {}", line.text))
        })
        .collect()
}

/// A proof under the least share of MEOP takes the place of a better one, and covers no load.
pub(super) fn of_too_little(record: &ProofRecord, design: &Design, rules: &RuleSet) -> Option<Problem> {
    let meop = design.service.meop.value.si();
    let (of_meop, least) = (record.pressure.si() / meop, rules.value("proof-factor-least"));
    (of_meop < least - 1e-9).then(|| {
        Problem::new(
            "pressure",
            format!(
                "this is {of_meop:.2} times MEOP, and a proof is {least} times at least ({}): it does not count for one, and takes the place of the proof before it",
                rules.source("proof-factor-least")
            ),
        )
    })
}

impl Desk {
    /// A person who is on record already: said before a second entry under the name takes the first one's place.
    pub(super) fn known_person(&self, record: &PersonRecord) -> Result<Option<Problem>, StoreError> {
        if record.leaves {
            return Ok(None);
        }
        let subject = Subject { of: SubjectOf::Person, name: record.name.clone() };
        let last = self.book().last_of(Kind::Person, &subject, NaiveDate::MAX)?;
        Ok(last.and_then(|entry| match &entry.entry.details {
            Details::Person(old) if !old.leaves => Some(Problem::new(
                "name",
                format!(
                    "{} is on record already (entry {}, {}): this entry takes that one's place",
                    record.name, entry.number, old.role
                ),
            )),
            _ => None,
        }))
    }

    /// A gauge that is on record already, where this is no later calibration of it.
    pub(super) fn known_gauge(&self, record: &GaugeRecord) -> Result<Option<Problem>, StoreError> {
        let subject = Subject { of: SubjectOf::Gauge, name: record.serial.clone() };
        let last = self.book().last_of(Kind::Gauge, &subject, NaiveDate::MAX)?;
        Ok(last.and_then(|entry| match &entry.entry.details {
            Details::Gauge(old) => {
                let later = record.calibrated_on.is_some() && record.calibrated_on > old.calibrated_on;
                let message = format!(
                    "{} is on record already (entry {}, {}), and this is no later calibration of it: it takes that entry's place",
                    record.serial, entry.number, old.what
                );
                (!later || old.what != record.what).then(|| Problem::new("serial", message))
            }
            _ => None,
        }))
    }
}

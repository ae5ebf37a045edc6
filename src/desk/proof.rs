//! A proof planned for a casing on record.

use super::record::Refusal;
use super::{Desk, instruments};
use crate::book::{Answers, Details, Kind, SubjectOf};
use crate::quantity::{GaugePressure, System};
use crate::standing::proof_plan::{self, ProofPlan};
use crate::standing::proofs::{self, ProofLine};

impl Desk {
    /// Plan a proof on the day asked; with the dial gauge named, by what that one repeats to.
    ///
    /// # Errors
    /// The casing is not on record or cannot be proofed, or the book cannot be read.
    pub fn proof_plan(
        &self,
        serial: &str,
        pressure: Option<GaugePressure>,
        dial: Option<&str>,
    ) -> Result<ProofPlan, Refusal> {
        self.must_know(SubjectOf::Casing, "serial", serial)?;
        let day = self.day();
        let assessed = self.assess(serial, day)?;
        let rules = self.book().rules_on(day)?;
        let mut plan = proof_plan::plan(&assessed, day, pressure, &rules)
            .map_err(|proof_plan::NoPlan(why)| Refusal::field("serial", why))?;
        if let Some(mark) = dial
            && let Some(gauge) = self.gauge(mark, day)?
        {
            if gauge.out {
                plan.cautions
                    .push(format!("the calibration of {mark} has run out: compare it before you trust it"));
            }
            match instruments::spread_mm(gauge.study.as_ref().map(|(study, _)| &study.repeatability)) {
                Some(spread) => plan.dial_mm = spread,
                None => plan.cautions.push(format!("{mark} has no repeatability study: log study makes one")),
            }
        }
        Ok(plan)
    }
}

/// Whether a second person's name is all that a line asks for.
fn by_a_second(line: &ProofLine) -> bool {
    matches!(line.rule, "proof-second" | "permanent-set-second-reader")
}

/// How a proof came out, judged before rounding.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// Every rule is met.
    Passes,
    /// All are met but the one that asks for a second reader.
    SecondReader(ProofLine),
    /// Some rule is not met.
    Fails(Vec<ProofLine>),
}

impl Desk {
    /// What a proof form says so far, judged as the book will judge it; `None` where it is not complete.
    pub fn verdict(&self, answers: &Answers, bare_numbers: Option<System>) -> Option<Verdict> {
        let read = self.read(Kind::Proof, answers, bare_numbers).ok()?;
        let Details::Proof(record) = read.details else { return None };
        let design = self.assess(&record.casing, read.head.happened_on).ok()?.design?;
        let rules = self.book().rules_on(read.head.happened_on).ok()?;
        let missed: Vec<ProofLine> = proofs::judge(&record, read.head.second.is_some(), &design, &rules)
            .into_iter()
            .filter(|line| !line.met)
            .collect();
        Some(match missed.as_slice() {
            [] => Verdict::Passes,
            [first, rest @ ..] if std::iter::once(first).chain(rest).all(by_a_second) => {
                Verdict::SecondReader(first.clone())
            }
            _ => Verdict::Fails(missed),
        })
    }
}

//! A proof planned for a casing on record.

use super::record::Refusal;
use super::{Desk, instruments};
use crate::book::SubjectOf;
use crate::quantity::GaugePressure;
use crate::standing::proof_plan::{self, ProofPlan};

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
                plan.cautions.push(format!("the calibration of {mark} has run out: compare it before you trust it"));
            }
            match instruments::spread_mm(gauge.study.as_ref().map(|(study, _)| &study.repeatability)) {
                Some(spread) => plan.dial_mm = spread,
                None => plan.cautions.push(format!("{mark} has no repeatability study: log study makes one")),
            }
        }
        Ok(plan)
    }
}

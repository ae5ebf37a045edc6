//! Decisions on the timeline, and what still waits for one.

use super::{Restriction, Timeline};
use crate::book::details::DispositionRecord;
use crate::book::{Decision, Standing};
use crate::quantity::{System, show};
use crate::standing::matter::Matter;
use crate::standing::reason::{EntryRef, Reason};

impl Timeline<'_> {
    pub(super) fn decide(&mut self, record: &DispositionRecord, second: bool, at: EntryRef) {
        if let Some(part) = &record.part {
            self.release_part(record, second);
            let state = self.parts.entry(part.clone()).or_default();
            match record.decision {
                Decision::Retire => state.retired = Some(at),
                decision => {
                    if matches!(decision, Decision::Keep | Decision::Watch) {
                        // A narrower throat that was accepted is its throat from here on.
                        state.clear_throat_m = None;
                    }
                    for matter in self.matters.iter_mut().filter(|it| it.part.as_deref() == Some(part)) {
                        matter.decide(decision, second, at);
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
        if let (Some(casing), Decision::Retire) = (&record.casing, record.decision) {
            self.bind_parts(casing, at);
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
                let what = record.repair.as_ref().map_or_else(String::new, |what| format!(": {what}"));
                self.repairing = Some(at);
                self.build_changed = Some((at, format!("it was sent for repair on {}{what}", at.on)));
            }
        }
        for matter in self.matters.iter_mut().filter(|it| it.part.is_none()) {
            matter.decide(record.decision, second, at);
        }
        self.settle();
    }

    /// What the last firing or strip still waits for.
    pub(in crate::standing) fn waiting(&self) -> Vec<Reason> {
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
        if let Some(firing) = self.peak_unknown.last() {
            reasons.push(self.reason(
                Standing::Watch,
                "peak-known",
                format!("the peak of the firing of {} is not known", firing.on),
                "peak not known".to_owned(),
                *firing,
                "attach its trace if there is one; it counts as a firing at MEOP",
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

    pub(in crate::standing) fn decided(&self) -> Vec<Reason> {
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
                &record.extra_checks.as_ref().map_or_else(
                    || "no extra check was named: decide again and name one, or keep it".to_owned(),
                    |checks| format!("the extra check: {checks}"),
                ),
            ));
            if let Some(ends) = record.expires {
                reasons.push(Reason {
                    from: ends.succ_opt(),
                    ..self.reason(
                        Standing::Hold,
                        "disposition",
                        format!("the watch ended on {ends}"),
                        format!("ended {ends}"),
                        *at,
                        "decide again",
                    )
                });
            }
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
            terms.push(format!("proof every {}", crate::quantity::counted(every, "firing")));
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
}

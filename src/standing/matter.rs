//! A matter: something on record that is not yet settled, and what settles it.

use super::reason::{EntryRef, Reason};
use crate::book::damage::Damage;
use crate::book::{Decision, Standing};

/// Something that is not yet settled.
#[derive(Clone, Debug, PartialEq)]
pub struct Matter {
    /// Why, as it would be shown.
    pub reason: Reason,
    /// Settled only by a passing proof after it.
    pub needs_proof: bool,
    /// Settled only by a decision with two names.
    pub needs_second: bool,
    /// Settled only by a decision at least this strong; `None`: no decision is asked for.
    pub needs_decision: Option<Decision>,
    /// Whether that decision has been made.
    pub decided: bool,
    /// The decision that was made.
    pub decided_by: Option<EntryRef>,
    /// Whether that proof has passed.
    pub proved: bool,
    /// The part it belongs to; it counts only while the part is fitted.
    pub part: Option<String>,
    /// Damage whose size was not measured; the same damage with a size takes its place.
    pub unmeasured: Option<Damage>,
    /// Growth it accepts when settled: station in millimetres, clock angle, percentage.
    pub growth: Option<(f64, Option<f64>, f64)>,
    /// A proof that failed, and what the next one must do to stand for it.
    pub failed: Option<FailedProof>,
    /// Whether it speaks of a gauge whose calibration had run out: only a proof with one in date settles it.
    pub by_gauge: bool,
}

/// What a proof that failed asks of the next: a pressure that covers MEOP, and the stations that failed read again.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FailedProof {
    /// Stations in millimetres.
    pub stations_mm: Vec<f64>,
}

/// A passing proof, as what is open looks at it.
#[derive(Clone, Debug, PartialEq)]
pub struct Proved {
    /// Whether it reached what the rule in force asks for on the MEOP in force.
    pub covers_meop: bool,
    /// Stations in millimetres it read after pressure.
    pub stations_mm: Vec<f64>,
    /// Whether its pressure gauge was in date, as far as anybody knows.
    pub gauge_in_date: bool,
}

impl Matter {
    /// A matter that only a decision settles.
    pub fn decision(reason: Reason, at_least: Decision) -> Self {
        Self {
            reason,
            needs_proof: false,
            needs_second: false,
            needs_decision: Some(at_least),
            decided: false,
            decided_by: None,
            proved: false,
            part: None,
            unmeasured: None,
            growth: None,
            failed: None,
            by_gauge: false,
        }
    }

    /// A matter that only a proof settles.
    pub fn proof(reason: Reason) -> Self {
        Self { needs_proof: true, needs_decision: None, ..Self::decision(reason, Decision::Keep) }
    }

    /// Also needs a proof.
    pub fn and_proof(mut self) -> Self {
        self.needs_proof = true;
        self
    }

    /// The decision needs two names.
    pub fn two_names(mut self) -> Self {
        self.needs_second = true;
        self
    }

    /// Belongs to a part.
    pub fn of_part(mut self, part: Option<String>) -> Self {
        self.part = part;
        self
    }

    /// Only retirement, a strike, or taking the part out settles it.
    pub fn is_final(&self) -> bool {
        self.needs_decision == Some(Decision::Retire)
    }

    /// A passing proof came after it.
    pub fn prove(&mut self, proof: &Proved) {
        let again = self.failed.as_ref().is_none_or(|failed| {
            proof.covers_meop
                && failed
                    .stations_mm
                    .iter()
                    .all(|station| proof.stations_mm.iter().any(|read| (read - station).abs() <= 0.5))
        });
        if again && (proof.gauge_in_date || !self.by_gauge) {
            self.proved = true;
        }
    }

    /// A decision came after it.
    pub fn decide(&mut self, decision: Decision, second: bool, at: EntryRef) {
        let strong_enough =
            self.needs_decision.is_some_and(|least| decision >= least) && decision != Decision::Hold;
        if strong_enough && (second || !self.needs_second) {
            self.decided = true;
            self.decided_by = Some(at);
        }
    }

    /// Whether just what settles another matter settles this one as well.
    pub fn settled_by_same(&self, other: &Self) -> bool {
        (self.needs_decision, self.decided, self.needs_proof, self.proved, &self.part)
            == (other.needs_decision, other.decided, other.needs_proof, other.proved, &other.part)
    }

    /// Whether everything it asks for has come.
    pub fn settled(&self) -> bool {
        (!self.needs_proof || self.proved) && (self.needs_decision.is_none() || self.decided)
    }

    /// The reason as it stands now: once decided, what is left is a proof that is due.
    /// A proof that did not pass stays what it is until another passes.
    pub fn reason_now(&self) -> Reason {
        let mut reason = self.reason.clone();
        let only_proof_left =
            self.needs_proof && !self.proved && self.needs_decision.is_some() && self.decided;
        if only_proof_left && let Some(failed) = &self.failed {
            let mut stations: Vec<String> =
                failed.stations_mm.iter().map(|it| format!("{it:.0} mm")).collect();
            // Several angles of one station are one station.
            let mut said = std::collections::BTreeSet::new();
            stations.retain(|it| said.insert(it.clone()));
            reason.next = format!(
                "proof it again (water, never gas), as high as its MEOP asks for{}",
                if stations.is_empty() {
                    String::new()
                } else {
                    format!(", and read station {} again", stations.join(", "))
                }
            );
        } else if only_proof_left && reason.standing == Standing::Hold {
            reason.standing = Standing::Overdue;
            reason.next = "proof it again (water, never gas)".to_owned();
        }
        reason
    }
}

/// The last day and entry of a passing proof.
#[derive(Clone, Debug, PartialEq)]
pub struct PassingProof {
    /// The entry.
    pub entry: EntryRef,
    /// The pressure it reached, pascals above the atmosphere.
    pub pressure_pa: f64,
    /// Firings since.
    pub firings_since: u32,
}

//! A firing on the timeline: was it forbidden, and what did its peak do?

use super::Timeline;
use crate::book::details::{FiringRecord, TraceRecord};
use crate::book::{Decision, Landing, Standing};
use crate::quantity::{GaugePressure, Quantity, STANDARD_ATMOSPHERE_PA, System, show};
use crate::standing::assessment::Breach;
use crate::standing::exceeds;
use crate::standing::matter::Matter;
use crate::standing::reason::{EntryRef, Reason};

/// Pressure worked back from thrust is good to about 8 to 15 % (common practice, no source).
const TRUSTED_RATIO: f64 = 1.15;

/// Patterns of a trace that are a sudden drop, as [`crate::trace::findings`] words them.
const DROPS: [&str; 2] = ["sudden drop, long weak tail", "step down"];

/// The peak, pascals above vacuum, that a thrust speaks of: at one throat thrust goes with pressure, so the plan's
/// peak times thrust over planned thrust.
fn peak_by_thrust(record: &FiringRecord) -> Option<f64> {
    let (thrust, planned) = (record.peak_thrust.as_ref()?, record.planned_thrust.as_ref()?);
    Some(record.planned_peak.as_ref()?.si() * thrust.si() / planned.si())
}

/// A ratio with as many digits, two at least, as tell it from a limit.
fn apart_from(ratio: f64, limit: f64) -> String {
    (2..=6)
        .map(|digits| (format!("{ratio:.digits$}"), format!("{limit:.digits$}")))
        .find(|(ratio, limit)| ratio != limit)
        .map_or_else(|| format!("{ratio:.2}"), |(ratio, _)| ratio)
}

impl Timeline<'_> {
    fn wear_parts(&mut self, record: &FiringRecord) {
        for part in &record.parts {
            self.parts.entry(part.part.clone()).or_default().firings += 1;
        }
    }

    pub(super) fn fire(&mut self, record: &FiringRecord, at: EntryRef) {
        if record.casing != self.serial {
            self.wear_parts(record);
            return;
        }
        // A part's last permitted firing is permitted: what forbids is asked before this one counts.
        let mut forbidding = self.forbidding(at.on);
        forbidding.extend(
            self.against_restriction(record.load.as_deref(), record.planned_peak.as_ref().map(|it| it.si())),
        );
        if !forbidding.is_empty() || record.breach.is_some() {
            self.breaches.push(Breach {
                firing: at,
                number: self.firings + 1,
                reason: record.breach.as_ref().map(|breach| breach.reason.clone()),
                forbidden_by: forbidding,
            });
        }
        self.wear_parts(record);
        self.firings += 1;
        let peak = record.peak_pressure.as_ref().map(|peak| peak.si() - STANDARD_ATMOSPHERE_PA);
        self.cycles.extend(peak.or_else(|| self.meop_pa()).filter(|peak| *peak > 0.0));
        if let Some(proof) = &mut self.proof {
            proof.firings_since += 1;
        }
        self.awaiting_strip = Some(at);
        self.penetrant_firings += 1;
        if record.landing == Some(Landing::Hard) {
            self.landed_hard = Some(at);
        }
        self.awaiting_decision = Some(at);
        self.strip_gaps = None;
        if let Some(throat) = &record.throat_after {
            self.set_throat(throat.si());
        }
        let planned = record.planned_peak.as_ref().map(|it| it.si());
        let typed = record.peak_pressure.as_ref().map(|peak| peak.si());
        let by_thrust = peak_by_thrust(record);
        // Where thrust speaks of clearly more pressure than was written down, the higher one is judged.
        let judged = match (typed, by_thrust) {
            (Some(typed), Some(by_thrust)) if by_thrust > TRUSTED_RATIO * typed => Some(by_thrust),
            (typed, by_thrust) => typed.or(by_thrust),
        };
        if let Some(peak) = judged {
            self.judge_peak(peak, planned, at);
        } else {
            let reason = self.reason(
                Standing::Hold,
                "peak-known",
                format!("the peak of the firing of {} is not known: no rule can judge it", at.on),
                "peak not known".to_owned(),
                at,
                "attach its trace, or decide with two names",
            );
            self.matters.push(Matter::decision(reason, Decision::Keep).two_names());
            self.peak_unknown.push(at);
        }
        self.judge_impulse(record, at);
        self.fired.push((at.id, planned, judged));
        match record.landing {
            Some(Landing::Hard) => {
                let reason = self.reason(
                    Standing::Hold,
                    "hard-landing",
                    format!("the landing of {} was hard", at.on),
                    "hard landing".to_owned(),
                    at,
                    "measure it at four clock angles, write the strip, and decide with two names",
                );
                self.matters.push(Matter::decision(reason, Decision::Keep).two_names());
            }
            Some(Landing::Lost) => {
                let reason = self.reason(
                    Standing::Hold,
                    "hard-landing",
                    format!("it was not found after the flight of {}", at.on),
                    "lost".to_owned(),
                    at,
                    "find it, inspect it, and decide with two names",
                );
                self.matters.push(Matter::decision(reason, Decision::Keep).two_names());
            }
            _ => {}
        }
    }

    /// A trace may come later than its firing, or speak of more pressure than was typed: the higher one is judged.
    pub(super) fn trace(&mut self, record: &TraceRecord, at: EntryRef) {
        self.judge_shape(record, at);
        let Some(gauge) = record.reduction.get("peak_pressure_pa").and_then(serde_json::Value::as_f64) else {
            return;
        };
        let peak = gauge + STANDARD_ATMOSPHERE_PA;
        self.peak_unknown.retain(|firing| firing.id != record.firing);
        self.matters.retain(|it| {
            it.reason.rule != "peak-known" || it.reason.entry.is_none_or(|firing| firing.id != record.firing)
        });
        let Some((_, planned, judged)) = self.fired.iter_mut().find(|(id, _, _)| *id == record.firing) else {
            return;
        };
        if judged.is_some_and(|judged| peak <= 1.02 * judged) {
            return;
        }
        *judged = Some(peak);
        let planned = *planned;
        self.judge_peak(peak, planned, at);
    }

    /// A trace that drops in the middle of the burn speaks of a leak, a breach, or a part that went.
    fn judge_shape(&mut self, record: &TraceRecord, at: EntryRef) {
        let findings = record.reduction.get("findings").and_then(serde_json::Value::as_array);
        for finding in findings.into_iter().flatten() {
            let word = |key: &str| finding.get(key).and_then(serde_json::Value::as_str).unwrap_or_default();
            if !DROPS.contains(&word("pattern")) {
                continue;
            }
            let evidence: String = word("evidence").chars().filter(|c| !c.is_control()).take(200).collect();
            let reason = self.reason(
                Standing::Hold,
                "sudden-drop",
                format!("its trace has a {}", word("pattern")),
                evidence,
                at,
                "look for a leak, a breach, a cracked or lost nozzle, unburnt grain; then decide",
            );
            self.matters.push(Matter::decision(reason, Decision::Keep));
        }
    }

    /// An impulse far from the plan is another load than the one planned, or a reading that cannot be right.
    fn judge_impulse(&mut self, record: &FiringRecord, at: EntryRef) {
        let (Some(impulse), Some(planned)) = (&record.impulse, &record.planned_impulse) else { return };
        let ratio = impulse.si() / planned.si();
        if exceeds(ratio, self.rules.value("peak-far-over-plan")) {
            let reason = self.reason(
                Standing::Hold,
                "peak-far-over-plan",
                format!("the impulse came to {ratio:.2} times the plan: another load, or a wrong reading"),
                format!("{ratio:.2} of the plan"),
                at,
                "find out which load it was, and decide with two names",
            );
            self.matters.push(Matter::decision(reason, Decision::Keep).two_names());
        }
    }

    /// Reasons a restriction has against a load.
    pub fn against_restriction(&self, load: Option<&str>, planned_absolute_pa: Option<f64>) -> Vec<Reason> {
        let Some(restriction) = &self.restriction else { return Vec::new() };
        let mut reasons = Vec::new();
        if let Some(load) = load
            && !restriction.record.loads.is_empty()
            && !restriction.record.loads.iter().any(|allowed| allowed == load)
        {
            reasons.push(Reason {
                limit: format!("only {}", restriction.record.loads.join(", ")),
                ..self.reason(
                    Standing::Restricted,
                    "restriction",
                    format!("it is restricted to {}", restriction.record.loads.join(", ")),
                    load.to_owned(),
                    restriction.entry,
                    "choose an allowed load",
                )
            });
        }
        if let (Some(meop), Some(planned)) = (&restriction.record.meop, planned_absolute_pa) {
            let gauge = planned - STANDARD_ATMOSPHERE_PA;
            if exceeds(gauge, meop.si()) {
                reasons.push(Reason {
                    limit: format!("MEOP {}", show(meop.value, System::Si)),
                    ..self.reason(
                        Standing::Restricted,
                        "restriction",
                        format!("it is restricted to a MEOP of {}", show(meop.value, System::Si)),
                        format!("planned peak {} gauge", show(GaugePressure::from_si(gauge), System::Si)),
                        restriction.entry,
                        "choose a load that stays under it",
                    )
                });
            }
        }
        reasons
    }

    fn judge_peak(&mut self, peak_absolute_pa: f64, planned_absolute_pa: Option<f64>, at: EntryRef) {
        let peak = peak_absolute_pa - STANDARD_ATMOSPHERE_PA;
        if self.highest_peak.as_ref().is_none_or(|(highest, _)| peak > *highest) {
            self.highest_peak = Some((peak, at));
        }
        let shown = |pascals: f64| show(GaugePressure::from_si(pascals), System::Si);
        let rules = self.rules;
        let share = |limit: &str, of: f64| rules.value(limit) / 100.0 * of;
        let mut found: Vec<Matter> = Vec::new();
        if let Some((mode, yields)) = &self.weakest
            && exceeds(peak, share("peak-share-of-yield", *yields))
        {
            found.push(
                Matter::decision(
                    self.reason(
                        Standing::Hold,
                        "peak-share-of-yield",
                        format!("the peak reached {:.0} % of what the {mode} yields at", 100.0 * peak / yields),
                        format!("{} gauge; yields at {}", shown(peak), shown(*yields)),
                        at,
                        "map the stations, penetrant; proof only if nothing grew by 0.1 %, else retire; two names",
                    ),
                    Decision::Keep,
                )
                .and_proof()
                .two_names(),
            );
        }
        if let Some(proof) = &self.proof {
            if exceeds(peak, share("peak-over-proof", proof.pressure_pa)) {
                found.push(
                    Matter::decision(
                        self.reason(
                            Standing::Hold,
                            "peak-over-proof",
                            "the peak went over the proof pressure".to_owned(),
                            format!("{} gauge; proof {}", shown(peak), shown(proof.pressure_pa)),
                            at,
                            "map the stations, penetrant; proof only if nothing grew by 0.1 %, else retire; two names",
                        ),
                        Decision::Keep,
                    )
                    .and_proof()
                    .two_names(),
                );
            } else if exceeds(peak, share("peak-share-of-proof", proof.pressure_pa)) {
                found.push(Matter::proof(self.reason(
                    Standing::Overdue,
                    "peak-share-of-proof",
                    format!(
                        "the peak came to {:.0} % of the proof pressure",
                        100.0 * peak / proof.pressure_pa
                    ),
                    format!("{} gauge; proof {}", shown(peak), shown(proof.pressure_pa)),
                    at,
                    "proof it again (water, never gas)",
                )));
            }
        }
        if let Some(planned) = planned_absolute_pa {
            // Gauge against gauge: the atmosphere in both would flatter a low plan.
            let ratio = peak / (planned - STANDARD_ATMOSPHERE_PA).max(1.0);
            let limit = ["peak-far-over-plan", "peak-over-plan", "peak-under-plan"]
                .map(|id| rules.value(id))
                .into_iter()
                .min_by(|a, b| (a - ratio).abs().total_cmp(&(b - ratio).abs()))
                .unwrap_or(1.0);
            let ratio_text = apart_from(ratio, limit);
            let value = format!("{ratio_text} of the plan");
            if exceeds(ratio, rules.value("peak-far-over-plan")) {
                found.push(
                    Matter::decision(
                        self.reason(
                            Standing::Hold,
                            "peak-far-over-plan",
                            format!("the peak came to {ratio_text} times the plan"),
                            value,
                            at,
                            "full inspection, second inspector, and correct the load model before the next",
                        ),
                        Decision::Keep,
                    )
                    .two_names(),
                );
            } else if exceeds(ratio, rules.value("peak-over-plan")) {
                found.push(Matter::decision(
                    self.reason(
                        Standing::Hold,
                        "peak-over-plan",
                        format!("the peak came to {ratio_text} times the plan"),
                        value,
                        at,
                        "check throat, grain sheet and batch, and decide",
                    ),
                    Decision::Keep,
                ));
            } else if exceeds(rules.value("peak-under-plan"), ratio) {
                found.push(Matter::decision(
                    self.reason(
                        Standing::Hold,
                        "peak-under-plan",
                        format!("the peak came to only {ratio_text} of the plan"),
                        value,
                        at,
                        "look for a leak, a breach, a cracked or lost nozzle, unburnt grain; then decide",
                    ),
                    Decision::Keep,
                ));
            }
        }
        if let Some(meop) = self.meop_pa()
            && exceeds(peak, share("peak-over-meop", meop))
        {
            found.push(Matter::decision(
                self.reason(
                    Standing::Hold,
                    "peak-over-meop",
                    "the peak went over MEOP".to_owned(),
                    format!("{} gauge; MEOP {}", shown(peak), shown(meop)),
                    at,
                    "check throat, grain sheet and batch; read the stations; decide",
                ),
                Decision::Keep,
            ));
        }
        if found
            .iter()
            .any(|matter| matches!(matter.reason.rule.as_str(), "peak-share-of-yield" | "peak-over-proof"))
        {
            self.penetrant_asked = Some(at);
        }
        self.matters.extend(found);
    }
}

//! A firing on the timeline: was it forbidden, and what did its peak do?

use super::Timeline;
use crate::book::cut_off::PeakKnown;
use crate::book::details::{FiringRecord, TraceRecord};
use crate::book::{Decision, Landing, Standing};
use crate::quantity::{Force, GaugePressure, Quantity, STANDARD_ATMOSPHERE_PA, System, show};
use crate::standing::assessment::Breach;
use crate::standing::exceeds;
use crate::standing::matter::Matter;
use crate::standing::reason::{EntryRef, Reason};

/// Pressure worked back from thrust is good to about 8 to 15 % (common practice, no source).
const TRUSTED_RATIO: f64 = 1.15;

/// Patterns of a trace that are a sudden drop, as [`crate::trace::findings`] words them.
const DROPS: [&str; 3] = ["sudden drop, long weak tail", "sudden end", "step down"];

/// A firing as it was judged, so that a trace that comes later can be held against it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fired {
    /// Its entry.
    at: EntryRef,
    /// The plan's peak, pascals above vacuum.
    planned: Option<f64>,
    /// The plan's thrust.
    planned_thrust: Option<f64>,
    /// The highest peak known, pascals above vacuum.
    judged: Option<f64>,
    /// What was written down.
    known: PeakKnown,
}

/// How sure a peak is.
#[derive(Clone, Copy)]
enum Sure<'a> {
    /// As measured.
    Measured,
    /// It was this or more.
    AtLeast,
    /// If readings that were put aside are real; which ones.
    IfReal(&'a str),
}

impl Sure<'_> {
    fn reach(self) -> &'static str {
        match self {
            Self::Measured => "",
            Self::AtLeast => "at least ",
            Self::IfReal(_) => "as much as ",
        }
    }
}

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

/// A pressure and its limit, with as many digits as tell them apart.
fn pressures_apart(peak: f64, limit: f64) -> (String, String) {
    let shown = |pascals: f64| show(GaugePressure::from_si(pascals), System::Si);
    let fine = |pascals: f64, digits: usize| format!("{:.digits$} MPa", pascals * 1e-6);
    std::iter::once((shown(peak), shown(limit)))
        .chain((3..=7).map(|digits| (fine(peak, digits), fine(limit, digits))))
        .find(|(peak, limit)| peak != limit)
        .unwrap_or_else(|| (shown(peak), shown(limit)))
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
            self.landed_since_proof = true;
        }
        self.awaiting_decision = Some(at);
        self.strip_gaps = None;
        if let Some(throat) = &record.throat_after {
            self.set_throat(throat.si(), at);
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
            self.judge_peak(peak, planned, at, Sure::Measured);
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
        let planned_thrust = record.planned_thrust.as_ref().map(|it| it.si());
        self.fired.push(Fired { at, planned, planned_thrust, judged, known: PeakKnown::of(record) });
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
        let place = self.fired.iter().position(|it| it.at.id == record.firing);
        let fired = place.and_then(|place| self.fired.get(place)).copied();
        let cut = fired.and_then(|fired| Some((fired, fired.known.only_from_below(record)?)));
        if let Some((fired, cut)) = cut {
            if let Some(bound) = cut.pressure_pa
                && fired.judged.is_none_or(|judged| bound > 1.02 * judged)
            {
                self.judge_again(place, bound, at, Sure::AtLeast);
            }
            self.only_from_below(record, &fired, &cut.why);
        } else if let Some(gauge) = record.number("peak_pressure_pa") {
            let peak = gauge + STANDARD_ATMOSPHERE_PA;
            self.peak_unknown.retain(|firing| firing.id != record.firing);
            self.matters.retain(|it| {
                it.reason.rule != "peak-known"
                    || it.reason.entry.is_none_or(|firing| firing.id != record.firing)
            });
            if fired.is_some_and(|it| it.judged.is_none_or(|judged| peak > 1.02 * judged)) {
                self.judge_again(place, peak, at, Sure::Measured);
            }
        }
        self.judge_doubtful(record, place, at);
    }

    /// Judge a firing by a higher peak than it was judged by.
    fn judge_again(&mut self, place: Option<usize>, peak: f64, at: EntryRef, sure: Sure<'_>) {
        let Some(fired) = place.and_then(|place| self.fired.get_mut(place)) else { return };
        fired.judged = Some(peak);
        let planned = fired.planned;
        self.judge_peak(peak, planned, at, sure);
    }

    /// The readings a firing was judged by are cut off at their top: its peak was this or more, which is not known. What
    /// the bound forbids stays forbidden; that it came to too little cannot be said.
    fn only_from_below(&mut self, record: &TraceRecord, fired: &Fired, why: &str) {
        let of_it = |it: &Matter| it.reason.entry.is_some_and(|entry| entry.id == fired.at.id);
        self.matters
            .retain(|it| !of_it(it) || !matches!(it.reason.rule.as_str(), "peak-under-plan" | "peak-known"));
        for matter in self.matters.iter_mut().filter(|it| of_it(it)) {
            let reason = &mut matter.reason;
            if reason.rule.starts_with("peak-") && reason.text.starts_with("the peak ") {
                reason.text = reason.text.replacen("came to ", "came to at least ", 1).replacen(
                    "reached ",
                    "reached at least ",
                    1,
                );
                reason.value = format!("at least {}", reason.value);
            }
        }
        let of_plan = fired.judged.zip(fired.planned).map(|(peak, planned)| {
            let (peak, planned) = (peak - STANDARD_ATMOSPHERE_PA, planned - STANDARD_ATMOSPHERE_PA);
            format!("at least {:.2} of the plan", peak / planned.max(1.0))
        });
        let bound = match record.number("peak_pressure_pa") {
            Some(gauge) => {
                Some(format!("at least {} gauge", show(GaugePressure::from_si(gauge), System::Si)))
            }
            None => record
                .number("peak_thrust_n")
                .map(|thrust| format!("at least {}", show(Force::from_si(thrust), System::Si))),
        };
        let bounds: Vec<String> = bound.into_iter().chain(of_plan).collect();
        let reason = self.reason(
            Standing::Hold,
            "peak-known",
            format!(
                "the peak of the firing of {} is not known, only that it was this or more: {why}",
                fired.at.on
            ),
            bounds.join(", "),
            fired.at,
            "take it from another reading of that firing, or decide with two names",
        );
        self.matters.push(Matter::decision(reason, Decision::Keep).two_names());
        if !self.peak_unknown.iter().any(|it| it.id == fired.at.id) {
            self.peak_unknown.push(fired.at);
        }
    }

    /// Readings that were put aside although they may have been real are judged as if they were.
    fn judge_doubtful(&mut self, record: &TraceRecord, place: Option<usize>, at: EntryRef) {
        let Some(fired) = place.and_then(|place| self.fired.get(place)).copied() else { return };
        let by_pressure = record
            .number("peak_pressure_if_real_pa")
            .map(|gauge| (gauge + STANDARD_ATMOSPHERE_PA, "peak_pressure_if_real"));
        let by_thrust = record.number("peak_thrust_if_real_n").and_then(|thrust| {
            let planned = fired.planned.zip(fired.planned_thrust).map(|(peak, of)| peak * thrust / of);
            // Without a plan the peak as judged goes up as the thrust does.
            let judged = || Some(fired.judged? * thrust / record.number("peak_thrust_n")?);
            Some((planned.or_else(judged)?, "peak_if_real"))
        });
        let worst = [by_pressure, by_thrust].into_iter().flatten().max_by(|a, b| a.0.total_cmp(&b.0));
        let Some((peak, key)) = worst.filter(|(peak, _)| peak.is_finite()) else { return };
        if fired.judged.is_some_and(|judged| peak <= 1.02 * judged) {
            return;
        }
        let which = record.words(key).unwrap_or_else(|| "a reading that was put aside".to_owned());
        self.judge_peak(peak, fired.planned, at, Sure::IfReal(&which));
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
        } else if exceeds(self.rules.value("peak-under-plan"), ratio) {
            // The peak may have been the plan's: what came out short did not burn, or went another way.
            let reason = self.reason(
                Standing::Hold,
                "peak-under-plan",
                format!("the impulse came to only {ratio:.2} of the plan"),
                format!("{ratio:.2} of the plan"),
                at,
                "look for unburnt grain, a leak, a breach, a cracked or lost nozzle; then decide",
            );
            self.matters.push(Matter::decision(reason, Decision::Keep));
        }
    }

    /// Reasons a restriction has against a load.
    fn against_restriction(&self, load: Option<&str>, planned_absolute_pa: Option<f64>) -> Vec<Reason> {
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

    fn judge_peak(
        &mut self,
        peak_absolute_pa: f64,
        planned_absolute_pa: Option<f64>,
        at: EntryRef,
        sure: Sure<'_>,
    ) {
        let to = sure.reach();
        let peak = peak_absolute_pa - STANDARD_ATMOSPHERE_PA;
        if !matches!(sure, Sure::IfReal(_))
            && self.highest_peak.as_ref().is_none_or(|(highest, _)| peak > *highest)
        {
            self.highest_peak = Some((peak, at));
        }
        let value = |peak: f64, what: &str, limit: f64| {
            let (peak, limit) = pressures_apart(peak, limit);
            format!("{to}{peak} gauge; {what} {limit}")
        };
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
                        format!("the peak reached {to}{:.0} % of what the {mode} yields at", 100.0 * peak / yields),
                        value(peak, "yields at", *yields),
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
                            value(peak, "proof", proof.pressure_pa),
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
                        "the peak came to {to}{:.0} % of the proof pressure",
                        100.0 * peak / proof.pressure_pa
                    ),
                    value(peak, "proof", proof.pressure_pa),
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
            let of_plan = format!("{to}{ratio_text} of the plan");
            if exceeds(ratio, rules.value("peak-far-over-plan")) {
                found.push(
                    Matter::decision(
                        self.reason(
                            Standing::Hold,
                            "peak-far-over-plan",
                            format!("the peak came to {to}{ratio_text} times the plan"),
                            of_plan,
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
                        format!("the peak came to {to}{ratio_text} times the plan"),
                        of_plan,
                        at,
                        "check throat, grain sheet and batch, and decide",
                    ),
                    Decision::Keep,
                ));
            } else if exceeds(rules.value("peak-under-plan"), ratio) && matches!(sure, Sure::Measured) {
                found.push(Matter::decision(
                    self.reason(
                        Standing::Hold,
                        "peak-under-plan",
                        format!("the peak came to only {ratio_text} of the plan"),
                        of_plan,
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
                    value(peak, "MEOP", meop),
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
        if let Sure::IfReal(which) = sure {
            for matter in &mut found {
                let reason = &mut matter.reason;
                reason.text.push_str(&format!(", if what was put aside is real: {which}"));
                reason.next = format!("look at video, sound and the strip for a hard start; {}", reason.next);
            }
        }
        self.matters.extend(found);
    }
}

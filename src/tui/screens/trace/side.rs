//! What is said beside the curves: what asks for a second look, the plan, the other firing, the rules.

use super::read_out::figures;
use super::window::{Shown, axis, letter};
use crate::desk::after::{Proposal, Proposals, Recorded};
use crate::quantity::{Force, GaugePressure, Impulse, Quantity, System, TimeSpan, show};
use crate::report::values::said;
use crate::standing::in_units::in_units;
use crate::trace::compare::Ratios;
use crate::trace::{ChannelUnit, impulse_class};
use crate::tui::widgets::paper::Block;

/// Readings put aside that are told one by one.
const ASIDE: usize = 8;

/// A word and a blank, or nothing.
fn reach(word: &str) -> String {
    if word.is_empty() { String::new() } else { format!("{word} ") }
}

fn ratio_words(found: &Ratios) -> String {
    let cut = reach(found.impulse_ratio_is);
    format!(
        "peak {}{:.2}, mean {cut}{:.2}, impulse {cut}{:.2}, burn time {:.2}; furthest apart {:+.0} % at {:.2} s",
        reach(found.peak_ratio_is),
        found.peak_ratio,
        found.mean_ratio,
        found.impulse_ratio,
        found.burn_time_ratio,
        100.0 * found.largest_difference_share,
        found.largest_difference_at_s
    )
}

const fn at_least(bound: bool) -> &'static str {
    if bound { "at least " } else { "" }
}

/// The first line: class, peak, impulse, burn time.
pub(super) fn answer(shown: &Shown, system: System) -> String {
    let reduction = &shown.found.reduced.reduction;
    let mut parts = Vec::new();
    if let Some(thrust) = &reduction.thrust {
        let bound = at_least(thrust.peak_is_lower_bound);
        let cut = at_least(thrust.cut_off.is_some());
        if thrust.unit == ChannelUnit::N {
            if let Some(class) = impulse_class(thrust.integral) {
                let designation = crate::trace::class::designation(&class.letter, thrust.mean());
                parts.push(format!("{cut}{designation}"));
            }
            parts.push(format!("peak {bound}{}", show(Force::from_si(thrust.peak), system).trim()));
            parts.extend(thrust.peak_if_real().map(|it| {
                format!("or {} if a jump put aside is real", show(Force::from_si(it.value), system).trim())
            }));
            parts.push(format!("{cut}{}", show(Impulse::from_si(thrust.integral), system).trim()));
        } else {
            parts.push(format!("peak {} V, not calibrated", figures(thrust.peak)));
        }
        parts.push(format!("burn {}", show(TimeSpan::from_si(thrust.burn.time_s()), system).trim()));
    }
    if let Some(pressure) = &reduction.pressure {
        let peak = if pressure.unit == ChannelUnit::Pa {
            format!("{} gauge", show(GaugePressure::from_si(pressure.peak), system).trim())
        } else {
            format!("{} V", figures(pressure.peak))
        };
        parts.push(format!("peak pressure {}{peak}", at_least(pressure.peak_is_lower_bound)));
        if pressure.unit == ChannelUnit::Pa {
            parts.extend(pressure.peak_if_real().map(|it| {
                let real = show(GaugePressure::from_si(it.value), system);
                format!("or {} gauge if a jump put aside is real", real.trim())
            }));
        }
        if reduction.thrust.is_none() {
            parts.push(format!("burn {}", show(TimeSpan::from_si(pressure.burn.time_s()), system).trim()));
        }
    }
    parts.join(" · ")
}

/// The second line: what to look at first.
pub(super) fn first_look(
    shown: &Shown,
    proposals: Option<&Proposals>,
    recorded: Option<&Recorded>,
    system: System,
) -> (bool, String) {
    let text = |it: &Proposal| it.clone().shown(system).text;
    let findings = &shown.found.reduced.reduction.findings;
    let more = |count: usize| if count > 1 { format!(" (and {} more)", count - 1) } else { String::new() };
    if let Some(found) = recorded {
        if let Some(first) = found.open.first() {
            let more = more(found.open.len());
            return (true, format!("still open, {}: {}{more}", first.standing, text(first)));
        }
        if let Some(first) = found.then.first() {
            let more = more(found.then.len());
            let words = format!("settled since; at the time {}: {}{more}", first.standing, text(first));
            return (false, words);
        }
    } else if let Some(first) = proposals.and_then(|it| it.proposals.first()) {
        let count = proposals.map_or(0, |it| it.proposals.len());
        return (true, format!("the rules say {}: {}{}", first.standing, text(first), more(count)));
    }
    let plan = match &shown.found.plan {
        Some(Ok(plan)) => {
            let peak = plan.pressure.or(plan.thrust).map(|it| {
                let bound = reach(it.peak_ratio_is);
                format!("; peak {bound}{:.2} of the plan", it.peak_ratio)
            });
            let factor = plan
                .burn_rate
                .as_ref()
                .map(|it| format!(", burn-rate factor of this firing alone {:.3}", it.factor));
            [peak, factor].into_iter().flatten().collect()
        }
        _ => String::new(),
    };
    match findings.first() {
        Some(first) => {
            let more = more(findings.len());
            (true, format!("worth a look: {}, at {:.2} s{more}{plan}", first.pattern, first.at_s))
        }
        None => (false, format!("no pattern in it asks for a second look{plan}")),
    }
}

/// Everything beside the curves, the most pressing first.
pub(super) fn blocks(
    shown: &Shown,
    proposals: Option<&Proposals>,
    recorded: Option<&Recorded>,
    system: System,
) -> Vec<Block> {
    let reduction = &shown.found.reduced.reduction;
    let ours = |words: &str| in_units(words, system, true);
    let mut out = Vec::new();
    if let Some((label, against)) = &shown.other {
        out.push(Block::Heading(format!("Against {label}")));
        for (word, ratios) in [("thrust", &against.thrust), ("pressure", &against.pressure)] {
            if let Some(ratios) = ratios {
                out.push(Block::Point("÷".to_owned(), format!("{word}: {}", ratio_words(ratios))));
            }
        }
        if against.thrust.is_none() && against.pressure.is_none() {
            out.push(Block::Text("The two have no channel in the same unit.".to_owned()));
        }
        out.push(Block::Gap);
    }
    rules(proposals, recorded, doubtful(shown), system, &mut out);
    if !reduction.findings.is_empty() {
        out.push(Block::Heading("Worth a look: suggestions, never verdicts".to_owned()));
    }
    for finding in &reduction.findings {
        out.push(Block::Point("!".to_owned(), format!("{} at {:.2} s", finding.pattern, finding.at_s)));
        out.push(Block::Point(" ".to_owned(), format!("for: {}", ours(&finding.evidence))));
        out.push(Block::Point(" ".to_owned(), format!("against: {}", ours(&finding.evidence_against))));
        out.push(Block::Point("→".to_owned(), format!("look next: {}", ours(&finding.look_next))));
    }
    if !reduction.findings.is_empty() {
        out.push(Block::Gap);
    }
    match &shown.found.plan {
        Some(Ok(plan)) => {
            out.push(Block::Heading(format!("Against the plan of {}", plan.load)));
            for (word, ratios) in [("thrust", &plan.thrust), ("pressure", &plan.pressure)] {
                if let Some(ratios) = ratios {
                    out.push(Block::Point("÷".to_owned(), format!("{word}: {}", ratio_words(ratios))));
                }
            }
            if let Some(fit) = &plan.burn_rate {
                out.push(Block::Point(
                    "×".to_owned(),
                    format!(
                        "burn-rate factor of this firing alone {:.3} by the whole {} curve, {:.1} % left over; by peak {:.3}, by time {:.3}: {}",
                        fit.factor,
                        fit.channel,
                        100.0 * fit.residual_share,
                        fit.factor_by_peak,
                        fit.factor_by_burn_time,
                        if fit.burn_rate_alone {
                            "a burn rate explains both"
                        } else {
                            "no burn rate explains both; look at throat, grain and mass"
                        }
                    ),
                ));
            }
            if let Some(why) = &plan.no_burn_rate {
                out.push(Block::Point("×".to_owned(), format!("no burn-rate factor: {why}")));
            }
            out.push(Block::Gap);
        }
        Some(Err(why)) => {
            out.push(Block::Heading("Its plan cannot be drawn".to_owned()));
            out.push(Block::Text(why.clone()));
            out.push(Block::Gap);
        }
        None => {}
    }
    let unit = shown.channels.first().map_or(ChannelUnit::N, |it| it.unit);
    let (scale, name) = axis(unit, system);
    if !reduction.phases.is_empty() {
        out.push(Block::Heading("Phases".to_owned()));
    }
    for (at, phase) in reduction.phases.iter().enumerate() {
        let words = format!(
            "{:.2} to {:.2} s, mean {} {name}",
            phase.from_s,
            phase.to_s,
            figures(phase.mean * scale)
        );
        out.push(Block::Point(letter(at), words));
    }
    for gone in &reduction.rejected {
        out.push(Block::Point("–".to_owned(), format!("put aside {}: {}", gone.count, ours(&gone.reason))));
    }
    for (word, channel) in [("thrust", &reduction.thrust), ("pressure", &reduction.pressure)] {
        let Some(channel) = channel else { continue };
        for gone in channel.put_aside.iter().take(ASIDE) {
            out.push(Block::Point(" ".to_owned(), format!("{word} {}", ours(&gone.says(channel.unit)))));
        }
        if channel.put_aside.len() > ASIDE {
            out.push(Block::Point(" ".to_owned(), format!("and {} more", channel.put_aside.len() - ASIDE)));
        }
    }
    out
}

/// What the rules say: of a firing on record, as the record stands and at the time; of another, were it logged.
fn rules(
    proposals: Option<&Proposals>,
    recorded: Option<&Recorded>,
    doubtful: bool,
    system: System,
    out: &mut Vec<Block>,
) {
    let of_plan = proposals.and_then(|found| {
        let bound = reach(found.peak_over_plan_is);
        found.peak_over_plan.map(|it| format!(", peak {bound}{it:.2} of the plan"))
    });
    let of_plan = of_plan.unwrap_or_default();
    match (recorded, proposals) {
        (Some(found), _) => {
            out.push(Block::Heading("What the rules say as the record stands".to_owned()));
            if found.open.is_empty() {
                let words = format!("nothing of it is open; its casing is {} today", found.standing);
                out.push(Block::Point(found.standing.sign().to_string(), words));
            }
            found.open.iter().for_each(|item| points(item, true, system, out));
            if doubtful && !found.doubts_kept {
                let words = "read today, the peak of this trace is not known; what was kept of it when it was logged does \
                             not say so, and the standing does not count it";
                out.push(Block::Point("!".to_owned(), words.to_owned()));
                out.push(Block::Point("→".to_owned(), "log the trace again: then it counts".to_owned()));
            }
            out.push(Block::Heading("What the rules said at the time".to_owned()));
            let since: Vec<&Proposal> = found.then.iter().filter(|it| !found.open.contains(it)).collect();
            if since.is_empty() {
                let words = if found.then.is_empty() {
                    "no rule on peak, impulse or shape spoke"
                } else {
                    "the same"
                };
                out.push(Block::Point("=".to_owned(), words.to_owned()));
            }
            since.into_iter().for_each(|item| points(item, false, system, out));
        }
        (None, Some(found)) => {
            out.push(Block::Heading(format!("What the rules say{of_plan}")));
            if found.proposals.is_empty() {
                out.push(Block::Point("=".to_owned(), "no rule on peak, impulse or shape speaks".to_owned()));
            }
            found.proposals.iter().chain(&found.always).for_each(|item| points(item, true, system, out));
            let words = "Proposed only: nothing is written until the firing is logged.";
            out.push(Block::Text(words.to_owned()));
        }
        (None, None) => return,
    }
    out.push(Block::Gap);
}

/// Whether the reading leaves the peak in doubt.
fn doubtful(shown: &Shown) -> bool {
    let reduction = &shown.found.reduced.reduction;
    let channels = [&reduction.thrust, &reduction.pressure];
    channels.into_iter().flatten().any(|it| it.cut_off.is_some() || it.peak_if_real().is_some())
}

/// One thing a rule says; what to do next only while it is open.
fn points(item: &Proposal, open: bool, system: System, out: &mut Vec<Block>) {
    let item = item.clone().shown(system);
    out.push(Block::Point(item.standing.sign().to_string(), format!("{}: {}", item.standing, item.text)));
    let rests =
        format!("{}; limit: {}; source: {} (rule {})", item.value, item.limit, item.source, item.rule);
    out.push(Block::Point(" ".to_owned(), rests));
    if open {
        out.push(Block::Point("→".to_owned(), item.next));
    }
}

/// Every number with its definition.
pub(super) fn in_full(
    shown: &Shown,
    proposals: Option<&Proposals>,
    recorded: Option<&Recorded>,
    system: System,
) -> Vec<Block> {
    let mut out = vec![Block::Strong(answer(shown, system)), Block::Gap];
    out.extend(blocks(shown, proposals, recorded, system));
    out.push(Block::Gap);
    out.push(Block::Heading("Every number".to_owned()));
    if let Ok(value) = serde_json::to_value(&shown.found.reduced.reduction) {
        every_number("", "", &value, system, &mut out);
    }
    if let Some(Ok(plan)) = &shown.found.plan {
        out.push(Block::Labelled("common start".to_owned(), plan.common_start.to_owned()));
        if let Some(fit) = &plan.burn_rate {
            out.push(Block::Labelled("burn-rate factor".to_owned(), fit.method.to_owned()));
        }
    }
    out
}

/// Every number of a reduction, each with its unit; lists are left to the plots.
fn every_number(before: &str, key: &str, value: &serde_json::Value, system: System, out: &mut Vec<Block>) {
    use serde_json::Value;
    let label = |name: String| if before.is_empty() { name } else { format!("{before}, {name}") };
    match value {
        Value::Object(inner) => {
            let before = if key.is_empty() { before.to_owned() } else { label(key.replace('_', " ")) };
            for (name, value) in inner {
                every_number(&before, name, value, system, out);
            }
        }
        Value::Number(number) => {
            let (name, words) = number
                .as_f64()
                .map_or_else(|| (key.replace('_', " "), number.to_string()), |it| said(key, it, system));
            out.push(Block::Labelled(label(name), words));
        }
        Value::String(words) => out.push(Block::Labelled(label(key.replace('_', " ")), words.clone())),
        Value::Bool(yes) => {
            let words = if *yes { "yes" } else { "no" };
            out.push(Block::Labelled(label(key.replace('_', " ")), words.to_owned()));
        }
        Value::Array(_) | Value::Null => {}
    }
}

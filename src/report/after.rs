//! After a firing, as text: against the plan, against another firing, what the rules say, how batches burn.

use std::fmt::Write as _;

use super::text::{clean, short};
use crate::desk::after::{AgainstFiring, AgainstPlan, Proposal, Proposals};
use crate::desk::batches::BatchReport;
use crate::quantity::{Force, GaugePressure, Impulse, Quantity, System, TimeSpan, show};
use crate::standing::in_units::in_units;
use crate::trace::compare::Ratios;

fn row(out: &mut String, label: &str, text: &str) {
    let line = format!("  {label:22} {text}");
    let _ = writeln!(out, "{}", line.trim_end());
}

/// A word and a blank, or nothing.
fn reach(word: &str) -> String {
    if word.is_empty() { String::new() } else { format!("{word} ") }
}

fn ratio_rows(out: &mut String, label: &str, found: &Ratios, reference: &str) {
    let cut = reach(found.impulse_ratio_is);
    row(
        out,
        label,
        &format!(
            "peak {}{:.3}, mean {cut}{:.3}, {} {cut}{:.3}, burn time {:.3} of {reference}",
            reach(found.peak_ratio_is),
            found.peak_ratio,
            found.mean_ratio,
            if label == "pressure" { "integral" } else { "impulse" },
            found.impulse_ratio,
            found.burn_time_ratio
        ),
    );
    row(
        out,
        "",
        &format!(
            "furthest apart {:+.1} % of its peak, {:.2} s after the start; {:.1} % rms",
            100.0 * found.largest_difference_share,
            found.largest_difference_at_s,
            100.0 * found.rms_difference_share
        ),
    );
}

/// A reduced trace. Times of a clock are told since its first stamp, with what the clock said; the phases are of
/// whichever channel there is.
pub fn trace(title: &str, value: &serde_json::Value, system: System) -> String {
    let mut plain = value.clone();
    let mut more = String::new();
    let seconds = |at: &serde_json::Value| short(at.as_f64().unwrap_or(0.0));
    if let Some(zero) = value["clock_at_zero"].as_str() {
        row(&mut more, "clock", &format!("0 s is {}, its first stamp; times are since then", clean(zero)));
    }
    let of = [("mean_pa", 1e-6, "MPa gauge"), ("mean_v", 1.0, "V, not calibrated")];
    let phases = value["phases"].as_array().cloned().unwrap_or_default();
    if let Some((key, scale, unit)) =
        of.iter().find(|(key, ..)| phases.iter().any(|it| it.get(*key).is_some()))
    {
        plain["phases"] = serde_json::Value::Array(Vec::new());
        for (at, phase) in phases.iter().enumerate() {
            let mean = short(phase[*key].as_f64().unwrap_or(0.0) * scale);
            let text =
                format!("{} to {} s, mean {mean} {unit}", seconds(&phase["from_s"]), seconds(&phase["to_s"]));
            row(&mut more, if at == 0 { "phases" } else { "" }, &text);
        }
    }
    let mut out = super::text::trace(title, &plain);
    // Behind the samples, where phases stand otherwise.
    let behind = out.find("\n  samples ").and_then(|at| Some(at + 2 + out[at + 1..].find('\n')?));
    out.insert_str(behind.unwrap_or(out.len()), &more);
    // The title is the file's; everything below it is this program's.
    out.split_inclusive('\n')
        .enumerate()
        .map(|(at, line)| if at == 0 { line.to_owned() } else { in_units(line, system, true) })
        .collect()
}

/// A firing against its plan.
pub fn against_plan(found: &AgainstPlan, system: System) -> String {
    let mut out = format!("against the plan of {}\n", clean(&found.load));
    let planned = &found.planned;
    row(
        &mut out,
        "planned",
        &format!(
            "peak {} and {}, {}, {}",
            show(Force::from_si(planned.peak_thrust_n), system),
            show(GaugePressure::from_si(planned.peak_pressure_pa), system),
            show(Impulse::from_si(planned.impulse_ns), system),
            show(TimeSpan::from_si(planned.burn_time_s), system)
        ),
    );
    for (label, side) in [("thrust", &found.thrust), ("pressure", &found.pressure)] {
        if let Some(side) = side {
            ratio_rows(&mut out, label, side, "the plan's");
        }
    }
    if let Some(fit) = &found.burn_rate {
        row(
            &mut out,
            "burn-rate factor",
            &format!(
                "{:.3} fits best, by the {} curve of this firing alone; {:.1} % of the peak is left over{}",
                fit.factor,
                fit.channel,
                100.0 * fit.residual_share,
                if fit.at_limit { "; at the end of what was searched: something else happened" } else { "" }
            ),
        );
        row(
            &mut out,
            "",
            &format!(
                "by the peak alone {:.3}, by the burn time alone {:.3}: {}",
                fit.factor_by_peak, fit.factor_by_burn_time, fit.says
            ),
        );
    }
    if let Some(why) = &found.no_burn_rate {
        row(&mut out, "burn-rate factor", &format!("none: {}", clean(why)));
    }
    row(&mut out, "common start", found.common_start);
    out
}

/// A firing against another.
pub fn against_firing(found: &AgainstFiring) -> String {
    let mut out = format!("against {}\n", clean(&found.other));
    for (label, side) in [("thrust", &found.thrust), ("pressure", &found.pressure)] {
        if let Some(side) = side {
            ratio_rows(&mut out, label, side, "the other's");
        }
    }
    if found.thrust.is_none() && found.pressure.is_none() {
        row(&mut out, "nothing to compare", "the two have no channel in the same unit");
    }
    row(&mut out, "common start", found.common_start);
    out
}

/// What the rules would say; nothing is logged.
pub fn proposals(found: &Proposals, system: System) -> String {
    let mut out = format!(
        "what the rules say of {} fired with {} (proposed; nothing is logged)\n",
        clean(&found.casing),
        clean(&found.load)
    );
    if let Some(ratio) = found.peak_over_plan {
        let bound = reach(found.peak_over_plan_is);
        row(&mut out, "peak over plan", &format!("{bound}{ratio:.3}, by {}", found.judged_by));
    } else {
        row(&mut out, "peak over plan", &format!("judged by {}", found.judged_by));
    }
    if found.proposals.is_empty() {
        row(
            &mut out,
            "nothing out of the way",
            "no rule on peak, impulse or shape speaks; it feeds the batch's factor",
        );
    }
    let mut list = |items: &[Proposal]| {
        for item in items {
            let item = item.clone().shown(system);
            row(&mut out, &format!("{} {}", item.standing.sign(), item.standing), &clean(&item.text));
            row(&mut out, "  value", &format!("{}; limit: {}", clean(&item.value), clean(&item.limit)));
            row(&mut out, "  rule", &format!("{}; source: {}", item.rule, clean(&item.source)));
            row(&mut out, "  next", &clean(&item.next));
        }
    };
    list(&found.proposals);
    list(&found.always);
    out
}

/// How the batches burn.
pub fn drift(report: &BatchReport) -> String {
    let mut out = String::new();
    for batch in &report.batches {
        let mean = batch.mean_factor.map_or_else(|| "-".to_owned(), |mean| format!("{mean:.3}"));
        let _ = writeln!(
            out,
            "{}: mean factor {mean} of {} of {}, each judged alone: {}",
            clean(&batch.batch),
            batch.firings.iter().filter(|it| it.factor.is_some()).count(),
            crate::quantity::counted(batch.firings.len(), "firing"),
            batch.says
        );
        let mut kept = 0;
        for fired in &batch.firings {
            let number =
                |value: Option<f64>| value.map_or_else(|| "    -".to_owned(), |it| format!("{it:.3}"));
            let sums = match fired.factor {
                Some(_) => {
                    kept += 1;
                    let sum = |of: &[f64]| of.get(kept - 1).copied().unwrap_or(0.0);
                    format!("sums +{:.3} -{:.3}", sum(&batch.cusum.up), sum(&batch.cusum.down))
                }
                None => clean(fired.left_out.as_deref().unwrap_or("left out")),
            };
            let _ = writeln!(
                out,
                "  {:6} {} {:10} {:6} factor {}  (peak {}, time {})  {sums}",
                fired.entry,
                fired.on,
                clean(&fired.casing),
                clean(&fired.load),
                number(fired.factor),
                number(fired.by_peak),
                number(fired.by_burn_time)
            );
        }
    }
    if report.batches.is_empty() {
        out.push_str("no firing on record names a batch and a load\n");
    }
    let chart = &report.chart;
    let _ = writeln!(out, "how     {}", report.method);
    let _ = writeln!(
        out,
        "chart   reference {}, sigma {}, slack {} sigma, limit {} sigma = {}; sigma is common practice, no source",
        chart.reference,
        chart.sigma,
        chart.slack_sigmas,
        chart.limit_sigmas,
        short(chart.sigma * chart.limit_sigmas)
    );
    let _ = writeln!(out, "source  {}", report.source);
    out
}

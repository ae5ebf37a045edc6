//! What stands under the cursor.

use super::window::{Shown, axis, main};
use crate::quantity::System;
use crate::trace::ChannelUnit;

/// Four figures.
pub(super) fn figures(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    let before = value.abs().log10().floor() as i32 + 1;
    format!("{value:.*}", usize::try_from(4 - before).unwrap_or(0).min(6))
}

/// Time, readings, impulse so far, plan and other: label and value.
pub(super) fn parts(shown: &Shown, system: System) -> Vec<(&'static str, String)> {
    let at = shown.window.cursor;
    let zero = main(&shown.found).map_or(0.0, |it| it.burn.start_s);
    let mut parts = vec![("at", format!("{at:.3} s")), ("since ignition", format!("{:+.3} s", at - zero))];
    for channel in &shown.channels {
        let (scale, unit) = axis(channel.unit, system);
        let value = |si: f64| format!("{} {unit}", figures(si * scale));
        let label = match channel.unit {
            ChannelUnit::Pa => "pressure",
            ChannelUnit::N => "thrust",
            ChannelUnit::V => "reading",
        };
        parts.push((label, value(channel.measured.at(at))));
        if let Some(plan) = &channel.planned {
            parts.push(("plan", value(plan.at(at))));
        }
        if let Some(other) = &channel.other {
            parts.push(("other", value(other.at(at))));
        }
    }
    if let (Some(sum), Some(channel)) = (shown.integral_at(at), shown.channels.first()) {
        // An impulse is in N·s whatever else is shown: its class is.
        let (scale, unit) = match channel.unit {
            ChannelUnit::N => (1.0, "N"),
            other => axis(other, system),
        };
        let label = if channel.unit == ChannelUnit::N { "impulse so far" } else { "integral so far" };
        parts.push((label, format!("{} {unit}·s", figures(sum * scale))));
    }
    if let Some(mark) = shown.mark() {
        parts.push(("", mark.to_owned()));
    }
    parts
}

/// As tab-separated text.
pub(super) fn as_text(shown: &Shown, system: System) -> String {
    parts(shown, system)
        .into_iter()
        .map(|(label, value)| format!("{label}\t{value}"))
        .collect::<Vec<_>>()
        .join("\n")
}

//! What in a record speaks against the first suspect of a pattern.

use super::channel::Measured;
use super::findings::Finding;
use super::profile::Profile;

/// Nothing in the record speaks against it.
const NOTHING: &str = "nothing in this record";

/// What speaks against a pattern's first suspect, by the rest of the record: the other channel, the level that follows,
/// the rate it was sampled at. The causes and what tells them apart are the trade's (static-test practice; no published
/// limits).
pub(super) fn against(
    finding: &Finding,
    m: &Measured,
    profile: &Profile,
    pressure: Option<&Measured>,
    all: &[String],
) -> String {
    let burn_s = m.reduction.burn.time_s();
    match finding.pattern.as_str() {
        "pulse apart from the burn" => match pressure {
            Some(p) => {
                let at_s = finding.at_s;
                let own = p.strays.iter().any(|it| (it.at_s - at_s).abs() < 0.05);
                let near = part(p, at_s - 0.05, at_s + 0.05).iter().copied().fold(0.0, f64::max);
                if (own || near > 0.05 * p.reduction.peak) && !m.strays.is_empty() {
                    "electricity in one cable: pressure shows it too".to_owned()
                } else {
                    "a real event in the chamber: the other channel does not share it".to_owned()
                }
            }
            None => {
                "no pressure channel: electricity, a knock and a hard start that went out look alike here"
                    .to_owned()
            }
        },
        "possible hard start" => {
            let of = |m: &Measured| m.reduction.put_aside.iter().find(|it| it.at_s == finding.at_s).cloned();
            match of(m).or_else(|| pressure.and_then(of)) {
                Some(it) if it.contradicted => {
                    "a real one: the other channel was read at that moment and shows nothing of it; it is not judged"
                        .to_owned()
                }
                _ if pressure.is_none() => {
                    "no second channel: electricity and a hard start look alike here; judged as if real".to_owned()
                }
                _ => "nothing in the other channel; judged as if real".to_owned(),
            }
        }
        "clipped flat top" => match pressure {
            None => {
                "no pressure channel beside it: a level burn and a level sensor differ only in their scatter"
                    .to_owned()
            }
            Some(p) => {
                let part = part(p, finding.at_s, finding.at_s + 0.1 * burn_s);
                let (low, high) =
                    part.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(*v), h.max(*v)));
                if high - low < 0.02 * p.reduction.peak {
                    "pressure is as level meanwhile: the burn itself may have been level".to_owned()
                } else {
                    NOTHING.to_owned()
                }
            }
        },
        "sudden end" => match pressure {
            None => "no pressure channel: a cable that let go ends like this as well".to_owned(),
            Some(_) => step(finding.at_s, m, pressure, burn_s),
        },
        "sudden drop, long weak tail" | "step down" | "step up" | "step up, then back down" => {
            step(finding.at_s, m, pressure, burn_s)
        }
        "early spike" | "early spike, then a raised level decaying" => {
            let first = profile.mean(
                profile.index(finding.at_s + 0.12 * burn_s),
                profile.index(finding.at_s + 0.4 * burn_s),
            );
            let later = profile.mean(
                profile.index(finding.at_s + 0.4 * burn_s),
                profile.index(finding.at_s + 0.75 * burn_s),
            );
            if first <= 0.0 || later <= 0.0 {
                return NOTHING.to_owned();
            }
            let over = 100.0 * (first / later - 1.0);
            if over < 10.0 {
                format!(
                    "a cracked grain: what follows the spike stands {over:+.0} % from the later burn, so no extra area stayed alight"
                )
            } else {
                format!(
                    "an igniter alone: what follows the spike still stands {over:+.0} % over the later burn"
                )
            }
        }
        "steady climb" => {
            if all.iter().any(|it| it.starts_with("step")) {
                NOTHING.to_owned()
            } else {
                "a lost inhibitor or a broken grain: those come as a step, and there is none".to_owned()
            }
        }
        "two humps" => {
            let from = profile.index(finding.at_s - 0.25 * burn_s);
            let to = profile.index(finding.at_s + 0.25 * burn_s);
            let least = profile.level.get(from..=to.min(profile.level.len().saturating_sub(1)));
            let least = least.unwrap_or_default().iter().copied().fold(f64::INFINITY, f64::min);
            format!(
                "segments lit one after the other: the level between never falls under {:.0} % of the peak",
                100.0 * least.max(0.0) / m.reduction.peak
            )
        }
        "chuffing" => match pressure {
            Some(p) => {
                let highest = part(p, finding.at_s - 0.01, m.reduction.burn.start_s)
                    .iter()
                    .copied()
                    .fold(0.0, f64::max);
                if highest < 0.02 * p.reduction.peak {
                    "pressure does not share the pulses: somebody at the stand".to_owned()
                } else {
                    NOTHING.to_owned()
                }
            }
            None => "no pressure channel: pulses of a motor and hands on the stand look alike".to_owned(),
        },
        "oscillation" => {
            let interval = super::channel::median_interval(&m.t);
            if interval > 0.0 {
                format!(
                    "cells every {:.2} ms: nothing above {:.0} Hz is seen, and a faster tone can fold down to this one",
                    interval * 1e3,
                    0.5 / interval
                )
            } else {
                NOTHING.to_owned()
            }
        }
        "ringing" => "a burn that oscillates: this decays while the burn goes on".to_owned(),
        "baseline shift" => {
            let tare = &m.reduction.tare;
            if tare.noise > 0.3 * tare.shift().0.abs() {
                "the zero scatters nearly as much by itself".to_owned()
            } else if tare.shift().1 != 0.0 {
                format!(
                    "a step within the burn: the zero drifts by {} {} a second by itself",
                    super::words::figures(tare.shift().1),
                    m.reduction.unit.symbol()
                )
            } else {
                "a cell that always wanders: its zero was steady ahead of the burn".to_owned()
            }
        }
        _ => NOTHING.to_owned(),
    }
}

/// A step: do thrust and pressure share it?
fn step(at_s: f64, m: &Measured, pressure: Option<&Measured>, burn_s: f64) -> String {
    let Some(p) = pressure else {
        return "no pressure channel: a leak, a changed throat and a stand that sticks look alike in thrust"
            .to_owned();
    };
    let change = |m: &Measured| {
        let before = mean(part(m, at_s - 0.08 * burn_s, at_s - 0.01 * burn_s))?;
        let after = mean(part(m, at_s + 0.03 * burn_s, at_s + 0.10 * burn_s))?;
        (before > 0.0).then_some(after / before)
    };
    match (change(m), change(p)) {
        (Some(thrust), Some(pressure)) => {
            let both = format!("thrust to {:.0} %, pressure to {:.0} %", 100.0 * thrust, 100.0 * pressure);
            if (pressure - 1.0).abs() < 0.3 * (thrust - 1.0).abs() {
                format!(
                    "anything in the chamber: pressure hardly shares it ({both}); the stand or the cell first"
                )
            } else if pressure < thrust - 0.05 {
                format!(
                    "a leak alone: pressure falls further than thrust ({both}), as with a larger or lost throat"
                )
            } else if (pressure - thrust).abs() <= 0.05 {
                format!("a lost throat: thrust and pressure change alike ({both})")
            } else {
                format!("a leak ahead of the nozzle: pressure keeps up better than thrust ({both})")
            }
        }
        _ => NOTHING.to_owned(),
    }
}

fn part(m: &Measured, from_s: f64, to_s: f64) -> &[f64] {
    let from = m.t.partition_point(|&t| t < from_s);
    let to = m.t.partition_point(|&t| t <= to_s);
    m.y.get(from..to.max(from)).unwrap_or_default()
}

fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

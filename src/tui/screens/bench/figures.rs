//! The figures of the load bench, in words and rows.

use ratatui::text::{Line, Span};

use super::{BenchScreen, Page, Worked};
use crate::ballistics::sensitivity::swings;
use crate::ballistics::{Prediction, scatter, sensitivity};
use crate::desk::bench::room::{caps, room};
use crate::quantity::{GaugePressure, Impulse, Quantity, System, show, show_both};
use crate::standing::in_units::in_units;
use crate::tui::text;
use crate::tui::theme::Meaning;
use crate::tui::widgets::Paint;
use crate::tui::widgets::paper::Paper;

/// The answer in one line, and what it means.
pub(super) fn answer(screen: &BenchScreen, system: System) -> (String, Meaning) {
    let Some(good) = &screen.good else {
        return ("Nothing to draw yet: see what is marked with !".to_owned(), Meaning::Warns);
    };
    let peak = show(good.plan.peak_pressure_pa, system);
    if let Some(problem) = screen.problems.first() {
        let words = format!(
            "! {} is wrong or missing: what is drawn is the last good plan",
            label(screen, &problem.field)
        );
        return (words, Meaning::Forbids);
    }
    let Some(limits) = &screen.limits else {
        return (
            format!("peak {peak} above the atmosphere; open the bench from a casing to hold it against one"),
            Meaning::Strong,
        );
    };
    let spread = good.load.scatter.unwrap_or_default();
    let exponent = good.load.propellant.exponent;
    let found = caps(limits, &screen.rules, &spread, exponent, good.plan.ambient_pa.si(), None);
    let Some(least) = found.first() else {
        return (format!("peak {peak}; {} has no limit on record", limits.serial), Meaning::Warns);
    };
    let over = good.plan.peak_pressure_pa.si() > least.peak_pa.si() * (1.0 + 1e-9);
    // A restriction to the very load that is planned stands against nothing here.
    let load = screen.fields.text("load");
    let allowed = limits.restricted_to.iter().any(|it| it == load);
    let against = |words: &&String| !(allowed && words.contains(" is restricted to "));
    if let Some(words) = limits.standing.iter().find(against) {
        let short = words.split(':').next().unwrap_or(words).replace(" is hold", " is on hold");
        let keeps = if over { "over" } else { "under" };
        return (
            format!(
                "x {short}. Planned peak {peak} is {keeps} {} ({})",
                show(least.peak_pa, system),
                least.what
            ),
            Meaning::Forbids,
        );
    }
    if over {
        let words = format!(
            "x peak {peak} is over what {} leaves: {} ({})",
            limits.serial,
            show(least.peak_pa, system),
            least.what
        );
        return (words, Meaning::Forbids);
    }
    let sigmas = screen.rules.value("load-sigmas");
    let high = good.plan.peak_pressure_absolute_pa.si() * (1.0 + sigmas * spread.peak_sigma(exponent))
        - good.plan.ambient_pa.si();
    let warns = limits.meop_pa.is_some_and(|meop| high > meop);
    let (sign, meaning) = match (warns, allowed) {
        (true, _) => ("~", Meaning::Warns),
        (false, true) => (crate::book::Standing::Restricted.sign(), Meaning::Strong),
        (false, false) => ("=", Meaning::InOrder),
    };
    let passes =
        scatter::worked_out(&good.load, &good.plan, &spread).over_meop.map_or_else(String::new, |it| {
            let unknown = screen.hard.as_ref().is_none_or(|hard| hard.chance.is_none());
            let without = if unknown { ", hard starts not counted" } else { "" };
            format!("; passes it in {}{without}", of_firings(it.chance))
        });
    let held = match limits.meop_pa {
        Some(meop) => format!("MEOP {}{passes}", show(GaugePressure::from_si(meop), system)),
        None => format!("{} ({})", show(least.peak_pa, system), least.what),
    };
    let only = if allowed { format!("; {} is restricted to it", limits.serial) } else { String::new() };
    (format!("{sign} planned peak {peak} is under {held}{only}"), meaning)
}

/// So many firings, in few words.
fn of_firings(chance: f64) -> String {
    if chance >= 0.995 {
        "nearly all firings".to_owned()
    } else if chance >= 0.2 {
        format!("{:.0} of 100 firings", 100.0 * chance)
    } else if chance >= LEAST_CHANCE {
        format!("1 of {:.0} firings", 1.0 / chance)
    } else {
        "under 1 in a million firings".to_owned()
    }
}

/// No tail of this model is known beyond one in a million.
const LEAST_CHANCE: f64 = 1e-6;

/// What the screen calls a field.
fn label<'a>(screen: &'a BenchScreen, field: &'a str) -> &'a str {
    screen.fields.fields.iter().find(|it| it.name == field).map_or(field, |it| it.label.as_str())
}

/// The rows of one plan.
fn rows(plan: &Prediction, system: System) -> Vec<(&'static str, String)> {
    let class = plan.class.as_deref().map_or_else(String::new, |class| format!(", class {class}"));
    vec![
        ("peak pressure", show_both(plan.peak_pressure_pa, system)),
        ("mean pressure", show_both(plan.mean_pressure_pa, system)),
        ("peak thrust", show_both(plan.peak_thrust_n, system)),
        ("impulse", format!("{}{class}", show(plan.impulse_ns, system))),
        ("burn time", show(plan.burn_time_s, system)),
        ("specific impulse", show(plan.specific_impulse_s, system)),
        ("Kn", format!("{:.0} / {:.0} / {:.0}", plan.kn_start, plan.kn_max, plan.kn_end)),
        ("port / throat", format!("{:.2}", plan.port_to_throat)),
        ("propellant", show_both(plan.propellant_kg, system)),
    ]
}

/// As text to copy.
pub(super) fn as_text(plan: &Prediction, system: System) -> String {
    rows(plan, system).iter().map(|(name, value)| format!("{name}\t{value}")).collect::<Vec<_>>().join("\n")
}

pub(super) fn write(screen: &BenchScreen, paper: &mut Paper, paint: &Paint) {
    for problem in &screen.problems {
        let words = format!("{}: {}", label(screen, &problem.field), problem.message);
        paper.hang("! ", paint.of(Meaning::Forbids), &words, paint.of(Meaning::Forbids));
    }
    let Some(good) = &screen.good else { return };
    match screen.page {
        Page::Figures => figures(screen, good, paper, paint),
        Page::Room => room_page(screen, good, paper, paint),
        Page::Drives => drives(good, paper, paint),
        Page::Batch => batch(screen, paper, paint),
    }
}

fn figures(screen: &BenchScreen, good: &Worked, paper: &mut Paper, paint: &Paint) {
    if let Some(reason) = &screen.reason {
        paper.hang("why  ", paint.of(Meaning::Key), reason, paint.of(Meaning::Plain));
    }
    chances(screen, good, paper, paint);
    for warning in &good.plan.warnings {
        paper.hang("! ", paint.of(Meaning::Warns), warning, paint.of(Meaning::Warns));
    }
    if let Some(limits) = &screen.limits {
        for words in limits.misfits(&good.load) {
            paper.hang("! ", paint.of(Meaning::Warns), &words, paint.of(Meaning::Warns));
        }
    }
    match &screen.held {
        Some(held) => side_by_side(good, held, paper, paint),
        None => alone(good, paper, paint),
    }
    if let Some(hard) = &screen.hard {
        paper.hang("hard starts  ", paint.of(Meaning::Key), &hard.how, paint.of(Meaning::Plain));
    }
    let source = "Nothing is written. Quasi-steady balance (Sutton and Biblarz 7e, chapters 3 and 11).";
    paper.text(source, paint.of(Meaning::Plain));
}

/// The figures of one plan, two a line where there is room.
fn alone(good: &Worked, paper: &mut Paper, paint: &Paint) {
    let rows = rows(&good.plan, paint.system);
    let each = if paper.width() >= 76 { 2 } else { 1 };
    let column = paper.width() / each;
    for line in rows.chunks(each) {
        let spans = line
            .iter()
            .flat_map(|(name, value)| {
                [
                    Span::styled(text::pad(name, 17), paint.of(Meaning::Plain)),
                    Span::styled(text::pad(value, column.saturating_sub(17)), paint.of(Meaning::Strong)),
                ]
            })
            .collect::<Vec<_>>();
        paper.lines.push(Line::from(spans));
    }
}

/// The figures of two plans.
fn side_by_side(good: &Worked, held: &Worked, paper: &mut Paper, paint: &Paint) {
    let column = (paper.width().saturating_sub(17) / 2).clamp(12, 32);
    let row = |cells: [&str; 3], style, strong| {
        Line::from(vec![
            Span::styled(text::pad(cells[0], 17), style),
            Span::styled(text::pad(cells[1], column), strong),
            Span::styled(text::fit(cells[2], column), style),
        ])
    };
    let heading = paint.of(Meaning::Heading);
    let title = format!("held: {}", text::clean(&held.title));
    paper.lines.push(row(["", &text::clean(&good.title), &title], heading, heading));
    let (now, other) = (rows(&good.plan, paint.system), rows(&held.plan, paint.system));
    for ((name, value), (_, held)) in now.iter().zip(&other) {
        paper.lines.push(row([name, value, held], paint.of(Meaning::Plain), paint.of(Meaning::Strong)));
    }
}

/// The chance of passing each limit of the casing.
fn chances(screen: &BenchScreen, good: &Worked, paper: &mut Paper, paint: &Paint) {
    let Some(spread) = &good.load.scatter else { return };
    let over = scatter::worked_out(&good.load, &good.plan, spread);
    let weakest = screen.limits.as_ref().and_then(|it| it.weakest.as_deref()).unwrap_or("yields");
    let mode = weakest.split(',').next().unwrap_or(weakest);
    let limits = [
        ("MEOP", &good.load.limits.meop, over.over_meop),
        ("proof", &good.load.limits.proof, over.over_proof),
        (mode, &good.load.limits.yield_pressure, over.over_yield),
    ];
    for (name, limit, chance) in limits {
        if let (Some(limit), Some(chance)) = (limit, chance) {
            let of = if spread.hard_start_chance > 0.0 {
                format!("passed by {} (ordinary {})", one_in(chance.chance), one_in(chance.ordinary))
            } else {
                // Never alone: it would look best where nothing is known.
                format!("hard starts not counted; passed by ordinary {}", one_in(chance.ordinary))
            };
            let words = format!("{:>9}  {of}", show(limit.value, paint.system));
            let lead = text::pad(name, 17);
            let line = vec![
                Span::styled(lead, paint.of(Meaning::Key)),
                Span::styled(text::fit(&words, paper.width().saturating_sub(17)), paint.of(Meaning::Plain)),
            ];
            paper.lines.push(Line::from(line));
        }
    }
}

/// A chance in few words.
fn one_in(chance: f64) -> String {
    if chance >= 0.995 {
        "nearly all".to_owned()
    } else if chance >= 0.2 {
        format!("{:.0} in 100", 100.0 * chance)
    } else if chance >= LEAST_CHANCE {
        format!("1 in {:.0}", 1.0 / chance)
    } else {
        "under 1 in a million".to_owned()
    }
}

fn room_page(screen: &BenchScreen, good: &Worked, paper: &mut Paper, paint: &Paint) {
    let Some(limits) = &screen.limits else { return };
    let heading = format!("How much room {} leaves this load", limits.serial);
    paper.text(&heading, paint.of(Meaning::Heading));
    match room(&good.load, limits, &screen.rules, None) {
        Ok(found) => {
            for cap in &found.caps {
                let words = format!("{} by {}", show(cap.peak_pa, paint.system), cap.what);
                paper.hang("up to  ", paint.of(Meaning::Key), &words, paint.of(Meaning::Plain));
            }
            for answer in &found.answers {
                let then = match (answer.peak_pressure_pa, answer.impulse_ns) {
                    (Some(peak), Some(impulse)) => format!(
                        " → {}, {}",
                        show(peak, paint.system),
                        show(Impulse::from_si(impulse), paint.system)
                    ),
                    _ => String::new(),
                };
                let words = format!("{}{then}; limited by {}", answer.words, answer.limited_by);
                paper.hang(
                    &format!("{}  ", answer.asked),
                    paint.of(Meaning::Strong),
                    &words,
                    paint.of(Meaning::Plain),
                );
            }
            paper.text("Each changes one thing and leaves the rest.", paint.of(Meaning::Plain));
        }
        Err(problem) => {
            paper.hang("! ", paint.of(Meaning::Warns), &problem.message, paint.of(Meaning::Warns))
        }
    }
}

fn drives(good: &Worked, paper: &mut Paper, paint: &Paint) {
    let plain = paint.of(Meaning::Plain);
    paper.text("What drives the scatter of the peak", paint.of(Meaning::Heading));
    let spread = good.load.scatter.unwrap_or_default();
    for cause in sensitivity::causes(&spread, good.load.propellant.exponent) {
        let bar = "█".repeat((cause.share * 20.0).round() as usize);
        let words = format!(
            "{:>4.0} %  {:.1} % moves it {:.1} %  {bar}",
            100.0 * cause.share,
            100.0 * cause.sigma,
            100.0 * cause.peak_sigma
        );
        let words = text::fit(&words, paper.width().saturating_sub(25));
        paper.lines.push(Line::from(vec![
            Span::styled(text::pad(cause.cause, 25), plain),
            Span::styled(words, plain),
        ]));
    }
    if let Ok(swings) = swings(&good.load) {
        paper.text("What small changes do to the peak", paint.of(Meaning::Heading));
        for swing in swings {
            let [low, high] = swing.peak;
            let words = if low == high {
                format!("{:+.1} %", 100.0 * high)
            } else {
                format!("{:+.1} to {:+.1} %, as published", 100.0 * low, 100.0 * high)
            };
            paper.hang(&text::pad(&in_units(&swing.change, paint.system, true), 25), plain, &words, plain);
        }
    }
}

fn batch(screen: &BenchScreen, paper: &mut Paper, paint: &Paint) {
    let Some(page) = &screen.batch_page else { return };
    let plain = paint.of(Meaning::Plain);
    paper.text(&format!("What the firings of {} say", page.name), paint.of(Meaning::Heading));
    let used = page.firings.iter().filter(|it| it.left_out.is_none()).count();
    paper.text(
        &format!(
            "{}; fired {}, {used} of them in the fit",
            page.numbers,
            crate::quantity::counted(page.fired, "time")
        ),
        plain,
    );
    for firing in page.firings.iter().filter(|it| it.left_out.is_some()) {
        let why = firing.left_out.as_deref().unwrap_or_default();
        let words = format!("entry {} of {}: {why}", firing.entry.number, firing.entry.on);
        paper.hang("left out  ", paint.of(Meaning::Key), &words, plain);
    }
    if let Some(why) = &page.no_fit {
        paper.hang("! ", paint.of(Meaning::Warns), why, plain);
    }
    let Some(fit) = &page.fit else { return };
    let interval = |it: &crate::ballistics::fit::Estimate, scale: f64, unit: &str| {
        let end = |end: Option<f64>| end.map_or_else(|| "open".to_owned(), |it| format!("{:.3}", it * scale));
        format!("{:.3}{unit} (95 %: {} to {})", it.value * scale, end(it.low), end(it.high))
    };
    paper.hang("factor    ", paint.of(Meaning::Key), &interval(&fit.factor, 1.0, ""), plain);
    match (&fit.law, &fit.no_law) {
        (Some(law), _) => {
            let rate = format!(
                "{} at {}",
                interval(&law.burn_rate_m_s, 1e3, " mm/s"),
                show(law.at_pa, paint.system)
            );
            paper.hang("rate      ", paint.of(Meaning::Key), &rate, plain);
            paper.hang("exponent  ", paint.of(Meaning::Key), &interval(&law.exponent, 1.0, ""), plain);
        }
        (None, Some(why)) => paper.hang("exponent  ", paint.of(Meaning::Key), why, plain),
        (None, None) => {}
    }
    let holds = format!("Kn {:.0} to {:.0}; a plan beyond that extrapolates", fit.kn[0], fit.kn[1]);
    paper.hang("holds for ", paint.of(Meaning::Key), &holds, plain);
    if !page.proposal.is_empty() {
        paper.text(
            "Nothing is changed by this. F8 opens a new batch entry with it.",
            paint.of(Meaning::Strong),
        );
    }
}

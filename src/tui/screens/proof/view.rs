//! A proof at the rig on the screen: the answer and what departs on top, the fields, the plan below.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::{RigScreen, Stopped};
use crate::desk::proof::Verdict;
use crate::quantity::{GaugePressure, Quantity, Volume, show};
use crate::standing::in_units::in_units;
use crate::standing::proof_plan::growth_words;
use crate::tui::theme::Meaning;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::{Paint, keep_in_view, put, stacked};

pub(super) fn draw(screen: &mut RigScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    // Beside the fields only where every line of the plan is whole.
    let wide = area.width >= 150;
    let left = if wide { area.width - 78 } else { area.width };
    let column = Rect { width: left, ..area };
    let mut head = Paper::new(usize::from(left));
    write_head(screen, &mut head, paint);
    let tall = |paper: &Paper, most: u16| u16::try_from(paper.len()).unwrap_or(u16::MAX).min(most);
    let top = tall(&head, (area.height / 3).max(3));
    let below = if wide { 0 } else { (area.height / 3).min(10) };
    let fields = area.height.saturating_sub(top + below + 1);
    let [head_at, fields_at, rule_at, plan_at] = stacked(column, [top, fields, 1, below]);
    head.draw(frame, head_at, 0, paint);
    screen.fields.draw(frame, fields_at, paint);
    put(frame, rule_at, 0, 0, &"─".repeat(usize::from(left)), paint.of(Meaning::Plain));
    let plan_at = if wide {
        Rect { x: area.x + left + 2, width: area.width.saturating_sub(left + 2), ..area }
    } else {
        plan_at
    };
    put(
        frame,
        plan_at,
        0,
        0,
        "step   pressure   share  OD growth    water in  for",
        paint.of(Meaning::Heading),
    );
    let plan_at = Rect { y: plan_at.y + 1, height: plan_at.height.saturating_sub(1), ..plan_at };
    let mut plan = Paper::new(usize::from(plan_at.width));
    write_plan(screen, &mut plan, paint);
    screen.fields.answer.fit(plan.len(), plan_at);
    // The table goes along with the step being typed; PgUp and PgDn look elsewhere until the next one.
    let page = screen.fields.answer.page;
    let step = screen.looked_at(paint.system);
    if (step, page) != screen.followed {
        screen.followed = (step, page);
        if let Some(at) = step {
            // The line below it is not covered by the mark of what is further down.
            screen.fields.answer.top =
                keep_in_view(screen.fields.answer.top, page, at.saturating_sub(1), at + 2, plan.len());
        }
    }
    screen.fields.answer.draw(&plan, frame, plan_at, paint);
}

/// What to do now, and what departs, worst first.
fn write_head(screen: &RigScreen, head: &mut Paper, paint: &Paint) {
    let pressure = |pa: f64| show(GaugePressure::from_si(pa), paint.system);
    let forbids = paint.of(Meaning::Forbids);
    let stopped = screen.stopped(paint.system);
    let stop = stopped.is_some();
    let answer = match (&screen.verdict, screen.now()) {
        _ if let Some(Stopped::Stop(at)) = stopped => format!(
            "STOP at step {}: let the pressure off slowly, from behind cover, and find out why",
            at + 1
        ),
        _ if let Some(Stopped::Doubt(at)) = stopped => format!(
            "Step {} is not at {}: read the gauge and its unit again before another stroke",
            at + 1,
            screen.plan.steps.get(at).map_or_else(String::new, |step| pressure(step.pressure_pa))
        ),
        _ if stop => {
            // Once a step is read, there is pressure in it.
            let off = if screen.now() == Some(0) { "" } else { "let the pressure off slowly: " };
            format!("STOP: {off}{}", screen.unfit_rig().unwrap_or_default())
        }
        (Some(Verdict::Passes), _) => {
            let until = screen.plan.good_until.map_or_else(String::new, |day| day.to_string());
            format!(
                "It passes: good until {until} and for {}. {} writes it up",
                crate::quantity::counted(screen.plan.good_for_firings, "firing"),
                paint.keys.first(crate::tui::action::Act::Save, crate::tui::action::Context::Rig)
            )
        }
        (Some(Verdict::SecondReader(_)), _) => "It passes only with a second reader's name".to_owned(),
        (Some(Verdict::Fails(_)), _) => "It does not pass".to_owned(),
        (None, Some(0)) => format!(
            "Proof at {}: rig check, diameters, then step 1, {}",
            pressure(screen.plan.pressure_pa),
            screen.plan.steps.first().map_or_else(String::new, |step| pressure(step.pressure_pa))
        ),
        (None, Some(at)) => {
            let step = &screen.plan.steps[at];
            format!(
                "Next: step {} of {}, {}{}",
                at + 1,
                screen.plan.steps.len(),
                pressure(step.pressure_pa),
                if step.away { ", nobody near" } else { "" }
            )
        }
        (None, None) => "At the proof: hold, look, let off; then the diameters after ten minutes".to_owned(),
    };
    let style = if stop || matches!(screen.verdict, Some(Verdict::Fails(_))) {
        forbids
    } else {
        paint.of(Meaning::Strong)
    };
    head.text(&answer, style);
    for flag in screen.flags.iter().rev().take(2) {
        let (sign, style) = if flag.stop { ("!! ", forbids) } else { ("~ ", paint.of(Meaning::Warns)) };
        head.hang(
            sign,
            style,
            &format!(
                "step {}: {} (rule {})",
                flag.step + 1,
                in_units(&flag.text, paint.system, false),
                flag.rule
            ),
            style,
        );
    }
    match &screen.verdict {
        Some(Verdict::Fails(lines)) => {
            for line in lines {
                let words = format!(
                    "{} (rule {}: {}; {})",
                    line.text,
                    line.rule,
                    screen.rules.says_in(line.rule, paint.system),
                    screen.rules.source(line.rule)
                );
                head.hang("! ", forbids, &words, forbids);
            }
        }
        Some(Verdict::SecondReader(line)) => {
            let words = format!(
                "{} (rule {}: {})",
                line.text,
                line.rule,
                screen.rules.says_in(line.rule, paint.system)
            );
            head.hang("~ ", paint.of(Meaning::Warns), &words, paint.of(Meaning::Warns));
        }
        _ => {}
    }
    for words in screen.unknown_gauges() {
        let words = format!("{words}: choose one with ← →, register it, or leave it empty");
        head.hang("~ ", paint.of(Meaning::Warns), &words, paint.of(Meaning::Warns));
    }
    for words in &screen.odd {
        head.hang("~ ", paint.of(Meaning::Warns), words, paint.of(Meaning::Warns));
    }
    if let Some(objection) = &screen.plan.objection
        && !screen.odd.iter().any(|words| *words == objection.to_string())
    {
        head.hang("!! ", forbids, &objection.to_string(), forbids);
    }
    for caution in &screen.plan.cautions {
        head.hang("~ ", paint.of(Meaning::Warns), caution, paint.of(Meaning::Warns));
    }
}

/// The plan, step by step, and what it rests on.
fn write_plan(screen: &RigScreen, paper: &mut Paper, paint: &Paint) {
    let plan = &screen.plan;
    let plain = paint.of(Meaning::Plain);
    let pressure = |pa: f64| show(GaugePressure::from_si(pa), paint.system);
    let stopped = screen.stopped(paint.system);
    let now = if stopped.is_some() { None } else { screen.now() };
    for (at, step) in plan.steps.iter().enumerate() {
        let growth = step.growth_mm.map_or_else(|| "-".to_owned(), |mm| growth_words(mm, paint.system));
        let water =
            step.water_m3.map_or_else(|| "-".to_owned(), |m3| show(Volume::from_si(m3), paint.system));
        let mark = match stopped {
            Some(stopped) if stopped.step() == Some(at) => "!",
            _ if now == Some(at) => ">",
            _ => " ",
        };
        let what = match stopped {
            Some(Stopped::Stop(of)) if of == at => "STOP: pressure off, find out why".to_owned(),
            Some(Stopped::Doubt(of)) if of == at => "read the gauge again".to_owned(),
            _ => format!("{}{}", step.what, if step.away { ", nobody near" } else { "" }),
        };
        let words = format!(
            "{mark}{:>2} {:>10} {:>5.0} % {growth:>10} {water:>11}  {what}",
            at + 1,
            pressure(step.pressure_pa),
            step.share * 100.0,
        );
        let style = match mark {
            "!" => paint.of(Meaning::Forbids),
            ">" => paint.of(Meaning::Strong),
            _ => plain,
        };
        paper.line(&words, style);
    }
    paper.labelled(
        "pressure",
        &format!("{} on MEOP {}: {}", pressure(plan.pressure_pa), pressure(plan.meop_pa), plan.pressure_from),
        paint,
    );
    paper.labelled("after", &format!("hold {:.0} s, back to MEOP for a close look, to nothing; diameters after ten minutes; drain, dry", plan.hold_s), paint);
    if let Some(water) = &plan.water {
        paper.labelled(
            "water",
            &format!(
                "{} inside over the whole tube; bore grows {}, water gives {} (beta {:.1e}/Pa)",
                show(water.volume_m3, paint.system),
                show(water.growth_thick_m3, paint.system),
                show(water.water_compression_m3, paint.system),
                plan.beta_per_pa
            ),
            paint,
        );
    }
    paper.labelled("set", &plan.method_why, paint);
    paper.labelled(
        "flagged",
        &format!(
            "read again past {} (twice the dial), stop past {} % of the prediction",
            growth_words(2.0 * plan.dial_mm, paint.system),
            plan.stop_percent
        ),
        paint,
    );
}

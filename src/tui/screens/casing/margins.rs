//! The margins of a casing, the weakest first, and what follows from them.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::panels::{bar, split};
use super::{CasingScreen, Panel};
use crate::desk::what_if::kept_by;
use crate::quantity::{GaugePressure, Quantity, System, show};
use crate::standing::RuleSet;
use crate::standing::in_units::in_units;
use crate::strength::change::Change;
use crate::strength::{Margins, Mode, ModeMargin};
use crate::tui::screens::read::Read;
use crate::tui::theme::Meaning;
use crate::tui::widgets::Paint;
use crate::tui::widgets::paper::{Block, Paper};
use crate::tui::widgets::table::{self, bars, column, numbers};

/// What follows from the margins of a casing.
#[derive(Clone, Debug, Default)]
pub(super) struct Advice {
    /// The highest MEOP that margins bear, and the proof of this build covers where there is one.
    pub kept: Option<GaugePressure>,
    /// Whether a proof of this build has passed.
    pub proved: bool,
    /// Every dimension a little better, the greatest gain first.
    pub changes: Vec<Change>,
}

impl Advice {
    /// As labels and sentences.
    fn says(&self, most: usize, system: System) -> Vec<(&'static str, String)> {
        let mut lines = Vec::new();
        if let Some(kept) = self.kept {
            let label = if self.proved { "covers" } else { "on paper" };
            lines.push((
                label,
                format!("{} is the highest MEOP that {}", show(kept, system), kept_by(self.proved)),
            ));
        }
        let helpful: Vec<&Change> = self.changes.iter().filter(|it| it.gain > 1e-6).take(most).collect();
        if helpful.is_empty() {
            lines.push(("change", "no dimension alone makes the thinnest mode stronger".to_owned()));
        }
        for (at, it) in helpful.into_iter().enumerate() {
            let words = format!(
                "{} {} to {}: thinnest {} at {} ({:+.1} %)",
                it.field,
                in_units(&it.from, system, true),
                in_units(&it.to, system, true),
                it.weakest_after,
                show(it.yield_pressure_after_pa, system),
                100.0 * it.gain,
            );
            lines.push((if at == 0 { "change" } else { "or" }, words));
        }
        lines
    }
}

/// Every mode, then those that count only once something else has gone wrong.
fn every(margins: &Margins) -> Vec<(&ModeMargin, bool)> {
    let mut modes: Vec<&ModeMargin> = margins.modes.iter().collect();
    // By the figure that is shown: rank, bar and figure are of one pressure.
    modes.sort_by(|a, b| a.factor.total_cmp(&b.factor));
    let ranked = modes.into_iter().map(|it| (it, false));
    ranked.chain(margins.contingent.iter().map(|it| (it, true))).collect()
}

pub(super) fn draw(screen: &mut CasingScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let margins = match &screen.margins {
        Ok(margins) => margins,
        Err(error) => {
            let mut paper = Paper::new(usize::from(area.width));
            paper.text(&format!("No margin can be worked out: {error}"), paint.of(Meaning::Forbids));
            paper.draw(frame, area, 0, paint);
            return;
        }
    };
    let all = every(margins);
    let (list, below) = split(area, all.len(), (area.height * 9 / 20).clamp(4, 18));
    let columns = [
        column("Mode", 16, 0, 0),
        column("Where", 14, 1, 2),
        // What the factor is of: first yield, of burst the bursting.
        numbers("Gives at", 9, 0),
        numbers("Breaks at", 9, 3),
        numbers("x MEOP", 8, 0),
        bars("", 12, 2, 1),
    ];
    let shown = |pressure: GaugePressure| show(pressure, paint.system);
    let most = all.iter().map(|(it, _)| it.factor_of().si()).fold(1.0, f64::max);
    let wide = table::layout(&columns, list.width).iter().find(|(at, _)| *at == 5).map_or(0, |it| it.1);
    let least = screen.rules.value("margin-least");
    let place = &mut screen.places[Panel::Margins as usize];
    table::draw(frame, list, &columns, place, all.len(), paint, |at| {
        let (it, contingent) = all[at];
        let style = if it.factor < least && !contingent {
            paint.of(Meaning::Forbids)
        } else {
            paint.of(Meaning::Plain)
        };
        let name = if contingent { format!("({})", it.mode) } else { it.mode.to_string() };
        vec![
            (name, style),
            (it.place.clone(), style),
            (shown(it.factor_of()), style),
            (it.ultimate_pressure_pa.map_or_else(String::new, shown), style),
            (format!("{:.2}", it.factor), style),
            (bar(it.factor_of().si() / most, usize::from(wide)), style),
        ]
    });
    let mut paper = Paper::new(usize::from(below.width));
    for words in &margins.objections {
        paper.hang("  ! ", paint.of(Meaning::Forbids), words, paint.of(Meaning::Forbids));
    }
    let roomy = below.height >= 12;
    for (label, words) in screen.advice.says(if roomy { 6 } else { 1 }, paint.system) {
        paper.labelled(label, &words, paint);
    }
    if let Some((it, contingent)) = all.get(place.selected) {
        if *contingent {
            paper.text(IN_BRACKETS, paint.of(Meaning::Strong));
        }
        if it.mode == Mode::TubeBurst {
            let words = format!("{}: the whole wall has yielded", shown(it.yield_pressure_pa));
            paper.labelled("before", &words, paint);
        }
        paper.labelled("basis", &in_units(&it.basis, paint.system, false), paint);
        paper.labelled("source", &it.source, paint);
    }
    paper.labelled("MEOP", &on_meop(margins, &screen.rules, paint.system), paint);
    for words in &margins.assumed {
        paper.hang("  ~ assumed: ", paint.of(Meaning::Warns), words, paint.of(Meaning::Plain));
    }
    paper.draw(frame, below, 0, paint);
}

const IN_BRACKETS: &str = "In brackets: counts only once something else has gone wrong; never ranked.";

fn on_meop(margins: &Margins, rules: &RuleSet, system: System) -> String {
    format!("factors are on {}; {}", show(margins.pressure_pa, system), rules.says("margin-least"))
}

/// The selected mode and everything that follows, in full.
pub(super) fn in_full(screen: &CasingScreen, system: System) -> Option<Read> {
    let margins = screen.margins.as_ref().ok()?;
    let all = every(margins);
    let (it, contingent) = all.get(screen.places[Panel::Margins as usize].selected)?;
    let labelled = |label: &str, words: String| Block::Labelled(label.to_owned(), words);
    let mut blocks = vec![
        Block::Strong(format!(
            "{}, {}: {} at {}, {:.2} times MEOP",
            it.mode,
            it.place,
            if it.mode == Mode::TubeBurst { "bursts" } else { "yields" },
            show(it.factor_of(), system),
            it.factor
        )),
        Block::Gap,
    ];
    if *contingent {
        blocks.push(Block::Strong(IN_BRACKETS.to_owned()));
    }
    blocks.push(labelled("basis", in_units(&it.basis, system, false)));
    blocks.push(labelled("source", it.source.clone()));
    blocks.push(labelled("MEOP", on_meop(margins, &screen.rules, system)));
    blocks.extend(margins.objections.iter().map(|words| Block::Point("!".to_owned(), words.clone())));
    blocks.extend(margins.assumed.iter().map(|words| labelled("assumed", words.clone())));
    blocks.push(Block::Gap);
    blocks.push(Block::Heading("What follows".to_owned()));
    blocks.extend(screen.advice.says(12, system).into_iter().map(|(label, words)| labelled(label, words)));
    Some(Read::new("margins", blocks))
}

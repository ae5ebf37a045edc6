//! What if: another dimension, a pit or a soft spot, with the margins before and after. Nothing is written.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};

use crate::book::{Answers, Ask, Field, Problem, forms};
use crate::desk::what_if::{ON_PAPER, WhatIf, answers_of, meop_kept};
use crate::quantity::{Dimension, GaugePressure, Length, Quantity, System, parse_field, parse_number, show};
use crate::standing::{Assessment, RuleSet};
use crate::strength::change::Change;
use crate::strength::{Margins, ModeMargin, margins};
use crate::tui::action::{Act, Context};
use crate::tui::screens::{Cx, Screen, Step};
use crate::tui::text;
use crate::tui::theme::Meaning;
use crate::tui::widgets::live::{self, Live, LiveFields, Note};
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::{Paint, put, stacked};

/// The fields that name a dimension, each with the field of its value.
const PAIRS: [(&str, &str); 2] = [("change", "to"), ("change2", "to2")];

/// A what-if about a casing.
pub(super) struct WhatIfScreen {
    assessed: Assessment,
    rules: RuleSet,
    now: Answers,
    before: Margins,
    fields: LiveFields,
    after: Option<Margins>,
    problems: Vec<Problem>,
}

impl WhatIfScreen {
    /// A what-if about a casing as it is, its most worthwhile dimensions offered first.
    pub(super) fn new(assessed: &Assessment, rules: &RuleSet, before: &Margins, changes: &[Change]) -> Self {
        let design = assessed.design_in_force();
        let now = design.as_ref().map(answers_of).unwrap_or_default();
        let mut words: Vec<String> = changes.iter().map(|change| change.field.clone()).collect();
        for field in forms::DESIGN {
            let known = now.text(field.name).is_some();
            if known && !words.iter().any(|word| word == field.name) {
                words.push(field.name.to_owned());
            }
        }
        let fields = vec![
            Live::new("change", "change", words.clone()),
            Live::new("to", "to", Vec::new()),
            Live::new("change2", "and change", words),
            Live::new("to2", "to", Vec::new()),
            Live::new("pit", "a pit, deep", Vec::new()),
            Live::new("hardness", "a spot of HB", Vec::new()),
            Live::new("station", "at station", Vec::new()),
        ];
        Self {
            assessed: assessed.clone(),
            rules: rules.clone(),
            now,
            before: before.clone(),
            fields: LiveFields::new(fields),
            after: None,
            problems: Vec::new(),
        }
    }

    /// The design field that is named in a field of this screen, where there is one.
    fn named(&self, field: &str) -> Option<&'static Field> {
        let typed = self.fields.text(field);
        let name = typed.replacen("both.", "forward.", 1);
        forms::DESIGN.iter().find(|it| it.name == name)
    }

    fn supposed(&self, system: System) -> Result<WhatIf, Vec<Problem>> {
        let mut problems = Vec::new();
        let mut what_if = WhatIf::default();
        for (change, to) in PAIRS {
            let (field, value) = (self.fields.text(change), self.fields.text(to));
            if field.is_empty() || value.is_empty() {
                continue;
            }
            let value = match self.named(change).and_then(measures) {
                Some((dimension, absolute)) => live::with_unit(value, dimension, absolute, system),
                None => value.to_owned(),
            };
            what_if.set.push((field.to_owned(), value));
        }
        let mut length = |name: &str| {
            let typed = self.fields.text(name);
            if typed.is_empty() {
                return None;
            }
            let typed = live::with_unit(typed, Dimension::Length, None, system);
            match parse_field(&typed, Dimension::Length, None, None) {
                Ok(si) => Some(Length::from_si(si)),
                Err(error) => {
                    problems.push(Problem::new(name, error.message));
                    None
                }
            }
        };
        what_if.pit = length("pit").filter(|pit| pit.si() > 0.0);
        what_if.station = length("station");
        let hardness = self.fields.text("hardness");
        if !hardness.is_empty() {
            match parse_number(hardness) {
                Ok(number) => what_if.hardness = Some(number),
                Err(error) => problems.push(Problem::new("hardness", error.message)),
            }
        }
        if problems.is_empty() { Ok(what_if) } else { Err(problems) }
    }

    fn judge(&self, system: System) -> Result<Option<Margins>, Vec<Problem>> {
        let what_if = self.supposed(system)?;
        let nothing = WhatIf { station: None, ..what_if.clone() }.is_empty();
        let (false, Some(design)) = (nothing, self.assessed.design_in_force()) else { return Ok(None) };
        let (design, local) = what_if.apply(&design, &self.assessed.local_state(), &self.assessed.spots)?;
        margins(&design, None, &local)
            .map(Some)
            .map_err(|error| vec![Problem::new("design", error.to_string())])
    }

    /// The problem of a field of this screen.
    fn problem(&self, name: &str) -> Option<String> {
        let about = |field: &str| -> bool {
            if let Some((change, _)) = PAIRS.iter().find(|(_, to)| *to == name) {
                let named = self.fields.text(change);
                let ends = named.strip_prefix("both.");
                return !named.is_empty()
                    && (field == named || ends.is_some_and(|it| field.ends_with(&format!(".{it}"))));
            }
            field == name
        };
        self.problems.iter().find(|it| about(&it.field)).map(|it| it.message.clone())
    }

    fn write_notes(&mut self, system: System) {
        let notes: Vec<Note> = self
            .fields
            .fields
            .iter()
            .map(|field| match self.problem(&field.name) {
                Some(words) => Note::Wrong(words),
                None => self.note(field, system),
            })
            .collect();
        for (field, note) in self.fields.fields.iter_mut().zip(notes) {
            field.note = note;
        }
    }

    fn note(&self, field: &Live, system: System) -> Note {
        if let Some((change, _)) = PAIRS.iter().find(|(_, to)| *to == field.name) {
            let Some(named) = self.named(change) else { return Note::None };
            let understood = measures(named)
                .and_then(|(dimension, absolute)| live::understood(field.text(), dimension, absolute, system))
                .map(|words| words + ", ")
                .unwrap_or_default();
            let now = self.now.text(named.name).unwrap_or("not given").to_owned();
            let now = match measures(named).map(|(dimension, absolute)| {
                live::understood(&now, dimension, absolute, system).unwrap_or_else(|| now.clone())
            }) {
                Some(shown) => shown.trim_start_matches("= ").to_owned(),
                None => now,
            };
            return Note::Says(format!("{understood}now {now}"));
        }
        match field.name.as_str() {
            "change" | "change2" => match (field.text().is_empty(), self.named(&field.name)) {
                (true, _) => Note::Says("a dimension of the drawing".to_owned()),
                (false, Some(named)) if field.text().starts_with("both.") => {
                    let label = named.label.trim_start_matches("Forward ");
                    Note::Says(format!("{label}, both ends at once"))
                }
                (false, Some(named)) => Note::Says(named.label.to_lowercase()),
                (false, None) => Note::Wrong("no dimension of the drawing: Right goes through them".into()),
            },
            "hardness" => Note::Says("Brinell; gives the strength left there".to_owned()),
            "station" if field.text().is_empty() => {
                Note::Says("where; what is on record there counts, too".to_owned())
            }
            _ if field.text().is_empty() => Note::Says("a pit or gouge, of the least wall".to_owned()),
            _ => {
                live::understood(field.text(), Dimension::Length, None, system).map_or(Note::None, Note::Says)
            }
        }
    }

    fn write_answer(&self, paper: &mut Paper, paint: &Paint) {
        let unplaced = |it: &&Problem| {
            !self
                .fields
                .fields
                .iter()
                .any(|field| matches!(&field.note, Note::Wrong(words) if *words == it.message))
        };
        for problem in self.problems.iter().filter(unplaced) {
            let words = format!("{}: {}", problem.field, problem.message);
            paper.hang("! ", paint.of(Meaning::Forbids), &words, paint.of(Meaning::Forbids));
        }
        if !self.problems.is_empty() {
            paper.text("No answer: see what is marked with !", paint.of(Meaning::Strong));
            return;
        }
        let proof = self.assessed.proof_of_build();
        let system = paint.system;
        let thinnest = |margins: &Margins| {
            margins.thinnest().map_or_else(
                || "none".to_owned(),
                |it| format!("{} at {}, {:.2} x MEOP", it.mode, show(it.factor_of(), system), it.factor),
            )
        };
        let kept = |margins: &Margins| {
            meop_kept(margins, &self.rules, proof).map_or_else(|| "none".to_owned(), |it| show(it, system))
        };
        let after = self.after.as_ref();
        let line = |paper: &mut Paper, label: &str, say: &dyn Fn(&Margins) -> String| {
            let before = say(&self.before);
            let words = match after.map(say) {
                Some(after) if after != before => format!("{before} → {after}"),
                Some(_) => format!("{before}, unchanged"),
                None => before,
            };
            paper.hang(&format!("{label:<13}"), paint.of(Meaning::Key), &words, paint.of(Meaning::Strong));
        };
        line(paper, "thinnest", &thinnest);
        if proof.is_some() {
            line(paper, "MEOP covered", &kept);
        } else {
            line(paper, "MEOP", &|margins| format!("{} {ON_PAPER}", kept(margins)));
        }
        if let Some(after) = after {
            for words in &after.objections {
                paper.hang("! ", paint.of(Meaning::Forbids), words, paint.of(Meaning::Forbids));
            }
        }
        let changes = |name: &str| PAIRS.iter().any(|(change, _)| self.fields.text(change) == name);
        let measured = self.now.text("tube.wall_min").is_some();
        if measured && changes("tube.wall") && !changes("tube.wall_min") {
            let words = "the least wall measured counts, not the nominal one: change tube.wall_min as well";
            paper.hang("~ ", paint.of(Meaning::Warns), words, paint.of(Meaning::Warns));
        }
        paper.text("Nothing is written.", paint.of(Meaning::Plain));
        paper.gap();
        self.write_modes(paper, paint);
    }

    /// Every mode, before and after, the weakest first.
    fn write_modes(&self, paper: &mut Paper, paint: &Paint) {
        let shown = |pressure: GaugePressure| show(pressure, paint.system);
        let least = self.rules.value("margin-least");
        // The last columns are left to the marks that say how much more there is.
        let room = paper.width().saturating_sub(16 + 11 * 2 + 7 * 2 + 11);
        let row = |cells: [&str; 6], style, strong| {
            let [mode, place, before, after, x_before, x_after] = cells;
            Line::from(vec![
                Span::styled(text::pad(&text::clean(mode), 16), style),
                Span::styled(text::pad(&text::clean(place), room), style),
                Span::styled(text::pad_left(before, 11), style),
                Span::styled(text::pad_left(after, 11), strong),
                Span::styled(text::pad_left(x_before, 7), style),
                Span::styled(text::pad_left(x_after, 7), strong),
            ])
        };
        let heading = paint.of(Meaning::Heading);
        paper.lines.push(row(["Mode", "Where", "gives at", "then", "x MEOP", "then"], heading, heading));
        let same = |a: &ModeMargin, b: &ModeMargin| a.mode == b.mode && a.place == b.place;
        let now = self.after.as_ref().unwrap_or(&self.before);
        let mut modes: Vec<&ModeMargin> = now.modes.iter().collect();
        let gone: Vec<&ModeMargin> =
            self.before.modes.iter().filter(|it| !now.modes.iter().any(|other| same(it, other))).collect();
        modes.sort_by(|a, b| a.yield_pressure_pa.si().total_cmp(&b.yield_pressure_pa.si()));
        for it in modes {
            let before = self.before.modes.iter().find(|other| same(it, other));
            let changed = self.after.is_some()
                && before.is_none_or(|other| (other.factor / it.factor - 1.0).abs() > 1e-6);
            let style = paint.of(if it.factor < least { Meaning::Forbids } else { Meaning::Plain });
            let strong = if it.factor < least { style } else { paint.of(Meaning::Strong) };
            let cells = [
                before.map_or_else(String::new, |it| shown(it.factor_of())),
                if changed { shown(it.factor_of()) } else { String::new() },
                before.map_or_else(String::new, |it| format!("{:.2}", it.factor)),
                if changed { format!("{:.2}", it.factor) } else { String::new() },
            ];
            let mode = it.mode.to_string();
            paper.lines.push(row(
                [&mode, &it.place, &cells[0], &cells[1], &cells[2], &cells[3]],
                style,
                strong,
            ));
        }
        for it in gone {
            let (mode, yields) = (it.mode.to_string(), shown(it.factor_of()));
            let style = paint.of(Meaning::Plain);
            let factor = format!("{:.2}", it.factor);
            paper.lines.push(row([&mode, &it.place, &yields, "gone", &factor, "gone"], style, style));
        }
    }
}

/// What a design field measures.
const fn measures(field: &Field) -> Option<(Dimension, Option<bool>)> {
    match field.ask {
        Ask::Quantity(dimension) => Some((dimension, None)),
        Ask::GaugePressure => Some((Dimension::Pressure, Some(false))),
        _ => None,
    }
}

impl Screen for WhatIfScreen {
    fn context(&self) -> Context {
        self.fields.context()
    }

    fn title(&self) -> String {
        "what if".to_owned()
    }

    fn offers(&self, act: Act) -> bool {
        match act {
            Act::Copy => self.after.is_some(),
            _ => true,
        }
    }

    fn copy(&self, system: System) -> Option<String> {
        let after = self.after.as_ref()?;
        let lines = after.modes.iter().map(|it| {
            format!("{}\t{}\t{}\t{:.2}", it.mode, it.place, show(it.factor_of(), system), it.factor)
        });
        Some(lines.collect::<Vec<_>>().join("\n"))
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if self.fields.act(act) {
            return;
        }
        if act == Act::Back {
            cx.go(Step::Back);
        }
    }

    fn live(&mut self) -> Option<&mut LiveFields> {
        Some(&mut self.fields)
    }

    fn settle(&mut self, cx: &mut Cx<'_>) {
        if !std::mem::take(&mut self.fields.changed) {
            return;
        }
        (self.after, self.problems) = match self.judge(cx.system) {
            Ok(after) => (after, Vec::new()),
            Err(problems) => (None, problems),
        };
        self.write_notes(cx.system);
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let title = format!("What if {} were otherwise?", self.assessed.serial);
        put(frame, area, 0, 0, &title, paint.of(Meaning::Heading));
        let rows = u16::try_from(self.fields.fields.len()).unwrap_or(u16::MAX);
        let rows = rows.min(area.height.saturating_sub(7)).max(1);
        let [_, fields, _, answer] = stacked(area, [1, rows, 1, u16::MAX / 2]);
        self.fields.draw(frame, fields, paint);
        let wrong = match self.fields.current().map(|field| &field.note) {
            Some(Note::Wrong(words)) => words.clone(),
            _ => "─".repeat(usize::from(area.width)),
        };
        put(frame, area, rows + 1, 0, &wrong, paint.of(Meaning::Plain));
        let mut paper = Paper::new(usize::from(area.width.min(110)));
        self.write_answer(&mut paper, paint);
        self.fields.answer.draw(&paper, frame, answer, paint);
    }
}

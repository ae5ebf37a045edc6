//! A text to read: cautions, an entry, what followed from an entry, the keys.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::form::FormScreen;
use super::{Cx, Screen, Step};
use crate::book::{Details, EntryId, Kind, cautions};
use crate::desk::view;
use crate::quantity::show::show_si;
use crate::quantity::{STANDARD_ATMOSPHERE_PA, System};
use crate::report::values;
use crate::store::EntryLine;
use crate::tui::action::{self, Act, Context};
use crate::tui::keymap::Keymap;
use crate::tui::widgets::Paint;
use crate::tui::widgets::paper::{Block, Paper};
use crate::tui::widgets::scroll::Scroll;

/// A text to read.
pub struct Read {
    title: String,
    blocks: Vec<Block>,
    scroll: Scroll,
    then: Option<Box<dyn Screen>>,
    /// The casing whose proof may be pumped with the assistant instead.
    rig: Option<String>,
    /// The entries it says were written; what is taken back from it is one of these.
    wrote: Vec<i64>,
    /// Whether all of them were struck since.
    spent: bool,
    /// The entry that may be written again from here, corrected.
    again: Option<EntryId>,
}

impl Read {
    /// A text.
    pub fn new(title: &str, blocks: Vec<Block>) -> Self {
        Self {
            title: title.to_owned(),
            blocks,
            scroll: Scroll::default(),
            then: None,
            rig: None,
            wrote: Vec::new(),
            spent: false,
            again: None,
        }
    }

    /// A text with a screen behind it.
    pub fn then(mut self, screen: Box<dyn Screen>) -> Self {
        self.then = Some(screen);
        self
    }

    /// Offer the assistant at the rig for a casing's proof.
    pub fn or_at_the_rig(mut self, casing: &str) -> Self {
        self.rig = Some(casing.to_owned());
        self
    }

    /// A text about entries just written.
    pub fn about(mut self, wrote: Vec<i64>) -> Self {
        self.wrote = wrote;
        self
    }

    /// Offer to write an entry again.
    pub fn or_again(mut self, entry: Option<EntryId>) -> Self {
        self.again = entry;
        self
    }

    /// All cautions, for a first run.
    pub fn first_run() -> Self {
        let mut blocks = vec![Block::Strong(cautions::WHAT_IT_IS.to_owned()), Block::Gap];
        blocks.push(Block::Heading("Before a proof".to_owned()));
        blocks.extend(points(cautions::BEFORE_A_PROOF));
        blocks.push(Block::Gap);
        blocks.push(Block::Heading("Before a firing".to_owned()));
        blocks.extend(points(cautions::BEFORE_A_FIRING));
        blocks.push(Block::Gap);
        blocks.push(Block::Text(cautions::ASK.to_owned()));
        Self::new("read this first", blocks)
    }

    /// The cautions that come before a form of this kind, if any do, with the form behind them.
    pub fn cautions(kind: Kind, then: Box<dyn Screen>) -> Result<Self, Box<dyn Screen>> {
        let (heading, lines) = match kind {
            Kind::Proof => ("Before a proof", cautions::BEFORE_A_PROOF),
            Kind::Firing | Kind::Prefire => ("Before a firing", cautions::BEFORE_A_FIRING),
            _ => return Err(then),
        };
        let mut blocks = vec![Block::Heading(heading.to_owned()), Block::Gap];
        for line in points(lines) {
            blocks.push(line);
            blocks.push(Block::Gap);
        }
        blocks.push(Block::Text(cautions::WHAT_IT_IS.to_owned()));
        Ok(Self::new("before you go on", blocks).then(then))
    }

    /// An entry in full.
    pub fn entry(line: &EntryLine, cx: &Cx<'_>) -> Self {
        let entry = &line.entry;
        let mut blocks = Vec::new();
        if let Some(by) = line.struck_by {
            blocks.push(Block::Strong(format!(
                "Struck by entry {by}: it no longer counts, and stays readable."
            )));
            blocks.push(Block::Gap);
        }
        blocks.push(Block::Strong(view::said_of(line, cx.system)));
        blocks.push(Block::Gap);
        let mut labelled = |label: &str, value: String| blocks.push(Block::Labelled(label.to_owned(), value));
        labelled("about", format!("{} {}", entry.entry.subject.of, entry.entry.subject.name));
        let guess = if entry.entry.date_approximate { " (a guess)" } else { "" };
        labelled("happened on", format!("{}{guess}", entry.entry.happened_on));
        labelled(
            "written",
            format!("{} by {}", entry.recorded_at.format("%Y-%m-%d %H:%M UTC"), entry.entry.recorded_by),
        );
        if let Some(second) = &entry.entry.second {
            labelled("second", second.clone());
        }
        labelled("entry", format!("{}; on every laptop {} ({})", entry.number, entry.id.mark(), entry.id));
        labelled("seal", entry.seal.chars().take(16).collect::<String>() + "…");
        if let Ok(serde_json::Value::Object(fields)) = entry.entry.details.to_json() {
            blocks.push(Block::Gap);
            blocks.push(Block::Heading("As typed, and what was worked out from it".to_owned()));
            for (key, value) in &fields {
                flatten("", key, value, cx, &mut blocks);
            }
        }
        let again = match &entry.entry.details {
            Details::Strike(strike) => strike.strikes,
            _ => entry.id,
        };
        Self::new(&format!("entry {}", entry.number), blocks).or_again(Some(again))
    }

    /// The keys of a context, this screen's first.
    pub fn help(context: Context, keys: &Keymap) -> Self {
        let mut blocks = vec![Block::Heading(format!("On this screen ({})", context.word()))];
        let everywhere = |action: &action::Action| action.contexts.len() > 5;
        let line = |action: &action::Action| Block::Labelled(keys.names(action), action.sentence.to_owned());
        blocks.extend(action::offered(context).filter(|it| !everywhere(it)).map(line));
        blocks.push(Block::Gap);
        blocks.push(Block::Heading("Nearly everywhere".to_owned()));
        blocks.extend(action::offered(context).filter(|it| everywhere(it)).map(line));
        blocks.push(Block::Gap);
        blocks.push(Block::Heading("The signs".to_owned()));
        for word in crate::book::Standing::WORDS {
            if let Some(standing) = crate::book::Standing::from_word(word) {
                blocks.push(Block::Labelled(
                    format!("{} {word}", standing.sign()),
                    standing_means(standing).to_owned(),
                ));
            }
        }
        Self::new("help", blocks)
    }
}

const fn standing_means(standing: crate::book::Standing) -> &'static str {
    use crate::book::Standing;
    match standing {
        Standing::Retired => "never again",
        Standing::Hold => "unknown, or a decision is outstanding: not to be fired",
        Standing::Overdue => "a proof or inspection is due: not to be fired before it",
        Standing::Unproved => "no passing proof of this build: not to be fired before one",
        Standing::Restricted => "fit for less than its design, as the decision says",
        Standing::Watch => "fit, with something to keep an eye on",
        Standing::InService => "nothing on record stands against it",
    }
}

fn points(lines: &[&str]) -> Vec<Block> {
    lines.iter().map(|line| Block::Point("•".to_owned(), (*line).to_owned())).collect()
}

/// A record's fields as lines: in the words they were typed in, and what was worked out in the person's units.
fn flatten(prefix: &str, key: &str, value: &serde_json::Value, cx: &Cx<'_>, blocks: &mut Vec<Block>) {
    use serde_json::Value;
    let name = |key: &str| match (prefix.is_empty(), key.is_empty()) {
        (true, _) => key.replace('_', " "),
        (_, true) => prefix.to_owned(),
        _ => format!("{prefix} {}", key.replace('_', " ")),
    };
    let mut labelled = |label: String, words: String| blocks.push(Block::Labelled(label, words));
    match value {
        Value::Object(fields) => {
            if let Some(Value::String(typed)) = fields.get("typed") {
                labelled(name(key), typed.clone());
                return;
            }
            // A quantity that nobody typed: its unit is its only key.
            if let (1, Some((unit, Some(si)))) =
                (fields.len(), fields.iter().next().map(|(unit, value)| (unit, value.as_f64())))
                && let Some(dimension) = values::dimension(unit)
            {
                // Peaks are kept above vacuum and said above the atmosphere, as everywhere.
                let si = if PEAKS.contains(&key) { si - STANDARD_ATMOSPHERE_PA } else { si };
                labelled(name(key), show_si(si, dimension, cx.system));
                return;
            }
            // Of a trace everything is its reduction: saying so before each would leave no room for the name.
            let inside = if key == "reduction" { String::new() } else { name(key) };
            for (key, value) in fields {
                flatten(&inside, key, value, cx, blocks);
            }
        }
        Value::Array(items) => {
            let inside = name(key);
            for (at, item) in items.iter().enumerate() {
                flatten(&format!("{inside} {}", at + 1), "", item, cx, blocks);
            }
        }
        Value::Null => {}
        Value::String(words) => {
            // An entry is spoken of by its number in this book.
            let entry = matches!(key, "strikes" | "firing")
                .then(|| uuid::Uuid::parse_str(words).ok())
                .flatten()
                .and_then(|id| cx.desk.book().entry(EntryId(id)).ok().flatten());
            let words = entry.map_or_else(|| words.clone(), |entry| format!("entry {}", entry.number));
            labelled(name(key), words);
        }
        Value::Bool(yes) => labelled(name(key), if *yes { "yes" } else { "no" }.to_owned()),
        Value::Number(number) => {
            let (label, words) = number.as_f64().map_or_else(
                || (key.replace('_', " "), number.to_string()),
                |it| values::said(key, it, cx.system),
            );
            labelled(name(&label), words);
        }
    }
}

/// Pressures that a record keeps above vacuum.
const PEAKS: &[&str] = &["peak_pressure", "planned_peak"];

impl Screen for Read {
    fn context(&self) -> Context {
        Context::Read
    }

    fn title(&self) -> String {
        self.title.clone()
    }

    fn copy(&self, _system: System) -> Option<String> {
        let line = |block: &Block| match block {
            Block::Heading(words) | Block::Strong(words) | Block::Text(words) => words.clone(),
            Block::Labelled(label, value) => format!("{label}\t{value}"),
            Block::Point(sign, words) => format!("{sign} {words}"),
            Block::Gap => String::new(),
        };
        Some(self.blocks.iter().map(line).collect::<Vec<_>>().join("\n"))
    }

    fn offers(&self, act: Act) -> bool {
        match act {
            Act::Rig => self.rig.is_some(),
            Act::WriteAgain => self.again.is_some(),
            _ => true,
        }
    }

    fn takes_back(&self, number: i64, _casing: &str) -> bool {
        self.wrote.contains(&number)
    }

    fn spent(&self) -> bool {
        self.spent
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        let kept = &cx.kept.written;
        let struck = |number: &i64| !kept.iter().any(|(left, _)| left == number);
        self.spent = !self.wrote.is_empty() && self.wrote.iter().all(struck);
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        match act {
            Act::GoOn => match self.then.take() {
                Some(screen) => cx.go(Step::Replace(screen)),
                None => cx.go(Step::Back),
            },
            Act::Back => cx.go(Step::Back),
            Act::Rig => {
                if let Some(casing) = self.rig.take() {
                    cx.go(Step::Back);
                    super::proof::RigScreen::open(&casing, cx);
                }
            }
            Act::WriteAgain => {
                if let Some(entry) = self.again {
                    cx.go(Step::Back);
                    FormScreen::write_again(entry, cx);
                }
            }
            other => {
                self.scroll.act(other);
            }
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        // Long lines are hard to read: a wide screen gives margins, not longer lines.
        let width = area.width.saturating_sub(2).min(100);
        let inner = Rect {
            x: area.x + (area.width - width) / 2,
            width,
            y: area.y + u16::from(area.height > 2),
            height: area.height.saturating_sub(1),
        };
        let mut paper = Paper::new(usize::from(width));
        paper.blocks(&self.blocks, paint);
        self.scroll.draw(&paper, frame, inner, paint);
    }
}

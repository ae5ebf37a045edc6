//! A question with a few answers, drawn over the screen that asks it. The answer goes back as an action.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::widgets::{Block as Frame_, Borders, Clear, Widget};

use super::{Cx, Screen, Step};
use crate::tui::action::{Act, Context};
use crate::tui::text;
use crate::tui::theme::Meaning;
use crate::tui::widgets::Paint;
use crate::tui::widgets::paper::Paper;

/// A question.
pub struct Ask {
    title: String,
    question: String,
    answers: Vec<(Act, String)>,
    /// Whether Esc goes back to before the screen that asks.
    through: bool,
}

impl Ask {
    /// A question and its answers, each with what it does.
    pub fn new(title: &str, question: &str, answers: &[(Act, &str)]) -> Self {
        Self {
            title: title.to_owned(),
            question: question.to_owned(),
            answers: answers.iter().map(|(act, words)| (*act, (*words).to_owned())).collect(),
            through: false,
        }
    }

    /// Ask once more before what somebody typed is forgotten; Esc keeps it for later.
    pub fn forget(typed: &[String]) -> Self {
        let shown: Vec<String> =
            typed.iter().take(3).map(|it| crate::book::reading::shorten(&text::one_line(it))).collect();
        let more = match typed.len().saturating_sub(shown.len()) {
            0 => String::new(),
            more => format!("; and {more} more"),
        };
        let count = if typed.len() == 1 { "1 answer".to_owned() } else { format!("{} answers", typed.len()) };
        Self::new(
            "forget what was typed?",
            &format!("{count} would be gone for good: {}{more}.", shown.join("; ")),
            &[(Act::Yes, "keep it and go on with it"), (Act::Discard, "forget it and start fresh")],
        )
        .through()
    }

    /// Leaving the question leaves the screen that asks it, too.
    pub const fn through(mut self) -> Self {
        self.through = true;
        self
    }

    /// What leaving the question does.
    const fn leaving(&self) -> &'static str {
        if self.through { "go back" } else { "stay here" }
    }
}

impl Screen for Ask {
    fn context(&self) -> Context {
        Context::Ask
    }

    fn title(&self) -> String {
        self.title.clone()
    }

    fn floats(&self) -> bool {
        true
    }

    fn offers(&self, act: Act) -> bool {
        act == Act::Back || self.answers.iter().any(|(answer, _)| *answer == act)
    }

    fn label(&self, act: Act) -> Option<&'static str> {
        (act == Act::Back).then_some(self.leaving())
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if act == Act::Back {
            cx.go(if self.through { Step::BackWith(Act::Back) } else { Step::Back });
        } else if self.answers.iter().any(|(answer, _)| *answer == act) {
            cx.go(Step::BackWith(act));
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let width = area.width.saturating_sub(4).min(64);
        let mut paper = Paper::new(usize::from(width.saturating_sub(4)));
        paper.text(&self.question, paint.of(Meaning::Strong));
        paper.gap();
        for (act, words) in &self.answers {
            let keys = paint.keys.first(*act, Context::Ask);
            paper.hang(&format!("{keys:<6} "), paint.of(Meaning::Key), words, paint.of(Meaning::Plain));
        }
        let leave = self.leaving();
        let back = paint.keys.first(Act::Back, Context::Ask);
        paper.hang(&format!("{back:<6} "), paint.of(Meaning::Key), leave, paint.of(Meaning::Plain));
        let height = u16::try_from(paper.len() + 2).unwrap_or(area.height).min(area.height);
        let over = Rect {
            x: area.x + (area.width - width) / 2,
            y: area.y + (area.height - height) / 2,
            width,
            height,
        };
        Clear.render(over, frame.buffer_mut());
        Frame_::new()
            .borders(Borders::ALL)
            .title(format!(" {} ", self.title))
            .render(over, frame.buffer_mut());
        let inner = Rect {
            x: over.x + 2,
            y: over.y + 1,
            width: over.width.saturating_sub(4),
            height: over.height.saturating_sub(2),
        };
        paper.draw(frame, inner, 0, paint);
    }
}

//! Find any action of the screen below by name.

use nucleo_matcher::pattern::{AtomKind, CaseMatching, Normalization, Pattern};
use nucleo_matcher::{Config, Matcher, Utf32Str};
use ratatui::Frame;
use ratatui::crossterm::event::KeyEvent;
use ratatui::layout::Rect;

use super::{Cx, Screen, Step};
use crate::tui::action::{self, Act, Action, Context};
use crate::tui::theme::Meaning;
use crate::tui::widgets::field::{LineField, Typed};
use crate::tui::widgets::filter;
use crate::tui::widgets::table::{self, Place, column, numbers};
use crate::tui::widgets::{Paint, put};

/// The palette.
pub struct Find {
    of: Context,
    field: LineField,
    found: Vec<&'static Action>,
    place: Place,
}

impl Find {
    /// The actions of a context.
    pub fn new(of: Context) -> Self {
        let mut find = Self { of, field: LineField::default(), found: Vec::new(), place: Place::default() };
        find.look();
        find
    }

    fn look(&mut self) {
        let all = action::offered(self.of).filter(|it| !it.id.ends_with("-letter") && it.act != Act::Find);
        let words = self.field.text().trim();
        if words.is_empty() {
            self.found = all.collect();
            return;
        }
        let mut matcher = Matcher::new(Config::DEFAULT);
        let pattern = Pattern::new(words, CaseMatching::Ignore, Normalization::Smart, AtomKind::Fuzzy);
        let mut scored: Vec<(u32, &Action)> = all
            .filter_map(|action| {
                let text = format!("{} {} {}", action.id, action.label, action.sentence);
                let mut buffer = Vec::new();
                pattern.score(Utf32Str::new(&text, &mut buffer), &mut matcher).map(|score| (score, action))
            })
            .collect();
        scored.sort_by_key(|(score, _)| std::cmp::Reverse(*score));
        self.found = scored.into_iter().map(|(_, action)| action).collect();
        self.place = Place::default();
    }
}

impl Screen for Find {
    fn context(&self) -> Context {
        Context::Find
    }

    fn title(&self) -> String {
        "do".to_owned()
    }

    fn list(&mut self) -> Option<(&mut Place, usize)> {
        Some((&mut self.place, self.found.len()))
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if self.place.act(act, self.found.len()) {
            return;
        }
        match act {
            Act::Back => cx.go(Step::Back),
            Act::RunAction => match self.found.get(self.place.selected) {
                Some(action) => cx.go(Step::BackWith(action.act)),
                None => cx.go(Step::Back),
            },
            _ => {}
        }
    }

    fn type_key(&mut self, key: &KeyEvent, _cx: &mut Cx<'_>) -> bool {
        match self.field.key(key) {
            Typed::Changed => {
                self.look();
                true
            }
            Typed::Moved => true,
            Typed::NotMine => false,
        }
    }

    fn paste(&mut self, words: &str, _cx: &mut Cx<'_>) {
        self.field.paste(words);
        self.look();
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        put(
            frame,
            area,
            0,
            0,
            "What do you want to do? Type a part of its name.",
            paint.of(Meaning::Heading),
        );
        put(frame, area, 1, 0, ":", paint.of(Meaning::Key));
        if area.height > 1 {
            let line = Rect {
                x: area.x + 2.min(area.width),
                y: area.y + 1,
                width: area.width.saturating_sub(2),
                height: 1,
            };
            self.field.draw(frame, line, true, paint);
        }
        let below = Rect { y: area.y + 3.min(area.height), height: area.height.saturating_sub(3), ..area };
        let columns = [numbers("Key", 9, 1), column("Action", 22, 0, 0), column("What it does", 30, 1, 2)];
        let plain = paint.of(Meaning::Plain);
        table::draw(frame, below, &columns, &mut self.place, self.found.len(), paint, |at| {
            let action = self.found[at];
            vec![
                (
                    paint.keys.keys(action).first().map_or_else(String::new, |key| key.name()),
                    paint.of(Meaning::Key),
                ),
                (action.id.to_owned(), paint.of(Meaning::Strong)),
                (action.sentence.to_owned(), plain),
            ]
        });
        let rows = self.place.rows;
        for word in self.field.text().split_whitespace() {
            filter::mark(frame, rows, word, false, paint);
        }
    }
}

//! Choose a form.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::form::FormScreen;
use super::{Cx, Screen, Step, named};
use crate::book::Kind;
use crate::book::forms::FORMS;
use crate::tui::action::{Act, Context};
use crate::tui::theme::Meaning;
use crate::tui::widgets::Paint;
use crate::tui::widgets::table::{self, Place, column};

/// The list of forms.
pub struct Menu {
    place: Place,
    casing: Option<String>,
    title: String,
}

impl Menu {
    /// Open the list, for a casing where one is selected.
    pub fn open(casing: Option<&str>, cx: &mut Cx<'_>) {
        let title =
            casing.map_or_else(|| "log".to_owned(), |serial| format!("{} log", named(serial, cx.desk)));
        let menu = Self { place: Place::default(), casing: casing.map(str::to_owned), title };
        cx.go(Step::Open(Box::new(menu)));
    }

    /// The kinds listed: a pre-fire is run as a checklist, not filled in.
    fn kinds() -> Vec<(Kind, &'static str)> {
        FORMS.iter().filter(|form| form.kind != Kind::Prefire).map(|form| (form.kind, form.does)).collect()
    }
}

impl Screen for Menu {
    fn context(&self) -> Context {
        Context::Menu
    }

    fn title(&self) -> String {
        self.title.clone()
    }

    fn list(&mut self) -> Option<(&mut Place, usize)> {
        Some((&mut self.place, Self::kinds().len()))
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        let kinds = Self::kinds();
        if self.place.act(act, kinds.len()) {
            return;
        }
        match act {
            Act::Back => cx.go(Step::Back),
            Act::ChooseForm => {
                if let Some((kind, _)) = kinds.get(self.place.selected) {
                    cx.go(Step::Back);
                    FormScreen::open(*kind, self.casing.as_deref(), &[], cx);
                }
            }
            _ => {}
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let kinds = Self::kinds();
        let columns = [column("Form", 14, 0, 0), column("What it does", 40, 1, 1)];
        let plain = paint.of(Meaning::Plain);
        table::draw(frame, area, &columns, &mut self.place, kinds.len(), paint, |at| {
            vec![(kinds[at].0.to_string(), paint.of(Meaning::Strong)), (kinds[at].1.to_owned(), plain)]
        });
    }
}

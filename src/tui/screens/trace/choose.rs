//! What a trace is held against, or which file is opened: asked for over the plot.

use super::{State, TraceScreen, start, words_of};
use crate::book::{EntryId, SubjectOf};
use crate::desk::trace_job::TraceJob;
use crate::tui::screens::{Cx, Step};
use crate::tui::widgets::path::PathField;
use crate::tui::widgets::table::Place;

/// What is asked for over the plot.
pub(super) enum Asked {
    /// A file, by its path; whether it is to be held against the one open.
    Path(PathField, bool, Option<String>),
    /// One of a list.
    List(Place, Vec<Choice>),
}

/// A line to choose.
pub(super) struct Choice {
    pub words: String,
    what: Chosen,
}

#[derive(Clone)]
pub(super) enum Chosen {
    Trace(EntryId),
    File,
    Nothing,
    Load(String),
    NoLoad,
}

impl TraceScreen {
    /// The other traces on record, a file, or nothing any more.
    pub(super) fn choose_other(&mut self, cx: &mut Cx<'_>) {
        let mut choices = vec![Choice { words: "a file…".to_owned(), what: Chosen::File }];
        if self.open().is_some_and(|shown| shown.other.is_some()) {
            choices.push(Choice { words: "nothing any more".to_owned(), what: Chosen::Nothing });
        }
        match cx.desk.traces() {
            Ok(traces) => choices.extend(traces.into_iter().map(|it| Choice {
                words: format!(
                    "{} {} {} {} (entry {})",
                    it.on, it.casing, it.designation, it.file, it.number
                ),
                what: Chosen::Trace(it.entry),
            })),
            Err(error) => cx.say(error.to_string()),
        }
        self.asked = Some(Asked::List(Place::default(), choices));
    }

    pub(super) fn choose_load(&mut self, cx: &mut Cx<'_>) {
        let mut choices = vec![Choice { words: "no plan".to_owned(), what: Chosen::NoLoad }];
        match cx.desk.book().names(SubjectOf::Load) {
            Ok(names) => choices.extend(
                names.into_iter().map(|name| Choice { words: name.clone(), what: Chosen::Load(name) }),
            ),
            Err(error) => cx.say(error.to_string()),
        }
        let drawn = choices
            .iter()
            .position(|it| matches!(&it.what, Chosen::Load(name) if Some(name) == self.of.load.as_ref()));
        let place = Place { selected: drawn.unwrap_or(0), ..Place::default() };
        self.asked = Some(Asked::List(place, choices));
    }

    fn take(&mut self, chosen: Chosen, cx: &mut Cx<'_>) {
        match chosen {
            Chosen::File => self.asked = Some(Asked::Path(PathField::default(), true, None)),
            Chosen::Nothing => {
                if let State::Open(shown) = &mut self.state {
                    shown.other = None;
                }
            }
            Chosen::Trace(id) => match cx.desk.trace_job(id) {
                Ok(job) => self.other = Some((job.of.label.clone(), start(job, cx))),
                Err(refusal) => cx.say(words_of(refusal)),
            },
            Chosen::Load(name) => {
                let Some(mut job) = self.job.clone() else { return };
                let day = cx.desk.day();
                match cx.desk.load_to_burn(&name, day) {
                    Ok(load) => {
                        // Another load has another throat, unless the firing says its own.
                        if self.of.firing.is_none() {
                            job.how.throats_m.clear();
                        }
                        self.begin(job.with_load(&name, load), cx);
                    }
                    Err(refusal) => cx.say(words_of(refusal)),
                }
            }
            Chosen::NoLoad => {
                if let Some(mut job) = self.job.clone() {
                    job.load = None;
                    job.of.load = None;
                    self.begin(job, cx);
                }
            }
        }
    }

    /// Take what was typed or chosen; with nothing asked, show every number.
    pub(super) fn answer(&mut self, cx: &mut Cx<'_>) {
        match self.asked.take() {
            Some(Asked::Path(field, against, _)) => {
                let words = field.text().trim().to_owned();
                match TraceJob::typed(&words) {
                    Ok(job) if against => self.other = Some((job.of.label.clone(), start(job, cx))),
                    Ok(mut job) => {
                        job.of.casing.clone_from(&self.of.casing);
                        job.of.load.clone_from(&self.of.load);
                        self.begin_with_load(job, cx);
                    }
                    Err(problem) => self.asked = Some(Asked::Path(field, against, Some(problem.message))),
                }
            }
            Some(Asked::List(place, choices)) => {
                if let Some(choice) = choices.get(place.selected) {
                    let chosen = choice.what.clone();
                    self.take(chosen, cx);
                }
            }
            None => {
                if let Some(read) = self.in_full(cx.system) {
                    cx.go(Step::Open(Box::new(read)));
                }
            }
        }
    }
}

//! Who writes it, and of which day: the head that every entry has.

use super::words::{read_date, separated};
use super::{Head, Reader};
use crate::book::alike;
use crate::book::reading::shorten;

/// The most letters somebody's name may have.
const LONGEST_NAME: usize = 80;

impl Reader<'_> {
    pub(super) fn head(&mut self) -> Option<Head> {
        let happened_on = match self.answers.text("on") {
            None => Some(self.desk.today),
            Some(text) => match read_date(text, self.desk.today) {
                Ok(date) if date > self.desk.today => {
                    self.wrong(
                        "on",
                        format!(
                            "{date} has not come yet (today is {}); an entry records what happened",
                            self.desk.today
                        ),
                    );
                    None
                }
                Ok(date) => Some(date),
                Err(message) => {
                    self.wrong("on", message);
                    None
                }
            },
        };
        let date_approximate = self.yes_no_of("date_approximate").unwrap_or(false);
        let by = self.answers.text("by").map(person_as_written).filter(|by| !by.is_empty());
        match &by {
            None => {
                self.wrong("by", "every entry has a writer: give --by NAME, or set PROOFMARK_BY".to_owned())
            }
            Some(name) => self.must_name("by", name, "your"),
        }
        let second = self.answers.text("second").map(person_as_written);
        if let Some(second) = &second {
            let shown = shorten(second);
            self.must_name("second", second, "the second person's");
            if by.as_ref().is_some_and(|by| alike::same_person(by, second)) {
                self.wrong(
                    "second",
                    format!("{shown} is also the writer; the second person must be another"),
                );
            }
        }
        Some(Head { happened_on: happened_on?, date_approximate, by: by?, second })
    }

    /// Whether a text is somebody's name: what another book must be able to take in, too.
    fn must_name(&mut self, field: &str, name: &str, whose: &str) {
        let shown = shorten(name);
        if alike::person(name).chars().count() < 2 {
            self.wrong(field, format!("\"{shown}\" is no name: write {whose} name in full"));
        } else if name.chars().count() > LONGEST_NAME {
            let message =
                format!("\"{shown}\" is longer than {LONGEST_NAME} letters: write {whose} name alone");
            self.wrong(field, message);
        } else if name.chars().any(char::is_control) {
            let message =
                format!("\"{shown}\" holds letters nobody can see: write {whose} name in plain letters");
            self.wrong(field, message);
        }
    }
}

/// A person's name on one line, without marks that turn or hide text.
fn person_as_written(name: &str) -> String {
    let hidden = |c: &char| crate::quantity::text::hidden(*c);
    separated(name, false).chars().filter(|c| !hidden(c)).collect::<String>().trim().to_owned()
}

//! Which casings may be fired with one load on a day, and what each other needs.

use chrono::NaiveDate;

use super::{Desk, Planned, Refusal};
use crate::book::{Standing, SubjectOf};
use crate::standing::{Checklist, ItemState};
use crate::store::RackRow;

/// One casing held against one load.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// The casing, as the rack has it.
    pub row: RackRow,
    /// What the record says of firing it with the load.
    pub checklist: Checklist,
}

/// How a casing answers to a load.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Answer {
    /// Nothing on record forbids it.
    NothingForbids,
    /// The record forbids it.
    Forbidden,
    /// The grains do not go into it.
    DoesNotFit,
}

impl Answer {
    /// In words.
    pub const fn word(self) -> &'static str {
        match self {
            Self::NothingForbids => "nothing forbids",
            Self::Forbidden => "forbidden",
            Self::DoesNotFit => "does not fit",
        }
    }

    /// The sign before it.
    pub const fn sign(self, warns: bool) -> &'static str {
        match self {
            Self::NothingForbids if warns => "~",
            Self::NothingForbids => "=",
            Self::Forbidden | Self::DoesNotFit => "x",
        }
    }
}

impl Candidate {
    /// How it answers.
    pub fn answer(&self) -> Answer {
        if self.checklist.items.iter().any(|item| item.id == "load-fits") {
            Answer::DoesNotFit
        } else if self.checklist.forbidden() {
            Answer::Forbidden
        } else {
            Answer::NothingForbids
        }
    }

    /// Why it does not fit, what forbids it, or what the record warns of, in sentences.
    pub fn why(&self) -> Vec<&str> {
        let of = |state: ItemState| {
            self.checklist.items.iter().filter(move |item| item.state == state).map(|item| item.text.as_str())
        };
        match self.answer() {
            Answer::DoesNotFit => {
                let fits = self.checklist.items.iter().filter(|item| item.id == "load-fits");
                fits.map(|item| item.text.as_str()).collect()
            }
            Answer::Forbidden => of(ItemState::Forbids).collect(),
            Answer::NothingForbids => of(ItemState::Warns).collect(),
        }
    }

    /// Whether there is anything to say beside the answer.
    pub fn warns(&self) -> bool {
        !self.why().is_empty()
    }
}

/// The places of casings by how near each is to being fired: those that may be fired first, the freest first; then
/// what can be put right; the retired last. Within a standing they stay in the order they came in.
pub fn nearest_first(rows: &[RackRow]) -> Vec<usize> {
    let rank = |row: &RackRow| {
        let group = match row.standing {
            Standing::Retired => 2,
            standing if standing.forbids() => 1,
            _ => 0,
        };
        (group, std::cmp::Reverse(row.standing))
    };
    let mut order: Vec<usize> = (0..rows.len()).collect();
    order.sort_by_key(|at| rows.get(*at).map(rank));
    order
}

/// What forbids the load or the batch itself, whichever casing takes it, each sentence once.
pub fn forbids_every_casing(found: &[Candidate]) -> Vec<&str> {
    let mut said: Vec<&str> = Vec::new();
    for item in found.iter().flat_map(|it| &it.checklist.items) {
        let of_the_load =
            ["books-differ-load", "books-differ-batch"].iter().any(|id| item.id.starts_with(id));
        if of_the_load && item.state == ItemState::Forbids && !said.contains(&item.text.as_str()) {
            said.push(&item.text);
        }
    }
    said
}

impl Desk {
    /// One casing of the rack held against a load.
    ///
    /// # Errors
    /// The load or batch is not on record, or the book cannot be read.
    pub fn candidate(
        &self,
        row: RackRow,
        planned: Planned<'_>,
        day: NaiveDate,
    ) -> Result<Candidate, Refusal> {
        let assessed = self.assess(&row.serial, day)?;
        let checklist = self.checklist_of(&assessed, planned, day)?;
        Ok(Candidate { row, checklist })
    }

    /// Every casing but the retired held against a load: those nothing forbids first, those it does not go into last.
    ///
    /// # Errors
    /// The load or batch is not on record, or the book cannot be read.
    pub fn who_may_fire(&self, planned: Planned<'_>, day: NaiveDate) -> Result<Vec<Candidate>, Refusal> {
        self.must_know(SubjectOf::Load, "load", planned.load)?;
        if let Some(batch) = planned.batch {
            self.must_know(SubjectOf::Batch, "batch", batch)?;
        }
        let rows = self.rack_rows()?;
        let mut found = rows
            .iter()
            .filter(|row| row.standing != Standing::Retired)
            .map(|row| self.candidate(row.clone(), planned, day))
            .collect::<Result<Vec<_>, _>>()?;
        found.sort_by(|a, b| {
            let key = |it: &Candidate| (it.answer(), it.warns(), std::cmp::Reverse(it.row.standing));
            key(a).cmp(&key(b)).then_with(|| a.row.serial.cmp(&b.row.serial))
        });
        Ok(found)
    }
}

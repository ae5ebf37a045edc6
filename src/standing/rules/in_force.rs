//! The rules in force: the program's values, with every change a club has on record, and what two books changed apart.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::{Stricter, spec, stricter, with_unit};
use crate::standing::conflicts::Conflict;
use crate::standing::reason::EntryRef;

/// A change of a rule on record.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleChange {
    /// The new value.
    pub value: f64,
    /// Why.
    pub reason: String,
    /// By whom.
    pub by: String,
    /// The entry.
    pub entry: EntryRef,
}

/// A rule that two books changed apart, each its own way, until a named person settles it.
#[derive(Clone, Debug, PartialEq)]
pub struct Disputed {
    /// The change that holds meanwhile, the stricter; `None` where it is not clear which is.
    pub holds: Option<RuleChange>,
    /// The two changes.
    pub conflict: Conflict,
}

impl Disputed {
    /// What every page says of it.
    pub fn sentence(&self) -> String {
        let about = &self.conflict.about;
        match &self.holds {
            Some(holds) => format!(
                "two books changed the rule {about} apart: {}; the stricter holds, {} of entry {}, until somebody settles it: log the rule again with both at hand, or strike the one that is wrong",
                self.conflict.sides(),
                spec(about).map_or_else(|| holds.value.to_string(), |spec| with_unit(holds.value, spec.unit)),
                holds.entry.number
            ),
            None => format!(
                "two books changed the rule {about} apart: {}; which is stricter cannot be said, so nothing is fired until somebody settles it: log the rule again with both at hand, or strike the one that is wrong",
                self.conflict.sides()
            ),
        }
    }
}

/// The rules in force.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RuleSet {
    changes: BTreeMap<String, Vec<RuleChange>>,
    disputed: BTreeMap<String, Disputed>,
}

impl RuleSet {
    /// The program's defaults.
    pub fn new() -> Self {
        Self::default()
    }

    /// Take a change into force; those before it stay readable.
    pub fn change(&mut self, rule: &str, change: RuleChange) {
        self.changes.entry(rule.to_owned()).or_default().push(change);
    }

    /// The change of a rule, where there is one.
    pub fn changed(&self, id: &str) -> Option<&RuleChange> {
        match self.disputed.get(id).and_then(|it| it.holds.as_ref()) {
            Some(holds) => Some(holds),
            None => self.history(id).last(),
        }
    }

    /// Say which changes were written apart and are not settled; of each such rule the strictest value holds.
    pub fn dispute(&mut self, found: Vec<Conflict>) {
        for conflict in found {
            let id = conflict.about.clone();
            let way = stricter(&id);
            let side = |number: i64| self.history(&id).iter().find(|it| it.entry.number == number);
            let before = self.disputed.get(&id).and_then(|it| it.holds.as_ref());
            let holds = [side(conflict.one.entry.number), side(conflict.other.entry.number), before]
                .into_iter()
                .flatten()
                .filter(|_| way != Stricter::Unclear)
                .reduce(|a, b| match way {
                    Stricter::Lower if b.value < a.value => b,
                    Stricter::Higher if b.value > a.value => b,
                    _ => a,
                })
                .cloned();
            self.disputed.insert(id, Disputed { holds, conflict });
        }
    }

    /// The rules that two books changed apart.
    pub fn disputed(&self) -> impl Iterator<Item = &Disputed> {
        self.disputed.values()
    }

    /// The rules as they were in force on a day; `None` where nothing has changed since.
    pub fn until(&self, day: NaiveDate) -> Option<Self> {
        let before = |change: &&RuleChange| change.entry.on <= day;
        if self.changes.values().flatten().all(|change| before(&change)) {
            return None;
        }
        let changes = self
            .changes
            .iter()
            .map(|(rule, changes)| (rule.clone(), changes.iter().filter(before).cloned().collect()))
            .collect();
        let known =
            |it: &&Disputed| [&it.conflict.one, &it.conflict.other].iter().all(|side| side.entry.on <= day);
        let disputed = self
            .disputed
            .iter()
            .filter(|(_, it)| known(it))
            .map(|(id, it)| (id.clone(), it.clone()))
            .collect();
        Some(Self { changes, disputed })
    }

    /// Every change of a rule, the first first.
    pub fn history(&self, id: &str) -> &[RuleChange] {
        self.changes.get(id).map_or(&[], Vec::as_slice)
    }

    /// The value in force. An id that is no rule has no value: zero, which a test rules out.
    pub fn value(&self, id: &str) -> f64 {
        self.changed(id)
            .map(|change| change.value)
            .or_else(|| spec(id).map(|spec| spec.value))
            .unwrap_or_default()
    }

    /// Where the value in force comes from.
    pub fn source(&self, id: &str) -> String {
        match (self.changed(id), spec(id)) {
            (Some(change), _) => {
                format!("club rule, entry {} by {}: {}", change.entry.number, change.by, change.reason)
            }
            (None, Some(spec)) => spec.source.to_owned(),
            (None, None) => String::new(),
        }
    }

    /// The limit in words: value with unit.
    pub fn limit(&self, id: &str) -> String {
        spec(id).map_or_else(String::new, |spec| with_unit(self.value(id), spec.unit))
    }

    /// What the rule says with the value in force.
    pub fn says(&self, id: &str) -> String {
        spec(id).map_or_else(String::new, |spec| spec.says.replace("{}", &self.limit(id)))
    }
}

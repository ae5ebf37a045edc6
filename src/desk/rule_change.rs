//! A change of a rule: its value with or without its unit, what it was before, whether it looks like a slip, and
//! whose standing it changes.

use chrono::NaiveDate;

use super::{Desk, Follow};
use crate::book::details::RuleRecord;
use crate::book::{Answers, Problem, Standing};
use crate::quantity::{Dimension, parse_field, parse_number, units};
use crate::standing::rules::{self, RuleSet, RuleSpec, Stricter, stricter, with_unit};
use crate::store::StoreError;

/// How far from the value in force a new one goes before it is asked about.
const FAR: f64 = 3.0;

/// How many casings whose standing changed are named.
const NAMED: usize = 5;

/// The answers with the value as a plain number in the rule's unit; words that are no such value stay for the reader
/// to refuse.
pub(super) fn in_its_unit(answers: &Answers) -> Result<Answers, Problem> {
    let mut plain = answers.clone();
    let (Some(rule), Some(value)) = (answers.text("rule").and_then(rules::spec), answers.text("value"))
    else {
        return Ok(plain);
    };
    if parse_number(value).is_err() {
        let number = without_unit(value, rule.unit).ok_or_else(|| {
            let unit = if rule.unit.is_empty() { "a plain number" } else { rule.unit };
            Problem::new("value", format!("{} is given in {unit}, as it is now: {}", rule.id, limit(rule)))
        })?;
        // What turning into SI and back leaves behind the ninth place was never typed.
        plain.set("value", format!("{number:.9}").trim_end_matches('0').trim_end_matches('.'));
    }
    Ok(plain)
}

fn limit(rule: &RuleSpec) -> String {
    with_unit(rule.value, rule.unit)
}

/// The number of a value typed with its unit, in the rule's unit.
fn without_unit(typed: &str, unit: &str) -> Option<f64> {
    let dimension = match unit {
        "mm" => Some(Dimension::Length),
        "mL" => Some(Dimension::Volume),
        "s" => Some(Dimension::Time),
        _ => None,
    };
    if let Some(dimension) = dimension {
        return parse_field(typed, dimension, None, None)
            .ok()
            .and_then(|si| Some(units::find(unit, dimension)?.from_si(si)));
    }
    // A word of the unit may stand alone: "1.5 x" of "x MEOP", "3 month" of "months".
    let typed = typed.trim();
    let number = typed.find(|c: char| c.is_alphabetic() || matches!(c, '%' | '°' | '×'))?;
    let (number, word) = typed.split_at(number);
    let word = word.trim().to_lowercase().replace('×', "x").replace('°', "deg");
    let asked = unit.to_lowercase();
    let fits = word == asked
        || asked.strip_suffix('s') == Some(&word)
        || (asked.starts_with("x ") && word == "x")
        || (asked == "%" && matches!(word.as_str(), "percent" | "per cent"));
    fits.then(|| parse_number(number.trim()).ok()).flatten()
}

/// Which way a change of a rule goes.
fn way(id: &str, from: f64, to: f64) -> &'static str {
    if from == to {
        return "as it was";
    }
    match (stricter(id), to > from) {
        (Stricter::Higher, true) | (Stricter::Lower, false) => "stricter",
        (Stricter::Higher, false) | (Stricter::Lower, true) => "looser",
        (Stricter::Unclear, _) => "changed",
    }
}

/// Whether a value has a published source, not a habit.
fn published(rule: &RuleSpec) -> bool {
    !rule.source.starts_with("common practice")
}

/// From what to what, which way, and where the value this program has comes from.
fn sentence(rule: &RuleSpec, now: &RuleSet, to: f64) -> String {
    let from = now.value(rule.id);
    let published = if from == rule.value { String::new() } else { format!(" of {}", limit(rule)) };
    format!(
        "{}: {} -> {}, {}; source{published}: {}",
        rule.id,
        with_unit(from, rule.unit),
        with_unit(to, rule.unit),
        way(rule.id, from, to),
        rule.source
    )
}

/// What looks like a slip in a change of a rule.
pub(super) fn doubts(record: &RuleRecord, now: &RuleSet) -> Vec<Problem> {
    let Some(rule) = rules::spec(&record.rule) else { return Vec::new() };
    let (from, to) = (now.value(rule.id), record.value);
    let far = if from == 0.0 { to != 0.0 } else { !(1.0 / FAR..=FAR).contains(&(to / from)) };
    let looser = published(rule) && way(rule.id, rule.value, to) == "looser" && to != from;
    let mut why = Vec::new();
    if far {
        why.push(if from > 0.0 && to > 0.0 {
            let (times, than) = if to > from { (to / from, "more") } else { (from / to, "less") };
            format!("that is {times:.0} times {than} than now")
        } else {
            "that is far from what it is now".to_owned()
        });
    }
    if looser {
        why.push(format!("looser than the published {}", limit(rule)));
    }
    if why.is_empty() {
        return Vec::new();
    }
    let words = format!("{}. {}: is it meant?", sentence(rule, now, to), why.join(", "));
    vec![Problem::new("value", words)]
}

impl Desk {
    /// A rule as it is now: value, what it says, source. For the hint beside its field.
    pub fn rule_now(&self, id: &str) -> Option<String> {
        let rule = rules::spec(id.trim())?;
        let now = self.book().rules_on(self.today()).ok()?;
        Some(format!("now {}: {}; source: {}", now.limit(rule.id), now.says(rule.id), now.source(rule.id)))
    }

    /// What a new value of a rule would change; what it is now, where none is typed.
    pub fn rule_would(&self, answers: &Answers) -> Option<String> {
        let rule = rules::spec(answers.text("rule")?)?;
        let now = self.book().rules_on(self.today()).ok()?;
        if answers.text("value").is_none() {
            return Some(format!("now {}", now.limit(rule.id)));
        }
        let typed = in_its_unit(answers).ok()?;
        Some(sentence(rule, &now, parse_number(typed.text("value")?).ok()?))
    }

    /// What looks like a slip in a change of a rule.
    pub(super) fn odd_rule(&self, record: &RuleRecord, day: NaiveDate) -> Result<Vec<Problem>, StoreError> {
        Ok(doubts(record, &self.book().rules_on(day)?))
    }

    /// Every casing's standing today, from the rack.
    pub(super) fn standings(&self) -> Result<Vec<(String, Standing)>, StoreError> {
        Ok(self.book().rack(self.today())?.into_iter().map(|row| (row.serial, row.standing)).collect())
    }

    /// What a change of a rule did: from what to what, and whose standing is another than before.
    pub(super) fn rule_changed(
        &self,
        record: &RuleRecord,
        before: &RuleSet,
        stood: &[(String, Standing)],
    ) -> Result<Vec<Follow>, StoreError> {
        let Some(rule) = rules::spec(&record.rule) else { return Ok(Vec::new()) };
        let changed: Vec<String> = self
            .standings()?
            .into_iter()
            .zip(stood)
            .filter(|((_, now), (_, was))| now != was)
            .map(|((casing, now), (_, was))| format!("{casing} ({was} -> {now})"))
            .collect();
        let count = match changed.len() {
            0 => "no casing stands differently for it today".to_owned(),
            1 => format!("1 casing stands differently for it today: {}", changed.join("")),
            many => {
                let more = if many > NAMED { format!(" and {} more", many - NAMED) } else { String::new() };
                let named = changed.iter().take(NAMED).cloned().collect::<Vec<_>>().join(", ");
                format!("{many} casings stand differently for it today: {named}{more}")
            }
        };
        Ok(vec![Follow::ours(sentence(rule, before, record.value)), Follow::from(count)])
    }
}

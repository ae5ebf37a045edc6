//! What a person wrote into a form, before anybody judged it: text by field name.
//!
//! The command line's flags, a TOML file and the terminal's form all become the same [`Answers`], so that
//! one reader and one set of messages serves all three.

use std::collections::BTreeMap;

use super::form::Problem;

/// Text by field name; a field that takes rows has several.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Answers {
    values: BTreeMap<String, Vec<String>>,
}

impl Answers {
    /// No answers yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Set a field to one text, replacing what was there.
    pub fn set(&mut self, field: &str, text: impl Into<String>) -> &mut Self {
        self.values.insert(field.to_owned(), vec![text.into()]);
        self
    }

    /// Set a field to several rows.
    pub fn set_rows(&mut self, field: &str, rows: Vec<String>) -> &mut Self {
        self.values.insert(field.to_owned(), rows);
        self
    }

    /// Add a row to a field.
    pub fn push(&mut self, field: &str, text: impl Into<String>) -> &mut Self {
        self.values.entry(field.to_owned()).or_default().push(text.into());
        self
    }

    /// Forget a field.
    pub fn clear(&mut self, field: &str) {
        self.values.remove(field);
    }

    /// The text of a field, if it is not blank.
    pub fn text(&self, field: &str) -> Option<&str> {
        self.values
            .get(field)
            .and_then(|rows| rows.last())
            .map(|text| text.trim())
            .filter(|text| !text.is_empty())
    }

    /// The rows of a field that are not blank; a multi-line text counts one row a line.
    pub fn rows(&self, field: &str) -> Vec<&str> {
        self.values
            .get(field)
            .map(|rows| {
                rows.iter()
                    .flat_map(|text| text.lines())
                    .map(str::trim)
                    .filter(|row| !row.is_empty())
                    .collect()
            })
            .unwrap_or_default()
    }

    /// The names of the fields that have an answer.
    pub fn fields(&self) -> impl Iterator<Item = &str> {
        self.values.keys().map(String::as_str)
    }

    /// Whether nothing has been answered.
    pub fn is_empty(&self) -> bool {
        self.values.values().all(|rows| rows.iter().all(|text| text.trim().is_empty()))
    }

    /// Lay other answers over these.
    pub fn overlay(&mut self, other: &Answers) {
        for (field, rows) in &other.values {
            self.values.insert(field.clone(), rows.clone());
        }
    }

    /// Read a TOML text: `[tube] od = "2 in"` becomes the field `tube.od`; a list becomes rows.
    ///
    /// # Errors
    /// The text is not TOML, or a value has a shape no field takes.
    pub fn from_toml(text: &str) -> Result<Self, Vec<Problem>> {
        let table: toml::Table = text.parse().map_err(|error: toml::de::Error| {
            let line = error.span().map(|span| text[..span.start.min(text.len())].lines().count().max(1));
            let place = line.map_or_else(String::new, |line| format!("line {line}: "));
            vec![Problem::new(
                "file",
                format!(
                    "{place}this is not TOML: {}. Quantities are strings: od = \"2.000 in\"",
                    error.message().trim_end_matches('.')
                ),
            )]
        })?;
        let mut answers = Self::new();
        let mut problems = Vec::new();
        flatten("", &table, &mut answers, &mut problems);
        if problems.is_empty() { Ok(answers) } else { Err(problems) }
    }

    /// As JSON, for a draft.
    pub fn to_json(&self) -> String {
        serde_json::to_string(&self.values).unwrap_or_default()
    }

    /// From a draft's JSON; anything else is no draft.
    pub fn from_json(text: &str) -> Option<Self> {
        serde_json::from_str(text).ok().map(|values| Self { values })
    }
}

fn flatten(prefix: &str, table: &toml::Table, answers: &mut Answers, problems: &mut Vec<Problem>) {
    for (key, value) in table {
        let field = if prefix.is_empty() { key.clone() } else { format!("{prefix}.{key}") };
        match value {
            toml::Value::Table(inner) => flatten(&field, inner, answers, problems),
            toml::Value::Array(items) => {
                let mut rows = Vec::new();
                for item in items {
                    match scalar(item) {
                        Some(text) => rows.push(text),
                        None => problems.push(Problem::new(
                            &field,
                            "a list must hold strings, each one row, for example [\"250 mm @ 90: 66.68 mm\"]"
                                .to_owned(),
                        )),
                    }
                }
                answers.set_rows(&field, rows);
            }
            other => {
                if let Some(text) = scalar(other) {
                    answers.set(&field, text);
                }
            }
        }
    }
}

fn scalar(value: &toml::Value) -> Option<String> {
    match value {
        toml::Value::String(text) => Some(text.clone()),
        toml::Value::Integer(number) => Some(number.to_string()),
        toml::Value::Float(number) => Some(number.to_string()),
        toml::Value::Boolean(yes) => Some(if *yes { "yes" } else { "no" }.to_owned()),
        toml::Value::Datetime(moment) => Some(moment.to_string()),
        toml::Value::Array(_) | toml::Value::Table(_) => None,
    }
}

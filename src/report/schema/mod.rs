//! The JSON of every reading command, described: `proofmark schema`. A test runs the commands and holds every key
//! they write against this table, and every key of the table against what they write.

use serde_json::{Map, Value, json};

use super::json::SCHEMA;

/// Keys and types, one command after the other: `== COMMAND`, then `path types`. `[]` stands for every item.
const KEYS: &str = include_str!("keys.txt");

/// What keys mean that their name and unit do not say.
const MEANS: &[(&str, &str)] = &[
    ("schema", "the version of this JSON; a key never changes its meaning within one, and new keys may come"),
    ("as_of", "the day asked about"),
    ("as_of_fixed", "whether the book always is on that day (a demonstration)"),
    ("dated_ahead", "the last day on record, where that is after today"),
    ("serial", "the casing's permanent mark"),
    ("standing", "retired, hold, overdue, unproved, restricted, watch or in service"),
    ("reasons", "why it stands so, worst first"),
    ("rule", "the rule's id; proofmark rules lists them"),
    ("limit", "what the value was held against"),
    ("source", "where the limit or formula is published; a habit says so"),
    ("next", "what would clear it"),
    ("entry", "the entry it rests on"),
    ("number", "the entry's number in this book"),
    ("id", "an identity: of an entry the same in every book, of an item or a rule its name"),
    ("weakest", "the failure mode with the least yield pressure"),
    ("factor", "yield pressure over the pressure asked, else over MEOP; for burst the ultimate pressure"),
    ("next_due", "what is due first"),
    ("firings_left", "firings before it is due"),
    ("flags", "what every page must say"),
    ("wear", "the share of its fatigue life each detail has used"),
    ("damage", "share of the life used; 1 is all of it"),
    ("breaches", "firings that the record forbade"),
    ("growth", "the last reading at every station against birth"),
    ("noise", "within what the instrument can see: not called growth"),
    ("percent", "of the birth diameter, or of its class"),
    ("ledger", "every entry about it and its parts, in the order they happened"),
    ("details", "the sealed record of the entry; quantities as {unit: SI value, typed: as written}"),
    ("struck_by", "the number of the entry that crossed it out"),
    ("seal", "SHA-256 over the entry and the seal before it"),
    ("origin", "the book that wrote it"),
    ("sequence", "its place among the entries of that book"),
    ("verdict", "\"nothing forbids\" or \"forbidden\"; no more than what is on record"),
    ("decided_by", "record or person"),
    ("state", "how it stands, in a word"),
    ("hold", "the hold point it belongs to"),
    ("second", "the second person, or whether one must look"),
    ("pressure_pa", "pascals above the atmosphere"),
    ("meop_pa", "highest pressure the owner says a load may reach, pascals above the atmosphere"),
    ("meop_kept_pa", "highest MEOP that the margins bear, and the proof on record where there is one"),
    ("modes", "every failure mode, the smallest yield pressure first"),
    ("contingent", "modes that count only once something else has gone wrong"),
    ("objections", "what the drawing itself forbids or leaves open"),
    ("assumed", "numbers taken on somebody's word"),
    ("basis", "what went into the number"),
    ("where", "where on the casing"),
    ("changes", "which dimension to change, and what it is worth"),
    ("before", "the margins before what was supposed"),
    ("peak_pressure_absolute_pa", "pascals above vacuum"),
    ("peak_pressure_pa", "pascals above the atmosphere"),
    ("peak_thrust_n", "never taken outside the burn, never filtered, newton"),
    ("peak_is_lower_bound", "the sensor or display could not follow"),
    ("peak_cut_off", "why the peak is only a lower bound: the readings are cut off at their top"),
    ("peak_if_real", "what was put aside and would be the peak, were it real; judged on the careful side"),
    ("thrust_put_aside", "readings put aside, one by one: value, time, length, and whether they may be real"),
    ("rejected", "readings put aside, with the reason"),
    ("findings", "patterns that ask for a second look: suggestions, never verdicts"),
    ("phases", "steady stretches of the burn"),
    ("faults", "everything that is not as it was written"),
    ("head_seal", "the seal of the last entry this book wrote"),
    ("photos", "every photograph's file against its entry; a missing file is no fault of the book"),
    ("on", "the day, YYYY-MM-DD"),
    ("text", "one sentence for a person"),
];

/// Units by the end of a key.
const UNITS: &[(&str, &str)] = &[
    ("_pa_s", "pascal seconds"),
    ("_kg_m3", "kilograms a cubic metre"),
    ("_m_s", "metres a second"),
    ("_v_s", "volt seconds"),
    ("_pa", "pascals"),
    ("_ns", "newton seconds"),
    ("_deg", "degrees"),
    ("_m3", "cubic metres"),
    ("_kg", "kilograms"),
    ("_m", "metres; a diameter is a DIAMETER"),
    ("_n", "newton"),
    ("_v", "volt"),
    ("_k", "kelvin"),
    ("_s", "seconds"),
];

/// One key of a command's JSON.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Key {
    /// Its path: `casings[].reasons[].rule`.
    pub path: &'static str,
    /// The JSON types it may have, with `|` between them.
    pub types: &'static str,
}

/// The commands whose JSON is described.
pub fn commands() -> Vec<&'static str> {
    KEYS.lines().filter_map(|line| line.strip_prefix("== ")).collect()
}

/// The keys of a command, in order; nothing for one that is not described.
pub fn keys(command: &str) -> Vec<Key> {
    KEYS.lines()
        .skip_while(|line| line.strip_prefix("== ") != Some(command))
        .skip(1)
        .take_while(|line| !line.starts_with("== "))
        .filter_map(|line| line.split_once(' ').map(|(path, types)| Key { path, types }))
        .collect()
}

fn says(path: &str) -> Option<String> {
    let last = path.rsplit('.').next().unwrap_or(path).trim_end_matches("[]");
    MEANS
        .iter()
        .find(|(key, _)| *key == last)
        .or_else(|| UNITS.iter().find(|(end, _)| last.ends_with(end)))
        .map(|(_, says)| (*says).to_owned())
}

/// The JSON Schema (draft 2020-12) of a command's JSON; `None` for one that is not described.
pub fn document(command: &str) -> Option<Value> {
    let keys = keys(command);
    if keys.is_empty() {
        return None;
    }
    let mut root = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": format!("proofmark {command} --json"),
        "description": format!("schema {SCHEMA}; SI, the unit at the end of each key"),
        "type": "object",
        "properties": {},
        "required": ["schema"],
    });
    for key in keys {
        let types: Vec<&str> = key.types.split('|').collect();
        let mut node = json!({"type": if types.len() == 1 { json!(types[0]) } else { json!(types) }});
        if let Some(says) = says(key.path) {
            node["description"] = says.into();
        }
        put(&mut root, &key.path.split('.').collect::<Vec<_>>(), node);
    }
    Some(root)
}

/// Put a node at a path, its parents made as far as they are missing.
fn put(at: &mut Value, path: &[&str], node: Value) {
    let Some((first, rest)) = path.split_first() else { return };
    let name = first.trim_end_matches("[]");
    let items = (first.len() - name.len()) / 2;
    let Some(properties) = at.as_object_mut().map(|map| map.entry("properties").or_insert_with(|| json!({})))
    else {
        return;
    };
    let Some(mut here) = properties
        .as_object_mut()
        .map(|map: &mut Map<String, Value>| map.entry(name).or_insert_with(|| json!({})))
    else {
        return;
    };
    for _ in 0..items {
        let Some(map) = here.as_object_mut() else { return };
        here = map.entry("items").or_insert_with(|| json!({}));
    }
    if rest.is_empty() {
        if let (Some(map), Value::Object(node)) = (here.as_object_mut(), node) {
            map.extend(node);
        }
    } else {
        put(here, rest, node);
    }
}

/// Every document: `{"schema":1, "commands":{COMMAND: …}}`.
pub fn all() -> Value {
    let commands: Map<String, Value> = commands()
        .into_iter()
        .filter_map(|command| document(command).map(|it| (command.to_owned(), it)))
        .collect();
    json!({"schema": SCHEMA, "commands": commands})
}

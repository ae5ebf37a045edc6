//! Views as JSON: `{"schema":1, …}`, SI, the unit as key suffix, keys that do not change.

use serde_json::{Value, json};

use crate::desk::Planned;
use crate::desk::view::{CasingPage, Rack, RackLine, belongs, said_of};
use crate::desk::who::Candidate;
use crate::quantity::{Quantity, System};
use crate::standing::{Checklist, Due, EntryRef, Reason, RuleSet, rules};
use crate::store::EntryLine;

/// The version of the JSON.
pub const SCHEMA: u32 = 1;

fn entry(at: Option<EntryRef>) -> Value {
    at.map_or(
        Value::Null,
        |at| json!({"id": at.id.to_string(), "number": at.number, "on": at.on.to_string()}),
    )
}

/// A reason.
pub fn reason(reason: &Reason) -> Value {
    json!({
        "standing": reason.standing.word(),
        "rule": reason.rule,
        "text": reason.text,
        "value": reason.value,
        "limit": reason.limit,
        "source": reason.source,
        "entry": entry(reason.entry),
        "next": reason.next,
    })
}

fn due(due: &Due) -> Value {
    json!({"what": due.what, "on": due.on.map(|day| day.to_string()), "firings_left": due.firings_left})
}

/// What is due first: the earliest day and the fewest firings, with what asks for them.
fn next_due(all: &[Due]) -> Value {
    let on = all.iter().filter_map(|due| due.on).min();
    let left = all.iter().filter(|due| due.firings_left.is_some()).min_by_key(|due| due.firings_left);
    if on.is_none() && left.is_none() {
        return Value::Null;
    }
    json!({
        "on": on.map(|day| day.to_string()),
        "firings_left": left.and_then(|due| due.firings_left),
        "by": left.map(|due| due.what.clone()),
        "all": all.iter().map(due).collect::<Vec<_>>(),
    })
}

/// A reason on the rack: its entry by identity alone. Numbers are a book's own, and two laptops that hold the same
/// entries show the same rack.
fn rack_reason(it: &Reason) -> Value {
    let mut value = reason(it);
    if let Some(entry) = value.get_mut("entry").and_then(Value::as_object_mut) {
        entry.remove("number");
    }
    value
}

fn rack_line(line: &RackLine) -> Value {
    json!({
        "serial": line.row.serial,
        "name": line.row.name,
        "standing": line.row.standing.word(),
        "reasons": line.reasons.iter().map(rack_reason).collect::<Vec<_>>(),
        "firings": line.row.firings,
        "weakest": line.row.weakest,
        "factor": line.row.factor,
        "next_due": next_due(&line.due),
        "flags": line.flags,
        "last_fired": line.row.last_fired.map(|day| day.to_string()),
    })
}

/// The rack.
pub fn rack(rack: &Rack) -> Value {
    json!({
        "schema": SCHEMA,
        "as_of": rack.day.to_string(),
        "as_of_fixed": rack.fixed,
        "dated_ahead": rack.dated_ahead.map(|day| day.to_string()),
        "casings": rack.casings.iter().map(rack_line).collect::<Vec<_>>(),
    })
}

/// An entry of a ledger.
pub fn entry_line(line: &EntryLine) -> Value {
    let it = &line.entry;
    json!({
        "id": it.id.to_string(),
        "number": it.number,
        "origin": it.origin.to_string(),
        "sequence": it.sequence,
        "kind": it.kind().word(),
        "subject": it.entry.subject.name,
        "subject_of": it.entry.subject.of.word(),
        "on": it.entry.happened_on.to_string(),
        "date_approximate": it.entry.date_approximate,
        "recorded_at": crate::book::seal::moment(it.recorded_at),
        "by": it.entry.recorded_by,
        "second": it.entry.second,
        "seal": it.seal,
        "struck_by": line.struck_by,
        "differs_from": line.differs_from,
        "text": said_of(line, System::Si),
        "details": it.entry.details.to_json().unwrap_or(Value::Null),
    })
}

/// One casing in full.
pub fn casing(page: &CasingPage) -> Value {
    let assessed = &page.assessed;
    json!({
        "schema": SCHEMA,
        "as_of": page.day.to_string(),
        "as_of_fixed": page.fixed,
        "serial": assessed.serial,
        "name": assessed.name,
        "standing": page.standing.word(),
        "reasons": assessed.reasons_on(page.day).into_iter().map(reason).collect::<Vec<_>>(),
        "firings": assessed.firings,
        "proofs": assessed.proofs,
        "weakest": assessed.weakest.as_ref().map(|(mode, _)| mode),
        "factor": assessed.factor(),
        "meop_pa": assessed.meop_pa,
        "highest_peak_pa": assessed.highest_peak.map(|(pascals, _)| pascals),
        "next_due": next_due(&assessed.due),
        "wear": assessed.wear,
        "parts": assessed.parts.iter().map(|part| json!({
            "position": part.position.word(),
            "part": part.part,
            "firings": part.firings,
            "proofs": part.proofs,
            "life_firings": part.life_firings,
            "firings_left": part.left(),
            "throat_m": part.throat_m,
        })).collect::<Vec<_>>(),
        "growth": assessed.growth.iter().map(|growth| json!({
            "station_m": growth.station_mm * 1e-3,
            "clock_deg": growth.clock_deg,
            "birth_m": growth.birth_mm * 1e-3,
            "now_m": growth.now_mm * 1e-3,
            "percent": growth.percent,
            "noise": growth.noise,
            "entry": entry(Some(growth.entry)),
        })).collect::<Vec<_>>(),
        "breaches": assessed.breaches.iter().map(|breach| json!({
            "firing": breach.number,
            "entry": entry(Some(breach.firing)),
            "reason": breach.reason,
            "forbidden_by": breach.forbidden_by.iter().map(reason).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "flags": assessed.flags,
        "ledger": page.ledger.iter().map(|line| {
            let mut value = entry_line(line);
            value["belongs_to"] = belongs(page, line).map_or(Value::Null, Value::String);
            value
        }).collect::<Vec<_>>(),
    })
}

/// Which casings may take one load.
pub fn candidates(planned: Planned<'_>, day: chrono::NaiveDate, found: &[Candidate]) -> Value {
    json!({
        "schema": SCHEMA,
        "as_of": day.to_string(),
        "load": planned.load,
        "batch": planned.batch,
        "mode": planned.mode.word(),
        "grain_temperature_k": planned.grain.map(Quantity::si),
        "casings": found.iter().map(|it| json!({
            "serial": it.row.serial,
            "name": it.row.name,
            "standing": it.row.standing.word(),
            "verdict": it.answer().word(),
            "because": it.why(),
        })).collect::<Vec<_>>(),
    })
}

/// A pre-fire checklist.
pub fn checklist(
    serial: &str,
    load: &str,
    mode: &str,
    day: chrono::NaiveDate,
    checklist: &Checklist,
) -> Value {
    json!({
        "schema": SCHEMA,
        "as_of": day.to_string(),
        "casing": serial,
        "load": load,
        "mode": mode,
        "verdict": checklist.verdict(),
        "standoff_m": checklist.standoff.as_ref().map(|(metres, _)| metres),
        "items": checklist.items.iter().map(|item| json!({
            "id": item.id,
            "hold": item.hold,
            "text": item.text,
            "decided_by": item.decided_by,
            "state": item.state.word(),
            "rule": item.rule,
            "value": item.value,
            "limit": item.limit,
            "source": item.source,
            "entry": entry(item.entry),
            "second": item.second,
        })).collect::<Vec<_>>(),
    })
}

/// The rules in force.
pub fn rules(set: &RuleSet) -> Value {
    json!({
        "schema": SCHEMA,
        "rules": rules::DEFAULTS.iter().map(|rule| json!({
            "id": rule.id,
            "says": set.says(rule.id),
            "value": set.value(rule.id),
            "unit": rule.unit,
            "default": rule.value,
            "source": set.source(rule.id),
            "history": set.history(rule.id).iter().map(|change| json!({
                "value": change.value,
                "by": change.by,
                "reason": change.reason,
                "entry": entry(Some(change.entry)),
            })).collect::<Vec<_>>(),
            "changed_by": set.changed(rule.id).map_or(Value::Null, |change| entry(Some(change.entry))),
        })).collect::<Vec<_>>(),
    })
}

/// A JSON text in which whatever nobody sees stands as an escape: that says the same, and does nothing to a terminal.
pub fn visible(value: &Value) -> String {
    escaped(&value.to_string())
}

/// The same of a JSON text with line ends between its values, which stay.
pub fn escaped(text: &str) -> String {
    let mut line = String::with_capacity(text.len());
    for c in text.chars() {
        if super::text::unseen(c) && c != '\n' {
            let mut units = [0; 2];
            for unit in c.encode_utf16(&mut units) {
                line.push_str(&format!("\\u{unit:04x}"));
            }
        } else {
            line.push(c);
        }
    }
    line
}

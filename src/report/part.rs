//! Everything about one part, as JSON and text.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::json::{SCHEMA, entry_line};
use super::text::clean;
use crate::desk::part::PartPage;
use crate::desk::view::said_of;
use crate::quantity::{Length, Quantity, System, show};

/// As JSON.
pub fn as_json(page: &PartPage) -> Value {
    json!({
        "schema": SCHEMA,
        "as_of": page.day.to_string(),
        "part": page.record.serial,
        "what": page.record.what.word(),
        "answer": page.answer(),
        "firings": page.firings,
        "firings_before": page.record.firings_before,
        "proofs": page.proofs,
        "life_firings": page.record.life_firings,
        "firings_left": page.left(),
        "throat_m": page.throat_m,
        "retired": page.retired.as_ref().map(|(at, why)| json!({"on": at.on.to_string(), "entry": at.number, "reason": why})),
        "fitted_in": page.here().map(|stay| stay.casing.clone()),
        "stays": page.stays.iter().map(|it| json!({
            "casing": it.casing, "from": it.from.on.to_string(), "until": it.until.map(|day| day.to_string()),
            "firings": it.firings, "proofs": it.proofs, "throat_m": it.throat_m,
        })).collect::<Vec<_>>(),
        "ledger": page.lines.iter().map(|(line, casing)| {
            let mut value = entry_line(line);
            value["casing"] = casing.clone().map_or(Value::Null, Value::String);
            value
        }).collect::<Vec<_>>(),
    })
}

/// As text.
pub fn as_text(page: &PartPage, system: System) -> String {
    let record = &page.record;
    let throat = page
        .throat_m
        .map_or_else(String::new, |it| format!(", throat {}", show(Length::from_si(it), system)));
    let mut out = format!(
        "{} {}: {}\nas of {}; {}{throat}\n",
        record.what,
        clean(&record.serial),
        clean(&page.answer()),
        page.day,
        crate::quantity::counted(page.proofs, "proof")
    );
    let made: Vec<&str> = [&record.material, &record.maker, &record.lot, &record.remark]
        .into_iter()
        .flatten()
        .map(String::as_str)
        .collect();
    if !made.is_empty() {
        let _ = writeln!(out, "{}", clean(&made.join(", ")));
    }
    if record.firings_before > 0 {
        let _ = writeln!(
            out,
            "{} before this book began",
            crate::quantity::counted(record.firings_before, "firing")
        );
    }
    out.push_str("\nwhere it was\n");
    for stay in &page.stays {
        let until = stay.until.map_or_else(|| "now".to_owned(), |day| day.to_string());
        let throat = stay.throat_m.map_or_else(String::new, |it| {
            format!(", throat as fitted {}", show(Length::from_si(it), system))
        });
        let _ = writeln!(
            out,
            "  {} to {until:10}  {}: {}, {}{throat}",
            stay.from.on,
            clean(&stay.casing),
            crate::quantity::counted(stay.firings, "firing"),
            crate::quantity::counted(stay.proofs, "proof")
        );
    }
    out.push_str("\neverything on record\n");
    for (line, casing) in &page.lines {
        let it = &line.entry;
        let struck = line.struck_by.map_or_else(String::new, |by| format!(" [struck by entry {by}]"));
        let place = casing.as_ref().map_or_else(String::new, |casing| format!("in {}: ", clean(casing)));
        let _ = writeln!(
            out,
            "  {:>5} {}{} {:11} {place}{}{struck} ({})",
            it.number,
            it.entry.happened_on,
            if it.entry.date_approximate { "~" } else { " " },
            it.kind(),
            clean(&said_of(line, system)),
            clean(&it.entry.recorded_by),
        );
    }
    out
}

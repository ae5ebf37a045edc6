//! What waits for a decision, as JSON and text.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::json::{SCHEMA, reason};
use super::text::clean;
use crate::desk::decide::Deciding;

/// As JSON.
pub fn as_json(of: &Deciding) -> Value {
    json!({
        "schema": SCHEMA,
        "as_of": of.day.to_string(),
        "casing": of.serial,
        "standing": of.standing.word(),
        "trail": of.trail.iter().map(reason).collect::<Vec<_>>(),
        "causes": of.causes,
        "proposals": of.proposals.iter().map(|it| json!({
            "what": it.what,
            "asked_for": it.asked_for,
            "leads_to": it.leads_to.map(|standing| standing.word()),
            "why": it.why,
            "two_names": it.two_names,
            "form": it.form.word(),
            "fields": it.given.iter().map(|(name, words)| (name.clone(), Value::String(words.clone())))
                .collect::<serde_json::Map<_, _>>(),
        })).collect::<Vec<_>>(),
    })
}

/// As text.
pub fn as_text(of: &Deciding) -> String {
    let mut out = format!(
        "deciding on {} as of {}: it stands {}\n\nthe rule trail\n",
        clean(&of.serial),
        of.day,
        of.standing
    );
    if of.trail.is_empty() {
        out.push_str("  nothing stands against it\n");
    }
    for it in &of.trail {
        let entry =
            it.entry.map_or_else(String::new, |entry| format!(", entry {} of {}", entry.number, entry.on));
        let _ = writeln!(
            out,
            "  {} {} (value {}; limit {}; rule {}{entry})",
            it.standing.sign(),
            clean(&it.text),
            clean(&it.value),
            clean(&it.limit),
            it.rule
        );
    }
    if !of.causes.is_empty() {
        out.push_str("\ncompeting causes, the most argued for first; no verdict\n");
    }
    for cause in &of.causes {
        let _ = writeln!(out, "  {}", clean(cause));
    }
    out.push_str("\nwhat may be written, each tried on the record with two names\n");
    for it in &of.proposals {
        let leads = it.leads_to.map_or_else(String::new, |standing| format!(" -> {standing}"));
        let asked = if it.asked_for { " (the rules ask for it)" } else { "" };
        let _ = writeln!(out, "  {}{leads}{asked}", clean(&it.what));
        if !it.why.is_empty() {
            let _ = writeln!(out, "      {}", clean(&it.why));
        }
        for (name, words) in
            it.given.iter().filter(|(name, _)| !matches!(name.as_str(), "decision" | "reason" | "part"))
        {
            let _ = writeln!(out, "      {name}: {}", clean(words));
        }
    }
    out.push_str(if of.two_names() {
        "\nNobody has decided anything here: proofmark log disposition writes it, with two names where it says so.\n"
    } else {
        "\nNobody has decided anything here: proofmark log disposition writes it.\n"
    });
    out
}

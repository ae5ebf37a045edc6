//! A reason on paper: what it says, the rule, the value against the limit, the source, the entry, what clears it.

use super::Paint;
use super::paper::Paper;
use crate::book::Standing;
use crate::standing::{EntryRef, Reason};
use crate::tui::theme::Meaning;

/// One reason in full.
pub fn reason(paper: &mut Paper, reason: &Reason, paint: &Paint) {
    let style = paint.theme.standing(reason.standing);
    let lead = format!("{} ", reason.standing.sign());
    paper.hang(&lead, style, &said(reason), style);
    if !reason.next.is_empty() {
        paper.hang("  next    ", paint.of(Meaning::Key), &reason.next, paint.of(Meaning::Strong));
    }
    details(
        paper,
        [&reason.rule, &reason.value, &reason.limit, &reason.source],
        reason.entry.as_ref(),
        paint,
    );
}

/// The standing and why, the standing said once.
pub fn said(reason: &Reason) -> String {
    // A rule that is met says so; the casing it is met by may be on hold for another.
    let word = match reason.standing {
        Standing::InService => "in order".to_owned(),
        standing => standing.to_string(),
    };
    if reason.text.starts_with(&format!("{word} ")) {
        reason.text.clone()
    } else {
        format!("{word}: {}", reason.text)
    }
}

/// Rule, value, limit, source and entry, as every reason and every item of the record shows them.
pub fn details(paper: &mut Paper, words: [&str; 4], entry: Option<&EntryRef>, paint: &Paint) {
    let [rule, value, limit, source] = words;
    let held = match (value.trim(), limit.trim()) {
        ("", limit) => limit.to_owned(),
        (value, limit) if value == limit => value.to_owned(),
        (value, "") => value.to_owned(),
        (value, limit) => format!("{value}; limit: {limit}"),
    };
    paper.labelled("value", &held, paint);
    let on = entry.map_or_else(String::new, |entry| format!("; entry {} of {}", entry.number, entry.on));
    paper.labelled("rule", &format!("{rule}{on}"), paint);
    paper.labelled("source", source, paint);
}

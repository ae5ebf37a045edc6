//! A pre-fire checklist as it was run, hold point by hold point.

use maud::html;

use super::sheet::{as_of, code, page, t};
use crate::book::Attested;
use crate::desk::paper::ChecklistSheet;
use crate::standing::prefire::{HOLDS, is_afterwards};

/// The checklist of an entry.
pub fn checklist(view: &ChecklistSheet) -> String {
    let run = &view.run;
    let head = &view.entry.entry;
    let body = html! {
        div.head {
            div {
                p.quiet { "Pre-fire checklist as run, " (as_of(&view.imprint)) }
                h1 { (t(&run.casing)) }
                p.big { (run.mode) " firing with load " (t(&run.load)) @if let Some(batch) = &run.batch { ", batch " (t(batch)) } }
                p { "Planned for " (run.planned_for) ". Entry " (view.entry.number) " of " (head.happened_on) ", written by "
                    (t(&head.recorded_by)) @if let Some(second) = &head.second { ", second person " (t(second)) } "." }
            }
            (code(&run.casing, &view.imprint))
        }
        @if let Some(by) = view.struck_by { p.flag { "! Struck by entry " (by) ": it counts no more." } }
        div class=(if run.released == Attested::Yes { "standing" } else { "standing forbids" }) {
            strong { "Hardware released: " (run.released) }
        }
        @if !run.parts.is_empty() {
            p { "Fitted: " (run.parts.iter().map(|part| format!("{} {}", part.position, t(&part.part))).collect::<Vec<_>>().join(", ")) "." }
        }
        table {
            thead { tr { th { "Item" } th { "What it says" } th { "Decided by" } th { "How it came out" } } }
            tbody { @for item in &run.items { tr {
                td.small { (t(&item.item)) }
                td { (t(&item.text)) }
                td { (t(&item.decided_by)) }
                td { @if is_afterwards(&item.item) { "after the firing: read aloud before it" } @else { strong { (t(&item.state)) } } }
            } } }
        }
        p.small { "Hold points: " (HOLDS.iter().map(|(id, what)| format!("{id} {what}")).collect::<Vec<_>>().join("; ")) ". Nothing after one goes on until everything before it is in order." }
        @if let Some(remark) = &run.remark { p { "Remark: " (t(remark)) } }
    };
    page(&format!("{} checklist of {}", run.casing, head.happened_on), Some(&view.imprint), body, true)
}

//! The rack on paper, and who may be fired on a day.

use maud::html;

use super::sheet::{as_of, page, t, verdict};
use crate::book::Standing;
use crate::desk::paper::RackSheet;

fn dated_ahead(view: &RackSheet) -> maud::Markup {
    html! { @if let Some(last) = view.rack.dated_ahead {
        p.flag { "! Something on record is dated " (last) ", which has not come yet: is this computer's clock right?" }
    } }
}

/// Every casing at a glance.
pub fn rack(view: &RackSheet) -> String {
    let body = html! {
        p.quiet { (as_of(&view.imprint)) }
        h1 { "Rack" }
        (dated_ahead(view))
        @if view.rack.casings.is_empty() { p { "No casing is on record." } }
        table {
            thead { tr { th { "Standing" } th { "Serial" } th { "Name" } th.num { "Firings" } th { "Thinnest mode" } th.num { "Factor" } th { "Why" } } }
            tbody { @for line in view.rack.by_need() { tr {
                td.nowrap { (line.row.standing.sign()) " " (line.row.standing) }
                td { strong { (t(&line.row.serial)) } }
                td { (t(line.row.name.as_deref().unwrap_or(""))) }
                td.num { (line.row.firings) }
                td { (line.row.weakest.as_deref().unwrap_or("-")) }
                td.num { (line.row.factor.map_or_else(|| "-".to_owned(), |factor| format!("{factor:.2}"))) }
                td { @for flag in &line.flags { div { strong { "! " (t(flag)) } } }
                    @match line.reasons.first() {
                        Some(reason) if line.row.standing != Standing::InService => (t(&reason.text)),
                        _ => (verdict(line.row.standing)),
                    } }
            } } }
        }
    };
    page("Rack", Some(&view.imprint), body, true)
}

/// Who may be fired on the day, and what each other needs first.
pub fn due(view: &RackSheet) -> String {
    let lines = view.rack.by_need();
    let may = lines.iter().filter(|line| !line.row.standing.forbids()).count();
    let body = html! {
        p.quiet { (as_of(&view.imprint)) }
        h1 { "Who may be fired on " (view.rack.day) }
        p { "Nothing on record forbids " (may) " of " (lines.len()) ". A load and the pre-fire checklist decide the rest." }
        (dated_ahead(view))
        table {
            thead { tr { th { "Serial" } th { "Name" } th { "Standing" } th { "Says" } th { "Needs first" } th { "Due next" } } }
            tbody { @for line in lines.iter().rev() { tr {
                td { strong { (t(&line.row.serial)) } }
                td { (t(line.row.name.as_deref().unwrap_or(""))) }
                td.nowrap { (line.row.standing.sign()) " " (line.row.standing) }
                td { (verdict(line.row.standing)) @if let Some(reason) = line.reasons.first() {
                    @if line.row.standing != Standing::InService { ": " (t(&reason.text)) } } }
                td { @match line.reasons.first() {
                    Some(reason) if line.row.standing.forbids() => (t(&reason.next)),
                    _ => "-",
                } }
                td { @if line.row.standing == Standing::Retired { "-" } @else { @for due in &line.due {
                    div { (t(&due.what)) @if let Some(on) = due.on { " by " (on) }
                        @if let Some(left) = due.firings_left { ", " (left) " firings left" } }
                } } }
            } } }
        }
    };
    page(&format!("Due on {}", view.rack.day), Some(&view.imprint), body, true)
}

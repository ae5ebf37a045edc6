//! Blank forms for the bench and the range, to be keyed in later: the same fields in the same order with the same
//! numbers as on the screen, because both come from the one table.

use maud::{Markup, html};

use super::sheet::page;
use crate::book::Kind;
use crate::book::cautions;
use crate::book::form::{Ask, Field, Form};
use crate::book::forms::HEAD;
use crate::book::inspection;

/// How many lines a field with rows gets.
const ROWS: usize = 16;

/// A blank form of a kind.
pub fn blank(form: &'static Form) -> String {
    let kind = form.kind;
    let before: &[&str] = match kind {
        Kind::Proof => cautions::BEFORE_A_PROOF,
        Kind::Firing | Kind::Prefire => cautions::BEFORE_A_FIRING,
        _ => &[],
    };
    let fields = HEAD.iter().chain(form.fields).enumerate();
    let body = html! {
        p.quiet { "Paper form, keyed in later: proofmark log " (kind) ", or the same form on the screen. A reading that was not taken is written \"not measured\"." }
        h1 { (kind) }
        p { (form.does) "." }
        @for line in before { p.flag { (line) } }
        table style="table-layout:fixed" {
            thead { tr { th.num style="width:9mm" { "No." } th style="width:62mm" { "Field" } th { "Write here" } } }
            tbody { @for (at, field) in fields { (row(field.number(at), field, kind)) } }
        }
        p.small { "* must be answered. Number, unit and all: 27/64 in, U drill, 5,2 MPa, 420 lbf, 176 degC." }
        @if kind == Kind::Prefire { (attest()) }
    };
    page(&format!("Blank {kind} form"), None, body, true)
}

fn row(number: Option<usize>, field: &'static Field, kind: Kind) -> Markup {
    let item = (kind == Kind::Strip).then(|| inspection::item_by_id(field.name)).flatten();
    html! {
        tr {
            td.num { strong { @if let Some(number) = number { (number) } } }
            td {
                strong { (field.label) @if field.required { " *" } }
                @if let Some(item) = item { " (item " (item.number) ")" }
                br; span.small.quiet { (field.help) @if let Some((other, words)) = field.when { " (only where " (other) " is " (words.join(" or ")) ")" } }
            }
            td { (room(field)) }
        }
    }
}

fn room(field: &Field) -> Markup {
    match field.ask {
        Ask::YesNo => html! { (boxes(&["yes", "no"])) },
        Ask::Word(words) if words.len() <= 24 => html! { (boxes(words)) },
        Ask::Readings | Ask::Hardness => html! {
            table.small { thead { tr { th { "Station" } th { "Clock" } th { "Reading" } th { "Station" } th { "Clock" } th { "Reading" } } }
                tbody { @for _ in 0..ROWS / 2 { tr { @for _ in 0..6 { td { div.line {} } } } } } }
        },
        Ask::LongText => html! { @for _ in 0..3 { div.line {} } },
        _ => html! { div.line {} },
    }
}

fn boxes(words: &[&str]) -> Markup {
    html! { @for word in words { span style="white-space:nowrap;margin-right:4mm" { span style="font-size:13pt" { "\u{2610}" } " " (word) } " " } }
}

/// The items a person attests before a firing, with boxes.
fn attest() -> Markup {
    html! {
        h2 { "Hold points" }
        table { tbody { @for (id, what) in crate::standing::prefire::HOLDS { tr {
            td { strong { (id) } } td { (what) } td { (boxes(&["in order", "not in order"])) } td { "Name" div.sign {} }
        } } } }
        p.small { "The items of a run depend on the casing and the load: print them with proofmark prefire SERIAL --load NAME." }
    }
}

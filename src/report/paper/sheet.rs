//! The sheet everything is printed on: head, style, imprint, cautions.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::super::text::clean;
use super::qr;
use crate::book::{Standing, cautions};
use crate::desk::paper::Imprint;
use crate::standing::{EntryRef, Reason};

/// The style of every page. Grey is never lighter than #555 on white (contrast 7.4), so that a tired printer and
/// bright sun leave it readable; colour only underlines words.
const STYLE: &str = "
@page { margin: 14mm 12mm }
* { box-sizing: border-box }
html { font: 9.5pt/1.35 'Liberation Sans', Arial, Helvetica, sans-serif; color: #111; background: #fff }
body { margin: 0 auto; max-width: 186mm; padding: 6mm 2mm }
h1 { font-size: 19pt; margin: 0; line-height: 1.1; overflow-wrap: anywhere }
h2 { font-size: 11.5pt; margin: 5.5mm 0 1.5mm; border-bottom: 0.4mm solid #111; break-after: avoid }
h3 { font-size: 10pt; margin: 3mm 0 1mm; break-after: avoid }
p { margin: 1mm 0 }
.head { display: flex; justify-content: space-between; gap: 6mm; align-items: flex-start }
.head > div { min-width: 0 }
.quiet { color: #444 }
.small { font-size: 8pt }
.num { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums }
.nowrap { white-space: nowrap }
.mono { font-family: 'Liberation Mono', 'DejaVu Sans Mono', monospace; font-size: 8pt; overflow-wrap: anywhere }
table { border-collapse: collapse; width: 100%; margin: 1mm 0 }
th, td { text-align: left; vertical-align: top; padding: 0.6mm 1.6mm 0.6mm 0; border-bottom: 0.2mm solid #777; overflow-wrap: anywhere }
th { font-weight: bold; border-bottom: 0.4mm solid #111; font-size: 8.5pt }
th.num { text-align: right }
thead { display: table-header-group }
tr, figure, .keep { break-inside: avoid }
dl { display: grid; grid-template-columns: 42mm 1fr; gap: 0.6mm 3mm; margin: 1mm 0 }
dt { color: #444 }
dd { margin: 0; overflow-wrap: anywhere }
figure { margin: 2mm 0 }
figcaption { color: #444; font-size: 8.5pt }
svg, img { max-width: 100%; height: auto }
.standing { border: 0.7mm solid #111; padding: 2mm 3mm; margin: 3mm 0; break-inside: avoid }
.standing strong { font-size: 14pt }
.forbids { border-width: 1.4mm; border-color: #8b0000 }
.forbids strong { color: #8b0000 }
.flag { border-left: 1.2mm solid #8b0000; padding-left: 2mm; margin: 1.5mm 0; font-weight: bold }
.struck { text-decoration: line-through; color: #444 }
.grown { font-weight: bold; border: 0.3mm solid #111; padding: 0 0.6mm }
.yielded { font-weight: bold; background: #111; color: #fff; padding: 0 0.8mm }
.cautions { border: 0.4mm solid #111; padding: 2mm 4mm; margin-top: 6mm; break-inside: avoid; font-size: 8.5pt }
.cautions ul { margin: 1mm 0; padding-left: 5mm }
.sign { border-bottom: 0.4mm solid #111; height: 9mm }
.line { border-bottom: 0.3mm solid #111; min-height: 6.5mm }
.big { font-size: 13pt; font-weight: bold }
.page { break-after: page }
footer { margin-top: 4mm; border-top: 0.4mm solid #111; padding-top: 1mm; font-size: 8pt; color: #333; break-inside: avoid }
@media print { body { padding: 0; max-width: none } }
";

/// Text that may be a stranger's; maud escapes it, this takes out what would turn or hide other words.
pub(super) fn t(text: &str) -> String {
    clean(text)
}

/// A whole page.
pub(super) fn page(title: &str, imprint: Option<&Imprint>, body: Markup, with_cautions: bool) -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy"
                    content="default-src 'none'; style-src 'unsafe-inline'; img-src data:";
                meta name="generator" content=(concat!("proofmark ", env!("CARGO_PKG_VERSION")));
                title { (t(title)) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                (body)
                @if with_cautions { (cautions_box()) }
                @if let Some(imprint) = imprint { (foot(imprint)) }
            }
        }
    }
    .into_string()
}

fn cautions_box() -> Markup {
    let all = cautions::all();
    html! {
        section.cautions aria-label="Cautions" {
            strong { "Cautions" }
            ul { @for line in &all { li { (line) } } }
        }
    }
}

fn foot(imprint: &Imprint) -> Markup {
    html! {
        footer {
            "Printed " (imprint.at.format("%Y-%m-%d %H:%M UTC")) " from a book of " (imprint.entries) " entries, "
            (as_of(imprint)) ". Head seal "
            span.mono { (imprint.head_seal.as_deref().unwrap_or("none yet")) }
            ". A later entry changes the seal: proofmark verify tells whether this sheet is still the book's."
        }
    }
}

/// "as of DAY", and whether the book is a demonstration.
pub(super) fn as_of(imprint: &Imprint) -> String {
    if imprint.fixed {
        format!("as of {}, fixed by this demo book", imprint.day)
    } else {
        format!("as of {}", imprint.day)
    }
}

/// The code of a serial and the head seal, with what it holds in words.
pub(super) fn code(serial: &str, imprint: &Imprint) -> Markup {
    let seal = imprint.head_seal.as_deref().unwrap_or("none yet");
    let held = format!("proofmark\nserial {}\nas of {}\nhead seal {seal}", t(serial), imprint.day);
    html! {
        figure style="margin:0;text-align:center;width:32mm;flex:none" {
            (qr::svg(&held, "30mm", &format!("QR code: serial {}, day and head seal", t(serial))))
            figcaption.small { "serial, day, head seal" }
        }
    }
}

/// What a standing says of firing, in the only words this program has for it.
pub(super) fn verdict(standing: Standing) -> &'static str {
    match standing {
        it if it.forbids() => "may not be fired",
        Standing::Restricted => "nothing on record forbids a firing within its restriction",
        _ => "nothing on record forbids a firing",
    }
}

/// The box with the standing.
pub(super) fn standing_box(standing: Standing) -> Markup {
    let class = if standing.forbids() { "standing forbids" } else { "standing" };
    html! {
        div class=(class) {
            strong { (standing.sign()) " " (standing.word()) ": " (verdict(standing)) }
        }
    }
}

/// "entry 12 of DAY".
pub(super) fn entry_words(entry: Option<EntryRef>) -> String {
    entry.map_or_else(|| "no entry".to_owned(), |entry| format!("entry {} of {}", entry.number, entry.on))
}

/// Reasons as a table: what, value against limit, where the limit comes from, what clears it.
pub(super) fn reasons(all: &[&Reason]) -> Markup {
    html! {
        table {
            thead { tr { th { "" } th { "Reason" } th { "Value" } th { "Limit, rule, source" } th { "Next" } } }
            tbody {
                @for reason in all {
                    tr {
                        td.nowrap { (reason.standing.sign()) " " (reason.standing.word()) }
                        td { (t(&reason.text)) br; span.quiet.small { (entry_words(reason.entry)) } }
                        td { (t(&reason.value)) }
                        td { (t(&reason.limit)) br; span.quiet.small { "rule " (t(&reason.rule)) "; " (t(&reason.source)) } }
                        td { @if reason.next.is_empty() { "-" } @else { (t(&reason.next)) } }
                    }
                }
            }
        }
    }
}

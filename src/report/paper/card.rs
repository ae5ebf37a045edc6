//! One page for whoever is in charge of the range: the planned load, the thinnest margin, the distance, two names.

use maud::{Markup, html};

use super::sheet::{as_of, code, entry_words, page, t};
use crate::book::Details;
use crate::book::cautions;
use crate::desk::paper::Card;
use crate::quantity::{GaugePressure, Length, Quantity, STANDARD_ATMOSPHERE_PA, System, show};
use crate::standing::{Assessment, ItemState};

/// A card is one page, whatever is on record.
const COMPACT: &str = "@page { margin: 9mm 12mm } html { font-size: 9pt } h2 { margin-top: 3mm } p, ul { margin: 0.5mm 0 } dl { margin: 0.5mm 0 } .standing { margin: 2mm 0 } \
    .sign { height: 6.5mm } .head figure svg { width: 24mm; height: 24mm } .standing { padding: 1mm 3mm } .two { display: grid; grid-template-columns: 1fr 1fr; gap: 0 6mm } \
    .forbidden { font-size: 26pt; letter-spacing: 1mm } dl { grid-template-columns: 27mm 1fr } footer { margin-top: 2mm }";

/// The card of a planned firing.
pub fn card(view: &Card, system: System) -> String {
    let passport = &view.passport;
    let assessed = &passport.page.assessed;
    let forbidden = view.checklist.forbidden();
    let body = html! {
        style { (maud::PreEscaped(COMPACT)) }
        div.head {
            div {
                p.quiet { "Range card, " (as_of(&passport.imprint)) }
                h1 { (t(&assessed.serial)) " " span.quiet { (t(assessed.name.as_deref().unwrap_or(""))) } }
                p.big { (view.mode) " firing with load " (t(&view.load.name)) ", revision " (t(&view.load.revision)) }
            }
            (code(&assessed.serial, &passport.imprint))
        }
        div class=(if forbidden { "standing forbids" } else { "standing" }) {
            strong { @if forbidden { span.forbidden { "x FORBIDDEN" } " by the record" @if passport.page.standing.forbids() { ": " (passport.page.standing) } } @else { "nothing on record forbids it" } }
            p { "This says what is on record, and no more: the people at the range decide." }
        }
        @for flag in assessed.flags.iter().take(2) { p.flag { "! " (short(flag, 150)) } }
        (facts(view, system))
        (standing_against(view))
        // A firing that is forbidden has nothing to prepare and nothing to sign for.
        @if !forbidden {
            h2 { "Before it is lit" }
            ul.small { @for line in cautions::BEFORE_A_FIRING { li { (line) } } }
        }
        p.small { (cautions::WHAT_IT_IS) }
        @if !forbidden { div.keep {
            h2 { "Two names" }
            table style="table-layout:fixed" { tbody {
                @for who in ["Test conductor", "Range or safety officer"] {
                    tr { td { (who) div.sign {} } td { "Name" div.sign {} } td { "Date and time" div.sign {} } }
                }
            } }
        } }
    };
    page(&format!("{} range card", assessed.serial), Some(&passport.imprint), body, false)
}

/// At most so many letters: a card stays one page. The whole of it is in the passport.
fn short(text: &str, most: usize) -> String {
    let clean = t(text);
    match clean.char_indices().nth(most) {
        Some((end, _)) => format!("{}…", clean[..end].trim_end()),
        None => clean,
    }
}

fn facts(view: &Card, system: System) -> Markup {
    let passport = &view.passport;
    let assessed = &passport.page.assessed;
    let peak = view.load.peak_pressure.si() - STANDARD_ATMOSPHERE_PA;
    let pa = |pascals: f64| show(GaugePressure::from_si(pascals), system);
    let findings: Vec<i64> = passport
        .page
        .ledger
        .iter()
        .filter(|line| line.struck_by.is_none() && matches!(line.entry.entry.details, Details::Finding(_)))
        .map(|line| line.entry.number)
        .collect();
    let certified = match &passport.metal {
        Some(Ok(metal)) => format!("{}, {} strength, not certified", metal.name, metal.basis),
        Some(Err(why)) => why.clone(),
        None => "not on record".to_owned(),
    };
    html! { div.two {
        div { h2 { "The load" }
        dl {
            dt { "Planned peak" } dd { strong { (pa(peak)) } " above the atmosphere"
                @if let Some(scatter) = view.load.peak_scatter { ", scatter (one sigma) " (format!("{:.1} %", 100.0 * scatter)) }
                @else { ", scatter (one sigma) " (passport.rules.value("peak-scatter")) " %, the club's" } }
            dt { "Peak thrust" } dd { (view.load.peak_thrust.as_ref().map_or_else(|| "not on record".to_owned(), |it| show(it.value, system))) }
            dt { "Impulse" } dd { @match &view.load.impulse {
                Some(impulse) => { (show(impulse.value, system)) ", class " (class(impulse.si())) },
                None => "not on record",
            } }
            dt { "Distance people keep" } dd { @match &view.checklist.standoff {
                Some((metres, words)) => { strong { (show(Length::from_si(*metres), system)) } ": " (t(words)) },
                None => "not worked out: the load has no impulse, or is beyond the tables. Ask the range",
            } }
        }
        }
        div { h2 { "The casing" }
        dl {
            dt { "Drawing" } dd { @match &passport.record {
                Some((record, _)) => { "revision " (t(&record.revision)) ", " (t(record.drawing.as_deref().unwrap_or("no drawing named"))) },
                None => "not on record",
            } }
            dt { "Material" } dd { (t(&certified)) }
            @if let Some(design) = &assessed.design { dt { "Ends" } dd { (design.forward.kind) " forward, " (design.aft.kind) " aft" } }
            dt { "MEOP" } dd { (assessed.meop_pa.map_or_else(|| "not on record".to_owned(), pa)) }
            dt { "Thinnest margin" } dd { @match &assessed.weakest {
                Some((mode, yields)) => {
                    strong { (t(mode)) } ", yields at " (pa(*yields))
                    @if peak > 0.0 { ", " strong { (format!("{:.2}", yields / peak)) " times the planned peak" } }
                    @if let Some(factor) = assessed.factor() { ", " (format!("{factor:.2}")) " times MEOP" }
                },
                None => "not worked out",
            } }
            dt { "Last proof" } dd { @match &assessed.proof {
                Some((entry, pascals, since)) => { (pa(*pascals)) " with water, " (entry_words(Some(*entry))) ", " (since) " firings since" },
                None => "none that passed",
            } }
            dt { "Life" } dd { (assessed.firings) " firings; highest peak "
                (assessed.highest_peak.map_or_else(|| "not on record".to_owned(), |(peak, entry)| format!("{} ({})", pa(peak), entry_words(Some(entry))))) }
            dt { "Restriction" } dd { (assessed.restriction.as_ref().map_or_else(|| "none".to_owned(), |it| short(&it.reason, 150))) }
            dt { "Growth since birth" } dd { (grown(assessed)) }
            dt { "Findings on record" } dd { @if findings.is_empty() { "none" } @else {
                (short(&findings.iter().map(|number| format!("entry {number}")).collect::<Vec<_>>().join(", "), 90)) } }
        } }
    } }
}

/// How far the tube has grown, whatever was decided about it.
fn grown(assessed: &Assessment) -> String {
    let worst = assessed.growth.iter().max_by(|a, b| a.percent.total_cmp(&b.percent));
    match worst {
        Some(worst) if worst.percent > 0.0 => {
            format!("{:.2} % at {}, {:+.2} mm", worst.percent, worst.place(), worst.grown_mm())
        }
        Some(_) => "none that a gauge could see".to_owned(),
        None if assessed.has_baseline => "not read since birth".to_owned(),
        None => "no birth record to hold it against".to_owned(),
    }
}

fn class(impulse_ns: f64) -> String {
    crate::trace::impulse_class(impulse_ns).map_or_else(|| "-".to_owned(), |class| class.letter.to_string())
}

/// What forbids, all of it, and what warns as far as a page goes, each with its rule and value.
fn standing_against(view: &Card) -> Markup {
    let of = |state: ItemState| view.checklist.items.iter().filter(move |item| item.state == state);
    let forbids = of(ItemState::Forbids).count();
    let against: Vec<_> = of(ItemState::Forbids).chain(of(ItemState::Warns)).collect();
    let most = forbids.max(4);
    html! {
        @if !against.is_empty() {
            h2 { "What the record says against it" }
            table.small { tbody {
                @for item in against.iter().take(most) { tr {
                    td.nowrap { strong { (item.state) } }
                    td { @if item.state == ItemState::Forbids { (t(&item.text)) } @else { (short(&item.text, 110)) } }
                    td { (short(item.value.as_deref().unwrap_or("-"), 70)) "; limit " (short(item.limit.as_deref().unwrap_or("-"), 90))
                        " (rule " (item.rule.as_deref().unwrap_or("-")) ")" }
                } }
            } }
            @if against.len() > most {
                p.small { "and " (against.len() - most) " more that warn: proofmark prefire lists them" }
            }
        }
    }
}

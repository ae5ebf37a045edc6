//! The casing's passport.

use base64::Engine;
use maud::{Markup, html};

use super::chart::{self, Level};
use super::section::{end_words, section};
use super::sheet::{as_of, code, entry_words, page, reasons, standing_box, t};
use crate::book::{Details, What};
use crate::desk::paper::{Passport, Picture};
use crate::desk::view::said_of;
use crate::quantity::{GaugePressure, Length, Quantity, Stress, System, Typed, show};
use crate::standing::growth::{Degree, degree};
use crate::standing::in_units::in_units;
use crate::standing::proofs;
use crate::store::EntryLine;
use crate::strength::ModeMargin;

fn pa(pascals: f64, system: System) -> String {
    show(GaugePressure::from_si(pascals), system)
}

fn opt<Q: Quantity>(value: &Option<Typed<Q>>, system: System) -> String {
    value.as_ref().map_or_else(|| "-".to_owned(), |value| show(value.value, system))
}

/// A page with everything on record of one casing.
pub fn passport(view: &Passport, system: System) -> String {
    let assessed = &view.page.assessed;
    let serial = t(&assessed.serial);
    let body = html! {
        div.head {
            div {
                p.quiet { "Casing passport, " (as_of(&view.imprint)) }
                h1 { (serial) }
                p.big { (t(assessed.name.as_deref().unwrap_or(""))) }
                p { (assessed.firings) " firings, " (assessed.proofs) " proofs"
                    @if let Some((peak, at)) = assessed.highest_peak {
                        "; highest peak " (pa(peak, system)) " (" (entry_words(Some(at))) ")"
                    }
                }
            }
            (code(&assessed.serial, &view.imprint))
        }
        (standing_box(view.page.standing))
        @for flag in &assessed.flags { p.flag { "! " (t(flag)) } }
        h2 { "1 Why it stands so" }
        (reasons(&assessed.reasons_on(view.page.day)))
        (due(view))
        h2 { "2 What it is" }
        (identity(view, system))
        h2 { "3 Section" }
        @match &assessed.design {
            Some(design) => (section(design, assessed, &view.rules)),
            None => p { "It was not registered yet." },
        }
        h2 { "4 Material and its basis" }
        (material(view, system))
        h2 { "5 Margins by failure mode" }
        (margins(view, system))
        h2 { "6 Proofs" }
        (proof_table(view, system))
        h2 { "7 Firings" }
        (firings(view, system))
        h2 { "8 Growth map" }
        (growth(view, system))
        h2 { "9 Findings and decisions" }
        (judged(view, system))
        h2 { "10 Parts and their life" }
        (parts(view, system))
        h2 { "11 Traces" }
        @if view.plots.is_empty() { p { "No trace is on record." } }
        @for plot in &view.plots {
            h3 { "Entry " (plot.number) " of " (plot.on) ": " (t(&plot.file))
                @if let Some(by) = plot.struck_by { " (struck by entry " (by) ")" } }
            @if let Some(class) = plot.reduction.get("designation").and_then(|it| it.as_str()) {
                p { "Reduced to " (t(class)) " when it was kept." }
            }
            (chart::trace(plot))
        }
        h2 { "12 Photographs" }
        @if view.photos.is_empty() { p { "No photograph is on record." } }
        @for photo in &view.photos { (picture(photo, system)) }
        h2 { "13 Ledger" }
        (ledger(view, system))
    };
    page(&format!("{serial} passport"), Some(&view.imprint), body, true)
}

fn due(view: &Passport) -> Markup {
    let due = &view.page.assessed.due;
    html! {
        @if !due.is_empty() {
            h3 { "Due next" }
            table {
                thead { tr { th { "What" } th { "Good until" } th.num { "Firings left" } } }
                tbody { @for it in due { tr {
                    td { (t(&it.what)) }
                    td { (it.on.map_or_else(|| "-".to_owned(), |on| on.to_string())) }
                    td.num { (it.firings_left.map_or_else(|| "-".to_owned(), |left| left.to_string())) }
                } } }
            }
        }
    }
}

fn identity(view: &Passport, system: System) -> Markup {
    let Some((record, entry)) = &view.record else {
        return html! { p { "No registration counts on this day." } };
    };
    let design = &record.design;
    let word = |text: &Option<String>| text.as_deref().map_or_else(|| "not on record".to_owned(), t);
    html! {
        dl {
            dt { "Serial" } dd { (t(&record.serial)) }
            dt { "Revision" } dd { (t(&record.revision)) ", entry " (entry.number) " of " (entry.entry.happened_on)
                @if entry.entry.date_approximate { " (date approximate)" } }
            dt { "Drawing" } dd { (word(&record.drawing)) }
            dt { "Turned by" } dd { (word(&record.machinist)) }
            dt { "Welded by" } dd { (word(&record.welder)) }
            dt { "Registered by" } dd { (t(&entry.entry.recorded_by))
                @if let Some(second) = &entry.entry.second { " with " (t(second)) } }
            dt { "Tube" } dd { (t(&design.tube.material)) ", outside " (show(design.tube.od.value, system)) ", wall "
                (show(design.tube.wall.value, system)) ", least wall measured " (opt(&design.tube.wall_min, system))
                ", length " (opt(&design.tube.length, system)) }
            dt { "Forward end" } dd { (t(&end_words(&design.forward))) }
            dt { "Aft end" } dd { (t(&end_words(&design.aft))) }
            dt { "MEOP on the drawing" } dd { (show(design.service.meop.value, system)) " above the atmosphere" }
            @if let Some(meop) = view.page.assessed.meop_pa {
                dt { "MEOP in force" } dd { (pa(meop, system)) }
            }
            @if let Some(remark) = &record.remark { dt { "Remark" } dd { (t(remark)) } }
        }
        @if let Some(restriction) = &view.page.assessed.restriction {
            h3 { "Restriction in force" }
            dl {
                dt { "Reason" } dd { (t(&restriction.reason)) }
                @if let Some(meop) = &restriction.meop { dt { "Lowered MEOP" } dd { (show(meop.value, system)) } }
                @if !restriction.loads.is_empty() { dt { "Only these loads" } dd { (t(&restriction.loads.join(", "))) } }
                @if let Some(every) = restriction.proof_every { dt { "Proof every" } dd { (every) " firings" } }
                @if let Some(times) = restriction.standoff_multiplier { dt { "Distance" } dd { (times) " times the table's" } }
                @if let Some(checks) = &restriction.extra_checks { dt { "Extra checks" } dd { (t(checks)) } }
                @if let Some(ends) = restriction.expires { dt { "Ends on" } dd { (ends) } }
            }
        }
    }
}

fn material(view: &Passport, system: System) -> Markup {
    let lot = view.record.as_ref().and_then(|(record, _)| record.tube_lot.as_deref());
    html! {
        @match &view.metal {
            None => p { "No metal is on record." },
            Some(Err(why)) => p { "No strength is known: " (t(why)) },
            Some(Ok(metal)) => {
                dl {
                    dt { "Tube metal" } dd { (t(&metal.name)) }
                    dt { "Basis" } dd { strong { (metal.basis.word()) }
                        ", not certified: no certificate of this tube is on record. Tube lot: "
                        (lot.map_or_else(|| "not on record".to_owned(), t)) }
                    dt { "Least yield" } dd { (show(Stress::from_si(metal.yield_strength.si()), system)) }
                    dt { "Least ultimate" } dd { (show(Stress::from_si(metal.ultimate_strength.si()), system)) }
                    dt { "Source" } dd { (t(&metal.source)) }
                }
            }
        }
        @if let Some(Ok(margins)) = &view.margins {
            @for text in &margins.assumed { p { strong { "Assumed: " } (t(text)) } }
        }
        @for spot in &view.page.assessed.spots {
            p { strong { "Soft or thin: " } (t(&spot.place))
                @if let Some(hardness) = spot.hardness { ", " (hardness) " HB" }
                @if let Some(wall) = spot.wall_left_m { ", wall left " (show(Length::from_si(wall), system)) }
                " (" (entry_words(Some(spot.entry))) ")" }
        }
    }
}

fn margins(view: &Passport, system: System) -> Markup {
    let margins = match &view.margins {
        Some(Ok(margins)) => margins,
        Some(Err(why)) => return html! { p { "No margins can be worked out: " (t(why)) } },
        None => return html! { p { "No drawing is on record." } },
    };
    let top = margins.modes.iter().map(|mode| mode.factor).fold(0.0, f64::max);
    html! {
        p { "Factors on " (show(margins.pressure_pa, system)) ". Thinnest: " strong { (margins.weakest) }
            @if let Some(row) = margins.thinnest() { ", factor " strong { (format!("{:.2}", row.factor)) } } "." }
        @for text in &margins.objections { p.flag { "! " (t(text)) } }
        (mode_table(&margins.modes, top, system))
        @if !margins.contingent.is_empty() {
            h3 { "Only once something else has gone wrong" }
            (mode_table(&margins.contingent, top, system))
        }
        @if let Some(wear) = view.page.assessed.wear.first() {
            p { "Fatigue: " (t(&wear.mode)) " at the " (t(&wear.place)) " has used " (format!("{:.2} %", 100.0 * wear.damage))
                " of its life, the most of any detail (" (t(&wear.basis)) ")." }
        }
    }
}

fn mode_table(modes: &[ModeMargin], top: f64, system: System) -> Markup {
    html! {
        table {
            thead { tr { th { "Mode" } th { "Where" } th.num { "Gives at" } th.num { "Factor" } th { "" } th { "Basis and source" } } }
            tbody { @for mode in modes { tr {
                td.nowrap { (mode.mode) }
                td.nowrap { (t(&mode.place)) }
                td.num { (show(mode.factor_of(), system)) }
                td.num { (format!("{:.2}", mode.factor)) }
                td style="width:24mm" { (bar(mode.factor, top)) }
                td.small { (t(&in_units(&mode.basis, system, false))) ". " span.quiet { (t(&mode.source)) } }
            } } }
        }
    }
}

/// A factor as a bar, one marked.
fn bar(factor: f64, top: f64) -> Markup {
    let share = |value: f64| if top > 0.0 { (value / top * 100.0).clamp(0.0, 100.0) } else { 0.0 };
    html! {
        svg viewBox="0 0 100 10" width="22mm" height="2.2mm" aria-hidden="true" {
            rect x="0" y="1" width=(format!("{:.1}", share(factor))) height="8" fill="#0b3d91" {}
            line x1=(format!("{:.1}", share(1.0))) x2=(format!("{:.1}", share(1.0))) y1="0" y2="10" stroke="#8b0000" stroke-width="2" {}
        }
    }
}

fn struck(line: &EntryLine) -> &'static str {
    if line.struck_by.is_some() { "struck" } else { "" }
}

fn date(line: &EntryLine) -> Markup {
    html! { (if line.entry.entry.date_approximate { "~" } else { "" }) (line.entry.entry.happened_on)
    @if let Some(by) = line.struck_by { br; span.small { "struck by " (by) } } }
}

fn names(line: &EntryLine) -> String {
    let entry = &line.entry.entry;
    entry
        .second
        .as_ref()
        .map_or_else(|| t(&entry.recorded_by), |second| format!("{}, {}", t(&entry.recorded_by), t(second)))
}

fn proof_table(view: &Passport, system: System) -> Markup {
    let serial = &view.page.assessed.serial;
    let design = view.page.assessed.design.as_ref();
    let rows: Vec<_> = view
        .page
        .ledger
        .iter()
        .filter_map(|line| match &line.entry.entry.details {
            Details::Proof(record) if record.casing == *serial => Some((line, record)),
            _ => None,
        })
        .collect();
    html! {
        @if rows.is_empty() { p { "No proof is on record." } } @else {
            table {
                thead { tr { th.num { "Entry" } th { "Date" } th.num { "Pressure" } th { "With" } th { "Growth by" } th { "Judged" } th { "By" } } }
                tbody { @for (line, record) in rows {
                    tr class=(struck(line)) {
                        td.num { (line.entry.number) }
                        td.nowrap { (date(line)) }
                        td.num { (show(record.pressure.value, system)) }
                        td { (record.medium) @if record.bled == Some(true) { ", bled" } @else { ", not said to be bled" } }
                        td { (record.method)
                            @if let (Some(total), Some(set)) = (&record.total_expansion, &record.permanent_expansion) {
                                ": " (format!("{:.1} % permanent", 100.0 * set.si() / total.si()))
                            } }
                        td { @if let Some(design) = design {
                            @let lines = proofs::judge(record, line.entry.entry.second.is_some(), design, &view.rules);
                            @if lines.iter().all(|it| it.met) { "passed, " (lines.len()) " rules met" }
                            @for judged in lines.iter().filter(|it| !it.met) {
                                div { strong { "not met: " } (t(&judged.text)) }
                            }
                        } }
                        td { (names(line)) }
                    }
                } }
            }
        }
    }
}

fn firings(view: &Passport, system: System) -> Markup {
    let serial = &view.page.assessed.serial;
    let rows: Vec<_> = view
        .page
        .ledger
        .iter()
        .filter_map(|line| match &line.entry.entry.details {
            Details::Firing(record) if record.casing == *serial => Some((line, record)),
            _ => None,
        })
        .collect();
    if rows.is_empty() {
        return html! { p { "It has not been fired." } };
    }
    let atmosphere = crate::quantity::STANDARD_ATMOSPHERE_PA;
    let mut number = 0;
    let mut peaks = Vec::new();
    for (line, record) in &rows {
        if line.struck_by.is_none() {
            number += 1;
            if let Some(peak) = &record.peak_pressure {
                peaks.push((number, (peak.si() - atmosphere) * 1e-6));
            }
        }
    }
    let mut levels = Vec::new();
    if let Some(meop) = view.page.assessed.meop_pa {
        levels.push(Level { name: "MEOP".to_owned(), at: meop * 1e-6 });
    }
    if let Some((_, proof, _)) = view.page.assessed.proof {
        levels.push(Level { name: "proved".to_owned(), at: proof * 1e-6 });
    }
    html! {
        @if !peaks.is_empty() {
            figure { (chart::life(&peaks, &levels))
                figcaption { "Peak pressure of every firing, above the atmosphere, against MEOP in force and the last proof." } }
        }
        table {
            thead { tr { th.num { "Entry" } th { "Date" } th { "Mode, load, batch" } th.num { "Peak" } th.num { "Thrust" } th.num { "Impulse" } th { "What was seen" } th { "By" } } }
            tbody { @for (line, record) in &rows {
                tr class=(struck(line)) {
                    td.num { (line.entry.number) }
                    td.nowrap { (date(line)) }
                    td { (record.mode) " " (t(record.load.as_deref().unwrap_or("-"))) " " (t(record.batch.as_deref().unwrap_or(""))) }
                    td.num { (record.peak_pressure.as_ref().map_or_else(|| "-".to_owned(), |peak| pa(peak.si() - atmosphere, system))) }
                    td.num { (opt(&record.peak_thrust, system)) }
                    td.num { (opt(&record.impulse, system)) }
                    td { @if let Some(landing) = record.landing { (landing) " landing. " }
                        (t(record.remark.as_deref().unwrap_or("")))
                        @if let Some(breach) = &record.breach { " " strong { "BREACH: " (t(&breach.reason)) } } }
                    td { (names(line)) }
                }
            } }
        }
        @for breach in &view.page.assessed.breaches {
            p.flag { "! Firing " (breach.number) " (" (entry_words(Some(breach.firing))) ") although the record forbade it: "
                (t(breach.reason.as_deref().unwrap_or("no reason is written"))) "; forbidden by "
                (breach.forbidden_by.iter().map(|it| t(&it.text)).collect::<Vec<_>>().join("; ")) }
        }
    }
}

fn growth(view: &Passport, system: System) -> Markup {
    let all = &view.page.assessed.growth;
    if all.is_empty() {
        return html! { p {
            @if view.page.assessed.has_baseline { "No later reading is on record." } @else { "There is no birth record to hold readings against." }
        } };
    }
    let mut clocks: Vec<Option<f64>> = all.iter().map(|it| it.clock_deg).collect();
    clocks.sort_by(|a, b| a.unwrap_or(-1.0).total_cmp(&b.unwrap_or(-1.0)));
    clocks.dedup();
    let mut stations: Vec<f64> = all.iter().map(|it| it.station_mm).collect();
    stations.sort_by(f64::total_cmp);
    stations.dedup();
    html! {
        table {
            thead { tr { th.num { "Station" } @for clock in &clocks {
                th.num { (clock.map_or_else(|| "round".to_owned(), |clock| format!("{clock:.0} deg"))) } } } }
            tbody { @for station in &stations { tr {
                td.num { (show(Length::mm(*station), system)) }
                @for clock in &clocks {
                    td.num { @if let Some(it) = all.iter().find(|it| it.station_mm == *station && it.clock_deg == *clock) {
                        (show(Length::mm(it.now_mm), system)) " "
                        @if it.noise { span.quiet { "n within noise" } } @else {
                            @let words = format!("{:+.2} %", it.percent);
                            @match degree(it.percent, &view.rules) {
                                Degree::None => span { (words) },
                                Degree::Seen => span { (words) " g" },
                                Degree::Hold => span.grown { (words) " H hold" },
                                Degree::Yielded => span.yielded { (words) " Y yielded" },
                            }
                        }
                    } @else { "not measured" } }
                }
            } } }
        }
        p.small { "Last reading against birth. n: nothing up to " (view.rules.value("growth-noise")) " mm is called growth; g: seen; H: "
            (view.rules.value("growth-hold")) " % and more holds; Y: " (view.rules.value("growth-yield")) " % and more is a yielded wall." }
    }
}

fn judged(view: &Passport, system: System) -> Markup {
    let rows: Vec<&EntryLine> = view
        .page
        .ledger
        .iter()
        .filter(|line| matches!(line.entry.entry.details, Details::Finding(_) | Details::Disposition(_)))
        .collect();
    html! {
        @if rows.is_empty() { p { "Nothing was found and nothing decided." } } @else {
            table {
                thead { tr { th.num { "Entry" } th { "Date" } th { "What" } th { "By" } } }
                tbody { @for line in rows { tr class=(struck(line)) {
                    td.num { (line.entry.number) }
                    td.nowrap { (date(line)) }
                    td { (t(&said_of(line, system))) }
                    td { (names(line)) }
                } } }
            }
        }
    }
}

fn parts(view: &Passport, system: System) -> Markup {
    html! {
        @if view.page.assessed.parts.is_empty() { p { "No part is fitted." } } @else {
            table {
                thead { tr { th { "Position" } th { "Part" } th.num { "Firings, in every casing" } th.num { "Proofs" } th.num { "Left" } th.num { "Throat" } } }
                tbody { @for part in &view.page.assessed.parts { tr {
                    td { (part.position) }
                    td { (t(&part.part)) }
                    td.num { (part.firings) }
                    td.num { (part.proofs) }
                    td.num { (part.left().map_or_else(|| "-".to_owned(), |left| left.to_string())) }
                    td.num { (part.throat_m.map_or_else(|| "-".to_owned(), |throat| show(Length::from_si(throat), system))) }
                } } }
            }
        }
    }
}

fn picture(photo: &Picture, system: System) -> Markup {
    let place = photo.record.station.as_ref().map_or_else(String::new, |station| {
        let clock = photo.record.clock_deg.map_or_else(String::new, |clock| format!(" at {clock:.0} deg"));
        format!(", station {}{clock}", show(station.value, system))
    });
    html! {
        figure {
            @if let Some((media, bytes)) = &photo.carried {
                img alt=(t(&photo.record.caption)) style="max-height:90mm"
                    src=(format!("data:{media};base64,{}", base64::engine::general_purpose::STANDARD.encode(bytes)));
            }
            figcaption { "Entry " (photo.number) " of " (photo.on) ": " (t(&photo.record.caption)) (place) ". File "
                (t(&photo.record.path)) " " (photo.state.words())
                @if photo.carried.is_none() && photo.state == crate::desk::paper::PhotoState::AsLogged {
                    "; not shown here: no PNG or JPEG, or too large"
                }
                ". SHA-256 " span.mono { (t(&photo.record.sha256)) }
                @if let Some(by) = photo.struck_by { " Struck by entry " (by) "." } }
        }
    }
}

fn ledger(view: &Passport, system: System) -> Markup {
    let readings = |line: &EntryLine| {
        match &line.entry.entry.details {
            Details::Strip(record) => Some(&record.readings),
            Details::Proof(record) => Some(&record.readings),
            _ => None,
        }
        .map(|all| all.iter().filter(|it| it.what == What::OutsideDiameter && it.value.is_none()).count())
    };
    html! {
        table.small {
            thead { tr { th.num { "No." } th { "Date" } th { "Kind" } th { "What" } th { "By" } th { "Seal" } } }
            tbody { @for line in &view.page.ledger { tr class=(struck(line)) {
                td.num.nowrap { (line.entry.number) " " span.mono { (line.entry.id.mark()) } }
                td.nowrap { (date(line)) }
                td.nowrap { (line.entry.kind()) }
                td { (t(&said_of(line, system)))
                    @if let Some(open @ 1..) = readings(line) { " (" (open) " diameters not measured)" } }
                td { (names(line)) }
                td.mono.nowrap { (line.entry.seal.get(..12).unwrap_or(&line.entry.seal)) }
            } } }
        }
    }
}

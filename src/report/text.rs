//! Views as plain text for a terminal or a file. Words from the book are cleaned of control characters.

use std::fmt::Write as _;

use crate::book::Standing;
use crate::desk::Planned;
use crate::desk::view::{CasingPage, Rack, belongs, said_of};
use crate::desk::what_if::kept_by;
use crate::desk::who::{Answer, Candidate, forbids_every_casing};
use crate::quantity::{GaugePressure, Length, Quantity, System, show};
use crate::standing::distances;
use crate::standing::in_units::in_units;
use crate::standing::{Checklist, ItemState, Reason, RuleSet, rules};
use crate::strength::change::Change;
use crate::strength::{Margins, Mode};

/// Text that may have come from a stranger's book: no control characters, no marks that turn text around.
pub fn clean(text: &str) -> String {
    text.chars()
        .filter_map(|c| match c {
            '\n' | '\t' => Some(' '),
            c if unseen(c) => None,
            c => Some(c),
        })
        .collect()
}

/// Whether nobody sees it and a terminal may act on it: control characters, marks that turn, join or hide text.
pub fn unseen(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

/// The same for a text of several lines.
pub fn clean_lines(text: &str) -> String {
    text.lines().map(clean).collect::<Vec<_>>().join("\n")
}

fn day_line(day: chrono::NaiveDate, fixed: bool) -> String {
    if fixed { format!("as of {day} (fixed by this demo book)") } else { format!("as of {day}") }
}

fn reason_lines(out: &mut String, reason: &Reason, indent: &str) {
    let _ = writeln!(out, "{indent}{} {}", reason.standing.sign(), clean(&reason.text));
    let entry =
        reason.entry.map_or_else(String::new, |entry| format!(", entry {} of {}", entry.number, entry.on));
    let _ = writeln!(
        out,
        "{indent}  value {}; limit {}; rule {}{entry}",
        clean(&reason.value),
        clean(&reason.limit),
        reason.rule
    );
    let _ = writeln!(out, "{indent}  source: {}", clean(&reason.source));
    if !reason.next.is_empty() {
        let _ = writeln!(out, "{indent}  next: {}", clean(&reason.next));
    }
}

/// The rack.
pub fn rack(rack: &Rack) -> String {
    let mut out = format!("rack {}\n", day_line(rack.day, rack.fixed));
    if let Some(last) = rack.dated_ahead {
        let _ = writeln!(
            out,
            "! something on record is dated {last}, which has not come yet: is this computer's clock right?"
        );
    }
    if rack.casings.is_empty() {
        out.push_str("no casing is on record. Register one: proofmark log casing --help\n");
        return out;
    }
    let serials = rack.casings.iter().map(|line| line.row.serial.chars().count()).max().unwrap_or(6).max(6);
    let names = rack
        .casings
        .iter()
        .filter_map(|line| line.row.name.as_ref())
        .map(|name| name.chars().count())
        .max()
        .unwrap_or(4)
        .clamp(4, 20);
    let _ = writeln!(
        out,
        "  {:11} {:serials$} {:names$} {:>7}  {:16} {:>6}  next due",
        "standing", "serial", "name", "firings", "thinnest mode", "factor"
    );
    for line in rack.by_need() {
        let row = &line.row;
        let due = match (row.standing, row.due_on, row.firings_left) {
            (Standing::Retired, _, _) => "-".to_owned(),
            (_, Some(on), Some(left)) => format!("{on}, {} left", crate::quantity::counted(left, "firing")),
            (_, Some(on), None) => on.to_string(),
            (_, None, Some(left)) => format!("{} left", crate::quantity::counted(left, "firing")),
            _ => "-".to_owned(),
        };
        let _ = writeln!(
            out,
            "{} {:11} {:serials$} {:names$} {:>7}  {:16} {:>6}  {due}",
            row.standing.sign(),
            row.standing,
            clean(&row.serial),
            clean(row.name.as_deref().unwrap_or("")),
            row.firings,
            row.weakest.as_deref().unwrap_or("-"),
            row.factor.map_or_else(|| "-".to_owned(), |factor| format!("{factor:.2}")),
        );
        for flag in &line.flags {
            let _ = writeln!(out, "      ! {}", clean(flag));
        }
        for reason in line.reasons.iter().filter(|it| it.standing != Standing::InService).take(3) {
            let _ = writeln!(out, "      {}", clean(&reason.text));
        }
    }
    out.push_str("\nThe best this book says is that nothing on record forbids a firing. proofmark show SERIAL tells why.\n");
    out
}

/// One casing.
pub fn casing(page: &CasingPage, system: System) -> String {
    let assessed = &page.assessed;
    let mut out = format!(
        "{} {}: {} {}\n{}\n",
        clean(&assessed.serial),
        clean(assessed.name.as_deref().unwrap_or("")),
        page.standing.sign(),
        page.standing,
        day_line(page.day, page.fixed)
    );
    for flag in &assessed.flags {
        let _ = writeln!(out, "! {}", clean(flag));
    }
    let _ = writeln!(out, "\nwhy");
    for reason in assessed.reasons_on(page.day) {
        reason_lines(&mut out, reason, "  ");
    }
    if let (Some((mode, yields)), Some(meop)) = (&assessed.weakest, assessed.meop_pa) {
        let _ = writeln!(
            out,
            "\nMEOP {}; thinnest mode {mode}, yields at {}",
            show(GaugePressure::from_si(meop), system),
            show(GaugePressure::from_si(*yields), system)
        );
    }
    let _ = writeln!(
        out,
        "{}, {}",
        crate::quantity::counted(assessed.firings, "firing"),
        crate::quantity::counted(assessed.proofs, "proof")
    );
    if let Some(wear) = assessed.wear.first() {
        let _ = writeln!(
            out,
            "fatigue: {} at the {} has used {:.2} % of its life, the most of any detail ({})",
            wear.mode,
            clean(&wear.place),
            100.0 * wear.damage,
            wear.basis
        );
    }
    if !assessed.parts.is_empty() {
        let _ = writeln!(out, "\nparts");
        for part in &assessed.parts {
            let left = part.left().map_or_else(String::new, |left| format!(", {left} left"));
            let throat = part.throat_m.map_or_else(String::new, |throat| {
                format!(", throat {}", show(Length::from_si(throat), system))
            });
            let _ = writeln!(
                out,
                "  {:16} {:8} {}{left}{throat}",
                part.position,
                clean(&part.part),
                crate::quantity::counted(part.firings, "firing")
            );
        }
    }
    if !assessed.growth.is_empty() {
        let _ = writeln!(out, "\ngrowth against birth");
        for growth in &assessed.growth {
            let clock =
                growth.clock_deg.map_or_else(|| "round".to_owned(), |clock| format!("{clock:.0} deg"));
            let word =
                if growth.noise { "within noise".to_owned() } else { format!("{:+.2} %", growth.percent) };
            let _ = writeln!(
                out,
                "  station {:>8}  {clock:>8}  {} to {}  {word}",
                show(Length::from_si(growth.station_mm * 1e-3), system),
                show(Length::from_si(growth.birth_mm * 1e-3), system),
                show(Length::from_si(growth.now_mm * 1e-3), system),
            );
        }
    }
    if !assessed.breaches.is_empty() {
        let _ = writeln!(out, "\nfired although the record forbade it");
        for breach in &assessed.breaches {
            let _ = writeln!(
                out,
                "  firing {} of {} (entry {}): {}",
                breach.number,
                breach.firing.on,
                breach.firing.number,
                clean(breach.reason.as_deref().unwrap_or("no reason is written"))
            );
            for reason in &breach.forbidden_by {
                let _ = writeln!(out, "    forbidden by {}: {}", reason.rule, clean(&reason.text));
            }
        }
    }
    let _ = writeln!(out, "\nledger");
    for line in &page.ledger {
        let it = &line.entry;
        let mut struck = line.struck_by.map_or_else(String::new, |by| format!(" [struck by entry {by}]"));
        if let Some(other) = line.differs_from {
            let _ = write!(struck, " [differs from entry {other}, written on another laptop]");
        }
        let second =
            it.entry.second.as_ref().map_or_else(String::new, |second| format!(" with {}", clean(second)));
        let _ = writeln!(
            out,
            "  {:>5} {}{} {:11} {}{struck} ({}{second})",
            it.number,
            it.entry.happened_on,
            if it.entry.date_approximate { "~" } else { " " },
            it.kind(),
            clean(&belongs(page, line).map_or_else(String::new, |of| format!("{of}: ")))
                + &clean(&said_of(line, system)),
            clean(&it.entry.recorded_by),
        );
    }
    out
}

/// Which casings may take one load.
pub fn candidates(
    planned: Planned<'_>,
    day: chrono::NaiveDate,
    found: &[Candidate],
    system: System,
) -> String {
    let found: Vec<Candidate> = found
        .iter()
        .map(|it| Candidate { row: it.row.clone(), checklist: it.checklist.clone().shown(system) })
        .collect();
    // What is about the load is said once, not of every casing.
    let of_all = forbids_every_casing(&found);
    let (load, mode) = (clean(planned.load), planned.mode);
    let free = found.iter().filter(|it| it.answer() == Answer::NothingForbids).count();
    let mut out = match found.len() {
        0 => format!("on {day} with {load} ({mode}): no casing that is not retired is on record\n"),
        all => format!("on {day} with {load} ({mode}): nothing on record forbids {free} of {all}\n"),
    };
    for words in &of_all {
        let _ = writeln!(out, "x {}", clean(words));
    }
    for it in &found {
        let answer = it.answer();
        let mut why: Vec<&str> = it.why().into_iter().filter(|words| !of_all.contains(words)).collect();
        if answer == Answer::Forbidden && why.is_empty() {
            why.push("for what is said above");
        }
        let name = it.row.name.as_deref().map_or_else(String::new, |name| format!(" {}", clean(name)));
        let first = why.first().map_or_else(String::new, |words| format!(": {}", clean(words)));
        let sign = answer.sign(it.warns());
        let _ = writeln!(out, "{sign} {:15} {}{name}{first}", answer.word(), clean(&it.row.serial));
        for words in why.iter().skip(1) {
            let _ = writeln!(out, "      also: {}", clean(words));
        }
    }
    if free > 0 {
        out.push_str(
            "a pre-fire of that casing comes before any firing: proofmark prefire SERIAL --load NAME\n",
        );
    }
    out
}

/// A pre-fire checklist.
pub fn checklist(serial: &str, load: &str, mode: &str, day: chrono::NaiveDate, list: &Checklist) -> String {
    let mut out = format!("{} with {} ({mode}) on {day}: {}\n", clean(serial), clean(load), list.verdict());
    if let Some((_, text)) = &list.standoff {
        let _ = writeln!(out, "{text}");
    }
    let mark = |state: ItemState| match state {
        ItemState::Forbids | ItemState::NotInOrder => "x",
        ItemState::Warns => "~",
        ItemState::InOrder | ItemState::Attested => "=",
        ItemState::ToAttest => " ",
    };
    for by in ["record", "person"] {
        let _ = writeln!(out, "\n{}", if by == "record" { "the record decides" } else { "a person attests" });
        let mut items: Vec<_> = list.items.iter().filter(|item| item.decided_by == by).collect();
        if by == "record" {
            items.sort_by_key(|item| item.state != ItemState::Forbids);
        }
        for item in items {
            let second = if item.second { " [second person]" } else { "" };
            let _ = writeln!(
                out,
                "  {} {:3} {:11} {}{second}",
                mark(item.state),
                item.hold,
                item.state,
                clean(&item.text)
            );
            if matches!(item.state, ItemState::Forbids | ItemState::Warns) {
                let entry = item
                    .entry
                    .map_or_else(String::new, |entry| format!(", entry {} of {}", entry.number, entry.on));
                let _ = writeln!(
                    out,
                    "        value {}; limit {}; rule {}{entry}; source: {}",
                    clean(item.value.as_deref().unwrap_or("-")),
                    clean(item.limit.as_deref().unwrap_or("-")),
                    item.rule.as_deref().unwrap_or("-"),
                    clean(item.source.as_deref().unwrap_or("-")),
                );
            }
        }
    }
    out
}

/// Margins, weakest first, with bars to a common scale.
pub fn margins(title: &str, margins: &Margins, system: System) -> String {
    let mut out = format!(
        "{}: at {} (MEOP {})\n",
        clean(title),
        show(margins.pressure_pa, system),
        show(margins.meop_pa, system)
    );
    for text in margins.objections.iter() {
        let _ = writeln!(out, "! {}", clean(&in_units(text, system, false)));
    }
    for text in margins.assumed.iter() {
        let _ = writeln!(out, "assumed: {}", clean(&in_units(text, system, false)));
    }
    let top = margins.modes.iter().map(|mode| mode.yield_pressure_pa.si()).fold(0.0, f64::max);
    for mode in &margins.modes {
        let share = if top > 0.0 { mode.yield_pressure_pa.si() / top } else { 0.0 };
        let bar = "#".repeat((share * 20.0).round().clamp(1.0, 20.0) as usize);
        let _ = writeln!(
            out,
            "  {:16} {:12} {:6} {:>10}  factor {:5.2}  {bar}",
            mode.mode,
            clean(&mode.place),
            if mode.mode == Mode::TubeBurst { "bursts" } else { "yields" },
            show(mode.factor_of(), system),
            mode.factor,
        );
        let _ = writeln!(out, "      basis: {}", clean(&in_units(&mode.basis, system, false)));
        let _ = writeln!(out, "      source: {}", clean(&mode.source));
    }
    out
}

/// What follows from margins: what was supposed, the MEOP that may be kept, the dimension worth changing.
pub fn margin_advice(
    margins: &Margins,
    before: Option<&Margins>,
    meop_kept: Option<GaugePressure>,
    proved: bool,
    changes: &[Change],
    system: System,
) -> String {
    let mut out = String::new();
    if let (Some(before), Some(now)) = (before.and_then(Margins::thinnest), margins.thinnest()) {
        let _ = writeln!(
            out,
            "\nwhat if: the thinnest was {} at {}, factor {:.2}; it would be {} ({}) at {}, factor {:.2}. Nothing was written",
            before.mode,
            show(before.yield_pressure_pa, system),
            before.factor,
            now.mode,
            clean(&now.place),
            show(now.yield_pressure_pa, system),
            now.factor,
        );
    }
    if let Some(kept) = meop_kept {
        let _ = writeln!(
            out,
            "\nhighest MEOP that {}: {} (MEOP now {}). It is no permission: the owner's MEOP and its own proof decide",
            kept_by(proved),
            show(kept, system),
            show(margins.meop_pa, system)
        );
    }
    let _ = writeln!(out, "\nwhich dimension to change");
    let helpful: Vec<&Change> = changes.iter().filter(|change| change.gain > 1e-6).take(6).collect();
    if helpful.is_empty() {
        let _ = writeln!(out, "  none of its dimensions alone makes the thinnest mode stronger");
    }
    for change in helpful {
        let _ = writeln!(
            out,
            "  {:24} {} to {}: thinnest {} at {} ({:+.1} %)",
            change.field,
            in_units(&change.from, system, true),
            in_units(&change.to, system, true),
            change.weakest_after,
            show(change.yield_pressure_after_pa, system),
            100.0 * change.gain,
        );
    }
    out
}

/// Every rule.
pub fn rules(set: &RuleSet, system: System) -> String {
    let mut out = String::new();
    let ours = |words: &str| in_units(words, system, true);
    for rule in rules::DEFAULTS {
        let changed = if set.changed(rule.id).is_some() { " (changed by the club)" } else { "" };
        let _ = writeln!(out, "{:28} {}{changed}", rule.id, set.says_in(rule.id, system));
        let _ = writeln!(out, "{:28} {}", "", clean(&set.source(rule.id)));
        if !set.history(rule.id).is_empty() {
            let first = ours(&rules::with_unit(rule.value, rule.unit));
            let _ = writeln!(out, "{:28} at first {first}; {}", "", rule.source);
        }
        if rule.id == "standoff-metal" {
            for table in distances::tables() {
                let _ = writeln!(out, "{:28} table: {table}", "");
            }
        }
        for disputed in set.disputed().filter(|it| it.conflict.about == rule.id) {
            let _ = writeln!(out, "{:28} {}", "", clean(&disputed.sentence()));
        }
        for change in set.history(rule.id) {
            let _ = writeln!(
                out,
                "{:28} {} {} by {}, entry {}: {}",
                "",
                change.entry.on,
                ours(&rules::with_unit(change.value, rule.unit)),
                clean(&change.by),
                change.entry.number,
                clean(&change.reason)
            );
        }
    }
    out
}

/// Readings put aside that are told one by one.
const ASIDE: usize = 8;

/// A reduced trace, from its JSON: the answer first, then what it rests on.
pub fn trace(title: &str, value: &serde_json::Value) -> String {
    let mut out = format!("{}\n", clean(title));
    let number = |key: &str| value.get(key).and_then(serde_json::Value::as_f64);
    let word = |key: &str| value.get(key).and_then(serde_json::Value::as_str).unwrap_or("");
    let mut row = |label: &str, text: String| {
        let _ = writeln!(out, "  {label:22} {text}");
    };
    if let Some(peak) = number("peak_thrust_n") {
        let bound = if value["peak_is_lower_bound"] == true { "at least " } else { "" };
        let cut = if value["peak_cut_off"].is_string() { "at least " } else { "" };
        row("class", format!("{cut}{} ({} of its band)", word("designation"), share(value)));
        row(
            "peak thrust",
            format!("{bound}{} N, at {} s", short(peak), short(number("peak_at_s").unwrap_or(0.0))),
        );
        for (key, label) in [("peak_cut_off", "  not known"), ("peak_if_real", "  if it was real")] {
            if !word(key).is_empty() {
                row(label, clean(word(key)));
            }
        }
        for (key, label) in [("peak_thrust_filtered_n", "  filtered"), ("mean_thrust_n", "mean thrust")] {
            number(key).into_iter().for_each(|it| row(label, format!("{cut}{} N", short(it))));
        }
        number("impulse_ns").into_iter().for_each(|it| row("impulse", format!("{cut}{} N·s", short(it))));
        number("tare_n")
            .into_iter()
            .for_each(|it| row("tare", format!("{} N, {}", short(it), word("tare_basis"))));
    }
    if let Some(peak) = number("peak_thrust_v") {
        row("peak", format!("{} V, not calibrated", short(peak)));
    }
    let bound = if value["peak_pressure_is_lower_bound"] == true { "at least " } else { "" };
    number("peak_pressure_pa")
        .into_iter()
        .for_each(|it| row("peak pressure", format!("{bound}{} MPa gauge", short(it * 1e-6))));
    for (key, label) in
        [("peak_pressure_cut_off", "  not known"), ("peak_pressure_if_real", "  if it was real")]
    {
        if !word(key).is_empty() {
            row(label, clean(word(key)));
        }
    }
    for (from, to, time, label) in [
        ("burn_start_s", "burn_end_s", "burn_time_s", "burn time"),
        ("pressure_burn_start_s", "pressure_burn_end_s", "", "by pressure"),
    ] {
        if let (Some(from), Some(to)) = (number(from), number(to)) {
            let time = number(time).unwrap_or(to - from);
            let share = 100.0 * number("threshold").unwrap_or(0.05);
            row(
                label,
                format!("{} s, from {} to {} s at {} %", short(time), short(from), short(to), short(share)),
            );
        }
    }
    number("action_time_s")
        .into_iter()
        .for_each(|it| row("action time", format!("{} s, at 10 %", short(it))));
    row(
        "samples",
        format!(
            "{}, one every {} s",
            value["samples"].as_u64().unwrap_or(0),
            short(number("sample_interval_s").unwrap_or(0.0))
        ),
    );
    let list = |key: &str| value[key].as_array().cloned().unwrap_or_default();
    for (at, phase) in list("phases").iter().enumerate() {
        let of = |key: &str| short(phase[key].as_f64().unwrap_or(0.0));
        row(
            if at == 0 { "phases" } else { "" },
            format!("{} to {} s, mean {} N", of("from_s"), of("to_s"), of("mean_n")),
        );
    }
    for gone in list("rejected") {
        row("put aside", format!("{}: {}", gone["count"], clean(gone["reason"].as_str().unwrap_or(""))));
    }
    for (channel, key) in [("thrust", "thrust_put_aside"), ("pressure", "pressure_put_aside")] {
        let gone = list(key);
        for it in gone.iter().take(ASIDE) {
            row("", format!("{channel} {}", clean(it["says"].as_str().unwrap_or(""))));
        }
        if gone.len() > ASIDE {
            row("", format!("and {} more of {channel}: --json", gone.len() - ASIDE));
        }
    }
    for (at, finding) in list("findings").iter().enumerate() {
        let of = |key: &str| clean(finding[key].as_str().unwrap_or(""));
        row(
            if at == 0 { "worth a look" } else { "" },
            format!(
                "{} at {} s: {}",
                of("pattern"),
                short(finding["at_s"].as_f64().unwrap_or(0.0)),
                of("evidence")
            ),
        );
        row("", format!("against: {}", of("evidence_against")));
        row("", format!("look next: {}", of("look_next")));
    }
    out.push_str(
        "  Definitions, uncertainty and both thresholds: --json. Findings are suggestions, never verdicts.\n",
    );
    out
}

fn share(value: &serde_json::Value) -> String {
    value["class_range"]["percent_of_class"]
        .as_f64()
        .map_or_else(|| "-".to_owned(), |it| format!("{it:.0} %"))
}

/// Five significant figures at most.
pub(super) fn short(number: f64) -> String {
    if number == 0.0 || !number.is_finite() {
        return "0".to_owned();
    }
    let whole = number.abs().log10().floor() as i32;
    let text = format!("{number:.*}", usize::try_from(4 - whole).unwrap_or(0).min(6));
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

//! A growth map as JSON and text.

use std::fmt::Write as _;

use chrono::NaiveDate;
use serde_json::{Value, json};

use super::json::SCHEMA;
use super::text::clean;
use crate::quantity::{Length, System, show};
use crate::standing::RuleSet;
use crate::standing::growth_map::{Cell, GrowthMap, Letter, TrendPoint};
use crate::standing::in_units::in_units;

/// The rules the letters stand for.
const RULES: &[&str] = &["growth-noise", "growth-noise-gauge", "growth-hold", "growth-yield"];

/// As JSON.
pub fn as_json(map: &GrowthMap, day: NaiveDate, rules: &RuleSet) -> Value {
    json!({
        "schema": SCHEMA,
        "as_of": day.to_string(),
        "casing": map.serial,
        "noise_m": map.noise_mm * 1e-3,
        "gauge": map.gauge,
        "hold_percent": rules.value("growth-hold"),
        "yield_percent": rules.value("growth-yield"),
        "weld_zone_m": map.weld_zone_mm.map(|mm| mm * 1e-3),
        "worst": map.worst.as_ref().map(|it| json!({
            "station_m": it.station_mm * 1e-3, "clock_deg": it.clock_deg, "grown_m": it.grown_mm() * 1e-3,
            "percent": it.percent, "entry": it.entry.number,
        })),
        "taper": map.taper.map(|(now, born)| json!({"now_m_per_m": now * 1e-2, "birth_m_per_m": born * 1e-2})),
        "clocks_deg": map.clocks,
        "stations": map.rows.iter().map(|row| json!({
            "station_m": row.station_mm * 1e-3,
            "from_weld_m": row.weld_mm.map(|mm| mm * 1e-3),
            "spots": row.spots,
            "ovality_percent": row.ovality_percent,
            "read_differently": row.apart.iter().map(|it| json!({
                "on": it.on.to_string(), "entry": it.entry.number, "clock_deg": it.clock_deg, "grown_m": it.grown_mm * 1e-3,
            })).collect::<Vec<_>>(),
            "cells": map.clocks.iter().zip(&row.cells).filter_map(|(clock, cell)| cell.as_ref().map(|cell| json!({
                "clock_deg": clock,
                "letter": cell.letter.sign().to_string(),
                "means": cell.letter.means(),
                "birth_m": cell.birth_mm.map(|mm| mm * 1e-3),
                "now_m": cell.growth.as_ref().map(|it| it.now_mm * 1e-3),
                "grown_m": cell.growth.as_ref().map(|it| it.grown_mm() * 1e-3),
                "percent": cell.growth.as_ref().map(|it| it.percent),
                "entry": cell.growth.as_ref().map(|it| it.entry.number),
                "spot": cell.spot,
            }))).collect::<Vec<_>>(),
            "trend": row.trend.iter().map(|it| json!({
                "on": it.on.to_string(), "entry": it.entry.number, "clock_deg": it.clock_deg,
                "grown_m": it.grown_mm * 1e-3, "percent": it.percent, "noise": it.noise,
            })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
    })
}

/// A growth as a number with its sign, without its unit: millimetres or inches, fine enough for either gauge.
pub fn grown(mm: f64, system: System) -> String {
    match system {
        System::Si => format!("{mm:+.2}"),
        System::Us => format!("{:+.4}", mm / MM_PER_IN),
    }
}

/// The day of a point of the trend and its growth, or that there is none to be seen.
pub fn point(point: &TrendPoint, system: System) -> String {
    let said = if point.noise { "=".to_owned() } else { grown(point.grown_mm, system) };
    format!("{} {said}", point.on)
}

/// The unit of [`grown`].
pub const fn unit(system: System) -> &'static str {
    match system {
        System::Si => "mm",
        System::Us => "in",
    }
}

/// Taper now and at birth, of diameter over length: a hundred millimetres, or a foot as lathes and gauges have it.
pub fn taper((now, born): (f64, f64), system: System) -> String {
    match system {
        System::Si => format!("{now:+.3} mm a 100 mm, {born:+.3} at birth"),
        System::Us => format!("{:+.4} in a foot, {:+.4} at birth", now * 0.12, born * 0.12),
    }
}

const MM_PER_IN: f64 = 25.4;

/// A soft or thin place: somebody's words for where it is, then what was measured there.
pub fn spot(words: &str, system: System) -> String {
    let (place, measured) = words.split_at(words.rfind(" (").unwrap_or(words.len()));
    format!("{place}{}", in_units(measured, system, true))
}

/// A cell as a map shows it: its letter, its growth, a mark where a spot is.
pub fn cell(cell: &Cell, system: System) -> String {
    let grew = match (&cell.growth, cell.letter) {
        (Some(_), Letter::Noise) | (None, _) => String::new(),
        (Some(growth), _) => grown(growth.grown_mm(), system),
    };
    format!("{}{grew}{}", cell.letter.sign(), if cell.spot { "*" } else { "" })
}

/// A clock angle over its column.
pub fn clock(clock: Option<f64>) -> String {
    clock.map_or_else(|| "round".to_owned(), |clock| format!("{clock:.0} deg"))
}

/// As text for a terminal or a sheet of paper.
pub fn as_text(map: &GrowthMap, day: NaiveDate, rules: &RuleSet, system: System) -> String {
    let mut out = format!(
        "growth of {} as of {day}, {} of diameter against birth\n",
        clean(&map.serial),
        match system {
            System::Si => "millimetres",
            System::Us => "inches",
        }
    );
    let ours = |words: &str| in_units(words, system, true);
    match &map.worst {
        Some(worst) => {
            let _ = writeln!(
                out,
                "most: {} {} ({:.2} %) at station {} / {}, entry {}",
                grown(worst.grown_mm(), system),
                unit(system),
                worst.percent,
                show(Length::mm(worst.station_mm), system),
                clock(worst.clock_deg),
                worst.entry.number
            );
        }
        None => out.push_str("nothing has grown that a gauge could see\n"),
    }
    let _ = write!(out, "\n{:>10}  ", "station");
    for angle in &map.clocks {
        let _ = write!(out, "{:>9}", clock(*angle));
    }
    let _ = writeln!(out, "   round   zone");
    for row in &map.rows {
        let _ = write!(out, "{:>10}  ", show(Length::mm(row.station_mm), system));
        for it in &row.cells {
            let _ = write!(out, "{:>9}", it.as_ref().map_or_else(String::new, |it| cell(it, system)));
        }
        let ovality = row.ovality_percent.map_or_else(String::new, |it| format!("{it:.2} %"));
        let weld =
            row.weld_mm.map_or_else(String::new, |mm| ours(&format!("weld zone, {mm:.0} mm from the weld")));
        let _ = writeln!(
            out,
            "  {ovality:>6}   {weld}{}",
            clean(&row.spots.iter().map(|it| spot(it, system)).collect::<Vec<_>>().join("; "))
        );
    }
    let _ = writeln!(out);
    for letter in Letter::ALL {
        let _ = writeln!(out, "  {} {}", letter.sign(), letter.means());
    }
    out.push_str("  * a soft or thin place on record\n");
    for row in &map.rows {
        let apart = &row.apart;
        if let Some(first) = apart.first() {
            let sides: Vec<String> = apart
                .iter()
                .map(|it| ours(&format!("{:+.3} mm (entry {})", it.grown_mm, it.entry.number)))
                .collect();
            let _ = writeln!(
                out,
                "station {} was read differently on {}: {}. Both are kept.",
                show(Length::mm(row.station_mm), system),
                first.on,
                sides.join(" | ")
            );
        }
    }
    if let Some(found) = map.taper {
        let _ = writeln!(out, "taper {}", taper(found, system));
    }
    let gauge = map.gauge.as_ref().map_or_else(String::new, |mark| format!(" with {}", clean(mark)));
    let _ = writeln!(
        out,
        "last readings{gauge}: nothing up to {} is called growth",
        ours(&format!("{:.3} mm", map.noise_mm))
    );
    for rule in RULES {
        let _ = writeln!(out, "  {} ({})", rules.says_in(rule, system), rules.source(rule));
    }
    let over_time: Vec<_> = map.rows.iter().filter(|row| row.trend.len() > 1).collect();
    if !over_time.is_empty() {
        out.push_str("\nover time, the angle that grew most\n");
    }
    for row in over_time {
        let points: Vec<String> = row.trend.iter().map(|it| point(it, system)).collect();
        let _ = writeln!(out, "{:>10}  {}", show(Length::mm(row.station_mm), system), points.join(", "));
    }
    out
}

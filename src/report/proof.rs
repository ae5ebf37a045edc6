//! A proof plan as JSON and text.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::json::SCHEMA;
use super::text::clean;
use crate::book::cautions;
use crate::quantity::{GaugePressure, Quantity, System, Volume, show};
use crate::standing::in_units::in_units;
use crate::standing::proof_plan::{ProofPlan, RIG, growth_words};

/// As JSON.
pub fn as_json(plan: &ProofPlan) -> Value {
    json!({
        "schema": SCHEMA,
        "as_of": plan.day.to_string(),
        "casing": plan.serial,
        "medium": "water",
        "meop_pa": plan.meop_pa,
        "pressure_pa": plan.pressure_pa,
        "pressure_from": plan.pressure_from,
        "objection": plan.objection.as_ref().map(|it| json!({
            "mode": it.mode.word(), "where": it.place, "yield_pressure_pa": it.yield_pressure_pa.si(),
            "fraction": it.fraction, "highest_proof_pa": it.highest_proof_pa.si(), "cap": it.cap,
        })),
        "cautions": plan.cautions,
        "hold_s": plan.hold_s,
        "method": plan.method.word(),
        "method_why": plan.method_why,
        "water": plan.water.as_ref().map(|it| json!({
            "inside_m3": it.volume_m3.si(),
            "bore_growth_m3": it.growth_thick_m3.si(),
            "compression_m3": it.water_compression_m3.si(),
            "to_pump_in_m3": it.growth_thick_m3.si() + it.water_compression_m3.si(),
            "compressibility_per_pa": plan.beta_per_pa,
        })),
        "stations": plan.stations.iter().map(|it| json!({
            "station_m": it.station_mm * 1e-3, "clock_deg": it.clock_deg, "birth_m": it.birth_mm * 1e-3, "note": it.note,
        })).collect::<Vec<_>>(),
        "steps": plan.steps.iter().enumerate().map(|(at, it)| json!({
            "step": at + 1, "pressure_pa": it.pressure_pa, "share": it.share, "what": it.what, "people_away": it.away,
            "od_growth_m": it.growth_mm.map(|mm| mm * 1e-3),
            "stations": plan.stations.iter().map(|station| json!({
                "station_m": station.station_mm * 1e-3, "clock_deg": station.clock_deg,
                "od_growth_m": it.growth_mm.map(|mm| mm * 1e-3),
            })).collect::<Vec<_>>(),
            "water_to_pump_in_m3": it.water_m3,
        })).collect::<Vec<_>>(),
        "dial_repeatability_m": plan.dial_mm * 1e-3,
        "stop_past_percent": plan.stop_percent,
        "rig": RIG.iter().map(|(id, words)| json!({"id": id, "text": words})).collect::<Vec<_>>(),
        "next_due": {"on": plan.good_until.map(|day| day.to_string()), "firings": plan.good_for_firings},
    })
}

/// As text for a terminal or a sheet of paper.
pub fn as_text(plan: &ProofPlan, system: System) -> String {
    let pressure = |pa: f64| show(GaugePressure::from_si(pa), system);
    let mut out = format!(
        "proof of {} at {}, planned for {}\n",
        clean(&plan.serial),
        pressure(plan.pressure_pa),
        plan.day
    );
    let _ = writeln!(out, "MEOP {}; {}", pressure(plan.meop_pa), clean(&plan.pressure_from));
    if let Some(objection) = &plan.objection {
        let _ = writeln!(out, "!! {objection}");
    }
    for caution in &plan.cautions {
        let _ = writeln!(out, "!! {}", clean(caution));
    }
    let _ = writeln!(out, "\nbefore pumping");
    for line in cautions::BEFORE_A_PROOF {
        let _ = writeln!(out, "  ! {line}");
    }
    for (_, words) in RIG {
        let _ = writeln!(out, "  [ ] {words}");
    }
    let _ = writeln!(out, "\nstep  pressure               share   OD growth     water in  strokes  read");
    for (at, step) in plan.steps.iter().enumerate() {
        let growth = step.growth_mm.map_or_else(|| "-".to_owned(), |mm| growth_words(mm, system));
        let water = step.water_m3.map_or_else(|| "-".to_owned(), |m3| show(Volume::from_si(m3), system));
        let _ = writeln!(
            out,
            "{:>4}  {:<21} {:>5.0} %  {growth:>10}  {water:>11}  _______  {}{}",
            at + 1,
            pressure(step.pressure_pa),
            100.0 * step.share,
            step.what,
            if step.away { ", nobody near" } else { "" },
        );
    }
    let _ = writeln!(
        out,
        "hold {:.0} s, back to MEOP for a close look, then to nothing; diameters after ten minutes, drain, dry",
        plan.hold_s
    );
    if !plan.stations.is_empty() {
        let _ = writeln!(out, "\nthe growth is expected at every station:");
        for station in &plan.stations {
            let note = station.note.map_or_else(String::new, |note| format!("  ({note})"));
            let _ = writeln!(
                out,
                "  {:<14} born {}{note}",
                station.mark(),
                in_units(&format!("{:.3} mm", station.birth_mm), system, true)
            );
        }
        let _ = writeln!(
            out,
            "  read it again where it departs by more than {} (twice what the dial repeats to); stop past {} %",
            growth_words(2.0 * plan.dial_mm, system),
            plan.stop_percent
        );
    }
    if let Some(water) = &plan.water {
        let volume = |of: Volume| show(of, system);
        let _ = writeln!(
            out,
            "\nwater inside {}, bore growth {}, compression of the water {} (beta {:.1e}/Pa): pump in {}",
            volume(water.volume_m3),
            volume(water.growth_thick_m3),
            volume(water.water_compression_m3),
            plan.beta_per_pa,
            volume(Volume::from_si(water.growth_thick_m3.si() + water.water_compression_m3.si()))
        );
        let _ = writeln!(out, "  over the whole tube's length; the ends take some of it. No air.");
    }
    let _ = writeln!(out, "permanent set: {}", clean(&plan.method_why));
    if let Some(until) = plan.good_until {
        let _ = writeln!(
            out,
            "if it passes on this day it is good until {until} and for {}",
            crate::quantity::counted(plan.good_for_firings, "firing")
        );
    }
    out
}

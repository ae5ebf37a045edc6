//! A bulge as read, as JSON and text.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::growth::{grown, unit};
use super::json::SCHEMA;
use super::text::clean;
use crate::desk::bulge::Bulge;
use crate::quantity::{GaugePressure, Length, Quantity, Stress, System, show};
use crate::standing::in_units::in_units;

/// What stands above every reading of a bulge.
pub const NO_VERDICT: &str =
    "What the record argues for, the most argued for first. It is no verdict: two people write that.";

/// As JSON.
pub fn as_json(serial: &str, of: &Bulge) -> Value {
    json!({
        "schema": SCHEMA,
        "as_of": of.day.to_string(),
        "casing": serial,
        "bulge": of.reading.as_ref().map(|it| json!({
            "station_m": it.station_mm * 1e-3,
            "clock_deg": it.clock_deg,
            "grown_m": it.grown_mm * 1e-3,
            "percent": it.percent,
            "entry": it.entry.number,
            "ring": it.ring.words(),
            "from_weld_m": it.from_weld_mm.map(|mm| mm * 1e-3),
            "profile": it.profile.iter().map(|(station, grown)| json!({
                "station_m": station * 1e-3, "grown_m": grown * 1e-3,
            })).collect::<Vec<_>>(),
            "pressure_pa": it.peak.pressure_pa,
            "pressure_from": it.peak.from,
            "over_plan": it.peak.over_plan,
            "hoop_pa": it.hoop_pa,
            "von_mises_pa": it.von_mises_pa,
            "strengths": it.strengths.iter().map(|it| json!({
                "what": it.what, "basis": it.basis, "yield_pa": it.yield_pa, "share": it.share,
            })).collect::<Vec<_>>(),
            "causes": it.causes.iter().map(|it| json!({
                "cause": it.cause, "leaning": it.leaning(), "for": it.argues_for, "against": it.argues_against,
                "look_next": it.look_next,
            })).collect::<Vec<_>>(),
        })),
        "verdict": Value::Null,
        "traits": of.traits,
        "sharing": of.sharing.iter().map(|it| json!({
            "serial": it.serial, "name": it.name, "standing": it.standing.word(), "traits": it.traits,
        })).collect::<Vec<_>>(),
    })
}

/// Where it is and how big, in one line.
pub fn place(of: &crate::standing::bulge::BulgeReading, system: System) -> String {
    let weld = of
        .from_weld_mm
        .map_or_else(String::new, |mm| in_units(&format!(", {mm:.0} mm from the weld"), system, true));
    format!(
        "{} {} ({:.2} %) at station {}{}{weld}: {}",
        grown(of.grown_mm, system),
        unit(system),
        of.percent,
        show(Length::mm(of.station_mm), system),
        of.clock_deg.map_or_else(String::new, |clock| format!(" / {clock:.0} deg")),
        of.ring.words()
    )
}

/// The stress at the peak against each strength, a line each.
pub fn strengths(of: &crate::standing::bulge::BulgeReading, system: System) -> Vec<String> {
    of.strengths
        .iter()
        .map(|it| {
            format!(
                "{:.0} % of {} yield, {}",
                it.share * 100.0,
                show(Stress::from_si(it.yield_pa), system),
                it.what
            )
        })
        .collect()
}

/// The pressure and the stresses it made, in one line.
pub fn stress(of: &crate::standing::bulge::BulgeReading, system: System) -> String {
    let over = of.peak.over_plan.map_or_else(String::new, |it| format!(", {it:.2} times the plan"));
    format!(
        "{} ({}{over}): hoop {}, von Mises at the bore {}",
        show(GaugePressure::from_si(of.peak.pressure_pa), system),
        of.peak.from,
        show(Stress::from_si(of.hoop_pa), system),
        show(Stress::from_si(of.von_mises_pa), system)
    )
}

/// As text.
pub fn as_text(serial: &str, of: &Bulge, system: System) -> String {
    let mut out = format!("bulge of {} as of {}\n", clean(serial), of.day);
    let Some(reading) = &of.reading else {
        out.push_str("nothing on record has grown that a gauge could see\n");
        return out;
    };
    let _ = writeln!(out, "{}\n\nstress at {}", place(reading, system), clean(&stress(reading, system)));
    for line in strengths(reading, system) {
        let _ = writeln!(out, "  {}", clean(&line));
    }
    for it in &reading.strengths {
        let _ = writeln!(out, "  {}: {}", clean(&it.what), clean(&in_units(&it.basis, system, true)));
    }
    let profile: Vec<String> = reading
        .profile
        .iter()
        .map(|(station, by)| match system {
            System::Si => format!("{station:.0}: {}", grown(*by, system)),
            System::Us => format!("{:.2}: {}", station / 25.4, grown(*by, system)),
        })
        .collect();
    let _ = writeln!(out, "\nalong the tube, {}: {}", unit(system), profile.join(", "));
    let _ = writeln!(out, "\n{NO_VERDICT}");
    for (at, cause) in reading.causes.iter().enumerate() {
        let _ = writeln!(
            out,
            "{}. {} ({} for, {} against)",
            at + 1,
            cause.cause,
            cause.argues_for.len(),
            cause.argues_against.len()
        );
        for words in &cause.argues_for {
            let _ = writeln!(out, "   + {}", clean(&in_units(words, system, true)));
        }
        for words in &cause.argues_against {
            let _ = writeln!(out, "   - {}", clean(&in_units(words, system, true)));
        }
        let _ = writeln!(out, "   look next: {}", cause.look_next);
    }
    let _ = writeln!(
        out,
        "\nothers with the same trait ({})",
        clean(&in_units(&of.traits.join(", "), system, false))
    );
    if of.sharing.is_empty() {
        out.push_str("  none on record\n");
    }
    for it in &of.sharing {
        let _ = writeln!(
            out,
            "  {} {:11} {} {}: {}",
            it.standing.sign(),
            it.standing,
            clean(&it.serial),
            clean(it.name.as_deref().unwrap_or("")),
            clean(&in_units(&it.traits.join(", "), system, false))
        );
    }
    out
}

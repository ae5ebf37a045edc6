//! What is built: casings, parts, fits, loads, batches.

use super::drawing::{design, expect_diameters, expect_throat};
use super::event::{LEAST_BURN_S, MOST_BURN_S};
use crate::book::details::{
    BatchRecord, CasingRecord, FitRecord, Grain, LoadRecord, Nozzle, PartRecord, Propellant,
};
use crate::book::reader::Reader;
use crate::book::reading::What;
use crate::book::{FitAction, Kind, Position, SubjectOf};

pub(super) fn casing(from: &mut Reader<'_>) -> Option<CasingRecord> {
    let serial = from.serial("serial", SubjectOf::Casing);
    let name = from.text("name");
    let revision = from.text("revision").unwrap_or_else(|| "A".to_owned());
    let design = design(from);
    let readings = from.readings(Kind::Casing, "od", What::OutsideDiameter);
    if let Some(design) = &design {
        expect_diameters(from, "od", &readings, design);
    }
    Some(CasingRecord {
        serial: serial?,
        name,
        revision,
        design: design?,
        machinist: from.text("machinist"),
        welder: from.text("welder"),
        tube_lot: from.text("tube_lot"),
        drawing: from.text("drawing"),
        readings,
        od_gauge: from.text("od_gauge"),
        od_repeatability: None,
        remark: from.text("remark"),
    })
}

pub(super) fn part(from: &mut Reader<'_>) -> Option<PartRecord> {
    let serial = from.serial("serial", SubjectOf::Part);
    let what = from.word("what", Position::from_word);
    Some(PartRecord {
        material: from.text("material"),
        maker: from.text("maker"),
        lot: from.text("lot"),
        life_firings: from.whole("life_firings", 1..=10_000),
        firings_before: from.whole("firings_before", 0..=10_000).unwrap_or(0),
        throat: from.positive("throat"),
        remark: from.text("remark"),
        serial: serial?,
        what: what?,
    })
}

pub(super) fn fit(from: &mut Reader<'_>) -> Option<FitRecord> {
    let casing = from.known("casing", SubjectOf::Casing);
    let part = from.known("part", SubjectOf::Part);
    let position = from.word("position", Position::from_word);
    let action = from.word("action", FitAction::from_word).unwrap_or(FitAction::Fitted);
    let throat = from.positive("throat");
    if let Some(design) = casing.as_deref().and_then(|casing| from.on_record().design(casing)) {
        expect_throat(from, "throat", throat.as_ref(), &design);
    }
    Some(FitRecord {
        throat,
        remark: from.text("remark"),
        casing: casing?,
        part: part?,
        // The desk puts in what the part is on record as, where nobody says otherwise.
        position: position.unwrap_or(Position::Tube),
        action,
    })
}

fn propellant(from: &mut Reader<'_>) -> Propellant {
    let propellant = Propellant {
        density: from.positive("propellant.density"),
        characteristic_velocity: from.positive("propellant.characteristic_velocity"),
        burn_rate: from.burn_rate("propellant.burn_rate"),
        exponent: from.number("propellant.exponent", 0.0..=0.99),
        ratio_of_heats: from.number("propellant.ratio_of_heats", 1.01..=1.67),
    };
    if let Some(density) = &propellant.density {
        from.plausible("propellant.density", density, 900.0, 2500.0);
    }
    propellant
}

pub(super) fn load(from: &mut Reader<'_>) -> Option<LoadRecord> {
    let name = from.new_name("name");
    let revision = from.text("revision").unwrap_or_else(|| "A".to_owned());
    let peak_pressure = from.peak_pressure("peak_pressure");
    if let Some(peak) = &peak_pressure {
        from.plausible("peak_pressure", peak, 0.2e6, 30e6);
    }
    let grain = if from.has_any("grain.") {
        for needed in ["grain.count", "grain.outside_diameter", "grain.core", "grain.length"] {
            if !from.has(needed) {
                from.wrong(
                    needed,
                    "missing; a grain needs count, outside_diameter, core and length".to_owned(),
                );
            }
        }
        let count = from.whole("grain.count", 1..=100);
        let outside_diameter = from.positive("grain.outside_diameter");
        let core = from.positive("grain.core");
        let length = from.positive("grain.length");
        let inhibited_ends = from.whole("grain.inhibited_ends", 0..=200).unwrap_or(0);
        match (count, outside_diameter, core, length) {
            (Some(count), Some(outside_diameter), Some(core), Some(length)) => {
                let grain = Grain { count, outside_diameter, core, length, inhibited_ends };
                if grain.core.si() >= grain.outside_diameter.si() {
                    from.wrong(
                        "grain.core",
                        "the core is as wide as the grain: nothing would be left to burn".to_owned(),
                    );
                }
                if grain.inhibited_ends > 2 * grain.count {
                    from.wrong(
                        "grain.inhibited_ends",
                        format!("{} segments have only {} end faces", grain.count, 2 * grain.count),
                    );
                }
                Some(grain)
            }
            _ => None,
        }
    } else {
        None
    };
    let burn_time = from.positive("burn_time");
    if let Some(burn_time) = &burn_time {
        from.plausible("burn_time", burn_time, LEAST_BURN_S, MOST_BURN_S);
    }
    let propellant = from.has_any("propellant.").then(|| propellant(from));
    let nozzle = if from.has_any("nozzle.") {
        let throat = from.positive("nozzle.throat");
        if !from.has("nozzle.throat") {
            from.wrong(
                "nozzle.throat",
                "missing; a nozzle needs its throat DIAMETER, for example U drill".to_owned(),
            );
        }
        let area_ratio = from.number("nozzle.area_ratio", 1.0..=400.0);
        let exit = from.positive("nozzle.exit");
        if area_ratio.is_some() && exit.is_some() {
            from.wrong("nozzle.exit", "give the exit diameter or the area ratio, not both".to_owned());
        }
        let half_angle_deg = from.number("nozzle.half_angle", 0.0..=60.0);
        let efficiency = from.number("nozzle.efficiency", 0.3..=1.0);
        throat.map(|throat| Nozzle { throat, area_ratio, exit, half_angle_deg, efficiency })
    } else {
        None
    };
    Some(LoadRecord {
        peak_thrust: from.positive("peak_thrust"),
        impulse: from.positive("impulse"),
        burn_time,
        propellant_mass: from.positive("propellant_mass"),
        peak_scatter: from.percent("peak_scatter", 0.1..=60.0).map(|percent| percent / 100.0),
        planned_by: from.text("planned_by"),
        remark: from.text("remark"),
        name: name?,
        revision,
        peak_pressure: peak_pressure?,
        grain,
        propellant,
        nozzle,
    })
}

pub(super) fn batch(from: &mut Reader<'_>) -> Option<BatchRecord> {
    let name = from.new_name("name");
    Some(BatchRecord {
        propellant: propellant(from),
        burn_rate_factor: from.number("burn_rate_factor", 0.3..=3.0),
        at_temperature: from.quantity("at_temperature"),
        numbers_from: from.text("numbers_from"),
        remark: from.text("remark"),
        name: name?,
    })
}

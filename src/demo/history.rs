//! The invented club's story, in the order it happened: proofs, 58 firings, and what came of them.

use super::club::{
    self, Built, CASINGS, CLOCKS, CONDUCTOR, INSPECTOR, KEEPER, SAFETY, STATIONS, WELD_STATIONS,
};
use super::firings::{FIRINGS, Fired};
use super::tales::{
    bracken_condemned, bracken_heated, finch_blown_by, heron_heated, heron_read_twice, heron_restricted,
    lapwing_crashed, lapwing_released, thistle_bulged, thistle_retired,
};
use super::{DemoError, Telling};
use crate::book::Kind;

/// A proof: day, casing, pressure, growth under pressure in millimetres, total and permanent expansion.
type ProofRow = (&'static str, &'static str, &'static str, f64, &'static str, &'static str);

const PROOFS: &[ProofRow] = &[
    ("2021-03-27", "Marigold", "7.35 MPa", 0.031, "", ""),
    ("2021-09-18", "Lapwing", "7.38 MPa", 0.062, "", ""),
    ("2022-03-05", "Thistle", "7.125 MPa", 0.061, "", ""),
    ("2022-12-03", "Bracken", "9.90 MPa", 0.046, "2.45 cc", "0.0245 cc"),
    ("2023-02-18", "Heron", "9.0 MPa", 0.066, "", ""),
    ("2023-03-25", "Marigold", "7.35 MPa", 0.030, "", ""),
    ("2024-03-02", "Thistle", "7.125 MPa", 0.061, "", ""),
    ("2024-03-16", "Juniper", "8.85 MPa", 0.042, "", ""),
    ("2024-06-15", "Finch", "7.35 MPa", 0.031, "", ""),
    ("2024-11-23", "Bracken", "9.90 MPa", 0.047, "2.44 cc", "0.0293 cc"),
    ("2025-02-22", "Heron", "9.0 MPa", 0.065, "", ""),
    ("2025-03-15", "Patchwork", "7.38 MPa", 0.063, "", ""),
    ("2025-04-05", "Marigold", "7.35 MPa", 0.031, "", ""),
    ("2026-05-30", "Finch", "7.35 MPa", 0.030, "", ""),
    ("2026-08-29", "Quarry", "9.45 MPa", 0.093, "", ""),
];

/// A part of the story that does not follow the common course.
type Tale = fn(&mut Telling) -> Result<(), DemoError>;

/// One thing on one day.
enum Happening {
    Build(&'static Built),
    Proof(&'static ProofRow),
    Fire(&'static Fired),
    Tale(Tale),
}

/// What does not follow the common course, with the day it is told.
const TALES: &[(&str, Tale)] = &[
    ("2022-06-17", |telling| {
        club::new_part(telling, "2022-06-17", "throat insert", "I-06B", "O drill", "12")?;
        club::put_in(telling, "2022-06-17", "MF-41-06", "I-06B", "", "smaller throat for 41B")
    }),
    ("2023-06-24", lapwing_released),
    ("2024-09-13", |telling| {
        club::new_part(telling, "2024-09-13", "throat insert", "I-06C", "O drill", "12")?;
        club::put_in(telling, "2024-09-13", "MF-41-06", "I-06C", "", "seven firings on the last one")?;
        club::put_in(telling, "2024-09-13", "MF-48-04", "N-04", "27/64 in", "reamed for 48B")
    }),
    ("2024-10-05", thistle_retired),
    ("2025-03-01", |telling| {
        club::put_in(
            telling,
            "2025-03-01",
            "MF-48-08",
            "B-01",
            "",
            "from Lapwing: penetrant clear 2023-06-24, bore and holes measured",
        )?;
        club::put_in(
            telling,
            "2025-03-01",
            "MF-48-08",
            "N-02",
            "V drill",
            "from Thistle: insert reamed from U to V at entry inspection",
        )
    }),
    ("2025-05-09", |telling| {
        club::new_part(telling, "2025-05-09", "throat insert", "I-07B", "O drill", "12")?;
        club::put_in(telling, "2025-05-09", "MF-41-07", "I-07B", "", "smaller throat for 41B")
    }),
    ("2025-09-06", heron_restricted),
    ("2025-11-15", bracken_condemned),
];

/// Tell the whole story.
pub(super) fn tell(telling: &mut Telling) -> Result<(), DemoError> {
    let mut order: Vec<(&str, u8, Happening)> = Vec::new();
    order.extend(CASINGS.iter().map(|built| (built.on, 0, Happening::Build(built))));
    order.extend(PROOFS.iter().map(|proof| (proof.0, 1, Happening::Proof(proof))));
    order.extend(FIRINGS.iter().map(|fired| (fired.on, 2, Happening::Fire(fired))));
    order.extend(TALES.iter().map(|(on, tale)| (*on, 3, Happening::Tale(*tale))));
    order.sort_by_key(|(on, rank, _)| (*on, *rank));
    let mut batches = 0;
    for (on, _, happening) in order {
        club::batches_until(telling, on, &mut batches)?;
        match happening {
            Happening::Build(built) => club::build(telling, built)?,
            Happening::Proof(proof) => press(telling, proof)?,
            Happening::Fire(fired) => fire(telling, fired)?,
            Happening::Tale(tale) => tale(telling)?,
        }
    }
    Ok(())
}

fn serial_of(name: &str) -> &'static str {
    club::casing(name).map_or("", |built| built.serial)
}

fn od_of(name: &str) -> f64 {
    club::casing(name).map_or(0.0, |built| built.od_mm)
}

fn press(telling: &mut Telling, row: &ProofRow) -> Result<(), DemoError> {
    let (on, name, pressure, under, total, permanent) = *row;
    let od = od_of(name);
    let stations: &[f64] = if name == "Thistle" { &[12.0, 120.0] } else { STATIONS };
    let mut fields: Vec<(&str, String)> = vec![
        ("casing", serial_of(name).to_owned()),
        ("pressure", pressure.to_owned()),
        ("medium", "water".to_owned()),
        ("bled", "yes".to_owned()),
        ("hold", "5 min".to_owned()),
        ("leak", "no".to_owned()),
        ("pressure_drop", "no".to_owned()),
        ("gauge", "G-03".to_owned()),
        ("water_temperature", "18 degC".to_owned()),
        ("second", INSPECTOR.to_owned()),
    ];
    if total.is_empty() {
        fields.push(("method", "diameters only".to_owned()));
    } else {
        fields.push(("method", "direct expansion".to_owned()));
        fields.push(("total_expansion", total.to_owned()));
        fields.push(("permanent_expansion", permanent.to_owned()));
    }
    for station in stations {
        // Beside the weld the soft band gives a little more.
        let more = if name == "Thistle" && *station < 30.0 { 0.003 } else { 0.0 };
        fields.push(("od_before", format!("{station} mm @ 0: {od:.3} mm")));
        fields.push(("od_under", format!("{station} mm @ 0: {:.3} mm", od + under + more)));
        fields.push(("od_after", format!("{station} mm @ 0: {:.3} mm", od + 0.001)));
    }
    if name == "Quarry" {
        fields.push((
            "remark",
            "growth predicted/measured at 1.0, 3.0, 4.7, 6.3, 7.9 MPa: 9.7/10, 29.1/28, 45.7/47, 61.2/62, 76.8/75 um; elastic 6.48 cc".to_owned(),
        ));
    }
    log(telling, Kind::Proof, on, KEEPER, &fields)?;
    if name == "Thistle" {
        // 7.125 MPa is 93 % of what the softened zone yields at: over the cap of a proof, and looked at.
        keep(
            telling,
            on,
            serial_of(name),
            "the proof came to 93 % of what the weld zone yields at; the stations beside the weld kept a micrometre",
        )?;
    }
    Ok(())
}

fn log(
    telling: &mut Telling,
    kind: Kind,
    on: &str,
    by: &str,
    fields: &[(&str, String)],
) -> Result<(), DemoError> {
    let fields: Vec<(&str, &str)> = fields.iter().map(|(field, text)| (*field, text.as_str())).collect();
    telling.log(kind, on, by, &fields)
}

fn fire(telling: &mut Telling, fired: &Fired) -> Result<(), DemoError> {
    let serial = serial_of(fired.casing);
    let flight = fired.mode == "flight";
    let ordinary = !matches!(
        (fired.casing, fired.number),
        ("Lapwing", 4) | ("Thistle", 6) | ("Bracken", 9..=11) | ("Heron", 7 | 8) | ("Finch", 5)
    );
    if (fired.casing, fired.number) == ("Marigold", 17) {
        telling.log(
            Kind::Prefire,
            fired.on,
            KEEPER,
            &[
                ("casing", serial),
                ("load", fired.load),
                ("batch", fired.batch),
                ("mode", fired.mode),
                ("yes", "all"),
                ("second", SAFETY),
            ],
        )?;
    }
    let mut fields: Vec<(&str, String)> = vec![
        ("casing", serial.to_owned()),
        ("mode", fired.mode.to_owned()),
        ("load", fired.load.to_owned()),
        ("batch", fired.batch.to_owned()),
        ("place", if flight { "Drovers' Flat" } else { "Fen pit" }.to_owned()),
        ("conductor", CONDUCTOR.to_owned()),
        ("peak_pressure", format!("{} MPa abs", fired.peak_mpa)),
        ("peak_from", peak_from(fired).to_owned()),
        ("peak_thrust", format!("{} N", fired.thrust_n)),
        ("impulse", format!("{} Ns", fired.impulse_ns)),
        ("burn_time", format!("{} s", fired.burn_s)),
        ("second", SAFETY.to_owned()),
    ];
    if flight {
        fields.push((
            "landing",
            if (fired.casing, fired.number) == ("Lapwing", 4) { "hard" } else { "soft" }.to_owned(),
        ));
    }
    let remark = match (fired.casing, fired.number) {
        ("Lapwing", 4) => "main parachute failed, ballistic into turf",
        ("Thistle", 6) => "peak in the first 0.1 s, raised level decaying, impulse unchanged: a grain crack",
        ("Finch", 5) => "thrust down 12 % from 1.1 s; small flame at the aft cap at 210 deg",
        ("Juniper", 4) => "5.4 kg, apogee about 1770 m",
        ("Heron", 6) => "10.5 kg, apogee about 2080 m",
        ("Patchwork", 3) => "4.6 kg, apogee about 1380 m",
        _ => "",
    };
    fields.push(("remark", remark.to_owned()));
    if matches!((fired.casing, fired.number), ("Bracken", 10 | 11)) {
        fields.push((
            "breach_reason",
            "keyed in from the paper book: nobody had raised a hold after the hot band of 2025-04-12"
                .to_owned(),
        ));
    }
    log(telling, Kind::Firing, fired.on, CONDUCTOR, &fields)?;
    if ordinary {
        // A welded plug gets penetrant at every inspection.
        let welded: &[(&str, &str)] = if fired.casing == "Thistle" { &[("penetrant", "good")] } else { &[] };
        strip(telling, fired, welded)?;
        return keep(telling, fired.on, serial, "as before: nothing grew, nothing marked");
    }
    match (fired.casing, fired.number) {
        ("Lapwing", _) => lapwing_crashed(telling),
        ("Thistle", _) => thistle_bulged(telling, fired),
        ("Bracken", 9) => bracken_heated(telling, fired),
        ("Bracken", _) => {
            strip(telling, fired, &[])?;
            keep(telling, fired.on, serial, "paper book: nothing new seen")
        }
        ("Heron", 7) => heron_heated(telling, fired),
        ("Heron", _) => heron_read_twice(telling, fired),
        _ => finch_blown_by(telling, fired),
    }
}

fn peak_from(fired: &Fired) -> &'static str {
    match (fired.casing, fired.number, fired.mode) {
        ("Marigold", 1, _) => "scale on video",
        (_, _, "flight") => "flight acceleration",
        _ => "thrust",
    }
}

pub(super) fn keep(telling: &mut Telling, on: &str, serial: &str, reason: &str) -> Result<(), DemoError> {
    telling.log(
        Kind::Disposition,
        on,
        KEEPER,
        &[("casing", serial), ("decision", "keep"), ("reason", reason), ("second", SAFETY)],
    )
}

/// The common inspection, with some fields said otherwise.
pub(super) fn strip(telling: &mut Telling, fired: &Fired, other: &[(&str, &str)]) -> Result<(), DemoError> {
    let mut fields: Vec<(&str, String)> =
        vec![("casing", serial_of(fired.casing).to_owned()), ("second", INSPECTOR.to_owned())];
    for item in
        ["as_found", "heat", "straight_edge", "effort", "seals", "liner", "throat", "cleaned", "bore", "ring"]
    {
        let said = other.iter().find(|(field, _)| *field == item).map_or("good", |(_, said)| said);
        fields.push((item, said.to_owned()));
    }
    let given = other.iter().any(|(field, _)| *field == "od");
    for (field, text) in
        other.iter().filter(|(field, _)| matches!(*field, "od" | "hb" | "hardness" | "penetrant" | "remark"))
    {
        fields.push((field, (*text).to_owned()));
    }
    if !given {
        let od = od_of(fired.casing);
        let stations = if fired.casing == "Thistle" { WELD_STATIONS } else { STATIONS };
        for station in stations {
            for clock in CLOCKS {
                // A hundredth or less, as a micrometer wanders.
                let wander =
                    0.003 * f64::from((fired.number + *station as u32 / 30 + *clock as u32 / 90) % 3);
                fields.push(("od", format!("{station} mm @ {clock}: {:.3} mm", od + wander)));
            }
        }
    }
    log(telling, Kind::Strip, fired.on, KEEPER, &fields)
}

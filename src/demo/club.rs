//! The invented club's hardware: casings, parts, loads and batches.

use super::{DemoError, Telling};
use crate::book::Kind;

pub(super) const KEEPER: &str = "Ines Varga-Holt";
const WELDER: &str = "Tobias Quill";
pub(super) const CONDUCTOR: &str = "Magda Rowntree";
pub(super) const SAFETY: &str = "Ravi Sandoval";
pub(super) const INSPECTOR: &str = "Joss Pemberley";

/// A casing of the club with its parts.
pub(super) struct Built {
    /// Short name in the firing sheets.
    pub name: &'static str,
    pub serial: &'static str,
    pub on: &'static str,
    material: &'static str,
    od: &'static str,
    wall: &'static str,
    length: &'static str,
    /// The nominal outside diameter in millimetres, which its birth readings show.
    pub od_mm: f64,
    forward: End,
    aft: End,
    meop: &'static str,
    /// Position, serial, and for nozzle parts the throat and the life.
    parts: &'static [(&'static str, &'static str, &'static str, &'static str)],
}

#[derive(Clone, Copy)]
enum End {
    Bolts(&'static str, &'static str, &'static str),
    Welded,
    Ring(&'static str),
    Cap(&'static str, &'static str),
}

/// Stations every casing is read at, in millimetres from the forward seal face, and the clock angles.
pub(super) const STATIONS: &[f64] = &[30.0, 120.0, 250.0];
pub(super) const CLOCKS: &[f64] = &[0.0, 90.0];
/// Stations beside Thistle's weld.
pub(super) const WELD_STATIONS: &[f64] = &[4.0, 8.0, 12.0, 16.0, 20.0, 25.0, 30.0, 40.0, 60.0, 120.0, 250.0];

const BOLTS: End = End::Bolts("8", "10-32", "10 mm");

pub(super) const CASINGS: &[Built] = &[
    Built {
        name: "Marigold",
        serial: "MF-41-06",
        on: "2021-03-13",
        material: "6061-T6",
        od: "1.750 in",
        wall: "0.095 in",
        length: "300 mm",
        od_mm: 44.45,
        forward: End::Ring("0.9 mm"),
        aft: End::Ring("0.9 mm"),
        meop: "4.9 MPa",
        parts: &[
            ("tube", "T-06", "", ""),
            ("forward closure", "B-06", "", ""),
            ("aft closure", "C-06", "", ""),
            ("nozzle carrier", "N-06", "", ""),
            ("throat insert", "I-06A", "P drill", "12"),
        ],
    },
    Built {
        name: "Lapwing",
        serial: "MF-48-01",
        on: "2021-09-04",
        material: "6061-T6",
        od: "2.000 in",
        wall: "0.065 in",
        length: "340 mm",
        od_mm: 50.8,
        forward: BOLTS,
        aft: BOLTS,
        meop: "5.9 MPa",
        parts: &[
            ("tube", "T-01", "", ""),
            ("forward closure", "B-01", "", ""),
            ("aft closure", "C-01", "", ""),
            ("nozzle carrier", "N-01", "U drill", "12"),
        ],
    },
    Built {
        name: "Thistle",
        serial: "MF-48-02",
        on: "2022-02-12",
        material: "6061-T6",
        od: "2.000 in",
        wall: "0.065 in",
        length: "340 mm",
        od_mm: 50.8,
        forward: End::Welded,
        aft: BOLTS,
        meop: "5.7 MPa",
        parts: &[
            ("tube", "T-02", "", ""),
            ("aft closure", "C-02", "", ""),
            ("nozzle carrier", "N-02", "U drill", "12"),
        ],
    },
    Built {
        name: "Bracken",
        serial: "MF-60-03",
        on: "2022-11-19",
        material: "DOM steel",
        od: "2.500 in",
        wall: "0.065 in",
        length: "480 mm",
        od_mm: 63.5,
        forward: End::Cap("61.0 mm", "61.7 mm"),
        aft: End::Cap("61.0 mm", "61.7 mm"),
        meop: "6.6 MPa",
        parts: &[
            ("tube", "T-03", "", ""),
            ("forward closure", "C-03", "", ""),
            ("aft closure", "C-04", "", ""),
            ("nozzle carrier", "N-03", "17/32 in", "15"),
        ],
    },
    Built {
        name: "Heron",
        serial: "MF-60-05",
        on: "2023-01-21",
        material: "6061-T6",
        od: "2.625 in",
        wall: "0.125 in",
        length: "480 mm",
        od_mm: 66.675,
        forward: End::Ring("1.2 mm"),
        aft: End::Ring("1.2 mm"),
        meop: "6.0 MPa",
        parts: &[
            ("tube", "T-05", "", ""),
            ("forward closure", "B-05", "", ""),
            ("aft closure", "C-05", "", ""),
            ("nozzle carrier", "N-05", "17/32 in", "15"),
        ],
    },
    Built {
        name: "Juniper",
        serial: "MF-48-04",
        on: "2023-10-07",
        material: "6061-T6",
        od: "2.125 in",
        wall: "0.120 in",
        length: "420 mm",
        od_mm: 53.975,
        forward: End::Ring("1.2 mm"),
        aft: End::Ring("1.2 mm"),
        meop: "5.9 MPa",
        parts: &[
            ("tube", "T-04", "", ""),
            ("forward closure", "B-04", "", ""),
            ("aft closure", "C-14", "", ""),
            ("nozzle carrier", "N-04", "U drill", "12"),
        ],
    },
    Built {
        name: "Finch",
        serial: "MF-41-07",
        on: "2024-06-01",
        material: "6061-T6",
        od: "1.750 in",
        wall: "0.095 in",
        length: "300 mm",
        od_mm: 44.45,
        forward: End::Cap("41.0 mm", "41.41 mm"),
        aft: End::Cap("41.0 mm", "41.41 mm"),
        meop: "4.9 MPa",
        parts: &[
            ("tube", "T-07", "", ""),
            ("forward closure", "C-07", "", ""),
            ("aft closure", "C-08", "", ""),
            ("nozzle carrier", "N-07", "", ""),
            ("throat insert", "I-07A", "P drill", "12"),
        ],
    },
    Built {
        name: "Patchwork",
        serial: "MF-48-08",
        on: "2025-02-22",
        material: "6061-T6",
        od: "2.000 in",
        wall: "0.065 in",
        length: "340 mm",
        od_mm: 50.8,
        forward: BOLTS,
        aft: BOLTS,
        meop: "5.9 MPa",
        parts: &[("tube", "T-11", "", ""), ("aft closure", "C-11", "", "")],
    },
    Built {
        name: "Quarry",
        serial: "MF-76-09",
        on: "2026-07-18",
        material: "6061-T6",
        od: "3.000 in",
        wall: "0.125 in",
        length: "560 mm",
        od_mm: 76.2,
        forward: End::Bolts("10", "1/4-28", "12.7 mm"),
        aft: End::Bolts("10", "1/4-28", "12.7 mm"),
        meop: "6.3 MPa",
        parts: &[
            ("tube", "T-09", "", ""),
            ("forward closure", "B-09", "", ""),
            ("aft closure", "C-09", "", ""),
            ("nozzle carrier", "N-09", "39/64 in", "12"),
        ],
    },
];

pub(super) fn casing(name: &str) -> Option<&'static Built> {
    CASINGS.iter().find(|built| built.name == name)
}

/// Name, segments, grain diameter, core, segment length, throat, area ratio, mass, peak, thrust, impulse, burn time.
type LoadRow = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
);

const LOADS: &[LoadRow] = &[
    (
        "41A",
        "3",
        "36 mm",
        "13 mm",
        "60 mm",
        "P drill",
        "7",
        "268 g",
        "4.11 MPa abs",
        "314 N",
        "526 Ns",
        "1.81 s",
    ),
    (
        "41B",
        "3",
        "36 mm",
        "13 mm",
        "60 mm",
        "O drill",
        "7",
        "268 g",
        "4.40 MPa abs",
        "325 N",
        "530 Ns",
        "1.76 s",
    ),
    (
        "48A",
        "3",
        "43 mm",
        "16 mm",
        "75 mm",
        "U drill",
        "8",
        "473 g",
        "5.16 MPa abs",
        "523 N",
        "951 Ns",
        "1.95 s",
    ),
    (
        "48V",
        "3",
        "43 mm",
        "16 mm",
        "75 mm",
        "V drill",
        "8",
        "473 g",
        "4.78 MPa abs",
        "505 N",
        "943 Ns",
        "2.01 s",
    ),
    (
        "48B",
        "4",
        "43 mm",
        "16 mm",
        "75 mm",
        "27/64 in",
        "8",
        "631 g",
        "5.27 MPa abs",
        "705 N",
        "1272 Ns",
        "1.94 s",
    ),
    (
        "60A",
        "4",
        "55 mm",
        "20 mm",
        "95 mm",
        "17/32 in",
        "8",
        "1316 g",
        "5.42 MPa abs",
        "1150 N",
        "2661 Ns",
        "2.49 s",
    ),
    (
        "60R",
        "3",
        "55 mm",
        "20 mm",
        "95 mm",
        "17/32 in",
        "8",
        "987 g",
        "3.45 MPa abs",
        "694 N",
        "1879 Ns",
        "2.93 s",
    ),
    (
        "76A",
        "4",
        "64 mm",
        "24 mm",
        "110 mm",
        "39/64 in",
        "8",
        "2044 g",
        "5.68 MPa abs",
        "1594 N",
        "4152 Ns",
        "2.79 s",
    ),
];

const BATCHES: &[(&str, &str, &str)] = &[
    ("P21-1", "2021-03-20", "0.990"),
    ("P21-2", "2021-09-11", "0.968"),
    ("P22-1", "2022-03-19", "0.985"),
    ("P22-2", "2022-08-20", "1.024"),
    ("P23-1", "2023-03-04", "0.985"),
    ("P23-2", "2023-08-26", "1.015"),
    ("P24-1", "2024-03-02", "1.035"),
    ("P24-2", "2024-04-20", "0.965"),
    ("P25-1", "2025-02-22", "1.010"),
    ("P25-2", "2025-07-26", "0.965"),
    ("P26-1", "2026-03-28", "0.990"),
];

/// Register loads and batches that exist from the start; casings come as they are built.
pub(super) fn tell(telling: &mut Telling) -> Result<(), DemoError> {
    for (name, count, diameter, core, length, throat, ratio, mass, peak, thrust, impulse, burn) in LOADS {
        telling.log(
            Kind::Load,
            "2021-03-06",
            KEEPER,
            &[
                ("name", name),
                ("peak_pressure", peak),
                ("peak_thrust", thrust),
                ("impulse", impulse),
                ("burn_time", burn),
                ("propellant_mass", mass),
                ("grain.count", count),
                ("grain.outside_diameter", diameter),
                ("grain.core", core),
                ("grain.length", length),
                ("propellant.density", "1680 kg/m3"),
                ("propellant.characteristic_velocity", "1370 m/s"),
                ("propellant.burn_rate", "7.0 mm/s at 5 MPa"),
                ("propellant.exponent", "0.36"),
                ("propellant.ratio_of_heats", "1.2"),
                ("nozzle.throat", throat),
                ("nozzle.area_ratio", ratio),
                ("nozzle.half_angle", "0"),
                ("nozzle.efficiency", "0.95"),
                ("planned_by", "quasi-steady calculation"),
                ("remark", "invented for the demo"),
            ],
        )?;
    }
    Ok(())
}

/// Write a batch down on the day it was measured.
pub(super) fn batches_until(telling: &mut Telling, day: &str, done: &mut usize) -> Result<(), DemoError> {
    while let Some((name, on, factor)) = BATCHES.get(*done).filter(|(_, on, _)| *on <= day) {
        telling.log(
            Kind::Batch,
            on,
            KEEPER,
            &[
                ("name", name),
                ("burn_rate_factor", factor),
                ("numbers_from", "two strands, against the club's nominal"),
            ],
        )?;
        *done += 1;
    }
    Ok(())
}

/// Register a casing, its parts, and put them in.
pub(super) fn build(telling: &mut Telling, built: &Built) -> Result<(), DemoError> {
    let mut fields: Vec<(String, String)> = Vec::new();
    let mut set = |field: &str, text: &str| fields.push((field.to_owned(), text.to_owned()));
    set("serial", built.serial);
    set("name", built.name);
    set("machinist", KEEPER);
    set("second", INSPECTOR);
    set("tube.material", built.material);
    if built.material == "6061-T6" {
        set("tube.form", "drawn tube");
    }
    set("tube.od", built.od);
    set("tube.wall", built.wall);
    set("tube.wall_min", built.wall);
    set("tube.length", built.length);
    set("service.meop", built.meop);
    for (name, end) in [("forward", built.forward), ("aft", built.aft)] {
        let mut of = |field: &str, text: &str| set(&format!("{name}.{field}"), text);
        match end {
            End::Bolts(count, bolt, edge) => {
                of("kind", "radial bolts");
                of("count", count);
                of("bolt", bolt);
                of("edge", edge);
                of("bolt_ultimate", "150 ksi");
            }
            End::Welded => {
                of("kind", "welded plug");
                of("leg", "2.8 mm");
                set("welder", WELDER);
            }
            End::Ring(depth) => {
                of("kind", "retaining ring");
                of("groove_depth", depth);
                of("ring_thickness", "2.0 mm");
                of("edge", "6 mm");
            }
            End::Cap(pitch, relief) => {
                of("kind", "threaded cap");
                of("pitch_diameter", pitch);
                of("engagement", "12 mm");
                of("relief_diameter", relief);
            }
        }
    }
    let stations = if built.name == "Thistle" { WELD_STATIONS } else { STATIONS };
    for station in stations {
        for clock in CLOCKS {
            set("od", &format!("{station} mm @ {clock}: {:.3} mm", built.od_mm));
        }
    }
    let fields: Vec<(&str, &str)> =
        fields.iter().map(|(field, text)| (field.as_str(), text.as_str())).collect();
    telling.log(Kind::Casing, built.on, KEEPER, &fields)?;
    for (what, part, throat, life) in built.parts {
        new_part(telling, built.on, what, part, throat, life)?;
        put_in(telling, built.on, built.serial, part, "", "")?;
    }
    Ok(())
}

pub(super) fn new_part(
    telling: &mut Telling,
    on: &str,
    what: &str,
    part: &str,
    throat: &str,
    life: &str,
) -> Result<(), DemoError> {
    telling.log(
        Kind::Part,
        on,
        KEEPER,
        &[("serial", part), ("what", what), ("throat", throat), ("life_firings", life)],
    )
}

pub(super) fn put_in(
    telling: &mut Telling,
    on: &str,
    casing: &str,
    part: &str,
    throat: &str,
    remark: &str,
) -> Result<(), DemoError> {
    telling.log(
        Kind::Fit,
        on,
        KEEPER,
        &[("casing", casing), ("part", part), ("throat", throat), ("remark", remark)],
    )
}

pub(super) fn take_out(
    telling: &mut Telling,
    on: &str,
    casing: &str,
    part: &str,
    remark: &str,
) -> Result<(), DemoError> {
    telling.log(
        Kind::Fit,
        on,
        KEEPER,
        &[("casing", casing), ("part", part), ("action", "removed"), ("remark", remark), ("second", SAFETY)],
    )
}

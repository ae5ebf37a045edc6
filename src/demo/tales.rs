//! What went wrong in the invented club, casing by casing.

use super::club::{self, CLOCKS, CONDUCTOR, INSPECTOR, KEEPER, SAFETY, WELD_STATIONS};
use super::firings::Fired;
use super::history::{keep, strip};
use super::{DemoError, Telling};
use crate::book::Kind;

pub(super) fn lapwing_crashed(telling: &mut Telling) -> Result<(), DemoError> {
    let on = "2023-06-17";
    telling.log(
        Kind::Finding,
        on,
        INSPECTOR,
        &[
            ("casing", "MF-48-01"),
            ("damage", "ovality"),
            ("percent", "9.1 %"),
            ("station", "250 mm"),
            ("found_by", "micrometer at four angles"),
            ("evidence", "53.1 mm across, 48.5 mm the other way, after the landing"),
        ],
    )?;
    telling.log(
        Kind::Finding,
        on,
        INSPECTOR,
        &[
            ("part", "N-01"),
            ("damage", "crack"),
            ("found_by", "eye"),
            ("evidence", "insert cracked through by the landing"),
        ],
    )?;
    telling.log(
        Kind::Disposition,
        on,
        KEEPER,
        &[
            ("casing", "MF-48-01"),
            ("decision", "retire"),
            ("reason", "crushed on landing: 9.1 % out of round"),
            ("made_unusable", "sawn in two"),
            ("second", SAFETY),
        ],
    )
}

pub(super) fn lapwing_released(telling: &mut Telling) -> Result<(), DemoError> {
    let on = "2023-06-24";
    telling.log(
        Kind::Disposition,
        on,
        KEEPER,
        &[
            ("part", "N-01"),
            ("decision", "retire"),
            ("reason", "insert cracked"),
            ("made_unusable", "drilled"),
            ("second", SAFETY),
        ],
    )?;
    telling.log(
        Kind::Note,
        on,
        INSPECTOR,
        &[("part", "B-01"), ("text", "penetrant clear after the crash; goes on the shelf")],
    )?;
    club::take_out(telling, on, "MF-48-01", "B-01", "released from the retired casing")
}

pub(super) fn thistle_bulged(telling: &mut Telling, fired: &Fired) -> Result<(), DemoError> {
    const GROWN: &[f64] = &[0.18, 0.34, 0.46, 0.41, 0.27, 0.12, 0.04, 0.01, 0.0, 0.0, 0.0];
    let mut rows = Vec::new();
    for (station, grown) in WELD_STATIONS.iter().zip(GROWN) {
        for clock in CLOCKS {
            rows.push(format!("{station} mm @ {clock}: {:.2} mm", 50.8 + grown));
        }
    }
    let od = rows.join("\n");
    let hb = "8 mm @ 0: 48\n20 mm @ 0: 62\n25 mm @ 0: 80\n40 mm @ 0: 95";
    strip(
        telling,
        fired,
        &[
            ("straight_edge", "finding"),
            ("od", &od),
            ("hardness", "finding"),
            ("hb", hb),
            ("penetrant", "finding"),
            ("remark", "found with a rule on the bench: it rocks beside the weld"),
        ],
    )?;
    telling.log(Kind::Finding, fired.on, INSPECTOR, &[
        ("casing", "MF-48-02"), ("damage", "bulge"), ("percent", "0.91 %"), ("station", "12 mm"),
        ("found_by", "straight-edge, micrometer"),
        ("evidence", "full ring, highest 12 mm from the weld, nothing beyond 40 mm: the softened band yielded while the base stayed elastic"),
    ])?;
    telling.log(
        Kind::Finding,
        fired.on,
        INSPECTOR,
        &[
            ("casing", "MF-48-02"),
            ("damage", "crack"),
            ("depth", "6 mm"),
            ("station", "2 mm"),
            ("clock", "140"),
            ("found_by", "penetrant"),
            ("evidence", "6 mm line at the weld toe"),
        ],
    )
}

pub(super) fn thistle_retired(telling: &mut Telling) -> Result<(), DemoError> {
    let on = "2024-10-05";
    telling.log(
        Kind::Disposition,
        on,
        KEEPER,
        &[
            ("casing", "MF-48-02"),
            ("decision", "retire"),
            ("reason", "bulge of 0.91 % in the softened band beside the weld, and a 6 mm crack at its toe"),
            ("made_unusable", "holed, 12 mm through the wall"),
            ("second", SAFETY),
        ],
    )?;
    telling.log(Kind::Note, on, KEEPER, &[
        ("casing", "MF-48-02"),
        ("text", "L-04: never again weld a plug into heat-treated thin tube; the next one is bolted at both ends"),
    ])?;
    club::take_out(telling, on, "MF-48-02", "N-02", "six firings, throat 9.35 to 9.49 mm; released")
}

pub(super) fn bracken_heated(telling: &mut Telling, fired: &Fired) -> Result<(), DemoError> {
    strip(
        telling,
        fired,
        &[
            ("heat", "finding"),
            ("liner", "finding"),
            ("remark", "blue band 90 mm long at stations 230 to 320 mm"),
        ],
    )?;
    telling.log(
        Kind::Finding,
        fired.on,
        KEEPER,
        &[
            ("casing", "MF-60-03"),
            ("damage", "liner breach"),
            ("percent", "28.5 %"),
            ("hardness", "118"),
            ("station", "275 mm"),
            ("found_by", "temper colour, hardness"),
            ("evidence", "liner burnt through; blue band at stations 230 to 320 mm; HB 165 to 118"),
        ],
    )?;
    telling.log(
        Kind::Disposition,
        fired.on,
        KEEPER,
        &[("casing", "MF-60-03"), ("decision", "keep"), ("reason", "paper book: new liner, no hold raised")],
    )
}

pub(super) fn bracken_condemned(telling: &mut Telling) -> Result<(), DemoError> {
    let on = "2025-11-15";
    telling.log(
        Kind::Proof,
        on,
        KEEPER,
        &[
            ("casing", "MF-60-03"),
            ("pressure", "9.90 MPa"),
            ("medium", "water"),
            ("bled", "yes"),
            ("hold", "5 min"),
            ("method", "direct expansion"),
            ("total_expansion", "2.912 cc"),
            ("permanent_expansion", "0.492 cc"),
            ("od_before", "260 mm @ 0: 63.50 mm\n290 mm @ 0: 63.50 mm"),
            ("od_after", "260 mm @ 0: 63.56 mm\n290 mm @ 0: 63.56 mm"),
            ("leak", "no"),
            ("pressure_drop", "no"),
            ("gauge", "G-03"),
            ("second", INSPECTOR),
            ("remark", "9.13 cc pumped, 6.22 cc of it the water's own compression"),
        ],
    )?;
    telling.log(
        Kind::Finding,
        on,
        INSPECTOR,
        &[
            ("casing", "MF-60-03"),
            ("damage", "pitting"),
            ("percent", "18 %"),
            ("wall_left", "1.35 mm"),
            ("station", "275 mm"),
            ("found_by", "ultrasonic wall"),
            ("evidence", "1.35 of 1.65 mm left after rust under the char was honed"),
        ],
    )?;
    telling.log(Kind::Disposition, on, KEEPER, &[
        ("casing", "MF-60-03"), ("decision", "retire"),
        ("reason", "permanent set 16.9 % of the total expansion: the band that ran hot on 2025-04-12 has yielded"),
        ("made_unusable", "sawn in two, a slice kept for hardness"), ("second", SAFETY),
    ])?;
    telling.log(
        Kind::Note,
        on,
        KEEPER,
        &[("casing", "MF-60-03"), ("text", "L-07: a heat event asks for a new proof, like an over-pressure")],
    )
}

pub(super) fn heron_heated(telling: &mut Telling, fired: &Fired) -> Result<(), DemoError> {
    strip(
        telling,
        fired,
        &[
            ("heat", "finding"),
            ("liner", "finding"),
            ("hardness", "finding"),
            ("hb", "120 mm @ 270: 95\n250 mm @ 90: 74"),
        ],
    )?;
    telling.log(
        Kind::Finding,
        fired.on,
        INSPECTOR,
        &[
            ("casing", "MF-60-05"),
            ("damage", "liner breach"),
            ("percent", "22.1 %"),
            ("hardness", "74"),
            ("station", "250 mm"),
            ("clock", "90"),
            ("found_by", "shadow on the bore, hardness"),
            ("evidence", "patch 20 by 35 mm, HB 95 to 74"),
        ],
    )?;
    telling.log(
        Kind::Disposition,
        fired.on,
        KEEPER,
        &[
            ("casing", "MF-60-05"),
            ("decision", "hold"),
            ("reason", "hot spot: local strength and a new proof first"),
            ("second", SAFETY),
        ],
    )
}

pub(super) fn heron_restricted(telling: &mut Telling) -> Result<(), DemoError> {
    let on = "2025-09-06";
    telling.log(
        Kind::Proof,
        on,
        KEEPER,
        &[
            ("casing", "MF-60-05"),
            ("pressure", "6.0 MPa"),
            ("medium", "water"),
            ("bled", "yes"),
            ("hold", "5 min"),
            ("method", "direct expansion"),
            ("total_expansion", "2.35 cc"),
            ("permanent_expansion", "0.05 cc"),
            ("od_before", "120 mm @ 0: 66.675 mm\n250 mm @ 90: 66.675 mm"),
            ("od_under", "120 mm @ 0: 66.719 mm\n250 mm @ 90: 66.721 mm"),
            ("od_after", "120 mm @ 0: 66.675 mm\n250 mm @ 90: 66.676 mm"),
            ("leak", "no"),
            ("pressure_drop", "no"),
            ("gauge", "G-03"),
            ("second", INSPECTOR),
        ],
    )?;
    telling.log(Kind::Disposition, on, KEEPER, &[
        ("casing", "MF-60-05"), ("decision", "restrict"), ("meop", "4.0 MPa"), ("loads", "60R"), ("proof_every", "3"),
        ("standoff_multiplier", "2"), ("extra_checks", "patch hardness and diameter; retire under HB 65 or at +0.05 mm"),
        ("reason", "hot spot at station 250 mm / 90 deg: local yield about 179 MPa, proof at 1.5 times the new MEOP passed"),
        ("second", SAFETY),
    ])
}

pub(super) fn heron_read_twice(telling: &mut Telling, fired: &Fired) -> Result<(), DemoError> {
    strip(
        telling,
        fired,
        &[
            ("hardness", "good"),
            ("hb", "250 mm @ 90: 74"),
            (
                "od",
                "30 mm @ 0: 66.676 mm\n30 mm @ 90: 66.675 mm\n120 mm @ 0: 66.675 mm\n120 mm @ 90: 66.678 mm\n250 mm @ 0: 66.675 mm\n250 mm @ 90: 66.63 mm",
            ),
        ],
    )?;
    telling.log(
        Kind::Strip,
        fired.on,
        CONDUCTOR,
        &[
            ("casing", "MF-60-05"),
            ("heat", "good"),
            ("straight_edge", "good"),
            ("bore", "good"),
            ("od", "250 mm @ 90: 66.68 mm"),
            ("remark", "read again with the other micrometer: it does not agree with the first reading"),
        ],
    )?;
    keep(telling, fired.on, "MF-60-05", "patch unchanged, HB 74; stays restricted")
}

pub(super) fn finch_blown_by(telling: &mut Telling, fired: &Fired) -> Result<(), DemoError> {
    strip(
        telling,
        fired,
        &[
            ("seals", "finding"),
            ("bore", "finding"),
            ("remark", "ring nicked at assembly; soot past it at 210 deg"),
        ],
    )?;
    telling.log(
        Kind::Finding,
        fired.on,
        INSPECTOR,
        &[
            ("casing", "MF-41-07"),
            ("damage", "thread damage"),
            ("count", "2"),
            ("clock", "210"),
            ("station", "290 mm"),
            ("found_by", "soot track, missing crests"),
            ("evidence", "two threads eroded over 25 deg at the aft cap; HB 95 to 88 there"),
        ],
    )?;
    telling.log(
        Kind::Finding,
        fired.on,
        INSPECTOR,
        &[
            ("casing", "MF-41-07"),
            ("damage", "seal damage"),
            ("clock", "210"),
            ("found_by", "both faces after removal"),
            ("evidence", "nicked at assembly, burnt through on one side"),
        ],
    )?;
    telling.log(Kind::Disposition, fired.on, KEEPER, &[
        ("casing", "MF-41-07"), ("decision", "hold"),
        ("reason", "thread blow-by; proposal: part off 14 mm, recut, proof again at 7.35 MPa. The decision is waiting"),
        ("second", SAFETY),
    ])
}

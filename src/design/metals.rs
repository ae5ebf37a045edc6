//! The table of metals. Every strength is a minimum; each row names its source.

use super::ProductForm::{self, Bar, DrawnTube, Extruded, Pipe, Plate};
use super::material::{Family, Metal, Minimum, StrengthBasis, Welded};
use crate::quantity::{Length, Stress};

const fn mpa(value: f64) -> Stress {
    Stress::mpa(value)
}

const fn ksi(value: f64) -> Stress {
    Stress::ksi(value)
}

const fn minimum(
    forms: &'static [ProductForm],
    fy: Stress,
    fu: Stress,
    up_to_mm: f64,
    source: &'static str,
) -> Minimum {
    Minimum { forms, yield_strength: fy, ultimate_strength: fu, up_to: Length::mm(up_to_mm), source }
}

const fn welded(fy: Stress, fu: Stress, source: &'static str) -> Welded {
    Welded::Strength { yield_strength: fy, ultimate_strength: fu, source }
}

const TUBULAR: &[ProductForm] = &[DrawnTube, Extruded, Pipe, Bar];
const ANY: &[ProductForm] = &[DrawnTube, Extruded, Pipe, Plate, Bar];
/// kg/m3 in one lb/in3, exactly (NIST SP 811).
const LB_IN3: f64 = 0.453_592_37 / 1.638_706_4e-5;

/// A row of the aluminium table; the physical values of a magnesium-silicon alloy unless changed below.
const fn aluminium(
    name: &'static str,
    also: &'static [&'static str],
    forms: &'static [Minimum],
    joint: Welded,
) -> Metal {
    Metal {
        name,
        also,
        family: Family::Aluminium,
        forms,
        basis: StrengthBasis::Minimum,
        welded: joint,
        modulus: ksi(10_000.0),
        poisson: 0.33,
        density_kg_m3: 0.0975 * LB_IN3,
        expansion_per_k: 23.6e-6,
        physical_source: "Aluminum Association typical physical values of 6061: 10,000 ksi, 0.0975 lb/in3, 23.6e-6 per K",
        typical: None,
    }
}

/// A row of the carbon-steel table.
const fn steel(
    name: &'static str,
    also: &'static [&'static str],
    forms: &'static [Minimum],
    joint: Welded,
) -> Metal {
    Metal {
        name,
        also,
        family: Family::Steel,
        forms,
        basis: StrengthBasis::Minimum,
        welded: joint,
        modulus: mpa(200_000.0),
        poisson: 0.29,
        density_kg_m3: 7850.0,
        expansion_per_k: 11.7e-6,
        physical_source: "EN 1993-1-1 3.2.6 density, handbook modulus and expansion of carbon steel (from memory)",
        typical: None,
    }
}

const ADM: &str = "yield: Aluminum Design Manual 2010, metric table (from memory), ultimate 24 ksi: AWS D1.2; \
                   the lower of these and EN 1999-1-1 Table 3.2b (115/175)";
const SHIGLEY: &str =
    "Shigley, Mechanical Engineering Design, Table A-20, estimated ASTM minimum (from memory)";
const REFUSED_7075: &str = "high-copper Al-Zn-Mg alloys crack as a fusion weld solidifies and are left open to \
                            stress corrosion; EN 1999-1-1 and AWS D1.2 list no welded strength for it";
const REFUSED_2024: &str = "Al-Cu-Mg alloys crack as a fusion weld solidifies; EN 1999-1-1 and AWS D1.2 list no \
                            welded strength for it";

pub(super) static ALL: &[Metal] = &[
    Metal {
        typical: Some((ksi(40.0), ksi(45.0), "Aluminum Association typical values")),
        ..aluminium(
            "6061-T6",
            &["6061-T651", "6061-T6511"],
            &[
                minimum(
                    TUBULAR,
                    mpa(240.0),
                    mpa(260.0),
                    20.0,
                    "EN 1999-1-1:2007 Table 3.2b, minimum, wall up to 20 mm",
                ),
                minimum(
                    &[Plate],
                    mpa(240.0),
                    mpa(290.0),
                    80.0,
                    "EN 1999-1-1:2007 Table 3.2a, minimum (from memory)",
                ),
            ],
            welded(mpa(105.0), mpa(165.0), ADM),
        )
    },
    aluminium(
        "6061-T4",
        &["6061-T451"],
        &[minimum(ANY, mpa(110.0), mpa(179.0), 25.0, "ASTM B221 minimum, 16/26 ksi, rounded down")],
        welded(mpa(95.0), mpa(150.0), "EN 1999-1-1:2007 Table 3.2b heat-affected zone (from memory)"),
    ),
    aluminium(
        "6063-T5",
        &[],
        &[minimum(
            &[Extruded, Pipe, DrawnTube],
            mpa(110.0),
            mpa(151.0),
            12.7,
            "ASTM B221 minimum, 16/22 ksi, rounded down, up to 12.7 mm",
        )],
        welded(mpa(60.0), mpa(100.0), "EN 1999-1-1:2007 Table 3.2b heat-affected zone (from memory)"),
    ),
    aluminium(
        "6063-T6",
        &[],
        &[
            minimum(
                &[Extruded, Pipe, Bar],
                mpa(160.0),
                mpa(195.0),
                25.0,
                "EN 1999-1-1:2007 Table 3.2b, minimum, extruded up to 25 mm",
            ),
            minimum(
                &[DrawnTube],
                mpa(190.0),
                mpa(220.0),
                20.0,
                "EN 1999-1-1:2007 Table 3.2b, minimum, drawn tube up to 20 mm",
            ),
        ],
        welded(mpa(65.0), mpa(110.0), "EN 1999-1-1:2007 Table 3.2b heat-affected zone"),
    ),
    Metal {
        density_kg_m3: 2700.0,
        modulus: mpa(70_000.0),
        poisson: 0.3,
        expansion_per_k: 23.0e-6,
        physical_source: "EN 1999-1-1:2007 3.2.5 (from memory)",
        ..aluminium(
            "6082-T6",
            &["6082-T651"],
            &[
                minimum(
                    &[Extruded, Pipe],
                    mpa(250.0),
                    mpa(290.0),
                    5.0,
                    "EN 1999-1-1:2007 Table 3.2b, minimum, wall up to 5 mm (from memory)",
                ),
                minimum(
                    &[DrawnTube],
                    mpa(240.0),
                    mpa(310.0),
                    20.0,
                    "EN 1999-1-1:2007 Table 3.2b, minimum, lowest of wall up to 20 mm (from memory)",
                ),
                minimum(
                    &[Bar],
                    mpa(250.0),
                    mpa(295.0),
                    20.0,
                    "EN 1999-1-1:2007 Table 3.2b, minimum, up to 20 mm (from memory)",
                ),
                minimum(
                    &[Plate],
                    mpa(240.0),
                    mpa(295.0),
                    100.0,
                    "EN 1999-1-1:2007 Table 3.2a, minimum, lowest up to 100 mm (from memory)",
                ),
            ],
            welded(mpa(125.0), mpa(185.0), "EN 1999-1-1:2007 Table 3.2b heat-affected zone (from memory)"),
        )
    },
    Metal {
        density_kg_m3: 2810.0,
        modulus: mpa(71_000.0),
        expansion_per_k: 23.4e-6,
        physical_source: "Aluminum Association typical physical values of 7075 (from memory)",
        ..aluminium(
            "7075-T6",
            &["7075-T651", "7075-T6511"],
            &[minimum(
                ANY,
                mpa(455.0),
                mpa(530.0),
                25.0,
                "ASTM B210, B221, B209, B211 lowest minimum up to 25 mm, 66/77 ksi (from memory)",
            )],
            Welded::Refused { reason: REFUSED_7075 },
        )
    },
    Metal {
        density_kg_m3: 2780.0,
        modulus: mpa(72_400.0),
        expansion_per_k: 23.2e-6,
        physical_source: "Aluminum Association typical physical values of 2024 (from memory)",
        ..aluminium(
            "2024-T3",
            &["2024-T351", "2024-T3511"],
            &[
                minimum(
                    &[Extruded, Pipe, Bar],
                    mpa(290.0),
                    mpa(393.0),
                    6.3,
                    "ASTM B221 minimum up to 6.3 mm, 42/57 ksi (from memory)",
                ),
                minimum(
                    &[DrawnTube, Plate],
                    mpa(290.0),
                    mpa(434.0),
                    6.3,
                    "ASTM B210 and B209 minimum, 42/63 ksi (from memory)",
                ),
            ],
            Welded::Refused { reason: REFUSED_2024 },
        )
    },
    Metal {
        basis: StrengthBasis::Assumed,
        ..steel(
            "DOM steel",
            &["DOM", "DOM tube", "1020 DOM", "1026 DOM"],
            &[minimum(
                &[DrawnTube, Pipe],
                mpa(415.0),
                mpa(485.0),
                12.7,
                "assumed, 60/70 ksi: no certificate; shop practice for drawn-over-mandrel tube, ASTM A513 not read",
            )],
            welded(
                mpa(205.0),
                mpa(379.0),
                "assumed as annealed: hot-rolled 1020, Shigley Table A-20, 30/55 ksi (from memory)",
            ),
        )
    },
    steel(
        "1018 HR",
        &["1018"],
        &[minimum(ANY, mpa(220.0), mpa(400.0), 30.0, SHIGLEY)],
        welded(mpa(220.0), mpa(400.0), SHIGLEY),
    ),
    steel(
        "1018 CD",
        &["1018 cold drawn"],
        &[minimum(ANY, ksi(54.0), ksi(64.0), 30.0, SHIGLEY)],
        welded(
            mpa(220.0),
            mpa(400.0),
            "as hot-rolled 1018, Shigley Table A-20 (from memory): welding undoes cold drawing",
        ),
    ),
    steel(
        "1020 HR",
        &["1020"],
        &[minimum(ANY, ksi(30.0), ksi(55.0), 30.0, SHIGLEY)],
        welded(ksi(30.0), ksi(55.0), SHIGLEY),
    ),
    steel(
        "1020 CD",
        &["1020 cold drawn"],
        &[minimum(ANY, ksi(57.0), ksi(68.0), 30.0, SHIGLEY)],
        welded(
            ksi(30.0),
            ksi(55.0),
            "as hot-rolled 1020, Shigley Table A-20 (from memory): welding undoes cold drawing",
        ),
    ),
    steel(
        "4130 normalized",
        &["4130N", "4130 normalised"],
        &[minimum(
            ANY,
            ksi(75.0),
            ksi(95.0),
            4.775,
            "MIL-HDBK-5J, 4130 normalized, wall up to 0.188 in; thicker 70/90 ksi (from memory)",
        )],
        welded(
            ksi(63.0),
            ksi(80.0),
            "MIL-HDBK-5J, 80 ksi near fusion welds not heat treated after (from memory); yield taken down in proportion",
        ),
    ),
    steel(
        "A36",
        &["A-36", "ASTM A36"],
        &[minimum(ANY, ksi(36.0), ksi(58.0), 200.0, "ASTM A36 minimum (from memory)")],
        welded(
            ksi(36.0),
            ksi(58.0),
            "ASTM A36 minimum: as-rolled steel keeps its strength beside a sound weld (from memory)",
        ),
    ),
    Metal {
        family: Family::Stainless,
        modulus: mpa(193_000.0),
        density_kg_m3: 8000.0,
        expansion_per_k: 17.2e-6,
        physical_source: "handbook physical values of type 304 (from memory)",
        ..steel(
            "304",
            &["304 annealed", "1.4301", "AISI 304"],
            &[minimum(
                ANY,
                ksi(30.0),
                ksi(75.0),
                100.0,
                "ASTM A240 and A312 minimum, annealed (from memory)",
            )],
            welded(ksi(30.0), ksi(75.0), "annealed minimum: welding anneals it (from memory)"),
        )
    },
];

//! The fields of a casing on paper: a design file has them, and every casing entry.

use crate::book::form::{Ask, Field, may, must, only};
use crate::design::{EndKind, PlateEdge, ProductForm};
use crate::quantity::Dimension::{Length, Pressure, Temperature};

macro_rules! end_fields {
    ($end:literal, $label:literal) => {
        [
            must(
                concat!($end, ".kind"),
                concat!($label, " end"),
                Ask::Word(EndKind::WORDS),
                "how it is closed",
            ),
            only(
                (concat!($end, ".kind"), &["welded plug"]),
                concat!($end, ".leg"),
                concat!($label, " weld leg"),
                Ask::Quantity(Length),
                "leg of the fillet weld, 2.8 mm",
            ),
            only(
                (concat!($end, ".kind"), &["radial bolts"]),
                concat!($end, ".count"),
                concat!($label, " bolts"),
                Ask::Whole,
                "how many radial bolts",
            ),
            only(
                (concat!($end, ".kind"), &["radial bolts"]),
                concat!($end, ".bolt"),
                concat!($label, " bolt size"),
                Ask::Text,
                "10-32, 1/4-28, M5x0.8",
            ),
            only(
                (concat!($end, ".kind"), &["radial bolts", "retaining ring"]),
                concat!($end, ".edge"),
                concat!($label, " edge distance"),
                Ask::Quantity(Length),
                "hole centre, or groove, to the tube end, 10 mm",
            ),
            only(
                (concat!($end, ".kind"), &["radial bolts"]),
                concat!($end, ".bolt_ultimate"),
                concat!($label, " bolt strength"),
                Ask::Quantity(Pressure),
                "least ultimate strength of the bolt, 150 ksi",
            ),
            only(
                (concat!($end, ".kind"), &["threaded cap"]),
                concat!($end, ".pitch_diameter"),
                concat!($label, " pitch diameter"),
                Ask::Quantity(Length),
                "pitch DIAMETER of the thread",
            ),
            only(
                (concat!($end, ".kind"), &["threaded cap"]),
                concat!($end, ".engagement"),
                concat!($label, " engagement"),
                Ask::Quantity(Length),
                "engaged length of thread",
            ),
            only(
                (concat!($end, ".kind"), &["threaded cap"]),
                concat!($end, ".relief_diameter"),
                concat!($label, " relief diameter"),
                Ask::Quantity(Length),
                "bore DIAMETER at the thread relief",
            ),
            only(
                (concat!($end, ".kind"), &["retaining ring"]),
                concat!($end, ".groove_depth"),
                concat!($label, " groove depth"),
                Ask::Quantity(Length),
                "radial depth of the groove, 1.2 mm",
            ),
            only(
                (concat!($end, ".kind"), &["retaining ring"]),
                concat!($end, ".ring_thickness"),
                concat!($label, " ring thickness"),
                Ask::Quantity(Length),
                "thickness of the ring",
            ),
            may(
                concat!($end, ".seal_diameter"),
                concat!($label, " seal diameter"),
                Ask::Quantity(Length),
                "DIAMETER the pressure acts on; the bore when left out",
            ),
            may(
                concat!($end, ".plate.thickness"),
                concat!($label, " plate thickness"),
                Ask::Quantity(Length),
                "thickness of a flat end plate, where there is one",
            ),
            may(
                concat!($end, ".plate.edge"),
                concat!($label, " plate rim"),
                Ask::Word(PlateEdge::WORDS),
                "how its rim is held",
            ),
            may(
                concat!($end, ".plate.material"),
                concat!($label, " plate metal"),
                Ask::Text,
                "the tube's when left out",
            ),
        ]
    };
}

const FORWARD: [Field; 15] = end_fields!("forward", "Forward");
const AFT: [Field; 15] = end_fields!("aft", "Aft");

const TUBE: [Field; 9] = [
    must(
        "tube.material",
        "Tube metal",
        Ask::Text,
        "alloy and temper, 6061-T6; an unlisted metal needs its strengths below",
    ),
    may("tube.form", "Product form", Ask::Word(ProductForm::WORDS), "decides the published minimum"),
    must("tube.od", "Outside diameter", Ask::Quantity(Length), "outside DIAMETER, 2.000 in"),
    must("tube.wall", "Wall", Ask::Quantity(Length), "nominal wall, 0.065 in"),
    may(
        "tube.wall_min",
        "Least wall measured",
        Ask::Quantity(Length),
        "least of at least eight readings; without it the mill tolerance comes off",
    ),
    may("tube.length", "Tube length", Ask::Quantity(Length), "cut length, 16 in"),
    may(
        "tube.yield",
        "Least yield",
        Ask::Quantity(Pressure),
        "only for an unlisted metal; shown as assumed everywhere",
    ),
    may("tube.ultimate", "Least ultimate", Ask::Quantity(Pressure), "only for an unlisted metal"),
    may("tube.modulus", "Modulus", Ask::Quantity(Pressure), "only for an unlisted metal"),
];

pub(super) const fn join<const A: usize, const B: usize, const C: usize>(
    a: [Field; A],
    b: [Field; B],
) -> [Field; C] {
    assert!(A + B == C, "the joined table must be as long as its parts");
    let mut all = [may("", "", Ask::Text, ""); C];
    let mut i = 0;
    while i < A {
        all[i] = a[i];
        i += 1;
    }
    while i < C {
        all[i] = b[i - A];
        i += 1;
    }
    all
}

const POISSON: [Field; 1] =
    [may("tube.poisson", "Poisson's ratio", Ask::Number, "only for an unlisted metal, 0.33")];
const SERVICE: [Field; 2] = [
    must(
        "service.meop",
        "MEOP",
        Ask::GaugePressure,
        "highest pressure the owner says a load may reach, above the atmosphere, 5.7 MPa",
    ),
    may(
        "service.wall_temperature",
        "Wall temperature",
        Ask::Quantity(Temperature),
        "hottest the wall gets under pressure, 20 degC",
    ),
];

const TUBE_ALL: [Field; 10] = join(TUBE, POISSON);
const ENDS: [Field; 30] = join(FORWARD, AFT);
const TUBE_ENDS: [Field; 40] = join(TUBE_ALL, ENDS);
pub(super) const DESIGN_TABLE: [Field; 42] = join(TUBE_ENDS, SERVICE);

/// The fields of a design file (`margins --design`), which a casing entry also has.
pub const DESIGN: &[Field] = &DESIGN_TABLE;

//! Every form, field by field. This table is what `log KIND --help`, the TOML keys, the terminal's forms and
//! the paper forms are made from.

mod design;

pub use design::DESIGN;
use design::{DESIGN_TABLE, join};

use super::form::{Ask, Field, Form, may, must, only};
use super::reading::Phase;
use super::words::{
    Decision, Event, FiringMode, FitAction, Instrument, Kind, Landing, Medium, Outcome, PeakFrom, Position,
    ProofMethod, Role,
};
use crate::quantity::Dimension::{Density, Force, Impulse, Length, Mass, Speed, Temperature, Time, Volume};

/// The fields every form begins with.
pub const HEAD: &[Field] = &[
    may("on", "Happened on", Ask::Date, "the day it happened, 2026-10-03; today when left out"),
    may("date_approximate", "Date is a guess", Ask::YesNo, "yes for an old notebook's rough date"),
    must("by", "Written by", Ask::Text, "who writes this entry (or --by, or PROOFMARK_BY)"),
    may("second", "Second person", Ask::Text, "the independent second person who looked"),
];

/// What is asked beside an entry that is written again, of the crossing out of the old one.
pub const CROSSING: &[Field] = &[
    must(
        "because",
        "Why it was wrong",
        Ask::LongText,
        "why the entry as it stands is wrong; it stays readable, crossed out",
    ),
    may(
        "agreed",
        "Who agrees that it was",
        Ask::Text,
        "the second person who agrees; needed where the casing would stand better for it",
    ),
];

/// The form of a kind, where a person may write one.
pub fn form(kind: Kind) -> Option<&'static Form> {
    FORMS.iter().find(|form| form.kind == kind)
}

const OD_GAUGE: Field =
    may("od_gauge", "Read with", Ask::Gauge, "the gauge the diameters were read with, M-01");

const CASING_OWN: [Field; 10] = [
    must("serial", "Serial", Ask::NewName, "its permanent mark, MF-48-10"),
    may("name", "Name", Ask::Text, "what people call it"),
    may("revision", "Revision", Ask::Text, "A when left out; a changed dimension is a new revision"),
    may("machinist", "Machinist", Ask::Text, "who turned it"),
    may("welder", "Welder", Ask::Text, "who welded it"),
    may("tube_lot", "Tube lot", Ask::Text, "heat or lot of the tube, or unknown"),
    may("drawing", "Drawing", Ask::Text, "drawing and revision"),
    may(
        "od",
        "Birth diameters",
        Ask::Readings,
        "outside DIAMETERS at stations, one a row: 12 mm @ 0: 50.80 mm",
    ),
    OD_GAUGE,
    may("remark", "Remark", Ask::LongText, "anything else"),
];
const CASING: [Field; 52] = join(CASING_OWN, DESIGN_TABLE);

const LOAD_NUMBERS: [Field; 5] = [
    may("propellant.density", "Density", Ask::Quantity(Density), "1680 kg/m3"),
    may("propellant.characteristic_velocity", "Characteristic velocity", Ask::Quantity(Speed), "1370 m/s"),
    may(
        "propellant.burn_rate",
        "Burn rate",
        Ask::BurnRate,
        "at an absolute pressure, abs unless it says gauge: 7.0 mm/s at 5 MPa abs",
    ),
    may("propellant.exponent", "Pressure exponent", Ask::Number, "0.36"),
    may("propellant.ratio_of_heats", "Ratio of heats", Ask::Number, "1.2"),
];

const PRESSURE_READERS: (&str, &[&str]) = ("what", &["pressure gauge", "pressure transducer"]);
const LENGTH_READERS: (&str, &[&str]) = (
    "what",
    &["micrometer", "calipers", "dial gauge", "pi tape", "bore gauge", "pin gauges", "ultrasonic wall gauge"],
);

const ITEM: Ask = Ask::Word(Outcome::WORDS);

const COLUMNS: [Field; 2] = [
    may(
        "column",
        "Trace columns",
        Ask::Names,
        "where the header does not say, with commas between: time=t:ms, thrust=Load:lbf",
    ),
    may(
        "calibration",
        "Trace calibration",
        Ask::Names,
        "raw to real, with semicolons between: thrust=SLOPE,OFFSET",
    ),
];

/// Every form a person may fill in.
pub const FORMS: &[Form] = &[
    Form { kind: Kind::Casing, does: "Register a casing, or a new revision of one", fields: &CASING },
    Form {
        kind: Kind::Part,
        does: "Register a part with a life of its own",
        fields: &[
            must("serial", "Serial", Ask::NewName, "its permanent mark, N-02"),
            must("what", "What it is", Ask::Word(Position::WORDS), "what kind of part"),
            may("material", "Metal", Ask::Text, "alloy and temper"),
            may("maker", "Maker", Ask::Text, "who made or welded it"),
            may("lot", "Lot", Ask::Text, "heat, lot or order"),
            may("life_firings", "Life", Ask::Whole, "firings it may see in all, 12"),
            may("firings_before", "Firings before", Ask::Whole, "firings it saw before this book began"),
            may("throat", "Throat", Ask::Quantity(Length), "throat DIAMETER of a nozzle part: U drill"),
            may("remark", "Remark", Ask::LongText, "anything else"),
        ],
    },
    Form {
        kind: Kind::Fit,
        does: "Put a part into a casing, or take it out",
        fields: &[
            must("casing", "Casing", Ask::Casing, "serial on record"),
            must("part", "Part", Ask::Part, "serial on record"),
            may(
                "position",
                "Position",
                Ask::Word(Position::WORDS),
                "where it sits; what the part is when left out",
            ),
            may("action", "Action", Ask::Word(FitAction::WORDS), "fitted when left out"),
            may("throat", "Throat as fitted", Ask::Quantity(Length), "throat DIAMETER, where it was reamed"),
            may("remark", "Remark", Ask::LongText, "what was looked at, why it moved"),
        ],
    },
    Form {
        kind: Kind::Proof,
        does: "Record a hydrostatic test (water, never gas)",
        fields: &[
            must("casing", "Casing", Ask::Casing, "serial on record"),
            must(
                "pressure",
                "Pressure",
                Ask::GaugePressure,
                "highest reached, above the atmosphere, 8.85 MPa",
            ),
            must("medium", "Medium", Ask::Word(Medium::WORDS), "water; gas is refused"),
            must("bled", "Bled of air", Ask::YesNo, "bled until solid"),
            may("hold", "Hold", Ask::Quantity(Time), "how long it was held, 5 min"),
            must("method", "Method", Ask::Word(ProofMethod::WORDS), "how growth was measured"),
            may(
                "total_expansion",
                "Total expansion",
                Ask::Quantity(Volume),
                "water compression taken off, 2.91 cc",
            ),
            may("permanent_expansion", "Permanent expansion", Ask::Quantity(Volume), "0.03 cc"),
            may("od_before", "Diameters before", Ask::Readings, "one a row: 120 mm @ 0: 50.80 mm"),
            may(
                "od_under",
                "Diameters at pressure",
                Ask::Readings,
                "at the same stations; by a gauge left in place",
            ),
            may("od_after", "Diameters after", Ask::Readings, "at the same stations, ten minutes after"),
            must("leak", "Leak", Ask::YesNo, "any leak through wall, weld, thread or seal"),
            must("pressure_drop", "Pressure drop", Ask::YesNo, "a drop without a wet joint"),
            may("gauge", "Gauge", Ask::Gauge, "its mark, G-03"),
            OD_GAUGE,
            may(
                "rig_checked",
                "Rig checked",
                Ask::YesNo,
                "relief set, shield, hoses tied, two gauges, chain, nobody near",
            ),
            may(
                "water_volume",
                "Water inside",
                Ask::Quantity(Volume),
                "before pumping, weighed or measured: 0.62 L",
            ),
            may(
                "water_pumped",
                "Water pumped in",
                Ask::Quantity(Volume),
                "up to the proof pressure, direct expansion: its compression is taken off",
            ),
            may("water_returned", "Water given back", Ask::Quantity(Volume), "when the pressure was let off"),
            may(
                "steps",
                "Steps",
                Ask::LongText,
                "pressure and strokes since the step before, one a row: 0.95 MPa: 6",
            ),
            may("water_temperature", "Water temperature", Ask::Quantity(Temperature), "18 degC"),
            may("remark", "Remark", Ask::LongText, "anything else"),
        ],
    },
    Form {
        kind: Kind::Load,
        does: "Record a load: grain, throat and what it is planned to do (never a recipe)",
        fields: &[
            must("name", "Name", Ask::NewName, "48A"),
            may("revision", "Revision", Ask::Text, "A when left out"),
            must(
                "peak_pressure",
                "Planned peak",
                Ask::GaugePressure,
                "above the atmosphere unless you say abs: 734 psi, 5.16 MPa abs",
            ),
            may("peak_thrust", "Planned peak thrust", Ask::Quantity(Force), "523 N"),
            may("impulse", "Planned impulse", Ask::Quantity(Impulse), "951 Ns"),
            may("burn_time", "Planned burn time", Ask::Quantity(Time), "1.95 s"),
            may("propellant_mass", "Propellant mass", Ask::Quantity(Mass), "473 g"),
            may("peak_scatter", "Scatter of the peak", Ask::Percent, "one sigma; the club's when left out"),
            may("grain.count", "Segments", Ask::Whole, "how many, 3"),
            may("grain.outside_diameter", "Grain diameter", Ask::Quantity(Length), "outside DIAMETER, 43 mm"),
            may("grain.core", "Core", Ask::Quantity(Length), "core DIAMETER, 16 mm"),
            may("grain.length", "Segment length", Ask::Quantity(Length), "75 mm"),
            may(
                "grain.inhibited_ends",
                "Inhibited end faces",
                Ask::Whole,
                "of the whole stack, 0 when left out",
            ),
            LOAD_NUMBERS[0],
            LOAD_NUMBERS[1],
            LOAD_NUMBERS[2],
            LOAD_NUMBERS[3],
            LOAD_NUMBERS[4],
            may(
                "nozzle.throat",
                "Throat",
                Ask::Quantity(Length),
                "throat DIAMETER: U drill, 27/64 in, 9.35 mm",
            ),
            may("nozzle.area_ratio", "Area ratio", Ask::Number, "exit over throat, 8"),
            may("nozzle.exit", "Exit", Ask::Quantity(Length), "exit DIAMETER, instead of the ratio"),
            may("nozzle.half_angle", "Half angle", Ask::Number, "degrees, 12"),
            may("nozzle.efficiency", "Nozzle efficiency", Ask::Number, "0.95"),
            may("planned_by", "How planned", Ask::Text, "calculation, earlier firings"),
            may("remark", "Remark", Ask::LongText, "anything else; never a recipe"),
        ],
    },
    Form {
        kind: Kind::Batch,
        does: "Record a batch by its numbers (never a recipe)",
        fields: &[
            must("name", "Name", Ask::NewName, "P26-1"),
            LOAD_NUMBERS[0],
            LOAD_NUMBERS[1],
            LOAD_NUMBERS[2],
            LOAD_NUMBERS[3],
            LOAD_NUMBERS[4],
            may("burn_rate_factor", "Burn-rate factor", Ask::Number, "against the club's nominal, 0.98"),
            may("at_temperature", "At grain temperature", Ask::Quantity(Temperature), "20 degC"),
            may("numbers_from", "Where from", Ask::Text, "which motors or strands the numbers came from"),
            may("remark", "Remark", Ask::LongText, "anything else; never a recipe"),
        ],
    },
    Form {
        kind: Kind::Gauge,
        does: "Register an instrument, or a new calibration of one",
        fields: &[
            must(
                "serial",
                "Mark",
                Ask::NewName,
                "what is written on it, M-01; the same again for a new calibration",
            ),
            must("what", "What it is", Ask::Word(Instrument::WORDS), "what kind of instrument"),
            may("maker", "Maker", Ask::Text, "maker and model"),
            may("calibrated_on", "Calibrated on", Ask::Date, "2026-08-01"),
            may("calibration_due", "Good until", Ask::Date, "the last day that calibration is good for"),
            may(
                "certificate",
                "Compared with",
                Ask::Text,
                "certificate, or the gauge block or gauge it was compared with",
            ),
            only(PRESSURE_READERS, "full_scale", "Full scale", Ask::GaugePressure, "16 MPa"),
            only(
                PRESSURE_READERS,
                "pressure_uncertainty",
                "Uncertainty",
                Ask::GaugePressure,
                "stated, 0.1 MPa",
            ),
            only(LENGTH_READERS, "least", "Reads from", Ask::Quantity(Length), "25 mm"),
            only(LENGTH_READERS, "most", "Reads to", Ask::Quantity(Length), "75 mm"),
            only(LENGTH_READERS, "uncertainty", "Uncertainty", Ask::Quantity(Length), "stated, 0.005 mm"),
            only(
                ("what", &["burette"]),
                "volume_uncertainty",
                "Uncertainty",
                Ask::Quantity(Volume),
                "stated, 0.05 mL",
            ),
            may("remark", "Remark", Ask::LongText, "anything else"),
        ],
    },
    Form {
        kind: Kind::Study,
        does: "Find out what an instrument repeats to: read one thing again and again",
        fields: &[
            must("gauge", "Gauge", Ask::Gauge, "its mark, on record"),
            must("measured", "What was read", Ask::Text, "one place of one thing: T-06 at 120 mm, 0 deg"),
            must(
                "lengths",
                "Readings",
                Ask::LongText,
                "one a row, taken off and put on again each time: 3 at least, 10 are better",
            ),
            may("remark", "Remark", Ask::LongText, "temperature of part and tool"),
        ],
    },
    Form {
        kind: Kind::Person,
        does: "Put somebody on the list of those who sign, or take them off it",
        fields: &[
            must("name", "Name", Ask::Text, "as it is signed"),
            must("role", "Role", Ask::Word(Role::WORDS), "what they do in the club"),
            may("leaves", "Leaves", Ask::YesNo, "yes takes them off the list"),
            may("remark", "Remark", Ask::LongText, "training, licence"),
        ],
    },
    Form {
        kind: Kind::Firing,
        does: "Record a firing that happened",
        fields: &[
            must("casing", "Casing", Ask::Casing, "serial on record"),
            must("mode", "Mode", Ask::Word(FiringMode::WORDS), "static or flight"),
            must("load", "Load", Ask::Load, "load on record"),
            may("batch", "Batch", Ask::Batch, "batch on record"),
            may("place", "Place", Ask::Text, "where"),
            may("conductor", "Test conductor", Ask::Text, "who ran it"),
            may(
                "peak_pressure",
                "Peak pressure",
                Ask::GaugePressure,
                "above the atmosphere unless you say abs: 726 psi, 5.11 MPa abs",
            ),
            may("peak_from", "Peak taken from", Ask::Word(PeakFrom::WORDS), "how that pressure is known"),
            may("peak_thrust", "Peak thrust", Ask::Quantity(Force), "517 N"),
            may("impulse", "Impulse", Ask::Quantity(Impulse), "950 Ns"),
            may("burn_time", "Burn time", Ask::Quantity(Time), "1.97 s"),
            may("grain_temperature", "Grain temperature", Ask::Quantity(Temperature), "17 degC"),
            may("ignition_delay", "Ignition delay", Ask::Quantity(Time), "0.2 s"),
            may("throat_before", "Throat before", Ask::Quantity(Length), "throat DIAMETER before"),
            may("throat_after", "Throat after", Ask::Quantity(Length), "throat DIAMETER after"),
            only(
                ("mode", &["flight"]),
                "landing",
                "Landing",
                Ask::Word(Landing::WORDS),
                "soft, hard or lost",
            ),
            may("trace", "Trace file", Ask::File, "CSV of the test stand; kept with its hash"),
            COLUMNS[0],
            COLUMNS[1],
            may(
                "breach_reason",
                "Why it was fired anyway",
                Ask::LongText,
                "only where the record forbade it: who decided, and why",
            ),
            may("remark", "Remark", Ask::LongText, "flame, noise, leaks, ejecta"),
        ],
    },
    Form {
        kind: Kind::Trace,
        does: "Attach a test-stand file to a firing, reduced and kept with its hash",
        fields: &[
            must("casing", "Casing", Ask::Casing, "serial on record"),
            may("firing", "Firing", Ask::Entry, "entry number of the firing; the last one when left out"),
            must("file", "File", Ask::File, "CSV of the test stand"),
            COLUMNS[0],
            COLUMNS[1],
        ],
    },
    Form {
        kind: Kind::Strip,
        does: "Record a strip-down inspection, in its order",
        fields: &[
            must("casing", "Casing", Ask::Casing, "serial on record"),
            may("firing", "Firing", Ask::Entry, "entry number of the firing; the last one when left out"),
            may("as_found", "1 As found", ITEM, "photographed before anything was touched"),
            may("heat", "2 Heat check", ITEM, "hand, labels, colour, char of the wall"),
            may(
                "label_temperature",
                "2 Hottest label",
                Ask::Quantity(Temperature),
                "the hottest label that turned, 110 degC",
            ),
            may("straight_edge", "3 Straight-edge", ITEM, "along the outside, before taking apart"),
            may("effort", "4 Effort", ITEM, "a stuck closure is a finding"),
            may("seals", "5 Seals", ITEM, "both faces, in order"),
            may("liner", "6 Liner", ITEM, "cut open: char, thinnest point"),
            may("throat", "7 Throat", ITEM, "pin or drill at four angles, slag"),
            may(
                "throats",
                "7 Throat readings",
                Ask::Readings,
                "DIAMETERS, one a row: 9.40 mm, or with the angle 0 mm @ 90: 9.40 mm",
            ),
            may("cleaned", "8 Cleaned", ITEM, "after measuring, not before"),
            may("bore", "9 Bore", ITEM, "threads, grooves and holes too"),
            may("diameters", "10 Diameters", ITEM, "good when readings are given below"),
            may("od", "10 Outside diameters", Ask::Readings, "one a row: 250 mm @ 90: 66.68 mm"),
            may(
                "od_gauge",
                "10 Read with",
                Ask::Gauge,
                "the gauge the outside diameters were read with, M-01",
            ),
            may("id", "10 Inside diameters", Ask::Readings, "one a row: 250 mm @ 90: 60.33 mm"),
            may("hardness", "11 Hardness", ITEM, "at the reference and any suspect point"),
            may("hb", "11 Hardness readings", Ask::Hardness, "one a row: 250 mm @ 90: 74"),
            may("penetrant", "12 Penetrant", ITEM, "at welds and grooves, when due"),
            may("ring", "13 Ring", ITEM, "tap: clear is good"),
            may("remark", "Remark", Ask::LongText, "what was seen, before what was concluded"),
        ],
    },
    Form {
        kind: Kind::Finding,
        does: "Record damage, with place, size and evidence",
        fields: &[
            may("casing", "Casing", Ask::Casing, "serial on record; or a part below"),
            may("part", "Part", Ask::Part, "serial on record"),
            must("damage", "Damage", Ask::Word(super::damage::Damage::WORDS), "what kind"),
            may(
                "percent",
                "Per cent",
                Ask::Percent,
                "the share it is measured by: growth, depth over wall, hardness lost",
            ),
            may("depth", "Depth or size", Ask::Quantity(Length), "depth, length or size"),
            may("temperature", "Temperature reached", Ask::Quantity(Temperature), "190 degC"),
            may("count", "How many", Ask::Whole, "threads damaged"),
            may("hardness", "Hardness there", Ask::Number, "HB at the place; gives its local strength"),
            may("wall_left", "Wall left", Ask::Quantity(Length), "least wall at the place"),
            may("station", "Station", Ask::Quantity(Length), "from the forward seal face"),
            may("clock", "Clock angle", Ask::Number, "degrees, 0 to 360"),
            may("found_by", "Found by", Ask::Text, "straight-edge, penetrant, light"),
            must("evidence", "Evidence", Ask::LongText, "what was seen, before what was concluded"),
        ],
    },
    Form {
        kind: Kind::Disposition,
        does: "Decide: keep, watch, restrict, repair, hold or retire",
        fields: &[
            may("casing", "Casing", Ask::Casing, "serial on record; or a part below"),
            may("part", "Part", Ask::Part, "serial on record"),
            must(
                "decision",
                "Decision",
                Ask::Word(Decision::WORDS),
                "keep watch restrict repair hold retire",
            ),
            must("reason", "Reason", Ask::LongText, "why, and what argued for and against"),
            only(
                ("decision", &["restrict"]),
                "meop",
                "Lower MEOP",
                Ask::GaugePressure,
                "above the atmosphere, 4.0 MPa",
            ),
            only(("decision", &["restrict"]), "loads", "Only these loads", Ask::Names, "60R, 48V"),
            only(
                ("decision", &["restrict", "watch"]),
                "proof_every",
                "Proof every",
                Ask::Whole,
                "firings between proofs, 3",
            ),
            only(
                ("decision", &["restrict", "watch"]),
                "expires",
                "Ends on",
                Ask::Date,
                "the day a new decision is due",
            ),
            only(
                ("decision", &["restrict"]),
                "standoff_multiplier",
                "Distance times",
                Ask::Number,
                "times the table distance, 2",
            ),
            only(
                ("decision", &["restrict", "watch"]),
                "extra_checks",
                "Extra checks",
                Ask::LongText,
                "what else is looked at, every firing",
            ),
            only(
                ("decision", &["keep", "watch"]),
                "lifts_restriction",
                "Lifts the restriction",
                Ask::YesNo,
                "yes lifts the restriction in force; takes two names",
            ),
            only(("decision", &["repair"]), "repair", "Repair", Ask::LongText, "what is to be done"),
            only(
                ("decision", &["retire"]),
                "made_unusable",
                "Made unusable",
                Ask::Text,
                "holed, sawn, crushed; by whom",
            ),
        ],
    },
    Form {
        kind: Kind::Note,
        does: "Write down anything else, or an event that counts",
        fields: &[
            may("casing", "Casing", Ask::Casing, "serial on record; or a part below"),
            may("part", "Part", Ask::Part, "serial on record"),
            may(
                "event",
                "Event",
                Ask::Word(Event::WORDS),
                "only where one happened: it asks for a new proof",
            ),
            must("text", "Note", Ask::LongText, "the note"),
        ],
    },
    Form {
        kind: Kind::Photo,
        does: "Keep a photograph by reference: path, hash, caption",
        fields: &[
            must("casing", "Casing", Ask::Casing, "serial on record"),
            must("path", "File", Ask::File, "the picture's path"),
            must("caption", "Caption", Ask::Text, "what it shows"),
            may("station", "Station", Ask::Quantity(Length), "from the forward seal face"),
            may("clock", "Clock angle", Ask::Number, "degrees, 0 to 360"),
        ],
    },
    Form {
        kind: Kind::Strike,
        does: "Cross out an entry, and leave it readable",
        fields: &[
            must("entry", "Entry", Ask::Entry, "its number, or its mark (~ and six digits)"),
            must("reason", "Reason", Ask::LongText, "why it is wrong"),
        ],
    },
    Form {
        kind: Kind::Prefire,
        does: "Record a pre-fire checklist as it was run",
        fields: &[
            must("casing", "Casing", Ask::Casing, "serial on record"),
            must("load", "Load", Ask::Load, "load on record"),
            may("batch", "Batch", Ask::Batch, "batch on record"),
            must("mode", "Mode", Ask::Word(FiringMode::WORDS), "static or flight"),
            may(
                "grain_temperature",
                "Grain temperature",
                Ask::Quantity(Temperature),
                "how hot it is soaked, 17 degC",
            ),
            may("yes", "Attested", Ask::Names, "ids of the items a person has seen in order, or all"),
            may("no", "Not in order", Ask::Names, "ids of the items that are not"),
            may("remark", "Remark", Ask::LongText, "anything else"),
        ],
    },
    Form {
        kind: Kind::Rule,
        does: "Change a club limit",
        fields: &[
            must("rule", "Rule", Ask::Text, "its id: proofmark rules lists them"),
            must("value", "New value", Ask::Number, "in the rule's unit, with it or without: 0.03 mm"),
            must("reason", "Reason", Ask::LongText, "why the club changes it"),
        ],
    },
];

/// The phase a readings field of a form stands for.
pub fn phase_of(kind: Kind, field: &str) -> Phase {
    match (kind, field) {
        (Kind::Casing, _) => Phase::Birth,
        (_, "od_before") => Phase::Before,
        (_, "od_under") => Phase::Under,
        _ => Phase::After,
    }
}

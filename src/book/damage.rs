//! The damage a metal casing shows: what it is called, how it is found, what is measured, what it asks for.

use crate::words;

words! {
    /// A kind of damage.
    pub enum Damage {
        /// Local permanent swelling.
        Bulge = "bulge",
        /// General permanent growth.
        Growth = "growth",
        /// A crack in a weld, thread root or groove corner.
        Crack = "crack",
        /// Thread blow-by, erosion, galling.
        Thread = "thread damage",
        /// Seal cut, extruded, burnt through.
        Seal = "seal damage",
        /// Throat eroded, slagged, cracked.
        Throat = "throat change",
        /// Hotter than the metal can bear.
        OverHeat = "over-temperature",
        /// Liner burnt through onto the wall.
        LinerBreach = "liner breach",
        /// Pits.
        Pit = "pitting",
        /// A dent.
        Dent = "dent",
        /// A gouge, scratch or tool mark.
        Gouge = "gouge",
        /// Out of round.
        Ovality = "ovality",
        /// Groove lip rolled or ring dished.
        Groove = "groove damage",
        /// Bore scored.
        BoreScore = "bore scoring",
        /// Bolt hole drawn long.
        Hole = "hole elongation",
        /// Not straight.
        Bent = "bend",
        /// Mass not what it was.
        MassChange = "mass change",
        /// Rings dull when tapped.
        DullRing = "dull ring",
        /// Been in a fire.
        Fire = "fire",
        /// Burst, or a closure thrown.
        Burst = "burst",
    }

    /// What is measured of a damage.
    pub enum Measure {
        /// A share in per cent, of what the damage says.
        Percent = "percent",
        /// A depth or size.
        Depth = "depth",
        /// A temperature.
        Temperature = "temperature",
        /// A count.
        Count = "count",
        /// Nothing: its presence is enough.
        Presence = "presence",
    }
}

/// What the trade knows about one kind of damage.
#[derive(Clone, Copy, Debug)]
pub struct DamageSheet {
    /// Three letters for a narrow column.
    pub code: &'static str,
    /// What is measured.
    pub measure: Measure,
    /// What the measure is a share or size of.
    pub of: &'static str,
    /// How it is found.
    pub found_by: &'static str,
    /// What to keep as evidence.
    pub evidence: &'static str,
}

impl Damage {
    /// The sheet for this damage.
    pub const fn sheet(self) -> DamageSheet {
        const fn sheet(
            code: &'static str,
            measure: Measure,
            of: &'static str,
            found_by: &'static str,
            evidence: &'static str,
        ) -> DamageSheet {
            DamageSheet { code, measure, of, found_by, evidence }
        }
        match self {
            Self::Bulge => sheet(
                "BLG",
                Measure::Percent,
                "growth of the outside diameter",
                "straight-edge rocks; caliper; finger sweep",
                "diameter table, photo of the light gap under a straight-edge, trace",
            ),
            Self::Growth => sheet(
                "GRW",
                Measure::Percent,
                "permanent over total expansion",
                "tape, micrometer, volumetric hydro",
                "hydro sheet",
            ),
            Self::Crack => sheet(
                "CRK",
                Measure::Depth,
                "length of the indication",
                "penetrant; magnetic particle on steel; never wire-brush first",
                "photo of the indication with a scale",
            ),
            Self::Thread => sheet(
                "THR",
                Measure::Count,
                "threads damaged",
                "soot track, missing crest, plug gauge",
                "close photo of both parts",
            ),
            Self::Seal => sheet(
                "SEL",
                Measure::Presence,
                "",
                "both faces after removal",
                "photo of the ring at its clock angle",
            ),
            Self::Throat => sheet(
                "THT",
                Measure::Percent,
                "change of the throat area",
                "pin gauges at four angles",
                "diameters before and after",
            ),
            Self::OverHeat => sheet(
                "HOT",
                Measure::Percent,
                "hardness lost against the same tube's reference",
                "temperature labels, temper colour, char, hardness",
                "label photo, hardness map",
            ),
            Self::LinerBreach => sheet(
                "LNR",
                Measure::Percent,
                "hardness lost against the same tube's reference",
                "cut liner, shadow on the bore",
                "liner photo with station marks",
            ),
            Self::Pit => sheet(
                "PIT",
                Measure::Percent,
                "depth over wall",
                "light in the bore, pick, replica, ultrasonic wall",
                "depth table",
            ),
            Self::Dent => sheet(
                "DNT",
                Measure::Percent,
                "depth over outside diameter",
                "template, depth gauge",
                "profile photo",
            ),
            Self::Gouge => sheet(
                "GOU",
                Measure::Percent,
                "depth over wall",
                "fingernail, depth gauge",
                "depth and photo",
            ),
            Self::Ovality => sheet(
                "OVL",
                Measure::Percent,
                "(largest - smallest) over nominal diameter",
                "micrometer at four angles; a tape is blind to it",
                "four-angle table",
            ),
            Self::Groove => sheet(
                "GRV",
                Measure::Depth,
                "lip raised",
                "depth micrometer; ring flat on glass",
                "section photo or replica",
            ),
            Self::BoreScore => {
                sheet("BOR", Measure::Presence, "", "light, fingernail, seal land check", "photo")
            }
            Self::Hole => sheet(
                "HOL",
                Measure::Depth,
                "axial less hoop diameter of the hole",
                "pin gauge",
                "pin readings",
            ),
            Self::Bent => sheet(
                "BNT",
                Measure::Depth,
                "run-out over the length",
                "V-blocks, roll on a plate",
                "reading",
            ),
            Self::MassChange => sheet("MAS", Measure::Percent, "change against birth", "scale", "reading"),
            Self::DullRing => sheet("SND", Measure::Presence, "", "hang it and tap lightly", "sound clip"),
            Self::Fire => sheet("FRE", Measure::Presence, "", "history", "photos"),
            Self::Burst => sheet("BUR", Measure::Presence, "", "-", "fragments bagged, throw mapped"),
        }
    }

    /// A damage by its word or its three letters.
    pub fn find(text: &str) -> Option<Self> {
        Self::from_word(text).or_else(|| {
            Self::ALL.iter().copied().find(|damage| damage.sheet().code.eq_ignore_ascii_case(text.trim()))
        })
    }
}

//! Life and damage: `fatigue-life`, `damage-sum`, `gouge-limit`, `stored-energy`.

use super::Calculator;
use super::input::{Sign, Takes, number, of, takes};
use super::outcome::{Answer, gives, plain};
use crate::design::InputError;
use crate::quantity::{AbsolutePressure, Compressibility, Energy, Length, Quantity, Stress, Volume};
use crate::strength::defect::gouge_limit;
use crate::strength::energy::stored_energy;
use crate::strength::fatigue::{FatigueCurve, damage_sum, fatigue_life};

const CURVE: &str = "material, max_stress, ratio; or coefficient, exponent, amplitude";

pub(super) const ALL: &[Calculator] = &[
    Calculator {
        name: "fatigue-life",
        purpose: "Cycles to failure of smooth metal at a stress",
        formula: "6061-T6: log10 N = 20.68 - 9.84 log10 Seq, Seq = Smax (1 - R)^0.63 in ksi; \
                  stress-life: N = (amplitude/coefficient)^(1/exponent)/2",
        inputs: &[
            takes("material", Takes::Text, "6061-T6, which has a published line").one_of(CURVE),
            of::<Stress>("max_stress", "maximum stress of the cycle").one_of(CURVE),
            takes("ratio", Takes::Number(Sign::Any), "minimum over maximum stress; 0 for a firing")
                .one_of(CURVE),
            of::<Stress>("coefficient", "fatigue strength coefficient").one_of(CURVE),
            takes("exponent", Takes::Number(Sign::Any), "fatigue strength exponent, below zero")
                .one_of(CURVE),
            of::<Stress>("amplitude", "stress amplitude, half the range").one_of(CURVE),
        ],
        results: &[plain("cycles", "cycles, not reversals, to failure; no life factor is taken off")],
        range: "smooth metal; the 6061-T6 line is fitted between about 1e3 and 1e8 cycles",
        outside: "a stress above 45 ksi, a ratio outside -1 to below 1, an exponent outside -1 to -0.001 are refused; lives outside the fit are warned of",
        source: "MIL-HDBK-5 6061-T6 best-fit S/N line (from memory, not confirmed); Basquin",
        work: |values| {
            let listed = ["material", "max_stress", "ratio"];
            let stress_life = ["coefficient", "exponent", "amplitude"];
            let any = |names: &[&str]| names.iter().any(|it| values.has(it));
            let curve = match (any(&listed), any(&stress_life)) {
                (true, false) => FatigueCurve::Listed {
                    material: values.text("material")?.to_owned(),
                    max_stress: values.get("max_stress")?,
                    ratio: values.number("ratio")?,
                },
                (false, true) => FatigueCurve::StressLife {
                    coefficient: values.get("coefficient")?,
                    exponent: values.number("exponent")?,
                    amplitude: values.get("amplitude")?,
                },
                (true, true) => {
                    return Err(InputError::outside("coefficient", "given beside a material", CURVE).into());
                }
                (false, false) => return Err(InputError::missing("material", CURVE).into()),
            };
            let found = fatigue_life(&curve)?;
            let fitted =
                matches!(curve, FatigueCurve::StressLife { .. }) || (1e3..=1e8).contains(&found.cycles);
            Ok(Answer::of(&found)
                .warn_if(!fitted, "outside the 1e3 to 1e8 cycles the line was fitted to")
                .warn_if(
                    true,
                    "smooth metal: thread roots, weld toes and groove corners live far shorter; divide by 4",
                ))
        },
    },
    Calculator {
        name: "damage-sum",
        purpose: "Share of a life used by cycles at several levels",
        formula: "D = sum of n/N; repeats = 1/D",
        inputs: &[
            takes("counts", Takes::List, "cycles counted at each level"),
            takes("lives", Takes::List, "cycles to failure at each level, in the same order"),
        ],
        results: &[
            plain("damage", "share of the life used"),
            plain(
                "repeats_to_failure",
                "how often the same history reaches 1; absent when nothing was counted",
            ),
        ],
        range: "a rule of thumb: tests fail at sums from 0.33 to 3",
        outside: "lists of different length, counts below zero and lives not above zero are refused; a sum of 0.25 or more is warned of",
        source: "Palmgren 1924, Miner 1945",
        work: |values| {
            let found = damage_sum(values.list("counts")?, values.list("lives")?)?;
            Ok(Answer::of(&found).warn_if(
                found.damage >= 0.25,
                "retire by a sum of 0.25 to 0.33: tests have failed from 0.33 on",
            ))
        },
    },
    Calculator {
        name: "gouge-limit",
        purpose: "The gouge an aluminium gas cylinder may keep: a ceiling for a casing, not a permission",
        formula: "depth = 0.15 least wall, length under 6 in; wall unknown: depth 0.031 in",
        inputs: &[
            takes("wall_min", Takes::LengthOrNone, "least design wall; none where it is unknown").or("none")
        ],
        results: &[
            gives::<Length>("depth_m", "deepest allowed"),
            gives::<Length>("length_m", "it must be SHORTER than this"),
        ],
        range: "isolated, blended gouges without a sharp bottom",
        outside: "cracks, sharp gouges and clusters are not covered; the club's own limits are lower",
        source: "CGA C-6.1 4.2, as quoted by a cylinder shop",
        work: |values| {
            let wall: Option<Length> = values.opt("wall_min");
            Ok(Answer::of(&gouge_limit(wall)?).warn_if(
                wall.is_none(),
                "wall unknown: the depth is a gas cylinder's, and may be half of a thin casing's wall; measure the wall",
            ))
        },
    },
    Calculator {
        name: "stored-energy",
        purpose: "What a pressurised casing would let go, filled with gas and filled with water",
        formula: "gas = p V/(k - 1) (1 - (pa/p)^((k-1)/k)); water = beta (p - pa)^2 V/2",
        inputs: &[
            of::<AbsolutePressure>("pressure", "ABSOLUTE pressure inside"),
            of::<Volume>("volume", "inside volume"),
            of::<AbsolutePressure>("ambient", "absolute pressure outside").or("101325 Pa"),
            number("ratio_of_heats", "ratio of specific heats; air 1.4").or("1.4"),
            of::<Compressibility>("water_compressibility", "per pascal; 4.6e-10 when left out")
                .bare("1/Pa")
                .optional(),
        ],
        results: &[
            gives::<Energy>("gas_j", "in gas at that pressure"),
            gives::<Energy>("water_j", "in water at that pressure"),
        ],
        range: "ideal gas, isentropic; the strain energy of the metal is not in it; ratio of heats 1.01 to 1.7",
        outside: "a pressure below the ambient or constants outside their range are refused",
        source: "isentropic expansion, as UC Berkeley EHS, Calculating stored energy in a pressurized gas vessel",
        work: |values| {
            let beta = values.opt::<Compressibility>("water_compressibility").map(Quantity::si);
            let found = stored_energy(
                values.get("pressure")?,
                values.get("volume")?,
                values.get("ambient")?,
                values.number("ratio_of_heats")?,
                beta,
            )?;
            Ok(Answer::of(&found).warn_if(true, "proof with water, bled of air, never with gas"))
        },
    },
];

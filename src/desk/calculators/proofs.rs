//! The proof: `proof-factor`, `permanent-set`, `repeat-test`, `water-expansion`.

use super::Calculator;
use super::cylinders::{ID, OD, WALL, tube};
use super::input::{Sign, number, of};
use super::joints::POISSON;
use super::outcome::{Answer, gives, plain, yes_no};
use crate::quantity::{Compressibility, GaugePressure, Length, Quantity, Stress, Volume};
use crate::strength::growth::{Elastic, water_expansion};
use crate::strength::proof::{permanent_set, proof_factor, repeat_test};

pub(super) const ALL: &[Calculator] = &[
    Calculator {
        name: "proof-factor",
        purpose: "The proof factor that goes with a burst factor",
        formula: "(1 + BF)/2 below a burst factor of 2, else 1.5",
        inputs: &[number("burst_factor", "burst pressure over MEOP")],
        results: &[plain("proof_factor", "proof pressure over MEOP")],
        range: "burst factors from 1 to 20, metal vessels proofed once",
        outside: "refused; a club may ask for more, never less",
        source: "MIL-STD-1522A and AFSPCMAN 91-710 (from memory)",
        work: |values| Ok(Answer::of(&proof_factor(values.number("burst_factor")?)?)),
    },
    Calculator {
        name: "permanent-set",
        purpose: "Does a volumetric proof pass: permanent against TOTAL EXPANSION",
        formula: "elastic = total - permanent; percent = 100 permanent/total; passes up to and at 10 %",
        inputs: &[
            of::<Volume>("total", "total expansion under pressure"),
            of::<Volume>("permanent", "expansion left after").sign(Sign::NotNegative),
        ],
        results: &[
            gives::<Volume>("elastic_m3", "elastic expansion"),
            plain("percent", "permanent in percent of the total expansion, never of the volume"),
            yes_no("passes", "within the limit, judged before any rounding; exactly the limit passes"),
            plain("limit_percent", "the limit"),
        ],
        range: "both read in the same test, the water's own compression taken off",
        outside: "a permanent expansion above the total is refused",
        source: "49 CFR 180.203 (definitions), 180.205 (condemned above 10 % of total expansion)",
        work: |values| {
            let found = permanent_set(values.get("total")?, values.get("permanent")?)?;
            Ok(Answer::of(&found)
                .warn_if(!found.passes, "condemned: more than 10 % of the expansion stayed behind"))
        },
    },
    Calculator {
        name: "repeat-test",
        purpose: "The highest pressure of a repeat after the TEST EQUIPMENT failed",
        formula: "the lower of 1.1 p and p + 100 psi",
        inputs: &[of::<GaugePressure>("pressure", "pressure of the first proof, above the atmosphere")],
        results: &[gives::<GaugePressure>("highest_repeat_pa", "highest pressure of the repeat")],
        range: "one repeat owed to the equipment, not to the part",
        outside: "a repeat after the part failed is no repeat but a condemnation; the 90 % cap on every mode still holds",
        source: "49 CFR 180.205(g)(5) (from memory)",
        work: |values| Ok(Answer::of(&repeat_test(values.get("pressure")?)?)),
    },
    Calculator {
        name: "water-expansion",
        purpose: "What a sound tube should show in a water proof, and the water's own share",
        formula: "thin dV = V (p r/(E t))(5/2 - 2 nu), r the inside radius; thick dV = V p/(E (K^2 - 1)) (3 (1 - 2 nu) + \
                  2 (1 + nu) K^2), K = od/id; water = V beta p; outside growth = od p id^2 (2 - nu)/(E (od^2 - id^2))",
        inputs: &[
            OD,
            ID,
            WALL,
            of::<Length>("length", "inside length under pressure"),
            of::<GaugePressure>("pressure", "proof pressure above the atmosphere"),
            of::<Stress>("modulus", "elastic modulus"),
            POISSON,
            of::<Compressibility>("water_compressibility", "per pascal; 4.6e-10 when left out")
                .bare("1/Pa")
                .optional(),
        ],
        results: &[
            gives::<Volume>("volume_m3", "inside volume"),
            gives::<Volume>("growth_thin_m3", "growth by the thin-wall formula: low"),
            gives::<Volume>("growth_thick_m3", "growth by Lamé at the bore: the one to compare with"),
            gives::<Volume>("water_compression_m3", "water taken up by its own compression"),
            gives::<Length>("outside_growth_m", "growth of the outside DIAMETER"),
        ],
        range: "elastic, end caps rigid, no air, water at 5 to 40 degC",
        outside: "trapped air takes up far more than all of these; a pump reading is growth PLUS water",
        source: "Lamé, closed ends; thin wall as Timoshenko",
        work: |values| {
            let metal = Elastic { modulus: values.get("modulus")?, poisson: values.number("poisson")? };
            let beta = values.opt::<Compressibility>("water_compressibility").map(Quantity::si);
            Ok(Answer::of(&water_expansion(
                tube(values)?,
                values.get("length")?,
                values.get("pressure")?,
                metal,
                beta,
            )?))
        },
    },
];

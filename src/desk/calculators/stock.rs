//! The metal and the stock it comes in: `material`, `pipe`, `bar`, `pipe-thread`.

use super::Calculator;
use super::input::{Sign, Takes, of, takes};
use super::outcome::{Answer, gives, plain, words};
use crate::design::{InputError, ProductForm, material, pipe, thread};
use crate::quantity::{Density, Expansion, Length, Mass, MassPerLength, Stress, Temperature};

pub(super) const ALL: &[Calculator] = &[
    Calculator {
        name: "material",
        purpose: "Published minimum strengths of a metal, parent and welded, with their source",
        formula: "a look-up; the yield fraction is linear between the points of the published curve",
        inputs: &[
            takes("name", Takes::Text, "alloy and temper, e.g. 6061-T6"),
            takes("form", Takes::Word(ProductForm::WORDS), "how the metal was made").optional(),
            of::<Temperature>("temperature", "temperature of the metal").optional(),
        ],
        results: &[
            gives::<Stress>("yield_pa", "least yield at room temperature"),
            gives::<Stress>("ultimate_pa", "least ultimate at room temperature"),
            gives::<Stress>("modulus_pa", "elastic modulus"),
            plain("poisson", "Poisson's ratio"),
            gives::<Density>("density_kg_m3", "density"),
            gives::<Expansion>("expansion_per_k", "linear expansion"),
            gives::<Stress>("welded_yield_pa", "yield beside a weld; absent where fusion welding is refused"),
            gives::<Stress>("welded_ultimate_pa", "ultimate beside a weld; absent where refused"),
            plain("yield_fraction_at_temperature", "share of the yield left at the temperature"),
            words("basis", "minimum, typical or assumed"),
        ],
        range: "listed metals in listed forms; temperatures from -50 to 371 degC",
        outside: "an unlisted metal, form or temperature is refused with the list; without a form the lowest of any form is given",
        source: "stands with each metal in the result",
        work: |values| {
            let form = values.opt_text("form").and_then(ProductForm::from_word);
            // Here the metal's input is called its name.
            let card =
                material::card(values.text("name")?, form, values.opt("temperature")).map_err(|error| {
                    match error {
                        InputError::Unlisted { input, given, accepted } if input == "material" => {
                            InputError::Unlisted { input: "name".into(), given, accepted }
                        }
                        other => other,
                    }
                })?;
            Ok(Answer::of(&card).warn_all(card.warnings.clone()).source(card.source.clone()))
        },
    },
    Calculator {
        name: "pipe",
        purpose: "Sizes of pipe by nominal size and schedule, with the wall the mill may leave",
        formula: "id = od - 2 wall; least wall = 0.875 wall; mass = pi (od - wall) wall density",
        inputs: &[
            takes("size", Takes::Text, "nominal pipe size, e.g. 2 or 1-1/4"),
            takes("schedule", Takes::Text, "5, 10, 40, 80, 120, 160, XXS, an S after it allowed"),
            takes("material", Takes::Text, "for the mass; carbon steel when left out").optional(),
        ],
        results: &[
            gives::<Length>("od_m", "outside diameter"),
            gives::<Length>("wall_m", "nominal wall"),
            gives::<Length>("id_m", "inside diameter"),
            gives::<Length>(
                "wall_min_m",
                "wall less the mill tolerance of 12.5 %: design with this until measured",
            ),
            gives::<MassPerLength>("mass_per_length_kg_m", "mass of a length at the nominal wall"),
        ],
        range: "1/8 to 8 in nominal",
        outside: "a size or schedule that is not listed is refused with the list",
        source: "ASME B36.10M and B36.19M (from memory, weights checked); mill tolerance ASTM A53, A106, B241",
        work: |values| {
            Ok(Answer::of(&pipe::pipe(
                values.text("size")?,
                values.text("schedule")?,
                values.opt_text("material"),
            )?))
        },
    },
    Calculator {
        name: "bar",
        purpose: "Mass of a round bar or tube blank",
        formula: "mass = (pi/4)(diameter^2 - bore^2) length density",
        inputs: &[
            of::<Length>("diameter", "outside diameter"),
            of::<Length>("length", "length"),
            takes("material", Takes::Text, "a listed metal, e.g. 6061-T6"),
            of::<Length>("bore", "bore diameter").sign(Sign::NotNegative).or("0"),
        ],
        results: &[gives::<Mass>("mass_kg", "mass")],
        range: "any size; density as the material's card",
        outside: "a bore at or above the diameter, or an unlisted metal, is refused",
        source: "geometry; density as material",
        work: |values| {
            Ok(Answer::of(&pipe::bar(
                values.get("diameter")?,
                values.get("length")?,
                values.text("material")?,
                values.get("bore")?,
            )?))
        },
    },
    Calculator {
        name: "pipe-thread",
        purpose: "Dimensions of a taper pipe thread (NPT) from its formulas",
        formula: "inches, n threads an inch: E0 = D - (0.05 D + 1.1)/n; E1 = E0 + L1/16; L2 = (0.80 D + 6.8)/n",
        inputs: &[takes("size", Takes::Text, "nominal pipe size, e.g. 2 or 1-1/4")],
        results: &[
            gives::<Length>("pitch_m", "pitch"),
            gives::<Length>("hand_tight_l1_m", "hand-tight engagement L1"),
            gives::<Length>("effective_l2_m", "effective thread L2"),
            gives::<Length>("pitch_diameter_e0_m", "pitch diameter at the small end E0"),
            gives::<Length>("pitch_diameter_e1_m", "pitch diameter at the hand-tight plane E1"),
        ],
        range: "1/16 to 6 in nominal",
        outside: "a size that is not listed is refused with the list",
        source: "ASME B1.20.1, from its formulas; L1 from its table",
        work: |values| Ok(Answer::of(&thread::pipe_thread(values.text("size")?)?)),
    },
];

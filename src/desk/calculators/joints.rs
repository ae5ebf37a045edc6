//! Ends and fits: `thread-strip`, `flat-plate`, `flat-head`, `retaining-ring`, `radial-bolts`, `press-fit`,
//! `shrink-temperature`.

use super::Calculator;
use super::input::{Input, Sign, Takes, Values, number, of, takes};
use super::outcome::{Answer, gives, words};
use crate::design::{InputError, PlateEdge};
use crate::quantity::{
    Area, Expansion, Force, GaugePressure, Length, Quantity, Stress, TemperatureDifference, ThreadCount,
};
use crate::strength::bolted::{RadialBolts, radial_bolts};
use crate::strength::fits::{FitLoad, PressFitInput, press_fit, shrink_temperature};
use crate::strength::plate::{PlateLoad, flat_head, flat_plate};
use crate::strength::ring::{RetainingRing, retaining_ring};
use crate::strength::threaded::{ThreadPair, thread_strip};

const FIT: &str = "interference or hub_bore_hoop";
pub(super) const POISSON: Input =
    takes("poisson", Takes::Number(Sign::NotNegative), "Poisson's ratio, 0.33 for aluminium, 0.29 for steel");

fn pitch(values: &Values) -> Result<Length, InputError> {
    match (values.opt::<Length>("pitch"), values.opt::<ThreadCount>("tpi")) {
        (Some(pitch), None) => Ok(pitch),
        (None, Some(count)) => Ok(Length::from_si(1.0 / count.si())),
        (Some(_), Some(_)) => Err(InputError::outside("tpi", "given beside a pitch", "one of the two")),
        (None, None) => Err(InputError::missing("pitch", "either pitch (a length) or tpi (threads an inch)")),
    }
}

pub(super) const ALL: &[Calculator] = &[
    Calculator {
        name: "thread-strip",
        purpose: "Shear areas of an engaged thread pair, and which strips first",
        formula: "external As = pi n Le Kn (1/(2n) + 0.57735 (Es - Kn)); internal An = pi n Le Ds (1/(2n) + \
                  0.57735 (Ds - En)); load = area times shear strength",
        inputs: &[
            of::<Length>("pitch", "thread pitch").one_of("pitch or tpi"),
            of::<ThreadCount>("tpi", "threads an inch").bare("tpi").one_of("pitch or tpi"),
            of::<Length>("engagement", "length of full engagement, Le"),
            of::<Length>("external_major_min", "least major diameter of the external thread, Ds"),
            of::<Length>("external_pitch_min", "least pitch diameter of the external thread, Es"),
            of::<Length>("internal_minor_max", "greatest minor diameter of the internal thread, Kn"),
            of::<Length>("internal_pitch_max", "greatest pitch diameter of the internal thread, En"),
            of::<Stress>("external_shear", "shear strength of the external thread").optional(),
            of::<Stress>("internal_shear", "shear strength of the internal thread").optional(),
        ],
        results: &[
            gives::<Area>("external_area_m2", "shear area of the external thread"),
            gives::<Area>("internal_area_m2", "shear area of the internal thread"),
            gives::<Force>("external_load_n", "force that strips the external thread"),
            gives::<Force>("internal_load_n", "force that strips the internal thread"),
            words("governs", "the one that strips first"),
        ],
        range: "60 degree threads in full mesh, diameters at their worst limits, load shared by all threads",
        outside: "an engagement beyond one diameter shares unevenly: warned; diameters that do not mesh, or not at this pitch, and less than one thread engaged are refused",
        source: "FED-STD-H28/2B appendix; the same in ASME B1.1 Appendix B",
        work: |values| {
            let pair = ThreadPair {
                pitch: pitch(values)?,
                engagement: values.get("engagement")?,
                external_major_min: values.get("external_major_min")?,
                external_pitch_min: values.get("external_pitch_min")?,
                internal_minor_max: values.get("internal_minor_max")?,
                internal_pitch_max: values.get("internal_pitch_max")?,
                external_shear: values.opt("external_shear"),
                internal_shear: values.opt("internal_shear"),
            };
            Ok(Answer::of(&thread_strip(&pair)?).warn_if(
                pair.engagement > pair.external_major_min,
                "the engagement is longer than the diameter: the first threads carry more than their share",
            ))
        },
    },
    Calculator {
        name: "flat-plate",
        purpose: "Bending stress and deflection of a flat round plate under pressure",
        formula: "D = E t^3/(12 (1 - nu^2)); clamped: 0.75 p a^2/t^2 and p a^4/(64 D); supported: 3 (3 + nu)/8 p a^2/t^2 \
                  and (5 + nu) p a^4/(64 (1 + nu) D), a the RADIUS",
        inputs: &[
            of::<Length>("radius", "RADIUS of the loaded plate"),
            of::<Length>("thickness", "plate thickness"),
            of::<GaugePressure>("pressure", "pressure above the atmosphere"),
            of::<Stress>("modulus", "elastic modulus"),
            POISSON,
            takes("edge", Takes::Word(PlateEdge::WORDS), "how the rim is held"),
        ],
        results: &[
            gives::<Stress>(
                "stress_pa",
                "greatest bending stress: at the rim when clamped, at the centre when supported",
            ),
            gives::<Length>("deflection_m", "deflection at the centre"),
        ],
        range: "no hole, thickness under about a fifth of the diameter, deflection under half the thickness",
        outside: "a thicker plate or a larger deflection is worked out and warned of; thicker than the radius is refused",
        source: "Roark's Formulas for Stress and Strain, Table 11.2 cases 10a and 10b; Timoshenko",
        work: |values| {
            let plate = PlateLoad {
                radius: values.get("radius")?,
                thickness: values.get("thickness")?,
                pressure: values.get("pressure")?,
                modulus: values.get("modulus")?,
                poisson: values.number("poisson")?,
                edge: PlateEdge::from_word(values.text("edge")?)
                    .ok_or_else(|| InputError::missing("edge", "clamped or supported"))?,
            };
            let found = flat_plate(&plate)?;
            let (t_m, a_m) = (plate.thickness.si(), plate.radius.si());
            Ok(Answer::of(&found)
                .warn_if(t_m > 0.4 * a_m, "thicker than a fifth of the diameter: shear adds to the bending")
                .warn_if(
                    found.deflection_m.si() > t_m / 2.0,
                    "it bends by more than half its thickness: small-deflection theory no longer holds",
                ))
        },
    },
    Calculator {
        name: "flat-head",
        purpose: "Thickness of an unstayed flat round head",
        formula: "t = d sqrt(C p/(S E))",
        inputs: &[
            of::<Length>("diameter", "diameter as the sketch of UG-34 takes it"),
            of::<GaugePressure>("pressure", "pressure above the atmosphere"),
            of::<Stress>("allowable", "allowable stress, safety factor already off"),
            number("factor", "the C of UG-34; 0.1875 is a clamped plate, 0.309 a supported one"),
            takes("efficiency", Takes::Ratio, "joint efficiency E").or("1"),
        ],
        results: &[gives::<Length>("thickness_m", "thickness needed")],
        range: "C from 0.05 to 0.5, efficiency up to 1, no openings, no edge moment from bolts",
        outside: "a C or an efficiency outside that is refused",
        source: "ASME BPVC VIII-1 UG-34(c)(2)",
        work: |values| {
            Ok(Answer::of(&flat_head(
                values.get("diameter")?,
                values.get("pressure")?,
                values.get("allowable")?,
                values.number("factor")?,
                values.number("efficiency")?,
            )?))
        },
    },
    Calculator {
        name: "retaining-ring",
        purpose: "What a retaining ring and its groove carry, as ring makers rate them",
        formula: "groove = Cf B d pi Sy/K; ring = Cf B t pi Ss/K",
        inputs: &[
            of::<Length>("bore", "bore diameter B"),
            of::<Length>("groove_depth", "radial groove depth d"),
            of::<Stress>("groove_yield", "yield strength of the groove's metal"),
            of::<Length>("ring_thickness", "ring thickness t"),
            of::<Stress>("ring_shear", "shear strength of the ring"),
            number("groove_factor", "maker's conversion factor for the groove").or("1"),
            number("ring_factor", "maker's conversion factor for the ring").or("1"),
            number("groove_safety", "safety factor on the groove").or("2"),
            number("ring_safety", "safety factor on the ring").or("4"),
        ],
        results: &[
            gives::<Force>("groove_load_n", "allowable on the groove"),
            gives::<Force>("ring_load_n", "allowable on the ring, in a hardened housing"),
            words("governs", "the lower of the two"),
        ],
        range: "static load, sharp-cornered abutment, groove at least three depths from the tube end",
        outside: "conversion factors outside 0.1 to 3 and safety factors outside 1 to 20 are refused; a tilting ring carries about half",
        source: "ring makers' data sheets (5001-068: 1283 and 3402 lbf); rotorclip.com load capacity formulas",
        work: |values| {
            Ok(Answer::of(&retaining_ring(&RetainingRing {
                bore: values.get("bore")?,
                groove_depth: values.get("groove_depth")?,
                groove_yield: values.get("groove_yield")?,
                ring_thickness: values.get("ring_thickness")?,
                ring_shear: values.get("ring_shear")?,
                groove_factor: values.number("groove_factor")?,
                ring_factor: values.number("ring_factor")?,
                groove_safety: values.number("groove_safety")?,
                ring_safety: values.number("ring_safety")?,
            })?))
        },
    },
    Calculator {
        name: "radial-bolts",
        purpose: "Stresses in bolts and wall of a radially bolted closure",
        formula: "F = (pi/4) Ds^2 p; shear F/n over the bolt area; bearing F/(n d t); tear-out F/(2 n t (e - d/2)); \
                  net section F/(pi (od - t) t - n d t)",
        inputs: &[
            of::<GaugePressure>("pressure", "pressure above the atmosphere"),
            of::<Length>("seal_diameter", "diameter the pressure acts on"),
            takes("count", Takes::Whole, "how many bolts"),
            of::<Length>("bolt_diameter", "nominal bolt diameter"),
            of::<Length>("bolt_minor", "diameter at the thread root, where thread lies in the shear plane")
                .optional(),
            of::<Length>("wall", "wall at the holes"),
            of::<Length>("edge", "hole centre to tube end"),
            of::<Length>("od", "outside diameter; the seal diameter plus two walls when left out").optional(),
        ],
        results: &[
            gives::<Force>("end_load_n", "force on the closure"),
            gives::<Force>("load_per_bolt_n", "its share on one bolt"),
            gives::<Stress>("shear_nominal_pa", "shear in the full shank"),
            gives::<Stress>("shear_minor_pa", "shear at the thread root"),
            gives::<Stress>("bearing_pa", "bearing on the projected hole"),
            gives::<Stress>("tear_out_pa", "shear on the two planes (e - d/2) long: the safe plane"),
            gives::<Stress>("net_section_pa", "axial tension between the holes"),
        ],
        range: "one row, close holes, a ductile wall, so that all bolts share; preload is not in it",
        outside: "fewer than 2 bolts, an edge within half a diameter, holes that leave no metal or a seal wider than the tube are refused; an edge under two diameters is warned of",
        source: "NASA RP-1228 (1990) fastener groups; bearing area as MIL-HDBK-5 1.4.7 (from memory)",
        work: |values| {
            let bolts = RadialBolts {
                pressure: values.get("pressure")?,
                seal_diameter: values.get("seal_diameter")?,
                count: values.whole("count")?,
                bolt_diameter: values.get("bolt_diameter")?,
                bolt_minor: values.opt("bolt_minor"),
                wall: values.get("wall")?,
                edge: values.get("edge")?,
                od: values.opt("od"),
            };
            Ok(Answer::of(&radial_bolts(&bolts)?).warn_if(
                bolts.edge.si() < 2.0 * bolts.bolt_diameter.si() * (1.0 - 1e-9),
                "the edge distance is under two diameters: bearing strength falls with it",
            ))
        },
    },
    Calculator {
        name: "press-fit",
        purpose: "Contact pressure and stresses of an interference fit; the interference is DIAMETRAL",
        formula: "interference = p d ((1/Eh)((D^2 + d^2)/(D^2 - d^2) + nuh) + (1/Es)((d^2 + b^2)/(d^2 - b^2) - nus)); \
                  hub bore hoop = p (D^2 + d^2)/(D^2 - d^2); shaft bore hoop = -2 p d^2/(d^2 - b^2), -p when solid",
        inputs: &[
            of::<Length>("diameter", "diameter of the joint"),
            of::<Length>("hub_od", "outside diameter of the hub"),
            of::<Length>("shaft_id", "bore of the shaft").sign(Sign::NotNegative).or("0"),
            of::<Length>("interference", "DIAMETRAL interference, twice the radial").one_of(FIT),
            of::<Stress>("hub_bore_hoop", "hoop stress wanted at the hub's bore").one_of(FIT),
            of::<Stress>("hub_modulus", "elastic modulus of the hub"),
            takes("hub_poisson", Takes::Number(Sign::NotNegative), "Poisson's ratio of the hub"),
            of::<Stress>("shaft_modulus", "elastic modulus of the shaft"),
            takes("shaft_poisson", Takes::Number(Sign::NotNegative), "Poisson's ratio of the shaft"),
        ],
        results: &[
            gives::<Stress>("contact_pressure_pa", "contact pressure"),
            gives::<Length>("interference_m", "diametral interference"),
            gives::<Stress>("hub_bore_hoop_pa", "hoop stress at the hub's bore"),
            gives::<Stress>("shaft_bore_hoop_pa", "hoop stress at the shaft's bore, compression below zero"),
        ],
        range: "both parts elastic, the same length, open ends; roughness loss and spin are not in it",
        outside: "diameters out of order are refused; above yield the contact pressure is too high; an interference above a hundredth of the diameter is warned of",
        source: "Lamé, built-up cylinders (Timoshenko, Strength of Materials Part II)",
        work: |values| {
            let load = match (values.opt::<Length>("interference"), values.opt::<Stress>("hub_bore_hoop")) {
                (Some(interference), None) => FitLoad::Interference(interference),
                (None, Some(hoop)) => FitLoad::HubBoreHoop(hoop),
                (Some(_), Some(_)) => {
                    return Err(InputError::outside(
                        "hub_bore_hoop",
                        "given beside an interference",
                        "one of the two",
                    )
                    .into());
                }
                (None, None) => return Err(InputError::missing("interference", FIT).into()),
            };
            let diameter: Length = values.get("diameter")?;
            let found = press_fit(&PressFitInput {
                diameter,
                hub_od: values.get("hub_od")?,
                shaft_id: values.get("shaft_id")?,
                load,
                hub_modulus: values.get("hub_modulus")?,
                hub_poisson: values.number("hub_poisson")?,
                shaft_modulus: values.get("shaft_modulus")?,
                shaft_poisson: values.number("shaft_poisson")?,
            })?;
            Ok(Answer::of(&found).warn_if(
                found.interference_m.si() > 0.01 * diameter.si(),
                "more than a hundredth of the diameter: no metal stays elastic; is the interference's unit right?",
            ))
        },
    },
    Calculator {
        name: "shrink-temperature",
        purpose: "Temperature difference that lets a hub slip over its shaft",
        formula: "rise = (interference + clearance)/(alpha d), interference DIAMETRAL",
        inputs: &[
            of::<Length>("diameter", "diameter of the joint"),
            of::<Length>("interference", "DIAMETRAL interference"),
            of::<Expansion>("expansion", "linear expansion per kelvin").bare("1/K"),
            of::<Length>("clearance", "clearance wanted on diameter").sign(Sign::NotNegative).or("0"),
        ],
        results: &[gives::<TemperatureDifference>(
            "temperature_rise_k",
            "how much hotter than the other part",
        )],
        range: "expansion from 1e-7 to 1e-4 per kelvin, even heating",
        outside: "an expansion outside that is refused; a rise above 150 K is warned of, because heat-treated aluminium softens",
        source: "definition of thermal expansion",
        work: |values| {
            let expansion: Expansion = values.get("expansion")?;
            let found = shrink_temperature(
                values.get("diameter")?,
                values.get("interference")?,
                expansion.si(),
                values.get("clearance")?,
            )?;
            Ok(Answer::of(&found).warn_if(
                found.temperature_rise_k > 150.0,
                "from 20 degC this nears 176 degC, where aluminium counts as over-heated (49 CFR 180.203)",
            ))
        },
    },
];

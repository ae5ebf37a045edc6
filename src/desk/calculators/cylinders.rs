//! The wall: `cylinder`, `cylinder-wall`, `thin-wall`, `yield-pressure`, `burst-pressure`.

use super::Calculator;
use super::input::{Input, Sign, Values, of};
use super::outcome::{Answer, gives};
use crate::design::InputError;
use crate::design::wall::TubeSize;
use crate::quantity::{GaugePressure, Length, Stress};
use crate::strength::cylinder::{ThinWallLoad, cylinder, cylinder_wall, thin_wall};
use crate::strength::tube::{burst_pressure, yield_pressure};

const TWO: &str = "two of od, id, wall";
pub(super) const OD: Input = of::<Length>("od", "outside diameter").one_of(TWO);
pub(super) const ID: Input = of::<Length>("id", "inside diameter").one_of(TWO);
pub(super) const WALL: Input = of::<Length>("wall", "wall").one_of(TWO);
pub(super) const PRESSURE: Input = of::<GaugePressure>("pressure", "inside pressure above the atmosphere");

/// The tube of two of its three sizes.
pub(super) fn tube(values: &Values) -> Result<TubeSize, InputError> {
    TubeSize::from_two(values.opt("od"), values.opt("id"), values.opt("wall"))
}

pub(super) const ALL: &[Calculator] = &[
    Calculator {
        name: "cylinder",
        purpose: "Stresses in a thick tube with closed ends, at the bore, the outside and any radius",
        formula: "hoop = A + B/r^2, radial = A - B/r^2, axial = A; A = (p id^2 - po od^2)/(od^2 - id^2), \
                  B = (p - po) ri^2 ro^2/(ro^2 - ri^2); shear = |B|/r^2; von Mises = sqrt(3) |B|/r^2 at the bore",
        inputs: &[
            OD,
            ID,
            WALL,
            PRESSURE.sign(Sign::NotNegative),
            of::<GaugePressure>("outside_pressure", "pressure on the outside")
                .sign(Sign::NotNegative)
                .or("0"),
            of::<Length>("radius", "a RADIUS inside the wall to report at").optional(),
        ],
        results: &[
            gives::<Stress>("hoop_bore_pa", "hoop stress at the bore"),
            gives::<Stress>("hoop_outside_pa", "hoop stress at the outside"),
            gives::<Stress>("radial_bore_pa", "radial stress at the bore, minus the pressure"),
            gives::<Stress>("radial_outside_pa", "radial stress at the outside"),
            gives::<Stress>("axial_closed_pa", "axial stress, closed ends"),
            gives::<Stress>("von_mises_bore_pa", "von Mises stress at the bore"),
            gives::<Stress>("shear_bore_pa", "largest shear stress at the bore"),
            gives::<Stress>("shear_outside_pa", "shear stress at the outside"),
            gives::<Stress>("hoop_at_radius_pa", "hoop stress at the radius"),
            gives::<Stress>("radial_at_radius_pa", "radial stress at the radius"),
        ],
        range: "any wall, while the metal stays elastic, away from ends, welds, holes and dents",
        outside: "above yield the bore figures are too high and are still given; a radius outside the wall is refused",
        source: "Lamé, closed ends (Timoshenko, Strength of Materials Part II)",
        work: |values| {
            let found = cylinder(
                tube(values)?,
                values.get("pressure")?,
                values.get("outside_pressure")?,
                values.opt("radius"),
            )?;
            Ok(Answer::of(&found))
        },
    },
    Calculator {
        name: "cylinder-wall",
        purpose: "The wall that keeps the hoop stress at the bore to an allowable",
        formula: "K = sqrt((S + p)/(S - p)); id = od/K; wall = (od - id)/2; hoop at the outside = S - p",
        inputs: &[
            of::<Length>("od", "outside diameter"),
            PRESSURE,
            of::<Stress>("allowable", "allowable hoop stress, any safety factor already off"),
        ],
        results: &[
            gives::<Length>("wall_m", "wall needed"),
            gives::<Length>("id_m", "inside diameter that leaves"),
            gives::<Stress>("hoop_outside_pa", "hoop stress at the outside of that wall"),
        ],
        range: "an allowable above the pressure; no allowance for mill tolerance, heat or welds is inside",
        outside: "at or below the pressure no wall is thick enough: refused",
        source: "Lamé (Timoshenko, Strength of Materials Part II)",
        work: |values| {
            Ok(Answer::of(&cylinder_wall(
                values.get("od")?,
                values.get("pressure")?,
                values.get("allowable")?,
            )?))
        },
    },
    Calculator {
        name: "thin-wall",
        purpose: "Hoop stress on the mean, outside and inside diameter; or the pressure an allowable carries",
        formula: "hoop = p d/(2 wall), d the mean, the outside or the inside DIAMETER; an allowable is on the mean",
        inputs: &[
            OD,
            ID,
            WALL,
            PRESSURE.one_of("pressure or allowable"),
            of::<Stress>("allowable", "allowable hoop stress on the mean diameter")
                .one_of("pressure or allowable"),
        ],
        results: &[
            gives::<GaugePressure>("pressure_pa", "the pressure, given or solved"),
            gives::<Stress>("hoop_mean_pa", "on the mean diameter"),
            gives::<Stress>("hoop_outside_basis_pa", "on the outside diameter (Barlow): the highest"),
            gives::<Stress>("hoop_inside_basis_pa", "on the inside diameter: the lowest"),
        ],
        range: "any wall; within about 1 % of Lamé at the bore (mean basis) while the wall is under a tenth of the bore radius",
        outside: "a thicker wall is worked out and warned of: the figures are low at the bore; use cylinder",
        source: "Shigley, Mechanical Engineering Design, Eq. 3-53 (mean diameter); 49 CFR 192.105 (outside diameter)",
        work: |values| {
            let tube = tube(values)?;
            let load = match (values.opt::<GaugePressure>("pressure"), values.opt::<Stress>("allowable")) {
                (Some(pressure), None) => ThinWallLoad::Pressure(pressure),
                (None, Some(allowable)) => ThinWallLoad::Allowable(allowable),
                (Some(_), Some(_)) => {
                    return Err(InputError::outside(
                        "allowable",
                        "given beside a pressure",
                        "one of the two",
                    )
                    .into());
                }
                (None, None) => {
                    return Err(InputError::missing("pressure", "either pressure or allowable").into());
                }
            };
            let thick = tube.wall_m.as_mm() > 0.1 * tube.id_m.as_mm() / 2.0 * (1.0 + 1e-9);
            Ok(Answer::of(&thin_wall(tube, load)?).warn_if(
                thick,
                "the wall is more than a tenth of the bore radius: the stress at the bore is higher; use cylinder",
            ))
        },
    },
    Calculator {
        name: "yield-pressure",
        purpose: "The pressure at which a tube first yields, on four bases that must not be mixed",
        formula: "margins: P = (Sy/sqrt(3))(1 - (id/od)^2); thin wall: P = 2 wall Sy/d, d outside, mean, inside",
        inputs: &[OD, ID, WALL, of::<Stress>("yield", "least yield strength")],
        results: &[
            gives::<GaugePressure>(
                "von_mises_bore_pa",
                "Lamé and von Mises at the bore: the one margins use",
            ),
            gives::<GaugePressure>("outside_diameter_pa", "thin wall on the outside diameter"),
            gives::<GaugePressure>("mean_diameter_pa", "thin wall on the mean diameter"),
            gives::<GaugePressure>("inside_diameter_pa", "thin wall on the inside diameter: the least safe"),
        ],
        range: "closed ends, a sound wall of even strength, away from ends, welds, holes, dents and hot spots",
        outside: "those places yield earlier: see margins; nothing here corrects for them",
        source: "Lamé with von Mises (Timoshenko, Strength of Materials Part II); outside diameter as 49 CFR 192.105",
        work: |values| Ok(Answer::of(&yield_pressure(tube(values)?, values.get("yield")?)?)),
    },
    Calculator {
        name: "burst-pressure",
        purpose: "The pressure at which a sound ductile tube bursts; never a permission",
        formula: "P = (2/sqrt(3)) Sy ln(od/id) (2 - Sy/Su)",
        inputs: &[
            OD,
            ID,
            WALL,
            of::<Stress>("yield", "least yield strength"),
            of::<Stress>("ultimate", "least ultimate strength"),
        ],
        results: &[gives::<GaugePressure>("faupel_pa", "burst pressure")],
        range: "ductile metal, slow loading, no flaw, weld, heat or joint; tests scatter about 15 % around it",
        outside: "a yield above the ultimate is refused; a flawed or hot wall bursts earlier and is not covered",
        source: "Faupel, Trans. ASME 78 (1956) 1031; reviewed in Brabin et al., Int. J. Pressure Vessels and Piping 88 (2011) 119",
        work: |values| {
            Ok(Answer::of(&burst_pressure(tube(values)?, values.get("yield")?, values.get("ultimate")?)?))
        },
    },
];

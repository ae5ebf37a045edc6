//! What is wrong with a design before anything is worked out from it.

use serde::Serialize;

use super::{Design, End, EndKind, bolt::BoltSize, material};
use crate::quantity::{Quantity, Typed};

/// One fault of a design.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// The field, as in the design file: `tube.wall`, `aft.edge`.
    pub field: String,
    /// What is wrong and what would be accepted.
    pub message: String,
}

struct Finder {
    found: Vec<Problem>,
}

impl Finder {
    fn blames(&self, field: &str) -> bool {
        self.found.iter().any(|problem| problem.field == field)
    }

    fn say(&mut self, field: impl Into<String>, message: impl Into<String>) {
        self.found.push(Problem { field: field.into(), message: message.into() });
    }

    /// Checks that a quantity is finite and in the range (both ends allowed).
    fn range<Q: Quantity>(&mut self, field: &str, value: &Typed<Q>, low: f64, high: f64, accepted: &str) {
        let si = value.si();
        if !si.is_finite() || si < low || si > high {
            let said = value.typed.clone().unwrap_or_else(|| format!("{si} {}", Q::SI_KEY));
            self.say(field, format!("{said} cannot be right: give {accepted}"));
        }
    }

    fn need<Q: Quantity>(&mut self, field: &str, value: Option<&Typed<Q>>, high: f64, accepted: &str) {
        match value {
            None => self.say(field, format!("is missing: give {accepted}")),
            Some(value) => self.range(field, value, f64::MIN_POSITIVE, high, accepted),
        }
    }
}

impl Design {
    /// Every fault that keeps margins from being worked out, in the order of the design file.
    ///
    /// Lengths, strengths and the pressure must be finite and above zero; the walls must leave a bore; an
    /// end must carry the fields of its kind; a listed metal or the strengths of an unlisted one must be
    /// there; values no casing of this trade has (an outside diameter above 1 m, a pressure above 200 MPa,
    /// a wall temperature outside -50 to 400 degC) are refused as slips of unit. An empty list means that
    /// [`margins`](fn@crate::strength::margins) can work.
    pub fn problems(&self) -> Vec<Problem> {
        let mut finder = Finder { found: Vec::new() };
        let od_m = self.tube.od.si();
        finder.range("tube.od", &self.tube.od, 3e-3, 1.0, "an outside diameter from 3 mm to 1 m");
        for (field, wall) in
            [("tube.wall", Some(&self.tube.wall)), ("tube.wall_min", self.tube.wall_min.as_ref())]
        {
            if let Some(wall) = wall {
                if finder.blames("tube.od") {
                    finder.range(field, wall, 1e-4, 0.5, "a wall from 0.1 mm");
                    continue;
                }
                let accepted =
                    format!("a wall from 0.1 mm to under half the outside diameter ({:.3} mm)", od_m * 500.0);
                finder.range(field, wall, 1e-4, (od_m * 0.4999).max(1e-4), &accepted);
            }
        }
        let (odd_od, odd_wall) =
            (finder.blames("tube.od"), finder.blames("tube.wall") || finder.blames("tube.wall_min"));
        if let Some(least) = &self.tube.wall_min
            && least.si() > self.tube.wall.si() * 1.15
        {
            finder.say(
                "tube.wall_min",
                "is more than 15 % above the nominal wall: measure again, or correct tube.wall",
            );
        }
        if let Some(length) = &self.tube.length {
            finder.range("tube.length", length, 5e-3, 10.0, "a cut length from 5 mm to 10 m");
        }
        self.metal_problems(&mut finder);
        let wall_m = self.tube.wall_min.as_ref().unwrap_or(&self.tube.wall).si();
        for (name, end) in [("forward", &self.forward), ("aft", &self.aft)] {
            if odd_od || odd_wall {
                whatever_the_tube(
                    &mut finder,
                    name,
                    end,
                    (!odd_od).then_some(od_m),
                    (!odd_wall).then_some(wall_m),
                );
            } else {
                end_problems(&mut finder, name, end, od_m, od_m - 2.0 * wall_m);
            }
        }
        finder.range(
            "service.meop",
            &self.service.meop,
            1e3,
            2e8,
            "a gauge pressure above zero and up to 200 MPa, e.g. \"5.7 MPa\"",
        );
        if let Some(temperature) = &self.service.wall_temperature {
            finder.range(
                "service.wall_temperature",
                temperature,
                223.15,
                673.15,
                "a wall temperature from -50 to 400 degC",
            );
        }
        finder.found
    }

    fn metal_problems(&self, finder: &mut Finder) {
        let tube = &self.tube;
        for (field, strength) in
            [("tube.yield", tube.yield_strength.as_ref()), ("tube.ultimate", tube.ultimate_strength.as_ref())]
        {
            if let Some(strength) = strength {
                finder.range(field, strength, 5e6, 4e9, "a strength from 5 MPa to 4000 MPa");
            }
        }
        if let (Some(fy), Some(fu)) = (&tube.yield_strength, &tube.ultimate_strength)
            && fy.si() > fu.si()
        {
            finder.say("tube.yield", "is above the ultimate strength: give the lower of the two as yield");
        }
        if let Some(modulus) = &tube.modulus {
            finder.range("tube.modulus", modulus, 1e9, 1e12, "an elastic modulus from 1 to 1000 GPa");
        }
        if let Some(poisson) = tube.poisson
            && !(poisson.is_finite() && (0.0..=0.5).contains(&poisson))
        {
            finder.say("tube.poisson", format!("{poisson} cannot be right: give a ratio from 0 to 0.5"));
        }
        match material::find(&tube.material) {
            Some(metal) if metal.minimum(tube.form).is_none() => finder.say(
                "tube.form",
                format!(
                    "{} has no published minimum in this form: give {}",
                    metal.name,
                    metal.form_words()
                ),
            ),
            Some(_) => {}
            None if tube.yield_strength.is_none() || tube.ultimate_strength.is_none() => finder.say(
                "tube.material",
                format!(
                    "\"{}\" is not listed: give one of {}, or its own yield and ultimate strength (shown as assumed everywhere)",
                    tube.material,
                    material::names()
                ),
            ),
            None => {}
        }
    }
}

/// The faults an end has whatever the tube's diameter and wall are: where one of those cannot be right, it is the
/// cause, and what only departs from it is not blamed.
fn whatever_the_tube(finder: &mut Finder, name: &str, end: &End, od_m: Option<f64>, wall_m: Option<f64>) {
    // From 3 mm to 1 m, and walls from next to none to next to no bore.
    let diameters: Vec<f64> = match od_m {
        Some(od_m) => vec![od_m],
        None => (0..=60).map(|at| 3e-3 * (1.0_f64 / 3e-3).powf(f64::from(at) / 60.0)).collect(),
    };
    let mut always: Option<Vec<Problem>> = None;
    for od_m in diameters {
        let walls: Vec<f64> = match wall_m {
            Some(wall_m) => vec![wall_m],
            None => (1..=24).map(|at| od_m * f64::from(at) / 50.0).collect(),
        };
        for wall_m in walls.into_iter().filter(|wall_m| 2.0 * wall_m < od_m) {
            let mut here = Finder { found: Vec::new() };
            end_problems(&mut here, name, end, od_m, od_m - 2.0 * wall_m);
            always = Some(match always {
                None => here.found,
                Some(before) => before.into_iter().filter(|it| here.blames(&it.field)).collect(),
            });
        }
    }
    finder.found.extend(always.unwrap_or_default());
}

fn end_problems(finder: &mut Finder, name: &str, end: &End, od_m: f64, bore_m: f64) {
    match end.kind {
        EndKind::WeldedPlug => welded_plug(finder, name, end, od_m),
        EndKind::RadialBolts => radial_bolts(finder, name, end, bore_m),
        EndKind::ThreadedCap => threaded_cap(finder, name, end, od_m, bore_m),
        EndKind::RetainingRing => retaining_ring(finder, name, end, od_m, bore_m),
    }
    if let Some(seal) = &end.seal_diameter {
        finder.range(
            &format!("{name}.seal_diameter"),
            seal,
            bore_m * 0.2,
            od_m,
            "a seal diameter up to the outside diameter of the tube",
        );
    }
    plate(finder, name, end);
}

fn welded_plug(finder: &mut Finder, name: &str, end: &End, od_m: f64) {
    let field = |part: &str| format!("{name}.{part}");
    let accepted = match &end.leg {
        Some(leg) if leg.si() > od_m / 2.0 => format!(
            "a leg under half the outside diameter ({:.3} mm), or the outside diameter in its own unit",
            od_m * 500.0
        ),
        _ => "the leg of the fillet, e.g. \"2.8 mm\"".to_owned(),
    };
    finder.need(&field("leg"), end.leg.as_ref(), od_m / 2.0, &accepted);
}

fn radial_bolts(finder: &mut Finder, name: &str, end: &End, bore_m: f64) {
    let field = |part: &str| format!("{name}.{part}");
    match end.count {
        None => finder.say(field("count"), "is missing: give how many bolts, 2 to 200"),
        Some(2..=200) => {}
        Some(count) => finder.say(field("count"), format!("{count} cannot be right: give 2 to 200 bolts")),
    }
    finder.need(&field("edge"), end.edge.as_ref(), 0.5, "the distance from hole centre to tube end");
    match end.bolt.as_deref().map(BoltSize::from_text) {
        None => {
            finder.say(field("bolt"), "is missing: give a size such as \"10-32\", \"1/4-28\" or \"M5x0.8\"")
        }
        Some(Err(error)) => finder.say(field("bolt"), error.to_string()),
        Some(Ok(bolt)) => {
            let d_m = bolt.diameter_m.si();
            if let Some(edge) = &end.edge
                && edge.si() > 0.0
                && edge.si() <= d_m / 2.0
            {
                finder.say(
                    field("edge"),
                    format!("leaves no metal beyond the hole: give more than half the bolt diameter ({:.3} mm), at least twice the diameter by common practice", d_m * 500.0),
                );
            }
            let round_m = std::f64::consts::PI * bore_m;
            if let Some(count) = end.count
                && bore_m > 0.0
                && f64::from(count) * d_m >= round_m
            {
                finder.say(
                    field("count"),
                    format!(
                        "{count} holes leave no metal between them: give fewer than {:.0}",
                        round_m / d_m
                    ),
                );
            }
        }
    }
    if let Some(strength) = &end.bolt_ultimate {
        finder.range(
            &field("bolt_ultimate"),
            strength,
            1e8,
            3e9,
            "an ultimate strength from 100 to 3000 MPa",
        );
    }
}

fn threaded_cap(finder: &mut Finder, name: &str, end: &End, od_m: f64, bore_m: f64) {
    let field = |part: &str| format!("{name}.{part}");
    let accepted = format!(
        "a pitch diameter from half the bore ({:.3} mm) to the outside diameter ({:.3} mm)",
        bore_m * 500.0,
        od_m * 1e3
    );
    match &end.pitch_diameter {
        None => finder.say(field("pitch_diameter"), format!("is missing: give {accepted}")),
        Some(pitch) => finder.range(&field("pitch_diameter"), pitch, bore_m * 0.5, od_m, &accepted),
    }
    finder.need(&field("engagement"), end.engagement.as_ref(), 0.5, "the engaged length of full threads");
    let accepted = format!(
        "the bore diameter at the relief, from the bore ({:.3} mm) to under the outside diameter ({:.3} mm)",
        bore_m * 1e3,
        od_m * 1e3
    );
    match &end.relief_diameter {
        None => finder.say(field("relief_diameter"), format!("is missing: give {accepted}")),
        Some(relief) => {
            finder.range(&field("relief_diameter"), relief, bore_m * 0.9, od_m * (1.0 - 1e-6), &accepted);
        }
    }
}

fn retaining_ring(finder: &mut Finder, name: &str, end: &End, od_m: f64, bore_m: f64) {
    let field = |part: &str| format!("{name}.{part}");
    let wall_m = (od_m - bore_m) / 2.0;
    let accepted = format!("a radial groove depth below the wall ({:.3} mm)", wall_m * 1e3);
    finder.need(&field("groove_depth"), end.groove_depth.as_ref(), wall_m * (1.0 - 1e-6), &accepted);
    finder.need(&field("ring_thickness"), end.ring_thickness.as_ref(), 0.05, "the thickness of the ring");
    finder.need(&field("edge"), end.edge.as_ref(), 0.5, "the distance from groove to tube end");
}

/// The plate that closes an end, where one is given.
fn plate(finder: &mut Finder, name: &str, end: &End) {
    let field = |part: &str| format!("{name}.{part}");
    if let Some(plate) = &end.plate {
        finder.range(
            &field("plate.thickness"),
            &plate.thickness,
            1e-4,
            0.5,
            "a plate thickness from 0.1 to 500 mm",
        );
        if let Some(name_given) = &plate.material
            && material::find(name_given).is_none()
        {
            finder.say(
                field("plate.material"),
                format!(
                    "\"{name_given}\" is not listed: give one of {}, or leave it out for the tube's",
                    material::names()
                ),
            );
        }
    }
}

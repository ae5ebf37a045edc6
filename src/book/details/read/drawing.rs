//! A casing on paper, and what readings are to be expected of it.

use crate::book::Reading;
use crate::book::reader::Reader;
use crate::book::reading::What;
use crate::design::{Design, End, EndKind, Plate, PlateEdge, ProductForm, Service, Tube};
use crate::quantity::blunder::outside_typed;
use crate::quantity::{Dimension, Length, Quantity, System, Typed};

/// Read a casing on paper: the `tube`, `forward`, `aft` and `service` fields.
pub fn design(from: &mut Reader<'_>) -> Option<Design> {
    let tube = tube(from);
    let forward = end(from, "forward");
    let aft = end(from, "aft");
    let meop = from.positive("service.meop");
    if let Some(meop) = &meop {
        from.plausible("service.meop", meop, 0.2e6, 30e6);
    }
    let wall_temperature = from.quantity("service.wall_temperature");
    let design = Design {
        tube: tube?,
        forward: forward?,
        aft: aft?,
        service: Service { meop: meop?, wall_temperature },
    };
    let problems = design.problems();
    if problems.is_empty() {
        return Some(design);
    }
    // What was answered and not understood is not missing.
    let said: Vec<String> = from.problems.iter().map(|it| it.field.clone()).collect();
    for problem in problems.into_iter().filter(|it| !said.contains(&it.field)) {
        from.wrong(&problem.field, problem.message);
    }
    None
}

fn tube(from: &mut Reader<'_>) -> Option<Tube> {
    let material = from.text("tube.material");
    let form = from.word("tube.form", ProductForm::from_word);
    let od = from.positive("tube.od");
    let wall = from.positive("tube.wall");
    let wall_min = from.positive("tube.wall_min");
    let length = from.positive("tube.length");
    let yield_strength = from.positive("tube.yield");
    let ultimate_strength = from.positive("tube.ultimate");
    let modulus = from.positive("tube.modulus");
    let poisson = from.number("tube.poisson", 0.05..=0.5);
    if let Some(od) = &od {
        from.plausible("tube.od", od, 0.010, 0.600);
    }
    if let Some(wall) = &wall {
        from.plausible("tube.wall", wall, 0.0004, 0.040);
    }
    if let Some(length) = &length {
        from.plausible("tube.length", length, 0.03, 4.0);
    }
    Some(Tube {
        material: material?,
        form,
        od: od?,
        wall: wall?,
        wall_min,
        length,
        yield_strength,
        ultimate_strength,
        modulus,
        poisson,
    })
}

fn end(from: &mut Reader<'_>, end: &str) -> Option<End> {
    let field = |name: &str| format!("{end}.{name}");
    let kind = from.word(&field("kind"), EndKind::from_word);
    let plate = if from.has_any(&field("plate.")) {
        let thickness = from.positive(&field("plate.thickness"));
        let edge = from.word(&field("plate.edge"), PlateEdge::from_word);
        let material = from.text(&field("plate.material"));
        if thickness.is_none() && !from.has(&field("plate.thickness")) {
            from.wrong(
                &field("plate.thickness"),
                "missing; a plate needs its thickness, for example 12 mm".to_owned(),
            );
        }
        if edge.is_none() && !from.has(&field("plate.edge")) {
            from.wrong(&field("plate.edge"), "missing; it takes one of: clamped, supported".to_owned());
        }
        match (thickness, edge) {
            (Some(thickness), Some(edge)) => Some(Plate { thickness, edge, material }),
            _ => None,
        }
    } else {
        None
    };
    let count = from.whole(&field("count"), 1..=200);
    Some(End {
        leg: from.positive(&field("leg")),
        count,
        bolt: from.text(&field("bolt")),
        edge: from.positive(&field("edge")),
        bolt_ultimate: from.positive(&field("bolt_ultimate")),
        pitch_diameter: from.positive(&field("pitch_diameter")),
        engagement: from.positive(&field("engagement")),
        relief_diameter: from.positive(&field("relief_diameter")),
        groove_depth: from.positive(&field("groove_depth")),
        ring_thickness: from.positive(&field("ring_thickness")),
        seal_diameter: from.positive(&field("seal_diameter")),
        kind: kind?,
        plate,
    })
}

pub(super) fn expect_diameters(from: &mut Reader<'_>, name: &str, readings: &[Reading], design: &Design) {
    let od = design.tube.od.si();
    let length = design.tube.length.as_ref().map(|length| length.si());
    for reading in readings {
        let place = crate::quantity::show(reading.station.value, crate::quantity::System::Si);
        if let Some(value) = &reading.value {
            let expected = match reading.what {
                What::InsideDiameter => od - 2.0 * design.tube.wall.si(),
                _ => od,
            };
            let slip = crate::book::reader::slip(
                crate::quantity::Dimension::Length,
                value.typed.as_deref(),
                value.si(),
                expected,
            );
            if let Some(message) = slip {
                from.odd(name, format!("at station {place}: {message}"));
            } else if (value.si() / expected - 1.0).abs() > 0.10 {
                from.odd(
                    name,
                    format!(
                        "at station {place}: {} is more than 10 % from the {} of the drawing; it will not be believed",
                        value.typed.as_deref().unwrap_or("this"),
                        crate::quantity::show(crate::quantity::Length::mm(expected * 1e3), crate::quantity::System::Si)
                    ),
                );
            }
        }
        if !refuse_beyond(from, name, &reading.station, design)
            && length.is_some_and(|length| reading.station.si() > length)
        {
            from.odd(name, format!("station {place} is beyond the tube's length"));
        }
    }
}

/// What a station may lie beyond the cut length and still be this tube's: the saw, the tape, a plug that stands out.
const BEYOND_M: f64 = 0.010;
const BEYOND_SHARE: f64 = 1.02;

/// Refuse a station that this tube does not have, naming the slip it looks like; whether it was refused.
pub(super) fn refuse_beyond(
    from: &mut Reader<'_>,
    name: &str,
    station: &Typed<Length>,
    design: &Design,
) -> bool {
    let Some(length) = design.tube.length.as_ref() else { return false };
    let reach = (length.si() * BEYOND_SHARE).max(length.si() + BEYOND_M);
    if station.si() <= reach {
        return false;
    }
    let slip =
        outside_typed(station.typed.as_deref().unwrap_or(""), Dimension::Length, station.si(), 0.0, reach)
            .filter(|slip| slip.meant.is_some())
            .map_or_else(String::new, |slip| {
                slip.message
                    .rsplit_once(": ")
                    .map_or_else(String::new, |(_, question)| format!("; {question}"))
            });
    from.wrong(
        name,
        format!(
            "station {} is not on this tube, which is {} long{slip}",
            crate::quantity::show(station.value, System::Si),
            crate::quantity::show(length.value, System::Si)
        ),
    );
    true
}

/// Ask about a throat that does not go into the bore.
pub(super) fn expect_throat(
    from: &mut Reader<'_>,
    name: &str,
    throat: Option<&Typed<Length>>,
    design: &Design,
) {
    let bore = design.tube.od.si() - 2.0 * design.tube.wall.si();
    if let Some(throat) = throat
        && throat.si() >= bore
    {
        from.odd(
            name,
            format!(
                "{} is wider than the bore of this tube, {}: a slip of the decimal point or the unit?",
                throat.typed.clone().unwrap_or_else(|| crate::quantity::show(throat.value, System::Si)),
                crate::quantity::show(Length::from_si(bore), System::Si)
            ),
        );
    }
}

//! Which dimension to change: each one a little better, and what the weakest mode gains by it.

use serde::Serialize;

use super::{InputError, LocalState, Mode, margins};
use crate::design::{Design, End, EndKind};
use crate::quantity::{GaugePressure, Length, Quantity, Typed};

/// What one changed dimension would give.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// The field, as in the design file: `aft.edge`.
    pub field: String,
    /// What it is.
    pub from: String,
    /// What it would be.
    pub to: String,
    /// The weakest mode as it is, and the pressure it yields at.
    pub weakest: Mode,
    /// Gauge pressure at which it yields now.
    pub yield_pressure_pa: GaugePressure,
    /// The weakest mode after the change.
    pub weakest_after: Mode,
    /// Gauge pressure at which that yields.
    pub yield_pressure_after_pa: GaugePressure,
    /// The one over the other, less one.
    pub gain: f64,
}

/// A dimension that can be changed, by how much, and how to put it in.
type Step = (&'static str, fn(&mut Design) -> Option<(String, String)>);

fn longer(slot: &mut Option<Typed<Length>>, by_mm: f64) -> Option<(String, String)> {
    let length = slot.as_mut()?;
    let from_mm = length.value.as_mm();
    *length = Typed::computed(Length::mm(from_mm + by_mm));
    Some((format!("{from_mm:.2} mm"), format!("{:.2} mm", from_mm + by_mm)))
}

fn thicker(design: &mut Design) -> Option<(String, String)> {
    const BY_MM: f64 = 0.25;
    let from_mm = design.tube.wall.value.as_mm();
    design.tube.wall = Typed::computed(Length::mm(from_mm + BY_MM));
    if let Some(least) = &mut design.tube.wall_min {
        *least = Typed::computed(Length::mm(least.value.as_mm() + BY_MM));
    }
    Some((format!("{from_mm:.2} mm"), format!("{:.2} mm", from_mm + BY_MM)))
}

fn one_more_bolt(end: &mut End) -> Option<(String, String)> {
    let count = end.count.as_mut()?;
    let from = *count;
    *count += 1;
    Some((from.to_string(), count.to_string()))
}

const STEPS: &[Step] = &[
    ("tube.wall", thicker),
    ("forward.leg", |it| longer(&mut it.forward.leg, 0.5)),
    ("aft.leg", |it| longer(&mut it.aft.leg, 0.5)),
    ("forward.count", |it| one_more_bolt(&mut it.forward)),
    ("aft.count", |it| one_more_bolt(&mut it.aft)),
    ("forward.edge", |it| longer(&mut it.forward.edge, 0.5)),
    ("aft.edge", |it| longer(&mut it.aft.edge, 0.5)),
    ("forward.engagement", |it| longer(&mut it.forward.engagement, 1.0)),
    ("aft.engagement", |it| longer(&mut it.aft.engagement, 1.0)),
    ("forward.relief_diameter", |it| longer(&mut it.forward.relief_diameter, -0.2)),
    ("aft.relief_diameter", |it| longer(&mut it.aft.relief_diameter, -0.2)),
    ("forward.groove_depth", |it| longer(&mut it.forward.groove_depth, 0.2)),
    ("aft.groove_depth", |it| longer(&mut it.aft.groove_depth, 0.2)),
    ("forward.groove_depth", |it| longer(&mut it.forward.groove_depth, -0.2)),
    ("aft.groove_depth", |it| longer(&mut it.aft.groove_depth, -0.2)),
    ("forward.ring_thickness", |it| longer(&mut it.forward.ring_thickness, 0.2)),
    ("aft.ring_thickness", |it| longer(&mut it.aft.ring_thickness, 0.2)),
    ("forward.plate.thickness", |it| plate_thicker(&mut it.forward)),
    ("aft.plate.thickness", |it| plate_thicker(&mut it.aft)),
];

fn plate_thicker(end: &mut End) -> Option<(String, String)> {
    let plate = end.plate.as_mut()?;
    let mut thickness = Some(plate.thickness.clone());
    let said = longer(&mut thickness, 0.5);
    plate.thickness = thickness?;
    said
}

/// Each dimension a little better, and what the weakest mode gains; the greatest gain first, none left out.
///
/// Where both ends are the weakest together, the same dimension of both is changed at once (`both.edge`): one
/// alone would gain nothing.
/// Arguments: a design without problems; what is on record of the serial. Errors: as [`margins()`].
/// A change that the design cannot take (a groove through the wall) is left out. The gain is of first yield on
/// paper; what it costs in mass or machining is not judged.
/// Source: the margins themselves; the step sizes are common practice, no source.
///
/// ```
/// use proofmark::design::{Design, End, EndKind, Service, Tube};
/// use proofmark::quantity::{GaugePressure, Length, Typed};
/// use proofmark::strength::{LocalState, change::changes};
/// let mm = |value| Typed::computed(Length::mm(value));
/// let plug = End { leg: Some(mm(2.8)), ..End::bare(EndKind::WeldedPlug) };
/// let design = Design {
///     tube: Tube { material: "6061-T6".into(), form: None, od: mm(50.8), wall: mm(1.651), wall_min: Some(mm(1.651)),
///         length: None, yield_strength: None, ultimate_strength: None, modulus: None, poisson: None },
///     forward: plug.clone(), aft: plug,
///     service: Service { meop: Typed::computed(GaugePressure::mpa(5.7)), wall_temperature: None } };
/// let worth = changes(&design, &LocalState::default())?;
/// assert_eq!(worth[0].field, "tube.wall"); // the softened wall is the weakest: only a thicker one helps
/// assert!(worth[0].gain > 0.1);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn changes(design: &Design, local: &LocalState) -> Result<Vec<Change>, InputError> {
    let now = margins(design, None, local)?;
    let Some(weakest) = now.thinnest() else { return Ok(Vec::new()) };
    let mut found: Vec<Change> = Vec::new();
    let mut judge = |field: String, changed: &Design, (from, to): (String, String)| {
        let Ok(after) = margins(changed, None, local) else { return };
        let Some(weakest_after) = after.thinnest() else { return };
        let gain = weakest_after.yield_pressure_pa.si() / weakest.yield_pressure_pa.si() - 1.0;
        found.push(Change {
            field,
            from,
            to,
            weakest: weakest.mode,
            yield_pressure_pa: weakest.yield_pressure_pa,
            weakest_after: weakest_after.mode,
            yield_pressure_after_pa: weakest_after.yield_pressure_pa,
            gain: if gain.is_finite() { gain } else { 0.0 },
        });
    };
    for (field, step) in STEPS {
        let mut changed = design.clone();
        if let Some(said) = step(&mut changed) {
            judge((*field).to_owned(), &changed, said);
        }
    }
    if design.forward.kind == design.aft.kind && design.forward.kind != EndKind::WeldedPlug {
        // The same step of the aft end follows that of the forward end.
        for pair in STEPS.windows(2) {
            let [(field, forward), (_, aft)] = pair else { continue };
            let Some(name) = field.strip_prefix("forward.") else { continue };
            let mut changed = design.clone();
            if let Some(said) = forward(&mut changed)
                && aft(&mut changed).is_some()
            {
                judge(format!("both.{name}"), &changed, said);
            }
        }
    }
    found.sort_by(|a, b| b.gain.total_cmp(&a.gain));
    Ok(found)
}

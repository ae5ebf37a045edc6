//! Threaded closures: thread strip and the wall at the thread relief.

use std::f64::consts::PI;

use serde::Serialize;

use super::InputError;
use super::casing::{Casing, Findings, Row, first_yield_pa};
use super::margins::Mode;
use crate::design::End;
use crate::design::error::positive;
use crate::design::wall::TubeSize;
use crate::quantity::{Area, Force, Length, Quantity, Stress};

crate::words! {
    /// Which thread of a pair strips first.
    pub enum Thread {
        /// The bolt's or plug's.
        External = "external",
        /// The nut's or bore's.
        Internal = "internal",
    }
}

/// A pair of engaged straight threads by their worst permitted diameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreadPair {
    /// Pitch: 1/n for n threads a unit length.
    pub pitch: Length,
    /// Length of full engagement.
    pub engagement: Length,
    /// Least major diameter of the external thread.
    pub external_major_min: Length,
    /// Least pitch diameter of the external thread.
    pub external_pitch_min: Length,
    /// Greatest minor diameter of the internal thread.
    pub internal_minor_max: Length,
    /// Greatest pitch diameter of the internal thread.
    pub internal_pitch_max: Length,
    /// Shear strength of the external thread's metal.
    pub external_shear: Option<Stress>,
    /// Shear strength of the internal thread's metal.
    pub internal_shear: Option<Stress>,
}

/// Shear areas of a thread pair, and what they carry.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ThreadStrip {
    /// Shear area of the external thread.
    pub external_area_m2: Area,
    /// Shear area of the internal thread.
    pub internal_area_m2: Area,
    /// Force that strips the external thread.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub external_load_n: Option<Force>,
    /// Force that strips the internal thread.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub internal_load_n: Option<Force>,
    /// The one that strips first.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub governs: Option<Thread>,
}

/// Thread shear areas from worst permitted diameters, 60 degree thread.
///
/// Formula (n threads a unit length, engagement Le): external As = pi n Le Kn (1/(2n) + 0.57735 (Es - Kn));
/// internal An = pi n Le Ds (1/(2n) + 0.57735 (Ds - En)), with Ds external major minimum, Es external pitch
/// minimum, Kn internal minor maximum, En internal pitch maximum. Load = area times shear strength.
/// Arguments: [`ThreadPair`]; diameters at their worst limits, not basic ones.
/// Valid for 60 degree threads in full mesh, load shared by all threads; an engagement beyond about one
/// diameter does not share evenly. Errors: a value not above zero, less than one thread engaged, diameters that do not overlap, or that lie
/// so far apart that a tooth would be thicker than its pitch (a 60 degree V is 0.866 pitches deep).
/// Source: FED-STD-H28/2B appendix; the same in ASME B1.1 Appendix B.
///
/// ```
/// use proofmark::quantity::{Length, Quantity};
/// use proofmark::strength::threaded::{ThreadPair, thread_strip};
/// let found = thread_strip(&ThreadPair { // 1/2-13 UNC 2A/2B, one inch engaged
///     pitch: Length::inches(1.0 / 13.0), engagement: Length::inches(1.0),
///     external_major_min: Length::inches(0.4876), external_pitch_min: Length::inches(0.4435),
///     internal_minor_max: Length::inches(0.434), internal_pitch_max: Length::inches(0.4565),
///     external_shear: None, internal_shear: None,
/// })?;
/// assert!((found.external_area_m2.si() / 0.0254_f64.powi(2) - 0.7789).abs() < 1e-3);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn thread_strip(pair: &ThreadPair) -> Result<ThreadStrip, InputError> {
    let pitch_m = positive("pitch", pair.pitch)?;
    let le_m = positive("engagement", pair.engagement)?;
    let ds_m = positive("external_major_min", pair.external_major_min)?;
    let es_m = positive("external_pitch_min", pair.external_pitch_min)?;
    let kn_m = positive("internal_minor_max", pair.internal_minor_max)?;
    let en_m = positive("internal_pitch_max", pair.internal_pitch_max)?;
    let per_m = 1.0 / pitch_m;
    let tan = 1.0 / 3f64.sqrt();
    let external_m2 = PI * per_m * le_m * kn_m * (pitch_m / 2.0 + tan * (es_m - kn_m));
    let internal_m2 = PI * per_m * le_m * ds_m * (pitch_m / 2.0 + tan * (ds_m - en_m));
    if ds_m <= kn_m || external_m2 <= 0.0 {
        let accepted = format!("a minor diameter below the external major, {:.4} mm", ds_m * 1e3);
        return Err(InputError::outside("internal_minor_max", format!("{:.4} mm", kn_m * 1e3), accepted));
    }
    if es_m > ds_m {
        let accepted = format!("a pitch diameter below the external major, {:.4} mm", ds_m * 1e3);
        return Err(InputError::outside("external_pitch_min", format!("{:.4} mm", es_m * 1e3), accepted));
    }
    if le_m < pitch_m {
        let accepted = format!("at least one thread of engagement, the pitch of {:.4} mm", pitch_m * 1e3);
        return Err(InputError::outside("engagement", format!("{:.4} mm", le_m * 1e3), accepted));
    }
    // A tooth is never thicker than its pitch: beyond that the diameters are of a coarser thread.
    let deepest_m = pitch_m / (2.0 * tan);
    for (name, outer_m, inner_name, inner_m) in [
        ("external_pitch_min", es_m, "internal_minor_max", kn_m),
        ("external_major_min", ds_m, "internal_pitch_max", en_m),
    ] {
        if outer_m - inner_m >= deepest_m {
            let accepted = format!(
                "less than 0.866 pitches above {inner_name}, {:.4} mm; or look at the pitch, {:.4} mm",
                (inner_m + deepest_m) * 1e3,
                pitch_m * 1e3
            );
            return Err(InputError::outside(name, format!("{:.4} mm", outer_m * 1e3), accepted));
        }
    }
    if internal_m2 <= 0.0 {
        let accepted = format!("a pitch diameter that meshes with the external major, {:.4} mm", ds_m * 1e3);
        return Err(InputError::outside("internal_pitch_max", format!("{:.4} mm", en_m * 1e3), accepted));
    }
    let external_n =
        pair.external_shear.map(|it| positive("external_shear", it)).transpose()?.map(|pa| pa * external_m2);
    let internal_n =
        pair.internal_shear.map(|it| positive("internal_shear", it)).transpose()?.map(|pa| pa * internal_m2);
    let governs = match (external_n, internal_n) {
        (Some(external_n), Some(internal_n)) if internal_n < external_n => Some(Thread::Internal),
        (Some(_), Some(_)) => Some(Thread::External),
        _ => None,
    };
    Ok(ThreadStrip {
        external_area_m2: Area::from_si(external_m2),
        internal_area_m2: Area::from_si(internal_m2),
        external_load_n: external_n.map(Force::from_si),
        internal_load_n: internal_n.map(Force::from_si),
        governs,
    })
}

/// Pull-out force of a tapped hole, the careful simple form.
///
/// Formula: P = pi dm Fs L/3. The third is empirical: perfectly mated threads would share the shell by
/// halves, and it allows for mismatch.
/// Arguments: pitch DIAMETER; full engaged length; shear strength of the weaker metal.
/// Valid for ordinary 60 degree threads, two or more full threads. Errors: a value not above zero.
/// Source: NASA RP-1228 (1990), pull-out load for tapped holes.
///
/// ```
/// use proofmark::quantity::{Length, Quantity, Stress};
/// let pull = proofmark::strength::threaded::pull_out(
///     Length::inches(0.45), Length::inches(0.5), Stress::ksi(20.0))?;
/// assert!((pull.si() / 4.448_221_615 - 4712.4).abs() < 0.1); // lbf
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn pull_out(pitch_diameter: Length, engagement: Length, shear: Stress) -> Result<Force, InputError> {
    let d_m = positive("pitch_diameter", pitch_diameter)?;
    let le_m = positive("engagement", engagement)?;
    Ok(Force::from_si(PI * d_m * positive("shear", shear)? * le_m / 3.0))
}

/// Thread strip and thread relief of one threaded end.
///
/// Relief in service: the end force on the net wall, axial. If gas passes the seal the relief carries the
/// full pressure as a thin tube: that is reported as contingent, and never ranked.
pub(super) fn rows(casing: &Casing, end: &End, place: &str, found: &mut Findings) -> Result<(), InputError> {
    let (Some(pitch), Some(engaged), Some(relief)) =
        (&end.pitch_diameter, &end.engagement, &end.relief_diameter)
    else {
        return Ok(());
    };
    let (_, area_m2) = casing.seal(end);
    let shear = 1.0 / 3f64.sqrt();
    let strip = |strength_pa: f64| {
        pull_out(pitch.value, engaged.value, Stress::from_si(shear * strength_pa)).map(|it| it.si() / area_m2)
    };
    found.rows.push(Row {
        mode: Mode::ThreadStrip,
        place: place.to_owned(),
        yield_pa: strip(casing.fy_pa)?,
        ultimate_pa: Some(strip(casing.fu_pa)?),
        on_ultimate: false,
        basis: format!(
            "a third of the pitch cylinder {:.2} x {:.2} mm (the club's half is the bolder of the two), shear 0.577 of yield, the tube's metal; {}",
            pitch.value.as_mm(),
            engaged.value.as_mm(),
            casing.strength_words
        ),
        source: "NASA RP-1228 (1990), pull-out of tapped holes",
    });
    let relief_m = relief.si().max(casing.id_m);
    let net_m2 = std::f64::consts::FRAC_PI_4 * (casing.od_m.powi(2) - relief_m.powi(2));
    found.rows.push(Row {
        mode: Mode::ThreadRelief,
        place: place.to_owned(),
        yield_pa: net_m2 * casing.fy_pa / area_m2,
        ultimate_pa: Some(net_m2 * casing.fu_pa / area_m2),
        on_ultimate: false,
        basis: format!(
            "axial tension at the relief bore {:.2} mm, seal holding; {}",
            relief_m * 1e3,
            casing.strength_words
        ),
        source: "end force over net area (statics)",
    });
    let at_relief = TubeSize::from_two(Some(casing.size.od_m), Some(Length::from_si(relief_m)), None)?;
    found.contingent.push(Row {
        mode: Mode::ThreadRelief,
        place: place.to_owned(),
        yield_pa: first_yield_pa(at_relief, casing.fy_pa),
        ultimate_pa: None,
        on_ultimate: false,
        basis: format!(
            "only if gas passes the seal: full pressure inside the relief bore {:.2} mm; {}",
            relief_m * 1e3,
            casing.strength_words
        ),
        source: "Lamé with von Mises at the relief bore, closed ends",
    });
    Ok(())
}

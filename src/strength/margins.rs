//! Margins of a whole casing by failure mode, the weakest first.

use serde::Serialize;

use super::casing::{Casing, Findings, Row};
use super::{InputError, bolted, plate, ring, threaded, tube, weld};
use crate::design::error::positive;
use crate::design::{Design, End, EndKind};
use crate::quantity::{GaugePressure, Length, Quantity, Stress, Temperature};

crate::words! {
    /// The ways a casing can fail.
    pub enum Mode {
        /// The tube yields at its bore.
        TubeWall = "tube wall",
        /// The tube bursts.
        TubeBurst = "tube burst",
        /// The wall softened by a weld yields.
        WeldZoneWall = "weld zone wall",
        /// The fillet of a welded plug shears.
        WeldThroat = "weld throat",
        /// Threads shear off.
        ThreadStrip = "thread strip",
        /// The tube yields at the thread relief.
        ThreadRelief = "thread relief",
        /// Bolts crush the edge of their holes.
        HoleBearing = "hole bearing",
        /// Bolts shear.
        BoltShear = "bolt shear",
        /// Bolts tear out to the tube end.
        TearOut = "tear-out",
        /// The tube yields between the holes, or outside a groove.
        NetSection = "net section",
        /// The ring crushes the side of its groove.
        GrooveBearing = "groove bearing",
        /// The land beyond the groove shears off.
        GrooveShear = "groove shear",
        /// The ring shears.
        RingShear = "ring shear",
        /// A flat end plate yields in bending.
        PlateBending = "plate bending",
    }
}

/// A place on the tube on record as thin or soft.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LocalSpot {
    /// Where, in the words a report prints: "station 250, 90 deg".
    pub place: String,
    /// Wall left there.
    pub remaining_wall: Option<Length>,
    /// Yield strength there at room temperature, e.g. from [`crate::design::derate::local_strength`].
    pub yield_strength: Option<Stress>,
    /// Inside the softened zone of a weld (about 30 mm): the welded strength is used.
    pub beside_weld: bool,
}

/// What the record says about this serial beyond its drawing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LocalState {
    /// Thin or soft places.
    pub spots: Vec<LocalSpot>,
    /// Wall temperature; the hotter of this and the design's is used.
    pub wall_temperature: Option<Temperature>,
}

/// One failure mode of one place.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ModeMargin {
    /// The failure mode.
    pub mode: Mode,
    /// "tube", "forward end", "aft end", or the place of a spot.
    #[serde(rename = "where")]
    pub place: String,
    /// Gauge pressure at which it first yields; for burst, at which the whole wall has yielded.
    pub yield_pressure_pa: GaugePressure,
    /// Gauge pressure at which it parts, where a formula gives one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ultimate_pressure_pa: Option<GaugePressure>,
    /// Yield pressure over the pressure asked; for burst the ultimate pressure over it.
    pub factor: f64,
    /// What went into the number.
    pub basis: String,
    /// Where the formula stands.
    pub source: String,
}

impl ModeMargin {
    /// The pressure that the factor is of: of burst the ultimate one, of every other mode that of first yield.
    pub fn factor_of(&self) -> GaugePressure {
        match (self.mode, self.ultimate_pressure_pa) {
            (Mode::TubeBurst, Some(bursts)) => bursts,
            _ => self.yield_pressure_pa,
        }
    }
}

/// The margins of a casing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Margins {
    /// The pressure the factors are on.
    pub pressure_pa: GaugePressure,
    /// Highest pressure the owner says a load may reach.
    pub meop_pa: GaugePressure,
    /// The mode of the first row.
    pub weakest: Mode,
    /// Every mode, the smallest yield pressure first.
    pub modes: Vec<ModeMargin>,
    /// Modes that count only once something else has gone wrong (gas past a seal): shown, never ranked.
    pub contingent: Vec<ModeMargin>,
    /// What the drawing itself forbids or leaves open.
    pub objections: Vec<String>,
    /// Numbers taken on somebody's word.
    pub assumed: Vec<String>,
}

impl Margins {
    /// The first row: the weakest mode with its place and factor.
    pub fn thinnest(&self) -> Option<&ModeMargin> {
        self.modes.first()
    }

    /// The weakest row of a mode.
    pub fn mode(&self, mode: Mode) -> Option<&ModeMargin> {
        self.modes.iter().find(|it| it.mode == mode)
    }
}

/// Margins of a casing by failure mode.
///
/// Formula: for each mode the gauge pressure at which that part first yields, from the least wall and the
/// least strength; factor = that pressure over the pressure asked, else over the MEOP.
/// Ranking: by yield pressure, the smallest first. Burst is an ultimate mode: its factor is on the Faupel
/// pressure, and it is ranked by the pressure at which the whole wall has yielded, (2/sqrt3) Sy ln(od/id).
/// That is never below the first yield of the same wall, since ln K >= (1 - 1/K^2)/2, so burst cannot be
/// the weakest by its kind alone and cannot hide behind a mode it is stronger than.
/// Arguments: the design; a gauge pressure to judge at (`None`: the MEOP); what is on record of this serial.
/// Valid for designs without [`Design::problems`]; pressures above zero. Otherwise an error names the field.
/// What the formulas do not see (leaks, fatigue, closure metal, bell-mouthing) they do not judge.
/// Source: stands in every row.
///
/// ```
/// use proofmark::design::{Design, End, EndKind, Service, Tube};
/// use proofmark::quantity::{GaugePressure, Length, Stress, Typed};
/// use proofmark::strength::{LocalState, Mode, margins};
/// let plug = End { leg: Some(Typed::computed(Length::mm(2.8))), ..End::bare(EndKind::WeldedPlug) };
/// let design = Design {
///     tube: Tube {
///         material: "6061-T6".into(), form: None, od: Typed::computed(Length::inches(2.0)),
///         wall: Typed::computed(Length::inches(0.065)), wall_min: Some(Typed::computed(Length::inches(0.065))),
///         length: None, yield_strength: None, ultimate_strength: None, modulus: None, poisson: None,
///     },
///     forward: plug.clone(), aft: plug,
///     service: Service { meop: Typed::computed(GaugePressure::mpa(5.7)), wall_temperature: None },
/// };
/// let found = margins(&design, None, &LocalState::default())?;
/// assert_eq!(found.weakest, Mode::WeldZoneWall);
/// let thinnest = found.thinnest().ok_or("no mode")?;
/// assert!((thinnest.yield_pressure_pa.as_mpa() - 7.62).abs() < 0.01);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn margins(
    design: &Design,
    pressure: Option<GaugePressure>,
    local: &LocalState,
) -> Result<Margins, InputError> {
    let problems = design.problems();
    if !problems.is_empty() {
        return Err(InputError::Design(problems));
    }
    let meop_pa = design.service.meop.value;
    let pressure_pa = pressure.unwrap_or(meop_pa);
    let p_pa = positive("pressure", pressure_pa)?;
    let mut found = Findings::default();
    let casing = Casing::new(design, local, &mut found)?;
    tube::rows(&casing, local, &mut found)?;
    for (end, place) in [(&design.forward, "forward end"), (&design.aft, "aft end")] {
        let (seal_m, _) = casing.seal(end);
        if end.kind != EndKind::WeldedPlug && seal_m < 0.99 * casing.id_m {
            found.assumed.push(format!(
                "{place}: the pressure is taken to act on its seal of {:.2} mm alone; where it passes the seal, the bore of {:.2} mm takes {:.2} times the force",
                seal_m * 1e3,
                casing.id_m * 1e3,
                (casing.id_m / seal_m).powi(2)
            ));
        }
        end_rows(&casing, end, place, &mut found)?;
    }
    let judged = |rows: Vec<Row>| -> Vec<ModeMargin> {
        let mut judged: Vec<_> = rows.into_iter().map(|row| judge(row, p_pa)).collect();
        judged.sort_by(|one, other| {
            one.yield_pressure_pa
                .si()
                .total_cmp(&other.yield_pressure_pa.si())
                .then(one.mode.cmp(&other.mode))
        });
        judged
    };
    let modes = judged(found.rows);
    let contingent = judged(found.contingent);
    let mut objections = found.objections;
    for row in modes.iter().filter(|it| it.factor < 1.0) {
        objections.push(format!(
            "{} at the {} fails at {:.2} MPa, below {:.2} MPa",
            row.mode,
            row.place,
            row.yield_pressure_pa.as_mpa(),
            pressure_pa.as_mpa()
        ));
    }
    Ok(Margins {
        pressure_pa,
        meop_pa,
        weakest: modes.first().map_or(Mode::TubeWall, |it| it.mode),
        modes,
        contingent,
        objections,
        assumed: found.assumed,
    })
}

fn end_rows(casing: &Casing, end: &End, place: &str, found: &mut Findings) -> Result<(), InputError> {
    match end.kind {
        EndKind::WeldedPlug => weld::rows(casing, end, place, found),
        EndKind::RadialBolts => bolted::rows(casing, end, place, found)?,
        EndKind::ThreadedCap => threaded::rows(casing, end, place, found)?,
        EndKind::RetainingRing => ring::rows(casing, end, place, found)?,
    }
    plate::rows(casing, end, place, found)
}

fn judge(row: Row, p_pa: f64) -> ModeMargin {
    let decisive_pa = if row.on_ultimate { row.ultimate_pa.unwrap_or(row.yield_pa) } else { row.yield_pa };
    ModeMargin {
        mode: row.mode,
        place: row.place,
        yield_pressure_pa: GaugePressure::from_si(row.yield_pa),
        ultimate_pressure_pa: row.ultimate_pa.map(GaugePressure::from_si),
        factor: decisive_pa / p_pa,
        basis: row.basis,
        source: row.source.to_owned(),
    }
}

/// Why a proof pressure is too high.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ProofObjection {
    /// The mode the proof would strain most.
    pub mode: Mode,
    /// Where.
    #[serde(rename = "where")]
    pub place: String,
    /// Its yield pressure.
    pub yield_pressure_pa: GaugePressure,
    /// Proof pressure over it.
    pub fraction: f64,
    /// The highest proof pressure within the cap.
    pub highest_proof_pa: GaugePressure,
    /// The share of yield a proof may use.
    pub cap: f64,
}

impl std::fmt::Display for ProofObjection {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            formatter,
            "this proof would take the {} at the {} to {:.0} % of its yield ({:.2} MPa); above {:.0} % a proof may itself do harm: at most {:.2} MPa",
            self.mode,
            self.place,
            self.fraction * 100.0,
            self.yield_pressure_pa.as_mpa(),
            self.cap * 100.0,
            self.highest_proof_pa.as_mpa()
        )
    }
}

/// The objection to a proof pressure, if the weakest mode would pass a share of its local yield.
///
/// Formula: proof / yield pressure of the weakest mode > cap; exactly the cap is allowed.
/// Arguments: margins of the serial as it is now; the proof pressure in mind; the cap, commonly 0.90.
/// Source: common practice, no source (the shop's cap; 49 CFR 178.46 caps the wall at 80 % of yield in test).
///
/// ```
/// # use proofmark::design::{Design, End, EndKind, Service, Tube};
/// # use proofmark::quantity::{GaugePressure, Length, Typed};
/// # use proofmark::strength::{LocalState, margins, proof_objection};
/// # let plug = End { leg: Some(Typed::computed(Length::mm(2.8))), ..End::bare(EndKind::WeldedPlug) };
/// # let design = Design {
/// #     tube: Tube { material: "6061-T6".into(), form: None, od: Typed::computed(Length::mm(50.8)),
/// #         wall: Typed::computed(Length::mm(1.651)), wall_min: Some(Typed::computed(Length::mm(1.651))),
/// #         length: None, yield_strength: None, ultimate_strength: None, modulus: None, poisson: None },
/// #     forward: plug.clone(), aft: plug,
/// #     service: Service { meop: Typed::computed(GaugePressure::mpa(5.7)), wall_temperature: None } };
/// let found = margins(&design, None, &LocalState::default())?; // weld zone yields at 7.62 MPa
/// assert!(proof_objection(&found, GaugePressure::mpa(7.12), 0.90).is_some());
/// assert!(proof_objection(&found, GaugePressure::mpa(6.80), 0.90).is_none());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn proof_objection(margins: &Margins, proof: GaugePressure, cap: f64) -> Option<ProofObjection> {
    let weakest = margins.thinnest()?;
    let yield_pa = weakest.yield_pressure_pa.si();
    (proof.si() > cap * yield_pa * (1.0 + 1e-12) || proof.si().is_nan()).then(|| ProofObjection {
        mode: weakest.mode,
        place: weakest.place.clone(),
        yield_pressure_pa: weakest.yield_pressure_pa,
        fraction: proof.si() / yield_pa,
        highest_proof_pa: GaugePressure::from_si(cap * yield_pa),
        cap,
    })
}

//! The casing as the failure modes see it: least wall, strengths after heat, and where rows are gathered.

use super::InputError;
use super::margins::{LocalState, Mode};
use crate::design::material::{self, StrengthBasis, TubeMetal, Welded};
use crate::design::wall::{TubeSize, least_wall};
use crate::design::{Design, End, derate};
use crate::quantity::{Length, Quantity, Temperature};

/// One failure mode before its factor is known.
pub(super) struct Row {
    pub(super) mode: Mode,
    pub(super) place: String,
    pub(super) yield_pa: f64,
    pub(super) ultimate_pa: Option<f64>,
    /// The factor is on the ultimate pressure (burst).
    pub(super) on_ultimate: bool,
    pub(super) basis: String,
    pub(super) source: &'static str,
}

/// Everything the modes have found.
#[derive(Default)]
pub(super) struct Findings {
    pub(super) rows: Vec<Row>,
    pub(super) contingent: Vec<Row>,
    pub(super) objections: Vec<String>,
    pub(super) assumed: Vec<String>,
}

/// A casing ready for the modes.
pub(super) struct Casing<'a> {
    pub(super) design: &'a Design,
    pub(super) size: TubeSize,
    pub(super) od_m: f64,
    pub(super) id_m: f64,
    pub(super) t_m: f64,
    /// Parent yield, heat taken off.
    pub(super) fy_pa: f64,
    /// Parent ultimate, heat taken off.
    pub(super) fu_pa: f64,
    pub(super) metal: TubeMetal,
    pub(super) temperature: Option<Temperature>,
    /// Fraction of the strength heat leaves.
    pub(super) heat: f64,
    /// "6061-T6 minimum yield 240.0 MPa x 0.95 at 100 degC".
    pub(super) strength_words: String,
    pub(super) wall_words: String,
}

/// A formatted pressure or strength for a basis.
pub(super) fn mpa(pa: f64) -> String {
    format!("{:.2} MPa", pa * 1e-6)
}

impl<'a> Casing<'a> {
    pub(super) fn new(
        design: &'a Design,
        local: &LocalState,
        findings: &mut Findings,
    ) -> Result<Self, InputError> {
        let metal = material::tube_metal(&design.tube)?;
        let (wall, wall_words) = least_wall(&design.tube);
        let size = TubeSize::from_two(Some(design.tube.od.value), None, Some(wall))?;
        let temperature = hottest(design, local);
        let heat = heat_fraction(&metal, temperature, findings)?;
        if metal.basis == StrengthBasis::Assumed {
            findings.assumed.push(format!(
                "tube {}: yield {}, ultimate {} ({})",
                metal.name,
                mpa(metal.yield_strength.si()),
                mpa(metal.ultimate_strength.si()),
                metal.source
            ));
        }
        if let Some(up_to) = metal.up_to
            && design.tube.wall.si() > up_to.si() * (1.0 + 1e-9)
        {
            findings.objections.push(format!(
                "the published minimum of {} holds up to {:.1} mm of wall, this tube has {:.1} mm: give its own lower yield and ultimate",
                metal.name,
                up_to.as_mm(),
                design.tube.wall.value.as_mm()
            ));
        }
        if design.tube.wall_min.is_none() {
            findings.assumed.push(format!("least wall not measured: {wall_words}"));
        }
        let mut strength_words =
            format!("{} {} yield {}", metal.name, metal.basis, mpa(metal.yield_strength.si()));
        if heat < 1.0
            && let Some(temperature) = temperature
        {
            strength_words.push_str(&format!(" x {heat:.3} at {:.0} degC", temperature.as_celsius()));
        }
        Ok(Self {
            design,
            size,
            od_m: size.od_m.si(),
            id_m: size.id_m.si(),
            t_m: size.wall_m.si(),
            fy_pa: metal.yield_strength.si() * heat,
            fu_pa: metal.ultimate_strength.si() * heat,
            metal,
            temperature,
            heat,
            strength_words,
            wall_words,
        })
    }

    /// Diameter the pressure acts on at an end, and the area.
    pub(super) fn seal(&self, end: &End) -> (f64, f64) {
        let d_m = end.seal_diameter.as_ref().map_or(self.id_m, |it| it.si());
        (d_m, std::f64::consts::FRAC_PI_4 * d_m * d_m)
    }

    /// Yield and ultimate beside a weld, heat taken off, with their source; `None` where none is published.
    pub(super) fn welded_pa(&self) -> Option<(f64, f64, &'static str)> {
        match self.metal.metal?.welded {
            Welded::Strength { yield_strength, ultimate_strength, source } => Some((
                (yield_strength.si() * self.heat).min(self.fy_pa),
                (ultimate_strength.si() * self.heat).min(self.fu_pa),
                source,
            )),
            Welded::Refused { .. } => None,
        }
    }

    /// Why nothing may be counted on beside a weld.
    pub(super) fn weld_refusal(&self) -> String {
        match self.metal.metal.map(|it| it.welded) {
            Some(Welded::Refused { reason }) => {
                format!("{} must not be fusion welded: {reason}", self.metal.name)
            }
            _ => format!(
                "no welded strength is published here for \"{}\": nothing may be counted on beside its weld",
                self.metal.name
            ),
        }
    }

    /// The same tube with less wall, taken from the bore (the larger bore is the worse of the two).
    pub(super) fn thinned(&self, wall: Length) -> Result<TubeSize, InputError> {
        let t_m = crate::design::error::positive("remaining wall", wall)?.min(self.t_m);
        TubeSize::from_two(Some(self.size.od_m), None, Some(Length::from_si(t_m)))
    }
}

fn hottest(design: &Design, local: &LocalState) -> Option<Temperature> {
    let service = design.service.wall_temperature.as_ref().map(|it| it.value);
    match (service, local.wall_temperature) {
        (Some(one), Some(other)) => Some(if one > other { one } else { other }),
        (one, other) => one.or(other),
    }
}

fn heat_fraction(
    metal: &TubeMetal,
    temperature: Option<Temperature>,
    findings: &mut Findings,
) -> Result<f64, InputError> {
    let Some(temperature) = temperature else { return Ok(1.0) };
    let Some(listed) = metal.metal else {
        if temperature.as_celsius() > 40.0 {
            findings.objections.push(format!(
                "no strength at temperature is known for \"{}\": its cold strength is used at {:.0} degC",
                metal.name,
                temperature.as_celsius()
            ));
        }
        return Ok(1.0);
    };
    if derate::overheated(listed.family, temperature) {
        findings.objections.push(derate::overheat_words(listed.family));
    }
    Ok(derate::yield_fraction(listed, temperature)?.fraction)
}

/// First-yield pressure of a tube at its bore, von Mises, closed ends, in pascals.
pub(super) fn first_yield_pa(size: TubeSize, fy_pa: f64) -> f64 {
    let (ri_m, ro_m) = size.radii_m();
    fy_pa / 3f64.sqrt() * (1.0 - (ri_m / ro_m).powi(2))
}

/// Pressure at which the whole wall has yielded, in pascals.
pub(super) fn through_yield_pa(size: TubeSize, fy_pa: f64) -> f64 {
    let (ri_m, ro_m) = size.radii_m();
    2.0 / 3f64.sqrt() * fy_pa * (ro_m / ri_m).ln()
}

/// Burst pressure (Faupel) in pascals.
pub(super) fn faupel_pa(size: TubeSize, fy_pa: f64, fu_pa: f64) -> f64 {
    through_yield_pa(size, fy_pa) * (2.0 - fy_pa / fu_pa)
}

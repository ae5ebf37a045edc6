//! Reading a bulge: the stress at the peak against the strengths the wall may have had there, and what argues
//! for and against each cause. Ranked by the evidence on record; never a verdict, which two people write.

mod causes;

use super::growth_map::{GrowthMap, TrendPoint, from_weld_mm};
use super::reason::EntryRef;
use super::rules::RuleSet;
use super::{Assessment, exceeds};
use crate::book::details::{FindingRecord, FiringRecord};
use crate::book::{Details, Entry, Landing};
use crate::design::derate::{LocalStrength, local_strength};
use crate::design::material::{self, TubeMetal, Welded};
use crate::design::wall::{TubeSize, least_wall};
use crate::quantity::{Quantity, STANDARD_ATMOSPHERE_PA};
use causes::{Evidence, causes};

/// A hardness read this near to the bulge is taken for it, millimetres.
const NEAR_MM: f64 = 15.0;
/// A heat or pit finding this near speaks of the same place, millimetres.
const SAME_PLACE_MM: f64 = 50.0;

/// Whether it goes all round.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ring {
    /// Every angle read grew alike.
    Full,
    /// One side grew.
    OneSide,
    /// Every angle grew, not alike.
    Uneven,
    /// Only one angle, or a tape, was read.
    Unknown,
}

impl Ring {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Full => "a full ring: every angle read grew alike",
            Self::OneSide => "one side",
            Self::Uneven => "all round, but not alike",
            Self::Unknown => "not known: only one angle was read",
        }
    }
}

/// The pressure that is held against the strengths.
#[derive(Clone, Debug, PartialEq)]
pub struct Peak {
    /// Pascals above the atmosphere.
    pub pressure_pa: f64,
    /// How it is known.
    pub from: String,
    /// Over the plan, where there was one.
    pub over_plan: Option<f64>,
    /// Whether it was a firing's, not a proof's.
    pub fired: bool,
    /// The firing or proof.
    pub entry: Option<EntryRef>,
    /// The batch it burnt.
    pub batch: Option<String>,
}

/// One strength the wall may have had at the place.
#[derive(Clone, Debug, PartialEq)]
pub struct Strength {
    /// Which: base metal, as welded, softened by heat.
    pub what: String,
    /// Where its yield comes from.
    pub basis: String,
    /// Yield, pascals.
    pub yield_pa: f64,
    /// Stress at the peak over it.
    pub share: f64,
}

/// One cause, with what argues for and against it.
#[derive(Clone, Debug, PartialEq)]
pub struct Cause {
    /// In words.
    pub cause: &'static str,
    /// What argues for it.
    pub argues_for: Vec<String>,
    /// What argues against it.
    pub argues_against: Vec<String>,
    /// What would tell more.
    pub look_next: &'static str,
}

impl Cause {
    /// How far the evidence leans towards it: arguments for less arguments against.
    pub fn leaning(&self) -> i64 {
        self.argues_for.len() as i64 - self.argues_against.len() as i64
    }
}

/// A bulge as read.
#[derive(Clone, Debug, PartialEq)]
pub struct BulgeReading {
    /// The casing.
    pub serial: String,
    /// Distance of the highest point from the forward seal face, millimetres.
    pub station_mm: f64,
    /// Its angle.
    pub clock_deg: Option<f64>,
    /// Growth there, millimetres and per cent of the diameter.
    pub grown_mm: f64,
    /// In per cent of the diameter.
    pub percent: f64,
    /// The entry that read it.
    pub entry: EntryRef,
    /// Whether it goes all round.
    pub ring: Ring,
    /// Growth along the tube: station and the most at it, millimetres.
    pub profile: Vec<(f64, f64)>,
    /// Distance from the nearest weld, millimetres.
    pub from_weld_mm: Option<f64>,
    /// The pressure it is held against.
    pub peak: Peak,
    /// Hoop stress, mean over the least wall, pascals.
    pub hoop_pa: f64,
    /// Von Mises stress at the bore, pascals.
    pub von_mises_pa: f64,
    /// The strengths it is held against, the weakest first.
    pub strengths: Vec<Strength>,
    /// Causes, the one most is said for first.
    pub causes: Vec<Cause>,
}

/// Read the bulge of a casing from its growth map and its own entries; `None` where nothing grew.
///
/// Stress: hoop = p (od - wall)/(2 wall); von Mises at the bore = sqrt3 p od^2/(od^2 - id^2) (Lamé, closed ends),
/// both with the least wall, as the margins have it.
pub fn read(
    assessed: &Assessment,
    map: &GrowthMap,
    entries: &[&Entry],
    rules: &RuleSet,
) -> Option<BulgeReading> {
    let design = assessed.design.as_ref()?;
    let worst = map.worst.as_ref()?;
    let row = map.rows.iter().find(|row| (row.station_mm - worst.station_mm).abs() < 0.5)?;
    let peak = peak(assessed, entries, &row.trend, worst.entry);
    let (wall, _) = least_wall(&design.tube);
    let size = TubeSize::from_two(Some(design.tube.od.value), None, Some(wall)).ok()?;
    let (od, id, wall) = (size.od_m.si(), size.id_m.si(), size.wall_m.si());
    let hoop_pa = peak.pressure_pa * (od - wall) / (2.0 * wall);
    let von_mises_pa = 3f64.sqrt() * peak.pressure_pa * od * od / (od * od - id * id);
    let from_weld = from_weld_mm(design, worst.station_mm);
    let zone_mm = rules.value("weld-zone");
    let metal = material::tube_metal(&design.tube).ok()?;
    let share = |yield_pa: f64| von_mises_pa / yield_pa;
    // Where wall was lost the same pressure makes more stress: taken from the bore, the worse of the two.
    let wall_left = assessed
        .spots
        .iter()
        .filter(|spot| spot.station_mm.is_some_and(|it| (it - worst.station_mm).abs() <= SAME_PLACE_MM))
        .filter_map(|spot| spot.wall_left_m)
        .reduce(f64::min)
        .filter(|left| *left < wall);
    let here_pa = wall_left.map_or(von_mises_pa, |left| {
        let id = od - 2.0 * left;
        3f64.sqrt() * peak.pressure_pa * od * od / (od * od - id * id)
    });
    let base_pa = metal.yield_strength.si();
    let welded = from_weld.and_then(|_| match metal.metal?.welded {
        Welded::Strength { yield_strength, source, .. } => Some((yield_strength.si(), source)),
        Welded::Refused { .. } => None,
    });
    let read_hardness = hardness(assessed, entries, worst.station_mm);
    let softened = read_hardness.and_then(|(hardness, reference)| {
        local_strength(metal.metal?, metal.yield_strength, hardness, reference).ok().map(|it| (hardness, it))
    });
    let strengths = strengths(&metal, welded, softened.as_ref(), wall_left, [von_mises_pa, here_pa]);
    let profile: Vec<(f64, f64)> = map
        .rows
        .iter()
        .filter_map(|row| row.worst().map(|it| (row.station_mm, if it.noise { 0.0 } else { it.grown_mm() })))
        .collect();
    let findings: Vec<&FindingRecord> = entries
        .iter()
        .filter_map(|entry| match &entry.entry.details {
            Details::Finding(finding) => Some(&**finding),
            _ => None,
        })
        .collect();
    let reach_mm = profile
        .iter()
        .filter(|(_, grown)| *grown > 0.0)
        .filter_map(|(station, _)| from_weld_mm(design, *station))
        .max_by(f64::total_cmp);
    let ring = ring(row);
    let evidence = Evidence {
        station_mm: worst.station_mm,
        ring,
        from_weld_mm: from_weld,
        over_plan: peak.over_plan,
        wall_m: wall,
        landed_hard: entries.iter().any(
            |entry| matches!(&entry.entry.details, Details::Firing(it) if it.landing == Some(Landing::Hard)),
        ),
        over_meop: peak.fired.then(|| exceeds(peak.pressure_pa, design.service.meop.si())),
        base: Some(share(base_pa)),
        welded: welded.map(|(yield_pa, _)| share(yield_pa)),
        softened: softened.as_ref().map(|(_, local)| here_pa / local.yield_pa.si()),
        reach_mm,
        zone_mm,
        grown_cells: map
            .rows
            .iter()
            .flat_map(|row| row.cells.iter().flatten())
            .filter(|cell| cell.growth.as_ref().is_some_and(|it| !it.noise && it.percent > 0.0))
            .count(),
        hardness_said: read_hardness.is_some(),
        wall_left,
        findings,
    };
    Some(BulgeReading {
        serial: assessed.serial.clone(),
        station_mm: worst.station_mm,
        clock_deg: worst.clock_deg,
        grown_mm: worst.grown_mm(),
        percent: worst.percent,
        entry: worst.entry,
        ring,
        profile,
        from_weld_mm: from_weld,
        peak,
        hoop_pa,
        von_mises_pa,
        strengths,
        causes: causes(&evidence, rules),
    })
}

/// The strengths the wall may have had, the weakest first, each with the stress at the peak over it: of the whole wall
/// for the tube as made, of what is left of it for the place itself.
fn strengths(
    metal: &TubeMetal,
    welded: Option<(f64, &str)>,
    softened: Option<&(f64, LocalStrength)>,
    wall_left: Option<f64>,
    [von_mises_pa, here_pa]: [f64; 2],
) -> Vec<Strength> {
    let thinned =
        wall_left.map_or_else(String::new, |left| format!(", on the {:.2} mm of wall left", left * 1e3));
    let base_pa = metal.yield_strength.si();
    let share = |yield_pa: f64| von_mises_pa / yield_pa;
    let mut strengths = vec![Strength {
        what: format!("base metal, {}", metal.name),
        basis: format!("minimum, {}", metal.source),
        yield_pa: base_pa,
        share: share(base_pa),
    }];
    if let Some((yield_pa, source)) = welded {
        strengths.push(Strength {
            what: "as welded".to_owned(),
            basis: source.to_owned(),
            yield_pa,
            share: share(yield_pa),
        });
    }
    if let Some((hardness, local)) = softened {
        let yield_pa = local.yield_pa.si();
        strengths.push(Strength {
            what: format!("softened, HB {hardness:.0}{thinned}"),
            basis: local.basis.to_owned(),
            yield_pa,
            share: here_pa / yield_pa,
        });
    } else if wall_left.is_some() {
        strengths.push(Strength {
            what: format!("base metal{thinned}"),
            basis: format!("minimum, {}", metal.source),
            yield_pa: base_pa,
            share: here_pa / base_pa,
        });
    }
    strengths.sort_by(|a, b| a.yield_pa.total_cmp(&b.yield_pa));
    strengths
}

/// The highest pressure since the station was last read without growth; else the highest on record, else MEOP.
fn peak(assessed: &Assessment, entries: &[&Entry], trend: &[TrendPoint], at: EntryRef) -> Peak {
    let good = trend.iter().rev().find(|it| it.noise && it.on < at.on).map(|it| it.on);
    let since = |entry: &Entry| {
        entry.entry.happened_on <= at.on && good.is_none_or(|day| entry.entry.happened_on >= day)
    };
    let firing = entries
        .iter()
        .filter(|entry| since(entry))
        .filter_map(|entry| match &entry.entry.details {
            Details::Firing(it) => {
                it.peak_pressure.as_ref().map(|peak| (*entry, &**it, peak.si() - STANDARD_ATMOSPHERE_PA))
            }
            _ => None,
        })
        .max_by(|a, b| a.2.total_cmp(&b.2));
    let proof = entries
        .iter()
        .filter(|entry| since(entry))
        .filter_map(|entry| match &entry.entry.details {
            Details::Proof(it) => Some((EntryRef::from(*entry), it.pressure.si())),
            _ => None,
        })
        .max_by(|a, b| a.1.total_cmp(&b.1));
    match (firing, proof) {
        (Some((entry, it, pa)), proof) if proof.is_none_or(|(_, proof)| pa >= proof) => {
            of_firing(entry, it, pa)
        }
        (_, Some((entry, pressure_pa))) => Peak {
            pressure_pa,
            from: format!("the proof of {}", entry.on),
            over_plan: None,
            fired: false,
            entry: Some(entry),
            batch: None,
        },
        (Some((entry, it, pa)), None) => of_firing(entry, it, pa),
        (None, None) => match assessed.highest_peak {
            Some((pressure_pa, entry)) => Peak {
                pressure_pa,
                from: format!("the highest peak on record, {}", entry.on),
                over_plan: None,
                fired: true,
                entry: Some(entry),
                batch: None,
            },
            None => Peak {
                pressure_pa: assessed.meop_pa.unwrap_or_default(),
                from: "no peak was measured: MEOP".to_owned(),
                over_plan: None,
                fired: false,
                entry: None,
                batch: None,
            },
        },
    }
}

fn of_firing(entry: &Entry, it: &FiringRecord, pressure_pa: f64) -> Peak {
    let how = it.peak_from.map_or("", |from| from.word());
    let how = if how.is_empty() { String::new() } else { format!(", by {how}") };
    Peak {
        pressure_pa,
        from: format!("the firing of {}{how}", entry.entry.happened_on),
        over_plan: it
            .planned_peak
            .as_ref()
            .zip(it.peak_pressure.as_ref())
            // Gauge against gauge, as the rules judge it.
            .map(|(plan, peak)| (peak.si() - STANDARD_ATMOSPHERE_PA) / (plan.si() - STANDARD_ATMOSPHERE_PA)),
        fired: true,
        entry: Some(EntryRef::from(entry)),
        batch: it.batch.clone(),
    }
}

/// The hardness at the place, by a spot or the nearest reading, and the reference on the same part.
fn hardness(assessed: &Assessment, entries: &[&Entry], station_mm: f64) -> Option<(f64, Option<f64>)> {
    let spot = assessed
        .spots
        .iter()
        .filter(|spot| spot.station_mm.is_some_and(|it| (it - station_mm).abs() <= NEAR_MM))
        .find_map(|spot| spot.hardness.map(|it| (it, spot.reference_hardness)));
    spot.or_else(|| {
        let readings: Vec<(f64, f64)> = entries
            .iter()
            .filter_map(|entry| match &entry.entry.details {
                Details::Strip(it) => Some(&it.readings),
                _ => None,
            })
            .flatten()
            .filter_map(|it| it.hardness.map(|hb| (it.station.value.as_mm(), hb)))
            .collect();
        let here = readings
            .iter()
            .filter(|it| (it.0 - station_mm).abs() <= NEAR_MM)
            .min_by(|a, b| (a.0 - station_mm).abs().total_cmp(&(b.0 - station_mm).abs()))?;
        let reference = readings.iter().map(|it| it.1).reduce(f64::max).filter(|it| *it > here.1);
        Some((here.1, reference))
    })
}

fn ring(row: &super::growth_map::Row) -> Ring {
    let grown: Vec<f64> = row
        .cells
        .iter()
        .flatten()
        .filter_map(|cell| cell.growth.as_ref())
        .filter(|it| it.clock_deg.is_some())
        .map(|it| if it.noise { 0.0 } else { it.grown_mm().max(0.0) })
        .collect();
    let (Some(least), Some(most)) =
        (grown.iter().copied().reduce(f64::min), grown.iter().copied().reduce(f64::max))
    else {
        return Ring::Unknown;
    };
    match (grown.len(), least / most) {
        (0 | 1, _) => Ring::Unknown,
        (_, alike) if alike >= 0.7 => Ring::Full,
        (_, alike) if alike <= 0.3 => Ring::OneSide,
        _ => Ring::Uneven,
    }
}

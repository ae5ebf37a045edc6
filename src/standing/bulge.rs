//! Reading a bulge: the stress at the peak against the strengths the wall may have had there, and what argues
//! for and against each cause. Ranked by the evidence on record; never a verdict, which two people write.

use super::growth_map::{GrowthMap, TrendPoint, from_weld_mm};
use super::reason::EntryRef;
use super::rules::RuleSet;
use super::{Assessment, exceeds, reaches};
use crate::book::damage::Damage;
use crate::book::details::{FindingRecord, FiringRecord};
use crate::book::{Details, Entry, Landing};
use crate::design::derate::local_strength;
use crate::design::material::{self, Welded};
use crate::design::wall::{TubeSize, least_wall};
use crate::quantity::{Quantity, STANDARD_ATMOSPHERE_PA};

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

/// What the evidence is weighed on.
struct Evidence<'a> {
    findings: Vec<&'a FindingRecord>,
    landed_hard: bool,
    over_meop: Option<bool>,
    base: Option<f64>,
    welded: Option<f64>,
    softened: Option<f64>,
    /// The furthest station from the weld that grew.
    reach_mm: Option<f64>,
    zone_mm: f64,
    grown_cells: usize,
    hardness_said: bool,
    wall_left: Option<f64>,
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
    let thinned =
        wall_left.map_or_else(String::new, |left| format!(", on the {:.2} mm of wall left", left * 1e3));
    let base_pa = metal.yield_strength.si();
    let mut strengths = vec![Strength {
        what: format!("base metal, {}", metal.name),
        basis: format!("minimum, {}", metal.source),
        yield_pa: base_pa,
        share: share(base_pa),
    }];
    let welded = from_weld.and_then(|_| match metal.metal?.welded {
        Welded::Strength { yield_strength, source, .. } => Some((yield_strength.si(), source)),
        Welded::Refused { .. } => None,
    });
    if let Some((yield_pa, source)) = welded {
        strengths.push(Strength {
            what: "as welded".to_owned(),
            basis: source.to_owned(),
            yield_pa,
            share: share(yield_pa),
        });
    }
    let read_hardness = hardness(assessed, entries, worst.station_mm);
    let softened = read_hardness.and_then(|(hardness, reference)| {
        local_strength(metal.metal?, metal.yield_strength, hardness, reference).ok().map(|it| (hardness, it))
    });
    if let Some((hardness, local)) = &softened {
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
    let evidence = Evidence {
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
    let ring = ring(row);
    let mut causes = vec![
        over_pressure(&peak, &evidence, ring, rules),
        weld_zone(from_weld, &evidence),
        hot_spot(worst.station_mm, ring, from_weld, &evidence),
        thin_wall(worst.station_mm, ring, wall, &evidence),
        dent(ring, &evidence),
        slip(&evidence),
    ];
    // The most said for it first; among equals the one less is said against.
    causes
        .sort_by_key(|cause| (std::cmp::Reverse(cause.leaning()), std::cmp::Reverse(cause.argues_for.len())));
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
        causes,
    })
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

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// Adds to one side or the other.
#[derive(Default)]
struct Scale {
    argues_for: Vec<String>,
    argues_against: Vec<String>,
}

impl Scale {
    fn weigh(&mut self, for_it: bool, words: String) {
        if for_it { self.argues_for.push(words) } else { self.argues_against.push(words) }
    }

    fn cause(self, cause: &'static str, look_next: &'static str) -> Cause {
        Cause { cause, argues_for: self.argues_for, argues_against: self.argues_against, look_next }
    }
}

fn over_pressure(peak: &Peak, evidence: &Evidence<'_>, ring: Ring, rules: &RuleSet) -> Cause {
    let mut scale = Scale::default();
    if let Some(over) = peak.over_plan {
        let much = exceeds(over, rules.value("peak-far-over-plan"));
        scale.weigh(much, format!("the peak was {over:.2} times the plan"));
    }
    // A proof goes over MEOP by design: only a firing's peak speaks of it.
    if let Some(over) = evidence.over_meop {
        scale.weigh(over, format!("the peak was {} MEOP", if over { "over" } else { "within" }));
    }
    if let Some(base) = evidence.base {
        scale.weigh(reaches(base, 0.9), format!("base metal carried {} of its yield", percent(base)));
    }
    match ring {
        Ring::Full => scale.weigh(true, "it is a full ring, as pressure makes it".to_owned()),
        Ring::OneSide => scale.weigh(false, "only one side grew".to_owned()),
        _ => {}
    }
    scale.cause("over-pressure", "the trace's shape, the throat, the grain sheet, the rest of the batch")
}

fn weld_zone(from_weld: Option<f64>, evidence: &Evidence<'_>) -> Cause {
    let mut scale = Scale::default();
    match from_weld {
        Some(mm) => scale.weigh(
            mm <= evidence.zone_mm,
            format!("it is {mm:.0} mm from the weld, the zone reaches {:.0} mm", evidence.zone_mm),
        ),
        None => scale.weigh(false, "no end of this casing is welded".to_owned()),
    }
    if let (Some(welded), Some(base)) = (evidence.welded, evidence.base) {
        scale.weigh(
            reaches(welded, 1.0) && base < 0.9,
            format!("as welded it carried {} of its yield, base metal {}", percent(welded), percent(base)),
        );
    }
    if let (Some(reach), Some(_)) = (evidence.reach_mm, from_weld) {
        let within = reach <= evidence.zone_mm + 5.0;
        let words = if within { "nothing grew beyond the zone" } else { "it grew beyond the zone too" };
        scale.weigh(within, format!("{words} (furthest {reach:.0} mm from the weld)"));
    }
    if let (Some(softened), Some(_)) = (evidence.softened, from_weld) {
        scale.weigh(
            reaches(softened, 0.9),
            format!("by its hardness the place carried {} of its yield", percent(softened)),
        );
    }
    scale.cause(
        "softened weld zone",
        "penetrant at the toe inside and out, a hardness walk from the weld; every casing with this welder and joint",
    )
}

fn hot_spot(station_mm: f64, ring: Ring, from_weld: Option<f64>, evidence: &Evidence<'_>) -> Cause {
    let mut scale = Scale::default();
    let hot = evidence.findings.iter().find(|it| {
        matches!(it.damage, Damage::OverHeat | Damage::LinerBreach)
            && it.station.as_ref().is_none_or(|at| (at.value.as_mm() - station_mm).abs() <= SAME_PLACE_MM)
    });
    match hot {
        Some(finding) => scale.weigh(true, format!("{} is on record near it", finding.damage)),
        None => scale.weigh(false, "no heat and no liner breach is on record near it".to_owned()),
    }
    match ring {
        Ring::OneSide => scale.weigh(true, "only one side grew".to_owned()),
        Ring::Full => scale.weigh(false, "it is a full ring".to_owned()),
        _ => {}
    }
    if let Some(softened) = evidence.softened {
        let beside_weld = from_weld.is_some_and(|mm| mm <= evidence.zone_mm);
        let words = format!("by its hardness the place carried {} of its yield", percent(softened));
        if beside_weld {
            scale.weigh(false, "the softness is explained by the weld beside it".to_owned());
        } else {
            scale.weigh(reaches(softened, 0.9), words);
        }
    }
    scale.cause("hot spot", "the liner at that station and angle, temper colour, hardness across the patch")
}

fn thin_wall(station_mm: f64, ring: Ring, wall_m: f64, evidence: &Evidence<'_>) -> Cause {
    let mut scale = Scale::default();
    match evidence.wall_left {
        Some(left) => scale.weigh(
            left < wall_m,
            format!("{:.2} mm of wall is left there, the drawing has {:.2} mm", left * 1e3, wall_m * 1e3),
        ),
        None => scale.weigh(false, "no thin place is on record there; the wall was not read".to_owned()),
    }
    let eaten = evidence.findings.iter().find(|it| {
        matches!(it.damage, Damage::Pit | Damage::Gouge)
            && it.station.as_ref().is_some_and(|at| (at.value.as_mm() - station_mm).abs() <= SAME_PLACE_MM)
    });
    if let Some(finding) = eaten {
        scale.weigh(true, format!("{} is on record near it", finding.damage));
    }
    match ring {
        Ring::OneSide => scale.weigh(true, "only one side grew".to_owned()),
        Ring::Full => scale.weigh(false, "it is a full ring".to_owned()),
        _ => {}
    }
    scale.cause("thin wall", "ultrasonic wall on the bulge and a hand's width beside it")
}

fn dent(ring: Ring, evidence: &Evidence<'_>) -> Cause {
    let mut scale = Scale::default();
    let struck = evidence.findings.iter().any(|it| it.damage == Damage::Dent) || evidence.landed_hard;
    let words =
        if struck { "a dent or hard landing is on record" } else { "no dent or hard landing is on record" };
    scale.weigh(struck, words.to_owned());
    match ring {
        Ring::OneSide => scale.weigh(true, "only one side grew".to_owned()),
        Ring::Full => scale.weigh(false, "it is a full ring".to_owned()),
        _ => {}
    }
    scale.cause("a dent pushed out", "the profile along that angle; the landing's photographs")
}

fn slip(evidence: &Evidence<'_>) -> Cause {
    let mut scale = Scale::default();
    match evidence.grown_cells {
        1 => scale.weigh(true, "only one reading grew".to_owned()),
        count => scale.weigh(false, format!("{count} readings grew")),
    }
    let seen = evidence.findings.iter().any(|it| it.damage == Damage::Bulge);
    let words =
        if seen { "a bulge was seen by another means" } else { "nobody has seen it by another means" };
    scale.weigh(!seen, words.to_owned());
    if evidence.hardness_said {
        scale.weigh(false, "hardness was read there too".to_owned());
    }
    scale.cause("a slip of the reading", "a rule against the light; read it again with another gauge")
}

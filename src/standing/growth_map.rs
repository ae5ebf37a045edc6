//! Growth as a map: stations down, clock angles across, against birth, with the weld zone and the soft or thin
//! places on record laid over it, and the trend over the readings.

use chrono::NaiveDate;

use super::Assessment;
use super::assessment::Spot;
use super::growth::{self, Birth, Degree, Growth, degree};
use super::reason::EntryRef;
use super::rules::RuleSet;
use crate::book::{Details, Entry, Phase, Reading};
use crate::design::{Design, EndKind};

/// Two stations closer than this are the same mark, millimetres.
const SAME_MM: f64 = 0.5;
/// A spot is laid over the cells this near to it, millimetres and degrees.
const SPOT_MM: f64 = 25.0;
const SPOT_DEG: f64 = 45.0;

/// What one cell says, in a letter that needs no colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Letter {
    /// Born, and not read since.
    Birth,
    /// Within what the gauge can see.
    Noise,
    /// Grown, below the limits.
    Seen,
    /// At the limit that asks for a hold and a proof.
    Hold,
    /// A yielded wall.
    Yielded,
    /// Smaller than at birth.
    Shrunk,
}

impl Letter {
    /// The letter on the map.
    pub const fn sign(self) -> char {
        match self {
            Self::Birth => '.',
            Self::Noise => '=',
            Self::Seen => 's',
            Self::Hold => 'H',
            Self::Yielded => 'Y',
            Self::Shrunk => '<',
        }
    }

    /// What it means.
    pub const fn means(self) -> &'static str {
        match self {
            Self::Birth => "not read since birth",
            Self::Noise => "within what the gauge can see",
            Self::Seen => "grown, below the limits",
            Self::Hold => "hold and proof",
            Self::Yielded => "yielded: retire",
            Self::Shrunk => "smaller than born",
        }
    }

    /// Every letter, for a legend.
    pub const ALL: &'static [Self] =
        &[Self::Birth, Self::Noise, Self::Seen, Self::Hold, Self::Yielded, Self::Shrunk];

    fn of(growth: &Growth, rules: &RuleSet) -> Self {
        if growth.noise {
            return Self::Noise;
        }
        match degree(growth.percent, rules) {
            Degree::Yielded => Self::Yielded,
            Degree::Hold => Self::Hold,
            Degree::Seen => Self::Seen,
            Degree::None => Self::Shrunk,
        }
    }
}

/// One cell: a station at a clock angle.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// What it was born with, millimetres, where it was read then.
    pub birth_mm: Option<f64>,
    /// What was read last.
    pub growth: Option<Growth>,
    /// Its letter.
    pub letter: Letter,
    /// Whether a soft or thin place on record is here.
    pub spot: bool,
}

/// A reading of a station on a day.
#[derive(Clone, Debug, PartialEq)]
pub struct TrendPoint {
    /// The day.
    pub on: NaiveDate,
    /// The entry.
    pub entry: EntryRef,
    /// The clock angle that grew most.
    pub clock_deg: Option<f64>,
    /// Its growth against birth, millimetres.
    pub grown_mm: f64,
    /// In per cent of birth; nought within the noise.
    pub percent: f64,
    /// Whether it is within the noise.
    pub noise: bool,
}

/// One row of the map.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Distance from the forward seal face, millimetres.
    pub station_mm: f64,
    /// A cell for every clock angle of the map; none where nothing was read.
    pub cells: Vec<Option<Cell>>,
    /// Distance from the nearest weld, millimetres, where it lies in a weld's softened zone.
    pub weld_mm: Option<f64>,
    /// What is on record of this place: soft, thin.
    pub spots: Vec<String>,
    /// Out of round by the last readings of one entry, per cent of the nominal diameter; none with one angle.
    pub ovality_percent: Option<f64>,
    /// Readings of one day and angle by different entries that do not agree.
    pub apart: Vec<TrendPoint>,
    /// The station over time: the angle that grew most, every entry that read it.
    pub trend: Vec<TrendPoint>,
}

impl Row {
    /// The cell that grew most.
    pub fn worst(&self) -> Option<&Growth> {
        self.cells
            .iter()
            .flatten()
            .filter_map(|cell| cell.growth.as_ref())
            .max_by(|a, b| a.grown_mm().total_cmp(&b.grown_mm()))
    }
}

/// The map.
#[derive(Clone, Debug, PartialEq)]
pub struct GrowthMap {
    /// The casing.
    pub serial: String,
    /// The clock angles across; none stands for a tape all round.
    pub clocks: Vec<Option<f64>>,
    /// The stations down.
    pub rows: Vec<Row>,
    /// The row and the angle that grew most, where anything did.
    pub worst: Option<Growth>,
    /// Taper now and at birth, millimetres a hundred: mean diameter at the last station less that at the first.
    pub taper: Option<(f64, f64)>,
    /// What is not growth, millimetres, for the last readings.
    pub noise_mm: f64,
    /// The gauge those were read with, where it was named.
    pub gauge: Option<String>,
    /// Half the length of the softened zone of a weld, where there is a weld, millimetres.
    pub weld_zone_mm: Option<f64>,
}

/// The welds of a casing, as distances from the forward seal face in millimetres.
fn welds_mm(design: &Design) -> Vec<f64> {
    let mut welds = Vec::new();
    if design.forward.kind == EndKind::WeldedPlug {
        welds.push(0.0);
    }
    if let (EndKind::WeldedPlug, Some(length)) = (design.aft.kind, &design.tube.length) {
        welds.push(length.value.as_mm());
    }
    welds
}

/// The distance to the nearest weld, millimetres.
pub fn from_weld_mm(design: &Design, station_mm: f64) -> Option<f64> {
    welds_mm(design).into_iter().map(|weld| (weld - station_mm).abs()).min_by(f64::total_cmp)
}

/// Diameters read after birth, with what their gauge repeats to (millimetres) and its mark.
fn readings_of(details: &Details) -> Option<(&[Reading], Option<f64>, Option<&str>)> {
    match details {
        Details::Strip(it) => Some((
            &it.readings,
            it.od_repeatability.as_ref().map(|it| it.value.as_mm()),
            it.od_gauge.as_deref(),
        )),
        Details::Proof(it) => Some((
            &it.readings,
            it.od_repeatability.as_ref().map(|it| it.value.as_mm()),
            it.od_gauge.as_deref(),
        )),
        _ => None,
    }
}

/// Draw the map of a casing from what the book says of it and its entries that stand, in any order.
pub fn map(assessed: &Assessment, entries: &[&Entry], rules: &RuleSet) -> Option<GrowthMap> {
    let design = assessed.design.as_ref()?;
    let od_mm = design.tube.od.value.as_mm();
    let birth = Birth::of(od_mm, &assessed.birth);
    let mut order: Vec<&Entry> = entries.to_vec();
    order.sort_by_key(|entry| entry.timeline_key());
    let mut judged: Vec<(EntryRef, Vec<Growth>)> = Vec::new();
    let (mut gauge, mut repeats) = (None, None);
    for entry in order {
        if let Some((readings, repeatability, mark)) = readings_of(&entry.entry.details) {
            let at = EntryRef::from(entry);
            let found = growth::judge(readings, Phase::After, &birth, rules, repeatability, at).growth;
            if !found.is_empty() {
                judged.push((at, found));
                (gauge, repeats) = (mark.map(str::to_owned), repeatability);
            }
        }
    }
    let mut stations: Vec<f64> = Vec::new();
    let mut clocks: Vec<Option<f64>> = Vec::new();
    let places = assessed
        .birth
        .iter()
        .map(|it| (it.0, it.1))
        .chain(assessed.growth.iter().map(|it| (it.station_mm, it.clock_deg)));
    for (station, clock) in places {
        if !stations.iter().any(|it| (it - station).abs() <= SAME_MM) {
            stations.push(station);
        }
        if !clocks.contains(&clock) {
            clocks.push(clock);
        }
    }
    // A soft or thin place between the stations has a row of its own, so that nobody takes it for measured.
    for spot in assessed.spots.iter().filter_map(|spot| spot.station_mm) {
        if !stations.iter().any(|it| (it - spot).abs() <= SPOT_MM) {
            stations.push(spot);
        }
    }
    stations.sort_by(f64::total_cmp);
    clocks.sort_by(|a, b| a.unwrap_or(-1.0).total_cmp(&b.unwrap_or(-1.0)));
    let zone = rules.value("weld-zone");
    let rows: Vec<Row> = stations
        .iter()
        .map(|station| Row {
            station_mm: *station,
            cells: clocks.iter().map(|clock| cell(assessed, *station, *clock, rules)).collect(),
            weld_mm: from_weld_mm(design, *station).filter(|it| *it <= zone),
            spots: assessed
                .spots
                .iter()
                .filter(|spot| spot.station_mm.is_some_and(|it| (it - station).abs() <= SPOT_MM))
                .map(spot_words)
                .collect(),
            ovality_percent: ovality(&judged, *station, od_mm),
            apart: apart(&judged, *station),
            trend: judged.iter().filter_map(|(at, found)| trend(*at, found, *station)).collect(),
        })
        .collect();
    let worst = assessed
        .growth
        .iter()
        .filter(|it| !it.noise && it.percent > 0.0)
        .max_by(|a, b| a.percent.total_cmp(&b.percent))
        .cloned();
    Some(GrowthMap {
        serial: assessed.serial.clone(),
        taper: taper(&rows),
        clocks,
        rows,
        worst,
        noise_mm: growth::noise_mm(rules, repeats, design.tube.od.value.as_mm()),
        gauge,
        weld_zone_mm: (!welds_mm(design).is_empty()).then_some(zone),
    })
}

fn cell(assessed: &Assessment, station: f64, clock: Option<f64>, rules: &RuleSet) -> Option<Cell> {
    let here = |at: f64, of: Option<f64>| (at - station).abs() <= SAME_MM && of == clock;
    let born = assessed.birth.iter().find(|it| here(it.0, it.1)).map(|it| it.2);
    let growth = assessed.growth.iter().find(|it| here(it.station_mm, it.clock_deg)).cloned();
    let spot = assessed.spots.iter().any(|spot| over(spot, station, clock));
    match (&growth, born) {
        (None, None) => None,
        _ => Some(Cell {
            letter: growth.as_ref().map_or(Letter::Birth, |it| Letter::of(it, rules)),
            birth_mm: born,
            growth,
            spot,
        }),
    }
}

/// Whether a spot lies over a place; one whose angle nobody wrote down lies all round.
fn over(spot: &Spot, station: f64, clock: Option<f64>) -> bool {
    let near = spot.station_mm.is_some_and(|it| (it - station).abs() <= SPOT_MM);
    let turned = |a: f64, b: f64| {
        let turn = (a - b).rem_euclid(360.0);
        turn.min(360.0 - turn)
    };
    near && match (spot.clock_deg, clock) {
        (Some(spot), Some(clock)) => turned(spot, clock) <= SPOT_DEG,
        _ => true,
    }
}

fn spot_words(spot: &Spot) -> String {
    let hardness = spot.hardness.map(|it| format!("HB {it:.0}"));
    let wall = spot.wall_left_m.map(|it| format!("{:.2} mm of wall left", it * 1e3));
    let of: Vec<String> = [hardness, wall].into_iter().flatten().collect();
    format!("{} ({})", spot.place, of.join(", "))
}

/// Out of round by the last entry that read the station at two angles or more.
fn ovality(judged: &[(EntryRef, Vec<Growth>)], station: f64, od_mm: f64) -> Option<f64> {
    judged.iter().rev().find_map(|(_, found)| {
        let here: Vec<f64> = found
            .iter()
            .filter(|it| (it.station_mm - station).abs() <= SAME_MM && it.clock_deg.is_some())
            .map(|it| it.now_mm)
            .collect();
        let (least, most) = (here.iter().copied().reduce(f64::min)?, here.iter().copied().reduce(f64::max)?);
        (here.len() > 1).then(|| (most - least) / od_mm * 100.0)
    })
}

/// Readings of one day and angle that do not agree.
fn apart(judged: &[(EntryRef, Vec<Growth>)], station: f64) -> Vec<TrendPoint> {
    let here: Vec<(EntryRef, &Growth)> = judged
        .iter()
        .flat_map(|(at, found)| found.iter().map(|it| (*at, it)))
        .filter(|(_, it)| (it.station_mm - station).abs() <= SAME_MM)
        .collect();
    here.iter()
        .filter(|(at, it)| {
            here.iter().any(|(other, that)| {
                other.on == at.on && that.clock_deg == it.clock_deg && (that.now_mm - it.now_mm).abs() > 1e-6
            })
        })
        .map(|(at, it)| point(*at, it))
        .collect()
}

fn point(entry: EntryRef, growth: &Growth) -> TrendPoint {
    TrendPoint {
        on: entry.on,
        entry,
        clock_deg: growth.clock_deg,
        grown_mm: growth.grown_mm(),
        percent: growth.percent,
        noise: growth.noise,
    }
}

fn trend(entry: EntryRef, found: &[Growth], station: f64) -> Option<TrendPoint> {
    let worst = found
        .iter()
        .filter(|it| (it.station_mm - station).abs() <= SAME_MM)
        .max_by(|a, b| a.grown_mm().total_cmp(&b.grown_mm()))?;
    Some(point(entry, worst))
}

/// Taper now and at birth over the stations that have both, millimetres a hundred millimetres of length.
fn taper(rows: &[Row]) -> Option<(f64, f64)> {
    let means: Vec<(f64, f64, f64)> = rows
        .iter()
        .filter_map(|row| {
            let read: Vec<&Growth> = row.cells.iter().flatten().filter_map(|it| it.growth.as_ref()).collect();
            let count = read.len() as f64;
            (!read.is_empty()).then(|| {
                let mean = |of: &dyn Fn(&Growth) -> f64| read.iter().map(|it| of(it)).sum::<f64>() / count;
                (row.station_mm, mean(&|it| it.now_mm), mean(&|it| it.birth_mm))
            })
        })
        .collect();
    let (first, last) = (means.first()?, means.last()?);
    let length = last.0 - first.0;
    (length > 0.0).then(|| ((last.1 - first.1) / length * 100.0, (last.2 - first.2) / length * 100.0))
}

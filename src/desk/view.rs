//! What the faces show: finished views, without a connection behind them.

use chrono::NaiveDate;

use crate::book::details::FiringRecord;
use crate::book::{Details, Entry, Standing, SubjectOf};
use crate::quantity::{STANDARD_ATMOSPHERE_PA, System, Typed, counted, show};
use crate::standing::{Assessment, Due, ItemState, Reason};
use crate::store::{EntryLine, RackRow};

/// The rack: every casing at a glance.
#[derive(Clone, Debug)]
pub struct Rack {
    /// The day it is asked for.
    pub day: NaiveDate,
    /// Whether the book always is on that day (a demonstration).
    pub fixed: bool,
    /// The last day anything on record is dated, where that is after today: a wrong clock, or a wrong date.
    pub dated_ahead: Option<NaiveDate>,
    /// The casings, by serial.
    pub casings: Vec<RackLine>,
}

/// One casing of the rack.
#[derive(Clone, Debug)]
pub struct RackLine {
    /// What is listed.
    pub row: RackRow,
    /// Why it stands so, worst first.
    pub reasons: Vec<Reason>,
    /// What is due next.
    pub due: Vec<Due>,
    /// What every page must say of it.
    pub flags: Vec<String>,
}

impl Rack {
    /// Its lines as a person looks for them, on the screen and on paper: what needs a hand first, the retired last.
    pub fn by_need(&self) -> Vec<&RackLine> {
        let mut lines: Vec<&RackLine> = self.casings.iter().collect();
        lines.sort_by(|one, other| {
            let place = |line: &RackLine| (line.row.standing == Standing::Retired, line.row.standing);
            place(one).cmp(&place(other)).then_with(|| one.row.serial.cmp(&other.row.serial))
        });
        lines
    }

    /// The same with the quantities of its reasons in the units asked for, for a person to read.
    #[must_use]
    pub fn shown(mut self, system: System) -> Self {
        self.casings = self.casings.into_iter().map(|line| line.shown(system)).collect();
        self
    }
}

impl RackLine {
    /// The same with the quantities of its reasons in the units asked for, for a person to read.
    #[must_use]
    pub fn shown(mut self, system: System) -> Self {
        self.reasons = self.reasons.into_iter().map(|reason| reason.shown(system)).collect();
        self
    }
}

/// One casing in full.
#[derive(Clone, Debug)]
pub struct CasingPage {
    /// The day it is asked for.
    pub day: NaiveDate,
    /// Whether the book always is on that day.
    pub fixed: bool,
    /// What the book says of it.
    pub assessed: Assessment,
    /// Its standing on that day.
    pub standing: Standing,
    /// Every entry about it and its parts.
    pub ledger: Vec<EntryLine>,
}

impl CasingPage {
    /// The same with the quantities of its reasons in the units asked for, for a person to read.
    #[must_use]
    pub fn shown(mut self, system: System) -> Self {
        self.assessed = self.assessed.shown(system);
        self
    }

    /// The entries about the casing itself that are not crossed out.
    pub(super) fn own_entries(&self) -> Vec<&Entry> {
        let own = |line: &&EntryLine| {
            line.struck_by.is_none() && line.entry.entry.subject.name == self.assessed.serial
        };
        self.ledger.iter().filter(own).map(|line| &line.entry).collect()
    }
}

/// What a line of a casing's ledger belongs to, where that is not the casing itself: a part, or a part's life in
/// another casing, before it came or after it went.
pub fn belongs(page: &CasingPage, line: &EntryLine) -> Option<String> {
    let subject = &line.entry.entry.subject;
    if subject.name == page.assessed.serial {
        return None;
    }
    if subject.of != SubjectOf::Casing {
        return Some(subject.name.clone());
    }
    let parts = match &line.entry.entry.details {
        Details::Firing(it) => it.parts.as_slice(),
        Details::Proof(it) => it.parts.as_slice(),
        Details::Prefire(it) => it.parts.as_slice(),
        _ => &[],
    };
    let was_here = |part: &str| {
        page.ledger.iter().any(|line| match &line.entry.entry.details {
            Details::Fit(fit) => fit.part == part && fit.casing == page.assessed.serial,
            _ => false,
        })
    };
    let moved: Vec<&str> = parts.iter().map(|it| it.part.as_str()).filter(|part| was_here(part)).collect();
    Some(if moved.is_empty() {
        format!("in {}", subject.name)
    } else {
        format!("{} elsewhere, in {}", moved.join(", "), subject.name)
    })
}

/// A small length as a gauge is spoken of: thousandths of a millimetre.
pub fn micrometres(metres: f64) -> String {
    format!("{:.1} µm", metres * 1e6)
}

/// Measured over planned, where a firing has both: its peak, or else its thrust.
fn of_the_plan(record: &FiringRecord, bound: &str) -> Option<String> {
    let ratio = |measured: Option<f64>, planned: Option<f64>| {
        measured.zip(planned).map(|(a, b)| a / b).filter(|it| it.is_finite())
    };
    let peak = ratio(
        // Gauge against gauge, as the rules judge it.
        record.peak_pressure.as_ref().map(|it| it.si() - STANDARD_ATMOSPHERE_PA),
        record.planned_peak.as_ref().map(|it| it.si() - STANDARD_ATMOSPHERE_PA),
    );
    let thrust = ratio(
        record.peak_thrust.as_ref().map(|it| it.si()),
        record.planned_thrust.as_ref().map(|it| it.si()),
    );
    peak.or(thrust).map(|it| format!("{bound}{it:.2} of the plan"))
}

/// What a line of the ledger says: of a firing whose trace is cut off at its top, that its peak is a lower bound; of
/// a trace whose firing is struck, that it is.
pub fn said_of(line: &EntryLine, system: System) -> String {
    let words = said(&line.entry.entry.details, system, line.peak_cut_off.is_some());
    match line.firing_struck_by.filter(|_| line.struck_by.is_none()) {
        Some(by) => format!("its firing is struck by {by}: {words}"),
        None => words,
    }
}

/// One sentence that says what an entry says.
pub fn sentence(details: &Details, system: System) -> String {
    said(details, system, false)
}

fn said(details: &Details, system: System, cut_off: bool) -> String {
    let bound = if cut_off { "at least " } else { "" };
    fn opt<Q: crate::quantity::Quantity>(
        value: &Option<Typed<Q>>,
        system: System,
        label: &str,
    ) -> Option<String> {
        value.as_ref().map(|value| format!("{label} {}", show(value.value, system)))
    }
    let join = |parts: Vec<Option<String>>| parts.into_iter().flatten().collect::<Vec<_>>().join(", ");
    match details {
        Details::Casing(record) => format!(
            "registered revision {}: {} {} x {}, {} forward, {} aft, MEOP {}",
            record.revision,
            record.design.tube.material,
            show(record.design.tube.od.value, system),
            show(record.design.tube.wall.value, system),
            record.design.forward.kind,
            record.design.aft.kind,
            show(record.design.service.meop.value, system),
        ),
        Details::Part(record) => join(vec![
            Some(format!("{} {} registered", record.what, record.serial)),
            record.life_firings.map(|life| format!("life {}", counted(life, "firing"))),
            opt(&record.throat, system, "throat"),
            record.remark.clone(),
        ]),
        Details::Fit(record) => join(vec![
            Some(format!(
                "{} {} {} {} {}",
                record.position,
                record.part,
                record.action,
                if record.action == crate::book::FitAction::Fitted { "in" } else { "from" },
                record.casing
            )),
            opt(&record.throat, system, "throat"),
            record.remark.clone(),
        ]),
        Details::Proof(record) => join(vec![
            Some(format!("proof at {} with {}", show(record.pressure.value, system), record.medium)),
            record.total_expansion.as_ref().zip(record.permanent_expansion.as_ref()).map(
                |(total, permanent)| format!("permanent set {:.1} %", 100.0 * permanent.si() / total.si()),
            ),
            (record.leak == Some(true)).then(|| "it leaked".to_owned()),
            record.remark.clone(),
        ]),
        Details::Load(record) => join(vec![
            Some(format!("load {} revision {}", record.name, record.revision)),
            Some(format!(
                "planned peak {}",
                show(record.peak_pressure.value.gauge_under(STANDARD_ATMOSPHERE_PA), system)
            )),
            opt(&record.impulse, system, "impulse"),
        ]),
        Details::Batch(record) => join(vec![
            Some(format!("batch {}", record.name)),
            record.burn_rate_factor.map(|factor| format!("burn-rate factor {factor}")),
            record.numbers_from.clone(),
        ]),
        Details::Firing(record) => join(vec![
            Some(format!(
                "{} firing{}{}",
                record.mode,
                record.load.as_ref().map_or_else(String::new, |load| format!(" with {load}")),
                record.batch.as_ref().map_or_else(String::new, |batch| format!(" of {batch}"))
            )),
            // Above the atmosphere, as MEOP, proofs and every other page say it.
            record.peak_pressure.as_ref().map(|peak| {
                format!("peak {bound}{}", show(peak.value.gauge_under(STANDARD_ATMOSPHERE_PA), system))
            }),
            record.peak_thrust.as_ref().map(|thrust| format!("{bound}{}", show(thrust.value, system))),
            record.impulse.as_ref().map(|impulse| format!("{bound}{}", show(impulse.value, system))),
            of_the_plan(record, bound),
            cut_off.then(|| "its trace is cut off at the top".to_owned()),
            record.landing.map(|landing| format!("{landing} landing")),
            record.breach.as_ref().map(|breach| format!("BREACH: {}", breach.reason)),
            record.remark.clone(),
        ]),
        Details::Trace(record) => {
            let class = record.reduction.get("designation").and_then(|it| it.as_str()).unwrap_or("no class");
            let cut = record.cut_off_thrust().map(|why| format!("thrust is a lower bound: {why}"));
            let cut_too = record.cut_off_pressure().map(|why| format!("pressure is a lower bound: {why}"));
            let doubt = ["peak_if_real", "peak_pressure_if_real"].iter().find_map(|key| record.words(key));
            join(vec![
                Some(format!("trace {} kept ({} bytes), reduced to {class}", record.file, record.bytes)),
                cut,
                cut_too,
                doubt.map(|which| format!("possible hard start, put aside: {which}")),
            ])
        }
        Details::Strip(record) => {
            let open =
                record.items.iter().filter(|it| it.outcome == crate::book::Outcome::NotMeasured).count();
            let found: Vec<&str> = record
                .items
                .iter()
                .filter(|it| it.outcome == crate::book::Outcome::Finding)
                .map(|it| it.item.as_str())
                .collect();
            join(vec![
                Some(format!(
                    "strip: {}, {} not measured",
                    counted(record.readings.len(), "reading"),
                    counted(open, "item")
                )),
                (!found.is_empty()).then(|| format!("findings at {}", found.join(", ").replace('_', "-"))),
                record.remark.clone(),
            ])
        }
        Details::Finding(record) => join(vec![
            Some(format!("finding: {}", record.damage)),
            record.percent.map(|percent| format!("{percent} %")),
            record.depth.as_ref().map(|depth| show(depth.value, system)),
            record.count.map(|count| count.to_string()),
            opt(&record.station, system, "at station"),
            Some(record.evidence.clone()),
        ]),
        Details::Disposition(record) => join(vec![
            Some(format!("decided: {}", record.decision)),
            opt(&record.meop, system, "MEOP"),
            (!record.loads.is_empty()).then(|| format!("only {}", record.loads.join(", "))),
            Some(record.reason.clone()),
            record.made_unusable.clone(),
        ]),
        Details::Note(record) => {
            join(vec![record.event.map(|event| format!("event: {event}")), Some(record.text.clone())])
        }
        Details::Photo(record) => format!("photo {}: {}", record.path, record.caption),
        Details::Strike(record) => format!(
            "struck an entry: {}{}",
            record.reason,
            if record.lifts_retirement { " (it lifted a retirement)" } else { "" }
        ),
        Details::Prefire(record) => {
            let refused: Vec<&str> = record
                .items
                .iter()
                .filter(|item| item.state == ItemState::NotInOrder.word())
                .map(|item| item.text.as_str())
                .collect();
            let refused = match refused.as_slice() {
                [] => String::new(),
                refused => format!("; NOT IN ORDER: {}", refused.join("; ")),
            };
            format!(
                "pre-fire for {} {}, planned for {}: released {}{refused}",
                record.mode, record.load, record.planned_for, record.released
            )
        }
        Details::Rule(record) => format!("rule {} is now {}: {}", record.rule, record.value, record.reason),
        Details::Gauge(record) => join(vec![
            Some(format!("{} {}", record.what, record.serial)),
            record.maker.clone(),
            record.calibrated_on.map(|on| format!("calibrated {on}")),
            record.calibration_due.map(|due| format!("good until {due}")),
            record.remark.clone(),
        ]),
        Details::Study(record) => format!(
            "{} repeats to {} (one standard deviation of {} readings of {})",
            record.gauge,
            micrometres(record.repeatability.si()),
            record.lengths.len(),
            record.measured
        ),
        Details::Person(record) => join(vec![
            Some(format!("{}, {}", record.name, record.role)),
            record.leaves.then(|| "signs no more".to_owned()),
            record.remark.clone(),
        ]),
    }
    .trim()
    .replace(" ,", ",")
}

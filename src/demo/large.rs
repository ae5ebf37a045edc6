//! A large generated book, for measuring: any number of casings and firings, told after the demo club's own. Each
//! firing is proofed for, inspected and decided on, so that standings are as varied as a club's are.

use std::path::Path;

use chrono::{DateTime, Days, Duration, NaiveDate, Utc};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use uuid::Builder;

use super::{DemoError, write};
use crate::book::details::{
    CasingRecord, DispositionRecord, FiringRecord, FitRecord, PartAt, PartRecord, ProofRecord, StripRecord,
};
use crate::book::inspection::item_by_id;
use crate::book::{Decision, Details, EntryId, FitAction, NewEntry, Position, Subject, SubjectOf};
use crate::quantity::{AbsolutePressure, Length, Quantity, Typed};
use crate::store::{Book, Bulk, Copied, Creation, Filter, StoreError};

/// The casings of the demo club that the generated ones are told after; none had anything the matter at first.
const MODELS: &[&str] = &["MF-41-06", "MF-48-04", "MF-60-05", "MF-48-01", "MF-41-07"];
const NAMES: &[&str] = &[
    "Alder", "Bittern", "Clover", "Dunlin", "Elder", "Fescue", "Gannet", "Hazel", "Ibis", "Jackdaw",
    "Kestrel", "Linnet", "Mallow", "Nightjar", "Osier", "Plover", "Quince", "Rowan", "Siskin", "Teasel",
];
/// Days from one firing of a casing to its next.
const PERIOD: u64 = 30;
const BY: [&str; 4] = ["K. Brandt", "L. Okafor", "M. Silva", "N. Hart"];

/// What a casing's last round leaves it as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fate {
    New,
    Retired,
    Grown,
    NotInspected,
    NotDecided,
    Restricted,
    Watched,
    Overdue,
    LaidUp,
    Good,
}

fn fate(casing: u64) -> Fate {
    match (casing.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 32) % 100 {
        0 => Fate::New,
        1..=6 => Fate::Retired,
        7..=10 => Fate::Grown,
        11..=14 => Fate::NotInspected,
        15..=17 => Fate::NotDecided,
        18..=22 => Fate::Restricted,
        23..=28 => Fate::Watched,
        29..=38 => Fate::Overdue,
        39..=43 => Fate::LaidUp,
        _ => Fate::Good,
    }
}

/// What a generated casing is told after.
struct Model {
    casing: CasingRecord,
    proof: ProofRecord,
    firing: FiringRecord,
    strip: StripRecord,
    keep: DispositionRecord,
    loads: Vec<(Subject, Details)>,
    proof_every: u64,
}

fn models(folder: &Path) -> Result<Vec<Model>, DemoError> {
    let path = folder.join(format!("demo-{}.part", std::process::id()));
    let _ = std::fs::remove_file(&path);
    write(&path)?;
    let models = Book::open_reading(&path)
        .map_err(DemoError::from)
        .and_then(|book| MODELS.iter().map(|serial| model(&book, serial)).collect::<Result<Vec<_>, _>>());
    let _ = std::fs::remove_file(&path);
    models
}

fn model(book: &Book, serial: &str) -> Result<Model, DemoError> {
    let lines = book.lines(&Filter::CasingAndParts(serial.to_owned()), NaiveDate::MAX)?;
    let first = |test: &dyn Fn(&Details) -> bool| {
        lines.iter().map(|line| &line.entry.entry.details).find(|it| test(it)).cloned()
    };
    let missing = || DemoError::Refused {
        what: serial.to_owned(),
        why: "the demo book tells no such thing".to_owned(),
    };
    let (Some(Details::Casing(casing)), Some(Details::Proof(proof)), Some(Details::Firing(firing))) = (
        first(&|it| matches!(it, Details::Casing(_))),
        first(&|it| matches!(it, Details::Proof(it) if it.casing == serial)),
        first(&|it| matches!(it, Details::Firing(it) if it.casing == serial)),
    ) else {
        return Err(missing());
    };
    let (Some(Details::Strip(strip)), Some(Details::Disposition(keep))) = (
        first(&|it| matches!(it, Details::Strip(it) if it.casing == serial)),
        first(&|it| matches!(it, Details::Disposition(it) if it.decision == Decision::Keep)),
    ) else {
        return Err(missing());
    };
    let mut loads = Vec::new();
    if let Some((load, _)) =
        firing.load.as_deref().map(|load| book.load(load, NaiveDate::MAX)).transpose()?.flatten()
    {
        loads.push((Subject { of: SubjectOf::Load, name: load.name.clone() }, Details::from(load)));
    }
    if let Some(batch) = &firing.batch {
        let subject = Subject { of: SubjectOf::Batch, name: batch.clone() };
        if let Some(entry) = book.last_of(crate::book::Kind::Batch, &subject, NaiveDate::MAX)? {
            loads.push((subject, entry.entry.details));
        }
    }
    let welded = [&casing.design.forward, &casing.design.aft]
        .iter()
        .any(|end| end.kind == crate::design::EndKind::WeldedPlug);
    Ok(Model {
        casing: *casing,
        proof: *proof,
        firing: *firing,
        strip: *strip,
        keep: *keep,
        loads,
        proof_every: if welded { 5 } else { 10 },
    })
}

/// Writes with a clock of its own and identities from a fixed seed.
struct Pen {
    bulk: Bulk,
    random: ChaCha8Rng,
    moment: DateTime<Utc>,
}

impl Pen {
    fn write(
        &mut self,
        on: NaiveDate,
        by: u64,
        subject: Subject,
        details: Details,
    ) -> Result<EntryId, StoreError> {
        let evening = on.and_time(chrono::NaiveTime::default()).and_utc() + Duration::hours(19);
        self.moment = (self.moment + Duration::milliseconds(1)).max(evening);
        let mut bytes = [0_u8; 10];
        self.random.fill_bytes(&mut bytes);
        let millis = self.moment.timestamp_millis().unsigned_abs();
        let id = EntryId(Builder::from_unix_timestamp_millis(millis, &bytes).into_uuid());
        let person = |at: u64| BY[(at % 4) as usize].to_owned();
        let entry = NewEntry {
            subject,
            happened_on: on,
            date_approximate: false,
            recorded_by: person(by),
            second: Some(person(by + 1)),
            details,
        };
        self.bulk.write(self.moment, id, entry).map(|_| id)
    }
}

/// Write a book of so many casings and so many firings in all to a new file.
///
/// # Errors
/// The file exists or cannot be written.
pub fn write_large(path: &Path, casings: u64, firings: u64) -> Result<Copied, DemoError> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if path.exists() {
        return Err(DemoError::Exists(path.to_path_buf()));
    }
    let models = models(folder)?;
    let (year, month, day) = super::DAY;
    let today = NaiveDate::from_ymd_opt(year, month, day).unwrap_or_default();
    let active = (0..casings).filter(|casing| fate(*casing) != Fate::New).count() as u64;
    let rounds = firings.div_ceil(active.max(1));
    // The last round ends a week before the day of the book, whatever there is to tell.
    let back = (rounds + 1).saturating_mul(PERIOD).saturating_add(7);
    let begun = today.checked_sub_days(Days::new(back)).unwrap_or(NaiveDate::MIN);
    let start = begun.and_time(chrono::NaiveTime::default()).and_utc();
    let mut random = ChaCha8Rng::seed_from_u64(20_261_003);
    let mut bytes = [0_u8; 10];
    random.fill_bytes(&mut bytes);
    let origin =
        Builder::from_unix_timestamp_millis(start.timestamp_millis().unsigned_abs(), &bytes).into_uuid();
    let bulk = Bulk::begin(path, Creation { origin, at: start, fixed_day: Some(today) })?;
    let mut pen = Pen { bulk, random, moment: start };
    let mut told = std::collections::BTreeSet::new();
    for (subject, details) in models.iter().flat_map(|model| model.loads.clone()) {
        if told.insert(subject.clone()) {
            pen.write(begun, 0, subject, details)?;
        }
    }
    let mut fired = 0;
    for round in 0..=rounds {
        let mut place = 0;
        for casing in 0..casings {
            let model = &models[(casing % models.len() as u64) as usize];
            let fate = fate(casing);
            let on = begun.checked_add_days(Days::new(round * PERIOD + casing % PERIOD)).unwrap_or(today);
            if round == 0 {
                build(&mut pen, model, casing, fate, on)?;
            } else if fate != Fate::New {
                // The firings that do not divide evenly go to the first casings.
                let whole = firings / active.max(1) + u64::from(place < firings % active.max(1));
                place += 1;
                if round <= whole {
                    fired += 1;
                    fire(&mut pen, model, casing, fate, on, (round, whole))?;
                }
            }
        }
    }
    debug_assert!(active == 0 || fired == firings);
    Ok(pen.bulk.finish()?)
}

fn serial(casing: u64) -> String {
    format!("GN-{casing:06}")
}

fn insert_of(casing: u64) -> Option<String> {
    casing.is_multiple_of(3).then(|| format!("I-{casing:06}"))
}

fn build(pen: &mut Pen, model: &Model, casing: u64, fate: Fate, on: NaiveDate) -> Result<(), DemoError> {
    let serial = serial(casing);
    let record = CasingRecord {
        serial: serial.clone(),
        name: Some(format!(
            "{} {}",
            NAMES[(casing % NAMES.len() as u64) as usize],
            casing / NAMES.len() as u64 + 1
        )),
        ..model.casing.clone()
    };
    pen.write(on, casing, Subject::casing(&serial), Details::from(record))?;
    if let Some(part) = insert_of(casing) {
        let throat = Some(Typed { value: Length::from_si(0.009), typed: Some("9.00 mm".to_owned()) });
        let record = PartRecord {
            serial: part.clone(),
            what: Position::ThroatInsert,
            material: Some("graphite".to_owned()),
            maker: None,
            lot: None,
            life_firings: None,
            firings_before: 0,
            throat,
            remark: None,
        };
        pen.write(on, casing, Subject::part(&part), Details::from(record))?;
        let fit = FitRecord {
            casing: serial.clone(),
            part: part.clone(),
            position: Position::ThroatInsert,
            action: FitAction::Fitted,
            throat: None,
            remark: None,
        };
        pen.write(on, casing, Subject::part(&part), Details::from(fit))?;
    }
    if fate != Fate::New {
        press(pen, model, casing, on)?;
    }
    Ok(())
}

fn press(pen: &mut Pen, model: &Model, casing: u64, on: NaiveDate) -> Result<(), DemoError> {
    let record = ProofRecord { casing: serial(casing), parts: parts(casing), ..model.proof.clone() };
    pen.write(on, casing, Subject::casing(&record.casing), Details::from(record))?;
    Ok(())
}

fn parts(casing: u64) -> Vec<PartAt> {
    insert_of(casing).into_iter().map(|part| PartAt { part, position: Position::ThroatInsert }).collect()
}

fn fire(
    pen: &mut Pen,
    model: &Model,
    casing: u64,
    fate: Fate,
    on: NaiveDate,
    (round, rounds): (u64, u64),
) -> Result<(), DemoError> {
    let subject = Subject::casing(&serial(casing));
    let last = round == rounds;
    // A laid-up casing was last proofed and fired years ago.
    let on = if fate == Fate::LaidUp { on.checked_sub_days(Days::new(1_100)).unwrap_or(on) } else { on };
    let due = round > 1 && (round - 1).is_multiple_of(model.proof_every);
    if due {
        press(pen, model, casing, on)?;
    }
    let mut record = FiringRecord {
        casing: subject.name.clone(),
        parts: parts(casing),
        remark: None,
        breach: None,
        landing: None,
        ..model.firing.clone()
    };
    // Two per cent to either side of the model's peak.
    let scatter = 1.0 + f64::from(pen.random.next_u32() % 401) / 10_000.0 - 0.02;
    if let Some(peak) = &model.firing.peak_pressure {
        let pascals = (peak.si() * scatter / 1e4).round() * 1e4;
        let typed = Some(format!("{:.2} MPa abs", pascals / 1e6));
        record.peak_pressure = Some(Typed { value: AbsolutePressure::from_si(pascals), typed });
    }
    let firing = pen.write(on, casing, subject.clone(), Details::from(record))?;
    if last && fate == Fate::NotInspected {
        return Ok(());
    }
    let mut strip = StripRecord { casing: subject.name.clone(), firing: Some(firing), ..model.strip.clone() };
    if !round.is_multiple_of(10) {
        // Every tenth inspection is a full one; between, what every firing needs, at one angle.
        strip.items.retain(|it| item_by_id(&it.item).is_some_and(|item| item.required));
        strip.readings.retain(|it| it.clock_deg == Some(0.0));
    }
    if last && fate == Fate::Grown {
        for value in strip.readings.iter_mut().filter_map(|reading| reading.value.as_mut()) {
            let metres = (value.si() * 1.0015 * 1e6).round() / 1e6;
            *value = Typed { value: Length::from_si(metres), typed: Some(format!("{:.3} mm", metres * 1e3)) };
        }
    }
    pen.write(on, casing, subject.clone(), Details::from(strip))?;
    if last && fate == Fate::NotDecided {
        return Ok(());
    }
    if last && fate == Fate::Overdue {
        pen.write(
            on,
            casing,
            subject.clone(),
            Details::from(crate::book::details::NoteRecord {
                casing: Some(subject.name.clone()),
                part: None,
                event: Some(crate::book::Event::Impact),
                text: "dropped on the workshop floor".to_owned(),
            }),
        )?;
    }
    let mut decision =
        DispositionRecord { casing: Some(subject.name.clone()), part: None, ..model.keep.clone() };
    if last {
        match fate {
            Fate::Retired => {
                decision.decision = Decision::Retire;
                decision.reason = "at the end of what we ask of a tube".to_owned();
                decision.made_unusable = Some("holed, 12 mm through the wall".to_owned());
            }
            Fate::Restricted => {
                decision.decision = Decision::Restrict;
                decision.reason = "a soft spot beside the weld".to_owned();
                decision.proof_every = Some(3);
            }
            Fate::Watched => {
                decision.decision = Decision::Watch;
                decision.reason = "soot close to the aft seal".to_owned();
            }
            _ => {}
        }
    }
    pen.write(on, casing, subject, Details::from(decision))?;
    Ok(())
}

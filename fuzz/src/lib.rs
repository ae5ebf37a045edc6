//! What several targets share: a desk whose clock stands still, a small honest book, and what text may hold.

use std::cell::Cell;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use chrono::{DateTime, Duration, NaiveDate, Utc};
use proofmark::book::{Answers, Kind};
use proofmark::desk::{Desk, Surroundings};

/// The day it is in every target.
pub fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 10, 3).unwrap()
}

/// A clock that goes on by a second each time it is asked, and identities that are never given twice.
#[derive(Default)]
pub struct Still(Cell<i64>);

impl Surroundings for Still {
    fn now(&self) -> DateTime<Utc> {
        self.0.set(self.0.get() + 1);
        today().and_hms_opt(12, 0, 0).unwrap().and_utc() + Duration::seconds(self.0.get())
    }
    fn today(&self) -> NaiveDate {
        today()
    }
    fn identity(&mut self) -> uuid::Uuid {
        static GIVEN: AtomicU64 = AtomicU64::new(1);
        uuid::Uuid::from_u64_pair(0x0190_0000_0000_7000, (1 << 63) | GIVEN.fetch_add(1, Ordering::Relaxed))
    }
}

pub fn still() -> Box<Still> {
    Box::default()
}

fn log(desk: &mut Desk, kind: Kind, on: &str, fields: &[(&str, &str)]) {
    let mut answers = Answers::new();
    answers.set("on", on).set("by", "Ann Lee");
    for (field, text) in fields {
        answers.push(field, *text);
    }
    desk.record(kind, &answers, None).unwrap();
}

/// One entry or more of most kinds, about one casing, one part and one load.
pub fn tell(desk: &mut Desk) {
    log(
        desk,
        Kind::Casing,
        "2026-01-02",
        &[
            ("serial", "MF-1"),
            ("tube.material", "6061-T6"),
            ("tube.form", "drawn tube"),
            ("tube.od", "2.000 in"),
            ("tube.wall", "0.065 in"),
            ("tube.wall_min", "0.063 in"),
            ("forward.kind", "welded plug"),
            ("forward.leg", "2.8 mm"),
            ("aft.kind", "radial bolts"),
            ("aft.count", "8"),
            ("aft.bolt", "10-32"),
            ("aft.edge", "10 mm"),
            ("service.meop", "4.0 MPa"),
            ("od", "12 mm @ 0: 50.80 mm"),
            ("od", "100 mm @ 0: 50.80 mm"),
        ],
    );
    log(
        desk,
        Kind::Part,
        "2026-01-02",
        &[("serial", "N-1"), ("what", "throat insert"), ("material", "graphite")],
    );
    log(
        desk,
        Kind::Load,
        "2026-01-02",
        &[("name", "48A"), ("peak_pressure", "3.5 MPa"), ("impulse", "950 Ns"), ("nozzle.throat", "9.35 mm")],
    );
    log(
        desk,
        Kind::Proof,
        "2026-01-05",
        &[
            ("casing", "MF-1"),
            ("pressure", "5.2 MPa"),
            ("medium", "water"),
            ("bled", "yes"),
            ("hold", "5 min"),
            ("method", "diameters only"),
            ("leak", "no"),
            ("pressure_drop", "no"),
            ("od_before", "12 mm @ 0: 50.80 mm"),
            ("od_before", "100 mm @ 0: 50.80 mm"),
            ("od_after", "12 mm @ 0: 50.80 mm"),
            ("od_after", "100 mm @ 0: 50.80 mm"),
            ("second", "Bo Ray"),
        ],
    );
    log(
        desk,
        Kind::Firing,
        "2026-02-01",
        &[("casing", "MF-1"), ("mode", "static"), ("load", "48A"), ("peak_pressure", "3.4 MPa")],
    );
    log(
        desk,
        Kind::Strip,
        "2026-02-01",
        &[
            ("casing", "MF-1"),
            ("heat", "good"),
            ("straight_edge", "good"),
            ("bore", "good"),
            ("od", "12 mm @ 0: 50.80 mm"),
            ("od", "100 mm @ 0: 50.80 mm"),
        ],
    );
    log(
        desk,
        Kind::Disposition,
        "2026-02-02",
        &[("casing", "MF-1"), ("decision", "keep"), ("reason", "as before"), ("second", "Bo Ray")],
    );
    log(desk, Kind::Note, "2026-02-03", &[("casing", "MF-1"), ("text", "kept dry")]);
}

/// That book in a file.
pub fn honest(folder: &Path, name: &str) -> PathBuf {
    let path = folder.join(name);
    tell(&mut Desk::writing(&path, still(), None).unwrap());
    path
}

/// Nothing in it that a terminal acts on or that nobody sees, line ends aside.
pub fn assert_seen(text: &str) {
    let hidden = text.chars().find(|c| *c != '\n' && proofmark::report::text::unseen(*c));
    assert!(hidden.is_none(), "{hidden:?} in {text:?}");
}

/// Every number of a JSON text is one, none is missing because it was no number.
pub fn assert_finite(json: &serde_json::Value, at: &str) {
    match json {
        serde_json::Value::Null => panic!("{at} is nothing"),
        serde_json::Value::Array(items) => items.iter().for_each(|it| assert_finite(it, at)),
        serde_json::Value::Object(map) => map.iter().for_each(|(key, it)| assert_finite(it, key)),
        _ => {}
    }
}

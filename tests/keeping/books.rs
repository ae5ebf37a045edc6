//! Books in files, written by two or three laptops.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use proofmark::book::{Answers, Kind};
use proofmark::desk::{Desk, Recorded, Refusal};
use proofmark::store::{Book, Filter, Merged, StoreError};

use crate::common::{casing_fields, day, proof_fields, still};

pub fn try_log(
    path: &Path,
    kind: Kind,
    on: &str,
    by: &str,
    fields: &[(&str, &str)],
) -> Result<Recorded, Refusal> {
    let mut desk = Desk::writing(path, still(), None)?;
    let mut answers = Answers::new();
    answers.set("on", on).set("by", by);
    for (field, text) in fields {
        answers.push(field, *text);
    }
    desk.record(kind, &answers, None)
}

pub fn log(path: &Path, kind: Kind, on: &str, by: &str, fields: &[(&str, &str)]) -> Recorded {
    match try_log(path, kind, on, by, fields) {
        Ok(recorded) => recorded,
        Err(refusal) => panic!("{kind} of {on} {fields:?} was refused: {refusal:?}"),
    }
}

pub fn note(path: &Path, by: &str, text: &str) {
    log(path, Kind::Note, "2026-03-01", by, &[("casing", "MF-1"), ("text", text)]);
}

pub fn decide(path: &Path, on: &str, by: &str, decision: &str) -> i64 {
    let fields =
        [("casing", "MF-1"), ("decision", decision), ("reason", "looked at it"), ("second", "Cy Fox")];
    log(path, Kind::Disposition, on, by, &fields).entries[0].number
}

pub fn strip(path: &Path, on: &str, by: &str, od: &str) {
    let od = format!("100 mm @ 0: {od}");
    let fields =
        [("casing", "MF-1"), ("heat", "good"), ("straight_edge", "good"), ("bore", "good"), ("od", &od)];
    log(path, Kind::Strip, on, by, &fields);
}

pub fn fire(path: &Path, on: &str, by: &str, peak: &str) {
    let fields = [("casing", "MF-1"), ("mode", "static"), ("load", "48A"), ("peak_pressure", peak)];
    log(path, Kind::Firing, on, by, &fields);
}

/// Ann's book: a proved casing and a load.
pub fn anns(folder: &Path) -> PathBuf {
    let path = folder.join("ann.db");
    log(&path, Kind::Casing, "2026-01-02", "Ann Lee", &casing_fields("MF-1", "5.0 MPa"));
    let load =
        [("name", "48A"), ("peak_pressure", "4.0 MPa"), ("impulse", "950 Ns"), ("nozzle.throat", "9.35 mm")];
    log(&path, Kind::Load, "2026-01-02", "Ann Lee", &load);
    log(&path, Kind::Proof, "2026-01-05", "Ann Lee", &proof_fields("MF-1", "7.5 MPa"));
    path
}

/// A second laptop's book, begun by merging the first into an empty one.
pub fn second(folder: &Path, name: &str, first: &Path) -> PathBuf {
    let path = folder.join(name);
    drop(Desk::writing(&path, still(), None).unwrap());
    merge(&path, first);
    path
}

pub fn try_merge(into: &Path, from: &Path) -> Result<Merged, StoreError> {
    Book::open_writing(into, None)?.merge(from, false)
}

pub fn merge(into: &Path, from: &Path) -> Merged {
    try_merge(into, from).unwrap_or_else(|error| panic!("{error}"))
}

/// Everything a book says, its own numbering aside: entries with their seals, and why each casing stands as it does.
pub type Said = (BTreeMap<String, String>, Option<String>, Vec<String>);

pub fn said(path: &Path) -> Said {
    let book = Book::open_reading(path).unwrap();
    assert_eq!(book.verify().unwrap(), [], "{}", path.display());
    let head = book.head_seal().unwrap();
    let desk = Desk::with(book, still());
    let mut entries = BTreeMap::new();
    let mut standings = Vec::new();
    for row in desk.book().rack(day("2026-10-03")).unwrap() {
        for line in desk.book().lines(&Filter::CasingAndParts(row.serial.clone()), day("2099-01-01")).unwrap()
        {
            entries.insert(line.entry.id.to_string(), line.entry.seal.clone());
        }
        let assessed = desk.assess(&row.serial, day("2026-10-03")).unwrap();
        assert_eq!(assessed.standing(day("2026-10-03")), row.standing);
        standings.push(format!("{} {} {} firings", row.serial, row.standing, row.firings));
        for reason in assessed.reasons {
            let entry = reason.entry.map(|entry| entry.id);
            standings.push(format!(
                "{} {} {} {:?} {entry:?}",
                reason.standing, reason.rule, reason.text, reason.from
            ));
        }
        for growth in assessed.growth {
            standings.push(format!("{} {:?} {}", growth.station_mm, growth.clock_deg, growth.now_mm));
        }
    }
    (entries, head, standings)
}

//! A book from a stranger given to merge: entries of every kind with their values changed as no form lets them be, under
//! any name and day, but stored and sealed as the program stores and seals. Merging never panics and is whole or not at
//! all; what it took verifies, is drawn, comes no second time, and is the same book from the other side.
#![no_main]

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use chrono::Days;
use libfuzzer_sys::arbitrary::{self, Arbitrary};
use libfuzzer_sys::fuzz_target;
use proofmark::book::{Details, EntryId, Kind, NewEntry, Subject, SubjectOf};
use proofmark::desk::{Desk, Surroundings};
use proofmark::report;
use proofmark::report::text::clean_lines;
use proofmark::store::Book;
use proofmark_fuzz::{assert_seen, honest, still, today};
use serde_json::Value;

#[derive(Debug, Arbitrary)]
enum Leaf {
    Nothing,
    Yes(bool),
    Whole(i64),
    Real(f64),
    Text(String),
    /// The value of another place of the same entry.
    Other(u8),
    Gone,
}

#[derive(Debug, Arbitrary)]
struct Strange {
    /// Which entry of the honest book it is made from.
    from: u8,
    changes: Vec<(u8, Leaf)>,
    of: Option<u8>,
    name: Option<String>,
    by: Option<String>,
    second: Option<String>,
    days: i16,
    approximate: bool,
}

struct Kept {
    ours: Vec<u8>,
    theirs: Vec<u8>,
    entries: Vec<(NewEntry, Value)>,
    folder: tempfile::TempDir,
}

fn kept() -> &'static Kept {
    static KEPT: OnceLock<Kept> = OnceLock::new();
    KEPT.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let ours = honest(folder.path(), "honest.db");
        let theirs = folder.path().join("other.db");
        let mut surroundings = still();
        Book::restore(&ours, &theirs, surroundings.identity(), surroundings.now()).unwrap();
        let book = Book::open_reading(&ours).unwrap();
        let entries = book
            .entries_of(book.origin(), 1, 1_000)
            .unwrap()
            .into_iter()
            .map(|it| {
                let body = it.entry.details.to_json().unwrap();
                (it.entry, body)
            })
            .collect();
        Kept { ours: std::fs::read(&ours).unwrap(), theirs: std::fs::read(&theirs).unwrap(), entries, folder }
    })
}

/// Every value that holds no other, in order.
fn leaves(json: &Value, path: &str, all: &mut Vec<String>) {
    match json {
        Value::Object(map) => map.iter().for_each(|(key, it)| leaves(it, &format!("{path}/{key}"), all)),
        Value::Array(items) => {
            items.iter().enumerate().for_each(|(at, it)| leaves(it, &format!("{path}/{at}"), all))
        }
        _ => all.push(path.to_owned()),
    }
}

fn strange(entry: &Strange) -> Option<NewEntry> {
    let kept = kept();
    let (honest, body) = &kept.entries[usize::from(entry.from) % kept.entries.len()];
    let mut body = body.clone();
    for (place, leaf) in &entry.changes {
        let mut all = Vec::new();
        leaves(&body, "", &mut all);
        let path = all.get(usize::from(*place) % all.len().max(1))?;
        let value = match leaf {
            Leaf::Nothing => Value::Null,
            Leaf::Yes(yes) => (*yes).into(),
            Leaf::Whole(number) => (*number).into(),
            Leaf::Real(number) => (*number).into(),
            Leaf::Text(text) => text.clone().into(),
            Leaf::Other(other) => body.pointer(&all[usize::from(*other) % all.len()])?.clone(),
            Leaf::Gone => {
                let (above, key) = path.rsplit_once('/')?;
                match body.pointer_mut(above)? {
                    Value::Object(map) => drop(map.remove(key)),
                    Value::Array(items) => drop(items.remove(key.parse().ok()?)),
                    _ => {}
                }
                continue;
            }
        };
        *body.pointer_mut(path)? = value;
    }
    let details = Details::from_json(honest.details.kind(), &body.to_string()).ok()?;
    let mut made = honest.clone();
    made.details = details;
    if let Some(of) = entry.of {
        made.subject.of = SubjectOf::ALL[usize::from(of) % SubjectOf::ALL.len()];
    }
    if let Some(name) = &entry.name {
        made.subject.name = name.clone();
    } else if let (Kind::Casing, Value::String(serial)) = (made.details.kind(), &body["serial"]) {
        made.subject = Subject { of: SubjectOf::Casing, name: serial.clone() };
    } else if let Some(Value::String(casing)) = body.get("casing") {
        made.subject = Subject { of: SubjectOf::Casing, name: casing.clone() };
    }
    if let Some(by) = &entry.by {
        made.recorded_by = by.clone();
    }
    made.second = entry.second.clone().or(made.second);
    made.happened_on = if entry.days < 0 {
        today().checked_sub_days(Days::new(u64::from(entry.days.unsigned_abs())))?
    } else {
        today().checked_add_days(Days::new(entry.days as u64))?
    };
    made.date_approximate = entry.approximate;
    Some(made)
}

fn look(path: &Path) {
    let desk = Desk::reading(path, still()).unwrap();
    let faults = desk.book().verify().unwrap();
    assert!(faults.is_empty(), "{faults:?}");
    let rack = desk.rack().unwrap();
    assert_seen(&report::text::rack(&rack));
    for line in &rack.casings {
        let page = desk.casing(&line.row.serial).unwrap();
        assert_seen(&clean_lines(&report::text::casing(&page, Default::default())));
        let _ = desk.growth_map(&page).unwrap();
        let _ = page.assessed.margins(None);
    }
}

fn file(name: &str, bytes: &[u8]) -> PathBuf {
    let path = kept().folder.path().join(name);
    std::fs::write(&path, bytes).unwrap();
    path
}

fuzz_target!(|entries: Vec<Strange>| {
    let kept = kept();
    let theirs = file("theirs.db", &kept.theirs);
    let mut book = Book::open_writing(&theirs, None).unwrap();
    let mut surroundings = still();
    let mut taken = 0;
    for entry in entries.iter().take(6) {
        let Some(made) = strange(entry) else { continue };
        let id = EntryId(surroundings.identity());
        taken += usize::from(book.append(surroundings.now(), vec![(made, id)], &[]).is_ok());
    }
    drop(book);
    if taken == 0 {
        return;
    }
    let ours = file("ours.db", &kept.ours);
    let mut book = Book::open_writing(&ours, None).unwrap();
    let (seal, size) = (book.head_seal().unwrap(), book.size().unwrap());
    let merged = match book.merge(&theirs, false) {
        Ok(merged) => merged,
        Err(error) => {
            let _ = error.to_string();
            assert_eq!((book.head_seal().unwrap(), book.size().unwrap()), (seal, size));
            return;
        }
    };
    assert_eq!(merged.entries as usize, taken);
    assert_eq!(book.merge(&theirs, false).unwrap().entries, 0);
    drop(book);
    look(&ours);
    let mut book = Book::open_writing(&theirs, None).unwrap();
    book.merge(&ours, false).unwrap();
    assert_eq!(book.head_seal().unwrap(), merged.head_seal);
});

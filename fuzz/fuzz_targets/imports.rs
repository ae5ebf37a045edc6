//! Any bytes as an old notebook in CSV: the first byte chooses what is asked of it. No panic; a sheet's rows have its
//! lines; what is tried out clean is taken in whole, counted by one entry, and the book verifies; striking that entry
//! undoes it. The text of the file is taken as a mapping, too.
#![no_main]

use libfuzzer_sys::fuzz_target;
use proofmark::book::{Answers, Kind};
use proofmark::desk::Desk;
use proofmark::desk::import::{DayOrder, Mapping, Sheet, Wish};
use proofmark_fuzz::{still, tell};

thread_local! {
    static DESK: Desk = {
        let mut desk = Desk::in_memory(still()).unwrap();
        tell(&mut desk);
        desk
    };
}

fn wish(byte: u8) -> Wish {
    let map = |words: &str| Mapping::parse(words).unwrap();
    let set =
        |pairs: &[(&str, &str)]| pairs.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect();
    let by = Some("Ann Lee".to_owned());
    match byte % 6 {
        0 => Wish { by, ..Wish::default() },
        1 => Wish {
            kind: Some(Kind::Firing),
            maps: Vec::new(),
            set: set(&[("casing", "MF-1"), ("mode", "static"), ("breach_reason", "before this book")]),
            order: Some(DayOrder::DayFirst),
            by,
            ..Wish::default()
        },
        2 => Wish {
            kind: Some(Kind::Note),
            set: set(&[("on", "2021")]),
            approximate: true,
            by,
            ..Wish::default()
        },
        3 => Wish { kind: Some(Kind::Casing), order: Some(DayOrder::MonthFirst), by, ..Wish::default() },
        4 => Wish {
            kind: Some(Kind::Strip),
            maps: vec![map("OD mid=od[120 mm @ 0]:mm")],
            set: set(&[("casing", "MF-1")]),
            by,
            ..Wish::default()
        },
        _ => Wish { kind: Some(Kind::Part), skip: vec!["x".to_owned()], by, ..Wish::default() },
    }
}

fuzz_target!(|bytes: &[u8]| {
    let [first, file @ ..] = bytes else { return };
    if let Some(mapping) = std::str::from_utf8(file).ok().and_then(|text| Mapping::parse(text).ok()) {
        assert!(!mapping.header.is_empty() && !mapping.field.is_empty());
    }
    let wish = wish(*first);
    if let Ok(sheet) = Sheet::read(file, &wish) {
        let lines = 1 + file.iter().filter(|it| matches!(it, b'\n' | b'\r')).count() as u64;
        assert!(sheet.rows.iter().all(|row| row.line <= lines));
    }
    let mut desk = DESK.with(|desk| Desk::with(desk.book().scratch().unwrap(), still()));
    let Ok(tried) = desk.try_import("old.csv", file, &wish) else { return };
    if !tried.clean() {
        assert!(!tried.problems.is_empty() || tried.rows.iter().any(|row| !row.problems.is_empty()));
        return;
    }
    assert!(tried.rows.iter().all(|row| row.on.is_some() && !row.says.is_empty()));
    let mut desk = DESK.with(|desk| Desk::with(desk.book().scratch().unwrap(), still()));
    let before = desk.book().size().unwrap();
    let count = tried.entries();
    let taken = desk.take_import(tried, "Ann Lee").unwrap();
    assert_eq!(taken.entries.len(), count + 1);
    assert_eq!(desk.book().size().unwrap().1, before.1 + count as i64 + 1);
    assert!(desk.book().verify().unwrap().is_empty());
    let mut answers = Answers::new();
    let number = taken.entries.last().unwrap().number;
    answers
        .set("by", "Ann Lee")
        .set("second", "Bo Ray")
        .set("entry", number.to_string())
        .set("reason", "tried");
    desk.record(Kind::Strike, &answers, None).unwrap();
    assert!(desk.book().verify().unwrap().is_empty());
});

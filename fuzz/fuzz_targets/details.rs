//! Any text as the sealed body of an entry of every kind, as another laptop's book may hold it: the first byte chooses
//! the kind first tried. No panic; what is read is written and read back the same; what the text says the writer had
//! seen is read without panic; every page of a casing whose ledger holds such an entry is drawn, its text is clean, and
//! the book that took the entry verifies.
#![no_main]

use libfuzzer_sys::fuzz_target;
use proofmark::book::{Details, Kind, NewEntry, Subject, SubjectOf, seal};
use proofmark::desk::Desk;
use proofmark::desk::view::sentence;
use proofmark::quantity::System;
use proofmark::report;
use proofmark::report::text::clean_lines;
use proofmark_fuzz::{assert_seen, still, tell, today};

thread_local! {
    static DESK: Desk = {
        let mut desk = Desk::in_memory(still()).unwrap();
        tell(&mut desk);
        desk
    };
}

fuzz_target!(|text: &str| {
    let _ = seal::seen_in(text);
    for kind in Kind::ALL {
        let Ok(details) = Details::from_json(*kind, text) else { continue };
        assert_eq!(details.kind(), *kind);
        // What JSON cannot hold is no entry: a number too large for one.
        let json = details.to_json().unwrap().to_string();
        let again =
            Details::from_json(*kind, &json).unwrap_or_else(|error| panic!("{kind}: {error}: {json}"));
        assert_eq!(again.to_json().unwrap().to_string(), json);
        for system in [System::Si, System::Us] {
            assert_seen(&clean_lines(&sentence(&details, system)));
        }
        take(details);
    }
});

fn take(details: Details) {
    let mut book = DESK.with(|desk| desk.book().scratch().unwrap());
    let subject = Subject { of: SubjectOf::Casing, name: "MF-1".to_owned() };
    let entry = NewEntry {
        subject,
        happened_on: today(),
        date_approximate: false,
        recorded_by: "Bo Ray".to_owned(),
        second: None,
        details,
    };
    let id = proofmark::book::EntryId(uuid::Uuid::from_u64_pair(0x0190_0000_0000_7000, u64::MAX));
    let at = today().and_hms_opt(13, 0, 0).unwrap().and_utc();
    if book.append(at, vec![(entry, id)], &[]).is_err() {
        return;
    }
    let mut faults = book.verify().unwrap();
    // The bytes of a trace come with it; here there are none.
    faults.retain(|it| !it.what.contains("the kept bytes of its trace are missing"));
    assert!(faults.is_empty(), "{faults:?}");
    let desk = Desk::with(book, still());
    look(&desk);
}

fn look(desk: &Desk) {
    let rack = desk.rack().unwrap();
    assert_seen(&report::text::rack(&rack));
    let page = desk.casing("MF-1").unwrap();
    for system in [System::Si, System::Us] {
        assert_seen(&clean_lines(&report::text::casing(&page, system)));
    }
    let _ = desk.growth_map(&page).unwrap();
    if let Some(Ok(margins)) = page.assessed.margins(None) {
        assert_seen(&clean_lines(&report::text::margins("MF-1", &margins, System::Us)));
    }
}

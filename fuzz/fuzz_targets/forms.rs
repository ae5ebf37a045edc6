//! Any text as a TOML form of every kind, a load file and a design: no panic.
#![no_main]

use std::cell::Cell;

use libfuzzer_sys::fuzz_target;
use proofmark::book::{Answers, forms};
use proofmark::desk::{Desk, Surroundings};

struct Still(Cell<u64>);

impl Surroundings for Still {
    fn now(&self) -> chrono::DateTime<chrono::Utc> {
        chrono::DateTime::UNIX_EPOCH
    }
    fn today(&self) -> chrono::NaiveDate {
        chrono::NaiveDate::from_ymd_opt(2026, 10, 3).unwrap()
    }
    fn identity(&mut self) -> uuid::Uuid {
        self.0.set(self.0.get() + 1);
        uuid::Uuid::from_u64_pair(1, self.0.get())
    }
}

thread_local! {
    static DESK: Desk = Desk::in_memory(Box::new(Still(Cell::new(0)))).unwrap();
}

fuzz_target!(|text: &str| {
    let _ = proofmark::ballistics::Load::from_toml(text);
    if let Ok(answers) = Answers::from_toml(text) {
        let _ = proofmark::desk::what_if::read_design(&answers);
        DESK.with(|desk| {
            for form in forms::FORMS {
                let _ = desk.check(form.kind, &answers, None);
            }
        });
    }
});

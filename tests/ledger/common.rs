//! A desk with a clock that stands still, and a casing to begin with.

use std::cell::Cell;
use std::rc::Rc;

use chrono::{DateTime, Duration, NaiveDate, Utc};
use proofmark::book::{Answers, Kind, Problem, Standing};
use proofmark::desk::{Desk, Recorded, Refusal, Surroundings};
use proofmark::standing::{Assessment, Reason};
use uuid::{Builder, Uuid};

pub struct Still {
    pub today: NaiveDate,
    pub count: Rc<Cell<u64>>,
}

impl Surroundings for Still {
    fn now(&self) -> DateTime<Utc> {
        self.count.set(self.count.get() + 1);
        self.today.and_hms_opt(12, 0, 0).unwrap().and_utc() + Duration::seconds(self.count.get() as i64)
    }
    fn today(&self) -> NaiveDate {
        self.today
    }
    fn identity(&mut self) -> Uuid {
        // Two desks of one test never hand out the same identity.
        static GIVEN: std::sync::atomic::AtomicU64 = std::sync::atomic::AtomicU64::new(1);
        let mut bytes = [0_u8; 10];
        bytes[2..].copy_from_slice(&GIVEN.fetch_add(1, std::sync::atomic::Ordering::Relaxed).to_be_bytes());
        Builder::from_unix_timestamp_millis(1_700_000_000_000, &bytes).into_uuid()
    }
}

pub fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

pub fn still() -> Box<Still> {
    Box::new(Still { today: day("2026-10-03"), count: Rc::new(Cell::new(0)) })
}

pub struct Bench {
    pub desk: Desk,
}

impl Bench {
    pub fn new() -> Self {
        Self { desk: Desk::in_memory(still()).unwrap() }
    }

    pub fn try_log(&mut self, kind: Kind, on: &str, fields: &[(&str, &str)]) -> Result<Recorded, Refusal> {
        let mut answers = Answers::new();
        answers.set("on", on).set("by", "Ann Lee");
        for (field, text) in fields {
            answers.push(field, *text);
        }
        self.desk.record(kind, &answers, None)
    }

    pub fn log(&mut self, kind: Kind, on: &str, fields: &[(&str, &str)]) -> Recorded {
        match self.try_log(kind, on, fields) {
            Ok(recorded) => recorded,
            Err(refusal) => panic!("{kind} of {on} {fields:?} was refused: {refusal:?}"),
        }
    }

    pub fn refused(&mut self, kind: Kind, on: &str, fields: &[(&str, &str)]) -> Vec<Problem> {
        let (_, before) = self.desk.book().size().unwrap();
        let problems = match self.try_log(kind, on, fields) {
            Err(Refusal::Form(problems)) => problems,
            other => panic!("{kind} of {on} {fields:?} was not refused: {other:?}"),
        };
        assert_eq!(self.desk.book().size().unwrap().1, before, "a refused entry was stored");
        problems
    }

    pub fn assessed(&self, casing: &str, on: &str) -> Assessment {
        self.desk.assess(casing, day(on)).unwrap()
    }

    pub fn standing(&self, casing: &str, on: &str) -> Standing {
        self.assessed(casing, on).standing(day(on))
    }

    pub fn reason(&self, casing: &str, on: &str, rule: &str) -> Option<Reason> {
        self.assessed(casing, on).reasons_on(day(on)).into_iter().find(|reason| reason.rule == rule).cloned()
    }

    /// A bolted casing with a birth record, a load it may take, and a passing proof.
    pub fn proved() -> Self {
        let mut bench = Self::new();
        bench.casing("MF-1", "5.0 MPa");
        bench.load("48A", "4.0 MPa");
        bench.proof("MF-1", "2026-01-05", "7.5 MPa");
        bench
    }

    pub fn casing(&mut self, serial: &str, meop: &str) {
        self.log(Kind::Casing, "2026-01-02", &casing_fields(serial, meop));
    }

    pub fn load(&mut self, name: &str, peak: &str) {
        self.log(
            Kind::Load,
            "2026-01-02",
            &[("name", name), ("peak_pressure", peak), ("impulse", "950 Ns"), ("nozzle.throat", "9.35 mm")],
        );
    }

    pub fn proof(&mut self, casing: &str, on: &str, pressure: &str) {
        self.log(Kind::Proof, on, &proof_fields(casing, pressure));
    }

    pub fn fire(&mut self, casing: &str, on: &str, peak: &str) -> Recorded {
        self.log(
            Kind::Firing,
            on,
            &[("casing", casing), ("mode", "static"), ("load", "48A"), ("peak_pressure", peak)],
        )
    }

    /// A complete inspection, penetrant included, with one reading at station 100 mm, clock 0.
    pub fn strip(&mut self, casing: &str, on: &str, od: &str) {
        self.log(
            Kind::Strip,
            on,
            &[
                ("casing", casing),
                ("heat", "good"),
                ("straight_edge", "good"),
                ("bore", "good"),
                ("penetrant", "good"),
                ("od", &format!("100 mm @ 0: {od}")),
            ],
        );
    }

    pub fn keep(&mut self, casing: &str, on: &str) {
        self.log(
            Kind::Disposition,
            on,
            &[("casing", casing), ("decision", "keep"), ("reason", "as before"), ("second", "Bo Ray")],
        );
    }

    /// Fire, inspect, keep.
    pub fn cycle(&mut self, casing: &str, on: &str) {
        self.fire(casing, on, "4.0 MPa");
        self.strip(casing, on, "50.80 mm");
        self.keep(casing, on);
    }
}

pub fn casing_fields<'a>(serial: &'a str, meop: &'a str) -> Vec<(&'a str, &'a str)> {
    vec![
        ("serial", serial),
        ("name", "Teal"),
        ("tube.material", "6061-T6"),
        ("tube.form", "drawn tube"),
        ("tube.od", "2.000 in"),
        ("tube.wall", "0.065 in"),
        ("tube.wall_min", "0.065 in"),
        ("tube.length", "16 in"),
        ("forward.kind", "radial bolts"),
        ("forward.count", "8"),
        ("forward.bolt", "10-32"),
        ("forward.edge", "10 mm"),
        ("forward.bolt_ultimate", "150 ksi"),
        ("aft.kind", "radial bolts"),
        ("aft.count", "8"),
        ("aft.bolt", "10-32"),
        ("aft.edge", "10 mm"),
        ("aft.bolt_ultimate", "150 ksi"),
        ("service.meop", meop),
        ("od", "100 mm @ 0: 50.80 mm"),
        ("od", "100 mm @ 90: 50.80 mm"),
    ]
}

pub fn proof_fields<'a>(casing: &'a str, pressure: &'a str) -> Vec<(&'a str, &'a str)> {
    vec![
        ("casing", casing),
        ("pressure", pressure),
        ("medium", "water"),
        ("bled", "yes"),
        ("hold", "5 min"),
        ("method", "diameters only"),
        ("od_before", "100 mm @ 0: 50.80 mm"),
        ("od_after", "100 mm @ 0: 50.80 mm"),
        ("leak", "no"),
        ("pressure_drop", "no"),
        ("second", "Bo Ray"),
    ]
}

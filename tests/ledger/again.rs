//! An entry written again, corrected; and what is said before an entry is written that would not count.

use chrono::NaiveDate;
use proofmark::book::{Answers, Details, Kind, Standing, again, reader};
use proofmark::desk::{Crossing, Refusal, Saved};
use proofmark::store::Filter;

use crate::common::{Bench, day, proof_fields};

fn one_name(casing: &str) -> Vec<(&str, &str)> {
    let mut fields = proof_fields(casing, "7.5 MPa");
    fields.retain(|(field, _)| *field != "second");
    fields
}

#[test]
fn a_proof_that_will_not_count_says_so_before_it_is_written() {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    let mut answers = Answers::new();
    answers.set("on", "2026-01-05").set("by", "Ann Lee");
    for (field, words) in proof_fields("MF-1", "7.5 MPa") {
        answers.push(field, words);
    }
    let doubts = |bench: &mut Bench, answers: &Answers| {
        let before = bench.desk.book().size().unwrap();
        let doubts = match bench.desk.save(Kind::Proof, answers, None, None, false).unwrap() {
            Saved::Doubts(doubts) => doubts,
            Saved::Written(_) => panic!("it was written before anybody looked"),
        };
        assert_eq!(bench.desk.book().size().unwrap(), before);
        doubts
    };
    for (left_out, field) in [("second", "second"), ("hold", "hold"), ("od_before", "od_after")] {
        let mut answers = answers.clone();
        answers.clear(left_out);
        let doubts = doubts(&mut bench, &answers);
        assert!(
            doubts.iter().any(|it| it.field == field && it.message.contains("does not count")),
            "without {left_out}: {doubts:?}"
        );
        // The form knows it while it is typed.
        let seen = bench.desk.check(Kind::Proof, &answers, None).unwrap();
        assert!(seen.iter().any(|it| it.message.contains("does not count")), "{seen:?}");
    }
    for (field, words) in [("bled", "no"), ("rig_checked", "no"), ("pressure", "5.5 MPa")] {
        let mut wrong = answers.clone();
        wrong.set(field, words);
        let doubts = doubts(&mut bench, &wrong);
        assert!(
            doubts.iter().any(|it| it.field == field && it.message.contains("does not count")),
            "{field} {words}: {doubts:?}"
        );
    }
    let mut short = answers.clone();
    short.set("hold", "2 s");
    assert!(doubts(&mut bench, &short).iter().any(|it| it.field == "hold"));
    // As it should be, it is written at once.
    assert!(matches!(
        bench.desk.save(Kind::Proof, &answers, None, None, false).unwrap(),
        Saved::Written(recorded) if recorded.warnings.is_empty()
    ));
}

#[test]
fn the_gravest_warnings_come_before_the_entry() {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    let mut answers = Answers::new();
    answers.set("by", "Ann Lee").set("on", "2026-01-03");
    for (field, words) in crate::common::casing_fields("MF-2", "25 MPa") {
        answers.push(field, words);
    }
    let Saved::Doubts(doubts) = bench.desk.save(Kind::Casing, &answers, None, None, false).unwrap() else {
        panic!("a MEOP over what the casing bears was written before anybody looked")
    };
    assert!(
        doubts.iter().any(|it| it.field == "service.meop" && it.message.contains("fails at")),
        "{doubts:?}"
    );
    let mut answers = Answers::new();
    answers.set("by", "Ann Lee").set("on", "2025-12-24");
    for (field, words) in proof_fields("MF-1", "7.5 MPa") {
        answers.push(field, words);
    }
    let Saved::Doubts(doubts) = bench.desk.save(Kind::Proof, &answers, None, None, false).unwrap() else {
        panic!("a proof dated before the casing was registered was written before anybody looked")
    };
    assert!(
        doubts.iter().any(|it| it.field == "on" && it.message.contains("registered only on")),
        "{doubts:?}"
    );
}

#[test]
fn a_forgotten_name_is_put_in_without_typing_the_rest_again() {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    let proof = bench.log(Kind::Proof, "2026-01-05", &one_name("MF-1")).entries.remove(0);
    assert!(bench.standing("MF-1", "2026-10-03").forbids());
    let old = bench.desk.again(proof.id).unwrap();
    assert!(old.takes_two.is_some(), "it would stand better without it");
    let mut answers = old.answers.clone();
    answers.set("by", "Ann Lee").set("second", "Bo Ray");
    let crossing = Crossing { reason: "the second name was forgotten".to_owned(), second: None };
    let before = bench.desk.book().size().unwrap();
    // One name is not enough for this crossing out; then neither half is written.
    match bench.desk.save(Kind::Proof, &answers, None, Some((&old, &crossing)), true) {
        Err(Refusal::Form(problems)) => assert_eq!(problems[0].field, "agreed"),
        other => panic!("{other:?}"),
    }
    assert_eq!(bench.desk.book().size().unwrap(), before);
    let crossing = Crossing { second: Some("Bo Ray".to_owned()), ..crossing };
    let Saved::Written(recorded) =
        bench.desk.save(Kind::Proof, &answers, None, Some((&old, &crossing)), false).unwrap()
    else {
        panic!("nothing is odd about it")
    };
    assert_eq!(recorded.entries.len(), 2);
    assert!(
        matches!(&recorded.entries[0].entry.details, Details::Strike(it) if it.strikes == proof.id && it.eases)
    );
    let new = &recorded.entries[1];
    assert_eq!(new.entry.happened_on, day("2026-01-05"));
    assert_eq!(new.entry.second.as_deref(), Some("Bo Ray"));
    let (Details::Proof(new), Details::Proof(old)) = (&new.entry.details, &proof.entry.details) else {
        panic!("proofs")
    };
    assert_eq!(new, old, "nothing else changed");
    assert_eq!(bench.standing("MF-1", "2026-10-03"), Standing::InService);
    assert_eq!(
        bench.desk.book().struck_by(proof.id, NaiveDate::MAX).unwrap(),
        Some(recorded.entries[0].number)
    );
}

#[test]
fn what_is_struck_already_is_written_again_alone_and_a_refusal_leaves_nothing() {
    let mut bench = Bench::proved();
    let load = bench.desk.book().load("48A", day("2026-10-03")).unwrap().unwrap().1;
    let load =
        bench.desk.again(bench.desk.book().find_entry(&load.number.to_string()).unwrap().unwrap()).unwrap();
    // A load's revision that is on record is no obstacle to its own correction.
    let mut answers = load.answers.clone();
    answers.set("by", "Ann Lee").set("peak_pressure", "nonsense");
    let crossing = Crossing { reason: "a slip".to_owned(), second: None };
    let before = bench.desk.book().size().unwrap();
    assert!(bench.desk.save(Kind::Load, &answers, None, Some((&load, &crossing)), true).is_err());
    assert_eq!(bench.desk.book().size().unwrap(), before, "the strike does not stay without the entry");
    answers.set("peak_pressure", "4.1 MPa");
    let saved = bench.desk.save(Kind::Load, &answers, None, Some((&load, &crossing)), true).unwrap();
    let Saved::Written(recorded) = saved else { panic!("{saved:?}") };
    assert_eq!(recorded.entries.len(), 2);
    let new = &recorded.entries[1];
    assert!(bench.desk.again(load.entry.id).is_err(), "the new one stands in its place");
    let number = new.number.to_string();
    bench.log(Kind::Strike, "2026-01-04", &[("entry", &number), ("reason", "a slip")]);
    let struck = bench.desk.again(new.id).unwrap();
    assert!(struck.struck_by.is_some());
    answers.set("revision", "B");
    assert!(matches!(
        bench.desk.save(Kind::Load, &answers, None, Some((&struck, &Crossing::default())), true).unwrap(),
        Saved::Written(recorded) if recorded.entries.len() == 1
    ));
    assert!(bench.desk.book().verify().unwrap().is_empty());
}

#[test]
fn a_refusal_over_what_is_on_record_names_the_entry() {
    let mut bench = Bench::proved();
    let number = bench.desk.book().load("48A", day("2026-10-03")).unwrap().unwrap().1.number;
    let problems = bench.refused(Kind::Load, "2026-01-03", &[("name", "48A"), ("peak_pressure", "4.0 MPa")]);
    assert!(problems[0].message.contains(&format!("(entry {number})")), "{problems:?}");
}

#[test]
fn a_second_entry_under_a_persons_name_is_said_first() {
    let mut bench = Bench::new();
    let fields = [("name", "Bo Ray"), ("role", proofmark::book::Role::WORDS[0])];
    assert!(bench.log(Kind::Person, "2026-01-02", &fields).warnings.is_empty());
    let again = bench.log(Kind::Person, "2026-01-03", &fields);
    assert!(
        again.warnings.iter().any(|it| it.field == "name" && it.message.contains("entry 1")),
        "{:?}",
        again.warnings
    );
}

/// Every entry of the demonstration gives answers that read back as the same entry, but for what only the book puts in.
#[test]
fn every_entry_reads_back_from_its_own_answers() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("demo.db");
    proofmark::demo::write(&path).unwrap();
    let desk = proofmark::desk::Desk::reading(&path, crate::common::still()).unwrap();
    let number_of = |id| desk.book().entry(id).ok().flatten().map(|entry| entry.number);
    let mut kinds = std::collections::BTreeSet::new();
    for word in Kind::WORDS {
        let kind = Kind::from_word(word).unwrap();
        for line in desk.book().lines(&Filter::OfKind(kind), NaiveDate::MAX).unwrap() {
            let entry = &line.entry;
            let mut answers = again::answers_of(&entry.entry, &number_of).unwrap();
            answers.set("by", entry.entry.recorded_by.as_str());
            let on_record =
                reader::Desk { today: day("2027-12-31"), bare_numbers: None, on_record: desk.book() };
            let read = match reader::read(kind, &answers, &on_record) {
                Ok(read) => read,
                Err(problems) => panic!("entry {} ({kind}): {problems:?}\n{answers:?}", entry.number),
            };
            assert_eq!(read.head.happened_on, entry.entry.happened_on);
            assert_eq!(read.head.second, entry.entry.second);
            let same = match (&read.details, &entry.entry.details) {
                (Details::Casing(new), Details::Casing(old)) => {
                    (&new.design, &new.readings, &new.serial, &new.revision)
                        == (&old.design, &old.readings, &old.serial, &old.revision)
                }
                (Details::Proof(new), Details::Proof(old)) => {
                    (&new.readings, &new.hold, &new.steps, &new.method, new.pressure.si())
                        == (&old.readings, &old.hold, &old.steps, &old.method, old.pressure.si())
                }
                (Details::Firing(new), Details::Firing(old)) => {
                    (&new.load, &new.batch, &new.mode, &new.remark, &new.landing)
                        == (&old.load, &old.batch, &old.mode, &old.remark, &old.landing)
                }
                (Details::Strip(new), Details::Strip(old)) => {
                    (&new.items, &new.readings, &new.firing, new.throats.len())
                        == (&old.items, &old.readings, &old.firing, old.throats.len())
                }
                (Details::Load(new), Details::Load(old)) => {
                    let close = |a: Option<f64>, b: Option<f64>| match (a, b) {
                        (Some(a), Some(b)) => (a / b - 1.0).abs() < 1e-9,
                        (a, b) => a == b,
                    };
                    let rate = |it: &proofmark::book::details::LoadRecord| {
                        it.propellant.as_ref().and_then(|it| it.burn_rate).map(|it| {
                            use proofmark::quantity::Quantity;
                            it.rate.si() * it.at.si()
                        })
                    };
                    (&new.grain, &new.nozzle) == (&old.grain, &old.nozzle)
                        && close(new.peak_scatter, old.peak_scatter)
                        && close(rate(new), rate(old))
                        && close(Some(new.peak_pressure.si()), Some(old.peak_pressure.si()))
                }
                (Details::Batch(new), Details::Batch(old)) => {
                    (&new.burn_rate_factor, &new.numbers_from, &new.propellant.density)
                        == (&old.burn_rate_factor, &old.numbers_from, &old.propellant.density)
                }
                (Details::Trace(new), Details::Trace(old)) => new.firing == old.firing,
                (Details::Photo(new), Details::Photo(old)) => {
                    (&new.caption, &new.station) == (&old.caption, &old.station)
                }
                (Details::Fit(new), Details::Fit(old)) => new == old,
                (Details::Strike(new), Details::Strike(old)) => new.reason == old.reason,
                (Details::Prefire(new), Details::Prefire(old)) => {
                    (&new.load, &new.mode, &new.batch) == (&old.load, &old.mode, &old.batch)
                        && new.items.len()
                            == old
                                .items
                                .iter()
                                .filter(|it| it.decided_by == "person" && it.state != "to attest")
                                .count()
                }
                (new, old) => new == old,
            };
            assert!(same, "entry {} ({kind}): {:?}\n{:?}", entry.number, read.details, entry.entry.details);
            kinds.insert(*word);
        }
    }
    assert!(kinds.len() > 12, "{kinds:?}");
}

#[test]
fn traces_go_with_their_firing_and_are_marked_where_it_is_struck() {
    let mut bench = Bench::proved();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("stand.csv");
    let rows: String = (0..400)
        .map(|at| {
            let time = f64::from(at) * 0.01;
            let thrust = if (0.5..2.5).contains(&time) { 400.0 } else { 0.0 };
            format!("{time},{thrust}\n")
        })
        .collect();
    std::fs::write(&file, format!("time,thrust\n{rows}")).unwrap();
    // Both columns without a unit: said in one row, with a comma between.
    let recorded = bench.log(
        Kind::Firing,
        "2026-02-01",
        &[
            ("casing", "MF-1"),
            ("mode", "static"),
            ("load", "48A"),
            ("trace", file.to_str().unwrap()),
            ("column", "time=time:s, thrust=thrust:N"),
        ],
    );
    assert_eq!(recorded.entries.len(), 2);
    let firing = recorded.entries[0].clone();
    std::fs::remove_file(&file).unwrap();
    let old = bench.desk.again(firing.id).unwrap();
    let mut answers = old.answers.clone();
    answers.set("by", "Ann Lee").set("remark", "a whistle");
    let crossing = Crossing { reason: "remark forgotten".to_owned(), second: Some("Bo Ray".to_owned()) };
    let Saved::Written(written) =
        bench.desk.save(Kind::Firing, &answers, None, Some((&old, &crossing)), true).unwrap()
    else {
        panic!("it was looked at")
    };
    assert_eq!(written.entries.len(), 3, "strike, firing, trace");
    let Details::Firing(new) = &written.entries[1].entry.details else { panic!("the firing") };
    assert_eq!(new.peak_thrust.as_ref().map(|it| it.si().round()), Some(400.0));
    let page = bench.desk.casing("MF-1").unwrap();
    let traces: Vec<_> =
        page.ledger.iter().filter(|line| matches!(line.entry.entry.details, Details::Trace(_))).collect();
    assert_eq!(traces.len(), 2);
    assert_eq!(traces[0].firing_struck_by, Some(written.entries[0].number));
    assert!(
        proofmark::desk::view::said_of(traces[0], proofmark::quantity::System::Si)
            .starts_with("its firing is struck by")
    );
    assert_eq!(traces[1].firing_struck_by, None);
}

#[test]
fn a_throat_needs_no_station() {
    let mut bench = Bench::proved();
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    let strip = bench.log(
        Kind::Strip,
        "2026-02-01",
        &[("casing", "MF-1"), ("throats", "9.41 mm\n0 mm @ 90: 9.40 mm")],
    );
    let Details::Strip(record) = &strip.entries[0].entry.details else { panic!("a strip") };
    let mut words: Vec<_> = record.throats.iter().filter_map(|it| it.typed.clone()).collect();
    words.sort();
    assert_eq!(words, ["9.40 mm", "9.41 mm"]);
}

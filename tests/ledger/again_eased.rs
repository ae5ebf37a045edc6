//! Writing an entry again eases nothing by one name, signs for nobody, doubles nothing, and keeps the order of the day.

use std::path::Path;

use proofmark::book::{EntryId, Kind, Standing};
use proofmark::desk::{Crossing, Desk, Recorded, Refusal, Saved};

use crate::common::{Bench, day, still};

/// What somebody alone writes again: what changes, and who agrees.
fn again(
    desk: &mut Desk,
    number: i64,
    changes: &[(&str, &str)],
    agreed: Option<&str>,
) -> Result<Recorded, Refusal> {
    let id: EntryId = desk.book().find_entry(&number.to_string()).unwrap().unwrap();
    let old = desk.again(id)?;
    let mut answers = old.answers.clone();
    answers.set("by", "Ann Lee");
    for (field, _) in changes {
        answers.clear(field);
    }
    for (field, words) in changes {
        answers.push(field, *words);
    }
    let crossing = Crossing { reason: "misread".to_owned(), second: agreed.map(str::to_owned) };
    match desk.save(old.entry.kind(), &answers, None, Some((&old, &crossing)), true)? {
        Saved::Written(recorded) => Ok(recorded),
        Saved::Doubts(doubts) => panic!("{doubts:?}"),
    }
}

/// The field a refusal is about.
fn refused(tried: Result<Recorded, Refusal>) -> (String, String) {
    match tried {
        Err(Refusal::Form(problems)) => (problems[0].field.clone(), problems[0].message.clone()),
        other => panic!("{other:?}"),
    }
}

fn last(bench: &Bench, kind: Kind) -> i64 {
    let history = bench.desk.book().history("MF-1").unwrap();
    history.iter().filter(|it| it.kind() == kind).map(|it| it.number).max().unwrap()
}

fn demo(folder: &Path) -> Desk {
    let path = folder.join("demo.db");
    proofmark::demo::write(&path).unwrap();
    Desk::writing(&path, still(), None).unwrap()
}

#[test]
fn one_name_does_not_write_a_bulge_and_the_hold_over_it_away() {
    let mut bench = Bench::proved();
    bench.cycle("MF-1", "2026-02-01");
    bench.fire("MF-1", "2026-03-01", "4.0 MPa");
    bench.strip("MF-1", "2026-03-01", "51.20 mm");
    let hold = [("casing", "MF-1"), ("decision", "hold"), ("reason", "bulged"), ("second", "Bo Ray")];
    bench.log(Kind::Disposition, "2026-03-01", &hold);
    let (strip, decision) = (last(&bench, Kind::Strip), last(&bench, Kind::Disposition));
    let stood = bench.standing("MF-1", "2026-10-03");
    let read = [("od", "100 mm @ 0: 50.80 mm")];
    let before = bench.desk.book().size().unwrap();
    let (field, message) = refused(again(&mut bench.desk, strip, &read, None));
    assert!(field == "agreed" && message.contains("two names"), "{field}: {message}");
    let (field, _) = refused(again(&mut bench.desk, decision, &[("decision", "keep")], None));
    assert_eq!(field, "agreed");
    assert_eq!(bench.desk.book().size().unwrap(), before);
    assert_eq!(bench.standing("MF-1", "2026-10-03"), stood);
    // Two names do.
    again(&mut bench.desk, strip, &read, Some("Bo Ray")).unwrap();
    again(&mut bench.desk, decision, &[("decision", "keep")], Some("Bo Ray")).unwrap();
    assert_eq!(bench.standing("MF-1", "2026-10-03"), Standing::InService);
}

#[test]
fn nobody_signs_for_what_another_put_right() {
    let folder = tempfile::tempdir().unwrap();
    let mut desk = demo(folder.path());
    let history = desk.book().history("MF-41-07").unwrap();
    let signed = history
        .iter()
        .filter(|it| it.kind() == Kind::Disposition && it.entry.second.is_some())
        .map(|it| it.number)
        .max()
        .unwrap();
    let (field, _) = refused(again(&mut desk, signed, &[("decision", "keep")], None));
    assert_eq!(field, "agreed");
    // A limit takes a second name each time.
    let rule = [("rule", "growth-hold"), ("value", "0.12"), ("reason", "try"), ("second", "Bo Ray")];
    let mut bench = Bench::proved();
    let number = bench.log(Kind::Rule, "2026-03-01", &rule).entries[0].number;
    assert!(again(&mut bench.desk, number, &[("value", "5")], None).is_err());
    let written = again(&mut bench.desk, number, &[("value", "0.13"), ("second", "Cy Fox")], None).unwrap();
    assert_eq!(written.entries[1].entry.second.as_deref(), Some("Cy Fox"));
}

#[test]
fn what_stands_in_its_place_already_is_written_again_and_not_the_old_one() {
    let mut bench = Bench::proved();
    bench.cycle("MF-1", "2026-02-01");
    let firing = last(&bench, Kind::Firing);
    let recorded = again(&mut bench.desk, firing, &[("peak_pressure", "3.9 MPa")], None).unwrap();
    let new = recorded.entries[1].number;
    let (field, message) = refused(again(&mut bench.desk, firing, &[("peak_pressure", "3.8 MPa")], None));
    assert!(field == "again" && message.contains(&format!("entry {new} stands in its place")), "{message}");
    assert_eq!(bench.assessed("MF-1", "2026-10-03").firings, 1);
    // Struck on its own and written since, too.
    let note = [("casing", "MF-1"), ("text", "one"), ("on", "2026-02-03")];
    let note = bench.log(Kind::Note, "2026-02-03", &note).entries[0].number;
    let strike = [("entry", note.to_string()), ("reason", "slip".to_owned())];
    let strike: Vec<(&str, &str)> = strike.iter().map(|(a, b)| (*a, b.as_str())).collect();
    bench.log(Kind::Strike, "2026-02-04", &strike);
    again(&mut bench.desk, note, &[("text", "two")], None).unwrap();
    let (field, _) = refused(again(&mut bench.desk, note, &[("text", "three")], None));
    assert_eq!(field, "again");
}

#[test]
fn a_correction_takes_the_place_of_what_it_corrects() {
    let mut bench = Bench::proved();
    // Fired, stripped and decided on one day.
    bench.cycle("MF-1", "2026-02-01");
    assert_eq!(bench.standing("MF-1", "2026-10-03"), Standing::InService);
    let firing = last(&bench, Kind::Firing);
    let written = again(&mut bench.desk, firing, &[("peak_pressure", "3.9 MPa")], None).unwrap();
    let assessed = bench.assessed("MF-1", "2026-10-03");
    assert_eq!(assessed.standing(day("2026-10-03")), Standing::InService, "{:?}", assessed.reasons);
    assert!(assessed.breaches.is_empty(), "{:?}", assessed.breaches);
    // And what corrects the correction, and the strip behind it.
    again(&mut bench.desk, written.entries[1].number, &[("peak_pressure", "3.95 MPa")], None).unwrap();
    let strip = last(&bench, Kind::Strip);
    again(&mut bench.desk, strip, &[("remark", "cold")], None).unwrap();
    let assessed = bench.assessed("MF-1", "2026-10-03");
    assert_eq!(assessed.standing(day("2026-10-03")), Standing::InService, "{:?}", assessed.reasons);
    assert!(bench.desk.book().verify().unwrap().is_empty());
}

#[test]
fn the_demo_casings_keep_their_standing_where_a_remark_is_put_right() {
    let folder = tempfile::tempdir().unwrap();
    let mut desk = demo(folder.path());
    let on = day("2026-10-03");
    for row in desk.book().rack(on).unwrap() {
        let history = desk.book().history(&row.serial).unwrap();
        for kind in [Kind::Firing, Kind::Strip, Kind::Proof] {
            let Some(number) = history.iter().filter(|it| it.kind() == kind).map(|it| it.number).max() else {
                continue;
            };
            if let Err(refusal) =
                again(&mut desk, number, &[("remark", "put right"), ("second", "Bo Ray")], Some("Bo Ray"))
            {
                panic!("{} entry {number}: {refusal:?}", row.serial);
            }
            assert_eq!(
                desk.assess(&row.serial, on).unwrap().standing(on),
                row.standing,
                "{} {kind}",
                row.serial
            );
        }
    }
    assert!(desk.book().verify().unwrap().is_empty());
}

#[test]
fn an_inspection_is_of_a_firing_of_its_casing() {
    let mut bench = Bench::proved();
    bench.cycle("MF-1", "2026-02-01");
    let proof = last(&bench, Kind::Proof).to_string();
    bench.casing("MF-2", "5.0 MPa");
    let firing = last(&bench, Kind::Firing).to_string();
    for (casing, firing) in [("MF-1", &proof), ("MF-2", &firing)] {
        let fields = [("casing", casing), ("firing", firing.as_str()), ("heat", "good")];
        let problems = bench.refused(Kind::Strip, "2026-02-02", &fields);
        assert!(problems[0].field == "firing" && problems[0].message.contains(casing), "{problems:?}");
    }
}

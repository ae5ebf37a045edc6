//! Which casings may take one load: the grains must go in, and the record must have nothing against it.

use proofmark::book::{FiringMode, Kind};
use proofmark::desk::who::Answer;
use proofmark::desk::{Desk, Planned};
use proofmark::standing::ItemState;

use super::support::{empty, record};

fn load(desk: &mut Desk, name: &str, outside: &str, count: &str) {
    record(
        desk,
        Kind::Load,
        &[
            ("name", name),
            ("on", "2026-08-20"),
            ("peak_pressure", "4.68 MPa"),
            ("grain.count", count),
            ("grain.outside_diameter", outside),
            ("grain.core", "16 mm"),
            ("grain.length", "75 mm"),
            ("nozzle.throat", "9.58 mm"),
        ],
    );
}

fn planned(load: &str) -> Planned<'_> {
    Planned { load, batch: None, mode: FiringMode::Static, grain: None }
}

#[test]
fn grains_that_do_not_go_in_forbid_whatever_else_is_on_record() {
    let mut desk = empty();
    let mut casing = super::support::CASING.to_vec();
    casing.push(("tube.length", "400 mm"));
    record(&mut desk, Kind::Casing, &casing);
    record(&mut desk, Kind::Proof, super::support::PROOF);
    load(&mut desk, "fits", "43 mm", "3");
    load(&mut desk, "wide", "60 mm", "3");
    load(&mut desk, "long", "43 mm", "30");
    for (name, fits) in [("fits", true), ("wide", false), ("long", false)] {
        let list = desk.checklist("MF-48-10", planned(name), desk.day()).unwrap();
        let item = list.items.iter().find(|it| it.id == "load-fits");
        assert_eq!(item.map(|it| it.state), (!fits).then_some(ItemState::Forbids), "{name}");
        assert_eq!(list.forbidden(), !fits, "{name}");
        let found = desk.who_may_fire(planned(name), desk.day()).unwrap();
        let answer = if fits { Answer::NothingForbids } else { Answer::DoesNotFit };
        assert_eq!(found.iter().map(|it| it.answer()).collect::<Vec<_>>(), [answer], "{name}");
        assert!(fits || found[0].why().iter().any(|it| it.contains("MF-48-10")), "{:?}", found[0].why());
    }
}

#[test]
fn every_answer_of_the_demo_is_its_own_pre_fire_and_the_retired_are_left_out() {
    let (_folder, desk) = super::support::demo();
    let rows = desk.rack_rows().unwrap();
    let retired = rows.iter().filter(|it| it.standing == proofmark::book::Standing::Retired).count();
    for name in ["41A", "48A", "60A", "76A"] {
        let found = desk.who_may_fire(planned(name), desk.day()).unwrap();
        assert_eq!(found.len(), rows.len() - retired, "{name}");
        let mut answers: Vec<Answer> = Vec::new();
        for it in &found {
            let list = desk.checklist(&it.row.serial, planned(name), desk.day()).unwrap();
            assert_eq!(list.forbidden(), it.answer() != Answer::NothingForbids, "{name} {}", it.row.serial);
            answers.push(it.answer());
        }
        assert!(answers.is_sorted(), "those that may go come first: {answers:?}");
    }
    assert!(desk.who_may_fire(planned("no such load"), desk.day()).is_err());
}

//! What is for after the firing is never attested before it, and the distance says whose it is.

use proofmark::book::{Attested, Details, FiringMode, Kind};
use proofmark::desk::Planned;
use proofmark::quantity::System;
use proofmark::standing::{RuleSet, distances};

use super::common::Bench;

fn plan() -> Planned<'static> {
    Planned { load: "48A", batch: None, mode: FiringMode::Static, grain: None }
}

const RUN: &[(&str, &str)] = &[("casing", "MF-1"), ("load", "48A"), ("mode", "static"), ("second", "Bo Ray")];

#[test]
fn a_release_waits_for_nothing_that_comes_after_the_firing() {
    let mut bench = Bench::proved();
    let list = bench.desk.checklist("MF-1", plan(), bench.desk.day()).unwrap();
    let after: Vec<&str> =
        list.items.iter().filter(|it| it.is_afterwards()).map(|it| it.id.as_str()).collect();
    assert_eq!(after, ["approach"]);
    let mut all = RUN.to_vec();
    all.push(("yes", "all"));
    let recorded = bench.log(Kind::Prefire, "2026-10-03", &all);
    let Details::Prefire(run) = &recorded.entries[0].entry.details else { panic!("no checklist") };
    assert_eq!(run.released, Attested::Yes);
    let state = |id: &str| run.items.iter().find(|it| it.item == id).map(|it| it.state.as_str());
    assert_eq!(state("range-clear"), Some("attested"));
    assert_eq!(state("approach"), Some("to attest"), "nobody has approached yet");
    let mut early = RUN.to_vec();
    early.push(("yes", "approach"));
    let problems = bench.refused(Kind::Prefire, "2026-10-03", &early);
    assert!(problems[0].message.contains("after the firing"), "{problems:?}");
}

#[test]
fn the_distance_names_its_table_in_full_and_the_rules_list_every_table() {
    let bench = Bench::proved();
    let list = bench.desk.checklist("MF-1", plan(), bench.desk.day()).unwrap();
    let item = list.items.iter().find(|it| it.id == "standoff").unwrap();
    let found = distances::standoff(950.0, distances::Arrangement::Single, 2.0).unwrap();
    assert!(found.1.edition.len() > 30 && item.text.contains(found.1.edition), "{}", item.text);
    let rules = proofmark::report::text::rules(&RuleSet::new(), System::Si);
    for words in [
        "Research Safety Code, May 2016",
        "NFPA 1127",
        "section 1036, Table 18A",
        "to 1280 N·s 200 ft (61 m)",
    ] {
        assert!(rules.contains(words), "{words}: {rules}");
    }
}

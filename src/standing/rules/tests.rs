use super::*;

#[test]
fn every_rule_has_a_source_and_an_id_of_its_own() {
    for (i, rule) in DEFAULTS.iter().enumerate() {
        assert!(!rule.source.is_empty() && !rule.says.is_empty(), "{}", rule.id);
        assert!(DEFAULTS[i + 1..].iter().all(|other| other.id != rule.id), "{} twice", rule.id);
        assert!(rule.value.is_finite());
    }
}

#[test]
fn it_is_said_of_every_rule_which_way_it_is_stricter() {
    use super::stricter::{HIGHER, LOWER, UNCLEAR};
    for rule in DEFAULTS {
        let said =
            [LOWER, HIGHER, UNCLEAR].iter().map(|list| list.iter().filter(|id| **id == rule.id).count());
        assert_eq!(said.sum::<usize>(), 1, "{}", rule.id);
    }
    assert_eq!(LOWER.len() + HIGHER.len() + UNCLEAR.len(), DEFAULTS.len());
}

#[test]
fn every_rule_the_code_asks_for_exists() {
    // An unknown id would read as a limit of zero, so every literal used in this folder is looked up here.
    let sources = [
        include_str!("../assessment.rs"),
        include_str!("../damage_limits.rs"),
        include_str!("../growth.rs"),
        include_str!("../planned.rs"),
        include_str!("../prefire.rs"),
        include_str!("../proofs.rs"),
        include_str!("../reasons_of.rs"),
        include_str!("../timeline/mod.rs"),
        include_str!("../timeline/firing.rs"),
        include_str!("../timeline/evidence.rs"),
        include_str!("../timeline/decision.rs"),
        include_str!("../proof_plan.rs"),
        include_str!("../study.rs"),
        include_str!("../timeline/released.rs"),
        include_str!("../bulge/mod.rs"),
        include_str!("../bulge/causes.rs"),
    ];
    for id in sources.iter().flat_map(|text| text.split('"').skip(1).step_by(2)) {
        let looks_like_a_rule =
            id.contains('-') && !id.ends_with('-') && id.chars().all(|c| c.is_ascii_lowercase() || c == '-');
        // Names of checklist items, and a cause of a bulge, which are no rules.
        let item = matches!(
            id,
            "load-meop"
                | "load-meop-scatter"
                | "load-proof"
                | "load-batch-peak"
                | "first-on-the-stand"
                | "over-pressure"
                | "restriction-load"
                | "grain-hot-peak"
                | "throat-narrow-peak"
                | "load-fits"
                | "igniter-last"
                | "range-clear"
        );
        if looks_like_a_rule && !item {
            assert!(spec(id).is_some(), "the rule \"{id}\" is used but not declared");
        }
    }
}

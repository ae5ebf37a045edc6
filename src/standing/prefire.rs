//! The pre-fire checklist: what the record decides, and what only a person at the range can see.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::assessment::Assessment;
use super::conflicts::Conflict;
use super::distances::{self, Arrangement};
use super::exceeds;
use super::reason::{EntryRef, Reason};
use super::rules::RuleSet;
use crate::book::details::LoadRecord;
use crate::book::{FiringMode, Standing};
use crate::quantity::{GaugePressure, Length, Quantity, STANDARD_ATMOSPHERE_PA, System, show};
use crate::words;

words! {
    /// How an item stands.
    pub enum ItemState {
        /// The record is in order.
        InOrder = "in order",
        /// The record forbids the firing.
        Forbids = "forbids",
        /// The record warns.
        Warns = "warns",
        /// A person has yet to look.
        ToAttest = "to attest",
        /// A person has looked, and it is in order.
        Attested = "attested",
        /// A person has looked, and it is not.
        NotInOrder = "not in order",
    }
}

/// The hold points: nothing after one goes on until everything before it is in order.
pub const HOLDS: &[(&str, &str)] = &[
    ("H1", "release of hardware, at home"),
    ("H2", "stand or pad ready"),
    ("H3", "arming: igniter in last, all but one leave"),
    ("H4", "fire"),
    ("H5", "approach"),
];

/// The hold point behind which everything is for after the firing.
const AFTERWARDS: &str = "H5";

/// One item.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ChecklistItem {
    /// Its id.
    pub id: String,
    /// The hold point it belongs to.
    pub hold: String,
    /// What it says.
    pub text: String,
    /// `record` or `person`.
    pub decided_by: String,
    /// How it stands.
    pub state: ItemState,
    /// The rule, where the record decides.
    pub rule: Option<String>,
    /// What was found.
    pub value: Option<String>,
    /// What it was held against.
    pub limit: Option<String>,
    /// Where that limit comes from.
    pub source: Option<String>,
    /// The entry it rests on.
    pub entry: Option<EntryRef>,
    /// Whether an independent second person must attest it.
    pub second: bool,
}

impl ChecklistItem {
    /// Whether it is for after the firing: read aloud before it, and never attested then.
    pub fn is_afterwards(&self) -> bool {
        self.hold == AFTERWARDS
    }
}

/// Whether an item of a checklist on record is for after the firing.
pub fn is_afterwards(id: &str) -> bool {
    PERSON.iter().any(|(item, hold, ..)| *item == id && *hold == AFTERWARDS)
}

/// A checklist for one casing, one load, one day.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Checklist {
    /// Every item, in order.
    pub items: Vec<ChecklistItem>,
    /// Distance people keep, in metres, with the table it comes from.
    pub standoff: Option<(f64, String)>,
}

impl Checklist {
    /// Forbid the firing for each difference between two books on its load or batch: which of them is in force is for
    /// a person to say, never for a clock.
    pub fn forbid_for(&mut self, differences: &[Conflict], rules: &RuleSet) {
        let first_of_a_person =
            self.items.iter().position(|item| item.decided_by == "person").unwrap_or(self.items.len());
        let items = differences.iter().enumerate().map(|(at, found)| {
            let of = found.what.trim_start_matches("the ");
            let text = format!(
                "two books differ on {} {}: {}. No firing with it until somebody settles it: strike the one that is wrong (proofmark log strike --entry N), or write {} again with both at hand (proofmark log {of})",
                found.what,
                found.about,
                found.sides(),
                found.what
            );
            let id = if at == 0 { format!("books-differ-{of}") } else { format!("books-differ-{of}-{}", at + 1) };
            with_rule(
                record_item(&id, "H1", text, ItemState::Forbids),
                rules,
                "books-differ",
                "neither knew of the other".to_owned(),
                Some(found.other.entry),
            )
        });
        let items: Vec<_> = items.collect();
        self.items.splice(first_of_a_person..first_of_a_person, items);
    }

    /// Whether the record forbids the firing.
    pub fn forbidden(&self) -> bool {
        self.items.iter().any(|item| item.state == ItemState::Forbids)
    }

    /// The verdict: never more than that nothing on record forbids it.
    pub fn verdict(&self) -> &'static str {
        if self.forbidden() { "forbidden" } else { "nothing forbids" }
    }

    /// Whether every item up to the firing is in order and attested; the approach comes after it.
    pub fn complete(&self) -> bool {
        self.items
            .iter()
            .filter(|item| !item.is_afterwards())
            .all(|item| matches!(item.state, ItemState::InOrder | ItemState::Warns | ItemState::Attested))
    }
}

/// What is planned.
#[derive(Clone, Copy, Debug)]
pub struct Plan<'a> {
    /// The load on record.
    pub load: &'a LoadRecord,
    /// The entry of that load.
    pub load_entry: EntryRef,
    /// Stand or flight.
    pub mode: FiringMode,
    /// The batch, where one was named, and how often it has been fired.
    pub batch: Option<(&'a str, u32)>,
    /// The day.
    pub on: NaiveDate,
    /// What the load's own numbers say, where it has them.
    pub facts: Option<&'a super::PlanFacts>,
}

/// Run the checklist as far as the record can.
pub fn prefire(casing: &Assessment, plan: &Plan<'_>, rules: &RuleSet) -> Checklist {
    let mut items = Vec::new();
    standing_items(casing, plan, &mut items);
    for disputed in rules.disputed().filter(|it| it.holds.is_some()) {
        let id = format!("books-differ-rule-{}", disputed.conflict.about);
        items.push(with_rule(
            record_item(&id, "H1", disputed.sentence(), ItemState::Warns),
            rules,
            "books-differ",
            "neither knew of the other".to_owned(),
            Some(disputed.conflict.other.entry),
        ));
    }
    restriction_items(casing, plan, rules, &mut items);
    load_items(casing, plan, rules, &mut items);
    items.push(baseline_item(casing, rules));
    items.push(throat_item(casing, plan, rules));
    if plan.mode == FiringMode::Flight && casing.firings == 0 {
        items.push(with_rule(
            record_item(
                "first-on-the-stand",
                "H1",
                "it has never been fired: the first firing belongs on the stand".to_owned(),
                ItemState::Warns,
            ),
            rules,
            "first-firing",
            "no firing yet".to_owned(),
            casing.proof.as_ref().map(|(entry, _, _)| *entry),
        ));
    }
    items.push(batch_item(plan, rules));
    super::planned::items(plan, rules, &mut items);
    let (standoff, item) = standoff_item(casing, plan, rules);
    items.push(item);
    items.extend(person_items(plan.mode));
    Checklist { items, standoff }
}

pub(super) fn record_item(id: &str, hold: &str, text: String, state: ItemState) -> ChecklistItem {
    ChecklistItem {
        id: id.to_owned(),
        hold: hold.to_owned(),
        text,
        decided_by: "record".to_owned(),
        state,
        rule: None,
        value: None,
        limit: None,
        source: None,
        entry: None,
        second: false,
    }
}

fn with_reason(mut item: ChecklistItem, reason: &Reason) -> ChecklistItem {
    item.rule = Some(reason.rule.clone());
    item.value = Some(reason.value.clone());
    item.limit = Some(reason.limit.clone());
    item.source = Some(reason.source.clone());
    item.entry = reason.entry;
    item
}

pub(super) fn with_rule(
    mut item: ChecklistItem,
    rules: &RuleSet,
    rule: &str,
    value: String,
    entry: Option<EntryRef>,
) -> ChecklistItem {
    item.rule = Some(rule.to_owned());
    item.value = Some(value);
    item.limit = Some(rules.says(rule));
    item.source = Some(rules.source(rule));
    item.entry = entry;
    item
}

/// One item a reason: whatever stands against the casing, then what speaks for it.
fn standing_items(casing: &Assessment, plan: &Plan<'_>, items: &mut Vec<ChecklistItem>) {
    let mut seen = std::collections::BTreeMap::<String, u32>::new();
    for reason in casing.reasons_on(plan.on) {
        let state = match reason.standing {
            standing if standing.forbids() => ItemState::Forbids,
            Standing::Restricted | Standing::Watch => ItemState::Warns,
            _ => ItemState::InOrder,
        };
        let count = seen.entry(reason.rule.clone()).or_insert(0);
        *count += 1;
        let id = if *count == 1 {
            format!("record-{}", reason.rule)
        } else {
            format!("record-{}-{count}", reason.rule)
        };
        let text = if state == ItemState::Forbids {
            format!("{}: {}", reason.standing, reason.text)
        } else {
            reason.text.clone()
        };
        items.push(with_reason(record_item(&id, "H1", text, state), reason));
    }
}

fn restriction_items(casing: &Assessment, plan: &Plan<'_>, rules: &RuleSet, items: &mut Vec<ChecklistItem>) {
    let Some(restriction) = &casing.restriction else { return };
    let entry = casing.reasons.iter().find(|it| it.rule == "restriction").and_then(|it| it.entry);
    if !restriction.loads.is_empty() {
        let allowed = restriction.loads.contains(&plan.load.name);
        let (state, text) = if allowed {
            (ItemState::InOrder, format!("load {} is one the restriction allows", plan.load.name))
        } else {
            (ItemState::Forbids, format!("load {} is not one the restriction allows", plan.load.name))
        };
        let mut item = with_rule(
            record_item("restriction-load", "H1", text, state),
            rules,
            "restriction",
            plan.load.name.clone(),
            entry,
        );
        item.limit = Some(format!("only {}", restriction.loads.join(", ")));
        items.push(item);
    }
}

fn load_items(casing: &Assessment, plan: &Plan<'_>, rules: &RuleSet, items: &mut Vec<ChecklistItem>) {
    let shown = |pascals: f64| show(GaugePressure::from_si(pascals), System::Si);
    let planned = plan.load.peak_pressure.si() - STANDARD_ATMOSPHERE_PA;
    let scatter = plan.load.peak_scatter.unwrap_or(rules.value("peak-scatter") / 100.0);
    let sigmas = rules.value("load-sigmas");
    // The burn law scatters the pressure above vacuum; the wall carries what is above the atmosphere.
    let high = plan.load.peak_pressure.si() * (1.0 + sigmas * scatter) - STANDARD_ATMOSPHERE_PA;
    let high_text = format!(
        "{} gauge ({} gauge plus {sigmas} sigma of {:.1} %)",
        shown(high),
        shown(planned),
        100.0 * scatter
    );
    if let Some(meop) = casing.meop_pa {
        let over = exceeds(planned, rules.value("load-over-meop") / 100.0 * meop);
        items.push(with_rule(
            record_item(
                "load-meop",
                "H1",
                if over {
                    format!("the plan of {} goes over MEOP", plan.load.name)
                } else {
                    format!("the plan of {} stays under MEOP", plan.load.name)
                },
                if over { ItemState::Forbids } else { ItemState::InOrder },
            ),
            rules,
            "load-over-meop",
            format!("{} gauge; MEOP {}", shown(planned), shown(meop)),
            Some(plan.load_entry),
        ));
        if !over && exceeds(high, rules.value("load-scatter-over-meop") / 100.0 * meop) {
            items.push(with_rule(
                record_item(
                    "load-meop-scatter",
                    "H1",
                    "scatter may carry the peak over MEOP: more than about 2 firings in 100 will".to_owned(),
                    ItemState::Warns,
                ),
                rules,
                "load-scatter-over-meop",
                format!("{high_text}; MEOP {}", shown(meop)),
                Some(plan.load_entry),
            ));
        }
    }
    if let Some((_, proof, _)) = casing.proof {
        let over = exceeds(high, rules.value("load-share-of-proof") / 100.0 * proof);
        items.push(with_rule(
            record_item(
                "load-proof",
                "H1",
                if over {
                    "the plan with its scatter comes too near the last proof".to_owned()
                } else {
                    "the plan with its scatter stays clear of the last proof".to_owned()
                },
                if over { ItemState::Forbids } else { ItemState::InOrder },
            ),
            rules,
            "load-share-of-proof",
            format!("{high_text}; proof {}", shown(proof)),
            Some(plan.load_entry),
        ));
    }
}

fn baseline_item(casing: &Assessment, rules: &RuleSet) -> ChecklistItem {
    let (state, text, value) = if casing.has_baseline {
        (
            ItemState::InOrder,
            "there is a birth record of diameters to hold the next readings against",
            "on record",
        )
    } else {
        (ItemState::Warns, "no birth record of diameters: growth after this firing could not be seen", "none")
    };
    with_rule(
        record_item("baseline", "H1", text.to_owned(), state),
        rules,
        "growth-noise",
        value.to_owned(),
        None,
    )
}

fn throat_item(casing: &Assessment, plan: &Plan<'_>, rules: &RuleSet) -> ChecklistItem {
    let planned = plan.load.nozzle.as_ref().map(|nozzle| nozzle.throat.si());
    let shown = |metres: f64| show(Length::from_si(metres), System::Si);
    match (casing.fitted_throat(), planned) {
        (Some((part, throat)), Some(planned)) => {
            let area_percent = 100.0 * ((throat / planned).powi(2) - 1.0);
            let smaller = exceeds(-area_percent, rules.value("throat-growth"));
            let other = exceeds(area_percent.abs(), rules.value("throat-growth"));
            let state = if smaller {
                ItemState::Forbids
            } else if other {
                ItemState::Warns
            } else {
                ItemState::InOrder
            };
            let text = match state {
                ItemState::Forbids => {
                    format!("the throat of {} is smaller than the plan's: the peak will be higher", part.part)
                }
                ItemState::Warns => {
                    format!("the throat of {} is larger than the plan's: plan the load again", part.part)
                }
                // Two drills apart is not the same throat: how far it is off stands beside the limit.
                _ if area_percent.abs() < 0.05 => format!("the throat of {} is the plan's", part.part),
                _ => format!("the throat of {} is {area_percent:+.1} % in area from the plan's", part.part),
            };
            with_rule(
                record_item("throat", "H1", text, state),
                rules,
                "throat-growth",
                format!(
                    "{} fitted, {} planned ({area_percent:+.1} % in area)",
                    shown(throat),
                    shown(planned)
                ),
                None,
            )
        }
        _ => with_rule(
            record_item(
                "throat",
                "H1",
                "the fitted throat or the planned one is not on record: check it by pin or drill".to_owned(),
                ItemState::Warns,
            ),
            rules,
            "throat-growth",
            "not on record".to_owned(),
            None,
        ),
    }
}

fn batch_item(plan: &Plan<'_>, rules: &RuleSet) -> ChecklistItem {
    let (state, text, value) = match plan.batch {
        Some((batch, 0)) => (
            ItemState::Warns,
            format!("batch {batch} has not been fired yet: its first peak is a guess"),
            "never fired".to_owned(),
        ),
        Some((batch, fired)) => (
            ItemState::InOrder,
            format!("batch {batch} is known"),
            format!("fired {}", crate::quantity::counted(fired, "time")),
        ),
        None => (
            ItemState::Warns,
            "no batch is named: be sure that it is known, and fired before".to_owned(),
            "not named".to_owned(),
        ),
    };
    with_rule(record_item("batch", "H1", text, state), rules, "batch-known", value, None)
}

fn standoff_item(
    casing: &Assessment,
    plan: &Plan<'_>,
    rules: &RuleSet,
) -> (Option<(f64, String)>, ChecklistItem) {
    let restricted = casing.restriction.as_ref().and_then(|it| it.standoff_multiplier).unwrap_or(1.0);
    let factor = rules.value("standoff-metal").max(1.0) * restricted;
    let found = plan.load.impulse.as_ref().and_then(|impulse| {
        distances::standoff(impulse.si(), Arrangement::Single, factor).map(|it| (impulse.si(), it))
    });
    match found {
        Some((impulse, (metres, table))) => {
            let text = format!(
                "people keep {metres:.0} m ({:.0} ft): {:.0} m from the table ({}) times {factor}",
                metres / 0.3048,
                table.metres,
                table.edition
            );
            let mut item = with_rule(
                record_item("standoff", "H2", text.clone(), ItemState::InOrder),
                rules,
                "standoff-metal",
                format!("{impulse:.0} N·s"),
                Some(plan.load_entry),
            );
            item.source = Some(format!("{}; {}", table.source, rules.source("standoff-metal")));
            (Some((metres, text)), item)
        }
        None => {
            let text = "no distance: the load's impulse is not on record, or above every table. Ask the range safety officer";
            let item = with_rule(
                record_item("standoff", "H2", text.to_owned(), ItemState::Warns),
                rules,
                "standoff-metal",
                "impulse not on record".to_owned(),
                Some(plan.load_entry),
            );
            (None, item)
        }
    }
}

/// What only a person can see. (id, hold, whether a second person, text), static or flight or both.
const PERSON: &[(&str, &str, bool, Option<FiringMode>, &str)] = &[
    ("bore", "H1", false, None, "Bore clean and dry; no tape, rag or tool left inside"),
    (
        "grains",
        "H1",
        false,
        None,
        "Grains measured; no crack, void or debond under light and tap; mass and core as planned",
    ),
    ("liner", "H1", false, None, "Liner sealed at both ends"),
    ("seals", "H1", false, None, "Seals new, lot in date, unmarked"),
    ("igniter", "H1", false, None, "Igniter mass and resistance as planned; shunted"),
    (
        "closures",
        "H1",
        true,
        None,
        "Closures: engagement counted, ring fully seated, every bolt in (witness mark)",
    ),
    ("nozzle", "H1", true, None, "Nozzle clear, throat by pin as planned"),
    (
        "permission",
        "H2",
        false,
        None,
        "Permission, authority told, local law and licence in order, fire risk acceptable, water and shovel at hand",
    ),
    ("weather", "H2", false, None, "Wind, roads, people and aircraft clear"),
    (
        "stand",
        "H2",
        false,
        Some(FiringMode::Static),
        "Stand anchored for three times the thrust both ways; its axis points at nobody",
    ),
    ("barrier", "H2", false, Some(FiringMode::Static), "Barrier or berm between people and casing"),
    (
        "instruments",
        "H2",
        false,
        Some(FiringMode::Static),
        "Cell calibrated today, tare seen, logger running, cameras on, clocks together",
    ),
    (
        "vehicle",
        "H2",
        false,
        Some(FiringMode::Flight),
        "Vehicle stable, motor held both ways, recovery packed, tracker on",
    ),
    (
        "sky",
        "H2",
        false,
        Some(FiringMode::Flight),
        "Cloud, visibility and airspace within the waiver; range officer's card signed",
    ),
    (
        "circuit",
        "H3",
        false,
        None,
        "Firing circuit dead, key on the conductor's person, no radio or phone by the igniter",
    ),
    ("igniter-last", "H3", false, None, "Igniter in last; all but one have left; remote ignition"),
    (
        "range-clear",
        "H4",
        true,
        None,
        "Range clear by voice; everyone at the distance and under cover; abort word known",
    ),
    (
        "approach",
        "H5",
        false,
        None,
        "Afterwards: key out, wait, camera first, one person, side-on, face shield; misfire waits kept",
    ),
];

fn person_items(mode: FiringMode) -> Vec<ChecklistItem> {
    PERSON
        .iter()
        .filter(|(_, _, _, only, _)| only.is_none_or(|only| only == mode))
        .map(|(id, hold, second, _, text)| ChecklistItem {
            id: (*id).to_owned(),
            hold: (*hold).to_owned(),
            text: (*text).to_owned(),
            decided_by: "person".to_owned(),
            state: ItemState::ToAttest,
            rule: None,
            value: None,
            limit: None,
            source: Some("common practice, no source".to_owned()),
            entry: None,
            second: *second,
        })
        .collect()
}

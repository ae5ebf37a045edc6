//! What a load's own numbers warn of before a firing: erosive burning, Kn never fired, a throat smaller than any
//! before, a grain soaked hotter or colder than the data. Warnings never change the verdict.

use super::exceeds;
use super::prefire::{ChecklistItem, ItemState, Plan, record_item, with_rule};
use super::rules::RuleSet;
use crate::quantity::{
    AbsolutePressure, Length, Quantity, STANDARD_ATMOSPHERE_PA, System, Temperature, show,
};

/// What the load's own numbers say of a plan, worked out by whoever knows grains and burn laws.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlanFacts {
    /// Least and greatest burning area over throat area.
    pub kn: Option<[f64; 2]>,
    /// Core area over throat area at the start.
    pub port_to_throat: Option<f64>,
    /// Kn the batch has been fired through, and in how many firings.
    pub tested_kn: Option<([f64; 2], u32)>,
    /// Throat DIAMETER planned, metres.
    pub throat_m: Option<f64>,
    /// The smallest throat this casing has been fired with, metres.
    pub smallest_throat_m: Option<f64>,
    /// Grain temperature planned, kelvin.
    pub grain_k: Option<f64>,
    /// Grain temperatures of the batch's data, kelvin.
    pub data_k: Option<[f64; 2]>,
    /// Absolute peak with the numbers of the named batch, pascals, and those numbers in words.
    pub with_batch: Option<(f64, String)>,
    /// What a grain hotter than its numbers does; the load handed in carries it already.
    pub hot: Option<Hot>,
    /// What a throat narrower than the plan's does; the load handed in carries it already.
    pub narrow: Option<Narrow>,
    /// Why the grains do not go into the casing, in sentences.
    pub too_large: Vec<String>,
}

/// A grain hotter than its batch's numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hot {
    /// The grain temperature those numbers hold at, kelvin.
    pub holds_at_k: f64,
    /// Absolute peak over the one those numbers give.
    pub ratio: f64,
}

/// A fitted throat narrower than the plan's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Narrow {
    /// Throat DIAMETER fitted, metres.
    pub fitted_m: f64,
    /// Absolute peak over the one of the planned throat.
    pub ratio: f64,
}

pub(super) fn items(plan: &Plan<'_>, rules: &RuleSet, items: &mut Vec<ChecklistItem>) {
    let Some(facts) = plan.facts else { return };
    items.extend(fits(plan, facts));
    items.extend(batch_peak(plan, facts, rules));
    items.extend(hot_peak(plan, facts, rules));
    items.extend(narrow_peak(plan, facts, rules));
    items.extend(port(plan, facts, rules));
    items.extend(kn(plan, facts, rules));
    items.extend(throat(plan, facts, rules));
    items.extend(soak(plan, facts, rules));
}

/// Grains that do not go in are another load than the one planned, or another casing: no firing of it can be judged.
fn fits(plan: &Plan<'_>, facts: &PlanFacts) -> Option<ChecklistItem> {
    let first = facts.too_large.first()?;
    let mut item = record_item("load-fits", "H1", facts.too_large.join("; "), ItemState::Forbids);
    item.value = Some(first.clone());
    item.limit = Some("the grains go into the tube".to_owned());
    item.source = Some("geometry: the drawing's least wall and cut length".to_owned());
    item.entry = Some(plan.load_entry);
    Some(item)
}

/// Where the named batch's numbers raise the peak, what the plan is judged by is said.
fn batch_peak(plan: &Plan<'_>, facts: &PlanFacts, rules: &RuleSet) -> Option<ChecklistItem> {
    let (peak_pa, numbers) = facts.with_batch.as_ref()?;
    // The load handed in already carries the higher of the two.
    let raised = facts.hot.map_or(1.0, |hot| hot.ratio) * facts.narrow.map_or(1.0, |narrow| narrow.ratio);
    let cold_pa = plan.load.peak_pressure.si() / raised;
    let judged_by_it = (peak_pa / cold_pa - 1.0).abs() < 1e-9;
    judged_by_it.then(|| {
        with_rule(
            record_item(
                "load-batch-peak",
                "H1",
                format!("with {numbers} the peak is judged at {} gauge", gauge(*peak_pa)),
                ItemState::InOrder,
            ),
            rules,
            "load-over-meop",
            format!("{} gauge", gauge(*peak_pa)),
            Some(plan.load_entry),
        )
    })
}

fn gauge(pascals: f64) -> String {
    show(AbsolutePressure::from_si(pascals).gauge_under(STANDARD_ATMOSPHERE_PA), System::Si)
}

/// Where a hot grain raises the peak, what the plan is judged by is said.
fn hot_peak(plan: &Plan<'_>, facts: &PlanFacts, rules: &RuleSet) -> Option<ChecklistItem> {
    let (hot, grain_k) = (facts.hot?, facts.grain_k?);
    let shown = |kelvin: f64| show(Temperature::from_si(kelvin), System::Si);
    let text = format!(
        "soaked at {}, {:.0} degC over what the batch's numbers hold at, the peak is judged {:.1} % higher: {} gauge",
        shown(grain_k),
        grain_k - hot.holds_at_k,
        100.0 * (hot.ratio - 1.0),
        gauge(plan.load.peak_pressure.si())
    );
    let value = format!("numbers hold at {}", shown(hot.holds_at_k));
    let item = record_item("grain-hot-peak", "H1", text, ItemState::InOrder);
    Some(with_rule(item, rules, "grain-soak", value, Some(plan.load_entry)))
}

/// Where the throat that is fitted raises the peak, what the plan is judged by is said.
fn narrow_peak(plan: &Plan<'_>, facts: &PlanFacts, rules: &RuleSet) -> Option<ChecklistItem> {
    let narrow = facts.narrow.filter(|it| exceeds(it.ratio, 1.001))?;
    let text = format!(
        "through the fitted throat of {} the peak is judged {:.1} % higher: {} gauge",
        show(Length::from_si(narrow.fitted_m), System::Si),
        100.0 * (narrow.ratio - 1.0),
        gauge(plan.load.peak_pressure.si())
    );
    let value = format!("{} fitted", show(Length::from_si(narrow.fitted_m), System::Si));
    let item = record_item("throat-narrow-peak", "H1", text, ItemState::InOrder);
    Some(with_rule(item, rules, "load-over-meop", value, Some(plan.load_entry)))
}

fn port(plan: &Plan<'_>, facts: &PlanFacts, rules: &RuleSet) -> Option<ChecklistItem> {
    let ratio = facts.port_to_throat?;
    let narrow = exceeds(rules.value("port-over-throat"), ratio);
    let (state, text) = if narrow {
        (
            ItemState::Warns,
            "the core is narrow for the throat: erosive burning may raise the start over the plan",
        )
    } else {
        (ItemState::InOrder, "the core is wide enough for the throat")
    };
    Some(with_rule(
        record_item("port-over-throat", "H1", text.to_owned(), state),
        rules,
        "port-over-throat",
        format!("core {ratio:.2} times the throat's area"),
        Some(plan.load_entry),
    ))
}

fn kn(plan: &Plan<'_>, facts: &PlanFacts, rules: &RuleSet) -> Option<ChecklistItem> {
    let ([least, most], firings) = facts.tested_kn?;
    let [low, high] = facts.kn?;
    let slack = rules.value("kn-tested") / 100.0;
    let (above, below) = (exceeds(high, most * (1.0 + slack)), exceeds(least * (1.0 - slack), low));
    let (state, text) = match (above, below) {
        (true, _) => (
            ItemState::Warns,
            "the plan's Kn goes above what the batch was fired at: its peak is carried on beyond the data",
        ),
        (false, true) => (
            ItemState::Warns,
            "the plan's Kn goes below what the batch was fired at: its burn is carried on beyond the data",
        ),
        _ => (ItemState::InOrder, "the plan's Kn lies within what the batch was fired at"),
    };
    let times = if firings == 1 { "firing" } else { "firings" };
    Some(with_rule(
        record_item("kn-tested", "H1", text.to_owned(), state),
        rules,
        "kn-tested",
        format!("Kn {low:.0} to {high:.0} planned; {least:.0} to {most:.0} fired, in {firings} {times}"),
        Some(plan.load_entry),
    ))
}

fn throat(plan: &Plan<'_>, facts: &PlanFacts, rules: &RuleSet) -> Option<ChecklistItem> {
    let (planned, smallest) = (facts.throat_m?, facts.smallest_throat_m?);
    let smaller = exceeds(smallest * (1.0 - rules.value("throat-smallest") / 100.0), planned);
    let shown = |metres: f64| show(Length::from_si(metres), System::Si);
    let (state, text) = if smaller {
        (ItemState::Warns, "the planned throat is smaller than any this casing was fired with")
    } else {
        (ItemState::InOrder, "this casing was fired with a throat as small before")
    };
    Some(with_rule(
        record_item("throat-smallest", "H1", text.to_owned(), state),
        rules,
        "throat-smallest",
        format!("{} planned; smallest fired {}", shown(planned), shown(smallest)),
        Some(plan.load_entry),
    ))
}

fn soak(plan: &Plan<'_>, facts: &PlanFacts, rules: &RuleSet) -> Option<ChecklistItem> {
    let planned = facts.grain_k;
    let shown = |kelvin: f64| show(Temperature::from_si(kelvin), System::Si);
    let data = facts.data_k.map(|[low, high]| {
        if high - low < 0.05 { shown(low) } else { format!("{} to {}", shown(low), shown(high)) }
    });
    let item = |state, text: String, value: String| {
        with_rule(
            record_item("grain-soak", "H1", text, state),
            rules,
            "grain-soak",
            value,
            Some(plan.load_entry),
        )
    };
    match (planned, facts.data_k, data) {
        (Some(planned), Some([low, high]), Some(data)) => {
            let away = (planned - high).max(low - planned).max(0.0);
            let value = format!("grain at {}; data at {data}", shown(planned));
            Some(if exceeds(away, rules.value("grain-soak")) {
                let text = format!(
                    "the grain is {away:.0} degC from the batch's data: hotter burns at a higher pressure"
                );
                item(ItemState::Warns, text, value)
            } else {
                item(
                    ItemState::InOrder,
                    "the grain is near the temperature of the batch's data".to_owned(),
                    value,
                )
            })
        }
        (Some(planned), _, _) => Some(item(
            ItemState::Warns,
            "at what grain temperature the batch's numbers hold is not on record".to_owned(),
            format!("grain at {}; no data", shown(planned)),
        )),
        (None, Some(_), Some(data)) => {
            let mut asked = item(
                ItemState::ToAttest,
                format!("grain soaked within {} of the batch's data, {data}", rules.limit("grain-soak")),
                "not stated".to_owned(),
            );
            asked.decided_by = "person".to_owned();
            Some(asked)
        }
        _ => None,
    }
}

//! Whether repeat readings are of one place: a slip among them would make the gauge look blind, and growth like noise.

use super::exceeds;
use super::rules::RuleSet;
use crate::book::details::{StudyRecord, repeatability};

/// Factors a slip of unit or of the decimal point comes to: nothing that repeats is this far from its fellows.
const SLIP_FACTOR: f64 = 1.5;

/// Critical values of Grubbs' test, two-sided at 5 %, for 3 readings upwards.
///
/// Formula: (n - 1)/sqrt(n) sqrt(t^2/(n - 2 + t^2)), t the upper 0.05/(2n) point of Student's t with n - 2 degrees of
/// freedom. Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1.
const GRUBBS: [f64; 18] = [
    1.1543, 1.4812, 1.7150, 1.8871, 2.0200, 2.1266, 2.2150, 2.2900, 2.3547, 2.4116, 2.4620, 2.5073, 2.5483,
    2.5857, 2.6200, 2.6516, 2.6809, 2.7082,
];

fn grubbs_limit(count: usize) -> Option<f64> {
    let at = count.checked_sub(3)?;
    // Above the table the last value is a little low, hence a little strict.
    GRUBBS.get(at).or(GRUBBS.last()).copied()
}

fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted.len() / 2;
    match (sorted.get(middle.wrapping_sub(1)), sorted.get(middle)) {
        (Some(low), Some(high)) if sorted.len().is_multiple_of(2) => (low + high) / 2.0,
        (_, Some(middle)) => *middle,
        _ => f64::NAN,
    }
}

/// What is wrong with a study, naming the readings far from the rest and no others.
pub fn problems(study: &StudyRecord, rules: &RuleSet) -> Vec<String> {
    let values: Vec<f64> = study.lengths.iter().map(|it| it.value.as_mm()).collect();
    let named = |at: usize| {
        let typed = study.lengths.get(at).and_then(|it| it.typed.clone());
        typed.unwrap_or_else(|| values.get(at).map_or_else(String::new, |it| format!("{it:.3} mm")))
    };
    let middle = median(&values);
    let mut far: Vec<usize> = Vec::new();
    let mut left: Vec<usize> = Vec::new();
    for (at, value) in values.iter().enumerate() {
        let factor = value / middle;
        if (1.0 / SLIP_FACTOR..=SLIP_FACTOR).contains(&factor) { left.push(at) } else { far.push(at) }
    }
    // One outlier at a time: the next one is tested among those that are left.
    let apart = rules.value("study-outlier");
    loop {
        let kept: Vec<f64> = left.iter().filter_map(|at| values.get(*at).copied()).collect();
        let (Some((mean, spread)), Some(limit)) = (repeatability(&kept), grubbs_limit(kept.len())) else {
            break;
        };
        let here = median(&kept);
        let worst = left
            .iter()
            .copied()
            .filter_map(|at| values.get(at).map(|value| (at, *value)))
            .max_by(|a, b| (a.1 - mean).abs().total_cmp(&(b.1 - mean).abs()));
        match worst {
            Some((at, value))
                if exceeds((value - mean).abs(), limit * spread) && exceeds((value - here).abs(), apart) =>
            {
                left.retain(|it| *it != at);
                far.push(at);
            }
            _ => break,
        }
    }
    far.sort_unstable();
    if !far.is_empty() {
        let which: Vec<String> = far.into_iter().map(named).collect();
        let one = which.len() == 1;
        return vec![format!(
            "{} {} far from the rest (median {middle:.3} mm): a slip, or another place. Read {} again, all at one place",
            which.join(" and "),
            if one { "is" } else { "are" },
            if one { "it" } else { "them" },
        )];
    }
    let spread = study.repeatability.value.as_mm();
    let cap = rules.value("study-spread");
    if exceeds(spread, cap) {
        return vec![format!(
            "these readings spread by {spread:.3} mm (one standard deviation), and {} is the most that is taken for one place read again: read one marked place, part and tool at one temperature",
            rules.limit("study-spread")
        )];
    }
    Vec::new()
}

/// Typed lengths, for a test.
#[cfg(test)]
fn study(texts: &[&str]) -> Option<StudyRecord> {
    let lengths = texts.iter().filter_map(|text| crate::quantity::Typed::parse(text, None).ok()).collect();
    StudyRecord::of("M-1", "a rod", lengths, None)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_far_from_the_median_is_named() -> Result<(), &'static str> {
        let rules = RuleSet::new();
        let found = study(&["50.800 mm", "50.801 mm", "50.803 mm", "2.0001 in", "5.0801 mm"]).ok_or("two")?;
        let said = problems(&found, &rules);
        assert!(said.len() == 1 && said[0].starts_with("5.0801 mm is far"), "{said:?}");
        let found = study(&["50.80 mm", "50.80 mm", "50.81 mm", "50.80 mm", "51.40 mm"]).ok_or("two")?;
        assert!(problems(&found, &rules)[0].starts_with("51.40 mm is far"));
        let found = study(&["50.0 mm", "50.5 mm", "51.0 mm", "51.5 mm"]).ok_or("two")?;
        assert!(problems(&found, &rules)[0].contains("spread by"));
        // A dull tool is a dull tool: calipers that repeat to 0.03 mm are told as they are.
        let found = study(&["66.68 mm", "66.65 mm", "66.71 mm", "66.69 mm", "66.64 mm"]).ok_or("two")?;
        assert!(problems(&found, &rules).is_empty());
        let found = study(&["50.80 mm", "50.80 mm", "50.81 mm"]).ok_or("two")?;
        assert!(problems(&found, &rules).is_empty(), "a last digit is no outlier");
        Ok(())
    }
}

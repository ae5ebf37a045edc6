//! A reason in the units a person reads. Reasons are written and kept in metric units; where US units are asked for,
//! the quantities in them are written anew, and the words are left as they are.
//!
//! Only what this program wrote is touched: a reason that hands on somebody's own words keeps them, and a whole
//! number with a letter behind it, which may be a name, is taken for a quantity only where it is written exactly as
//! [`show_si`] would, stands behind "station", or is part of a limit.

use std::ops::Range;

use super::{Assessment, Checklist, Reason, RuleSet};
use crate::quantity::units::find;
use crate::quantity::{Dimension, System, Unit, show_si};

/// The rules whose text is a person's reason for a decision.
const IN_PEOPLES_WORDS: &[&str] = &["disposition", "retirement", "restriction"];

/// Whether a reason is a person's own words for a decision.
pub fn decided_by_people(rule: &str) -> bool {
    IN_PEOPLES_WORDS.contains(&rule)
}

/// The units that a reason is written in, where US units would be others; the longer spelling first.
const METRIC: &[(&str, Dimension)] = &[
    ("kg/m³", Dimension::Density),
    ("mm/s", Dimension::Speed),
    ("m/s", Dimension::Speed),
    ("mm²", Dimension::Area),
    ("m²", Dimension::Area),
    ("mm", Dimension::Length),
    ("µm", Dimension::Length),
    ("um", Dimension::Length),
    ("m", Dimension::Length),
    ("mL", Dimension::Volume),
    ("L", Dimension::Volume),
    ("kg", Dimension::Mass),
    ("g", Dimension::Mass),
    ("GPa", Dimension::Pressure),
    ("MPa", Dimension::Pressure),
    ("kPa", Dimension::Pressure),
    ("Pa", Dimension::Pressure),
    ("kN", Dimension::Force),
    ("N", Dimension::Force),
    ("MJ", Dimension::Energy),
    ("kJ", Dimension::Energy),
    ("J", Dimension::Energy),
    ("°C", Dimension::Temperature),
    ("degC", Dimension::Temperature),
    ("K", Dimension::TemperatureDifference),
];

/// What stands behind a number of degrees that says how far apart two temperatures are, not how hot it is.
const APART: &[&str] = &[" from ", " over ", " of the batch", " hotter", " colder"];

/// A metric quantity found in a text.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// Where it stands, number and unit.
    pub at: Range<usize>,
    /// Its SI value.
    pub si: f64,
    /// What a step of its last digit is worth in SI.
    pub step: f64,
    /// What it measures.
    pub dimension: Dimension,
    /// The same in US units, at least as fine.
    pub us: String,
}

/// The metric quantities of a text, in order.
pub fn quantities(text: &str, in_a_limit: bool) -> Vec<Found> {
    let bytes = text.as_bytes();
    let mut found = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        if !bytes[at].is_ascii_digit() {
            at += 1;
            continue;
        }
        let start = at;
        while at < bytes.len() && (bytes[at].is_ascii_digit() || bytes[at] == b'.') {
            at += 1;
        }
        if let Some(it) = quantity_at(text, start, at, in_a_limit) {
            at = it.at.end;
            found.extend(sharing_its_unit(text, &it));
            found.push(it);
        }
    }
    // Where both are written already, as for a distance, nothing is to be done.
    let both = found.iter().any(|it| {
        text[it.at.end..].strip_prefix(" (").is_some_and(|rest| {
            let rest = rest.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
            [" ft", " in", " psi", " lb"].iter().any(|unit| rest.starts_with(unit))
        })
    });
    if both { Vec::new() } else { found }
}

/// "44.45 x 2.41 mm", "25.40 to 44.45 mm": the first number has the unit of the second.
fn sharing_its_unit(text: &str, second: &Found) -> Option<Found> {
    let before = &text[..second.at.start];
    let head = [" x ", " to "].iter().find_map(|joint| before.strip_suffix(joint))?;
    let start = head.rfind(|c: char| !c.is_ascii_digit() && c != '.').map_or(0, |at| at + 1);
    let unit = text[second.at.clone()].rsplit_once(' ')?.1;
    // As if the unit stood there, too: what is no number of ours is left alone all the same.
    let first = format!("{} {unit}", &head[start..]);
    let mut it = head[start..]
        .contains('.')
        .then(|| quantity_at(&first, 0, first.len() - unit.len() - 1, false))??;
    if head[..start].chars().next_back().is_some_and(|c| !matches!(c, ' ' | '(')) {
        return None;
    }
    it.at = start..head.len();
    Some(it)
}

fn quantity_at(text: &str, start: usize, end: usize, in_a_limit: bool) -> Option<Found> {
    let number = text[start..end].trim_end_matches('.');
    if number.len() != end - start {
        return None;
    }
    // A number that goes on to the left is part of a name, a date or another number.
    let before = text[..start].chars().next_back();
    let negative = before == Some('-');
    let left = if before.is_some_and(|c| matches!(c, '-' | '+')) {
        text[..start - 1].chars().next_back()
    } else {
        before
    };
    if left.is_some_and(|c| c.is_alphanumeric() || matches!(c, '.' | '-' | '+' | '_' | '/' | ',' | '#')) {
        return None;
    }
    let rest = text[end..].strip_prefix(' ')?;
    let (unit, dimension) = METRIC.iter().find(|(symbol, _)| {
        rest.strip_prefix(symbol).is_some_and(|after| {
            let mut after = after.chars();
            match after.next() {
                None => true,
                Some('-') => !after.next().is_some_and(char::is_alphanumeric),
                Some(c) => !c.is_alphanumeric() && !matches!(c, '/' | '²' | '³' | '·' | '^' | '_'),
            }
        })
    })?;
    // "951 N s" is an impulse.
    if *unit == "N" && rest.strip_prefix("N s").is_some_and(|it| !it.starts_with(char::is_alphanumeric)) {
        return None;
    }
    let apart = *dimension == Dimension::Temperature
        && APART.iter().any(|words| rest[unit.len()..].starts_with(words));
    let (spelled, dimension) = match *unit {
        _ if apart => ("K", &Dimension::TemperatureDifference),
        "um" => ("µm", dimension),
        "degC" => ("°C", dimension),
        other => (other, dimension),
    };
    let metric = find(spelled, *dimension)?;
    let size: f64 = number.parse().ok()?;
    let value = if negative { -size } else { size };
    let si = metric.to_si(value);
    let ours = number.contains('.')
        || in_a_limit
        || text[..start].ends_with("station ")
        || show_si(metric.to_si(size), *dimension, System::Si) == format!("{number} {spelled}");
    if !ours {
        return None;
    }
    let decimals = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let step = metric.scale.abs() * 10_f64.powi(-i32::try_from(decimals).ok()?);
    let start = if negative { start - 1 } else { start };
    let us = in_us(si, step, *dimension)?;
    Some(Found { at: start..end + 1 + unit.len(), si, step, dimension: *dimension, us })
}

/// A value in the US unit it is shown in elsewhere, with digits enough that no step of the metric one is lost.
fn in_us(si: f64, step: f64, dimension: Dimension) -> Option<String> {
    let shown = show_si(si, dimension, System::Us);
    let (number, symbol) = shown.rsplit_once(' ')?;
    let unit: &Unit = find(symbol, dimension)?;
    let decimals = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let needed = (0..9).find(|places| unit.scale.abs() * 10_f64.powi(-places) <= step)?;
    let places = usize::try_from(needed).ok()?;
    Some(if places > decimals { format!("{:.places$} {symbol}", unit.from_si(si)) } else { shown })
}

/// A text of this program with its quantities in the units asked for.
pub fn in_units(text: &str, system: System, in_a_limit: bool) -> String {
    if system == System::Si {
        return text.to_owned();
    }
    let mut out = String::with_capacity(text.len());
    let mut from = 0;
    for it in quantities(text, in_a_limit) {
        out.push_str(&text[from..it.at.start]);
        out.push_str(&it.us);
        from = it.at.end;
    }
    out + &text[from..]
}

/// The value or limit of a restriction: its MEOP is ours, what comes after may be anybody's words.
fn terms(text: &str, system: System) -> String {
    let (first, rest) = text.split_at(text.find(';').unwrap_or(text.len()));
    if first.starts_with("MEOP ") { in_units(first, system, false) + rest } else { text.to_owned() }
}

/// A reason's text, value, limit and next step, each written anew. What a person wrote stays.
pub fn turn(rule: &str, [text, value, limit, next]: [&mut String; 4], system: System) {
    if system == System::Si {
        return;
    }
    let theirs = IN_PEOPLES_WORDS.contains(&rule);
    let of = |words: &str, in_a_limit| {
        if theirs { terms(words, system) } else { in_units(words, system, in_a_limit) }
    };
    if !theirs {
        *text = in_units(text, system, false);
    }
    (*value, *limit, *next) = (of(value, false), of(limit, true), in_units(next, system, false));
}

impl RuleSet {
    /// The limit in the units asked for.
    pub fn limit_in(&self, id: &str, system: System) -> String {
        in_units(&self.limit(id), system, true)
    }

    /// What the rule says, in the units asked for.
    pub fn says_in(&self, id: &str, system: System) -> String {
        in_units(&self.says(id), system, true)
    }
}

impl Reason {
    /// Whether its text is what a person wrote.
    pub fn in_peoples_words(&self) -> bool {
        IN_PEOPLES_WORDS.contains(&self.rule.as_str())
    }

    /// The same with its quantities in the units asked for. For reading only: what is kept, judged and handed to
    /// other programs stays metric.
    #[must_use]
    pub fn shown(mut self, system: System) -> Self {
        let Self { rule, text, value, limit, next, .. } = &mut self;
        turn(rule, [text, value, limit, next], system);
        self
    }
}

impl Assessment {
    /// The same with the quantities of its reasons in the units asked for.
    #[must_use]
    pub fn shown(mut self, system: System) -> Self {
        self.reasons = self.reasons.into_iter().map(|reason| reason.shown(system)).collect();
        self
    }
}

impl Checklist {
    /// The same with the quantities of its items in the units asked for.
    #[must_use]
    pub fn shown(mut self, system: System) -> Self {
        if system == System::Si {
            return self;
        }
        for item in self.items.iter_mut().filter(|item| item.decided_by == "record") {
            let theirs = item.rule.as_deref().is_some_and(|rule| IN_PEOPLES_WORDS.contains(&rule));
            let of = |words: &str, in_a_limit| {
                if theirs { terms(words, system) } else { in_units(words, system, in_a_limit) }
            };
            if !theirs {
                item.text = in_units(&item.text, system, false);
            }
            item.value = item.value.take().map(|words| of(&words, false));
            item.limit = item.limit.take().map(|words| of(&words, true));
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn us(text: &str) -> String {
        in_units(text, System::Us, false)
    }

    #[test]
    fn quantities_change_and_words_stay() {
        assert_eq!(us("proved on 2026-05-30 at 7.35 MPa"), "proved on 2026-05-30 at 1066 psi");
        assert_eq!(
            us("+0.46 mm, 0.91 % (50.80 mm to 51.26 mm)"),
            "+0.0181 in, 0.91 % (2.0000 in to 2.0181 in)"
        );
        assert_eq!(us("kept 0.060 mm of 0.020 mm allowed"), "kept 0.00236 in of 0.000787 in allowed");
        assert_eq!(us("8.87 MPa gauge; MEOP 5.70 MPa"), "1286 psi gauge; MEOP 827 psi");
        assert_eq!(us("station 12 mm / 90 deg"), "station 0.4724 in / 90 deg");
        assert_eq!(us("tube 6061-T6 50.80 x 1.65 mm"), "tube 6061-T6 2.0000 in x 0.0650 in");
        assert_eq!(us("a radius from 25.4000 to 44.4500 mm"), "a radius from 1.000000 in to 1.750000 in");
        assert_eq!(us("8 x 10-32 of 2 x 2.50 mm"), "8 x 10-32 of 2 x 0.0984 in");
        assert_eq!(us("-5.5 °C"), "22.1 °F");
        assert_eq!(us("from 313.5 N to 274.2 N (-13 %)"), "from 70.48 lbf to 61.64 lbf (-13 %)");
        assert_eq!(us("on day 3 at 190 °C"), "on day 3 at 374 °F");
        assert_eq!(
            in_units("aluminium at 176 degC or hotter", System::Us, true),
            "aluminium at 348.8 °F or hotter"
        );
        assert_eq!(
            in_units("a grain more than 10 degC from the temperature of the data", System::Us, true),
            "a grain more than 18.0 °F from the temperature of the data"
        );
        for same in [
            "the plan of 60 g stays under MEOP",
            "nozzle carrier N-04 has 4 of 12 firings: 8 left",
            "people keep 122 m (400 ft): 61 m from the table (May 2016) times 2",
            "after 3 months, 2024-10-05 mm, M6.5 N, 1.2e-7 m, 4 m-class, 250. mm",
            "951 N·s over 1.80 s",
            "951 N s over 1.80 s",
        ] {
            assert_eq!(us(same), same);
        }
        assert_eq!(
            in_units("at most 0.02 mm after a proof", System::Us, true),
            "at most 0.000787 in after a proof"
        );
    }
}

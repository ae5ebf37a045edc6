//! How much room a casing leaves a load: the longest and the most segments, the smallest throat, the fewest pieces,
//! each held against MEOP, the last proof and the margin chosen, with the one that limits named.

use serde::Serialize;

use super::CasingLimits;
use crate::ballistics::load::Spread;
use crate::ballistics::{Load, Prediction, room};
use crate::book::Problem;
use crate::desk::calculators::plan;
use crate::quantity::drills::{LAST_NUMBER, letter, number};
use crate::quantity::{GaugePressure, Length, Quantity};
use crate::standing::RuleSet;

/// A pressure the planned peak may come up to, and what sets it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cap {
    /// What sets it: MEOP, the last proof, a mode.
    pub what: String,
    /// The highest planned peak it allows, gauge.
    pub peak_pa: GaugePressure,
    /// The rule.
    pub rule: &'static str,
}

/// Every cap of a casing on a planned peak, the lowest first.
///
/// MEOP by its rule; the last proof by its rule, the peak with its sigmas under the share; every mode's yield over
/// the margin chosen, else over the club's least.
pub fn caps(
    limits: &CasingLimits,
    rules: &RuleSet,
    spread: &Spread,
    exponent: f64,
    ambient_pa: f64,
    margin: Option<f64>,
) -> Vec<Cap> {
    let mut caps = Vec::new();
    let cap = |what: String, pascals: f64, rule: &'static str| Cap {
        what,
        peak_pa: GaugePressure::from_si(pascals),
        rule,
    };
    if let Some(meop) = limits.meop_pa {
        let share = rules.value("load-over-meop");
        caps.push(cap(
            if share == 100.0 { "MEOP".to_owned() } else { format!("{share} % of MEOP") },
            share / 100.0 * meop,
            "load-over-meop",
        ));
    }
    if let Some(proof) = limits.proof_pa {
        let (share, sigmas) = (rules.value("load-share-of-proof"), rules.value("load-sigmas"));
        // The burn law scatters the pressure above vacuum; the wall carries what is above the atmosphere.
        let wide = 1.0 + sigmas * spread.peak_sigma(exponent);
        caps.push(cap(
            format!("{share} % of the last proof, less {sigmas} sigma"),
            (share / 100.0 * proof + ambient_pa) / wide - ambient_pa,
            "load-share-of-proof",
        ));
    }
    if let (Some(yields), Some(weakest)) = (limits.yield_pa, &limits.weakest) {
        let margin = margin.unwrap_or(rules.value("margin-least"));
        caps.push(cap(format!("{weakest}, its yield over {margin}"), yields / margin, "margin-least"));
    }
    caps.retain(|cap| cap.peak_pa.si().is_finite());
    caps.sort_by(|one, other| one.peak_pa.si().total_cmp(&other.peak_pa.si()));
    caps
}

/// A load changed in one respect until something limits it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Answer {
    /// What was asked.
    pub asked: &'static str,
    /// The answer in words; why there is none where there is none.
    pub words: String,
    /// The number: metres, segments.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// What limits it.
    pub limited_by: String,
    /// Its peak, gauge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub peak_pressure_pa: Option<GaugePressure>,
    /// Its impulse.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub impulse_ns: Option<f64>,
    /// The load.
    #[serde(skip)]
    pub load: Option<Load>,
}

/// The room a casing leaves a load.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Room {
    /// The peak as planned, gauge.
    pub peak_pressure_pa: GaugePressure,
    /// Every cap, the lowest first.
    pub caps: Vec<Cap>,
    /// The answers.
    pub answers: Vec<Answer>,
}

/// What a load could be on a casing: the answers, each checked by burning it again.
///
/// # Errors
/// The load itself is refused, or the casing limits nothing.
pub fn room(
    load: &Load,
    limits: &CasingLimits,
    rules: &RuleSet,
    margin: Option<f64>,
) -> Result<Room, Problem> {
    if let Some(margin) = margin.filter(|margin| !(1.0..=20.0).contains(margin)) {
        let message = format!("{margin} is no margin: give yield over planned peak, 1 to 20, such as 2.5");
        return Err(Problem::new("margin", message));
    }
    let now = plan(load, None)?;
    let spread = load.scatter.unwrap_or(Spread::CLUB);
    let caps = caps(limits, rules, &spread, load.propellant.exponent, now.ambient_pa.si(), margin);
    let Some(cap) = caps.first().cloned() else {
        let message = "no MEOP, proof or margin is on record to hold the load against";
        return Err(Problem::new("casing", message));
    };
    if cap.peak_pa.si() <= 0.0 {
        return Err(Problem::new("casing", format!("{} leaves no pressure at all", cap.what)));
    }
    let answers =
        vec![longest(load, limits, &cap), most(load, limits, &cap), throat(load, &cap), fewest(load, &cap)];
    Ok(Room { peak_pressure_pa: now.peak_pressure_pa, caps, answers })
}

fn stack_m(load: &Load) -> f64 {
    load.grain.0.iter().map(|it| it.length.si() * f64::from(it.count)).sum()
}

fn answer(asked: &'static str, words: String, value: f64, by: &str, load: Load) -> Answer {
    match plan(&load, None) {
        Ok(Prediction { peak_pressure_pa, impulse_ns, .. }) => Answer {
            asked,
            words,
            value: Some(value),
            limited_by: by.to_owned(),
            peak_pressure_pa: Some(peak_pressure_pa),
            impulse_ns: Some(impulse_ns.si()),
            load: Some(load),
        },
        Err(problem) => none(asked, problem.message, by),
    }
}

fn none(asked: &'static str, words: String, by: &str) -> Answer {
    Answer {
        asked,
        words,
        value: None,
        limited_by: by.to_owned(),
        peak_pressure_pa: None,
        impulse_ns: None,
        load: None,
    }
}

const TUBE: &str = "the length of the tube, closures not counted";

fn longest(load: &Load, limits: &CasingLimits, cap: &Cap) -> Answer {
    const ASKED: &str = "longest segments";
    let long_m = stack_m(load);
    let tube = limits.tube_m.filter(|tube| *tube > 0.0).map_or(10.0, |tube| tube / long_m);
    match room::longest(load, cap.peak_pa, tube.max(0.1)) {
        Err(error) => none(ASKED, error.to_string(), &cap.what),
        Ok(None) => none(ASKED, "even a tenth of the length peaks higher".to_owned(), &cap.what),
        Ok(Some(factor)) => {
            let by = if factor >= tube && limits.tube_m.is_some() { TUBE } else { &cap.what };
            let by = if factor >= 10.0 { "ten times the length, the end of the search" } else { by };
            let other = room::with_length(load, factor);
            let lengths: Vec<String> = other
                .grain
                .0
                .iter()
                .map(|it| format!("{:.1} mm", floor_to(it.length.si() * 1e3, 0.1)))
                .collect();
            let metres = other.grain.0.first().map_or(0.0, |it| it.length.si());
            answer(ASKED, lengths.join(", "), metres, by, other)
        }
    }
}

fn most(load: &Load, limits: &CasingLimits, cap: &Cap) -> Answer {
    const ASKED: &str = "most segments";
    let Some(first) = load.grain.0.first() else { return none(ASKED, "no segment".to_owned(), &cap.what) };
    let rest_m = stack_m(load) - first.length.si() * f64::from(first.count);
    let fits = limits
        .tube_m
        .map(|tube| ((tube - rest_m) / first.length.si() + 1e-9).floor().clamp(0.0, 200.0) as u32)
        .unwrap_or(100);
    match room::most_segments(load, cap.peak_pa, fits) {
        Err(error) => none(ASKED, error.to_string(), &cap.what),
        Ok(None) if fits == 0 => none(ASKED, "not even one fits the tube".to_owned(), TUBE),
        Ok(None) => none(ASKED, "even one peaks higher".to_owned(), &cap.what),
        Ok(Some(count)) => {
            let by = if count == fits && limits.tube_m.is_some() { TUBE } else { &cap.what };
            answer(ASKED, count.to_string(), f64::from(count), by, room::with_count(load, count))
        }
    }
}

fn throat(load: &Load, cap: &Cap) -> Answer {
    const ASKED: &str = "smallest throat";
    match room::smallest_throat(load, cap.peak_pa) {
        Err(error) => none(ASKED, error.to_string(), &cap.what),
        Ok(None) => none(ASKED, "even the widest the core and exit allow peaks higher".to_owned(), &cap.what),
        Ok(Some(least)) => {
            // The next drill at or above it.
            let Some((name, drill_m)) = next_drill(least.si()) else {
                let words = format!("{:.3} mm; no listed drill is as large", least.si() * 1e3);
                return answer(ASKED, words, least.si(), &cap.what, room::with_throat(load, least));
            };
            let words = format!(
                "{:.3} mm; next drill {name}, {:.2} mm",
                ceil_to(least.si() * 1e3, 0.001),
                drill_m * 1e3
            );
            let other = room::with_throat(load, Length::from_si(drill_m));
            if plan(&other, None).is_err() {
                return answer(ASKED, words, least.si(), &cap.what, room::with_throat(load, least));
            }
            answer(ASKED, words, least.si(), &cap.what, other)
        }
    }
}

fn fewest(load: &Load, cap: &Cap) -> Answer {
    const ASKED: &str = "fewest segments of the same propellant";
    if load.grain.0.len() != 1 {
        return none(ASKED, "asked only where all segments are alike".to_owned(), &cap.what);
    }
    match room::fewest_segments(load, cap.peak_pa) {
        Err(error) => none(ASKED, error.to_string(), &cap.what),
        Ok(None) => none(ASKED, "no cut into up to 40 keeps it".to_owned(), &cap.what),
        Ok(Some(count)) => match room::recut(load, count) {
            Some(other) => {
                let millimetres = other.grain.0.first().map_or(0.0, |it| it.length.si() * 1e3);
                let words = format!("{count} of {millimetres:.1} mm");
                let by = if count == 1 { "nothing: one long grain keeps it" } else { &cap.what };
                answer(ASKED, words, f64::from(count), by, other)
            }
            None => none(ASKED, "asked only where all segments are alike".to_owned(), &cap.what),
        },
    }
}

fn floor_to(value: f64, step: f64) -> f64 {
    (value / step + 1e-9).floor() * step
}

fn ceil_to(value: f64, step: f64) -> f64 {
    (value / step - 1e-9).ceil() * step
}

/// The next drill at or above a diameter: number, letter and fraction drills by 1/64 in up to 2 in.
fn next_drill(metres: f64) -> Option<(String, f64)> {
    const INCH_M: f64 = 0.0254;
    let numbers = (1..=LAST_NUMBER).filter_map(|at| Some((format!("#{at}"), number(at)? * INCH_M)));
    let letters = ('A'..='Z').filter_map(|at| Some((format!("letter {at}"), letter(at)? * INCH_M)));
    let fractions = (1..=128_u32).map(|at| (fraction(at), f64::from(at) / 64.0 * INCH_M));
    fractions
        .chain(letters)
        .chain(numbers)
        .filter(|(_, size)| *size >= metres * (1.0 - 1e-9))
        .min_by(|one, other| one.1.total_cmp(&other.1))
}

/// So many sixty-fourths of an inch, as a drill is marked.
fn fraction(sixty_fourths: u32) -> String {
    let shift = sixty_fourths.trailing_zeros().min(6);
    let (top, bottom) = (sixty_fourths >> shift, 64_u32 >> shift);
    match (top / bottom, top % bottom) {
        (whole, 0) => format!("{whole} in"),
        (0, part) => format!("{part}/{bottom} in"),
        (whole, part) => format!("{whole} {part}/{bottom} in"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drills_go_by_size_whatever_they_are_called() {
        let named = |mm: f64| next_drill(mm / 1e3).map(|(name, _)| name);
        assert_eq!(named(9.35), Some("3/8 in".to_owned()));
        assert_eq!(named(9.3472), Some("letter U".to_owned()));
        assert_eq!(named(10.7), Some("27/64 in".to_owned()));
        assert_eq!(named(25.4), Some("1 in".to_owned()));
        assert_eq!(named(26.0), Some("1 1/32 in".to_owned()));
        assert_eq!(named(60.0), None);
    }
}

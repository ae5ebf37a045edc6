//! What the shop does next, by the measured peak.

use serde::Serialize;

use super::error::TraceError;

/// Pressures a measured peak is held against, all gauge and in pascals; what is not known is left out.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PeakLimits {
    /// Peak the plan foresaw.
    pub planned_pa: Option<f64>,
    /// Highest pressure the owner says a load may reach.
    pub meop_pa: Option<f64>,
    /// Last proof of this build.
    pub proof_pa: Option<f64>,
    /// Yield pressure of the weakest mode.
    pub weakest_yield_pa: Option<f64>,
    /// A sudden drop was found in the trace.
    pub sudden_drop: bool,
}

/// One rule that applies.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Proposal {
    /// The rule, with its numbers.
    pub rule: String,
    /// What to do.
    #[serde(rename = "do")]
    pub action: String,
    /// The measured value the rule looked at.
    pub value: f64,
    /// What it was held against.
    pub limit: f64,
    /// Where the rule comes from.
    pub source: &'static str,
}

/// Every rule below is a shop's habit.
const SOURCE: &str = "common practice, no source";

/// The rules that apply to a measured peak, most pressing first; a proposal for the person who decides.
///
/// | measured peak | do |
/// |---|---|
/// | over proof, or over 0.9 of the weakest yield | hold: station map and penetrant; hydro only if growth is under 0.1 %, else retire |
/// | under 0.85 of plan, or a sudden drop | hold until leak, breach, nozzle or unburnt grain is found or ruled out |
/// | over 0.9 of proof | re-proof before the next use |
/// | over 1.20 of plan | full strip inspection with a second inspector; correct the load model |
/// | over 1.10 of plan, or over MEOP | throat, grain sheet, batch; outside diameters before the next use |
/// | 0.90 to 1.10 of plan | normal: feed the batch statistics |
///
/// A limit itself still passes (the rules say "over" and "under"). Between 0.85 and 0.90 of plan, the
/// statistics are fed and the load is to be looked at. Several rules may apply; all are given.
///
/// Source: common practice in home shops, no published source; a club may set its own limits.
/// Errors: a peak or limit that is not a positive, finite pressure.
///
/// ```
/// use proofmark::trace::{PeakLimits, disposition_proposal};
/// // A casing whose peak was 8.97 MPa where 5.16 was planned, proofed at 7.12, weakest yield 7.62.
/// let limits = PeakLimits {
///     planned_pa: Some(5.16e6),
///     meop_pa: Some(5.7e6),
///     proof_pa: Some(7.12e6),
///     weakest_yield_pa: Some(7.62e6),
///     sudden_drop: false,
/// };
/// let rules = disposition_proposal(8.97e6, &limits)?;
/// assert!(rules[0].action.starts_with("hold: station map"));
/// assert_eq!(rules[0].source, "common practice, no source");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn disposition_proposal(peak_pa: f64, limits: &PeakLimits) -> Result<Vec<Proposal>, TraceError> {
    let known = [
        ("measured peak", Some(peak_pa)),
        ("planned peak", limits.planned_pa),
        ("MEOP", limits.meop_pa),
        ("proof", limits.proof_pa),
        ("weakest yield", limits.weakest_yield_pa),
    ];
    for (name, value) in known {
        if let Some(value) = value
            && !(value > 0.0 && value.is_finite())
        {
            return Err(TraceError::BadOption(format!(
                "the {name} must be a pressure over zero, not {value} Pa: correct it or leave it out"
            )));
        }
    }
    let mut rules = Vec::new();
    let mut apply = |rule: String, action: &str, value: f64, limit: f64| {
        rules.push(Proposal { rule, action: action.to_owned(), value, limit, source: SOURCE });
    };
    let hold = "hold: station map and penetrant; hydro only if growth is under 0.1 %, otherwise retire";
    if let Some(proof) = limits.proof_pa.filter(|p| peak_pa > *p) {
        apply("measured peak over proof".to_owned(), hold, peak_pa, proof);
    }
    if let Some(limit) = limits.weakest_yield_pa.map(|y| 0.9 * y).filter(|l| peak_pa > *l) {
        apply("measured peak over 0.9 of the weakest mode's yield".to_owned(), hold, peak_pa, limit);
    }
    let ratio = limits.planned_pa.map(|planned| peak_pa / planned);
    let find = "hold until found: leak, breach, cracked or ejected nozzle, unburnt grain";
    if let Some(ratio) = ratio.filter(|r| *r < 0.85) {
        apply(format!("measured peak {ratio:.2} of plan, under 0.85"), find, ratio, 0.85);
    }
    if limits.sudden_drop {
        apply("sudden drop in the trace".to_owned(), find, 1.0, 0.0);
    }
    if let Some(proof) = limits.proof_pa.filter(|p| peak_pa > 0.9 * p && peak_pa <= *p) {
        let do_next = "re-proof (hydro) before the next use";
        apply("measured peak over 0.9 of proof".to_owned(), do_next, peak_pa, 0.9 * proof);
    }
    match ratio {
        Some(ratio) if ratio > 1.35 => apply(
            format!("measured peak {ratio:.2} of plan, over 1.35"),
            "hold: full strip inspection with a second inspector; find the cause and correct the load model before \
             any further firing",
            ratio,
            1.35,
        ),
        Some(ratio) if ratio > 1.2 => apply(
            format!("measured peak {ratio:.2} of plan, over 1.20"),
            "full strip inspection with a second inspector; correct the load model before the next firing",
            ratio,
            1.2,
        ),
        Some(ratio) if ratio > 1.1 => apply(
            format!("measured peak {ratio:.2} of plan, over 1.10"),
            "check throat, grain sheet and batch; outside diameters at the stations before the next use",
            ratio,
            1.1,
        ),
        Some(ratio) if ratio >= 0.9 => apply(
            format!("measured peak {ratio:.2} of plan, within 0.90 to 1.10"),
            "normal: feed the batch statistics",
            ratio,
            1.1,
        ),
        Some(ratio) if ratio >= 0.85 => apply(
            format!("measured peak {ratio:.2} of plan, between 0.85 and 0.90"),
            "feed the batch statistics; look at throat, soak temperature and batch",
            ratio,
            0.9,
        ),
        _ => {}
    }
    if let Some(meop) = limits.meop_pa.filter(|m| peak_pa > *m) {
        apply(
            "measured peak over MEOP".to_owned(),
            "check throat, grain sheet and batch; outside diameters at the stations before the next use",
            peak_pa,
            meop,
        );
    }
    Ok(rules)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn actions(peak: f64, limits: PeakLimits) -> Vec<String> {
        disposition_proposal(peak, &limits).unwrap().into_iter().map(|p| p.action).collect()
    }

    #[test]
    fn by_the_plan() {
        for (ratio, start) in [
            (1.0, "normal"),
            (0.9, "normal"),
            (1.1, "normal"),
            (1.15, "check throat"),
            (1.2, "check throat"),
            (1.25, "full strip"),
            (1.5, "hold: full strip"),
            (0.87, "feed"),
            (0.8, "hold until found"),
        ] {
            let limits = PeakLimits { planned_pa: Some(4e6), ..PeakLimits::default() };
            let found = actions(ratio * 4e6, limits);
            assert!(found[0].starts_with(start), "{ratio} {found:?}");
        }
    }

    #[test]
    fn by_proof_yield_and_meop() {
        let limits = PeakLimits {
            planned_pa: Some(5e6),
            meop_pa: Some(5.4e6),
            proof_pa: Some(6e6),
            weakest_yield_pa: Some(9e6),
            sudden_drop: false,
        };
        assert_eq!(actions(5.45e6, limits).len(), 3);
        assert!(actions(5.45e6, limits)[0].starts_with("re-proof"));
        assert!(actions(6.1e6, limits)[0].starts_with("hold: station map"));
        assert!(actions(5e6, PeakLimits { sudden_drop: true, ..limits })[0].starts_with("hold until found"));
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(disposition_proposal(f64::NAN, &PeakLimits::default()).is_err());
        assert!(
            disposition_proposal(1e6, &PeakLimits { proof_pa: Some(0.0), ..PeakLimits::default() }).is_err()
        );
        assert!(disposition_proposal(1e6, &PeakLimits::default()).unwrap().is_empty());
    }
}

//! A batch's law from firings: against an independent least-squares program, and what too few firings say.

use proofmark::ballistics::fit::{Beyond, Rests, Shot, beyond, fit, student_95};
use proofmark::quantity::{AbsolutePressure, Density, Quantity, Speed};
use proptest::prelude::*;

use super::close;

const RHO: f64 = 1680.0;
const CSTAR: f64 = 1370.0;

/// The club's nominal: 7 mm/s at 5 MPa, exponent 0.36.
fn expected_pa(kn: f64) -> f64 {
    5e6 * (kn * RHO * CSTAR * 0.007 / 5e6_f64).powf(1.0 / 0.64)
}

fn shot(kn: f64, peak_pa: f64) -> Shot {
    Shot {
        kn,
        kn_low: 0.85 * kn,
        density: Density::from_si(RHO),
        characteristic_velocity: Speed::from_si(CSTAR),
        peak: AbsolutePressure::from_si(peak_pa),
        expected: AbsolutePressure::from_si(expected_pa(kn)),
    }
}

fn at_five() -> AbsolutePressure {
    AbsolutePressure::mpa(5.0)
}

#[test]
fn five_firings_against_an_independent_regression() {
    // scipy.stats.linregress of ln p on ln(Kn rho c*), t.ppf(0.975, 3), and the line used backwards at 5 MPa; the
    // table here has t to four figures.
    let shots = [(250.0, 3.61e6), (300.0, 4.62e6), (350.0, 6.02e6), (310.0, 5.01e6), (275.0, 4.02e6)]
        .map(|(kn, peak)| shot(kn, peak));
    let found = fit(&shots, 0.36, at_five(), 0.064).unwrap();
    let law = found.law.unwrap();
    close(law.exponent.value, 0.356_309_697, 1e-8);
    close(law.exponent.low.unwrap(), 0.223_342_114, 3e-4);
    close(law.exponent.high.unwrap(), 0.450_403_307, 3e-4);
    close(law.burn_rate_m_s.value, 0.006_960_472_14, 1e-8);
    close(law.burn_rate_m_s.low.unwrap(), 0.006_811_363_85, 1e-5);
    close(law.burn_rate_m_s.high.unwrap(), 0.007_112_844_57, 1e-5);
    close(law.residual.unwrap(), 0.021_191_248, 1e-6);
    assert_eq!(law.rests, Rests::OnTheFirings);
    close(found.factor.value, 0.994_672_665, 1e-8);
    close(found.factor.low.unwrap(), 0.980_244_458, 1e-4);
    close(found.factor.high.unwrap(), 1.009_313_240, 1e-4);
    close(found.kn[0], 0.85 * 250.0, 1e-12);
    close(found.kn[1], 350.0, 1e-12);
}

#[test]
fn one_firing_gives_a_factor_and_says_so() {
    let found = fit(&[shot(300.0, 1.05 * expected_pa(300.0))], 0.36, at_five(), 0.064).unwrap();
    assert!(found.law.is_none());
    assert!(found.no_law.unwrap().contains("second one at another Kn"));
    // A peak 5 % high is a rate 0.64 times that, on the logarithm.
    close(found.factor.value, 1.05_f64.powf(0.64), 1e-12);
    assert_eq!(found.factor_rests, Rests::OnAssumedScatter);
    close((found.factor.high.unwrap() / found.factor.value).ln(), 1.96 * 0.64 * 0.064, 1e-9);
}

#[test]
fn two_firings_rest_on_the_assumed_scatter() {
    let shots = [shot(250.0, expected_pa(250.0)), shot(350.0, expected_pa(350.0))];
    let law = fit(&shots, 0.36, at_five(), 0.064).unwrap().law.unwrap();
    close(law.exponent.value, 0.36, 1e-9);
    close(law.burn_rate_m_s.value, 0.007, 1e-9);
    assert_eq!((law.rests, law.residual), (Rests::OnAssumedScatter, None));
    assert!(law.exponent.low.unwrap() < 0.3 && law.exponent.high.unwrap() > 0.4);
    // Without any scatter there is nothing to be unsure of.
    let sure = fit(&shots, 0.36, at_five(), 0.0).unwrap().law.unwrap();
    close(sure.exponent.high.unwrap(), sure.exponent.low.unwrap(), 1e-9);
}

#[test]
fn what_is_no_law_is_said() {
    let same = [shot(300.0, 4.6e6), shot(301.0, 4.8e6), shot(302.0, 4.5e6)];
    let found = fit(&same, 0.36, at_five(), 0.064).unwrap();
    assert!(found.law.is_none() && found.no_law.unwrap().contains("Kn differ by 0.7 %"));
    let falling = [shot(250.0, 5e6), shot(350.0, 4e6), shot(300.0, 4.4e6)];
    assert!(fit(&falling, 0.36, at_five(), 0.064).unwrap().no_law.unwrap().contains("do not rise"));
    assert!(fit(&[], 0.36, at_five(), 0.064).unwrap_err().to_string().contains("one firing or more"));
    assert!(fit(&[shot(f64::NAN, 4e6)], 0.36, at_five(), 0.064).is_err());
    assert!(fit(&[shot(300.0, -4e6)], 0.36, at_five(), 0.064).is_err());
    assert!(fit(&[shot(300.0, 4e6)], 1.0, at_five(), 0.064).is_err());
}

#[test]
fn a_wild_exponent_is_not_believed() {
    // Pressure nearly flat in Kn would be an exponent far below zero.
    let shots = [shot(250.0, 4.5e6), shot(350.0, 4.6e6), shot(300.0, 4.55e6)];
    let law = fit(&shots, 0.36, at_five(), 0.064).unwrap().law.unwrap();
    assert!(law.exponent.value < 0.0 && !law.believable());
}

#[test]
fn students_points_and_ranges() {
    assert_eq!(student_95(0), None);
    assert_eq!((student_95(1), student_95(10), student_95(1000)), (Some(12.706), Some(2.228), Some(2.042)));
    assert_eq!(beyond([200.0, 300.0], [199.0, 302.0]), None);
    assert_eq!(beyond([200.0, 300.0], [210.0, 310.0]), Some(Beyond::Above));
    assert_eq!(beyond([200.0, 300.0], [150.0, 290.0]), Some(Beyond::Below));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn a_law_comes_back_from_its_own_peaks(
        exponent in 0.05..0.8_f64, rate_mm in 1.0..20.0_f64, start in 120.0..400.0_f64, count in 3..8_usize,
    ) {
        let law = |kn: f64| 5e6 * (kn * RHO * CSTAR * rate_mm * 1e-3 / 5e6_f64).powf(1.0 / (1.0 - exponent));
        let shots: Vec<Shot> = (0..count).map(|at| {
            let kn = start * (1.0 + 0.1 * at as f64);
            shot(kn, law(kn))
        }).collect();
        let found = fit(&shots, exponent, at_five(), 0.064).unwrap().law.unwrap();
        prop_assert!((found.exponent.value - exponent).abs() < 1e-7);
        prop_assert!((found.burn_rate_m_s.value / (rate_mm * 1e-3) - 1.0).abs() < 1e-7);
        let (low, high) = (found.exponent.low.unwrap(), found.exponent.high.unwrap());
        prop_assert!(low <= exponent + 1e-7 && high >= exponent - 1e-7);
    }
}

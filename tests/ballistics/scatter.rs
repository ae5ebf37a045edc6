//! Scatter: the same from the same seed, right in its moments, and right about the club's chances.

use super::{close, forty_eight_b, load, plan};
use proofmark::ballistics::{Load, Scatter, scatter};
use proofmark::quantity::Quantity;

/// The club's scatter of a peak: burn rate 3 %, area 1.5, c* 1, throat 0.5, model 3.
const CLUB: &str = "[scatter]\nburn_rate = 0.03\nburning_area = 0.015\ncharacteristic_velocity = 0.01\nthroat = 0.005\nmodel = 0.03\n";
/// And its hard starts: one and a half in 59, ratio 1.45, sigma 0.18 of the logarithm.
const HARD: &str = "hard_start_chance = 0.0254237\nhard_start_ratio = 1.45\nhard_start_sigma = 0.18\n";

fn drawn(load: &Load, draws: u32, seed: u64) -> Scatter {
    scatter(load, &plan(load), draws, seed).unwrap()
}

#[test]
fn the_same_seed_draws_the_same_and_more_draws_add_to_them() {
    let load = forty_eight_b(CLUB);
    assert_eq!(drawn(&load, 5000, 11), drawn(&load, 5000, 11));
    assert_ne!(drawn(&load, 5000, 11).peak_pressure_mean_pa, drawn(&load, 5000, 12).peak_pressure_mean_pa);
    // The first draw is the first place of the seed's stream, whatever else is drawn: more draws hold it.
    let one = drawn(&load, 1, 11).peak_pressure_mean_pa.si();
    let many = drawn(&load, 2, 11);
    let other = 2.0 * many.peak_pressure_mean_pa.si() - one;
    close(many.peak_pressure_sd_pa.si(), (one - other).abs() / 2f64.sqrt(), 1e-9);
}

#[test]
fn the_spread_is_what_error_propagation_says() {
    // Club practice: cv of the peak 6.4 %. Independent errors through the power 1/(1 - n):
    // sqrt((3^2 + 1.5^2 + 1^2 + (2 x 0.5)^2)/0.64^2 + 3^2).
    let load = forty_eight_b(CLUB);
    let found = drawn(&load, 200_000, 3);
    let peak = plan(&load).peak_pressure_absolute_pa.si();
    let expected = ((0.03_f64.powi(2) + 0.015_f64.powi(2) + 0.01_f64.powi(2) + 0.01_f64.powi(2))
        / 0.64_f64.powi(2)
        + 0.03_f64.powi(2))
    .sqrt();
    close(expected, 0.064, 0.01);
    close(found.peak_pressure_sd_pa.si() / peak, expected, 0.01);
    close(found.peak_pressure_mean_pa.si() + 101_325.0, peak, 3e-3);
    let shares: Vec<_> = found.quantiles.iter().map(|it| it.share).collect();
    assert_eq!(shares, [0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99]);
    assert!(found.quantiles.windows(2).all(|it| it[0].peak_pressure_pa < it[1].peak_pressure_pa));
    close(found.quantiles[3].peak_pressure_pa.si() + 101_325.0, peak, 3e-3);
}

#[test]
fn the_club_s_chances_of_a_high_peak() {
    // The club's own table: chance over MEOP and over proof with hard starts in it. It was worked out with a normal
    // body and pressures as they stand, so a fifth of itself is what agreement can be asked for.
    for (grains, throat, area_ratio, meop, proof, over_meop, over_proof) in [
        ((4, 110.0, 64.0, 24.0), "39/64 in", 8.0, "6.3", "9.45", 0.075, 0.0060),
        ((4, 75.0, 43.0, 16.0), "27/64 in", 8.0, "5.9", "8.85", 0.063, 0.0057),
        ((3, 60.0, 36.0, 13.0), "O drill", 7.0, "4.9", "7.35", 0.071, 0.0059),
        ((3, 75.0, 43.0, 16.0), "V drill", 8.0, "5.9", "7.38", 0.021, 0.0095),
    ] {
        // Their limits are compared with absolute peaks; here they are gauge, so an atmosphere comes off.
        let limits = format!("[limits]\nmeop = \"{meop} MPa abs\"\nproof = \"{proof} MPa abs\"\n");
        let load = load(grains, throat, area_ratio, &format!("{CLUB}{HARD}{limits}"));
        let found = drawn(&load, 400_000, 1);
        close(found.chance_over_meop.unwrap(), over_meop, 0.2);
        close(found.chance_over_proof.unwrap(), over_proof, 0.2);
        assert_eq!(found.chance_over_yield, None);
    }
}

#[test]
fn no_scatter_is_no_scatter() {
    let load = forty_eight_b("[scatter]\n[limits]\nmeop = \"5.1 MPa\"\nyield = \"13.9 MPa\"\n");
    let found = drawn(&load, 100, 1);
    assert!(found.peak_pressure_sd_pa.si() < 1e-3);
    assert_eq!((found.chance_over_meop, found.chance_over_yield), (Some(1.0), Some(0.0)));
}

#[test]
fn what_cannot_be_drawn_is_refused() {
    let refused = |more: &str, draws| {
        let load = forty_eight_b(more);
        scatter(&load, &plan(&load), draws, 1).unwrap_err().to_string()
    };
    assert!(refused("", 100).contains("scatter is missing"));
    assert!(refused(CLUB, 0).contains("1 to 10,000,000 draws"));
    assert!(refused("[scatter]\nburn_rate = 3.0\n", 100).contains("3 % is 0.03"));
    assert!(refused("[scatter]\nmodel = -0.1\n", 100).contains("scatter.model"));
    assert!(refused("[scatter]\nhard_start_chance = 0.1\n", 100).contains("hard_start_ratio"));
}

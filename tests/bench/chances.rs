//! Chances of passing a limit: the club's own table, the draws, any number of threads, what drives them.

use proofmark::ballistics::chance::{HardStarts, chance_over};
use proofmark::ballistics::load::Spread;
use proofmark::ballistics::scatter::scatter_on;
use proofmark::ballistics::sensitivity::{causes, swings};
use proofmark::ballistics::{predict, scatter};
use proofmark::quantity::AbsolutePressure;

use super::{close, club_load, forty_eight_b};

/// One and a half in 59, as the club counted them.
fn club() -> Spread {
    HardStarts { firings: 58, hard: 1 }.with(Spread::of_peak(0.064, 0.36))
}

#[test]
fn the_club_s_table_of_chances() {
    // Planned peak, MEOP, proof, MPa; over MEOP, over proof, ordinary firing over proof. All as the club's table has
    // them, which holds absolute peaks against its limits as they stand.
    for (peak, meop, proof, over_meop, over_proof, ordinary) in [
        (5.68, 6.3, 9.45, 0.075, 0.0060, 1e-15),
        (5.27, 5.9, 8.85, 0.063, 0.0057, 2e-16),
        (4.40, 4.9, 7.35, 0.071, 0.0059, 8e-16),
        (4.78, 5.9, 7.38, 0.021, 0.0095, 7e-12),
        (5.16, 5.7, 7.12, 0.082, 0.015, 3e-7),
        (3.45, 4.0, 6.0, 0.033, 0.0044, 5e-18),
        (5.42, 4.0, 6.0, 1.0, 0.077, 0.055),
    ] {
        let over = |limit: f64| {
            chance_over(AbsolutePressure::mpa(peak), AbsolutePressure::mpa(limit), &club(), 0.36)
        };
        close(over(meop).chance, over_meop, 0.04);
        close(over(proof).chance, over_proof, 0.04);
        // The tail of a table of one digit: within a factor of two.
        let ratio = over(proof).ordinary / ordinary;
        assert!((0.5..2.0).contains(&ratio), "{peak}: {ratio}");
    }
    // Thistle's 48A over the yield of its weld zone.
    let over = chance_over(AbsolutePressure::mpa(5.16), AbsolutePressure::mpa(7.62), &club(), 0.36);
    close(over.chance, 0.012, 0.1);
}

#[test]
fn draws_and_working_out_agree() {
    let load = forty_eight_b(
        "[scatter]\nburn_rate = 0.03\nburning_area = 0.015\ncharacteristic_velocity = 0.01\nthroat = 0.005\n\
         model = 0.03\nhard_start_chance = 0.0254237\nhard_start_ratio = 1.45\nhard_start_sigma = 0.18\n\
         [limits]\nmeop = \"5.8 MPa\"\nproof = \"7.4 MPa\"\n",
    );
    let found = scatter(&load, &predict(&load).unwrap(), 300_000, 2).unwrap();
    // What is worked out lies a little to the cautious side of what is drawn.
    for (drawn, worked_out) in [
        (found.chance_over_meop, found.worked_out.over_meop),
        (found.chance_over_proof, found.worked_out.over_proof),
    ] {
        let ratio = worked_out.unwrap().chance / drawn.unwrap();
        assert!((0.95..1.08).contains(&ratio), "{ratio}");
    }
    assert!(found.worked_out.over_yield.is_none());
    close(found.hard_start_chance, 0.0254237, 1e-12);
}

#[test]
fn any_number_of_threads_draws_the_same() {
    let load = forty_eight_b("[scatter]\nburn_rate = 0.03\nmodel = 0.03\n[limits]\nmeop = \"5.5 MPa\"\n");
    let plan = predict(&load).unwrap();
    let one = scatter_on(&load, &plan, 50_001, 7, 1).unwrap();
    for threads in [0, 2, 3, 5, 8, 1000] {
        assert_eq!(scatter_on(&load, &plan, 50_001, 7, threads).unwrap(), one, "{threads} threads");
    }
}

#[test]
fn hard_starts_are_counted_so_that_none_is_not_never() {
    close(HardStarts { firings: 58, hard: 1 }.chance(), 0.025_424, 1e-4);
    close(HardStarts { firings: 0, hard: 0 }.chance(), 0.5, 1e-12);
    close(HardStarts { firings: 99, hard: 0 }.chance(), 0.005, 1e-12);
    assert!(HardStarts { firings: 2, hard: 9 }.chance() < 1.0);
}

#[test]
fn the_causes_add_up_and_the_burn_rate_leads() {
    let found = causes(&Spread::CLUB, 0.36);
    close(found.iter().map(|it| it.share).sum::<f64>(), 1.0, 1e-12);
    assert_eq!(found[0].cause, "burn rate");
    close(found[0].peak_sigma, 0.03 / 0.64, 1e-12);
    close(Spread::CLUB.peak_sigma(0.36), 0.064, 0.01);
    close(Spread::of_peak(0.08, 0.5).peak_sigma(0.5), 0.08, 1e-12);
    // Nothing scatters: no share is made up.
    assert!(causes(&Spread::default(), 0.36).iter().all(|it| it.share == 0.0));
}

#[test]
fn small_changes_move_the_peak_as_the_balance_says() {
    let load = forty_eight_b("");
    let found = swings(&load).unwrap();
    let of = |what: &str| found.iter().find(|it| it.change.contains(what)).unwrap().peak[1];
    close(of("burn rate"), 1.01_f64.powf(1.0 / 0.64) - 1.0, 1e-9);
    let throat = 27.0 / 64.0 * 25.4_f64;
    close(of("throat"), (throat / (throat - 0.1)).powf(2.0 / 0.64) - 1.0, 1e-9);
    assert!(of("10 degC") > 0.02);
    assert!(found.iter().all(|it| !it.change.contains("inhibitor")));
    let kept = club_load(
        "count = 4\noutside_diameter = \"43 mm\"\ncore = \"16 mm\"\nlength = \"75 mm\"\ninhibited_ends = 2",
        "throat = \"27/64 in\"\narea_ratio = 8",
        "",
    );
    assert!(swings(&kept).unwrap().iter().any(|it| it.change == "one inhibitor lost" && it.peak[1] != 0.0));
}

#[test]
fn a_book_without_a_firing_gives_one_answer_and_says_what_it_leaves_out() {
    use super::support::{empty, record};
    use proofmark::book::Kind;
    let mut desk = empty();
    record(&mut desk, Kind::Casing, super::support::CASING);
    let rules = desk.book().rules_on(desk.day()).unwrap();
    let hard = desk.hard_starts(&rules, desk.day()).unwrap();
    // Half a hard start in one firing is what the estimate gives for none; it says nothing of anybody's loads.
    assert_eq!(hard.chance, None);
    assert!(hard.how.contains("leave hard starts out"), "{}", hard.how);
    let spread = Spread::of_peak(0.064, 0.36);
    assert_eq!(hard.tail_on(spread), spread);
}

//! The eight loads of the demo club, worked out apart from this program with the same model: every figure of
//! the club's load table within 1 %. The pressures there are absolute.

use super::{close, load, plan};
use proofmark::quantity::Quantity;
use proofmark::trace::impulse_class;

/// Name, grains (count, length, outside, core, mm), throat, area ratio; propellant g, peak MPa, peak N, impulse
/// N·s, burn s.
type Row = (&'static str, (u32, f64, f64, f64), &'static str, f64, [f64; 5]);

const TABLE: &[Row] = &[
    ("41A", (3, 60.0, 36.0, 13.0), "P drill", 7.0, [268.0, 4.11, 314.0, 526.0, 1.81]),
    ("41B", (3, 60.0, 36.0, 13.0), "O drill", 7.0, [268.0, 4.40, 325.0, 530.0, 1.76]),
    ("48A", (3, 75.0, 43.0, 16.0), "U drill", 8.0, [473.0, 5.16, 523.0, 951.0, 1.95]),
    ("48V", (3, 75.0, 43.0, 16.0), "V drill", 8.0, [473.0, 4.78, 505.0, 943.0, 2.01]),
    ("48B", (4, 75.0, 43.0, 16.0), "27/64 in", 8.0, [631.0, 5.27, 705.0, 1272.0, 1.94]),
    ("60A", (4, 95.0, 55.0, 20.0), "17/32 in", 8.0, [1316.0, 5.42, 1150.0, 2661.0, 2.49]),
    ("60R", (3, 95.0, 55.0, 20.0), "17/32 in", 8.0, [987.0, 3.45, 694.0, 1879.0, 2.93]),
    ("76A", (4, 110.0, 64.0, 24.0), "39/64 in", 8.0, [2044.0, 5.68, 1594.0, 4152.0, 2.79]),
];

#[test]
fn every_figure_of_the_load_table() {
    for (name, grains, throat, area_ratio, [grams, mpa, newtons, impulse, seconds]) in TABLE {
        let plan = plan(&load(*grains, throat, *area_ratio, ""));
        for (got, wanted) in [
            (plan.propellant_kg.si() * 1e3, *grams),
            (plan.peak_pressure_absolute_pa.as_mpa(), *mpa),
            (plan.peak_thrust_n.si(), *newtons),
            (plan.impulse_ns.si(), *impulse),
            (plan.burn_time_s.si(), *seconds),
        ] {
            assert!((got / wanted - 1.0).abs() < 0.01, "{name}: {got} against {wanted}");
        }
        // Impulse is mean thrust times time, and specific impulse times weight.
        close(plan.mean_thrust_n.si() * plan.burn_time_s.si(), plan.impulse_ns.si(), 1e-12);
        let weight = plan.propellant_kg.si() * 9.80665;
        close(plan.specific_impulse_s.si() * weight, plan.impulse_ns.si(), 1e-12);
        assert!((190.0..230.0).contains(&plan.specific_impulse_s.si()), "{name}");
    }
}

#[test]
fn the_classes_of_the_club_s_loads() {
    for (name, grains, throat, area_ratio, _) in TABLE {
        let letter =
            impulse_class(plan(&load(*grains, throat, *area_ratio, "")).impulse_ns.si()).unwrap().letter;
        let wanted = match *name {
            "41A" | "41B" => "I",
            "48A" | "48V" | "48B" => "J",
            "60A" | "76A" => "L",
            _ => "K",
        };
        assert_eq!(letter, wanted, "{name}");
    }
}

//! What must always hold: volume is area over web, mass is kept, inverses come back, bigger means more.

use super::{close, forty_eight_b, load, plan};
use proofmark::ballistics::atmosphere::atmosphere;
use proofmark::ballistics::chamber::{Chamber, equilibrium_pressure};
use proofmark::ballistics::flow::{FlowKnown, nozzle_flow};
use proofmark::ballistics::grain::{GrainSize, Stack};
use proofmark::quantity::{Area, Density, Length, Quantity, Speed, parse_burn_rate};
use proptest::prelude::*;

/// The area over the web by the midpoint rule, each kind of grain apart so that none goes out inside a step.
fn swept(stack: &Stack) -> f64 {
    let steps = 4000;
    let step_m = stack.web().si() / f64::from(steps);
    (0..steps).map(|it| stack.area_at(Length::from_si((f64::from(it) + 0.5) * step_m)).si() * step_m).sum()
}

proptest! {
    #[test]
    fn area_over_web_is_volume(
        count in 1u32..8, outside in 20.0..120.0f64, core in 0.15..0.9f64, length in 0.2..4.0f64, faces in 0u32..17,
    ) {
        let stack = Stack::equal(
            count, Length::mm(outside), Length::mm(core * outside), Length::mm(length * outside), 0).unwrap();
        close(swept(&stack), stack.bates().volume_m3.si(), 1e-6);
        // With some faces inhibited grains may go out at different webs: one such step is the error.
        let stack = Stack::equal(
            count, Length::mm(outside), Length::mm(core * outside), Length::mm(length * outside), faces.min(2 * count)).unwrap();
        close(swept(&stack), stack.bates().volume_m3.si(), 2e-3);
        prop_assert!(stack.volume_at(stack.web()).si() == 0.0);
    }

    #[test]
    fn the_greatest_area_is_the_greatest(
        count in 1u32..6, outside in 20.0..120.0f64, core in 0.15..0.9f64, length in 0.2..4.0f64, faces in 0u32..13,
    ) {
        let stack = Stack::equal(
            count, Length::mm(outside), Length::mm(core * outside), Length::mm(length * outside), faces.min(2 * count)).unwrap();
        let bates = stack.bates();
        for share in 0..100 {
            let area = stack.area_at(Length::from_si(bates.web_m.si() * f64::from(share) / 100.0));
            prop_assert!(area.si() <= bates.area_max_m2.si() * (1.0 + 1e-9));
        }
    }

    #[test]
    fn flow_comes_back_from_every_side(k in 1.02..1.67f64, mach in 1.001..5.0f64) {
        let at = nozzle_flow(k, FlowKnown::Mach(mach)).unwrap();
        // A small change of area near the throat is a large one of Mach number: the area is what must agree.
        let by_area = nozzle_flow(k, FlowKnown::AreaRatio(at.area_ratio)).unwrap();
        close(by_area.area_ratio, at.area_ratio, 1e-12);
        prop_assert!(mach < 1.05 || (by_area.mach / mach - 1.0).abs() < 1e-12, "{} {}", by_area.mach, mach);
        let by_pressure = nozzle_flow(k, FlowKnown::PressureRatio(at.pressure_ratio)).unwrap();
        close(by_pressure.mach, mach, 1e-12);
        close(by_pressure.temperature_ratio, at.temperature_ratio, 1e-12);
    }

    #[test]
    fn subsonic_flow_comes_back_from_its_pressure(k in 1.02..1.67f64, mach in 1e-3..1.0f64) {
        let at = nozzle_flow(k, FlowKnown::Mach(mach)).unwrap();
        close(nozzle_flow(k, FlowKnown::PressureRatio(at.pressure_ratio)).unwrap().mach, mach, 1e-9);
    }

    #[test]
    fn the_chamber_is_in_balance(area in 1e-3..0.5f64, throat in 4.0..60.0f64, exponent in -0.3..0.8f64) {
        let chamber = Chamber {
            burning_area: Area::from_si(area),
            throat: Length::mm(throat),
            density: Density::from_si(1700.0),
            characteristic_velocity: Speed::from_si(1400.0),
            burn_rate: parse_burn_rate("7.0 mm/s at 5 MPa").unwrap(),
            exponent,
        };
        if let Ok(at) = equilibrium_pressure(&chamber) {
            // What burns is what leaves: rho r Ab = p At/c*.
            let throat_m2 = std::f64::consts::FRAC_PI_4 * (throat * 1e-3).powi(2);
            close(1700.0 * at.burn_rate_m_s.si() * area, at.pressure_pa.si() * throat_m2 / 1400.0, 1e-9);
            close(at.burn_rate_m_s.si(), 7e-3 * (at.pressure_pa.si() / 5e6).powf(exponent), 1e-12);
        }
    }

    #[test]
    fn higher_is_thinner(low in -4000.0..70_000.0f64, rise in 10.0..5000.0f64) {
        let at = |metres| atmosphere(Length::from_si(metres)).unwrap().pressure_pa.si();
        prop_assert!(at(low + rise) < at(low));
    }

    #[test]
    fn mass_is_kept_and_a_smaller_throat_is_a_higher_pressure(throat in 9.0..13.0f64, length in 40.0..120.0f64) {
        let at = |throat: f64| plan(&load((4, length, 43.0, 16.0), &format!("{throat} mm"), 8.0, ""));
        let wide = at(throat);
        // Flow p At/c* over time is the propellant.
        let throat_m2 = std::f64::consts::FRAC_PI_4 * (throat * 1e-3).powi(2);
        let mean_pa = wide.mean_pressure_pa.si() + 101_325.0;
        close(mean_pa * throat_m2 / 1370.0 * wide.burn_time_s.si(), wide.propellant_kg.si(), 1e-6);
        let narrow = at(throat * 0.99);
        prop_assert!(narrow.peak_pressure_pa > wide.peak_pressure_pa);
        prop_assert!(narrow.impulse_ns > wide.impulse_ns);
        prop_assert!(narrow.burn_time_s < wide.burn_time_s);
        // Pressure goes with Kn to 1/(1 - n), exactly.
        let power = (narrow.peak_pressure_absolute_pa.si() / wide.peak_pressure_absolute_pa.si()).ln()
            / (narrow.kn_max / wide.kn_max).ln();
        close(power, 1.0 / 0.64, 1e-9);
    }
}

#[test]
fn grains_that_differ_add_up() {
    let mm = Length::mm;
    let size = |length, inhibited_ends| GrainSize {
        outside_diameter: mm(43.0),
        core: mm(16.0),
        length: mm(length),
        inhibited_ends,
    };
    let mixed = Stack::of(&[size(75.0, 0), size(75.0, 0), size(50.0, 1)]).unwrap();
    let pair = Stack::equal(2, mm(43.0), mm(16.0), mm(75.0), 0).unwrap();
    let one = Stack::equal(1, mm(43.0), mm(16.0), mm(50.0), 1).unwrap();
    for web in [0.0, 3.0, 9.0, 13.4] {
        let web = mm(web);
        close(mixed.area_at(web).si(), pair.area_at(web).si() + one.area_at(web).si(), 1e-12);
        close(mixed.volume_at(web).si(), pair.volume_at(web).si() + one.volume_at(web).si(), 1e-12);
    }
    // A core twice as wide goes out at half the wall; the area then falls by what it had.
    let wide = GrainSize { core: mm(30.0), ..size(75.0, 0) };
    let uneven = Stack::of(&[wide, size(75.0, 0)]).unwrap();
    assert!((uneven.web().as_mm() - 13.5).abs() < 1e-12);
    let alone = Stack::of(&[size(75.0, 0)]).unwrap();
    close(uneven.area_at(mm(6.5)).si(), alone.area_at(mm(6.5)).si(), 1e-12);
    assert!(uneven.bates().neutral_length_m.is_none());
}

#[test]
fn a_stack_of_two_kinds_burns_as_one() {
    let text = |grain: &str| {
        format!(
            "{grain}\n[propellant]\ndensity = \"1680 kg/m3\"\ncharacteristic_velocity = \"1370 m/s\"\nburn_rate = \"7.0 mm/s at 5 MPa\"\n\
             exponent = 0.36\nratio_of_heats = 1.2\n[nozzle]\nthroat = \"27/64 in\"\narea_ratio = 8\nefficiency = 0.95\n"
        )
    };
    let grain = |count: u32| {
        format!(
            "[[grain]]\ncount = {count}\noutside_diameter = \"43 mm\"\ncore = \"16 mm\"\nlength = \"75 mm\"\n"
        )
    };
    let split = proofmark::ballistics::Load::from_toml(&text(&(grain(1) + &grain(3)))).unwrap();
    let whole = plan(&forty_eight_b(""));
    let split = plan(&split);
    close(split.impulse_ns.si(), whole.impulse_ns.si(), 1e-12);
    close(split.peak_pressure_pa.si(), whole.peak_pressure_pa.si(), 1e-12);
}

#[test]
fn the_curve_is_the_burn() {
    let plan = plan(&forty_eight_b(""));
    let (first, last) = (plan.curve.first().unwrap(), plan.curve.last().unwrap());
    assert_eq!(first.time_s.si(), 0.0);
    close(last.time_s.si(), plan.burn_time_s.si(), 1e-12);
    close(last.web_m.si(), plan.web_m.si(), 1e-12);
    assert_eq!((first.kn, last.kn), (plan.kn_start, plan.kn_end));
    let mut impulse = 0.0;
    for pair in plan.curve.windows(2) {
        assert!(pair[1].time_s >= pair[0].time_s);
        let mean = f64::midpoint(pair[0].thrust_n.si(), pair[1].thrust_n.si());
        impulse += mean * (pair[1].time_s.si() - pair[0].time_s.si());
    }
    close(impulse, plan.impulse_ns.si(), 1e-3);
    // Thrust is CF p At: highest where the pressure is.
    let peak = plan.curve.iter().map(|it| it.thrust_n.si()).fold(0.0, f64::max);
    close(peak, plan.peak_thrust_n.si(), 1e-9);
}

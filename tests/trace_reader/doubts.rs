//! A peak nobody knows is not called known: cut off at its top, or put aside although it may have been real.

use proofmark::trace::{ReadOptions, ReduceOptions, Reduction, read, reduce};
use rstest::rstest;
use serde_json::Value;

use super::bench::{Bench, both, burn, cut_at, thrust};

fn reduced(text: &str) -> Reduction {
    reduce(&read(text.as_bytes(), &ReadOptions::default()).unwrap(), &ReduceOptions::default()).unwrap()
}

#[test]
fn a_trace_cut_off_at_its_top_is_a_lower_bound_everywhere() {
    let bench = Bench::new();
    let full = thrust(200.0, |t| burn(t, 950.0));
    let cut = cut_at(&full, 520.0);
    bench.write("cut.csv", &cut);
    // Before it is logged.
    let said = bench.good("trace cut.csv --load 500 --casing TR-1");
    assert!(said.contains("peak thrust            at least 520"), "{said}");
    assert!(said.contains("peak over plan         at least 1.0"), "{said}");
    assert!(said.contains("mean at least 1.2") && said.contains("impulse at least 1.0"), "{said}");
    assert!(!said.contains("nothing out of the way") && !said.contains("feeds the batch"), "{said}");
    assert!(said.contains("peak-known") && said.contains("burn-rate factor       none: "), "{said}");
    // A firing that is known, and this one.
    let clean = bench.fire("02-01", &thrust(200.0, |t| burn(t, 500.0)), "");
    assert!(!clean.contains("lower bound"), "{clean}");
    bench.keep("02-02");
    assert_eq!(bench.json("show TR-1")["standing"], "in service");
    let logged = bench.fire("03-01", &cut, "");
    assert!(logged.contains("its peak is a lower bound"), "{logged}");
    let hold = bench.held_by("peak-known").expect("the peak is not known");
    assert!(hold.contains("at least 520") && hold.contains("cut off"), "{hold}");
    let page = bench.good("show TR-1");
    let line = page.lines().find(|line| line.contains("static firing") && line.contains("520")).unwrap();
    assert!(line.contains("at least 520") && line.contains("at least 1.0"), "{line}");
    // One name does not settle it; two do.
    let strip = "log strip --casing TR-1 --on 2026-03-02 --as-found good --heat good --straight-edge good --effort good --seals good \
         --liner good --throat good --cleaned good --diameters good --bore good --penetrant good \
         --od|12 mm @ 0: 50.80 mm|--od|100 mm @ 0: 50.80 mm|";
    bench.good(strip);
    bench.good("log disposition --casing TR-1 --on 2026-03-02 --decision keep --reason fine");
    assert!(bench.held_by("peak-known").is_some(), "{:?}", bench.reasons());
    bench.good(
        "log disposition --casing TR-1 --on 2026-03-03 --decision keep --reason fine --second|Ola Second|",
    );
    assert!(bench.held_by("peak-known").is_none(), "{:?}", bench.reasons());
    // Neither drift nor the batch's fit uses it, and both say why.
    let drift = bench.json("drift");
    let firings = drift["batches"][0]["firings"].as_array().unwrap().clone();
    assert!(firings[0]["factor"].is_number() && firings[0]["left_out"].is_null(), "{firings:?}");
    assert!(firings[1]["factor"].is_null(), "{firings:?}");
    assert!(firings[1]["left_out"].as_str().unwrap().contains("lower bound"), "{firings:?}");
    let batch = bench.json("batch B1");
    assert!(batch["firings"][1]["left_out"].as_str().unwrap().contains("lower bound"), "{batch}");
}

#[test]
fn what_a_bound_already_forbids_stays_forbidden() {
    let bench = Bench::new();
    bench.fire("02-01", &cut_at(&thrust(200.0, |t| burn(t, 950.0)), 800.0), "");
    let hold = bench.held_by("peak-far-over-plan").expect("1.6 of the plan is too much already");
    assert!(hold.contains("came to at least 1.6"), "{hold}");
    assert!(bench.held_by("peak-known").is_some());
    // A bound far under the plan says nothing of too little.
    let other = Bench::new();
    other.fire("02-01", &cut_at(&thrust(200.0, |t| burn(t, 950.0)), 300.0), "");
    assert!(other.held_by("peak-known").is_some() && other.held_by("peak-under-plan").is_none());
}

#[test]
fn a_pressure_read_elsewhere_stays_known_and_an_old_reduction_reads_as_before() {
    let bench = Bench::new();
    let cut = cut_at(&thrust(200.0, |t| burn(t, 950.0)), 520.0);
    bench.fire("02-01", &cut, "--peak-pressure|4.1 MPa|--peak-from|pressure channel|");
    assert!(bench.held_by("peak-known").is_none(), "{:?}", bench.reasons());
    // A reduction without the key, as it was kept before.
    use proofmark::book::EntryId;
    use proofmark::book::cut_off::PeakKnown;
    use proofmark::book::details::TraceRecord;
    let mut trace = TraceRecord {
        casing: "TR-1".into(),
        firing: EntryId(uuid::Uuid::nil()),
        file: "a.csv".into(),
        sha256: String::new(),
        bytes: 0,
        columns: None,
        reduction: serde_json::to_value(reduced(&cut)).unwrap(),
    };
    let known = PeakKnown { pressure_pa: None, from: None, thrust_n: trace.number("peak_thrust_n") };
    assert!(known.only_from_below(&trace).is_some());
    trace.reduction.as_object_mut().unwrap().remove("peak_cut_off");
    assert!(known.only_from_below(&trace).is_none());
}

#[test]
fn a_pressure_cut_off_is_not_known_either() {
    let bench = Bench::new();
    let text = both(200.0, |t| burn(t, 500.0), |t| burn(t, 6e6));
    let cut: String = text
        .lines()
        .map(|line| match line.rsplit_once(',').map(|(rest, p)| (rest, p.parse::<f64>())) {
            Some((rest, Ok(p))) => format!("{rest},{:.0}\n", p.min(4.0e6)),
            _ => format!("{line}\n"),
        })
        .collect();
    bench.write("p.csv", &cut);
    let said = bench.good("trace p.csv");
    assert!(said.contains("peak pressure          at least ") && said.contains("clipped flat top"), "{said}");
    bench.fire("02-01", &cut, "");
    let hold = bench.held_by("peak-known").expect("the peak is not known");
    assert!(hold.contains("pressure: the readings are cut off"), "{hold}");
}

#[rstest]
#[case::few(1000.0, 0.012)]
#[case::slow(40.0, 0.13)]
fn a_top_cut_off_for_a_moment_is_told(#[case] rate: f64, #[case] length_s: f64) {
    let bump = |t: f64| burn(t, 500.0) + if (0.6..0.6 + length_s).contains(&t) { 500.0 } else { 0.0 };
    let found = reduced(&cut_at(&thrust(rate, bump), 700.0));
    assert!(found.thrust.as_ref().unwrap().cut_off.is_some(), "{:?}", found.findings);
    let whole = reduced(&thrust(rate, bump));
    assert!(whole.thrust.unwrap().cut_off.is_none());
}

#[test]
fn a_filmed_scale_that_stands_still_at_its_top_is_over_its_range() {
    let filmed = |limit: f64| -> Reduction {
        let mut text = String::from("frame,reading (g)\n");
        for i in (0..150).step_by(6) {
            let t = f64::from(i) / 30.0 - 1.5;
            let grams = burn(t, 500.0) / 9.80665 * 1000.0 + f64::from(i * 37 % 11);
            text.push_str(&format!("{i},{:.0}\n", grams.min(limit)));
        }
        let mut options = ReadOptions::default();
        let words = ["time=frame:frames@30"];
        options.time =
            proofmark::desk::traces::read_options(words.into_iter(), std::iter::empty()).unwrap().time;
        reduce(&read(text.as_bytes(), &options).unwrap(), &ReduceOptions::default()).unwrap()
    };
    let over = filmed(40_000.0).thrust.unwrap();
    assert!(over.cut_off.as_ref().unwrap().contains("the display stands still"), "{:?}", over.cut_off);
    let within = filmed(90_000.0).thrust.unwrap();
    assert!(within.cut_off.is_none() && within.peak_is_lower_bound, "{:?}", within.cut_off);
}

/// 950 N for 20 ms, 50 ms after ignition, in a burn of 480 N.
fn hard_start(t: f64) -> f64 {
    if (0.05..0.07).contains(&t) { 950.0 } else { burn(t, 480.0) }
}

#[test]
fn a_jump_right_after_ignition_is_judged_as_if_it_were_real() {
    let bench = Bench::new();
    let text = thrust(100.0, hard_start);
    bench.write("s.csv", &text);
    let said = bench.good("trace s.csv --load 500 --casing TR-1");
    assert!(said.contains("possible hard start") && !said.contains("nothing out of the way"), "{said}");
    let real = said.lines().find(|line| line.contains("if it was real")).expect("the careful side");
    assert!(
        real.contains("95") && real.contains(" N at 1.5") && real.contains("20.0 ms (2 samples)"),
        "{real}"
    );
    bench.fire("02-01", &text, "");
    let hold = bench.held_by("peak-far-over-plan").expect("1.9 of the plan, if it is real");
    assert!(hold.contains("as much as 1.9") && hold.contains("if what was put aside is real"), "{hold}");
    let kept = bench.json("show TR-1").to_string();
    assert!(kept.contains("possible hard start, put aside"), "{kept}");
}

#[test]
fn another_channel_can_speak_against_a_jump() {
    let steady = |t: f64| burn(t, 3.9e6);
    let against = reduced(&both(100.0, hard_start, steady));
    let finding = against.findings.iter().find(|it| it.pattern == "possible hard start").unwrap();
    assert!(finding.evidence_against.contains("shows nothing of it"), "{finding:?}");
    assert!(against.thrust.unwrap().peak_if_real().is_none());
    // Pressure that shares it does not.
    let shared = reduced(&both(100.0, hard_start, |t| hard_start(t) / 480.0 * 3.9e6));
    assert!(shared.thrust.as_ref().unwrap().peak_if_real().is_some(), "{:?}", shared.findings);
    // Nor does one that was cut off.
    let cut = reduced(&both(100.0, hard_start, |t| steady(t).min(2.0e6)));
    let text = serde_json::to_value(&cut).unwrap();
    assert_eq!(
        text["peak_thrust_if_real_n"].is_number(),
        text["peak_pressure_cut_off"].is_string(),
        "{text}"
    );
}

#[test]
fn a_single_jump_far_from_ignition_is_put_aside_and_told() {
    let text = thrust(100.0, |t| if (1.0..1.009).contains(&t) { 3000.0 } else { burn(t, 480.0) });
    let found = reduced(&text);
    assert!(found.findings.is_empty(), "{:?}", found.findings);
    let thrust = found.thrust.unwrap();
    assert!((thrust.peak - 480.0).abs() < 5.0 && thrust.peak_if_real().is_none());
    let gone = &thrust.put_aside[0];
    assert!((gone.value - 3000.0).abs() < 3.0 && (gone.at_s - 2.5).abs() < 1e-9, "{gone:?}");
    let bench = Bench::new();
    bench.write("far.csv", &text);
    let said = bench.good("trace far.csv");
    assert!(said.contains(" N at 2.500 s for 10.0 ms (1 sample)"), "{said}");
    // Two samples may have been real.
    let two = reduced(&thrust_of_two());
    assert!(two.thrust.unwrap().peak_if_real().is_some(), "{:?}", two.findings);
}

fn thrust_of_two() -> String {
    thrust(100.0, |t| if (1.0..1.019).contains(&t) { 3000.0 } else { burn(t, 480.0) })
}

#[test]
fn a_pulse_apart_from_the_burn_is_judged_as_if_it_were_real() {
    let bench = Bench::new();
    let text = thrust(200.0, |t| if (-1.0..-0.98).contains(&t) { 4500.0 } else { burn(t, 480.0) });
    bench.write("p.csv", &text);
    let found: Value = bench.json("trace p.csv --load 500 --casing TR-1");
    assert_eq!(found["findings"][0]["pattern"], "pulse apart from the burn");
    let rules: Vec<&str> = found["disposition"]["proposals"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| it["rule"].as_str().unwrap())
        .collect();
    assert!(rules.contains(&"peak-far-over-plan"), "{rules:?}");
}

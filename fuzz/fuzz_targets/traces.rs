//! Any bytes as a trace file, read as one of several people ask for it: the first byte chooses the columns, the rest is
//! the file. No panic; times are finite and never go back; a reading is finite or counted as missing; the number of
//! threads changes nothing; every number of a reduction is one, its places lie in the file; and holding it against a
//! plan and against itself works. The whole input is taken as words typed in front of a file, too.
#![no_main]

use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;
use proofmark::ballistics::Load;
use proofmark::desk::after::{against_firing, against_plan};
use proofmark::desk::trace_job::TraceJob;
use proofmark::desk::traces::read_options;
use proofmark::report::text::clean_lines;
use proofmark::trace::{Channel, ReadOptions, ReduceOptions, read, reduce_with};
use proofmark_fuzz::{assert_finite, assert_seen};

/// How columns are asked for.
const ASKED: &[(&[&str], &[&str])] = &[
    (&[], &[]),
    (&["time=1:s", "thrust=2:N"], &[]),
    (&["time=1:ms", "thrust=2:lbf", "pressure=3:psi"], &[]),
    (&["time=1:frames@29.97", "thrust=2:lbf"], &[]),
    (&["time=1:us", "thrust=2:N"], &["thrust=812.5,-203.1"]),
    (&["time=t:s", "pressure=p:MPa"], &[]),
    (&["thrust=reading:kg"], &[]),
    (&["time=1:min", "pressure=2:bar"], &["pressure=-1e3,4"]),
];

fn load() -> &'static Load {
    static LOAD: OnceLock<Load> = OnceLock::new();
    LOAD.get_or_init(|| Load::from_toml(include_str!("../seeds/forms/load")).unwrap())
}

fn whole(channel: &Channel, rows: usize) {
    assert_eq!(channel.values.len(), rows);
    assert!(channel.values.iter().all(|it| !it.is_infinite()));
    assert_eq!(channel.values.iter().filter(|it| it.is_nan()).count(), channel.missing);
}

fuzz_target!(|bytes: &[u8]| {
    let [first, file @ ..] = bytes else { return };
    if let Ok(words) = std::str::from_utf8(bytes) {
        let _ = TraceJob::typed(words);
    }
    let (columns, calibrations) = ASKED[usize::from(*first) % ASKED.len()];
    let mut options: ReadOptions =
        read_options(columns.iter().copied(), calibrations.iter().copied()).unwrap();
    options.threads = 1;
    let record = read(file, &options);
    options.threads = 3;
    // NaN is no value of its own, so what was read is compared as it prints.
    assert_eq!(format!("{:?}", read(file, &options)), format!("{record:?}"));
    let record = match record {
        Ok(record) => record,
        Err(error) => return assert_seen(&clean_lines(&error.to_string())),
    };
    assert!(record.time_s.iter().all(|at| at.is_finite()));
    assert!(record.time_s.is_sorted());
    for channel in [&record.thrust, &record.pressure].into_iter().flatten() {
        whole(channel, record.time_s.len());
    }
    let threshold = if first & 8 == 0 { 0.05 } else { 0.10 };
    let how = ReduceOptions {
        threshold,
        propellant_kg: Some(0.5),
        throats_m: vec![0.010],
        thrust_coefficient: Some(1.5),
    };
    let reduced = match reduce_with(&record, &how, &|| true) {
        Ok(reduced) => reduced,
        Err(error) => return assert_seen(&clean_lines(&error.to_string())),
    };
    let (from, to) = (record.time_s[0], record.time_s[record.time_s.len() - 1]);
    for channel in [&reduced.reduction.thrust, &reduced.reduction.pressure].into_iter().flatten() {
        for number in [
            channel.peak,
            channel.integral,
            channel.peak_filtered,
            channel.integral_uncertainty,
            channel.mean(),
        ] {
            assert!(number.is_finite(), "{channel:?}");
        }
        assert!(channel.peak > 0.0);
        assert!((from..=to).contains(&channel.peak_at_s), "{channel:?}");
        assert!(channel.integral_from_s <= channel.integral_to_s, "{channel:?}");
        for crossing in [channel.burn, channel.at_5_percent, channel.at_10_percent] {
            assert!(crossing.time_s() >= 0.0 && crossing.time_s().is_finite(), "{channel:?}");
        }
    }
    for curve in [&reduced.thrust, &reduced.pressure].into_iter().flatten() {
        assert!(curve.value.iter().chain(&curve.time_s).all(|it| it.is_finite()));
        assert!(curve.time_s.is_sorted());
    }
    let json = serde_json::to_value(&reduced.reduction).unwrap();
    let text = proofmark::report::text::trace("a file", &json);
    assert_seen(&clean_lines(&text));
    let _ = against_plan(&reduced, load(), "48A").map(|it| serde_json::to_value(it).unwrap());
    let same = serde_json::to_value(against_firing(&reduced, &reduced, "itself")).unwrap();
    assert_finite(&same, "against itself");
});

//! Files whose time column is a clock: the same burn, whatever the clock writes, and through midnight.

#![allow(clippy::unwrap_used)]

use proofmark::trace::{ColumnChoice, ReadOptions, Record, ReduceOptions, TraceError, read, reduce};
use rstest::rstest;

/// A trapezoid of 500 N and two seconds, 200 rows a second, a second of quiet before and after.
fn rows(begin_s: f64, stamp: impl Fn(f64) -> String, separator: char, comma: bool) -> String {
    (0..800)
        .map(|i| {
            let t = f64::from(i) / 200.0;
            let thrust = ((t - 1.0) / 0.05).min((3.0 - t) / 0.05).clamp(0.0, 1.0) * 500.0;
            let reading = format!("{thrust:.3}");
            let reading = if comma { reading.replace('.', ",") } else { reading };
            format!("{}{separator}{reading}\n", stamp(begin_s + t))
        })
        .collect()
}

fn parts(t: f64) -> (u32, u32, f64) {
    let t = t.rem_euclid(86_400.0);
    ((t / 3600.0) as u32, (t / 60.0) as u32 % 60, t % 60.0)
}

fn clock(t: f64) -> String {
    let (h, m, s) = parts(t);
    format!("{h:02}:{m:02}:{s:06.3}")
}

fn check(record: &Record) {
    let found = reduce(record, &ReduceOptions::default()).unwrap();
    let thrust = found.thrust.unwrap();
    assert!((thrust.integral / 975.0 - 1.0).abs() < 1e-3, "{}", thrust.integral);
    assert!((thrust.at_5_percent.time_s() - 1.995).abs() < 0.01, "{}", thrust.at_5_percent.time_s());
    assert!((found.sample_interval_s - 0.005).abs() < 1e-6, "{}", found.sample_interval_s);
}

#[rstest]
#[case("time,thrust (N)", 43_384.0, ',', clock)]
#[case("Clock;Load [N]", 43_384.0, ';', clock)]
#[case("time (ms)\tthrust (N)", 43_384.0, '\t', clock)]
#[case("time,thrust (N)", 86_398.2, ',', clock)]
#[case("time thrust_N", 86_398.2, ' ', clock)]
#[case("stamp,thrust (N)", 43_384.0, ',', |t| format!("2026-01-02T{}Z", clock(t)))]
#[case("stamp,thrust (N)", 43_384.0, ',', |t| format!("\"02.01.2026 {}\"", clock(t)))]
#[case("date,time,thrust (N)", 86_398.2, ',', |t| format!("2026-01-0{},{}", if t < 86_400.0 { 2 } else { 3 }, clock(t)))]
#[case("stamp,thrust (N)", 86_398.2, ',', |t| format!("2026-01-{} {}", if t < 86_400.0 { 31 } else { 30 }, clock(t)).replace("01-30", "02-01"))]
#[case("time,thrust (N)", 43_198.5, ',', |t| {
    let (h, m, s) = parts(t);
    format!("{}:{m:02}:{s:06.3} {}", (h + 11) % 12 + 1, if h < 12 { "AM" } else { "PM" })
})]
#[case("time,thrust (N)", 130.0, ',', |t| format!("{:02}:{:06.3}", (t / 60.0) as u32, t % 60.0))]
fn a_clock_is_read_as_time(
    #[case] header: &str,
    #[case] begin_s: f64,
    #[case] separator: char,
    #[case] stamp: fn(f64) -> String,
) {
    let text = format!("# logger 7\n{header}\n{}", rows(begin_s, stamp, separator, separator == ';'));
    check(&read(text.as_bytes(), &ReadOptions::default()).unwrap());
    let wide: Vec<u8> =
        [0xFF, 0xFE].into_iter().chain(text.encode_utf16().flat_map(u16::to_le_bytes)).collect();
    check(&read(&wide, &ReadOptions::default()).unwrap());
}

#[test]
fn a_clock_beside_the_column_asked_for_changes_nothing() {
    let plain: String = rows(0.0, |t| format!("{},{t:.3}", clock(50_000.0)), ',', false);
    let text = format!("wall,t_s,thrust_N\n{plain}");
    let options = ReadOptions {
        time: Some(ColumnChoice { column: "t_s".into(), unit: None }),
        ..ReadOptions::default()
    };
    check(&read(text.as_bytes(), &options).unwrap());
}

#[test]
fn a_row_whose_stamp_is_none_is_told_with_its_number() {
    let text = format!(
        "time,thrust (N)\n{}later,5\n{}",
        rows(100.0, clock, ',', false),
        rows(110.0, clock, ',', false)
    );
    let error = read(text.as_bytes(), &ReadOptions::default()).unwrap_err();
    assert!(matches!(error, TraceError::NotANumber { row: 802, .. }), "{error}");
    let backwards =
        format!("time,thrust (N)\n{}{}", rows(200.0, clock, ',', false), rows(100.0, clock, ',', false));
    assert!(matches!(
        read(backwards.as_bytes(), &ReadOptions::default()),
        Err(TraceError::Backwards { row: 802, .. })
    ));
}

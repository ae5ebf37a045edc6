//! Reading and reducing a long trace: five million rows of three columns, made in memory.

use std::fmt::Write as _;
use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use proofmark::trace::{ReadOptions, ReduceOptions, read, reduce};

const ROWS: u32 = 5_000_000;

/// A plateau with a rise and a tail-off, thrust and pressure, with a scatter that is the same every time.
fn made(rows: u32) -> String {
    let mut text = String::with_capacity(rows as usize * 27);
    text.push_str("time_s,thrust_N,pressure_MPa\n");
    let mut seed = 1u32;
    for i in 0..rows {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let scatter = f64::from(seed >> 8) / f64::from(1u32 << 24) - 0.5;
        let x = f64::from(i) / f64::from(rows);
        let level = ((x - 0.04) / 0.01).min((0.84 - x) / 0.06).clamp(0.0, 1.0);
        let _ = writeln!(
            text,
            "{:.5},{:.4},{:.5}",
            f64::from(i) * 1e-5 - 2.0,
            1500.0 * level + 4.0 * scatter,
            5.0 * level + 0.02 * scatter
        );
    }
    text
}

fn trace(c: &mut Criterion) {
    let text = made(ROWS);
    let bytes = text.as_bytes();
    let mut group = c.benchmark_group("trace, 5,000,000 rows of three columns");
    group.sample_size(10);
    group.throughput(Throughput::Bytes(bytes.len() as u64));
    group.bench_function("read", |b| b.iter(|| read(black_box(bytes), &ReadOptions::default())));
    if let Ok(record) = read(bytes, &ReadOptions::default()) {
        group.bench_function("reduce", |b| b.iter(|| reduce(black_box(&record), &ReduceOptions::default())));
    }
    group.finish();
}

criterion_group!(benches, trace);
criterion_main!(benches);

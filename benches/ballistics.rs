//! One prediction, 100,000 scattered peaks (held under half a second), and a calculator as it is typed into.
#![allow(missing_docs, clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use proofmark::ballistics::{Load, predict, scatter};
use proofmark::desk::calculators;

const LOAD: &str = r#"
[grain]
count = 4
outside_diameter = "43 mm"
core = "16 mm"
length = "75 mm"
[propellant]
density = "1680 kg/m3"
characteristic_velocity = "1370 m/s"
burn_rate = "7.0 mm/s at 5 MPa"
exponent = 0.36
ratio_of_heats = 1.2
[nozzle]
throat = "27/64 in"
area_ratio = 8
efficiency = 0.95
[scatter]
burn_rate = 0.03
burning_area = 0.015
characteristic_velocity = 0.01
throat = 0.005
model = 0.03
"#;

fn bench(criterion: &mut Criterion) {
    let load = Load::from_toml(LOAD).unwrap();
    let plan = predict(&load).unwrap();
    criterion.bench_function("predict one load", |bencher| bencher.iter(|| predict(black_box(&load))));
    criterion.bench_function("scatter 100,000 draws", |bencher| {
        bencher.iter(|| scatter(black_box(&load), &plan, 100_000, 1));
    });
    let given: BTreeMap<String, String> = [("od", "3.5 in"), ("wall", "0.216 in"), ("yield", "35 ksi")]
        .into_iter()
        .map(|(key, value)| (key.to_owned(), value.to_owned()))
        .collect();
    criterion.bench_function("run a calculator", |bencher| {
        bencher.iter(|| calculators::run("yield-pressure", black_box(&given)));
    });
}

criterion_group!(benches, bench);
criterion_main!(benches);

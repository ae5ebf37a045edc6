//! A full margins table of one casing: held under 20 microseconds, so that a rack of them costs nothing.
#![allow(missing_docs)]

use criterion::{Criterion, criterion_group, criterion_main};
use proofmark::design::{Design, End, EndKind, Plate, PlateEdge, Service, Tube};
use proofmark::quantity::{GaugePressure, Length, Stress, Temperature, Typed};
use proofmark::strength::{LocalSpot, LocalState, margins};
use std::hint::black_box;

fn mm(value: f64) -> Option<Typed<Length>> {
    Some(Typed::computed(Length::mm(value)))
}

/// Thistle with a plate in its plug, a warm wall and one thin spot: every family of modes but rings and threads.
fn thistle() -> Design {
    let wall = Typed::computed(Length::inches(0.065));
    Design {
        tube: Tube {
            material: "6061-T6".into(),
            form: None,
            od: Typed::computed(Length::inches(2.0)),
            wall: wall.clone(),
            wall_min: Some(wall),
            length: None,
            yield_strength: None,
            ultimate_strength: None,
            modulus: None,
            poisson: None,
        },
        forward: End {
            leg: mm(2.8),
            plate: Some(Plate {
                thickness: Typed::computed(Length::mm(9.5)),
                edge: PlateEdge::Supported,
                material: None,
            }),
            ..End::bare(EndKind::WeldedPlug)
        },
        aft: End {
            count: Some(8),
            bolt: Some("10-32".into()),
            edge: mm(10.0),
            bolt_ultimate: Some(Typed::computed(Stress::ksi(150.0))),
            ..End::bare(EndKind::RadialBolts)
        },
        service: Service {
            meop: Typed::computed(GaugePressure::mpa(5.7)),
            wall_temperature: Some(Typed::computed(Temperature::celsius(60.0))),
        },
    }
}

fn bench(criterion: &mut Criterion) {
    let design = thistle();
    let local = LocalState {
        spots: vec![LocalSpot {
            place: "station 250".into(),
            remaining_wall: Some(Length::mm(1.5)),
            ..LocalSpot::default()
        }],
        wall_temperature: None,
    };
    criterion.bench_function("margins of one casing", |bencher| {
        bencher.iter(|| margins(black_box(&design), None, black_box(&local)));
    });
}

criterion_group!(benches, bench);
criterion_main!(benches);

//! A hull fitted to what a tape measured, as it is anew with every figure that a person types: few
//! measures and many. Target: 100 ms.

#![allow(missing_docs, clippy::unwrap_used)]

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use keelstead_boat::family::{BottomHeight, Family, HalfBreadth, Measures, fit};

fn few() -> Measures {
    let mut measures = Measures::new(9.4, 2.9);
    measures.draft_m = Some(1.5);
    measures.height_bow_m = Some(2.8);
    measures.height_stern_m = Some(2.5);
    measures.keel_start_m = Some(1.3);
    measures.keel_length_m = Some(3.4);
    measures.displacement_kg = Some(5_400.0);
    measures
}

fn many() -> Measures {
    let mut measures = few();
    for (station_m, half) in [(0.8, 0.8), (2.5, 1.3), (4.5, 1.42), (6.5, 1.0), (8.2, 0.4)] {
        for (level, share) in [(None, 0.97), (Some(2.0), 1.0), (Some(1.6), 0.93)] {
            measures.half_breadths.push(HalfBreadth {
                station_m,
                height_m: level,
                half_breadth_m: half * share,
            });
        }
    }
    for (station_m, height_m) in [(2.5, 1.2), (4.5, 1.05), (6.5, 1.3)] {
        measures.bottom_heights.push(BottomHeight {
            station_m,
            off_m: 0.5,
            height_m,
        });
    }
    measures
}

fn fitting(c: &mut Criterion) {
    let mut group = c.benchmark_group("fit a full-keel hull");
    group.sample_size(20);
    for (name, measures) in [("8 measures", few()), ("26 measures", many())] {
        group.bench_with_input(
            BenchmarkId::from_parameter(name),
            &measures,
            |b, measures| {
                b.iter(|| fit(Family::FullKeel, black_box(measures)).unwrap());
            },
        );
    }
    group.finish();
}

criterion_group!(benches, fitting);
criterion_main!(benches);

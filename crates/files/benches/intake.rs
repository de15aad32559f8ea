//! What people wait for with a scan: from a binary STL of a million triangles to a checked hull, unit,
//! axes, middle plane, sides, shells and holes found on the way. Target: 3 s.

#![allow(missing_docs, clippy::unwrap_used)]

mod scan;

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use keelstead_geometry::math::Vec3;
use scan::{imported, opened, scan};

fn large_scan(c: &mut Criterion) {
    let bytes = scan();
    let hull = imported(&bytes);
    let found = &hull.examined;
    assert_eq!(
        found.sides.shells.len(),
        1,
        "{:?}",
        found.sides.shells.len()
    );
    assert!(found.sides.turned > 300_000);
    let size = opened(&hull).bounds.extents();
    assert!((size - Vec3::new(9.4, 3.0, 1.4)).length() < 0.01, "{size}");
    println!("{} triangles", hull.parts[0].triangles.len());
    let mut group = c.benchmark_group("a million triangles");
    group.sample_size(10);
    group.bench_function("STL to a checked hull", |b| {
        b.iter(|| opened(&imported(black_box(&bytes))));
    });
    group.finish();
}

criterion_group!(benches, large_scan);
criterion_main!(benches);

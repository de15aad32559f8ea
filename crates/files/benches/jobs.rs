//! What people wait for: opening a large scan, and the check after every edit.
//!
//! The large hull is the demo's Eider, every triangle cut into 25: 957,150 of them, in the same
//! twelve parts, against the 66 parts of the long trailer in her job. Targets: every clearance and
//! a whole check within 10 ms, a binary STL of that size opened within 1.5 s, a check of a demo job
//! as drawn within 4 ms.

#![allow(missing_docs, clippy::unwrap_used)]

use std::hint::black_box;
use std::sync::Arc;

use criterion::{Criterion, criterion_group, criterion_main};
use keelstead::check::{check, check_as_drawn};
use keelstead::findings::Findings;
use keelstead_boat::hull::{Hull, HullFacts, HullPart};
use keelstead_demo_data::FILES;
use keelstead_files::hull_file::{Axes, Axis, HullFile, LengthUnit};
use keelstead_files::source::Memory;
use keelstead_files::{OpenJob, Silent, open, open_job};
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_geometry::mesh::Mesh;
use keelstead_load::rig::Rig;
use keelstead_load::rig_parts::RigPart;
use keelstead_load::{clearance, load};

/// Pieces along each edge of a triangle of the large hull.
const CUT: u32 = 5;

/// A way to check.
type Check = fn(&Hull, &Rig, &load::Load) -> Findings;

/// Every way to check: whole, and as drawn under a hand that drags.
const HOW: [(&str, Check); 2] = [("check", check), ("as drawn", check_as_drawn)];

fn demo() -> Memory {
    Memory::new(
        FILES
            .iter()
            .map(|(path, bytes)| ((*path).to_owned(), bytes.to_vec())),
    )
}

fn job(path: &str) -> OpenJob {
    open_job(&demo(), path, &Silent).unwrap()
}

/// Each triangle as [`CUT`]² of the same shape. Two neighbours reckon a point of their common edge
/// alike, to the last bit.
fn cut(mesh: &Mesh) -> Vec<[Vec3; 3]> {
    let mut pieces = Vec::with_capacity(mesh.triangles().len() * (CUT * CUT) as usize);
    for corners in mesh.triangles() {
        let at = |i: u32, j: u32| {
            let mut weighed = [(corners[0], CUT - i - j), (corners[1], i), (corners[2], j)];
            weighed.sort_unstable();
            weighed.iter().fold(Vec3::ZERO, |sum, &(vertex, weight)| {
                sum + mesh.vertices()[vertex as usize] * (f64::from(weight) / f64::from(CUT))
            })
        };
        for i in 0..CUT {
            for j in 0..CUT - i {
                pieces.push([at(i, j), at(i + 1, j), at(i, j + 1)]);
                if i + j + 2 <= CUT {
                    pieces.push([at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)]);
                }
            }
        }
    }
    pieces
}

fn large(hull: &Hull) -> Hull {
    let parts: Vec<HullPart> = hull
        .parts
        .iter()
        .map(|part| HullPart {
            mesh: Arc::new(Mesh::welded(&cut(&part.mesh)).unwrap()),
            ..part.clone()
        })
        .collect();
    for (part, from) in parts.iter().zip(&hull.parts) {
        let (cut, whole) = (part.mesh.topology(), from.mesh.topology());
        assert_eq!(
            (cut.boundary_edges > 0, cut.shells),
            (whole.boundary_edges > 0, whole.shells),
            "{}",
            part.name
        );
    }
    let facts = HullFacts {
        mass: hull.mass,
        centre: hull.centre,
        shape_tolerance_m: hull.shape_tolerance_m,
        ..HullFacts::default()
    };
    Hull::new(hull.name.clone(), parts, facts).unwrap()
}

/// A surface cut finer has the same gaps; what is fast and wrong is not worth a bench.
fn same_gaps(whole: &Hull, cut: &Hull, parts: &[RigPart], trailer_from_hull: &Pose) {
    let gaps = |hull| clearance::all_pairs(hull, parts, trailer_from_hull);
    for (a, b) in gaps(whole).iter().zip(&gaps(cut)) {
        let same = (a.gap_m - b.gap_m).abs() < 1e-6 || (a.gap_m < 1e-6 && b.gap_m < 1e-6);
        assert!(same, "{a:?} became {b:?}");
    }
}

/// A binary STL of all parts of a hull.
fn stl(hull: &Hull) -> Vec<u8> {
    let triangles: Vec<[Vec3; 3]> = hull
        .parts
        .iter()
        .flat_map(|part| {
            let at = |i: u32| part.mesh.vertices()[i as usize];
            part.mesh.triangles().iter().map(move |t| t.map(at))
        })
        .collect();
    let mut bytes = vec![0; 80];
    bytes.extend((triangles.len() as u32).to_le_bytes());
    for triangle in &triangles {
        bytes.extend([0; 12]);
        for coordinate in triangle.iter().flat_map(|corner| corner.to_array()) {
            bytes.extend((coordinate as f32).to_le_bytes());
        }
        bytes.extend([0; 2]);
    }
    bytes
}

fn large_hull(c: &mut Criterion) {
    let job = job("jobs/eider-too-high.json");
    let hull = large(&job.hull);
    let triangles: usize = hull.parts.iter().map(|p| p.mesh.triangles().len()).sum();
    assert!(triangles >= 900_000, "{triangles} triangles");
    let load = job.job.load;
    let found = check(&hull, &job.rig, &load);
    assert!(
        found.rig_parts.len() >= 60,
        "{} parts",
        found.rig_parts.len()
    );
    println!(
        "{triangles} triangles in {} parts, {} parts of the rig",
        hull.parts.len(),
        found.rig_parts.len()
    );
    let trailer_from_hull = found.trailer_from_hull.pose();
    same_gaps(&job.hull, &hull, &found.rig_parts, &trailer_from_hull);
    let mut group = c.benchmark_group("large hull");
    group.sample_size(10);
    group.bench_function("all clearances", |b| {
        b.iter(|| clearance::all_pairs(&hull, &found.rig_parts, black_box(&trailer_from_hull)));
    });
    // Each round moves the boat a millimetre to and fro, as a hand on her would.
    let moved = load::Load {
        stand: load::HullPosition {
            x_m: load.stand.x_m + 0.001,
            ..load.stand
        },
        ..load.clone()
    };
    let mut forward = false;
    for (name, how) in HOW {
        group.bench_function(format!("{name} after an edit"), |b| {
            b.iter(|| {
                forward = !forward;
                how(&hull, &job.rig, if forward { &moved } else { &load })
            });
        });
    }
    let axes = Axes {
        forward: Axis::PlusX,
        up: Axis::PlusZ,
    };
    let described = HullFile::for_mesh("Eider", "large.stl", LengthUnit::Metre, axes);
    let source = Memory::new([("hulls/large.stl".to_owned(), stl(&hull))]);
    group.bench_function("open a binary STL", |b| {
        b.iter(|| open::hull_of(&source, &described, "hulls/eider.json", &Silent).unwrap());
    });
    group.finish();
}

fn demo_jobs(c: &mut Criterion) {
    for (name, how) in HOW {
        let mut group = c.benchmark_group(name);
        group.sample_size(10);
        for (path, _) in FILES.iter().filter(|(path, _)| path.starts_with("jobs/")) {
            let job = job(path);
            group.bench_function(*path, |b| {
                b.iter(|| how(&job.hull, &job.rig, black_box(&job.job.load)));
            });
        }
        group.finish();
    }
}

criterion_group!(benches, large_hull, demo_jobs);
criterion_main!(benches);

//! What lies inside the real boat meshes that lie outside the repository: small cubes all over the box of each,
//! against the winding number summed over the solid angle of every triangle (van Oosterom and Strackee, "The
//! Solid Angle of a Plane Triangle", IEEE Transactions on Biomedical Engineering 30, 1983), for the boat as one part and
//! split along planes.

#![allow(clippy::unwrap_used)]

use std::f64::consts::PI;
use std::sync::Arc;

use keelstead_boat::hull::{Hull, HullFacts, HullPart, PartKind, PartUse};
use keelstead_files::mesh_file;
use keelstead_geometry::math::{Point, Pose, Vec3};
use keelstead_geometry::mesh::Mesh;
use keelstead_geometry::shape::Shape;
use keelstead_load::clearance::all_pairs;
use keelstead_load::rig_parts::{RigPart, RigPartKind};

type Triangle = [Vec3; 3];

/// Which of a file's axes run along the boat, across it and up.
const FILES: [(&str, [usize; 3]); 5] = [
    ("sailing_yacht_cabin_12m.obj", [0, 1, 2]),
    ("motorboat_hard_chine_9m_mm.stl", [0, 1, 2]),
    ("open_launch_nonmanifold_9m.stl", [1, 0, 2]),
    ("developable_motorboat.obj", [2, 0, 1]),
    ("enclosed_lifeboat_5m.stl", [1, 0, 2]),
];

/// The triangles of a file, ten metres long, x along the boat, y across, z up.
fn triangles(bytes: &[u8], file: &str, axes: [usize; 3]) -> Vec<Triangle> {
    let read = mesh_file::read(bytes, file).unwrap();
    let mut all: Vec<Triangle> = Vec::new();
    for part in &read.parts {
        let at = |i: u32| Vec3::from_array(axes.map(|axis| part.positions[i as usize][axis]));
        all.extend(part.triangles.iter().map(|t| t.map(at)));
    }
    let along = all.as_flattened().iter().map(|v| v.x);
    let (lo, hi) = along.fold((f64::MAX, f64::MIN), |(lo, hi), x| (lo.min(x), hi.max(x)));
    let scale = 10.0 / (hi - lo);
    all.as_flattened_mut().iter_mut().for_each(|v| *v *= scale);
    all
}

/// How often a skin is wound about a point.
fn winding(skin: &[Triangle], point: Vec3) -> f64 {
    let angle = |t: &Triangle| {
        let [a, b, c] = t.map(|v| v - point);
        let [la, lb, lc] = [a, b, c].map(Vec3::length);
        let under = la * lb * lc + a.dot(b) * lc + b.dot(c) * la + c.dot(a) * lb;
        2.0 * a.dot(b.cross(c)).atan2(under)
    };
    skin.iter().map(angle).sum::<f64>() / (4.0 * PI)
}

/// Whether some of the skin lies below a point: then it may be over a deck or in a well, where nothing of a rig comes and
/// either answer will do.
fn is_over(skin: &[Triangle], point: Vec3) -> bool {
    skin.iter().any(|&[a, b, c]| {
        let side = |p: Vec3, q: Vec3| (q.x - p.x) * (point.y - p.y) - (q.y - p.y) * (point.x - p.x);
        let [u, v, w] = [side(b, c), side(c, a), side(a, b)];
        let one_side = u.min(v).min(w) >= 0.0 || u.max(v).max(w) <= 0.0;
        let all = u + v + w;
        one_side && all != 0.0 && (u * a.z + v * b.z + w * c.z) / all < point.z
    })
}

fn hull(parts: &[Vec<Triangle>]) -> Hull {
    let part = |(i, skin): (usize, &Vec<Triangle>)| HullPart {
        name: format!("part {i}"),
        kind: PartKind::Body,
        part_use: PartUse::Checked,
        mesh: Arc::new(Mesh::welded(skin).unwrap()),
    };
    let filled = parts.iter().filter(|skin| !skin.is_empty());
    let parts = filled.enumerate().map(part).collect();
    Hull::new("boat", parts, HullFacts::default()).unwrap()
}

/// The skin parted by which side of a plane the middles of its triangles lie.
fn parted(skin: &[Triangle], axis: usize, at: f64) -> Vec<Vec<Triangle>> {
    let beyond = |t: &&Triangle| (t[0] + t[1] + t[2])[axis] / 3.0 > at;
    let (one, other) = skin.iter().partition(beyond);
    vec![one, other]
}

fn cube(at: Vec3) -> RigPart {
    RigPart {
        name: "cube".into(),
        kind: RigPartKind::Member,
        shape: Shape::Box {
            half: Point::new(0.001, 0.001, 0.001),
        },
        trailer_from_part: Pose::from_translation(at).into(),
        beam: None,
        pad: None,
    }
}

#[test]
fn what_the_skin_is_wound_about_is_inside_however_parts_split_it() {
    let Some(folder) = keelstead_tests::shared("meshes") else {
        return;
    };
    for (file, axes) in FILES {
        let skin = triangles(&std::fs::read(folder.join(file)).unwrap(), file, axes);
        let bounds = Mesh::welded(&skin).unwrap().aabb();
        // Even over the box, no two in one row: three sequences whose steps have no common measure.
        let cubes: Vec<RigPart> = (1..=300)
            .map(|i| {
                let part = |step: f64| (0.5 + step * f64::from(i)).fract();
                let share = Vec3::new(part(0.819_172_5), part(0.671_043_6), part(0.549_700_5));
                cube(bounds.mins + share * (bounds.maxs - bounds.mins))
            })
            .collect();
        // Mirrored axes turn the skin inside out; that must not matter.
        let known: Vec<(f64, bool)> = (cubes.iter())
            .map(|c| c.trailer_from_part.pose().translation)
            .map(|at| (winding(&skin, at).abs(), is_over(&skin, at)))
            .collect();
        let middle = bounds.center();
        let twice = [skin.clone(), skin.clone()].concat();
        for (how, parts) in [
            ("whole", vec![skin.clone()]),
            ("sides", parted(&skin, 1, middle.y)),
            ("heights", parted(&skin, 2, middle.z)),
            ("ends", parted(&skin, 0, middle.x + 1.0)),
            ("twice", vec![twice]),
        ] {
            let pairs = all_pairs(&hull(&parts), &cubes, &Pose::identity());
            let (mut ins, mut outs) = (0, 0);
            for (i, (wound, over)) in known.iter().enumerate() {
                let of = pairs.iter().filter(|c| c.rig_part == i);
                let least_m = of.map(|c| c.gap_m).fold(f64::MAX, f64::min);
                let what = format!("{file}, {how}: cube {i} wound {wound:.3}, gap {least_m:.4}");
                // On the skin, or where the rays may be off: either is right.
                if least_m.abs() < 0.005 || (0.35..0.58).contains(wound) {
                    continue;
                }
                if *wound > 0.5 {
                    ins += 1;
                    assert!(least_m < 0.0, "{what}");
                } else if !over {
                    outs += 1;
                    assert!(least_m > 0.0, "{what}");
                }
            }
            println!("{file}, {how}: {ins} in, {outs} out");
            assert!(ins > 10 && outs > 20, "{file}, {how}: {ins} in, {outs} out");
        }
    }
}

//! Every gap of every demo job, at rest and moved about, within 0.1 mm of a double-precision
//! reference computed another way: no search tree and no iterated query, but each triangle of the
//! hull part in turn, by closed formulas against a box and by minimising a convex function against
//! a cylinder.

#![allow(clippy::unwrap_used)]

use keelstead::check::check;
use keelstead_demo_data::FILES;
use keelstead_files::source::Memory;
use keelstead_files::{Silent, open_job};
use keelstead_geometry::math::{Pose, Rot3, Vec3};
use keelstead_geometry::mesh::Mesh;
use keelstead_geometry::shape::Shape;
use keelstead_load::clearance;
use keelstead_load::clearance::Clearance;
use keelstead_load::rig_parts::RigPart;

/// How far any gap may be from the reference, m.
const ACCURACY_M: f64 = 1e-4;

type Triangle = [Vec3; 3];

/// Distance of a point from a rig part about its own middle, 0 inside.
fn from_point(shape: &Shape, p: Vec3) -> f64 {
    match *shape {
        Shape::Box { half } => (p.abs() - half.vec()).max(Vec3::ZERO).length(),
        Shape::Cylinder {
            half_length_m,
            radius_m,
        } => {
            let past_end = (p.y.abs() - half_length_m).max(0.0);
            past_end.hypot((p.x.hypot(p.z) - radius_m).max(0.0))
        }
        Shape::Ground => p.z,
    }
}

/// Distance of a part's skin from a shape, 0 where it is cut. The triangles stand in the shape's
/// own frame.
fn skin_distance(triangles: &[Triangle], shape: &Shape) -> f64 {
    let at_vertices = triangles
        .iter()
        .flatten()
        .map(|v| from_point(shape, *v))
        .fold(f64::MAX, f64::min);
    if *shape == Shape::Ground {
        return at_vertices;
    }
    triangles.iter().fold(at_vertices, |best, triangle| {
        let middle = (triangle[0] + triangle[1] + triangle[2]) / 3.0;
        let reach = triangle
            .iter()
            .map(|v| (*v - middle).length())
            .fold(0.0, f64::max);
        // No point of the triangle is nearer than its middle by more than its reach.
        if from_point(shape, middle) - reach >= best {
            return best;
        }
        best.min(match *shape {
            Shape::Box { half } => from_box(triangle, half.vec()),
            _ => least_over(triangle, |p| from_point(shape, p)),
        })
    })
}

/// Distance of a triangle from a box: nothing if the box cuts it; otherwise between an edge and an
/// edge, a corner of the box and the triangle's face, or a corner of the triangle and the box.
fn from_box(triangle: &Triangle, half: Vec3) -> f64 {
    if cuts(triangle, half) {
        return 0.0;
    }
    let shape = |p: Vec3| (p.abs() - half).max(Vec3::ZERO).length();
    let mut best = triangle.iter().map(|v| shape(*v)).fold(f64::MAX, f64::min);
    let corner = |i: usize| {
        let sign = |bit: usize| if i >> bit & 1 == 1 { 1.0 } else { -1.0 };
        half * Vec3::new(sign(0), sign(1), sign(2))
    };
    for i in 0..8 {
        if let Some(distance) = over_face(triangle, corner(i)) {
            best = best.min(distance);
        }
        for bit in (0..3).filter(|bit| i >> bit & 1 == 0) {
            let edge = [corner(i), corner(i | 1 << bit)];
            for (a, b) in [(0, 1), (1, 2), (2, 0)] {
                best = best.min(between(edge, [triangle[a], triangle[b]]));
            }
        }
    }
    best
}

/// Whether anything of the triangle is left when it is cut off at the box's six faces.
fn cuts(triangle: &Triangle, half: Vec3) -> bool {
    let mut polygon = triangle.to_vec();
    for (axis, sign) in (0..3).flat_map(|axis| [(axis, 1.0), (axis, -1.0)]) {
        let depth = |p: Vec3| half[axis] - sign * p[axis];
        let mut kept = Vec::new();
        for (i, &p) in polygon.iter().enumerate() {
            let q = polygon[(i + 1) % polygon.len()];
            let (a, b) = (depth(p), depth(q));
            if a >= 0.0 {
                kept.push(p);
            }
            if (a >= 0.0) != (b >= 0.0) {
                kept.push(p + (q - p) * (a / (a - b)));
            }
        }
        polygon = kept;
    }
    !polygon.is_empty()
}

/// Distance of a point from the face of a triangle; none if it does not stand over the face.
fn over_face([a, b, c]: &Triangle, p: Vec3) -> Option<f64> {
    let normal = (*b - *a).cross(*c - *a).try_normalize()?;
    let inside = [(*a, *b), (*b, *c), (*c, *a)]
        .into_iter()
        .all(|(from, to)| (to - from).cross(p - from).dot(normal) >= 0.0);
    inside.then(|| (p - *a).dot(normal).abs())
}

/// Distance between two segments: between their lines where the feet lie within both, otherwise
/// from an end to the other segment.
fn between([a, b]: [Vec3; 2], [c, d]: [Vec3; 2]) -> f64 {
    let to_segment = |p: Vec3, a: Vec3, b: Vec3| {
        let along = b - a;
        let t = ((p - a).dot(along) / along.length_squared()).clamp(0.0, 1.0);
        (p - a - t * along).length()
    };
    let ends = to_segment(a, c, d)
        .min(to_segment(b, c, d))
        .min(to_segment(c, a, b))
        .min(to_segment(d, a, b));
    let (u, v, w) = (b - a, d - c, c - a);
    let square = u.cross(v);
    let spread = square.length_squared();
    if spread <= 1e-24 * u.length_squared() * v.length_squared() {
        return ends;
    }
    let (s, t) = (
        w.cross(v).dot(square) / spread,
        w.cross(u).dot(square) / spread,
    );
    if (0.0..=1.0).contains(&s) && (0.0..=1.0).contains(&t) {
        ends.min(w.dot(square).abs() / spread.sqrt())
    } else {
        ends
    }
}

/// Least value of a convex function over a triangle, by golden sections within golden sections.
fn least_over([a, b, c]: &Triangle, f: impl Fn(Vec3) -> f64) -> f64 {
    golden(|u| {
        let (from, to) = (a.lerp(*b, u), a.lerp(*c, u));
        golden(|v| f(from.lerp(to, v)))
    })
}

/// Least value of a convex function over 0 to 1.
fn golden(f: impl Fn(f64) -> f64) -> f64 {
    let ratio = (5.0_f64.sqrt() - 1.0) / 2.0;
    let (mut low, mut high) = (0.0, 1.0);
    let (mut left, mut right) = (1.0 - ratio, ratio);
    let (mut at_left, mut at_right) = (f(left), f(right));
    for _ in 0..48 {
        if at_left < at_right {
            high = right;
            (right, at_right) = (left, at_left);
            left = high - ratio * (high - low);
            at_left = f(left);
        } else {
            low = left;
            (left, at_left) = (right, at_right);
            right = low + ratio * (high - low);
            at_right = f(right);
        }
    }
    at_left.min(at_right).min(f(0.0)).min(f(1.0))
}

/// Whether the origin lies inside a closed skin: the solid angle it sees, in whole spheres.
fn holds_origin(triangles: &[Triangle]) -> bool {
    let angle: f64 = triangles
        .iter()
        .map(|[a, b, c]| {
            let (la, lb, lc) = (a.length(), b.length(), c.length());
            let below = la * lb * lc + a.dot(*b) * lc + b.dot(*c) * la + c.dot(*a) * lb;
            2.0 * a.dot(b.cross(*c)).atan2(below)
        })
        .sum();
    (angle / (4.0 * std::f64::consts::PI)).abs() > 0.5
}

fn in_part(mesh: &Mesh, part_from_hull: &Pose) -> Vec<Triangle> {
    let at = |i: u32| part_from_hull * mesh.vertices()[i as usize];
    mesh.triangles().iter().map(|t| t.map(at)).collect()
}

/// How a gap and the reference disagree, if they do.
fn disagreement(mesh: &Mesh, part: &RigPart, pose: &Pose, found: &Clearance) -> Option<String> {
    let part_from_hull = part.trailer_from_part.pose().inv_mul(pose);
    let triangles = in_part(mesh, &part_from_hull);
    let distance = skin_distance(&triangles, &part.shape);
    let gap = found.gap_m;
    if part.shape == Shape::Ground {
        return ((gap - distance).abs() > ACCURACY_M).then(|| format!("{gap} for {distance}"));
    }
    // Only a closed skin that is not cut has the whole shape within.
    let within = distance > 0.0 && mesh.topology().closed() && holds_origin(&triangles);
    if within || distance < 1e-9 {
        return (gap > 1e-6).then(|| format!("{gap} where they overlap"));
    }
    let part_from_trailer = part.trailer_from_part.pose().inverse();
    let on_hull = found.on_hull.vec();
    let from_nearest = from_point(&part.shape, part_from_trailer * on_hull);
    let apart = (on_hull - found.on_rig.vec()).length();
    [gap, from_nearest, apart]
        .iter()
        .any(|value| (value - distance).abs() > ACCURACY_M)
        .then(|| {
            format!("gap {gap}, at the point named {from_nearest}, apart {apart}, for {distance}")
        })
}

fn hold_against_reference(path: &str) {
    let files = FILES.iter().map(|(p, b)| ((*p).to_owned(), b.to_vec()));
    let job = open_job(&Memory::new(files), path, &Silent).unwrap();
    let found = check(&job.hull, &job.rig, &job.job.load);
    let rest = found.trailer_from_hull.pose();
    let moves = [
        Pose::identity(),
        Pose::from_parts(
            Vec3::new(0.37, 0.11, 0.23),
            Rot3::from_rotation_z(0.03)
                * Rot3::from_rotation_y(-0.02)
                * Rot3::from_rotation_x(0.05),
        ),
        Pose::from_parts(
            Vec3::new(-0.61, -0.07, -0.19),
            Rot3::from_rotation_z(-0.02) * Rot3::from_rotation_x(-0.04),
        ),
    ];
    let mut apart = 0;
    let mut wrong = Vec::new();
    for hull_from_moved in moves {
        let pose = rest * hull_from_moved;
        let pairs = clearance::all_pairs(&job.hull, &found.rig_parts, &pose);
        assert_eq!(pairs.len(), job.hull.parts.len() * found.rig_parts.len());
        for pair in pairs {
            let (hull_part, rig_part) = (
                &job.hull.parts[pair.hull_part],
                &found.rig_parts[pair.rig_part],
            );
            apart += usize::from(pair.gap_m > 0.0);
            if let Some(how) = disagreement(&hull_part.mesh, rig_part, &pose, &pair) {
                wrong.push(format!("{} to {}: {how}", hull_part.name, rig_part.name));
            }
        }
    }
    println!("{path}: {apart} gaps compared");
    assert!(wrong.is_empty(), "{path}:\n{}", wrong.join("\n"));
    assert!(apart > 500, "{path}: only {apart} pairs stand apart");
}

#[test]
fn avocet_foul_mudguard() {
    hold_against_reference("jobs/avocet-foul-mudguard.json");
}

#[test]
fn avocet_high_blocking() {
    hold_against_reference("jobs/avocet-high-blocking.json");
}

#[test]
fn eider_too_high() {
    hold_against_reference("jobs/eider-too-high.json");
}

#[test]
fn gannet_pad_out_of_reach() {
    hold_against_reference("jobs/gannet-pad-out-of-reach.json");
}

#[test]
fn petrel_easy() {
    hold_against_reference("jobs/petrel-easy.json");
}

#[test]
fn petrel_idle_block() {
    hold_against_reference("jobs/petrel-idle-block.json");
}

//! The plane that half a hull is cut along.

use keelstead_geometry::math::{Rot3, Vec3};

use super::propose::{Bare, SAME, Told, axis};
use super::symmetry::Mirror;

/// Planes tried through three places of the rim.
const TRIES: u32 = 400;
/// The cut runs this part of the boat's length, and of her height.
const COVERED: f64 = 0.8;
/// Cosine of the farthest that the cut may lie from square to an axis: 50 degrees.
const LEAST_COSINE: f64 = 0.64;

/// Where this part of the boat's length of rim lies in a plane square to an axis to within a hair of her length, she was
/// drawn to it: what else is near it, as the open edge of a stem, tells nothing of its tilt.
const DRAWN: f64 = 0.5;
const HAIR: f64 = 1e-6;

/// A plane: unit normal and how far it lies along it.
type Plane = (Vec3, f64);

/// The plane of a half hull's cut, and the axis it is nearest to being square to: much of the rim lies in it, all of
/// the mesh on one side.
pub(super) fn cut(bare: &Bare<'_>, told: Told) -> Option<(usize, Mirror)> {
    let mesh = bare.mesh;
    let bounds = mesh.aabb();
    let size = bounds.extents();
    let slack = SAME * size.max_element();
    let longest = (0..3).max_by(|&a, &b| size[a].total_cmp(&size[b]))?;
    let taken = told.taken();
    let free = |k: usize| k != longest && !taken.contains(&Some(k));
    let edges: Vec<[Vec3; 2]> = bare
        .rim
        .iter()
        .map(|edge| edge.map(|i| mesh.vertices()[i as usize]))
        .collect();
    let square = (0..3).filter(|&k| free(k)).flat_map(|k| {
        let mut normal = Vec3::ZERO;
        normal[k] = 1.0;
        [(normal, bounds.mins[k]), (normal, bounds.maxs[k])]
    });
    let square: Vec<Plane> = square.collect();
    let length = size.max_element();
    let drawn = square
        .iter()
        .filter(|plane| within(&edges, **plane, HAIR * length) > DRAWN * length)
        .find_map(|&plane| bounds_her(bare, &edges, plane, free, slack));
    if drawn.is_some() {
        return drawn;
    }
    let mut planes: Vec<(f64, Plane)> = square
        .into_iter()
        .chain(through_three(&edges))
        .filter(|(normal, _)| nearest_axis(*normal, free).is_some())
        .map(|plane| (within(&edges, plane, slack), plane))
        .collect();
    planes.sort_by(|a, b| b.0.total_cmp(&a.0));
    planes.into_iter().find_map(|(_, plane)| {
        let plane = fitted(&edges, plane, slack)?;
        bounds_her(bare, &edges, plane, free, slack)
    })
}

/// The plane, if all of the mesh is on one side of it and the rim runs in it as a cut does.
fn bounds_her(
    bare: &Bare<'_>,
    edges: &[[Vec3; 2]],
    (normal, offset): Plane,
    free: impl Fn(usize) -> bool,
    slack: f64,
) -> Option<(usize, Mirror)> {
    let k = nearest_axis(normal, free)?;
    let one_side = [normal, -normal].into_iter().any(|way| {
        let far = bare.mesh.farthest(way);
        (far.dot(normal) - offset).abs() <= slack
    });
    (one_side && covers(bare, edges, (normal, offset), k, slack)).then(|| {
        let plane = Mirror {
            normal: normal.to_array(),
            offset,
            misfit: 0.0,
        };
        (k, plane.facing(k))
    })
}

fn nearest_axis(normal: Vec3, free: impl Fn(usize) -> bool) -> Option<usize> {
    let k = (0..3)
        .filter(|&k| free(k))
        .max_by(|&a, &b| normal[a].abs().total_cmp(&normal[b].abs()))?;
    (normal[k].abs() >= LEAST_COSINE).then_some(k)
}

/// Planes through three places of the rim that lie well apart, always the same ones.
fn through_three(edges: &[[Vec3; 2]]) -> impl Iterator<Item = Plane> {
    let count = edges.len();
    let pick = move |i: u32, irrational: f64| {
        let share = (f64::from(i + 1) * irrational).fract();
        edges.get((share * count as f64) as usize).map(|e| e[0])
    };
    (0..TRIES).filter_map(move |i| {
        let a = pick(i, 0.819_172_513_396_164)?;
        let b = pick(i, 0.671_043_606_703_789)?;
        let c = pick(i, 0.549_700_477_901_960)?;
        let normal = (b - a).cross(c - a);
        let spread = (b - a).length().max((c - a).length()).max((c - b).length());
        // Nearly on one line they tell no plane.
        if normal.length() < 0.02 * spread * spread {
            return None;
        }
        let normal = normal.try_normalize()?;
        Some((normal, normal.dot(a)))
    })
}

/// Length of the rim in a plane.
fn within(edges: &[[Vec3; 2]], (normal, offset): Plane, slack: f64) -> f64 {
    let near = |p: &Vec3| (normal.dot(*p) - offset).abs() <= slack;
    let inside = edges.iter().filter(|[a, b]| near(a) && near(b));
    inside.map(|[a, b]| (*b - *a).length()).sum()
}

/// The plane that fits best what lies in it: least squares in two tilts and the offset.
fn fitted(edges: &[[Vec3; 2]], (mut normal, mut offset): Plane, slack: f64) -> Option<Plane> {
    // Less and less of what is only near the cut, as long as the cut is as flat.
    let first = within(edges, (normal, offset), slack);
    for round in 0..5 {
        let slack = slack / f64::from(1 << (3 * round));
        if within(edges, (normal, offset), slack) < 0.8 * first {
            break;
        }
        let places = || {
            edges
                .iter()
                .flatten()
                .filter(|p| (normal.dot(**p) - offset).abs() <= slack)
        };
        let count = places().count() as f64;
        let middle = places().copied().sum::<Vec3>() / count;
        let u = normal.any_orthonormal_vector();
        let v = normal.cross(u);
        let (mut uu, mut uv, mut vv, mut un, mut vn) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for p in places() {
            let d = *p - middle;
            let (a, b, n) = (d.dot(u), d.dot(v), d.dot(normal));
            uu += a * a;
            uv += a * b;
            vv += b * b;
            un += a * n;
            vn += b * n;
        }
        let determinant = uu * vv - uv * uv;
        let [s, t] = [
            (un * vv - vn * uv) / determinant,
            (vn * uu - un * uv) / determinant,
        ];
        if !(s.is_finite() && t.is_finite()) {
            return None;
        }
        normal = (normal - u * s - v * t).normalize();
        offset = normal.dot(middle);
    }
    Some((normal, offset))
}

/// Whether the rim runs in the plane for most of the boat's length and height: the cut shows keel and stem. The sheer
/// of an open boat lies in a plane too, but there the boat has a middle.
fn covers(
    bare: &Bare<'_>,
    edges: &[[Vec3; 2]],
    (normal, offset): Plane,
    k: usize,
    slack: f64,
) -> bool {
    let direction = Vec3::from_array(axis(k, normal[k] > 0.0).vector());
    let turn = Rot3::from_rotation_arc(normal, direction);
    let ends = |way: Vec3| {
        let back = turn.inverse() * way;
        let far = |way: Vec3| bare.mesh.farthest(way).dot(back);
        far(back) - far(-back)
    };
    let (u, v) = ((k + 1) % 3, (k + 2) % 3);
    let size = [u, v].map(|axis| {
        let mut way = Vec3::ZERO;
        way[axis] = 1.0;
        ends(way)
    });
    let near = |p: &Vec3| (normal.dot(*p) - offset).abs() <= slack;
    let mut covered = [0.0_f64; 2];
    for [a, b] in edges.iter().filter(|[a, b]| near(a) && near(b)) {
        let along = turn * (*b - *a);
        covered[0] += along[u].abs();
        covered[1] += along[v].abs();
    }
    covered[0].min(covered[1]) > COVERED * size[0].min(size[1])
        && covered[0].max(covered[1]) > COVERED * size[0].max(size[1])
}

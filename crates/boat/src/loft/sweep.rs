//! Rails, strakes and tubes: a convex outline carried along a path, and bodies turned on a lathe.

use super::shell::Shell;
use super::vector::{Vec3, add, circle, cross, scale, square_to, sub, unit};

/// Carries a convex outline along a path and closes both ends.
///
/// `outline` runs anticlockwise in (across, up): `up` starts out as close to `up_hint` as the path
/// allows and is carried along without twisting; across is path direction × up, to the right of
/// someone walking along the path.
pub fn sweep(path: &[Vec3], outline: &[[f64; 2]], up_hint: Vec3) -> Shell {
    let mut up = up_hint;
    let rings: Vec<Vec<Vec3>> = (0..path.len())
        .map(|k| {
            let before = path[k.saturating_sub(1)];
            let after = path[(k + 1).min(path.len() - 1)];
            let along = unit(sub(after, before));
            up = square_to(up, along);
            let across = cross(along, up);
            outline
                .iter()
                .map(|o| add(path[k], add(scale(across, o[0]), scale(up, o[1]))))
                .collect()
        })
        .collect();
    closed(&rings)
}

/// A round tube of the given radius along a path.
pub fn tube(path: &[Vec3], radius_m: f64, up_hint: Vec3) -> Shell {
    let outline: Vec<[f64; 2]> = circle(1).iter().map(|c| c.map(|k| k * radius_m)).collect();
    sweep(path, &outline, up_hint)
}

/// A body turned about an axis from `start` towards `direction`: (distance along, radius) pairs in
/// metres; a radius of zero makes a point, anything else at an end a flat face.
pub fn turned(start: Vec3, direction: Vec3, profile: &[[f64; 2]], halvings: u32) -> Shell {
    let axis = unit(direction);
    let hint = if axis[2] * axis[2] < 0.5 {
        [0.0, 0.0, 1.0]
    } else {
        [1.0, 0.0, 0.0]
    };
    let up = square_to(hint, axis);
    let across = cross(axis, up);
    let round = circle(halvings);
    let rings: Vec<Vec<Vec3>> = profile
        .iter()
        .map(|[d, r]| {
            let middle = add(start, scale(axis, *d));
            round
                .iter()
                .map(|c| add(middle, add(scale(across, c[0] * r), scale(up, c[1] * r))))
                .collect()
        })
        .collect();
    closed(&rings)
}

/// Joins rings of equal length and closes both ends. Rings run anticlockwise seen by someone looking
/// along the path.
pub fn closed(rings: &[Vec<Vec3>]) -> Shell {
    let mut shell = Shell::default();
    let wrapped: Vec<Vec<Vec3>> = rings
        .iter()
        .map(|r| r.iter().chain(r.first()).copied().collect())
        .collect();
    shell.net(&wrapped);
    let middle = |r: &[Vec3]| {
        scale(
            r.iter().fold([0.0; 3], |s, p| add(s, *p)),
            1.0 / r.len() as f64,
        )
    };
    if let (Some(first), Some(last)) = (rings.first(), rings.last()) {
        let end: Vec<Vec3> = last.iter().rev().copied().collect();
        shell.fan(first, middle(first));
        shell.fan(&end, middle(last));
    }
    shell
}

/// A smooth path through points, `steps` pieces between each pair (Catmull–Rom).
pub fn smooth_path(points: &[Vec3], steps: usize) -> Vec<Vec3> {
    let at = |k: isize| points[k.clamp(0, points.len() as isize - 1) as usize];
    let mut path = vec![at(0)];
    for k in 0..points.len() as isize - 1 {
        let [a, b, c, d] = [at(k - 1), at(k), at(k + 1), at(k + 2)];
        for s in 1..=steps {
            let t = s as f64 / steps as f64;
            path.push([0, 1, 2].map(|n| {
                let m0 = 0.5 * (c[n] - a[n]);
                let m1 = 0.5 * (d[n] - b[n]);
                let (t2, t3) = (t * t, t * t * t);
                b[n] * (2.0 * t3 - 3.0 * t2 + 1.0)
                    + m0 * (t3 - 2.0 * t2 + t)
                    + c[n] * (3.0 * t2 - 2.0 * t3)
                    + m1 * (t3 - t2)
            }));
        }
    }
    path
}

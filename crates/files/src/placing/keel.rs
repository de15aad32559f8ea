//! Where the keel ends aft: the origin of the hull frame.

use keelstead::math::Vec3;

/// The keel ends where the surface has risen by this part of its height.
const KEEL_END_RISE: f64 = 0.1;

/// The aft end of the keel of parts given as vertices and triangles; see [`Origin::AftEndOfKeel`].
pub(super) fn aft_end_of_keel<'a>(
    parts: impl Iterator<Item = (&'a [Vec3], &'a [[u32; 3]])> + Clone,
) -> Option<Vec3> {
    let ys = parts
        .clone()
        .flat_map(|(vertices, _)| vertices)
        .map(|v| v.y);
    let (least, greatest) = ys.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), y| {
        (lo.min(y), hi.max(y))
    });
    let middle = 0.5 * (least + greatest);
    let cuts: Vec<[Vec3; 2]> = parts
        .flat_map(|(vertices, triangles)| {
            triangles
                .iter()
                .filter_map(move |corners| cut(corners.map(|i| vertices[i as usize]), middle))
        })
        .collect();
    let heights = || cuts.iter().flatten().map(|p| p.z);
    let lowest = heights().reduce(f64::min)?;
    let level = lowest + KEEL_END_RISE * (heights().reduce(f64::max)? - lowest);
    let x = cuts
        .iter()
        .filter_map(|[a, b]| {
            let (below, above) = if a.z <= b.z { (a, b) } else { (b, a) };
            if below.z > level {
                return None;
            }
            if above.z <= level {
                return Some(below.x.min(above.x));
            }
            let share = (level - below.z) / (above.z - below.z);
            Some(below.x.min(below.x + share * (above.x - below.x)))
        })
        .reduce(f64::min)?;
    Some(Vec3::new(x, middle, lowest))
}

/// Where the plane y = `y` cuts a triangle.
fn cut(corners: [Vec3; 3], y: f64) -> Option<[Vec3; 2]> {
    let mut ends: Vec<Vec3> = Vec::with_capacity(3);
    for i in 0..3 {
        let (a, b) = (corners[i], corners[(i + 1) % 3]);
        if a.y == y {
            ends.push(a);
        } else if (a.y < y) != (b.y < y) && b.y != y {
            ends.push(a + (b - a) * ((y - a.y) / (b.y - a.y)));
        }
    }
    match ends[..] {
        [a] => Some([a, a]),
        [a, b] => Some([a, b]),
        // The triangle lies in the plane: its extent is that of its edges.
        [a, b, c] => {
            let least = if a.x <= b.x && a.x <= c.x {
                a
            } else if b.x <= c.x {
                b
            } else {
                c
            };
            let lowest = if a.z <= b.z && a.z <= c.z {
                a
            } else if b.z <= c.z {
                b
            } else {
                c
            };
            Some([least, lowest])
        }
        _ => None,
    }
}

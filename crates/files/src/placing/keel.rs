//! Where the keel ends aft: the origin of the hull frame.

use keelstead_geometry::math::Vec3;

/// The keel ends where the surface has risen by this part of its height.
const KEEL_END_RISE: f64 = 0.1;

/// Where the lowest in the middle plane is higher than this part of the height, the boat stands on two hulls.
const TWIN: f64 = 0.3;

/// The aft end of the keel of parts given as vertices and triangles; see [`Origin::AftEndOfKeel`]. `middle` is where the
/// middle plane lies athwart; none takes the middle of their breadth.
pub(super) fn aft_end_of_keel<'a>(
    parts: impl Iterator<Item = (&'a [Vec3], &'a [[u32; 3]])> + Clone,
    middle: Option<f64>,
) -> Option<Vec3> {
    let all = parts.clone().flat_map(|(vertices, _)| vertices);
    let ends = [Vec3::INFINITY, Vec3::NEG_INFINITY];
    let [least, greatest] = all.fold(ends, |[lo, hi], &v| [lo.min(v), hi.max(v)]);
    let middle = middle.unwrap_or(0.5 * (least.y + greatest.y));
    let mut cuts: Vec<[Vec3; 2]> = parts
        .clone()
        .flat_map(|(vertices, triangles)| {
            triangles
                .iter()
                .filter_map(move |corners| cut(corners.map(|i| vertices[i as usize]), middle))
        })
        .collect();
    let of_cuts = cuts.iter().flatten().map(|p| p.z).reduce(f64::min);
    if of_cuts.is_none_or(|z| z - least.z > TWIN * (greatest.z - least.z)) {
        // Of two hulls only the bridge between them, if anything, lies in the middle: they stand on their own keels.
        let edges = parts.flat_map(|(vertices, triangles)| {
            let corners = triangles.iter().map(|t| t.map(|i| vertices[i as usize]));
            corners.flat_map(|[a, b, c]| [[a, b], [b, c], [c, a]])
        });
        cuts = edges.collect();
    }
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

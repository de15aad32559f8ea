//! A strap or sling under the boat: what it bears on at a station, and what it must not cross.

use crate::hull::{Hull, HullPart, PartKind};
use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;

/// How wide a sling is taken to be, m. Common practice, no source.
pub const SLING_M: f64 = 0.15;

/// Something a strap may not bear on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Crossed {
    /// A zone of [`crate::hull::Marks::keep_offs`], by index.
    KeepOff(usize),
    /// A part of [`Hull::parts`] that must not carry it, by index.
    Part(usize),
}

/// A strap under the boat at a station, drawn tight: it lies on the section's outermost points and
/// bridges the hollows between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Strap {
    /// Its way around the bottom, port to starboard, hull frame; never empty.
    pub way: Vec<Vec3>,
    /// What it would cross.
    pub crossed: Vec<Crossed>,
}

/// A belly strap `width_m` wide around `hull` at station `x_m` (m forward of the origin); none where
/// there is no hull.
///
/// It bears on body, keel, skeg and whatever else may carry it. Zones that it bridges without touching
/// are not crossed; a propeller, shaft, strut, rudder or board is, where it sticks out of what else
/// the strap bears on.
pub fn strap(hull: &Hull, x_m: f64, width_m: f64) -> Option<Strap> {
    let band = [x_m - width_m / 2.0, x_m + width_m / 2.0];
    let mut bearing: Vec<[f64; 2]> = Vec::new();
    let bears = |p: &&HullPart| p.part_use.in_gaps() && carries(p.kind);
    for part in hull.parts.iter().filter(bears) {
        slice(&part.mesh, band, &mut bearing);
    }
    let outline = outermost(bearing);
    let (&first, &last) = (outline.first()?, outline.last()?);
    let mut crossed = Vec::new();
    for (i, zone) in hull.marks.keep_offs.iter().enumerate() {
        let meets = |[lo, hi]: [Vec3; 2]| {
            let beside = lo.x > band[1] || hi.x < band[0];
            !beside && outline.windows(2).any(|w| enters(w[0], w[1], lo, hi))
        };
        if zone.boxes().any(meets) {
            crossed.push(Crossed::KeepOff(i));
        }
    }
    for (i, part) in hull.parts.iter().enumerate() {
        if !part.part_use.in_gaps() || part.kind.may_be_slung() {
            continue;
        }
        let mut points = Vec::new();
        slice(&part.mesh, band, &mut points);
        let in_the_way = |p: &[f64; 2]| {
            let within = p[0] >= last[0].min(first[0]) && p[0] <= last[0].max(first[0]);
            !within || p[1] < lowest_at(&outline, p[0])
        };
        if points.iter().any(in_the_way) {
            crossed.push(Crossed::Part(i));
        }
    }
    let way = outline.iter().rev().map(|&[y, z]| Vec3::new(x_m, y, z));
    Some(Strap {
        way: way.collect(),
        crossed,
    })
}

/// Whether the strap lies on parts of this kind: what is on deck is above it.
fn carries(kind: PartKind) -> bool {
    matches!(kind, PartKind::Body | PartKind::Keel | PartKind::Skeg)
}

/// The points (y, z) that bound a mesh's surface between two stations.
fn slice(mesh: &Mesh, [aft, fore]: [f64; 2], points: &mut Vec<[f64; 2]>) {
    let bounds = mesh.aabb();
    if bounds.maxs.x < aft || bounds.mins.x > fore {
        return;
    }
    for corners in mesh.triangles() {
        let [a, b, c] = corners.map(|i| mesh.vertices()[i as usize]);
        for (from, to) in [(a, b), (b, c), (c, a)] {
            if from.x >= aft && from.x <= fore {
                points.push([from.y, from.z]);
            }
            for plane in [aft, fore] {
                if (from.x < plane) != (to.x < plane) {
                    let on = from + (to - from) * ((plane - from.x) / (to.x - from.x));
                    points.push([on.y, on.z]);
                }
            }
        }
    }
}

/// The lower side of the convex outline of points, starboard to port.
fn outermost(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    points.sort_unstable_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let mut chain: Vec<[f64; 2]> = Vec::new();
    for p in points {
        // Of points straight above one another the lowest comes first, and stays.
        if chain.last().is_some_and(|last| last[0] == p[0]) {
            continue;
        }
        while let [.., a, b] = chain[..] {
            let turn = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
            if turn > 0.0 {
                break;
            }
            chain.pop();
        }
        chain.push(p);
    }
    chain
}

/// Height of the outline at `y`, within its ends.
fn lowest_at(outline: &[[f64; 2]], y: f64) -> f64 {
    /// Less than this below the strap is rounding, m.
    const HAIR_M: f64 = 1e-9;
    let found = outline.windows(2).find(|w| y >= w[0][0] && y <= w[1][0]);
    found.map_or(f64::INFINITY, |w| {
        let share = (y - w[0][0]) / (w[1][0] - w[0][0]);
        w[0][1] + (w[1][1] - w[0][1]) * share - HAIR_M
    })
}

/// Whether the segment from `a` to `b` (y, z) enters the rectangle of a box, seen along x.
fn enters(a: [f64; 2], b: [f64; 2], lo: Vec3, hi: Vec3) -> bool {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (axis, (least, most)) in [(lo.y, hi.y), (lo.z, hi.z)].into_iter().enumerate() {
        let way = b[axis] - a[axis];
        if way == 0.0 {
            if a[axis] < least || a[axis] > most {
                return false;
            }
            continue;
        }
        let (one, other) = ((least - a[axis]) / way, (most - a[axis]) / way);
        from = from.max(one.min(other));
        to = to.min(one.max(other));
    }
    from <= to
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::hull::{HullFacts, KeepOff, KeepOffKind, Marks, PartUse};
    use keelstead_geometry::solids::cuboid;

    /// A body 8 m × 2 m, 1 m up, on a keel 0.2 m wide; rudder right aft, shaft beside the keel.
    fn hull(keep_offs: Vec<KeepOff>) -> Hull {
        let part = |name: &str, kind, lo, hi| HullPart {
            name: name.into(),
            kind,
            part_use: PartUse::Checked,
            mesh: Arc::new(cuboid(lo, hi)),
        };
        Hull::new(
            "sling",
            vec![
                part("body", PartKind::Body, [0.0, -1.0, 1.0], [8.0, 1.0, 2.0]),
                part("keel", PartKind::Keel, [3.0, -0.1, 0.0], [6.0, 0.1, 1.0]),
                part(
                    "rudder",
                    PartKind::Rudder,
                    [0.0, -0.02, 0.2],
                    [0.5, 0.02, 1.0],
                ),
                part(
                    "shaft",
                    PartKind::Shaft,
                    [1.0, -0.02, 0.7],
                    [3.2, 0.02, 0.75],
                ),
            ],
            HullFacts {
                marks: Marks {
                    keep_offs,
                    ..Marks::default()
                },
                ..HullFacts::default()
            },
        )
        .unwrap()
    }

    fn zone(at: [f64; 3], both_sides: bool) -> KeepOff {
        let at = Vec3::from_array(at);
        KeepOff::about(
            "log",
            KeepOffKind::Transducer,
            at,
            Vec3::splat(0.1),
            both_sides,
        )
    }

    fn crossed(keep_offs: Vec<KeepOff>, x_m: f64) -> Vec<Crossed> {
        strap(&hull(keep_offs), x_m, SLING_M).unwrap().crossed
    }

    #[test]
    fn a_strap_bears_on_the_keel_and_the_bilges() {
        let found = strap(&hull(Vec::new()), 4.5, SLING_M).unwrap();
        let way: Vec<[f64; 2]> = found.way.iter().map(|p| [p.y, p.z]).collect();
        assert_eq!(way, [[1.0, 1.0], [0.1, 0.0], [-0.1, 0.0], [-1.0, 1.0]]);
        assert!(strap(&hull(Vec::new()), 9.0, SLING_M).is_none());
    }

    #[test]
    fn zones_that_the_strap_bridges_are_not_crossed() {
        // On the body's flat bottom: crossed where no keel holds the strap off, bridged beside it.
        assert_eq!(crossed(vec![zone([2.5, 0.5, 1.0], false)], 7.0), []);
        assert_eq!(
            crossed(vec![zone([7.0, 0.5, 1.0], false)], 7.0),
            [Crossed::KeepOff(0)]
        );
        assert_eq!(crossed(vec![zone([4.5, 0.3, 1.0], false)], 4.5), []);
        // Right at the bilge the strap touches the skin again.
        assert_eq!(
            crossed(vec![zone([4.5, 0.98, 1.0], false)], 4.5),
            [Crossed::KeepOff(0)]
        );
        assert_eq!(
            crossed(vec![zone([7.1, 0.5, 1.0], false)], 7.0),
            [Crossed::KeepOff(0)]
        );
        assert_eq!(crossed(vec![zone([7.2, 0.5, 1.0], false)], 7.0), []);
        assert_eq!(
            crossed(vec![zone([7.0, -0.5, 1.0], true)], 7.0),
            [Crossed::KeepOff(0)]
        );
    }

    #[test]
    fn rudder_and_shaft_must_not_carry_a_strap() {
        assert_eq!(crossed(Vec::new(), 0.3), [Crossed::Part(2)]);
        assert_eq!(crossed(Vec::new(), 2.0), [Crossed::Part(3)]);
        assert_eq!(
            crossed(Vec::new(), 3.1),
            [],
            "the keel holds the strap off the shaft"
        );
        assert_eq!(crossed(Vec::new(), 7.0), []);
    }
}

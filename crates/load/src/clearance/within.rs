//! Rig parts inside the boat that no one part of her hull encloses: where parts split her skin, where it is
//! open, and through openings.

use super::{Pair, pair};
use crate::clearance::Clearance;
use crate::rig_parts::RigPart;
use keelstead_boat::hull::Hull;
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_geometry::mesh::Skins;
use keelstead_geometry::parallel::each;
use keelstead_geometry::shape::Shape;

/// A rig part that comes nearer to a skin than this touches it, m.
const TOUCHING_M: f64 = 1e-9;

/// Points of a rig part that are looked at stand no farther apart along its length, m, up to twelve metres of it.
const STEP_M: f64 = 0.25;

/// Most points along its length.
const MOST: usize = 48;

/// How far from its ends the outermost stand, m, so that a tip through an opening is seen. Not at the very end, which may
/// rest on the skin from outside.
const FROM_END_M: f64 = 0.02;
/// The same in a small part, in half lengths.
const FROM_END: f64 = 0.04;

/// The skin of a boat: every part of her hull that counts for gaps.
pub(super) fn skins(hull: &Hull) -> Skins<'_> {
    Skins::new(counting(hull).map(|i| hull.parts[i].mesh.as_ref()))
}

/// A point of a rig part that lies inside the boat, hull frame; none if none of those looked at does.
pub(super) fn inside(skins: &Skins, part: &RigPart, trailer_from_hull: &Pose) -> Option<Vec3> {
    let half = match part.shape {
        Shape::Ground => return None,
        Shape::Box { half } => half.vec(),
        // The upright box within the round.
        Shape::Cylinder {
            half_length_m,
            radius_m,
        } => {
            let half_m = radius_m * std::f64::consts::FRAC_1_SQRT_2;
            Vec3::new(half_m, half_length_m, half_m)
        }
    };
    let hull_from_part = trailer_from_hull.inv_mul(&part.trailer_from_part.pose());
    let bounds = skins.bounds();
    let axes = [Vec3::X, Vec3::Y, Vec3::Z].map(|axis| (hull_from_part.rotation * axis).abs());
    let around = axes[0] * half.x + axes[1] * half.y + axes[2] * half.z;
    let apart = (hull_from_part.translation - bounds.center()).abs() - bounds.half_extents();
    if apart.cmpgt(around).any() {
        return None;
    }
    let [x, y, z] = if skins.closed() {
        [1; 3]
    } else {
        half.to_array().map(|h| points_along(h, half.max_element()))
    };
    // The middle one first: it is the likeliest.
    let looked_at = (0..x * y * z).map(|i| {
        let i = (i + x * y * z / 2) % (x * y * z);
        let own = Vec3::new(
            place(half.x, i % x, x),
            place(half.y, i / x % y, y),
            place(half.z, i / (x * y), z),
        );
        hull_from_part * own
    });
    looked_at.into_iter().find(|&at| skins.hold(at))
}

/// How many points are looked at along an edge of a box of half this length, m, and its longest.
fn points_along(half_m: f64, longest_m: f64) -> usize {
    let steps = (2.0 * half_m / STEP_M).ceil() as usize;
    if half_m >= longest_m {
        steps.clamp(3, MOST)
    } else if steps > 1 {
        3
    } else {
        1
    }
}

/// The place of one of so many points along an edge of a box of half this length, from its middle, m.
fn place(half_m: f64, at: usize, of: usize) -> f64 {
    if of == 1 {
        return 0.0;
    }
    let reach_m = half_m - FROM_END_M.min(FROM_END * half_m);
    reach_m * (2.0 * at as f64 / (of - 1) as f64 - 1.0)
}

/// The overlap of a rig part that lies inside the boat, with the part of her hull that is nearest, if measuring that pair
/// alone does not find it; none where the rig part is outside, or the pair tells as much by itself.
pub fn within(
    hull: &Hull,
    parts: &[RigPart],
    trailer_from_hull: &Pose,
    rig_part: usize,
) -> Option<Clearance> {
    let skins = skins(hull);
    let at = inside(&skins, &parts[rig_part], trailer_from_hull)?;
    let measured = counting(hull).map(|hull_part| {
        let one = Pair {
            hull_part,
            rig_part,
        };
        pair(hull, parts, trailer_from_hull, one, None)
    });
    let least = measured.min_by(|a, b| a.gap_m.total_cmp(&b.gap_m))?;
    let inside = Inside {
        hull,
        part: &parts[rig_part],
        trailer_from_hull,
        at,
        closed: skins.closed(),
    };
    inside.overlap(&least)
}

/// Puts the overlaps of rig parts inside the boat among all pairs of a hull and its rig, in order of rig parts.
pub(super) fn put_right(
    hull: &Hull,
    parts: &[RigPart],
    trailer_from_hull: &Pose,
    pairs: &mut [Clearance],
) {
    let skins = skins(hull);
    let places = each(parts, |part| vec![inside(&skins, part, trailer_from_hull)]);
    for of_part in pairs.chunk_by_mut(|a, b| a.rig_part == b.rig_part) {
        let by_gap = |a: &&Clearance, b: &&Clearance| a.gap_m.total_cmp(&b.gap_m);
        let Some(least) = of_part.iter().min_by(by_gap) else {
            continue;
        };
        let Some(at) = places[least.rig_part] else {
            continue;
        };
        let inside = Inside {
            hull,
            part: &parts[least.rig_part],
            trailer_from_hull,
            at,
            closed: skins.closed(),
        };
        let Some(overlap) = inside.overlap(least) else {
            continue;
        };
        if let Some(pair) = of_part
            .iter_mut()
            .find(|c| c.hull_part == overlap.hull_part)
        {
            *pair = overlap;
        }
    }
}

/// The parts of a hull that count for gaps, by index.
fn counting(hull: &Hull) -> impl Iterator<Item = usize> {
    let parts = hull.parts.iter().enumerate();
    parts.filter_map(|(i, part)| part.part_use.in_gaps().then_some(i))
}

/// A rig part inside the boat.
struct Inside<'a> {
    hull: &'a Hull,
    part: &'a RigPart,
    trailer_from_hull: &'a Pose,
    /// A point of it that is inside, hull frame.
    at: Vec3,
    /// Whether each part of the hull is closed.
    closed: bool,
}

impl Inside<'_> {
    /// What becomes of the least of its gaps: an overlap, by the way it must go to come out where the skin is nearest, its
    /// own width included; where it cuts a skin, by how far the point inside is from any. None where the gap says as
    /// much already, or where it cuts a closed skin, which is measured whole.
    fn overlap(&self, least: &Clearance) -> Option<Clearance> {
        if least.gap_m.is_nan() {
            return Some(least.clone());
        }
        if least.gap_m > TOUCHING_M {
            let back = (least.on_hull.vec() - least.on_rig.vec()) / least.gap_m;
            return Some(Clearance {
                gap_m: -(least.gap_m + self.width_m(back)),
                ..least.clone()
            });
        }
        if self.closed && least.gap_m < -TOUCHING_M {
            return None;
        }
        let skin = |hull_part: usize| {
            let on_skin = self.hull.parts[hull_part].mesh.nearest_to(self.at);
            (hull_part, on_skin, (on_skin - self.at).length())
        };
        let (hull_part, on_skin, depth_m) =
            (counting(self.hull).map(skin)).min_by(|a, b| a.2.total_cmp(&b.2))?;
        (depth_m > -least.gap_m).then(|| Clearance {
            hull_part,
            rig_part: least.rig_part,
            gap_m: -depth_m,
            on_hull: (self.trailer_from_hull * on_skin).into(),
            on_rig: (self.trailer_from_hull * self.at).into(),
        })
    }

    /// How wide it is along a unit vector of the trailer, m.
    fn width_m(&self, way: Vec3) -> f64 {
        let own = self.part.trailer_from_part.pose().rotation.inverse() * way;
        self.part.shape.width_m(own)
    }
}

#[cfg(test)]
mod tests;

//! Signed gaps with both nearest points between hull parts and rig parts.

use std::ops::Range;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::rig_parts::RigPart;
use keelstead_boat::hull::Hull;
use keelstead_geometry::distance::{self, Gap};
use keelstead_geometry::math::{Aabb, Point, Pose, Vec3};
use keelstead_geometry::parallel::each;

mod within;

pub use within::within;

/// Signed gap between a hull part and a rig part or the ground.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Clearance {
    /// Index of the hull part.
    pub hull_part: usize,
    /// Index into the list of rig parts.
    pub rig_part: usize,
    /// Gap, m; negative where they overlap, by how much.
    pub gap_m: f64,
    /// The nearest (or deepest) point of the hull. Trailer frame.
    pub on_hull: Point,
    /// The nearest (or deepest) point of the rig part. Trailer frame.
    pub on_rig: Point,
}

/// Rig parts that follow each other are often neighbours: so many share what they find.
pub const BATCH: usize = 12;

/// Every pair of rig part and hull part that counts for gaps, hull parts in order within each rig part. Trailer frame.
///
/// A rig part inside the boat overlaps the nearest hull part, whichever parts her skin is made of.
///
/// A gap that cannot be computed is not a number, so that the pair stays and reads as unknown.
pub fn all_pairs(hull: &Hull, parts: &[RigPart], trailer_from_hull: &Pose) -> Vec<Clearance> {
    let runs: Vec<(usize, Range<usize>)> = (0..parts.len())
        .step_by(BATCH)
        .flat_map(|from| {
            let run = from..parts.len().min(from + BATCH);
            (0..hull.parts.len())
                .filter(|&part| hull.parts[part].part_use.in_gaps())
                .map(move |part| (part, run.clone()))
        })
        .collect();
    let mut pairs: Vec<Clearance> = each(&runs, |(hull_part, run)| {
        let mut near = None;
        let one = |rig_part| {
            let [hull_part, rig_part] = [*hull_part, rig_part];
            let one = Pair {
                hull_part,
                rig_part,
            };
            let found = pair(hull, parts, trailer_from_hull, one, near);
            near = Some(trailer_from_hull.inverse_transform_point(found.on_hull.vec()));
            found
        };
        run.clone().map(one).collect()
    });
    pairs.sort_unstable_by_key(|c| (c.rig_part, c.hull_part));
    within::put_right(hull, parts, trailer_from_hull, &mut pairs);
    pairs
}

/// A hull part and a rig part, by index.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pair {
    /// The hull part.
    pub hull_part: usize,
    /// The rig part.
    pub rig_part: usize,
}

/// A length that the gap of a pair is no less than, m: as [`least_of_box`].
pub fn least(hull: &Hull, parts: &[RigPart], trailer_from_hull: &Pose, pair: Pair) -> f64 {
    let bounds = hull.parts[pair.hull_part].mesh.aabb();
    least_of_box(&bounds, &parts[pair.rig_part], trailer_from_hull)
}

/// A length that the gap of whatever lies in a box of the hull's frame to a rig part is no less than, m: see
/// [`distance::least_of_box`].
pub fn least_of_box(bounds: &Aabb, part: &RigPart, trailer_from_hull: &Pose) -> f64 {
    let part_from_hull = part.trailer_from_part.pose().inv_mul(trailer_from_hull);
    distance::least_of_box(bounds, &part.shape, &part_from_hull)
}

/// The gap of one pair in the trailer frame; begun from a point of the hull part, hull frame, if one is given.
pub fn pair(
    hull: &Hull,
    parts: &[RigPart],
    trailer_from_hull: &Pose,
    Pair {
        hull_part,
        rig_part,
    }: Pair,
    near: Option<Vec3>,
) -> Clearance {
    let part = &parts[rig_part];
    let hull_from_part = trailer_from_hull.inv_mul(&part.trailer_from_part.pose());
    let middle = hull_from_part.translation;
    let mesh = &hull.parts[hull_part].mesh;
    let gap = distance::gap_near(mesh, &part.shape, &hull_from_part, near).unwrap_or(Gap {
        gap_m: f64::NAN,
        on_mesh: middle,
        on_shape: middle,
    });
    Clearance {
        hull_part,
        rig_part,
        gap_m: gap.gap_m,
        on_hull: (trailer_from_hull * gap.on_mesh).into(),
        on_rig: (trailer_from_hull * gap.on_shape).into(),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use keelstead_geometry::distance::FAR_M;

    use keelstead_geometry::shape::Shape;
    use keelstead_geometry::solids::cuboid;

    #[test]
    fn a_gap_that_cannot_be_computed_stays_and_is_no_number() {
        use keelstead_boat::hull::{HullFacts, HullPart, PartKind};
        let body = HullPart {
            name: "body".into(),
            kind: PartKind::Body,
            part_use: keelstead_boat::hull::PartUse::Checked,
            mesh: std::sync::Arc::new(cuboid([-1.0; 3], [1.0; 3])),
        };
        let hull = Hull::new("cube", vec![body], HullFacts::default()).unwrap();
        let unit_box = Shape::Box {
            half: Point::new(1.0, 1.0, 1.0),
        };
        // Past what the search knows: no answer, where the next part has one.
        let kind = crate::rig_parts::RigPartKind::Member;
        let parts = [2.0 * FAR_M, 3.0].map(|x| {
            crate::rig_parts::part(
                "member",
                kind,
                unit_box,
                Pose::from_translation(Vec3::new(x, 0.0, 0.0)),
            )
        });
        let pairs = all_pairs(&hull, &parts, &Pose::identity());
        assert_eq!(pairs.len(), 2);
        assert!(pairs[0].gap_m.is_nan(), "{pairs:?}");
        assert!((pairs[1].gap_m - 1.0).abs() < 1e-9, "{pairs:?}");
    }
}

//! Places to keep off, as whatever presses with a flat face meets them.

use crate::check::Worked;
use keelstead_boat::hull::KeepOff;
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_geometry::solid::boxes_apart_m;

/// The zone nearest to a box of half edges `half` that stands at `hull_from_box`, and the gap between them, m: nought where
/// the box covers any of it. None where no zone is marked.
pub(super) fn nearest<'a>(
    worked: &'a Worked,
    hull_from_box: &Pose,
    half: Vec3,
) -> Option<(&'a KeepOff, f64)> {
    let gap_m = |[lo, hi]: [Vec3; 2]| {
        let hull_from_zone = Pose::from_translation((lo + hi) / 2.0);
        // No answer counts as touching.
        boxes_apart_m((hull_from_box, half), (&hull_from_zone, (hi - lo) / 2.0))
    };
    let zones = worked.hull.marks.keep_offs.iter();
    zones
        .flat_map(|zone| zone.boxes().map(move |b| (zone, b)))
        .map(|(zone, b)| (zone, gap_m(b)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

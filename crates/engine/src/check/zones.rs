//! Places to keep off, as whatever presses with a flat face meets them.

use parry3d_f64::query;
use parry3d_f64::shape::Cuboid;

use crate::check::Worked;
use keelstead_boat::hull::KeepOff;
use keelstead_geometry::math::{Pose, Vec3};

/// The zone nearest to a box of half edges `half` that stands at `hull_from_box`, and the gap between them, m: nought where
/// the box covers any of it. None where no zone is marked.
pub(super) fn nearest<'a>(
    worked: &'a Worked,
    hull_from_box: &Pose,
    half: Vec3,
) -> Option<(&'a KeepOff, f64)> {
    let face = Cuboid::new(half);
    let gap_m = |[lo, hi]: [Vec3; 2]| {
        let zone = Cuboid::new((hi - lo) / 2.0);
        let hull_from_zone = Pose::from_translation((lo + hi) / 2.0);
        // No answer counts as touching.
        query::distance(hull_from_box, &face, &hull_from_zone, &zone).map_or(0.0, |d| d.distance)
    };
    let zones = worked.hull.marks.keep_offs.iter();
    zones
        .flat_map(|zone| zone.boxes().map(move |b| (zone, b)))
        .map(|(zone, b)| (zone, gap_m(b)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

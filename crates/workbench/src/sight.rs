//! Where to look from so that a place can be seen.

use keelstead::findings::{Findings, Place};
use keelstead_boat::hull::Hull;
use keelstead_geometry::math::{Aabb, Vec3};
use keelstead_load::rig_parts::{RigPart, RigPartKind};

use crate::view::Camera;

/// Bounds of boat and trailer as they stand, tractor and ground left out: the boat is what is
/// looked at. Trailer frame.
pub(crate) fn bounds(hull: &Hull, findings: &Findings) -> Aabb {
    let trailer_from_hull = findings.trailer_from_hull.pose();
    let mut bounds = hull.bounds.transform_by(&trailer_from_hull);
    let trailer = |part: &&RigPart| part.kind != RigPartKind::Tractor;
    for part in findings.rig_parts.iter().filter(trailer) {
        let Some(half) = part.shape.half() else {
            continue;
        };
        let about_itself = Aabb::new(-half, half);
        let part_bounds = about_itself.transform_by(&part.trailer_from_part.pose());
        bounds = Aabb::new(
            bounds.mins.min(part_bounds.mins),
            bounds.maxs.max(part_bounds.maxs),
        );
    }
    bounds
}

/// A camera from which `place` shows: from outboard of it, and a gap seen across rather than along.
pub(crate) fn of_place(place: &Place, from: &Camera) -> Camera {
    let (point, across, size_m) = match place {
        Place::Point(point) => (point.vec(), Vec3::ZERO, 0.0),
        Place::Between { hull, rig } => {
            let between = hull.vec() - rig.vec();
            let middle = (hull.vec() + rig.vec()) * 0.5;
            (middle, between.normalize_or_zero(), between.length())
        }
    };
    let outboard = Vec3::Y * if point.y >= 0.0 { 1.0 } else { -1.0 };
    let mut best = (f64::NEG_INFINITY, from.azimuth_rad);
    for eighth in 0..16 {
        let azimuth_rad = f64::from(eighth) * std::f64::consts::FRAC_PI_8;
        let to_eye = Vec3::new(azimuth_rad.cos(), azimuth_rad.sin(), 0.0);
        let score = across.cross(to_eye).length() + 0.6 * to_eye.dot(outboard);
        if score > best.0 {
            best = (score, azimuth_rad);
        }
    }
    Camera {
        azimuth_rad: best.1,
        elevation_rad: 0.12,
        distance_m: (size_m * 4.0).clamp(3.0, 12.0),
        ..from.near(point.into())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use keelstead_geometry::math::Point;

    #[test]
    fn a_gap_across_the_trailer_is_seen_from_its_end() {
        let place = Place::Between {
            hull: Point::new(-5.0, 0.8, 1.0),
            rig: Point::new(-5.0, 1.0, 1.0),
        };
        let camera = of_place(&place, &Camera::default());
        let to_eye = camera.eye().vec() - camera.focus.vec();
        let sine = to_eye.normalize().cross(Vec3::Y).length();
        assert!(sine > 0.6, "the gap is seen across, not along: {sine}");
        assert!(to_eye.y > -0.1, "and not through the boat");
    }

    #[test]
    fn a_gap_upright_to_port_is_seen_from_port() {
        let place = Place::Between {
            hull: Point::new(-5.0, 0.8, 1.3),
            rig: Point::new(-5.0, 0.8, 1.0),
        };
        let eye = of_place(&place, &Camera::default()).eye();
        assert!(eye.y_m > 2.0, "{eye:?}");
    }
}

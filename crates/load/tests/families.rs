//! Boats of every family come to rest on two stacks.

#![allow(clippy::unwrap_used)]

use keelstead_boat::family::{Family, Measures, fit};
use keelstead_boat::hull::{Hull, HullFacts};
use keelstead_geometry::math::Vec3;
use keelstead_load::load::HullPosition;
use keelstead_load::rig_parts::TopFace;
use keelstead_load::setdown::{Equilibrium, set_down};

#[test]
fn every_family_can_be_set_down() {
    for family in Family::ALL {
        let (length, beam) = family.usual_size_m();
        let fitted = fit(family, &Measures::new(length, beam)).unwrap();
        let hull = Hull::new("boat", fitted.parts, HullFacts::default()).unwrap();
        let bearing = hull.bearing_parts().map(|p| p.mesh.aabb());
        let (from, to) = bearing.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), aabb| {
            (a.min(aabb.mins.x), b.max(aabb.maxs.x))
        });
        let middle = if family == Family::FinKeel {
            0.06 * length
        } else {
            0.5 * (from + to)
        };
        let apart = if family == Family::FinKeel {
            0.03
        } else {
            0.12
        } * length;
        let face = |x: f64| TopFace {
            middle: Vec3::new(x, 0.0, 0.3),
            half_length_m: 0.05,
            half_width_m: 4.0,
            slope: 0.0,
            beam_top_m: 0.2,
        };
        let stand = HullPosition {
            x_m: 0.0,
            y_m: 0.0,
            yaw_rad: 0.0,
            heel_rad: 0.0,
            wanted: None,
        };
        let faces = [face(middle - apart), face(middle + apart)];
        let centre = Vec3::new(middle, 0.0, 1.0);
        let rest = set_down(&hull, &stand, &faces, centre, Vec3::Z);
        assert_eq!(rest.rest, Equilibrium::Settled, "{}", family.word());
    }
}

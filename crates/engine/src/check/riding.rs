//! What rides on the trailer's wheels in a check: the boat, what is on board, and the trailer itself.

use super::Worked;
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_load::rig::Rig;
use keelstead_statics::riding::Riding;

/// The boat, then each extra weight on board; none if nobody said what the boat weighs.
///
/// Where nobody said where the weight acts, the middle of the hull stands for it, as everywhere in a
/// check: findings that rest on it are unknown.
pub(crate) fn boat(worked: &Worked) -> Option<Vec<Riding>> {
    let mass = worked.hull.mass?;
    let (centre, tolerance) = match worked.hull.centre {
        Some(c) => (c.at.vec(), c.tolerance.vec()),
        None => (worked.hull.bounds.center(), Vec3::ZERO),
    };
    let at = worked.trailer_from_hull * centre;
    // How far what stands there moves with the hull: a centre as high as it may be swings the farthest.
    let moves = |at: Vec3, higher_m: f64| {
        let at = at + Vec3::Z * higher_m;
        let along = |way: Vec3| {
            let deviation = &worked.deviation;
            deviation.along(at, way).max(deviation.along(at, -way))
        };
        Vec3::new(along(Vec3::X), along(Vec3::Y), along(Vec3::Z))
    };
    let mut list = vec![Riding {
        mass_kg: mass.mass_kg,
        mass_off_kg: mass.tolerance_kg,
        at,
        off_m: turned(&worked.trailer_from_hull, tolerance) + moves(at, tolerance.z),
    }];
    list.extend(worked.load.extra_weights.iter().map(|extra| {
        let at = worked.trailer_from_hull * extra.at.vec();
        Riding {
            mass_kg: extra.mass_kg,
            mass_off_kg: 0.0,
            at,
            off_m: moves(at, 0.0),
        }
    }));
    Some(list)
}

/// The empty trailer; none if nobody said what it weighs and where.
///
/// Its centre is given at the level height. Frame and rails ride up and down with the suspension,
/// axles and wheels stay on the road, and nobody says how its weight is shared between them: the
/// middle of both is taken, and either end is within the tolerance, with the rig's own.
pub(crate) fn trailer(rig: &Rig, trailer_from_frame: &Pose) -> Option<Riding> {
    let tare = rig.tare?;
    let level = tare.centre?.vec();
    let raised = *trailer_from_frame * (level - Vec3::Z * rig.suspension.level_m);
    Some(Riding {
        mass_kg: tare.mass_kg,
        mass_off_kg: 0.0,
        at: (level + raised) / 2.0,
        off_m: (level - raised).abs() / 2.0 + Vec3::splat(rig.tolerance_m),
    })
}

/// Half the edges of the upright box around a box of half edges `half_m`, turned by `pose`.
fn turned(pose: &Pose, half_m: Vec3) -> Vec3 {
    let along = |axis: Vec3| (pose.rotation * axis).abs();
    along(Vec3::X) * half_m.x + along(Vec3::Y) * half_m.y + along(Vec3::Z) * half_m.z
}

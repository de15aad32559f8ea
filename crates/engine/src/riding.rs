//! What rides on the trailer's wheels: the boat, what is on board, and the trailer itself, each with
//! how far its weight and place may be off.
//!
//! Boat and trailer move apart when they are off, so each keeps its own tolerance instead of one for
//! their common centre: whoever asks takes the worst corner of all.

use crate::check::Worked;
use crate::load::TRIM_LIMIT_RAD;
use crate::math::{Pose, Vec3};
use crate::rig::Rig;

/// One weight as it stands on the trailer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Riding {
    /// Mass, kg.
    pub mass_kg: f64,
    /// How far that may be off, kg, either way.
    pub mass_off_kg: f64,
    /// Where it acts. Trailer frame.
    pub at: Vec3,
    /// How far that may be off along each axis of the trailer frame, m, either way.
    pub off_m: Vec3,
}

impl Riding {
    /// The mass at the light (`heavy` -1), stated (0) or heavy (1) end, kg; never below nothing.
    pub fn mass_at(&self, heavy: f64) -> f64 {
        (self.mass_kg + heavy * self.mass_off_kg).max(0.0)
    }
}

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
    let moves = Moves::of(worked);
    let at = worked.trailer_from_hull * centre;
    let mut list = vec![Riding {
        mass_kg: mass.mass_kg,
        mass_off_kg: mass.tolerance_kg,
        at,
        off_m: turned(&worked.trailer_from_hull, tolerance) + moves.at(at),
    }];
    list.extend(worked.load.extra_weights.iter().map(|extra| {
        let at = worked.trailer_from_hull * extra.at.vec();
        Riding {
            mass_kg: extra.mass_kg,
            mass_off_kg: 0.0,
            at,
            off_m: moves.at(at),
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

/// How far the hull as a whole may come to stand from where it is worked out.
struct Moves {
    /// Along the trailer and across it, m.
    placing_m: f64,
    /// Upright, at the centre of gravity, m.
    up_m: f64,
    /// Bow up or down, rad.
    trim_rad: f64,
    /// What she turns about: under her centre of gravity, where the stacks bear. Trailer frame.
    about: Vec3,
}

impl Moves {
    /// Hull, stacks and rig each off by their tolerance, one way at the support behind the centre of
    /// gravity and the other way at the one ahead of it.
    fn of(worked: &Worked) -> Self {
        let required = &worked.load.required;
        let up_m = worked.hull.shape_tolerance_m
            + worked.rig.tolerance_m
            + required.strength.stack_tolerance_m;
        let centre = worked.resting.frame_from_hull * worked.weight.centre;
        // A stack as far under the keel as the tolerances reach may carry as well.
        let near = required.contact_m + 2.0 * up_m;
        let bearing: Vec<_> = worked
            .supports()
            .filter(|(.., touch)| touch.is_some_and(|t| t.gap_m <= near))
            .map(|(_, _, face, _)| face)
            .collect();
        let aft = bearing.iter().filter(|f| f.middle.x <= centre.x);
        let fore = bearing.iter().filter(|f| f.middle.x >= centre.x);
        let aft = aft.max_by(|a, b| a.middle.x.total_cmp(&b.middle.x));
        let fore = fore.min_by(|a, b| a.middle.x.total_cmp(&b.middle.x));
        let apart_m = match (aft, fore) {
            (Some(aft), Some(fore)) if aft.middle.x < fore.middle.x => fore.middle.x - aft.middle.x,
            // She stands on the ends of one.
            (Some(one), _) | (_, Some(one)) => 2.0 * one.half_length_m,
            (None, None) => f64::INFINITY,
        };
        let lowest = bearing.iter().map(|f| f.middle.z).reduce(f64::min);
        let about = Vec3::new(centre.x, centre.y, lowest.unwrap_or(centre.z));
        Self {
            placing_m: required.placing_tolerance_m,
            up_m,
            trim_rad: (2.0 * up_m / apart_m).min(TRIM_LIMIT_RAD),
            about: worked.trailer_from_frame * about,
        }
    }

    /// How far what stands at `at` on the hull moves with it, m.
    fn at(&self, at: Vec3) -> Vec3 {
        let arm = (at - self.about).abs();
        Vec3::new(
            self.placing_m + self.trim_rad * arm.z,
            self.placing_m,
            self.up_m + self.trim_rad * arm.x,
        )
    }
}

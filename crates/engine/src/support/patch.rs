//! Where a keel bears on a top face: how long, how wide, at what slope.

use crate::hull::Hull;
use crate::math::{Pose, Vec3};
use crate::setdown::Touch;
use crate::standing::TopFace;

/// Steps from the touching point to the edge of the face.
const STEPS: usize = 16;

/// Halvings of a step in which bearing ends.
const HALVINGS: usize = 5;

/// Stretches of the face over which the keel's slope is followed.
const SLOPE_STEPS: usize = 8;

/// A keel that rises by more than this, tangent, does not slope: it ends.
const STEEPEST: f64 = 0.7;

/// How far inside the touching point is looked, m.
const HAIR_M: f64 = 2.0e-4;

/// Rays start this far under the touching point, m.
const UNDER_M: f64 = 0.5;

/// The least width and length a contact is taken to have, m: timber yields until it has it.
const LEAST_M: f64 = 0.01;

/// The part of a top face that a keel bears on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Patch {
    /// Middle between its ends and between its sides. Frame coordinates.
    pub middle: Vec3,
    /// Length of keel that bears, fore and aft, m: gaps in it, as over a slot, left out.
    pub length_m: f64,
    /// Width of keel that bears, m, likewise.
    pub width_m: f64,
    /// From end to end, m.
    pub reach_m: f64,
    /// From side to side, m: what holds the hull upright.
    pub spread_m: f64,
    /// Rise of the keel forward over the face, tangent, frame coordinates: over the stretch about the
    /// touching point where it goes on without a step; none where there is no such stretch.
    pub slope: Option<f64>,
}

impl Patch {
    /// The part of the face that stays within `give_m` of the nearest point.
    pub fn under(
        hull: &Hull,
        frame_from_hull: &Pose,
        face: &TopFace,
        touch: &Touch,
        give_m: f64,
    ) -> Self {
        let probe = Probe {
            hull,
            hull_from_frame: frame_from_hull.inverse(),
            face,
            from_z: touch.at.z - UNDER_M,
            most_m: touch.gap_m + give_m,
        };
        let at = probe.inside(touch.at);
        let (mid, along, across) = (face.middle, face.half_length_m, face.half_width_m);
        let fore = probe.walk(at, Vec3::X, mid.x + along - at.x);
        let aft = probe.walk(at, Vec3::NEG_X, at.x - mid.x + along);
        let left = probe.walk(at, Vec3::Y, mid.y + across - at.y);
        let right = probe.walk(at, Vec3::NEG_Y, at.y - mid.y + across);
        let least = |m: f64, most: f64| m.max(LEAST_M).min(2.0 * most);
        Self {
            middle: at
                + Vec3::new(
                    (fore.farthest_m - aft.farthest_m) / 2.0,
                    (left.farthest_m - right.farthest_m) / 2.0,
                    0.0,
                ),
            length_m: least(fore.bears_m + aft.bears_m, along),
            width_m: least(left.bears_m + right.bears_m, across),
            reach_m: least(fore.farthest_m + aft.farthest_m, along),
            spread_m: least(left.farthest_m + right.farthest_m, across),
            slope: probe.slope(at),
        }
    }
}

/// What was met on the way from the touching point to an edge of the face.
#[derive(Clone, Copy, Default)]
struct Walk {
    /// How much of the way bears, m.
    bears_m: f64,
    /// How far the last of it is, m.
    farthest_m: f64,
}

struct Probe<'a> {
    hull: &'a Hull,
    hull_from_frame: Pose,
    face: &'a TopFace,
    from_z: f64,
    /// Gap up to which the keel bears, m.
    most_m: f64,
}

impl Probe<'_> {
    /// Height of the lowest surface over (`x`, `y`), frame coordinates.
    fn height(&self, x: f64, y: f64) -> Option<f64> {
        let origin = self.hull_from_frame * Vec3::new(x, y, self.from_z);
        let up = self.hull_from_frame.transform_vector(Vec3::Z);
        self.hull
            .bearing_parts()
            .filter_map(|p| p.mesh.cast_ray(origin, up))
            .map(|hit| self.from_z + hit.distance)
            .reduce(f64::min)
    }

    /// A point a hair off `at` that bears: upright rays along the very edge of a keel may miss it.
    fn inside(&self, at: Vec3) -> Vec3 {
        [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)]
            .map(|(x, y)| at + Vec3::new(x, y, 0.0) * HAIR_M)
            .into_iter()
            .find(|p| self.over_face(*p) && self.bears(*p))
            .unwrap_or(at)
    }

    fn over_face(&self, p: Vec3) -> bool {
        let (mid, face) = (self.face.middle, self.face);
        (p.x - mid.x).abs() <= face.half_length_m && (p.y - mid.y).abs() <= face.half_width_m
    }

    /// Rise forward of the keel over the face, as far as it goes on from the touching point.
    fn slope(&self, at: Vec3) -> Option<f64> {
        let (mid, along) = (self.face.middle.x, self.face.half_length_m);
        let step = 2.0 * along / SLOPE_STEPS as f64;
        let start = self.height(at.x, at.y)?;
        let go = |sign: f64| {
            let mut last = (at.x, start);
            let limit = along - sign * (at.x - mid);
            for i in 1..=(limit / step + 1e-9) as usize {
                let x = at.x + sign * step * i as f64;
                match self.height(x, at.y) {
                    Some(z) if (z - last.1).abs() <= STEEPEST * step => last = (x, z),
                    _ => break,
                }
            }
            last
        };
        let (aft, fore) = (go(-1.0), go(1.0));
        let length = fore.0 - aft.0;
        (length > 0.0).then(|| (fore.1 - aft.1) / length)
    }

    /// Whether the keel bears there.
    fn bears(&self, p: Vec3) -> bool {
        let face = self.face;
        let top = face.middle.z + face.slope * (p.x - face.middle.x);
        self.height(p.x, p.y)
            .is_some_and(|z| z - top <= self.most_m)
    }

    /// From `at` along `direction` as far as `limit_m`.
    fn walk(&self, at: Vec3, direction: Vec3, limit_m: f64) -> Walk {
        // Just inside the face: a ray along its very edge may pass beside an upright side.
        let limit_m = limit_m - 1e-6;
        let mut walk = Walk::default();
        if limit_m <= 0.0 {
            return walk;
        }
        let step = limit_m / STEPS as f64;
        let mut before = true;
        for i in 1..=STEPS {
            let (near, far) = (step * (i - 1) as f64, step * i as f64);
            let now = self.bears(at + direction * far);
            let change = match (before, now) {
                (false, false) => 0.0,
                (true, true) => step,
                _ => self.change(at, direction, near, far, before) - near,
            };
            if before {
                walk.bears_m += change;
                walk.farthest_m = near + change;
            } else if now {
                walk.bears_m += step - change;
                walk.farthest_m = far;
            }
            before = now;
        }
        walk
    }

    /// Where between `near` and `far` bearing, as at `near`, begins or ends, m.
    fn change(&self, at: Vec3, direction: Vec3, near: f64, far: f64, bears: bool) -> f64 {
        let (mut low, mut high) = (near, far);
        for _ in 0..HALVINGS {
            let middle = (low + high) / 2.0;
            if self.bears(at + direction * middle) == bears {
                low = middle;
            } else {
                high = middle;
            }
        }
        (low + high) / 2.0
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::hull::{HullFacts, HullPart, PartKind};
    use crate::mesh::tests::cuboid;

    /// Keels 8 m long, each from one side to the other, m left of the middle.
    fn hull(keels: &[[f64; 2]]) -> Hull {
        let keel = |(i, [right, left]): (usize, &[f64; 2])| HullPart {
            name: format!("keel {i}"),
            kind: PartKind::Keel,
            part_use: crate::hull::PartUse::Checked,
            mesh: Arc::new(cuboid([0.0, *right, 0.0], [8.0, *left, 1.0])),
        };
        let parts = keels.iter().enumerate().map(keel).collect();
        Hull::new("prism", parts, HullFacts::default()).unwrap()
    }

    /// A level top face, 0.2 m along and 0.6 m across.
    fn face_at(z_m: f64) -> TopFace {
        TopFace {
            middle: Vec3::new(4.0, 0.0, z_m),
            half_length_m: 0.1,
            half_width_m: 0.3,
            slope: 0.0,
            beam_top_m: 0.0,
        }
    }

    #[test]
    fn a_box_keel_bears_over_its_width_and_the_faces_length() {
        let hull = hull(&[[-0.08, 0.08]]);
        let face = face_at(0.3);
        let pose = Pose::from_translation(Vec3::new(0.0, 0.0, 0.3));
        let touch = Touch {
            gap_m: 0.0,
            at: Vec3::new(3.9, -0.08, 0.3),
        };
        let patch = Patch::under(&hull, &pose, &face, &touch, 0.003);
        assert!((patch.length_m - 0.2).abs() < 1e-3, "{patch:?}");
        assert!((patch.width_m - 0.16).abs() < 5e-3, "{patch:?}");
        assert!((patch.middle.x - 4.0).abs() < 1e-3 && patch.middle.y.abs() < 5e-3);
        assert!(patch.slope.unwrap().abs() < 1e-9);
    }

    #[test]
    fn a_slot_in_the_keel_does_not_bear_but_both_its_sides_do() {
        let hull = hull(&[[0.03, 0.08], [-0.08, -0.03]]);
        let face = face_at(0.0);
        let touch = Touch {
            gap_m: 0.0,
            at: Vec3::new(4.0, 0.06, 0.0),
        };
        let patch = Patch::under(&hull, &Pose::identity(), &face, &touch, 0.003);
        assert!((patch.width_m - 0.10).abs() < 5e-3, "{patch:?}");
        assert!((patch.spread_m - 0.16).abs() < 5e-3, "{patch:?}");
        assert!(patch.middle.y.abs() < 3e-3, "{patch:?}");
    }

    #[test]
    fn a_rising_keel_bears_on_the_aft_edge() {
        let hull = hull(&[[-0.08, 0.08]]);
        let face = face_at(0.0);
        let rise = 0.06_f64;
        let pose = Pose::from_parts(
            Vec3::new(0.0, 0.0, -3.9 * rise.tan()),
            crate::math::Rot3::from_rotation_y(-rise),
        );
        let touch = Touch {
            gap_m: 0.0,
            at: Vec3::new(3.9, 0.0, 0.0),
        };
        let patch = Patch::under(&hull, &pose, &face, &touch, 0.003);
        // By hand: it rises 3 mm over 0.003 / tan 0.06 = 50 mm.
        assert!((patch.length_m - 0.05).abs() < 2e-3, "{patch:?}");
        assert!((patch.slope.unwrap() - rise.tan()).abs() < 1e-6);
    }
}

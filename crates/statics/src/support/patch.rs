//! Where a keel bears on a top face: over what area, how long, how wide, at what slope.

use super::bearing::Bearing;
use keelstead_boat::hull::Hull;
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_load::rig_parts::TopFace;
use keelstead_load::setdown::Touch;

/// Stretches of the face over which the keel's slope is followed.
const SLOPE_STEPS: usize = 8;

/// A keel that rises by more than this, tangent, does not slope: it ends.
const STEEPEST: f64 = 0.7;

/// Rays start this far under the lower of face and hull, m.
const UNDER_M: f64 = 0.5;

/// The least width and length a contact is taken to have, m: timber yields until it has it.
const LEAST_M: f64 = 0.01;

/// The part of a top face that a keel bears on.
///
/// Length and width are such that they make the area: a triangle half as wide on the mean as at its
/// base is shown so. How far it reaches is told apart from that.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Patch {
    /// Middle of the area that bears, where its load acts. Frame coordinates.
    pub middle: Vec3,
    /// Length of keel that bears, fore and aft, m: gaps in it left out.
    pub length_m: f64,
    /// Mean width that bears over that length, m: gaps in it, as a slot, left out.
    pub width_m: f64,
    /// Its aft and its fore end, m. Frame coordinates.
    pub ends_x_m: [f64; 2],
    /// Its right and its left side, m. Frame coordinates.
    pub sides_y_m: [f64; 2],
    /// Rise of the keel forward over the face, tangent, frame coordinates: over the stretch about its
    /// middle where it goes on without a step; none where there is no such stretch.
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
        let bearing = Bearing::of(hull, frame_from_hull, face, touch.gap_m + give_m);
        let probe = Probe {
            hull,
            hull_from_frame: frame_from_hull.inverse(),
            face,
            from_z: face.middle.z + touch.gap_m.min(0.0) - UNDER_M,
        };
        // An edge or a corner that touches has no area of its own.
        let [ends, sides] = bearing.map_or([[touch.at.x; 2], [touch.at.y; 2]], |b| {
            [b.ends_x_m, b.sides_y_m]
        });
        let [along, across] = [face.half_length_m, face.half_width_m].map(|half| 2.0 * half);
        let length_m = bearing.map_or(0.0, |b| b.length_m).max(LEAST_M).min(along);
        let width_m = bearing.map_or(0.0, |b| b.area_m2 / length_m);
        Self {
            middle: bearing.map_or(touch.at, |b| b.middle),
            length_m,
            width_m: width_m.max(LEAST_M).min(across),
            ends_x_m: at_least(ends, face.middle.x, face.half_length_m),
            sides_y_m: at_least(sides, face.middle.y, face.half_width_m),
            slope: probe.slope(bearing.map_or(touch.at, |b| b.on_skin)),
        }
    }

    /// The whole of a top face, `slope` being the keel's.
    pub fn whole(face: &TopFace, slope: Option<f64>) -> Self {
        let (middle, along, across) = (face.middle, face.half_length_m, face.half_width_m);
        Self {
            middle,
            length_m: 2.0 * along,
            width_m: 2.0 * across,
            ends_x_m: [middle.x - along, middle.x + along],
            sides_y_m: [middle.y - across, middle.y + across],
            slope,
        }
    }

    /// Level area that bears, m².
    pub fn area_m2(&self) -> f64 {
        self.length_m * self.width_m
    }

    /// From end to end, m.
    pub fn reach_m(&self) -> f64 {
        self.ends_x_m[1] - self.ends_x_m[0]
    }

    /// What holds the hull upright, m: twice the distance from its middle to the nearer side, slots
    /// included.
    pub fn spread_m(&self) -> f64 {
        let [right, left] = self.sides_y_m.map(|y| (y - self.middle.y).abs());
        2.0 * right.min(left)
    }
}

/// The stretch, at least [`LEAST_M`] long as far as the face has room for it.
fn at_least([from, to]: [f64; 2], middle: f64, half: f64) -> [f64; 2] {
    if to - from >= LEAST_M {
        return [from, to];
    }
    let half_least = (LEAST_M / 2.0).min(half);
    let room = half - half_least;
    let at = ((from + to) / 2.0).clamp(middle - room, middle + room);
    [at - half_least, at + half_least]
}

struct Probe<'a> {
    hull: &'a Hull,
    hull_from_frame: Pose,
    face: &'a TopFace,
    from_z: f64,
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

    /// Rise forward of the keel over the face, as far as it goes on from `at`: beside it where the keel has its edge there, as
    /// where she is heeled.
    fn slope(&self, at: Vec3) -> Option<f64> {
        /// How far beside, m.
        const BESIDE_M: [f64; 5] = [0.0, 0.002, -0.002, 0.01, -0.01];
        let beside = BESIDE_M.map(|by| at + Vec3::Y * by);
        beside.into_iter().find_map(|at| self.slope_along(at))
    }

    fn slope_along(&self, at: Vec3) -> Option<f64> {
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
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use keelstead_boat::hull::{HullFacts, HullPart, PartKind};
    use keelstead_geometry::solids::cuboid;

    /// Keels 8 m long, each from one side to the other, m left of the middle.
    fn hull(keels: &[[f64; 2]]) -> Hull {
        let keel = |(i, [right, left]): (usize, &[f64; 2])| HullPart {
            name: format!("keel {i}"),
            kind: PartKind::Keel,
            part_use: keelstead_boat::hull::PartUse::Checked,
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

    fn touch(gap_m: f64) -> Touch {
        Touch {
            gap_m,
            at: Vec3::new(3.9, -0.08, 0.3),
        }
    }

    fn close(found: f64, known: f64, part: f64, patch: &Patch) {
        assert!(
            (found - known).abs() <= part * known.abs().max(0.1),
            "{found} for {known}: {patch:?}"
        );
    }

    #[test]
    fn a_box_keel_bears_over_its_width_and_the_faces_length() {
        let hull = hull(&[[-0.08, 0.08]]);
        let face = face_at(0.3);
        let pose = Pose::from_translation(Vec3::new(0.0, 0.0, 0.3));
        let patch = Patch::under(&hull, &pose, &face, &touch(0.0), 0.003);
        close(patch.length_m, 0.2, 1e-9, &patch);
        close(patch.width_m, 0.16, 1e-9, &patch);
        close(patch.area_m2(), 0.032, 1e-9, &patch);
        close(patch.spread_m(), 0.16, 1e-9, &patch);
        assert!((patch.middle - face.middle).length() < 1e-9, "{patch:?}");
        assert!(patch.slope.unwrap().abs() < 1e-9);
    }

    #[test]
    fn a_slot_in_the_keel_does_not_bear_but_both_its_sides_do() {
        let hull = hull(&[[0.03, 0.08], [-0.08, -0.03]]);
        let patch = Patch::under(&hull, &Pose::identity(), &face_at(0.0), &touch(0.0), 0.003);
        close(patch.width_m, 0.10, 1e-9, &patch);
        close(patch.spread_m(), 0.16, 1e-9, &patch);
        assert!(patch.middle.y.abs() < 1e-9, "{patch:?}");
    }

    #[test]
    fn a_rising_keel_bears_on_the_aft_edge() {
        let hull = hull(&[[-0.08, 0.08]]);
        let rise = 0.06_f64;
        let pose = Pose::from_parts(
            Vec3::new(0.0, 0.0, -3.9 * rise.tan()),
            keelstead_geometry::math::Rot3::from_rotation_y(-rise),
        );
        let patch = Patch::under(&hull, &pose, &face_at(0.0), &touch(0.0), 0.003);
        // By hand: it rises 3 mm over 0.003 / tan 0.06 = 50 mm.
        close(patch.length_m, 0.003 / rise.tan(), 1e-9, &patch);
        close(patch.width_m, 0.16, 1e-9, &patch);
        close(patch.middle.x, 3.9 + 0.0015 / rise.tan(), 1e-9, &patch);
        assert!((patch.slope.unwrap() - rise.tan()).abs() < 1e-6);
    }

    /// The pose in which a flat bottom stands at `a x + b y` over the face's plane z = 0, from the
    /// face's aft right corner under the keel on.
    fn tilted(a: f64, b: f64) -> Pose {
        let normal = Vec3::new(-a, -b, 1.0).normalize();
        let along = Vec3::new(1.0, 0.0, a).normalize();
        let across = normal.cross(along);
        let turn = keelstead_geometry::math::Rot3::from_mat3(
            &keelstead_geometry::math::Mat3::from_cols(along, across, normal),
        );
        let from = Vec3::new(3.9, -0.08, 0.0);
        Pose::from_parts(from - turn * from, turn)
    }

    #[test]
    fn a_box_keel_heeled_and_wedged_bears_on_a_triangle() {
        let hull = hull(&[[-0.08, 0.08]]);
        // By hand: 3 mm over a keel that rises 0.03 forward and 0.05 to the left are left at
        // 0.1 m along one leg and 0.06 m along the other: 0.003 m², where a cross through the
        // corner says 0.006.
        let pose = tilted(0.03, 0.05);
        let patch = Patch::under(&hull, &pose, &face_at(0.0), &touch(0.0), 0.003);
        close(patch.area_m2(), 0.003, 2e-3, &patch);
        close(patch.reach_m(), 0.1, 5e-3, &patch);
        close(patch.sides_y_m[1] - patch.sides_y_m[0], 0.06, 5e-3, &patch);
        close(patch.middle.x, 3.9 + 0.1 / 3.0, 1e-3, &patch);
        close(patch.middle.y, -0.08 + 0.06 / 3.0, 1e-3, &patch);
        close(patch.spread_m(), 0.04, 5e-3, &patch);
        assert!((patch.slope.unwrap() - 0.03).abs() < 1e-3);
        // The same whichever point was met first.
        let other = Touch {
            gap_m: 0.0,
            at: Vec3::new(3.95, -0.07, 0.0),
        };
        assert_eq!(
            patch,
            Patch::under(&hull, &pose, &face_at(0.0), &other, 0.003)
        );
    }

    /// A V-bottom 8 m long and 1.2 m wide whose sides rise by `rise`, tangent.
    fn v_bottom(rise: f64) -> Hull {
        let v = |x: f64, y: f64| Vec3::new(x, y, y.abs() * rise);
        let corners = [0.0, 8.0].map(|x| [v(x, -0.6), v(x, 0.0), v(x, 0.6)]);
        let mesh = keelstead_geometry::mesh::Mesh::new(
            corners.as_flattened().to_vec(),
            vec![[0, 1, 4], [0, 4, 3], [1, 2, 5], [1, 5, 4]],
        );
        let body = HullPart {
            name: "body".into(),
            kind: PartKind::Keel,
            part_use: keelstead_boat::hull::PartUse::Checked,
            mesh: Arc::new(mesh.unwrap()),
        };
        Hull::new("v", vec![body], HullFacts::default()).unwrap()
    }

    #[test]
    fn a_v_bottom_bears_to_both_sides_and_heeled_more_to_one() {
        let hull = v_bottom(0.2);
        let level = Patch::under(&hull, &Pose::identity(), &face_at(0.0), &touch(0.0), 0.003);
        // By hand: 3 mm are left at 0.003 / 0.2 to each side, over the face's length.
        close(level.area_m2(), 0.2 * 0.03, 1e-9, &level);
        close(level.spread_m(), 0.03, 1e-9, &level);
        let heel = 0.1_f64;
        let pose = Pose::from_parts(
            Vec3::ZERO,
            keelstead_geometry::math::Rot3::from_rotation_x(heel),
        );
        let heeled = Patch::under(&hull, &pose, &face_at(0.0), &touch(0.0), 0.003);
        let side = 0.2_f64.atan();
        let [right, left] = [(side - heel).tan(), (side + heel).tan()].map(|t| 0.003 / t);
        close(heeled.width_m, right + left, 1e-6, &heeled);
        close(heeled.middle.y, (left - right) / 2.0, 1e-6, &heeled);
        close(heeled.sides_y_m[0], -right, 1e-6, &heeled);
    }

    #[test]
    fn skins_over_each_other_are_counted_once() {
        // Twice the same, and a narrower keel whose root stands 1 mm into the body above.
        let one = Patch::under(
            &hull(&[[-0.08, 0.08]]),
            &Pose::identity(),
            &face_at(0.0),
            &touch(0.0),
            0.003,
        );
        let twice = Patch::under(
            &hull(&[[-0.08, 0.08], [-0.08, 0.08], [-0.02, 0.05]]),
            &Pose::identity(),
            &face_at(0.0),
            &touch(0.0),
            0.003,
        );
        close(twice.area_m2(), one.area_m2(), 1e-9, &twice);
        assert!((twice.middle - one.middle).length() < 1e-6, "{twice:?}");
        // Half over each other: 0.16 and 0.10 wide, 0.08 of it common, is 0.18.
        let half = Patch::under(
            &hull(&[[-0.08, 0.08], [0.0, 0.10]]),
            &Pose::identity(),
            &face_at(0.0),
            &touch(0.0),
            0.003,
        );
        close(half.area_m2(), 0.2 * 0.18, 1e-6, &half);
        close(half.middle.y, 0.01, 1e-6, &half);
    }

    #[test]
    fn what_touches_with_an_edge_has_the_least_that_timber_gives_it() {
        // A box beside the face that touches its end only.
        let hull = hull(&[[0.3, 0.5]]);
        let at = Touch {
            gap_m: 0.0,
            at: Vec3::new(4.0, 0.3, 0.0),
        };
        let patch = Patch::under(&hull, &Pose::identity(), &face_at(0.0), &at, 0.003);
        assert_eq!(patch.width_m, LEAST_M);
        assert!(patch.sides_y_m[1] <= 0.3 + 1e-12 && patch.area_m2() > 0.0);
        let nonsense = Pose::from_translation(Vec3::new(f64::NAN, 0.0, 0.0));
        let patch = Patch::under(&hull, &nonsense, &face_at(0.0), &at, 0.003);
        assert!(patch.area_m2() > 0.0 && patch.middle.is_finite());
    }
}

//! Boxes and cylinders in space: how near two are, or how deep one is in the other.

use parry3d_f64::bounding_volume::BoundingVolume;
use parry3d_f64::query::details::closest_points_support_map_support_map;
use parry3d_f64::query::{self, ClosestPoints};
use parry3d_f64::shape::{Cuboid, Cylinder, SupportMap};

use crate::math::{Aabb, Pose, Vec3};
use crate::shape::Shape;

/// Nearer than this the way between two solids is no direction any more, m.
const TOUCHING_M: f64 = 1e-9;

/// A box or a cylinder in space.
pub struct Solid {
    shape: Form,
    world_from_solid: Pose,
    bounds: Aabb,
}

enum Form {
    Box(Cuboid),
    /// Along its own y axis.
    Round(Cylinder),
}

/// Where two solids are nearest, or in each other. World frame.
#[derive(Debug, Clone, Copy)]
pub struct Meeting {
    /// Gap, m; where they overlap, less than nought: the shortest way apart.
    pub gap_m: f64,
    /// Unit vector of that way, from the first to the second.
    pub way: Vec3,
    /// A place in or between both.
    pub at: Vec3,
}

impl Solid {
    /// A shape that stands at a pose; none for the ground.
    pub fn new(shape: &Shape, world_from_solid: Pose) -> Option<Self> {
        let pose = world_from_solid;
        let (shape, bounds) = match *shape {
            Shape::Box { half } => {
                let cuboid = Cuboid::new(half.vec());
                (Form::Box(cuboid), cuboid.aabb(&pose))
            }
            Shape::Cylinder {
                half_length_m,
                radius_m,
            } => {
                let cylinder = Cylinder::new(half_length_m, radius_m);
                (Form::Round(cylinder), cylinder.aabb(&pose))
            }
            Shape::Ground => return None,
        };
        let known = bounds.mins.is_finite() && bounds.maxs.is_finite();
        let anywhere = Aabb::new(Vec3::MIN, Vec3::MAX);
        Some(Self {
            shape,
            world_from_solid: pose,
            bounds: if known { bounds } else { anywhere },
        })
    }

    /// A box less so much of its length, m, at the end that its own x axis comes from; none where nothing is left, and for what
    /// is round.
    pub fn without_foot(&self, foot_m: f64) -> Option<Self> {
        let Form::Box(cuboid) = &self.shape else {
            return None;
        };
        let half = cuboid.half_extents - Vec3::X * (foot_m / 2.0);
        let middle = Pose::from_translation(Vec3::X * (foot_m / 2.0));
        let world_from_solid = self.world_from_solid * middle;
        let left = Cuboid::new(half);
        (half.x > 0.0).then(|| Self {
            shape: Form::Box(left),
            world_from_solid,
            bounds: left.aabb(&world_from_solid),
        })
    }

    /// How high its top is at a station that it reaches, m: of a box that stands upright but for the frame's tilt, or of a wheel.
    pub fn top_m(&self, x_m: f64) -> f64 {
        let pose = &self.world_from_solid;
        match &self.shape {
            Form::Box(cuboid) => {
                let up = pose.transform_vector(Vec3::Z);
                let top = *pose * (Vec3::Z * cuboid.half_extents.z);
                top.z - (x_m - top.x) * up.x / up.z
            }
            Form::Round(wheel) => {
                let beside_m = x_m - pose.translation.x;
                let over_axle_m = (wheel.radius.powi(2) - beside_m.powi(2)).max(0.0).sqrt();
                pose.translation.z + over_axle_m
            }
        }
    }

    fn map(&self) -> &dyn SupportMap {
        match &self.shape {
            Form::Box(cuboid) => cuboid,
            Form::Round(cylinder) => cylinder,
        }
    }

    /// Corners of the box around it, in its own frame.
    fn corners(&self) -> [Vec3; 8] {
        let half = match &self.shape {
            Form::Box(cuboid) => cuboid.half_extents,
            Form::Round(round) => Vec3::new(round.radius, round.half_height, round.radius),
        };
        Aabb::from_half_extents(Vec3::ZERO, half).vertices()
    }

    /// The box around it, trailer frame; without end where its place is no number.
    pub fn bounds(&self) -> Aabb {
        self.bounds
    }

    /// How the two meet; none where they are farther apart than `within_m`.
    pub fn meet(&self, other: &Self, within_m: f64) -> Option<Meeting> {
        let (a, b) = (&self.bounds, &other.bounds);
        if !a.loosened(within_m).intersects(b) {
            return None;
        }
        let at = (a.mins.max(b.mins) + a.maxs.min(b.maxs)) / 2.0;
        let pose = self.world_from_solid.inv_mul(&other.world_from_solid);
        if !(pose.translation.is_finite() && pose.rotation.is_finite()) {
            let (gap_m, way) = (f64::NAN, Vec3::ZERO);
            return Some(Meeting { gap_m, way, at });
        }
        let (gap_m, way) = match self.nearest(other, &pose, within_m) {
            ClosestPoints::Disjoint => return None,
            ClosestPoints::WithinMargin(on_self, on_other) => {
                let way = pose * on_other - on_self;
                match way.length() {
                    gap_m if gap_m > TOUCHING_M => (gap_m, way / gap_m),
                    _ => self.overlap(other, &pose),
                }
            }
            ClosestPoints::Intersecting => self.overlap(other, &pose),
        };
        let way = self.world_from_solid.transform_vector(way);
        Some(Meeting { gap_m, way, at })
    }

    fn nearest(&self, other: &Self, pose: &Pose, within_m: f64) -> ClosestPoints {
        // A little more than asked: what is met exactly there counts.
        let margin_m = within_m + TOUCHING_M;
        closest_points_support_map_support_map(pose, self.map(), other.map(), margin_m)
    }

    /// How far the other must move along `direction`, or against it, to be clear, whichever is less, m.
    pub fn apart_m(&self, other: &Self, direction: Vec3) -> f64 {
        let pose = self.world_from_solid.inv_mul(&other.world_from_solid);
        let own = self.world_from_solid.inverse_transform_vector(direction);
        let least = gap_along(self.map(), other.map(), &pose, own).max(gap_along(
            self.map(),
            other.map(),
            &pose,
            -own,
        ));
        (-least).max(0.0)
    }

    /// The greatest gap along the directions that belong to the two: square to faces, square to edges of both, and
    /// for what is round also straight out from its axis, to the corners of the other too. For two boxes, and for a box
    /// along or square to a wheel, that is the shortest way apart; elsewhere it is no shorter than that.
    fn overlap(&self, other: &Self, pose: &Pose) -> (f64, Vec3) {
        let own = [Vec3::X, Vec3::Y, Vec3::Z];
        let others = own.map(|axis| pose.rotation * axis);
        let mut ways = Vec::with_capacity(30);
        ways.extend(own.iter().chain(&others).copied());
        ways.extend(own.iter().flat_map(|a| others.map(|b| a.cross(b))));
        ways.push(pose.translation);
        let out_of_self = other.corners().map(|c| pose * c);
        let out_of_other = self.corners().map(|c| c - pose.translation);
        for (solid, axis, corners) in [
            (self, own[1], out_of_self),
            (other, others[1], out_of_other),
        ] {
            if let Form::Round(_) = solid.shape {
                let outwards = |way: &Vec3| *way - axis * way.dot(axis);
                let round: Vec<Vec3> = ways.iter().chain(&corners).map(outwards).collect();
                ways.extend(round);
            }
        }
        let units = ways.iter().filter_map(|way| way.try_normalize());
        units
            .flat_map(|way| [way, -way])
            .map(|way| (gap_along(self.map(), other.map(), pose, way), way))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .unwrap_or((f64::NAN, Vec3::ZERO))
    }
}

/// The gap between two shapes as seen along a unit `way` from the first to the second, m: less than nought where they
/// overlap. The first's own frame.
fn gap_along(first: &dyn SupportMap, second: &dyn SupportMap, pose: &Pose, way: Vec3) -> f64 {
    let near = second.support_point(pose, -way);
    (near - first.local_support_point(way)).dot(way)
}

/// How far two boxes are apart, each with its pose and half its edges, m: nought where they touch or overlap, and where no
/// answer is found.
pub fn boxes_apart_m(a: (&Pose, Vec3), b: (&Pose, Vec3)) -> f64 {
    let [first, second] = [a.1, b.1].map(Cuboid::new);
    query::distance(a.0, &first, b.0, &second).map_or(0.0, |apart| apart.distance)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::math::{Point, Rot3};

    fn cube(pose: Pose) -> Solid {
        let half = Point::new(0.5, 0.5, 0.5);
        Solid::new(&Shape::Box { half }, pose).unwrap()
    }

    #[test]
    fn boxes_meet_as_by_hand() {
        let at = |x: f64, y: f64, z: f64| Pose::from_translation(Vec3::new(x, y, z));
        let origin = cube(Pose::identity());
        let gap = |other: Pose, within_m: f64| origin.meet(&cube(other), within_m).map(|m| m.gap_m);
        assert!((gap(at(0.3, 0.1, 0.1), 0.0).unwrap() + 0.7).abs() < 1e-12);
        assert!((gap(Pose::identity(), 0.0).unwrap() + 1.0).abs() < 1e-12);
        assert!(gap(at(1.0, 0.0, 0.0), 0.0).unwrap().abs() < 1e-12);
        // 30 and 40 mm apart: 50 mm from edge to edge.
        assert!((gap(at(1.03, 1.04, 0.0), 0.06).unwrap() - 0.05).abs() < 1e-9);
        assert_eq!(gap(at(1.03, 1.04, 0.0), 0.045), None);
        // On its edge, which is half a diagonal from the middle, 0.1 m in.
        let turned = Rot3::from_rotation_z(std::f64::consts::FRAC_PI_4);
        let x = 0.5 + 0.5_f64.sqrt() - 0.1;
        let edge = Pose::from_parts(Vec3::new(x, 0.0, 0.0), turned);
        assert!((gap(edge, 0.0).unwrap() + 0.1).abs() < 1e-12);
        let lost = at(f64::NAN, 0.0, 0.0);
        assert!(gap(lost, 0.0).unwrap().is_nan());
    }

    #[test]
    fn wheels_meet_boxes_as_by_hand() {
        let tyre = Shape::Cylinder {
            half_length_m: 0.1,
            radius_m: 0.4,
        };
        let wheel = Solid::new(&tyre, Pose::identity()).unwrap();
        let bar = |x: f64, y: f64, z: f64| {
            let half = Point::new(0.3, 0.5, 0.1);
            let at = Pose::from_translation(Vec3::new(x, y, z));
            Solid::new(&Shape::Box { half }, at).unwrap()
        };
        for turned in [false, true] {
            let gap = |bar: &Solid| match turned {
                false => wheel.meet(bar, 0.1).unwrap().gap_m,
                true => bar.meet(&wheel, 0.1).unwrap().gap_m,
            };
            // On top, 50 mm in; beside its face, 30 mm in.
            assert!((gap(&bar(0.0, 0.0, 0.45)) + 0.05).abs() < 1e-9);
            assert!((gap(&bar(0.0, 0.57, 0.1)) + 0.03).abs() < 1e-9);
            // Its lower edge at 0.27, 0.27 and at 0.3, 0.3, seen along the axle.
            let edge = |at: f64| gap(&bar(at + 0.3, 0.0, at + 0.1));
            assert!((edge(0.27) - (0.27 * 2.0_f64.sqrt() - 0.4)).abs() < 1e-9);
            assert!((edge(0.3) - (0.3 * 2.0_f64.sqrt() - 0.4)).abs() < 1e-6);
        }
    }
}

//! The one source of vectors, rotations and rigid transforms.
//!
//! All are double precision. A transform is named `a_from_b`: it takes coordinates in frame *b* to
//! frame *a*, so that names line up when transforms are multiplied.

pub use parry3d_f64::bounding_volume::{Aabb, BoundingVolume};
pub use parry3d_f64::math::{Mat3, Pose3 as Pose, Rot3, SymmetricEigen3, Vec3};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A point or offset as it stands in files: metres along x (forward), y (left, port) and z (up).
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// Forward, m.
    pub x_m: f64,
    /// To the left (port), m.
    pub y_m: f64,
    /// Up, m.
    pub z_m: f64,
}

impl Point {
    /// The point at `x_m`, `y_m`, `z_m`.
    pub const fn new(x_m: f64, y_m: f64, z_m: f64) -> Self {
        Self { x_m, y_m, z_m }
    }

    /// The same point for arithmetic.
    pub fn vec(self) -> Vec3 {
        Vec3::new(self.x_m, self.y_m, self.z_m)
    }
}

impl From<Vec3> for Point {
    fn from(v: Vec3) -> Self {
        Self::new(v.x, v.y, v.z)
    }
}

/// A rigid transform as it stands in findings.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PoseRecord {
    /// Where the origin of the inner frame lies in the outer one.
    pub translation: Point,
    /// Unit quaternion x, y, z, w.
    pub rotation_xyzw: [f64; 4],
}

impl From<Pose> for PoseRecord {
    fn from(pose: Pose) -> Self {
        Self {
            translation: pose.translation.into(),
            rotation_xyzw: pose.rotation.to_array(),
        }
    }
}

impl PoseRecord {
    /// The same transform for arithmetic.
    pub fn pose(self) -> Pose {
        Pose::from_parts(self.translation.vec(), Rot3::from_array(self.rotation_xyzw))
    }
}

impl From<Point> for [f64; 3] {
    fn from(point: Point) -> Self {
        [point.x_m, point.y_m, point.z_m]
    }
}

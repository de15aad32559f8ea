//! Solids that are no meshes.

use parry3d_f64::shape::{Cuboid, Cylinder};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::distance::Sides;
use crate::math::{Point, Vec3};

/// A solid that is no mesh, about its own middle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Shape {
    /// A box.
    Box {
        /// Half its edges along its own x, y and z, m.
        half: Point,
    },
    /// A cylinder along its own y axis.
    Cylinder {
        /// Half its length, m.
        half_length_m: f64,
        /// Its radius, m.
        radius_m: f64,
    },
    /// The half-space below the plane z = 0 of its own frame.
    Ground,
}

impl Shape {
    /// Half the edges of the box around it along its own x, y and z, m; none for the ground.
    pub fn half(&self) -> Option<Vec3> {
        match *self {
            Self::Box { half } => Some(half.vec()),
            Self::Cylinder {
                half_length_m,
                radius_m,
            } => Some(Vec3::new(radius_m, half_length_m, radius_m)),
            Self::Ground => None,
        }
    }

    /// How wide it is along a unit vector of its own axes, m; nought for the ground.
    pub fn width_m(&self, way: Vec3) -> f64 {
        2.0 * match *self {
            Self::Ground => 0.0,
            Self::Box { half } => Cuboid::new(half.vec()).reach(way),
            Self::Cylinder {
                half_length_m,
                radius_m,
            } => Cylinder::new(half_length_m, radius_m).reach(way),
        }
    }
}

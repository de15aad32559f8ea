//! What was found of a mesh, as data.

use keelstead_boat::hull::{PartKind, PartUse};
use keelstead_geometry::math::{Pose, Vec3};
use serde::{Deserialize, Serialize};

use super::{Mirror, Proposal, Removed, SidesFound, Skin};
use crate::hull_file::{Axis, LengthUnit};

/// What a mesh file most likely is. Lengths in the file's unit, places in its axes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Examined {
    /// Unit of the coordinates.
    pub unit: Proposal<LengthUnit>,
    /// Up.
    pub up: Proposal<Axis>,
    /// Towards the bow.
    pub forward: Proposal<Axis>,
    /// Whether it is half a hull, cut along the middle.
    pub half: Proposal<bool>,
    /// The middle plane, and how well the two sides fit.
    pub middle: Option<Mirror>,
    /// Heel of the mesh, rad, positive with the starboard side down; it is taken out.
    pub heel_rad: Proposal<f64>,
    /// Yaw of the mesh, rad, positive with the bow to port; it is taken out.
    pub yaw_rad: Proposal<f64>,
    /// Trim to take out, rad, positive with the bow up; zero leaves the mesh as it lies. Where a trim is
    /// possible and not certain, it is among the choices.
    pub trim_rad: Proposal<f64>,
    /// Sides, shells and holes.
    pub sides: SidesFound,
    /// What welding and cleaning took away.
    pub removed: Removed,
    /// Skins that run side by side.
    pub skins: Vec<SkinPair>,
    /// Which of them to keep.
    pub skin: Proposal<Skin>,
    /// Open edges that run side by side.
    pub slits: Vec<Slit>,
    /// The parts it falls into, those of most triangles first, those taken out too.
    pub parts: Vec<FoundPart>,
}

/// Two skins that run side by side.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SkinPair {
    /// The outer one, as an index of the shells.
    pub outer: usize,
    /// The inner one, as an index of the shells.
    pub inner: usize,
    /// How far they are apart in the mean.
    pub apart: f64,
}

/// A narrow gap between open edges.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Slit {
    /// Where it is widest, how wide.
    pub width: f64,
    /// How long.
    pub length: f64,
    /// Its two ends.
    pub ends: [[f64; 3]; 2],
}

/// A part, and what it most likely is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FoundPart {
    /// Its name, unique: the file's, or by what it is.
    pub name: String,
    /// What it is. Open, it is taken for the first of the choices and is to be named.
    pub kind: Proposal<PartKind>,
    /// What it counts for.
    #[serde(rename = "use")]
    pub part_use: Proposal<PartUse>,
    /// How many triangles.
    pub triangles: usize,
    /// Least coordinates.
    pub min: [f64; 3],
    /// Greatest coordinates.
    pub max: [f64; 3],
}

/// An opening that was closed for the sake of volume.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cap {
    /// The part that closes it.
    pub part: String,
    /// Its area, m².
    pub area_m2: f64,
    /// Middle of its box, hull frame's directions, m.
    pub centre_m: [f64; 3],
    /// How many open edges it closes.
    pub edges: usize,
}

/// From the file's coordinates to those of the imported parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HullFromFile {
    /// Length of the file's unit after scaling, m.
    pub scale: f64,
    /// What is done to the scaled point.
    pub pose: Pose,
}

impl HullFromFile {
    /// A point of the file, hull frame's directions, m.
    pub fn point(&self, of_file: [f64; 3]) -> [f64; 3] {
        (self.pose * (Vec3::from_array(of_file) * self.scale)).to_array()
    }

    /// A point of the imported parts, m, in the file's unit and axes.
    pub fn inverse_point(&self, of_hull_m: [f64; 3]) -> [f64; 3] {
        (self
            .pose
            .inverse_transform_point(Vec3::from_array(of_hull_m))
            / self.scale)
            .to_array()
    }
}

//! What a person answers about a mesh.

use keelstead_boat::hull::{PartKind, PartUse};
use serde::{Deserialize, Serialize};

use crate::hull_file::{Axis, LengthUnit};

/// What a person answers; what is left open is proposed.
///
/// Heel, yaw and trim are those of the mesh as it lies in the file once up and bow are known; they are taken out.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Answers {
    /// Unit of the file's coordinates.
    pub unit: Option<LengthUnit>,
    /// Up, in the file's axes.
    pub up: Option<Axis>,
    /// Towards the bow, in the file's axes.
    pub forward: Option<Axis>,
    /// Whether the mesh is half a hull, to be mirrored in the plane it is cut along.
    pub mirror: Option<bool>,
    /// Length over all of the body that was measured, m, without mast, gear and rudder: the mesh is scaled to it, and its
    /// unit does not matter.
    pub length_m: Option<f64>,
    /// Heel to take out, rad, positive with the starboard side down.
    pub heel_rad: Option<f64>,
    /// Yaw to take out, rad, positive with the bow to port.
    pub yaw_rad: Option<f64>,
    /// Trim to take out, rad, positive with the bow up. Zero leaves the mesh as it is.
    pub trim_rad: Option<f64>,
    /// Two points of the boat, in the file's unit and axes, that are level with each other when she
    /// stands as she should: boot top or scum line at bow and stern. Gives the trim; `trim_rad` may not
    /// be given as well.
    pub level: Option<[[f64; 3]; 2]>,
    /// Which of two skins that run side by side to keep.
    pub skin: Option<Skin>,
    /// Join open edges that run side by side no farther apart than this, m.
    pub join_slits_m: Option<f64>,
    /// Close the openings upward, so that the hull has a volume.
    pub close_deck: bool,
    /// Close other holes no larger than this along any axis, m.
    pub close_holes_m: Option<f64>,
    /// Whether connected pieces of one node become parts of their own; none separates those that are
    /// clearly something else.
    pub separate: Option<bool>,
    /// What the parts are, where it is other than proposed.
    pub parts: Vec<PartAnswer>,
}

/// Which of two skins that run side by side is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Skin {
    /// The outer one: what comes near anything.
    Outer,
    /// The inner one.
    Inner,
    /// Both, as the file has them.
    Both,
}

/// What a person says of a part.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct PartAnswer {
    /// The part's name as it was proposed.
    pub name: String,
    /// Its name from now on.
    pub rename: Option<String>,
    /// What it is.
    pub kind: Option<PartKind>,
    /// What it counts for.
    #[serde(rename = "use")]
    pub part_use: Option<PartUse>,
    /// It is no part of the boat: a stand, a trailer, the ground.
    pub remove: bool,
}

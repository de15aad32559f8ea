//! The boat: named parts of one checked mesh, what it weighs and where, and where nothing may press.
//!
//! Hull frame: x forward, y to port, z up, origin at the aft end of the keel line.

use std::sync::Arc;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::math::{Aabb, Point, Vec3};
use crate::mesh::Mesh;
use crate::quantity::Basis;

/// What a hull part is; decides whether it may bear on a block or be touched by a pad.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum PartKind {
    /// Canoe body: the hull's skin, with deck and transom.
    Body,
    /// Ballast or long keel, bulb included.
    Keel,
    /// Fin ahead of the rudder or propeller.
    Skeg,
    /// Rudder.
    Rudder,
    /// Propeller or outboard leg.
    Propeller,
    /// Propeller shaft.
    Shaft,
    /// Bracket of a shaft, or a saildrive leg.
    Strut,
    /// Centreboard or daggerboard.
    Centreboard,
    /// Deckhouse, cabin, wheelhouse.
    Cabin,
    /// Rails, cleats, anything on deck.
    DeckGear,
    /// Mast or spar, stepped or laid on deck.
    Mast,
    /// Anything else.
    Other,
}

impl PartKind {
    /// Whether the boat's weight may stand on this part.
    pub fn may_bear(self) -> bool {
        matches!(self, Self::Body | Self::Keel | Self::Skeg)
    }

    /// Whether a pad may steady the boat on this part.
    pub fn may_be_steadied(self) -> bool {
        matches!(self, Self::Body)
    }
}

/// A named part of the hull.
#[derive(Debug, Clone)]
pub struct HullPart {
    /// Name, unique in its hull, as the mesh file or the hull description gives it.
    pub name: String,
    /// What the part is.
    pub kind: PartKind,
    /// Its surface, hull frame.
    pub mesh: Arc<Mesh>,
}

/// What the boat weighs, ready for the road.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mass {
    /// Mass, kg.
    pub mass_kg: f64,
    /// How far it may be off, kg, either way.
    pub tolerance_kg: f64,
    /// What it rests on.
    pub basis: Basis,
}

/// Where the weight acts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CentreOfGravity {
    /// The centre, hull frame.
    pub at: Point,
    /// How far it may be off along each axis, m, either way.
    pub tolerance: Point,
    /// What it rests on.
    pub basis: Basis,
}

/// A box of the hull where no pad, block or strap may press: a transducer, a through-hull, a shaft.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KeepOff {
    /// What is there.
    pub name: String,
    /// Corner with the least x, y and z, hull frame.
    pub min: Point,
    /// Corner with the greatest x, y and z, hull frame.
    pub max: Point,
}

impl KeepOff {
    /// Whether a point of the hull frame lies in the zone, its faces included.
    pub fn contains(&self, point: Vec3) -> bool {
        let (lo, hi) = (self.min.vec(), self.max.vec());
        point.cmpge(lo).all() && point.cmple(hi).all()
    }
}

/// A point of the keel line: the lowest surface on the centreline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KeelPoint {
    /// Station, m forward of the hull's origin.
    pub x_m: f64,
    /// Height of the lowest surface, m, or none where the centreline meets no bearing part.
    pub z_m: Option<f64>,
}

/// A checked boat.
#[derive(Debug, Clone)]
pub struct Hull {
    /// The boat's name.
    pub name: String,
    /// Its parts; never empty.
    pub parts: Vec<HullPart>,
    /// What it weighs; none if nobody said.
    pub mass: Option<Mass>,
    /// Where the weight acts; none if nobody said.
    pub centre: Option<CentreOfGravity>,
    /// How far the surface may be from the real boat's, m.
    pub shape_tolerance_m: f64,
    /// Where nothing may press.
    pub keep_offs: Vec<KeepOff>,
    /// Stations of bulkheads and frames, m forward of the origin, where pads belong.
    pub strong_stations_m: Vec<f64>,
    /// Lowest surface along the centreline, aft to forward, at even stations.
    pub keel_line: Vec<KeelPoint>,
    /// Bounds of all parts, hull frame.
    pub bounds: Aabb,
}

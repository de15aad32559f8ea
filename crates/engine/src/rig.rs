//! The trailer and its tractor: rails, pockets, axles, pads, suspension, and the beams and blocks
//! on hand.
//!
//! Two frames meet here. **Trailer frame**, as in ISO 8855: x forward, y left, z up, origin on the
//! ground under the coupling; wheels and tractor stand in it. **Frame** (of steel): the same axes
//! when the suspension stands at its level height, but z is measured from the rails' top; rails,
//! cross members, mudguards and pads are bolted to it and move with the suspension.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::math::{Point, Range};

/// A trailer with its tractor and its stock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rig {
    /// The rig's name.
    pub name: String,
    /// The two side rails with their pockets.
    pub rails: Rails,
    /// Members that join the rails in front, gooseneck included. Frame coordinates.
    pub members: Vec<Member>,
    /// Where the trailer hangs on the tractor.
    pub coupling: Coupling,
    /// The trailer's axles, front to back.
    pub axles: Vec<Axle>,
    /// Mudguards, one entry a side. Frame coordinates.
    pub mudguards: Vec<FixedBox>,
    /// Steadying pads.
    pub pads: Vec<PadMount>,
    /// How high the frame can ride.
    pub suspension: Suspension,
    /// What stands in front.
    pub tractor: Option<Tractor>,
    /// Cross beams on hand.
    pub beams: Vec<BeamStock>,
    /// Blocks on hand.
    pub blocks: Vec<BlockStock>,
    /// Shims and wedges on hand.
    pub packing: Packing,
    /// What the makers allow.
    pub ratings: Ratings,
    /// The empty trailer.
    pub tare: Tare,
    /// How far the rig's own figures may be off, m.
    pub tolerance_m: f64,
}

/// Two box-section side rails, mirror images in the centreplane.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rails {
    /// Front end, m forward of the coupling (negative: behind it).
    pub front_x_m: f64,
    /// Aft end, m forward of the coupling (negative: behind it).
    pub aft_x_m: f64,
    /// Clear width between the rails, m.
    pub clear_width_m: f64,
    /// Width of one rail, m.
    pub width_m: f64,
    /// Depth of one rail, m, down from its top.
    pub depth_m: f64,
    /// Pockets through both rails, front to back; pocket 1 is the first.
    pub pockets: Vec<Pocket>,
}

/// A rectangular opening through both rails, for a cross beam.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pocket {
    /// Station of the middle, m forward of the coupling.
    pub x_m: f64,
    /// Opening fore and aft, m.
    pub opening_width_m: f64,
    /// Opening height, m.
    pub opening_height_m: f64,
    /// Height of the sill the beam lies on, m below the rail's top.
    pub sill_below_top_m: f64,
}

/// A straight box-section member from one point of its axis to another. Frame coordinates.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Member {
    /// What it is, as a reader would call it.
    pub name: String,
    /// One end of the axis.
    pub from: Point,
    /// The other end of the axis.
    pub to: Point,
    /// Width across the axis, level, m.
    pub width_m: f64,
    /// Depth across the axis, upright, m.
    pub depth_m: f64,
}

/// An upright box.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FixedBox {
    /// What it is, as a reader would call it.
    pub name: String,
    /// Corner with the least x, y and z.
    pub min: Point,
    /// Corner with the greatest x, y and z.
    pub max: Point,
}

/// Where the trailer hangs on the tractor: a pivot at a fixed height.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Coupling {
    /// Height of the pivot above the ground, m.
    pub height_m: f64,
    /// Greatest load the maker allows on it, kg; none if unknown.
    pub rating_kg: Option<f64>,
}

/// An axle with its wheels, symmetric about the centreplane.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Axle {
    /// Station of the hubs, m forward of the coupling.
    pub x_m: f64,
    /// Distance between the middles of the left and right wheel (or pair), m.
    pub track_m: f64,
    /// Diameter of a tyre, m.
    pub tyre_diameter_m: f64,
    /// Width of a tyre, m.
    pub tyre_width_m: f64,
    /// Distance between the middles of a pair, m; none for single tyres.
    pub dual_spacing_m: Option<f64>,
    /// Greatest load the maker allows on the axle, kg; none if unknown.
    pub rating_kg: Option<f64>,
}

/// A hydraulic pad on an arm. It steadies the hull and takes no significant weight.
///
/// The arm turns about the pivot in the plane across the trailer; the pad runs in and out along
/// the arm, and its face swivels to lie against the hull. Frame coordinates.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PadMount {
    /// Name, unique in the rig, as a reader would call it.
    pub name: String,
    /// The arm's pivot. A pad whose pivot lies left of the centreplane pushes to the right.
    pub pivot: Point,
    /// How far the arm can rise above level, rad.
    pub elevation_rad: Range,
    /// Distance from pivot to pad face, drawn in and run out, m.
    pub reach_m: Range,
    /// Length of the pad along the hull, m.
    pub pad_length_m: f64,
    /// Height of the pad, m.
    pub pad_height_m: f64,
    /// Thickness of the pad with its cover, m.
    pub pad_thickness_m: f64,
    /// How far the face can turn off the arm's axis, rad, any way.
    pub swivel_rad: f64,
    /// Greatest push the maker allows, N; none if unknown.
    pub rating_n: Option<f64>,
}

/// Air suspension: how high the rails' top can ride above the ground, at the middle of the axles.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Suspension {
    /// Rail top above ground, m: bags empty to bags full.
    pub rail_top_m: Range,
    /// Rail top above ground at which the frame is level, m.
    pub level_m: f64,
}

/// What stands in front of the trailer. Trailer frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tractor {
    /// The tractor's name.
    pub name: String,
    /// Cab, deck and whatever else a bow might meet.
    pub outline: Vec<FixedBox>,
    /// The tractor's axles.
    pub axles: Vec<Axle>,
}

/// What a beam or block is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Material {
    /// White oak.
    WhiteOak,
    /// Red oak.
    RedOak,
    /// Douglas fir.
    DouglasFir,
    /// Southern pine.
    SouthernPine,
    /// Structural steel, hollow section.
    Steel,
}

/// Cross beams of one size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BeamStock {
    /// Name, unique among the rig's beams.
    pub name: String,
    /// How many there are.
    pub count: usize,
    /// Length, across the trailer, m.
    pub length_m: f64,
    /// Width, fore and aft as it lies, m.
    pub width_m: f64,
    /// Depth, upright as it lies, m.
    pub depth_m: f64,
    /// What it is made of.
    pub material: Material,
}

/// Blocks of one size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BlockStock {
    /// Name, unique among the rig's blocks.
    pub name: String,
    /// How many there are.
    pub count: usize,
    /// Longest edge, along the grain, m.
    pub length_m: f64,
    /// Middle edge, m.
    pub width_m: f64,
    /// Shortest edge, m.
    pub thickness_m: f64,
    /// What it is made of.
    pub material: Material,
}

/// What closes the last millimetres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Packing {
    /// Thicknesses of shims on hand, m. Any number of each.
    pub shims_m: Vec<f64>,
    /// Greatest shimming allowed on one stack, m.
    pub shims_at_most_m: f64,
    /// Steepest wedge on hand, rad; none if there are none.
    pub wedge_rad: Option<f64>,
}

/// What the makers allow.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ratings {
    /// Greatest mass of boat and gear on the trailer, kg; none if unknown.
    pub payload_kg: Option<f64>,
    /// Greatest mass of the loaded trailer, kg; none if unknown.
    pub gross_kg: Option<f64>,
}

/// The empty trailer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tare {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Centre of gravity, trailer frame, at the level height.
    pub centre: Point,
}

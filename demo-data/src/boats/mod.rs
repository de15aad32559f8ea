//! The boats of Tern Harbour, all invented: dimensions, weights and how each is put together.
//!
//! Sides, keel and rudder are those of her hull family, fitted to her measures in `hulls/NAME.measures.json`, the way
//! any boat without a mesh gets into the tool; what no family has is built onto them.

pub mod avocet;
pub mod eider;
pub mod gannet;
mod gear;
mod moulded;
pub mod petrel;

use keelstead_boat::loft::lines::Lines;
use keelstead_boat::loft::shell::Shell;
pub use moulded::LoftError;

/// What a boat measures and weighs, afloat at rest and fully equipped.
///
/// Lengths in metres, weights in kilograms; points in the hull frame: x forward, y to port, z up,
/// origin at the aft end of the keel line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Particulars {
    /// Name of the boat and of her file.
    pub name: &'static str,
    /// What sort of boat she is, in a few words.
    pub kind: &'static str,
    /// Length of the body, transom to stem, without rudder and rails.
    pub loa_m: f64,
    /// Length of the body in the plane of the water.
    pub lwl_m: f64,
    /// Greatest beam of the body, without rubbing strake.
    pub beam_m: f64,
    /// From the water to the lowest point, board up.
    pub draft_m: f64,
    /// Height of the water plane she is drawn for.
    pub waterline_z_m: f64,
    /// Weight.
    pub mass_kg: f64,
    /// How far the weight may be off either way.
    pub mass_tolerance_kg: f64,
    /// Centre of gravity.
    pub cg_m: [f64; 3],
    /// How far each coordinate of the centre of gravity may be off either way.
    pub cg_tolerance_m: [f64; 3],
    /// What these figures rest on.
    pub basis: &'static str,
}

/// One named part of a boat: a closed shell, or several side by side.
#[derive(Clone, Debug)]
pub struct Part {
    /// Node name in the file: `body`, `keel`, `deck-gear-2`, …
    pub name: String,
    /// Its surface.
    pub shell: Shell,
}

/// A boat, ready to be written.
#[derive(Clone, Debug)]
pub struct Boat {
    /// Dimensions and weights.
    pub particulars: Particulars,
    /// The lines of her body.
    pub lines: Lines,
    /// Her parts, the body first.
    pub parts: Vec<Part>,
}

/// Where the demo's figures come from.
const BASIS: &str = "invented for the demo";

/// All boats, lofted.
///
/// # Errors
/// [`LoftError`] for the first whose measures make no hull.
pub fn all() -> Result<[Boat; 4], LoftError> {
    Ok([
        avocet::loft()?,
        eider::loft()?,
        gannet::loft()?,
        petrel::loft()?,
    ])
}

fn part(name: &str, shell: Shell) -> Part {
    Part {
        name: name.into(),
        shell,
    }
}

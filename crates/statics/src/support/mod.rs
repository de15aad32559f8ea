//! What carries the boat: supports as springs, the weight shared among them, and whether beams,
//! blocks and keel hold it.
//!
//! | module | what stands there |
//! |---|---|
//! | [`patch`] | where and over what area the keel bears |
//! | `bearing` | that area, skins that lie over each other counted once |
//! | `descent` | the load on its way down through a stack |
//! | [`beam`] | a cross beam between the rails |
//! | [`stand`] | a beam with its stack: stiffness, and every check of strength |
//! | [`bend`] | hull and rails as beams |
//! | [`share`] | the weight shared among one-way springs |
//! | [`corners`] | the same at every corner of what may be off |
//! | [`shims`] | the shims that would share it as wanted |
//! | [`solve`] | all of it, with every tolerance |
//!
//! The problem is plane, along the keel: pads hold the hull upright ([`crate::lateral_stability`]) and carry
//! nothing. Small angles throughout: loads act upright, stations are level distances.

mod active_set;
pub mod beam;
mod bearing;
pub mod bend;
pub mod block_stack;
pub mod corners;
mod descent;
pub mod patch;
pub mod share;
pub mod shims;
pub mod solve;

pub use solve::{Site, Solved, Supports, WeightDistribution};

//! **Keelstead load**: a trailer and its stock, a boat arranged on it, and where everything then stands. What carries
//! what and whether it is enough are asked elsewhere. No window, no files, no clock, no units but SI.
//!
//! | module | what stands there |
//! |---|---|
//! | [`rig`] | rails, pockets, axles, pads, suspension, tractor, the stock of beams and blocks |
//! | [`load`] | where the hull stands, what is stacked on which beam, how the pads are set, what is required |
//! | [`material`], [`section`] | design values of timber and steel; cross sections |
//! | [`rig_parts`] | every part of the rig with shape and place, beams and blocks included |
//! | [`setdown`] | the hull lowered onto its blocks; the stack a wanted stance needs |
//! | [`pads`] | pads run out until they touch |
//! | [`clearance`] | signed gaps and closest points of every hull part to every rig part |

pub mod clearance;
pub mod load;
pub mod material;
pub mod pads;
pub mod rig;
pub mod rig_parts;
pub mod section;
pub mod setdown;

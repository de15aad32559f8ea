//! **Keelstead**, the engine: will this hull sit on this trailer, on which beams, on how much
//! blocking, and what comes close to what?
//!
//! No window, no files, no clock, no units but SI. The modules follow the flow:
//!
//! | module | what stands there |
//! |---|---|
//! | [`rig`] | rails, pockets, axles, pads, suspension, tractor, the stock of beams and blocks |
//! | [`load`] | where the hull stands, what is stacked on which beam, how the pads are set |
//! | [`standing`] | the rig as it stands: every part with shape and place |
//! | [`setdown`] | the hull lowered onto its blocks; the stack a wanted stance needs |
//! | [`clearance`] | signed gaps and closest points of every hull part to every rig part |
//! | [`steady`] | pads run out until they touch |
//! | [`support`] | the weight shared among elastic supports; strength of beams, blocks and keel |
//! | [`upright`] | what pads must hold in turns, on slopes and in wind; when the rig rolls over |
//! | [`material`], [`section`] | design values of timber and steel; cross sections |
//! | [`findings`] | everything concluded, worst first: what every face shows |
//!
//! [`check::check`] runs all of it.

pub mod check;
pub mod clearance;
pub mod findings;
pub mod load;
pub mod material;
pub mod riding;
pub mod rig;
pub mod section;
pub mod setdown;
pub mod standing;
pub mod steady;
pub mod support;
pub mod upright;

//! **Keelstead**, the engine: will this hull sit on this trailer, on which beams, on how much
//! blocking, and what comes close to what?
//!
//! No window, no files, no clock, no units but SI. The modules follow the flow:
//!
//! | module | what stands there |
//! |---|---|
//! | [`mesh`] | a checked triangle mesh: what is inside, what is lowest, is it closed |
//! | [`hydrostatics`] | what a hull displaces below a water plane, and how it floats |
//! | [`weigh`] | mass and centre from a marked waterline, two scales, or what is usual |
//! | [`family`] | a hull fitted to what a tape measured |
//! | [`loft`] | fair surfaces and closed shells from control points |
//! | [`hull`] | named parts, weight and centre of gravity, keel line, keep-off zones |
//! | [`rig`] | rails, pockets, axles, pads, suspension, tractor, the stock of beams and blocks |
//! | [`load`] | where the hull stands, what is stacked on which beam, how the pads are set |
//! | [`standing`] | the rig as it stands: every part with shape and place |
//! | [`setdown`] | the hull lowered onto its blocks; the stack a wanted stance needs |
//! | [`clearance`] | signed gaps and closest points of every hull part to every rig part |
//! | [`steady`] | pads run out until they touch |
//! | [`support`] | the weight shared among elastic supports; strength of beams, blocks and keel |
//! | [`upright`] | what pads must hold in turns, on slopes and in wind; when the rig rolls over |
//! | [`sling`] | a strap under the boat: what it bears on and what it would cross |
//! | [`material`], [`section`] | design values of timber and steel; cross sections |
//! | [`profile`] | the hull seen from the side |
//! | [`findings`] | everything concluded, worst first: what every face shows |
//!
//! [`check::check`] runs all of it.

pub mod check;
pub mod clearance;
pub mod family;
pub mod fields;
pub mod findings;
pub mod hull;
pub mod hydrostatics;
pub mod load;
pub mod loft;
pub mod material;
pub mod math;
pub mod mesh;
mod parallel;
mod polygon;
pub mod profile;
pub mod quantity;
pub mod riding;
pub mod rig;
pub mod section;
pub mod setdown;
pub mod sling;
pub mod standing;
pub mod steady;
pub mod support;
pub mod upright;
pub mod weigh;

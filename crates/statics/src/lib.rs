//! **Keelstead statics**: what carries what, how hard it is used, and what holds the boat upright. No window, no files, no
//! clock, no units but SI.
//!
//! | module | what stands there |
//! |---|---|
//! | [`support`] | the weight shared among elastic supports; strength of beams, blocks and keel |
//! | [`carrying`] | what came of that: loads, uses, the keel as a beam |
//! | [`lateral_stability`] | what pads must hold in turns, on slopes and in wind; when the rig rolls over |
//! | [`steadying`] | what came of that: pushes, forces on pads |
//! | [`riding`] | weights on the trailer's wheels, each with how far it and its place may be off |

pub mod carrying;
pub mod lateral_stability;
pub mod riding;
pub mod steadying;
pub mod support;

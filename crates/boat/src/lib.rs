//! **Keelstead boat**: the boat by itself, before any trailer. No window, no files, no clock, no units but SI.
//!
//! | module | what stands there |
//! |---|---|
//! | [`hull`] | named parts, weight and centre of gravity, keel line, marks, keep-off zones |
//! | [`profile`] | the hull seen from the side |
//! | [`hydrostatics`] | what a hull displaces below a water plane, and how it floats |
//! | [`weigh`] | mass and centre from a marked waterline, two scales, or what is usual |
//! | [`family`] | a hull fitted to what a tape measured |
//! | [`loft`] | fair surfaces and closed shells from control points |
//! | [`sling`] | a strap under the boat: what it bears on and what it would cross |

pub mod family;
pub mod hull;
pub mod hydrostatics;
pub mod loft;
pub mod profile;
pub mod sling;
pub mod weigh;

//! **Keelstead**, the engine: will this hull sit on this trailer, on which beams, on how much
//! blocking, and what comes close to what?
//!
//! No window, no files, no clock, no units but SI.
//!
//! | module | what stands there |
//! |---|---|
//! | [`check`] | a load worked out and held against what is required, one file a topic |
//! | [`findings`] | everything concluded, worst first: what every face shows |
//!
//! [`check::check`] runs all of it.

pub mod check;
pub mod findings;

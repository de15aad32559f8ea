//! Verdicts held against the corners of what was stated.
//!
//! *Clear* says that what is asked is met even if every measurement is off by its tolerance. Here every stated tolerance
//! is moved to its ends, the moved documents are checked as if they were exact, and what the engine then calls foul is
//! held against what it said of the documents as they stand. Nothing of the engine's own reckoning of tolerances is used.
//!
//! - [`job`]: a hull on a rig as a load arranges it
//! - [`stated`]: what was stated of each measurement, and how far off it may be
//! - [`moved`]: the documents with every measurement moved
//! - [`sets`]: which corners suffice, and why
//! - [`claims`]: what a finding claims
//! - [`judge`], [`outcome`]: what was said against what the corners say, and a work list of what does not hold
//! - [`made`], [`chance`], [`plan`], [`edge`]: jobs beside the demo's, with what is asked put at the edge of what is there
//! - [`table`]: stated tolerances over what the corners find

#![allow(dead_code, clippy::unwrap_used)]

pub mod chance;
pub mod claims;
pub mod edge;
pub mod job;
pub mod judge;
pub mod made;
pub mod moved;
pub mod outcome;
pub mod parallel;
pub mod plan;
pub mod random;
pub mod sets;
pub mod stated;
pub mod table;

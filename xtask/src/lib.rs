//! What `cargo xtask` can do: one module per command, and the few things they share.
//!
//! A library as well as a command, so that the browser tests serve the page with the same server.

pub mod bench;
pub mod demo;
pub mod fuzz;
pub mod lint;
pub mod place;
pub mod run;
pub mod serve;
pub mod setup;
pub mod test;
pub mod web;

//! Times.
fn main() {}

//! What the whole-product tests share.

pub mod browser;

use std::path::PathBuf;

/// A folder of published data that lies outside the repository: data under its own licence is no
/// part of the program. Where it is absent, this says so and the test passes. `KEELSTEAD_SHARED`
/// names the folder that holds it.
pub fn shared(folder: &str) -> Option<PathBuf> {
    let shared = std::env::var_os("KEELSTEAD_SHARED")
        .map_or_else(|| xtask::place::root().join("../shared"), PathBuf::from);
    let folder = shared.join(folder);
    if folder.is_dir() {
        return Some(folder);
    }
    println!(
        "skipped: there is no {}; set KEELSTEAD_SHARED",
        folder.display()
    );
    None
}

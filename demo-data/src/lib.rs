//! Tern Harbour: an invented yard, its boats, and the loft that makes their hulls.
//!
//! Nothing here is measured from a real boat: names, lines, weights and rigs are made up so that the
//! tool can be tried, tested and pictured without anybody's property in it.
//!
//! - [`FILES`] is the demo as bytes, so that a window, a page or a test opens it without a disk.
//! - [`boats`] holds the four boats: dimensions, and how the parts go together. What a boat measures lies beside
//!   her hull, `hulls/NAME.measures.json`, and her hull family is fitted to it.
//! - [`shipwright`] makes what hull families do not have: cabins and wheelhouses.
//! - [`hydrostatics`] checks what comes out: does a boat of this shape weigh what she is said to?
//! - [`glb`] writes a boat as binary glTF.
//!
//! `cargo run -p keelstead-demo-data --bin loft` writes the files in `hulls/`; with `--check` it
//! compares them. The bytes are the same on every machine: only arithmetic that IEEE 754 fixes to the
//! last bit is used, and vertices lie on a grid of 0.1 mm.
//!
//! ```
//! use keelstead_demo_data::{boats, file};
//!
//! let petrel = boats::petrel::PARTICULARS;
//! assert_eq!(petrel.loa_m, 9.4);
//! let glb = file("hulls/petrel.glb").unwrap();
//! assert!(glb.starts_with(b"glTF"));
//! ```

pub mod boats;
pub mod glb;
pub mod hydrostatics;
pub mod shipwright;

/// The files of this folder as (path, bytes).
macro_rules! embed {
    ($($path:literal),* $(,)?) => {
        &[$(($path, include_bytes!(concat!("../", $path)))),*]
    };
}

/// The demo's files: path below `demo-data`, with forward slashes, and content. References between
/// them are relative to the file that holds them, as on disk.
pub const FILES: &[(&str, &[u8])] = embed![
    "hulls/avocet.glb",
    "hulls/avocet.json",
    "hulls/avocet.measures.json",
    "hulls/eider.glb",
    "hulls/eider.json",
    "hulls/eider.measures.json",
    "hulls/gannet.glb",
    "hulls/gannet.json",
    "hulls/gannet.measures.json",
    "hulls/petrel.glb",
    "hulls/petrel.json",
    "hulls/petrel.measures.json",
    "jobs/avocet-foul-mudguard.json",
    "jobs/avocet-high-blocking.json",
    "jobs/eider-too-high.json",
    "jobs/gannet-pad-out-of-reach.json",
    "jobs/petrel-easy.json",
    "jobs/petrel-idle-block.json",
    "rigs/long-trailer.json",
    "rigs/short-trailer.json",
];

/// The content of one of [`FILES`]; `None` when there is no file of that path.
pub fn file(path: &str) -> Option<&'static [u8]> {
    FILES.iter().find(|(p, _)| *p == path).map(|(_, b)| *b)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    /// A file added to the demo but not to the table would be missing from the page only.
    #[test]
    fn every_file_of_the_demo_is_embedded() {
        // Where cargo runs it from; where it was built may be another clone that shares the target directory.
        let here = std::env::var_os("CARGO_MANIFEST_DIR").unwrap();
        for folder in ["hulls", "jobs", "rigs"] {
            let path = std::path::Path::new(&here).join(folder);
            for entry in std::fs::read_dir(path).unwrap() {
                let name = entry.unwrap().file_name().into_string().unwrap();
                let key = format!("{folder}/{name}");
                assert!(file(&key).is_some(), "{key} is not in FILES");
            }
        }
    }
}

//! What the fuzzer starts from and what once broke a reader, through the same functions without a
//! nightly compiler: whole, cut short and with bytes changed.

use std::fs;
use std::path::{Path, PathBuf};

#[path = "../../../fuzz/targets.rs"]
mod targets;

use proptest::prelude::*;
use targets::{TARGETS, soup};

/// Places at which each file is cut and changed.
const PLACES: usize = 12;

fn folder(kind: &str) -> PathBuf {
    // Where cargo runs it from; where it was built may be another clone that shares the target directory.
    let run_from = std::env::var_os("CARGO_MANIFEST_DIR");
    let here = run_from.map_or_else(|| env!("CARGO_MANIFEST_DIR").into(), PathBuf::from);
    here.join("../../fuzz").join(kind)
}

fn files(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut paths: Vec<PathBuf> = entries
        .filter_map(|entry| Some(entry.ok()?.path()))
        .collect();
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let bytes =
                fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
            (path, bytes)
        })
        .collect()
}

#[test]
fn every_seed_and_every_crash_case_passes() {
    for (name, target) in TARGETS {
        let seeds = files(&folder("seeds").join(name));
        assert!(
            !seeds.is_empty(),
            "{name} has no seeds in fuzz/seeds/{name}"
        );
        for (path, bytes) in seeds.iter().chain(&files(&folder("crashes").join(name))) {
            println!("{}", path.display());
            target(bytes);
            for place in 1..PLACES {
                let at = bytes.len() * place / PLACES;
                target(&bytes[..at]);
                let mut changed = bytes.clone();
                if let Some(byte) = changed.get_mut(at) {
                    *byte = byte.wrapping_add(place as u8 * 20 + 1);
                }
                target(&changed);
            }
        }
    }
}

/// A folder that no target reads would rot.
#[test]
fn every_folder_belongs_to_a_target() {
    for kind in ["seeds", "crashes"] {
        for entry in fs::read_dir(folder(kind)).into_iter().flatten().flatten() {
            let name = entry.file_name().to_string_lossy().into_owned();
            assert!(
                TARGETS.iter().any(|(target, _)| *target == name),
                "fuzz/{kind}/{name}"
            );
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Loose triangles over few places, with answers of all kinds, each time others: what the fuzzer would find first.
    #[test]
    fn any_soup_gives_a_hull_or_a_message(bytes in prop::collection::vec(any::<u8>(), 50..250)) {
        soup::soup(&bytes);
    }
}

//! Feeds what the fuzzer makes to the reader that KEELSTEAD_FUZZ names.

#![no_main]

use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;

#[path = "../targets.rs"]
mod targets;

fn target() -> fn(&[u8]) {
    static TARGET: OnceLock<fn(&[u8])> = OnceLock::new();
    *TARGET.get_or_init(|| {
        let names: Vec<_> = targets::TARGETS.iter().map(|(name, _)| *name).collect();
        let name = std::env::var("KEELSTEAD_FUZZ").unwrap_or_default();
        match targets::TARGETS.iter().find(|(known, _)| *known == name) {
            Some((_, target)) => *target,
            None => {
                eprintln!(
                    "KEELSTEAD_FUZZ=\"{name}\"; it names one of: {}",
                    names.join(", ")
                );
                std::process::exit(2)
            }
        }
    })
}

fuzz_target!(|data: &[u8]| target()(data));

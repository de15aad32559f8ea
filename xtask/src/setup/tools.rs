//! Tools from cargo.

use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context, Result};

use crate::place::{self, program};
use crate::run::{cargo, output, run};

/// Trunk's newest version that the pinned Rust builds.
const TRUNK: &str = "0.21.14";

/// What a program says of its version, if it is there.
fn version(path: Option<PathBuf>, args: &[&str]) -> Option<String> {
    let said = output(Command::new(path?).args(args)).ok()?;
    said.lines().next().map(str::to_owned)
}

/// Installs from crates.io. The lock file that an author tested with first; where a registry mirror lacks one of its
/// versions, the newest that fit.
fn cargo_install(package: &str, version: &str, options: &[&str]) -> Result<()> {
    let install = || {
        let mut command = cargo();
        command
            .args(["install", package, "--version", version])
            .args(options);
        command
    };
    run(install().arg("--locked")).or_else(|error| {
        println!("{error:#}\ntrying again with the newest versions that fit");
        run(&mut install())
    })
}

/// The version of wasm-bindgen in Cargo.lock: the command must have exactly that one.
fn wasm_bindgen_version() -> Result<String> {
    let path = place::root().join("Cargo.lock");
    let lock =
        std::fs::read_to_string(&path).with_context(|| format!("reading {}", path.display()))?;
    let after = lock
        .split_once("name = \"wasm-bindgen\"\nversion = \"")
        .context("no wasm-bindgen in Cargo.lock")?
        .1;
    Ok(after.split('"').next().unwrap_or_default().to_owned())
}

pub(super) fn wasm_bindgen() -> Result<Option<String>> {
    let wanted = format!("wasm-bindgen {}", wasm_bindgen_version()?);
    Ok(version(program("wasm-bindgen"), &["--version"]).filter(|found| *found == wanted))
}

pub(super) fn install_wasm_bindgen() -> Result<()> {
    cargo_install("wasm-bindgen-cli", &wasm_bindgen_version()?, &[])
}

pub(super) fn trunk() -> Option<String> {
    version(program("trunk"), &["--version"]).filter(|found| found.starts_with("trunk 0.21."))
}

pub(super) fn install_trunk() -> Result<()> {
    // Unoptimised and without its downloader: it only copies files and calls other programs here.
    cargo_install("trunk", TRUNK, &["--debug", "--no-default-features"])
}

pub(super) fn nextest() -> Option<String> {
    version(program("cargo-nextest"), &["nextest", "--version"])
}

pub(super) fn install_nextest() -> Result<()> {
    cargo_install("cargo-nextest", "^0.9", &["--debug"])
}

//! Tools from cargo and npm.

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::place::{self, program, toml_value};
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

/// The version of binaryen that the page is built with, as Trunk.toml names it.
fn binaryen_version() -> Result<String> {
    let named = toml_value(&place::root().join("web").join("Trunk.toml"), "wasm_opt")?;
    Ok(named.trim_start_matches("version_").to_owned())
}

fn npm_bin() -> Result<PathBuf> {
    Ok(place::cache()?
        .join("npm")
        .join("node_modules")
        .join(".bin"))
}

pub(super) fn wasm_opt() -> Result<Option<String>> {
    let wanted = binaryen_version()?;
    let ours = npm_bin()?.join(if cfg!(windows) {
        "wasm-opt.cmd"
    } else {
        "wasm-opt"
    });
    let found = [
        Some(ours).filter(|path| path.is_file()),
        program("wasm-opt"),
    ]
    .into_iter()
    .flatten();
    let mut versions = found.filter_map(|path| version(Some(path), &["--version"]));
    Ok(versions.find(|said| said.split_whitespace().nth(2) == Some(wanted.as_str())))
}

pub(super) fn install_wasm_opt() -> Result<()> {
    let npm = program(if cfg!(windows) { "npm.cmd" } else { "npm" });
    let Some(npm) = npm else {
        bail!("npm is not here: install Node.js 18 or newer, which brings it, and run this again");
    };
    let folder = place::cache()?.join("npm");
    std::fs::create_dir_all(&folder).with_context(|| format!("making {}", folder.display()))?;
    let package = format!("binaryen@{}", binaryen_version()?);
    run(Command::new(npm)
        .args(["install", "--no-fund", "--no-audit", "--prefix"])
        .arg(&folder)
        .arg(package))
}

/// The search path with the tools that `setup` put into the cache in front.
///
/// # Errors
/// Fails where there is no cache, or a folder's name cannot stand in a search path.
pub fn page_path(first: Option<PathBuf>) -> Result<OsString> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let folders = first
        .into_iter()
        .chain([npm_bin()?])
        .chain(std::env::split_paths(&path));
    std::env::join_paths(folders).context("a folder on PATH has a name that cannot stand there")
}

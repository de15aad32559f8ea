//! Fuzzes the readers with cargo-fuzz, which needs a nightly compiler, a Unix and a C++ compiler.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::place;
use crate::run::{cargo, output, run as run_command, step};

/// Seconds a target is fuzzed for if nobody says otherwise.
const SECONDS: u32 = 60;
/// Most memory a reader may take for a file of [`MOST_BYTES`], MB.
const MOST_MEMORY_MB: u32 = 1024;
/// Longest file tried, bytes.
const MOST_BYTES: u32 = 1_000_000;
/// Longest time a file may take, s.
const MOST_TIME_S: u32 = 20;

/// Fuzzes the targets that `words` names, or all; `--seconds N` says how long each.
///
/// # Errors
/// Fails where a tool is missing and cannot be installed, a target is unknown, or a reader breaks its promises.
pub fn run(words: &[&str]) -> Result<()> {
    let (seconds, named) = match words {
        ["--seconds", seconds, rest @ ..] => {
            let seconds = seconds.parse();
            (seconds.context("--seconds takes a whole number")?, rest)
        }
        _ => (SECONDS, words),
    };
    let known = targets()?;
    if let Some(name) = named
        .iter()
        .find(|name| !known.iter().any(|target| target == *name))
    {
        bail!("no such target: {name}; there are: {}", known.join(", "));
    }
    tools()?;
    // Released: what is asserted then is the manifest's choice, crate by crate.
    step("building", || {
        run_command(fuzz().args(["build", "-O", "read"]))
    })?;
    let chosen = known
        .iter()
        .filter(|target| named.is_empty() || named.contains(&target.as_str()));
    let mut broken = Vec::new();
    for target in chosen {
        if let Err(error) = step(&format!("fuzzing {target}"), || one(target, seconds)) {
            println!("{error:#}\n{}", advice(target));
            broken.push(target.as_str());
        }
    }
    if !broken.is_empty() {
        bail!("these break: {}", broken.join(", "));
    }
    Ok(())
}

fn folder(kind: &str, target: &str) -> PathBuf {
    place::root().join("fuzz").join(kind).join(target)
}

/// The targets are those that have seeds; a test holds that to be all.
fn targets() -> Result<Vec<String>> {
    let folder = place::root().join("fuzz").join("seeds");
    let entries =
        std::fs::read_dir(&folder).with_context(|| format!("reading {}", folder.display()))?;
    let mut names = Vec::new();
    for entry in entries {
        names.push(entry?.file_name().to_string_lossy().into_owned());
    }
    names.sort();
    Ok(names)
}

/// Cargo of the nightly toolchain: the one this was called by is another.
fn fuzz() -> Command {
    let mut command = Command::new("cargo");
    command
        .current_dir(place::root())
        .env_remove("CARGO")
        .args(["+nightly", "fuzz"]);
    command
}

fn tools() -> Result<()> {
    let mut nightly = Command::new("rustup");
    nightly.args(["run", "nightly", "rustc", "--version"]);
    if output(&mut nightly).is_err() {
        bail!(
            "fuzzing needs a nightly compiler, which is not installed. Install it:\n\n    \
             rustup toolchain install nightly --profile minimal\n\nand a C++ compiler if there is none (on Debian: \
             apt-get install g++)"
        );
    }
    if output(fuzz().arg("--version")).is_err() {
        step("installing cargo-fuzz", || {
            run_command(cargo().args(["install", "cargo-fuzz"]))
        })?;
    }
    Ok(())
}

fn one(target: &str, seconds: u32) -> Result<()> {
    let (corpus, artifacts) = (folder("corpus", target), folder("artifacts", target));
    for folder in [&corpus, &artifacts] {
        std::fs::create_dir_all(folder).with_context(|| format!("making {}", folder.display()))?;
    }
    let mut command = fuzz();
    command
        .env("KEELSTEAD_FUZZ", target)
        .args(["run", "-O", "read"])
        .arg(&corpus);
    let kept = [folder("seeds", target), folder("crashes", target)];
    command.args(kept.iter().filter(|folder: &&PathBuf| Path::is_dir(folder)));
    command.arg("--").args([
        format!("-max_total_time={seconds}"),
        format!("-rss_limit_mb={MOST_MEMORY_MB}"),
        format!("-max_len={MOST_BYTES}"),
        format!("-timeout={MOST_TIME_S}"),
        format!("-artifact_prefix={}/", artifacts.display()),
    ]);
    run_command(&mut command)
}

fn advice(target: &str) -> String {
    format!(
        "The file that broke it lies in fuzz/artifacts/{target}. To see it again, and to make it smaller:\n\n    \
         KEELSTEAD_FUZZ={target} cargo +nightly fuzz run read FILE\n    \
         KEELSTEAD_FUZZ={target} cargo +nightly fuzz tmin read FILE\n\n\
         Once mended, keep the smaller file in fuzz/crashes/{target}: the tests read it from then on."
    )
}

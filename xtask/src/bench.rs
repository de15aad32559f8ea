//! Times the engine: runs every Criterion bench, then prints the medians in one table, the most memory that
//! large scans take, and how wide stated tolerances are against what a search of their corners finds.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::time::SystemTime;

use anyhow::{Context, Result, bail};
use serde_json::Value;

use crate::place;
use crate::run::{cargo, output, run as run_command, step};

/// Runs the benches of the crates that have any.
///
/// # Errors
/// Fails where a bench does, or none is found.
pub fn run() -> Result<()> {
    let packages = packages_with_benches()?;
    if packages.is_empty() {
        bail!("no crate has a bench");
    }
    let start = SystemTime::now();
    step("benches", || {
        let mut bench = cargo();
        // With every feature: natively the engine works on all cores.
        bench.args(["bench", "--benches", "--all-features"]);
        for package in &packages {
            bench.args(["-p", package]);
        }
        run_command(&mut bench)
    })?;
    let mut rows = Vec::new();
    collect(&place::target()?.join("criterion"), start, &mut rows)?;
    rows.sort();
    println!("\n{:>12}  {:>24}  bench", "median", "95 % sure it lies in");
    for (name, [median, low, high]) in rows.iter().map(|(name, times)| (name, times.map(shown))) {
        println!("{median:>12}  {:>24}  {name}", format!("{low} to {high}"));
    }
    // A process of its own, so that no other bench counts.
    let mut memory = cargo();
    memory.args([
        "bench",
        "-p",
        "keelstead-files",
        "--bench",
        "memory",
        "--all-features",
    ]);
    print!("\n{}", output(&mut memory)?);
    let mut tolerances = cargo();
    tolerances.args(["bench", "-p", "keelstead-tests", "--bench", "tolerances"]);
    tolerances.args(["--all-features", "--", "--table"]);
    print!("\n{}", output(&mut tolerances)?);
    Ok(())
}

/// Only these are built: the viewer has none, and Bevy would be built once more for them.
fn packages_with_benches() -> Result<BTreeSet<String>> {
    let text = output(cargo().args([
        "metadata",
        "--no-deps",
        "--offline",
        "--format-version",
        "1",
    ]))?;
    let metadata: Value = serde_json::from_str(&text).context("cargo metadata is not JSON")?;
    let none = Vec::new();
    let has_bench = |package: &&Value| {
        let targets = package["targets"].as_array().unwrap_or(&none);
        targets.iter().any(|target| target["kind"][0] == "bench")
    };
    let packages = metadata["packages"].as_array().unwrap_or(&none);
    Ok(packages
        .iter()
        .filter(has_bench)
        .filter_map(|package| Some(package["name"].as_str()?.to_owned()))
        .collect())
}

/// Finds what Criterion wrote since `start`: name and median with its interval, ns.
fn collect(folder: &Path, start: SystemTime, rows: &mut Vec<(String, [u64; 3])>) -> Result<()> {
    for entry in fs::read_dir(folder).with_context(|| format!("reading {}", folder.display()))? {
        let path = entry?.path();
        if !path.is_dir() {
            continue;
        }
        let estimates = path.join("estimates.json");
        if path.file_name().is_some_and(|name| name == "new") && estimates.is_file() {
            if estimates.metadata()?.modified()? >= start {
                let median = read(&estimates)?["median"].clone();
                let interval = &median["confidence_interval"];
                let times = [
                    &median["point_estimate"],
                    &interval["lower_bound"],
                    &interval["upper_bound"],
                ];
                let name = read(&path.join("benchmark.json"))?["full_id"]
                    .as_str()
                    .unwrap_or("unnamed")
                    .to_owned();
                rows.push((
                    name,
                    times.map(|time| time.as_f64().unwrap_or(f64::NAN).round() as u64),
                ));
            }
        } else {
            collect(&path, start, rows)?;
        }
    }
    Ok(())
}

fn read(path: &Path) -> Result<Value> {
    let text = fs::read_to_string(path).with_context(|| format!("reading {}", path.display()))?;
    serde_json::from_str(&text).with_context(|| format!("{} is not JSON", path.display()))
}

/// A time in the unit that suits it.
fn shown(time_ns: u64) -> String {
    let time = time_ns as f64;
    match time_ns {
        0..10_000 => format!("{time_ns} ns"),
        10_000..10_000_000 => format!("{:.1} µs", time / 1e3),
        10_000_000..10_000_000_000 => format!("{:.2} ms", time / 1e6),
        _ => format!("{:.2} s", time / 1e9),
    }
}

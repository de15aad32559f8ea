//! The demo: in a window where there is a display, else drawn into a folder.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::place;
use crate::run::{run as run_command, step};
use crate::test::{build_programs, built};

/// Shows the demo.
///
/// # Errors
/// Fails where the viewer cannot be built, or a job cannot be checked or drawn.
pub fn run() -> Result<()> {
    step(
        "building the viewer (about ten minutes the first time)",
        build_programs,
    )?;
    let jobs = jobs()?;
    if has_display() {
        let first = jobs.first().context("no demo job")?;
        println!("opening {}; the others are beside it", first.display());
        return run_command(Command::new(built("keelstead-viewer")?).arg(first));
    }
    println!("no display here (neither DISPLAY nor WAYLAND_DISPLAY is set): drawing into files");
    crate::setup::install(&[crate::setup::Need::Vulkan])?;
    let folder = place::target()?.join("demo");
    fs::create_dir_all(&folder).with_context(|| format!("making {}", folder.display()))?;
    for job in &jobs {
        draw(job, &folder)?;
    }
    println!(
        "\n{} jobs, each with picture, report and findings as JSON, in {}",
        jobs.len(),
        folder.display()
    );
    Ok(())
}

/// Every job of the invented yard, in the order of their names.
///
/// # Errors
/// Fails where there is none.
pub fn jobs() -> Result<Vec<PathBuf>> {
    let folder = place::root().join("demo-data").join("jobs");
    let entries = fs::read_dir(&folder).with_context(|| format!("reading {}", folder.display()))?;
    let mut jobs: Vec<PathBuf> = entries
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|e| e == "json"))
        .collect();
    jobs.sort();
    if jobs.is_empty() {
        bail!("{} holds no job", folder.display());
    }
    Ok(jobs)
}

fn has_display() -> bool {
    let set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    !cfg!(target_os = "linux") || set("DISPLAY") || set("WAYLAND_DISPLAY")
}

fn draw(job: &Path, folder: &Path) -> Result<()> {
    let name = job.file_stem().context("a job without a name")?;
    let file = |ending: &str| folder.join(name).with_extension(ending);
    println!("\n== {}", name.display());
    run_command(
        Command::new(built("keelstead-viewer")?)
            .arg(job)
            .arg("--picture")
            .arg(file("png")),
    )?;
    let report = check(job, &[])?;
    println!("{}", report.trim_end());
    fs::write(file("txt"), report).context("writing the report")?;
    fs::write(file("json"), check(job, &["--json"])?).context("writing the findings")
}

/// What `keelstead check` prints of `job`. Its status tells the verdict; only bad input is a failure here.
fn check(job: &Path, options: &[&str]) -> Result<String> {
    const BAD_INPUT: i32 = 3;
    let output = Command::new(built("keelstead")?)
        .arg("check")
        .arg(job)
        .args(options)
        .output()?;
    if output.status.code().is_none_or(|code| code >= BAD_INPUT) {
        bail!(
            "checking {}: {}",
            job.display(),
            String::from_utf8_lossy(&output.stderr).trim()
        );
    }
    Ok(String::from_utf8_lossy(&output.stdout).into_owned())
}

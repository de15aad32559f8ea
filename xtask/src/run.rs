//! Calling other programs, and telling the reader what is going on and how long it took.

use std::process::Command;
use std::time::Instant;

use anyhow::{Context, Result, bail};

use crate::place;

/// Cargo, as this was called by, in the repository's root.
pub fn cargo() -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(place::root());
    command
}

/// Runs `command`, its output going where ours goes.
///
/// # Errors
/// Fails where the command cannot be started or does not end well.
pub fn run(command: &mut Command) -> Result<()> {
    println!("$ {}", shown(command));
    let status = command
        .status()
        .with_context(|| format!("starting `{}`", shown(command)))?;
    if !status.success() {
        bail!("`{}` failed: {status}", shown(command));
    }
    Ok(())
}

/// Runs `command` and returns what it printed.
///
/// # Errors
/// Fails where the command cannot be started or does not end well; the message carries what it said.
pub fn output(command: &mut Command) -> Result<String> {
    let output = command
        .output()
        .with_context(|| format!("starting `{}`", shown(command)))?;
    if !output.status.success() {
        let said = String::from_utf8_lossy(&output.stderr);
        bail!(
            "`{}` failed: {}\n{}",
            shown(command),
            output.status,
            said.trim()
        );
    }
    Ok(String::from_utf8_lossy(&output.stdout).into_owned())
}

/// Does one step of a longer piece of work under a heading, and says how long it took.
///
/// # Errors
/// Passes on the step's.
pub fn step<T>(title: &str, work: impl FnOnce() -> Result<T>) -> Result<T> {
    println!("\n== {title}");
    let start = Instant::now();
    let result = work().with_context(|| title.to_owned())?;
    println!("== {title}: done in {:.0} s", start.elapsed().as_secs_f64());
    Ok(result)
}

/// The command as one would type it.
fn shown(command: &Command) -> String {
    let program = std::path::Path::new(command.get_program());
    let name = program
        .file_stem()
        .unwrap_or(program.as_os_str())
        .to_string_lossy()
        .into_owned();
    let args = command
        .get_args()
        .map(|arg| arg.to_string_lossy().into_owned());
    std::iter::once(name)
        .chain(args)
        .collect::<Vec<_>>()
        .join(" ")
}

//! Formatting, and clippy with every warning an error.

use anyhow::Result;

use crate::run::{self, cargo, step};
use crate::setup::{self, wasm};

/// Checks formatting and lints every crate; the engine and the file formats for WebAssembly too.
///
/// # Errors
/// Fails on the first check that does.
pub fn run() -> Result<()> {
    step("formatting", || {
        run::run(cargo().args(["fmt", "--all", "--check"]))
    })?;
    step("clippy", || {
        // The browser tests stand behind a feature; they are linted with the rest.
        let what = [
            "clippy",
            "--workspace",
            "--all-targets",
            "--features",
            "keelstead-tests/browser",
        ];
        run::run(cargo().args(what).args(["--", "-D", "warnings"]))
    })?;
    setup::install(&[setup::Need::WasmTarget])?;
    step("clippy for WebAssembly", || {
        if wasm::compiler()? != Some(wasm::Compiler::Ordinary) {
            println!("skipped: the second compiler for WebAssembly comes without clippy");
            return Ok(());
        }
        let what = [
            "clippy",
            "-p",
            "keelstead",
            "-p",
            "keelstead-files",
            "--target",
            wasm::TARGET,
        ];
        run::run(cargo().args(what).args(["--", "-D", "warnings"]))
    })
}

//! Formatting, and clippy with every warning an error.

use anyhow::Result;

use crate::run::{self, cargo, step};
use crate::setup::{self, wasm};
use crate::test::PACKAGES;

/// Checks formatting and lints every crate; those below the workbench for WebAssembly too.
///
/// # Errors
/// Fails on the first check that does.
pub fn run() -> Result<()> {
    step("formatting", || {
        run::run(cargo().args(["fmt", "--all", "--check"]))
    })?;
    step("clippy", || {
        let what = ["clippy", "--all-targets"];
        run::run(
            cargo()
                .args(what)
                .args(PACKAGES)
                .args(["--", "-D", "warnings"]),
        )
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
            "keelstead-boat",
            "-p",
            "keelstead-geometry",
            "-p",
            "keelstead-load",
            "-p",
            "keelstead-statics",
            "-p",
            "keelstead-units",
            "-p",
            "keelstead-files",
            "--target",
            wasm::TARGET,
        ];
        run::run(cargo().args(what).args(["--", "-D", "warnings"]))
    })
}

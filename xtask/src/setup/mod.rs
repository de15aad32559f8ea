//! Installs what building and testing need, or says exactly what to do.
//!
//! Everything comes through the ordinary clients of rustup, cargo and, as root on Debian and its kin, apt.
//! Nothing is downloaded in any other way.

mod system;
mod tools;
pub mod wasm;

use anyhow::{Result, bail};

use crate::run::step;

pub use system::{chromedriver, chromium};

/// One thing that a command needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// The standard library for WebAssembly.
    WasmTarget,
    /// wasm-bindgen's command, of the version in Cargo.lock.
    WasmBindgen,
    /// The bundler of the page.
    Trunk,
    /// The test runner.
    Nextest,
    /// A browser, and the program that drives it.
    Browser,
    /// A Vulkan driver: the machine's own, or Mesa's in software.
    Vulkan,
    /// A display in memory, for trying the window without a screen.
    Display,
}

/// What the page's build needs.
pub const PAGE: &[Need] = &[Need::WasmTarget, Need::WasmBindgen, Need::Trunk];
/// What the tests need besides.
pub const TESTS: &[Need] = &[Need::Nextest, Need::Browser, Need::Vulkan];
/// Everything.
pub const ALL: &[Need] = &[
    Need::WasmTarget,
    Need::WasmBindgen,
    Need::Trunk,
    Need::Nextest,
    Need::Browser,
    Need::Vulkan,
    Need::Display,
];

impl Need {
    fn title(self) -> &'static str {
        match self {
            Self::WasmTarget => "Rust for WebAssembly",
            Self::WasmBindgen => "wasm-bindgen",
            Self::Trunk => "trunk",
            Self::Nextest => "cargo-nextest",
            Self::Browser => "Chromium and ChromeDriver",
            Self::Vulkan => "a Vulkan driver",
            Self::Display => "a display in memory (Xvfb)",
        }
    }

    /// About how long installing takes on two cores.
    fn takes(self) -> &'static str {
        match self {
            Self::WasmTarget => "seconds; half a minute for the second compiler",
            Self::WasmBindgen | Self::Trunk | Self::Nextest => "about 5 minutes",
            Self::Browser | Self::Vulkan | Self::Display => "about a minute",
        }
    }

    /// What is there, in a few words; none where it is missing.
    fn found(self) -> Result<Option<String>> {
        Ok(match self {
            Self::WasmTarget => wasm::compiler()?.map(|compiler| compiler.to_string()),
            Self::WasmBindgen => tools::wasm_bindgen()?,
            Self::Trunk => tools::trunk(),
            Self::Nextest => tools::nextest(),
            Self::Browser => system::browser(),
            Self::Vulkan => system::vulkan(),
            Self::Display => system::display(),
        })
    }

    fn install(self) -> Result<()> {
        match self {
            Self::WasmTarget => wasm::install(),
            Self::WasmBindgen => tools::install_wasm_bindgen(),
            Self::Trunk => tools::install_trunk(),
            Self::Nextest => tools::install_nextest(),
            Self::Browser => system::install_browser(),
            Self::Vulkan => system::install_vulkan(),
            Self::Display => system::install_display(),
        }
    }
}

/// Installs those of `needs` that are missing.
///
/// # Errors
/// Names what could not be installed, and what to do by hand.
pub fn install(needs: &[Need]) -> Result<()> {
    for &need in needs {
        if need.found()?.is_some() {
            continue;
        }
        step(
            &format!("installing {} ({})", need.title(), need.takes()),
            || need.install(),
        )?;
        if need.found()?.is_none() {
            bail!(
                "{} was installed but is still not found; is its folder on PATH?",
                need.title()
            );
        }
    }
    Ok(())
}

/// Prints which of `needs` are there, and installs nothing.
///
/// # Errors
/// Fails where one is missing.
pub fn check(needs: &[Need]) -> Result<()> {
    let mut missing = Vec::new();
    for &need in needs {
        match need.found()? {
            Some(found) => println!("found    {:<28} {found}", need.title()),
            None => {
                println!(
                    "missing  {:<28} installing takes {}",
                    need.title(),
                    need.takes()
                );
                missing.push(need.title());
            }
        }
    }
    if !missing.is_empty() {
        bail!(
            "missing: {}; `cargo xtask setup` installs what it can",
            missing.join(", ")
        );
    }
    Ok(())
}

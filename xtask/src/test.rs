//! Every test: the crates', then the page's in a real browser.

use anyhow::Result;

use crate::run::{cargo, run as run_command, step};
use crate::setup::{self, Need};
use crate::web;

/// Cargo's choice of packages for every native build of the project.
///
/// Always the whole workspace: which features a dependency is built with follows from the packages chosen, and another
/// choice would build Bevy a second time, which takes ten minutes.
pub const PACKAGES: [&str; 3] = [
    "--workspace",
    // Always the tests that draw and those in a browser too: the same choice, so that nothing is built twice.
    "--features",
    "keelstead-viewer/pixels,keelstead-tests/browser",
];

/// The tests in a browser, in nextest's words.
const IN_BROWSER: &str = "package(keelstead-tests) and binary(page)";

/// What takes minutes, and is left out unless it is asked for: its tests are marked as ignored.
const LONG: &str = "package(keelstead-tests) and binary(corners)";

/// How much to test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// Everything, the page in a browser too.
    All,
    /// Everything, and what takes minutes.
    Long,
    /// The crates alone: no WebAssembly, no browser.
    Crates,
}

/// Runs all tests, or the crates' alone.
///
/// # Errors
/// Fails where any test does, and where the page cannot be built; what comes later still runs, so that one call tells
/// all.
pub fn run(extent: Extent) -> Result<()> {
    setup::install(setup::TESTS)?;
    // A test target does not bring the programs of other packages with it, and the command line's tests run them.
    step("the programs", build_programs)?;
    let crates = step("tests of the crates", || {
        let without = format!("not ({IN_BROWSER})");
        run_command(
            cargo()
                .args(["nextest", "run", "--no-fail-fast", "-E", &without])
                .args(PACKAGES),
        )
    });
    let examples = step("examples in the documentation", || {
        run_command(cargo().args(["test", "--doc"]).args(PACKAGES))
    });
    if extent == Extent::Crates {
        return crates.and(examples);
    }
    let long = if extent == Extent::Long {
        step("every corner of what was stated", || {
            let what = ["nextest", "run", "--no-fail-fast", "--run-ignored", "only"];
            run_command(cargo().args(what).args(["-E", LONG]).args(PACKAGES))
        })
    } else {
        Ok(())
    };
    let page = web::run(web::After::Compare);
    // After a failed build an old page may stand there still, and would be tested in the new one's place.
    let browser = if page.is_ok() {
        step("tests of the page in a browser", browser)
    } else {
        Ok(())
    };
    let failures: Vec<_> = [crates, examples, long, page, browser]
        .into_iter()
        .filter_map(Result::err)
        .collect();
    for failure in &failures {
        eprintln!("failed: {failure:#}");
    }
    anyhow::ensure!(
        failures.is_empty(),
        "{} of the steps failed",
        failures.len()
    );
    Ok(())
}

fn browser() -> Result<()> {
    setup::install(&[Need::Browser])?;
    // One at a time: each draws in software, on every core.
    let what = ["nextest", "run", "--no-fail-fast", "--test-threads", "1"];
    run_command(cargo().args(what).args(["-E", IN_BROWSER]).args(PACKAGES))
}

/// Builds `keelstead` and `keelstead-viewer`, from the dependencies that the tests are built from.
///
/// # Errors
/// Fails where they do not build.
pub fn build_programs() -> Result<()> {
    // Asking for the examples too makes cargo count the dependencies of tests, and so choose the features as for them.
    let what = [
        "build",
        "--examples",
        "--bin",
        "keelstead",
        "--bin",
        "keelstead-viewer",
    ];
    run_command(cargo().args(what).args(PACKAGES))
}

/// Where `program` lies once [`build_programs`] has built it.
///
/// # Errors
/// As [`crate::place::target`].
pub fn built(program: &str) -> Result<std::path::PathBuf> {
    let file = format!("{program}{}", std::env::consts::EXE_SUFFIX);
    Ok(crate::place::target()?.join("debug").join(file))
}

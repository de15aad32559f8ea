//! Where things are: the repository, what is built, what is kept between builds.

use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use anyhow::{Context, Result};

use crate::run::{cargo, output};

/// The repository's root.
pub fn root() -> &'static Path {
    // Where cargo runs it from; where it was built may be another clone that shares the target directory.
    static XTASK: LazyLock<PathBuf> = LazyLock::new(|| {
        let run_from = std::env::var_os("CARGO_MANIFEST_DIR");
        run_from.map_or_else(|| env!("CARGO_MANIFEST_DIR").into(), PathBuf::from)
    });
    XTASK.parent().unwrap_or(&XTASK)
}

/// Where cargo builds native code, asked of cargo itself: it may come from the environment or from a configuration.
///
/// # Errors
/// Fails where cargo cannot read the workspace.
pub fn target() -> Result<PathBuf> {
    let text = output(cargo().args([
        "metadata",
        "--no-deps",
        "--offline",
        "--format-version",
        "1",
    ]))?;
    let metadata: serde_json::Value =
        serde_json::from_str(&text).context("cargo metadata is not JSON")?;
    let folder = metadata["target_directory"].as_str();
    Ok(folder
        .context("cargo metadata names no target_directory")?
        .into())
}

/// Where the page's WebAssembly is built.
///
/// A folder of its own, because the compiler may be another one, and so that a build of the page and a native build
/// do not wait for each other.
///
/// # Errors
/// As [`target`].
pub fn page_target() -> Result<PathBuf> {
    Ok(target()?.join("page"))
}

/// The built page.
pub fn dist() -> PathBuf {
    root().join("web").join("dist")
}

/// What `setup` keeps for itself between builds: where need be, a second compiler.
///
/// # Errors
/// Fails where the environment names no home.
pub fn cache() -> Result<PathBuf> {
    let named = |name: &str| {
        std::env::var_os(name)
            .filter(|value| !value.is_empty())
            .map(PathBuf::from)
    };
    let base = named("XDG_CACHE_HOME")
        .or_else(|| named("LOCALAPPDATA"))
        .or_else(|| named("HOME").map(|home| home.join(".cache")))
        .context("none of XDG_CACHE_HOME, LOCALAPPDATA and HOME is set: no place for a cache")?;
    Ok(base.join("keelstead"))
}

/// The program named `name` on the search path, or in one of the folders `setup` fills.
pub fn program(name: &str) -> Option<PathBuf> {
    let file = format!("{name}{}", std::env::consts::EXE_SUFFIX);
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path)
        .map(|folder| folder.join(&file))
        .find(|file| file.is_file())
}

/// The value after `key =` on the first such line of a TOML file, without its quotes.
///
/// # Errors
/// Fails where the file cannot be read or has no such line.
pub fn toml_value(file: &Path, key: &str) -> Result<String> {
    let text =
        std::fs::read_to_string(file).with_context(|| format!("reading {}", file.display()))?;
    let value = text.lines().find_map(|line| {
        line.trim()
            .strip_prefix(key)?
            .trim_start()
            .strip_prefix('=')
    });
    let value = value.with_context(|| format!("{} has no line `{key} = …`", file.display()))?;
    Ok(value
        .split('#')
        .next()
        .unwrap_or(value)
        .trim()
        .trim_matches('"')
        .to_owned())
}

//! A compiler for WebAssembly: the ordinary one, or Debian's where rustup cannot download.

use std::fmt;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::place::{self, program};
use crate::run::{output, run};

/// The target's name.
pub const TARGET: &str = "wasm32-unknown-unknown";

/// Which compiler builds the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Compiler {
    /// The one that builds everything else.
    Ordinary,
    /// Debian's, unpacked beside the system in this folder. It builds the standard library itself.
    Debian(PathBuf),
}

impl fmt::Display for Compiler {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Ordinary => write!(f, "the ordinary compiler"),
            Self::Debian(folder) => write!(f, "Debian's compiler in {}", folder.display()),
        }
    }
}

impl Compiler {
    /// Makes `command`, which calls cargo, use this compiler.
    ///
    /// # Errors
    /// Fails where there is no cache or the linker is missing.
    pub fn set_up(&self, command: &mut Command) -> Result<()> {
        // Cargo sets these for what it runs; they would lead a cargo below back to the first compiler.
        for name in ["CARGO", "RUSTC", "RUSTDOC"] {
            command.env_remove(name);
        }
        let Self::Debian(folder) = self else {
            return Ok(());
        };
        let bin = folder.join("usr").join("bin");
        let libraries = library_folder(folder)
            .context("the unpacked compiler has no libraries: delete its folder")?;
        let search = std::env::var_os("PATH").unwrap_or_default();
        let path = std::env::join_paths(
            std::iter::once(bin.clone()).chain(std::env::split_paths(&search)),
        )
        .context("a folder on PATH has a name that cannot stand there")?;
        command
            .env("PATH", path)
            .env("LD_LIBRARY_PATH", libraries)
            .env("RUSTC", bin.join("rustc"))
            .env("RUSTDOC", bin.join("rustdoc"))
            .env("RUSTC_BOOTSTRAP", "1")
            .env("CARGO_UNSTABLE_BUILD_STD", "std,panic_abort")
            .env(
                "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER",
                linker(folder)?,
            );
        Ok(())
    }
}

/// The compiler that is there. `KEELSTEAD_WASM=debian` passes the ordinary one by, to try the other.
///
/// # Errors
/// Fails where there is no cache or no rustc.
pub fn compiler() -> Result<Option<Compiler>> {
    let sysroot = output(
        Command::new("rustc")
            .current_dir(place::root())
            .args(["--print", "sysroot"]),
    )?;
    let library = Path::new(sysroot.trim())
        .join("lib/rustlib")
        .join(TARGET)
        .join("lib");
    if library.is_dir() && !debian_only() {
        return Ok(Some(Compiler::Ordinary));
    }
    let folder = debian_folder()?;
    Ok(folder
        .join("usr/bin/rustc")
        .is_file()
        .then_some(Compiler::Debian(folder)))
}

fn debian_only() -> bool {
    std::env::var_os("KEELSTEAD_WASM").is_some_and(|value| value == "debian")
}

fn debian_folder() -> Result<PathBuf> {
    Ok(place::cache()?.join("wasm-rust").join("root"))
}

/// Tries the ordinary way, then Debian's packages.
pub(super) fn install() -> Result<()> {
    let ordinary = || match program("rustup") {
        Some(rustup) if !debian_only() => run(Command::new(rustup)
            .current_dir(place::root())
            .args(["target", "add", TARGET])),
        Some(_) => bail!("passed by on request"),
        None => bail!("rustup is not here"),
    };
    ordinary().or_else(|error| {
        println!("the ordinary way failed ({error:#}); trying Debian's packages");
        unpack_debian()
    })
}

/// Downloads Debian's compiler for browsers and unpacks it beside the system: as packages, it and an installed Rust
/// exclude each other.
fn unpack_debian() -> Result<()> {
    if program("apt-get").is_none() || program("dpkg").is_none() {
        bail!(
            "this is no Debian; by hand: rustup target add {TARGET}, or your system's package of that target"
        );
    }
    let names = debian_packages()?;
    let folder = debian_folder()?;
    let downloads = folder.with_file_name("debs");
    for made in [&folder, &downloads] {
        std::fs::create_dir_all(made).with_context(|| format!("making {}", made.display()))?;
    }
    run(Command::new("apt-get")
        .current_dir(&downloads)
        .args(["--quiet=2", "download"])
        .args(&names))?;
    for entry in std::fs::read_dir(&downloads)? {
        let package = entry?.path();
        if package
            .extension()
            .is_some_and(|extension| extension == "deb")
        {
            run(Command::new("dpkg").arg("-x").arg(&package).arg(&folder))?;
        }
    }
    // Their work is done, and they are large.
    std::fs::remove_dir_all(&downloads).with_context(|| format!("removing {}", downloads.display()))
}

/// The packages to unpack: the compiler and whatever of its needs is not installed, as apt sees it today, so that no
/// version stands here.
fn debian_packages() -> Result<Vec<String>> {
    let mut simulate = Command::new("apt-get");
    simulate.args(["install", "--simulate", "--no-install-recommends"]);
    simulate.args([
        "rustc-web",
        "cargo-web",
        "libstd-rust-web-dev",
        "rust-web-src",
    ]);
    let plan = output(&mut simulate)
        .context("Debian's package list has no rustc-web; `apt-get update` may help")?;
    let mut names: Vec<String> = plan
        .lines()
        .filter_map(|line| {
            line.strip_prefix("Inst ")?
                .split(' ')
                .next()
                .map(str::to_owned)
        })
        .collect();
    // The linker of the same LLVM.
    let llvm = names
        .iter()
        .find_map(|name| name.strip_prefix("libllvm").map(str::to_owned));
    let llvm = llvm.context("rustc-web brings no libllvm: cannot tell which linker fits")?;
    names.push(format!("lld-{llvm}"));
    Ok(names)
}

fn library_folder(root: &Path) -> Option<PathBuf> {
    let folder = root
        .join("usr/lib")
        .join(format!("{}-linux-gnu", std::env::consts::ARCH));
    folder.is_dir().then_some(folder)
}

fn linker(root: &Path) -> Result<PathBuf> {
    let folders =
        std::fs::read_dir(root.join("usr/lib")).context("reading the unpacked compiler")?;
    let mut linkers = folders
        .flatten()
        .map(|entry| entry.path().join("bin/wasm-ld"))
        .filter(|path| path.is_file());
    linkers
        .next()
        .context("the unpacked compiler has no wasm-ld: delete its folder and run setup again")
}

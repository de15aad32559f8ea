//! What comes from the system's own packages.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Result, bail};

use crate::place::program;
use crate::run::{output, run};

/// The browser: the one that `CHROMIUM` names, or the first of the usual names.
pub fn chromium() -> Option<PathBuf> {
    let usual = [
        "chromium",
        "chromium-browser",
        "google-chrome",
        "google-chrome-stable",
        "chrome",
    ];
    let applications = [
        "/Applications/Chromium.app/Contents/MacOS/Chromium",
        "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
        "C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe",
    ];
    std::env::var_os("CHROMIUM")
        .map(PathBuf::from)
        .or_else(|| usual.iter().find_map(|name| program(name)))
        .or_else(|| {
            applications
                .iter()
                .map(PathBuf::from)
                .find(|path| path.is_file())
        })
}

/// What drives it: the program that `CHROMEDRIVER` names, or the one on the search path.
pub fn chromedriver() -> Option<PathBuf> {
    std::env::var_os("CHROMEDRIVER")
        .map(PathBuf::from)
        .or_else(|| program("chromedriver"))
}

pub(super) fn browser() -> Option<String> {
    Some(format!(
        "{}, {}",
        chromium()?.display(),
        chromedriver()?.display()
    ))
}

pub(super) fn install_browser() -> Result<()> {
    install(&Packages {
        apt: &["chromium", "chromium-driver"],
        mac: "brew install --cask chromium chromedriver",
        windows: "winget install Google.Chrome Chromium.ChromeDriver",
        other: "install Chromium and the ChromeDriver of the same version from your system's packages",
    })
}

pub(super) fn vulkan() -> Option<String> {
    if !cfg!(target_os = "linux") {
        // Metal and Direct3D come with the system.
        return Some("the system's own graphics".into());
    }
    let folders = [
        "/usr/share/vulkan/icd.d",
        "/etc/vulkan/icd.d",
        "/usr/local/share/vulkan/icd.d",
    ];
    let drivers = folders
        .iter()
        .filter_map(|folder| Path::new(folder).read_dir().ok())
        .flatten()
        .flatten();
    let names: Vec<String> = drivers
        .filter_map(|entry| {
            entry
                .path()
                .file_stem()?
                .to_str()?
                .split("_icd")
                .next()
                .map(str::to_owned)
        })
        .collect();
    (!names.is_empty()).then(|| names.join(", "))
}

pub(super) fn install_vulkan() -> Result<()> {
    install(&Packages {
        apt: &[
            "mesa-vulkan-drivers",
            "libxkbcommon-x11-0",
            "libxcursor1",
            "libxi6",
            "libxrandr2",
        ],
        mac: "",
        windows: "",
        other: "install your card's Vulkan driver, or Mesa's (lavapipe) for drawing in software",
    })
}

pub(super) fn display() -> Option<String> {
    if !cfg!(target_os = "linux") {
        return Some("the system's own display".into());
    }
    program("Xvfb").map(|path| path.display().to_string())
}

pub(super) fn install_display() -> Result<()> {
    install(&Packages {
        apt: &["xvfb"],
        mac: "",
        windows: "",
        other: "install Xvfb from your system's packages (often called xorg-server-xvfb)",
    })
}

/// The same thing in the words of each system.
struct Packages {
    apt: &'static [&'static str],
    mac: &'static str,
    windows: &'static str,
    other: &'static str,
}

/// Installs with apt as root; otherwise says what to type.
fn install(packages: &Packages) -> Result<()> {
    let by_hand = format!("apt-get install --yes {}", packages.apt.join(" "));
    if cfg!(target_os = "macos") {
        bail!("not installed by this command; type: {}", packages.mac);
    }
    if cfg!(windows) {
        bail!("not installed by this command; type: {}", packages.windows);
    }
    if program("apt-get").is_none() {
        bail!("not installed by this command; {}", packages.other);
    }
    if output(Command::new("id").arg("-u"))?.trim() != "0" {
        bail!("needs root; type: sudo apt-get update && sudo {by_hand}");
    }
    let apt = |words: &[&str]| {
        let mut command = Command::new("apt-get");
        command
            .env("DEBIAN_FRONTEND", "noninteractive")
            .arg("--quiet=2")
            .args(words);
        command
    };
    run(&mut apt(&["update"]))?;
    run(apt(&["install", "--yes", "--no-install-recommends"]).args(packages.apt))
}

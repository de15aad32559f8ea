//! The page: built by trunk, made to work without a network, weighed.

use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};
use brotli::enc::BrotliEncoderParams;

use crate::place;
use crate::run::{run as run_command, step};
use crate::serve::StaticServer;
use crate::setup::{self, wasm};

const WORKER: &str = "service-worker.js";
const PORT: u16 = 8080;

/// What to do once the page is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum After {
    /// Compare its weight with the recorded one.
    Compare,
    /// Record its weight.
    Record,
    /// Serve it.
    Serve,
}

/// Builds the page into `web/dist`.
///
/// # Errors
/// Fails where a tool does, and where the page is heavier than `web/size.toml` allows.
pub fn run(after: After) -> Result<()> {
    setup::install(setup::PAGE)?;
    step("building the page", build)?;
    step("weighing the page", || weigh(after == After::Record))?;
    if after == After::Serve {
        let server = StaticServer::start(&place::dist(), "", PORT)?;
        println!(
            "\nThe page is at http://localhost:{}/ until you press Ctrl-C.",
            server.address().port()
        );
        server.join();
    }
    Ok(())
}

fn build() -> Result<()> {
    let compiler =
        wasm::compiler()?.context("no compiler for WebAssembly; run `cargo xtask setup`")?;
    let target = match compiler {
        wasm::Compiler::Ordinary => place::page_target()?,
        // Each compiler would throw away what the other has built.
        wasm::Compiler::Debian(_) => place::page_target()?.join("debian"),
    };
    let mut trunk = Command::new("trunk");
    // Not offline: that would forbid cargo to fetch crates. Trunk itself fetches nothing, since `setup` has put every
    // tool it calls, in the version it wants, on its path.
    trunk
        .current_dir(place::root().join("web"))
        .args(["build", "--release"]);
    // Its own backtrace would bury the compiler's message.
    trunk
        .env("CARGO_TARGET_DIR", target)
        .env("RUST_BACKTRACE", "0");
    // Trunk reads this one as a switch of its own and refuses the value "1" that some terminals set.
    trunk.env_remove("NO_COLOR");
    compiler.set_up(&mut trunk)?;
    run_command(&mut trunk)?;
    write_worker(&place::dist())
}

/// Writes the service worker with the list of what the page consists of, under a name that changes with any of it.
fn write_worker(dist: &Path) -> Result<()> {
    let mut names = Vec::new();
    let mut version = DefaultHasher::new();
    for path in files(dist)? {
        let name = path
            .strip_prefix(dist)?
            .to_string_lossy()
            .replace('\\', "/");
        if name != WORKER {
            (&name, fs::read(&path)?).hash(&mut version);
            names.push(name);
        }
    }
    let source = place::root().join("web").join(WORKER);
    let body =
        fs::read_to_string(&source).with_context(|| format!("reading {}", source.display()))?;
    let head = format!(
        "const VERSION = \"{:016x}\";\nconst FILES = {};\n",
        version.finish(),
        serde_json::to_string(&names)?
    );
    fs::write(dist.join(WORKER), head + &body).context("writing the service worker")
}

/// Every file under `folder`, in a fixed order.
fn files(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).with_context(|| format!("reading {}", folder.display()))? {
        let path = entry?.path();
        if path.is_dir() {
            found.extend(files(&path)?);
        } else {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

/// Prints what every file of the page weighs as a good server sends it, and compares the sum.
///
/// The sum includes the icons that only an installed page asks for: it is never less than what is transferred.
fn weigh(record: bool) -> Result<()> {
    let dist = place::dist();
    let mut total = 0;
    println!("{:>12} {:>12}  file", "bytes", "brotli");
    for path in files(&dist)? {
        let bytes = fs::read(&path)?;
        let packed = brotli_len(&bytes)?;
        println!(
            "{:>12} {packed:>12}  {}",
            bytes.len(),
            path.strip_prefix(&dist)?.display()
        );
        total += packed;
    }
    let book = place::root().join("web").join("size.toml");
    let number = |key| -> Result<u64> {
        let text = place::toml_value(&book, key)?;
        text.replace('_', "")
            .parse()
            .with_context(|| format!("{}: {key} = {text} is no number", book.display()))
    };
    let (limit, recorded) = (number("limit_bytes")?, number("recorded_bytes")?);
    println!(
        "page: {total} bytes brotli; recorded {recorded}, {:+}; limit {limit}",
        total as i64 - recorded as i64
    );
    if total > limit {
        bail!("the page weighs {total} bytes, more than the limit of {limit}");
    }
    if record {
        let text = fs::read_to_string(&book)?;
        let line = |line: &str| match line.starts_with("recorded_bytes") {
            true => format!("recorded_bytes = {total}\n"),
            false => format!("{line}\n"),
        };
        fs::write(&book, text.lines().map(line).collect::<String>())
            .context("recording the weight")?;
        println!("recorded in {}", book.display());
    }
    Ok(())
}

fn brotli_len(bytes: &[u8]) -> Result<u64> {
    let best = BrotliEncoderParams {
        quality: 11,
        lgwin: 24,
        size_hint: bytes.len(),
        ..Default::default()
    };
    let mut packed = Vec::new();
    brotli::BrotliCompress(&mut &bytes[..], &mut packed, &best).context("compressing")?;
    Ok(packed.len() as u64)
}

//! `cargo xtask COMMAND`: set-up, demo, test, bench, fuzz, web, lint.

use std::process::ExitCode;

use anyhow::{Result, bail};
use xtask::{bench, demo, fuzz, lint, setup, test, web};

const HELP: &str = "\
cargo xtask COMMAND

  setup            install what building and testing need, or say how
  setup --check    only say what is there and what is missing
  demo             open the demo in a window; without a display, draw every demo job into a folder
  test             all tests: the crates', then the page's in a real browser
  test --long      the same, and what takes minutes: every verdict at every corner of the tolerances
  test --no-page   the crates' tests alone: no WebAssembly, no browser
  bench            time the engine and print the medians
  fuzz             feed every reader what a fuzzer makes, a minute each; needs a nightly compiler
  fuzz --seconds N TARGET..
                   so long, and only these
  web              build the page into web/dist and weigh it
  web --record     the same, and record the weight as the one to compare with
  web --serve      build the page, then serve it at http://localhost:8080
  lint             formatting, and clippy with warnings denied
";

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = args.iter().map(String::as_str).collect();
    match dispatch(&words) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn dispatch(words: &[&str]) -> Result<()> {
    match words {
        ["setup"] => setup::install(setup::ALL),
        ["setup", "--check"] => setup::check(setup::ALL),
        ["demo"] => demo::run(),
        ["test"] => test::run(test::Extent::All),
        ["test", "--long"] => test::run(test::Extent::Long),
        ["test", "--no-page"] => test::run(test::Extent::Crates),
        ["bench"] => bench::run(),
        ["fuzz", rest @ ..] => fuzz::run(rest),
        ["web"] => web::run(web::After::Compare),
        ["web", "--record"] => web::run(web::After::Record),
        ["web", "--serve"] => web::run(web::After::Serve),
        ["lint"] => lint::run(),
        [] | ["help" | "--help" | "-h"] => {
            print!("{HELP}");
            Ok(())
        }
        _ => bail!("no such command: {}\n\n{HELP}", words.join(" ")),
    }
}

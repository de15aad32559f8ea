//! How wide stated tolerances are against what a search of their corners finds: a row a kind of finding. Nothing is timed,
//! and it takes a minute: it runs where it is asked for with `--table`, as `cargo xtask bench` does.

#![allow(missing_docs, clippy::unwrap_used)]

#[path = "../tests/corners/mod.rs"]
mod search;

use search::chance::random_job;
use search::job::demo_jobs;
use search::judge::judge;
use search::made::made_jobs;
use search::moved::How;
use search::outcome::Outcome;
use search::{sets, table};

/// Random jobs beside those of the demo and the made ones.
const RANDOM: u64 = 20;

fn main() {
    if !std::env::args().any(|a| a == "--table") {
        return;
    }
    let jobs = demo_jobs().into_iter().chain(made_jobs());
    let mut all = Outcome::default();
    for job in jobs.chain((0..RANDOM).map(random_job)) {
        all.add(judge(
            &job,
            &sets::few(job.load.beams.len()),
            How::AtTheSeat,
        ));
    }
    print!("{}", table::table(&all));
}

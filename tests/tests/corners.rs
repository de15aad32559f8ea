//! No verdict of clear turns foul within the tolerances that were stated, and tight means that some corner of them is foul.

#![allow(missing_docs, clippy::unwrap_used)]

#[path = "corners/mod.rs"]
mod search;
#[path = "corners/proof.rs"]
mod proof;

use search::job::{Job, demo_jobs};
use search::judge::{Outcome, judge};
use search::made::{made_jobs, random_job};
use search::moved::{Corner, How};
use search::sets;

/// Random jobs of the long run.
const RANDOM: u64 = 200;

/// Fails, with a work list, where a verdict does not hold.
fn hold(jobs: impl IntoIterator<Item = Job>, corners: impl Fn(&Job) -> Vec<Corner>) {
    let mut all = Outcome::default();
    for job in jobs {
        all.add(judge(&job, &corners(&job), How::AtTheSeat));
    }
    println!("{}", all.report());
    let count = all.failures.len();
    assert!(count == 0, "{count} verdicts do not hold");
}

fn every(job: &Job) -> Vec<Corner> {
    sets::all(job.load.beams.len())
}

fn few(job: &Job) -> Vec<Corner> {
    sets::few(job.load.beams.len())
}

#[test]
fn a_sample_of_jobs_holds_at_its_corners() {
    let made = made_jobs().into_iter().take(2);
    let random = (0..3).map(random_job);
    hold(demo_jobs().into_iter().chain(made).chain(random), few);
}

#[test]
#[ignore = "takes a minute: cargo xtask test --long"]
fn demo_jobs_hold_at_every_corner() {
    hold(demo_jobs(), every);
}

#[test]
#[ignore = "takes a minute: cargo xtask test --long"]
fn made_jobs_hold_at_every_corner() {
    let jobs = made_jobs();
    assert_eq!(jobs.len(), 10);
    hold(jobs, every);
}

#[test]
#[ignore = "takes minutes: cargo xtask test --long"]
fn random_jobs_hold_at_every_corner() {
    hold((0..RANDOM).map(random_job), every);
}

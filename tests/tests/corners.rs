//! No verdict of clear turns foul within the tolerances that were stated, and tight means that some corner of them is foul.

#![allow(missing_docs, clippy::unwrap_used)]

#[path = "corners/mod.rs"]
mod search;
#[path = "corners/proof.rs"]
mod proof;

use std::collections::BTreeMap;

use search::job::{Job, demo_jobs};
use search::claims::{kind, told};
use search::judge::{judge, losses};
use search::outcome::Outcome;
use search::made::{made_jobs, random_job};
use search::moved::{Corner, How};
use search::sets;

/// Random jobs of the long run.
const RANDOM: u64 = 200;

/// Names another count, to try less.
const RANDOM_COUNT: &str = "KEELSTEAD_CORNERS";

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
    sets::thorough(job.load.beams.len())
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
    let count = std::env::var(RANDOM_COUNT).ok().and_then(|n| n.parse().ok());
    hold((0..count.unwrap_or(RANDOM)).map(random_job), every);
}

/// What of each finding is lost at its worst, as the few corners find it over what the thorough search finds: where the
/// same stacks carry, nearly all.
#[test]
#[ignore = "takes minutes: cargo xtask test --long"]
fn the_few_corners_find_what_a_thorough_search_finds() {
    let jobs = demo_jobs().into_iter().chain(made_jobs()).chain((0..12).map(random_job));
    let mut rows: BTreeMap<String, Vec<(f64, String)>> = BTreeMap::new();
    for job in jobs {
        let stacks = job.load.beams.len();
        let few = most_lost(&losses(&job, &sets::few(stacks)));
        for (name, most) in most_lost(&losses(&job, &sets::thorough(stacks))) {
            if most > 1e-4 {
                let part = few.get(&name).copied().unwrap_or(0.0) / most;
                let kind = if name.starts_with("gap") { "gap".to_owned() } else { kind(&name) };
                rows.entry(kind).or_default().push((part, format!("{}: {name}", job.name)));
            }
        }
    }
    for (kind, row) in &mut rows {
        row.sort_by(|a, b| a.0.total_cmp(&b.0));
        let low = row.iter().filter(|r| r.0 < 0.98).count();
        println!("{kind:<20} of {:>4} figures {low:>4} below 0.98, median {:.3}", row.len(), row[row.len() / 2].0);
        for (part, name) in row.iter().take(3).filter(|r| r.0 < 0.98) {
            println!("    {part:.3} {name}");
        }
    }
}

fn most_lost(lost: &[BTreeMap<String, f64>]) -> BTreeMap<String, f64> {
    let mut most: BTreeMap<String, f64> = BTreeMap::new();
    for (name, lost) in lost.iter().flatten() {
        let entry = most.entry(name.clone()).or_insert(*lost);
        *entry = entry.max(*lost);
    }
    most
}

#[test]
#[ignore = "analysis"]
fn table() {
    let mut all = Outcome::default();
    for job in demo_jobs().into_iter().chain(made_jobs()) {
        all.add(judge(&job, &sets::few(job.load.beams.len()), How::AtTheSeat));
    }
    println!("{}", search::table::table(&all));
}

#[test]
#[ignore = "analysis"]
fn bases() {
    for job in made_jobs().into_iter().chain((0..12).map(random_job)) {
        let f = job.check();
        let mut n = [0; 4];
        for x in &f.list { n[x.verdict as usize] += 1; }
        println!("{}: foul {} unknown {} tight {} clear {}", job.name, n[0], n[1], n[2], n[3]);
        for x in f.list.iter().filter(|x| x.verdict != keelstead::findings::Verdict::Clear) {
            println!("    {} {}", x.id, told(x));
        }
    }
}

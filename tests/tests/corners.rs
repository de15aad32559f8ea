//! No verdict of clear turns foul within the tolerances that were stated, and tight means that some corner of them is foul.

#![allow(missing_docs, clippy::unwrap_used)]

#[path = "corners/proof.rs"]
mod proof;
#[path = "corners/mod.rs"]
mod search;

use std::collections::BTreeMap;

use keelstead_units::verdict::Verdict;
use search::chance::random_job;
use search::claims::kind;
use search::job::{Job, demo_jobs};
use search::judge::{judge, losses};
use search::made::made_jobs;
use search::moved::{Corner, How};
use search::outcome::{Outcome, What, Width};
use search::random::Random;
use search::sets;

/// Random jobs of the long run.
const RANDOM: u64 = 200;

/// Of so many tight findings, at most one may be foul at no corner, nor at 1.15 times as far. Of random jobs it is one in 36, of
/// the made ones, which are alike on both sides and count twice, one in 7: pads, whose faces may be turned either way by her
/// shape where the search moves it only over the stacks.
const NEVER: usize = 6;

/// Names other random jobs, to try less or elsewhere: how many, or `from..to`.
const RANDOM_JOBS: &str = "KEELSTEAD_CORNERS";

/// A tolerance of a clear finding is no less than this of what the corners find, also where that decides nothing yet. Of the
/// 18,356 of the long run five are below 0.9, none below 0.78: pressure under a keel that is put elsewhere as she turns, pads
/// on stacks that share by millimetres.
const SHORT: f64 = 0.75;

/// Fails, with a work list, where a verdict does not hold.
fn hold(jobs: impl IntoIterator<Item = Job>, corners: impl Fn(&Job) -> Vec<Corner>) {
    let mut all = Outcome::default();
    for job in jobs {
        all.add(judge(&job, &corners(&job), How::AtTheSeat));
    }
    none_fails(&all);
}

fn none_fails(all: &Outcome) {
    println!("{}", all.report());
    let (never, wrong): (Vec<_>, Vec<_>) =
        (all.failures.iter()).partition(|f| f.what == What::TightButNever);
    assert!(wrong.is_empty(), "{} verdicts do not hold", wrong.len());
    // Of the gaps to one rig part only the worst is told, which at a corner may be another's.
    let told = |w: &&Width| w.verdict == Verdict::Clear && kind(&w.id) != "gap";
    let short = all.widths.iter().filter(told).filter(|w| w.ratio() < SHORT);
    let short: Vec<_> = short
        .map(|w| {
            format!(
                "{}: {}: {:.5} stated, {:.5} at {}",
                w.job, w.id, w.stated, w.found, w.corner
            )
        })
        .collect();
    assert!(
        short.is_empty(),
        "tolerances fall short:\n{}",
        short.join("\n")
    );
    // What is told to be tight and never is errs to the safe side; said too often, nobody heeds it.
    let said = never.len();
    let few = all.tight < 50 || said * NEVER < all.tight;
    assert!(
        few,
        "{said} of {} tight findings are foul at no corner",
        all.tight
    );
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
    let by_chance = [0, 4, 5].map(random_job);
    hold(demo_jobs().into_iter().chain(made).chain(by_chance), few);
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

/// Somewhere in the box, with each measurement moved in its own document: vertices, sills, shims.
#[test]
#[ignore = "takes minutes: cargo xtask test --long"]
fn demo_and_made_jobs_hold_with_each_measurement_moved_in_its_document() {
    let mut random = Random::new(9);
    let mut all = Outcome::default();
    for job in demo_jobs().into_iter().chain(made_jobs()) {
        let corners = sets::anywhere(job.load.beams.len(), 30, &mut random);
        all.add(judge(&job, &corners, How::Each));
    }
    // A few places by chance need not hit the corner that makes a finding foul.
    all.failures.retain(|f| f.what != What::TightButNever);
    none_fails(&all);
}

#[test]
#[ignore = "takes minutes: cargo xtask test --long"]
fn random_jobs_hold_at_every_corner() {
    let asked = std::env::var(RANDOM_JOBS).unwrap_or_else(|_| RANDOM.to_string());
    let (from, to) = asked.split_once("..").unwrap_or(("0", &asked));
    let [from, to] = [from, to].map(|n| {
        n.parse()
            .unwrap_or_else(|_| panic!("{RANDOM_JOBS}: {asked}"))
    });
    hold((from..to).map(random_job), every);
}

/// What of each finding is lost at its worst, as the few corners find it over what the thorough search finds: where the
/// same stacks carry, nearly all.
#[test]
#[ignore = "takes minutes: cargo xtask test --long"]
fn the_few_corners_find_what_a_thorough_search_finds() {
    let jobs = demo_jobs()
        .into_iter()
        .chain(made_jobs())
        .chain((0..12).map(random_job));
    let mut rows: BTreeMap<String, Vec<(f64, String)>> = BTreeMap::new();
    for job in jobs {
        let stacks = job.load.beams.len();
        let few = most_lost(&losses(&job, &sets::few(stacks)));
        for (name, most) in most_lost(&losses(&job, &sets::thorough(stacks))) {
            if most > 1e-4 {
                let part = few.get(&name).copied().unwrap_or(0.0) / most;
                let kind = if name.starts_with("gap") {
                    "gap".to_owned()
                } else {
                    kind(&name)
                };
                rows.entry(kind)
                    .or_default()
                    .push((part, format!("{}: {name}", job.name)));
            }
        }
    }
    for (kind, row) in &mut rows {
        row.sort_by(|a, b| a.0.total_cmp(&b.0));
        let low = row.iter().filter(|r| r.0 < 0.98).count();
        println!(
            "{kind:<20} of {:>4} figures {low:>4} below 0.98, median {:.3}",
            row.len(),
            row[row.len() / 2].0
        );
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

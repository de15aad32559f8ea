//! The check under a hand that drags beside the whole check, of every demo job as it is moved.

#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use keelstead::check::{check, check_as_drawn};
use keelstead::findings::{Finding, Findings};
use keelstead_demo_data::FILES;
use keelstead_files::source::Memory;
use keelstead_files::{OpenJob, Silent, open_job};
use keelstead_geometry::math::Point;
use keelstead_load::load::{Level, Load, Measured};
use keelstead_units::verdict::Verdict;

fn demo_jobs() -> Vec<OpenJob> {
    let demo = Memory::new(
        FILES
            .iter()
            .map(|(path, bytes)| ((*path).to_owned(), bytes.to_vec())),
    );
    let jobs = FILES.iter().filter(|(path, _)| path.starts_with("jobs/"));
    jobs.map(|(path, _)| open_job(&demo, path, &Silent).unwrap())
        .collect()
}

/// The load as it is, and moved a little each way.
fn moved(load: &Load) -> impl Iterator<Item = Load> + '_ {
    [0.0, 0.013, -0.2, 0.6].into_iter().map(|by| {
        let mut load = load.clone();
        load.stand.x_m += by;
        load
    })
}

fn foul(findings: &Findings) -> BTreeSet<&str> {
    let foul = findings.list.iter().filter(|f| f.verdict == Verdict::Foul);
    foul.map(|f| f.id.as_str()).collect()
}

#[test]
fn under_a_hand_she_stands_where_she_stands_and_nothing_reads_as_clear() {
    for job in demo_jobs() {
        for load in moved(&job.job.load) {
            let at = (&job.path, load.stand.x_m);
            let drawn = check_as_drawn(&job.hull, &job.rig, &load);
            let whole = check(&job.hull, &job.rig, &load);
            assert!(drawn.pending && !whole.pending, "{at:?}");
            assert!(drawn.verdict <= Verdict::Pending, "{at:?}");
            let reads = drawn.list.iter().map(|f| f.verdict).max();
            assert_eq!(reads, Some(Verdict::Pending), "{at:?}");
            assert!(drawn.list.iter().all(|f| f.tolerance.is_none()), "{at:?}");
            let apart = |a: Point, b: Point| (a.vec() - b.vec()).length();
            let [here, there] = [&drawn, &whole].map(|f| f.trailer_from_hull);
            assert!(apart(here.translation, there.translation) < 1e-9, "{at:?}");
            assert!((drawn.trim_rad - whole.trim_rad).abs() < 1e-9, "{at:?}");
            assert_eq!(drawn.pads, whole.pads, "{at:?}");
            for (a, b) in drawn.carrying.iter().zip(&whole.carrying) {
                for (a, b) in a.supports.iter().zip(&b.supports) {
                    assert!((a.load_n - b.load_n).abs() < 1e-3, "{at:?}");
                    assert!(a.is_pending() && !b.is_pending(), "{at:?}");
                }
            }
        }
    }
}

#[test]
fn what_is_foul_as_drawn_is_foul_and_found_the_same() {
    for job in demo_jobs() {
        for load in moved(&job.job.load) {
            let at = (&job.path, load.stand.x_m);
            let drawn = check_as_drawn(&job.hull, &job.rig, &load);
            let whole = check(&job.hull, &job.rig, &load);
            assert_eq!(foul(&drawn), foul(&whole), "{at:?}");
            let found = |f: &Finding| f.found.map(|q| q.value);
            for one in &drawn.list {
                // With the tolerances another check may govern a beam, or another part come nearest.
                let other = whole.finding(&one.id).filter(|o| o.title == one.title);
                let Some(other) = other else { continue };
                let (Some(a), Some(b)) = (found(one), found(other)) else {
                    continue;
                };
                let off = 1e-6 * b.abs().max(1.0);
                // A gap is told where it is the least, and with the tolerances where they leave the least of it.
                let same = if one.id.starts_with("gap:") {
                    a <= b + off
                } else {
                    (a - b).abs() <= off
                };
                assert!(same, "{at:?} {}: {a} {b}", one.id);
            }
        }
    }
}

#[test]
fn what_was_measured_or_is_out_of_range_is_checked_whole_at_once() {
    let job = &demo_jobs()[0];
    let mut measured = job.job.load.clone();
    measured.measured.push(Measured::Height {
        name: "stem".into(),
        at: Point::new(1.0, 0.0, 1.0),
        over: Level::Ground,
        height_m: 2.0,
        tolerance_m: 0.005,
    });
    let mut wrong = job.job.load.clone();
    wrong.required.placing_tolerance_m = f64::NAN;
    for load in [measured, wrong] {
        let drawn = check_as_drawn(&job.hull, &job.rig, &load);
        assert!(!drawn.pending);
        let whole = check(&job.hull, &job.rig, &load);
        assert_eq!(format!("{drawn:?}"), format!("{whole:?}"));
    }
}

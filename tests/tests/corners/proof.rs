//! That the search itself finds what is wrong, and that its shortcuts are none.

use keelstead::findings::{Finding, Findings, Place};
use keelstead_boat::hull::PartKind;
use keelstead_geometry::math::Vec3;
use keelstead_load::load::{BlockOrientation, PlacedBeam, PlacedBlock, Seat};
use keelstead_load::rig::Member;
use keelstead_load::rig_parts::trailer_from_frame;

use crate::search::claims::kind;
use crate::search::job::{Job, demo_jobs};
use crate::search::judge::judge_said;
use crate::search::moved::{Corner, How, Mover, reshaped};
use crate::search::outcome::{Failure, What};
use crate::search::random::Random;
use crate::search::sets;
use crate::search::stated::exact;

/// Petrel as she stood in the demo when the figures below were reckoned.
fn petrel() -> Job {
    let mut job = Job::demo("petrel-easy");
    job.load.stand.x_m = -11.2;
    let stack = |pocket, block: Option<&str>, shim_m, wedge_rad| PlacedBeam {
        beam: "oak 10 x 9".into(),
        seat: Seat::Pocket(pocket),
        stack: block.into_iter().map(flat).collect(),
        stack_y_m: 0.0,
        shim_m,
        wedge_rad,
        wanted_share: None,
        soft_packing_n_per_m: None,
    };
    job.load.beams = vec![
        stack(12, None, 0.044, 0.0),
        stack(10, Some("oak 2 x 8"), 0.009, 0.025),
        stack(8, Some("oak 6 x 8"), 0.030, 0.165),
    ];
    job
}

fn flat(block: &str) -> PlacedBlock {
    PlacedBlock {
        block: block.into(),
        lie: BlockOrientation::Flat,
    }
}

/// What an engine would say that took every measurement as exact.
fn said_as_if_exact(job: &Job) -> Findings {
    exact(job).check()
}

#[test]
fn an_engine_that_takes_measurements_as_exact_is_found_out() {
    let job = under_the_bow(petrel(), 0.046);
    let corners = sets::few(job.load.beams.len());
    let outcome = judge_said(&job, &said_as_if_exact(&job), &corners, How::AtTheSeat);
    let found: Vec<String> = outcome
        .failures
        .iter()
        .filter(|f| f.what == What::ClearButFoul)
        .map(|f| kind(&f.id))
        .collect();
    for of in ["gap", "strength:beam", "support"] {
        assert!(found.iter().any(|k| k == of), "{of} not among {found:?}");
    }
}

#[test]
fn an_engine_that_takes_measurements_as_ten_times_worse_is_found_out() {
    let job = petrel();
    let mut unsure = job.clone();
    unsure.load.required.placing_tolerance_m *= 10.0;
    unsure.rig.tolerance_m *= 10.0;
    let corners = sets::few(job.load.beams.len());
    let outcome = judge_said(&job, &unsure.check(), &corners, How::AtTheSeat);
    let never = |f: &&Failure| f.what == What::TightButNever;
    let found: Vec<String> = outcome
        .failures
        .iter()
        .filter(never)
        .map(|f| kind(&f.id))
        .collect();
    assert!(found.iter().any(|k| k == "gap"), "{found:?}");
}

/// The job with a member across the rig under the bow, this far from the skin.
fn under_the_bow(mut job: Job, gap_m: f64) -> Job {
    const DEEP_M: f64 = 0.1;
    let pose = job.check().trailer_from_hull.pose();
    let body = job.hull.body_bounds();
    let x = body.maxs.x - 0.5;
    let bodies = job.hull.parts.iter().filter(|p| p.kind == PartKind::Body);
    let z = bodies
        .filter_map(|p| p.mesh.lowest_surface(x, 0.0))
        .reduce(f64::min)
        .unwrap();
    let at =
        trailer_from_frame(&job.rig, job.load.rail_top_m).inverse() * (pose * Vec3::new(x, 0.0, z));
    let mut down_m = gap_m;
    // The skin slopes: the member goes down until the gap is as asked.
    for _ in 0..20 {
        let middle = at - Vec3::Z * (down_m + DEEP_M / 2.0);
        job.rig.members.retain(|m| m.name != UNDER);
        job.rig.members.push(Member {
            name: UNDER.into(),
            from: (middle - Vec3::Y * 0.3).into(),
            to: (middle + Vec3::Y * 0.3).into(),
            width_m: 0.1,
            depth_m: DEEP_M,
        });
        let findings = job.check();
        let ends_with = |f: &&Finding| f.id.starts_with("gap") && f.id.ends_with(UNDER);
        let found_m = findings
            .list
            .iter()
            .find(ends_with)
            .and_then(|f| f.found)
            .unwrap()
            .value;
        down_m += gap_m - found_m;
    }
    job
}

const UNDER: &str = "member under the bow";

/// A member 46 mm from Petrel's bow, where 25 mm are asked: within what was stated it is far nearer. The first figure is
/// that of an independent reckoning with the keel 5 mm off at the end stacks.
#[test]
fn a_member_under_petrels_bow() {
    let job = under_the_bow(petrel(), 0.046);
    let mover = Mover::new(&job);
    let lowest = Corner {
        heights: vec![1.0, 0.0, -1.0],
        ..Corner::middle(3)
    };
    let at = |part: f64| {
        let findings = mover.at(&lowest.times(part), How::AtTheSeat).check();
        let found = findings
            .list
            .iter()
            .find(|f| f.id.ends_with(UNDER))
            .unwrap();
        found.found.unwrap().value
    };
    let (keel_off_m, all_off_m) = (at(5.0 / 11.0), at(1.0));
    assert!(
        (keel_off_m - 0.0257).abs() < 0.002,
        "{keel_off_m} m with the keel off"
    );
    assert!(
        all_off_m < 0.005,
        "{all_off_m} m with rig and stacks off too"
    );
}

/// Petrel with her stacks 1 mm too high, too low and too high, 150 mm farther forward and 250 kg heavier than stated: all
/// within what was stated. The loads come from an independent reckoning.
#[test]
fn petrel_within_her_own_tolerances() {
    let job = petrel();
    let mut moved = exact(&job);
    for (beam, off_m) in moved.load.beams.iter_mut().zip([0.001, -0.001, 0.001]) {
        beam.shim_m += off_m;
    }
    moved.hull.centre.as_mut().unwrap().at.x_m += 0.150;
    moved.hull.mass.as_mut().unwrap().mass_kg += 250.0;
    let carrying = moved.check().carrying.unwrap();
    let [aft, middle, fore] = [0, 1, 2].map(|i| carrying.supports[i].load_n);
    assert!((fore - 37.0e3).abs() < 0.5e3, "{fore} N forward");
    assert_eq!(middle, 0.0);
    assert!(aft > 0.0);
}

/// Loads, trim and gaps with each measurement moved in its own document (vertices of the hull, sills of pockets, shims)
/// are those with all of them moved at the seats.
#[test]
fn heights_moved_at_the_seat_are_those_moved_each_in_its_document() {
    let mut random = Random::new(1);
    for job in demo_jobs() {
        let mover = Mover::new(&job);
        for corner in sets::anywhere(job.load.beams.len(), 4, &mut random) {
            let [seat, each] =
                [How::AtTheSeat, How::Each].map(|how| mover.at(&corner, how).check());
            let says = corner.says(&mover.stated);
            alike(&job.name, &says, &seat, &each);
        }
    }
}

fn alike(job: &str, corner: &str, seat: &Findings, each: &Findings) {
    let height = |f: &Findings| f.trailer_from_hull.translation.z_m;
    let off_m = (height(seat) - height(each)).abs();
    let turned_rad = (seat.trim_rad - each.trim_rad).abs();
    assert!(
        off_m < 0.5e-3,
        "{job} at {corner}: {off_m} m higher or lower"
    );
    assert!(
        turned_rad < 0.2e-3,
        "{job} at {corner}: turned by {turned_rad} rad"
    );
    // Timber that is bedded over a few millimetres of slope shares a little otherwise.
    const SHARE: f64 = 0.02;
    let of = |f: &Findings| f.carrying.clone();
    let (Some(seat), Some(each)) = (of(seat), of(each)) else {
        return;
    };
    for (a, b) in seat.supports.iter().zip(&each.supports) {
        let apart_n = (a.load_n - b.load_n).abs();
        assert!(
            apart_n < SHARE * seat.weight_n,
            "{job} at {corner}: {} N and {} N",
            a.load_n,
            b.load_n
        );
    }
}

/// A part of the rig moved towards the boat, and her skin moved towards the part, close the gap by just so much: asking for
/// more is the same.
#[test]
fn asking_for_more_is_moving_the_part_nearer() {
    const RIG_M: f64 = 0.004;
    const SHAPE_M: f64 = 0.003;
    let job = exact(&petrel());
    let before = job.check();
    let mut tried = 0;
    for finding in before.list.iter().filter(|f| kind(&f.id) == "gap") {
        let Some(Place::Between { hull, rig }) = finding.place else {
            continue;
        };
        let away = (hull.vec() - rig.vec()).normalize();
        let mut moved = job.clone();
        if !move_part(&mut moved, finding, away * RIG_M) {
            continue;
        }
        let pose = before.trailer_from_hull.pose();
        let (at, towards) = (pose.inverse() * hull.vec(), pose.rotation.inverse() * -away);
        moved.hull = reshaped(&job.hull, &|v| {
            let out = ((v - at).length() / 0.5 - 1.0).clamp(0.0, 1.0);
            towards * SHAPE_M * (0.5 + 0.5 * (std::f64::consts::PI * out).cos())
        });
        let found = |f: &Finding| f.found.unwrap().value;
        let after = moved.check();
        let Some(now) = after.finding(&finding.id) else {
            continue;
        };
        let closed_m = found(finding) - found(now);
        assert!(
            (closed_m - RIG_M - SHAPE_M).abs() < 0.2e-3,
            "{}: closed by {closed_m} m",
            finding.id
        );
        tried += 1;
    }
    assert!(tried >= 3, "only {tried} parts tried");
}

/// Moves the member or mudguard of a gap, the frame being level; false where it is another part.
fn move_part(job: &mut Job, finding: &Finding, by: Vec3) -> bool {
    let name = finding.id.splitn(3, ':').nth(2).unwrap_or_default();
    if let Some(member) = job.rig.members.iter_mut().find(|m| m.name == name) {
        member.from = (member.from.vec() + by).into();
        member.to = (member.to.vec() + by).into();
        return true;
    }
    if let Some(guard) = job.rig.mudguards.iter_mut().find(|g| g.name == name) {
        guard.min = (guard.min.vec() + by).into();
        guard.max = (guard.max.vec() + by).into();
        return true;
    }
    false
}

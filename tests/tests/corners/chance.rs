//! Jobs by chance.

use keelstead_geometry::math::Point;
use keelstead_load::load::{ExtraWeight, KeelHold, Seat};
use keelstead_units::verdict::Verdict;

use super::edge::at_the_edge;
use super::job::Job;
use super::plan::{Plan, stow_what_does_not_reach};
use super::random::Random;

/// A random job, the same for the same number on every machine: one that settles on all its stacks or nearly so, with
/// what is asked put at the edge of what is there.
pub fn random_job(number: u64) -> Job {
    let mut random = Random::new(number);
    loop {
        if let Some(job) = attempt(&mut random, number) {
            return job;
        }
    }
}

fn attempt(random: &mut Random, number: u64) -> Option<Job> {
    const LIKE: [&str; 5] = [
        "petrel-easy",
        "petrel-idle-block",
        "eider-too-high",
        "avocet-high-blocking",
        "gannet-pad-out-of-reach",
    ];
    let like = LIKE[random.one_of(LIKE.len())];
    let demo = Job::demo(like);
    let over_rail_m = demo.load.stand.wanted.map_or(-0.05, |w| w.keel_over_rail_m);
    let beam = demo.rig.beams[random.one_of(demo.rig.beams.len())]
        .name
        .clone();
    let x_m = demo.load.stand.x_m + random.within(-0.3, 0.3);
    let plan = Plan {
        name: &format!("random {number}"),
        like,
        beam: &beam,
        seats: &random_seats(&demo, x_m, random)?,
        x_m,
        over_rail_m: over_rail_m + random.within(-0.05, 0.1),
        trim_rad: random.within(-0.015, 0.015),
    };
    let mut job = plan.job()?;
    vary(&mut job, random);
    let settles = job
        .check()
        .carrying
        .is_some_and(|c| c.supports.iter().all(|s| s.gap_m.is_some()));
    if !settles {
        return None;
    }
    stow_what_does_not_reach(&mut job);
    at_the_edge(&mut job, random.within(0.01, 0.3));
    let findings = job.check();
    // Of what is foul anyway nothing can be proven.
    let clear = findings
        .list
        .iter()
        .filter(|f| f.verdict == Verdict::Clear)
        .count();
    (clear >= 10).then_some(job)
}

/// Two to five pockets with the weight between them.
fn random_seats(demo: &Job, x_m: f64, random: &mut Random) -> Option<Vec<Seat>> {
    let weight_x_m = x_m + demo.hull.centre?.at.x_m;
    let count = 2 + random.one_of(4);
    let pockets = &demo.rig.rails.pockets;
    let near = |i: &usize| (pockets[*i].x_m - weight_x_m).abs() < 3.5;
    let mut left: Vec<usize> = (0..pockets.len()).filter(near).collect();
    let mut chosen = Vec::new();
    while chosen.len() < count && !left.is_empty() {
        chosen.push(left.remove(random.one_of(left.len())));
    }
    chosen.sort_unstable();
    let ends = [*chosen.last()?, *chosen.first()?].map(|i| pockets[i].x_m);
    if chosen.len() < 2 || weight_x_m < ends[0] + 0.1 || weight_x_m > ends[1] - 0.1 {
        return None;
    }
    Some(chosen.iter().rev().map(|i| Seat::Pocket(i + 1)).collect())
}

/// Other tolerances, a hull that stands a little askew, weights on board, stacks that are a little off.
fn vary(job: &mut Job, random: &mut Random) {
    job.hull.shape_tolerance_m = random.within(0.001, 0.010);
    job.rig.tolerance_m = random.within(0.001, 0.008);
    let required = &mut job.load.required;
    required.placing_tolerance_m = random.within(0.002, 0.020);
    required.strength.stack_tolerance_m = random.within(0.0005, 0.003);
    required.steadying.keel_hold = match random.one_of(3) {
        0 => KeelHold::Friction,
        1 => KeelHold::Nothing,
        _ => KeelHold::Chocked,
    };
    if let Some(mass) = &mut job.hull.mass {
        mass.tolerance_kg *= random.within(0.2, 1.5);
    }
    if let Some(centre) = &mut job.hull.centre {
        centre.tolerance.x_m *= random.within(0.2, 1.2);
        centre.tolerance.y_m *= random.within(0.2, 1.5);
        centre.tolerance.z_m *= random.within(0.2, 1.5);
    }
    let stand = &mut job.load.stand;
    stand.y_m += random.within(-0.02, 0.02);
    stand.yaw_rad += random.within(-0.01, 0.01);
    stand.heel_rad += random.within(-0.01, 0.01);
    for beam in &mut job.load.beams {
        beam.stack_y_m += random.within(-0.02, 0.02);
        beam.shim_m = (beam.shim_m + random.within(-0.001, 0.001)).max(0.0);
    }
    for i in 0..random.one_of(3) {
        let reach = job.hull.bounds.maxs.x;
        job.load.extra_weights.push(ExtraWeight {
            name: format!("weight {i}"),
            mass_kg: random.within(20.0, 300.0),
            at: Point::new(
                random.within(0.0, reach * 0.6),
                random.within(-0.3, 0.3),
                random.within(0.5, 2.0),
            ),
        });
    }
}

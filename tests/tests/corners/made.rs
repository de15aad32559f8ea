//! Ten jobs beside the demo's, each for something that tolerances act through.

use keelstead_boat::hull::{PartKind, PartUse};
use keelstead_geometry::math::Point;
use keelstead_load::load::{ExtraWeight, KeelHold, Seat, TargetAttitude};

use super::edge::at_the_edge;
use super::job::Job;
use super::plan::{Plan, stow_what_does_not_reach};

/// How far over the edge of clear: a part of the stated tolerance.
const OVER: f64 = 0.03;

fn pockets(numbers: &[usize]) -> Vec<Seat> {
    numbers.iter().map(|n| Seat::Pocket(*n)).collect()
}

fn made(name: &str, like: &str, beam: &str, seats: &[Seat], change: impl Fn(&mut Job)) -> Job {
    let demo = Job::demo(like);
    let stance = demo.load.stand.wanted.unwrap_or(TargetAttitude {
        keel_over_rail_m: 0.0,
        trim_rad: 0.0,
    });
    // Room for shims under low boats; high ones as low as the stacks stay stout.
    let higher_m = if stance.keel_over_rail_m < 0.2 {
        0.03
    } else {
        -0.05
    };
    let plan = Plan {
        name,
        like,
        beam,
        seats,
        x_m: demo.load.stand.x_m,
        over_rail_m: stance.keel_over_rail_m + higher_m,
        trim_rad: stance.trim_rad,
    };
    let mut job = plan
        .job()
        .unwrap_or_else(|| panic!("{name} cannot be stacked"));
    change(&mut job);
    stow_what_does_not_reach(&mut job);
    at_the_edge(&mut job, OVER);
    job
}

/// The ten jobs.
pub fn made_jobs() -> Vec<Job> {
    let petrel = "petrel-easy";
    let eider = "eider-too-high";
    let avocet = "avocet-high-blocking";
    let gannet = "gannet-pad-out-of-reach";
    let weight = |name: &str, mass_kg: f64, at: [f64; 3]| ExtraWeight {
        name: name.to_owned(),
        mass_kg,
        at: Point::new(at[0], at[1], at[2]),
    };
    vec![
        made(
            "two stacks on top of the rails",
            avocet,
            "steel 6 x 4",
            &[Seat::OnRailsXM(-6.3), Seat::OnRailsXM(-4.6)],
            |_| (),
        ),
        made(
            "two stacks close together, far overhangs",
            petrel,
            "steel 6 x 8",
            &pockets(&[10, 9]),
            |_| (),
        ),
        made(
            "stacks half a metre apart, the board out of the boat",
            avocet,
            "steel 6 x 4",
            &pockets(&[8, 7]),
            |job| {
                for part in job
                    .hull
                    .parts
                    .iter_mut()
                    .filter(|p| p.kind == PartKind::Centreboard)
                {
                    part.part_use = PartUse::LeftOut;
                }
            },
        ),
        made(
            "three stacks on oak",
            petrel,
            "oak 8 x 8",
            &pockets(&[12, 10, 8]),
            |_| (),
        ),
        made(
            "four stacks, bilge water forward",
            eider,
            "steel 6 x 8",
            &pockets(&[13, 12, 10, 9]),
            |job| {
                job.load
                    .extra_weights
                    .push(weight("bilge water", 400.0, [4.0, 0.0, 0.5]));
            },
        ),
        made(
            "five stacks",
            eider,
            "oak 10 x 9",
            &pockets(&[13, 12, 11, 10, 9]),
            |_| (),
        ),
        made(
            "one stack a little low",
            petrel,
            "oak 10 x 9",
            &pockets(&[12, 10, 8]),
            |job| {
                job.load.beams[1].shim_m -= 0.002;
            },
        ),
        made(
            "boat and stacks off the middle, gear to port",
            petrel,
            "oak 10 x 9",
            &pockets(&[12, 9]),
            |job| {
                job.load.stand.y_m = 0.04;
                for beam in &mut job.load.beams {
                    beam.stack_y_m = 0.04;
                }
                job.load
                    .extra_weights
                    .push(weight("gear", 150.0, [2.0, 0.5, 2.0]));
            },
        ),
        made(
            "heeled and turned",
            avocet,
            "steel 6 x 4",
            &pockets(&[9, 6]),
            |job| {
                job.load.stand.heel_rad = 0.02;
                job.load.stand.yaw_rad = 0.015;
            },
        ),
        made(
            "a fin keel, the frame high",
            gannet,
            "steel 6 x 8",
            &pockets(&[10, 9]),
            |job| {
                job.load.rail_top_m += 0.1;
                job.load.required.steadying.keel_hold = KeelHold::Friction;
            },
        ),
    ]
}

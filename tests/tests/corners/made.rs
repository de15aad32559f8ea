//! Jobs beside the demo's: ten, each for something that tolerances act through, and random ones.

use keelstead::findings::{Finding, Verdict};
use keelstead::hull::{PartKind, PartUse};
use keelstead::load::{ExtraWeight, KeelHold, Lie, PlacedBeam, PlacedBlock, Seat, Stance};
use keelstead::math::Point;
use keelstead::rig::BlockStock;

use super::edge::at_the_edge;
use super::job::Job;
use super::claims::kind;
use super::random::Random;

/// How far over the edge of clear: a part of the stated tolerance.
const OVER: f64 = 0.03;

/// Where a job's stacks stand, and how the boat stands on them.
pub struct Plan<'a> {
    pub name: &'a str,
    /// The demo job whose boat, rig and pads are taken.
    pub like: &'a str,
    pub beam: &'a str,
    pub seats: &'a [Seat],
    pub x_m: f64,
    pub over_rail_m: f64,
    pub trim_rad: f64,
}

impl Plan<'_> {
    /// The boat on stacks that all meet her keel at the stance planned, flat; none where that cannot be stacked.
    pub fn job(&self) -> Option<Job> {
        let mut job = Job::demo(self.like);
        job.name = self.name.to_owned();
        job.load.stand.x_m = self.x_m;
        stacked(&mut job, self).then_some(job)
    }
}

/// Stacks blocks of just the height needed, shims and wedges of their own.
fn stacked(job: &mut Job, plan: &Plan) -> bool {
    /// What is left to shims, m: enough to be moved either way.
    const SHIMS_M: f64 = 0.02;
    /// Highest stack, in widths of a block.
    const MOST_SLENDER: f64 = 2.9;
    job.load.stand.wanted = Some(Stance {
        keel_over_rail_m: plan.over_rail_m,
        trim_rad: plan.trim_rad,
    });
    for stock in job.rig.beams.iter_mut().filter(|b| b.name == plan.beam) {
        stock.count = stock.count.max(plan.seats.len());
    }
    let bare = |seat: &Seat| PlacedBeam {
        beam: plan.beam.to_owned(),
        seat: *seat,
        stack: Vec::new(),
        stack_y_m: job.load.stand.y_m,
        shim_m: 0.0,
        wedge_rad: 0.0,
        wanted_share: None,
        soft_packing_n_per_m: None,
    };
    job.load.beams = plan.seats.iter().map(bare).collect();
    let findings = job.check();
    let steepest = job.rig.packing.wedge_rad.unwrap_or(0.0);
    for (beam, support) in job.load.beams.iter_mut().zip(&findings.supports) {
        let Some(slope) = keel_slope(&job.hull, support.top.x_m - job.load.stand.x_m) else {
            return false;
        };
        beam.wedge_rad = (slope.atan() + plan.trim_rad).clamp(-steepest, steepest);
    }
    let findings = job.check();
    let like = job.rig.blocks[0].clone();
    for (i, support) in findings.supports.iter().enumerate() {
        let Some(needed_m) = support.needed_height_m.filter(|m| *m > SHIMS_M) else {
            return false;
        };
        let placed = &mut job.load.beams[i];
        let blocks_m = needed_m - SHIMS_M;
        if blocks_m < 0.03 {
            placed.shim_m = needed_m;
            continue;
        }
        if needed_m > MOST_SLENDER * like.width_m {
            return false;
        }
        let count = (blocks_m / like.width_m).ceil() as usize;
        let name = format!("made {i}");
        job.rig.blocks.push(BlockStock {
            name: name.clone(),
            count,
            thickness_m: blocks_m / count as f64,
            ..like.clone()
        });
        let block = PlacedBlock {
            block: name,
            lie: Lie::Flat,
        };
        placed.stack = vec![block; count];
        placed.shim_m = SHIMS_M;
    }
    let findings = job.check();
    let contradicts = |f: &Finding| kind(&f.id) == "input";
    let flat = |f: &Finding| kind(&f.id) != "wedge";
    findings.supports.len() == plan.seats.len()
        && !findings.list.iter().any(contradicts)
        && findings.list.iter().all(flat)
}

/// Pads that do not reach the boat, or not flat, steady nothing: they are stowed.
fn stow_what_does_not_reach(job: &mut Job) {
    let findings = job.check();
    let fits = |pad: &str| {
        let finding = findings.finding(&format!("pad:{pad}"));
        finding.is_none_or(|f| f.verdict != Verdict::Foul)
    };
    job.load.pads.retain(|setting| fits(&setting.pad));
}

/// Rise forward of the keel over the length of a block, hull frame.
fn keel_slope(hull: &keelstead::hull::Hull, x_m: f64) -> Option<f64> {
    const HALF_M: f64 = 0.1;
    let at = |x: f64| {
        let line = &hull.keel_line;
        let next = line.iter().position(|p| p.x_m >= x).filter(|i| *i > 0)?;
        let (a, b) = (line[next - 1], line[next]);
        let part = (x - a.x_m) / (b.x_m - a.x_m);
        Some(a.z_m? + part * (b.z_m? - a.z_m?))
    };
    let (aft, middle, fore) = (at(x_m - HALF_M)?, at(x_m)?, at(x_m + HALF_M)?);
    // Where one part of the keel ends over a stack, nothing lies flat.
    ((aft + fore - 2.0 * middle).abs() < 0.01).then_some((fore - aft) / (2.0 * HALF_M))
}

fn pockets(numbers: &[usize]) -> Vec<Seat> {
    numbers.iter().map(|n| Seat::Pocket(*n)).collect()
}

fn made(name: &str, like: &str, beam: &str, seats: &[Seat], change: impl Fn(&mut Job)) -> Job {
    let demo = Job::demo(like);
    let stance = demo.load.stand.wanted.unwrap_or(Stance {
        keel_over_rail_m: 0.0,
        trim_rad: 0.0,
    });
    // Room for shims under low boats; high ones as low as the stacks stay stout.
    let higher_m = if stance.keel_over_rail_m < 0.2 { 0.03 } else { -0.05 };
    let plan = Plan {
        name,
        like,
        beam,
        seats,
        x_m: demo.load.stand.x_m,
        over_rail_m: stance.keel_over_rail_m + higher_m,
        trim_rad: stance.trim_rad,
    };
    let mut job = plan.job().unwrap_or_else(|| panic!("{name} cannot be stacked"));
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
        made("two stacks on top of the rails", avocet, "steel 6 x 4", &[Seat::OnRailsXM(-6.3), Seat::OnRailsXM(-4.6)], |_| ()),
        made("two stacks close together, far overhangs", petrel, "steel 6 x 8", &pockets(&[10, 9]), |_| ()),
        made("stacks half a metre apart, the board out of the boat", avocet, "steel 6 x 4", &pockets(&[8, 7]), |job| {
            for part in job.hull.parts.iter_mut().filter(|p| p.kind == PartKind::Centreboard) {
                part.part_use = PartUse::LeftOut;
            }
        }),
        made("three stacks on oak", petrel, "oak 8 x 8", &pockets(&[12, 10, 8]), |_| ()),
        made("four stacks, bilge water forward", eider, "steel 6 x 8", &pockets(&[13, 12, 10, 9]), |job| {
            job.load.extra_weights.push(weight("bilge water", 400.0, [4.0, 0.0, 0.5]));
        }),
        made("five stacks", eider, "oak 10 x 9", &pockets(&[13, 12, 11, 10, 9]), |_| ()),
        made("one stack a little low", petrel, "oak 10 x 9", &pockets(&[12, 10, 8]), |job| {
            job.load.beams[1].shim_m -= 0.002;
        }),
        made("boat and stacks off the middle, gear to port", petrel, "oak 10 x 9", &pockets(&[12, 9]), |job| {
            job.load.stand.y_m = 0.04;
            for beam in &mut job.load.beams {
                beam.stack_y_m = 0.04;
            }
            job.load.extra_weights.push(weight("gear", 150.0, [2.0, 0.5, 2.0]));
        }),
        made("heeled and turned", avocet, "steel 6 x 4", &pockets(&[9, 6]), |job| {
            job.load.stand.heel_rad = 0.02;
            job.load.stand.yaw_rad = 0.015;
        }),
        made("a fin keel, the frame high", gannet, "steel 6 x 8", &pockets(&[10, 9]), |job| {
            job.load.rail_top_m += 0.1;
            job.load.required.steadying.keel_hold = KeelHold::Friction;
        }),
    ]
}

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
    let beam = demo.rig.beams[random.one_of(demo.rig.beams.len())].name.clone();
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
    let settles = job.check().carrying.is_some_and(|c| c.supports.iter().all(|s| s.gap_m.is_some()));
    if !settles {
        return None;
    }
    stow_what_does_not_reach(&mut job);
    at_the_edge(&mut job, random.within(0.01, 0.3));
    let findings = job.check();
    // Of what is foul anyway nothing can be proven.
    let clear = findings.list.iter().filter(|f| f.verdict == Verdict::Clear).count();
    (clear >= 10).then_some(job)
}

/// Two to five pockets, or places on the rails, with the weight between them.
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
            at: Point::new(random.within(0.0, reach * 0.6), random.within(-0.3, 0.3), random.within(0.5, 2.0)),
        });
    }
}

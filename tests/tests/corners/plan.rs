//! A boat of the demo on stacks that fit her.

use keelstead::findings::Finding;
use keelstead_boat::hull::Hull;
use keelstead_load::load::{BlockOrientation, PlacedBeam, PlacedBlock, Seat, TargetAttitude};
use keelstead_load::rig::BlockStock;
use keelstead_units::verdict::Verdict;

use super::claims::kind;
use super::job::Job;

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
    job.load.stand.wanted = Some(TargetAttitude {
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
            lie: BlockOrientation::Flat,
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
pub fn stow_what_does_not_reach(job: &mut Job) {
    let findings = job.check();
    let fits = |pad: &str| {
        let finding = findings.finding(&format!("pad:{pad}"));
        finding.is_none_or(|f| f.verdict != Verdict::Foul)
    };
    job.load.pads.retain(|setting| fits(&setting.pad));
}

/// Rise forward of the keel over the length of a block, hull frame.
fn keel_slope(hull: &Hull, x_m: f64) -> Option<f64> {
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

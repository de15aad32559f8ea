//! The documents with every measurement moved.

use std::sync::Arc;

use keelstead_boat::hull::{Hull, HullFacts, HullPart};
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_geometry::mesh::Mesh;
use keelstead_load::load::Seat;

use super::job::Job;
use super::stated::{Stated, exact};

/// A place in the box of the tolerances: each entry is a part of its own tolerance, from -1 to 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Corner {
    /// Height of each stack of the load against the keel over it.
    pub heights: Vec<f64>,
    pub mass: f64,
    /// Centre of gravity forward, to port and up.
    pub centre: [f64; 3],
    /// Where the hull is put: forward and to port.
    pub placing: [f64; 2],
    /// Heeled to starboard.
    pub heel: f64,
    /// How much of what rig parts may be nearer, and the hull larger, at the place of each gap: from 0 to 1.
    pub near: f64,
}

impl Corner {
    /// Everything as stated, for a load of so many stacks.
    pub fn middle(stacks: usize) -> Self {
        Self {
            heights: vec![0.0; stacks],
            mass: 0.0,
            centre: [0.0; 3],
            placing: [0.0; 2],
            heel: 0.0,
            near: 0.0,
        }
    }

    /// Every deviation so many times as great.
    #[must_use]
    pub fn times(&self, by: f64) -> Self {
        Self {
            heights: self.heights.iter().map(|h| h * by).collect(),
            mass: self.mass * by,
            centre: self.centre.map(|c| c * by),
            placing: self.placing.map(|p| p * by),
            heel: self.heel * by,
            near: self.near * by,
        }
    }

    /// As a reader would say it.
    pub fn says(&self, stated: &Stated) -> String {
        let mut says = Vec::new();
        let mm = |m: f64| format!("{:+.1}", m * 1e3);
        if self.heights.iter().any(|h| *h != 0.0) {
            let each: Vec<_> = self
                .heights
                .iter()
                .map(|h| mm(h * stated.height_m()))
                .collect();
            says.push(format!("stacks {} mm", each.join("/")));
        }
        if self.mass != 0.0 {
            says.push(format!("{:+.0} kg", self.mass * stated.mass_kg));
        }
        let mut length = |what: &str, part: f64, of_m: f64| {
            if part * of_m != 0.0 {
                says.push(format!("{what} {} mm", mm(part * of_m)));
            }
        };
        length("centre forward", self.centre[0], stated.centre_m[0]);
        length("centre to port", self.centre[1], stated.centre_m[1]);
        length("centre up", self.centre[2], stated.centre_m[2]);
        length("placed forward", self.placing[0], stated.placing_m);
        length("placed to port", self.placing[1], stated.placing_m);
        length("parts nearer by", self.near, stated.near_m());
        if self.heel * stated.heel_rad != 0.0 {
            says.push(format!("heel {:+.4} rad", self.heel * stated.heel_rad));
        }
        if says.is_empty() {
            says.push("as stated".into());
        }
        says.join(", ")
    }
}

/// How heights are moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// Shape, rig and stack as one, at the seat of the beam: no new mesh.
    AtTheSeat,
    /// Each in its own document: vertices over the stack, the sill of its pocket, the shims on it.
    Each,
}

/// A job and what is stated of it, ready to be moved often.
pub struct Mover {
    pub stated: Stated,
    exact: Job,
    /// Station of each stack's top on the hull, m, and half its length, by beam of the load.
    tops: Vec<[f64; 2]>,
    /// Contradictions in the documents as they stand.
    pub inputs: Vec<String>,
}

impl Mover {
    pub fn new(job: &Job) -> Self {
        let stated = Stated::of(job);
        let mut exact = exact(job);
        // A wish about how she ought to stand is none of a measurement's: it is judged for the documents as drawn.
        exact.load.stand.wanted = None;
        Self {
            tops: tops(job),
            inputs: job
                .check()
                .list
                .into_iter()
                .map(|f| f.id)
                .filter(|id| id.starts_with("input"))
                .collect(),
            stated,
            exact,
        }
    }

    pub fn stacks(&self) -> usize {
        self.exact.load.beams.len()
    }

    /// The documents at a corner, nothing in them said to be off.
    pub fn at(&self, corner: &Corner, how: How) -> Job {
        let stated = &self.stated;
        let mut job = self.exact.clone();
        match how {
            How::AtTheSeat => {
                for (i, part) in corner.heights.iter().enumerate() {
                    raise_seat(&mut job, i, part * stated.height_m());
                }
            }
            How::Each => {
                for (i, part) in corner.heights.iter().enumerate() {
                    raise_seat(&mut job, i, part * stated.rig_m);
                    raise_stack(&mut job, i, part * stated.stack_m);
                }
                let fuller = |i: usize| corner.heights[i] * stated.shape_m;
                job.hull = bumped(&job.hull, &self.tops, &fuller);
            }
        }
        if let Some(mass) = &mut job.hull.mass {
            mass.mass_kg += corner.mass * stated.mass_kg;
        }
        if let Some(centre) = &mut job.hull.centre {
            centre.at.x_m += corner.centre[0] * stated.centre_m[0];
            centre.at.y_m += corner.centre[1] * stated.centre_m[1];
            centre.at.z_m += corner.centre[2] * stated.centre_m[2];
        }
        job.load.stand.x_m += corner.placing[0] * stated.placing_m;
        job.load.stand.y_m += corner.placing[1] * stated.placing_m;
        job.load.stand.heel_rad += corner.heel * stated.heel_rad;
        nearer(&mut job, stated, corner.near);
        job
    }
}

/// A part of the rig nearer by so much, or a hull fuller there, is what asking so much more of the gap is: the distance
/// of two shapes shrinks by exactly what one of them is moved along it. `corners.rs` proves it with moved parts.
fn nearer(job: &mut Job, stated: &Stated, part: f64) {
    let near_m = part * stated.near_m();
    let required = &mut job.load.required;
    for gap_m in [
        &mut required.tyre_gap_m,
        &mut required.mudguard_gap_m,
        &mut required.frame_gap_m,
        &mut required.tractor_gap_m,
        &mut required.ground_gap_m,
        &mut required.appendage_gap_m,
    ] {
        *gap_m += near_m;
    }
    // A boat higher and wider all round is a lower and narrower limit.
    if let Some(limit_m) = &mut required.overall_height_m {
        *limit_m -= part * stated.top_m;
    }
    if let Some(limit_m) = &mut required.overall_width_m {
        *limit_m -= part * stated.width_m;
    }
    for zone in &mut job.hull.marks.keep_offs {
        for (min, max) in [
            (&mut zone.min.x_m, &mut zone.max.x_m),
            (&mut zone.min.y_m, &mut zone.max.y_m),
            (&mut zone.min.z_m, &mut zone.max.z_m),
        ] {
            *min -= near_m;
            *max += near_m;
        }
    }
}

/// Raises the seat of a beam: the sill of its pocket, or the shims of one that lies on the rails.
fn raise_seat(job: &mut Job, beam: usize, by_m: f64) {
    match job.load.beams[beam].seat {
        Seat::Pocket(number) => {
            if let Some(pocket) = number
                .checked_sub(1)
                .and_then(|n| job.rig.rails.pockets.get_mut(n))
            {
                pocket.sill_below_top_m -= by_m;
                // A sill lies no lower than its rail is deep.
                let depth_m = &mut job.rig.rails.depth_m;
                *depth_m = depth_m.max(pocket.sill_below_top_m);
            }
        }
        Seat::OnRailsXM(_) => raise_stack(job, beam, by_m),
    }
}

fn raise_stack(job: &mut Job, beam: usize, by_m: f64) {
    let seat = job.load.beams[beam].seat;
    let shim_m = &mut job.load.beams[beam].shim_m;
    if *shim_m + by_m >= 0.0 {
        *shim_m += by_m;
    } else {
        // There is no shim to take out: a lower sill is the same stack.
        assert!(
            matches!(seat, Seat::Pocket(_)),
            "{}: a stack on the rails needs shims of {} m to be moved",
            job.name,
            -by_m
        );
        raise_seat(job, beam, by_m);
    }
    let most = &mut job.rig.packing.shims_at_most_m;
    *most = most.max(job.load.beams[beam].shim_m);
}

/// Station of each stack's top on the hull, and half its length, m; by beam of the load.
fn tops(job: &Job) -> Vec<[f64; 2]> {
    use keelstead_load::rig_parts::{top_face, trailer_from_frame};
    let frame = trailer_from_frame(&job.rig, job.load.rail_top_m);
    let hull_from_frame: Pose = job.check().trailer_from_hull.pose().inverse() * frame;
    let top = |placed| {
        let face = top_face(&job.rig, placed)?;
        Some([(hull_from_frame * face.middle).x, face.half_length_m])
    };
    let beams = job.load.beams.iter();
    beams.map(|b| top(b).unwrap_or([f64::MAX, 0.0])).collect()
}

/// The hull with its surface moved down over each stack by what `fuller` says of the stack, m: evenly over its top and a
/// little beyond, fading smoothly to the neighbours.
fn bumped(hull: &Hull, tops: &[[f64; 2]], fuller: &dyn Fn(usize) -> f64) -> Hull {
    let down_m = |x: f64| {
        let each = (0..tops.len()).map(|i| fuller(i) * window(tops, i, x));
        each.sum::<f64>()
    };
    reshaped(hull, &|at| Vec3::new(0.0, 0.0, -down_m(at.x)))
}

/// One over a stack's top and nought over its neighbours'.
fn window(tops: &[[f64; 2]], i: usize, x: f64) -> f64 {
    /// How far beyond the top's ends the surface is moved evenly, so that it still is where the hull is put otherwise, m.
    const BEYOND_M: f64 = 0.06;
    let [middle, half] = tops[i];
    let flat_m = half + BEYOND_M;
    let fade_m = tops
        .iter()
        .filter(|[other, _]| *other != middle)
        .map(|[other, other_half]| (other - middle).abs() - flat_m - other_half - BEYOND_M)
        .fold(0.5, f64::min)
        .max(1e-3);
    let out = ((x - middle).abs() - flat_m).max(0.0) / fade_m;
    if out >= 1.0 {
        0.0
    } else {
        0.5 + 0.5 * (std::f64::consts::PI * out).cos()
    }
}

/// The hull with every vertex moved; what is known besides its surface stays.
pub fn reshaped(hull: &Hull, by: &dyn Fn(Vec3) -> Vec3) -> Hull {
    let moved = |part: &HullPart| {
        let vertices = part.mesh.vertices().iter().map(|v| *v + by(*v)).collect();
        HullPart {
            mesh: Arc::new(Mesh::new(vertices, part.mesh.triangles().to_vec()).unwrap()),
            ..part.clone()
        }
    };
    let facts = HullFacts {
        mass: hull.mass,
        centre: hull.centre,
        shape_tolerance_m: hull.shape_tolerance_m,
        marks: hull.marks.clone(),
        bending_n_m2: hull.bending_n_m2,
        taped: hull.taped,
    };
    let parts = hull.parts.iter().map(moved).collect();
    let mut new = Hull::new(hull.name.clone(), parts, facts).unwrap();
    new.weighed = hull.weighed.clone();
    new
}

//! What was stated of each measurement, and how far off it may be.

use keelstead_boat::hull::HullPart;
use keelstead_geometry::math::Vec3;
use keelstead_load::load::Required;
use keelstead_load::rig_parts::RigPartKind;

use super::job::Job;

/// How far off each measurement of a job may be.
///
/// All that is known here of where the documents keep their tolerances: a new one is added here, in [`exact`], and in
/// `moved.rs`.
#[derive(Debug, Clone)]
pub struct Stated {
    /// The surface, along its normal, m.
    pub shape_m: f64,
    /// Every part of the rig, m.
    pub rig_m: f64,
    /// Height of a stack, m.
    pub stack_m: f64,
    /// Where the hull is put, fore and aft and sideways, m.
    pub placing_m: f64,
    /// How upright she is set, rad.
    pub heel_rad: f64,
    /// The boat's mass, kg; nought if it is not known.
    pub mass_kg: f64,
    /// Her centre of gravity, m; nought if it is not known.
    pub centre_m: [f64; 3],
    /// How far the highest point may be higher whatever the pose, m: it is the boat's or the trailer's.
    pub top_m: f64,
    /// How much wider the whole may be whatever the pose, m.
    pub width_m: f64,
}

impl Stated {
    pub fn of(job: &Job) -> Self {
        let required = &job.load.required;
        let shape_m = job.hull.shape_tolerance_m;
        let rig_m = job.rig.tolerance_m;
        let [top, port, starboard] = boat_reaches_farthest(job);
        let off_m = |boat: bool| if boat { shape_m } else { rig_m };
        Self {
            shape_m,
            rig_m,
            stack_m: required.strength.stack_tolerance_m,
            placing_m: required.placing_tolerance_m,
            heel_rad: heel_tolerance_rad(required),
            mass_kg: job.hull.mass.map_or(0.0, |m| m.tolerance_kg),
            centre_m: job.hull.centre.map_or([0.0; 3], |c| {
                [c.tolerance.x_m, c.tolerance.y_m, c.tolerance.z_m]
            }),
            top_m: off_m(top),
            width_m: off_m(port) + off_m(starboard),
        }
    }

    /// How far the height of a stack's top may be off against the keel over it, m.
    ///
    /// The hull's shape, the seat of the beam and the height of the stack act alike on where the hull comes to rest:
    /// only their sum counts. `corners.rs` proves that against documents in which each is moved by itself.
    pub fn height_m(&self) -> f64 {
        self.shape_m + self.rig_m + self.stack_m
    }

    /// How much nearer a part of the rig may be than drawn, wherever the hull stands, m: its own place, and the hull's
    /// shape there.
    pub fn near_m(&self) -> f64 {
        self.shape_m + self.rig_m
    }
}

/// Whether the boat reaches farther than the trailer: up, to port and to starboard.
fn boat_reaches_farthest(job: &Job) -> [bool; 3] {
    let findings = job.check();
    let pose = findings.trailer_from_hull.pose();
    let reach = |way: Vec3| {
        let local = pose.rotation.inverse() * way;
        let counts = |part: &&HullPart| part.part_use.in_size();
        let parts = job.hull.parts.iter().filter(counts);
        let far = parts.map(|part| (pose * part.mesh.farthest(local)).dot(way));
        far.fold(f64::MIN, f64::max)
    };
    // The trailer without what draws it, and without the ground.
    let trailer = |way: Vec3| {
        let parts = findings.rig_parts.iter();
        let parts = parts.filter(|p| p.kind != RigPartKind::Tractor);
        let far = parts.filter_map(|part| {
            let half = part.shape.half()?;
            let pose = part.trailer_from_part.pose();
            let local = pose.rotation.inverse() * way;
            Some((pose * (half * local.signum())).dot(way))
        });
        far.fold(f64::MIN, f64::max)
    };
    [Vec3::Z, Vec3::Y, Vec3::NEG_Y].map(|way| reach(way) > trailer(way))
}

const HEEL: &str = "heel_tolerance_rad";

/// How upright the hull is set, rad; nought where documents do not say.
fn heel_tolerance_rad(required: &Required) -> f64 {
    let value = serde_json::to_value(required).unwrap();
    value[HEEL].as_f64().unwrap_or(0.0)
}

/// The same job with nothing said to be off: what is checked of moved documents is what is in them.
pub fn exact(job: &Job) -> Job {
    let mut job = job.clone();
    job.hull.shape_tolerance_m = 0.0;
    job.rig.tolerance_m = 0.0;
    let required = &mut job.load.required;
    required.strength.stack_tolerance_m = 0.0;
    required.placing_tolerance_m = 0.0;
    let mut value = serde_json::to_value(*required).unwrap();
    if value.get(HEEL).is_some() {
        value[HEEL] = 0.0.into();
        *required = serde_json::from_value(value).unwrap();
    }
    if let Some(mass) = &mut job.hull.mass {
        mass.tolerance_kg = 0.0;
    }
    if let Some(centre) = &mut job.hull.centre {
        centre.tolerance = keelstead_geometry::math::Point::default();
    }
    job
}

//! What becomes of a hull that was brought in: it stands on the open job's rig, or begins a job.

use keelstead_boat::hull::Hull;
use keelstead_files::job::Job;
use keelstead_files::kept::{JobFiles, KeptFile};
use keelstead_files::open::{OpenHull, OpenJob};
use keelstead_files::shelf::id_of;
use keelstead_load::load::{
    HullPosition, Load, PadSetting, PlacedBeam, Reach, Required, Seat, TargetAttitude,
};
use keelstead_load::rig::Rig;

use super::Session;
use crate::action::{Action, Request};
use crate::intake::{Intake, named_after};
use crate::message::{Level, RigChoice};

/// Where beams go along the keel that bears, as parts of its length from aft.
const BEAMS_AT: [f64; 3] = [0.15, 0.5, 0.85];
/// A stack this high is what a first arrangement aims at, m: a block and room for shims.
const FIRST_STACK_M: f64 = 0.060;

impl Session {
    /// The rigs that a job can be started on: the open job's, then those the program knows.
    pub fn rigs(&self) -> Vec<RigChoice> {
        let own = self.open.as_ref().map(|open| {
            let desk = open.history.now();
            RigChoice {
                name: desk.rig.name.clone(),
                rig: desk.rig.clone(),
                files: desk.files.rig.clone(),
            }
        });
        let known = self.rigs.iter();
        let known = known.filter(|known| own.as_ref().is_none_or(|own| own.name != known.name));
        own.iter().chain(known).cloned().collect()
    }

    /// The rigs that the program knows.
    pub fn set_rigs(&mut self, rigs: Vec<RigChoice>) {
        self.rigs = rigs;
    }

    /// The hull as it was brought in, with the files that it is written to.
    pub(super) fn finished_hull(&mut self) -> Option<OpenHull> {
        let intake = self.intake.as_ref()?;
        match finished(intake) {
            Ok(opened) => Some(opened),
            Err(text) => {
                self.say(Level::Error, "The hull cannot be put to use", text);
                None
            }
        }
    }

    pub(super) fn use_in_job(&mut self, requests: &mut Vec<Request>) {
        if !self.is_open() {
            return;
        }
        let Some(opened) = self.finished_hull() else {
            return;
        };
        let name = opened.hull.name.clone();
        self.keep_hull();
        self.end_intake(requests);
        requests.extend(self.hull_replaced(opened));
        self.frame(requests);
        let text = format!("{name} stands in the place of the hull before; Undo brings that back.");
        self.say(Level::Done, "Another hull on the trailer", text);
    }

    pub(super) fn new_job(&mut self, rig: usize, requests: &mut Vec<Request>) {
        let Some(choice) = self.rigs().get(rig).cloned() else {
            return;
        };
        let Some(opened) = self.finished_hull() else {
            return;
        };
        if self.is_dirty() {
            self.say(
                Level::Error,
                "The open job has changes that are not saved",
                "Save it first, or put the hull on the open job\u{2019}s trailer.",
            );
            return;
        }
        self.keep_hull();
        self.end_intake(requests);
        let text = format!(
            "A first arrangement on {}: look at what is foul or unknown, then at beams, stacks and pads.",
            choice.name
        );
        requests.extend(self.opened(first_job(opened, &choice)));
        let stacks = self.perform(Action::MakeAllStacks);
        requests.extend(stacks);
        self.say(Level::Notice, "A new job", text);
    }

    /// Notes that the hull as it stands was put on the shelf or to use.
    pub(super) fn keep_hull(&mut self) {
        if let Some(intake) = &mut self.intake {
            intake.kept = Some(intake.draft().clone());
        }
    }
}

/// The hull with all that was said of it, and the files it is written to.
fn finished(intake: &Intake) -> Result<OpenHull, String> {
    let (Some(stood), Some(described)) = (intake.stood(), intake.described()) else {
        return Err("there is no hull yet".into());
    };
    let hull = Hull::new(
        described.name.clone(),
        stood.opened.hull.parts.clone(),
        described.facts(),
    );
    let mut hull = hull.map_err(|error| error.to_string())?;
    if let Some(weighing) = &described.weighing {
        hull = hull
            .weighed_by(weighing)
            .map_err(|problem| problem.to_string())?;
    }
    let (_, files) = named_after(&described, &stood.opened.files)?;
    Ok(OpenHull {
        hull,
        files,
        notices: Vec::new(),
    })
}

/// A job of the hull on a rig, with beams under the keel and pads at the body, to begin from.
fn first_job(opened: OpenHull, choice: &RigChoice) -> OpenJob {
    let name = opened.hull.name.clone();
    let load = first_load(&opened.hull, &choice.rig);
    let first = |files: &[KeptFile]| {
        files
            .first()
            .map_or_else(String::new, |file| file.name.clone())
    };
    OpenJob {
        path: format!("{}-job.json", id_of(&name)),
        job: Job {
            version: 1,
            name: format!("{name} on {}", choice.name),
            hull: first(&opened.files),
            rig: first(&choice.files),
            load,
            note: String::new(),
        },
        hull: opened.hull,
        rig: Rig::clone(&choice.rig),
        files: JobFiles {
            hull: opened.files,
            rig: choice.files.clone(),
            ..JobFiles::default()
        },
        notices: opened.notices,
    }
}

/// The keel over the middle of the rails, beams in the pockets nearest to where keels want them.
fn first_load(hull: &Hull, rig: &Rig) -> Load {
    let bearing: Vec<f64> = hull
        .keel_line
        .iter()
        .filter(|point| point.z_m.is_some_and(|z_m| z_m < FIRST_STACK_M * 2.0))
        .map(|point| point.x_m)
        .collect();
    let (aft, fore) = match (bearing.first(), bearing.last()) {
        (Some(aft), Some(fore)) => (*aft, *fore),
        _ => (hull.bounds.mins.x, hull.bounds.maxs.x),
    };
    let rails = &rig.rails;
    let middle = 0.5 * (rails.front_x_m + rails.aft_x_m);
    // As far forward as the boat's stem leaves the gooseneck free, no further back than the rails reach.
    let forward = rails.front_x_m - hull.bounds.maxs.x;
    let x_m = (middle - hull.bounds.center().x)
        .min(forward)
        .max(rails.aft_x_m);
    let beam = rig.beams.first();
    let mut pockets: Vec<usize> = Vec::new();
    for part in BEAMS_AT {
        let wanted = x_m + aft + part * (fore - aft);
        let nearest = rails
            .pockets
            .iter()
            .enumerate()
            .map(|(index, pocket)| (index + 1, (pocket.x_m - wanted).abs()))
            .filter(|(number, _)| !pockets.contains(number))
            .min_by(|a, b| a.1.total_cmp(&b.1));
        pockets.extend(nearest.map(|(number, _)| number));
    }
    pockets.truncate(beam.map_or(0, |beam| beam.count));
    let beams = beam.into_iter().flat_map(|stock| {
        pockets.iter().map(|number| PlacedBeam {
            beam: stock.name.clone(),
            seat: Seat::Pocket(*number),
            stack: Vec::new(),
            stack_y_m: 0.0,
            shim_m: 0.0,
            wedge_rad: 0.0,
            wanted_share: None,
            soft_packing_n_per_m: None,
        })
    });
    let beams: Vec<PlacedBeam> = beams.collect();
    let over = beam.zip(rails.pockets.first());
    let keel_over_rail_m =
        over.map(|(beam, pocket)| beam.depth_m - pocket.sill_below_top_m + FIRST_STACK_M);
    Load {
        stand: HullPosition {
            x_m,
            y_m: 0.0,
            yaw_rad: 0.0,
            heel_rad: 0.0,
            wanted: keel_over_rail_m.map(|keel_over_rail_m| TargetAttitude {
                keel_over_rail_m,
                trim_rad: 0.0,
            }),
        },
        beams,
        pads: pads(hull, rig, x_m),
        rail_top_m: rig.suspension.level_m,
        extra_weights: Vec::new(),
        measured: Vec::new(),
        required: Required::default(),
    }
}

/// The pads abeam the body, arms in the middle of their range, run out until they touch.
fn pads(hull: &Hull, rig: &Rig, x_m: f64) -> Vec<PadSetting> {
    let abeam = |pad: f64| (hull.bounds.mins.x..=hull.bounds.maxs.x).contains(&(pad - x_m));
    rig.pads
        .iter()
        .filter(|pad| abeam(pad.pivot.x_m))
        .map(|pad| PadSetting {
            pad: pad.name.clone(),
            elevation_rad: 0.5 * (pad.elevation_rad.min + pad.elevation_rad.max),
            reach: Reach::UntilTouching,
        })
        .collect()
}

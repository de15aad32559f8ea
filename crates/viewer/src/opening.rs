//! Work beside the running app: jobs and hulls are read on a thread natively, in a worker in the
//! browser; with progress, and stopped when the person wants.

use std::sync::Arc;

use bevy::prelude::*;
use bevy::window::RequestRedraw;
use keelstead_files::kept::{KeptFile, Place};
use keelstead_files::source::{Memory, Source};
use keelstead_files::{FileError, Progress};
use keelstead_workbench::action::Request;
use keelstead_workbench::message::{Demo, RigChoice};
use keelstead_workbench::task::{Files, Outcome, Task, carry_out};

use crate::app::Workbench;
use crate::scene::{HullShapes, facets::Facets};

#[cfg(not(target_arch = "wasm32"))]
mod thread;
#[cfg(target_arch = "wasm32")]
use crate::web::worker::Carrier;
#[cfg(not(target_arch = "wasm32"))]
use thread::Carrier;

/// Carries out what is asked for.
pub struct OpeningPlugin;

impl Plugin for OpeningPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Opening>()
            .add_systems(Startup, name_demos)
            .add_systems(Update, (answer_requests, follow).chain());
    }
}

/// What came of a task, and the hull that came with it as it is drawn: the pieces of each part.
pub struct Ready {
    /// What came of it.
    pub outcome: Result<Outcome, FileError>,
    /// For each part of its hull, the pieces it is drawn in.
    pub shapes: Vec<Vec<Facets>>,
}

impl Ready {
    /// Carries a task out, from reading to triangles ready to be drawn.
    pub fn carry_out(task: Task, progress: &dyn Progress) -> Self {
        let outcome = carry_out(task, keelstead_demo_data::FILES, progress);
        let hull = outcome.as_ref().ok().and_then(Outcome::hull);
        let parts = hull.map_or(&[][..], |hull| &hull.parts);
        if !parts.is_empty() {
            progress.report(1.0, "drawing");
        }
        let shapes = parts
            .iter()
            .map(|part| crate::scene::hull::pieces_of(&part.mesh));
        Self {
            shapes: shapes.collect(),
            outcome,
        }
    }
}

/// How far a task is.
pub enum Stage {
    /// Under way.
    Busy {
        /// How much is done, 0 to 1.
        fraction: f64,
        /// What is done now, in a few words.
        doing: String,
    },
    /// Done.
    Ready(Box<Ready>),
}

/// The task under way, and the one that waits to be started.
#[derive(Resource, Default)]
pub struct Opening {
    waiting: Option<Task>,
    now: Option<(String, Carrier)>,
}

impl Opening {
    /// Carries this out next; what was under way is dropped.
    pub fn start(&mut self, task: Task) {
        self.stop();
        self.waiting = Some(task);
    }

    /// Drops what is under way.
    pub fn stop(&mut self) {
        self.waiting = None;
        self.now = None;
    }

    /// Whether something is under way.
    pub fn is_busy(&self) -> bool {
        self.waiting.is_some() || self.now.is_some()
    }
}

/// Opens a demo job, by its path.
pub fn demo(path: &str) -> Task {
    Task::Open(Files::Embedded(path.to_owned()))
}

/// The demo's files.
pub fn demo_files() -> Memory {
    let files = keelstead_demo_data::FILES.iter();
    Memory::new(files.map(|(name, bytes)| ((*name).to_owned(), bytes.to_vec())))
}

/// The path of the demo job called `name`: its path, or its file's name with or without ending.
pub fn demo_path(name: &str) -> Option<&'static str> {
    let stem = |path: &str| {
        let last = path.rsplit('/').next().unwrap_or(path).to_owned();
        last.trim_end_matches(".json").to_owned()
    };
    demo_jobs().find(|path| *path == name || stem(path) == stem(name))
}

/// Paths of the demo jobs, in order.
pub fn demo_jobs() -> impl Iterator<Item = &'static str> {
    let names = keelstead_demo_data::FILES.iter().map(|(name, _)| *name);
    names.filter(|name| name.starts_with("jobs/"))
}

fn name_demos(mut workbench: ResMut<Workbench>) {
    let files = demo_files();
    let demos = demo_jobs().filter_map(|path| {
        let bytes = files.read(path).ok()?;
        let job: keelstead_files::job::Job = serde_json::from_slice(&bytes).ok()?;
        Some(Demo {
            path: path.to_owned(),
            name: job.name,
            note: job.note,
        })
    });
    workbench.session.set_demos(demos.collect());
    workbench.session.set_rigs(demo_rigs(&files));
}

/// The demo's rigs, for jobs that begin with a hull.
fn demo_rigs(files: &Memory) -> Vec<RigChoice> {
    let paths = keelstead_demo_data::FILES.iter();
    let rigs = paths.filter(|(path, _)| path.starts_with("rigs/"));
    rigs.filter_map(|(path, bytes)| {
        let rig = keelstead_files::open::open_rig(files, path).ok()?;
        Some(RigChoice {
            name: rig.name.clone(),
            rig: Arc::new(rig),
            files: vec![KeptFile {
                name: (*path).to_owned(),
                place: Place::Memory((*bytes).into()),
            }],
        })
    })
    .collect()
}

/// Takes the requests that need no platform.
fn answer_requests(mut workbench: ResMut<Workbench>, mut opening: ResMut<Opening>) {
    let workbench = workbench.bypass_change_detection();
    let ours = |request: &Request| {
        matches!(
            request,
            Request::OpenDemo(_) | Request::Carry(_) | Request::CancelLoading
        )
    };
    for request in workbench.take(ours) {
        match request {
            Request::OpenDemo(path) => opening.start(demo(&path)),
            Request::Carry(task) => opening.start(*task),
            _ => {
                opening.stop();
                workbench.session.cancelled();
            }
        }
    }
}

/// Starts what waits, tells the session how far it is, and hands over what came of it.
fn follow(
    workbench: ResMut<Workbench>,
    opening: ResMut<Opening>,
    mut shapes: ResMut<HullShapes>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    if !opening.is_busy() {
        return;
    }
    redraw.write(RequestRedraw);
    let workbench = workbench.into_inner();
    let opening = opening.into_inner();
    if let Some(task) = opening.waiting.take() {
        let name = task.name();
        workbench.session.loading(&name, None, task.begins());
        opening.now = Some((name, Carrier::start(task)));
        return;
    }
    let Some((name, carrier)) = &mut opening.now else {
        return;
    };
    match carrier.look() {
        Stage::Busy { fraction, doing } => {
            let fraction = Some(fraction as f32);
            workbench.session.loading(name, fraction, &doing);
        }
        Stage::Ready(ready) => {
            if let Some(hull) = ready.outcome.as_ref().ok().and_then(Outcome::hull) {
                shapes.keep(hull, ready.shapes);
            }
            let requests = workbench.session.finished(name, ready.outcome);
            workbench.ask(requests);
            opening.now = None;
        }
    }
}

//! Reading jobs and hulls beside the running app: on a thread natively, after a breath in the
//! browser; with progress, and stopped when the person wants.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use bevy::prelude::*;
use bevy::window::RequestRedraw;
use keelstead_files::kept::{KeptFile, Place};
use keelstead_files::source::{Memory, Source};
use keelstead_files::{FileError, Progress};
use keelstead_workbench::action::Request;
use keelstead_workbench::message::{Demo, RigChoice};
use keelstead_workbench::task::{Files, Outcome, Task, carry_out};

use crate::app::Workbench;

/// Reads what is asked for.
pub struct OpeningPlugin;

impl Plugin for OpeningPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Opening>()
            .add_systems(Startup, name_demos)
            .add_systems(Update, (answer_requests, follow).chain());
    }
}

/// The reading under way, and the one that waits to be started.
#[derive(Resource, Default)]
pub struct Opening {
    waiting: Option<Task>,
    now: Option<Ticket>,
}

struct Ticket {
    name: String,
    shared: Arc<Shared>,
}

/// What reader and app both see.
#[derive(Default)]
struct Shared {
    progress: Mutex<(f64, String)>,
    stop: AtomicBool,
    outcome: Mutex<Option<Result<Outcome, FileError>>>,
}

impl Progress for Shared {
    fn report(&self, fraction: f64, doing: &str) {
        let mut progress = self.progress.lock().unwrap_or_else(PoisonError::into_inner);
        *progress = (fraction, doing.to_owned());
    }

    fn cancelled(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}

impl Opening {
    /// Carries this out next; what was under way is dropped.
    pub fn start(&mut self, task: Task) {
        self.stop();
        self.waiting = Some(task);
    }

    /// Drops what is being read.
    pub fn stop(&mut self) {
        self.waiting = None;
        if let Some(ticket) = self.now.take() {
            ticket.shared.stop.store(true, Ordering::Relaxed);
        }
    }

    /// Whether something is being read.
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
    for request in workbench.take(|request| {
        matches!(
            request,
            Request::OpenDemo(_) | Request::Carry(_) | Request::CancelLoading
        )
    }) {
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

/// Starts what waits, tells the session how far it is, and hands over what was read.
fn follow(
    workbench: ResMut<Workbench>,
    opening: ResMut<Opening>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    if !opening.is_busy() {
        return;
    }
    redraw.write(RequestRedraw);
    let workbench = workbench.into_inner();
    let opening = opening.into_inner();
    if let Some(task) = opening.waiting.take() {
        workbench.session.loading(&task.name(), None, "reading");
        opening.now = Some(start(task));
        return;
    }
    let Some(ticket) = &opening.now else { return };
    let outcome = ticket
        .shared
        .outcome
        .lock()
        .unwrap_or_else(PoisonError::into_inner)
        .take();
    let Some(outcome) = outcome else {
        let progress = ticket
            .shared
            .progress
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        workbench
            .session
            .loading(&ticket.name, Some(progress.0 as f32), &progress.1);
        return;
    };
    let name = ticket.name.clone();
    opening.now = None;
    let requests = workbench.session.finished(&name, outcome);
    workbench.ask(requests);
}

/// Begins a task beside the app.
fn start(task: Task) -> Ticket {
    let name = task.name();
    let shared = Arc::new(Shared::default());
    let theirs = shared.clone();
    let work = move || {
        let outcome = carry_out(task, keelstead_demo_data::FILES, theirs.as_ref());
        *theirs
            .outcome
            .lock()
            .unwrap_or_else(PoisonError::into_inner) = Some(outcome);
    };
    #[cfg(not(target_arch = "wasm32"))]
    std::thread::spawn(work);
    #[cfg(target_arch = "wasm32")]
    crate::web::after_a_breath(work);
    Ticket { name, shared }
}

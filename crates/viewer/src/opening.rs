//! Reading jobs and hulls beside the running app: on a thread natively, after a breath in the
//! browser; with progress, and stopped when the person wants.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use bevy::prelude::*;
use bevy::window::RequestRedraw;
use keelstead_files::error::FileError;
use keelstead_files::hull_file::{Axes, HullFile, LengthUnit};
use keelstead_files::kept::{KeptFile, Place};
use keelstead_files::open::{OpenHull, hull_of, open_hull};
use keelstead_files::source::{Memory, Source};
use keelstead_files::{Notice, OpenJob, Progress, open_job};
use keelstead_workbench::action::Request;
use keelstead_workbench::message::Demo;

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

/// What was read.
pub enum Outcome {
    /// A job.
    Job(Box<OpenJob>),
    /// A hull to stand in place of the open job's.
    Hull(Box<OpenHull>),
}

/// Something to read: named for the person, and how.
pub struct Reading {
    /// What is read, as the person knows it.
    pub name: String,
    /// Reads it.
    pub read: Read,
}

/// Reads, telling how far it is, and stops when asked.
type Read = Box<dyn FnOnce(&dyn Progress) -> Result<Outcome, FileError> + Send + Sync>;

/// The reading under way, and the one that waits to be started.
#[derive(Resource, Default)]
pub struct Opening {
    waiting: Option<Reading>,
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
    /// Reads this next; what was being read is dropped.
    pub fn start(&mut self, reading: Reading) {
        self.stop();
        self.waiting = Some(reading);
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

/// A demo job, from the files in the program itself.
pub fn demo(path: &str) -> Reading {
    let path = path.to_owned();
    Reading {
        name: path.clone(),
        read: Box::new(move |progress| {
            let job = open_job(&demo_files(), &path, progress)?;
            Ok(Outcome::Job(Box::new(job)))
        }),
    }
}

/// Files handed over by the person: a job with what it refers to, a hull description, or a mesh.
/// What is not among them is looked for among the demo's files, so that a job saved from a demo
/// opens by itself.
pub fn dropped(files: Vec<(String, Vec<u8>)>) -> Reading {
    let main = files
        .iter()
        .map(|(name, bytes)| (name, Kind::of(name, bytes)))
        .min_by_key(|(_, kind)| *kind)
        .map(|(name, kind)| (name.clone(), kind));
    let name = main
        .as_ref()
        .map_or_else(String::new, |(name, _)| name.clone());
    Reading {
        name,
        read: Box::new(move |progress| {
            let Some((name, kind)) = main else {
                return Err(FileError::Missing {
                    path: "no file".into(),
                    referred_by: None,
                });
            };
            let demo = keelstead_demo_data::FILES
                .iter()
                .map(|(name, bytes)| ((*name).to_owned(), bytes.to_vec()));
            let source = Memory::dropped(demo.chain(files));
            read(&source, &name, kind, progress)
        }),
    }
}

/// What a file is, likeliest to be the main one first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A job.
    Job,
    /// A hull description.
    Hull,
    /// A mesh, or anything else: the mesh reader says what is wrong with it.
    Mesh,
    /// A rig: only ever beside a job.
    Rig,
}

impl Kind {
    /// Told by content: a document says what it holds by its fields.
    pub fn of(name: &str, bytes: &[u8]) -> Self {
        if !name.to_ascii_lowercase().ends_with(".json") {
            return Self::Mesh;
        }
        let fields = serde_json::from_slice::<serde_json::Map<String, serde_json::Value>>(bytes);
        match fields {
            Ok(fields) if fields.contains_key("mesh") => Self::Hull,
            Ok(fields) if fields.contains_key("rails") => Self::Rig,
            Ok(fields) if fields.contains_key("rig") && !fields.contains_key("load") => Self::Rig,
            // Broken ones too: the job reader says where.
            _ => Self::Job,
        }
    }
}

/// Reads the file `name` of a source for what it is.
///
/// # Errors
/// As the readers of `keelstead-files`.
pub fn read(
    source: &dyn Source,
    name: &str,
    kind: Kind,
    progress: &dyn Progress,
) -> Result<Outcome, FileError> {
    match kind {
        Kind::Hull => {
            let opened = open_hull(source, name, progress)?;
            Ok(Outcome::Hull(Box::new(opened)))
        }
        Kind::Mesh => bare_mesh(source, name, progress),
        Kind::Job | Kind::Rig => Ok(Outcome::Job(Box::new(open_job(source, name, progress)?))),
    }
}

/// A mesh about which nothing else is known. Its unit is the first that makes it a boat's size,
/// and a notice says so.
fn bare_mesh(
    source: &dyn Source,
    name: &str,
    progress: &dyn Progress,
) -> Result<Outcome, FileError> {
    let file_name = name.rsplit('/').next().unwrap_or(name);
    let folder = name.strip_suffix(file_name).unwrap_or_default();
    let stem = file_name
        .rsplit_once('.')
        .map_or(file_name, |(stem, _)| stem);
    let mut first_error = None;
    for unit in LengthUnit::ALL {
        let described = HullFile::for_mesh(stem, file_name, unit, Axes::default());
        match hull_of(source, &described, name, progress) {
            Ok(mut opened) => {
                opened.notices.push(Notice::new(
                    source.shown(name),
                    format!(
                        "a mesh alone does not say its unit, axes or weight: taken as {}, x forward, \
                         z up, weight unknown. Write a hull description to say otherwise",
                        unit.word()
                    ),
                ));
                let description = serde_json::to_vec_pretty(&described).unwrap_or_default();
                opened.files.insert(
                    0,
                    KeptFile {
                        name: format!("{folder}{stem}.hull.json"),
                        place: Place::Made(description.into()),
                    },
                );
                return Ok(Outcome::Hull(Box::new(opened)));
            }
            Err(error @ FileError::UnitLooksWrong { .. }) => {
                first_error.get_or_insert(error);
            }
            Err(error) => return Err(error),
        }
    }
    Err(first_error.unwrap_or(FileError::Cancelled))
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
}

/// Takes the requests that need no platform.
fn answer_requests(mut workbench: ResMut<Workbench>, mut opening: ResMut<Opening>) {
    let workbench = workbench.bypass_change_detection();
    for request in
        workbench.take(|request| matches!(request, Request::OpenDemo(_) | Request::CancelLoading))
    {
        match request {
            Request::OpenDemo(path) => opening.start(demo(&path)),
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
    if let Some(reading) = opening.waiting.take() {
        workbench.session.loading(&reading.name, None, "reading");
        opening.now = Some(start(reading));
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
    deliver(workbench, &name, outcome);
}

/// Hands what was read to the session.
pub fn deliver(workbench: &mut Workbench, name: &str, outcome: Result<Outcome, FileError>) {
    match outcome {
        Ok(Outcome::Job(job)) => {
            let requests = workbench.session.opened(*job);
            workbench.ask(requests);
        }
        Ok(Outcome::Hull(opened)) => {
            if !workbench.session.is_open() {
                workbench.session.failed(
                    "A hull needs a job to stand in",
                    &format!("{name}: open a job first, then drop the hull on it"),
                );
                return;
            }
            let requests = workbench.session.hull_replaced(*opened);
            workbench.ask(requests);
        }
        Err(FileError::Cancelled) => workbench.session.cancelled(),
        Err(error) => workbench
            .session
            .failed(&format!("{name} was not opened"), &error.to_string()),
    }
}

/// Begins a reading beside the app.
fn start(reading: Reading) -> Ticket {
    let shared = Arc::new(Shared::default());
    let theirs = shared.clone();
    let work = move || {
        let outcome = (reading.read)(theirs.as_ref());
        *theirs
            .outcome
            .lock()
            .unwrap_or_else(PoisonError::into_inner) = Some(outcome);
    };
    #[cfg(not(target_arch = "wasm32"))]
    std::thread::spawn(work);
    #[cfg(target_arch = "wasm32")]
    crate::web::after_a_breath(work);
    Ticket {
        name: reading.name,
        shared,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_told_apart_by_what_they_hold() {
        assert_eq!(
            Kind::of("a.json", br#"{"load": {}, "rig": "r"}"#),
            Kind::Job
        );
        assert_eq!(Kind::of("a.JSON", br#"{"mesh": "m.stl"}"#), Kind::Hull);
        assert_eq!(Kind::of("a.json", b"{ broken"), Kind::Job);
        assert_eq!(Kind::of("a.stl", b"solid"), Kind::Mesh);
    }
}

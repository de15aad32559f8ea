//! Work that takes its time, as data: it is carried out beside the picture, on a thread or in a
//! worker, and what comes of it goes to [`crate::Session::finished`].
//!
//! To add one: a variant of [`Task`] that holds all it needs and can be serialised, what comes of it
//! in [`Outcome`] (which crosses from a worker, so it is serialised too), its line in [`carry_out`],
//! and what the session does with it in `Session::finished`. Ask for it with
//! [`crate::Request::Carry`]; name, progress bar, Cancel and errors follow by themselves.

use std::sync::Arc;

use keelstead::check::check;
use keelstead::findings::Findings;
use keelstead_files::kept::KeptFile;
use keelstead_files::kind::Kind;
use keelstead_files::open::{OpenHull, open_hull};
use keelstead_files::progress::step;
use keelstead_files::source::Source;
use keelstead_files::{FileError, OpenJob, Progress, open_job};
use serde::{Deserialize, Serialize};

use crate::intake::{Draft, Sketch, Stood, ToWeigh, WeighedBy, sketches, stand, stand_measured};

mod checked;
mod files;

pub use checked::{Checked, Onto};
pub use files::Files;
#[cfg(not(target_arch = "wasm32"))]
pub use files::kind_on_disk;

/// What is done when the hull is there.
const CHECKING: &str = "checking";

/// Files embedded in the program: path and content.
pub type Embedded = [(&'static str, &'static [u8])];

/// Work to be carried out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Task {
    /// Opens a job, a hull or a bare mesh.
    Open(Files),
    /// Opens a hull to stand in place of the open job's, and checks it there.
    Replace {
        /// The hull's description, and what it refers to.
        files: Files,
        /// Where it is to stand.
        onto: Box<Onto>,
    },
    /// Stands a hull that is being brought in up.
    Stand {
        /// The mesh or hull description, and what it refers to.
        files: Files,
        /// What was said of it so far.
        draft: Box<Draft>,
    },
    /// Weighs a hull that is being brought in by what was said of it.
    Weigh(Box<ToWeigh>),
    /// Draws what boats of each family look like.
    Sketch,
}

/// What came of a task.
#[derive(Debug, Serialize, Deserialize)]
pub enum Outcome {
    /// A job, and what was found of it.
    Job(Box<OpenJob>, Box<Findings>),
    /// A hull to stand in place of the open job's, and what was found of it there if that was asked.
    Hull(Box<OpenHull>, Option<Box<Checked>>),
    /// What boats of each family look like.
    Sketches(Vec<Sketch>),
    /// A hull that stands as far as was said.
    Stood(Box<Stood>),
    /// What a hull that is being brought in weighs.
    Weighed(Box<WeighedBy>),
}

impl Outcome {
    /// The hull that came of it, if one did.
    pub fn hull(&self) -> Option<&keelstead_boat::hull::Hull> {
        match self {
            Self::Job(job, _) => Some(&job.hull),
            Self::Hull(opened, _) => Some(&opened.hull),
            Self::Stood(stood) => Some(&stood.opened.hull),
            Self::Sketches(_) | Self::Weighed(_) => None,
        }
    }

    /// The same, to take out what travels another way.
    pub fn hull_mut(&mut self) -> Option<&mut keelstead_boat::hull::Hull> {
        match self {
            Self::Job(job, _) => Some(&mut job.hull),
            Self::Hull(opened, _) => Some(&mut opened.hull),
            Self::Stood(stood) => Some(&mut stood.opened.hull),
            Self::Sketches(_) | Self::Weighed(_) => None,
        }
    }

    /// The files that came with it, likewise.
    pub fn files_mut(&mut self) -> Vec<&mut KeptFile> {
        match self {
            Self::Job(job, _) => job
                .files
                .hull
                .iter_mut()
                .chain(&mut job.files.rig)
                .collect(),
            Self::Hull(opened, _) => opened.files.iter_mut().collect(),
            Self::Stood(stood) => stood.opened.files.iter_mut().collect(),
            Self::Sketches(_) | Self::Weighed(_) => Vec::new(),
        }
    }
}

impl Task {
    /// What it works on, as the person knows it.
    pub fn name(&self) -> String {
        match self {
            Self::Sketch => "hull families".into(),
            Self::Weigh(what) => what.hull.0.name.clone(),
            other => other.files().map_or_else(String::new, Files::name),
        }
    }

    /// What is done first, in a word.
    pub fn begins(&self) -> &'static str {
        match self {
            Self::Sketch => "drawing",
            Self::Weigh(_) => "weighing",
            _ => "reading",
        }
    }

    /// The files it works on, if it reads any.
    pub fn files(&self) -> Option<&Files> {
        match self {
            Self::Open(files) | Self::Replace { files, .. } | Self::Stand { files, .. } => {
                Some(files)
            }
            Self::Sketch | Self::Weigh(_) => None,
        }
    }

    /// The same, to take out what travels another way.
    pub fn files_mut(&mut self) -> Option<&mut Files> {
        match self {
            Self::Open(files) | Self::Replace { files, .. } | Self::Stand { files, .. } => {
                Some(files)
            }
            Self::Sketch | Self::Weigh(_) => None,
        }
    }

    /// The hull that it takes along, likewise.
    pub fn hull_mut(&mut self) -> Option<&mut keelstead_boat::hull::Hull> {
        match self {
            Self::Weigh(what) => Some(Arc::make_mut(&mut what.hull.0)),
            _ => None,
        }
    }
}

/// Carries a task out; `embedded` are the files in the program itself.
///
/// # Errors
/// As the readers of `keelstead-files`; [`FileError::Cancelled`] if the person stopped it.
pub fn carry_out(
    task: Task,
    embedded: &Embedded,
    progress: &dyn Progress,
) -> Result<Outcome, FileError> {
    match task {
        Task::Open(files) => {
            let (source, name, kind) = files.found(embedded)?;
            open(source.as_ref(), &name, kind, progress)
        }
        Task::Stand { files, draft } => {
            if let Some(stood) = stand_measured(&draft, progress) {
                return Ok(Outcome::Stood(Box::new(stood?)));
            }
            let (source, name, kind) = files.found(embedded)?;
            let stood = stand(source.as_ref(), &name, kind, &draft, progress);
            let stood = stood.map_err(|error| error.shown_by(source.as_ref()))?;
            Ok(Outcome::Stood(Box::new(stood)))
        }
        Task::Replace { files, onto } => {
            let (source, name, kind) = files.found(embedded)?;
            let opened = open(source.as_ref(), &name, kind, progress)?;
            let Outcome::Hull(opened, _) = opened else {
                return Ok(opened);
            };
            step(progress, 1.0, CHECKING)?;
            let checked = Checked::new(&opened.hull, *onto);
            Ok(Outcome::Hull(opened, Some(Box::new(checked))))
        }
        Task::Weigh(what) => {
            step(progress, 0.0, "weighing")?;
            Ok(Outcome::Weighed(Box::new(what.weigh())))
        }
        Task::Sketch => Ok(Outcome::Sketches(sketches())),
    }
}

/// Opens the file `name` of a source for what it is; a mesh stands as it is proposed to.
fn open(
    source: &dyn Source,
    name: &str,
    kind: Kind,
    progress: &dyn Progress,
) -> Result<Outcome, FileError> {
    match kind {
        Kind::Hull => {
            let opened = open_hull(source, name, progress)?;
            Ok(Outcome::Hull(Box::new(opened), None))
        }
        Kind::Measures | Kind::Mesh | Kind::Beside => {
            let stood = stand(source, name, kind, &Draft::default(), progress)?;
            Ok(Outcome::Stood(Box::new(stood)))
        }
        Kind::Job | Kind::Rig => {
            let mut job = open_job(source, name, progress)?;
            job.path = match source.place(name) {
                Some(place) => place.display().to_string(),
                None => source.shown(name),
            };
            step(progress, 1.0, CHECKING)?;
            let findings = check(&job.hull, &job.rig, &job.job.load);
            Ok(Outcome::Job(Box::new(job), Box::new(findings)))
        }
    }
}

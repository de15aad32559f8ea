//! Work that takes its time, as data: it is carried out beside the picture, on a thread or in a
//! worker, and what comes of it goes to [`crate::Session::finished`].
//!
//! To add one: a variant of [`Task`] that holds all it needs and can be serialised, what comes of it
//! in [`Outcome`] (which crosses from a worker, so it is serialised too), its line in [`carry_out`],
//! and what the session does with it in `Session::finished`. Ask for it with
//! [`crate::Request::Carry`]; name, progress bar, Cancel and errors follow by themselves.

#[cfg(not(target_arch = "wasm32"))]
use std::path::PathBuf;

use keelstead_files::given::Given;
use keelstead_files::hull_file::{Axes, HullFile, LengthUnit};
use keelstead_files::intake::{self, Answers, Arrived, Examined};
use keelstead_files::kept::{KeptFile, Place};
use keelstead_files::kind::Kind;
use keelstead_files::open::{OpenHull, hull_of, open_hull};
#[cfg(not(target_arch = "wasm32"))]
use keelstead_files::source::Disk;
use keelstead_files::source::{Memory, Source};
use keelstead_files::{FileError, Notice, OpenJob, Progress, open_job};
use serde::{Deserialize, Serialize};

/// Files embedded in the program: path and content.
pub type Embedded = [(&'static str, &'static [u8])];

/// Work to be carried out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Task {
    /// Opens a job, a hull or a bare mesh.
    Open(Files),
    /// Says what a mesh most likely is.
    Examine {
        /// The mesh, and what it refers to.
        files: Files,
        /// What is answered already.
        answers: Answers,
    },
    /// Makes a hull of a mesh.
    Import {
        /// The mesh, and what it refers to.
        files: Files,
        /// What the boat is called.
        boat: String,
        /// What is answered; the rest is as proposed.
        answers: Answers,
    },
}

/// Where a task's files are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Files {
    /// A file embedded in the program, by its path.
    Embedded(String),
    /// Files handed over with their bytes. The main one is told by what they hold; what is not among
    /// them is looked for among the embedded ones, so that a job saved from a demo opens by itself.
    Given(Vec<Given>),
    /// A file on disk.
    #[cfg(not(target_arch = "wasm32"))]
    Disk(PathBuf),
}

/// What came of a task.
#[derive(Debug)]
pub enum Outcome {
    /// A job.
    Job(Box<OpenJob>),
    /// A hull to stand in place of the open job's.
    Hull(Box<OpenHull>),
    /// What a mesh most likely is.
    Examined(Box<Examined>),
    /// A hull made of a mesh.
    Imported(Box<Arrived>),
}

impl Outcome {
    /// The hull that came of it, if one did.
    pub fn hull(&self) -> Option<&keelstead::hull::Hull> {
        match self {
            Self::Job(job) => Some(&job.hull),
            Self::Hull(opened) => Some(&opened.hull),
            Self::Imported(arrived) => Some(&arrived.opened.hull),
            Self::Examined(_) => None,
        }
    }
}

impl Task {
    /// What it works on, as the person knows it.
    pub fn name(&self) -> String {
        self.files().name()
    }

    /// The files it works on.
    pub fn files(&self) -> &Files {
        match self {
            Self::Open(files) | Self::Examine { files, .. } | Self::Import { files, .. } => files,
        }
    }

    /// The same, to take out what travels another way.
    pub fn files_mut(&mut self) -> &mut Files {
        match self {
            Self::Open(files) | Self::Examine { files, .. } | Self::Import { files, .. } => files,
        }
    }
}

impl Files {
    /// The main file's name, as the person knows it; empty if there is none.
    pub fn name(&self) -> String {
        match self {
            Self::Embedded(path) => path.clone(),
            Self::Given(files) => main_of(files).map_or_else(String::new, |(name, _)| name),
            #[cfg(not(target_arch = "wasm32"))]
            Self::Disk(path) => path.display().to_string(),
        }
    }

    /// The source they are in, the main one's name there, and what it is.
    fn found(self, embedded: &Embedded) -> Result<(Box<dyn Source>, String, Kind), FileError> {
        let shipped = || {
            let files = embedded.iter();
            files.map(|(name, bytes)| ((*name).to_owned(), bytes.to_vec()))
        };
        match self {
            Self::Embedded(path) => {
                let memory = Memory::new(shipped());
                let kind = Kind::of(&path, &memory.read(&path)?);
                Ok((Box::new(memory), path, kind))
            }
            Self::Given(files) => {
                let (name, kind) = main_of(&files).ok_or_else(|| FileError::Missing {
                    path: "no file".into(),
                    referred_by: None,
                })?;
                let given = files
                    .into_iter()
                    .map(|file| (file.name, file.bytes.to_vec()));
                Ok((
                    Box::new(Memory::dropped(shipped().chain(given))),
                    name,
                    kind,
                ))
            }
            #[cfg(not(target_arch = "wasm32"))]
            Self::Disk(path) => {
                let (disk, name) = Disk::around(&path)?;
                let kind = Kind::of(&name, &disk.read(&name)?);
                Ok((Box::new(disk), name, kind))
            }
        }
    }
}

/// The main one of files handed over together, and what it is.
fn main_of(files: &[Given]) -> Option<(String, Kind)> {
    files
        .iter()
        .map(|file| (file, Kind::of(&file.name, &file.bytes)))
        .min_by_key(|(_, kind)| *kind)
        .map(|(file, kind)| (file.name.clone(), kind))
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
        Task::Examine { files, answers } => {
            let (source, name, _) = files.found(embedded)?;
            let examined = intake::examine_file(source.as_ref(), &name, &answers, progress)?;
            Ok(Outcome::Examined(Box::new(examined)))
        }
        Task::Import {
            files,
            boat,
            answers,
        } => {
            let (source, name, _) = files.found(embedded)?;
            let arrived = intake::import_file(source.as_ref(), &name, &boat, &answers, progress)?;
            Ok(Outcome::Imported(Box::new(arrived)))
        }
    }
}

/// Opens the file `name` of a source for what it is.
fn open(
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
        Kind::Mesh | Kind::Beside => bare_mesh(source, name, progress),
        Kind::Job | Kind::Rig => {
            let mut job = open_job(source, name, progress)?;
            if let Some(place) = source.place(name) {
                job.path = place.display().to_string();
            }
            Ok(Outcome::Job(Box::new(job)))
        }
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

//! Work that takes its time, as data: it is carried out beside the picture, on a thread or in a
//! worker, and what comes of it goes to [`crate::Session::finished`].
//!
//! To add one: a variant of [`Task`] that holds all it needs and can be serialised, what comes of it
//! in [`Outcome`] (which crosses from a worker, so it is serialised too), its line in [`carry_out`],
//! and what the session does with it in `Session::finished`. Ask for it with
//! [`crate::Request::Carry`]; name, progress bar, Cancel and errors follow by themselves.

#[cfg(not(target_arch = "wasm32"))]
use std::path::PathBuf;
use std::sync::Arc;

use keelstead_files::given::Given;
use keelstead_files::kind::Kind;
use keelstead_files::open::{OpenHull, open_hull};
#[cfg(not(target_arch = "wasm32"))]
use keelstead_files::source::Disk;
use keelstead_files::source::{Memory, Source};
use keelstead_files::{FileError, OpenJob, Progress, open_job};
use serde::{Deserialize, Serialize};

use crate::intake::{Draft, Sketch, Stood, sketches, stand, stand_measured};

/// Files embedded in the program: path and content.
pub type Embedded = [(&'static str, &'static [u8])];

/// Work to be carried out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Task {
    /// Opens a job, a hull or a bare mesh.
    Open(Files),
    /// Stands a hull that is being brought in up.
    Stand {
        /// The mesh or hull description, and what it refers to.
        files: Files,
        /// What was said of it so far.
        draft: Box<Draft>,
    },
    /// Draws what boats of each family look like; of files it hands over none.
    Sketch(Files),
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
#[derive(Debug, Serialize, Deserialize)]
pub enum Outcome {
    /// A job.
    Job(Box<OpenJob>),
    /// A hull to stand in place of the open job's.
    Hull(Box<OpenHull>),
    /// What boats of each family look like.
    Sketches(Vec<Sketch>),
    /// A hull that stands as far as was said.
    Stood(Box<Stood>),
}

impl Outcome {
    /// The hull that came of it, if one did.
    pub fn hull(&self) -> Option<&keelstead::hull::Hull> {
        match self {
            Self::Job(job) => Some(&job.hull),
            Self::Hull(opened) => Some(&opened.hull),
            Self::Stood(stood) => Some(&stood.opened.hull),
            Self::Sketches(_) => None,
        }
    }
}

impl Task {
    /// Drawing what boats of each family look like.
    pub fn sketch() -> Self {
        Self::Sketch(Files::Given(Vec::new()))
    }

    /// What it works on, as the person knows it.
    pub fn name(&self) -> String {
        match self {
            Self::Sketch(_) => "hull families".into(),
            other => other.files().name(),
        }
    }

    /// The files it works on.
    pub fn files(&self) -> &Files {
        match self {
            Self::Sketch(files) | Self::Open(files) | Self::Stand { files, .. } => files,
        }
    }

    /// The same, to take out what travels another way.
    pub fn files_mut(&mut self) -> &mut Files {
        match self {
            Self::Sketch(files) | Self::Open(files) | Self::Stand { files, .. } => files,
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

    /// What the main one is; a mesh if it cannot be read, whose reader then says why.
    pub fn kind(&self) -> Kind {
        match self {
            Self::Embedded(_) => Kind::Job,
            Self::Given(files) => main_of(files).map_or(Kind::Mesh, |(_, kind)| kind),
            #[cfg(not(target_arch = "wasm32"))]
            Self::Disk(path) => kind_on_disk(path),
        }
    }

    /// The source they are in, the main one's name there, and what it is.
    fn found(self, embedded: &Embedded) -> Result<(Box<dyn Source>, String, Kind), FileError> {
        let shipped = || {
            let files = embedded.iter();
            files.map(|(name, bytes)| ((*name).to_owned(), Arc::from(*bytes)))
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
                let inside = HandedOver::inside(&name, kind);
                let given = files.into_iter().map(|file| {
                    let is_main = file.name == name;
                    let name = if is_main { &inside } else { &file.name };
                    (name.clone(), file.bytes)
                });
                let source = HandedOver {
                    memory: Memory::dropped(shipped().chain(given)),
                    main: name,
                    inside: inside.clone(),
                };
                Ok((Box::new(source), inside, kind))
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

/// What a file on disk is. Only a document has to be read whole for that.
#[cfg(not(target_arch = "wasm32"))]
pub fn kind_on_disk(path: &std::path::Path) -> Kind {
    use std::io::Read;

    let name = path.to_string_lossy();
    let mut head = Vec::new();
    let Ok(mut file) = std::fs::File::open(path) else {
        return Kind::of(&name, &[]);
    };
    // What fails here fails again, and is told, when the file is read.
    let begun = file.by_ref().take(256).read_to_end(&mut head).is_ok();
    let document = head.trim_ascii_start().starts_with(b"{") || head.starts_with(b"\xef\xbb\xbf");
    if begun && document && file.read_to_end(&mut head).is_err() {
        return Kind::Mesh;
    }
    Kind::of(&name, &head)
}

/// Files handed over, whose folders nobody told.
struct HandedOver {
    memory: Memory,
    /// The main one, as the person knows it.
    main: String,
    /// The same in the memory.
    inside: String,
}

impl HandedOver {
    /// Where the main file stands: a job one folder down, as it most likely did, so that what it refers to
    /// in the folders next to its own is not outside.
    fn inside(name: &str, kind: Kind) -> String {
        match kind {
            Kind::Job if !name.contains('/') => format!("jobs/{name}"),
            _ => name.to_owned(),
        }
    }
}

impl Source for HandedOver {
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError> {
        self.memory.read(path)
    }

    fn held(&self, path: &str) -> Option<Arc<[u8]>> {
        self.memory.held(path)
    }

    fn shown(&self, path: &str) -> String {
        let main = path == self.inside;
        if main { &self.main } else { path }.to_owned()
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
        Task::Stand { files, draft } => {
            if let Some(stood) = stand_measured(&draft, progress) {
                return Ok(Outcome::Stood(Box::new(stood?)));
            }
            let (source, name, kind) = files.found(embedded)?;
            let stood = stand(source.as_ref(), &name, kind, &draft, progress);
            let stood = stood.map_err(|error| error.shown_by(source.as_ref()))?;
            Ok(Outcome::Stood(Box::new(stood)))
        }
        Task::Sketch(_) => Ok(Outcome::Sketches(sketches())),
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
            Ok(Outcome::Hull(Box::new(opened)))
        }
        Kind::Mesh | Kind::Beside => {
            let stood = stand(source, name, kind, &Draft::default(), progress)?;
            Ok(Outcome::Stood(Box::new(stood)))
        }
        Kind::Job | Kind::Rig => {
            let mut job = open_job(source, name, progress)?;
            job.path = match source.place(name) {
                Some(place) => place.display().to_string(),
                None => source.shown(name),
            };
            Ok(Outcome::Job(Box::new(job)))
        }
    }
}

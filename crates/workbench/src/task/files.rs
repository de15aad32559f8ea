//! Where a task's files are, and what they are.

#[cfg(not(target_arch = "wasm32"))]
use std::path::PathBuf;
use std::sync::Arc;

use keelstead_files::given::Given;
use keelstead_files::job::Job;
use keelstead_files::kind::Kind;
#[cfg(not(target_arch = "wasm32"))]
use keelstead_files::source::Disk;
use keelstead_files::source::{Memory, Source, resolve};
use keelstead_files::{FileError, document};
use serde::{Deserialize, Serialize};

use super::Embedded;

/// Where a task's files are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Files {
    /// A file embedded in the program, by its path.
    Embedded(String),
    /// Files handed over with their bytes. The main one is told by what they hold. A job that was saved
    /// from a demo opens by itself: a hull or rig of the demo that it names by its path, and that nobody
    /// handed over, is the embedded one. Nothing else that a person's file refers to is.
    Given(Vec<Given>),
    /// A file on disk.
    #[cfg(not(target_arch = "wasm32"))]
    Disk(PathBuf),
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
    pub(super) fn found(
        self,
        embedded: &Embedded,
    ) -> Result<(Box<dyn Source>, String, Kind), FileError> {
        let shipped = |wanted: &dyn Fn(&str) -> bool| {
            let files = embedded.iter().filter(|(name, _)| wanted(name));
            Memory::new(files.map(|(name, bytes)| ((*name).to_owned(), *bytes)))
        };
        match self {
            Self::Embedded(path) => {
                let memory = shipped(&|_| true);
                let kind = Kind::of(&path, &memory.read(&path)?);
                Ok((Box::new(memory), path, kind))
            }
            Self::Given(files) => {
                let (name, kind) = main_of(&files).ok_or_else(|| FileError::Missing {
                    path: "no file".into(),
                    referred_by: None,
                })?;
                let inside = HandedOver::inside(&name, kind);
                let (main, beside): (Vec<Given>, Vec<Given>) =
                    files.into_iter().partition(|file| file.name == name);
                let main = main.into_iter().map(|file| (inside.clone(), file.bytes));
                let beside = beside.into_iter().map(|file| (file.name, file.bytes));
                let mut source = HandedOver {
                    main: Memory::new(main),
                    beside: Memory::dropped(beside),
                    shipped: Memory::default(),
                    name,
                    inside: inside.clone(),
                };
                if kind == Kind::Job {
                    let named = source.names_of_demo();
                    source.shipped = shipped(&|path| named.contains(&stem(path)));
                }
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
    /// The main one.
    main: Memory,
    /// The others.
    beside: Memory,
    /// What the program has of what the main one names.
    shipped: Memory,
    /// The main one, as the person knows it.
    name: String,
    /// The same as a path.
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

    /// Stems of what the job names and nobody handed over. What belongs to a hull that was handed over is
    /// the person's too, and not among them.
    fn names_of_demo(&self) -> Vec<String> {
        let bytes = self.main.read(&self.inside).unwrap_or_default();
        // What is wrong with it is told when it is opened.
        let Ok(job) = document::read::<Job>(&bytes, &self.name) else {
            return Vec::new();
        };
        let named = [&job.hull, &job.rig].map(|name| resolve(&self.inside, name));
        let named = named.into_iter().flatten();
        let missing = named.filter(|path| self.beside.held(path).is_none());
        missing.map(|path| stem(&path)).collect()
    }
}

/// A path without its endings: what stands beside a hull under its name is of that hull.
fn stem(path: &str) -> String {
    let name_at = path.rfind('/').map_or(0, |at| at + 1);
    let (folder, name) = path.split_at(name_at);
    let stem = name.split('.').next().unwrap_or_default();
    format!("{folder}{stem}")
}

impl Source for HandedOver {
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError> {
        let found = self.held(path).map(|bytes| bytes.to_vec());
        // Whose turn it is last says what is wrong.
        found.map_or_else(|| self.shipped.read(path), Ok)
    }

    fn held(&self, path: &str) -> Option<Arc<[u8]>> {
        let sources = [&self.main, &self.beside, &self.shipped];
        sources.iter().find_map(|source| source.held(path))
    }

    fn shown(&self, path: &str) -> String {
        let main = path == self.inside;
        if main { &self.name } else { path }.to_owned()
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

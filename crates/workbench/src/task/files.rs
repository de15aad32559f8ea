//! Where a task's files are, and what they are.

#[cfg(not(target_arch = "wasm32"))]
use std::path::PathBuf;
use std::sync::Arc;

use keelstead_files::FileError;
use keelstead_files::given::Given;
use keelstead_files::kind::Kind;
#[cfg(not(target_arch = "wasm32"))]
use keelstead_files::source::Disk;
use keelstead_files::source::{Memory, Source};
use serde::{Deserialize, Serialize};

use super::Embedded;

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

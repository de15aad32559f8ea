//! The files a job rests on, and where they can be had again: what saving the job elsewhere needs.

use std::cell::RefCell;
use std::path::PathBuf;
use std::sync::Arc;

use keelstead_boat::hull::Marks;
use serde::{Deserialize, Serialize};

use crate::document;
use crate::error::FileError;
use crate::hull_file::HullFile;
use crate::source::Source;

/// Where a file can be had again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Place {
    /// On disk.
    Disk(PathBuf),
    /// In memory: embedded, or dropped on a page. Whoever handed it over has it.
    Memory(#[serde(with = "crate::given::bytes")] Arc<[u8]>),
    /// In memory, and nowhere else: made by the program.
    Made(#[serde(with = "crate::given::bytes")] Arc<[u8]>),
}

/// A file that was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptFile {
    /// Its name in the source that it was read from. The names of files that refer to each other
    /// fit together: a reference, resolved from one, gives the other.
    pub name: String,
    /// Where it is.
    pub place: Place,
}

impl KeptFile {
    /// What it holds.
    ///
    /// # Errors
    /// [`FileError::Unreadable`] if it lies on a disk that does not give it any more.
    pub fn bytes(&self) -> Result<Arc<[u8]>, FileError> {
        match &self.place {
            Place::Memory(bytes) | Place::Made(bytes) => Ok(bytes.clone()),
            Place::Disk(path) => {
                std::fs::read(path)
                    .map(Into::into)
                    .map_err(|error| FileError::Unreadable {
                        path: path.display().to_string(),
                        why: error.to_string(),
                    })
            }
        }
    }
}

/// The files that a job rests on, in each list first the one that the job refers to.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct JobFiles {
    /// Hull description, mesh, and what the mesh refers to.
    pub hull: Vec<KeptFile>,
    /// The rig.
    pub rig: Vec<KeptFile>,
    /// Marks that the hull has been given since its description was read from disk; none if it has
    /// those of the description.
    pub marks: Option<Marks>,
}

impl JobFiles {
    /// The same files for a hull with other marks. A description in memory is written anew there;
    /// one on disk stays as it is, since other jobs may use it: saving writes the job its own.
    ///
    /// # Errors
    /// [`FileError`] if there is no description, or what is there is none.
    pub fn marked(&self, marks: &Marks) -> Result<Self, FileError> {
        let mut files = self.clone();
        let Some(first) = files.hull.first_mut() else {
            return Err(FileError::NotSaved {
                path: "hull".into(),
                why: "there is no hull description to keep marks in".into(),
                advice: "open the job from its files".into(),
            });
        };
        match &first.place {
            Place::Disk(_) => files.marks = Some(marks.clone()),
            Place::Memory(bytes) | Place::Made(bytes) => {
                let described = document::read::<HullFile>(bytes, &first.name)?.marked(marks);
                let text = described.text(&first.name)?;
                first.place = Place::Made(text.into_bytes().into());
            }
        }
        Ok(files)
    }

    /// Name and content of the files that nobody has yet: they must be handed over with the job.
    pub fn made(&self) -> impl Iterator<Item = (&str, &[u8])> {
        let files = self.hull.iter().chain(&self.rig);
        files.filter_map(|file| match &file.place {
            Place::Made(bytes) => Some((file.name.as_str(), bytes.as_ref())),
            _ => None,
        })
    }
}

/// A source that notes what is read from it.
pub(crate) struct Noting<'s> {
    source: &'s dyn Source,
    read: RefCell<Vec<KeptFile>>,
}

impl<'s> Noting<'s> {
    pub(crate) fn new(source: &'s dyn Source) -> Self {
        Self {
            source,
            read: RefCell::default(),
        }
    }

    fn in_memory(&self, path: &str, bytes: &[u8]) -> Place {
        Place::Memory(self.held(path).unwrap_or_else(|| bytes.into()))
    }

    /// What was read since the last call, in order.
    pub(crate) fn take(&self) -> Vec<KeptFile> {
        self.read.take()
    }
}

impl Source for Noting<'_> {
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError> {
        let bytes = self.source.read(path)?;
        let mut read = self.read.borrow_mut();
        if read.iter().all(|file| file.name != path) {
            read.push(KeptFile {
                name: path.to_owned(),
                place: self
                    .source
                    .place(path)
                    .map_or_else(|| self.in_memory(path, &bytes), Place::Disk),
            });
        }
        Ok(bytes)
    }

    fn held(&self, path: &str) -> Option<Arc<[u8]>> {
        self.source.held(path)
    }

    fn place(&self, path: &str) -> Option<PathBuf> {
        self.source.place(path)
    }

    fn shown(&self, path: &str) -> String {
        self.source.shown(path)
    }
}

//! The shelf as a folder on disk.

use std::fs;
use std::io;
use std::path::{Component, Path, PathBuf};
use std::time::UNIX_EPOCH;

use serde::{Deserialize, Serialize};

use super::{DESCRIPTION, NOTES, Put, Shelved, ToShelve};
use crate::document;
use crate::error::FileError;
use crate::given::Given;
use crate::hull_file::HullFile;

/// Beginning of the names of folders that are being written or taken away.
const UNFINISHED: &str = ".unfinished-";

/// The shelf in a folder of this machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DiskShelf {
    folder: PathBuf,
}

/// What the shelf itself writes down about a hull.
#[derive(Debug, Serialize, Deserialize)]
struct Notes {
    size_m: [f64; 3],
}

impl DiskShelf {
    /// A shelf in `folder`, which need not be there yet.
    pub fn new(folder: impl Into<PathBuf>) -> Self {
        Self {
            folder: folder.into(),
        }
    }

    /// The user's shelf: the folder that the environment variable `KEELSTEAD_SHELF` names, or `hulls`
    /// in the folder where the system wants programs to keep a user's data.
    ///
    /// # Errors
    /// [`FileError::Unreadable`] if the user has no home folder.
    pub fn of_user() -> Result<Self, FileError> {
        if let Some(folder) = std::env::var_os("KEELSTEAD_SHELF").filter(|name| !name.is_empty()) {
            return Ok(Self::new(folder));
        }
        let folders = directories::ProjectDirs::from("", "", "keelstead").ok_or_else(|| {
            FileError::Unreadable {
                path: "the shelf of hulls".into(),
                why: "this user has no home folder; name a folder in the environment variable \
                      KEELSTEAD_SHELF"
                    .into(),
            }
        })?;
        Ok(Self::new(folders.data_dir().join("hulls")))
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// What stands on the shelf, by name.
    ///
    /// # Errors
    /// [`FileError::Unreadable`] if the folder is there and cannot be read.
    pub fn list(&self) -> Result<Vec<Shelved>, FileError> {
        let entries = match fs::read_dir(&self.folder) {
            Ok(entries) => entries,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
            Err(error) => return Err(unreadable(&self.folder, &error)),
        };
        let mut found = Vec::new();
        for entry in entries {
            let path = entry
                .map_err(|error| unreadable(&self.folder, &error))?
                .path();
            let id = path
                .file_name()
                .map(|name| name.to_string_lossy().into_owned());
            match id {
                Some(id) if path.is_dir() && !id.starts_with('.') => found.push(look(&path, id)),
                _ => {}
            }
        }
        found.sort_by(|a, b| (a.name.to_lowercase(), &a.id).cmp(&(b.name.to_lowercase(), &b.id)));
        Ok(found)
    }

    /// Puts a hull on the shelf, whole or not at all.
    ///
    /// # Errors
    /// As [`ToShelve::packed`], and [`FileError::NotSaved`]; the shelf is then as it was.
    pub fn put(&self, hull: &ToShelve) -> Result<Put, FileError> {
        let packed = hull.packed()?;
        let id = hull.id();
        let place = self.folder.join(&id);
        if place.exists() && !hull.replace {
            return Ok(Put::Taken(look(&place, id)));
        }
        self.write(hull, &packed, &place)
            .map_err(|error| FileError::NotSaved {
                path: place.display().to_string(),
                why: error.to_string(),
                advice: "make room or choose another folder with KEELSTEAD_SHELF, and try again"
                    .into(),
            })?;
        Ok(Put::Done(look(&place, id)))
    }

    fn write(&self, hull: &ToShelve, packed: &[Given], place: &Path) -> io::Result<()> {
        fs::create_dir_all(&self.folder)?;
        let new = tempfile::Builder::new()
            .prefix(UNFINISHED)
            .tempdir_in(&self.folder)?;
        let notes = serde_json::to_vec_pretty(&Notes {
            size_m: hull.size_m,
        })?;
        for file in packed.iter().chain([&Given::new(NOTES, notes)]) {
            let path = new.path().join(within(&file.name)?);
            if let Some(folder) = path.parent() {
                fs::create_dir_all(folder)?;
            }
            let mut out = fs::File::create_new(&path)?;
            io::Write::write_all(&mut out, &file.bytes)?;
            out.sync_all()?;
        }
        if !place.exists() {
            fs::rename(new.path(), place)?;
            // It is the shelf's now.
            let _ = new.keep();
            return Ok(());
        }
        // What stands there is kept until the new one does.
        let old = tempfile::Builder::new()
            .prefix(UNFINISHED)
            .tempdir_in(&self.folder)?;
        let aside = old.path().join("old");
        fs::rename(place, &aside)?;
        if let Err(error) = fs::rename(new.path(), place) {
            if fs::rename(&aside, place).is_err() {
                // Better a folder with an odd name than a hull lost.
                let _ = old.keep();
            }
            return Err(error);
        }
        let _ = new.keep();
        Ok(())
    }

    /// Where the description of a hull on the shelf lies.
    ///
    /// # Errors
    /// [`FileError::Missing`] if the shelf has none of this id.
    pub fn get(&self, id: &str) -> Result<PathBuf, FileError> {
        Ok(self.place_of(id)?.join(DESCRIPTION))
    }

    /// Takes a hull off the shelf for good.
    ///
    /// # Errors
    /// [`FileError::Missing`] if the shelf has none of this id, [`FileError::NotSaved`] if the system
    /// does not let it be removed.
    pub fn remove(&self, id: &str) -> Result<(), FileError> {
        let place = self.place_of(id)?;
        let failed = |error: io::Error| FileError::NotSaved {
            path: place.display().to_string(),
            why: error.to_string(),
            advice: "close programs that have it open, and try again".into(),
        };
        // Out of sight in one step; a folder removed half would be listed as broken.
        let old = tempfile::Builder::new()
            .prefix(UNFINISHED)
            .tempdir_in(&self.folder)
            .map_err(failed)?;
        fs::rename(&place, old.path().join("old")).map_err(failed)?;
        old.close().map_err(failed)
    }

    fn place_of(&self, id: &str) -> Result<PathBuf, FileError> {
        let mut steps = Path::new(id).components();
        let plain = matches!(
            (steps.next(), steps.next()),
            (Some(Component::Normal(_)), None)
        );
        let place = self.folder.join(id);
        if plain && !id.starts_with('.') && place.is_dir() {
            return Ok(place);
        }
        Err(FileError::Missing {
            path: format!("{id} on the shelf {}", self.folder.display()),
            referred_by: None,
        })
    }
}

/// A file's name as a path that does not leave its folder.
fn within(name: &str) -> io::Result<PathBuf> {
    let path = PathBuf::from(name);
    let inside = path
        .components()
        .all(|step| matches!(step, Component::Normal(_)));
    if inside && !name.is_empty() {
        return Ok(path);
    }
    Err(io::Error::new(
        io::ErrorKind::InvalidInput,
        format!("{name:?} leads out of the hull's folder"),
    ))
}

/// The hull in this folder of the shelf.
fn look(place: &Path, id: String) -> Shelved {
    let description = place.join(DESCRIPTION);
    let shown = description.display().to_string();
    let read = || -> Result<HullFile, FileError> {
        let bytes = fs::read(&description).map_err(|error| match error.kind() {
            io::ErrorKind::NotFound => FileError::Missing {
                path: shown.clone(),
                referred_by: None,
            },
            _ => unreadable(&description, &error),
        })?;
        let described: HullFile = document::read(&bytes, &shown)?;
        let mesh = place.join(&described.mesh);
        if mesh.is_file() {
            return Ok(described);
        }
        Err(FileError::Missing {
            path: mesh.display().to_string(),
            referred_by: Some(shown.clone()),
        })
    };
    let notes = fs::read(place.join(NOTES)).ok();
    let notes: Option<Notes> = notes.and_then(|bytes| serde_json::from_slice(&bytes).ok());
    let since = fs::metadata(&description).and_then(|data| data.modified());
    let since = since.ok().and_then(|at| at.duration_since(UNIX_EPOCH).ok());
    let (name, trouble) = match read() {
        Ok(described) => (described.name, None),
        Err(error) => (id.clone(), Some(error.to_string())),
    };
    Shelved {
        id,
        name,
        size_m: notes.map(|notes| notes.size_m),
        since_s: since.map(|since| since.as_secs_f64()),
        trouble,
    }
}

fn unreadable(path: &Path, error: &io::Error) -> FileError {
    FileError::Unreadable {
        path: path.display().to_string(),
        why: error.to_string(),
    }
}

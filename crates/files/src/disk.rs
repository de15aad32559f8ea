//! Files of a folder on disk.

use std::path::{Path, PathBuf};

use crate::error::FileError;
use crate::source::{Source, normal};

/// A folder on disk; nothing outside it is read, not even through links.
#[derive(Debug, Clone)]
pub struct Disk {
    root: PathBuf,
}

impl Disk {
    /// The folder `root`.
    pub fn new(root: impl Into<PathBuf>) -> Self {
        Self { root: root.into() }
    }

    /// The folder above the one that holds `file`, and the file's name in it.
    ///
    /// A yard keeps `jobs`, `hulls` and `rigs` side by side, so a job may refer to the folders
    /// next to its own, and to nothing further away.
    ///
    /// # Errors
    /// [`FileError::Missing`] or [`FileError::Unreadable`].
    pub fn around(file: &Path) -> Result<(Self, String), FileError> {
        let whole = file
            .canonicalize()
            .map_err(|error| told(error, &file.display().to_string()))?;
        let root = root_above(whole.parent().unwrap_or(Path::new("/")));
        let name = whole.strip_prefix(root).unwrap_or(&whole);
        let steps: Vec<_> = name
            .components()
            .map(|step| step.as_os_str().to_string_lossy())
            .collect();
        Ok((Self::new(root), steps.join("/")))
    }

    /// Where the file of this name lies on disk.
    ///
    /// # Errors
    /// [`FileError::Outside`] if the name leads out of the folder.
    pub fn path_of(&self, name: &str) -> Result<PathBuf, FileError> {
        Ok(self.root.join(normal(name)?))
    }
}

/// The folder that a file in `folder` may refer into.
pub(crate) fn root_above(folder: &Path) -> &Path {
    folder.parent().unwrap_or(folder)
}

/// `whole` as a person in the working folder would write it.
fn as_written(whole: PathBuf) -> String {
    let here = std::env::current_dir().and_then(|here| here.canonicalize());
    let below = here
        .ok()
        .and_then(|here| Some(whole.strip_prefix(here).ok()?.to_owned()));
    below.unwrap_or(whole).display().to_string()
}

fn told(error: std::io::Error, path: &str) -> FileError {
    match error.kind() {
        std::io::ErrorKind::NotFound => FileError::Missing {
            path: path.to_owned(),
            referred_by: None,
        },
        _ => FileError::Unreadable {
            path: path.to_owned(),
            why: error.to_string(),
        },
    }
}

impl Source for Disk {
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError> {
        let whole = self
            .path_of(path)?
            .canonicalize()
            .map_err(|error| told(error, path))?;
        let root = self
            .root
            .canonicalize()
            .map_err(|error| told(error, path))?;
        if !whole.starts_with(&root) {
            return Err(FileError::Outside {
                path: path.to_owned(),
                referred_by: None,
            });
        }
        std::fs::read(&whole).map_err(|error| told(error, path))
    }

    fn place(&self, path: &str) -> Option<PathBuf> {
        Some(self.root.canonicalize().ok()?.join(normal(path).ok()?))
    }

    fn shown(&self, path: &str) -> String {
        self.place(path).map_or_else(|| path.to_owned(), as_written)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_job_may_refer_to_the_folders_next_to_its_own() {
        let yard = tempfile::tempdir().unwrap();
        std::fs::create_dir_all(yard.path().join("in/jobs")).unwrap();
        std::fs::create_dir_all(yard.path().join("in/hulls")).unwrap();
        std::fs::write(yard.path().join("in/jobs/a.json"), "job").unwrap();
        std::fs::write(yard.path().join("in/hulls/b.json"), "hull").unwrap();
        let (disk, name) = Disk::around(&yard.path().join("in/jobs/a.json")).unwrap();
        assert_eq!(name, "jobs/a.json");
        assert_eq!(disk.read(&name).unwrap(), b"job");
        assert_eq!(disk.read("hulls/b.json").unwrap(), b"hull");
        assert!(matches!(disk.read("../x"), Err(FileError::Outside { .. })));
        assert!(matches!(
            disk.read("hulls/c.json"),
            Err(FileError::Missing { .. })
        ));
        assert!(matches!(
            disk.read("hulls"),
            Err(FileError::Unreadable { .. })
        ));
    }

    #[cfg(unix)]
    #[test]
    fn a_link_out_of_the_folder_is_refused() {
        let yard = tempfile::tempdir().unwrap();
        let other = tempfile::tempdir().unwrap();
        std::fs::write(other.path().join("secret"), "x").unwrap();
        std::os::unix::fs::symlink(other.path().join("secret"), yard.path().join("mesh.stl"))
            .unwrap();
        let error = Disk::new(yard.path()).read("mesh.stl").unwrap_err();
        assert!(matches!(error, FileError::Outside { .. }), "{error}");
    }
}

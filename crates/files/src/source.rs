//! Where files come from: a folder on disk, or files in memory.
//!
//! Inside a source every file has one name: its path from the source's root, `/` between folders.
//! A document refers to another file relative to itself; [`resolve`] turns that into a name of the
//! source and refuses what would lead out of it.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use crate::error::FileError;

#[cfg(not(target_arch = "wasm32"))]
pub use crate::disk::Disk;

/// Gives the bytes of a file by its name.
pub trait Source {
    /// The whole file named `path`: a path from the source's root, `/` between folders.
    ///
    /// # Errors
    /// [`FileError::Missing`], [`FileError::Outside`] or [`FileError::Unreadable`].
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError>;

    /// The same bytes without a copy, if the source holds them in memory.
    fn held(&self, path: &str) -> Option<Arc<[u8]>> {
        let _ = path;
        None
    }

    /// Where on disk the file named `path` lies; none if it lies on none.
    fn place(&self, path: &str) -> Option<PathBuf> {
        let _ = path;
        None
    }

    /// How a message names the file, so that the reader can find it.
    fn shown(&self, path: &str) -> String {
        path.to_owned()
    }
}

/// The name, in the same source, of the file that `referrer` calls `reference`.
///
/// ```
/// # use keelstead_files::source::resolve;
/// assert_eq!(resolve("jobs/easy.json", "../hulls/petrel.json").unwrap(), "hulls/petrel.json");
/// assert!(resolve("jobs/easy.json", "../../secret").is_err());
/// ```
///
/// # Errors
/// [`FileError::Outside`] for a reference that is absolute, empty, written with backslashes or
/// leads out of the source.
pub fn resolve(referrer: &str, reference: &str) -> Result<String, FileError> {
    let outside = || FileError::Outside {
        path: reference.to_owned(),
        referred_by: Some(referrer.to_owned()),
    };
    let names_no_file = matches!(reference.rsplit('/').next(), None | Some("" | "." | ".."));
    if names_no_file || reference.contains(['\\', ':', '\0']) || reference.starts_with('/') {
        return Err(outside());
    }
    let folder = referrer.rsplit_once('/').map_or("", |(folder, _)| folder);
    clean(folder.split('/').chain(reference.split('/'))).ok_or_else(outside)
}

/// `path` without `.` and `..`, or none if it leaves the root or names nothing.
fn clean<'a>(steps: impl Iterator<Item = &'a str>) -> Option<String> {
    let mut kept: Vec<&str> = Vec::new();
    for step in steps {
        match step {
            "" | "." => {}
            ".." => {
                kept.pop()?;
            }
            name => kept.push(name),
        }
    }
    (!kept.is_empty()).then(|| kept.join("/"))
}

/// The name of a source's file with its `.` and `..` worked out.
///
/// # Errors
/// [`FileError::Outside`] if it leaves the root.
pub(crate) fn normal(path: &str) -> Result<String, FileError> {
    clean(path.split('/')).ok_or_else(|| FileError::Outside {
        path: path.to_owned(),
        referred_by: None,
    })
}

/// Reads the file that `referrer` calls `reference`; gives its name too.
pub(crate) fn read_reference(
    source: &dyn Source,
    referrer: &str,
    reference: &str,
) -> Result<(String, Vec<u8>), FileError> {
    let path = resolve(referrer, reference)?;
    let bytes = source
        .read(&path)
        .map_err(|error| error.referred_by(referrer))?;
    Ok((path, bytes))
}

/// Files in memory: embedded ones with their folders, or files dropped on a window or page.
#[derive(Debug, Clone, Default)]
pub struct Memory {
    files: BTreeMap<String, Arc<[u8]>>,
    folders_matter: bool,
}

impl Memory {
    /// Files with their folders, found only by their whole path.
    pub fn new<B: Into<Arc<[u8]>>>(files: impl IntoIterator<Item = (String, B)>) -> Self {
        let files = files.into_iter();
        Self {
            files: files.map(|(name, bytes)| (name, bytes.into())).collect(),
            folders_matter: true,
        }
    }

    /// Files dropped together. A page is not told their folders, so where no path fits, a file of
    /// the same last name does, if there is just one.
    pub fn dropped<B: Into<Arc<[u8]>>>(files: impl IntoIterator<Item = (String, B)>) -> Self {
        Self {
            folders_matter: false,
            ..Self::new(files)
        }
    }

    /// The file that `path` finds.
    fn find(&self, path: &str) -> Result<&Arc<[u8]>, FileError> {
        let missing = || FileError::Missing {
            path: path.to_owned(),
            referred_by: None,
        };
        let name = normal(path)?;
        if let Some(bytes) = self.files.get(&name) {
            return Ok(bytes);
        }
        if self.folders_matter {
            return Err(missing());
        }
        let mut alike = self
            .files
            .iter()
            .filter(|(held, _)| last_name(held) == last_name(&name));
        match (alike.next(), alike.next()) {
            (Some((_, bytes)), None) => Ok(bytes),
            _ => Err(missing()),
        }
    }

    /// The names of all files.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.files.keys().map(String::as_str)
    }
}

fn last_name(path: &str) -> &str {
    path.rsplit_once('/').map_or(path, |(_, last)| last)
}

impl Source for Memory {
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError> {
        self.find(path).map(|bytes| bytes.to_vec())
    }

    fn held(&self, path: &str) -> Option<Arc<[u8]>> {
        self.find(path).ok().cloned()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn file(name: &str, text: &str) -> (String, Vec<u8>) {
        (name.to_owned(), text.as_bytes().to_vec())
    }

    #[test]
    fn references_are_relative_to_the_file_that_holds_them() {
        assert_eq!(resolve("a.json", "b.json").unwrap(), "b.json");
        assert_eq!(resolve("x/y/a.json", "./b.json").unwrap(), "x/y/b.json");
        assert_eq!(resolve("x/y/a.json", "../../b.json").unwrap(), "b.json");
        assert_eq!(resolve("x/a.json", "y/../b.json").unwrap(), "x/b.json");
    }

    #[test]
    fn nothing_leads_out() {
        for bad in [
            "../../../etc/passwd",
            "/etc/passwd",
            "C:/boot.ini",
            "..\\x",
            "",
            "..",
            "file:x",
            "a\0b",
        ] {
            let error = resolve("x/a.json", bad).unwrap_err();
            assert!(
                matches!(error, FileError::Outside { .. }),
                "{bad:?}: {error}"
            );
            assert!(error.to_string().contains("x/a.json"), "{error}");
        }
    }

    #[test]
    fn a_missing_reference_names_both_files() {
        let source = Memory::new([file("jobs/a.json", "{}")]);
        let error = read_reference(&source, "jobs/a.json", "../hulls/b.json").unwrap_err();
        let text = error.to_string();
        assert!(
            text.contains("hulls/b.json") && text.contains("jobs/a.json"),
            "{text}"
        );
    }

    #[test]
    fn dropped_files_are_found_by_last_name_when_there_is_just_one() {
        let files = [
            file("a/one.json", "1"),
            file("b/two.json", "2"),
            file("two.json", "3"),
        ];
        let dropped = Memory::dropped(files.clone());
        assert_eq!(dropped.read("hulls/one.json").unwrap(), b"1");
        assert!(dropped.read("hulls/two.json").is_err(), "two candidates");
        assert_eq!(dropped.read("two.json").unwrap(), b"3");
        assert!(Memory::new(files).read("hulls/one.json").is_err());
    }
}

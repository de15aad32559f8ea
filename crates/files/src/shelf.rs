//! The yard's own shelf of hulls: each with its description, its mesh and what the mesh refers to.
//!
//! On disk a folder with one folder a hull, plain files that can be copied and mailed; the page keeps
//! the same files in the browser. What stands on the shelf is never written over unasked.

use keelstead_boat::hull::Hull;
use serde::{Deserialize, Serialize};

use crate::document;
use crate::error::{FileError, Spot};
use crate::given::Given;
use crate::hull_file::HullFile;
use crate::kept::KeptFile;

#[cfg(not(target_arch = "wasm32"))]
mod on_disk;
#[cfg(test)]
mod tests;

#[cfg(not(target_arch = "wasm32"))]
pub use on_disk::DiskShelf;

/// Name of a shelved hull's description, beside its mesh.
pub const DESCRIPTION: &str = "hull.json";
/// Name of the file that a shelf keeps its own notes on a hull in.
pub const NOTES: &str = "shelf.json";

/// A hull on the shelf, as a list shows it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Shelved {
    /// What the shelf knows it by: the name of its folder.
    pub id: String,
    /// The boat's name.
    pub name: String,
    /// Length, beam and height over all, m; none if the shelf has no note of them, as for a folder
    /// copied in by hand.
    pub size_m: Option<[f64; 3]>,
    /// When it was put there, seconds since the beginning of 1970 (UTC); none if the platform does not
    /// tell.
    pub since_s: Option<f64>,
    /// Why it cannot be used, if so: it can still be taken off the shelf.
    pub trouble: Option<String>,
}

impl Shelved {
    /// The day it was put there, as 2026-11-25 (UTC).
    pub fn day(&self) -> Option<String> {
        let days = (self.since_s? / 86_400.0).floor();
        // Until the year 9999.
        (0.0..2_932_897.0).contains(&days).then(|| {
            let (year, month, day) = civil(days as i64);
            format!("{year}-{month:02}-{day:02}")
        })
    }
}

/// Year, month and day of so many days after 1970-01-01, in the calendar that leap years follow today.
fn civil(days: i64) -> (i64, i64, i64) {
    // Years that begin with March end with the leap day. [H. Hinnant, "chrono-Compatible Low-Level
    // Date Algorithms", civil_from_days; from memory]
    let days = days + 719_468;
    let era = days.div_euclid(146_097);
    let of_era = days.rem_euclid(146_097);
    let year = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let month = (5 * of_year + 2) / 153;
    let day = of_year - (153 * month + 2) / 5 + 1;
    let month = if month < 10 { month + 3 } else { month - 9 };
    (year + era * 400 + i64::from(month <= 2), month, day)
}

/// A hull to be put on the shelf.
#[derive(Debug, Clone, PartialEq)]
pub struct ToShelve {
    /// The boat's name.
    pub name: String,
    /// Length, beam and height over all, m.
    pub size_m: [f64; 3],
    /// Its files, the description first.
    pub files: Vec<KeptFile>,
    /// Whether it takes the place of a hull of the same name.
    pub replace: bool,
}

impl ToShelve {
    /// A hull and the files it was read from, its description first.
    pub fn new(hull: &Hull, files: &[KeptFile], replace: bool) -> Self {
        Self {
            name: hull.name.clone(),
            size_m: hull.bounds.extents().to_array(),
            files: files.to_vec(),
            replace,
        }
    }

    /// What the shelf will know it by.
    pub fn id(&self) -> String {
        id_of(&self.name)
    }

    /// Its files as they stand on the shelf: the description, the mesh beside it, and what the mesh
    /// refers to where it expects it.
    ///
    /// # Errors
    /// [`FileError`] if a file cannot be read any more, the first is no hull description, or the
    /// mesh refers to files that are not in its own folder or below.
    pub fn packed(&self) -> Result<Vec<Given>, FileError> {
        let (described, others) = self.files.split_first().ok_or_else(|| {
            FileError::fault(
                &self.name,
                Spot::Whole,
                "no files to put on the shelf",
                "a hull description and its mesh",
                "Open the hull again",
            )
        })?;
        let mut description: HullFile = document::read(&described.bytes()?, &described.name)?;
        let (mesh, beside) = others.split_first().ok_or_else(|| FileError::Missing {
            path: description.mesh.clone(),
            referred_by: Some(described.name.clone()),
        })?;
        let folder = mesh.name.rsplit_once('/').map_or("", |(folder, _)| folder);
        let prefix = if folder.is_empty() {
            String::new()
        } else {
            format!("{folder}/")
        };
        let mesh_name = mesh_name(mesh.name.strip_prefix(&prefix).unwrap_or(&mesh.name));
        description.mesh.clone_from(&mesh_name);
        let text = serde_json::to_vec_pretty(&description).map_err(|error| {
            FileError::fault(
                &described.name,
                Spot::Whole,
                error.to_string(),
                "a hull description that can be written",
                "Put the number right",
            )
        })?;
        let mut packed = vec![
            Given::new(DESCRIPTION, text),
            Given::new(mesh_name, mesh.bytes()?),
        ];
        for file in beside {
            let name = file.name.strip_prefix(&prefix).ok_or_else(|| {
                FileError::fault(
                    &mesh.name,
                    Spot::Whole,
                    format!("it refers to {}, which is in another folder", file.name),
                    "all files of a mesh in its own folder or below",
                    "Put them together, or import the hull, which writes one file",
                )
            })?;
            packed.push(Given::new(name, file.bytes()?));
        }
        Ok(packed)
    }
}

/// What came of putting a hull on the shelf.
#[derive(Debug, Clone, PartialEq)]
pub enum Put {
    /// It stands there now.
    Done(Shelved),
    /// One of this name stands there already, and was left as it is.
    Taken(Shelved),
}

/// What the shelf knows a boat of this name by: small letters and digits with hyphens between, a name
/// that any system takes for a folder.
pub fn id_of(name: &str) -> String {
    /// Names that some systems keep for devices.
    const RESERVED: [&str; 4] = ["con", "prn", "aux", "nul"];
    let mut id = String::new();
    for letter in name.to_lowercase().chars() {
        if letter.is_alphanumeric() {
            id.push(letter);
        } else if !id.is_empty() && !id.ends_with('-') {
            id.push('-');
        }
        // Folder names are counted in bytes, and letters may take four.
        if id.len() > 80 {
            break;
        }
    }
    let id = id.trim_end_matches('-');
    let device = RESERVED.contains(&id)
        || (id.len() == 4 && (id.starts_with("com") || id.starts_with("lpt")));
    match id {
        "" => "hull".into(),
        id if device => format!("{id}-hull"),
        id => id.into(),
    }
}

/// A mesh's name on the shelf: its own, unless the shelf needs that one itself.
fn mesh_name(name: &str) -> String {
    if name == DESCRIPTION || name == NOTES {
        format!("mesh-{name}")
    } else {
        name.to_owned()
    }
}

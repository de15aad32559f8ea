//! A job with its hull and rig, read whole and checked, ready for the engine.

use keelstead_boat::hull::Hull;
use keelstead_load::rig::Rig;
use serde::{Deserialize, Serialize};

use crate::document;
use crate::error::{FileError, Notice};
use crate::hull_file::HullFile;
use crate::job::Job;
use crate::kept::{JobFiles, KeptFile, Noting};
use crate::mesh_file;
use crate::placing;
use crate::progress::{Progress, Stretch, step};
use crate::rig_file::RigFile;
use crate::source::{Source, normal, read_reference};

/// A job with its hull and rig.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct OpenJob {
    /// The job file, as its source names it.
    pub path: String,
    /// The job as written.
    pub job: Job,
    /// The boat.
    pub hull: Hull,
    /// The trailer.
    pub rig: Rig,
    /// The files that hull and rig were read from.
    pub files: JobFiles,
    /// What was noticed on the way.
    pub notices: Vec<Notice>,
}

/// A hull read whole.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct OpenHull {
    /// The boat.
    pub hull: Hull,
    /// The files it was read from, its description first if that was one.
    pub files: Vec<KeptFile>,
    /// What was noticed on the way.
    pub notices: Vec<Notice>,
}

/// Opens the job named `path` with the hull and rig it refers to.
///
/// # Errors
/// The first [`FileError`] met; nothing half read comes with it.
pub fn open_job(
    source: &dyn Source,
    path: &str,
    progress: &dyn Progress,
) -> Result<OpenJob, FileError> {
    let read = || {
        let path = normal(path)?;
        step(progress, 0.0, "job")?;
        let job: Job = document::read(&source.read(&path)?, &path)?;
        valid(&path, "load", job.load.validate())?;
        step(progress, 0.05, "rig")?;
        let noting = Noting::new(source);
        let (rig_path, bytes) = read_reference(&noting, &path, &job.rig)?;
        let rig = rig_from(&bytes, &rig_path)?;
        let rig_files = noting.take();
        let (hull_path, bytes) = read_reference(&noting, &path, &job.hull)?;
        let rest = Stretch::new(progress, 0.1, 1.0);
        let (hull, notices) = described_hull(&noting, &bytes, &hull_path, &rest)?;
        Ok(OpenJob {
            path,
            job,
            hull,
            rig,
            files: JobFiles {
                hull: noting.take(),
                rig: rig_files,
                marks: None,
            },
            notices: shown(notices, source),
        })
    };
    read().map_err(|error: FileError| error.shown_by(source))
}

/// Opens the rig named `path`.
///
/// # Errors
/// As [`open_job`].
pub fn open_rig(source: &dyn Source, path: &str) -> Result<Rig, FileError> {
    let read = || {
        let path = normal(path)?;
        rig_from(&source.read(&path)?, &path)
    };
    read().map_err(|error: FileError| error.shown_by(source))
}

/// Opens the hull description named `path` with its mesh.
///
/// # Errors
/// As [`open_job`].
pub fn open_hull(
    source: &dyn Source,
    path: &str,
    progress: &dyn Progress,
) -> Result<OpenHull, FileError> {
    noted(source, |noting| {
        let path = normal(path)?;
        described_hull(noting, &noting.read(&path)?, &path, progress)
    })
}

/// The hull that `described`, standing in the file `path`, describes.
///
/// # Errors
/// As [`open_job`].
pub fn hull_of(
    source: &dyn Source,
    described: &HullFile,
    path: &str,
    progress: &dyn Progress,
) -> Result<OpenHull, FileError> {
    noted(source, |noting| meshed(noting, described, path, progress))
}

/// What was read from a source, and from which of its files.
fn noted(
    source: &dyn Source,
    read: impl FnOnce(&Noting) -> Result<(Hull, Vec<Notice>), FileError>,
) -> Result<OpenHull, FileError> {
    let noting = Noting::new(source);
    let (hull, notices) = read(&noting).map_err(|error| error.shown_by(source))?;
    Ok(OpenHull {
        hull,
        files: noting.take(),
        notices: shown(notices, source),
    })
}

fn shown(notices: Vec<Notice>, source: &dyn Source) -> Vec<Notice> {
    let shown = |notice: Notice| Notice::new(source.shown(&notice.file), notice.says);
    notices.into_iter().map(shown).collect()
}

fn rig_from(bytes: &[u8], path: &str) -> Result<Rig, FileError> {
    let file: RigFile = document::read(bytes, path)?;
    valid(path, "rig", file.rig.validate())?;
    Ok(file.rig)
}

fn described_hull(
    source: &dyn Source,
    bytes: &[u8],
    path: &str,
    progress: &dyn Progress,
) -> Result<(Hull, Vec<Notice>), FileError> {
    let described: HullFile = document::read(bytes, path)?;
    meshed(source, &described, path, progress)
}

fn meshed(
    source: &dyn Source,
    described: &HullFile,
    path: &str,
    progress: &dyn Progress,
) -> Result<(Hull, Vec<Notice>), FileError> {
    step(progress, 0.0, "mesh")?;
    let (mesh_path, bytes) = read_reference(source, path, &described.mesh)?;
    let mesh = mesh_file::read_with(
        &bytes,
        &mesh_path,
        &mesh_file::Surroundings {
            source,
            progress: &Stretch::new(progress, 0.1, 0.7),
        },
    )?;
    step(progress, 0.7, "hull")?;
    let hull = placing::hull(described, path, mesh)?;
    step(progress, 1.0, "done")?;
    Ok(hull)
}

/// Turns figures the engine refuses into an error of the file that holds them, under `field`.
fn valid<P: std::fmt::Display>(
    file: &str,
    field: &str,
    checked: Result<(), Vec<P>>,
) -> Result<(), FileError> {
    checked.map_err(|problems| FileError::Contradiction {
        path: file.to_owned(),
        problems: problems
            .iter()
            .map(|problem| format!("at {field}.{problem}").into())
            .collect(),
    })
}

//! Saving to a folder on disk.

use std::io::Write;
use std::path::Path;

use super::bring::Bring;
use super::{Saved, job_text};
use crate::error::FileError;
use crate::job::Job;
use crate::kept::JobFiles;

/// Writes the job to `path` so that it opens there. Readers see the old file or the new one,
/// never a part.
///
/// References to hull and rig are written anew for the new place. Files that a job there could
/// not refer to (they are further away than the folders next to its own, or on no disk) are
/// copied into the job's folder under the names they have in their source; a file that is there
/// already is never written over. Where `files` names none, a reference stays as it is.
///
/// A hull that was given other marks gets a description of the job's own beside the job, named
/// after it; the one it was read from stays as it is, since other jobs may use it.
///
/// # Errors
/// [`FileError::NotSaved`]; what stood at `path` before still stands. Copies made before
/// the job itself failed are left: the next try finds them equal.
pub fn save_job(path: &Path, job: &Job, files: &JobFiles) -> Result<Saved, FileError> {
    let shown = path.display().to_string();
    let told = |why: String| FileError::NotSaved {
        path: shown.clone(),
        why,
        advice: "save it under another name or in another folder".into(),
    };
    // A link is followed, so that the file it leads to is replaced and not the link.
    let target = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let mut job = job.clone();
    let mut bring = Bring::to(&target).map_err(told)?;
    let hull = match &files.marks {
        Some(marks) => bring.marked(&mut job.hull, &files.hull, marks),
        None => bring.along(&mut job.hull, &files.hull),
    };
    let files = JobFiles {
        hull: hull.map_err(told)?,
        rig: bring.along(&mut job.rig, &files.rig).map_err(told)?,
        marks: None,
    };
    let text = job_text(&job, &shown)?;
    check_writable(&target).map_err(told)?;
    let brought = bring.write().map_err(told)?;
    write_whole(&target, text.as_bytes()).map_err(|error| told(error.to_string()))?;
    Ok(Saved {
        job,
        files,
        brought,
    })
}

/// Writes a file that is not there yet, whole or not at all.
///
/// # Errors
/// [`FileError::NotSaved`]; a file of that name is left as it is.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    let told = |why: String| FileError::NotSaved {
        path: path.display().to_string(),
        why,
        advice: "save it under another name or in another folder".into(),
    };
    if path.exists() {
        return Err(told("a file of that name is there already".into()));
    }
    write_whole(path, bytes).map_err(|error| told(error.to_string()))
}

fn check_writable(target: &Path) -> Result<(), String> {
    match std::fs::metadata(target) {
        Ok(old) if old.is_dir() => Err("a folder has that name".into()),
        Ok(old) if old.permissions().readonly() => Err("the file is write-protected".into()),
        _ => Ok(()),
    }
}

/// Writes a file beside its place and renames it there.
pub(super) fn write_whole(target: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".keelstead-").suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // A temporary file is private unless told otherwise; a job is not. The umask still
        // holds.
        let old = std::fs::metadata(target).ok();
        let mode = old.map_or(0o666, |old| old.permissions().mode());
        builder.permissions(std::fs::Permissions::from_mode(mode));
    }
    let mut file = builder.tempfile_in(folder_of(target))?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    file.persist(target).map_err(|error| error.error)?;
    Ok(())
}

/// The folder a file lies in; the working folder for a bare name.
pub(super) fn folder_of(file: &Path) -> &Path {
    file.parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .unwrap_or(Path::new("."))
}

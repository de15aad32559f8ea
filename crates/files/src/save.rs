//! A job written whole or not at all.

use crate::document::{self, Document};
use crate::error::FileError;
use crate::job::Job;

/// The job as it stands in its file: indented JSON with a newline at the end.
///
/// # Errors
/// [`FileError::NotSaved`] if the job would not read back equal: a number in it is not finite.
pub fn job_text(job: &Job, path: &str) -> Result<String, FileError> {
    let refuse = |why: String| FileError::NotSaved {
        path: path.to_owned(),
        why,
        advice: "put the number right and save again".into(),
    };
    let mut text = serde_json::to_string_pretty(job).map_err(|error| refuse(error.to_string()))?;
    text.push('\n');
    // A number that is not finite is written as null, so it cannot come back the same.
    let back: Job = document::read(text.as_bytes(), path)
        .map_err(|error| refuse(format!("the job holds what no job may: {error}")))?;
    if back == *job && job.version == Job::VERSION {
        Ok(text)
    } else {
        Err(refuse(
            "the job would not read back the same; a number in it is not finite".into(),
        ))
    }
}

/// Writes the job to `path`. Readers see the old file or the new one, never a part.
///
/// # Errors
/// [`FileError::NotSaved`]; what stood at `path` before still stands.
#[cfg(not(target_arch = "wasm32"))]
pub fn save_job(path: &std::path::Path, job: &Job) -> Result<(), FileError> {
    use std::io::Write;

    let shown = path.display().to_string();
    let text = job_text(job, &shown)?;
    let told = |error: std::io::Error| FileError::NotSaved {
        path: shown.clone(),
        why: error.to_string(),
        advice: "save it under another name or in another folder".into(),
    };
    // A link is followed, so that the file it leads to is replaced and not the link.
    let target = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let folder = target
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .unwrap_or(std::path::Path::new("."));
    let old = std::fs::metadata(&target).ok();
    if old.as_ref().is_some_and(|old| old.permissions().readonly()) {
        return Err(told(std::io::Error::other("the file is write-protected")));
    }
    let mut builder = tempfile::Builder::new();
    builder.prefix(".keelstead-").suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // A temporary file is private unless told otherwise; a job is not. The umask still holds.
        let mode = old.map_or(0o666, |old| old.permissions().mode());
        builder.permissions(std::fs::Permissions::from_mode(mode));
    }
    let mut file = builder.tempfile_in(folder).map_err(told)?;
    file.write_all(text.as_bytes()).map_err(told)?;
    file.as_file().sync_all().map_err(told)?;
    file.persist(&target).map_err(|error| told(error.error))?;
    Ok(())
}

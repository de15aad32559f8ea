//! A job written whole or not at all, so that it opens again where it now stands.

use std::path::PathBuf;

use crate::document::{self, Document};
use crate::error::FileError;
use crate::job::Job;
use crate::kept::JobFiles;

#[cfg(not(target_arch = "wasm32"))]
mod bring;
#[cfg(not(target_arch = "wasm32"))]
mod to_disk;

#[cfg(not(target_arch = "wasm32"))]
pub use to_disk::{save_job, write_new};

/// A job as it was saved.
#[derive(Debug, Clone, PartialEq)]
pub struct Saved {
    /// The job, its references as they are written in the file.
    pub job: Job,
    /// The files it rests on, where they now are.
    pub files: JobFiles,
    /// The files that were written beside the job.
    pub brought: Vec<PathBuf>,
}

/// The job as it stands in its file: indented JSON with a newline at the end.
///
/// # Errors
/// [`FileError::NotSaved`] if the job would not read back equal: a number in it is not finite.
pub fn job_text(job: &Job, path: &str) -> Result<String, FileError> {
    text(job, job.version, path)
}

/// A document as it stands in its file.
pub(crate) fn text<D: Document + PartialEq>(
    document: &D,
    version: u32,
    path: &str,
) -> Result<String, FileError> {
    let kind = D::KIND;
    let refuse = |why: String| FileError::NotSaved {
        path: path.to_owned(),
        why,
        advice: "put the number right and save again".into(),
    };
    let mut text =
        serde_json::to_string_pretty(document).map_err(|error| refuse(error.to_string()))?;
    text.push('\n');
    // A number that is not finite is written as null, so it cannot come back the same.
    let back: D = document::read(text.as_bytes(), path)
        .map_err(|error| refuse(format!("the {kind} holds what no {kind} may: {error}")))?;
    if back == *document && version == D::VERSION {
        Ok(text)
    } else {
        Err(refuse(format!(
            "the {kind} would not read back the same; a number in it is not finite"
        )))
    }
}

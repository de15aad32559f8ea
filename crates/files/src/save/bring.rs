//! The files a saved job rests on: how it refers to them, and which have to be brought along.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::to_disk::{folder_of, write_whole};
use keelstead_boat::hull::Marks;

use crate::disk::root_above;
use crate::document;
use crate::hull_file::HullFile;
use crate::job::Job;
use crate::kept::{KeptFile, Place};
use crate::source::resolve;

/// What a job at one place needs there. Says why something cannot be, in words that go on from
/// "not saved:".
pub(super) struct Bring {
    /// The job file.
    job: PathBuf,
    /// The folder of the job file, links followed.
    folder: PathBuf,
    /// The job file's name in the source that opens it.
    job_name: String,
    to_write: BTreeMap<PathBuf, Vec<u8>>,
}

impl Bring {
    pub(super) fn to(job: &Path) -> Result<Self, String> {
        let folder = folder_of(job)
            .canonicalize()
            .map_err(|error| error.to_string())?;
        let file_name = job.file_name().ok_or("it names no file")?;
        let job = folder.join(file_name);
        Ok(Self {
            job_name: name_below(root_above(&folder), &job)
                .ok_or("the folder's name is not text that a job can be found by")?,
            job,
            folder,
            to_write: BTreeMap::new(),
        })
    }

    /// Makes `reference` lead to the first of `files` from where the job will be; notes what must
    /// be copied for that. Gives the files where they will be.
    pub(super) fn along(
        &mut self,
        reference: &mut String,
        files: &[KeptFile],
    ) -> Result<Vec<KeptFile>, String> {
        if let Some(within) = self.within_reach(reference, files) {
            *reference = within;
            let is_job =
                |file: &KeptFile| matches!(&file.place, Place::Disk(at) if *at == self.job);
            return match files.iter().find(|file| is_job(file)) {
                Some(file) => Err(format!(
                    "this is the file {}, which the job needs",
                    file.name
                )),
                None => Ok(files.to_vec()),
            };
        }
        let Some(first) = files.first() else {
            return Ok(Vec::new());
        };
        if resolve(&self.job_name, &first.name).is_err() {
            return Err(format!(
                "a job cannot refer to a file named {:?}; rename it",
                first.name
            ));
        }
        reference.clone_from(&first.name);
        files.iter().map(|file| self.copy(file)).collect()
    }

    /// Notes a hull description of the job's own with `marks`, made from the first of `files`, and
    /// makes `reference` lead to it and it to its mesh. Gives the files where they will be.
    pub(super) fn marked(
        &mut self,
        reference: &mut String,
        files: &[KeptFile],
        marks: &Marks,
    ) -> Result<Vec<KeptFile>, String> {
        let [description, mesh @ ..] = files else {
            return Err("there is no hull description to keep its marks in".into());
        };
        let bytes = content(description)?;
        let mut described = document::read::<HullFile>(&bytes, &description.name)
            .map_err(|error| error.to_string())?
            .marked(marks);
        // It stands beside the job, so what leads from there to the mesh leads from here.
        let mut kept = self.along(&mut described.mesh, mesh)?;
        let text = described
            .text(&description.name)
            .map_err(|error| error.to_string())?;
        let own = self.own_description(text.as_bytes());
        let at = self.folder.join(&own);
        if std::fs::read(&at).ok().as_deref() != Some(text.as_bytes()) {
            self.to_write.insert(at.clone(), text.into_bytes());
        }
        let folder = self.job_name.rsplit_once('/').map(|(folder, _)| folder);
        let name = folder.map_or(own.clone(), |folder| format!("{folder}/{own}"));
        *reference = own;
        kept.insert(
            0,
            KeptFile {
                name,
                place: Place::Disk(at),
            },
        );
        Ok(kept)
    }

    /// The name of a description that is the job's own: free, the same already, or the one that the
    /// job as it now stands on disk refers to.
    fn own_description(&self, text: &[u8]) -> String {
        let stem = self.job.file_stem().map(|stem| stem.to_string_lossy());
        let stem = stem.unwrap_or_default();
        let referred = std::fs::read(&self.job)
            .ok()
            .and_then(|bytes| document::read::<Job>(&bytes, "job").ok())
            .map(|job| job.hull);
        let mut number = 1;
        loop {
            let name = match number {
                1 => format!("{stem}.hull.json"),
                more => format!("{stem}-{more}.hull.json"),
            };
            let at = self.folder.join(&name);
            let mine = referred.as_ref() == Some(&name);
            if mine || !at.exists() || std::fs::read(&at).is_ok_and(|there| there == text) {
                return name;
            }
            number += 1;
        }
    }

    /// The reference to the first of `files` if they all lie where a job here may read; as it is
    /// written if that leads there.
    fn within_reach(&self, written: &str, files: &[KeptFile]) -> Option<String> {
        let root = root_above(&self.folder);
        let mut names = files.iter().map(|file| {
            let Place::Disk(at) = &file.place else {
                return None;
            };
            let really = at.canonicalize().ok()?;
            name_below(root, at).filter(|_| really.starts_with(root))
        });
        let first = names.next()??;
        if names.any(|name| name.is_none()) {
            return None;
        }
        let leads =
            |reference: &str| resolve(&self.job_name, reference).is_ok_and(|name| name == first);
        if leads(written) {
            return Some(written.to_owned());
        }
        let folder = self.job_name.rsplit_once('/').map(|(folder, _)| folder);
        let below = folder.and_then(|folder| first.strip_prefix(folder)?.strip_prefix('/'));
        let reference = match (folder, below) {
            (_, Some(below)) => below.to_owned(),
            (Some(_), None) => format!("../{first}"),
            (None, None) => first.clone(),
        };
        leads(&reference).then_some(reference)
    }

    /// Notes a copy of `file` in the job's folder, unless an equal one is there.
    fn copy(&mut self, file: &KeptFile) -> Result<KeptFile, String> {
        let bytes = content(file)?;
        let at = self.folder.join(&file.name);
        let shown = at.display();
        if at == self.job {
            return Err(format!(
                "{} must lie beside the job under that name",
                file.name
            ));
        }
        let other = match (self.to_write.get(&at), at.exists()) {
            (Some(same), _) => *same != bytes,
            (None, true) => std::fs::read(&at).ok().as_ref() != Some(&bytes),
            (None, false) => {
                self.to_write.insert(at.clone(), bytes);
                false
            }
        };
        if other {
            return Err(format!(
                "the job needs {} beside it, and another file is there already: {shown}",
                file.name
            ));
        }
        Ok(KeptFile {
            name: file.name.clone(),
            place: Place::Disk(at),
        })
    }

    /// Writes the copies; gives their paths.
    pub(super) fn write(self) -> Result<Vec<PathBuf>, String> {
        for (at, bytes) in &self.to_write {
            let written =
                std::fs::create_dir_all(folder_of(at)).and_then(|()| write_whole(at, bytes));
            written.map_err(|error| format!("{}: {error}", at.display()))?;
        }
        Ok(self.to_write.into_keys().collect())
    }
}

/// What is in a file.
fn content(file: &KeptFile) -> Result<Vec<u8>, String> {
    match &file.place {
        Place::Disk(at) => {
            std::fs::read(at).map_err(|error| format!("{} cannot be read: {error}", at.display()))
        }
        Place::Memory(bytes) | Place::Made(bytes) => Ok(bytes.to_vec()),
    }
}

/// The name of `file` in a source whose root is `root`; none if it lies elsewhere or is not text.
fn name_below(root: &Path, file: &Path) -> Option<String> {
    let steps = file.strip_prefix(root).ok()?.components();
    let steps: Option<Vec<&str>> = steps.map(|step| step.as_os_str().to_str()).collect();
    Some(steps?.join("/"))
}

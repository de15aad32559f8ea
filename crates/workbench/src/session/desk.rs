//! What is open, as undo knows it.

use std::sync::Arc;

use keelstead::findings::Findings;
use keelstead_boat::hull::Hull;
use keelstead_files::job::Job;
use keelstead_files::kept::JobFiles;
use keelstead_files::save::Saved;
use keelstead_load::rig::Rig;
use keelstead_units::verdict::Verdict;

use crate::edit::Refusal;
use crate::history::History;
use crate::marks::MarkEdit;

/// What undo brings back: the job with the hull and rig it speaks of.
#[derive(Debug, Clone)]
pub(super) struct Desk {
    pub job: Job,
    pub hull: Arc<Hull>,
    pub rig: Arc<Rig>,
    /// Where hull and rig were read from.
    pub files: JobFiles,
}

impl Desk {
    /// Takes over how a job was saved, as far as this one has the same hull and rig.
    pub fn follow(&mut self, saved: &Saved, of: &Self) {
        if Arc::ptr_eq(&self.hull, &of.hull) {
            self.job.hull.clone_from(&saved.job.hull);
            self.files.hull.clone_from(&saved.files.hull);
            self.files.marks.clone_from(&saved.files.marks);
        }
        if Arc::ptr_eq(&self.rig, &of.rig) {
            self.job.rig.clone_from(&saved.job.rig);
            self.files.rig.clone_from(&saved.files.rig);
        }
    }
}

impl Desk {
    /// The same with the hull's marks changed; none if they stay as they are.
    pub fn marked(&self, edit: &MarkEdit) -> Result<Option<Self>, Refusal> {
        let marks = edit.apply(&self.hull.marks)?;
        if marks == self.hull.marks {
            return Ok(None);
        }
        let hull = self
            .hull
            .marked(marks.clone())
            .map_err(Refusal::WrongMark)?;
        let files = self.files.marked(&marks).map_err(Refusal::NoDescription)?;
        Ok(Some(Self {
            hull: Arc::new(hull),
            files,
            ..self.clone()
        }))
    }
}

impl PartialEq for Desk {
    /// Hulls and rigs never change in place, so the same one is the same, wherever its files are.
    fn eq(&self, other: &Self) -> bool {
        self.job == other.job
            && Arc::ptr_eq(&self.hull, &other.hull)
            && Arc::ptr_eq(&self.rig, &other.rig)
    }
}

/// A job that is open.
#[derive(Debug)]
pub(super) struct Open {
    pub path: String,
    pub history: History<Desk>,
    pub findings: Findings,
    /// The verdict that was last announced.
    pub announced: Verdict,
}

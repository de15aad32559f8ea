//! What hulls of the shelf are fetched for, and hulls brought in that are put there.

use keelstead_files::given::Given;
use keelstead_files::kept::Place;
use keelstead_files::open::OpenHull;
use keelstead_files::shelf::{Put, ToShelve};
use keelstead_files::{FileError, document};

use super::Session;
use crate::action::Request;
use crate::message::Level;
use crate::task::Files;
use crate::words::intake::refusal;

/// What a hull is fetched from the shelf for.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Fetch {
    /// To stand in the open job.
    Job,
    /// To be worked on.
    Work,
    /// To be put back under another name.
    Rename { id: String, name: String },
}

impl Session {
    pub(super) fn fetch(&mut self, id: String, what: Fetch, requests: &mut Vec<Request>) {
        self.fetching = Some(what);
        requests.push(Request::ShelfGet(id));
    }

    /// Whether the hull being fetched is to stand in the open job.
    pub(super) fn is_fetching_for_job(&self) -> bool {
        self.fetching == Some(Fetch::Job)
    }

    /// A hull was read; gives it back if it is to stand in the open job.
    pub(super) fn fetched(
        &mut self,
        opened: OpenHull,
        requests: &mut Vec<Request>,
    ) -> Option<OpenHull> {
        let hull = match &self.fetching {
            Some(Fetch::Work) => {
                self.fetching = None;
                self.loading = None;
                match given(&opened) {
                    Ok(files) => self.bring_in(files, requests),
                    Err(error) => self.failed("The hull was not opened", refusal(&error)),
                }
                return None;
            }
            Some(Fetch::Rename { name, .. }) => under_another_name(opened, name),
            _ => {
                self.fetching = None;
                return Some(opened);
            }
        };
        self.loading = None;
        match hull {
            Ok(hull) => requests.push(Request::ShelfPut(Box::new(hull))),
            Err(error) => {
                self.fetching = None;
                self.failed("The hull was not renamed", refusal(&error));
            }
        }
        None
    }

    /// What follows once a hull was put on the shelf: the old name of a renamed one goes.
    pub(super) fn after_put(&mut self, put: &Result<Put, FileError>, requests: &mut Vec<Request>) {
        let renaming = match self.fetching.take() {
            Some(Fetch::Rename { id, .. }) => Some(id),
            other => {
                self.fetching = other;
                None
            }
        };
        match (put, renaming) {
            (Ok(Put::Done(entry)), Some(old)) if entry.id != old => {
                requests.push(Request::ShelfRemove(old));
            }
            (_, Some(_)) => {}
            (Ok(Put::Done(_)), None) => {
                self.keep_hull();
                if let Some(intake) = &mut self.intake {
                    intake.taken = false;
                }
            }
            (Ok(Put::Taken(_)), None) => {
                if let Some(intake) = &mut self.intake {
                    intake.taken = true;
                }
            }
            (Err(_), None) => {}
        }
    }

    /// Puts the hull being brought in on the shelf.
    pub(super) fn shelve(&mut self, replace: bool, requests: &mut Vec<Request>) {
        if let Some(opened) = self.finished_hull() {
            let hull = ToShelve::new(&opened.hull, &opened.files, replace);
            requests.push(Request::ShelfPut(Box::new(hull)));
        }
    }

    /// Puts a shelved hull back under another name.
    pub(super) fn rename_shelved(&mut self, id: String, name: &str, requests: &mut Vec<Request>) {
        let name = name.trim().to_owned();
        if name.is_empty() {
            self.say(
                Level::Error,
                "The hull was not renamed",
                "A hull needs a name to be found again by.",
            );
            return;
        }
        self.fetch(id.clone(), Fetch::Rename { id, name }, requests);
    }
}

/// The files of a hull that was read, to be worked on.
fn given(opened: &OpenHull) -> Result<Files, FileError> {
    let files = opened.files.iter();
    let files = files.map(|file| Ok(Given::new(file.name.clone(), file.bytes()?)));
    Ok(Files::Given(files.collect::<Result<_, FileError>>()?))
}

/// A hull as it is put back, its description naming it otherwise.
fn under_another_name(mut opened: OpenHull, name: &str) -> Result<ToShelve, FileError> {
    name.clone_into(&mut opened.hull.name);
    let mut files = opened.files;
    if let Some(first) = files.first_mut() {
        let bytes = first.bytes()?;
        let mut described: keelstead_files::hull_file::HullFile =
            document::read(&bytes, &first.name)?;
        name.clone_into(&mut described.name);
        let text = serde_json::to_vec_pretty(&described);
        let text = text.map_err(|error| FileError::Unreadable {
            path: first.name.clone(),
            why: error.to_string(),
        })?;
        first.place = Place::Made(text.into());
    }
    Ok(ToShelve::new(&opened.hull, &files, false))
}

//! What a shelf of hulls answers, wherever it is kept: on disk or in the browser.

use keelstead_files::FileError;
use keelstead_files::shelf::{Put, Shelved};
use keelstead_workbench::task::Files;

use crate::app::Workbench;
use crate::opening::Opening;

/// An answer of the shelf.
pub enum ShelfAnswer {
    /// What stands there.
    Listed(Result<Vec<Shelved>, FileError>),
    /// A hull was put there, or not.
    Put(Result<Put, FileError>),
    /// The files of the hull of this id.
    Got(String, Result<Files, FileError>),
    /// A hull was taken away, or not.
    Removed(Result<(), FileError>),
}

impl ShelfAnswer {
    /// Tells the session.
    pub fn deliver(self, workbench: &mut Workbench, opening: &mut Opening) {
        let session = &mut workbench.session;
        let requests = match self {
            Self::Listed(listed) => {
                session.shelf_listed(listed);
                Vec::new()
            }
            Self::Put(put) => session.shelf_put(put),
            Self::Removed(removed) => session.shelf_removed(removed),
            Self::Got(_, Ok(files)) => {
                opening.start(session.opening_shelved(files));
                Vec::new()
            }
            Self::Got(id, Err(error)) => session.finished(&id, Err(error)),
        };
        workbench.ask(requests);
    }
}

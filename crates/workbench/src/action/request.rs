//! What a session asks of the platform around it.

use keelstead_files::shelf::ToShelve;

use crate::task::Task;
use crate::view::Camera;

/// What only the platform around the session can do.
#[derive(Debug, Clone, PartialEq)]
pub enum Request {
    /// Let the person choose a job, hull or mesh file; answer with
    /// [`crate::Session::handed_over`].
    OpenDialog,
    /// Open the job at this path; answer as above.
    OpenPath(String),
    /// Open this demo job; answer as above.
    OpenDemo(String),
    /// Carry this out beside the picture; answer with [`crate::Session::loading`] and
    /// [`crate::Session::finished`]. It takes the place of what is under way.
    Carry(Box<Task>),
    /// Stop loading; answer with [`crate::Session::cancelled`].
    CancelLoading,
    /// Write the job to `path` (or hand it over as a download); answer with
    /// [`crate::Session::saved`], [`crate::Session::failed`] or [`crate::Session::save_given_up`].
    Save {
        /// Where the job came from.
        path: String,
    },
    /// Let the person choose where to write the job; answer as above.
    SaveDialog {
        /// A file name to begin with.
        name: String,
    },
    /// Tell what stands on the shelf of hulls; answer with [`crate::Session::shelf_listed`].
    ShelfList,
    /// Put this hull on the shelf; answer with [`crate::Session::shelf_put`].
    ShelfPut(Box<ToShelve>),
    /// Open the hull of this id on the shelf; answer as for [`Request::Carry`].
    ShelfGet(String),
    /// Take the hull of this id off the shelf; answer with [`crate::Session::shelf_removed`].
    ShelfRemove(String),
    /// Fly the camera there.
    FlyTo(Camera),
    /// Say this to people who listen rather than look.
    Announce(String),
}

impl Request {
    /// Whether only the window or the page can answer it: files, dialogs, what is said aloud.
    /// The others are the same for both: the camera's, demo jobs, stopping to load.
    pub fn is_for_platform(&self) -> bool {
        match self {
            Self::OpenDialog
            | Self::OpenPath(_)
            | Self::Save { .. }
            | Self::SaveDialog { .. }
            | Self::ShelfList
            | Self::ShelfPut(_)
            | Self::ShelfGet(_)
            | Self::ShelfRemove(_)
            | Self::Announce(_) => true,
            Self::OpenDemo(_) | Self::Carry(_) | Self::CancelLoading | Self::FlyTo(_) => false,
        }
    }
}

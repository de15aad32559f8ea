//! The shelf of hulls: what is asked of the platform, and what it answers.

use keelstead_files::FileError;
use keelstead_files::shelf::{Put, Shelved, ToShelve};

use super::Session;
use crate::action::Request;
use crate::message::Level;
use crate::words::intake::refusal;

impl Session {
    pub(super) fn put_on_shelf(&mut self, replace: bool, requests: &mut Vec<Request>) {
        let (Some(hull), Some(files)) = (self.hull(), self.files()) else {
            self.failed(
                "No hull was put on the shelf",
                "no job is open: open one, or a hull, first",
            );
            return;
        };
        let hull = ToShelve::new(hull, &files.hull, replace);
        requests.push(Request::ShelfPut(Box::new(hull)));
    }

    /// What stands on the shelf; none until the platform has told.
    pub fn shelf(&self) -> Option<&[Shelved]> {
        self.shelf.as_deref()
    }

    /// The platform tells what stands on the shelf.
    pub fn shelf_listed(&mut self, listed: Result<Vec<Shelved>, FileError>) {
        match listed {
            Ok(shelf) => {
                self.shelf = Some(shelf);
                self.revision += 1;
            }
            Err(error) => self.failed("The shelf cannot be read", refusal(&error)),
        }
    }

    /// A hull was put on the shelf, or one of its name stood there already. The list is asked for anew.
    pub fn shelf_put(&mut self, put: Result<Put, FileError>) -> Vec<Request> {
        let mut requests = Vec::new();
        self.after_put(&put, &mut requests);
        match put {
            Ok(Put::Done(entry)) => {
                self.say(
                    Level::Done,
                    "On the shelf",
                    format!("{} stands on the shelf of hulls now.", entry.name),
                );
            }
            Ok(Put::Taken(entry)) => self.say(
                Level::Error,
                "No hull was put on the shelf",
                format!(
                    "A hull called {} stands there already and was left as it is. Replace it, or give this one \
                     another name.",
                    entry.name
                ),
            ),
            Err(error) => self.failed("No hull was put on the shelf", refusal(&error)),
        }
        requests.push(Request::ShelfList);
        requests
    }

    /// A hull was taken off the shelf, or could not be. The list is asked for anew.
    pub fn shelf_removed(&mut self, removed: Result<(), FileError>) -> Vec<Request> {
        if let Some(intake) = &mut self.intake {
            intake.removing = None;
        }
        if let Err(error) = removed {
            self.failed("The hull is still on the shelf", refusal(&error));
        }
        vec![Request::ShelfList]
    }
}

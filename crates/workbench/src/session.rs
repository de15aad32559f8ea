//! One open job as a person works on it.

mod desk;
mod edits;
mod files;
mod intake;
mod looking;
mod put_to_use;
mod question;
mod shelf;
mod shelf_use;
mod shown;
mod standing;

use keelstead_files::Notice;
use keelstead_files::open::OpenJob;
use keelstead_files::shelf::Shelved;
use keelstead_units::quantity::Sentence;

use crate::action::{Action, Request};
use crate::history::History;
use crate::intake::{Intake, Sketch};
use crate::message::{Demo, Level, Loading, Message, RigChoice};
use crate::view::View;
use desk::Open;
use files::Waiting;

/// An open job, or none, with all that a person sees and does around it.
///
/// Every change goes through [`Session::perform`]; what only the platform can do comes back as
/// [`Request`]s, and the platform answers with the methods that follow.
#[derive(Debug)]
pub struct Session {
    open: Option<Open>,
    view: View,
    messages: Vec<Message>,
    next_message: u64,
    loading: Option<Loading>,
    waiting: Option<Waiting>,
    once_saved: Option<Waiting>,
    /// Unsaved changes may be lost to the file being chosen: the person said so.
    may_lose: bool,
    demos: Vec<Demo>,
    shelf: Option<Vec<Shelved>>,
    rigs: Vec<RigChoice>,
    sketches: Vec<Sketch>,
    intake: Option<Intake>,
    intake_shown: bool,
    fetching: Option<shelf_use::Fetch>,
    /// What was last brought came with its bytes and without its folder.
    came_alone: bool,
    /// The answer about a hull that was not taken: what it changes, and the message that says so.
    refused: Option<(&'static str, u64)>,
    revision: u64,
    openings: u64,
    aspect: f64,
}

impl Default for Session {
    fn default() -> Self {
        Self::empty()
    }
}

impl Session {
    /// Nothing open.
    pub fn empty() -> Self {
        Self {
            open: None,
            view: View::default(),
            messages: Vec::new(),
            next_message: 0,
            loading: None,
            waiting: None,
            once_saved: None,
            may_lose: false,
            demos: Vec::new(),
            shelf: None,
            rigs: Vec::new(),
            sketches: Vec::new(),
            intake: None,
            intake_shown: false,
            fetching: None,
            came_alone: false,
            refused: None,
            revision: 0,
            openings: 0,
            aspect: 1.3,
        }
    }

    /// A job just opened.
    pub fn new(job: OpenJob) -> Self {
        let mut session = Self::empty();
        session.opened(job);
        session
    }

    /// Does one thing. An action that makes no sense (a beam that is not there, a block the stock
    /// does not have) changes nothing and leaves a message that says why.
    pub fn perform(&mut self, action: Action) -> Vec<Request> {
        let mut requests = Vec::new();
        if let (Action::Mark(edit), true) = (&action, self.intake_shown) {
            self.mark_intake(edit, &mut requests);
            return requests;
        }
        if let Some(gesture) = action.gesture() {
            return self.edit(&action, &gesture);
        }
        match action {
            Action::Settle => {
                if let Some(open) = &mut self.open {
                    open.history.settle();
                }
                if let Some(intake) = &mut self.intake {
                    intake.history.settle();
                }
                return self.work_out();
            }
            Action::Undo if self.intake_shown => self.step_intake(History::undo, &mut requests),
            Action::Redo if self.intake_shown => self.step_intake(History::redo, &mut requests),
            Action::Undo => self.step(History::undo, &mut requests),
            Action::Redo => self.step(History::redo, &mut requests),
            Action::Intake(done) => self.bring(done, &mut requests),
            Action::Open => self.guarded(Waiting::Open, &mut requests),
            Action::OpenPath(path) => self.guarded(Waiting::Path(path), &mut requests),
            Action::OpenDemo(path) => self.guarded(Waiting::Demo(path), &mut requests),
            Action::DiscardAndOpen => {
                self.revision += 1;
                if let Some(waiting) = self.waiting.take() {
                    self.may_lose = waiting == Waiting::Open;
                    requests.push(self.go(waiting));
                }
            }
            Action::SaveAndOpen => {
                self.revision += 1;
                self.once_saved = self.waiting.take();
                if self.once_saved.is_some() {
                    self.save(&mut requests);
                }
            }
            Action::KeepOpen => {
                self.revision += 1;
                self.waiting = None;
            }
            Action::CancelLoading => {
                if self.loading.is_some() {
                    requests.push(Request::CancelLoading);
                }
            }
            Action::Save => self.save(&mut requests),
            Action::SaveAs => self.save_as(&mut requests),
            Action::ShelfList => requests.push(Request::ShelfList),
            Action::ShelfPut { replace } => self.put_on_shelf(replace, &mut requests),
            Action::ShelfGet(id) => self.fetch(id, shelf_use::Fetch::Job, &mut requests),
            Action::ShelfRemove(id) => requests.push(Request::ShelfRemove(id)),
            Action::Dismiss(id) => self.messages.retain(|message| message.id != id),
            looking => self.look(looking, &mut requests),
        }
        requests
    }

    fn notice(&mut self, notices: &[Notice]) {
        for notice in notices {
            self.say(Level::Notice, "About the files", notice.sentence());
        }
    }

    /// Adds a message.
    pub fn say(&mut self, level: Level, title: impl Into<String>, text: impl Into<Sentence>) {
        let (title, text) = (title.into(), text.into());
        // The same thing said twice is said once; what was done before is of no interest any more.
        self.messages
            .retain(|old| old.level != Level::Done && (old.title != title || old.text != text));
        self.messages.push(Message {
            id: self.next_message,
            level,
            title,
            text,
        });
        self.next_message += 1;
        self.revision += 1;
    }
}

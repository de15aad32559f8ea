//! Opening and saving: what is asked of the platform, and what it answers.

use std::sync::Arc;

use keelstead::check::check;
use keelstead::findings::Findings;
use keelstead_files::FileError;
use keelstead_files::open::{OpenHull, OpenJob};
use keelstead_files::save::Saved;
use keelstead_units::quantity::Sentence;

use super::Session;
use super::desk::{Desk, Open};
use crate::action::Request;
use crate::edit;
use crate::history::History;
use crate::intake::Step;
use crate::message::{Demo, Level, Loading};
use crate::task::{Checked, Files, Onto, Outcome, Task};
use crate::view::{Camera, LookFrom, Tab};
use crate::words;

/// What waits for an answer to "unsaved changes".
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Waiting {
    Open,
    Path(String),
    Demo(String),
    Files(Files),
}

/// What a person asks for.
impl Session {
    pub(super) fn save(&self, requests: &mut Vec<Request>) {
        if let Some(open) = &self.open {
            requests.push(Request::Save {
                path: open.path.clone(),
            });
        }
    }

    pub(super) fn save_as(&self, requests: &mut Vec<Request>) {
        if let Some(open) = &self.open {
            requests.push(Request::SaveDialog {
                name: file_name(&open.path),
            });
        }
    }

    /// Opens what is wanted, or asks first if changes would be lost.
    pub(super) fn guarded(&mut self, wanted: Waiting, requests: &mut Vec<Request>) {
        self.once_saved = None;
        if self.is_dirty() {
            self.waiting = Some(wanted);
            self.revision += 1;
        } else {
            let request = self.go(wanted);
            requests.push(request);
        }
    }

    pub(super) fn go(&mut self, wanted: Waiting) -> Request {
        self.view.overlay = None;
        if wanted != Waiting::Open {
            self.interrupt_standing();
        }
        match wanted {
            Waiting::Open => Request::OpenDialog,
            Waiting::Path(path) => Request::OpenPath(path),
            Waiting::Demo(path) => Request::OpenDemo(path),
            Waiting::Files(files) => Request::Carry(Box::new(Task::Open(files))),
        }
    }
}

/// What the platform tells the session.
impl Session {
    /// How a hull of the shelf is opened for what it is fetched for.
    pub fn opening_shelved(&self, files: Files) -> Task {
        if self.is_fetching_for_job() {
            self.replacing(files)
        } else {
            Task::Open(files)
        }
    }

    /// How a hull is opened that is to stand in the place of the open job's.
    pub(super) fn replacing(&self, files: Files) -> Task {
        let Some(open) = &self.open else {
            return Task::Open(files);
        };
        let desk = open.history.now();
        let onto = Onto {
            rig: desk.rig.as_ref().clone(),
            load: desk.job.load.clone(),
        };
        Task::Replace {
            files,
            onto: Box::new(onto),
        }
    }

    /// Something is being read: `fraction` of it so far, if that can be told.
    pub fn loading(&mut self, name: &str, fraction: Option<f32>, doing: &str) {
        if self.is_standing_up() {
            self.standing(fraction, doing);
            return;
        }
        if self
            .intake()
            .is_some_and(|intake| intake.step() == Step::Measure)
        {
            // Sketches are drawn beside what the person does.
            return;
        }
        self.loading = Some(Loading {
            name: name.to_owned(),
            fraction,
            doing: doing.to_owned(),
        });
    }

    /// A task on `name` has ended; what was open stays open if it failed.
    pub fn finished(&mut self, name: &str, outcome: Result<Outcome, FileError>) -> Vec<Request> {
        match outcome {
            Ok(Outcome::Stood(stood)) => self.stood(Ok(stood)),
            Ok(Outcome::Sketches(sketches)) => {
                self.sketches = sketches;
                self.loading = None;
                self.revision += 1;
                Vec::new()
            }
            Err(error) if self.is_standing_up() => self.stood(Err(error)),
            Ok(Outcome::Job(job, findings)) => self.opened_as_found(*job, *findings),
            Ok(Outcome::Hull(opened, checked)) => self.hull_arrived(name, *opened, checked),
            Ok(Outcome::Weighed(by)) => {
                self.weighed(*by);
                Vec::new()
            }
            Err(FileError::Cancelled) => {
                self.cancelled();
                Vec::new()
            }
            Err(error) => {
                let says = self.not_taken(&error);
                self.failed(&format!("{name} was not opened"), says);
                Vec::new()
            }
        }
    }

    /// Why files were not taken, and what helps where they came without their folder.
    pub(super) fn not_taken(&self, error: &FileError) -> Sentence {
        match error {
            FileError::Missing {
                referred_by: Some(_),
                ..
            } if self.came_alone => {
                format!("{error}. Here only what is dropped together is seen: drop both together")
                    .into()
            }
            _ => words::intake::refusal(error),
        }
    }

    fn hull_arrived(
        &mut self,
        name: &str,
        opened: OpenHull,
        checked: Option<Box<Checked>>,
    ) -> Vec<Request> {
        let mut requests = Vec::new();
        let Some(opened) = self.fetched(opened, &mut requests) else {
            return requests;
        };
        if !self.is_open() {
            self.failed(
                "A hull needs a job to stand in",
                format!("{name}: open a job first, then drop the hull on it"),
            );
            return requests;
        }
        self.intake_shown = false;
        requests.extend(self.replaced(opened, checked));
        self.frame(&mut requests);
        requests
    }

    /// A job was read; it takes the place of what was open. Selection and cut begin anew, units,
    /// theme and the like stay.
    pub fn opened(&mut self, job: OpenJob) -> Vec<Request> {
        let findings = check(&job.hull, &job.rig, &job.job.load);
        self.opened_as_found(job, findings)
    }

    /// The same, of which this was found.
    fn opened_as_found(&mut self, job: OpenJob, findings: Findings) -> Vec<Request> {
        let OpenJob {
            path,
            job,
            hull,
            rig,
            files,
            notices,
        } = job;
        self.loading = None;
        self.waiting = None;
        self.once_saved = None;
        self.may_lose = false;
        self.messages.clear();
        self.view.selected = None;
        self.view.cut_station_m = None;
        self.view.overlay = None;
        self.view.tab = Tab::Findings;
        self.intake_shown = false;
        let announce = format!("{}: {}", job.name, words::headline(&findings));
        self.open = Some(Open {
            path,
            history: History::new(Desk {
                job,
                hull: Arc::new(hull),
                rig: Arc::new(rig),
                files,
            }),
            announced: findings.verdict,
            findings,
        });
        self.notice(&notices);
        self.revision += 1;
        self.openings += 1;
        let mut requests = vec![Request::Announce(announce)];
        if let Some(bounds) = self.scene_bounds() {
            let camera = Camera::framing(&bounds, LookFrom::Corner, self.aspect);
            requests.push(Request::FlyTo(camera));
        }
        requests
    }

    /// Another hull was read: it stands in place of the open job's hull, as a step that can be
    /// undone. Without an open job nothing happens.
    pub fn hull_replaced(&mut self, opened: OpenHull) -> Vec<Request> {
        self.replaced(opened, None)
    }

    /// The same; what was found of it beforehand holds if it still stands as it did then.
    fn replaced(&mut self, opened: OpenHull, checked: Option<Box<Checked>>) -> Vec<Request> {
        self.loading = None;
        let Some(open) = &mut self.open else {
            return Vec::new();
        };
        // It was a cut through the hull before.
        self.view.cut_station_m = None;
        let mut next = open.history.now().clone();
        if let Some(first) = opened.files.first() {
            next.job.hull.clone_from(&first.name);
        }
        next.hull = Arc::new(opened.hull);
        next.files.hull = opened.files;
        next.files.marks = None;
        // It was measured on the hull before.
        let stale = !next.job.load.measured.is_empty();
        next.job.load.measured.clear();
        open.history.settle();
        open.history.change(next, "hull");
        open.history.settle();
        let desk = open.history.now();
        let found = checked.and_then(|found| found.findings_on(&desk.rig, &desk.job.load));
        let requests = match found {
            Some(findings) => self.found(findings),
            None => self.recheck(),
        };
        self.notice(&opened.notices);
        if stale {
            self.say(Level::Notice, "Measured after set-down", edit::STALE);
        }
        requests
    }

    /// Reading or writing failed: `text` says file, place, what was found and expected, what to do.
    /// What is open stays open.
    pub fn failed(&mut self, title: &str, text: impl Into<Sentence>) {
        self.loading = None;
        self.once_saved = None;
        self.say(Level::Error, title, text);
    }

    /// Loading was stopped.
    pub fn cancelled(&mut self) {
        self.loading = None;
    }

    /// The job as it stands was written to `path`. Opens what waited for that.
    pub fn saved(&mut self, path: &str, saved: Saved) -> Vec<Request> {
        if let Some(open) = &mut self.open {
            let now = open.history.now().clone();
            open.history.map(|desk| desk.follow(&saved, &now));
            open.history.mark_saved();
            open.path = path.to_owned();
        }
        self.say(Level::Done, "Saved", words::saved(path, &saved.brought));
        let wanted = self.once_saved.take();
        wanted.map(|wanted| self.go(wanted)).into_iter().collect()
    }

    /// The person chose no place to save the job after all.
    pub fn save_given_up(&mut self) {
        self.once_saved = None;
    }

    /// The demo jobs there are.
    pub fn set_demos(&mut self, demos: Vec<Demo>) {
        self.demos = demos;
    }
}

/// The last part of a path, whichever way its slashes lean.
fn file_name(path: &str) -> String {
    path.rsplit(['/', '\\']).next().unwrap_or(path).to_owned()
}

//! Standing a hull up: a task for the platform, and what comes of it.

use std::sync::Arc;

use keelstead_files::FileError;

use super::Session;
use crate::action::Request;
use crate::history::History;
use crate::intake::{Draft, Intake, Step, Stood, WeighedBy, Working, draft_of};
use crate::message::Level;
use crate::task::{Files, Task};

/// Two hulls whose bounds differ by less than this stand alike, m.
const SAME_M: f64 = 0.001;
/// A hull grown or shrunk by more than this is looked at anew.
const RESIZED: f64 = 1.25;

/// What is asked of the platform.
impl Session {
    pub(super) fn stand_anew(&mut self, requests: &mut Vec<Request>) {
        let Some(intake) = &mut self.intake else {
            return;
        };
        let files = match (&intake.files, &intake.draft().measured) {
            (_, Some(measured)) if measured.can_stand() => Files::Given(Vec::new()),
            (Some(files), None) => files.clone(),
            _ => return,
        };
        intake.trouble = None;
        intake.weighed = None;
        intake.working = Some(Working {
            weighs: false,
            fraction: None,
            doing: "reading".into(),
        });
        requests.push(Request::Carry(Box::new(Task::Stand {
            files,
            draft: Box::new(intake.draft().clone()),
        })));
    }

    /// Weighs the hull that stands by what was said: at once, or as a task where that takes longer than a frame.
    pub(super) fn weigh(&mut self, requests: &mut Vec<Request>) {
        let Some(intake) = &mut self.intake else {
            return;
        };
        if let Some(what) = intake.weigh() {
            let task = Task::Weigh(Box::new(what));
            intake.working = Some(Working {
                weighs: true,
                fraction: None,
                doing: task.begins().into(),
            });
            requests.push(Request::Carry(Box::new(task)));
        }
    }

    pub(super) fn stop_standing(&mut self, requests: &mut Vec<Request>) {
        let Some(intake) = &mut self.intake else {
            return;
        };
        let Some(working) = intake.working.take() else {
            return;
        };
        requests.push(Request::CancelLoading);
        if working.weighs {
            intake.trouble = Some("Stopped. What she weighs was not worked out.".into());
        } else if intake.stood.is_some() || intake.draft().measured.is_some() {
            intake.trouble = Some("Stopped. The picture shows the hull as it was before.".into());
        } else {
            self.forget_files();
        }
    }

    /// Back to where a file is chosen.
    fn forget_files(&mut self) {
        if let Some(intake) = &mut self.intake {
            *intake = Intake::default();
        }
    }

    /// Whether a hull is being stood up.
    pub(super) fn is_standing_up(&self) -> bool {
        self.intake
            .as_ref()
            .is_some_and(|intake| intake.working.is_some())
    }

    /// Something else takes the place of standing a hull up.
    pub(super) fn interrupt_standing(&mut self) {
        if self.is_standing_up() {
            self.stop_standing(&mut Vec::new());
        }
    }
}

/// What it answers.
impl Session {
    /// How far standing the hull up is.
    pub(super) fn standing(&mut self, fraction: Option<f32>, doing: &str) {
        if let Some(intake) = &mut self.intake {
            let weighs = intake.working.as_ref().is_some_and(|now| now.weighs);
            intake.working = Some(Working {
                weighs,
                fraction,
                doing: doing.to_owned(),
            });
        }
    }

    /// The hull that stands was weighed.
    pub(super) fn weighed(&mut self, by: WeighedBy) {
        let weighs = |intake: &&mut Intake| intake.working.as_ref().is_some_and(|now| now.weighs);
        if let Some(intake) = self.intake.as_mut().filter(weighs) {
            intake.working = None;
            intake.weighs(by);
            self.revision += 1;
        }
    }

    /// Standing the hull up came to its end.
    pub(super) fn stood(&mut self, result: Result<Box<Stood>, FileError>) -> Vec<Request> {
        let mut requests = Vec::new();
        let working = |intake: &&mut Intake| intake.working.is_some();
        let Some(intake) = self.intake.as_mut().filter(working) else {
            return requests;
        };
        self.revision += 1;
        match result {
            Ok(stood) => {
                intake.working = None;
                self.stands(stood, &mut requests);
            }
            Err(FileError::Cancelled) => self.stop_standing(&mut requests),
            Err(error) if intake.stood.is_some() || intake.draft().measured.is_some() => {
                let says = self.not_taken(&error);
                if let Some(intake) = &mut self.intake {
                    intake.working = None;
                    intake.trouble = Some(says);
                }
            }
            Err(error) => {
                let name = intake.file_name().unwrap_or_default();
                self.forget_files();
                let says = self.not_taken(&error);
                self.say(Level::Error, format!("{name} was not brought in"), says);
            }
        }
        requests
    }

    fn stands(&mut self, stood: Box<Stood>, requests: &mut Vec<Request>) {
        let Some(intake) = &mut self.intake else {
            return;
        };
        let first = intake.stood.is_none();
        let described = stood.examined.is_none();
        if let (true, None, Some(fit)) = (first, &intake.draft().measured, &stood.fit) {
            // A hull from a tape goes on being measured, from what its files say.
            intake.history = History::new(draft_of(&stood.described, &fit.measured));
            intake.files = None;
            intake.step = Step::Measure;
        }
        let measured = intake.draft().measured.is_some();
        let hull = Arc::new(stood.opened.hull.clone());
        let bounds = hull.bounds;
        let old = intake.hull.replace(hull).map(|old| old.bounds);
        let moved = old.is_none_or(|old| {
            let ends = [old.mins - bounds.mins, old.maxs - bounds.maxs];
            ends.into_iter().any(|by| by.length() > SAME_M)
        });
        // A view that shows it well still does after a small change.
        let resized = old.is_none_or(|old| {
            let grown = bounds.extents() / old.extents();
            grown.max_element() > RESIZED || grown.min_element() < 1.0 / RESIZED
        });
        let notices = stood.opened.notices.clone();
        if first {
            if described && !measured {
                // What its description says is where it begins.
                intake.history = History::new(Draft::of(&stood.described));
                intake.step = Step::Parts;
            } else if !measured {
                intake.step = Step::Stand;
            }
        }
        intake.stood_by = Some(intake.draft().clone());
        intake.stood = Some(stood);
        intake.weigh();
        let has_places = intake.draft().has_places();
        if first && !measured {
            self.notice(&notices);
        } else if moved && has_places && !measured {
            self.say(
                Level::Notice,
                "The hull stands otherwise than before",
                "Look at its weight and marks again: their places count from the aft end of the keel line.",
            );
        }
        if resized && self.intake_shown {
            self.frame(requests);
        }
        self.weigh(requests);
        if measured && self.sketches.is_empty() && !self.is_standing_up() {
            // Typing came before they were drawn.
            requests.push(Request::Carry(Box::new(Task::Sketch)));
        }
    }
}

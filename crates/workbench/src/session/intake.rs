//! Bringing in a hull beside the open job.

use keelstead_boat::family::Family;
use keelstead_files::kind::Kind;
use keelstead_files::names::boat_of;
use keelstead_geometry::math::Point;

use super::Session;
use super::files::Waiting;
use super::shelf_use::Fetch;
use crate::action::Request;
use crate::history::History;
use crate::intake::{Draft, Intake, IntakeAction, MarkTool, Measured, Sketch, Step, marked_at};
use crate::marks::MarkEdit;
use crate::message::Level;
use crate::task::{Files, Task};
use crate::view::{Camera, LookFrom};
use crate::words::capital;

/// Why another hull is not taken.
const ONE_AT_A_TIME: &str = "Another hull is half brought in. Put that on the shelf or to use, or give it up, then \
                             bring in the next.";

/// The title that an answer which was not taken is told under.
const CANNOT_BE: &str = "That cannot be done";

/// What there is to see of it.
impl Session {
    /// The hull being brought in, while it is what is shown.
    pub fn intake(&self) -> Option<&Intake> {
        self.intake.as_ref().filter(|_| self.intake_shown)
    }

    /// Whether a hull was put aside half brought in.
    pub fn has_hull_aside(&self) -> bool {
        !self.intake_shown && self.intake.as_ref().is_some_and(Intake::is_touched)
    }

    /// Whether a hull that was brought in, shown or put aside, would be lost with the program.
    pub fn has_unkept_hull(&self) -> bool {
        self.intake.as_ref().is_some_and(Intake::is_touched)
    }
}

/// What families look like.
impl Session {
    /// What boats of each family look like; empty until it was drawn.
    pub fn sketches(&self) -> &[Sketch] {
        &self.sketches
    }
}

/// What a person does.
impl Session {
    pub(super) fn bring(&mut self, action: IntakeAction, requests: &mut Vec<Request>) {
        self.revision += 1;
        if matches!(action, IntakeAction::Begin) {
            self.intake.get_or_insert_default();
            self.show_intake(true, requests);
            return;
        }
        if matches!(action, IntakeAction::MeasureIt) {
            self.measure_it(requests);
            return;
        }
        if let IntakeAction::Go(Step::Shelf) = action {
            self.intake.get_or_insert_default();
            self.show_intake(true, requests);
        }
        let Some(intake) = &mut self.intake else {
            return;
        };
        match action {
            IntakeAction::Go(step) if intake.may_go_to(step) => self.go_to(step, requests),
            IntakeAction::Next if intake.may_go_on() => {
                let path = intake.path();
                let at = path.iter().position(|step| *step == intake.step);
                let next = path.get(at.map_or(0, |at| at + 1)).copied();
                if let Some(next) = next {
                    self.go_to(next, requests);
                }
            }
            IntakeAction::Back => {
                let path = intake.path();
                let at = path.iter().position(|step| *step == intake.step);
                match at {
                    Some(0) => self.leave(requests),
                    Some(at) => self.go_to(path[at - 1], requests),
                    None => self.go_to(Step::Choose, requests),
                }
            }
            IntakeAction::Open => requests.push(Request::OpenDialog),
            IntakeAction::Leave => self.leave(requests),
            IntakeAction::PutAside => self.show_intake(false, requests),
            IntakeAction::GiveUp => self.give_up(requests),
            IntakeAction::Stay => intake.asks_to_leave = false,
            IntakeAction::Stop => self.stop_standing(requests),
            IntakeAction::TryAgain => self.follow_draft(requests),
            IntakeAction::PickPart(part) => intake.part = part,
            IntakeAction::Pressed { part, at } => self.pressed(part, at, requests),
            IntakeAction::Tool(tool) => intake.tool = tool,
            IntakeAction::Shelve { replace } => self.shelve(replace, requests),
            IntakeAction::OpenShelved(id) => self.fetch(id, Fetch::Work, requests),
            IntakeAction::RenameShelved { id, name } => self.rename_shelved(id, &name, requests),
            IntakeAction::AskRemove(id) => intake.removing = id,
            IntakeAction::UseInJob => self.use_in_job(requests),
            IntakeAction::NewJob(rig) => self.new_job(rig, requests),
            said => self.say_of_hull(said, requests),
        }
    }

    /// Picks a part, moves the waterline or puts a mark, as the step has it.
    fn pressed(&mut self, part: usize, at: Point, requests: &mut Vec<Request>) {
        let Some(intake) = &mut self.intake else {
            return;
        };
        let mut next = intake.draft().clone();
        let gesture = match intake.step {
            Step::Parts => {
                intake.part = Some(part);
                return;
            }
            Step::Weigh => {
                if let Some(line) = &mut next.weighing.waterline {
                    *line = marked_at(line, at);
                } else if let Some(hull) = intake.hull() {
                    next.mark_begun(at, hull);
                }
                "waterline"
            }
            Step::Marks => {
                let MarkTool { what, both_sides } = intake.tool;
                self.mark_intake(
                    &MarkEdit::At {
                        what,
                        at,
                        both_sides,
                    },
                    requests,
                );
                return;
            }
            _ => return,
        };
        intake.history.settle();
        self.draft(next, gesture, requests);
    }

    /// Changes the marks of the hull being brought in.
    pub(super) fn mark_intake(&mut self, edit: &MarkEdit, requests: &mut Vec<Request>) {
        let Some(intake) = &mut self.intake else {
            return;
        };
        let mut next = intake.draft().clone();
        match edit.apply(&next.marks) {
            Ok(marks) => next.marks = marks,
            Err(refusal) => {
                self.say(Level::Error, CANNOT_BE, capital(&refusal.to_string()));
                return;
            }
        }
        if edit.stands_alone() {
            intake.history.settle();
        }
        self.revision += 1;
        self.draft(next, &edit.gesture(), requests);
        if let (Some(intake), true) = (&mut self.intake, edit.stands_alone()) {
            intake.history.settle();
        }
    }

    /// Begins with a tape measure; what each family looks like is drawn once.
    fn measure_it(&mut self, requests: &mut Vec<Request>) {
        if self.is_worked_on() {
            self.say(Level::Error, "One hull at a time", ONE_AT_A_TIME);
            return;
        }
        // What was said of the hull before is of no interest any more.
        self.messages.clear();
        let draft = Draft {
            name: "Measured boat".into(),
            measured: Some(Measured::begun(Family::FullKeel)),
            ..Draft::default()
        };
        self.intake = Some(Intake {
            step: Step::Measure,
            history: History::new(draft.clone()),
            // Nothing is lost yet.
            kept: Some(draft),
            ..Intake::default()
        });
        self.show_intake(true, requests);
        if self.sketches.is_empty() {
            requests.push(Request::Carry(Box::new(Task::Sketch)));
        }
    }

    fn leave(&mut self, requests: &mut Vec<Request>) {
        let Some(intake) = &mut self.intake else {
            return;
        };
        if intake.is_touched() {
            intake.asks_to_leave = true;
        } else {
            self.give_up(requests);
        }
    }

    fn give_up(&mut self, requests: &mut Vec<Request>) {
        // What its files leave open went with it.
        self.messages.retain(|old| old.level != Level::Notice);
        self.end_intake(requests);
    }

    pub(super) fn end_intake(&mut self, requests: &mut Vec<Request>) {
        if self.intake.take().is_some_and(|old| old.working.is_some()) {
            requests.push(Request::CancelLoading);
        }
        self.show_intake(false, requests);
    }

    fn show_intake(&mut self, shown: bool, requests: &mut Vec<Request>) {
        self.forget_refusal();
        if let Some(intake) = &mut self.intake {
            intake.asks_to_leave = false;
        }
        self.view.overlay = None;
        if self.intake_shown != shown {
            self.intake_shown = shown;
            self.frame(requests);
        }
    }

    fn go_to(&mut self, step: Step, requests: &mut Vec<Request>) {
        self.forget_refusal();
        let Some(intake) = &mut self.intake else {
            return;
        };
        intake.history.settle();
        intake.step = step;
        intake.part = None;
        intake.removing = None;
        intake.taken = false;
        if step == Step::Shelf {
            requests.push(Request::ShelfList);
        }
        requests.push(Request::Announce(step.word().to_owned()));
    }

    /// Looks at the whole of what is drawn.
    pub(super) fn frame(&self, requests: &mut Vec<Request>) {
        if let Some(bounds) = self.scene_bounds() {
            let camera = Camera::framing(&bounds, LookFrom::Corner, self.aspect);
            requests.push(Request::FlyTo(camera));
        }
    }

    /// An answer, a name, a weight, a mark: a step to undo.
    fn say_of_hull(&mut self, said: IntakeAction, requests: &mut Vec<Request>) {
        let Some(intake) = &mut self.intake else {
            return;
        };
        let now = intake.draft().clone();
        let what = said.gesture();
        match said.apply(&now, intake.stood.as_deref()) {
            Ok(next) => {
                if self.refused.is_some_and(|(refused, _)| refused == what) {
                    self.forget_refusal();
                }
                self.draft(next, what, requests);
            }
            Err(refusal) => {
                self.forget_refusal();
                let id = self.next_message;
                self.say(Level::Error, CANNOT_BE, capital(&refusal.to_string()));
                self.refused = Some((what, id));
            }
        }
    }

    /// What was answered wrongly is put right, or behind.
    fn forget_refusal(&mut self) {
        if let Some((_, id)) = self.refused.take() {
            self.messages.retain(|old| old.id != id);
        }
    }

    /// Goes on with another draft; stands the hull up anew if that asks for it.
    fn draft(&mut self, next: Draft, gesture: &str, requests: &mut Vec<Request>) {
        let Some(intake) = &mut self.intake else {
            return;
        };
        if intake.history.change(next, gesture) {
            self.follow_draft(requests);
        }
    }

    /// Weighs the hull by the draft, and stands it up anew unless it stands by it already.
    fn follow_draft(&mut self, requests: &mut Vec<Request>) {
        let Some(intake) = &mut self.intake else {
            return;
        };
        if !intake.stands_as_said() {
            self.stand_anew(requests);
            return;
        }
        // What was wrong with an answer that was taken back is wrong no more.
        intake.trouble = None;
        if intake.working.take().is_some() {
            requests.push(Request::CancelLoading);
        }
        self.weigh(requests);
    }

    /// Takes the last step back, or does it again.
    pub(super) fn step_intake(
        &mut self,
        step: fn(&mut History<Draft>) -> bool,
        requests: &mut Vec<Request>,
    ) {
        let Some(intake) = &mut self.intake else {
            return;
        };
        if !step(&mut intake.history) {
            return;
        }
        self.revision += 1;
        self.follow_draft(requests);
    }
}

/// What the platform tells the session.
impl Session {
    /// Files were dropped or chosen: a job is opened, a mesh brought in. A hull description takes the
    /// place of the open job's hull, or is brought in where there is no job or it does not show.
    pub fn handed_over(&mut self, files: Files) -> Vec<Request> {
        let mut requests = Vec::new();
        if self.question().is_some() {
            let text = format!(
                "{} was not taken. Answer the question that is open, then hand it over again.",
                last_name(&files)
            );
            self.say(Level::Error, "A question is open", text);
            return requests;
        }
        self.came_alone = matches!(files, Files::Given(_));
        match files.kind() {
            Kind::Measures | Kind::Mesh | Kind::Beside => self.bring_in(files, &mut requests),
            Kind::Hull if !self.is_open() || self.intake_shown => {
                self.bring_in(files, &mut requests);
            }
            Kind::Hull => requests.push(Request::Carry(Box::new(self.replacing(files)))),
            Kind::Job | Kind::Rig if self.may_lose => requests.push(self.go(Waiting::Files(files))),
            Kind::Job | Kind::Rig => self.guarded(Waiting::Files(files), &mut requests),
        }
        requests
    }

    /// Whether something was said of a hull half brought in.
    fn is_worked_on(&self) -> bool {
        let hull = self.intake.as_ref();
        hull.is_some_and(|intake| intake.is_touched() && intake.history.is_dirty())
    }

    /// Begins with the files of a hull. What is open stays open; a hull half brought in gives way
    /// only if nothing was said of it, else the files are refused with a word.
    pub(super) fn bring_in(&mut self, files: Files, requests: &mut Vec<Request>) {
        self.revision += 1;
        let name = last_name(&files);
        if self.is_worked_on() {
            self.show_intake(true, requests);
            let text = format!("{name} was not taken. {ONE_AT_A_TIME}");
            self.say(Level::Error, "One hull at a time", text);
            return;
        }
        // What was said of the hull before is of no interest any more.
        self.messages.clear();
        let draft = Draft {
            name: boat_of(&name),
            ..Draft::default()
        };
        self.intake = Some(Intake {
            files: Some(files),
            history: History::new(draft),
            ..Intake::default()
        });
        self.show_intake(true, requests);
        self.stand_anew(requests);
    }
}

/// The name of the main one of files, without folders.
fn last_name(files: &Files) -> String {
    let name = files.name();
    let last = name.rsplit(['/', '\\']).next();
    last.unwrap_or_default().to_owned()
}

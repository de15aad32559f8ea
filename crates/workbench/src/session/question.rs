//! Questions that lie over everything until they are answered.

use super::Session;
use crate::action::Action;
use crate::intake::{Intake, IntakeAction};
use crate::message::Question;

impl Session {
    /// The question that is open: what becomes of unsaved changes, or of a hull half brought in.
    pub fn question(&self) -> Option<Question> {
        if self.asks_about_changes() {
            let name = self.job().map_or("This job", |job| job.name.as_str());
            return Some(Question {
                asks: format!("{name} has changes that are not saved."),
                means: "Opening another job loses them.",
                answers: [
                    ("Save and open", Action::SaveAndOpen),
                    ("Open without saving", Action::DiscardAndOpen),
                    ("Stay here", Action::KeepOpen),
                ],
                stays: None,
            });
        }
        let leaves = self.intake().is_some_and(Intake::asks_to_leave);
        leaves.then(|| Question {
            asks: "The hull is not on the shelf or in use yet.".into(),
            means: "It can be kept for later, as long as the program is open.",
            answers: [
                ("Keep it for later", IntakeAction::PutAside),
                ("Give it up", IntakeAction::GiveUp),
                ("Stay here", IntakeAction::Stay),
            ]
            .map(|(words, answer)| (words, Action::Intake(answer))),
            stays: self.is_open().then_some("The open job is as you left it."),
        })
    }

    /// Whether closing the program would lose something: changes of the open job, or a hull brought in.
    pub fn has_something_to_lose(&self) -> bool {
        self.is_dirty() || self.has_unkept_hull()
    }
}

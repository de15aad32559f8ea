//! What stands at every step: dimensions, tolerance, what is being worked out, what went wrong.

use egui::{Label, ProgressBar, ScrollArea, Ui};

use keelstead_units::sentence;

use super::super::field::wrong_ui;
use super::super::widgets::{button, card, fact, quiet};
use crate::action::Action;
use crate::intake::{Intake, IntakeAction};
use crate::session::Session;
use crate::words;

/// The main dimensions in words, as the picture has them.
pub(super) fn dimensions_ui(ui: &mut Ui, session: &Session, intake: &Intake) {
    let Some(stood) = intake.stood() else {
        return;
    };
    let units = session.view().units;
    card(ui, |ui| {
        for (name, figure) in words::intake::dimensions(stood, units) {
            fact(ui, name, &figure);
        }
        let text = words::intake::shape_tolerance(stood, intake.draft(), units);
        ui.add(Label::new(text).wrap());
    });
}

/// Height of a bar, points: it is no target for a finger.
const BAR: f32 = 14.0;
/// Height of what went wrong at most, points; the rest of it is scrolled to.
const TROUBLE: f32 = 110.0;

/// A bar while something is worked out, with a way to stop it.
pub(super) fn working_ui(ui: &mut Ui, intake: &Intake, actions: &mut Vec<Action>) {
    let Some(working) = intake.working() else {
        return;
    };
    ui.horizontal(|ui| {
        if button(ui, "Stop").clicked() {
            actions.push(Action::Intake(IntakeAction::Stop));
        }
        let bar = match working.fraction {
            Some(fraction) => ProgressBar::new(fraction).show_percentage(),
            None => ProgressBar::new(0.0).animate(true),
        };
        ui.vertical(|ui| {
            quiet(ui, &working.doing);
            ui.add(bar.desired_height(BAR));
        });
    });
}

/// Why the last answer could not be followed.
pub(super) fn trouble_ui(
    ui: &mut Ui,
    session: &Session,
    intake: &Intake,
    actions: &mut Vec<Action>,
) {
    let Some(trouble) = intake.trouble() else {
        return;
    };
    card(ui, |ui| {
        let text = sentence(trouble, session.view().units);
        ScrollArea::vertical()
            .id_salt("trouble")
            .max_height(TROUBLE)
            .show(ui, |ui| wrong_ui(ui, &text));
        ui.horizontal_wrapped(|ui| {
            if button(ui, "Take the last answer back").clicked() {
                actions.push(Action::Undo);
            }
            if button(ui, "Try again").clicked() {
                actions.push(Action::Intake(IntakeAction::TryAgain));
            }
        });
    });
}

//! What was found and done, and what shall become of the hull.

use egui::{Label, Ui};
use keelstead_units::quantity::Sentence;
use keelstead_units::{Units, sentence};

use super::super::field::wrong_ui;
use super::super::widgets::{button, card, main_button, quiet, strong};
use super::measured;
use super::stand::name_ui;
use super::weigh;
use crate::action::Action;
use crate::intake::{Intake, IntakeAction};
use crate::session::Session;

pub(super) fn done_ui(ui: &mut Ui, session: &Session, intake: &Intake, actions: &mut Vec<Action>) {
    let Some(stood) = intake.stood() else {
        return;
    };
    name_ui(ui, intake, actions);
    card(ui, |ui| shelf_ui(ui, intake, actions));
    if session.is_open() {
        let job = session.job().map_or("", |job| job.name.as_str());
        card(ui, |ui| {
            strong(ui, "Stand it on the open job\u{2019}s trailer");
            ui.add(
                Label::new(format!(
                    "{job}: takes the place of the hull there. Undo brings that back."
                ))
                .wrap(),
            );
            if main_button(ui, "Put it in the open job").clicked() {
                actions.push(Action::Intake(IntakeAction::UseInJob));
            }
        });
    }
    let rigs = session.rigs();
    if !rigs.is_empty() {
        card(ui, |ui| {
            strong(ui, "Start a new job with it");
            quiet(
                ui,
                "Beams are laid under the keel and stacks made as far as the rig\u{2019}s blocks go. On which rig?",
            );
            ui.horizontal_wrapped(|ui| {
                for (at, rig) in rigs.iter().enumerate() {
                    if button(ui, rig.name.as_str()).clicked() {
                        actions.push(Action::Intake(IntakeAction::NewJob(at)));
                    }
                }
            });
        });
    }
    measured::dimensions_ui(ui, session, intake);
    weigh::result_ui(ui, intake, session.view().units);
    let units = session.view().units;
    list_ui(ui, "What was changed", &stood.changed, units);
    list_ui(ui, "What the file leaves open", &stood.left, units);
    let noticed = stood.opened.notices.iter().map(|one| &one.says);
    list_ui(ui, "What was noticed in the file", noticed, units);
}

/// Putting it on the shelf, and what to do if its name is taken.
fn shelf_ui(ui: &mut Ui, intake: &Intake, actions: &mut Vec<Action>) {
    strong(ui, "Put it on the yard\u{2019}s shelf");
    if intake.is_name_taken() {
        wrong_ui(
            ui,
            "A hull of this name stands there already. Give this one another name, or put it in the other\u{2019}s place.",
        );
        if button(ui, "Put it in the other\u{2019}s place").clicked() {
            actions.push(Action::Intake(IntakeAction::Shelve { replace: true }));
        }
    }
    if main_button(ui, "Put it on the shelf").clicked() {
        actions.push(Action::Intake(IntakeAction::Shelve { replace: false }));
    }
    if !intake.is_touched() {
        quiet(ui, "This hull, as it is, is kept.");
    }
}

fn list_ui<'s>(
    ui: &mut Ui,
    title: &str,
    lines: impl IntoIterator<Item = &'s Sentence>,
    units: Units,
) {
    for (count, line) in lines.into_iter().enumerate() {
        if count == 0 {
            strong(ui, title);
        }
        ui.horizontal_top(|ui| {
            ui.label("\u{2022}");
            ui.add(Label::new(crate::words::capital(&sentence(line, units))).wrap());
        });
    }
}

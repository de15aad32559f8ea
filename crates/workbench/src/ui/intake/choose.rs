//! Where a hull comes from.

use egui::{Label, RichText, Ui};

use super::super::widgets::{button, card, main_button, quiet, strong};
use super::measured;
use crate::action::Action;
use crate::intake::{Intake, IntakeAction, Step};
use crate::session::Session;
use crate::theme::bold;

pub(super) fn choose_ui(
    ui: &mut Ui,
    _session: &Session,
    intake: &Intake,
    actions: &mut Vec<Action>,
) {
    ui.label(RichText::new("Where does the hull come from?").font(bold(18.0)));
    ui.add_space(6.0);
    let begun = intake.draft().measured.is_some();
    let measured = begun.then(|| intake.draft().name.clone());
    if let Some(name) = intake.file_name().or(measured) {
        here_ui(ui, &name, intake, actions);
        return;
    }
    card(ui, |ui| {
        strong(ui, "A file");
        ui.add(
            Label::new(
                "A mesh or scan of the boat (STL, OBJ, PLY, glTF, 3MF, COLLADA, a cloud of points), a table of offsets \
                 (CSV), or measures that were saved. Drop it here, or open it. Unit, which way is up and where the bow is are proposed, and you say what is wrong.",
            )
            .wrap(),
        );
        if main_button(ui, "Open a file\u{2026}").clicked() {
            actions.push(Action::Intake(IntakeAction::Open));
        }
    });
    card(ui, |ui| {
        strong(ui, "A tape measure");
        ui.add(
            Label::new(
                "No file: choose the kind of hull and give what a yard can measure in five minutes. The kind\u{2019}s \
                 surface is fitted to it, and you see how well the shape is known.",
            )
            .wrap(),
        );
        if button(ui, "Measure it").clicked() {
            actions.push(Action::Intake(IntakeAction::MeasureIt));
        }
    });
    card(ui, |ui| {
        strong(ui, "The shelf");
        ui.add(Label::new("A hull that was brought in before.").wrap());
        if button(ui, "Look on the shelf").clicked() {
            actions.push(Action::Intake(IntakeAction::Go(Step::Shelf)));
        }
    });
}

/// What is here already, and how to go on with it.
fn here_ui(ui: &mut Ui, name: &str, intake: &Intake, actions: &mut Vec<Action>) {
    card(ui, |ui| {
        strong(ui, name);
        measured::working_ui(ui, intake, actions);
        if intake.stood().is_none() && intake.draft().measured.is_none() {
            return;
        }
        ui.horizontal_wrapped(|ui| {
            if main_button(ui, "Go on with it \u{2192}").clicked() {
                actions.push(Action::Intake(IntakeAction::Go(
                    intake.path().get(1).copied().unwrap_or(Step::Parts),
                )));
            }
            if button(ui, "Begin with another").clicked() {
                actions.push(Action::Intake(IntakeAction::Leave));
            }
        });
        quiet(
            ui,
            "Dropping another file puts it in this one\u{2019}s place as long as nothing was said of it.",
        );
    });
}

//! The steps of the way, to go back and on by.

use egui::Ui;

use super::super::widgets::{choice_if, quiet};
use crate::action::Action;
use crate::intake::{Intake, IntakeAction, Step};

/// The way: every step by its word where there is room, else numbers and the word of this one.
pub(super) fn path_ui(ui: &mut Ui, narrow: bool, intake: &Intake, actions: &mut Vec<Action>) {
    let now = intake.step();
    if now == Step::Shelf {
        return;
    }
    let path = intake.path();
    ui.horizontal(|ui| {
        if narrow {
            ui.spacing_mut().item_spacing.x = 4.0;
        }
        for (at, step) in path.iter().enumerate() {
            let words = if narrow && *step != now {
                (at + 1).to_string()
            } else {
                format!("{} {}", at + 1, step.word())
            };
            let response = choice_if(ui, intake.may_go_to(*step), *step == now, &words);
            if response.on_hover_text(step.word()).clicked() && *step != now {
                actions.push(Action::Intake(IntakeAction::Go(*step)));
            }
            if !narrow && at + 1 < path.len() {
                quiet(ui, "\u{203a}");
            }
        }
    });
}

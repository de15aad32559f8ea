//! What stands there while no job is open: what this is for, and how to begin.

use egui::{RichText, Ui};

use super::files::demos_ui;
use super::top::{bring_in_ui, theme_ui, units_ui};
use super::widgets::{button, main_button, strong};
use crate::action::Action;
use crate::session::Session;
use crate::theme::bold;
use crate::view::Overlay;

pub(super) fn empty_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    ui.set_max_width(ui.available_width().min(640.0));
    ui.add_space(12.0);
    ui.label(RichText::new("Keelstead").font(bold(28.0)));
    ui.label(RichText::new("Will this boat sit on this trailer?").font(bold(18.0)));
    ui.add_space(6.0);
    ui.label(
        "Open a job: a boat, a trailer and how the one stands on the other. You see on which beams \
         it rests, how much blocking each needs, where pads steady it, and what comes close to what.",
    );
    ui.add_space(10.0);
    ui.horizontal_wrapped(|ui| {
        if main_button(ui, "Open a job file\u{2026}").clicked() {
            actions.push(Action::Open);
        }
        bring_in_ui(ui, session, actions);
        units_ui(ui, session, actions);
        theme_ui(ui, session, actions);
        if button(ui, "Help").clicked() {
            actions.push(Action::Show(Some(Overlay::Help)));
        }
    });
    ui.label(
        "Or drop a job file with its hull and rig files here, or a mesh of a boat to bring in.",
    );
    if !session.demos().is_empty() {
        ui.add_space(14.0);
        strong(
            ui,
            "Or begin with a demo job from Tern Harbour, an invented yard",
        );
        demos_ui(ui, session, actions);
    }
}

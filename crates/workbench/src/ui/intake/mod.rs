//! Bringing in a hull: a page to choose it on, then a panel beside the picture, a step at a time.

mod choose;
mod done;
mod marks;
mod measure;
mod measured;
mod parts;
mod path;
mod places;
mod shelf;
mod sketch;
mod sources;
mod stand;
mod weigh;

use egui::{Align, CentralPanel, Frame, Layout, Panel, Rect, RichText, Ui};

use super::messages;
use super::scene_bar;
use super::scroll::scroll_ui;
use super::top::{redo_undo_ui, theme_ui, units_ui};
use super::widgets::{button, choice_if, main_button, quiet, sign_button};
use super::{caution_panel, sheet_panel};
use crate::action::Action;
use crate::intake::{Intake, IntakeAction, Step};
use crate::session::Session;
use crate::theme::bold;
use crate::view::Overlay;

/// Width of the panel beside the picture, points.
const PANEL: f32 = 400.0;

/// Everything; the rectangle left for the picture, if the step has one.
pub(super) fn intake_ui(
    ui: &mut Ui,
    narrow: bool,
    frame: Frame,
    session: &Session,
    actions: &mut Vec<Action>,
) -> Option<Rect> {
    let intake = session.intake()?;
    let height = ui.available_height();
    Panel::top("top")
        .frame(frame.inner_margin(if narrow { 4 } else { 8 }))
        .show(ui, |ui| top_ui(ui, narrow, session, intake, actions));
    caution_panel(ui, session, actions);
    let pictured = match intake.step() {
        Step::Choose | Step::Shelf => false,
        Step::Measure => true,
        _ => intake.hull().is_some(),
    };
    if !pictured {
        CentralPanel::no_frame()
            .frame(frame.inner_margin(16))
            .show(ui, |ui| {
                let step = intake.step().word();
                scroll_ui(ui, ("page", step), actions, |ui, actions| {
                    ui.set_max_width(ui.available_width().min(680.0));
                    messages::all_ui(ui, session, actions);
                    step_ui(ui, session, intake, actions);
                });
            });
        return None;
    }
    if narrow {
        sheet_panel(ui, "intake sheet", height)
            .frame(frame.inner_margin(6))
            .show(ui, |ui| {
                messages::messages_ui(ui, session, actions);
                panel_ui(ui, narrow, session, intake, actions);
            });
    } else {
        Panel::right("intake panel")
            .frame(frame.inner_margin(10))
            .resizable(false)
            .exact_size(PANEL)
            .show(ui, |ui| panel_ui(ui, narrow, session, intake, actions));
        Panel::top("look from")
            .frame(frame.inner_margin(6))
            .show(ui, |ui| {
                ui.horizontal_wrapped(|ui| {
                    scene_bar::look_from_ui(ui, actions);
                    scene_bar::intake_ticks_ui(ui, session, intake, actions);
                });
                messages::messages_ui(ui, session, actions);
            });
    }
    Some(ui.available_rect_before_wrap())
}

/// What is done, on which hull, and how far it is.
fn top_ui(
    ui: &mut Ui,
    narrow: bool,
    session: &Session,
    intake: &Intake,
    actions: &mut Vec<Action>,
) {
    ui.horizontal(|ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let leave = if session.is_open() {
                "Back to the job"
            } else {
                "Leave"
            };
            if narrow {
                if sign_button(ui, "\u{2717}", leave, true).clicked() {
                    actions.push(Action::Intake(IntakeAction::Leave));
                }
            } else {
                if sign_button(ui, "?", "Help: keys and gestures", true).clicked() {
                    actions.push(Action::Show(Some(Overlay::Help)));
                }
                theme_ui(ui, session, actions);
                units_ui(ui, session, actions);
                ui.separator();
                if button(ui, leave).clicked() {
                    actions.push(Action::Intake(IntakeAction::Leave));
                }
                ui.separator();
            }
            redo_undo_ui(ui, session, actions);
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let title = RichText::new(title(intake, narrow)).font(bold(17.0));
                ui.add(egui::Label::new(title).truncate());
            });
        });
    });
    path::path_ui(ui, narrow, intake, actions);
}

fn title(intake: &Intake, narrow: bool) -> String {
    if intake.step() == Step::Shelf {
        return "The yard\u{2019}s hulls".into();
    }
    match intake.draft().name.as_str() {
        "" => "Bring in a hull".into(),
        name if narrow => name.into(),
        name => format!("Bring in a hull: {name}"),
    }
}

/// The step with the way back and on below it.
fn panel_ui(
    ui: &mut Ui,
    narrow: bool,
    session: &Session,
    intake: &Intake,
    actions: &mut Vec<Action>,
) {
    Panel::bottom("intake way")
        .frame(Frame::new().inner_margin(4))
        .show_separator_line(false)
        .resizable(false)
        .show(ui, |ui| way_ui(ui, session, intake, actions));
    scroll_ui(ui, intake.step().word(), actions, |ui, actions| {
        step_ui(ui, session, intake, actions);
        if narrow {
            // What has its place in the bars of a wide screen.
            ui.separator();
            ui.horizontal_wrapped(|ui| {
                units_ui(ui, session, actions);
                theme_ui(ui, session, actions);
                scene_bar::look_from_ui(ui, actions);
                scene_bar::intake_ticks_ui(ui, session, intake, actions);
            });
        }
    });
}

fn way_ui(ui: &mut Ui, session: &Session, intake: &Intake, actions: &mut Vec<Action>) {
    measured::working_ui(ui, intake, actions);
    // Here, where it is in sight whatever was scrolled to.
    measured::trouble_ui(ui, session, intake, actions);
    ui.horizontal(|ui| {
        if button(ui, "\u{2190} Back").clicked() {
            actions.push(Action::Intake(IntakeAction::Back));
        }
        if intake.step() == Step::Done {
            return;
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            // A pale button of the accent could not be read.
            let on = if intake.may_go_on() {
                main_button(ui, "Go on \u{2192}")
            } else {
                choice_if(ui, false, false, "Go on \u{2192}")
            };
            if on.clicked() {
                actions.push(Action::Intake(IntakeAction::Next));
            }
            if let Some(why) = waits_for(intake) {
                quiet(ui, why);
            }
        });
    });
}

/// Why the way on is shut.
fn waits_for(intake: &Intake) -> Option<&'static str> {
    let open = intake.stood().map_or(0, |stood| stood.open.len());
    let measured = intake.draft().measured.as_ref();
    if measured.is_some_and(|one| !one.can_stand()) {
        return Some("Give length and beam first");
    }
    if intake.working().is_some() || intake.may_go_on() {
        None
    } else if open > 1 {
        Some("Answer the questions first")
    } else if open == 1 {
        Some("Answer the question first")
    } else {
        Some("Put it right first")
    }
}

fn step_ui(ui: &mut Ui, session: &Session, intake: &Intake, actions: &mut Vec<Action>) {
    match intake.step() {
        Step::Choose => choose::choose_ui(ui, session, intake, actions),
        Step::Shelf => shelf::shelf_ui(ui, session, intake, actions),
        Step::Stand => stand::stand_ui(ui, session, intake, actions),
        Step::Parts => parts::parts_ui(ui, session, intake, actions),
        Step::Weigh => weigh::weigh_ui(ui, session, intake, actions),
        Step::Measure => measure::measure_ui(ui, session, intake, actions),
        Step::Marks => marks::marks_ui(ui, session, intake, actions),
        Step::Done => done::done_ui(ui, session, intake, actions),
    }
}

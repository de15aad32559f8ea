//! Opening, saving, demo jobs.

use egui::{Label, RichText, Sense, Ui, UiBuilder, WidgetInfo, WidgetType};

use super::job;
use super::top::{bring_in_ui, theme_ui, units_ui};
use super::widgets::{button, main_button, quiet, strong, target};
use crate::action::Action;
use crate::message::Demo;
use crate::session::Session;
use crate::theme::{CORNER, Palette, bold};
use crate::view::Overlay;

/// The sheet of a narrow screen.
pub(super) fn files_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    job::job_ui(ui, session, actions);
    ui.horizontal_wrapped(|ui| {
        if main_button(ui, "Save").clicked() {
            actions.push(Action::Save);
        }
        if button(ui, "Save as\u{2026}").clicked() {
            actions.push(Action::SaveAs);
        }
        if button(ui, "Open\u{2026}").clicked() {
            actions.push(Action::Open);
        }
        bring_in_ui(ui, session, actions);
        units_ui(ui, session, actions);
        theme_ui(ui, session, actions);
        if button(ui, "Help").clicked() {
            actions.push(Action::Show(Some(Overlay::Help)));
        }
    });
    if !session.demos().is_empty() {
        ui.add_space(8.0);
        strong(ui, "Demo jobs");
        demos_ui(ui, session, actions);
    }
}

/// The demo jobs, each a card to press.
pub(super) fn demos_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    for demo in session.demos() {
        if demo_ui(ui, demo) {
            actions.push(Action::OpenDemo(demo.path.clone()));
        }
    }
}

fn demo_ui(ui: &mut Ui, demo: &Demo) -> bool {
    let palette = Palette::current(ui.ctx());
    let builder = UiBuilder::new()
        .id_salt(("demo", &demo.path))
        .sense(Sense::click());
    let response = ui
        .scope_builder(builder, |ui| {
            let response = ui.response();
            let fill = if response.hovered() {
                palette.chosen
            } else {
                palette.raised
            };
            let (width, colour) = if response.has_focus() {
                (2.5, palette.accent)
            } else {
                (1.0, palette.line)
            };
            egui::Frame::new()
                .fill(fill)
                .stroke(egui::Stroke::new(width, colour))
                .corner_radius(CORNER.nw)
                .inner_margin(10)
                .show(ui, |ui| {
                    ui.set_width(ui.available_width());
                    ui.set_min_height((target(ui) - 20.0).max(0.0));
                    ui.add(Label::new(RichText::new(&demo.name).font(bold(15.0))).wrap());
                    if !demo.note.is_empty() {
                        quiet(ui, &demo.note);
                    }
                });
        })
        .response;
    let name = format!("Open demo: {}", demo.name);
    response.widget_info(|| WidgetInfo::labeled(WidgetType::Button, true, &name));
    response.clicked()
}

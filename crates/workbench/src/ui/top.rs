//! The bar at the top: what is open, how it stands, and what is done most.

use egui::{Align, Layout, RichText, Ui, Vec2};

use super::widgets::{button, choice, sign_button, verdict_ui};
use crate::action::Action;
use crate::intake::IntakeAction;
use crate::session::Session;
use crate::theme::{Palette, bold};
use crate::view::{Overlay, Tab, ThemeChoice};
use crate::words;
use keelstead_units::Units;

/// Room for the verdict and how many findings have which, points.
const HEADLINE: f32 = 240.0;

/// The bar of a wide screen. The buttons take their room first; name and verdict share the rest.
pub(super) fn wide_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    ui.horizontal(|ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if sign_button(ui, "?", "Help: keys and gestures", true).clicked() {
                actions.push(Action::Show(Some(Overlay::Help)));
            }
            theme_ui(ui, session, actions);
            units_ui(ui, session, actions);
            ui.separator();
            if button(ui, "Save as\u{2026}").clicked() {
                actions.push(Action::SaveAs);
            }
            if button(ui, "Save").clicked() {
                actions.push(Action::Save);
            }
            bring_in_ui(ui, session, actions);
            if button(ui, "Demos").clicked() {
                actions.push(Action::Show(Some(Overlay::Demos)));
            }
            if button(ui, "Open\u{2026}").clicked() {
                actions.push(Action::Open);
            }
            ui.separator();
            redo_undo_ui(ui, session, actions);
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let width = (ui.available_width() - HEADLINE).clamp(60.0, 320.0);
                title_ui(ui, session, width);
                ui.separator();
                headline_ui(ui, session);
            });
        });
    });
}

/// The bar of a narrow screen.
pub(super) fn narrow_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    ui.horizontal(|ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            redo_undo_ui(ui, session, actions);
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                ui.vertical(|ui| {
                    ui.spacing_mut().item_spacing.y = 0.0;
                    let width = ui.available_width();
                    title_ui(ui, session, width);
                    headline_ui(ui, session);
                });
            });
        });
    });
}

/// How much room the load takes and what it weighs.
pub(super) fn size_ui(ui: &mut Ui, session: &Session) {
    let Some(findings) = session.findings() else {
        return;
    };
    let line = words::size::on_the_road(findings, session.view().units);
    ui.add(egui::Label::new(RichText::new(line).small()).wrap());
}

/// Findings, Arrange, View, File.
pub(super) fn tabs_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    ui.columns(Tab::ALL.len(), |columns| {
        for (column, tab) in columns.iter_mut().zip(Tab::ALL) {
            let size = Vec2::new(column.available_width(), super::widgets::target(column));
            let fill = |ui: &mut Ui| choice(ui, session.view().tab == tab, tab.word());
            let layout = Layout::top_down_justified(Align::Center);
            if column
                .allocate_ui_with_layout(size, layout, fill)
                .inner
                .clicked()
            {
                actions.push(Action::Tab(tab));
            }
        }
    });
}

fn title_ui(ui: &mut Ui, session: &Session, width: f32) {
    let name = session.job().map_or("", |job| job.name.as_str());
    let unsaved = if session.is_dirty() { " \u{25cf}" } else { "" };
    let text = RichText::new(format!("{name}{unsaved}")).font(bold(17.0));
    let label = egui::Label::new(text).truncate();
    let response = ui
        .scope(|ui| {
            ui.set_max_width(width);
            ui.add(label)
        })
        .inner;
    if session.is_dirty() {
        response.on_hover_text("There are changes that are not saved.");
    }
}

fn headline_ui(ui: &mut Ui, session: &Session) {
    let Some(findings) = session.findings() else {
        return;
    };
    let palette = Palette::current(ui.ctx());
    ui.horizontal(|ui| {
        verdict_ui(ui, findings.verdict, 20.0);
        let rest = words::headline(findings);
        let rest = rest.split_once(": ").map_or("", |(_, counts)| counts);
        let rest = RichText::new(rest).color(palette.quiet).small();
        ui.add(egui::Label::new(rest).truncate());
    });
}

pub(super) fn redo_undo_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let mut step_ui = |sign: &str, word: &str, what: Option<String>, action: Action| {
        let name = what.as_ref().map(|what| format!("{word}: {what}"));
        if sign_button(ui, sign, name.as_deref().unwrap_or(word), what.is_some()).clicked() {
            actions.push(action);
        }
    };
    step_ui("\u{21aa}", "Redo", session.to_redo(), Action::Redo);
    step_ui("\u{21a9}", "Undo", session.to_undo(), Action::Undo);
}

/// Metric or feet and inches: one button that names the units in use.
pub(super) fn units_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let (word, other) = match session.view().units {
        Units::Metric => ("Metric", Units::Imperial),
        Units::Imperial => ("Feet", Units::Metric),
    };
    let response = button(ui, word);
    let response = response.on_hover_text("Metres and kilograms, or feet, inches and pounds");
    if response.clicked() {
        actions.push(Action::Units(other));
    }
}

/// Light, dark or as the device: one button that names what is in use.
pub(super) fn theme_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let (word, next) = match session.view().theme {
        ThemeChoice::System => ("Auto", ThemeChoice::Light),
        ThemeChoice::Light => ("Light", ThemeChoice::Dark),
        ThemeChoice::Dark => ("Dark", ThemeChoice::System),
    };
    let response = button(ui, word);
    if response
        .on_hover_text("Light, dark, or as the device is set")
        .clicked()
    {
        actions.push(Action::Theme(next));
    }
}

/// The way to bring in a hull, or back to one put aside.
pub(super) fn bring_in_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let words = if session.has_hull_aside() {
        "Hull \u{25cf}"
    } else {
        "Bring in\u{2026}"
    };
    let response = button(ui, words);
    let says = if session.has_hull_aside() {
        "A hull is half brought in: go on with it"
    } else {
        "Bring in a hull: from a mesh, a scan, a table of offsets, a tape measure or the shelf"
    };
    if response.on_hover_text(says).clicked() {
        actions.push(Action::Intake(IntakeAction::Begin));
    }
}

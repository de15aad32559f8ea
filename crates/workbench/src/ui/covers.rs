//! What lies over everything: loading, unsaved changes, help, cautions, demos; and the caution line.

use egui::{Button, Grid, Label, Modal, ProgressBar, RichText, ScrollArea, Ui, Vec2};

use super::files::demos_ui;
use super::widgets::{button, main_button, quiet, strong, target};
use crate::action::Action;
use crate::intake::{Intake, IntakeAction};
use crate::keys::{GESTURES, SHORTCUTS};
use crate::message::Loading;
use crate::session::Session;
use crate::theme::{Palette, bold};
use crate::view::Overlay;
use crate::words;

/// Widest a cover gets, points.
const WIDEST: f32 = 560.0;

/// Whichever cover is due.
pub(super) fn covers_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    if let Some(loading) = session.loading_now() {
        cover(ui, "loading", None, |ui| loading_ui(ui, loading, actions));
    } else if session.asks_about_changes() {
        let closed = cover(ui, "changes", None, |ui| changes_ui(ui, session, actions));
        if closed {
            actions.push(Action::KeepOpen);
        }
    } else if session.intake().is_some_and(Intake::asks_to_leave) {
        let closed = cover(ui, "leave", None, |ui| leave_ui(ui, session, actions));
        if closed {
            actions.push(Action::Intake(IntakeAction::Stay));
        }
    } else if let Some(overlay) = session.overlay() {
        let title = match overlay {
            Overlay::Help => "Keys and gestures",
            Overlay::Cautions => "Cautions",
            Overlay::Demos => "Demo jobs from Tern Harbour, an invented yard",
        };
        let closed = cover(ui, title, Some(title), |ui| match overlay {
            Overlay::Help => help_ui(ui),
            Overlay::Cautions => cautions_ui(ui),
            Overlay::Demos => demos_ui(ui, session, actions),
        });
        if closed {
            actions.push(Action::Show(None));
        }
    }
}

/// The short caution, always in sight; pressing it shows all of them.
pub(super) fn caution_line_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let palette = Palette::current(ui.ctx());
    let text = format!("\u{26a0} {}  More\u{2026}", words::CAUTION);
    let text = RichText::new(text)
        .color(palette.on_caution)
        .font(bold(14.0));
    let size = Vec2::new(ui.available_width(), target(ui));
    let line = Button::new(text)
        .fill(palette.caution)
        .wrap()
        .min_size(size)
        .corner_radius(0)
        .stroke(egui::Stroke::NONE);
    let response = ui.add(line);
    if response.has_focus() {
        let edge = egui::Stroke::new(2.5, palette.on_caution);
        let inside = egui::StrokeKind::Inside;
        ui.painter().rect_stroke(response.rect, 0.0, edge, inside);
    }
    if response.clicked() && !session.is_covered() {
        actions.push(Action::Show(Some(Overlay::Cautions)));
    }
}

/// Something over everything, with a title and a button to close it if it has a title. Returns
/// whether it was closed.
fn cover(ui: &Ui, id: &str, title: Option<&str>, content: impl FnOnce(&mut Ui)) -> bool {
    let screen = ui.ctx().content_rect();
    let width = (screen.width() - 56.0).min(WIDEST);
    let modal = Modal::new(egui::Id::new(("cover", id)));
    let response = modal.show(ui.ctx(), |ui| {
        ui.set_width(width);
        let mut closed = false;
        if let Some(title) = title {
            ui.add(Label::new(RichText::new(title).font(bold(18.0))).wrap());
            ui.add_space(4.0);
        }
        let area = ScrollArea::vertical().max_height(screen.height() - 190.0);
        area.show(ui, |ui| {
            ui.set_width(ui.available_width());
            content(ui);
        });
        if title.is_some() {
            ui.add_space(6.0);
            closed = main_button(ui, "Close").clicked();
        }
        closed
    });
    response.inner || (title.is_some() && response.backdrop_response.clicked())
}

fn loading_ui(ui: &mut Ui, loading: &Loading, actions: &mut Vec<Action>) {
    strong(ui, format!("Opening {}", loading.name));
    ui.label(&loading.doing);
    let bar = match loading.fraction {
        Some(fraction) => ProgressBar::new(fraction).show_percentage(),
        None => ProgressBar::new(0.0).animate(true),
    };
    ui.add(bar);
    if button(ui, "Cancel").clicked() {
        actions.push(Action::CancelLoading);
    }
}

fn changes_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let name = session.job().map_or("This job", |job| job.name.as_str());
    strong(ui, format!("{name} has changes that are not saved."));
    ui.label("Opening another job loses them.");
    ui.horizontal_wrapped(|ui| {
        if main_button(ui, "Save and open").clicked() {
            actions.push(Action::SaveAndOpen);
        }
        if button(ui, "Open without saving").clicked() {
            actions.push(Action::DiscardAndOpen);
        }
        if button(ui, "Stay here").clicked() {
            actions.push(Action::KeepOpen);
        }
    });
}

fn leave_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    strong(ui, "The hull is not on the shelf or in use yet.");
    ui.label("It can be kept for later, as long as the program is open.");
    ui.horizontal_wrapped(|ui| {
        if main_button(ui, "Keep it for later").clicked() {
            actions.push(Action::Intake(IntakeAction::PutAside));
        }
        if button(ui, "Give it up").clicked() {
            actions.push(Action::Intake(IntakeAction::GiveUp));
        }
        if button(ui, "Stay here").clicked() {
            actions.push(Action::Intake(IntakeAction::Stay));
        }
    });
    if session.is_open() {
        quiet(ui, "The open job is as you left it.");
    }
}

fn help_ui(ui: &mut Ui) {
    let rows = GESTURES
        .iter()
        .map(|(gesture, does)| ((*gesture).to_owned(), *does))
        .chain(
            SHORTCUTS
                .iter()
                .map(|shortcut| (shortcut.keys_in_words(), shortcut.does)),
        );
    let half = ui.available_width() / 2.0 - 8.0;
    Grid::new("help")
        .num_columns(2)
        .min_row_height(22.0)
        .max_col_width(half)
        .show(ui, |ui| {
            for (keys, does) in rows {
                ui.add(Label::new(RichText::new(keys).font(bold(14.0))).wrap());
                ui.add(Label::new(does).wrap());
                ui.end_row();
            }
        });
}

fn cautions_ui(ui: &mut Ui) {
    for (title, text) in words::CAUTIONS {
        ui.add(Label::new(RichText::new(title).font(bold(15.0))).wrap());
        ui.add(Label::new(text).wrap());
        ui.add_space(6.0);
    }
    quiet(ui, "Foul, unknown, tight and clear:");
    for verdict in [
        keelstead::findings::Verdict::Foul,
        keelstead::findings::Verdict::Unknown,
        keelstead::findings::Verdict::Tight,
        keelstead::findings::Verdict::Clear,
    ] {
        super::widgets::verdict_ui(ui, verdict, 18.0);
        quiet(ui, words::verdict_means(verdict));
    }
}

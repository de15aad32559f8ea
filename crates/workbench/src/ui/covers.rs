//! What lies over everything: loading, unsaved changes, help, cautions, demos; and the caution line.

use egui::{Button, Grid, Label, Modal, ProgressBar, RichText, ScrollArea, Ui, Vec2};

use super::files::demos_ui;
use super::widgets::{button, main_button, quiet, strong, target};
use crate::action::Action;
use crate::keys::{GESTURES, SHORTCUTS};
use crate::message::{Loading, Question};
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
    } else if let Some(question) = session.question() {
        cover(ui, "question", None, |ui| {
            question_ui(ui, &question, actions)
        });
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

fn question_ui(ui: &mut Ui, question: &Question, actions: &mut Vec<Action>) {
    strong(ui, question.asks.as_str());
    ui.label(question.means);
    ui.horizontal_wrapped(|ui| {
        for (at, (words, answer)) in question.answers.iter().enumerate() {
            let response = match at {
                0 => main_button(ui, words),
                _ => button(ui, *words),
            };
            if response.clicked() {
                actions.push(answer.clone());
            }
        }
    });
    if let Some(stays) = question.stays {
        quiet(ui, stays);
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
    quiet(ui, "Foul, unknown, pending, tight and clear:");
    for verdict in [
        keelstead_units::verdict::Verdict::Foul,
        keelstead_units::verdict::Verdict::Unknown,
        keelstead_units::verdict::Verdict::Pending,
        keelstead_units::verdict::Verdict::Tight,
        keelstead_units::verdict::Verdict::Clear,
    ] {
        super::widgets::verdict_ui(ui, verdict, 18.0);
        quiet(ui, words::verdict_means(verdict));
    }
}

//! Errors and notices: what went wrong and what to do, until put away.

use egui::{Label, RichText, ScrollArea, Sense, Ui, Vec2};
use keelstead_units::verdict::Verdict;
use keelstead_units::{Units, sentence};

use super::widgets::{card, sign_button, target};
use crate::action::Action;
use crate::message::{Level, Message};
use crate::session::Session;
use crate::shape;
use crate::theme::{Palette, bold};

/// Most height all messages together may take, points.
const MOST_HEIGHT: f32 = 150.0;
/// Most share they may take of the height that is there.
const MOST_SHARE: f32 = 0.4;

/// All messages, the newest first, in a place of their own that is scrolled.
pub(super) fn messages_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    if session.messages().is_empty() {
        return;
    }
    let most = MOST_HEIGHT.min(ui.available_height() * MOST_SHARE);
    // Without a least height the area would stay as low as the panel was before.
    let area = ScrollArea::vertical()
        .min_scrolled_height(most)
        .id_salt("messages")
        .max_height(most);
    area.show(ui, |ui| all_ui(ui, session, actions));
}

/// The same in full, on a page that is scrolled as a whole.
pub(super) fn all_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    for message in session.messages().iter().rev() {
        ui.push_id(message.id, |ui| {
            card(ui, |ui| {
                message_ui(ui, message, session.view().units, actions)
            });
        });
    }
}

fn message_ui(ui: &mut Ui, message: &Message, units: Units, actions: &mut Vec<Action>) {
    let palette = Palette::current(ui.ctx());
    let shape = match message.level {
        Level::Error => Verdict::Foul,
        Level::Notice => Verdict::Tight,
        Level::Done => Verdict::Clear,
    };
    ui.horizontal_top(|ui| {
        let (rect, _) = ui.allocate_exact_size(Vec2::splat(22.0), Sense::hover());
        shape::paint(ui.painter(), rect.center(), 20.0, shape, palette);
        let width = ui.available_width() - target(ui) - ui.spacing().item_spacing.x;
        ui.vertical(|ui| {
            ui.set_width(width);
            ui.add(Label::new(RichText::new(&message.title).font(bold(15.0))).wrap());
            ui.add(
                Label::new(sentence(&message.text, units))
                    .wrap()
                    .selectable(true),
            );
        });
        let name = format!("Put away: {}", message.title);
        if sign_button(ui, "\u{2717}", &name, true).clicked() {
            actions.push(Action::Dismiss(message.id));
        }
    });
}

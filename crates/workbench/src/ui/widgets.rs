//! Small things the panels are made of.

use egui::{Align, Button, Layout, Response, RichText, Sense, Ui, Vec2, WidgetInfo, WidgetType};
use keelstead_units::verdict::Verdict;

use crate::shape;
use crate::theme::{Palette, bold};
use crate::words;

/// Least size of a target here, points: larger where fingers are at work.
pub(crate) fn target(ui: &Ui) -> f32 {
    ui.spacing().interact_size.y
}

/// A button at least as wide and high as a finger or mouse needs.
pub(crate) fn button(ui: &mut Ui, text: impl Into<String>) -> Response {
    let size = Vec2::splat(target(ui));
    ui.add(Button::new(text.into()).min_size(size))
}

/// The button that does what a card is about.
pub(crate) fn main_button(ui: &mut Ui, text: &str) -> Response {
    let palette = Palette::current(ui.ctx());
    let text = RichText::new(text)
        .color(palette.on_accent)
        .font(bold(15.0));
    let size = Vec2::splat(target(ui));
    ui.add(Button::new(text).fill(palette.accent).min_size(size))
}

/// A button with a sign on it and a name for those who listen.
pub(crate) fn sign_button(ui: &mut Ui, sign: &str, name: &str, enabled: bool) -> Response {
    let size = Vec2::splat(target(ui));
    // No wider than that, whatever the sign: rows count on it.
    let usual = std::mem::replace(&mut ui.spacing_mut().button_padding.x, 2.0);
    let response = ui.add_enabled(enabled, Button::new(sign).min_size(size));
    ui.spacing_mut().button_padding.x = usual;
    response.widget_info(|| WidgetInfo::labeled(WidgetType::Button, enabled, name));
    response.on_hover_text(name)
}

/// One of a row of buttons of which one is chosen. Chosen shows by a mark as well as by colour.
pub(crate) fn choice(ui: &mut Ui, chosen: bool, text: &str) -> Response {
    choice_if(ui, true, chosen, text)
}

/// The same, greyed out unless `enabled`. A scope around it would not wrap to the next row.
pub(crate) fn choice_if(ui: &mut Ui, enabled: bool, chosen: bool, text: &str) -> Response {
    let palette = Palette::current(ui.ctx());
    let words = if chosen {
        RichText::new(text).font(bold(15.0)).color(palette.accent)
    } else {
        RichText::new(text)
    };
    let mut button = Button::new(words)
        .selected(chosen)
        .min_size(Vec2::splat(target(ui)));
    if chosen {
        button = button.stroke(egui::Stroke::new(2.0, palette.accent));
    }
    let response = ui.add_enabled(enabled, button);
    response.widget_info(|| WidgetInfo::selected(WidgetType::Button, enabled, chosen, text));
    response
}

/// A box to tick.
pub(crate) fn tick(ui: &mut Ui, on: bool, text: &str) -> Option<bool> {
    let mut now = on;
    ui.checkbox(&mut now, text).changed().then_some(now)
}

/// Text that matters less.
pub(crate) fn quiet(ui: &mut Ui, text: impl Into<String>) -> Response {
    let palette = Palette::current(ui.ctx());
    ui.label(RichText::new(text).color(palette.quiet).small())
}

/// Bold text.
pub(crate) fn strong(ui: &mut Ui, text: impl Into<String>) -> Response {
    ui.label(RichText::new(text).font(bold(15.0)))
}

/// A verdict: shape, word, colour.
pub(crate) fn verdict_ui(ui: &mut Ui, verdict: Verdict, size: f32) -> Response {
    let palette = Palette::current(ui.ctx());
    ui.horizontal(|ui| {
        let (rect, _) = ui.allocate_exact_size(Vec2::splat(size), Sense::hover());
        shape::paint(ui.painter(), rect.center(), size, verdict, palette);
        let word = RichText::new(words::verdict(verdict));
        ui.label(word.font(bold(size * 0.8)).color(palette.verdict(verdict)))
    })
    .inner
}

/// A card: raised ground, a little room inside.
pub(crate) fn card<R>(ui: &mut Ui, content: impl FnOnce(&mut Ui) -> R) -> R {
    let palette = Palette::current(ui.ctx());
    egui::Frame::new()
        .fill(palette.raised)
        .corner_radius(8)
        .stroke(egui::Stroke::new(1.0, palette.line.gamma_multiply(0.55)))
        .inner_margin(10)
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            content(ui)
        })
        .inner
}

/// A section that can be folded away.
pub(crate) fn section(ui: &mut Ui, title: &str, open: bool, content: impl FnOnce(&mut Ui)) {
    egui::CollapsingHeader::new(RichText::new(title).font(bold(16.0)))
        .id_salt(title)
        .default_open(open)
        .show_unindented(ui, |ui| {
            content(ui);
            ui.add_space(6.0);
        });
}

/// A line with a name on the left and what is true of it on the right, wrapped if need be.
pub(crate) fn fact(ui: &mut Ui, name: &str, text: &str) {
    ui.horizontal_top(|ui| {
        let palette = Palette::current(ui.ctx());
        let name_width = (ui.available_width() * 0.32).min(120.0);
        let layout = Layout::left_to_right(Align::Min).with_main_wrap(true);
        ui.allocate_ui_with_layout(Vec2::new(name_width, 0.0), layout, |ui| {
            ui.set_min_width(name_width);
            ui.label(RichText::new(name).color(palette.quiet));
        });
        ui.add(egui::Label::new(text).wrap());
    });
}

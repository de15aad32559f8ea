//! The findings, worst first, and the one looked at in full.

use egui::{CollapsingHeader, Panel, Rect, Response, RichText, Sense, Stroke};
use egui::{Ui, Vec2, WidgetInfo, WidgetType, vec2};
use keelstead::findings::Finding;
use keelstead_units::verdict::Verdict;

use super::scroll::scroll_ui;
use super::widgets::{button, card, fact, quiet, sign_button, target, verdict_ui};
use crate::action::Action;
use crate::session::Session;
use crate::shape;
use crate::theme::{CORNER, Palette, bold};
use crate::words;

/// Points across a verdict's shape in the list.
const SHAPE: f32 = 22.0;

/// The list with the details of the finding looked at: below it where there is room, else instead.
pub(super) fn panel_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let Some(finding) = session.selected() else {
        list_ui(ui, session, actions);
        return;
    };
    let height = ui.available_height();
    if height < 500.0 {
        scroll_ui(ui, "details", actions, |ui, actions| {
            details_ui(ui, finding, session, actions);
        });
        return;
    }
    Panel::bottom("details")
        .frame(egui::Frame::new())
        .resizable(false)
        .show_separator_line(false)
        .exact_size((height * 0.52).min(380.0))
        .show(ui, |ui| {
            scroll_ui(ui, "details", actions, |ui, actions| {
                details_ui(ui, finding, session, actions);
            });
        });
    list_ui(ui, session, actions);
}

fn list_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let Some(findings) = session.findings() else {
        return;
    };
    let calm = |verdict| matches!(verdict, Verdict::Clear | Verdict::Pending);
    let only_calm = calm(findings.verdict);
    scroll_ui(ui, ("list", session.openings()), actions, |ui, actions| {
        for (verdict, count) in words::counts(findings) {
            if count == 0 {
                continue;
            }
            let title = format!("{} ({count})", words::verdict(verdict));
            CollapsingHeader::new(RichText::new(title).font(bold(15.0)))
                // What is pending under a hand that drags stands where what is clear did.
                .id_salt(if calm(verdict) {
                    "calm"
                } else {
                    verdict.word()
                })
                .default_open(!calm(verdict) || only_calm)
                .show_unindented(ui, |ui| {
                    ui.spacing_mut().item_spacing.y = 4.0;
                    let of_it = findings.list.iter().filter(|one| one.verdict == verdict);
                    for finding in of_it {
                        if row_ui(ui, finding, session).clicked() {
                            actions.push(Action::Select(Some(finding.id.clone())));
                        }
                    }
                });
        }
    });
}

/// A finding in the list: shape, title, and verdict with figures.
fn row_ui(ui: &mut Ui, finding: &Finding, session: &Session) -> Response {
    let palette = Palette::current(ui.ctx());
    let units = session.view().units;
    let chosen = session.view().selected.as_ref() == Some(&finding.id);
    let verdict = words::verdict(finding.verdict);
    let figures = words::figures(finding, units).line();
    let indent = SHAPE + 18.0;
    let width = ui.available_width() - indent - 8.0;
    let (title, second) = ui.fonts_mut(|fonts| {
        let title = fonts.layout(
            words::capital(&finding.title),
            bold(15.0),
            palette.text,
            width,
        );
        let ink = palette.verdict(finding.verdict);
        let line = if figures.is_empty() {
            verdict.to_owned()
        } else {
            format!("{verdict}: {figures}")
        };
        let font = egui::FontId::proportional(14.0);
        (title, fonts.layout(line, font, ink, width))
    });
    let text_height = title.size().y + second.size().y + 2.0;
    let height = (text_height + 12.0).max(target(ui));
    let size = Vec2::new(ui.available_width(), height);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| {
        let name = format!("{}: {verdict}, {figures}", finding.title);
        WidgetInfo::selected(WidgetType::Button, true, chosen, name)
    });
    if ui.is_rect_visible(rect) {
        paint_ground(ui, rect, &response, chosen);
        let centre = rect.left_center() + vec2(8.0 + SHAPE / 2.0, 0.0);
        shape::paint(ui.painter(), centre, SHAPE, finding.verdict, palette);
        let top = rect.min + vec2(indent, (height - text_height) / 2.0);
        let below = top + vec2(0.0, title.size().y + 2.0);
        ui.painter().galley(top, title, palette.text);
        ui.painter().galley(below, second, palette.text);
    }
    response
}

fn paint_ground(ui: &Ui, rect: Rect, response: &Response, chosen: bool) {
    let palette = Palette::current(ui.ctx());
    let fill = if chosen || response.hovered() {
        palette.chosen
    } else {
        palette.raised
    };
    let edge = if response.has_focus() {
        Stroke::new(2.5, palette.accent)
    } else if chosen {
        Stroke::new(2.0, palette.accent)
    } else {
        Stroke::new(1.0, palette.line.gamma_multiply(0.5))
    };
    let painter = ui.painter();
    painter.rect(
        rect.shrink(1.0),
        CORNER,
        fill,
        edge,
        egui::StrokeKind::Inside,
    );
}

/// One finding in full: what was found, what is asked, what it rests on, what to do, where.
fn details_ui(ui: &mut Ui, finding: &Finding, session: &Session, actions: &mut Vec<Action>) {
    let units = session.view().units;
    ui.horizontal(|ui| {
        if button(ui, "\u{2190} All findings").clicked() {
            actions.push(Action::Select(None));
        }
        if sign_button(ui, "\u{2191}", "Previous finding", true).clicked() {
            actions.push(Action::SelectPrevious);
        }
        if sign_button(ui, "\u{2193}", "Next finding", true).clicked() {
            actions.push(Action::SelectNext);
        }
    });
    card(ui, |ui| {
        verdict_ui(ui, finding.verdict, 22.0);
        let title = words::capital(&finding.title);
        ui.add(egui::Label::new(RichText::new(title).font(bold(17.0))).wrap());
        ui.add(egui::Label::new(words::says(finding, units)).wrap());
        if let Some(advice) = words::advice(finding, units) {
            ui.add_space(2.0);
            fact(ui, "What to do", &advice);
        }
        ui.separator();
        for (name, text) in words::facts(finding, units) {
            fact(ui, name, &text);
        }
        quiet(ui, words::verdict_means(finding.verdict));
    });
}

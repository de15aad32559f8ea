//! What of the scene is shown, and from where.

use egui::{Align, Layout, Ui};
use keelstead_units::fields::Range;
use keelstead_units::quantity::Quantity;
use keelstead_units::write;

use super::slide::Slide;
use super::top::{theme_ui, units_ui};
use super::widgets::{button, quiet, strong, tick};
use crate::action::Action;
use crate::intake::Intake;
use crate::session::Session;
use crate::view::LookFrom;

/// The strip over the scene of a wide screen.
pub(super) fn wide_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    ui.horizontal_wrapped(|ui| look_from_ui(ui, actions));
    ui.horizontal(|ui| {
        fade_ui(ui, 90.0, session, actions);
        cut_ui(ui, 90.0, session, actions);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ticks_ui(ui, session, actions);
        });
    });
}

/// The sheet of a narrow screen.
pub(super) fn narrow_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    strong(ui, "Look from");
    ui.horizontal_wrapped(|ui| look_from_ui(ui, actions));
    ui.horizontal_wrapped(|ui| ticks_ui(ui, session, actions));
    let width = ui.available_width() - 120.0;
    ui.horizontal(|ui| fade_ui(ui, width, session, actions));
    ui.horizontal_wrapped(|ui| cut_ui(ui, width, session, actions));
    ui.horizontal_wrapped(|ui| {
        units_ui(ui, session, actions);
        theme_ui(ui, session, actions);
    });
    quiet(ui, "One finger turns, two fingers shift and zoom.");
}

pub(super) fn look_from_ui(ui: &mut Ui, actions: &mut Vec<Action>) {
    for from in LookFrom::ALL {
        if button(ui, from.word()).clicked() {
            actions.push(Action::LookFrom(from));
        }
    }
}

/// What of the picture of a hull being brought in can be left out.
pub(super) fn intake_ticks_ui(
    ui: &mut Ui,
    session: &Session,
    intake: &Intake,
    actions: &mut Vec<Action>,
) {
    let view = session.view();
    actions.extend(tick(ui, view.figure, "Person").map(Action::Figure));
    if intake.draft().weighing.waterline.is_some() {
        actions.extend(tick(ui, view.water, "Water").map(Action::Water));
    }
}

fn ticks_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let view = session.view();
    actions.extend(tick(ui, view.loads, "Loads").map(Action::Loads));
    actions.extend(tick(ui, view.labels, "Names").map(Action::Labels));
    actions.extend(tick(ui, view.figure, "Person").map(Action::Figure));
}

/// How far a step of an arrow key fades the hull.
const FADE_STEP: f64 = 0.05;
/// How far it moves the cut, m.
const CUT_STEP_M: f64 = 0.01;

fn fade_ui(ui: &mut Ui, width: f32, session: &Session, actions: &mut Vec<Action>) {
    ui.label("Hull");
    let opacity = session.view().hull_opacity;
    let name = format!("Hull solid, {:.0} %", opacity * 100.0);
    let ends = Range { min: 0.0, max: 1.0 };
    let (slid, response) = Slide::new(opacity, ends, FADE_STEP, width, name).ui(ui);
    response.on_hover_text("How solid the hull is drawn");
    actions.extend(slid.to.map(Action::HullOpacity));
}

fn cut_ui(ui: &mut Ui, width: f32, session: &Session, actions: &mut Vec<Action>) {
    let Some(hull) = session.hull() else {
        return;
    };
    let cut = session.view().cut_station_m;
    if let Some(on) = tick(ui, cut.is_some(), "Cut") {
        actions.push(Action::Cut(on.then(|| hull.bounds.center().x)));
    }
    let Some(station_m) = cut else {
        return;
    };
    let ends = Range {
        min: hull.bounds.mins.x,
        max: hull.bounds.maxs.x,
    };
    let shown = write(Quantity::length(station_m), session.view().units);
    let name = format!("Cut at {shown}");
    let (slid, _) = Slide::new(station_m, ends, CUT_STEP_M, width, name).ui(ui);
    actions.extend(slid.to.map(|station_m| Action::Cut(Some(station_m))));
    quiet(ui, shown);
}

//! What of the scene is shown, and from where.

use egui::{Align, Layout, Slider, Ui, WidgetInfo};
use keelstead::quantity::Quantity;
use keelstead_files::units::write;

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
        ui.spacing_mut().slider_width = 90.0;
        fade_ui(ui, session, actions);
        cut_ui(ui, session, actions);
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
    let width = ui.available_width();
    ui.spacing_mut().slider_width = width - 120.0;
    ui.horizontal(|ui| fade_ui(ui, session, actions));
    ui.horizontal_wrapped(|ui| cut_ui(ui, session, actions));
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

fn fade_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    ui.label("Hull");
    let mut opacity = session.view().hull_opacity;
    let response = ui.add(Slider::new(&mut opacity, 0.0..=1.0).show_value(false));
    let percent = opacity * 100.0;
    response
        .widget_info(|| WidgetInfo::slider(true, opacity, format!("Hull solid, {percent:.0} %")));
    if response
        .on_hover_text("How solid the hull is drawn")
        .changed()
    {
        actions.push(Action::HullOpacity(opacity));
    }
}

fn cut_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let Some(hull) = session.hull() else {
        return;
    };
    let cut = session.view().cut_station_m;
    if let Some(on) = tick(ui, cut.is_some(), "Cut") {
        actions.push(Action::Cut(on.then(|| hull.bounds.center().x)));
    }
    let Some(mut station_m) = cut else {
        return;
    };
    let range = hull.bounds.mins.x..=hull.bounds.maxs.x;
    let response = ui.add(Slider::new(&mut station_m, range).show_value(false));
    let shown = write(Quantity::length(station_m), session.view().units);
    response.widget_info(|| WidgetInfo::slider(true, station_m, format!("Cut at {shown}")));
    if response.changed() {
        actions.push(Action::Cut(Some(station_m)));
    }
    quiet(ui, shown);
}

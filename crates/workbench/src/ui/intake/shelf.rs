//! The yard's own hulls.

use egui::{Label, RichText, Ui, Vec2};
use keelstead_files::shelf::Shelved;
use keelstead_units::quantity::Quantity;
use keelstead_units::{Units, write};

use super::super::field::{text_edit, wrong_ui};
use super::super::typed;
use super::super::widgets::{button, card, main_button, quiet, strong, target};
use crate::action::Action;
use crate::intake::{Intake, IntakeAction, Step};
use crate::session::Session;
use crate::theme::bold;

pub(super) fn shelf_ui(ui: &mut Ui, session: &Session, intake: &Intake, actions: &mut Vec<Action>) {
    ui.horizontal_wrapped(|ui| {
        if button(ui, "\u{2190} Bring in another hull").clicked() {
            actions.push(Action::Intake(IntakeAction::Go(Step::Choose)));
        }
    });
    let Some(shelf) = session.shelf() else {
        ui.label("Looking at the shelf\u{2026}");
        return;
    };
    if shelf.is_empty() {
        ui.label(RichText::new("The shelf is empty").font(bold(18.0)));
        ui.add(
            Label::new(
                "Hulls that you bring in and put on the shelf stand here, to be used for the next job. Bring one \
                 in from a mesh, a table of offsets or a tape measure, and put it on the shelf at the last step.",
            )
            .wrap(),
        );
        return;
    }
    let wanted = search_ui(ui);
    let found: Vec<&Shelved> = shelf.iter().filter(|hull| fits(hull, &wanted)).collect();
    if found.is_empty() {
        ui.add(
            Label::new(format!(
                "No hull on the shelf is called \u{201c}{wanted}\u{201d}."
            ))
            .wrap(),
        );
    }
    for hull in found {
        ui.push_id(("shelved", &hull.id), |ui| {
            card(ui, |ui| hull_ui(ui, session, intake, hull, actions));
        });
    }
}

/// A field to search by; gives what stands in it.
fn search_ui(ui: &mut Ui) -> String {
    let id = ui.make_persistent_id("shelf search");
    let mut text: String = ui.data(|data| data.get_temp(id)).unwrap_or_default();
    let label = strong(ui, "Search by name");
    let size = Vec2::new(ui.available_width().min(360.0), target(ui));
    ui.add(text_edit(&mut text, id.with("text"), size))
        .labelled_by(label.id);
    ui.data_mut(|data| data.insert_temp(id, text.clone()));
    text.trim().to_owned()
}

fn fits(hull: &Shelved, wanted: &str) -> bool {
    hull.name.to_lowercase().contains(&wanted.to_lowercase())
}

fn hull_ui(
    ui: &mut Ui,
    session: &Session,
    intake: &Intake,
    hull: &Shelved,
    actions: &mut Vec<Action>,
) {
    let label = strong(ui, &hull.name);
    quiet(ui, facts(hull, session.view().units));
    if let Some(trouble) = &hull.trouble {
        wrong_ui(ui, trouble);
    }
    if intake.removing() == Some(hull.id.as_str()) {
        ui.add(
            Label::new("Take it off the shelf for good? Jobs that use it keep their own copy.")
                .wrap(),
        );
        ui.horizontal_wrapped(|ui| {
            if main_button(ui, "Keep it").clicked() {
                actions.push(Action::Intake(IntakeAction::AskRemove(None)));
            }
            let name = format!("Take {} off for good", hull.name);
            if button(ui, name).clicked() {
                actions.push(Action::ShelfRemove(hull.id.clone()));
            }
        });
        return;
    }
    let id = ui.make_persistent_id("rename");
    let renaming: bool = ui.data(|data| data.get_temp(id)).unwrap_or_default();
    if renaming {
        let size = Vec2::new(ui.available_width().min(360.0), target(ui));
        let name = typed::text_ui(
            ui,
            id.with("name"),
            &hull.name,
            size,
            label.id,
            |text| match text.trim() {
                "" => Err("a hull needs a name to be found again by".to_owned()),
                name => Ok(name.to_owned()),
            },
        );
        typed::error_ui(ui, id.with("name"));
        if let Some(name) = name {
            ui.data_mut(|data| data.insert_temp(id, false));
            actions.push(Action::Intake(IntakeAction::RenameShelved {
                id: hull.id.clone(),
                name,
            }));
        }
    }
    ui.horizontal_wrapped(|ui| {
        let sound = hull.trouble.is_none();
        if sound && session.is_open() && main_button(ui, "Use in the open job").clicked() {
            actions.push(Action::ShelfGet(hull.id.clone()));
        }
        if sound && button(ui, "Open").clicked() {
            actions.push(Action::Intake(IntakeAction::OpenShelved(hull.id.clone())));
        }
        let words = if renaming { "Leave the name" } else { "Rename" };
        if sound && button(ui, words).clicked() {
            ui.data_mut(|data| data.insert_temp(id, !renaming));
        }
        if button(ui, "Remove\u{2026}").clicked() {
            actions.push(Action::Intake(IntakeAction::AskRemove(Some(
                hull.id.clone(),
            ))));
        }
    });
}

/// Length, beam and the day it was put there.
fn facts(hull: &Shelved, units: Units) -> String {
    let figure = |value_m: f64| write(Quantity::length(value_m), units);
    let size = hull
        .size_m
        .map(|[length_m, beam_m, _]| format!("{} long, {} beam", figure(length_m), figure(beam_m)));
    let day = hull.day().map(|day| format!("put here on {day}"));
    let facts: Vec<String> = size.into_iter().chain(day).collect();
    if facts.is_empty() {
        return "Nothing is noted of its size.".into();
    }
    facts.join(", ")
}

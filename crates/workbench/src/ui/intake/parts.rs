//! Naming the parts: what each is decides what may bear and press on it.

use egui::{ComboBox, Label, RichText, Ui};
use keelstead_boat::hull::HullPart;
use keelstead_units::quantity::{Quantity, Sentence};
use keelstead_units::{sentence, write};

use super::super::field::wrong_ui;
use super::super::typed;
use super::super::widgets::{button, card, choice, quiet, target};
use crate::action::Action;
use crate::intake::{Intake, IntakeAction};
use crate::session::Session;
use crate::theme::Palette;
use crate::words::intake::{PART_KINDS, PART_USES, part_kind, part_kind_means};

pub(super) fn parts_ui(ui: &mut Ui, session: &Session, intake: &Intake, actions: &mut Vec<Action>) {
    let Some(hull) = intake.hull() else {
        return;
    };
    ui.add(
        Label::new(
            "What is each part? Press one here or in the picture. The boat stands on body, keel and skeg \
             alone, and pads steady only the body.",
        )
        .wrap(),
    );
    for (at, part) in hull.parts.iter().enumerate() {
        ui.push_id(("part", &part.name), |ui| {
            card(ui, |ui| part_ui(ui, session, intake, at, part, actions));
        });
    }
}

fn part_ui(
    ui: &mut Ui,
    session: &Session,
    intake: &Intake,
    at: usize,
    part: &HullPart,
    actions: &mut Vec<Action>,
) {
    let picked = intake.part() == Some(at);
    ui.horizontal_wrapped(|ui| {
        if choice(ui, picked, &part.name).clicked() {
            let part = (!picked).then_some(at);
            actions.push(Action::Intake(IntakeAction::PickPart(part)));
        }
        kind_ui(ui, part, actions);
    });
    let size = part.mesh.aabb().extents();
    let units = session.view().units;
    let figure = |value_m: f64| write(Quantity::length(value_m), units);
    let palette = Palette::current(ui.ctx());
    let text = format!(
        "{} long, {} wide, {} high. {}",
        figure(size.x),
        figure(size.y),
        figure(size.z),
        part_kind_means(part.kind)
    );
    ui.add(Label::new(RichText::new(text).color(palette.quiet).small()).wrap());
    if let Some(because) = unnamed(intake, &part.name) {
        let because = sentence(because, units);
        wrong_ui(ui, &format!("Please say what it is: {because}."));
    }
    if picked {
        picked_ui(ui, intake, part, actions);
    }
}

/// Why nobody can tell what a part is, while nobody has said.
fn unnamed<'i>(intake: &'i Intake, part: &str) -> Option<&'i Sentence> {
    let examined = intake.stood()?.examined.as_ref()?;
    let found = examined.parts.iter().find(|found| found.name == part)?;
    let said = intake.draft().part(part).and_then(|said| said.kind);
    let open = found.kind.value.is_none() && said.is_none();
    open.then_some(&found.kind.because)
}

/// Use of the part looked at; and of a mesh its name, and a way to take it away.
fn picked_ui(ui: &mut Ui, intake: &Intake, part: &HullPart, actions: &mut Vec<Action>) {
    quiet(ui, "What it counts for");
    ui.horizontal_wrapped(|ui| {
        for (part_use, words) in PART_USES {
            if choice(ui, part.part_use == part_use, words).clicked() {
                let part = part.name.clone();
                actions.push(Action::Intake(IntakeAction::PartUse { part, part_use }));
                actions.push(Action::Settle);
            }
        }
    });
    let is_mesh = intake.stood().is_some_and(|stood| stood.examined.is_some());
    if !is_mesh {
        return;
    }
    let label = quiet(ui, "Its name");
    let size = egui::Vec2::new(ui.available_width(), target(ui));
    let id = ui.make_persistent_id("part name");
    let name = typed::text_ui(ui, id, &part.name, size, label.id, |text| {
        match text.trim() {
            "" => Err("a part needs a name".to_owned()),
            text => Ok(text.to_owned()),
        }
    });
    typed::error_ui(ui, id);
    if let Some(name) = name {
        let part = part.name.clone();
        actions.push(Action::Intake(IntakeAction::PartName { part, name }));
        actions.push(Action::Settle);
    }
    if button(ui, "It is no part of the boat: take it away").clicked() {
        actions.push(Action::Intake(IntakeAction::PartRemove(part.name.clone())));
        actions.push(Action::Settle);
    }
}

fn kind_ui(ui: &mut Ui, part: &HullPart, actions: &mut Vec<Action>) {
    let response = ComboBox::from_id_salt("kind")
        .width((ui.available_width() - 8.0).clamp(target(ui), 230.0))
        .selected_text(part_kind(part.kind))
        .show_ui(ui, |ui| {
            for kind in PART_KINDS {
                let chosen = kind == part.kind;
                if ui.selectable_label(chosen, part_kind(kind)).clicked() && !chosen {
                    actions.push(Action::Intake(IntakeAction::PartKind {
                        part: part.name.clone(),
                        kind,
                    }));
                }
            }
        })
        .response;
    let name = format!("What {} is: {}", part.name, part_kind(part.kind));
    response.widget_info(|| egui::WidgetInfo::labeled(egui::WidgetType::ComboBox, true, &name));
}

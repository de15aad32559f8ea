//! Standing it up: what the file was taken for, why, and what else it may be.

use egui::{Label, RichText, Ui};
use keelstead_files::intake::Question;
use keelstead_units::quantity::Quantity;
use keelstead_units::verdict::Verdict;
use keelstead_units::{Units, parse_length, sentence};

use super::super::field::Field;
use super::super::typed;
use super::super::widgets::{button, card, choice, quiet, strong, target};
use super::measured;
use crate::action::Action;
use crate::intake::{Intake, IntakeAction, Row, Stood, rows};
use crate::session::Session;
use crate::shape;
use crate::theme::{Palette, bold};
use crate::words::intake::question;

pub(super) fn stand_ui(ui: &mut Ui, session: &Session, intake: &Intake, actions: &mut Vec<Action>) {
    let Some(stood) = intake.stood() else {
        return;
    };
    name_ui(ui, intake, actions);
    let units = session.view().units;
    let rows = rows(stood, &intake.draft().answers);
    let (open, decided): (Vec<Row>, Vec<Row>) = rows.into_iter().partition(|row| row.open);
    for row in &open {
        row_ui(ui, row, units, actions);
    }
    let said_m = intake.draft().answers.length_m;
    let length_ui = |ui: &mut Ui, actions: &mut Vec<Action>| {
        card(ui, |ui| scale_ui(ui, stood, said_m, units, actions));
    };
    // A length answers the question of the unit too, and is all that does where no unit makes a boat of it.
    let asked = stood.asks_size();
    if asked {
        length_ui(ui, actions);
    }
    strong(ui, "Does it stand right in the picture?");
    ui.horizontal_wrapped(|ui| {
        for (words, action) in [
            ("Turn the bow round", IntakeAction::TurnRound),
            ("It is upside down", IntakeAction::UpsideDown),
            ("It lies on its side", IntakeAction::OnItsSide),
        ] {
            if button(ui, words).clicked() {
                actions.push(Action::Intake(action));
            }
        }
    });
    measured::dimensions_ui(ui, session, intake);
    if !asked {
        length_ui(ui, actions);
    }
    tolerance_ui(ui, stood, intake, units, actions);
    for row in &decided {
        row_ui(ui, row, units, actions);
    }
}

pub(super) fn name_ui(ui: &mut Ui, intake: &Intake, actions: &mut Vec<Action>) {
    let label = strong(ui, "Name of the boat");
    let size = egui::Vec2::new(ui.available_width(), target(ui));
    let id = ui.make_persistent_id("boat name");
    let name = typed::text_ui(
        ui,
        id,
        &intake.draft().name,
        size,
        label.id,
        |text| match text.trim() {
            "" => Err("a hull needs a name to be found again by".to_owned()),
            name => Ok(name.to_owned()),
        },
    );
    typed::error_ui(ui, id);
    actions.extend(name.map(|name| Action::Intake(IntakeAction::Name(name))));
}

/// How far the surface may be off.
fn tolerance_ui(
    ui: &mut Ui,
    stood: &Stood,
    intake: &Intake,
    units: Units,
    actions: &mut Vec<Action>,
) {
    let made_m = stood.described.shape_tolerance_m;
    let said_m = intake.draft().shape_tolerance_m;
    card(ui, |ui| {
        let off = Quantity::length(said_m.unwrap_or(made_m));
        Field::new("Surface may be off by", off).ui(ui, "tolerance", units, actions, |off_m| {
            Action::Intake(IntakeAction::Tolerance(Some(off_m)))
        });
        if said_m.is_some() {
            if button(ui, "Take what is assumed").clicked() {
                actions.push(Action::Intake(IntakeAction::Tolerance(None)));
            }
        } else {
            quiet(
                ui,
                "Assumed: nobody said how the mesh was made. Scans are good for a few millimetres, drawings of another boat of the class for centimetres.",
            );
        }
    });
}

/// The length as measured, which scales the hull to it.
fn scale_ui(
    ui: &mut Ui,
    stood: &Stood,
    said_m: Option<f64>,
    units: Units,
    actions: &mut Vec<Action>,
) {
    let act = |length_m: Option<f64>| Action::Intake(IntakeAction::ScaleLength(length_m));
    if said_m.is_none() && stood.asks_size() {
        // No figure is shown that hangs on the question.
        let label = strong(ui, question(Question::Length));
        let size = egui::Vec2::new(ui.available_width().min(200.0), target(ui));
        let id = ui.make_persistent_id("measured length");
        let typed = typed::text_ui(ui, id, "", size, label.id, |text| {
            parse_length(text, units).map_err(|error| error.to_string())
        });
        typed::error_ui(ui, id);
        actions.extend(typed.map(|length_m| act(Some(length_m))));
        quiet(
            ui,
            "Type the length over all if you know it: then the unit does not matter.",
        );
        return;
    }
    let length_m = said_m.unwrap_or(stood.opened.hull.body_bounds().extents().x);
    Field::new(question(Question::Length), Quantity::length(length_m)).ui(
        ui,
        "measured length",
        units,
        actions,
        |length_m| act(Some(length_m)),
    );
    if said_m.is_some() {
        quiet(
            ui,
            "The hull is scaled to this, bow to stern, without mast and gear.",
        );
        if button(ui, "Take the file\u{2019}s own size").clicked() {
            actions.push(act(None));
        }
    } else {
        quiet(
            ui,
            "Type another to scale the hull to a length measured on the boat.",
        );
    }
}

/// One proposal: what, why, and buttons to say otherwise.
fn row_ui(ui: &mut Ui, row: &Row, units: Units, actions: &mut Vec<Action>) {
    let palette = Palette::current(ui.ctx());
    ui.push_id(row.title, |ui| {
        card(ui, |ui| {
            ui.horizontal_wrapped(|ui| {
                if row.open {
                    let (rect, _) =
                        ui.allocate_exact_size(egui::Vec2::splat(20.0), egui::Sense::hover());
                    shape::paint(ui.painter(), rect.center(), 20.0, Verdict::Unknown, palette);
                }
                strong(ui, row.title);
                match &row.value {
                    Some(value) if row.told => ui.label(format!("{value}, as you said")),
                    Some(value) => ui.label(value),
                    None => {
                        let ask = RichText::new("Please answer").font(bold(15.0));
                        ui.label(ask.color(palette.verdict(Verdict::Tight)))
                    }
                };
            });
            let because = RichText::new(crate::words::capital(&sentence(&row.because, units)))
                .color(palette.quiet)
                .small();
            ui.add(Label::new(because).wrap());
            // With nothing else to choose, buttons would say nothing.
            if row.choices.len() < 2 && !row.open {
                return;
            }
            ui.horizontal_wrapped(|ui| {
                for offered in &row.choices {
                    if choice(ui, offered.chosen, &offered.words).clicked() && !offered.chosen {
                        actions.push(Action::Intake(offered.action.clone()));
                    }
                }
            });
        });
    });
}

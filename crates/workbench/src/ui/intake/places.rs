//! Measures taken at stations: half-breadths, heights of the bottom, girths.

use egui::Ui;
use keelstead_boat::family::{BottomHeight, Girth, HalfBreadth, MeasureKind, Measures};
use keelstead_units::quantity::Quantity;
use keelstead_units::{Units, sentence};

use super::super::field::Field;
use super::super::widgets::{button, card, quiet, strong};
use super::measure::misfit_ui;
use crate::action::Action;
use crate::intake::{Fit, IntakeAction, Measured};
use crate::words::capital;

pub(super) fn places_ui(
    ui: &mut Ui,
    said: &Measured,
    fit: Option<&Fit>,
    units: Units,
    actions: &mut Vec<Action>,
) {
    quiet(
        ui,
        "Stations count forward from the after end of the length over all, heights up from the lowest point.",
    );
    if !said.can_stand() {
        quiet(ui, "Give length over all and beam first.");
        return;
    }
    let measures = &said.measures;
    for kind in [
        MeasureKind::HalfBreadth,
        MeasureKind::BottomHeight,
        MeasureKind::Girth,
    ] {
        strong(ui, capital(kind.title()));
        quiet(ui, sentence(&kind.how(), units));
        for index in 0..count(measures, kind) {
            ui.push_id((kind.word(), index), |ui| {
                card(ui, |ui| {
                    place_ui(ui, measures, kind, index, units, actions);
                    let reached = fit.and_then(|fit| {
                        let mut all = fit.measures.iter();
                        all.find(|one| one.kind == kind && one.index == index)
                    });
                    if let Some(reached) = reached {
                        misfit_ui(ui, reached, units);
                    }
                    if button(ui, "Take it away").clicked() {
                        change(actions, measures, |measures| remove(measures, kind, index));
                    }
                });
            });
        }
        if button(ui, format!("Add: {}", kind.title())).clicked() {
            change(actions, measures, |measures| add(measures, kind));
        }
    }
}

fn change(actions: &mut Vec<Action>, measures: &Measures, by: impl FnOnce(&mut Measures)) {
    let mut measures = measures.clone();
    by(&mut measures);
    actions.push(Action::Intake(IntakeAction::Measures(Box::new(measures))));
    actions.push(Action::Settle);
}

fn place_ui(
    ui: &mut Ui,
    measures: &Measures,
    kind: MeasureKind,
    index: usize,
    units: Units,
    actions: &mut Vec<Action>,
) {
    let mut now = measures.clone();
    let figures = slots(&mut now, kind, index);
    for (which, (label, value_m)) in figures.into_iter().enumerate() {
        Field::new(label, Quantity::length(*value_m)).ui(ui, label, units, actions, |to_m| {
            let mut next = measures.clone();
            if let Some((_, slot)) = slots(&mut next, kind, index).into_iter().nth(which) {
                *slot = to_m;
            }
            Action::Intake(IntakeAction::Measures(Box::new(next)))
        });
    }
}

/// The figures of a measure at a place, each with its label.
fn slots(
    measures: &mut Measures,
    kind: MeasureKind,
    index: usize,
) -> Vec<(&'static str, &mut f64)> {
    match kind {
        MeasureKind::HalfBreadth => measures.half_breadths.get_mut(index).map(|m| {
            vec![
                ("Station", &mut m.station_m),
                ("Height", m.height_m.get_or_insert(0.0)),
                ("Half-breadth", &mut m.half_breadth_m),
            ]
        }),
        MeasureKind::BottomHeight => measures.bottom_heights.get_mut(index).map(|m| {
            vec![
                ("Station", &mut m.station_m),
                ("Off the centreline", &mut m.off_m),
                ("Height of the bottom", &mut m.height_m),
            ]
        }),
        _ => measures.girths.get_mut(index).map(|m| {
            vec![
                ("Station", &mut m.station_m),
                ("Girth, one side", &mut m.girth_m),
            ]
        }),
    }
    .unwrap_or_default()
}

fn count(measures: &Measures, kind: MeasureKind) -> usize {
    match kind {
        MeasureKind::HalfBreadth => measures.half_breadths.len(),
        MeasureKind::BottomHeight => measures.bottom_heights.len(),
        _ => measures.girths.len(),
    }
}

/// Adds one amidships, with figures that are to be typed over.
fn add(measures: &mut Measures, kind: MeasureKind) {
    let station_m = 0.5 * measures.length_m;
    let half_m = 0.5 * measures.beam_m;
    match kind {
        MeasureKind::HalfBreadth => measures.half_breadths.push(HalfBreadth {
            station_m,
            height_m: Some(half_m),
            half_breadth_m: 0.8 * half_m,
        }),
        MeasureKind::BottomHeight => measures.bottom_heights.push(BottomHeight {
            station_m,
            off_m: 0.5 * half_m,
            height_m: 0.5 * half_m,
        }),
        _ => measures.girths.push(Girth {
            station_m,
            girth_m: 1.8 * half_m,
        }),
    }
}

fn remove(measures: &mut Measures, kind: MeasureKind, index: usize) {
    match kind {
        MeasureKind::HalfBreadth => drop(measures.half_breadths.remove(index)),
        MeasureKind::BottomHeight => drop(measures.bottom_heights.remove(index)),
        _ => drop(measures.girths.remove(index)),
    }
}

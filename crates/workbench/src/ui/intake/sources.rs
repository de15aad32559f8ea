//! What tells her weight besides a figure: a marked waterline, two scales, her kind.

use egui::Ui;
use keelstead_boat::hull::Hull;
use keelstead_boat::weigh::{BoatKind, MarkedWaterline, ScaleReading, Typical, Water};
use keelstead_units::quantity::{Quantity, Unit};
use keelstead_units::{Units, write};

use super::super::field::Field;
use super::super::widgets::{button, choice, quiet, strong};
use super::weigh::{begun_ui, choose, push};
use crate::action::Action;
use crate::intake::{Draft, Figured, IntakeAction, level_waterline};
use crate::words::capital;

/// Where marks are put, and from where their figures count.
const MARKS: &str = "Press the hull in the picture where the water stands, forward and aft; or type the figures. Heights are above \
                     the keel line\u{2019}s aft end, stations forward of it.";

pub(super) fn waterline_ui(
    ui: &mut Ui,
    hull: &Hull,
    draft: &Draft,
    units: Units,
    actions: &mut Vec<Action>,
) {
    let source = Figured::Waterline;
    strong(ui, source.title());
    let measured = draft.measured.as_ref();
    let draft_m = measured.and_then(|one| one.measures.draft_m);
    let level_ui = |ui: &mut Ui, actions: &mut Vec<Action>| {
        let Some(draft_m) = draft_m else { return };
        let floats = write(Quantity::length(draft_m), units);
        if button(ui, format!("She floats level at the {floats} measured")).clicked() {
            let level = level_waterline(hull, draft_m);
            push(actions, IntakeAction::Waterline(Some(level)));
            actions.push(Action::Settle);
        }
    };
    if let Some(figures) = draft.begun.get(&source) {
        quiet(ui, MARKS);
        begun_ui(ui, source, figures, units, actions);
        level_ui(ui, actions);
        return;
    }
    let Some(line) = draft.weighing.waterline else {
        quiet(
            ui,
            "Boot top, weed or stain: with two heights of it the hull\u{2019}s own volume tells the weight. The hull \
             has to be closed below the water.",
        );
        if button(ui, "Mark the waterline").clicked() {
            choose(actions, source, true);
        }
        level_ui(ui, actions);
        return;
    };
    quiet(ui, MARKS);
    let set = |change: &dyn Fn(&mut MarkedWaterline)| {
        let mut line = line;
        change(&mut line);
        Action::Intake(IntakeAction::Waterline(Some(line)))
    };
    let mut figure = |label: &str, value_m: f64, act: &dyn Fn(&mut MarkedWaterline, f64)| {
        Field::new(label, Quantity::length(value_m)).ui(ui, label, units, actions, |to_m| {
            set(&|line| act(line, to_m))
        });
    };
    figure("Aft mark, forward", line.aft.x_m, &|line, to| {
        line.aft.x_m = to
    });
    figure("Aft mark, height", line.aft.z_m, &|line, to| {
        line.aft.z_m = to
    });
    figure("Fore mark, forward", line.fore.x_m, &|line, to| {
        line.fore.x_m = to
    });
    figure("Fore mark, height", line.fore.z_m, &|line, to| {
        line.fore.z_m = to
    });
    figure("Marks may be off by", line.tolerance_m, &|line, to| {
        line.tolerance_m = to;
    });
    ui.horizontal_wrapped(|ui| {
        for (words, water) in [("Salt water", Water::Salt), ("Fresh water", Water::Fresh)] {
            if choice(ui, line.water == water, words).clicked() {
                actions.push(set(&|line| line.water = water));
            }
        }
    });
    if button(ui, "Take the waterline away").clicked() {
        choose(actions, source, false);
    }
}

pub(super) fn scales_ui(ui: &mut Ui, draft: &Draft, units: Units, actions: &mut Vec<Action>) {
    let source = Figured::Scales;
    strong(ui, source.title());
    if let Some(figures) = draft.begun.get(&source) {
        begun_ui(ui, source, figures, units, actions);
        return;
    }
    let Some(scales) = draft.weighing.supports else {
        quiet(
            ui,
            "Load cells or scales under two blocks, nothing else bearing: weight and centre by moments.",
        );
        if button(ui, "She was weighed on two scales").clicked() {
            choose(actions, source, true);
        }
        return;
    };
    let set = |fore: bool, change: &dyn Fn(&mut ScaleReading)| {
        let mut scales = scales;
        change(if fore {
            &mut scales.fore
        } else {
            &mut scales.aft
        });
        Action::Intake(IntakeAction::Scales(Some(scales)))
    };
    for (word, fore, reading) in [("Aft", false, scales.aft), ("Fore", true, scales.fore)] {
        ui.push_id(word, |ui| {
            let label = format!("{word} scale reads");
            Field::new(&label, Quantity::mass(reading.mass_kg)).ui(
                ui,
                "reads",
                units,
                actions,
                |kg| set(fore, &|reading| reading.mass_kg = kg),
            );
            let label = format!("{word} scale, forward");
            Field::new(&label, Quantity::length(reading.x_m)).ui(ui, "at", units, actions, |x_m| {
                set(fore, &|reading| reading.x_m = x_m)
            });
            let label = format!("{word} scale, off by");
            Field::new(&label, Quantity::mass(reading.tolerance_kg)).ui(
                ui,
                "off",
                units,
                actions,
                |kg| set(fore, &|reading| reading.tolerance_kg = kg),
            );
        });
    }
    if button(ui, "Take the scales away").clicked() {
        choose(actions, source, false);
    }
}

pub(super) fn kind_ui(
    ui: &mut Ui,
    hull: &Hull,
    typical: Option<Typical>,
    units: Units,
    actions: &mut Vec<Action>,
) {
    strong(ui, "What is usual for her kind");
    quiet(
        ui,
        "A last resort with a wide band, by the length of the waterline; and a check on the rest.",
    );
    ui.horizontal_wrapped(|ui| {
        // A boat that was measured as one of a family is of its kind.
        let known = hull.kind();
        let kinds = BoatKind::all().filter(|kind| known.is_none_or(|known| known == *kind));
        for kind in kinds {
            let chosen = typical.is_some_and(|typical| typical.kind == kind);
            if choice(ui, chosen, &capital(kind.words())).clicked() {
                let next = typical.map_or(Typical::of(kind), |old| Typical { kind, ..old });
                let next = (!chosen).then_some(next);
                push(actions, IntakeAction::Kind(next));
            }
        }
    });
    let Some(typical) = typical else { return };
    let asked = Field::asked("Length of the waterline", typical.waterline_m, Unit::Length);
    asked.ui(ui, "typical waterline", units, actions, |length_m| {
        Action::Intake(IntakeAction::Kind(Some(Typical {
            waterline_m: Some(length_m),
            ..typical
        })))
    });
    if typical.waterline_m.is_none() {
        quiet(ui, "Else that of the marked waterline, if there is one.");
        return;
    }
    if button(ui, "Take that of the mark").clicked() {
        let waterline_m = None;
        push(
            actions,
            IntakeAction::Kind(Some(Typical {
                waterline_m,
                ..typical
            })),
        );
    }
}

//! What she weighs, from whatever a yard can find out; and what all of it says together.

use egui::{Label, Ui};
use keelstead_boat::hull::{CentreOfGravity, Mass};
use keelstead_boat::weigh::Weighed;
use keelstead_units::quantity::{Basis, Quantity};
use keelstead_units::verdict::Verdict;
use keelstead_units::{Units, sentence, write};

use super::super::field::{Field, wrong_ui};
use super::super::widgets::{button, card, fact, quiet, strong, verdict_ui};
use super::sources::{kind_ui, scales_ui, waterline_ui};
use crate::action::Action;
use crate::intake::{Draft, Figured, Intake, IntakeAction};
use crate::session::Session;
use crate::words::{basis, capital};

pub(super) fn weigh_ui(ui: &mut Ui, session: &Session, intake: &Intake, actions: &mut Vec<Action>) {
    let Some(hull) = intake.hull() else {
        return;
    };
    let units = session.view().units;
    result_ui(ui, intake, units);
    let draft = intake.draft();
    card(ui, |ui| mass_ui(ui, draft, units, actions));
    card(ui, |ui| waterline_ui(ui, hull, draft, units, actions));
    card(ui, |ui| scales_ui(ui, draft, units, actions));
    let typical = draft.weighing.typical;
    card(ui, |ui| kind_ui(ui, hull, typical, units, actions));
    card(ui, |ui| centre_ui(ui, draft, units, actions));
}

pub(super) fn push(actions: &mut Vec<Action>, action: IntakeAction) {
    actions.push(Action::Intake(action));
}

/// What all sources say together.
pub(super) fn result_ui(ui: &mut Ui, intake: &Intake, units: Units) {
    match intake.weighed() {
        Some(Ok(weighed)) => {
            card(ui, |ui| taken_ui(ui, weighed, units));
        }
        Some(Err(wrong)) => {
            card(ui, |ui| wrong_ui(ui, wrong));
        }
        None => {}
    }
}

fn taken_ui(ui: &mut Ui, weighed: &Weighed, units: Units) {
    let length = |value_m: f64| write(Quantity::length(value_m), units);
    let mass = |value_kg: f64| write(Quantity::mass(value_kg), units);
    match weighed.mass {
        Some((source, found)) => {
            let text = format!(
                "{} \u{b1} {}, by {} ({})",
                mass(found.mass_kg),
                mass(found.tolerance_kg),
                source.words(),
                basis(found.basis)
            );
            fact(ui, "Weight", &text);
        }
        None => {
            verdict_ui(ui, Verdict::Unknown, 18.0);
            ui.add(Label::new("What she weighs is not known: say what you can find out below, or go on without. Loads then stay unknown.").wrap());
        }
    }
    if let Some((source, found)) = weighed.centre {
        let text = format!(
            "{} forward of the keel\u{2019}s aft end \u{b1} {}, {} up \u{b1} {}, by {}",
            length(found.at.x_m),
            length(found.tolerance.x_m),
            length(found.at.z_m),
            length(found.tolerance.z_m),
            source.words()
        );
        fact(ui, "Centre", &text);
    }
    if let Some(afloat) = weighed.afloat {
        let text = format!(
            "{} of water, draft {}, waterline {} long, trim {}",
            mass(afloat.displacement_kg),
            length(afloat.draft_m),
            length(afloat.length_m),
            write(Quantity::angle(afloat.trim_rad), units)
        );
        fact(ui, "Afloat", &text);
    }
    let odd = weighed.disagreements.iter().map(|one| &one.says);
    for says in odd.chain(weighed.untold.iter().map(|one| &one.says)) {
        wrong_ui(ui, &capital(&sentence(says, units)));
    }
    for says in &weighed.notes {
        quiet(ui, capital(&sentence(says, units)));
    }
}

/// A source that was chosen and lacks figures: a field for each, and nothing in it that nobody said.
pub(super) fn begun_ui(
    ui: &mut Ui,
    source: Figured,
    figures: &[Option<f64>],
    units: Units,
    actions: &mut Vec<Action>,
) {
    for (which, ((label, unit), value)) in source.asks().iter().zip(figures).enumerate() {
        Field::asked(label, *value, *unit).ui(ui, label, units, actions, |value| {
            Action::Intake(IntakeAction::Figure {
                source,
                which,
                value,
            })
        });
    }
    quiet(ui, "It says nothing until every figure is there.");
    if button(ui, "Not known after all").clicked() {
        choose(actions, source, false);
    }
}

/// Chooses a source, or takes it back.
pub(super) fn choose(actions: &mut Vec<Action>, source: Figured, chosen: bool) {
    push(actions, IntakeAction::Source { source, chosen });
    actions.push(Action::Settle);
}

fn mass_ui(ui: &mut Ui, draft: &Draft, units: Units, actions: &mut Vec<Action>) {
    let source = Figured::Mass;
    strong(ui, source.title());
    if let Some(figures) = draft.begun.get(&source) {
        begun_ui(ui, source, figures, units, actions);
        return;
    }
    let Some(mass) = draft.mass else {
        if button(ui, "I know the weight").clicked() {
            choose(actions, source, true);
        }
        return;
    };
    let set = |change: &dyn Fn(&mut Mass)| {
        let mut mass = mass;
        change(&mut mass);
        Action::Intake(IntakeAction::Mass(Some(mass)))
    };
    Field::new("Weight", Quantity::mass(mass.mass_kg)).ui(ui, "mass", units, actions, |kg| {
        set(&|mass| mass.mass_kg = kg)
    });
    let off = Quantity::mass(mass.tolerance_kg);
    Field::new("May be off by", off).ui(ui, "mass off", units, actions, |kg| {
        set(&|mass| mass.tolerance_kg = kg)
    });
    if button(ui, "Not known after all").clicked() {
        choose(actions, source, false);
    }
}

fn centre_ui(ui: &mut Ui, draft: &Draft, units: Units, actions: &mut Vec<Action>) {
    let source = Figured::Centre;
    strong(ui, source.title());
    if let Some(figures) = draft.begun.get(&source) {
        begun_ui(ui, source, figures, units, actions);
        return;
    }
    let Some(centre) = draft.centre else {
        quiet(ui, "Else it follows from waterline, scales or kind.");
        if button(ui, "State the centre").clicked() {
            choose(actions, source, true);
        }
        return;
    };
    let set = |change: &dyn Fn(&mut CentreOfGravity)| {
        let mut centre = centre;
        change(&mut centre);
        // What somebody typed is no default any more.
        centre.basis = Basis::Measured;
        Action::Intake(IntakeAction::Centre(Some(centre)))
    };
    let mut figure = |label: &str, value_m: f64, act: &dyn Fn(&mut CentreOfGravity, f64)| {
        Field::new(label, Quantity::length(value_m)).ui(ui, label, units, actions, |to_m| {
            set(&|centre| act(centre, to_m))
        });
    };
    figure(
        "Forward of keel\u{2019}s aft end",
        centre.at.x_m,
        &|c, to| c.at.x_m = to,
    );
    figure("\u{b1} fore and aft", centre.tolerance.x_m, &|c, to| {
        c.tolerance.x_m = to;
    });
    figure("To port", centre.at.y_m, &|c, to| c.at.y_m = to);
    figure("Above keel line", centre.at.z_m, &|c, to| c.at.z_m = to);
    figure("\u{b1} up and down", centre.tolerance.z_m, &|c, to| {
        c.tolerance.z_m = to;
    });
    if button(ui, "Not known after all").clicked() {
        choose(actions, source, false);
    }
}

//! What she weighs, from whatever a yard can find out; and what all of it says together.

use egui::{Label, RichText, Ui};
use keelstead::findings::Verdict;
use keelstead::hull::{CentreOfGravity, Hull, Mass};
use keelstead::quantity::{Basis, Quantity};
use keelstead::weigh::{
    BoatKind, MarkedWaterline, ScaleReading, SupportLoads, Typical, Water, Weighed,
};
use keelstead_files::units::{Units, sentence, write};

use super::super::field::{Field, wrong_ui};
use super::super::widgets::{button, card, choice, fact, quiet, strong, verdict_ui};
use crate::action::Action;
use crate::intake::{
    Intake, IntakeAction, begun_centre, begun_kind, begun_scales, begun_waterline,
};
use crate::session::Session;
use crate::words::{basis, capital};

/// A mass to begin with where one is stated, kg.
const BEGUN_MASS_KG: f64 = 4000.0;
/// Kinds of boat, as they are offered.
const KINDS: [BoatKind; 9] = [
    BoatKind::FullKeel,
    BoatKind::FinKeel,
    BoatKind::Centreboarder,
    BoatKind::Planing,
    BoatKind::Workboat,
    BoatKind::Catamaran,
    BoatKind::DoubleEnder,
    BoatKind::Skiff,
    BoatKind::Other,
];

pub(super) fn weigh_ui(ui: &mut Ui, session: &Session, intake: &Intake, actions: &mut Vec<Action>) {
    let Some(hull) = intake.hull() else {
        return;
    };
    let units = session.view().units;
    result_ui(ui, intake, units);
    let draft = intake.draft();
    card(ui, |ui| mass_ui(ui, draft.mass, units, actions));
    let weighing = &draft.weighing;
    card(ui, |ui| {
        let draft_m = draft.measured.as_ref().and_then(|one| one.measures.draft_m);
        waterline_ui(ui, hull, weighing.waterline, draft_m, units, actions)
    });
    card(ui, |ui| {
        scales_ui(ui, hull, weighing.supports, draft.mass, units, actions);
    });
    card(ui, |ui| kind_ui(ui, weighing.typical, units, actions));
    card(ui, |ui| centre_ui(ui, hull, draft.centre, units, actions));
}

fn push(actions: &mut Vec<Action>, action: IntakeAction) {
    actions.push(Action::Intake(action));
}

/// What all sources say together.
fn result_ui(ui: &mut Ui, intake: &Intake, units: Units) {
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

fn mass_ui(ui: &mut Ui, mass: Option<Mass>, units: Units, actions: &mut Vec<Action>) {
    strong(ui, "Weight from papers or a crane\u{2019}s scale");
    let Some(mass) = mass else {
        if button(ui, "I know the weight").clicked() {
            push(
                actions,
                IntakeAction::Mass(Some(Mass {
                    mass_kg: BEGUN_MASS_KG,
                    tolerance_kg: 0.1 * BEGUN_MASS_KG,
                    basis: Basis::Measured,
                })),
            );
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
        push(actions, IntakeAction::Mass(None));
    }
}

fn waterline_ui(
    ui: &mut Ui,
    hull: &Hull,
    line: Option<MarkedWaterline>,
    draft_m: Option<f64>,
    units: Units,
    actions: &mut Vec<Action>,
) {
    strong(ui, "The waterline as marked");
    let Some(line) = line else {
        quiet(
            ui,
            "Boot top, weed or stain: with two heights of it the hull\u{2019}s own volume tells the weight. The hull \
             has to be closed below the water.",
        );
        if button(ui, "Mark the waterline").clicked() {
            push(
                actions,
                IntakeAction::Waterline(Some(begun_waterline(hull, draft_m))),
            );
        }
        return;
    };
    quiet(
        ui,
        "Press the hull in the picture where the water stands, forward and aft; or type the figures. Heights are \
         above the keel line\u{2019}s aft end, stations forward of it.",
    );
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
        push(actions, IntakeAction::Waterline(None));
    }
}

fn scales_ui(
    ui: &mut Ui,
    hull: &Hull,
    scales: Option<SupportLoads>,
    mass: Option<Mass>,
    units: Units,
    actions: &mut Vec<Action>,
) {
    strong(ui, "Two scales under the keel");
    let Some(scales) = scales else {
        quiet(
            ui,
            "Load cells or scales under two blocks, nothing else bearing: weight and centre by moments.",
        );
        if button(ui, "She was weighed on two scales").clicked() {
            push(
                actions,
                IntakeAction::Scales(Some(begun_scales(hull, mass))),
            );
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
        push(actions, IntakeAction::Scales(None));
    }
}

fn kind_ui(ui: &mut Ui, typical: Option<Typical>, units: Units, actions: &mut Vec<Action>) {
    strong(ui, "What is usual for her kind");
    quiet(
        ui,
        "A last resort with a wide band, by the length of the waterline; and a check on the rest.",
    );
    ui.horizontal_wrapped(|ui| {
        for kind in KINDS {
            let chosen = typical.is_some_and(|typical| typical.kind == kind);
            if choice(ui, chosen, &capital(kind.words())).clicked() {
                let next = typical.map_or(begun_kind(kind), |old| Typical { kind, ..old });
                let next = (!chosen).then_some(next);
                push(actions, IntakeAction::Kind(next));
            }
        }
    });
    let Some(typical) = typical else { return };
    let label = RichText::new("Length of the waterline").strong();
    let Some(length_m) = typical.waterline_m else {
        ui.add(Label::new(label));
        quiet(ui, "That of the marked waterline, if there is one.");
        if button(ui, "Give the waterline\u{2019}s length").clicked() {
            let waterline_m = Some(8.0);
            push(
                actions,
                IntakeAction::Kind(Some(Typical {
                    waterline_m,
                    ..typical
                })),
            );
        }
        return;
    };
    Field::new("Length of the waterline", Quantity::length(length_m)).ui(
        ui,
        "typical waterline",
        units,
        actions,
        |length_m| {
            let waterline_m = Some(length_m);
            Action::Intake(IntakeAction::Kind(Some(Typical {
                waterline_m,
                ..typical
            })))
        },
    );
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

fn centre_ui(
    ui: &mut Ui,
    hull: &Hull,
    centre: Option<CentreOfGravity>,
    units: Units,
    actions: &mut Vec<Action>,
) {
    strong(ui, "Centre of gravity, if it is known");
    let Some(centre) = centre else {
        quiet(ui, "Else it follows from waterline, scales or kind.");
        if button(ui, "State the centre").clicked() {
            push(actions, IntakeAction::Centre(Some(begun_centre(hull))));
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
        push(actions, IntakeAction::Centre(None));
    }
}

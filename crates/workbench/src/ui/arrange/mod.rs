//! The arrangement, to change: hull, beams and stacks, suspension, pads, weights, what is asked.

mod asked;
mod asked_loads;
mod beams;
mod carries;
mod diagram;
mod hull;
pub(super) mod marks;
mod measured;
mod pads;
mod stack;
mod steadies;
mod weights;

use egui::Ui;
use keelstead::findings::Findings;
use keelstead_boat::hull::Hull;
use keelstead_load::load::{Load, TargetAttitude};
use keelstead_load::rig::Rig;
use keelstead_units::Units;
use keelstead_units::fields::Range;
use keelstead_units::quantity::Quantity;

use super::field::Field;
use super::job;
use super::widgets::{card, section};
use crate::action::Action;
use crate::edit;
use crate::session::Session;

/// The open job, as the sections see it.
struct Bench<'s> {
    hull: &'s Hull,
    rig: &'s Rig,
    load: &'s Load,
    findings: &'s Findings,
    units: Units,
}

impl<'s> Bench<'s> {
    fn of(session: &'s Session) -> Option<Self> {
        Some(Self {
            hull: session.hull()?,
            rig: session.rig()?,
            load: session.load()?,
            findings: session.findings()?,
            units: session.view().units,
        })
    }

    fn stance_now(&self) -> TargetAttitude {
        edit::stance_now(self.rig, self.load, self.findings)
    }
}

/// All sections.
pub(super) fn arrange_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let Some(bench) = Bench::of(session) else {
        return;
    };
    section(ui, "Where the hull stands", true, |ui| {
        card(ui, |ui| hull::hull_ui(ui, &bench, actions));
    });
    section(ui, "What carries the boat", true, |ui| {
        carries::carries_ui(ui, &bench, actions);
    });
    section(ui, "Measured after set-down", false, |ui| {
        measured::measured_ui(ui, &bench, actions);
    });
    section(ui, "Beams and blocks", true, |ui| {
        beams::beams_ui(ui, &bench, actions);
    });
    section(ui, "Suspension", true, |ui| {
        card(ui, |ui| suspension_ui(ui, &bench, actions));
    });
    section(ui, "What only steadies", true, |ui| {
        steadies::steadies_ui(ui, &bench);
    });
    section(ui, "Pads (steady only)", false, |ui| {
        pads::pads_ui(ui, &bench, actions);
    });
    section(ui, "Weights on board", false, |ui| {
        weights::weights_ui(ui, &bench, actions);
    });
    section(ui, "Marks on the hull", false, |ui| {
        marks::marks_ui(ui, &bench, actions);
    });
    section(ui, "What is asked", false, |ui| {
        card(ui, |ui| asked::asked_ui(ui, &bench, actions));
    });
    section(ui, "Asked of beams, blocks and keel", false, |ui| {
        card(ui, |ui| asked_loads::strength_ui(ui, &bench, actions));
    });
    section(ui, "Asked of pads and rig", false, |ui| {
        card(ui, |ui| asked_loads::steadying_ui(ui, &bench, actions));
    });
    section(ui, "The job: name and note", false, |ui| {
        card(ui, |ui| job::job_ui(ui, session, actions));
    });
}

fn suspension_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    let range: Range = bench.rig.suspension.rail_top_m;
    Field::new(
        "Rail top above ground",
        Quantity::length(bench.load.rail_top_m),
    )
    .slide(range)
    .ui(ui, "suspension", bench.units, actions, Action::RailTop);
}

//! Where the hull stands, and the stance wanted.

use egui::Ui;
use keelstead_load::load::TargetAttitude;
use keelstead_units::fields::Range;
use keelstead_units::quantity::Quantity;

use super::super::field::Field;
use super::super::widgets::{quiet, tick};
use super::Bench;
use crate::action::Action;

/// Ends of the sliders for turning, rad either way; typing may go further.
const TURN_SLIDE_RAD: f64 = 0.09;
/// Ends of the sideways slider, m either way.
const SIDEWAYS_SLIDE_M: f64 = 0.5;

pub(super) fn hull_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    let stand = &bench.load.stand;
    let units = bench.units;
    quiet(
        ui,
        "The hull\u{2019}s origin is the aft end of its keel line; ahead of the coupling counts up.",
    );
    let rails = &bench.rig.rails;
    let bounds = &bench.hull.bounds;
    let along = Range {
        min: rails.aft_x_m - bounds.maxs.x,
        max: rails.front_x_m - bounds.mins.x,
    };
    Field::new("Forward of coupling", Quantity::length(stand.x_m))
        .slide(along)
        .ui(ui, "hull", units, actions, Action::HullForward);
    let sideways = Range {
        min: -SIDEWAYS_SLIDE_M,
        max: SIDEWAYS_SLIDE_M,
    };
    Field::new("Left of middle", Quantity::length(stand.y_m))
        .slide(sideways)
        .ui(ui, "hull", units, actions, Action::HullLeft);
    let turn = Range {
        min: -TURN_SLIDE_RAD,
        max: TURN_SLIDE_RAD,
    };
    Field::new("Bow turned to port", Quantity::angle(stand.yaw_rad))
        .slide(turn)
        .ui(ui, "hull", units, actions, Action::HullYaw);
    Field::new("Heeled to starboard", Quantity::angle(stand.heel_rad))
        .slide(turn)
        .ui(ui, "hull", units, actions, Action::HullHeel);
    wanted_ui(ui, bench, turn, actions);
}

fn wanted_ui(ui: &mut Ui, bench: &Bench, turn: Range, actions: &mut Vec<Action>) {
    let units = bench.units;
    let wanted = bench.load.stand.wanted;
    if let Some(on) = tick(ui, wanted.is_some(), "Ask for a stance") {
        actions.push(Action::Want(on.then(|| bench.stance_now())));
        actions.push(Action::Settle);
    }
    let Some(stance) = wanted else {
        return;
    };
    Field::new(
        "Keel over rail top",
        Quantity::length(stance.keel_over_rail_m),
    )
    .slide(Range {
        min: -bench.load.rail_top_m,
        max: bench.load.rail_top_m,
    })
    .ui(ui, "wanted", units, actions, |keel_over_rail_m| {
        Action::Want(Some(TargetAttitude {
            keel_over_rail_m,
            ..stance
        }))
    });
    Field::new("Bow up", Quantity::angle(stance.trim_rad))
        .slide(turn)
        .ui(ui, "wanted", units, actions, |trim_rad| {
            Action::Want(Some(TargetAttitude { trim_rad, ..stance }))
        });
    quiet(
        ui,
        "Under each beam below stands the stack this stance needs there.",
    );
}

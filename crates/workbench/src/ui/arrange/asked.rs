//! The gaps and limits asked.

use egui::Ui;
use keelstead_load::load::Required;
use keelstead_units::quantity::Quantity;

use super::super::field::Field;
use super::super::widgets::{quiet, tick};
use super::Bench;
use crate::action::Action;

/// A figure of [`Required`]: its name, and how to read and write it.
type Asked = (&'static str, fn(&Required) -> f64, fn(&mut Required, f64));

const ASKED: [Asked; 8] = [
    ("Hull to tyres", |r| r.tyre_gap_m, |r, m| r.tyre_gap_m = m),
    (
        "Hull to mudguards",
        |r| r.mudguard_gap_m,
        |r, m| r.mudguard_gap_m = m,
    ),
    ("Hull to frame", |r| r.frame_gap_m, |r, m| r.frame_gap_m = m),
    (
        "Hull to tractor",
        |r| r.tractor_gap_m,
        |r, m| r.tractor_gap_m = m,
    ),
    (
        "Hull to ground",
        |r| r.ground_gap_m,
        |r, m| r.ground_gap_m = m,
    ),
    (
        "Rudder and the like",
        |r| r.appendage_gap_m,
        |r, m| r.appendage_gap_m = m,
    ),
    (
        "Counts as touching",
        |r| r.contact_m,
        |r, m| r.contact_m = m,
    ),
    (
        "Placing may be off",
        |r| r.placing_tolerance_m,
        |r, m| r.placing_tolerance_m = m,
    ),
];

/// A press of less or more: a tenth of a degree, as angles are written.
const HEEL_STEP_RAD: f64 = 0.1_f64.to_radians();

pub(super) fn asked_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    let required = bench.load.required;
    quiet(
        ui,
        "Tyres, 150 mm: common practice. The others are assumed until you set them.",
    );
    for (label, get, put) in ASKED {
        let step = 0.005_f64.min(get(&required).abs().max(0.001));
        Field::new(label, Quantity::length(get(&required)))
            .step(step)
            .ui(ui, "asked", bench.units, actions, |value_m| {
                let mut required = required;
                put(&mut required, value_m);
                Action::Require(Box::new(required))
            });
    }
    Field::new(
        "Set upright to within",
        Quantity::angle(required.heel_tolerance_rad),
    )
    .step(HEEL_STEP_RAD)
    .ui(ui, "asked", bench.units, actions, |heel_rad| {
        let heel_tolerance_rad = heel_rad.max(0.0);
        Action::Require(Box::new(Required {
            heel_tolerance_rad,
            ..required
        }))
    });
    limit_ui(
        ui,
        bench,
        actions,
        "Greatest height",
        required.overall_height_m,
        |r, m| {
            r.overall_height_m = m;
        },
    );
    limit_ui(
        ui,
        bench,
        actions,
        "Greatest width",
        required.overall_width_m,
        |r, m| {
            r.overall_width_m = m;
        },
    );
}

/// A limit that may be asked or not.
fn limit_ui(
    ui: &mut Ui,
    bench: &Bench,
    actions: &mut Vec<Action>,
    label: &str,
    limit_m: Option<f64>,
    put: fn(&mut Required, Option<f64>),
) {
    let required = bench.load.required;
    let act = |limit_m: Option<f64>| {
        let mut required = required;
        put(&mut required, limit_m);
        Action::Require(Box::new(required))
    };
    let size = &bench.findings.size;
    let now_m = if label.ends_with("height") {
        size.height_m
    } else {
        size.width_m
    };
    if let Some(on) = tick(
        ui,
        limit_m.is_some(),
        &format!("Ask for a {}", label.to_lowercase()),
    ) {
        actions.push(act(on.then_some(now_m)));
        actions.push(Action::Settle);
    }
    if let Some(limit_m) = limit_m {
        Field::new(label, Quantity::length(limit_m))
            .ui(ui, "limit", bench.units, actions, |m| act(Some(m)));
    }
}

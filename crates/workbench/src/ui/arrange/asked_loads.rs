//! What is asked of beams, blocks, keel, pads and rig, each with what its default rests on.

use egui::Ui;
use keelstead_load::load::{KeelHold, Required};
use keelstead_load::material::LoadDuration;
use keelstead_units::quantity::Quantity;
use keelstead_units::write;

use super::super::field::Field;
use super::super::widgets::{choice, quiet, tick};
use super::Bench;
use crate::action::Action;
use crate::words;

/// A figure of [`Required`]: how it is called, read and written, its step (SI unit), and what the
/// default rests on.
struct Asked {
    label: &'static str,
    get: fn(&Required) -> Quantity,
    put: fn(&mut Required, f64),
    step: f64,
    basis: &'static str,
}

const ASSUMED: &str = "an assumed default";
const PRACTICE: &str = "common practice, no published source";

const fn asked(
    label: &'static str,
    get: fn(&Required) -> Quantity,
    put: fn(&mut Required, f64),
    step: f64,
    basis: &'static str,
) -> Asked {
    Asked {
        label,
        get,
        put,
        step,
        basis,
    }
}

const STRENGTH: [Asked; 10] = [
    asked(
        "Road factor on loads",
        |r| Quantity::factor(r.strength.road_factor),
        |r, v| r.strength.road_factor = v,
        0.1,
        PRACTICE,
    ),
    asked(
        "Steel: yield over stress",
        |r| Quantity::factor(r.strength.steel_safety),
        |r, v| r.strength.steel_safety = v,
        0.05,
        "AISC 360, bending, from memory",
    ),
    asked(
        "Beam span over sag",
        |r| Quantity::factor(r.strength.span_over_deflection),
        |r, v| r.strength.span_over_deflection = v,
        10.0,
        PRACTICE,
    ),
    asked(
        "Stack height over base",
        |r| Quantity::factor(r.strength.stack_slenderness),
        |r, v| r.strength.stack_slenderness = v,
        0.1,
        PRACTICE,
    ),
    asked(
        "Stacks set to within",
        |r| Quantity::length(r.strength.stack_tolerance_m),
        |r, v| r.strength.stack_tolerance_m = v,
        0.001,
        ASSUMED,
    ),
    asked(
        "Pressure on the keel",
        |r| Quantity::pressure(r.strength.keel_pressure_pa),
        |r, v| r.strength.keel_pressure_pa = v,
        100.0e3,
        ASSUMED,
    ),
    asked(
        "Keel span unsupported",
        |r| Quantity::length(r.strength.keel_span_m),
        |r, v| r.strength.keel_span_m = v,
        0.1,
        ASSUMED,
    ),
    asked(
        "Hull ahead of supports",
        |r| Quantity::length(r.strength.bow_overhang_m),
        |r, v| r.strength.bow_overhang_m = v,
        0.1,
        ASSUMED,
    ),
    asked(
        "Hull behind supports",
        |r| Quantity::length(r.strength.stern_overhang_m),
        |r, v| r.strength.stern_overhang_m = v,
        0.1,
        ASSUMED,
    ),
    asked(
        "Friction, keel on block",
        |r| Quantity::factor(r.strength.keel_friction),
        |r, v| r.strength.keel_friction = v,
        0.05,
        "assumed, between greased or frosted (0.2) and sawn timber (0.45)",
    ),
];

const STEADYING: [Asked; 10] = [
    asked(
        "Hardest turn",
        |r| Quantity::gravity(r.steadying.lateral_g),
        |r, v| r.steadying.lateral_g = v,
        0.05,
        "49 CFR 393.102(a)(1)",
    ),
    asked(
        "Turn, working load",
        |r| Quantity::gravity(r.steadying.working_lateral_g),
        |r, v| r.steadying.working_lateral_g = v,
        0.05,
        "49 CFR 393.102(a)(2)",
    ),
    asked(
        "Cross slope",
        |r| Quantity::angle(r.steadying.cross_slope_rad),
        |r, v| r.steadying.cross_slope_rad = v,
        0.5_f64.to_radians(),
        ASSUMED,
    ),
    asked(
        "Wind from the side",
        |r| Quantity::speed(r.steadying.wind_m_s),
        |r, v| r.steadying.wind_m_s = v,
        1.0,
        ASSUMED,
    ),
    asked(
        "Wind force coefficient",
        |r| Quantity::factor(r.steadying.wind_coefficient),
        |r, v| r.steadying.wind_coefficient = v,
        0.1,
        ASSUMED,
    ),
    asked(
        "Lean of suspension at 1 g",
        |r| Quantity::angle(r.steadying.roll_rad_per_g),
        |r, v| r.steadying.roll_rad_per_g = v,
        0.5_f64.to_radians(),
        ASSUMED,
    ),
    asked(
        "Friction, pad on hull",
        |r| Quantity::factor(r.steadying.pad_friction),
        |r, v| r.steadying.pad_friction = v,
        0.05,
        "left out unless it is set",
    ),
    asked(
        "Pad pressure on hull",
        |r| Quantity::pressure(r.steadying.hull_pressure_pa),
        |r, v| r.steadying.hull_pressure_pa = v,
        10.0e3,
        ASSUMED,
    ),
    asked(
        "Weight on pads at rest",
        |r| Quantity::ratio(r.steadying.pad_weight_share),
        |r, v| r.steadying.pad_weight_share = v,
        0.01,
        ASSUMED,
    ),
    asked(
        "Rig must not roll over at",
        |r| Quantity::gravity(r.steadying.rollover_g),
        |r, v| r.steadying.rollover_g = v,
        0.05,
        "FMCSA brochure on cargo tank rollovers",
    ),
];

const DURATIONS: [LoadDuration; 6] = [
    LoadDuration::Impact,
    LoadDuration::TenMinutes,
    LoadDuration::SevenDays,
    LoadDuration::TwoMonths,
    LoadDuration::TenYears,
    LoadDuration::Permanent,
];

/// Of beams, blocks and keel.
pub(super) fn strength_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    figures_ui(ui, bench, &STRENGTH, actions);
    let required = bench.load.required;
    let set = |change: &dyn Fn(&mut Required)| changed(&required, change);
    if let Some(wet) = tick(
        ui,
        required.strength.wet_service,
        "Timber stands in the wet",
    ) {
        actions.extend(set(&|r| r.strength.wet_service = wet));
    }
    quiet(
        ui,
        basis_of(
            required.strength.wet_service,
            true,
            |_| "wet".to_owned(),
            ASSUMED,
        ),
    );
    for (label, now, default, put) in [
        (
            "Load at rest acts on timber",
            required.strength.rest_duration,
            Required::default().strength.rest_duration,
            (|r, d| r.strength.rest_duration = d) as fn(&mut Required, LoadDuration),
        ),
        (
            "Load of the road acts on timber",
            required.strength.road_duration,
            Required::default().strength.road_duration,
            |r, d| r.strength.road_duration = d,
        ),
    ] {
        ui.label(label);
        ui.push_id(label, |ui| {
            ui.horizontal_wrapped(|ui| {
                for duration in DURATIONS {
                    if choice(ui, duration == now, words::duration(duration)).clicked() {
                        actions.extend(set(&|r| put(r, duration)));
                    }
                }
            });
        });
        quiet(
            ui,
            basis_of(now, default, |d| words::duration(d).to_owned(), ASSUMED),
        );
    }
}

/// Of pads, and of the rig in turns.
pub(super) fn steadying_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    figures_ui(ui, bench, &STEADYING, actions);
    let required = bench.load.required;
    ui.label("The keel is held sideways by");
    ui.horizontal_wrapped(|ui| {
        for hold in [KeelHold::Chocked, KeelHold::Friction, KeelHold::Nothing] {
            let chosen = required.steadying.keel_hold == hold;
            if choice(ui, chosen, words::keel_hold(hold)).clicked() {
                actions.extend(changed(&required, &|r| r.steadying.keel_hold = hold));
            }
        }
    });
    let default = Required::default().steadying.keel_hold;
    let name = |hold| words::keel_hold(hold).to_lowercase();
    quiet(
        ui,
        basis_of(required.steadying.keel_hold, default, name, ASSUMED),
    );
}

fn figures_ui(ui: &mut Ui, bench: &Bench, asked: &'static [Asked], actions: &mut Vec<Action>) {
    let required = bench.load.required;
    for one in asked {
        let now = (one.get)(&required);
        Field::new(one.label, now)
            .step(one.step)
            .ui(ui, "asked", bench.units, actions, |value| {
                let mut required = required;
                (one.put)(&mut required, value);
                Action::Require(Box::new(required))
            });
        let default = (one.get)(&Required::default());
        quiet(
            ui,
            basis_of(now, default, |q| write(q, bench.units), one.basis),
        );
    }
}

/// A change of what is asked as a step of its own.
fn changed(required: &Required, change: &dyn Fn(&mut Required)) -> [Action; 2] {
    let mut required = *required;
    change(&mut required);
    [Action::Require(Box::new(required)), Action::Settle]
}

/// What a setting rests on: its default's basis, or that it was set here.
fn basis_of<T: PartialEq>(
    now: T,
    default: T,
    name: impl Fn(T) -> String,
    basis: &'static str,
) -> String {
    if now == default {
        words::capital(basis)
    } else {
        format!("Set for this job. Default {}: {basis}", name(default))
    }
}

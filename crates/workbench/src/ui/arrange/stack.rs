//! The stack on a beam, block by block, top first as it stands.

use egui::{ComboBox, Ui};
use keelstead_load::load::{PlacedBeam, PlacedBlock};
use keelstead_load::rig::BlockStock;
use keelstead_units::fields::Range;
use keelstead_units::quantity::Quantity;
use keelstead_units::{Units, write};

use super::super::field::Field;
use super::super::widgets::{main_button, quiet, sign_button, strong, target, tick};
use super::Bench;
use crate::action::Action;
use crate::edit::blocks_left;
use crate::words;

/// Ends of the slider that moves a stack along its beam, m either way.
const SIDEWAYS_SLIDE_M: f64 = 0.5;

pub(super) fn stack_ui(
    ui: &mut Ui,
    bench: &Bench,
    at: usize,
    beam: &PlacedBeam,
    actions: &mut Vec<Action>,
) {
    strong(ui, "Stack, top first");
    if bench.load.stand.wanted.is_some() {
        if main_button(ui, "Make this stack for me").clicked() {
            actions.push(Action::MakeStack(at));
        }
    } else {
        quiet(
            ui,
            "Ask for a stance above, and the stack can be made for you.",
        );
    }
    if beam.stack.is_empty() {
        quiet(ui, "No blocks: the keel would rest on the beam.");
    }
    for (index, block) in beam.stack.iter().enumerate().rev() {
        ui.push_id(("block", index), |ui| {
            block_ui(ui, at, beam, index, block, actions);
        });
    }
    add_ui(ui, bench, at, actions);
    packing_ui(ui, bench, at, beam, actions);
}

fn block_ui(
    ui: &mut Ui,
    at: usize,
    beam: &PlacedBeam,
    index: usize,
    block: &PlacedBlock,
    actions: &mut Vec<Action>,
) {
    let name = format!("block {}", index + 1);
    ui.label(format!("{}. {}", index + 1, block.block));
    ui.horizontal(|ui| {
        let buttons = 3.0 * (target(ui) + ui.spacing().item_spacing.x);
        let width = (ui.available_width() - buttons).max(100.0);
        ComboBox::from_id_salt("lie")
            .width(width)
            .truncate()
            .selected_text(words::lie(block.lie))
            .show_ui(ui, |ui| {
                for lie in words::LIES {
                    let chosen = lie == block.lie;
                    if ui.selectable_label(chosen, words::lie(lie)).clicked() {
                        actions.push(Action::LayBlock {
                            beam: at,
                            at: index,
                            lie,
                        });
                    }
                }
            });
        let up = index + 1 < beam.stack.len();
        if sign_button(ui, "\u{2191}", &format!("Move {name} up"), up).clicked() {
            actions.push(Action::MoveBlock {
                beam: at,
                from: index,
                to: index + 1,
            });
        }
        let down = index > 0;
        if sign_button(ui, "\u{2193}", &format!("Move {name} down"), down).clicked() {
            actions.push(Action::MoveBlock {
                beam: at,
                from: index,
                to: index.saturating_sub(1),
            });
        }
        if sign_button(ui, "\u{2717}", &format!("Take {name} out"), true).clicked() {
            actions.push(Action::RemoveBlock {
                beam: at,
                at: index,
            });
        }
    });
}

/// A block more: what the stock still has.
fn add_ui(ui: &mut Ui, bench: &Bench, at: usize, actions: &mut Vec<Action>) {
    if bench.rig.blocks.is_empty() {
        quiet(ui, "This rig has no blocks on hand.");
        return;
    }
    let width = ui.available_width();
    let combo = ComboBox::from_id_salt("add block").width(width);
    combo
        .selected_text("Add a block on top\u{2026}")
        .show_ui(ui, |ui| {
            for stock in &bench.rig.blocks {
                let left = blocks_left(stock, bench.load);
                let text = format!("{}, {left} left", of_stock(stock, bench));
                ui.add_enabled_ui(left > 0, |ui| {
                    if ui.selectable_label(false, text).clicked() {
                        actions.push(Action::AddBlock {
                            beam: at,
                            block: stock.name.clone(),
                            lie: keelstead_load::load::BlockOrientation::Flat,
                        });
                    }
                });
            }
        });
}

/// Name and size of a block of the stock.
fn of_stock(stock: &BlockStock, bench: &Bench) -> String {
    let size = |value_m: f64| write(Quantity::length(value_m), bench.units);
    format!(
        "{} ({} \u{d7} {} \u{d7} {})",
        stock.name,
        size(stock.thickness_m),
        size(stock.width_m),
        size(stock.length_m)
    )
}

fn packing_ui(ui: &mut Ui, bench: &Bench, at: usize, beam: &PlacedBeam, actions: &mut Vec<Action>) {
    let packing = &bench.rig.packing;
    let units = bench.units;
    let thinnest = packing
        .shims_m
        .iter()
        .copied()
        .fold(f64::INFINITY, f64::min);
    if thinnest.is_finite() || beam.shim_m != 0.0 {
        let step = if thinnest.is_finite() {
            thinnest
        } else {
            0.001
        };
        Field::new("Shims in all", Quantity::length(beam.shim_m))
            .step(step)
            .slide(Range {
                min: 0.0,
                max: packing.shims_at_most_m,
            })
            .ui(ui, "shims", units, actions, |shim_m| Action::Shim {
                beam: at,
                shim_m,
            });
    }
    if packing.wedge_rad.is_some() || beam.wedge_rad != 0.0 {
        let steepest = packing.wedge_rad.unwrap_or(0.0);
        Field::new("Wedge, rising forward", Quantity::angle(beam.wedge_rad))
            .slide(Range {
                min: -steepest,
                max: steepest,
            })
            .ui(ui, "wedge", units, actions, |wedge_rad| Action::Wedge {
                beam: at,
                wedge_rad,
            });
    }
    soft_ui(ui, units, at, beam, actions);
    Field::new("Stack left of middle", Quantity::length(beam.stack_y_m))
        .slide(Range {
            min: -SIDEWAYS_SLIDE_M,
            max: SIDEWAYS_SLIDE_M,
        })
        .ui(ui, "sideways", units, actions, |y_m| Action::StackLeft {
            beam: at,
            y_m,
        });
}

/// What a rubber mat of a hand's breadth and length is about, N/m: somewhere to begin from.
const MAT_N_PER_M: f64 = 2.0e6;

/// Packing that gives, or none.
fn soft_ui(ui: &mut Ui, units: Units, at: usize, beam: &PlacedBeam, actions: &mut Vec<Action>) {
    let pack = |stiffness_n_per_m: Option<f64>| Action::SoftPacking {
        beam: at,
        stiffness_n_per_m,
    };
    let soft = beam.soft_packing_n_per_m;
    if let Some(on) = tick(ui, soft.is_some(), "Soft packing under the keel") {
        actions.push(pack(on.then_some(MAT_N_PER_M)));
        actions.push(Action::Settle);
    }
    let Some(stiffness_n_per_m) = soft else {
        return;
    };
    quiet(
        ui,
        "A rubber mat, carpet or softwood gives under the keel, so that a few millimetres of height do less to what each \
         stack carries. Ask the maker for its stiffness: the force that presses it in by so much.",
    );
    Field::new(
        "Soft packing: stiffness",
        Quantity::stiffness(stiffness_n_per_m),
    )
    .ui(ui, "soft", units, actions, |n_per_m| pack(Some(n_per_m)));
}

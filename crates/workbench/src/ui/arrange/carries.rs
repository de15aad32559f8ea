//! What carries the boat: shares, loads, how hard each part is used, the shims that would share
//! better.

use egui::{Label, Ui, Vec2};
use keelstead::findings::Support;
use keelstead_load::load::PlacedBeam;
use keelstead_statics::carrying::{Carried, Utilisation};
use keelstead_units::quantity::Quantity;

use super::super::field::Field;
use super::super::widgets::{card, fact, main_button, quiet, strong, tick};
use super::{Bench, diagram};
use crate::action::Action;
use crate::shape;
use crate::theme::Palette;
use crate::words::loads as words;
use crate::words::{advice, says};

/// Points across a verdict's shape beside a use.
const SIGN: f32 = 18.0;

/// The whole boat.
pub(super) fn carries_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    quiet(ui, words::RULE);
    let units = bench.units;
    let Some(carrying) = &bench.findings.carrying else {
        card(ui, |ui| match bench.findings.finding("carry") {
            Some(finding) => {
                ui.add(Label::new(says(finding, units)).wrap());
                if let Some(advice) = advice(finding, units) {
                    fact(ui, "What to do", &advice);
                }
            }
            None => {
                ui.add(Label::new(words::NO_LOADS).wrap());
            }
        });
        return;
    };
    card(ui, |ui| {
        diagram::diagram_ui(ui, bench.findings, carrying, units);
        fact(ui, "Boat in all", &words::force(carrying.weight_n, units));
        for (name, text) in words::stretches(carrying, units) {
            fact(ui, name, &text);
        }
        if !carrying.stiffness_known {
            quiet(
                ui,
                "The stiffness of a beam or block is not known: shares among more than two are a guess.",
            );
        }
        ui.separator();
        let shims = words::shims(bench.findings, carrying, units);
        if shims.is_empty() {
            quiet(ui, words::NO_SHIMS);
            return;
        }
        strong(ui, "To share it as wanted");
        for shim in shims {
            ui.add(Label::new(shim).wrap());
        }
        if main_button(ui, "Set these shims").clicked() {
            actions.push(Action::ShimAsAdvised);
        }
    });
}

/// One beam: its load, how hard it is used, what to change.
pub(super) fn beam_ui(ui: &mut Ui, bench: &Bench, support: &Support, carried: &Carried) {
    let units = bench.units;
    fact(ui, "Load", &words::load(carried, units));
    fact(ui, "May be", &words::range(carried, units));
    if let Some(close) = words::to_close_in_full(carried, units) {
        fact(ui, "To close", &close);
    }
    if let Some(shim) = words::shim(support, carried, units) {
        fact(ui, "Shims", &shim);
    }
    for used in carried.governing_each() {
        use_ui(ui, bench, used);
    }
}

/// How hard a part is used: shape, verdict, part, check and percent.
fn use_ui(ui: &mut Ui, bench: &Bench, used: &Utilisation) {
    let palette = Palette::current(ui.ctx());
    ui.horizontal_top(|ui| {
        let (rect, _) = ui.allocate_exact_size(Vec2::splat(SIGN), egui::Sense::hover());
        shape::paint(ui.painter(), rect.center(), SIGN, used.verdict(), palette);
        ui.add(Label::new(words::used_in_full(used, bench.units)).wrap());
    });
}

/// The share wanted on a beam, or none.
pub(super) fn wanted_ui(
    ui: &mut Ui,
    bench: &Bench,
    at: usize,
    beam: &PlacedBeam,
    actions: &mut Vec<Action>,
) {
    let want = |share: Option<f64>| Action::WantShare { beam: at, share };
    if let Some(on) = tick(
        ui,
        beam.wanted_share.is_some(),
        "Ask for a share of its own",
    ) {
        actions.push(want(on.then_some(1.0)));
        actions.push(Action::Settle);
    }
    if let Some(share) = beam.wanted_share {
        Field::new("Share, others 1 each", Quantity::factor(share)).ui(
            ui,
            "share",
            bench.units,
            actions,
            |share| want(Some(share.max(0.0))),
        );
    }
}

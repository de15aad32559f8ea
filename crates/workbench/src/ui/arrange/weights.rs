//! Weights on board that the boat's own mass leaves out.

use egui::Ui;
use keelstead_geometry::math::Point;
use keelstead_load::load::ExtraWeight;
use keelstead_units::quantity::Quantity;

use super::super::field::Field;
use super::super::typed;
use super::super::widgets::{button, card, quiet, strong, target};
use super::Bench;
use crate::action::Action;

pub(super) fn weights_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    quiet(
        ui,
        "Water in the bilge, fuel, gear: what the boat\u{2019}s own weight leaves out. A weight may be \
         typed as a volume: 200 l diesel, 50 gal water.",
    );
    for (at, weight) in bench.load.extra_weights.iter().enumerate() {
        ui.push_id(("weight", at), |ui| {
            card(ui, |ui| weight_ui(ui, bench, at, weight, actions));
        });
    }
    if button(ui, "Add a weight").clicked() {
        let at = bench.hull.centre.map_or_else(
            || Point::from(bench.hull.bounds.center()),
            |centre| centre.at,
        );
        actions.push(Action::AddWeight(ExtraWeight {
            name: format!("Weight {}", bench.load.extra_weights.len() + 1),
            mass_kg: 100.0,
            at,
        }));
    }
}

fn weight_ui(
    ui: &mut Ui,
    bench: &Bench,
    at: usize,
    weight: &ExtraWeight,
    actions: &mut Vec<Action>,
) {
    let set = |change: &dyn Fn(&mut ExtraWeight)| {
        let mut weight = weight.clone();
        change(&mut weight);
        Action::SetWeight { at, weight }
    };
    let label = strong(ui, "What it is");
    let size = egui::Vec2::new(ui.available_width(), target(ui));
    let id = ui.make_persistent_id("name");
    let name = typed::text_ui(ui, id, &weight.name, size, label.id, |text| {
        let text = text.trim();
        if text.is_empty() {
            return Err("say what it is, for example \u{201c}bilge water\u{201d}".to_owned());
        }
        Ok(text.to_owned())
    });
    typed::error_ui(ui, id);
    if let Some(name) = name {
        actions.push(set(&|weight| weight.name.clone_from(&name)));
        actions.push(Action::Settle);
    }
    let units = bench.units;
    Field::new("Weight", Quantity::mass(weight.mass_kg)).ui(ui, "mass", units, actions, |kg| {
        set(&|weight| weight.mass_kg = kg)
    });
    Field::new("Forward of origin", Quantity::length(weight.at.x_m)).ui(
        ui,
        "x",
        units,
        actions,
        |m| set(&|weight| weight.at.x_m = m),
    );
    Field::new("To port", Quantity::length(weight.at.y_m)).ui(ui, "y", units, actions, |m| {
        set(&|weight| weight.at.y_m = m)
    });
    Field::new("Above keel line", Quantity::length(weight.at.z_m)).ui(
        ui,
        "z",
        units,
        actions,
        |m| set(&|weight| weight.at.z_m = m),
    );
    if button(ui, "Take it off").clicked() {
        actions.push(Action::RemoveWeight(at));
    }
}

//! The beams in place.

use egui::{CollapsingHeader, ComboBox, RichText, Ui};
use keelstead_load::load::{PlacedBeam, Seat};
use keelstead_load::rig::BeamStock;
use keelstead_units::fields::Range;
use keelstead_units::quantity::Quantity;
use keelstead_units::write;

use super::super::field::Field;
use super::super::widgets::{button, card, choice, choice_if, fact, main_button, quiet, strong};
use super::{Bench, carries, stack};
use crate::action::Action;
use crate::edit::{beams_left, pocket_is_free};
use crate::theme::bold;
use crate::words::{self, capital};

pub(super) fn beams_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    if bench.load.beams.is_empty() {
        quiet(ui, "No beam is in place: nothing carries the boat.");
    }
    if bench.load.stand.wanted.is_some() && bench.load.beams.len() > 1 {
        let response = main_button(ui, "Make all stacks for this stance");
        if response.clicked() {
            actions.push(Action::MakeAllStacks);
        }
    }
    for (at, beam) in bench.load.beams.iter().enumerate() {
        ui.push_id(("beam", at), |ui| {
            card(ui, |ui| beam_ui(ui, bench, at, beam, actions));
        });
    }
    add_ui(ui, bench, actions);
}

fn beam_ui(ui: &mut Ui, bench: &Bench, at: usize, beam: &PlacedBeam, actions: &mut Vec<Action>) {
    let mut supports = bench.findings.supports.iter();
    let support = supports.position(|support| support.beam == at);
    let found = support.and_then(|support| bench.findings.supports.get(support));
    let name = found.map_or_else(
        || format!("Beam {}", words::seat(beam.seat, bench.units)),
        |support| capital(&support.name),
    );
    strong(ui, name);
    if let Some(support) = found {
        fact(ui, "State", &capital(&words::support(support, bench.units)));
        let height = Quantity::length(support.stack_height_m);
        fact(ui, "Stack", &write(height, bench.units));
        if let Some(needed_m) = support.needed_height_m {
            fact(
                ui,
                "Stance needs",
                &write(Quantity::length(needed_m), bench.units),
            );
        }
    }
    let carrying = bench.findings.carrying.as_ref();
    let carried = carrying.and_then(|carrying| carrying.supports.get(support?));
    if let Some((support, carried)) = found.zip(carried) {
        carries::beam_ui(ui, bench, support, carried);
    }
    let header = CollapsingHeader::new(RichText::new("Place and blocks").font(bold(15.0)))
        .id_salt("beam")
        .default_open(at == 0);
    header.show_unindented(ui, |ui| {
        which_ui(ui, bench, at, beam, actions);
        seat_ui(ui, bench, at, beam, actions);
        stack::stack_ui(ui, bench, at, beam, actions);
        carries::wanted_ui(ui, bench, at, beam, actions);
        if button(ui, "Take this beam out").clicked() {
            actions.push(Action::RemoveBeam(at));
        }
    });
}

/// Which beam of the stock it is.
fn which_ui(ui: &mut Ui, bench: &Bench, at: usize, beam: &PlacedBeam, actions: &mut Vec<Action>) {
    let width = ui.available_width();
    let combo = ComboBox::from_id_salt("which")
        .width(width)
        .truncate()
        .selected_text(format!("Beam: {}", beam.beam));
    combo.show_ui(ui, |ui| {
        for stock in &bench.rig.beams {
            let chosen = stock.name == beam.beam;
            let left = beams_left(&stock.name, bench.rig, bench.load);
            let text = format!("{}, {left} left", of_stock(stock, bench));
            ui.add_enabled_ui(chosen || left > 0, |ui| {
                if ui.selectable_label(chosen, text).clicked() && !chosen {
                    actions.push(Action::SwapBeam {
                        beam: at,
                        stock: stock.name.clone(),
                    });
                }
            });
        }
    });
}

/// Name and size of a beam of the stock.
fn of_stock(stock: &BeamStock, bench: &Bench) -> String {
    let size = |value_m: f64| write(Quantity::length(value_m), bench.units);
    format!(
        "{} ({} wide, {} deep)",
        stock.name,
        size(stock.width_m),
        size(stock.depth_m)
    )
}

/// Where it lies.
fn seat_ui(ui: &mut Ui, bench: &Bench, at: usize, beam: &PlacedBeam, actions: &mut Vec<Action>) {
    let units = bench.units;
    let pockets = &bench.rig.rails.pockets;
    let mut seat_to = |seat: Seat| {
        actions.push(Action::SeatBeam { beam: at, seat });
        actions.push(Action::Settle);
    };
    let on_rails = matches!(beam.seat, Seat::OnRailsXM(_));
    ui.label("Pocket, counted from the front");
    ui.horizontal_wrapped(|ui| {
        for number in 1..=pockets.len() {
            let chosen = beam.seat == Seat::Pocket(number);
            let free = pocket_is_free(bench.load, number, Some(at));
            if choice_if(ui, free, chosen, &number.to_string()).clicked() && !chosen {
                seat_to(Seat::Pocket(number));
            }
        }
        if choice(ui, on_rails, "On the rails").clicked() && !on_rails {
            let x_m = match beam.seat {
                Seat::Pocket(number) => number.checked_sub(1).and_then(|i| pockets.get(i)),
                Seat::OnRailsXM(_) => None,
            };
            let rails = &bench.rig.rails;
            let middle_m = (rails.front_x_m + rails.aft_x_m) / 2.0;
            seat_to(Seat::OnRailsXM(x_m.map_or(middle_m, |pocket| pocket.x_m)));
        }
    });
    if let Seat::OnRailsXM(x_m) = beam.seat {
        let rails = &bench.rig.rails;
        Field::new("Forward of coupling", Quantity::length(x_m))
            .slide(Range {
                min: rails.aft_x_m,
                max: rails.front_x_m,
            })
            .ui(ui, "seat", units, actions, |x_m| Action::SeatBeam {
                beam: at,
                seat: Seat::OnRailsXM(x_m),
            });
    }
}

/// A further beam: the first free pocket, the stock to choose.
fn add_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    let pockets = bench.rig.rails.pockets.len();
    let free = (1..=pockets).find(|number| pocket_is_free(bench.load, *number, None));
    let rails = &bench.rig.rails;
    let seat = free.map_or(
        Seat::OnRailsXM((rails.front_x_m + rails.aft_x_m) / 2.0),
        Seat::Pocket,
    );
    let place = words::seat(seat, bench.units);
    if bench.rig.beams.is_empty() {
        quiet(ui, "This rig has no beams on hand.");
    }
    for stock in &bench.rig.beams {
        let left = beams_left(&stock.name, bench.rig, bench.load);
        let text = format!("Add {} {place} ({left} left)", stock.name);
        ui.add_enabled_ui(left > 0, |ui| {
            let width = ui.available_width();
            let size = egui::Vec2::new(width, super::super::widgets::target(ui));
            let add = egui::Button::new(text).wrap().min_size(size);
            if ui.add(add).clicked() {
                actions.push(Action::AddBeam {
                    beam: stock.name.clone(),
                    seat,
                });
            }
        });
    }
}

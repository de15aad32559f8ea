//! Marks on the hull: places to keep off, strong stations, lifting marks.

use egui::Ui;
use keelstead_boat::hull::{Hull, KeepOff, KeepOffKind, LiftingMark, Marks, StrongStation};
use keelstead_geometry::math::{Point, Vec3};
use keelstead_units::Units;
use keelstead_units::quantity::Quantity;

use super::super::field::Field;
use super::super::typed;
use super::super::widgets::{button, card, choice, quiet, strong, target, tick};
use super::Bench;
use crate::action::Action;
use crate::marks::{MarkEdit, ZONE_M};
use crate::words;

/// The marks of the open job's hull.
pub(super) fn marks_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    quiet(
        ui,
        "Measured from the hull\u{2019}s origin, the aft end of its keel line. Saved with the job.",
    );
    marks_of_ui(ui, bench.hull, &bench.hull.marks, bench.units, actions);
}

/// The marks of a hull, which may not have them on it yet.
pub(in super::super) fn marks_of_ui(
    ui: &mut Ui,
    hull: &Hull,
    marks: &Marks,
    units: Units,
    actions: &mut Vec<Action>,
) {
    for (at, zone) in marks.keep_offs.iter().enumerate() {
        ui.push_id(("keep-off", at), |ui| {
            card(ui, |ui| keep_off_ui(ui, units, at, zone, actions));
        });
    }
    let middle_m = hull.bounds.center().x;
    if button(ui, "Add a place to keep off").clicked() {
        let line = hull.keel_line.iter();
        let lowest = line.filter_map(|point| point.z_m).reduce(f64::min);
        let about = Vec3::new(middle_m, 0.0, lowest.unwrap_or(0.0));
        let name = format!("place {}", marks.keep_offs.len() + 1);
        let zone = KeepOff::about(name, KeepOffKind::Other, about, Vec3::splat(ZONE_M), false);
        actions.push(Action::Mark(MarkEdit::AddKeepOff(zone)));
    }
    for (at, station) in marks.strong_stations.iter().enumerate() {
        ui.push_id(("strong", at), |ui| {
            card(ui, |ui| strong_ui(ui, units, at, station, actions));
        });
    }
    if button(ui, "Add a strong station").clicked() {
        actions.push(Action::Mark(MarkEdit::AddStrong(StrongStation {
            name: format!("frame {}", marks.strong_stations.len() + 1),
            x_m: middle_m,
            reach_m: StrongStation::usual_reach(),
        })));
    }
    for (at, mark) in marks.lifting_marks.iter().enumerate() {
        ui.push_id(("lifting", at), |ui| {
            card(ui, |ui| lifting_ui(ui, units, at, mark, actions));
        });
    }
    if button(ui, "Add a lifting mark").clicked() {
        actions.push(Action::Mark(MarkEdit::AddLifting(LiftingMark {
            name: format!("sling {}", marks.lifting_marks.len() + 1),
            x_m: middle_m,
        })));
    }
}

/// The name of a mark, to change.
fn name_ui(ui: &mut Ui, title: &str, name: &str, needed: bool) -> Option<String> {
    let label = strong(ui, title);
    let size = egui::Vec2::new(ui.available_width(), target(ui));
    let id = ui.make_persistent_id("name");
    let typed = typed::text_ui(ui, id, name, size, label.id, |text| {
        let text = text.trim();
        if text.is_empty() && needed {
            return Err("say what it is, for example \u{201c}log\u{201d}".to_owned());
        }
        Ok(text.to_owned())
    });
    typed::error_ui(ui, id);
    typed
}

fn keep_off_ui(ui: &mut Ui, units: Units, at: usize, zone: &KeepOff, actions: &mut Vec<Action>) {
    let set = |change: &dyn Fn(&mut KeepOff)| {
        let mut keep_off = zone.clone();
        change(&mut keep_off);
        Action::Mark(MarkEdit::SetKeepOff { at, keep_off })
    };
    let now = |action: Action, actions: &mut Vec<Action>| {
        actions.extend([action, Action::Settle]);
    };
    if let Some(name) = name_ui(ui, "Keep off", &zone.name, true) {
        now(set(&|zone| zone.name.clone_from(&name)), actions);
    }
    ui.horizontal_wrapped(|ui| {
        for kind in KeepOffKind::ALL {
            if choice(ui, kind == zone.kind, &words::capital(kind.words())).clicked() {
                now(set(&|zone| zone.kind = kind), actions);
            }
        }
    });
    if let Some(on) = tick(ui, zone.both_sides, "The same on the other side") {
        now(set(&|zone| zone.both_sides = on), actions);
    }
    // An end pushed past the other takes it along: a zone is never inside out.
    type End = (&'static str, fn(&mut Point) -> &mut f64, bool);
    let ends: [End; 6] = [
        ("Aft end, forward of origin", |p| &mut p.x_m, false),
        ("Fore end, forward of origin", |p| &mut p.x_m, true),
        ("Starboard end, to port", |p| &mut p.y_m, false),
        ("Port end, to port", |p| &mut p.y_m, true),
        ("Lower end, above keel line", |p| &mut p.z_m, false),
        ("Upper end, above keel line", |p| &mut p.z_m, true),
    ];
    for (label, axis, greatest) in ends {
        let (mut min, mut max) = (zone.min, zone.max);
        let value = if greatest {
            *axis(&mut max)
        } else {
            *axis(&mut min)
        };
        Field::new(label, Quantity::length(value)).ui(ui, label, units, actions, |m| {
            set(&|zone| {
                let (lo, hi) = (axis(&mut zone.min), axis(&mut zone.max));
                if greatest {
                    (*lo, *hi) = (lo.min(m), m);
                } else {
                    (*lo, *hi) = (m, hi.max(m));
                }
            })
        });
    }
    if button(ui, "Take it away").clicked() {
        actions.push(Action::Mark(MarkEdit::RemoveKeepOff(at)));
    }
}

fn strong_ui(
    ui: &mut Ui,
    units: Units,
    at: usize,
    station: &StrongStation,
    actions: &mut Vec<Action>,
) {
    let set = |change: &dyn Fn(&mut StrongStation)| {
        let mut station = station.clone();
        change(&mut station);
        Action::Mark(MarkEdit::SetStrong { at, station })
    };
    if let Some(name) = name_ui(ui, "Strong station", &station.name, false) {
        actions.push(set(&|station| station.name.clone_from(&name)));
        actions.push(Action::Settle);
    }
    let x_m = Quantity::length(station.x_m);
    Field::new("Forward of origin", x_m)
        .ui(ui, "x", units, actions, |m| set(&|station| station.x_m = m));
    let reach = Quantity::length(station.reach_m);
    Field::new("Strong before and behind", reach).ui(ui, "reach", units, actions, |m| {
        set(&|station| station.reach_m = m)
    });
    if button(ui, "Take it away").clicked() {
        actions.push(Action::Mark(MarkEdit::RemoveStrong(at)));
    }
}

fn lifting_ui(ui: &mut Ui, units: Units, at: usize, mark: &LiftingMark, actions: &mut Vec<Action>) {
    let set = |change: &dyn Fn(&mut LiftingMark)| {
        let mut mark = mark.clone();
        change(&mut mark);
        Action::Mark(MarkEdit::SetLifting { at, mark })
    };
    if let Some(name) = name_ui(ui, "Lifting mark", &mark.name, true) {
        actions.push(set(&|mark| mark.name.clone_from(&name)));
        actions.push(Action::Settle);
    }
    let x_m = Quantity::length(mark.x_m);
    Field::new("Forward of origin", x_m).ui(ui, "x", units, actions, |m| set(&|mark| mark.x_m = m));
    if button(ui, "Take it away").clicked() {
        actions.push(Action::Mark(MarkEdit::RemoveLifting(at)));
    }
}

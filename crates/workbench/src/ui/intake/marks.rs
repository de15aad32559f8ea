//! Marks on the hull: pressed in the picture, or by numbers.

use egui::{ComboBox, Label, Ui, Vec2};
use keelstead::hull::{KeepOff, KeepOffKind, LiftingMark, StrongStation};
use keelstead::math::Point;
use keelstead::quantity::Quantity;
use keelstead_files::units::Units;

use super::super::field::Field;
use super::super::typed;
use super::super::widgets::{button, card, choice, quiet, section, strong, target, tick};
use crate::action::Action;
use crate::intake::{Intake, IntakeAction, MarkTool};
use crate::session::Session;
use crate::words::capital;

pub(super) fn marks_ui(ui: &mut Ui, session: &Session, intake: &Intake, actions: &mut Vec<Action>) {
    ui.add(
        Label::new(
            "Press the hull in the picture to put a mark there. All of this can be left for later.",
        )
        .wrap(),
    );
    ui.horizontal_wrapped(|ui| {
        for tool in MarkTool::ALL {
            if choice(ui, intake.tool() == tool, tool.words()).clicked() {
                actions.push(Action::Intake(IntakeAction::Tool(tool)));
            }
        }
    });
    let (units, draft) = (session.view().units, intake.draft());
    let title = format!("Places to keep off ({})", draft.keep_offs.len());
    section(ui, &title, true, |ui| {
        keep_offs_ui(ui, &draft.keep_offs, units, actions);
    });
    let title = format!("Strong stations ({})", draft.strong_stations.len());
    section(ui, &title, true, |ui| {
        stations_ui(ui, &draft.strong_stations, units, actions);
    });
    let title = format!("Lifting marks ({})", draft.lifting_marks.len());
    section(ui, &title, true, |ui| {
        lifts_ui(ui, &draft.lifting_marks, units, actions);
    });
}

/// The list with one of it changed, as an action.
fn with<T: Clone>(all: &[T], at: usize, change: impl FnOnce(&mut T)) -> Vec<T> {
    let mut all = all.to_vec();
    if let Some(one) = all.get_mut(at) {
        change(one);
    }
    all
}

fn without<T: Clone>(all: &[T], at: usize) -> Vec<T> {
    let mut all = all.to_vec();
    if at < all.len() {
        all.remove(at);
    }
    all
}

fn named_ui(ui: &mut Ui, name: &str) -> Option<String> {
    let label = strong(ui, "Name");
    let size = Vec2::new(ui.available_width(), target(ui));
    let id = ui.make_persistent_id("name");
    let typed = typed::text_ui(ui, id, name, size, label.id, |text| match text.trim() {
        "" => Err("say what is there".to_owned()),
        text => Ok(text.to_owned()),
    });
    typed::error_ui(ui, id);
    typed
}

fn keep_offs_ui(ui: &mut Ui, zones: &[KeepOff], units: Units, actions: &mut Vec<Action>) {
    if zones.is_empty() {
        quiet(
            ui,
            "None: transducers, through-hulls, exhausts, shafts, trim tabs. No pad, block or strap goes there.",
        );
    }
    for (at, zone) in zones.iter().enumerate() {
        let set = |change: &dyn Fn(&mut KeepOff)| {
            Action::Intake(IntakeAction::KeepOffs(with(zones, at, change)))
        };
        ui.push_id(("keep off", at), |ui| {
            card(ui, |ui| {
                if let Some(name) = named_ui(ui, &zone.name) {
                    actions.push(set(&|zone| zone.name.clone_from(&name)));
                    actions.push(Action::Settle);
                }
                kind_ui(ui, zone.kind, actions, |kind| set(&|zone| zone.kind = kind));
                zone_figures_ui(ui, zone, units, actions, &set);
                let both = tick(ui, zone.both_sides, "The same on the other side");
                actions.extend(both.map(|both| set(&|zone| zone.both_sides = both)));
                if button(ui, "Take this mark away").clicked() {
                    actions.push(Action::Intake(IntakeAction::KeepOffs(without(zones, at))));
                    actions.push(Action::Settle);
                }
            });
        });
    }
}

fn kind_ui(
    ui: &mut Ui,
    now: KeepOffKind,
    actions: &mut Vec<Action>,
    act: impl Fn(KeepOffKind) -> Action,
) {
    let combo = ComboBox::from_id_salt("kind")
        .width((ui.available_width() - 8.0).min(240.0))
        .selected_text(capital(now.words()));
    let response = combo
        .show_ui(ui, |ui| {
            for kind in KeepOffKind::ALL {
                let chosen = kind == now;
                let words = capital(kind.words());
                if ui.selectable_label(chosen, words).clicked() && !chosen {
                    actions.push(act(kind));
                    actions.push(Action::Settle);
                }
            }
        })
        .response;
    let name = format!("What is there: {}", now.words());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::WidgetType::ComboBox, true, &name));
}

/// Makes the action that changes a place to keep off.
type Set<'s> = &'s dyn Fn(&dyn Fn(&mut KeepOff)) -> Action;

/// Middle and size of a box, and the box again from them.
fn zone_figures_ui(ui: &mut Ui, zone: &KeepOff, units: Units, actions: &mut Vec<Action>, set: Set) {
    let (low, high) = (zone.min.vec(), zone.max.vec());
    let (middle, size) = ((low + high) * 0.5, high - low);
    let labels = [
        ("Forward of keel\u{2019}s aft end", "Long"),
        ("To port", "Wide"),
        ("Above keel line", "High"),
    ];
    for (axis, (place, extent)) in labels.into_iter().enumerate() {
        Field::new(place, Quantity::length(middle[axis])).ui(ui, place, units, actions, |to_m| {
            let by = to_m - middle[axis];
            set(&|zone| {
                zone.min = moved(zone.min, axis, by);
                zone.max = moved(zone.max, axis, by);
            })
        });
        Field::new(extent, Quantity::length(size[axis])).ui(ui, extent, units, actions, |to_m| {
            let by = 0.5 * (to_m.max(0.0) - size[axis]);
            set(&|zone| {
                zone.min = moved(zone.min, axis, -by);
                zone.max = moved(zone.max, axis, by);
            })
        });
    }
}

fn moved(point: Point, axis: usize, by_m: f64) -> Point {
    let mut at = point.vec();
    at[axis] += by_m;
    at.into()
}

fn stations_ui(ui: &mut Ui, stations: &[StrongStation], units: Units, actions: &mut Vec<Action>) {
    if stations.is_empty() {
        quiet(ui, "None: bulkheads and frames, where pads belong.");
    }
    for (at, station) in stations.iter().enumerate() {
        let set = |change: &dyn Fn(&mut StrongStation)| {
            Action::Intake(IntakeAction::Stations(with(stations, at, change)))
        };
        ui.push_id(("station", at), |ui| {
            card(ui, |ui| {
                if let Some(name) = named_ui(ui, &station.name) {
                    actions.push(set(&|station| station.name.clone_from(&name)));
                    actions.push(Action::Settle);
                }
                let place = "Forward of keel\u{2019}s aft end";
                Field::new(place, Quantity::length(station.x_m)).ui(
                    ui,
                    "x",
                    units,
                    actions,
                    |to_m| set(&|station| station.x_m = to_m),
                );
                let reach = "Strong before and behind";
                Field::new(reach, Quantity::length(station.reach_m)).ui(
                    ui,
                    "reach",
                    units,
                    actions,
                    |to_m| set(&|station| station.reach_m = to_m.max(0.0)),
                );
                if button(ui, "Take this mark away").clicked() {
                    let rest = without(stations, at);
                    actions.push(Action::Intake(IntakeAction::Stations(rest)));
                    actions.push(Action::Settle);
                }
            });
        });
    }
}

fn lifts_ui(ui: &mut Ui, marks: &[LiftingMark], units: Units, actions: &mut Vec<Action>) {
    if marks.is_empty() {
        quiet(ui, "None: where the slings of a hoist belong.");
    }
    for (at, mark) in marks.iter().enumerate() {
        let set = |change: &dyn Fn(&mut LiftingMark)| {
            Action::Intake(IntakeAction::Lifts(with(marks, at, change)))
        };
        ui.push_id(("lift", at), |ui| {
            card(ui, |ui| {
                if let Some(name) = named_ui(ui, &mark.name) {
                    actions.push(set(&|mark| mark.name.clone_from(&name)));
                    actions.push(Action::Settle);
                }
                let place = "Forward of keel\u{2019}s aft end";
                Field::new(place, Quantity::length(mark.x_m))
                    .ui(ui, "x", units, actions, |to_m| set(&|mark| mark.x_m = to_m));
                if button(ui, "Take this mark away").clicked() {
                    actions.push(Action::Intake(IntakeAction::Lifts(without(marks, at))));
                    actions.push(Action::Settle);
                }
            });
        });
    }
}

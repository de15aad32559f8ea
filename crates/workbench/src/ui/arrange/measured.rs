//! What the crew measured after set-down: heights, gaps, which stacks bear.

use std::cell::Cell;

use egui::{ComboBox, Id, Ui};
use keelstead::findings::Compared;
use keelstead_boat::hull::NamedPlace;
use keelstead_geometry::math::Point;
use keelstead_load::load::{Level, Measured, Seat};
use keelstead_units::quantity::{Quantity, Unit};
use keelstead_units::verdict::Verdict;
use keelstead_units::{Units, sentence};

use super::super::field::{Field, wrong_ui};
use super::super::typed;
use super::super::widgets::{button, card, choice, fact, main_button, quiet, strong, target};
use super::Bench;
use crate::action::Action;
use crate::words::measured as words;
use crate::words::{self as all_words, capital};

/// How well a tape is read, m, until somebody says otherwise. Assumed.
const TAPE_M: f64 = 0.005;

const LEVELS: [(Level, &str); 2] = [
    (Level::Ground, "Over the ground"),
    (Level::RailTop, "Over the rails\u{2019} top"),
];

pub(super) fn measured_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    quiet(ui, words::WHY);
    let compared = &bench.findings.measured;
    for (at, measured) in bench.load.measured.iter().enumerate() {
        if matches!(measured, Measured::Bears { .. }) && stands_there(bench, measured) {
            continue;
        }
        ui.push_id(("measured", at), |ui| {
            card(ui, |ui| {
                one_ui(ui, bench.units, at, measured, compared.get(at), actions);
            });
        });
    }
    card(ui, |ui| height_ui(ui, bench, actions));
    card(ui, |ui| gap_ui(ui, bench, actions));
    if !bench.load.beams.is_empty() {
        card(ui, |ui| stacks_ui(ui, bench, actions));
    }
}

/// Whether a beam lies where somebody looked: then its row says what was seen.
fn stands_there(bench: &Bench, measured: &Measured) -> bool {
    let mut beams = bench.load.beams.iter();
    match measured {
        Measured::Bears { seat, .. } => beams.any(|beam| beam.seat.is_same(*seat)),
        _ => false,
    }
}

fn one_ui(
    ui: &mut Ui,
    units: Units,
    at: usize,
    measured: &Measured,
    compared: Option<&Compared>,
    actions: &mut Vec<Action>,
) {
    let set = |change: &dyn Fn(&mut Measured)| {
        let mut measured = measured.clone();
        change(&mut measured);
        Action::SetMeasured { at, measured }
    };
    strong(ui, compared.map_or_else(String::new, |c| capital(&c.name)));
    match measured {
        Measured::Height {
            over,
            height_m,
            tolerance_m,
            ..
        } => {
            levels_ui(ui, *over, |level| {
                actions.push(set(&|m| {
                    if let Measured::Height { over, .. } = m {
                        *over = level;
                    }
                }));
                actions.push(Action::Settle);
            });
            figures_ui(
                ui,
                units,
                "Height measured",
                [*height_m, *tolerance_m],
                actions,
                &set,
            );
        }
        Measured::Gap {
            gap_m, tolerance_m, ..
        } => figures_ui(
            ui,
            units,
            "Gap measured",
            [*gap_m, *tolerance_m],
            actions,
            &set,
        ),
        Measured::Bears { .. } => {}
    }
    if let Some(compared) = compared {
        compared_ui(ui, units, compared);
    }
    if button(ui, "Take this measurement away").clicked() {
        actions.push(Action::RemoveMeasured(at));
    }
}

/// What is changed of a measurement.
type Change<'c> = &'c dyn Fn(&mut Measured);

fn figures_ui(
    ui: &mut Ui,
    units: Units,
    label: &str,
    [figure_m, off_m]: [f64; 2],
    actions: &mut Vec<Action>,
    set: &dyn Fn(Change) -> Action,
) {
    Field::new(label, Quantity::length(figure_m))
        .step(0.001)
        .ui(ui, "figure", units, actions, |m| {
            set(&|measured| match measured {
                Measured::Height { height_m, .. } => *height_m = m,
                Measured::Gap { gap_m, .. } => *gap_m = m,
                Measured::Bears { .. } => {}
            })
        });
    Field::new("May be off by", Quantity::length(off_m))
        .step(0.001)
        .ui(ui, "off", units, actions, |m| {
            set(&|measured| match measured {
                Measured::Height { tolerance_m, .. } | Measured::Gap { tolerance_m, .. } => {
                    *tolerance_m = m;
                }
                Measured::Bears { .. } => {}
            })
        });
}

/// What was worked out there, and what to do where both cannot be.
fn compared_ui(ui: &mut Ui, units: Units, compared: &Compared) {
    let [_, _, says, verdict] = words::row(compared, units);
    if compared.verdict == Verdict::Foul {
        wrong_ui(ui, &format!("{verdict}: {says}"));
        if let Some(advice) = &compared.advice {
            fact(ui, "What to do", &capital(&sentence(advice, units)));
        }
    } else {
        fact(ui, &verdict, &says);
    }
}

fn levels_ui(ui: &mut Ui, now: Level, mut chosen: impl FnMut(Level)) {
    ui.horizontal_wrapped(|ui| {
        for (level, name) in LEVELS {
            if choice(ui, level == now, name).clicked() && level != now {
                chosen(level);
            }
        }
    });
}

/// A height about to be noted, until it is complete.
#[derive(Clone)]
struct Draft {
    name: String,
    at: Point,
    /// Whether the point is typed rather than one of her places.
    typed: bool,
    over: Level,
    height_m: Option<f64>,
    tolerance_m: f64,
}

fn height_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    strong(ui, "Add a height");
    let places = bench.hull.named_places();
    let id = ui.make_persistent_id("new height");
    let kept = ui.data(|data| data.get_temp::<Option<Draft>>(id)).flatten();
    let mut draft = kept.unwrap_or_else(|| first_draft(&places));
    place_ui(ui, &places, &mut draft);
    if draft.typed {
        point_ui(ui, bench.units, id, &mut draft);
    }
    levels_ui(ui, draft.over, |level| draft.over = level);
    let units = bench.units;
    let figure = typed_ui(
        ui,
        units,
        Field::asked("Height measured", draft.height_m, Unit::Length).step(0.001),
        "new",
    );
    draft.height_m = figure.or(draft.height_m);
    let off = Field::new("May be off by", Quantity::length(draft.tolerance_m)).step(0.001);
    draft.tolerance_m = typed_ui(ui, units, off, "new off").unwrap_or(draft.tolerance_m);
    let add = ui.add_enabled_ui(draft.height_m.is_some(), |ui| {
        main_button(ui, "Add this height")
    });
    let added = draft.height_m.filter(|_| add.inner.clicked());
    if let Some(height_m) = added {
        actions.push(Action::AddMeasured(Measured::Height {
            name: draft.name.clone(),
            at: draft.at,
            over: draft.over,
            height_m,
            tolerance_m: draft.tolerance_m,
        }));
    }
    keep(ui, id, added.is_none().then_some(draft));
}

/// What a field was set to just now, SI unit, where no action comes of it yet.
fn typed_ui(ui: &mut Ui, units: Units, field: Field, salt: &str) -> Option<f64> {
    let to = Cell::new(None);
    field.ui(ui, salt, units, &mut Vec::new(), |value| {
        to.set(Some(value));
        Action::Settle
    });
    to.get()
}

fn first_draft(places: &[NamedPlace]) -> Draft {
    let first = places.first();
    Draft {
        name: first.map_or_else(|| "point".to_owned(), |place| place.name.clone()),
        at: first.map_or(Point::new(0.0, 0.0, 0.0), |place| place.at),
        typed: first.is_none(),
        over: Level::Ground,
        height_m: None,
        tolerance_m: TAPE_M,
    }
}

fn place_ui(ui: &mut Ui, places: &[NamedPlace], draft: &mut Draft) {
    const ANOTHER: &str = "another point";
    let shown = if draft.typed { ANOTHER } else { &draft.name };
    let combo = ComboBox::from_id_salt("place")
        .width(ui.available_width())
        .truncate();
    combo
        .selected_text(format!("Of: {shown}"))
        .show_ui(ui, |ui| {
            for place in places {
                let chosen = !draft.typed && place.name == draft.name;
                if ui.selectable_label(chosen, &place.name).clicked() {
                    draft.name.clone_from(&place.name);
                    (draft.at, draft.typed) = (place.at, false);
                }
            }
            if ui.selectable_label(draft.typed, ANOTHER).clicked() {
                draft.typed = true;
            }
        });
}

/// A point of the hull by name and figures.
fn point_ui(ui: &mut Ui, units: Units, id: Id, draft: &mut Draft) {
    let label = strong(ui, "What it is called");
    let size = egui::Vec2::new(ui.available_width(), target(ui));
    let id = id.with("name");
    let name = typed::text_ui(ui, id, &draft.name, size, label.id, |text| {
        match text.trim() {
            "" => Err("say what it is, for example \u{201c}pulpit\u{201d}".to_owned()),
            name => Ok(name.to_owned()),
        }
    });
    typed::error_ui(ui, id);
    draft.name = name.unwrap_or_else(|| draft.name.clone());
    let at = &mut draft.at;
    for (name, value) in [
        ("Forward of origin", &mut at.x_m),
        ("To port", &mut at.y_m),
        ("Above keel line", &mut at.z_m),
    ] {
        let field = Field::new(name, Quantity::length(*value));
        *value = typed_ui(ui, units, field, name).unwrap_or(*value);
    }
}

/// A gap about to be noted.
#[derive(Clone)]
struct GapDraft {
    pair: (String, String),
    gap_m: Option<f64>,
    tolerance_m: f64,
}

fn gap_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    strong(ui, "Add a gap");
    let pairs: Vec<(&str, &str)> = words::pairs(bench.findings).collect();
    let Some((hull, rig)) = pairs.first() else {
        quiet(ui, "No gap is worked out yet.");
        return;
    };
    let id = ui.make_persistent_id("new gap");
    let kept = ui
        .data(|data| data.get_temp::<Option<GapDraft>>(id))
        .flatten();
    let mut draft = kept.unwrap_or_else(|| GapDraft {
        pair: ((*hull).to_owned(), (*rig).to_owned()),
        gap_m: None,
        tolerance_m: TAPE_M,
    });
    let shown = |hull: &str, rig: &str| format!("{hull} to {rig}");
    let combo = ComboBox::from_id_salt("pair")
        .width(ui.available_width())
        .truncate();
    combo
        .selected_text(format!("Between: {}", shown(&draft.pair.0, &draft.pair.1)))
        .show_ui(ui, |ui| {
            for (hull, rig) in &pairs {
                let chosen = (draft.pair.0.as_str(), draft.pair.1.as_str()) == (*hull, *rig);
                if ui.selectable_label(chosen, shown(hull, rig)).clicked() {
                    draft.pair = ((*hull).to_owned(), (*rig).to_owned());
                }
            }
        });
    let units = bench.units;
    let figure = Field::asked("Gap measured", draft.gap_m, Unit::Length).step(0.001);
    draft.gap_m = typed_ui(ui, units, figure, "new").or(draft.gap_m);
    let off = Field::new("May be off by", Quantity::length(draft.tolerance_m)).step(0.001);
    draft.tolerance_m = typed_ui(ui, units, off, "new gap off").unwrap_or(draft.tolerance_m);
    let add = ui.add_enabled_ui(draft.gap_m.is_some(), |ui| main_button(ui, "Add this gap"));
    let added = draft.gap_m.filter(|_| add.inner.clicked());
    if let Some(gap_m) = added {
        actions.push(Action::AddMeasured(Measured::Gap {
            hull_part: draft.pair.0.clone(),
            rig_part: draft.pair.1.clone(),
            gap_m,
            tolerance_m: draft.tolerance_m,
        }));
    }
    keep(ui, id, added.is_none().then_some(draft));
}

fn keep<T: Clone + Send + Sync + 'static>(ui: &Ui, id: Id, draft: Option<T>) {
    ui.data_mut(|data| data.insert_temp(id, draft));
}

fn stacks_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    strong(ui, "Which stacks bear");
    quiet(
        ui,
        "Try a thin blade between stack and keel: where it goes in, the stack stands free.",
    );
    for (at, beam) in bench.load.beams.iter().enumerate() {
        ui.push_id(("bears", at), |ui| stack_ui(ui, bench, beam.seat, actions));
    }
}

fn stack_ui(ui: &mut Ui, bench: &Bench, seat: Seat, actions: &mut Vec<Action>) {
    let of_seat = |measured: &Measured| match measured {
        Measured::Bears { seat: of, bears } if of.is_same(seat) => Some(*bears),
        _ => None,
    };
    let measured = &bench.load.measured;
    let at = measured
        .iter()
        .position(|measured| of_seat(measured).is_some());
    let now = at.and_then(|at| measured.get(at)).and_then(of_seat);
    ui.label(format!(
        "Stack on the beam {}",
        all_words::seat(seat, bench.units)
    ));
    ui.horizontal_wrapped(|ui| {
        for (bears, name) in [
            (Some(true), "Bears"),
            (Some(false), "Stands free"),
            (None, "Not looked"),
        ] {
            if choice(ui, now == bears, name).clicked() && now != bears {
                actions.push(Action::SeenBearing { seat, bears });
            }
        }
    });
    if let Some(compared) = at.and_then(|at| bench.findings.measured.get(at)) {
        compared_ui(ui, bench.units, compared);
    }
}

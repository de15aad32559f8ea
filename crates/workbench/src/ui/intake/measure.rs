//! The tape measure: a kind of hull, what was measured, what the fitted surface makes of it, and what
//! to measure next.

use egui::{Label, RichText, Sense, Ui, Vec2, WidgetInfo, WidgetType};
use keelstead_boat::family::{Estimate, Family, MeasureKind, Measures, Reached};
use keelstead_units::quantity::{Quantity, Unit};
use keelstead_units::verdict::Verdict;
use keelstead_units::{Units, parse, sentence, write};

use super::super::typed;
use super::super::widgets::{card, quiet, section, strong, target, tick};
use super::places::places_ui;
use super::sketch;
use super::stand::name_ui;
use crate::action::Action;
use crate::intake::{Fit, Intake, IntakeAction, Measured, Sketch, is_needed};
use crate::session::Session;
use crate::shape;
use crate::theme::{CORNER, Palette, bold};
use crate::words::capital;
use crate::words::intake::next_measure;

/// Size of a family's button with its sketch, points.
const FAMILY: Vec2 = Vec2::new(116.0, 92.0);

pub(super) fn measure_ui(
    ui: &mut Ui,
    session: &Session,
    intake: &Intake,
    actions: &mut Vec<Action>,
) {
    let Some(said) = &intake.draft().measured else {
        return;
    };
    name_ui(ui, intake, actions);
    section(ui, "Which kind of hull comes nearest?", true, |ui| {
        families_ui(ui, session, said.family, actions);
    });
    let says = capital(said.family.says());
    ui.add(Label::new(format!("{says}.")).wrap());
    let fit = intake.stood().and_then(|stood| stood.fit.as_ref());
    let units = session.view().units;
    if let (Some(fit), None) = (fit, intake.trouble()) {
        card(ui, |ui| tolerance_ui(ui, fit, units));
    }
    strong(ui, "What a tape says");
    quiet(
        ui,
        "Each with its unit: 9.4 m, 30\u{2019} 10\u{201d}, 940 cm.",
    );
    if !said.can_stand() {
        ui.add(
            Label::new("Begin with length over all and beam; then the hull stands in the picture. Each further measure brings it nearer to the boat. What you leave empty is estimated, and told as such.")
                .wrap(),
        );
    }
    for kind in MeasureKind::ALL {
        if kind.fits(said.family) && !kind.at_places() {
            ui.push_id(kind.word(), |ui| {
                card(ui, |ui| field_ui(ui, said, fit, kind, units, actions));
            });
        }
    }
    card(ui, |ui| {
        let words = "I looked under her: nothing hangs there but keel, skeg and rudder";
        if let Some(nothing_under) = tick(ui, said.measures.nothing_under, words) {
            let measures = Measures {
                nothing_under,
                ..said.measures.clone()
            };
            actions.push(Action::Intake(IntakeAction::Measures(Box::new(measures))));
            actions.push(Action::Settle);
        }
        quiet(
            ui,
            "Outdrive, trim tabs and transducers are not drawn. Until somebody looked, no check calls the boat clear.",
        );
    });
    section(
        ui,
        "At stations: half-breadths, bottom, girths",
        false,
        |ui| {
            places_ui(ui, said, fit, units, actions);
        },
    );
}

fn families_ui(ui: &mut Ui, session: &Session, now: Family, actions: &mut Vec<Action>) {
    ui.horizontal_wrapped(|ui| {
        for family in Family::ALL {
            let sketch = session.sketches().iter().find(|one| one.family == family);
            if family_ui(ui, family, sketch, family == now) && family != now {
                actions.push(Action::Intake(IntakeAction::Family(family)));
                actions.push(Action::Settle);
            }
        }
    });
}

/// A family as a button: side view, plan and word.
fn family_ui(ui: &mut Ui, family: Family, sketch: Option<&Sketch>, chosen: bool) -> bool {
    let palette = Palette::current(ui.ctx());
    let (rect, response) = ui.allocate_exact_size(FAMILY, Sense::click());
    let name = capital(&family.word().replace('-', " "));
    response.widget_info(|| WidgetInfo::selected(WidgetType::Button, true, chosen, &name));
    let fill = if chosen || response.hovered() {
        palette.chosen
    } else {
        palette.raised
    };
    let (width, colour) = if chosen || response.has_focus() {
        (2.0, palette.accent)
    } else {
        (1.0, palette.line)
    };
    let edge = egui::Stroke::new(width, colour);
    let painter = ui.painter_at(rect);
    painter.rect(rect, CORNER.nw, fill, edge, egui::StrokeKind::Inside);
    let font = if chosen {
        bold(14.0)
    } else {
        egui::FontId::proportional(14.0)
    };
    let foot = rect.center_bottom() - Vec2::new(0.0, 6.0);
    painter.text(foot, egui::Align2::CENTER_BOTTOM, &name, font, palette.text);
    let picture =
        egui::Rect::from_min_max(rect.min + Vec2::splat(7.0), rect.max - Vec2::new(7.0, 26.0));
    if let Some(sketch) = sketch {
        sketch::paint(&painter, picture, sketch, palette);
    }
    response.on_hover_text(capital(family.says())).clicked()
}

/// How well the shape is known, where least, and what to measure next.
fn tolerance_ui(ui: &mut Ui, fit: &Fit, units: Units) {
    let length = |value_m: f64| write(Quantity::length(value_m), units);
    strong(
        ui,
        format!("Shape known to \u{b1} {}", length(fit.tolerance_m)),
    );
    quiet(
        ui,
        format!(
            "Widest open at the {}, {} forward of the keel\u{2019}s aft end and {} up.",
            fit.open.part,
            length(fit.open.at.x_m),
            length(fit.open.at.z_m)
        ),
    );
    if fit.open.next.is_empty() {
        ui.label("No further measure would narrow it.");
        return;
    }
    ui.label("Measure next:");
    for next in fit.open.next.iter().take(3) {
        ui.horizontal_top(|ui| {
            ui.label("\u{2022}");
            ui.add(Label::new(next_measure(next, units)).wrap());
        });
    }
}

/// A measure taken once: its figure, how to take it, what the surface has.
fn field_ui(
    ui: &mut Ui,
    said: &Measured,
    fit: Option<&Fit>,
    kind: MeasureKind,
    units: Units,
    actions: &mut Vec<Action>,
) {
    let value = said.value(kind);
    let shown = value.map_or_else(String::new, |value| figure(kind, value, units));
    // The same wherever it stands, so that typing goes on when the panel changes about it.
    let id = egui::Id::new(("measure", kind.word()));
    ui.horizontal(|ui| {
        let height = target(ui);
        let field = Vec2::new(120.0, height);
        let left = Vec2::new(
            (ui.available_width() - field.x - ui.spacing().item_spacing.x).max(60.0),
            height,
        );
        let layout = egui::Layout::left_to_right(egui::Align::Center);
        let label = ui
            .allocate_ui_with_layout(left, layout, |ui| {
                ui.set_min_size(left);
                ui.add(Label::new(RichText::new(capital(kind.title())).font(bold(15.0))).wrap())
            })
            .inner;
        let typed = typed::live_ui(ui, id, &shown, field, label.id, |text| {
            read(kind, text, units)
        });
        if let Some(value) = typed
            && value != said.value(kind)
        {
            actions.push(Action::Intake(IntakeAction::Measure { kind, value }));
        }
    });
    typed::error_ui(ui, id);
    quiet(ui, sentence(&kind.how(), units));
    let reached = fit.and_then(|fit| fit.measures.iter().find(|one| one.kind == kind));
    let estimate = fit.and_then(|fit| fit.estimates.iter().find(|one| one.kind == kind));
    match (value, reached, estimate) {
        (Some(asked), Some(reached), _) if reached.asked == asked => {
            misfit_ui(ui, reached, units);
        }
        (None, _, Some(estimate)) => {
            quiet(ui, estimate_in_words(estimate, units));
        }
        (None, _, None) if !is_needed(kind) => {
            quiet(ui, "Not measured.");
        }
        _ => {}
    }
}

/// What was typed: a figure, or nothing for a measure not taken.
fn read(kind: MeasureKind, text: &str, units: Units) -> Result<Option<f64>, String> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    let value = parse(text, kind.unit(), units).map_err(|error| error.to_string())?;
    let range = kind.range();
    if range.contains(value) {
        return Ok(Some(value));
    }
    Err(format!(
        "{}: {} to {} can be meant",
        kind.title(),
        figure(kind, range.min, units),
        figure(kind, range.max, units)
    ))
}

pub(super) fn figure(kind: MeasureKind, value: f64, units: Units) -> String {
    let unit = match kind.unit() {
        Unit::Mass => Unit::Mass,
        _ => Unit::Length,
    };
    write(Quantity { value, unit }, units)
}

fn estimate_in_words(estimate: &Estimate, units: Units) -> String {
    format!(
        "Not measured; such boats have {} \u{b1} {}.",
        figure(estimate.kind, estimate.value, units),
        figure(estimate.kind, estimate.tolerance, units)
    )
}

/// What the surface has where a measure was given.
pub(super) fn misfit_ui(ui: &mut Ui, reached: &Reached, units: Units) {
    let palette = Palette::current(ui.ctx());
    let verdict = if reached.met {
        Verdict::Clear
    } else {
        Verdict::Tight
    };
    let off = figure(reached.kind, reached.misfit.abs(), units);
    let text = match reached.reached {
        None => "The surface is not there at all.".to_owned(),
        Some(_) if reached.met => format!("Met within {off}."),
        Some(has) => format!(
            "The surface has {}: {off} {}. Look at the measure, or choose another kind of hull.",
            figure(reached.kind, has, units),
            if reached.misfit > 0.0 {
                "too much"
            } else {
                "too little"
            }
        ),
    };
    ui.horizontal(|ui| {
        let (rect, _) = ui.allocate_exact_size(Vec2::splat(18.0), Sense::hover());
        shape::paint(ui.painter(), rect.center(), 18.0, verdict, palette);
        let text = RichText::new(text).color(palette.verdict(verdict)).small();
        ui.add(Label::new(text).wrap());
    });
}

//! A figure to change: typed in the reader's units, stepped, or dragged on a slider.

use std::fmt::Debug;
use std::hash::Hash;

use egui::text::{CCursor, CCursorRange};
use egui::{Align, Id, Label, Layout, Margin, RichText, TextEdit, Ui, Vec2};
use keelstead_units::fields::Range;
use keelstead_units::quantity::{Quantity, Unit};
use keelstead_units::{Units, parse, write};

use super::slide::Slide;
use super::typed;
use super::widgets::{sign_button, target};
use crate::action::Action;
use crate::theme::Palette;

/// A figure that can be changed.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Field<'a> {
    label: &'a str,
    value: Option<f64>,
    unit: Unit,
    slide: Option<Range>,
    step: Option<f64>,
}

impl<'a> Field<'a> {
    /// A figure and what it is called.
    pub fn new(label: &'a str, value: Quantity) -> Self {
        Self {
            label,
            value: Some(value.value),
            unit: value.unit,
            slide: None,
            step: None,
        }
    }

    /// A figure that may not be known: then the field is empty and asks for it.
    pub fn asked(label: &'a str, value: Option<f64>, unit: Unit) -> Self {
        Self {
            label,
            value,
            unit,
            slide: None,
            step: None,
        }
    }

    /// With a slider between these ends; typing may go beyond them, and the check says what of it.
    pub fn slide(mut self, range: Range) -> Self {
        self.slide = (range.max > range.min).then_some(range);
        self
    }

    /// With this step, SI unit, rather than the usual one.
    pub fn step(mut self, step: f64) -> Self {
        self.step = Some(step);
        self
    }

    /// Shows it; `act` makes the action that sets it to a value in its SI unit.
    pub fn ui(
        self,
        ui: &mut Ui,
        salt: impl Hash + Debug,
        units: Units,
        actions: &mut Vec<Action>,
        act: impl Fn(f64) -> Action,
    ) {
        let id = ui.make_persistent_id((salt, self.label));
        let step = self.step.unwrap_or_else(|| usual_step(self.unit, units));
        ui.vertical(|ui| {
            let mut set = |to: f64, settle: bool| {
                actions.push(act(to));
                if settle {
                    actions.push(Action::Settle);
                }
            };
            self.line_ui(ui, id, units, step, &mut set);
            typed::error_ui(ui, id);
            if let Some(range) = self.slide {
                self.slider_ui(ui, range, step, units, actions, &act);
            }
        });
    }

    /// Label, less, text, more.
    fn line_ui(
        &self,
        ui: &mut Ui,
        id: Id,
        units: Units,
        step: f64,
        set: &mut impl FnMut(f64, bool),
    ) {
        let height = target(ui);
        let gap = ui.spacing().item_spacing.x;
        let width = ui.available_width();
        let controls = (width * 0.62).clamp(180.0, 230.0).min(width);
        ui.horizontal(|ui| {
            let label_size = Vec2::new((width - controls - gap).max(40.0), height);
            let left = Layout::left_to_right(Align::Center);
            let label = ui
                .allocate_ui_with_layout(label_size, left, |ui| {
                    ui.set_min_size(label_size);
                    ui.add(Label::new(self.label).wrap())
                })
                .inner;
            let step_ui = |ui: &mut Ui, sign: &str, word: &str, by: f64| {
                let name = format!("{word}: {}", self.label);
                let pressed = sign_button(ui, sign, &name, self.value.is_some()).clicked();
                self.value.filter(|_| pressed).map(|value| value + by)
            };
            let less = step_ui(ui, "\u{2212}", "Less", -step);
            let text_size = Vec2::new(controls - 2.0 * (height + gap), height);
            let shown = self.shown(units);
            let hint = hint(self.unit, units);
            let read =
                |text: &str| parse(text, self.unit, units).map_err(|error| error.to_string());
            let parsed = typed::asking_ui(ui, id, &shown, hint, text_size, label.id, read);
            let more = step_ui(ui, "+", "More", step);
            if let Some(value) = less.or(parsed).or(more) {
                set(value, true);
            }
        });
    }

    /// The figure as it is written; empty if it is not known.
    fn shown(&self, units: Units) -> String {
        let unit = self.unit;
        let written = |value| write(Quantity { value, unit }, units);
        self.value.map_or_else(String::new, written)
    }

    fn slider_ui(
        &self,
        ui: &mut Ui,
        range: Range,
        step: f64,
        units: Units,
        actions: &mut Vec<Action>,
        act: &impl Fn(f64) -> Action,
    ) {
        let Some(now) = self.value else { return };
        let name = format!("{}, {}", self.label, self.shown(units));
        let width = ui.available_width();
        let (slid, _) = Slide::new(now, range, step / 5.0, width, name).ui(ui);
        actions.extend(slid.to.map(act));
        if slid.settled {
            actions.push(Action::Settle);
        }
    }
}

/// What to type where nothing stands yet.
fn hint(unit: Unit, units: Units) -> &'static str {
    match (unit, units) {
        (Unit::Mass, Units::Metric) => "in kg or t",
        (Unit::Mass, Units::Imperial) => "in lb or kg",
        (Unit::Length, Units::Metric) => "in m or cm",
        (Unit::Length, Units::Imperial) => "in ft and in",
        _ => "",
    }
}

/// How far a press of less or more goes, SI unit.
fn usual_step(unit: Unit, units: Units) -> f64 {
    match (unit, units) {
        (Unit::Length, Units::Metric) => 0.010,
        (Unit::Length, Units::Imperial) => 0.012_7,
        (Unit::Thickness, _) => 0.001,
        (Unit::Mass, Units::Metric) => 25.0,
        (Unit::Mass, Units::Imperial) => 22.679_618_5,
        (Unit::Force, _) => 100.0,
        (Unit::Angle, _) => 0.5_f64.to_radians(),
        (Unit::Count, _) => 1.0,
        (Unit::Pressure, _) => 10_000.0,
        (Unit::Ratio, _) => 0.05,
        (Unit::Gravity, _) => 0.05,
        (Unit::Speed, _) => 1.0,
        (Unit::Moment, _) => 1000.0,
        (Unit::Stiffness, Units::Metric) => 100_000.0,
        (Unit::Stiffness, Units::Imperial) => 87_563.417_5,
        (Unit::Factor, _) => 0.1,
    }
}

/// Marks all text, so that typing takes its place.
pub(super) fn select_all(output: &mut egui::text_edit::TextEditOutput, ui: &Ui, length: usize) {
    let all = CCursorRange::two(CCursor::new(0), CCursor::new(length));
    output.state.cursor.set_char_range(Some(all));
    output.state.clone().store(ui.ctx(), output.response.id);
}

/// A text field of a given size.
pub(super) fn text_edit<'t>(text: &'t mut String, id: Id, size: Vec2) -> TextEdit<'t> {
    TextEdit::singleline(text)
        .id(id)
        .min_size(size)
        .desired_width(size.x)
        .margin(Margin::symmetric(8, 4))
        .vertical_align(Align::Center)
}

/// A text field of several lines, at least of a given size.
pub(super) fn lines_edit<'t>(text: &'t mut String, id: Id, size: Vec2) -> TextEdit<'t> {
    TextEdit::multiline(text)
        .id(id)
        .min_size(size)
        .desired_width(size.x)
        .desired_rows(2)
        .margin(Margin::symmetric(8, 4))
}

/// What is wrong with what was typed, under the field.
pub(super) fn wrong_ui(ui: &mut Ui, text: &str) {
    let palette = Palette::current(ui.ctx());
    let verdict = keelstead_units::verdict::Verdict::Foul;
    ui.horizontal(|ui| {
        let (rect, _) = ui.allocate_exact_size(Vec2::splat(18.0), egui::Sense::hover());
        crate::shape::paint(ui.painter(), rect.center(), 18.0, verdict, palette);
        let text = RichText::new(text).color(palette.verdict(verdict)).small();
        ui.add(Label::new(text).wrap());
    });
}

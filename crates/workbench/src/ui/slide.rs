//! A slider that nothing sets by accident: its rail takes no press, and its knob only a drag that
//! goes sideways. A swipe up or down that begins on it scrolls whatever it stands in.

use egui::accesskit;
use egui::{
    Context, CursorIcon, EventFilter, Id, Key, Pos2, Rect, Response, Sense, Ui, Vec2, WidgetInfo,
    pos2, vec2,
};
use keelstead_units::fields::Range;

use super::widgets::target;
use crate::theme::Palette;

/// How far a finger or mouse goes before its way is told, points.
const TELLS: f32 = 8.0;
/// So many times as far sideways as up or down is sideways: a thumb that scrolls draws a bow.
const SIDEWAYS: f32 = 2.0;

/// A slider.
#[derive(Debug, Clone)]
pub(super) struct Slide {
    value: f64,
    range: Range,
    step: f64,
    width: f32,
    name: String,
}

/// What was done to a slider.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Slid {
    /// Where it was moved to.
    pub to: Option<f64>,
    /// Whether that is done with for now.
    pub settled: bool,
}

/// A knob that a finger or mouse holds.
#[derive(Debug, Clone, Copy)]
struct Held {
    from: Pos2,
    /// What it stood at.
    value: f64,
    /// Whether the way was told to be sideways.
    taken: bool,
}

/// Which way a hand goes.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Way {
    Untold,
    Sideways,
    UpOrDown,
}

impl Way {
    fn of(moved: Vec2) -> Self {
        if moved.length() < TELLS {
            Self::Untold
        } else if moved.x.abs() > SIDEWAYS * moved.y.abs() {
            Self::Sideways
        } else {
            Self::UpOrDown
        }
    }
}

impl Slide {
    /// A slider at `value`, moved by `step` and multiples of it; a value beyond the ends stays what
    /// it is until it is moved. `name` is for those who listen.
    pub fn new(value: f64, range: Range, step: f64, width: f32, name: String) -> Self {
        Self {
            value,
            range,
            step,
            width,
            name,
        }
    }

    /// Shows it.
    pub fn ui(&self, ui: &mut Ui) -> (Slid, Response) {
        let size = vec2(self.width, target(ui));
        let (rail, response) = ui.allocate_exact_size(size, Sense::focusable_noninteractive());
        let knob = Rect::from_center_size(self.knob_at(rail), Vec2::splat(rail.height()));
        let over = ui.interact(knob, response.id.with("knob"), Sense::hover());
        response.widget_info(|| WidgetInfo::slider(ui.is_enabled(), self.value, &self.name));
        self.tell(ui.ctx(), response.id);
        let by_key = ui.is_enabled().then(|| self.keys(ui, &response)).flatten();
        let slid = match by_key {
            Some(to) => Slid {
                to: Some(to),
                settled: true,
            },
            None if ui.is_enabled() => self.hand(ui, response.id, rail, over.interact_rect),
            None => Slid::default(),
        };
        if over.hovered() || held(ui.ctx(), response.id).is_some_and(|held| held.taken) {
            ui.ctx().set_cursor_icon(CursorIcon::ResizeHorizontal);
        }
        self.paint(ui, rail, &response, &over);
        (slid, response)
    }

    /// Follows the hand that holds the knob.
    fn hand(&self, ui: &Ui, id: Id, rail: Rect, knob: Rect) -> Slid {
        let ctx = ui.ctx();
        let mut slid = Slid::default();
        let (pressed, down, origin, at) = ui.input(|input| {
            let pointer = &input.pointer;
            let (pressed, down) = (pointer.primary_pressed(), pointer.primary_down());
            (
                pressed,
                down,
                pointer.press_origin(),
                pointer.interact_pos(),
            )
        });
        let before = held(ctx, id);
        let mut now = before;
        if pressed {
            slid.settled = before.is_some_and(|held| held.taken);
            let layer = ui.layer_id();
            let free = |at: Pos2| {
                let uncovered = ui.memory(|memory| memory.allows_interaction(layer));
                let top = ctx.layer_id_at(at);
                uncovered && knob.contains(at) && top.is_none_or(|top| top == layer)
            };
            now = origin.filter(|at| free(*at)).map(|from| Held {
                from,
                value: self.value,
                taken: false,
            });
        }
        if let (Some(held), Some(at)) = (&mut now, at) {
            match Way::of(at - held.from) {
                Way::UpOrDown if !held.taken => now = None,
                Way::Sideways if !held.taken => {
                    held.taken = true;
                    if down {
                        // From here on nothing scrolls.
                        ctx.set_dragged_id(id);
                    }
                }
                _ => {}
            }
        }
        // Escape lets go, and so does whatever else takes the hand.
        let lost = down && before.is_some_and(|held| held.taken) && !ctx.is_being_dragged(id);
        if let Some(held) = now.filter(|held| held.taken && !lost) {
            let to = at.map(|at| self.moved(&held, at.x - held.from.x, rail));
            slid.to = to.filter(|to| *to != self.value);
        }
        if !down || lost {
            slid.settled |= now.is_some_and(|held| held.taken);
            now = None;
        }
        ctx.data_mut(|data| data.insert_temp(id, now));
        slid
    }

    /// Where a hand takes it that went so far sideways, points. The first few are not counted, so
    /// that nothing leaps, and back where it began it stands at what it was.
    fn moved(&self, held: &Held, by: f32, rail: Rect) -> f64 {
        let by = f64::from(by - by.clamp(-TELLS, TELLS));
        let track = f64::from((rail.width() - 2.0 * radius(rail)).max(1.0));
        let to = held.value + by * (self.range.max - self.range.min) / track;
        if by == 0.0 {
            return held.value;
        }
        let on_step = if self.step > 0.0 {
            (to / self.step).round() * self.step
        } else {
            to
        };
        self.within(held.value, on_step)
    }

    /// Within the ends, which a value that lay beyond them takes with it.
    fn within(&self, from: f64, to: f64) -> f64 {
        let (min, max) = (self.range.min.min(from), self.range.max.max(from));
        if to.is_finite() {
            to.max(min).min(max)
        } else {
            from
        }
    }

    /// Arrows to the left and right, and what those who listen ask for.
    fn keys(&self, ui: &Ui, response: &Response) -> Option<f64> {
        let focused = response.has_focus();
        if focused {
            let filter = EventFilter {
                horizontal_arrows: true,
                ..EventFilter::default()
            };
            ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
        }
        let (steps, set) = ui.input(|input| {
            use accesskit::{Action, ActionData};
            let asked = |action| input.num_accesskit_action_requests(response.id, action) as f64;
            let mut steps = asked(Action::Increment) - asked(Action::Decrement);
            if focused {
                let presses = |key| input.num_presses(key) as f64;
                steps += presses(Key::ArrowRight) - presses(Key::ArrowLeft);
            }
            let set = input.accesskit_action_requests(response.id, Action::SetValue);
            let set = set.filter_map(|request| match request.data {
                Some(ActionData::NumericValue(to)) => Some(to),
                _ => None,
            });
            (steps, set.last())
        });
        let to = set.or((steps != 0.0).then_some(self.value + steps * self.step))?;
        Some(self.within(self.value, to)).filter(|to| *to != self.value)
    }

    /// Says ends, step and what can be asked of it.
    fn tell(&self, ctx: &Context, id: Id) {
        ctx.accesskit_node_builder(id, |node| {
            use accesskit::Action;
            node.set_min_numeric_value(self.range.min);
            node.set_max_numeric_value(self.range.max);
            node.set_numeric_value_step(self.step);
            for action in [Action::SetValue, Action::Increment, Action::Decrement] {
                node.add_action(action);
            }
        });
    }

    fn knob_at(&self, rail: Rect) -> Pos2 {
        let span = self.range.max - self.range.min;
        let part = (self.range.nearest(self.value) - self.range.min) / span;
        let part = if part.is_finite() { part as f32 } else { 0.0 };
        let track = rail.x_range().shrink(radius(rail));
        pos2(egui::lerp(track, part), rail.center().y)
    }

    fn paint(&self, ui: &Ui, rail: Rect, response: &Response, over: &Response) {
        if !ui.is_rect_visible(rail) {
            return;
        }
        let visuals = ui.visuals();
        let line = Rect::from_center_size(
            rail.center(),
            vec2(rail.width(), ui.spacing().slider_rail_height),
        );
        let at = self.knob_at(rail);
        let done = line.with_max_x(at.x);
        let corner = visuals.widgets.inactive.corner_radius;
        let painter = ui.painter();
        painter.rect_filled(line, corner, visuals.widgets.inactive.bg_fill);
        painter.rect_filled(done, corner, Palette::current(ui.ctx()).chosen);
        let taken = held(ui.ctx(), response.id).is_some_and(|held| held.taken);
        let look = if taken || response.has_focus() {
            &visuals.widgets.active
        } else if over.hovered() {
            &visuals.widgets.hovered
        } else {
            &visuals.widgets.inactive
        };
        painter.circle(at, radius(rail), look.bg_fill, look.fg_stroke);
    }
}

fn radius(rail: Rect) -> f32 {
    rail.height() / 2.5
}

fn held(ctx: &Context, id: Id) -> Option<Held> {
    ctx.data(|data| data.get_temp::<Option<Held>>(id)).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 100 points of rail for 1 m.
    fn slide(value: f64) -> (Slide, Rect) {
        let range = Range { min: 0.0, max: 1.0 };
        // A knob of 8 points across leaves 100 of 108.
        let rail = Rect::from_min_size(Pos2::ZERO, vec2(108.0, 10.0));
        let name = "Forward".to_owned();
        (Slide::new(value, range, 0.01, 108.0, name), rail)
    }

    fn moved(value: f64, by: f32) -> f64 {
        let (slide, rail) = slide(value);
        let held = Held {
            from: Pos2::ZERO,
            value,
            taken: true,
        };
        slide.moved(&held, by, rail)
    }

    #[test]
    fn a_way_is_told_late_and_sideways_only_if_it_is() {
        assert_eq!(Way::of(vec2(5.0, 6.0)), Way::Untold);
        assert_eq!(Way::of(vec2(0.0, 9.0)), Way::UpOrDown);
        assert_eq!(Way::of(vec2(8.0, -8.0)), Way::UpOrDown);
        assert_eq!(Way::of(vec2(-9.0, 4.0)), Way::Sideways);
    }

    #[test]
    fn it_moves_by_what_is_drawn_past_the_first_points() {
        assert_eq!(moved(0.345, 7.0), 0.345);
        // 20 points past the first 8 are 0.20 m, then to the step.
        assert!((moved(0.342, 28.0) - 0.54).abs() < 1e-12);
        assert!((moved(0.342, -28.0) - 0.14).abs() < 1e-12);
        assert_eq!(moved(0.345, 500.0), 1.0);
    }

    #[test]
    fn a_value_beyond_the_ends_does_not_leap() {
        assert_eq!(moved(1.5, 30.0), 1.5);
        assert!((moved(1.5, -18.0) - 1.4).abs() < 1e-12);
    }
}

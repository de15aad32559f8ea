//! What is longer than its room: drawn up and down by a finger wherever that is put.

use egui::containers::scroll_area::{DragScroll, ScrollSource};
use egui::style::ScrollAnimation;
use egui::{AsIdSalt, ScrollArea, Ui, vec2};

use super::WIDE;
use crate::action::Action;

/// Height that is kept for it on the lowest screen, points: a line.
const LOWEST: f32 = 24.0;

/// Content that scrolls up and down. With another `salt` it starts at the top, with all folds as they come and nothing
/// left of what was typed wrong: what belongs to a job has the job's. A press that stops it while it runs on does nothing else: what
/// happens to come to lie under the finger was not meant.
pub(super) fn scroll_ui(
    ui: &mut Ui,
    salt: impl AsIdSalt + Copy,
    actions: &mut Vec<Action>,
    content: impl FnOnce(&mut Ui, &mut Vec<Action>),
) {
    let narrow = ui.ctx().content_rect().width() < WIDE;
    let source = ScrollSource {
        // egui tells a touch screen by the first touch, which would be lost.
        drag: if narrow {
            DragScroll::Always
        } else {
            DragScroll::OnTouch
        },
        ..ScrollSource::default()
    };
    let before = actions.len();
    let area = ScrollArea::vertical()
        .id_salt(salt)
        .auto_shrink(false)
        .min_scrolled_height(LOWEST)
        .scroll_source(source)
        .show(ui, |ui| ui.push_id(salt, |ui| content(ui, actions)));
    let stops = area.id.with("stops");
    let (pressed, released) = ui.input(|input| {
        let pointer = &input.pointer;
        (pointer.any_pressed(), pointer.any_released())
    });
    if pressed {
        let runs_on = area.state.velocity() != egui::Vec2::ZERO;
        ui.data_mut(|data| data.insert_temp(stops, runs_on));
    }
    if released && ui.data_mut(|data| data.remove_temp::<bool>(stops)) == Some(true) {
        actions.truncate(before);
    }
}

/// Lets a finger that drags up or down on what takes drags of its own scroll all the same.
pub(super) fn scroll_by_finger(ui: &Ui) {
    let (touched, moved, by) = ui.input(|input| {
        let pointer = &input.pointer;
        let moved = pointer.total_drag_delta();
        (input.any_touches(), moved, pointer.delta())
    });
    if touched && moved.is_some_and(|moved| moved.y.abs() > moved.x.abs()) {
        ui.scroll_with_delta_animation(vec2(0.0, by.y), ScrollAnimation::none());
    }
}

//! The job itself: its name, what is worth telling, where it is kept.

use egui::{Ui, Vec2};

use super::typed;
use super::widgets::{quiet, strong, target};
use crate::action::Action;
use crate::edit::named;
use crate::session::Session;

/// Name and note to change, and the path.
pub(super) fn job_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let (Some(job), Some(path)) = (session.job(), session.path()) else {
        return;
    };
    let size = Vec2::new(ui.available_width(), target(ui));
    let label = strong(ui, "Name of the job");
    let id = ui.make_persistent_id("job name");
    let name = typed::text_ui(ui, id, &job.name, size, label.id, |text| {
        named(text).map_err(|refusal| refusal.to_string())
    });
    typed::error_ui(ui, id);
    actions.extend(name.map(Action::Name));
    let label = strong(ui, "Note");
    let id = ui.make_persistent_id("job note");
    let note = typed::lines_ui(ui, id, &job.note, size, label.id);
    actions.extend(note.map(Action::Note));
    quiet(ui, path);
    if session.is_dirty() {
        quiet(ui, "There are changes that are not saved.");
    }
}

//! Text being typed: kept until it makes sense or is given up, with what is wrong under it.

use egui::{Id, Key, TextEdit, Ui, Vec2};

use super::field::{lines_edit, select_all, text_edit, wrong_ui};
use super::scroll::scroll_by_finger;
use crate::words::capital;

/// What stands in a field that is not (yet) a value.
#[derive(Debug, Clone, Default)]
struct Typed {
    text: String,
    wrong: Option<String>,
}

fn load(ui: &Ui, id: Id) -> Option<Typed> {
    ui.data(|data| data.get_temp::<Option<Typed>>(id)).flatten()
}

fn store(ui: &Ui, id: Id, typed: Option<Typed>) {
    ui.data_mut(|data| data.insert_temp(id, typed));
}

/// A text field that shows `shown` until someone types; returns what `parse` made of the text when
/// they are done. Escape gives up.
pub(super) fn text_ui<T>(
    ui: &mut Ui,
    id: Id,
    shown: &str,
    size: Vec2,
    label: Id,
    parse: impl Fn(&str) -> Result<T, String>,
) -> Option<T> {
    edit_ui(ui, id, shown, label, false, parse, |text, id| {
        text_edit(text, id, size)
    })
}

/// The same, with a hint of what to type while nothing stands there.
pub(super) fn asking_ui<T>(
    ui: &mut Ui,
    id: Id,
    shown: &str,
    hint: &str,
    size: Vec2,
    label: Id,
    parse: impl Fn(&str) -> Result<T, String>,
) -> Option<T> {
    edit_ui(ui, id, shown, label, false, parse, |text, id| {
        text_edit(text, id, size).hint_text(hint)
    })
}

/// The same, which also returns what `parse` makes of the text at every letter that makes sense.
pub(super) fn live_ui<T>(
    ui: &mut Ui,
    id: Id,
    shown: &str,
    size: Vec2,
    label: Id,
    parse: impl Fn(&str) -> Result<T, String>,
) -> Option<T> {
    edit_ui(ui, id, shown, label, true, parse, |text, id| {
        text_edit(text, id, size)
    })
}

/// The same for a text of several lines, which is done when the field is left.
pub(super) fn lines_ui(ui: &mut Ui, id: Id, shown: &str, size: Vec2, label: Id) -> Option<String> {
    let whole = |text: &str| Ok(text.to_owned());
    edit_ui(ui, id, shown, label, false, whole, |text, id| {
        lines_edit(text, id, size)
    })
}

/// Whether the keyboard is at a field, or left it just now.
fn is_at(ui: &Ui, id: Id) -> bool {
    let before = ui.ctx().read_response(id);
    before.is_some_and(|field| field.has_focus() || field.lost_focus())
}

fn edit_ui<T>(
    ui: &mut Ui,
    id: Id,
    shown: &str,
    label: Id,
    live: bool,
    parse: impl Fn(&str) -> Result<T, String>,
    edit: impl for<'t> FnOnce(&'t mut String, Id) -> TextEdit<'t>,
) -> Option<T> {
    let edit_id = id.with("text");
    // What was half typed where the field then vanished, with its job or its tab, is given up: it would be shown for
    // what stands there, and set by the next touch of the field.
    let kept = load(ui, id).filter(|typed| typed.wrong.is_some() || is_at(ui, edit_id));
    let mut typed = kept.unwrap_or_else(|| Typed {
        text: shown.to_owned(),
        wrong: None,
    });
    let mut output = edit(&mut typed.text, edit_id).show(ui);
    let response = output.response.response.clone().labelled_by(label);
    if response.gained_focus() {
        let length = typed.text.chars().count();
        select_all(&mut output, ui, length);
        // Reached by the keyboard it may lie outside what is shown.
        response.scroll_to_me(None);
    }
    if response.dragged() {
        scroll_by_finger(ui);
    }
    if response.has_focus() {
        let changed = response.changed();
        if changed {
            typed.wrong = None;
        }
        let sense = (live && changed).then(|| parse(&typed.text).ok());
        store(ui, id, Some(typed));
        return sense.flatten();
    }
    if !response.lost_focus() {
        return None;
    }
    let given_up = ui.input(|input| input.key_pressed(Key::Escape));
    if given_up || typed.text == shown {
        store(ui, id, None);
        return None;
    }
    match parse(&typed.text) {
        Ok(value) => {
            store(ui, id, None);
            Some(value)
        }
        Err(wrong) => {
            typed.wrong = Some(wrong);
            store(ui, id, Some(typed));
            None
        }
    }
}

/// What is wrong with what stands in the field, if anything is.
pub(super) fn error_ui(ui: &mut Ui, id: Id) {
    if let Some(wrong) = load(ui, id).and_then(|typed| typed.wrong) {
        wrong_ui(ui, &capital(&wrong));
    }
}

//! The keys: one table that is read from and that the help overlay shows.

use egui::{Context, Key, Modifiers};

use crate::action::Action;
use crate::intake::{Intake, IntakeAction};
use crate::session::Session;
use crate::view::{LookFrom, Overlay};
use keelstead_units::Units;

/// How far a press of a bracket moves the hull, m.
const NUDGE_M: f64 = 0.010;

/// A key and what it does.
pub struct Shortcut {
    /// The keys that do it, the first as help shows it.
    pub keys: &'static [(Modifiers, Key)],
    /// What it does, in a few words.
    pub does: &'static str,
    act: fn(&Session) -> Option<Action>,
}

const PLAIN: Modifiers = Modifiers::NONE;
const CTRL: Modifiers = Modifiers::COMMAND;
const CTRL_SHIFT: Modifiers = Modifiers {
    shift: true,
    ..Modifiers::COMMAND
};

/// All keys.
pub const SHORTCUTS: &[Shortcut] = &[
    Shortcut {
        keys: &[(CTRL, Key::O)],
        does: "Open a job",
        act: |_| Some(Action::Open),
    },
    Shortcut {
        keys: &[(CTRL_SHIFT, Key::S)],
        does: "Save under another name",
        act: |_| Some(Action::SaveAs),
    },
    Shortcut {
        keys: &[(CTRL, Key::S)],
        does: "Save",
        act: |_| Some(Action::Save),
    },
    Shortcut {
        keys: &[(CTRL_SHIFT, Key::Z), (CTRL, Key::Y)],
        does: "Redo",
        act: |_| Some(Action::Redo),
    },
    Shortcut {
        keys: &[(CTRL, Key::Z)],
        does: "Undo",
        act: |_| Some(Action::Undo),
    },
    Shortcut {
        keys: &[(PLAIN, Key::N)],
        does: "Next finding",
        act: |_| Some(Action::SelectNext),
    },
    Shortcut {
        keys: &[(PLAIN, Key::P)],
        does: "Previous finding",
        act: |_| Some(Action::SelectPrevious),
    },
    Shortcut {
        keys: &[(PLAIN, Key::OpenBracket)],
        does: "Move the hull 10 mm aft",
        act: |session| nudge(session, -NUDGE_M),
    },
    Shortcut {
        keys: &[(PLAIN, Key::CloseBracket)],
        does: "Move the hull 10 mm forward",
        act: |session| nudge(session, NUDGE_M),
    },
    look_from(Key::Num1, "Look from the corner", |_| {
        look(LookFrom::Corner)
    }),
    look_from(Key::Num2, "Look from port", |_| look(LookFrom::Port)),
    look_from(Key::Num3, "Look from starboard", |_| {
        look(LookFrom::Starboard)
    }),
    look_from(Key::Num4, "Look from ahead", |_| look(LookFrom::Bow)),
    look_from(Key::Num5, "Look from astern", |_| look(LookFrom::Stern)),
    look_from(Key::Num6, "Look from above", |_| look(LookFrom::Above)),
    look_from(Key::Num7, "Look from below", |_| look(LookFrom::Below)),
    Shortcut {
        keys: &[(PLAIN, Key::L)],
        does: "Name the parts, or not",
        act: |session| Some(Action::Labels(!session.view().labels)),
    },
    Shortcut {
        keys: &[(PLAIN, Key::A)],
        does: "Show the loads as arrows, or not",
        act: |session| Some(Action::Loads(!session.view().loads)),
    },
    Shortcut {
        keys: &[(PLAIN, Key::F)],
        does: "Fade the hull, or not",
        act: |session| {
            let faded = session.view().hull_opacity < 1.0;
            Some(Action::HullOpacity(if faded { 1.0 } else { 0.35 }))
        },
    },
    Shortcut {
        keys: &[(PLAIN, Key::X)],
        does: "Cut the hull in the middle, or not",
        act: |session| {
            let cut = session.view().cut_station_m.is_some();
            let middle = session.hull()?.bounds.center().x;
            Some(Action::Cut((!cut).then_some(middle)))
        },
    },
    Shortcut {
        keys: &[(PLAIN, Key::U)],
        does: "Metres, or feet and inches",
        act: |session| {
            Some(Action::Units(match session.view().units {
                Units::Metric => Units::Imperial,
                Units::Imperial => Units::Metric,
            }))
        },
    },
    Shortcut {
        keys: &[
            (PLAIN, Key::F1),
            (PLAIN, Key::H),
            (Modifiers::SHIFT, Key::Questionmark),
        ],
        does: "Show this help",
        act: |session| {
            let shown = session.overlay() == Some(Overlay::Help);
            Some(Action::Show((!shown).then_some(Overlay::Help)))
        },
    },
    Shortcut {
        keys: &[(PLAIN, Key::Escape)],
        does: "Close what lies on top; let go of the finding; a step back",
        act: |session| {
            if session.loading_now().is_some() {
                Some(Action::CancelLoading)
            } else if let (Some(intake), false) = (session.intake(), has_cover(session)) {
                Some(Action::Intake(back_from(intake)))
            } else if session.asks_about_changes() {
                Some(Action::KeepOpen)
            } else if session.overlay().is_some() {
                Some(Action::Show(None))
            } else {
                Some(Action::Select(None))
            }
        },
    },
];

fn has_cover(session: &Session) -> bool {
    session.asks_about_changes() || session.overlay().is_some()
}

/// Escape takes back the last thing opened: a question, a part looked at, the step.
fn back_from(intake: &Intake) -> IntakeAction {
    if intake.asks_to_leave() {
        IntakeAction::Stay
    } else if intake.part().is_some() {
        IntakeAction::PickPart(None)
    } else {
        IntakeAction::Back
    }
}

/// What hands do in the scene: gesture and effect of each, for the help overlay.
pub const GESTURES: &[(&str, &str)] = &[
    ("Drag", "Turn round the boat"),
    ("Right drag, or two fingers", "Shift the picture"),
    ("Wheel, or pinch", "Come nearer, go away"),
    ("Click or tap a mark", "Look at that finding"),
    (
        "Tab, Space, arrows",
        "Reach and use every button and slider",
    ),
];

const fn look_from(key: Key, does: &'static str, act: fn(&Session) -> Option<Action>) -> Shortcut {
    let keys: &'static [(Modifiers, Key)] = match key {
        Key::Num1 => &[(PLAIN, Key::Num1)],
        Key::Num2 => &[(PLAIN, Key::Num2)],
        Key::Num3 => &[(PLAIN, Key::Num3)],
        Key::Num4 => &[(PLAIN, Key::Num4)],
        Key::Num5 => &[(PLAIN, Key::Num5)],
        Key::Num6 => &[(PLAIN, Key::Num6)],
        _ => &[(PLAIN, Key::Num7)],
    };
    Shortcut { keys, does, act }
}

fn look(from: LookFrom) -> Option<Action> {
    Some(Action::LookFrom(from))
}

fn nudge(session: &Session, by_m: f64) -> Option<Action> {
    let x_m = session.load()?.stand.x_m;
    Some(Action::HullForward(x_m + by_m))
}

impl Shortcut {
    /// The keys in words: "Ctrl+Z".
    pub fn keys_in_words(&self) -> String {
        let words = self.keys.iter().map(|(modifiers, key)| {
            let key = match key {
                Key::OpenBracket => "[",
                Key::CloseBracket => "]",
                Key::Questionmark => return "?".to_owned(),
                other => other.name(),
            };
            let mac = cfg!(target_os = "macos");
            let with = egui::ModifierNames::NAMES.format(modifiers, mac);
            if with.is_empty() {
                key.to_owned()
            } else {
                format!("{with}+{key}")
            }
        });
        words.collect::<Vec<_>>().join(" or ")
    }
}

/// Reads the keys pressed. While someone types, only opening and saving count.
pub(crate) fn read(ctx: &Context, session: &Session, actions: &mut Vec<Action>) {
    let typing = ctx.text_edit_focused();
    let waits = session.loading_now().is_some();
    for shortcut in SHORTCUTS {
        for (modifiers, key) in shortcut.keys {
            // Text being typed has its own undo.
            let types = typing && (!modifiers.command || matches!(key, Key::Z | Key::Y));
            let covered = session.is_covered() && !closes(*key);
            if types || covered || (waits && *key != Key::Escape) {
                continue;
            }
            if ctx.input_mut(|input| input.consume_key(*modifiers, *key)) {
                let action = (shortcut.act)(session);
                actions.extend(action.filter(|action| !is_of_hidden_job(action, session)));
            }
        }
    }
}

/// Whether an action is about a job that does not show because a hull is brought in.
fn is_of_hidden_job(action: &Action, session: &Session) -> bool {
    let looks_at_it = matches!(
        action,
        Action::Save
            | Action::SaveAs
            | Action::Select(_)
            | Action::SelectNext
            | Action::SelectPrevious
            | Action::Cut(_)
            | Action::HullOpacity(_)
            | Action::Loads(_)
    );
    session.intake().is_some() && (looks_at_it || action.edits())
}

/// Whether a key counts while something lies over everything.
fn closes(key: Key) -> bool {
    matches!(key, Key::Escape | Key::F1 | Key::H)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_key_does_two_things() {
        let mut seen = Vec::new();
        for shortcut in SHORTCUTS {
            for key in shortcut.keys {
                assert!(!seen.contains(key), "{:?} twice", key);
                seen.push(*key);
            }
        }
    }
}

//! The panels. Each shows the session and says what the person wants done; none changes anything.

mod arrange;
mod covers;
mod empty;
mod field;
mod files;
mod findings;
mod intake;
mod job;
mod messages;
mod scene_bar;
mod scroll;
mod slide;
mod top;
mod typed;
mod widgets;

use egui::{CentralPanel, Frame, Panel, Rect, ScrollArea, Ui};

use crate::action::Action;
use crate::keys;
use crate::session::Session;
use crate::theme::{self, Palette};
use crate::view::Tab;
use scroll::scroll_ui;

/// Screens at least this wide, in points, get panels at both sides; narrower ones a sheet below.
pub const WIDE: f32 = 900.0;
/// Share of a narrow screen's height left to the scene.
const SCENE_SHARE: f32 = 0.42;
/// What a sheet below the scene has at least, points: its tabs or buttons, and a line to scroll.
const LOW_SHEET: f32 = 160.0;
/// Share that it has at least of what is left between the bars on a screen too low for that.
const SHEET_SHARE: f32 = 0.8;
/// Width of the sheet beside the scene where a narrow screen lies on its side: that of a phone held upright, points.
const BESIDE: f32 = 374.0;

/// What the panels left free.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// The rectangle for the scene, in points; none while no job is open.
    pub scene: Option<Rect>,
}

/// Shows everything around the scene and pushes what the person wants done.
///
/// egui may run this twice in a frame; hand over the same `actions` each time and perform them once
/// afterwards.
pub fn workbench_ui(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) -> Shown {
    if !theme::is_installed(ui.ctx()) {
        theme::install(ui.ctx());
        ui.ctx().request_repaint();
        return Shown { scene: None };
    }
    let narrow = ui.available_width() < WIDE;
    theme::apply(
        ui.ctx(),
        session.view().theme,
        narrow || session.view().touch,
    );
    if !session.view().touch && ui.input(|input| input.any_touches()) {
        actions.push(Action::Touch(true));
    }
    keys::read(ui.ctx(), session, actions);
    let bare = Frame::new().fill(Palette::current(ui.ctx()).panel);
    let scene = if session.intake().is_some() {
        intake::intake_ui(ui, narrow, bare, session, actions)
    } else if !session.is_open() {
        unopened_ui(ui, bare, session, actions);
        None
    } else if narrow {
        Some(narrow_ui(ui, bare, session, actions))
    } else {
        Some(wide_ui(ui, bare, session, actions))
    };
    covers::covers_ui(ui, session, actions);
    Shown { scene }
}

fn unopened_ui(ui: &mut Ui, frame: Frame, session: &Session, actions: &mut Vec<Action>) {
    caution_panel(ui, session, actions);
    CentralPanel::no_frame()
        .frame(frame.inner_margin(16))
        .show(ui, |ui| {
            ScrollArea::vertical().show(ui, |ui| {
                messages::all_ui(ui, session, actions);
                empty::empty_ui(ui, session, actions);
            });
        });
}

fn wide_ui(ui: &mut Ui, frame: Frame, session: &Session, actions: &mut Vec<Action>) -> Rect {
    Panel::top("top")
        .frame(frame.inner_margin(8))
        .show(ui, |ui| {
            top::wide_ui(ui, session, actions);
        });
    caution_panel(ui, session, actions);
    Panel::left("findings")
        .frame(frame.inner_margin(10))
        .resizable(false)
        .exact_size(340.0)
        .show(ui, |ui| {
            top::size_ui(ui, session);
            findings::panel_ui(ui, session, actions);
        });
    Panel::right("arrange")
        .frame(frame.inner_margin(10))
        .resizable(false)
        .exact_size(372.0)
        .show(ui, |ui| {
            scroll_ui(
                ui,
                ("arrange", session.openings()),
                actions,
                |ui, actions| {
                    arrange::arrange_ui(ui, session, actions);
                },
            );
        });
    Panel::top("look from")
        .frame(frame.inner_margin(6))
        .show(ui, |ui| {
            scene_bar::wide_ui(ui, session, actions);
            messages::messages_ui(ui, session, actions);
        });
    ui.available_rect_before_wrap()
}

fn narrow_ui(ui: &mut Ui, frame: Frame, session: &Session, actions: &mut Vec<Action>) -> Rect {
    let height = ui.available_height();
    Panel::top("top")
        .frame(frame.inner_margin(4))
        .show(ui, |ui| {
            top::narrow_ui(ui, session, actions);
            top::size_ui(ui, session);
            messages::messages_ui(ui, session, actions);
        });
    caution_panel(ui, session, actions);
    sheet_panel(ui, "sheet", height)
        .frame(frame.inner_margin(6))
        .show(ui, |ui| {
            top::tabs_ui(ui, session, actions);
            let tab = session.view().tab;
            if tab == Tab::Findings {
                findings::panel_ui(ui, session, actions);
                return;
            }
            let salt = (tab.word(), session.openings());
            scroll_ui(ui, salt, actions, |ui, actions| match tab {
                Tab::Findings => {}
                Tab::Arrange => arrange::arrange_ui(ui, session, actions),
                Tab::View => scene_bar::narrow_ui(ui, session, actions),
                Tab::File => files::files_ui(ui, session, actions),
            });
        });
    ui.available_rect_before_wrap()
}

/// The sheet of a narrow screen of this height: below the scene, or beside it on one that lies on its side, where what is left
/// between the bars would be too low for both.
fn sheet_panel(ui: &Ui, id: &'static str, height: f32) -> Panel {
    let left = ui.available_size();
    if left.x > height && left.x >= BESIDE / (1.0 - SCENE_SHARE) {
        return Panel::right(id).resizable(false).exact_size(BESIDE);
    }
    let sheet = (left.y - height * SCENE_SHARE).max((left.y * SHEET_SHARE).min(LOW_SHEET));
    Panel::bottom(id).exact_size(sheet)
}

fn caution_panel(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let fill = Palette::current(ui.ctx()).caution;
    let frame = Frame::new().fill(fill);
    Panel::bottom("caution").frame(frame).show(ui, |ui| {
        covers::caution_line_ui(ui, session, actions);
    });
}

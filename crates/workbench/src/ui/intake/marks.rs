//! Marks on the hull being brought in: pressed in the picture, or by numbers as in a job.

use egui::{Label, Ui};
use keelstead_boat::hull::KeepOffKind;

use super::super::arrange::marks::marks_of_ui;
use super::super::widgets::{choice, quiet, tick};
use crate::action::Action;
use crate::intake::{Intake, IntakeAction};
use crate::marks::MarkKind;
use crate::session::Session;
use crate::words::capital;

pub(super) fn marks_ui(ui: &mut Ui, session: &Session, intake: &Intake, actions: &mut Vec<Action>) {
    let Some(hull) = intake.hull() else {
        return;
    };
    ui.add(
        Label::new(
            "What is there? Choose it, then press the hull in the picture. All of this can be left for later.",
        )
        .wrap(),
    );
    let now = intake.tool();
    ui.horizontal_wrapped(|ui| {
        let zones = KeepOffKind::ALL.map(|kind| (MarkKind::KeepOff(kind), capital(kind.words())));
        let lines = [
            (MarkKind::Strong, "Bulkhead or frame".to_owned()),
            (MarkKind::Lifting, "Sling".to_owned()),
        ];
        for (what, words) in zones.into_iter().chain(lines) {
            if choice(ui, now.what == what, &words).clicked() {
                let tool = crate::intake::MarkTool { what, ..now };
                actions.push(Action::Intake(IntakeAction::Tool(tool)));
            }
        }
    });
    if matches!(now.what, MarkKind::KeepOff(_)) {
        let both = tick(ui, now.both_sides, "The same on the other side");
        actions.extend(both.map(|both_sides| {
            let tool = crate::intake::MarkTool { both_sides, ..now };
            Action::Intake(IntakeAction::Tool(tool))
        }));
    }
    quiet(
        ui,
        "Figures count from the hull\u{2019}s origin, the aft end of its keel line.",
    );
    let units = session.view().units;
    marks_of_ui(ui, hull, &intake.draft().marks, units, actions);
}

//! The pads: raised, run out, stowed. They steady the hull; they carry nothing.

use egui::Ui;
use keelstead_load::load::Reach;
use keelstead_load::rig::PadMount;
use keelstead_units::quantity::Quantity;
use keelstead_units::write;

use super::super::field::Field;
use super::super::widgets::{card, choice, fact, quiet, strong};
use super::Bench;
use crate::action::Action;
use crate::words::{self, capital};

pub(super) fn pads_ui(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    if bench.rig.pads.is_empty() {
        quiet(ui, "This rig has no pads.");
    }
    for (at, mount) in bench.rig.pads.iter().enumerate() {
        ui.push_id(("pad", at), |ui| {
            card(ui, |ui| pad_ui(ui, bench, at, mount, actions));
        });
    }
}

fn pad_ui(ui: &mut Ui, bench: &Bench, at: usize, mount: &PadMount, actions: &mut Vec<Action>) {
    let found = bench.findings.pads.get(at);
    strong(ui, capital(&mount.name));
    if let Some(pad) = found {
        quiet(ui, capital(words::pad(pad)));
    }
    let setting = bench.load.pads.iter().find(|pad| pad.pad == mount.name);
    let mut set = |reach: Option<Reach>| {
        actions.push(Action::PadReach {
            pad: mount.name.clone(),
            reach,
        });
        actions.push(Action::Settle);
    };
    let reach = setting.map(|setting| setting.reach);
    ui.horizontal_wrapped(|ui| {
        if choice(ui, reach.is_none(), "Stowed").clicked() {
            set(None);
        }
        let touching = reach == Some(Reach::UntilTouching);
        if choice(ui, touching, "Until it touches").clicked() {
            set(Some(Reach::UntilTouching));
        }
        let by_hand = matches!(reach, Some(Reach::SetM(_)));
        if choice(ui, by_hand, "By hand").clicked() && !by_hand {
            let now_m = found.map_or(mount.reach_m.min, |pad| pad.reach_m);
            set(Some(Reach::SetM(mount.reach_m.nearest(now_m))));
        }
    });
    let Some(setting) = setting else {
        return;
    };
    let elevation = Quantity::angle(setting.elevation_rad);
    Field::new("Arm above level", elevation)
        .slide(mount.elevation_rad)
        .ui(ui, "elevation", bench.units, actions, |elevation_rad| {
            Action::PadElevation {
                pad: mount.name.clone(),
                elevation_rad,
            }
        });
    if let Reach::SetM(reach_m) = setting.reach {
        Field::new("Run out to", Quantity::length(reach_m))
            .slide(mount.reach_m)
            .ui(ui, "reach", bench.units, actions, |reach_m| {
                Action::PadReach {
                    pad: mount.name.clone(),
                    reach: Some(Reach::SetM(reach_m)),
                }
            });
    } else if let Some(pad) = found {
        fact(
            ui,
            "Run out to",
            &write(Quantity::length(pad.reach_m), bench.units),
        );
    }
    if let Some(angle_rad) = found.and_then(|pad| pad.face_angle_rad) {
        fact(
            ui,
            "Face to hull",
            &write(Quantity::angle(angle_rad), bench.units),
        );
    }
}

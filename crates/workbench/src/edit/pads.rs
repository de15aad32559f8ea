//! Pads: raised, run out, stowed.

use keelstead_load::load::{Load, PadSetting, Reach};
use keelstead_load::rig::Rig;

use super::{Refusal, finite};
use crate::action::Action;

pub(super) fn edit(action: &Action, rig: &Rig, load: &mut Load) -> Result<(), Refusal> {
    match action {
        Action::PadElevation { pad, elevation_rad } => {
            setting_of(pad, rig, load)?.elevation_rad = finite(*elevation_rad)?;
        }
        Action::PadReach { pad, reach: None } => load.pads.retain(|old| old.pad != *pad),
        Action::PadReach {
            pad,
            reach: Some(reach),
        } => {
            if let Reach::SetM(reach_m) = reach {
                finite(*reach_m)?;
            }
            setting_of(pad, rig, load)?.reach = *reach;
        }
        _ => {}
    }
    Ok(())
}

/// The setting of a pad; a stowed pad is taken into use, its arm halfway up, out until it touches.
fn setting_of<'l>(
    name: &str,
    rig: &Rig,
    load: &'l mut Load,
) -> Result<&'l mut PadSetting, Refusal> {
    let no_pad = || Refusal::NoPad(name.to_owned());
    if !load.pads.iter().any(|pad| pad.pad == name) {
        let mount = rig.pads.iter().find(|pad| pad.name == name);
        let elevation = mount.ok_or_else(no_pad)?.elevation_rad;
        load.pads.push(PadSetting {
            pad: name.to_owned(),
            elevation_rad: (elevation.min + elevation.max) / 2.0,
            reach: Reach::UntilTouching,
        });
    }
    let mut settings = load.pads.iter_mut();
    settings.find(|pad| pad.pad == name).ok_or_else(no_pad)
}

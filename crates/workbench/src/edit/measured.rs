//! What was measured after set-down, and what of it no longer holds after an edit.

use keelstead::findings::Findings;
use keelstead_load::load::{Load, Measured};

use super::Refusal;
use crate::action::Action;

/// Said where an edit took away what was measured.
pub(crate) const STALE: &str =
    "What was measured after set-down no longer holds and was taken away. Undo brings it back.";

pub(super) fn edit(action: &Action, load: &mut Load) -> Result<(), Refusal> {
    match action {
        Action::AddMeasured(measured) => {
            sensible(measured)?;
            load.measured.push(measured.clone());
        }
        Action::SetMeasured { at, measured } => {
            sensible(measured)?;
            let slot = load.measured.get_mut(*at);
            *slot.ok_or(Refusal::NothingMeasured(at.saturating_add(1)))? = measured.clone();
        }
        Action::RemoveMeasured(at) => {
            if *at >= load.measured.len() {
                return Err(Refusal::NothingMeasured(at.saturating_add(1)));
            }
            load.measured.remove(*at);
        }
        Action::SeenBearing { seat, bears } => {
            let seen = bears.map(|bears| Measured::Bears { seat: *seat, bears });
            if let Some(seen) = &seen {
                sensible(seen)?;
            }
            load.measured.retain(|measured| match measured {
                Measured::Bears { seat: of, .. } => !of.is_same(*seat),
                _ => true,
            });
            load.measured.extend(seen);
        }
        _ => {}
    }
    Ok(())
}

fn sensible(measured: &Measured) -> Result<(), Refusal> {
    let problems = measured.validate().err().unwrap_or_default();
    match problems.into_iter().next() {
        Some(problem) => Err(Refusal::WrongMeasurement(problem)),
        None => Ok(()),
    }
}

/// Takes away what was measured of her as she stood before an edit, and says whether anything was. `findings` are those of
/// `before`.
///
/// All goes where she may stand otherwise now: another place, stack or suspension height, another weight on board. Where
/// only pads were set, gaps of pads go.
pub(crate) fn drop_stale(before: &Load, load: &mut Load, findings: &Findings) -> bool {
    let had = load.measured.len();
    if had == 0 {
        return false;
    }
    if stands_on(before) != stands_on(load) {
        load.measured.clear();
    } else if before.pads != load.pads {
        let of_pad = |name: &str| {
            let mut parts = findings.rig_parts.iter();
            parts.any(|part| part.pad.is_some() && part.name == name)
        };
        load.measured.retain(|measured| match measured {
            Measured::Gap { rig_part, .. } => !of_pad(rig_part),
            _ => true,
        });
    }
    load.measured.len() < had
}

/// A load with only what decides where she comes to stand.
fn stands_on(load: &Load) -> Load {
    let mut load = load.clone();
    load.stand.wanted = None;
    for beam in &mut load.beams {
        beam.wanted_share = None;
    }
    load.pads.clear();
    load.measured.clear();
    load.required = keelstead_load::load::Required::default();
    load
}

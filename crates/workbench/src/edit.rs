//! What an action makes of a job.

mod beams;
mod blocks;
mod made;
mod measured;
mod pads;
mod refusal;
mod shims;
mod stock;
mod weights;

use keelstead::findings::Findings;
use keelstead_files::job::Job;
use keelstead_load::load::{Load, PlacedBeam};
use keelstead_load::rig::Rig;

use crate::action::Action;
pub(crate) use made::{Made, stance_now};
pub(crate) use measured::{STALE, drop_stale};
pub use refusal::Refusal;
pub use stock::{beams_left, blocks_left, pocket_is_free};

/// A job after an edit.
#[derive(Debug)]
pub(crate) struct Edited {
    pub job: Job,
    /// Stacks the engine made.
    pub made: Vec<Made>,
    /// Whether something that was measured no longer holds and was taken away.
    pub stale: bool,
}

/// Does `action` to `job`.
pub(crate) fn apply(
    action: &Action,
    rig: &Rig,
    job: &Job,
    findings: &Findings,
) -> Result<Edited, Refusal> {
    let before = &job.load;
    let mut job = job.clone();
    let load = &mut job.load;
    let mut made = Vec::new();
    match action {
        Action::Name(name) => job.name = named(name)?,
        Action::Note(note) => note.trim().clone_into(&mut job.note),
        Action::HullForward(x_m) => load.stand.x_m = finite(*x_m)?,
        Action::HullLeft(y_m) => load.stand.y_m = finite(*y_m)?,
        Action::HullYaw(yaw_rad) => load.stand.yaw_rad = finite(*yaw_rad)?,
        Action::HullHeel(heel_rad) => load.stand.heel_rad = finite(*heel_rad)?,
        Action::Want(stance) => {
            if let Some(stance) = stance {
                finite(stance.keel_over_rail_m)?;
                finite(stance.trim_rad)?;
            }
            load.stand.wanted = *stance;
        }
        Action::MakeStack(beam) => {
            beam_at(load, *beam)?;
            made = made::make(rig, load, findings, Some(*beam))?;
        }
        Action::MakeAllStacks => made = made::make(rig, load, findings, None)?,
        Action::ShimAsAdvised => shims::as_advised(load, findings)?,
        Action::WantShare { beam, share } => {
            let share = share.map(finite).transpose()?;
            beam_at(load, *beam)?.wanted_share = share;
        }
        Action::RailTop(rail_top_m) => load.rail_top_m = finite(*rail_top_m)?,
        Action::Require(required) => load.required = **required,
        Action::PadElevation { .. } | Action::PadReach { .. } => pads::edit(action, rig, load)?,
        Action::AddWeight(_) | Action::SetWeight { .. } | Action::RemoveWeight(_) => {
            weights::edit(action, load)?;
        }
        Action::AddMeasured(_)
        | Action::SetMeasured { .. }
        | Action::RemoveMeasured(_)
        | Action::SeenBearing { .. } => measured::edit(action, load)?,
        Action::AddBeam { .. }
        | Action::RemoveBeam(_)
        | Action::SeatBeam { .. }
        | Action::SwapBeam { .. } => beams::edit(action, rig, load)?,
        _ => blocks::edit(action, rig, load)?,
    }
    let stale = drop_stale(before, &mut job.load, findings);
    Ok(Edited { job, made, stale })
}

/// A job's name as it is kept.
pub(crate) fn named(name: &str) -> Result<String, Refusal> {
    let name = name.trim();
    if name.is_empty() {
        return Err(Refusal::NoName);
    }
    Ok(name.to_owned())
}

fn finite(value: f64) -> Result<f64, Refusal> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(Refusal::NotANumber)
    }
}

fn beam_at(load: &mut Load, at: usize) -> Result<&mut PlacedBeam, Refusal> {
    let count = load.beams.len();
    let number = at.saturating_add(1);
    let beam = load.beams.get_mut(at);
    beam.ok_or(Refusal::NoBeam { number, count })
}

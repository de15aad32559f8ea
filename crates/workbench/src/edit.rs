//! What an action makes of a job.

use keelstead::findings::Findings;
use keelstead::load::{Load, PadSetting, PlacedBeam, PlacedBlock, Reach, Seat};
use keelstead::rig::{BlockStock, Rig};
use keelstead_files::job::Job;

use crate::action::Action;
use crate::stacks::{self, Made};

/// Why an edit was refused; nothing has changed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// The load has no such beam.
    #[error("there is no beam {number} in this arrangement; it has {count}")]
    NoBeam {
        /// Asked for, counted from 1.
        number: usize,
        /// How many there are.
        count: usize,
    },
    /// The stack has no such block.
    #[error("there is no block {number} on that beam; its stack has {count}")]
    NoBlock {
        /// Asked for, counted from 1 at the bottom.
        number: usize,
        /// How many there are.
        count: usize,
    },
    /// The stock does not have it, or not so many.
    #[error(
        "no {what} \u{201c}{name}\u{201d} is left: the rig has {has}, all in use. Take one out elsewhere, or choose another"
    )]
    NoneLeft {
        /// Beam or block.
        what: &'static str,
        /// Its name.
        name: String,
        /// How many the rig has.
        has: usize,
    },
    /// The rig has no such pocket.
    #[error("there is no pocket {number}: the rails have {count}, counted from the front")]
    NoPocket {
        /// Asked for.
        number: usize,
        /// How many there are.
        count: usize,
    },
    /// Another beam is in the pocket.
    #[error("pocket {0} already holds a beam; take that one out first, or choose another pocket")]
    PocketTaken(usize),
    /// The rig has no such pad.
    #[error("the rig has no pad called \u{201c}{0}\u{201d}")]
    NoPad(String),
    /// There is no such weight.
    #[error("there is no weight {0} on board")]
    NoWeight(usize),
    /// The job would have no name.
    #[error("a job needs a name: say which boat, and where to")]
    NoName,
    /// Not a number.
    #[error("that is not a number; enter a figure such as 1.25 m or 4' 1\"")]
    NotANumber,
    /// No stance is wanted, so no stack can be made for it.
    #[error("ask for a stance first: how high the keel shall stand over the rails")]
    NoStance,
    /// The hull does not reach over the beam at the wanted stance.
    #[error(
        "the hull does not reach over beam {number}, so no stack can be made there: move the beam or the hull"
    )]
    NothingAbove {
        /// Which beam, counted from 1.
        number: usize,
    },
}

/// A job after an edit.
#[derive(Debug)]
pub(crate) struct Edited {
    pub job: Job,
    /// Stacks the engine made.
    pub made: Vec<Made>,
}

/// How many blocks of a kind are not in any stack.
pub fn blocks_left(stock: &BlockStock, load: &Load) -> usize {
    let used = load
        .beams
        .iter()
        .flat_map(|beam| &beam.stack)
        .filter(|block| block.block == stock.name)
        .count();
    stock.count.saturating_sub(used)
}

/// How many beams of a kind are not in place.
pub fn beams_left(name: &str, rig: &Rig, load: &Load) -> usize {
    let has = count_of_beams(name, rig);
    let used = load.beams.iter().filter(|beam| beam.beam == name).count();
    has.saturating_sub(used)
}

/// Whether no beam lies in a pocket, `except` left out.
pub fn pocket_is_free(load: &Load, number: usize, except: Option<usize>) -> bool {
    load.beams
        .iter()
        .enumerate()
        .all(|(at, beam)| Some(at) == except || beam.seat != Seat::Pocket(number))
}

fn count_of_beams(name: &str, rig: &Rig) -> usize {
    let of_kind = rig.beams.iter().filter(|stock| stock.name == name);
    of_kind.map(|stock| stock.count).sum()
}

/// Does `action` to `job`.
pub(crate) fn apply(
    action: &Action,
    rig: &Rig,
    job: &Job,
    findings: &Findings,
) -> Result<Edited, Refusal> {
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
            made = stacks::make(rig, load, findings, Some(*beam))?;
        }
        Action::MakeAllStacks => made = stacks::make(rig, load, findings, None)?,
        Action::RailTop(rail_top_m) => load.rail_top_m = finite(*rail_top_m)?,
        Action::Require(required) => load.required = *required,
        Action::PadElevation { .. } | Action::PadReach { .. } => pad(action, rig, load)?,
        Action::AddWeight(_) | Action::SetWeight { .. } | Action::RemoveWeight(_) => {
            weight(action, load)?;
        }
        Action::AddBeam { .. }
        | Action::RemoveBeam(_)
        | Action::SeatBeam { .. }
        | Action::SwapBeam { .. } => beam(action, rig, load)?,
        _ => stack(action, rig, load)?,
    }
    Ok(Edited { job, made })
}

fn beam(action: &Action, rig: &Rig, load: &mut Load) -> Result<(), Refusal> {
    match action {
        Action::AddBeam { beam, seat } => {
            take_beam(beam, rig, load)?;
            seat_is_free(*seat, None, rig, load)?;
            load.beams.push(PlacedBeam {
                beam: beam.clone(),
                seat: *seat,
                stack: Vec::new(),
                stack_y_m: 0.0,
                shim_m: 0.0,
                wedge_rad: 0.0,
            });
        }
        Action::RemoveBeam(at) => {
            beam_at(load, *at)?;
            load.beams.remove(*at);
        }
        Action::SeatBeam { beam, seat } => {
            beam_at(load, *beam)?;
            seat_is_free(*seat, Some(*beam), rig, load)?;
            beam_at(load, *beam)?.seat = *seat;
        }
        Action::SwapBeam { beam, stock } => {
            if beam_at(load, *beam)?.beam == *stock {
                return Ok(());
            }
            take_beam(stock, rig, load)?;
            beam_at(load, *beam)?.beam.clone_from(stock);
        }
        _ => {}
    }
    Ok(())
}

fn stack(action: &Action, rig: &Rig, load: &mut Load) -> Result<(), Refusal> {
    match action {
        Action::AddBlock { beam, block, lie } => {
            beam_at(load, *beam)?;
            take_blocks(block, 1, rig, load)?;
            beam_at(load, *beam)?.stack.push(PlacedBlock {
                block: block.clone(),
                lie: *lie,
            });
        }
        Action::RemoveBlock { beam, at } => {
            let stack = &mut beam_at(load, *beam)?.stack;
            block_at(stack, *at)?;
            stack.remove(*at);
        }
        Action::MoveBlock { beam, from, to } => {
            let stack = &mut beam_at(load, *beam)?.stack;
            block_at(stack, *from)?;
            block_at(stack, *to)?;
            let block = stack.remove(*from);
            stack.insert(*to, block);
        }
        Action::LayBlock { beam, at, lie } => {
            block_at(&mut beam_at(load, *beam)?.stack, *at)?.lie = *lie;
        }
        Action::SetStack {
            beam,
            stack,
            shim_m,
        } => {
            finite(*shim_m)?;
            beam_at(load, *beam)?.stack.clear();
            for block in stack {
                take_blocks(&block.block, 1, rig, load)?;
                beam_at(load, *beam)?.stack.push(block.clone());
            }
            beam_at(load, *beam)?.shim_m = *shim_m;
        }
        Action::Shim { beam, shim_m } => beam_at(load, *beam)?.shim_m = finite(*shim_m)?,
        Action::Wedge { beam, wedge_rad } => {
            beam_at(load, *beam)?.wedge_rad = finite(*wedge_rad)?;
        }
        Action::StackLeft { beam, y_m } => beam_at(load, *beam)?.stack_y_m = finite(*y_m)?,
        _ => {}
    }
    Ok(())
}

fn pad(action: &Action, rig: &Rig, load: &mut Load) -> Result<(), Refusal> {
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

fn weight(action: &Action, load: &mut Load) -> Result<(), Refusal> {
    match action {
        Action::AddWeight(weight) => {
            finite(weight.mass_kg)?;
            load.extra_weights.push(weight.clone());
        }
        Action::SetWeight { at, weight } => {
            finite(weight.mass_kg)?;
            let slot = load.extra_weights.get_mut(*at);
            *slot.ok_or(Refusal::NoWeight(at + 1))? = weight.clone();
        }
        Action::RemoveWeight(at) => {
            if *at >= load.extra_weights.len() {
                return Err(Refusal::NoWeight(at + 1));
            }
            load.extra_weights.remove(*at);
        }
        _ => {}
    }
    Ok(())
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

fn block_at(stack: &mut [PlacedBlock], at: usize) -> Result<&mut PlacedBlock, Refusal> {
    let count = stack.len();
    let number = at.saturating_add(1);
    stack.get_mut(at).ok_or(Refusal::NoBlock { number, count })
}

fn seat_is_free(seat: Seat, except: Option<usize>, rig: &Rig, load: &Load) -> Result<(), Refusal> {
    let number = match seat {
        Seat::OnRailsXM(x_m) => return finite(x_m).map(|_| ()),
        Seat::Pocket(number) => number,
    };
    let count = rig.rails.pockets.len();
    if number == 0 || number > count {
        return Err(Refusal::NoPocket { number, count });
    }
    if pocket_is_free(load, number, except) {
        Ok(())
    } else {
        Err(Refusal::PocketTaken(number))
    }
}

fn take_beam(name: &str, rig: &Rig, load: &Load) -> Result<(), Refusal> {
    if beams_left(name, rig, load) > 0 {
        return Ok(());
    }
    Err(Refusal::NoneLeft {
        what: "beam",
        name: name.to_owned(),
        has: count_of_beams(name, rig),
    })
}

fn take_blocks(name: &str, wanted: usize, rig: &Rig, load: &Load) -> Result<(), Refusal> {
    let stock = rig.blocks.iter().find(|stock| stock.name == name);
    if stock.is_some_and(|stock| blocks_left(stock, load) >= wanted) {
        return Ok(());
    }
    Err(Refusal::NoneLeft {
        what: "block",
        name: name.to_owned(),
        has: stock.map_or(0, |stock| stock.count),
    })
}

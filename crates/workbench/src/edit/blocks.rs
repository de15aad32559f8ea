//! Stacks: their blocks, shims and wedges.

use keelstead_load::load::{Load, PlacedBlock};
use keelstead_load::rig::Rig;

use super::stock::take_blocks;
use super::{Refusal, beam_at, finite};
use crate::action::Action;

pub(super) fn edit(action: &Action, rig: &Rig, load: &mut Load) -> Result<(), Refusal> {
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
        Action::SoftPacking {
            beam,
            stiffness_n_per_m,
        } => {
            let stiffness = stiffness_n_per_m.map(finite).transpose()?;
            beam_at(load, *beam)?.soft_packing_n_per_m = stiffness;
        }
        Action::StackLeft { beam, y_m } => beam_at(load, *beam)?.stack_y_m = finite(*y_m)?,
        _ => {}
    }
    Ok(())
}

fn block_at(stack: &mut [PlacedBlock], at: usize) -> Result<&mut PlacedBlock, Refusal> {
    let count = stack.len();
    let number = at.saturating_add(1);
    stack.get_mut(at).ok_or(Refusal::NoBlock { number, count })
}

//! What of the rig's beams, blocks and pockets is still free.

use keelstead_load::load::{Load, Seat};
use keelstead_load::rig::{BlockStock, Rig};

use super::Refusal;

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

pub(super) fn take_beam(name: &str, rig: &Rig, load: &Load) -> Result<(), Refusal> {
    if beams_left(name, rig, load) > 0 {
        return Ok(());
    }
    Err(Refusal::NoneLeft {
        what: "beam",
        name: name.to_owned(),
        has: count_of_beams(name, rig),
    })
}

pub(super) fn take_blocks(
    name: &str,
    wanted: usize,
    rig: &Rig,
    load: &Load,
) -> Result<(), Refusal> {
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

//! Beams: laid, moved, changed for others, taken out.

use keelstead_load::load::{Load, PlacedBeam, Seat};
use keelstead_load::rig::Rig;

use super::stock::{pocket_is_free, take_beam};
use super::{Refusal, beam_at, finite};
use crate::action::Action;

pub(super) fn edit(action: &Action, rig: &Rig, load: &mut Load) -> Result<(), Refusal> {
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
                wanted_share: None,
                soft_packing_n_per_m: None,
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

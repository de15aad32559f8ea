//! Weights on board.

use keelstead_load::load::Load;

use super::{Refusal, finite};
use crate::action::Action;

pub(super) fn edit(action: &Action, load: &mut Load) -> Result<(), Refusal> {
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

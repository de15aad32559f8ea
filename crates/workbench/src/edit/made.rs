//! Stacks made from the stock by the engine, so that a wanted stance is met as nearly as can be.

use keelstead::findings::Findings;
use keelstead_load::load::{Load, TargetAttitude};
use keelstead_load::rig::Rig;
use keelstead_load::rig_parts::trailer_from_frame;
use keelstead_load::setdown::stack::{blocks_left, nearest};

use super::Refusal;

/// Makes the stack of one beam, or of all, as the wanted stance needs; says what the stock could
/// not do. `findings` are those of `load`: each support's needed height is in them.
pub(crate) fn make(
    rig: &Rig,
    load: &mut Load,
    findings: &Findings,
    only: Option<usize>,
) -> Result<Vec<Made>, Refusal> {
    if load.stand.wanted.is_none() {
        return Err(Refusal::NoStance);
    }
    let which: Vec<usize> = match only {
        Some(beam) => vec![beam],
        None => (0..load.beams.len()).collect(),
    };
    // All at once share the stock anew: what one no longer needs another can have.
    for at in &which {
        if let Some(beam) = load.beams.get_mut(*at) {
            beam.stack.clear();
            beam.shim_m = 0.0;
        }
    }
    let mut made = Vec::new();
    for at in which {
        let support = findings.supports.iter().find(|s| s.beam == at);
        let needed_m = support.and_then(|support| support.needed_height_m);
        let Some(needed_m) = needed_m else {
            return Err(Refusal::NothingAbove { number: at + 1 });
        };
        let slenderness = load.required.strength.stack_slenderness;
        let stack = nearest(rig, &blocks_left(rig, load, at), needed_m, slenderness);
        if let Some(beam) = load.beams.get_mut(at) {
            beam.stack = stack.blocks;
            beam.shim_m = stack.shim_m;
        }
        made.push(Made {
            name: support.map_or_else(String::new, |support| support.name.clone()),
            needed_m,
            over_m: stack.over_m,
        });
    }
    Ok(made)
}

/// A stack made, and how near it came.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Made {
    /// The beam, as a reader would call it.
    pub name: String,
    /// Height the stance needs, m.
    pub needed_m: f64,
    /// How much higher the stack is than needed, m: negative if lower.
    pub over_m: f64,
}

/// The stance the hull has come to rest in, relative to the rails.
pub(crate) fn stance_now(rig: &Rig, load: &Load, findings: &Findings) -> TargetAttitude {
    let trailer_from_hull = findings.trailer_from_hull.pose();
    let frame_from_hull = trailer_from_frame(rig, load.rail_top_m).inverse() * trailer_from_hull;
    let forward = frame_from_hull.rotation * keelstead_geometry::math::Vec3::X;
    TargetAttitude {
        keel_over_rail_m: frame_from_hull.translation.z,
        trim_rad: forward.z.clamp(-1.0, 1.0).asin(),
    }
}

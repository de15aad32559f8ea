//! The loads as they are drawn: arrows at a fixed scale of the boat's weight, and which part of the
//! rig is used how hard.

use keelstead::findings::Findings;
use keelstead_geometry::math::Vec3;
use keelstead_load::rig_parts::RigPartKind;
use keelstead_statics::carrying::{Force, Member, Utilisation};
use keelstead_units::verdict::Verdict;

/// Length of the arrow that the whole boat's weight would have, m. Loads of one boat are held
/// against each other, so its weight sets the scale.
pub const WHOLE_WEIGHT_M: f64 = 4.0;

/// What an arrow stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pushes {
    /// The support of this index carries, at rest.
    Support(usize),
    /// The pad of this index in `Steadying::pads` steadies, with the most that is asked of it.
    Pad(usize),
}

/// A force on the hull as an arrow. Trailer frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arrow {
    /// What pushes.
    pub pushes: Pushes,
    /// Where it acts: its tail, so that it stands clear of what pushes.
    pub from: Vec3,
    /// Its head.
    pub to: Vec3,
}

/// An arrow at each support that carries and each pad that something presses.
pub fn arrows(findings: &Findings) -> Vec<Arrow> {
    let Some(carrying) = &findings.carrying else {
        return Vec::new();
    };
    let arrow = |pushes: Pushes, force: &Force| {
        let along = Vec3::new(force.x_n, force.y_n, force.z_n) / carrying.weight_n * WHOLE_WEIGHT_M;
        let from = force.at.vec();
        let drawn = along.is_finite() && along.length() > 0.0;
        drawn.then_some(Arrow {
            pushes,
            from,
            to: from + along,
        })
    };
    let supports = carrying.supports.iter().enumerate();
    let supports = supports.filter_map(|(i, one)| arrow(Pushes::Support(i), &one.force));
    let pads = findings.steadying.iter().flat_map(|s| &s.pads).enumerate();
    let pads = pads.filter_map(|(i, one)| arrow(Pushes::Pad(i), &one.force));
    supports.chain(pads).collect()
}

/// The check that governs each part of the rig, in the order of `Findings::rig_parts`; none for
/// parts that are no beam or block, or that nothing is known to load.
pub fn uses_of_parts(findings: &Findings) -> Vec<Option<&Utilisation>> {
    let supports = findings.carrying.as_ref().map(|c| &c.supports);
    let mut blocks = vec![0_usize; findings.supports.len()];
    let used = |part: &keelstead_load::rig_parts::RigPart, blocks: &mut Vec<usize>| {
        let beam = part.beam?;
        let member = match part.kind {
            RigPartKind::Beam => Member::Beam,
            RigPartKind::Block => {
                let count = blocks.get_mut(beam)?;
                *count += 1;
                Member::Block(*count - 1)
            }
            _ => return None,
        };
        supports?.get(beam)?.governing(member)
    };
    let parts = findings.rig_parts.iter();
    parts.map(|part| used(part, &mut blocks)).collect()
}

/// The verdict on what a pad must hold: that of its finding.
pub fn pad_verdict(findings: &Findings, pad: usize) -> Verdict {
    let name = findings.pads.get(pad).map(|pad| &pad.name);
    let finding = name.and_then(|name| findings.finding(&format!("steady:pad:{name}")));
    finding.map_or(Verdict::Unknown, |finding| finding.verdict)
}

//! Parts of the rig against each other: what lies, stands or turns where something else already is.
//!
//! Beams and stacks as the load lays them, pads and arms as it sets them, against each other and against what is
//! bolted to the frame; wheels, which stay where they are, also with the suspension right down. What the maker bolted
//! together may be drawn one in the other, and is no finding; wheels inside rails or in each other are, once.

use keelstead_geometry::math::BoundingVolume;

use crate::check::{Worked, touches};
use crate::findings::Finding;
use keelstead_geometry::math::{Aabb, Pose};
use keelstead_load::load::Seat;
use keelstead_load::pads::PadState;
use keelstead_load::rig_parts::{RigPart, RigPartKind};
use keelstead_load::rig_parts::{is_post, trailer_from_frame};
use keelstead_units::verdict::Verdict;

mod told;

use keelstead_geometry::solid::{Meeting, Solid};

/// Less than this is the rounding of the figures that people enter, m.
const ROUNDING_M: f64 = 0.0005;

/// A way that rises this much, as a sine, is up: one thing lies on the other.
const UPWARDS: f64 = 0.9;

/// So far from its pivot an arm may be drawn in what it is fastened to, m. Assumed default.
const FASTENED_M: f64 = 0.15;

/// What must hold of two parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Rule {
    /// They may lie against each other, never in each other: timber laid by hand.
    Beside,
    /// The second may lie on the first; beside and below it must keep away.
    On,
    /// They must not touch.
    Apart,
    /// Both are as the maker has them, and cannot be in each other.
    Built,
    /// As the maker has them, the second over the first: a box around a wheel is how a mudguard is often described, but none
    /// ends below the top of its tyre.
    Over,
}

/// What a part belongs to: parts of one owner are stacked on or fastened to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Owner {
    /// A beam of the load with its stack, by index.
    Beam(usize),
    /// A pad of the rig with its arm and post, by index.
    Pad(usize),
    /// A part of the rig, by index of the first of its name.
    Fixed(usize),
}

/// Two parts that are too near.
struct Met {
    owners: [Owner; 2],
    /// Indices of the parts, in the order of their owners.
    parts: [usize; 2],
    rule: Rule,
    meeting: Meeting,
    /// Whether that is with the suspension right down.
    low: bool,
    tolerance_m: f64,
    verdict: Verdict,
}

/// A finding for each two things of which parts overlap or are nearer than the figures are known to; the worst parts
/// of the two name it.
pub(super) fn findings(worked: &Worked) -> Vec<Finding> {
    let search = Search::new(worked);
    let mut list: Vec<Met> = Vec::new();
    let mut built: Vec<Met> = Vec::new();
    for met in search
        .near()
        .into_iter()
        .filter_map(|pair| search.pair(pair))
    {
        if matches!(met.rule, Rule::Built | Rule::Over) {
            built.push(met);
            continue;
        }
        match list.iter_mut().find(|other| other.owners == met.owners) {
            Some(other) if worse(&met, other) => *other = met,
            Some(_) => {}
            None => list.push(met),
        }
    }
    list.sort_by_key(|met| met.owners);
    let findings = list.iter().map(|met| told::finding(worked, met));
    findings.chain(told::as_built(worked, &built)).collect()
}

/// By verdict first: what could not be computed is no number.
fn worse(met: &Met, other: &Met) -> bool {
    met.verdict
        .cmp(&other.verdict)
        .then(met.meeting.gap_m.total_cmp(&other.meeting.gap_m))
        .is_lt()
}

/// All parts as they stand, and as they stand with the suspension right down.
struct Search<'a> {
    worked: &'a Worked<'a>,
    /// The most that any part may be off, m.
    within_m: f64,
    solids: Vec<Option<Solid>>,
    /// The same come down with the frame.
    down: Vec<Option<Solid>>,
}

impl<'a> Search<'a> {
    fn new(worked: &'a Worked<'a>) -> Self {
        let lowest_m = worked.rig.suspension.rail_top_m.min;
        let lowest = trailer_from_frame(worked.rig, lowest_m.min(worked.load.rail_top_m));
        let down_from_rest = lowest * worked.trailer_from_frame.inverse();
        let solids = |moved: &Pose| {
            let of = |part: &RigPart| {
                let by = if stays(part.kind) {
                    Pose::identity()
                } else {
                    *moved
                };
                part.solid(&by)
            };
            worked.parts.iter().map(of).collect()
        };
        let touching = worked.pads.iter().filter_map(|p| p.pad.contact);
        let off = touching.map(|contact| worked.off_m(contact.vec()));
        Self {
            worked,
            within_m: off.fold(worked.rig.tolerance_m, f64::max),
            solids: solids(&Pose::identity()),
            down: solids(&down_from_rest),
        }
    }

    /// Pairs of parts that boxes around them, at rest and come down, do not prove to be apart: swept from aft forward,
    /// they rule out nearly all.
    fn near(&self) -> Vec<[usize; 2]> {
        let within_m = self.within_m;
        let both = self.solids.iter().zip(&self.down).enumerate();
        let mut boxes: Vec<(usize, Aabb)> = both
            .filter_map(|(i, (rest, down))| {
                let bounds = rest.as_ref()?.bounds().merged(&down.as_ref()?.bounds());
                Some((i, bounds.loosened(within_m / 2.0)))
            })
            .collect();
        boxes.sort_by(|a, b| a.1.mins.x.total_cmp(&b.1.mins.x));
        let mut pairs = Vec::new();
        for (n, (i, a)) in boxes.iter().enumerate() {
            let ahead = boxes[n + 1..].iter();
            let meets = ahead.take_while(|(_, b)| b.mins.x <= a.maxs.x);
            let found = meets.filter(|(_, b)| a.intersects(b));
            pairs.extend(found.map(|(j, _)| [*i.min(j), *i.max(j)]));
        }
        pairs
    }

    /// The two parts, if they may not be as near as they are.
    fn pair(&self, [first, second]: [usize; 2]) -> Option<Met> {
        let parts = &self.worked.parts;
        // Kinds in their own order: each pair of kinds stands once in `rule`.
        let [a, b] = match parts[first].kind <= parts[second].kind {
            true => [first, second],
            false => [second, first],
        };
        let rule = rule(self.worked, &parts[a], &parts[b])?;
        let tolerance_m = self.tolerance_m(a).max(self.tolerance_m(b));
        let within_m = match rule {
            Rule::On | Rule::Apart => tolerance_m,
            Rule::Beside | Rule::Built | Rule::Over => 0.0,
        };
        let meet = |solids: &[Option<Solid>]| {
            let (a_solid, b_solid) = (solids[a].as_ref()?, solids[b].as_ref()?);
            let covered = || {
                // At the tyre's crown, or as near to it as the mudguard reaches: the frame tilts as it comes down.
                let reaches = b_solid.bounds();
                let crown_x_m = a_solid.bounds().center().x;
                let x_m = crown_x_m.clamp(reaches.mins.x, reaches.maxs.x);
                b_solid.top_m(x_m) >= a_solid.top_m(x_m) - tolerance_m
            };
            if rule == Rule::Over && covered() {
                return None;
            }
            if (parts[a].kind, parts[b].kind) == (RigPartKind::Member, RigPartKind::PadArm) {
                return a_solid.meet(&b_solid.without_foot(FASTENED_M)?, within_m);
            }
            a_solid.meet(b_solid, within_m)
        };
        let rest = meet(&self.solids);
        let low = match stays(parts[a].kind) != stays(parts[b].kind) {
            true => meet(&self.down),
            false => None,
        };
        // To a micrometre: where coming down changes nothing, rounding must not say that it does.
        let deeper = |low: &Meeting, rest: &Meeting| low.gap_m < rest.gap_m - 1e-6;
        let (meeting, low) = match (rest, low) {
            (Some(rest), Some(low)) if deeper(&low, &rest) => (low, true),
            (Some(rest), _) => (rest, false),
            (None, low) => (low?, true),
        };
        let verdict = verdict(rule, &meeting, tolerance_m)?;
        let mut ordered = [(self.owner(a), a), (self.owner(b), b)];
        ordered.sort();
        Some(Met {
            owners: ordered.map(|o| o.0),
            parts: ordered.map(|o| o.1),
            rule,
            meeting,
            low,
            tolerance_m,
            verdict,
        })
    }

    /// How far a part may be off where it is drawn, m: a pad that touches the hull follows it.
    fn tolerance_m(&self, part: usize) -> f64 {
        let part = &self.worked.parts[part];
        let pad = part.pad.map(|i| self.worked.pads[i].pad.state);
        match pad {
            Some(state) if touches(state) && !is_post(part) => {
                self.worked.off_m(part.trailer_from_part.translation.vec())
            }
            _ => self.worked.rig.tolerance_m,
        }
    }

    fn owner(&self, part: usize) -> Owner {
        let parts = &self.worked.parts;
        let same =
            |other: &RigPart| other.kind == parts[part].kind && other.name == parts[part].name;
        match (parts[part].beam, parts[part].pad) {
            (Some(beam), _) => Owner::Beam(beam),
            (None, Some(pad)) => Owner::Pad(pad),
            (None, None) => Owner::Fixed(parts.iter().position(same).unwrap_or(part)),
        }
    }
}

/// What stands on the ground on wheels of its own height, and does not come down with the frame.
fn stays(kind: RigPartKind) -> bool {
    matches!(kind, RigPartKind::Tyre | RigPartKind::Tractor)
}

/// What must hold of two parts, their kinds in order; none where anything may be.
fn rule(worked: &Worked, a: &RigPart, b: &RigPart) -> Option<Rule> {
    use RigPartKind::{Beam, Block, Member, Mudguard, Packing, Pad, PadArm, Rail, Tractor, Tyre};
    let of_one = (a.beam.is_some() && a.beam == b.beam) || (a.pad.is_some() && a.pad == b.pad);
    if of_one || spread_out(worked, a) || spread_out(worked, b) {
        return None;
    }
    match (a.kind, b.kind) {
        // A beam goes through the rails' pockets or lies on them, and shims are as wide as the block under them.
        (Rail, Block) => Some(Rule::Beside),
        (Member, Beam | Block | Packing) => Some(Rule::On),
        (Beam | Block | Packing, Beam | Block | Packing) if !in_one_pocket(worked, a, b) => {
            Some(Rule::Beside)
        }
        (Tyre | Mudguard | Pad | PadArm, Beam | Block | Packing)
        | (Beam | Block | Packing, Tractor) => Some(Rule::Apart),
        // How thick an arm is nobody entered, and it is fastened to the rail, in which it is drawn there.
        (Rail | Member, Pad) | (Tyre | Mudguard, Pad | PadArm) if in_use(worked, b) => {
            Some(Rule::Apart)
        }
        (Pad | PadArm, Tractor) if in_use(worked, a) => Some(Rule::Apart),
        (Pad | PadArm, Pad | PadArm) if in_use(worked, a) || in_use(worked, b) => Some(Rule::Apart),
        (Member, PadArm) if in_use(worked, b) => Some(Rule::Apart),
        (Rail | Member, Tyre) | (Tyre, Tyre) => Some(Rule::Built),
        (Tyre, Mudguard) => Some(Rule::Over),
        _ => None,
    }
}

/// Shims right on a beam: drawn as long as the beam, which nobody entered.
fn spread_out(worked: &Worked, part: &RigPart) -> bool {
    part.kind == RigPartKind::Packing
        && part
            .beam
            .is_some_and(|i| worked.load.beams[i].stack.is_empty())
}

/// Two beams in one pocket are a contradiction found before.
fn in_one_pocket(worked: &Worked, a: &RigPart, b: &RigPart) -> bool {
    let seat = |part: &RigPart| part.beam.map(|i| worked.load.beams[i].seat);
    matches!(seat(a), Some(Seat::Pocket(_))) && seat(a) == seat(b)
}

/// Whether a part stands where the load sets it: no post, and no pad that is stowed.
fn in_use(worked: &Worked, part: &RigPart) -> bool {
    let state = part.pad.map(|i| worked.pads[i].pad.state);
    state.is_some_and(|s| s != PadState::Stowed) && !is_post(part)
}

/// None where the two are as they should be.
fn verdict(rule: Rule, meeting: &Meeting, tolerance_m: f64) -> Option<Verdict> {
    let (gap_m, lies_on) = (meeting.gap_m, meeting.way.z > UPWARDS);
    let tolerance_m = match rule {
        Rule::Beside => 0.0,
        Rule::On if lies_on => 0.0,
        Rule::On | Rule::Apart => tolerance_m,
        // What cannot be is more than what the figures may be off by.
        Rule::Built | Rule::Over if gap_m > -tolerance_m => return None,
        Rule::Built | Rule::Over => 0.0,
    };
    let verdict = Verdict::at_least(gap_m, -ROUNDING_M, tolerance_m);
    (verdict != Verdict::Clear).then_some(verdict)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::panic)]
mod tests;

//! Overlaps in words: what is in or near what, by how much, and what to do.

use super::{Met, Owner, ROUNDING_M, Rule};
use crate::check::Worked;
use crate::findings::{Finding, Place, Topic};
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_load::load::Seat;
use keelstead_load::rig_parts::beam_name;
use keelstead_load::rig_parts::{RigPart, RigPartKind};
use keelstead_units::quantity::{Basis, Quantity, Sentence};
use keelstead_units::verdict::Verdict;

pub(super) fn finding(worked: &Worked, met: &Met) -> Finding {
    let [a, b] = met.parts.map(|i| &worked.parts[i]);
    let asks = Advice::of(a, b);
    // What the load lays in one place contradicts itself; what comes near to something is a gap.
    let topic = match met.rule {
        Rule::Beside => Topic::Input,
        _ => Topic::Clearance,
    };
    let keys = met.owners.map(|o| key(worked, o));
    let gap_m = met.meeting.gap_m;
    let finding = Finding::new(
        format!("overlap:{}:{}", keys[0], keys[1]),
        topic,
        met.verdict,
        title(worked, met.owners),
        says(worked, met),
    )
    .found(Quantity::length(gap_m))
    .against(Quantity::length(0.0), Quantity::length(met.tolerance_m))
    .resting_on(basis(a, b))
    .at(Place::Point(met.meeting.at.into()));
    let advice = match (met.verdict, asks) {
        (Verdict::Foul, Advice::Timber) => timber_apart(worked, a, b),
        (Verdict::Foul, asks) => Sentence::new(asks.words()),
        (_, asks) => Sentence::new("measure it on the trailer, or").words(asks.words()),
    };
    finding.advising(advice)
}

/// What two timbers need to lie side by side.
fn timber_apart(worked: &Worked, a: &RigPart, b: &RigPart) -> Sentence {
    let forward = worked.trailer_from_frame.transform_vector(Vec3::X);
    let rest = Pose::identity();
    let apart = a
        .solid(&rest)
        .zip(b.solid(&rest))
        .map(|(a, b)| a.apart_m(&b, forward))
        .filter(|m| m.is_finite());
    let sentence = Sentence::new("take one of them out, or move it");
    match apart {
        Some(apart_m) => sentence.length(apart_m).words("fore or aft"),
        None => sentence.words("fore or aft"),
    }
}

fn basis(a: &RigPart, b: &RigPart) -> &'static [Basis] {
    match a.kind == RigPartKind::PadArm || b.kind == RigPartKind::PadArm {
        true => &[Basis::Computed, Basis::Measured, Basis::AssumedDefault],
        false => &[Basis::Computed, Basis::Measured],
    }
}

fn key(worked: &Worked, owner: Owner) -> String {
    match owner {
        Owner::Beam(i) => format!("beam:{i}"),
        Owner::Pad(i) => worked.pads[i].pad.name.clone(),
        Owner::Fixed(i) => worked.parts[i].name.clone(),
    }
}

fn title(worked: &Worked, owners: [Owner; 2]) -> String {
    let [a, b] = owners.map(|owner| match owner {
        Owner::Beam(i) => beam_name(worked.load.beams[i].seat),
        Owner::Pad(_) | Owner::Fixed(_) => key(worked, owner),
    });
    match owners {
        [Owner::Beam(_), Owner::Beam(_)] if a == b => "two beams on the rails".into(),
        _ => format!("{a} against {b}"),
    }
}

fn says(worked: &Worked, met: &Met) -> Sentence {
    let parts = met.parts.map(|i| &worked.parts[i]);
    let [a, b] = parts.map(|part| named(worked, part, parts));
    let low = match met.low {
        true => "with the suspension right down",
        false => "",
    };
    let gap_m = met.meeting.gap_m;
    if gap_m.is_nan() {
        let both = Sentence::new("the gap between")
            .and(&a)
            .words("and")
            .and(&b);
        return both.words("could not be computed: measure it on the trailer");
    }
    if gap_m < -ROUNDING_M {
        let both = a.words("and").and(&b).words("overlap by");
        return both.length(-gap_m).words(low);
    }
    a.words("stays")
        .length(gap_m.max(0.0))
        .words("from")
        .and(&b)
        .words(low)
        .words("; that may be off by")
        .length(met.tolerance_m)
}

/// A part by its name; where the other has the same, by its station too.
fn named(worked: &Worked, part: &RigPart, both: [&RigPart; 2]) -> Sentence {
    let name = Sentence::new(part.name.as_str());
    let station = part.beam.map(|i| worked.load.beams[i].seat);
    match station {
        Some(Seat::OnRailsXM(x_m)) if both[0].name == both[1].name => name.words("at").length(x_m),
        _ => name,
    }
}

/// What to do about two things in one place.
#[derive(Clone, Copy)]
enum Advice {
    Timber,
    Rail,
    Wheels,
    Frame,
    Pad,
    Pads,
}

impl Advice {
    fn of(a: &RigPart, b: &RigPart) -> Self {
        let either = |kind| a.kind == kind || b.kind == kind;
        match (a.beam.is_some(), b.beam.is_some()) {
            (true, true) => Self::Timber,
            (false, false) => Self::Pads,
            _ if either(RigPartKind::Rail) => Self::Rail,
            _ if either(RigPartKind::Tyre) => Self::Wheels,
            _ if a.pad.is_some() || b.pad.is_some() => Self::Pad,
            _ => Self::Frame,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Self::Timber => "take one of them out, or move it fore or aft",
            Self::Rail => "move the stack off the rail, or turn its blocks",
            Self::Wheels => "lay the beam clear of the wheels, or take a shorter one",
            Self::Frame => "lay the beam elsewhere, or take a smaller one",
            Self::Pad => "lay the beam clear of the pad and its post, or set the pad otherwise",
            Self::Pads => "set the pad otherwise, or stow it",
        }
    }
}

/// What the rig's own figures put in one place: the worst, and how many more.
pub(super) fn as_built(worked: &Worked, built: &[Met]) -> Option<Finding> {
    let worst = built
        .iter()
        .min_by(|a, b| a.meeting.gap_m.total_cmp(&b.meeting.gap_m))?;
    let says = match built.len() - 1 {
        0 => says(worked, worst),
        more => says(worked, worst).words(format!("; {more} more of its wheels cannot be either")),
    };
    let finding = Finding::new(
        "overlap:rig",
        Topic::Input,
        worst.verdict,
        "the rig's own wheels",
        says,
    )
    .found(Quantity::length(worst.meeting.gap_m))
    .resting_on(&[Basis::Measured])
    .at(Place::Point(worst.meeting.at.into()))
    .advising(Sentence::new(
        "correct the rig's axles, rails, mudguards or lowest suspension height",
    ));
    Some(finding)
}

//! Whether the pads steady the hull, and where they press.

use crate::check::{Worked, touches};
use crate::findings::{Finding, PadState, Place, Topic, Verdict};
use crate::quantity::{Quantity, Sentence};
use crate::steady::StandingPad;

/// A face that stays this far off the hull's surface bears on its edge, rad: about 3 degrees.
/// Assumed default; the cover takes up the rest.
const FLAT_RAD: f64 = 0.05;

pub(super) fn findings(worked: &Worked) -> Vec<Finding> {
    let mut list: Vec<Finding> = worked.pads.iter().filter_map(|p| one(worked, p)).collect();
    list.push(both_sides(worked));
    list
}

fn one(worked: &Worked, standing: &StandingPad) -> Option<Finding> {
    let pad = &standing.pad;
    let (verdict, says, advice) = match pad.state {
        PadState::Stowed => return None,
        PadState::OutOfReach => (
            Verdict::Foul,
            Sentence::new("out of reach: run out to")
                .length(pad.reach_m)
                .words("without touching the hull"),
            "raise or lower its arm, use another pad, or move the hull",
        ),
        PadState::Short => (
            Verdict::Foul,
            Sentence::new("stands short of the hull at").length(pad.reach_m),
            "run it out until it touches",
        ),
        PadState::Pressing => (
            Verdict::Foul,
            Sentence::new("is set so far out that it presses into the hull, at")
                .length(pad.reach_m),
            "draw it in until it only touches",
        ),
        PadState::Touching => touching(worked, standing),
    };
    let mut finding = Finding::new(
        format!("pad:{}", pad.name),
        Topic::Pad,
        verdict,
        &pad.name,
        says,
    )
    .found(Quantity::length(pad.reach_m));
    let place = pad.contact.or_else(|| {
        standing
            .parts
            .first()
            .map(|p| p.trailer_from_part.translation)
    });
    if let Some(point) = place {
        finding = finding.at(Place::Point(point));
    }
    if verdict != Verdict::Clear {
        finding = finding.advising(Sentence::new(advice));
    }
    Some(finding)
}

fn touching(worked: &Worked, standing: &StandingPad) -> (Verdict, Sentence, &'static str) {
    let part = standing.hull_part.map(|i| &worked.hull.parts[i]);
    if let Some(part) = part.filter(|p| !p.kind.may_be_steadied()) {
        let says = Sentence::new(format!(
            "meets the {} first, where no pad belongs",
            part.name
        ));
        return (Verdict::Foul, says, "use another pad, or raise its arm");
    }
    // The face covers more than the point it touches at: keep half its longer edge away.
    let half_m = standing.half_edge_m;
    let in_hull = standing
        .pad
        .contact
        .map(|c| worked.trailer_from_hull.inverse() * c.vec());
    if let Some(zone) = worked
        .hull
        .keep_offs
        .iter()
        .find(|z| in_hull.is_some_and(|p| z.within(p, half_m)))
    {
        let says = Sentence::new(format!("would press on {}, a place to keep off", zone.name));
        return (Verdict::Foul, says, "use another pad, or move the hull");
    }
    let angle = standing.pad.face_angle_rad.unwrap_or(0.0);
    if angle > FLAT_RAD {
        let says = Sentence::new("cannot swivel far enough: its face stays")
            .figure(Quantity::angle(angle))
            .words("off the hull, and it bears on its edge");
        return (
            Verdict::Foul,
            says,
            "raise or lower its arm until it meets the hull flat",
        );
    }
    let says = Sentence::new("steadies the hull at").length(standing.pad.reach_m);
    (Verdict::Clear, says, "")
}

fn both_sides(worked: &Worked) -> Finding {
    let on = |left: bool| {
        worked
            .rig
            .pads
            .iter()
            .zip(&worked.pads)
            .any(|(mount, p)| (mount.pivot.y_m > 0.0) == left && touches(p.pad.state))
    };
    let (verdict, says) = match (on(true), on(false)) {
        (true, true) => (Verdict::Clear, "pads steady the hull on both sides"),
        (true, false) => (Verdict::Foul, "no pad steadies the hull on the right"),
        (false, true) => (Verdict::Foul, "no pad steadies the hull on the left"),
        (false, false) => (Verdict::Foul, "no pad steadies the hull"),
    };
    let finding = Finding::new(
        "pads",
        Topic::Pad,
        verdict,
        "pads on both sides",
        Sentence::new(says),
    );
    match verdict {
        Verdict::Foul => finding.advising(Sentence::new("run out a pad on each side")),
        _ => finding,
    }
}

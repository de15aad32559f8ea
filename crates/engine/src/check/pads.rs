//! Whether the pads steady the hull, and where they press.

use crate::check::{Worked, touches, zones};
use crate::findings::{Finding, Place, Topic};
use keelstead_boat::hull::{KeepOff, StrongStation};
use keelstead_geometry::math::{Point, Pose, Vec3};
use keelstead_geometry::shape::Shape;
use keelstead_load::load::{PadSetting, Reach};
use keelstead_load::pads;
use keelstead_load::pads::PadState;
use keelstead_load::pads::StandingPad;
use keelstead_load::rig::PadMount;
use keelstead_units::quantity::{Quantity, Sentence};
use keelstead_units::verdict::Verdict;

/// A face that stays this far off the hull's surface bears on its edge, rad: about 3 degrees.
/// Assumed default; the cover takes up the rest.
const FLAT_RAD: f64 = 0.05;

pub(super) fn findings(worked: &Worked) -> Vec<Finding> {
    let mut list: Vec<Finding> = worked.pads.iter().filter_map(|p| one(worked, p)).collect();
    list.extend(worked.pads.iter().filter_map(|p| off_strong(worked, p)));
    list.push(both_sides(worked));
    list
}

fn one(worked: &Worked, standing: &StandingPad) -> Option<Finding> {
    let pad = &standing.pad;
    let (verdict, says, advice) = match pad.state {
        PadState::Stowed => return None,
        PadState::OutOfReach | PadState::Short | PadState::Pressing => off(standing),
        PadState::Touching => touching(worked, standing),
    };
    let mut finding = Finding::new(
        format!("pad:{}", pad.name),
        Topic::Pad,
        verdict,
        title(standing),
        says,
    );
    // How far it is out says nothing of a pad that is foul: what is missing does.
    finding.found = match (pad.state, verdict) {
        (PadState::Touching, Verdict::Foul) => None,
        (PadState::Touching, _) => Some(Quantity::length(pad.reach_m)),
        _ => apart_m(standing).map(Quantity::length),
    };
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

/// How far a pad's face is from where it meets the hull, either way, m; none where nothing is in its
/// way.
fn apart_m(standing: &StandingPad) -> Option<f64> {
    Some((standing.meets_m? - standing.pad.reach_m).abs())
}

/// The pad, with what its figure says where that is not how far it is out.
fn title(standing: &StandingPad) -> String {
    let name = &standing.pad.name;
    match (standing.pad.state, standing.meets_m) {
        (PadState::OutOfReach | PadState::Short, None) => format!("{name}: nothing in its way"),
        (PadState::OutOfReach | PadState::Short, _) => format!("{name}: short of the hull"),
        (PadState::Pressing, _) => format!("{name}: too far out"),
        _ => name.clone(),
    }
}

/// A pad that does not stand at the hull.
fn off(standing: &StandingPad) -> (Verdict, Sentence, &'static str) {
    let pad = &standing.pad;
    let elsewhere = "raise or lower its arm, use another pad, or move the hull";
    let (says, advice) = match (pad.state, apart_m(standing)) {
        (PadState::Pressing, Some(0.0)) => (
            Sentence::new("stands in the hull even drawn in as far as it goes, to")
                .length(pad.reach_m),
            elsewhere,
        ),
        (PadState::Pressing, apart_m) => (
            Sentence::new("is set")
                .length(apart_m.unwrap_or(0.0))
                .words("too far out: it presses into the hull"),
            "draw it in until it only touches",
        ),
        (_, None) => (
            Sentence::new("run out to")
                .length(pad.reach_m)
                .words("it has no hull in its way"),
            elsewhere,
        ),
        (PadState::Short, Some(apart_m)) => (
            Sentence::new("stands")
                .length(apart_m)
                .words("short of the hull"),
            "run it out until it touches",
        ),
        (_, Some(apart_m)) => (
            Sentence::new("stands")
                .length(apart_m)
                .words("short of the hull when run out as far as it goes, to")
                .length(pad.reach_m),
            elsewhere,
        ),
    };
    (Verdict::Foul, says, advice)
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
    let zone = nearest_zone(worked, standing);
    let elsewhere = "use another pad, or move the hull";
    if let Some((zone, _)) = zone.filter(|(_, gap_m)| *gap_m <= 0.0) {
        let says = Sentence::new(format!("would press on {}, a place to keep off", zone.name));
        return (Verdict::Foul, says, elsewhere);
    }
    let angle = standing.pad.face_angle_rad.unwrap_or(0.0);
    let may_be_rad = angle + worked.load.required.heel_tolerance_rad;
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
    let contact = standing.pad.contact.map_or(Vec3::ZERO, Point::vec);
    let off_m = worked.off_m(contact);
    if let Some((zone, gap_m)) = zone.filter(|(_, gap_m)| *gap_m < off_m) {
        let says = Sentence::new("its face ends")
            .length(gap_m)
            .words(format!(
                "from {}, a place to keep off; that may be off by",
                zone.name
            ))
            .length(off_m);
        return (Verdict::Tight, says, elsewhere);
    }
    if may_be_rad > FLAT_RAD {
        let says = Sentence::new("hardly swivels far enough: its face stays")
            .figure(Quantity::angle(angle))
            .words("off the hull, more if she is not quite upright");
        return (
            Verdict::Tight,
            says,
            "raise or lower its arm until it meets the hull flat",
        );
    }
    if let Some((says, advice)) = may_not_reach(worked, standing) {
        return (Verdict::Tight, says, advice);
    }
    let says = Sentence::new("steadies the hull at").length(standing.pad.reach_m);
    (Verdict::Clear, says, "")
}

/// Whether a pad that touches where she is drawn may not do so where she may be: past the end of its stroke, or because it
/// is set by a figure and not run out until it touches.
fn may_not_reach(worked: &Worked, standing: &StandingPad) -> Option<(Sentence, &'static str)> {
    let pad = &standing.pad;
    let mount = worked.rig.pads.iter().find(|m| m.name == pad.name)?;
    let outward = worked.trailer_from_hull.transform_vector(standing.normal?);
    let contact = pad.contact?.vec();
    let on_hull = worked.trailer_from_hull.inverse_transform_point(contact);
    let shape_m = worked.hull.shape_tolerance_at(standing.hull_part?, on_hull);
    let moves = [outward, -outward].map(|way| worked.deviation.along(contact, way));
    let off_m = shape_m + worked.rig.tolerance_m + moves[0].max(moves[1]);
    // A face that leans to its way meets a hull that is farther off only so much later.
    let along_m = off_m / standing.direction.dot(outward).abs().max(0.1);
    let off_by = |says: Sentence| {
        says.length(pad.reach_m)
            .words("; where the hull is may be off by")
            .length(along_m)
    };
    let setting = worked.load.pads.iter().find(|s| s.pad == pad.name)?;
    if let Reach::SetM(_) = setting.reach {
        let apart_m = apart_m(standing).unwrap_or(0.0).abs();
        return (along_m + apart_m > worked.load.required.contact_m).then(|| {
            let says = off_by(Sentence::new("touches where it is set, at"));
            (says, "run it out until it touches, and not to a figure")
        });
    }
    let elsewhere = "raise or lower its arm, use another pad, or move the hull";
    if pad.reach_m + along_m > mount.reach_m.max {
        let says = off_by(Sentence::new("touches near the end of its stroke, at"));
        return Some((says, elsewhere));
    }
    if pad.reach_m - along_m < mount.reach_m.min {
        let says = off_by(Sentence::new("touches when it is hardly run out, at"));
        return Some((says, elsewhere));
    }
    let pushed = Standing {
        worked,
        standing,
        mount,
        setting,
    };
    pushed.stands_otherwise(contact, outward).then(|| {
        let says = off_by(Sentence::new("touches flat at"));
        (
            says.words(", and then its face may not lie flat"),
            elsewhere,
        )
    })
}

/// A pad that touches where she is drawn, and what it takes to stand it where she may be.
struct Standing<'a> {
    worked: &'a Worked<'a>,
    standing: &'a StandingPad,
    mount: &'a PadMount,
    setting: &'a PadSetting,
}

impl Standing<'_> {
    /// Whether it does not touch flat, where a pad may, as she may be there.
    fn stands_otherwise(&self, contact: Vec3, outward: Vec3) -> bool {
        /// A face may be turned farther by so many times as much as it is at the ends of each way.
        const FARTHER: f64 = 3.0;
        /// A face that stays off her by more than this share of what is flat, or that meets her this far from where it does
        /// as drawn, m, is near a knuckle or an end of her.
        const NEAR_FLAT: f64 = 0.5;
        const ELSEWHERE_M: f64 = 0.15;
        /// She is where she is drawn but for rounding, m.
        const STILL_M: f64 = 1e-7;
        let deviation = &self.worked.deviation;
        if deviation.any_way(contact) < STILL_M {
            return false;
        }
        let (drawn_rad, mut farther_rad) = (self.standing.turned_rad, 0.0_f64);
        let drawn_at = self.standing.face_middle();
        let mut near_end = false;
        // Put farther forward or aft she meets its face elsewhere, whichever way it presses.
        let mirrored = Vec3::new(-outward.x, outward.y, outward.z);
        for way in [outward, -outward, mirrored, -mirrored] {
            let moved = |pose: &Pose| (*pose * contact - contact).dot(way);
            let farthest = deviation
                .corners(contact, way)
                .max_by(|a, b| moved(a).total_cmp(&moved(b)));
            let Some(corner) = farthest else { continue };
            let there = self.at(&corner);
            if self.off_flat(&there) {
                return true;
            }
            farther_rad = farther_rad.max(there.turned_rad - drawn_rad);
            let angle = there.pad.face_angle_rad.unwrap_or(0.0);
            let meets = there.face_middle().map(|at| corner.inverse() * at);
            let moved = meets.zip(drawn_at).map(|(there, here)| there - here);
            near_end |=
                angle > NEAR_FLAT * FLAT_RAD || moved.is_some_and(|by| by.length() > ELSEWHERE_M);
        }
        near_end |= drawn_rad + FARTHER * farther_rad > self.mount.swivel_rad;
        let mut poses = deviation.poses(contact).into_iter();
        near_end && poses.any(|pose| self.off_flat(&self.at(&pose)))
    }

    fn at(&self, corner: &Pose) -> StandingPad {
        let (worked, pose) = (self.worked, *corner * self.worked.trailer_from_hull);
        let (frame, contact_m) = (&worked.trailer_from_frame, worked.load.required.contact_m);
        let (hull, setting) = (worked.hull, Some(self.setting));
        pads::stand(hull, self.mount, setting, frame, &pose, contact_m)
    }

    /// Whether it does not surely touch flat, where a pad may, as she stands at one of the places that are tried.
    fn off_flat(&self, there: &StandingPad) -> bool {
        /// Between those its face stays off her by this much more at most, of what it does there. Assumed: the hunt for
        /// corners found a tenth.
        const MORE: f64 = 1.15;
        let part = there.hull_part.map(|i| &self.worked.hull.parts[i]);
        let angle = there.pad.face_angle_rad;
        !touches(there.pad.state)
            || angle.is_none_or(|angle| MORE * angle > FLAT_RAD)
            || part.is_none_or(|part| !part.kind.may_be_steadied())
    }
}

/// The face of a pad that touches, in the hull frame: its pose there and half its edges.
fn face(worked: &Worked, standing: &StandingPad) -> Option<(Pose, Vec3)> {
    let pad = standing.parts.first()?;
    let Shape::Box { half } = pad.shape else {
        return None;
    };
    let hull_from_pad = worked.trailer_from_hull.inverse() * pad.trailer_from_part.pose();
    Some((hull_from_pad, half.vec()))
}

/// The zone nearest to the pad's face, and the gap between them, m: nought where the face covers it.
fn nearest_zone<'a>(worked: &'a Worked, standing: &StandingPad) -> Option<(&'a KeepOff, f64)> {
    /// How far behind its face a cover that gives still presses on a hull that curves away, m.
    /// Assumed default.
    const GIVES_M: f64 = 0.03;
    let (hull_from_pad, half) = face(worked, standing)?;
    zones::nearest(worked, &hull_from_pad, half + Vec3::Y * GIVES_M)
}

/// Whether a pad that touches presses where the hull is strong; none where nobody marked a strong
/// station.
fn off_strong(worked: &Worked, standing: &StandingPad) -> Option<Finding> {
    let pad = &standing.pad;
    let contact = pad.contact.filter(|_| touches(pad.state))?;
    let (hull_from_pad, half) = face(worked, standing)?;
    let along = hull_from_pad.rotation * Vec3::X;
    let off_m = |station: &StrongStation| {
        station.off_m(hull_from_pad.translation.x, half.x * along.x.abs())
    };
    let stations = worked.hull.marks.strong_stations.iter();
    let (station, off_m) = stations
        .map(|station| (station, off_m(station)))
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    let name = if station.name.is_empty() {
        "the strong station".to_owned()
    } else {
        station.name.clone()
    };
    let x_m = hull_from_pad.translation.x;
    let verdict = if off_m > 0.0 {
        Verdict::Tight
    } else {
        Verdict::Clear
    };
    let says = match verdict {
        Verdict::Clear => Sentence::new(format!("presses at {name} at")).length(station.x_m),
        _ => Sentence::new("presses at")
            .length(x_m)
            .words(format!("; what is strong about {name} at"))
            .length(station.x_m)
            .words("ends")
            .length(off_m)
            .words("from its edge"),
    };
    let finding = Finding::new(
        format!("pad-strong:{}", pad.name),
        Topic::Pad,
        verdict,
        format!("{} at a strong station", pad.name),
        says,
    )
    .found(Quantity::length(off_m.max(0.0)))
    .at(Place::Point(contact));
    Some(match verdict {
        Verdict::Clear => finding,
        _ => finding.advising(Sentence::new(
            "use a pad that meets a bulkhead or frame, or move the hull; spread it with a plank if it must stay",
        )),
    })
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

#[cfg(test)]
mod tests {
    use super::*;
    use keelstead_load::pads::Pad;
    use keelstead_units::quantity::{Span, Unit};

    fn standing(state: PadState, reach_m: f64, meets_m: Option<f64>) -> StandingPad {
        StandingPad {
            turned_rad: 0.0,
            direction: Vec3::Y,
            pad: Pad {
                name: "front left pad".into(),
                state,
                reach_m,
                contact: None,
                face_angle_rad: None,
            },
            hull_part: None,
            meets_m,
            normal: None,
            parts: Vec::new(),
        }
    }

    /// The lengths a sentence holds, mm.
    fn lengths_mm(says: &Sentence) -> Vec<f64> {
        let figures = says.0.iter().filter_map(|span| match span {
            Span::Figure(figure) if figure.unit == Unit::Length => Some(figure.value),
            _ => None,
        });
        figures.map(|m| (m * 1000.0).round()).collect()
    }

    #[test]
    fn a_pad_that_is_off_says_by_how_much_and_never_how_far_it_is_out() {
        // Out to 812 mm; the hull is met at 847.
        let short = standing(PadState::Short, 0.812, Some(0.847));
        let (verdict, says, _) = off(&short);
        assert_eq!((verdict, lengths_mm(&says)), (Verdict::Foul, vec![35.0]));
        assert_eq!(title(&short), "front left pad: short of the hull");
        let pressing = standing(PadState::Pressing, 0.812, Some(0.800));
        assert_eq!(lengths_mm(&off(&pressing).1), [12.0]);
        assert_eq!(title(&pressing), "front left pad: too far out");
        let at_its_end = standing(PadState::OutOfReach, 1.1, Some(1.25));
        assert_eq!(lengths_mm(&off(&at_its_end).1), [150.0, 1100.0]);
        let alone = standing(PadState::OutOfReach, 1.1, None);
        assert_eq!(apart_m(&alone), None);
        assert_eq!(title(&alone), "front left pad: nothing in its way");
    }
}

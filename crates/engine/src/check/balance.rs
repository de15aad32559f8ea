//! Whether the hull stands at all: its weight against what holds it, and against the ratings.

use crate::check::Worked;
use crate::findings::{Finding, Place, Topic};
use keelstead_geometry::math::Vec3;
use keelstead_load::setdown::Equilibrium;
use keelstead_units::quantity::{Basis, Quantity, Sentence};
use keelstead_units::verdict::Verdict;

pub(super) fn findings(worked: &Worked) -> Vec<Finding> {
    let mut list = vec![stands(worked)];
    list.extend(sideways(worked));
    list.extend(weight(worked));
    list
}

fn stands(worked: &Worked) -> Finding {
    let centre = worked.trailer_from_hull * worked.weight.centre;
    let at = Place::Point(centre.into());
    let title = "centre of gravity over its supports";
    let finding =
        |verdict, says| Finding::new("balance", Topic::Balance, verdict, title, says).at(at);
    match worked.resting.rest {
        Equilibrium::NothingUnder => {
            return finding(
                Verdict::Foul,
                Sentence::new("no beam or block lies under the keel"),
            )
            .advising(Sentence::new(
                "place a beam under the keel on each side of the centre of gravity",
            ));
        }
        Equilibrium::TipsBowDown => return tips(worked, centre, true, &finding),
        Equilibrium::TipsBowUp => return tips(worked, centre, false, &finding),
        Equilibrium::Settled => {}
    }
    let bearing: Vec<f64> = (worked.supports())
        .filter(|(.., touch)| touch.is_some_and(|t| worked.carries(t.gap_m)))
        .map(|(_, _, face, _)| face.middle.x)
        .collect();
    // Along the level, to where the keel bears: a stack may be far longer than what bears on it.
    let Some([aft, fore]) = worked.bearing.bears_between_m(centre.x) else {
        return finding(
            Verdict::Unknown,
            Sentence::new("cannot be worked out: look at the findings on the supports"),
        );
    };
    let margin_m = (centre.x - aft).min(fore - centre.x);
    let (verdict, tolerance_m) = match worked.weight.tolerance_x_m {
        Some(_) => {
            let surely_m = worked.bearing.solved().map_or(margin_m, |s| s.within_m);
            let tolerance_m = (margin_m - surely_m).max(0.0);
            let verdict = match Verdict::at_least(margin_m, 0.0, tolerance_m) {
                Verdict::Clear if worked.bearing.may_tip() => Verdict::Tight,
                verdict => verdict,
            };
            (verdict, tolerance_m)
        }
        None => (Verdict::Unknown, 0.0),
    };
    let says = match verdict {
        Verdict::Unknown => {
            Sentence::new("nobody said where the weight acts; the middle of the hull is assumed")
        }
        _ if bearing.len() == 1 => Sentence::new("one stack alone carries the hull; its end is")
            .length(margin_m)
            .words("from the centre of gravity"),
        _ => Sentence::new("the nearest outer support is")
            .length(margin_m)
            .words("from the centre of gravity"),
    };
    let mut finding = finding(verdict, says)
        .found(Quantity::length(margin_m))
        .against(Quantity::length(0.0), Quantity::length(tolerance_m))
        .resting_on(&[Basis::Computed, worked.weight.basis]);
    if verdict == Verdict::Unknown {
        finding = finding.advising(Sentence::new(
            "give the centre of gravity with its tolerance",
        ));
    } else if verdict == Verdict::Foul {
        finding = finding.advising(Sentence::new(
            "move the outer support farther out, or the hull",
        ));
    }
    if bearing.len() == 1 && verdict == Verdict::Clear {
        finding.verdict = Verdict::Tight;
        finding = finding.advising(Sentence::new("let a second beam carry"));
    }
    finding
}

/// Widest a stack is taken to hold the keel sideways, m either way. Assumed default: what lies
/// farther out on a bare beam is the pads' to hold, and pads carry no weight.
const SIDEWAYS_M: f64 = 0.3;

/// Whether the weight lies over the stacks sideways; none where nothing carries.
fn sideways(worked: &Worked) -> Option<Finding> {
    let centre = worked.resting.frame_from_hull * worked.weight.centre;
    let (margin_m, off_m) = worked
        .supports()
        .filter(|(.., touch)| touch.is_some_and(|t| worked.carries(t.gap_m)))
        .map(|(_, _, face, _)| {
            let off_m = centre.y - face.middle.y;
            (face.half_width_m.min(SIDEWAYS_M) - off_m.abs(), off_m)
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    let required = &worked.load.required;
    let stacks_z = worked.faces.iter().map(|(_, face)| face.middle.z);
    let higher_m = worked.hull.centre.map_or(0.0, |c| c.tolerance.z_m);
    let height_m = centre.z + higher_m - stacks_z.fold(centre.z, f64::min);
    let heeled_m = required.heel_tolerance_rad * height_m;
    let tolerance_m = worked.weight.tolerance_y_m? + required.placing_tolerance_m + heeled_m;
    let verdict = Verdict::at_least(margin_m, 0.0, tolerance_m);
    let side = if off_m > 0.0 { "left" } else { "right" };
    let says = Sentence::new("the centre of gravity lies")
        .length(off_m.abs())
        .words(format!("{side} of the stacks' middle"));
    let title = "centre of gravity between the stacks' sides";
    let finding = Finding::new("balance:sideways", Topic::Balance, verdict, title, says)
        .found(Quantity::length(margin_m))
        .against(Quantity::length(0.0), Quantity::length(tolerance_m))
        .resting_on(&[Basis::Computed, worked.weight.basis, Basis::AssumedDefault])
        .at(Place::Point(
            (worked.trailer_from_hull * worked.weight.centre).into(),
        ));
    Some(if verdict == Verdict::Clear {
        finding
    } else {
        finding.advising(Sentence::new(
            "move weights or stacks: pads must not carry what leans on them",
        ))
    })
}

fn tips(
    worked: &Worked,
    centre: Vec3,
    bow_down: bool,
    finding: &impl Fn(Verdict, Sentence) -> Finding,
) -> Finding {
    let frame_centre = worked.trailer_from_frame.inverse() * centre;
    let ends = worked
        .supports()
        .filter(|(.., touch)| touch.is_some())
        .map(|(_, _, face, _)| face.middle.x);
    let end = if bow_down {
        ends.fold(f64::MIN, f64::max)
    } else {
        ends.fold(f64::MAX, f64::min)
    };
    let short_m = if bow_down {
        frame_centre.x - end
    } else {
        end - frame_centre.x
    };
    let (way, place) = if bow_down {
        ("bow down", "ahead of")
    } else {
        ("bow up", "behind")
    };
    let says = if short_m >= 0.0 {
        Sentence::new(format!("the hull tips {way}: its centre of gravity lies"))
            .length(short_m)
            .words(format!("{place} the last support"))
    } else {
        Sentence::new(format!(
            "the hull tips {way}: what stands {place} its centre of gravity is too low to hold it"
        ))
    };
    finding(Verdict::Foul, says)
        .found(Quantity::length((-short_m).min(0.0)))
        .against(
            Quantity::length(0.0),
            Quantity::length(worked.weight.tolerance_x_m.unwrap_or(0.0)),
        )
        .resting_on(&[Basis::Computed, worked.weight.basis])
        .advising(Sentence::new(format!(
            "place a beam {place} the centre of gravity, or move the hull"
        )))
}

fn weight(worked: &Worked) -> Vec<Finding> {
    let title = "boat's weight on the trailer";
    let Some((mass, tolerance)) = worked.weight.mass_kg else {
        let says = Sentence::new("nobody said what the boat weighs");
        let advice = Sentence::new("give its mass with a tolerance");
        return vec![
            Finding::new(
                "weight:payload",
                Topic::Weight,
                Verdict::Unknown,
                title,
                says,
            )
            .advising(advice),
        ];
    };
    let basis = worked.hull.mass.map_or(Basis::AssumedDefault, |m| m.basis);
    let mut list = vec![rated(
        "weight:payload",
        title,
        mass,
        tolerance,
        worked.rig.ratings.payload_kg,
        basis,
    )];
    let title = "weight of the loaded trailer";
    let Some(tare) = worked.rig.tare else {
        let says = Sentence::new("nobody said what the empty trailer weighs");
        list.push(
            Finding::new("weight:gross", Topic::Weight, Verdict::Unknown, title, says)
                .advising(Sentence::new("weigh it, or read it off its papers")),
        );
        return list;
    };
    list.push(rated(
        "weight:gross",
        title,
        mass + tare.mass_kg,
        tolerance,
        worked.rig.ratings.gross_kg,
        basis,
    ));
    list
}

fn rated(
    id: &str,
    title: &str,
    mass: f64,
    tolerance: f64,
    rating: Option<f64>,
    basis: Basis,
) -> Finding {
    let Some(rating) = rating else {
        let says =
            Sentence::figure_first(Quantity::mass(mass)).words("; the rig's file gives no rating");
        return Finding::new(id, Topic::Weight, Verdict::Unknown, title, says)
            .found(Quantity::mass(mass))
            .advising(Sentence::new("read the rating off the maker's plate"));
    };
    let verdict = Verdict::at_least(rating, mass, tolerance);
    let says = Sentence::figure_first(Quantity::mass(mass))
        .words("of")
        .figure(Quantity::mass(rating))
        .words("allowed");
    Finding::new(id, Topic::Weight, verdict, title, says)
        .found(Quantity::mass(mass))
        .against(Quantity::mass(rating), Quantity::mass(tolerance))
        .resting_on(&[basis])
}

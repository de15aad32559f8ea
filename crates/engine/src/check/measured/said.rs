//! What is said of everything measured: beside it what was worked out, and whether both can be.

use super::{NoPair, Problem, pair_of, seen_bearing};
use crate::check::{Worked, gaps};
use crate::findings::{Compared, Finding, Place, Topic};
use keelstead_load::load::{Level, Load, Measured, Seat};
use keelstead_load::rig_parts::beam_name;
use keelstead_units::quantity::{Basis, Quantity, Sentence};
use keelstead_units::verdict::Verdict;

/// Heights no farther apart than this are of one point, m.
const SAME_POINT_M: f64 = 0.001;

/// Less than this is rounding, m.
const LEAST_M: f64 = 1e-4;

/// Everything measured beside what was worked out without it, in the load's order.
pub(in crate::check) fn compared(worked: &Worked) -> Vec<Compared> {
    let measured = worked.load.measured.iter().enumerate();
    measured
        .map(|(index, measured)| Compared {
            measured: in_words(measured),
            ..match measured {
                Measured::Height { .. } => height(worked, index, measured),
                Measured::Gap { .. } => gap(worked, measured),
                Measured::Bears { seat, bears } => bearing(worked, *seat, *bears),
            }
        })
        .collect()
}

fn in_words(measured: &Measured) -> Sentence {
    let off = |figure_m: f64, off_m: f64| {
        Sentence::figure_first(Quantity::length(figure_m))
            .words("measured, which may be off by")
            .length(off_m)
    };
    match *measured {
        Measured::Height {
            height_m,
            tolerance_m,
            ..
        } => off(height_m, tolerance_m),
        Measured::Gap {
            gap_m, tolerance_m, ..
        } => off(gap_m, tolerance_m),
        Measured::Bears { bears: true, .. } => Sentence::new("seen bearing"),
        Measured::Bears { bears: false, .. } => Sentence::new("seen standing free"),
    }
}

/// What was measured and cannot be, or is of nothing that is there.
pub(in crate::check) fn findings(worked: &Worked, compared: &[Compared]) -> Vec<Finding> {
    let mut list = Vec::new();
    for (index, (measured, compared)) in worked.load.measured.iter().zip(compared).enumerate() {
        // A gap of known parts has a finding of its own.
        let has_own = matches!(measured, Measured::Gap { .. })
            && pair_of(measured, worked.hull, &worked.parts).is_ok();
        // What cannot be compared is so for something that has a finding already: she tips, or is not weighed.
        if compared.verdict != Verdict::Foul || has_own {
            continue;
        }
        let id = format!("measured:{index}");
        let finding = Finding::new(
            id,
            Topic::Input,
            compared.verdict,
            &compared.name,
            compared.measured.clone().words(";").and(&compared.says),
        );
        let finding = finding.resting_on(&[Basis::Measured, Basis::Computed]);
        let finding = match measured {
            Measured::Height { at, .. } => {
                let place = worked.trailer_from_hull * at.vec();
                finding.at(Place::Point(place.into()))
            }
            _ => finding,
        };
        list.push(match &compared.advice {
            Some(advice) => finding.advising(advice.clone()),
            None => finding,
        });
    }
    list.extend(twice(worked.load));
    list
}

/// What to do about a figure that cannot be.
pub(in crate::check) const AGAIN: &str =
    "measure again; if it is right, a stack, a weight or a measure of her is not as said";

fn height(worked: &Worked, index: usize, measured: &Measured) -> Compared {
    let Measured::Height { name, over, .. } = measured else {
        return Compared::unknown("", Sentence::default());
    };
    let over = match over {
        Level::Ground => "the ground",
        Level::RailTop => "the rails' top",
    };
    let name = format!("height of {name} over {over}");
    let Some(height) = worked.heights.iter().find(|h| h.index == index) else {
        return Compared::unknown(name, Sentence::new("not compared"));
    };
    let computed = || {
        Sentence::new("worked out")
            .length(height.computed_m)
            .words("without it, which may be off by")
            .length(height.off_m)
    };
    let (verdict, says) = match height.problem {
        None => (Verdict::Clear, computed()),
        Some(Problem::Past(past_m)) => (
            Verdict::Foul,
            computed()
                .words("; what was measured is")
                .length(past_m)
                .words("past anything that her place allows"),
        ),
        Some(Problem::PastOthers(past_m)) => (
            Verdict::Foul,
            computed()
                .words("; with the other heights measured it cannot be: it is")
                .length(past_m)
                .words("past what they leave"),
        ),
        Some(Problem::NotHers(apart_m)) => (
            Verdict::Foul,
            Sentence::new("the point lies")
                .length(apart_m)
                .words("from all that is drawn of her"),
        ),
        Some(Problem::NotStanding) => (
            Verdict::Unknown,
            Sentence::new("not compared: how she stands cannot be worked out"),
        ),
    };
    let advice = match height.problem {
        None | Some(Problem::NotStanding) => None,
        Some(Problem::NotHers(_)) => Some("say where on her it was measured"),
        Some(_) => Some(AGAIN),
    };
    let known = verdict != Verdict::Unknown;
    Compared {
        computed_m: known.then_some(height.computed_m),
        tolerance_m: known.then_some(height.off_m),
        verdict,
        advice: advice.map(Sentence::new),
        ..Compared::unknown(name, says)
    }
}

fn gap(worked: &Worked, measured: &Measured) -> Compared {
    let Measured::Gap {
        hull_part,
        rig_part,
        gap_m,
        tolerance_m,
    } = measured
    else {
        return Compared::unknown("", Sentence::default());
    };
    let name = format!("gap of {hull_part} to {rig_part}");
    let pair = match pair_of(measured, worked.hull, &worked.parts) {
        Ok(pair) => pair,
        Err(why) => return no_pair(name, &why),
    };
    let gaps::Taken {
        computed_m,
        off_m,
        fits,
        ..
    } = gaps::beside_rest(worked, pair, [*gap_m, *tolerance_m]);
    let says = Sentence::new("worked out")
        .length(computed_m)
        .words("without it, which may be off by")
        .length(off_m);
    let verdict = match fits {
        _ if !(computed_m.is_finite() && off_m.is_finite()) => {
            let says = Sentence::new("could not be worked out");
            return Compared::unknown(name, says);
        }
        true => Verdict::Clear,
        false => Verdict::Foul,
    };
    Compared {
        computed_m: Some(computed_m),
        tolerance_m: Some(off_m),
        verdict,
        advice: (!fits).then(|| Sentence::new(AGAIN)),
        ..Compared::unknown(name, says)
    }
}

fn no_pair(name: String, why: &NoPair) -> Compared {
    let (says, advice) = match why {
        NoPair::Hull(part) => (
            format!("the boat has no part called \"{part}\""),
            "take it out, or name the part as the list of findings does",
        ),
        NoPair::Rig(part, 0) => (
            format!("no part of the trailer is called \"{part}\" now"),
            "take it out, or name the part as the list of findings does",
        ),
        NoPair::Rig(part, count) => (
            format!("{count} parts of the trailer are called \"{part}\""),
            "measure another gap: nobody can tell which of them it is",
        ),
    };
    Compared {
        verdict: Verdict::Foul,
        advice: Some(Sentence::new(advice)),
        ..Compared::unknown(name, Sentence::new(says))
    }
}

fn bearing(worked: &Worked, seat: Seat, bears: bool) -> Compared {
    let name = format!("stack on the {}", beam_name(seat));
    let wrong = |says: &str, advice: &str| Compared {
        verdict: Verdict::Foul,
        advice: Some(Sentence::new(advice)),
        ..Compared::unknown(name.clone(), Sentence::new(says))
    };
    let beams = &worked.load.beams;
    let Some(beam) = beams.iter().position(|b| b.seat.is_same(seat)) else {
        return wrong(
            "no beam lies there now",
            "take it out, or say which stack was meant",
        );
    };
    let support = worked.faces.iter().position(|(i, _)| *i == beam);
    let Some(support) = support else {
        return Compared::unknown(name, Sentence::new("the beam cannot be placed"));
    };
    let can = match bears {
        true => can_bear(worked, support),
        false => can_be_free(worked, support),
    };
    match can {
        Some(true) => Compared {
            verdict: Verdict::Clear,
            ..Compared::unknown(name, Sentence::new("that may be"))
        },
        Some(false) => wrong(
            "it cannot, within all that may be off",
            "look again; if it is so, a height, a weight or a measure of her is not as said",
        ),
        None => Compared::unknown(
            name,
            Sentence::new("not compared: how she stands cannot be worked out"),
        ),
    }
}

/// Whether a stack carries anything at some corner of what may be off; none where nothing is worked out.
fn can_bear(worked: &Worked, support: usize) -> Option<bool> {
    let carried = worked.bearing.carrying()?.supports.get(support)?;
    Some(carried.most_n > 0.0)
}

/// Whether, with the others carrying, there is any place of hers where the keel does not press into a stack that was left
/// out; none where nothing is worked out.
fn can_be_free(worked: &Worked, support: usize) -> Option<bool> {
    let solved = worked.bearing.solved()?;
    let (_, face) = worked.faces.get(support)?;
    let Some(Some(touch)) = worked.resting.touches.get(support) else {
        return Some(true);
    };
    let at = worked.trailer_from_frame * touch.at;
    let sunk = solved.within.iter().map(|s| s.at(at.x));
    let least_sunk_m = sunk.fold(f64::INFINITY, f64::min);
    let on_hull = worked.resting.frame_from_hull.inverse() * touch.at;
    let off_m = worked.hull.shape_tolerance_under(on_hull)
        + worked.rig.tolerance_m
        + worked.load.required.strength.stack_tolerance_m
        + worked.load.required.placing_tolerance_m * face.slope.abs();
    Some(touch.gap_m - least_sunk_m + off_m >= -LEAST_M)
}

/// The same thing measured twice, with figures that cannot both be. The later of the two is told.
fn twice(load: &Load) -> Vec<Finding> {
    let mut list = Vec::new();
    for (i, one) in load.measured.iter().enumerate() {
        for other in &load.measured[..i] {
            let Some(says) = contradict(other, one) else {
                continue;
            };
            let id = format!("measured:{i}:twice");
            let title = "two measurements that contradict";
            list.push(
                Finding::new(id, Topic::Input, Verdict::Foul, title, says)
                    .resting_on(&[Basis::Measured])
                    .advising(Sentence::new("measure again, and take the wrong one out")),
            );
            break;
        }
    }
    list
}

fn contradict(one: &Measured, other: &Measured) -> Option<Sentence> {
    use Measured::{Bears, Gap, Height};
    let apart = |name: String, a: f64, b: f64, off: f64| {
        ((a - b).abs() > off).then(|| {
            Sentence::new(format!("{name} was measured twice:"))
                .length(a)
                .words("and")
                .length(b)
        })
    };
    match (one, other) {
        (
            Height {
                name,
                at,
                over,
                height_m,
                tolerance_m,
            },
            Height {
                at: also_at,
                over: also_over,
                height_m: also_m,
                tolerance_m: also_off_m,
                ..
            },
        ) => {
            let same = (at.vec() - also_at.vec()).length() <= SAME_POINT_M && over == also_over;
            let off_m = tolerance_m + also_off_m;
            same.then(|| apart(format!("the height of {name}"), *height_m, *also_m, off_m))?
        }
        (
            Gap {
                hull_part,
                rig_part,
                gap_m,
                tolerance_m,
            },
            Gap {
                hull_part: also_hull,
                rig_part: also_rig,
                gap_m: also_m,
                tolerance_m: also_off_m,
            },
        ) => {
            let same = hull_part == also_hull && rig_part == also_rig;
            let off_m = tolerance_m + also_off_m;
            let name = format!("the gap of {hull_part} to {rig_part}");
            same.then(|| apart(name, *gap_m, *also_m, off_m))?
        }
        (
            Bears { seat, bears },
            Bears {
                seat: also_seat,
                bears: also_bears,
            },
        ) => (seat.is_same(*also_seat) && bears != also_bears).then(|| {
            Sentence::new(format!(
                "the stack on the {} was seen bearing, and seen standing free",
                beam_name(*seat)
            ))
        }),
        _ => None,
    }
}

/// How far the drawn top of a stack that somebody saw standing free must be lower than said, m, for the keel not to press
/// into it: it is lower, or it would bear.
pub(in crate::check) fn lower_m(placed: &crate::check::Placed, support: usize, sunk_m: f64) -> f64 {
    let free = placed
        .faces
        .get(support)
        .is_some_and(|(beam, _)| seen_bearing(placed.load, *beam) == Some(false));
    match placed.resting.touches.get(support) {
        Some(Some(touch)) if free => (sunk_m - touch.gap_m).max(0.0),
        _ => 0.0,
    }
}

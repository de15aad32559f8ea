//! What the crew measured after set-down: it narrows what may be off, or contradicts it.
//!
//! Height and trim that she may have are a convex polygon ([`crate::support::corners::outline`]). A measured height leaves a
//! strip of it, as wide as the tape and her shape there may be off; what lies in all strips is what she may have now. She
//! is then drawn where the measures fit best, by least squares with what was computed as one more measure, and no farther
//! than the polygon reaches. A measured gap stands for the computed one. A stack that somebody saw standing free carries
//! nothing, and the others share without it.

use crate::check::deviation::Deviation;
use crate::check::{Placed, Worked};
use crate::findings::{Clearance, Finding, Place, Topic, Verdict};
use crate::load::{Level, Load, Measured};
use crate::math::Pose;
use crate::quantity::{Basis, Quantity, Sentence};
use crate::support::corners::Sinkage;

/// Where she may be once heights were measured.
pub(super) struct Narrowed {
    /// How she has come down, on top of what was computed.
    pub sinkage: Sinkage,
    /// All that this may be.
    pub within: Vec<Sinkage>,
    /// Heights that no place of hers allows, by their index in the load, and how far off each is, m.
    pub impossible: Vec<(usize, f64)>,
}

/// Whether somebody saw that a beam's stack bears (true) or stands free (false).
pub(super) fn seen_bearing(load: &Load, beam: usize) -> Option<bool> {
    load.measured.iter().find_map(|measured| match measured {
        Measured::Bears { beam: which, bears } if *which == beam => Some(*bears),
        _ => None,
    })
}

/// A height measured at a station: how far she would have come down there on top of what was computed, and how far that
/// may be off, m.
struct Strip {
    index: usize,
    x_m: f64,
    down_m: f64,
    off_m: f64,
}

/// Narrows what her sinkage may be by the heights measured. None if none was.
pub(super) fn narrowed(
    placed: &Placed,
    trailer_from_hull: &Pose,
    deviation: &Deviation,
) -> Option<Narrowed> {
    let within = deviation.sinkages();
    let strips: Vec<Strip> = (placed.load.measured.iter().enumerate())
        .filter_map(|(i, measured)| strip(placed, trailer_from_hull, deviation, i, measured))
        .collect();
    if strips.is_empty() {
        return None;
    }
    let mut polygon = within.to_vec();
    let mut impossible = Vec::new();
    for strip in &strips {
        let over = |s: &Sinkage| s.at(strip.x_m) - strip.down_m - strip.off_m;
        let under = |s: &Sinkage| strip.down_m - strip.off_m - s.at(strip.x_m);
        let left = cut(&cut(&polygon, over), under);
        if left.is_empty() {
            let past = |s: &Sinkage| over(s).max(under(s));
            let apart_m = polygon.iter().map(past).fold(f64::INFINITY, f64::min);
            impossible.push((strip.index, apart_m));
        } else {
            polygon = left;
        }
    }
    let kept: Vec<&Strip> = (strips.iter())
        .filter(|s| impossible.iter().all(|(index, _)| *index != s.index))
        .collect();
    let middle = middle_of(&polygon);
    let best = best_fit(&kept, within).unwrap_or(middle);
    Some(Narrowed {
        sinkage: drawn_in(best, middle, &polygon),
        within: polygon,
        impossible,
    })
}

fn strip(
    placed: &Placed,
    trailer_from_hull: &Pose,
    deviation: &Deviation,
    index: usize,
    measured: &Measured,
) -> Option<Strip> {
    let Measured::Height {
        at,
        over,
        height_m,
        tolerance_m,
        ..
    } = measured
    else {
        return None;
    };
    let stands = *trailer_from_hull * at.vec();
    let computed_m = match over {
        Level::Ground => stands.z,
        Level::RailTop => (placed.trailer_from_frame.inverse() * stands).z,
    };
    let heel_m = deviation.heeled_m(stands);
    let rig_m = match over {
        Level::Ground => placed.rig.tolerance_m,
        Level::RailTop => 0.0,
    };
    Some(Strip {
        index,
        x_m: stands.x,
        down_m: computed_m - height_m,
        off_m: tolerance_m + placed.hull.shape_tolerance_m + heel_m + rig_m,
    })
}

/// What of a convex polygon lies where `over` is not above nought (Sutherland and Hodgman).
fn cut(polygon: &[Sinkage], over: impl Fn(&Sinkage) -> f64) -> Vec<Sinkage> {
    let mut left = Vec::with_capacity(polygon.len() + 1);
    for (i, here) in polygon.iter().enumerate() {
        let next = &polygon[(i + 1) % polygon.len()];
        let (a, b) = (over(here), over(next));
        if a <= 0.0 {
            left.push(*here);
        }
        if (a < 0.0 && b > 0.0) || (a > 0.0 && b < 0.0) {
            left.push(between(*here, *next, a / (a - b)));
        }
    }
    left
}

fn between(a: Sinkage, b: Sinkage, part: f64) -> Sinkage {
    Sinkage {
        at_coupling_m: a.at_coupling_m + part * (b.at_coupling_m - a.at_coupling_m),
        bow_down_rad: a.bow_down_rad + part * (b.bow_down_rad - a.bow_down_rad),
    }
}

fn middle_of(polygon: &[Sinkage]) -> Sinkage {
    let count = polygon.len().max(1) as f64;
    Sinkage {
        at_coupling_m: polygon.iter().map(|s| s.at_coupling_m).sum::<f64>() / count,
        bow_down_rad: polygon.iter().map(|s| s.bow_down_rad).sum::<f64>() / count,
    }
}

/// Least squares of the heights, each over how far it may be off, with what was computed as one more at either end of where
/// the heights were measured.
fn best_fit(strips: &[&Strip], within: &[Sinkage]) -> Option<Sinkage> {
    /// A figure that may not be off at all is weighed as if it may by this much, m.
    const LEAST_M: f64 = 1e-4;
    let computed = [-1.0, 1.0].map(|side| {
        let stations = strips.iter().map(|s| s.x_m);
        let middle = stations.clone().sum::<f64>() / strips.len().max(1) as f64;
        let x_m = middle + 2.0 * side;
        let off = within.iter().map(|s| s.at(x_m).abs());
        (x_m, 0.0, off.fold(LEAST_M, f64::max))
    });
    let measured = strips.iter().map(|s| (s.x_m, s.down_m, s.off_m));
    let mut sums = [0.0_f64; 5];
    for (x, down, off) in measured.chain(computed) {
        let weight = off.max(LEAST_M).powi(-2);
        for (sum, term) in sums.iter_mut().zip([1.0, x, x * x, down, x * down]) {
            *sum += weight * term;
        }
    }
    let [one, x, xx, d, xd] = sums;
    let determinant = one * xx - x * x;
    (determinant.is_finite() && determinant > 0.0).then(|| Sinkage {
        at_coupling_m: (d * xx - xd * x) / determinant,
        bow_down_rad: (one * xd - x * d) / determinant,
    })
}

/// A point drawn toward the middle of a convex polygon until it lies within.
fn drawn_in(point: Sinkage, middle: Sinkage, polygon: &[Sinkage]) -> Sinkage {
    let side = |a: Sinkage, b: Sinkage, p: Sinkage| {
        let (ab, ap) = (b.less(a), p.less(a));
        ab.at_coupling_m * ap.bow_down_rad - ab.bow_down_rad * ap.at_coupling_m
    };
    let inside = |p: Sinkage| {
        let edges = || (0..polygon.len()).map(|i| (polygon[i], polygon[(i + 1) % polygon.len()]));
        edges().all(|(a, b)| side(a, b, p) >= 0.0) || edges().all(|(a, b)| side(a, b, p) <= 0.0)
    };
    if polygon.len() < 3 {
        return middle;
    }
    let (mut out, mut within) = (1.0, 0.0);
    if inside(point) {
        return point;
    }
    for _ in 0..40 {
        let part = (out + within) / 2.0;
        if inside(between(middle, point, part)) {
            within = part;
        } else {
            out = part;
        }
    }
    between(middle, point, within)
}

/// The measured gap of a pair, and how far it may be off, m; none if nobody measured it.
pub(super) fn gap(load: &Load, hull: &str, rig: &str) -> Option<(f64, f64)> {
    load.measured.iter().find_map(|measured| match measured {
        Measured::Gap {
            hull_part,
            rig_part,
            gap_m,
            tolerance_m,
        } if hull_part == hull && rig_part == rig => Some((*gap_m, *tolerance_m)),
        _ => None,
    })
}

/// What was measured and cannot be, or is of nothing that is there.
pub(super) fn findings(worked: &Worked) -> Vec<Finding> {
    let measured = worked.load.measured.iter().enumerate();
    let mut list: Vec<Finding> = measured
        .filter_map(|(index, measured)| match measured {
            Measured::Height { name, at, .. } => {
                let off = worked.impossible.iter().find(|(i, _)| *i == index)?;
                let place = worked.trailer_from_hull * at.vec();
                let says = Sentence::new("the height measured is")
                    .length(off.1)
                    .words("past anything that her place allows, within all that may be off");
                Some(
                    finding(index, &format!("height of {name}"), says)
                        .at(Place::Point(place.into())),
                )
            }
            Measured::Gap {
                hull_part,
                rig_part,
                ..
            } => {
                let known = worked.hull.parts.iter().any(|p| p.name == *hull_part)
                    && worked.parts.iter().any(|p| p.name == *rig_part);
                (!known).then(|| {
                    let says = Sentence::new("no part of boat or trailer is called so now");
                    finding(index, &format!("gap of {hull_part} to {rig_part}"), says)
                })
            }
            Measured::Bears { beam, bears } => bears_otherwise(worked, index, *beam, *bears),
        })
        .collect();
    list.extend(twice(worked.load));
    list
}

fn bears_otherwise(worked: &Worked, index: usize, beam: usize, bears: bool) -> Option<Finding> {
    let support = worked.faces.iter().position(|(i, _)| *i == beam)?;
    let carried = worked.bearing.carrying()?.supports.get(support)?;
    let name = crate::standing::beam_name(worked.load.beams[beam].seat);
    let says = match bears {
        true if carried.most_n <= 0.0 => Sentence::new(
            "somebody saw it bear, and it cannot within all that may be off: a height or a measure of her is wrong",
        ),
        _ => return None,
    };
    Some(finding(index, &format!("stack on the {name}"), says))
}

/// The same thing measured twice, with figures that cannot both be.
fn twice(load: &Load) -> Vec<Finding> {
    let mut list = Vec::new();
    for (i, one) in load.measured.iter().enumerate() {
        for other in &load.measured[..i] {
            let says = match (one, other) {
                (
                    Measured::Gap {
                        hull_part: a,
                        rig_part: b,
                        gap_m,
                        tolerance_m,
                    },
                    Measured::Gap {
                        hull_part: c,
                        rig_part: d,
                        gap_m: had_m,
                        tolerance_m: off_m,
                    },
                ) if a == c && b == d && (gap_m - had_m).abs() > tolerance_m + off_m => {
                    Sentence::new("measured twice:")
                        .length(*had_m)
                        .words("and")
                        .length(*gap_m)
                }
                (
                    Measured::Bears { beam, bears },
                    Measured::Bears {
                        beam: same,
                        bears: had,
                    },
                ) if beam == same && bears != had => Sentence::new("said to bear, and said not to"),
                _ => continue,
            };
            list.push(finding(i, "two measurements that contradict", says));
        }
    }
    list
}

fn finding(index: usize, title: &str, says: Sentence) -> Finding {
    let id = format!("measured:{index}");
    Finding::new(id, Topic::Input, Verdict::Foul, title, says)
        .resting_on(&[Basis::Measured, Basis::Computed])
        .advising(Sentence::new(
            "measure again; if it is right, a stack, a weight or a measure of her is not as said",
        ))
}

/// What a measured gap makes of a computed one at rest: the gap and how far it may be off, m. A finding where it lies
/// outside of all that may be off.
pub(super) fn held_against(
    found: &Clearance,
    tolerance_m: f64,
    (measured_m, off_m): (f64, f64),
) -> Option<Sentence> {
    let apart_m = (found.gap_m - measured_m).abs();
    (apart_m > tolerance_m + off_m).then(|| {
        Sentence::new("measured")
            .length(measured_m)
            .words("where")
            .length(found.gap_m)
            .words("was worked out, which may be off by")
            .figure(Quantity::length(tolerance_m))
    })
}

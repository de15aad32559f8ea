//! What the crew measured after set-down: it narrows what may be off, or contradicts it.
//!
//! Height and trim that she may have are a convex polygon ([`keelstead_statics::support::corners::outline`]). A measured height leaves a
//! strip of it, as wide as the tape and her shape there may be off; what lies in all strips is what she may have now. She
//! is then drawn where the measures fit best, by least squares with what was computed as one more measure, and no farther
//! than the polygon reaches. Where a height fits nothing, or not all of them together, nobody knows which is wrong: then
//! none narrows anything, and each that does not fit is foul. A measured gap stands for the computed one where both may be
//! right. A stack that somebody saw standing free carries nothing, and the others share without it.

use crate::check::Placed;
use crate::check::deviation::Deviation;
use keelstead_boat::hull::Hull;
use keelstead_geometry::math::{Aabb, Point, Pose, Vec3};
use keelstead_load::clearance::Pair;
use keelstead_load::load::{Level, Load, Measured};
use keelstead_load::rig_parts::RigPart;
use keelstead_statics::support::corners::Sinkage;

mod said;

pub(super) use said::{AGAIN, compared, findings, lower_m};

/// A tape that may not be off at all is taken as off by this, m: less is rounding.
const LEAST_OFF_M: f64 = 1e-4;

/// A point farther than this from all that is drawn of her is none of hers, m: a bowsprit or a pulpit that is not drawn
/// ends before that.
const HERS_M: f64 = 1.5;

/// What heights make of where she may be.
pub(super) struct Heights {
    /// Each height measured, in the load's order.
    pub each: Vec<Height>,
    /// Where she may be then; none where nothing was measured or something of it cannot be.
    pub narrowed: Option<Narrowed>,
}

/// A measured height beside what was worked out without any.
pub(crate) struct Height {
    /// Index in the load.
    pub index: usize,
    /// What was worked out, m.
    pub computed_m: f64,
    /// How far that may be off, m.
    pub off_m: f64,
    /// Why it cannot be used; none where it fits.
    pub problem: Option<Problem>,
}

/// Why a height narrows nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Problem {
    /// It is this far past anything that her place allows, m.
    Past(f64),
    /// It fits alone, but is this far past what the others leave, m.
    PastOthers(f64),
    /// The point lies this far from her, m.
    NotHers(f64),
    /// Where she stands is not worked out.
    NotStanding,
}

/// Where she may be once heights were measured.
pub(super) struct Narrowed {
    /// How she has come down, on top of what was computed.
    pub sinkage: Sinkage,
    /// All that this may be.
    pub within: Vec<Sinkage>,
}

/// Whether somebody saw that a beam's stack bears (true) or stands free (false).
pub(super) fn seen_bearing(load: &Load, beam: usize) -> Option<bool> {
    let placed = load.beams.get(beam)?;
    load.measured.iter().find_map(|measured| match measured {
        Measured::Bears { seat, bears } if seat.is_same(placed.seat) => Some(*bears),
        _ => None,
    })
}

/// A height measured at a station: how far she would have come down there on top of what was computed, and how far that
/// may be off, m.
struct Strip {
    /// Which of the heights.
    height: usize,
    x_m: f64,
    down_m: f64,
    off_m: f64,
}

impl Strip {
    fn over(&self, s: &Sinkage) -> f64 {
        s.at(self.x_m) - self.down_m - self.off_m
    }

    fn under(&self, s: &Sinkage) -> f64 {
        self.down_m - self.off_m - s.at(self.x_m)
    }

    fn left_of(&self, polygon: &[Sinkage]) -> Vec<Sinkage> {
        cut(&cut(polygon, |s| self.over(s)), |s| self.under(s))
    }

    /// How far it is past all of a polygon, m.
    fn past_m(&self, polygon: &[Sinkage]) -> f64 {
        let past = |s: &Sinkage| self.over(s).max(self.under(s));
        polygon.iter().map(past).fold(f64::INFINITY, f64::min)
    }
}

/// Narrows what her sinkage may be by the heights measured, of her as she stands at rest.
pub(super) fn heights(
    placed: &Placed,
    trailer_from_hull: &Pose,
    deviation: &Deviation,
    stands: bool,
) -> Heights {
    let mut each = Vec::new();
    let mut strips = Vec::new();
    for (index, measured) in placed.load.measured.iter().enumerate() {
        let Measured::Height {
            at,
            over,
            height_m,
            tolerance_m,
            ..
        } = measured
        else {
            continue;
        };
        let place = Stands::at(placed, trailer_from_hull, deviation, *at, *over);
        let apart_m = apart_m(&placed.hull.bounds, at.vec());
        let problem = match () {
            () if !stands => Some(Problem::NotStanding),
            () if apart_m > HERS_M => Some(Problem::NotHers(apart_m)),
            () => None,
        };
        if problem.is_none() {
            strips.push(Strip {
                height: each.len(),
                x_m: place.x_m,
                down_m: place.height_m - height_m,
                off_m: (tolerance_m + place.of_itself_m).max(LEAST_OFF_M),
            });
        }
        each.push(Height {
            index,
            computed_m: place.height_m,
            off_m: place.off_m,
            problem,
        });
    }
    let narrowed = narrow(&strips, deviation.sinkages(), &mut each);
    Heights { each, narrowed }
}

/// A point of her as she stands.
struct Stands {
    x_m: f64,
    height_m: f64,
    /// How far its height may be off by her shape there, her heel and the rig, m.
    of_itself_m: f64,
    /// The same with all that her sinkage may be.
    off_m: f64,
}

impl Stands {
    fn at(
        placed: &Placed,
        trailer_from_hull: &Pose,
        deviation: &Deviation,
        at: Point,
        over: Level,
    ) -> Self {
        let stands = *trailer_from_hull * at.vec();
        let (height_m, rig_m) = match over {
            Level::Ground => (stands.z, placed.rig.tolerance_m),
            Level::RailTop => ((placed.trailer_from_frame.inverse() * stands).z, 0.0),
        };
        let of_itself_m = shape_m(placed.hull, at.vec()) + deviation.heeled_m(stands) + rig_m;
        let sunk = deviation.sinkages().iter().map(|s| s.at(stands.x).abs());
        Self {
            x_m: stands.x,
            height_m,
            of_itself_m,
            off_m: of_itself_m + sunk.fold(0.0, f64::max),
        }
    }
}

/// How far a point lies from a box, m; nought inside.
fn apart_m(bounds: &Aabb, at: Vec3) -> f64 {
    let out = (bounds.mins - at).max(at - bounds.maxs);
    out.max(Vec3::ZERO).length()
}

/// How far her surface may be off near a point, m: the most of her parts'.
fn shape_m(hull: &Hull, at: Vec3) -> f64 {
    let parts = 0..hull.parts.len();
    let in_size = parts.filter(|i| hull.parts[*i].part_use.in_size());
    let of_each = in_size.map(|i| hull.shape_tolerance_at(i, at));
    of_each.fold(0.0, f64::max)
}

/// What all strips leave; none where there is none or one of them leaves nothing, which its height is told.
fn narrow(strips: &[Strip], within: &[Sinkage], each: &mut [Height]) -> Option<Narrowed> {
    for strip in strips {
        if strip.left_of(within).is_empty() {
            each[strip.height].problem = Some(Problem::Past(strip.past_m(within)));
        }
    }
    let mut polygon = within.to_vec();
    let fits = |each: &[Height], strip: &Strip| each[strip.height].problem.is_none();
    for strip in strips {
        if !fits(each, strip) {
            continue;
        }
        let left = strip.left_of(&polygon);
        if left.is_empty() {
            each[strip.height].problem = Some(Problem::PastOthers(strip.past_m(&polygon)));
        } else {
            polygon = left;
        }
    }
    if strips.is_empty() || each.iter().any(|height| height.problem.is_some()) {
        return None;
    }
    let middle = middle_of(&polygon);
    let best = best_fit(strips, within).unwrap_or(middle);
    Some(Narrowed {
        sinkage: drawn_in(best, middle, &polygon),
        within: polygon,
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
            left.push(here.between(*next, a / (a - b)));
        }
    }
    left
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
fn best_fit(strips: &[Strip], within: &[Sinkage]) -> Option<Sinkage> {
    let computed = [-1.0, 1.0].map(|side| {
        let stations = strips.iter().map(|s| s.x_m);
        let middle = stations.clone().sum::<f64>() / strips.len().max(1) as f64;
        let x_m = middle + 2.0 * side;
        let off = within.iter().map(|s| s.at(x_m).abs());
        (x_m, 0.0, off.fold(LEAST_OFF_M, f64::max))
    });
    let measured = strips.iter().map(|s| (s.x_m, s.down_m, s.off_m));
    let mut sums = [0.0_f64; 5];
    for (x, down, off) in measured.chain(computed) {
        let weight = off.max(LEAST_OFF_M).powi(-2);
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
        if inside(middle.between(point, part)) {
            within = part;
        } else {
            out = part;
        }
    }
    middle.between(point, within)
}

/// Gaps that were measured, with the pair they are of: how wide, and how far that may be off, m. Those of a name that none
/// or several bear are left out, and so are two of one pair that cannot both be.
pub(super) fn gaps(load: &Load, hull: &Hull, parts: &[RigPart]) -> Vec<(Pair, [f64; 2])> {
    let mut list: Vec<(Pair, [f64; 2])> = Vec::new();
    let mut spoilt: Vec<Pair> = Vec::new();
    for measured in &load.measured {
        let Measured::Gap {
            gap_m, tolerance_m, ..
        } = measured
        else {
            continue;
        };
        let Ok(pair) = pair_of(measured, hull, parts) else {
            continue;
        };
        match list.iter_mut().find(|(had, _)| *had == pair) {
            // Both may be right: what both allow.
            Some((_, had)) => match common(*had, [*gap_m, *tolerance_m]) {
                Some(both) => *had = both,
                None => spoilt.push(pair),
            },
            None => list.push((pair, [*gap_m, *tolerance_m])),
        }
    }
    list.retain(|(pair, _)| !spoilt.contains(pair));
    list
}

/// What two figures with their tolerances both allow; none where nothing is.
fn common([a_m, a_off_m]: [f64; 2], [b_m, b_off_m]: [f64; 2]) -> Option<[f64; 2]> {
    let least = (a_m - a_off_m).max(b_m - b_off_m);
    let most = (a_m + a_off_m).min(b_m + b_off_m);
    (least <= most).then_some([(least + most) / 2.0, (most - least) / 2.0])
}

/// Why the parts of a measured gap are not known.
enum NoPair {
    /// The boat has no part of this name.
    Hull(String),
    /// So many parts of the trailer are called this.
    Rig(String, usize),
}

/// The pair that a measured gap is of.
fn pair_of(measured: &Measured, hull: &Hull, parts: &[RigPart]) -> Result<Pair, NoPair> {
    let Measured::Gap {
        hull_part: of_hull,
        rig_part: of_rig,
        ..
    } = measured
    else {
        return Err(NoPair::Hull(String::new()));
    };
    let hull_part = (hull.parts.iter().position(|p| p.name == *of_hull))
        .ok_or_else(|| NoPair::Hull(of_hull.clone()))?;
    let called = parts.iter().enumerate().filter(|(_, p)| p.name == *of_rig);
    let called: Vec<usize> = called.map(|(i, _)| i).collect();
    match called[..] {
        [rig_part] => Ok(Pair {
            hull_part,
            rig_part,
        }),
        _ => Err(NoPair::Rig(of_rig.clone(), called.len())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sinkage(at_coupling_m: f64, bow_down_rad: f64) -> Sinkage {
        Sinkage {
            at_coupling_m,
            bow_down_rad,
        }
    }

    fn height(index: usize) -> Height {
        Height {
            index,
            computed_m: 2.0,
            off_m: 0.05,
            problem: None,
        }
    }

    fn strip(height: usize, x_m: f64, down_m: f64) -> Strip {
        Strip {
            height,
            x_m,
            down_m,
            off_m: 0.005,
        }
    }

    /// What she may be: 20 mm either way at the coupling, 2 mm in a metre of trim.
    fn square() -> Vec<Sinkage> {
        [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .map(|(a, b)| sinkage(0.020 * a, 0.002 * b))
            .to_vec()
    }

    #[test]
    fn a_strip_leaves_the_tapes_tolerance_at_its_station_and_nothing_past_it() {
        let mut each = [height(0)];
        let narrowed = narrow(&[strip(0, 0.0, 0.010)], &square(), &mut each);
        let Some(narrowed) = narrowed else {
            panic!("{:?}", each[0].problem);
        };
        let ends = |x_m: f64| {
            let at = narrowed.within.iter().map(move |s| s.at(x_m));
            (
                at.clone().fold(f64::MAX, f64::min),
                at.fold(f64::MIN, f64::max),
            )
        };
        let (least, most) = ends(0.0);
        assert!(
            (least - 0.005).abs() < 1e-12 && (most - 0.015).abs() < 1e-12,
            "{least} {most}"
        );
        // Elsewhere her trim is as free as before.
        let (least, most) = ends(5.0);
        assert!(
            (least + 0.005).abs() < 1e-12 && (most - 0.025).abs() < 1e-12,
            "{least} {most}"
        );
        // She is drawn near what was measured, not where she was computed.
        assert!((narrowed.sinkage.at(0.0) - 0.010).abs() < 0.002);
    }

    #[test]
    fn what_lies_past_everything_or_past_the_others_is_told_apart_and_nothing_is_narrowed() {
        let mut each = [height(0), height(1)];
        let strips = [strip(0, 0.0, 0.010), strip(1, 0.0, 0.040)];
        assert!(narrow(&strips, &square(), &mut each).is_none());
        assert_eq!(each[0].problem, None);
        let Some(Problem::Past(past_m)) = each[1].problem else {
            panic!("{:?}", each[1].problem);
        };
        assert!((past_m - 0.015).abs() < 1e-12, "{past_m}");
        let mut each = [height(0), height(1)];
        let strips = [strip(0, 0.0, 0.015), strip(1, 0.0, -0.010)];
        assert!(narrow(&strips, &square(), &mut each).is_none());
        let Some(Problem::PastOthers(past_m)) = each[1].problem else {
            panic!("{:?}", each[1].problem);
        };
        assert!((past_m - 0.015).abs() < 1e-12, "{past_m}");
    }

    #[test]
    fn two_gaps_of_one_pair_leave_what_both_allow() {
        let both = common([0.100, 0.004], [0.106, 0.004]);
        assert!(
            both.is_some_and(|[m, off]| (m - 0.103).abs() < 1e-12 && (off - 0.001).abs() < 1e-12)
        );
        assert_eq!(common([0.100, 0.004], [0.110, 0.004]), None);
    }

    #[test]
    fn a_point_is_apart_by_the_way_to_the_box() {
        let bounds = Aabb::new(Vec3::ZERO, Vec3::new(10.0, 2.0, 3.0));
        assert_eq!(apart_m(&bounds, Vec3::new(5.0, 1.0, 1.0)), 0.0);
        assert_eq!(apart_m(&bounds, Vec3::new(13.0, 6.0, 1.0)), 5.0);
    }
}

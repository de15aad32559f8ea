//! How much room the whole takes on the road. The tractor is left out.

use crate::check::{Worked, taped};
use crate::findings::{Bound, Finding, Place, Size, Topic};
use keelstead_geometry::math::{Point, Pose, Vec3};
use keelstead_load::rig_parts::{RigPart, RigPartKind};
use keelstead_units::quantity::{Basis, Quantity, Sentence};
use keelstead_units::verdict::Verdict;

/// Height, width and length over trailer and boat.
pub(super) fn size(worked: &Worked) -> Size {
    let reach = Reach::of(worked);
    let (height_m, height_is) = reach.along(UP);
    let (width_m, width_is) = reach.between(PORT, STARBOARD);
    let (length_m, length_is) = reach.between(FORWARD, AFT);
    let (aft_m, rear_overhang_is) = reach.of_boat(AFT);
    let side = match reach.along(PORT).0 < reach.along(STARBOARD).0 {
        true => STARBOARD,
        false => PORT,
    };
    Size {
        height_m,
        height_is,
        width_m,
        width_is,
        length_m,
        length_is,
        rear_overhang_m: aft_m - reach.trailer.far[AFT],
        rear_overhang_is,
        highest: reach.place(UP, height_is).into(),
        widest: reach.place(side, width_is).into(),
    }
}

const AXES: [Vec3; 5] = [Vec3::X, Vec3::NEG_X, Vec3::Y, Vec3::NEG_Y, Vec3::Z];
// Places in AXES.
const FORWARD: usize = 0;
const AFT: usize = 1;
const PORT: usize = 2;
const STARBOARD: usize = 3;
const UP: usize = 4;

/// How far boat and trailer reach along each of [`AXES`].
struct Reach {
    trailer: Extent,
    /// The boat as she is drawn.
    drawn: Extent,
    /// The boat with whatever is not drawn of her, at most.
    most: Extent,
    /// Whether somebody measured that most.
    known: [bool; 5],
}

impl Reach {
    fn of(worked: &Worked) -> Self {
        let drawn = drawn(worked);
        let mut most = drawn.clone();
        let mut known = [true; 5];
        if let Some(taped) = worked.hull.taped {
            // Whatever reaches farthest may stand anywhere along her, and a trim lifts one end.
            for bounds in taped.around(worked.hull) {
                for corner in bounds.vertices() {
                    most.take_all(worked.trailer_from_hull * corner);
                }
            }
            let beam = taped.beam_over_all_m.is_some();
            known = [
                taped.beyond_bow_m.is_some(),
                taped.beyond_stern_m.is_some(),
                beam,
                beam,
                taped.highest_m.is_some(),
            ];
        }
        Self {
            trailer: trailer(worked),
            drawn,
            most,
            known,
        }
    }

    /// How far the boat reaches, m.
    fn of_boat(&self, axis: usize) -> (f64, Bound) {
        self.over(f64::MIN, axis)
    }

    /// How far boat and trailer reach, m.
    fn along(&self, axis: usize) -> (f64, Bound) {
        self.over(self.trailer.far[axis], axis)
    }

    fn over(&self, other_m: f64, axis: usize) -> (f64, Bound) {
        let least_m = self.drawn.far[axis].max(other_m);
        let most_m = self.most.far[axis];
        match self.known[axis] {
            false => (least_m, Bound::AtLeast),
            true if most_m > least_m => (most_m, Bound::AtMost),
            true => (least_m, Bound::Exact),
        }
    }

    /// The place that reaches farthest.
    fn place(&self, axis: usize, is: Bound) -> Vec3 {
        let most = if is == Bound::AtMost {
            &self.most
        } else {
            &self.drawn
        };
        match self.trailer.far[axis] > most.far[axis] {
            true => self.trailer.at[axis],
            false => most.at[axis],
        }
    }

    /// From one end of boat and trailer to the other, m.
    fn between(&self, axis: usize, opposite: usize) -> (f64, Bound) {
        let ends = [axis, opposite];
        if ends.iter().any(|&end| !self.known[end]) {
            let least = ends.map(|end| self.drawn.far[end].max(self.trailer.far[end]));
            return (least[0] + least[1], Bound::AtLeast);
        }
        let ends = ends.map(|end| self.along(end));
        let is = match ends.iter().any(|end| end.1 == Bound::AtMost) {
            true => Bound::AtMost,
            false => Bound::Exact,
        };
        (ends[0].0 + ends[1].0, is)
    }
}

/// How far the boat reaches as she is drawn.
fn drawn(worked: &Worked) -> Extent {
    drawn_at(worked, &worked.trailer_from_hull, &AXES)
}

/// The same in another pose, along some of [`AXES`].
fn drawn_at(worked: &Worked, trailer_from_hull: &Pose, axes: &[Vec3]) -> Extent {
    let mut extent = Extent::default();
    let hull_from_trailer = trailer_from_hull.rotation.inverse();
    for part in worked.hull.parts.iter().filter(|p| p.part_use.in_size()) {
        for &direction in axes {
            let point = part.mesh.farthest(hull_from_trailer * direction);
            extent.take(direction, *trailer_from_hull * point);
        }
    }
    extent
}

fn trailer(worked: &Worked) -> Extent {
    let mut extent = Extent::default();
    let counts = |part: &&RigPart| part.kind != RigPartKind::Tractor;
    for part in worked.parts.iter().filter(counts) {
        let Some(reach) = part.shape.half() else {
            continue;
        };
        let pose = part.trailer_from_part.pose();
        for direction in AXES {
            let local = pose.rotation.inverse() * direction;
            extent.take(direction, pose * (reach * local.signum()));
        }
    }
    extent
}

/// How far things reach along each of [`AXES`], and where.
#[derive(Clone)]
struct Extent {
    far: [f64; 5],
    at: [Vec3; 5],
}

impl Default for Extent {
    fn default() -> Self {
        Self {
            far: [f64::MIN; 5],
            at: [Vec3::ZERO; 5],
        }
    }
}

impl Extent {
    fn take(&mut self, direction: Vec3, point: Vec3) {
        for (i, axis) in AXES.iter().enumerate().filter(|(_, a)| **a == direction) {
            if point.dot(*axis) > self.far[i] {
                self.far[i] = point.dot(*axis);
                self.at[i] = point;
            }
        }
    }

    fn take_all(&mut self, point: Vec3) {
        for direction in AXES {
            self.take(direction, point);
        }
    }
}

pub(super) fn findings(worked: &Worked, size: &Size) -> Vec<Finding> {
    let required = &worked.load.required;
    let limits = [
        required.overall_height_m.map(|limit_m| Limited {
            what: "height",
            limit_m,
            found_m: size.height_m,
            is: size.height_is,
            at: size.highest,
            least_m: least_height_m,
            off_m: height_off_m,
            to_know: taped::MEASURE_HEIGHT,
            too_much: "lower the suspension or the blocks; permits and routes decide",
        }),
        required.overall_width_m.map(|limit_m| Limited {
            what: "width",
            limit_m,
            found_m: size.width_m,
            is: size.width_is,
            at: size.widest,
            least_m: least_width_m,
            off_m: width_off_m,
            to_know: taped::MEASURE_AROUND,
            too_much: "turn her square to the trailer, or take off what stands out from her sides; permits and routes decide",
        }),
    ];
    limits
        .into_iter()
        .flatten()
        .map(|limited| limited.finding(worked, size))
        .collect()
}

/// A size that may be no more than a limit.
struct Limited {
    what: &'static str,
    limit_m: f64,
    found_m: f64,
    is: Bound,
    /// Where it is reached. Trailer frame.
    at: Point,
    /// What it is at least, whatever was not drawn.
    least_m: fn(&Worked) -> f64,
    /// How far it may be off, m.
    off_m: fn(&Worked, &Size) -> f64,
    /// What makes it known.
    to_know: &'static str,
    /// What makes it less.
    too_much: &'static str,
}

impl Limited {
    /// A size that is only known from one side never proves more than that side.
    fn finding(&self, worked: &Worked, size: &Size) -> Finding {
        let &Self {
            what,
            limit_m,
            found_m,
            is,
            ..
        } = self;
        let off_m = (self.off_m)(worked, size);
        let verdict = match (is, Verdict::at_least(limit_m, found_m, off_m)) {
            (Bound::AtLeast, Verdict::Clear | Verdict::Tight) => Verdict::Unknown,
            (Bound::AtMost, Verdict::Foul) if (self.least_m)(worked) <= limit_m => Verdict::Unknown,
            (_, verdict) => verdict,
        };
        let says = Sentence::new(is.words().trim_end())
            .length(found_m)
            .words("where")
            .length(limit_m)
            .words("is allowed");
        let id = format!("size:{what}");
        let finding = Finding::new(id, Topic::Size, verdict, format!("overall {what}"), says)
            .found(Quantity::length(found_m))
            .against(Quantity::length(limit_m), Quantity::length(off_m))
            .resting_on(&[Basis::Computed, Basis::Measured])
            .at(Place::Point(self.at));
        match (verdict, is) {
            (Verdict::Foul, _) => finding.advising(Sentence::new(self.too_much)),
            (Verdict::Unknown, Bound::AtLeast) => finding.advising(Sentence::new(self.to_know)),
            (Verdict::Unknown, _) => finding.advising(Sentence::new(format!(
                "measure the {what} once she stands on the trailer"
            ))),
            _ => finding,
        }
    }
}

/// The highest point may move up, and another may come to be higher: the whole of her at every corner of where she may be.
fn height_off_m(worked: &Worked, size: &Size) -> f64 {
    let highest = size.highest.vec();
    let of_itself_m = worked.hull.shape_tolerance_m + worked.rig.tolerance_m;
    let here_m = worked.deviation.along(highest, Vec3::Z);
    let corners = worked.deviation.corners(highest, Vec3::Z);
    let higher_m = corners.map(|corner| {
        let pose = corner * worked.trailer_from_hull;
        drawn_at(worked, &pose, &[Vec3::Z]).far[UP] - highest.z
    });
    higher_m.fold(here_m, f64::max) + of_itself_m
}

/// Each side may be off by her shape where she stands out there, and by the rig's tolerance where the trailer does: the whole of
/// her at every corner of where she may be. What one side gains as she is put off the middle the other loses, but for where
/// the trailer stands out.
fn width_off_m(worked: &Worked, size: &Size) -> f64 {
    let widest = size.widest.vec();
    let way = Vec3::Y * widest.y.signum();
    if size.width_is != Bound::Exact {
        // What is not drawn of her may stand out on either side.
        let of_itself_m = worked.hull.shape_tolerance_m + worked.rig.tolerance_m;
        return 2.0 * of_itself_m + worked.deviation.along(widest, way);
    }
    let [boat, trailer] = [drawn(worked), trailer(worked)];
    let width_m = |boat: &Extent| {
        let sides = [PORT, STARBOARD].map(|side| {
            let her_m = boat.far[side] + worked.hull.shape_tolerance_m;
            her_m.max(trailer.far[side] + worked.rig.tolerance_m)
        });
        sides[0] + sides[1]
    };
    let corners = [way, -way].into_iter().flat_map(|way| {
        let corners = worked.deviation.corners(widest, way);
        corners.map(|corner| corner * worked.trailer_from_hull)
    });
    let each = corners.map(|pose| width_m(&drawn_at(worked, &pose, &AXES[PORT..=STARBOARD])));
    each.fold(width_m(&boat), f64::max) - size.width_m
}

/// The drawn hull, or the lowest place that her highest point can have, if that is higher.
fn least_height_m(worked: &Worked) -> f64 {
    let drawn = drawn(worked).far[UP];
    let taped = worked.hull.taped;
    let least = taped.and_then(|taped| {
        let above = taped.above(worked.hull)?;
        let top = above.vertices().into_iter().filter(|c| c.z == above.maxs.z);
        let lowest = top
            .map(|corner| (worked.trailer_from_hull * corner).z)
            .fold(f64::MAX, f64::min);
        Some(lowest - 2.0 * taped.highest_tolerance_m)
    });
    drawn.max(least.unwrap_or(f64::MIN))
}

/// Boat and trailer as they are drawn, or her beam over all across the trailer, if that is wider.
fn least_width_m(worked: &Worked) -> f64 {
    let [boat, trailer] = [drawn(worked), trailer(worked)];
    let drawn =
        boat.far[PORT].max(trailer.far[PORT]) + boat.far[STARBOARD].max(trailer.far[STARBOARD]);
    let taped = worked.hull.taped;
    let least = taped.and_then(|taped| {
        let least_m = taped.beam_over_all_m? - taped.beam_over_all_tolerance_m;
        let across = worked.trailer_from_hull.rotation * Vec3::Y;
        Some(least_m * across.y.abs())
    });
    drawn.max(least.unwrap_or(f64::MIN))
}

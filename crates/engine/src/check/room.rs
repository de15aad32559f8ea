//! How much room the whole takes on the road. The tractor is left out.

use crate::check::Worked;
use crate::findings::{Bound, Finding, Place, RigPartKind, RigShape, Size, Topic, Verdict};
use crate::math::Vec3;
use crate::quantity::{Basis, Quantity, Sentence};

/// Height, width and length over trailer and boat.
pub(super) fn size(worked: &Worked) -> Size {
    let mut extent = Extent::default();
    let hull_from_trailer = worked.trailer_from_hull.rotation.inverse();
    for part in worked.hull.parts.iter().filter(|p| p.part_use.in_size()) {
        for direction in AXES {
            let point = part.mesh.farthest(hull_from_trailer * direction);
            extent.take(direction, worked.trailer_from_hull * point);
        }
    }
    let boat_aft = -extent.far[1];
    let mut trailer = Extent::default();
    for part in &worked.parts {
        let reach = match part.shape {
            _ if part.kind == RigPartKind::Tractor => continue,
            RigShape::Ground => continue,
            RigShape::Box { half } => half.vec(),
            RigShape::Cylinder {
                half_length_m,
                radius_m,
            } => Vec3::new(radius_m, half_length_m, radius_m),
        };
        let pose = part.trailer_from_part.pose();
        for direction in AXES {
            let local = pose.rotation.inverse() * direction;
            trailer.take(direction, pose * (reach * local.signum()));
        }
    }
    let trailer_aft = -trailer.far[1];
    extent.merge(&trailer);
    let height_is = match worked.hull.taped {
        None => Bound::Exact,
        Some(taped) => match taped.above(worked.hull) {
            None => Bound::AtLeast,
            // What is drawn is her highest point then.
            Some(above) if above.maxs.z <= worked.hull.bounds.maxs.z => Bound::Exact,
            Some(above) => {
                // Whatever is highest may stand anywhere along her, and a trim lifts one end.
                let drawn = extent.far[4];
                for corner in above.vertices() {
                    extent.take(Vec3::Z, worked.trailer_from_hull * corner);
                }
                match extent.far[4] > drawn {
                    true => Bound::AtMost,
                    false => Bound::Exact,
                }
            }
        },
    };
    Size {
        height_m: extent.far[4],
        height_is,
        width_m: extent.far[2] + extent.far[3],
        length_m: extent.far[0] + extent.far[1],
        rear_overhang_m: trailer_aft - boat_aft,
        highest: extent.at[4].into(),
    }
}

const AXES: [Vec3; 5] = [Vec3::X, Vec3::NEG_X, Vec3::Y, Vec3::NEG_Y, Vec3::Z];

/// How far things reach along each of [`AXES`], and where.
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

    fn merge(&mut self, other: &Self) {
        for i in 0..AXES.len() {
            if other.far[i] > self.far[i] {
                self.far[i] = other.far[i];
                self.at[i] = other.at[i];
            }
        }
    }
}

pub(super) fn findings(worked: &Worked, size: &Size) -> Vec<Finding> {
    let required = &worked.load.required;
    let height = required
        .overall_height_m
        .map(|limit| height(worked, size, limit));
    let width = required.overall_width_m.map(|limit| {
        let verdict = Verdict::at_least(limit, size.width_m, worked.tolerance_m);
        held(
            worked,
            "width",
            Bound::Exact,
            verdict,
            size.width_m,
            limit,
            size,
        )
    });
    height.into_iter().chain(width).collect()
}

/// A height that is only known from one side never proves more than that side.
fn height(worked: &Worked, size: &Size, limit_m: f64) -> Finding {
    let found = size.height_m;
    let verdict = match (
        size.height_is,
        Verdict::at_least(limit_m, found, worked.tolerance_m),
    ) {
        (Bound::AtLeast, Verdict::Clear | Verdict::Tight) => Verdict::Unknown,
        (Bound::AtMost, Verdict::Foul) if !surely_over(worked, limit_m) => Verdict::Unknown,
        (_, verdict) => verdict,
    };
    let finding = held(
        worked,
        "height",
        size.height_is,
        verdict,
        found,
        limit_m,
        size,
    );
    match verdict {
        Verdict::Unknown => finding.advising(Sentence::new(match size.height_is {
            Bound::AtLeast => super::taped::MEASURE_HEIGHT,
            _ => "measure the height above ground once she stands on the trailer",
        })),
        _ => finding,
    }
}

/// Whether even the drawn hull, or the lowest place that her highest point can have, is over the limit.
fn surely_over(worked: &Worked, limit_m: f64) -> bool {
    let drawn = worked
        .hull
        .parts
        .iter()
        .filter(|p| p.part_use.in_size())
        .map(|part| {
            let up = worked.trailer_from_hull.rotation.inverse() * Vec3::Z;
            (worked.trailer_from_hull * part.mesh.farthest(up)).z
        })
        .fold(f64::MIN, f64::max);
    let taped = worked.hull.taped;
    let least = taped.and_then(|taped| {
        let above = taped.above(worked.hull)?;
        let top = above.vertices().into_iter().filter(|c| c.z == above.maxs.z);
        let lowest = top
            .map(|corner| (worked.trailer_from_hull * corner).z)
            .fold(f64::MAX, f64::min);
        Some(lowest - 2.0 * taped.highest_tolerance_m)
    });
    drawn.max(least.unwrap_or(f64::MIN)) > limit_m
}

fn held(
    worked: &Worked,
    what: &str,
    is: Bound,
    verdict: Verdict,
    found: f64,
    limit: f64,
    size: &Size,
) -> Finding {
    let says = Sentence::new(is.words().trim_end())
        .length(found)
        .words("where")
        .length(limit)
        .words("is allowed");
    let id = format!("size:{what}");
    let finding = Finding::new(id, Topic::Size, verdict, format!("overall {what}"), says)
        .found(Quantity::length(found))
        .against(
            Quantity::length(limit),
            Quantity::length(worked.tolerance_m),
        )
        .resting_on(&[Basis::Computed, Basis::Measured])
        .at(Place::Point(size.highest));
    match verdict {
        Verdict::Foul => finding.advising(Sentence::new(
            "lower the suspension or the blocks; permits and routes decide",
        )),
        _ => finding,
    }
}

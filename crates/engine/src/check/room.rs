//! How much room the whole takes on the road. The tractor is left out.

use crate::check::Worked;
use crate::findings::{Finding, Place, RigPartKind, RigShape, Size, Topic, Verdict};
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
    Size {
        height_m: extent.far[4],
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
    [
        (
            "size:height",
            "overall height",
            size.height_m,
            required.overall_height_m,
        ),
        (
            "size:width",
            "overall width",
            size.width_m,
            required.overall_width_m,
        ),
    ]
    .into_iter()
    .filter_map(|(id, title, found, limit)| {
        let limit = limit?;
        let verdict = Verdict::at_least(limit, found, worked.tolerance_m);
        let says = Sentence::figure_first(Quantity::length(found))
            .words("where")
            .length(limit)
            .words("is allowed");
        let finding = Finding::new(id, Topic::Size, verdict, title, says)
            .found(Quantity::length(found))
            .against(
                Quantity::length(limit),
                Quantity::length(worked.tolerance_m),
            )
            .resting_on(&[Basis::Computed, Basis::Measured])
            .at(Place::Point(size.highest));
        Some(if verdict == Verdict::Foul {
            finding.advising(Sentence::new(
                "lower the suspension or the blocks; permits and routes decide",
            ))
        } else {
            finding
        })
    })
    .collect()
}

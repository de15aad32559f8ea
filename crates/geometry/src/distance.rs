//! Signed gap with both nearest points between a mesh and a solid.

use parry3d_f64::bounding_volume::BoundingVolume;
use parry3d_f64::shape::{Cuboid, Cylinder, SupportMap};

use crate::math::{Aabb, Pose, Vec3};
use crate::mesh::Mesh;
use crate::shape::Shape;
use nearest::{Met, nearest};

mod depth;
mod nearest;

pub(crate) use depth::Sides;
pub use nearest::FAR_M;

/// A signed gap with both points, in the frame of the mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Gap, m: zero where they touch, negative where they overlap, by how much.
    pub gap_m: f64,
    /// Nearest (or deepest) point of the mesh.
    pub on_mesh: Vec3,
    /// Nearest (or deepest) point of the other shape.
    pub on_shape: Vec3,
}

/// Gap between a mesh and a shape that stands at `mesh_from_shape`.
///
/// - Separated: the distance and the two nearest points.
/// - Touching: zero.
/// - Overlapping: minus the greater of two depths: how far the shape must move to leave the
///   triangles it cuts, and how deep its corners, edge middles and face middles lie inside.
/// - The shape wholly inside the mesh: minus the way it must go to come out where the skin is
///   nearest, its own width included.
/// - The mesh wholly inside the shape: overlapping; the shape is solid.
///
/// None if the two are more than ten kilometres apart, or if the query library gives no answer for
/// a triangle that might be the nearest: such a gap is unknown, never left out.
pub fn gap(mesh: &Mesh, shape: &Shape, mesh_from_shape: &Pose) -> Option<Gap> {
    gap_near(mesh, shape, mesh_from_shape, None)
}

/// The same, begun from a point of the mesh that may be among the nearest. Any will do; a near one
/// saves time.
pub fn gap_near(
    mesh: &Mesh,
    shape: &Shape,
    mesh_from_shape: &Pose,
    near: Option<Vec3>,
) -> Option<Gap> {
    match *shape {
        Shape::Ground => Some(gap_to_ground(mesh, mesh_from_shape)),
        Shape::Box { half } => solid_gap(mesh, &Cuboid::new(half.vec()), mesh_from_shape, near),
        Shape::Cylinder {
            half_length_m,
            radius_m,
        } => {
            let solid = Cylinder::new(half_length_m, radius_m);
            solid_gap(mesh, &solid, mesh_from_shape, near)
        }
    }
}

fn gap_to_ground(mesh: &Mesh, mesh_from_ground: &Pose) -> Gap {
    let up = mesh_from_ground.rotation * Vec3::Z;
    let on_mesh = mesh.farthest(-up);
    let gap_m = (on_mesh - mesh_from_ground.translation).dot(up);
    Gap {
        gap_m,
        on_mesh,
        on_shape: on_mesh - up * gap_m,
    }
}

fn solid_gap<S: Solid>(
    mesh: &Mesh,
    solid: &S,
    mesh_from_solid: &Pose,
    near: Option<Vec3>,
) -> Option<Gap> {
    match nearest(mesh, solid, mesh_from_solid, near) {
        Met::Apart(gap) => {
            let bounds = solid.compute_aabb(mesh_from_solid);
            // The skin is not cut, so the solid is inside as a whole or not at all.
            let may_be_inside = gap.gap_m > 0.0 && mesh.aabb().contains(&bounds);
            let back = (gap.on_mesh - gap.on_shape) / gap.gap_m;
            if may_be_inside
                && reaches_past(mesh, gap.on_shape, -back)
                && mesh.contains(mesh_from_solid.translation)
            {
                let width = width_along(solid, mesh_from_solid, back);
                return Some(Gap {
                    gap_m: -(gap.gap_m + width),
                    ..gap
                });
            }
            Some(gap)
        }
        Met::Cut => Some(depth::of(mesh, solid, mesh_from_solid)),
        Met::Nothing => None,
    }
}

/// Whether any of the mesh lies farther along a unit vector than a point. Where none does the point is outside, which
/// rays would take longer to tell.
fn reaches_past(mesh: &Mesh, point: Vec3, way: Vec3) -> bool {
    mesh.farthest(way).dot(way) > point.dot(way)
}

/// A shape of the rig with a surface all round.
trait Solid: parry3d_f64::shape::Shape + SupportMap + depth::Sides {}

impl Solid for Cuboid {}
impl Solid for Cylinder {}

fn width_along(solid: &impl SupportMap, mesh_from_solid: &Pose, direction: Vec3) -> f64 {
    let ahead = solid
        .support_point(mesh_from_solid, direction)
        .dot(direction);
    let behind = solid
        .support_point(mesh_from_solid, -direction)
        .dot(direction);
    ahead - behind
}

/// A length that the gap of whatever lies in a box of a mesh's frame to a shape is no less than, m: how far it is
/// apart from a box around the shape, or less than any gap where the boxes meet.
pub fn least_of_box(bounds: &Aabb, shape: &Shape, shape_from_mesh: &Pose) -> f64 {
    let [x, y, z] = [Vec3::X, Vec3::Y, Vec3::Z].map(|axis| shape_from_mesh.rotation * axis);
    let half = bounds.half_extents();
    let middle = shape_from_mesh * bounds.center();
    // The box around the turned bounds, along the shape's axes.
    let around = x.abs() * half.x + y.abs() * half.y + z.abs() * half.z;
    let Some(solid) = shape.half() else {
        return middle.z - around.z;
    };
    let apart = |between: Vec3, reach: Vec3| (between.abs() - reach).max(Vec3::ZERO).length();
    let own = apart(middle, around + solid);
    // The same along the mesh's axes.
    let [x, y, z] = [x, y, z].map(|axis| axis.abs().dot(solid));
    let between =
        [Vec3::X, Vec3::Y, Vec3::Z].map(|axis| (shape_from_mesh.rotation * axis).dot(middle));
    let others = apart(Vec3::from_array(between), half + Vec3::new(x, y, z));
    let least_m = own.max(others);
    if least_m > 0.0 {
        least_m
    } else {
        f64::NEG_INFINITY
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::math::{Point, Rot3};
    use crate::solids::cuboid;

    fn unit_box() -> Shape {
        Shape::Box {
            half: Point::new(1.0, 1.0, 1.0),
        }
    }

    fn at(x: f64, y: f64, z: f64) -> Pose {
        Pose::from_translation(Vec3::new(x, y, z))
    }

    fn cube() -> Mesh {
        cuboid([-1.0; 3], [1.0; 3])
    }

    #[test]
    fn apart_touching_and_overlapping_cubes() {
        // check-values.md 9.2, "Touching cubes" and "Cubes half-size 1, centres 1.9 apart" [derived].
        let apart = gap(&cube(), &unit_box(), &at(2.25, 0.0, 0.0)).unwrap();
        assert!((apart.gap_m - 0.25).abs() < 1e-9);
        assert!((apart.on_shape - apart.on_mesh).length() - apart.gap_m < 1e-9);
        let touching = gap(&cube(), &unit_box(), &at(2.0, 0.0, 0.0)).unwrap();
        assert!(touching.gap_m.abs() < 1e-9, "{touching:?}");
        let overlap = gap(&cube(), &unit_box(), &at(1.9, 0.0, 0.0)).unwrap();
        assert!((overlap.gap_m + 0.1).abs() < 1e-9, "{overlap:?}");
    }

    #[test]
    fn a_box_wholly_inside_overlaps() {
        let hull = cuboid([-5.0, -1.0, 0.0], [5.0, 1.0, 2.0]);
        let half = Point::new(0.1, 0.1, 0.1);
        let inside = gap(&hull, &Shape::Box { half }, &at(0.0, 0.0, 0.3)).unwrap();
        // By hand: 0.2 m over the bottom, and its own 0.2 m to come out.
        assert!((inside.gap_m + 0.4).abs() < 1e-9, "{inside:?}");
    }

    #[test]
    fn a_mesh_wholly_inside_a_box_overlaps() {
        let small = cuboid([-0.1; 3], [0.1; 3]);
        let inside = gap(&small, &unit_box(), &Pose::identity()).unwrap();
        assert!(inside.gap_m < 0.0, "{inside:?}");
    }

    #[test]
    fn the_ground_is_a_plane() {
        let lifted = gap(&cube(), &Shape::Ground, &at(0.0, 0.0, -1.5)).unwrap();
        assert!((lifted.gap_m - 0.5).abs() < 1e-12);
        // check-values.md 9.2: a cube standing on a corner, plane z = -2 [derived].
        let corner = Rot3::from_rotation_arc(Vec3::ONE.normalize(), Vec3::NEG_Z);
        let ground = Pose::from_parts(Vec3::new(0.0, 0.0, -2.0), Rot3::IDENTITY);
        let mesh_from_ground = Pose::from_rotation(corner).inverse() * ground;
        let on_corner = gap(&cube(), &Shape::Ground, &mesh_from_ground).unwrap();
        assert!(
            (on_corner.gap_m - (2.0 - 3.0_f64.sqrt())).abs() < 1e-9,
            "{on_corner:?}"
        );
    }

    #[test]
    fn a_cylinder_is_round() {
        // By hand: axis along y at x = 3, radius 0.5; the cube's face stands at x = 1.
        let tyre = Shape::Cylinder {
            half_length_m: 0.4,
            radius_m: 0.5,
        };
        let level = gap(&cube(), &tyre, &at(3.0, 0.0, 0.0)).unwrap();
        assert!((level.gap_m - 1.5).abs() < 1e-7, "{level:?}");
        // Over the edge at (1, ., 1): distance sqrt(2^2 + 1^2) less the radius.
        let over_edge = gap(&cube(), &tyre, &at(3.0, 0.0, 2.0)).unwrap();
        assert!(
            (over_edge.gap_m - (5.0_f64.sqrt() - 0.5)).abs() < 1e-7,
            "{over_edge:?}"
        );
    }

    #[test]
    fn past_what_the_search_knows_there_is_no_answer() {
        let far = at(2.0 * FAR_M, 0.0, 0.0);
        assert_eq!(gap(&cube(), &unit_box(), &far), None);
    }

    #[test]
    fn a_point_that_is_not_on_the_mesh_leads_nowhere_wrong() {
        let pose = at(2.25, 0.3, 0.0);
        for near in [
            Vec3::new(1.24, 0.3, 0.0),
            Vec3::splat(f64::NAN),
            Vec3::splat(-9.0),
        ] {
            let found = gap_near(&cube(), &unit_box(), &pose, Some(near)).unwrap();
            assert!((found.gap_m - 0.25).abs() < 1e-9, "{near}: {found:?}");
        }
    }

    #[test]
    fn swapping_nothing_but_the_frame_changes_no_gap() {
        let pose = Pose::from_parts(
            Vec3::new(2.6, 0.4, 0.3),
            Rot3::from_rotation_z(0.3) * Rot3::from_rotation_x(0.2),
        );
        let there = gap(&cube(), &unit_box(), &pose).unwrap();
        let back = gap(&cube(), &unit_box(), &pose.inverse()).unwrap();
        assert!((there.gap_m - back.gap_m).abs() < 1e-9);
    }
}

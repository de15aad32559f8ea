//! Signed gaps with both nearest points between hull parts and rig parts.

use std::cell::Cell;

use parry3d_f64::bounding_volume::BoundingVolume;
use parry3d_f64::query::details::{
    closest_points_support_map_support_map, contact_composite_shape_shape,
};
use parry3d_f64::query::{ClosestPoints, DefaultQueryDispatcher, PointQuery};
use parry3d_f64::shape::{Cuboid, Cylinder, Shape, SupportMap, Triangle};

use crate::findings::{Clearance, RigPart, RigShape};
use crate::hull::Hull;
use crate::math::{Pose, Vec3};
use crate::mesh::Mesh;

/// Farther than any pair of parts of a boat and its rig can be, m.
const FAR_M: f64 = 1.0e4;

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
/// None only if the query library cannot answer, which for boxes and cylinders it always can.
pub fn gap(mesh: &Mesh, shape: &RigShape, mesh_from_shape: &Pose) -> Option<Gap> {
    match shape {
        RigShape::Ground => Some(gap_to_ground(mesh, mesh_from_shape)),
        RigShape::Box { half } => solid_gap(mesh, &Cuboid::new(half.vec()), mesh_from_shape),
        RigShape::Cylinder {
            half_length_m,
            radius_m,
        } => solid_gap(
            mesh,
            &Cylinder::new(*half_length_m, *radius_m),
            mesh_from_shape,
        ),
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

fn solid_gap<S: Shape + SupportMap>(mesh: &Mesh, solid: &S, mesh_from_solid: &Pose) -> Option<Gap> {
    match nearest(mesh, solid, mesh_from_solid) {
        ClosestPoints::WithinMargin(on_mesh, on_solid) => {
            let on_shape = mesh_from_solid * on_solid;
            let apart = on_mesh - on_shape;
            let gap_m = apart.length();
            let bounds = solid.compute_aabb(mesh_from_solid);
            // The skin is not cut, so the solid is inside as a whole or not at all.
            let may_be_inside = gap_m > 0.0 && mesh.aabb().contains(&bounds);
            if may_be_inside && mesh.contains(mesh_from_solid.translation) {
                let width = width_along(solid, mesh_from_solid, apart / gap_m);
                return Some(Gap {
                    gap_m: -(gap_m + width),
                    on_mesh,
                    on_shape,
                });
            }
            Some(Gap {
                gap_m,
                on_mesh,
                on_shape,
            })
        }
        ClosestPoints::Intersecting => {
            let cut = contact_composite_shape_shape(
                &DefaultQueryDispatcher,
                mesh_from_solid,
                mesh.shape(),
                solid,
                0.0,
            );
            let sampled = deepest_sample(mesh, solid, mesh_from_solid);
            let cut = cut.map(|c| Gap {
                gap_m: c.dist.min(0.0),
                on_mesh: c.point1,
                on_shape: mesh_from_solid * c.point2,
            });
            [cut, sampled]
                .into_iter()
                .flatten()
                .min_by(|a, b| a.gap_m.total_cmp(&b.gap_m))
                .or_else(
                    // The two met exactly and neither way finds a depth: they touch.
                    || {
                        let at = mesh_from_solid.translation;
                        Some(Gap {
                            gap_m: 0.0,
                            on_mesh: at,
                            on_shape: at,
                        })
                    },
                )
        }
        ClosestPoints::Disjoint => None,
    }
}

/// The nearest points of the mesh's skin and a solid.
///
/// The tree is the library's, the query on each triangle its general one (GJK): its shortcut for a
/// box and a triangle follows the axis of widest separation instead of the shortest way, and
/// reports 1.6 m for two parts that are 0.2 m apart when triangles are larger than the box.
///
/// What cannot be nearer is left out by three bounds, each never more than the true distance: of
/// the boxes along the mesh's axes, of the boxes along the solid's axes, and along the line between
/// the nearest points so far. The last does most of it: near the end it is exact.
fn nearest<S: Shape + SupportMap>(mesh: &Mesh, solid: &S, mesh_from_solid: &Pose) -> ClosestPoints {
    let triangles = mesh.shape();
    let bounds = Bounds::new(solid, mesh_from_solid);
    let toward = Cell::new(bounds.facing(bounds.middle - mesh.aabb().center()));
    let best = triangles.bvh().find_best(
        FAR_M,
        |node, _| bounds.least(node.mins(), node.maxs(), &toward.get()),
        |id, best| {
            let triangle = triangles.triangle(id);
            if toward.get().least(&triangle) >= best {
                return None;
            }
            let points = closest_points_support_map_support_map(
                mesh_from_solid,
                &triangle,
                solid,
                best.min(FAR_M),
            );
            let distance = match points {
                ClosestPoints::WithinMargin(on_mesh, on_solid) => {
                    let way = mesh_from_solid * on_solid - on_mesh;
                    let distance = way.length();
                    if distance < best {
                        toward.set(bounds.facing(way));
                    }
                    distance
                }
                ClosestPoints::Intersecting => f64::MIN,
                ClosestPoints::Disjoint => f64::MAX,
            };
            Some((distance, points))
        },
    );
    best.map_or(ClosestPoints::Disjoint, |(_, (_, points))| points)
}

/// What bounds a solid, in the frame of the mesh and in its own.
struct Bounds<'a, S> {
    solid: &'a S,
    mesh_from_solid: &'a Pose,
    middle: Vec3,
    half: Vec3,
    own_axes: [Vec3; 3],
    own_middle: Vec3,
    own_half: Vec3,
}

/// A direction toward a solid, and how far along it the solid begins.
#[derive(Debug, Clone, Copy)]
struct Facing {
    way: Vec3,
    begins: f64,
}

impl Facing {
    /// A distance that the triangle is not nearer than.
    fn least(&self, t: &Triangle) -> f64 {
        let reach = [t.a, t.b, t.c].map(|v| v.dot(self.way));
        self.begins - reach[0].max(reach[1]).max(reach[2])
    }
}

impl<'a, S: Shape + SupportMap> Bounds<'a, S> {
    fn new(solid: &'a S, mesh_from_solid: &'a Pose) -> Self {
        let bounds = solid.compute_aabb(mesh_from_solid);
        let own = solid.compute_local_aabb();
        Self {
            solid,
            mesh_from_solid,
            middle: bounds.center(),
            half: bounds.half_extents(),
            own_axes: [Vec3::X, Vec3::Y, Vec3::Z].map(|a| mesh_from_solid.rotation * a),
            own_middle: mesh_from_solid * own.center(),
            own_half: own.half_extents(),
        }
    }

    fn facing(&self, way: Vec3) -> Facing {
        let way = way.try_normalize().unwrap_or(Vec3::Z);
        let begins = self
            .solid
            .support_point(self.mesh_from_solid, -way)
            .dot(way);
        Facing { way, begins }
    }

    /// A distance that nothing between the corners `lo` and `hi` is nearer than.
    fn least(&self, lo: Vec3, hi: Vec3, toward: &Facing) -> f64 {
        let (middle, half) = ((lo + hi) / 2.0, (hi - lo) / 2.0);
        let beside = (middle - self.middle).abs() - half - self.half;
        let from = middle - self.own_middle;
        let along = self.own_axes.map(|axis| {
            let reach = axis.abs().dot(half);
            from.dot(axis).abs() - reach
        });
        let own_beside = Vec3::from_array(along) - self.own_half;
        let ahead = toward.begins - middle.dot(toward.way) - half.dot(toward.way.abs());
        let square = beside
            .max(Vec3::ZERO)
            .length_squared()
            .max(own_beside.max(Vec3::ZERO).length_squared());
        square.sqrt().max(ahead)
    }
}

fn width_along(solid: &impl SupportMap, mesh_from_solid: &Pose, direction: Vec3) -> f64 {
    let ahead = solid
        .support_point(mesh_from_solid, direction)
        .dot(direction);
    let behind = solid
        .support_point(mesh_from_solid, -direction)
        .dot(direction);
    ahead - behind
}

/// The sample of the solid's surface that lies deepest inside the mesh: corners, edge middles and
/// face middles of its bounds, drawn onto the solid.
fn deepest_sample<S: Shape + SupportMap>(
    mesh: &Mesh,
    solid: &S,
    mesh_from_solid: &Pose,
) -> Option<Gap> {
    let local = solid.compute_local_aabb();
    let (middle, half) = (local.center(), local.half_extents());
    let steps = [-1.0, 0.0, 1.0];
    let samples = steps.iter().flat_map(|&x| {
        steps
            .iter()
            .flat_map(move |&y| steps.map(|z| Vec3::new(x, y, z)))
    });
    samples
        .filter(|s| *s != Vec3::ZERO)
        .map(|s| mesh_from_solid * solid.project_local_point(middle + s * half, true).point)
        .filter(|p| mesh.contains(*p))
        .map(|on_shape| {
            let on_mesh = mesh.shape().project_local_point(on_shape, false).point;
            Gap {
                gap_m: -(on_mesh - on_shape).length(),
                on_mesh,
                on_shape,
            }
        })
        .min_by(|a, b| a.gap_m.total_cmp(&b.gap_m))
}

/// Every pair of hull part and rig part, hull parts in order within each rig part. Trailer frame.
pub fn all_pairs(hull: &Hull, parts: &[RigPart], trailer_from_hull: &Pose) -> Vec<Clearance> {
    let pairs: Vec<(usize, usize)> = (0..parts.len())
        .flat_map(|rig| (0..hull.parts.len()).map(move |part| (part, rig)))
        .collect();
    let one = |&(hull_part, rig_part): &(usize, usize)| {
        pair(hull, parts, trailer_from_hull, hull_part, rig_part)
    };
    collect(&pairs, one)
}

#[cfg(feature = "parallel")]
fn collect(
    pairs: &[(usize, usize)],
    one: impl Fn(&(usize, usize)) -> Clearance + Sync + Send,
) -> Vec<Clearance> {
    use rayon::prelude::*;
    pairs.par_iter().map(one).collect()
}

#[cfg(not(feature = "parallel"))]
fn collect(pairs: &[(usize, usize)], one: impl Fn(&(usize, usize)) -> Clearance) -> Vec<Clearance> {
    pairs.iter().map(one).collect()
}

/// One pair of hull part and rig part, by index. Trailer frame.
///
/// A gap that cannot be computed is not a number, so that the pair stays and reads as unknown.
pub fn pair(
    hull: &Hull,
    parts: &[RigPart],
    trailer_from_hull: &Pose,
    hull_part: usize,
    rig_part: usize,
) -> Clearance {
    let part = &parts[rig_part];
    let hull_from_part = trailer_from_hull.inv_mul(&part.trailer_from_part.pose());
    let middle = hull_from_part.translation;
    let gap = gap(&hull.parts[hull_part].mesh, &part.shape, &hull_from_part).unwrap_or(Gap {
        gap_m: f64::NAN,
        on_mesh: middle,
        on_shape: middle,
    });
    Clearance {
        hull_part,
        rig_part,
        gap_m: gap.gap_m,
        on_hull: (trailer_from_hull * gap.on_mesh).into(),
        on_rig: (trailer_from_hull * gap.on_shape).into(),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::math::{Point, Rot3};
    use crate::mesh::tests::cuboid;

    fn unit_box() -> RigShape {
        RigShape::Box {
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
        let inside = gap(&hull, &RigShape::Box { half }, &at(0.0, 0.0, 0.3)).unwrap();
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
        let lifted = gap(&cube(), &RigShape::Ground, &at(0.0, 0.0, -1.5)).unwrap();
        assert!((lifted.gap_m - 0.5).abs() < 1e-12);
        // check-values.md 9.2: a cube standing on a corner, plane z = -2 [derived].
        let corner = Rot3::from_rotation_arc(Vec3::ONE.normalize(), Vec3::NEG_Z);
        let ground = Pose::from_parts(Vec3::new(0.0, 0.0, -2.0), Rot3::IDENTITY);
        let mesh_from_ground = Pose::from_rotation(corner).inverse() * ground;
        let on_corner = gap(&cube(), &RigShape::Ground, &mesh_from_ground).unwrap();
        assert!(
            (on_corner.gap_m - (2.0 - 3.0_f64.sqrt())).abs() < 1e-9,
            "{on_corner:?}"
        );
    }

    #[test]
    fn a_cylinder_is_round() {
        // By hand: axis along y at x = 3, radius 0.5; the cube's face stands at x = 1.
        let tyre = RigShape::Cylinder {
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

//! Signed gaps with both nearest points between hull parts and rig parts.

use parry3d_f64::bounding_volume::BoundingVolume;
use parry3d_f64::query::details::{
    closest_points_composite_shape_shape, contact_composite_shape_shape,
};
use parry3d_f64::query::{ClosestPoints, DefaultQueryDispatcher, PointQuery};
use parry3d_f64::shape::{Cuboid, Cylinder, Shape, SupportMap};

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
    let triangles = mesh.shape();
    let dispatcher = DefaultQueryDispatcher;
    match closest_points_composite_shape_shape(
        &dispatcher,
        mesh_from_solid,
        triangles,
        solid,
        FAR_M,
    ) {
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
            let cut =
                contact_composite_shape_shape(&dispatcher, mesh_from_solid, triangles, solid, 0.0);
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
    one: impl Fn(&(usize, usize)) -> Option<Clearance> + Sync,
) -> Vec<Clearance> {
    use rayon::prelude::*;
    pairs.par_iter().filter_map(one).collect()
}

#[cfg(not(feature = "parallel"))]
fn collect(
    pairs: &[(usize, usize)],
    one: impl Fn(&(usize, usize)) -> Option<Clearance>,
) -> Vec<Clearance> {
    pairs.iter().filter_map(one).collect()
}

/// One pair of hull part and rig part, by index. Trailer frame.
pub fn pair(
    hull: &Hull,
    parts: &[RigPart],
    trailer_from_hull: &Pose,
    hull_part: usize,
    rig_part: usize,
) -> Option<Clearance> {
    let part = &parts[rig_part];
    let hull_from_part = trailer_from_hull.inv_mul(&part.trailer_from_part.pose());
    let gap = gap(&hull.parts[hull_part].mesh, &part.shape, &hull_from_part)?;
    Some(Clearance {
        hull_part,
        rig_part,
        gap_m: gap.gap_m,
        on_hull: (trailer_from_hull * gap.on_mesh).into(),
        on_rig: (trailer_from_hull * gap.on_shape).into(),
    })
}

//! How deep a solid and the skin of a mesh are in each other.
//!
//! All is reckoned along directions that belong to the solid and the triangles, so that carrying
//! both elsewhere changes nothing but the last digits.

use parry3d_f64::query::ClosestPoints;
use parry3d_f64::query::details::closest_points_support_map_support_map;
use parry3d_f64::shape::{Cuboid, Cylinder, Triangle};

use super::{Gap, Solid};
use crate::math::{Pose, Vec3};
use crate::mesh::Mesh;

/// Two directions this near to parallel have no cross product worth the name: sine of the angle.
const PARALLEL: f64 = 1e-6;

/// How far the solid is drawn past the triangle to find where they last touch, m.
const PAST_M: f64 = 1e-6;

/// A solid about its own origin, the same seen from either end of any line through it.
pub trait Sides {
    /// How far it reaches along a unit vector, own axes.
    fn reach(&self, way: Vec3) -> f64;
    /// Its point nearest to another, itself if that lies within. Own axes.
    fn nearest(&self, point: Vec3) -> Vec3;
    /// The directions, of any length, along which it may leave a triangle soonest. Own axes.
    fn ways_out(&self, corners: [Vec3; 3], found: impl FnMut(Vec3));
}

/// Of two convex bodies with flat faces the shortest way out is square to a face of one or to an
/// edge of each: thirteen directions.
impl Sides for Cuboid {
    fn reach(&self, way: Vec3) -> f64 {
        way.abs().dot(self.half_extents)
    }

    fn nearest(&self, point: Vec3) -> Vec3 {
        point.clamp(-self.half_extents, self.half_extents)
    }

    fn ways_out(&self, corners: [Vec3; 3], mut found: impl FnMut(Vec3)) {
        for axis in [Vec3::X, Vec3::Y, Vec3::Z] {
            found(axis);
            edges(corners)
                .into_iter()
                .for_each(|e| found(across(e, axis)));
        }
    }
}

/// Out past an end, square to an edge and the axis, or straight from the axis. The ways out over
/// the rim are left out: what is found may be more than the shortest, never less.
impl Sides for Cylinder {
    fn reach(&self, way: Vec3) -> f64 {
        self.half_height * way.y.abs() + self.radius * way.x.hypot(way.z)
    }

    fn nearest(&self, point: Vec3) -> Vec3 {
        let from_axis = (point.x * point.x + point.z * point.z).sqrt();
        let drawn = (self.radius / from_axis).min(1.0);
        let y = point.y.clamp(-self.half_height, self.half_height);
        Vec3::new(point.x * drawn, y, point.z * drawn)
    }

    fn ways_out(&self, corners: [Vec3; 3], mut found: impl FnMut(Vec3)) {
        found(Vec3::Y);
        edges(corners)
            .into_iter()
            .for_each(|e| found(across(e, Vec3::Y)));
        corners.into_iter().for_each(|v| found(v.with_y(0.0)));
    }
}

fn edges([a, b, c]: [Vec3; 3]) -> [Vec3; 3] {
    [b - a, c - b, a - c]
}

/// Square to both; nothing where they are parallel.
fn across(a: Vec3, b: Vec3) -> Vec3 {
    let square = a.cross(b);
    let parallel =
        square.length_squared() <= PARALLEL * PARALLEL * a.length_squared() * b.length_squared();
    if parallel { Vec3::ZERO } else { square }
}

/// The greater of two depths: how far the solid must move to leave the triangles it cuts, one by
/// one, and how deep samples of its surface lie inside. Nothing where it only touches.
pub(super) fn of<S: Solid>(mesh: &Mesh, solid: &S, mesh_from_solid: &Pose) -> Gap {
    let Some((cut, way)) = deepest_cut(mesh, solid, mesh_from_solid) else {
        let at = mesh.nearest_to(mesh_from_solid.translation);
        let touching = Gap {
            gap_m: 0.0,
            on_mesh: at,
            on_shape: at,
        };
        return deepest_sample(mesh, solid, mesh_from_solid, &touching, None).unwrap_or(touching);
    };
    deepest_sample(mesh, solid, mesh_from_solid, &cut, Some(way)).unwrap_or(cut)
}

/// The triangle that the solid must move farthest to leave, and which way.
fn deepest_cut<S: Solid>(mesh: &Mesh, solid: &S, mesh_from_solid: &Pose) -> Option<(Gap, Vec3)> {
    let solid_from_mesh = mesh_from_solid.inverse();
    let axes = [Vec3::X, Vec3::Y, Vec3::Z].map(|a| mesh_from_solid.rotation * a);
    let half = solid.compute_local_aabb().half_extents();
    let near = |node: &crate::mesh::tree::Node| {
        let (middle, extent) = node.middle_and_half();
        let from = middle - mesh_from_solid.translation;
        (0..3).all(|i| from.dot(axes[i]).abs() <= half[i] + extent.dot(axes[i].abs()))
    };
    let mut deepest: Option<(f64, Triangle, Vec3)> = None;
    mesh.tree().each(near, |id| {
        let triangle = mesh.triangle(id);
        let corners = [triangle.a, triangle.b, triangle.c].map(|v| solid_from_mesh * v);
        let least = deepest.map_or(0.0, |(depth_m, ..)| depth_m);
        if let Some((depth_m, way)) = way_out(solid, corners, least)
            && cuts(&triangle, solid, mesh_from_solid)
        {
            deepest = Some((depth_m, triangle, mesh_from_solid.rotation * way));
        }
    });
    let (depth_m, triangle, way) = deepest?;
    // Moved that far it only touches, and where it does the two are deepest in each other.
    let out = way * (depth_m + PAST_M);
    let moved = Pose::from_parts(mesh_from_solid.translation + out, mesh_from_solid.rotation);
    let last = closest_points_support_map_support_map(&moved, &triangle, solid, f64::MAX);
    let (on_mesh, on_shape) = match last {
        ClosestPoints::WithinMargin(on_mesh, on_solid) => (on_mesh, moved * on_solid - out),
        _ => (triangle.a, triangle.a - way * depth_m),
    };
    let gap = Gap {
        gap_m: -depth_m,
        on_mesh,
        on_shape,
    };
    Some((gap, way))
}

/// The shortest way out of a triangle and its length, if that is more than `least_m`. Own axes.
fn way_out(solid: &impl Sides, corners: [Vec3; 3], least_m: f64) -> Option<(f64, Vec3)> {
    let mut shortest = (f64::INFINITY, Vec3::ZERO);
    let mut consider = |way: Vec3| {
        if shortest.0 <= least_m {
            return;
        }
        let Some(way) = way.try_normalize() else {
            return;
        };
        let [a, b, c] = corners.map(|v| v.dot(way));
        let (ahead, behind) = (a.max(b).max(c), -a.min(b).min(c));
        let length_m = solid.reach(way) + ahead.min(behind);
        if length_m < shortest.0 {
            let way = if ahead <= behind { way } else { -way };
            shortest = (length_m, way);
        }
    };
    let [u, v, _] = edges(corners);
    consider(across(u, v));
    solid.ways_out(corners, consider);
    (shortest.0 > least_m && shortest.0.is_finite()).then_some(shortest)
}

fn cuts(triangle: &Triangle, solid: &impl Solid, mesh_from_solid: &Pose) -> bool {
    let met = closest_points_support_map_support_map(mesh_from_solid, triangle, solid, f64::MAX);
    matches!(met, ClosestPoints::Intersecting)
}

/// The sample of the solid's surface that lies deepest inside the mesh, if deeper than `cut`:
/// corners, edge middles and face middles of its bounds, drawn onto the solid.
///
/// What the whole mesh lies behind, seen along `way`, is not inside; of a part that only touches a
/// hull that is most of it.
fn deepest_sample<S: Solid>(
    mesh: &Mesh,
    solid: &S,
    mesh_from_solid: &Pose,
    cut: &Gap,
    way: Option<Vec3>,
) -> Option<Gap> {
    let half = solid.compute_local_aabb().half_extents();
    let ends = way.map(|way| (way, mesh.farthest(way).dot(way)));
    let may_be_inside = |p: &Vec3| {
        mesh.aabb().contains_local_point(*p) && ends.is_none_or(|(way, end)| p.dot(way) <= end)
    };
    let steps = [-1.0, 0.0, 1.0];
    let at = |i: usize| Vec3::new(steps[i % 3], steps[i / 3 % 3], steps[i / 9]);
    let mut samples: Vec<Gap> = (0..27)
        .map(at)
        .filter(|s| *s != Vec3::ZERO)
        .map(|s| mesh_from_solid * solid.project_local_point(s * half, true).point)
        .filter(may_be_inside)
        .map(|on_shape| {
            let on_mesh = mesh.nearest_to(on_shape);
            Gap {
                gap_m: -(on_mesh - on_shape).length(),
                on_mesh,
                on_shape,
            }
        })
        .filter(|sample| sample.gap_m < cut.gap_m)
        .collect();
    samples.sort_by(|a, b| a.gap_m.total_cmp(&b.gap_m));
    samples.into_iter().find(|s| mesh.contains(s.on_shape))
}

//! Signed gaps with both nearest points between hull parts and rig parts.

use std::ops::Range;

use parry3d_f64::bounding_volume::BoundingVolume;
use parry3d_f64::query::details::closest_points_support_map_support_map_with_params;
use parry3d_f64::query::gjk::{GJKResult, VoronoiSimplex};
use parry3d_f64::shape::{Cuboid, Cylinder, Shape, SupportMap};

use crate::findings::{Clearance, RigPart, RigShape};
use crate::hull::Hull;
use crate::math::{Pose, Vec3};
use crate::mesh::Mesh;
use crate::mesh::tree::{Node, Search};
use crate::parallel::each;

mod depth;

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
/// None if the two are more than ten kilometres apart, or if the query library gives no answer for
/// a triangle that might be the nearest: such a gap is unknown, never left out.
pub fn gap(mesh: &Mesh, shape: &RigShape, mesh_from_shape: &Pose) -> Option<Gap> {
    gap_near(mesh, shape, mesh_from_shape, None)
}

/// The same, begun from a point of the mesh that may be among the nearest. Any will do; a near one
/// saves time.
fn gap_near(
    mesh: &Mesh,
    shape: &RigShape,
    mesh_from_shape: &Pose,
    near: Option<Vec3>,
) -> Option<Gap> {
    match *shape {
        RigShape::Ground => Some(gap_to_ground(mesh, mesh_from_shape)),
        RigShape::Box { half } => solid_gap(mesh, &Cuboid::new(half.vec()), mesh_from_shape, near),
        RigShape::Cylinder {
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
            if may_be_inside && mesh.contains(mesh_from_solid.translation) {
                let apart = gap.on_mesh - gap.on_shape;
                let width = width_along(solid, mesh_from_solid, apart / gap.gap_m);
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

/// A shape of the rig with a surface all round.
trait Solid: Shape + SupportMap + depth::Sides {}

impl Solid for Cuboid {}
impl Solid for Cylinder {}

/// How the skin of a mesh and a solid meet.
#[derive(Debug, Clone, Copy)]
enum Met {
    /// They do not: the distance and the two nearest points.
    Apart(Gap),
    /// The solid cuts the skin.
    Cut,
    /// No query gave an answer.
    Nothing,
}

/// The nearest points of the mesh's skin and a solid, by the library's general query (GJK) on each
/// triangle that may hold them, begun from the point `near` of the mesh if there is one.
///
/// What cannot be nearer is left out by bounds that are never more than the true distance; see
/// [`Nearest::bound`].
fn nearest<S: Solid>(mesh: &Mesh, solid: &S, mesh_from_solid: &Pose, near: Option<Vec3>) -> Met {
    let mut search = Nearest::new(mesh, solid, mesh_from_solid);
    if let Some(near) = near {
        search.begin_at(near);
        mesh.tree().search(&mut search);
        let met = search.found();
        if !matches!(met, Met::Nothing) {
            return met;
        }
        // The point was not one of the mesh, or led astray.
        search = Nearest::new(mesh, solid, mesh_from_solid);
    }
    mesh.tree().search(&mut search);
    search.found()
}

/// The search for the nearest points.
struct Nearest<'a, S> {
    mesh: &'a Mesh,
    solid: &'a S,
    mesh_from_solid: &'a Pose,
    /// The mesh's axes, along those of the solid.
    axes: [Vec3; 3],
    /// Middle of the solid, frame of the mesh.
    middle: Vec3,
    /// Half the edges of its bounds along its own axes.
    half: Vec3,
    /// Unit vector from the mesh toward the solid, between the nearest points so far.
    way: Vec3,
    /// The same along the solid's axes.
    own_way: Vec3,
    /// How far along it the solid begins.
    begins: f64,
    best: f64,
    met: Met,
    /// Whether every triangle looked at gave an answer.
    sure: bool,
}

/// What comes no nearer than this to the best so far is not looked at, m: a thousandth of what
/// anyone measures, and far more than rounding.
const AS_NEAR_M: f64 = 1e-8;

impl<'a, S: Solid> Nearest<'a, S> {
    fn new(mesh: &'a Mesh, solid: &'a S, mesh_from_solid: &'a Pose) -> Self {
        let own_from_mesh = mesh_from_solid.rotation.inverse();
        let mut search = Self {
            mesh,
            solid,
            mesh_from_solid,
            axes: [Vec3::X, Vec3::Y, Vec3::Z].map(|a| own_from_mesh * a),
            middle: mesh_from_solid.translation,
            half: solid.compute_local_aabb().half_extents(),
            way: Vec3::Z,
            own_way: Vec3::Z,
            begins: 0.0,
            best: FAR_M,
            met: Met::Nothing,
            sure: true,
        };
        search.face(search.middle - mesh.aabb().center());
        search
    }

    /// Nothing farther than this point of the mesh is then looked at. It is taken as a little
    /// farther than it is, so that it, or what is nearer, is found as any other.
    fn begin_at(&mut self, near: Vec3) {
        let own = self.mesh_from_solid.inverse_transform_point(near);
        let on_solid = self.mesh_from_solid * self.solid.project_local_point(own, true).point;
        let way = on_solid - near;
        self.best = FAR_M.min(way.length() * (1.0 + 1e-6) + 4.0 * AS_NEAR_M);
        self.face(way);
    }

    fn face(&mut self, way: Vec3) {
        self.way = way.try_normalize().unwrap_or(Vec3::Z);
        self.own_way = self.along(self.way);
        let nearest = self.solid.support_point(self.mesh_from_solid, -self.way);
        self.begins = nearest.dot(self.way);
    }

    /// Whether the solid begins no nearer than the best so far along a unit vector.
    fn stands_off(&self, corners: [Vec3; 3], way: Vec3) -> bool {
        let nearest = self.solid.support_point(self.mesh_from_solid, -way);
        let begins = nearest.dot(way);
        corners.iter().all(|v| begins - v.dot(way) >= self.best())
    }

    /// What was found; nothing if a triangle that might be nearer gave no answer.
    fn found(self) -> Met {
        match self.met {
            Met::Apart(_) if !self.sure => Met::Nothing,
            met => met,
        }
    }

    /// A vector along the solid's axes.
    fn along(&self, v: Vec3) -> Vec3 {
        self.axes[0] * v.x + self.axes[1] * v.y + self.axes[2] * v.z
    }

    /// A vector along the mesh's axes.
    fn across(&self, own: Vec3) -> Vec3 {
        Vec3::from_array(self.axes.map(|axis| axis.dot(own)))
    }

    /// Distance of the solid from a point, and the unit vector that way; own axes.
    fn toward(&self, own: Vec3) -> (f64, Vec3) {
        let way = self.solid.nearest(own) - own;
        let distance = way.length();
        if distance > 0.0 {
            (distance, way / distance)
        } else {
            (0.0, Vec3::ZERO)
        }
    }

    /// A distance that a surface is not nearer than, if its bounds along the solid's axes have this
    /// middle (seen from the solid's) and these half edges, and it reaches this far toward the
    /// solid.
    ///
    /// The way `d` between two points, one of each, has a share of at least `ahead` along `way`,
    /// and along each axis on which the bounds stand apart at least that much. The shortest `d`
    /// that has the first is `ahead * way`; what it falls short of the others comes on top: with
    /// `d = ahead * way + e`, `e·way` is not negative, so that `|d|² ≥ ahead² + |e|²`.
    fn bound(&self, middle: Vec3, half: Vec3, reach: f64) -> f64 {
        let beside = middle.abs() - half - self.half;
        let ahead = (self.begins - reach).max(0.0);
        // The share along each axis that `ahead * way` has already, toward the solid.
        let had = -ahead * self.own_way * middle.signum();
        let apart = beside.max(Vec3::ZERO);
        let short = Vec3::select(beside.cmpgt(Vec3::ZERO), apart - had, Vec3::ZERO);
        let short = short.max(Vec3::ZERO);
        let square = ahead * ahead + short.length_squared();
        square.max(apart.length_squared()).sqrt()
    }
}

impl<S: Solid> Search for Nearest<'_, S> {
    fn least(&self, node: &Node) -> f64 {
        let reach = node.reach(self.way);
        let ahead = self.begins - reach;
        if ahead >= self.best() {
            return ahead;
        }
        let (middle, half) = node.middle_and_half();
        let own_middle = self.along(middle - self.middle);
        let (distance, own_way) = self.toward(own_middle);
        if distance < half.element_sum() {
            let [x, y, z] = self.axes.map(Vec3::abs);
            let own_half = x * half.x + y * half.y + z * half.z;
            return self.bound(own_middle, own_half, reach);
        }
        // Small beside its distance: from its own middle the way to the solid is another.
        let way = self.across(own_way);
        ahead.max(distance + middle.dot(way) - node.reach(way))
    }

    fn best(&self) -> f64 {
        self.best - AS_NEAR_M
    }

    fn look(&mut self, triangle: u32) {
        let triangle = self.mesh.triangle(triangle);
        let corners = [triangle.a, triangle.b, triangle.c];
        let [a, b, c] = corners.map(|v| v.dot(self.way));
        let reach = a.max(b).max(c);
        if self.begins - reach >= self.best() {
            return;
        }
        let middle = (triangle.a + triangle.b + triangle.c) / 3.0;
        let (distance, own_way) = self.toward(self.along(middle - self.middle));
        let way = self.across(own_way);
        let [a, b, c] = corners.map(|v| (v - middle).dot(way));
        if distance - a.max(b).max(c) >= self.best() {
            return;
        }
        let met = closest_points_support_map_support_map_with_params(
            self.mesh_from_solid,
            &triangle,
            self.solid,
            self.best,
            &mut VoronoiSimplex::new(),
            Some(way),
        );
        match met {
            GJKResult::ClosestPoints(on_mesh, on_shape, _) => {
                let way = on_shape - on_mesh;
                let gap_m = way.length();
                if gap_m < self.best {
                    self.best = gap_m;
                    self.met = Met::Apart(Gap {
                        gap_m,
                        on_mesh,
                        on_shape,
                    });
                    self.face(way);
                }
            }
            GJKResult::Intersection => {
                self.best = f64::NEG_INFINITY;
                self.met = Met::Cut;
            }
            // Its witness, a plane between the two, is held against both: the query also ends so
            // where it does not come to an end.
            GJKResult::NoIntersection(way) if self.stands_off(corners, way) => {}
            GJKResult::NoIntersection(_) | GJKResult::Proximity(_) => self.sure = false,
        }
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

/// Every pair of hull part and rig part, hull parts in order within each rig part. Trailer frame.
///
/// A gap that cannot be computed is not a number, so that the pair stays and reads as unknown.
pub fn all_pairs(hull: &Hull, parts: &[RigPart], trailer_from_hull: &Pose) -> Vec<Clearance> {
    /// Rig parts that follow each other are often neighbours: so many share what they find.
    const TOGETHER: usize = 12;
    let runs: Vec<(usize, Range<usize>)> = (0..parts.len())
        .step_by(TOGETHER)
        .flat_map(|from| {
            let run = from..parts.len().min(from + TOGETHER);
            (0..hull.parts.len()).map(move |part| (part, run.clone()))
        })
        .collect();
    let mut pairs: Vec<Clearance> = each(&runs, |(hull_part, run)| {
        let mut near = None;
        let one = |rig_part| {
            let found = pair(hull, parts, trailer_from_hull, *hull_part, rig_part, near);
            near = Some(trailer_from_hull.inverse_transform_point(found.on_hull.vec()));
            found
        };
        run.clone().map(one).collect()
    });
    pairs.sort_unstable_by_key(|c| (c.rig_part, c.hull_part));
    pairs
}

/// A pair once more with the hull standing elsewhere.
pub(crate) fn again(
    hull: &Hull,
    parts: &[RigPart],
    trailer_from_hull: &Pose,
    then: &Clearance,
    trailer_from_hull_then: &Pose,
) -> Clearance {
    let near = trailer_from_hull_then.inverse_transform_point(then.on_hull.vec());
    let (hull_part, rig_part) = (then.hull_part, then.rig_part);
    pair(
        hull,
        parts,
        trailer_from_hull,
        hull_part,
        rig_part,
        Some(near),
    )
}

/// One pair, by index, in the trailer frame; begun from a point of the hull part, hull frame, if one
/// is given.
fn pair(
    hull: &Hull,
    parts: &[RigPart],
    trailer_from_hull: &Pose,
    hull_part: usize,
    rig_part: usize,
    near: Option<Vec3>,
) -> Clearance {
    let part = &parts[rig_part];
    let hull_from_part = trailer_from_hull.inv_mul(&part.trailer_from_part.pose());
    let middle = hull_from_part.translation;
    let mesh = &hull.parts[hull_part].mesh;
    let gap = gap_near(mesh, &part.shape, &hull_from_part, near).unwrap_or(Gap {
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
    fn a_gap_that_cannot_be_computed_stays_and_is_no_number() {
        use crate::hull::{HullFacts, HullPart, PartKind};
        let body = HullPart {
            name: "body".into(),
            kind: PartKind::Body,
            mesh: std::sync::Arc::new(cube()),
        };
        let hull = Hull::new("cube", vec![body], HullFacts::default()).unwrap();
        // Past what the search knows: no answer, where the next part has one.
        let kind = crate::findings::RigPartKind::Member;
        let parts = [2.0 * FAR_M, 3.0]
            .map(|x| crate::standing::part("member", kind, unit_box(), at(x, 0.0, 0.0)));
        assert_eq!(gap(&cube(), &unit_box(), &at(2.0 * FAR_M, 0.0, 0.0)), None);
        let pairs = all_pairs(&hull, &parts, &Pose::identity());
        assert_eq!(pairs.len(), 2);
        assert!(pairs[0].gap_m.is_nan(), "{pairs:?}");
        assert!((pairs[1].gap_m - 1.0).abs() < 1e-9, "{pairs:?}");
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

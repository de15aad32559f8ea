//! The nearest points of the skin of a mesh and a solid.

use parry3d_f64::query::details::closest_points_support_map_support_map_with_params;
use parry3d_f64::query::gjk::{GJKResult, VoronoiSimplex};
use parry3d_f64::shape::Triangle;

use super::{Gap, Solid};
use crate::math::{Pose, Vec3};
use crate::mesh::Mesh;
use crate::mesh::tree::{Node, Search};

/// Farther than any pair of parts of a boat and its rig can be, m.
pub const FAR_M: f64 = 1.0e4;

/// How the skin of a mesh and a solid meet.
#[derive(Debug, Clone, Copy)]
pub(super) enum Met {
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
pub(super) fn nearest<S: Solid>(
    mesh: &Mesh,
    solid: &S,
    mesh_from_solid: &Pose,
    near: Option<Vec3>,
) -> Met {
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

/// How often an answer is begun again.
const MOST_TRIES: usize = 8;

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

    /// The library's query, begun along a way from the triangle to the solid.
    fn query(&self, triangle: &Triangle, way: Vec3) -> GJKResult {
        closest_points_support_map_support_map_with_params(
            self.mesh_from_solid,
            triangle,
            self.solid,
            self.best,
            &mut VoronoiSimplex::new(),
            Some(way),
        )
    }

    /// An answer begun again until a plane between the two stands as far off as the points are
    /// apart: against a round solid the query sometimes stops a few micrometres short.
    fn closed_in(&self, triangle: &Triangle, on_mesh: Vec3, on_shape: Vec3) -> Gap {
        let mut gap = Gap {
            gap_m: (on_shape - on_mesh).length(),
            on_mesh,
            on_shape,
        };
        for _ in 0..MOST_TRIES {
            if gap.gap_m <= AS_NEAR_M {
                break;
            }
            let way = (gap.on_shape - gap.on_mesh) / gap.gap_m;
            if self.stands_off(
                [triangle.a, triangle.b, triangle.c],
                way,
                gap.gap_m - AS_NEAR_M,
            ) {
                break;
            }
            let GJKResult::ClosestPoints(on_mesh, on_shape, _) = self.query(triangle, way) else {
                break;
            };
            let gap_m = (on_shape - on_mesh).length();
            if gap_m >= gap.gap_m {
                break;
            }
            gap = Gap {
                gap_m,
                on_mesh,
                on_shape,
            };
        }
        gap
    }

    /// Whether the solid begins no nearer than a distance along a unit vector.
    fn stands_off(&self, corners: [Vec3; 3], way: Vec3, distance: f64) -> bool {
        let nearest = self.solid.support_point(self.mesh_from_solid, -way);
        let begins = nearest.dot(way);
        corners.iter().all(|v| begins - v.dot(way) >= distance)
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
        match self.query(&triangle, way) {
            GJKResult::ClosestPoints(on_mesh, on_shape, _) => {
                let gap = self.closed_in(&triangle, on_mesh, on_shape);
                if gap.gap_m < self.best {
                    self.best = gap.gap_m;
                    self.met = Met::Apart(gap);
                    self.face(gap.on_shape - gap.on_mesh);
                }
            }
            GJKResult::Intersection => {
                self.best = f64::NEG_INFINITY;
                self.met = Met::Cut;
            }
            // Its witness, a plane between the two, is held against both: the query also ends so
            // where it does not come to an end.
            GJKResult::NoIntersection(way) if self.stands_off(corners, way, self.best()) => {}
            GJKResult::NoIntersection(_) | GJKResult::Proximity(_) => self.sure = false,
        }
    }
}

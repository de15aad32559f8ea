//! A checked triangle mesh: what is lowest, what is inside, is it closed.
//!
//! Built once, with a bounding-volume tree over its triangles; every query after that is cheap.

use std::fmt;

use parry3d_f64::query::{Ray, RayCast};
use parry3d_f64::shape::Triangle;

use crate::math::{Aabb, Vec3};
use crate::parallel::both;
use find::{Along, Near, SupportPoint, Under};
use tree::Tree;

pub mod carry;
mod find;
mod rim;
mod topology;
pub mod tree;
mod weld;
mod winding;

pub use carry::{MeshArrival, MeshHead};
pub use topology::Topology;
pub use weld::weld;
pub use winding::Skins;

/// Why triangles do not make a mesh.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MeshError {
    /// There is nothing in it.
    #[error("the mesh has no triangles; a hull needs at least one")]
    Empty,
    /// A coordinate is not a number or is infinite.
    #[error(
        "vertex {vertex} has a coordinate that is not a finite number: ({x}, {y}, {z}); export the mesh again"
    )]
    NotFinite {
        /// Index of the vertex.
        vertex: usize,
        /// Its x.
        x: f64,
        /// Its y.
        y: f64,
        /// Its z.
        z: f64,
    },
    /// A triangle names a vertex that is not there.
    #[error("triangle {triangle} names vertex {vertex}, but there are only {vertices} vertices")]
    IndexOutOfRange {
        /// Index of the triangle.
        triangle: usize,
        /// The vertex it names.
        vertex: u32,
        /// How many there are.
        vertices: usize,
    },
    /// More vertices or triangles than an index can count.
    #[error("the mesh has {0} corners; at most 4,294,967,295 can be read")]
    TooLarge(usize),
}

/// Where a ray meets a mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RayHit {
    /// Distance along the ray, in lengths of its direction.
    pub distance: f64,
    /// Outward normal there, unit length, turned against the ray.
    pub normal: Vec3,
    /// The triangle met.
    pub triangle: u32,
}

/// A checked, indexed triangle mesh with its search tree.
#[derive(Clone)]
pub struct Mesh {
    vertices: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
    bounds: Aabb,
    tree: Tree,
    topology: Topology,
    dropped: usize,
}

impl fmt::Debug for Mesh {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Mesh")
            .field("vertices", &self.vertices().len())
            .field("triangles", &self.triangles().len())
            .field("topology", &self.topology)
            .finish()
    }
}

impl Mesh {
    /// A mesh of `triangles` over `vertices`, counter-clockwise seen from outside.
    ///
    /// Triangles with a repeated vertex enclose nothing and are dropped; [`Mesh::dropped`] counts
    /// them.
    ///
    /// # Errors
    /// [`MeshError`] if a coordinate is not finite, an index is out of range, or no triangle is
    /// left.
    pub fn new(vertices: Vec<Vec3>, mut triangles: Vec<[u32; 3]>) -> Result<Self, MeshError> {
        if let Some((vertex, v)) = vertices.iter().enumerate().find(|(_, v)| !v.is_finite()) {
            return Err(MeshError::NotFinite {
                vertex,
                x: v.x,
                y: v.y,
                z: v.z,
            });
        }
        for (triangle, corners) in triangles.iter().enumerate() {
            if let Some(&vertex) = corners.iter().find(|&&i| i as usize >= vertices.len()) {
                return Err(MeshError::IndexOutOfRange {
                    triangle,
                    vertex,
                    vertices: vertices.len(),
                });
            }
        }
        let given = triangles.len();
        triangles.retain(|[a, b, c]| a != b && b != c && c != a);
        let dropped = given - triangles.len();
        if triangles.is_empty() {
            return Err(MeshError::Empty);
        }
        let (topology, tree) = both(
            || Topology::of(vertices.len(), &triangles),
            || Tree::new(&vertices, &triangles),
        );
        let used = triangles.iter().flatten().map(|&i| vertices[i as usize]);
        Ok(Self {
            bounds: Aabb::from_points(used),
            vertices,
            triangles,
            tree,
            topology,
            dropped,
        })
    }

    /// A mesh of loose triangles, three corners each, equal positions made one vertex.
    ///
    /// # Errors
    /// As [`Mesh::new`].
    pub fn welded(corners: &[[Vec3; 3]]) -> Result<Self, MeshError> {
        if corners.len() > (u32::MAX / 3) as usize {
            return Err(MeshError::TooLarge(corners.len()));
        }
        let (vertices, index) = weld(corners.as_flattened().iter().copied());
        Self::new(vertices, index.as_chunks().0.to_vec())
    }

    /// Vertices.
    pub fn vertices(&self) -> &[Vec3] {
        &self.vertices
    }

    /// Triangles as indices of vertices, counter-clockwise seen from outside.
    pub fn triangles(&self) -> &[[u32; 3]] {
        &self.triangles
    }

    /// How its triangles hang together.
    pub fn topology(&self) -> &Topology {
        &self.topology
    }

    /// How many triangles were dropped for a repeated vertex.
    pub fn dropped(&self) -> usize {
        self.dropped
    }

    /// Bounds.
    pub fn aabb(&self) -> Aabb {
        self.bounds
    }

    /// The search tree over the triangles.
    pub fn tree(&self) -> &Tree {
        &self.tree
    }

    /// The triangle of this index.
    pub fn triangle(&self, index: u32) -> Triangle {
        let [a, b, c] = self.triangles[index as usize].map(|i| self.vertices[i as usize]);
        Triangle { a, b, c }
    }

    fn every_triangle(&self) -> impl Iterator<Item = Triangle> {
        (0..self.triangles.len() as u32).map(|i| self.triangle(i))
    }

    /// Surface area, m².
    pub fn area_m2(&self) -> f64 {
        self.every_triangle().map(|t| t.area()).sum()
    }

    /// Sum of the signed tetrahedra over the origin, m³: the volume of a closed mesh whose
    /// triangles face outward, its negative if they face inward, and no volume at all if it is
    /// open.
    pub fn signed_volume_m3(&self) -> f64 {
        // About the middle of the bounds rather than the origin: fewer digits cancel.
        let middle = self.aabb().center();
        self.every_triangle()
            .map(|t| (t.a - middle).dot((t.b - middle).cross(t.c - middle)) / 6.0)
            .sum()
    }

    /// Volume, m³; none unless the mesh is closed and its triangles agree which side is out.
    pub fn volume_m3(&self) -> Option<f64> {
        (self.topology.closed() && self.topology.consistent).then(|| self.signed_volume_m3().abs())
    }

    /// Height of the lowest surface a vertical line at (`x`, `y`) meets; none if it meets none.
    ///
    /// A line through an edge or vertex meets every triangle there: nothing slips between two.
    pub fn lowest_surface(&self, x: f64, y: f64) -> Option<f64> {
        let mut under = Under {
            mesh: self,
            x,
            y,
            lowest_m: f64::INFINITY,
        };
        self.tree.search(&mut under);
        under.lowest_m.is_finite().then_some(under.lowest_m)
    }

    /// The first surface a ray from `origin` along `direction` meets, from either side.
    pub fn cast_ray(&self, origin: Vec3, direction: Vec3) -> Option<RayHit> {
        self.cast_ray_until(origin, direction, f64::INFINITY)
    }

    /// The same, up to so many lengths of `direction` away.
    pub fn cast_ray_until(&self, origin: Vec3, direction: Vec3, until: f64) -> Option<RayHit> {
        let mut along = Along {
            mesh: self,
            ray: Ray::new(origin, direction),
            inverse: direction.recip(),
            until,
            met: None,
        };
        self.tree.search(&mut along);
        let (_, triangle) = along.met?;
        let hit =
            self.triangle(triangle)
                .cast_local_ray_and_get_normal(&along.ray, f64::MAX, false)?;
        Some(RayHit {
            distance: hit.time_of_impact,
            normal: hit.normal,
            triangle,
        })
    }

    /// The point of the surface nearest to `point`.
    pub fn nearest_to(&self, point: Vec3) -> Vec3 {
        self.near(point).at
    }

    /// The triangle whose surface is nearest to `point`.
    pub fn nearest_triangle(&self, point: Vec3) -> u32 {
        self.near(point).on
    }

    fn near(&self, point: Vec3) -> Near<'_> {
        let mut near = Near {
            mesh: self,
            point,
            distance: f64::INFINITY,
            at: self.vertices[0],
            on: 0,
        };
        self.tree.search(&mut near);
        near
    }

    /// The vertex farthest along `direction`, of those that triangles use.
    pub fn farthest(&self, direction: Vec3) -> Vec3 {
        let mut far = SupportPoint {
            mesh: self,
            direction,
            reach: f64::NEG_INFINITY,
            at: self.vertices[0],
        };
        self.tree.search(&mut far);
        far.at
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use parry3d_f64::query::PointQuery;

    use super::*;
    use crate::solids::{cuboid, wavy};

    #[test]
    fn what_is_looked_for_is_what_looking_at_every_triangle_finds() {
        let mesh = wavy(40);
        let every = |f: &dyn Fn(&Triangle) -> f64| {
            mesh.every_triangle()
                .map(|t| f(&t))
                .fold(f64::MAX, f64::min)
        };
        let points = [
            [1.3, 2.2, 1.9],
            [-0.7, 0.4, -1.0],
            [3.9, 3.9, 0.1],
            [2.0, 1.0, 0.3],
        ];
        for point in points.map(Vec3::from_array) {
            let near = (mesh.nearest_to(point) - point).length();
            let nearest = every(&|t| t.distance_to_local_point(point, false));
            assert!(
                (near - nearest).abs() < 1e-12,
                "{point}: {near} for {nearest}"
            );
            let way = Vec3::new(0.2, point.y - 2.0, point.z);
            let far = mesh.farthest(way).dot(way);
            let farthest = -every(&|t| {
                -[t.a, t.b, t.c]
                    .map(|v| v.dot(way))
                    .into_iter()
                    .fold(f64::MIN, f64::max)
            });
            assert!(
                (far - farthest).abs() < 1e-12,
                "{point}: {far} for {farthest}"
            );
            let down = Vec3::new(0.1, -0.05, -1.0);
            let high = point + Vec3::Z * 3.0;
            let ray = Ray::new(high, down);
            let first = every(&|t| t.cast_local_ray(&ray, f64::MAX, false).unwrap_or(f64::MAX));
            let hit = mesh.cast_ray(high, down).map_or(f64::MAX, |h| h.distance);
            assert_eq!(hit, first, "{point}");
            let lowest = mesh.lowest_surface(point.x, point.y);
            let inside = (0.0..=4.0).contains(&point.x) && (0.0..=4.0).contains(&point.y);
            assert_eq!(lowest.is_some(), inside, "{point}");
        }
    }

    #[test]
    fn a_box_is_closed_and_has_its_volume() {
        // check-values.md 9.1, cuboid 2 x 3 x 4: closed form [from memory], number [derived].
        let mesh = cuboid([0.0; 3], [2.0, 3.0, 4.0]);
        assert!(mesh.topology().closed());
        assert!((mesh.volume_m3().unwrap() - 24.0).abs() < 1e-12);
        assert!((mesh.signed_volume_m3() - 24.0).abs() < 1e-12);
        assert!((mesh.area_m2() - 52.0).abs() < 1e-12);
    }

    #[test]
    fn a_box_without_one_face_has_no_volume() {
        let full = cuboid([0.0; 3], [1.0; 3]);
        let open = Mesh::new(full.vertices().to_vec(), full.triangles()[1..].to_vec()).unwrap();
        assert!(!open.topology().closed());
        assert_eq!(open.volume_m3(), None);
        assert_eq!(open.topology().boundary_edges, 3);
    }

    #[test]
    fn the_lowest_surface_is_found_on_edges_and_not_beside() {
        let mesh = cuboid([-1.0, -1.0, 0.5], [1.0, 1.0, 2.0]);
        for (x, y) in [(0.0, 0.0), (1.0, 1.0), (-1.0, 0.3), (0.25, 0.25)] {
            assert_eq!(mesh.lowest_surface(x, y), Some(0.5), "at {x}, {y}");
        }
        assert_eq!(mesh.lowest_surface(1.0001, 0.0), None);
    }

    #[test]
    fn inside_and_outside() {
        let mesh = cuboid([-1.0, -1.0, 0.0], [1.0, 1.0, 2.0]);
        assert!(mesh.contains(Vec3::new(0.1, 0.2, 1.0)));
        assert!(!mesh.contains(Vec3::new(0.1, 0.2, 2.1)));
        // Without its lid, faces 2 and 3, it still holds what lies in it.
        let mut triangles = mesh.triangles().to_vec();
        triangles.drain(2..4);
        let tub = Mesh::new(mesh.vertices().to_vec(), triangles).unwrap();
        assert!(tub.contains(Vec3::new(0.1, 0.2, 1.0)));
        assert!(!tub.contains(Vec3::new(0.1, 0.2, -0.1)));
    }

    #[test]
    fn nonsense_is_refused_by_name() {
        let nan = Mesh::new(vec![Vec3::new(0.0, f64::NAN, 0.0); 3], vec![[0, 1, 2]]);
        assert!(matches!(nan, Err(MeshError::NotFinite { vertex: 0, .. })));
        let far = Mesh::new(vec![Vec3::ZERO; 3], vec![[0, 1, 7]]);
        assert!(matches!(
            far,
            Err(MeshError::IndexOutOfRange { vertex: 7, .. })
        ));
        assert!(matches!(Mesh::new(vec![], vec![]), Err(MeshError::Empty)));
        assert!(matches!(Mesh::welded(&[]), Err(MeshError::Empty)));
    }

    #[test]
    fn a_ray_meets_the_near_side() {
        let mesh = cuboid([-1.0; 3], [1.0; 3]);
        let hit = mesh.cast_ray(Vec3::new(-3.0, 0.1, 0.2), Vec3::X).unwrap();
        assert!((hit.distance - 2.0).abs() < 1e-12);
        assert!(hit.normal.dot(-Vec3::X) > 0.999);
        assert!(mesh.cast_ray(Vec3::new(-3.0, 1.5, 0.0), Vec3::X).is_none());
    }
}

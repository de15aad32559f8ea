//! What is looked for in a mesh: lowest, first on a ray, nearest, farthest.

use parry3d_f64::query::{PointQuery, Ray, RayCast};
use parry3d_f64::shape::Triangle;

use super::Mesh;
use super::tree::{Node, Search};
use crate::math::Vec3;

/// The lowest surface on an upright line.
pub(super) struct Under<'a> {
    pub(super) mesh: &'a Mesh,
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) lowest_m: f64,
}

impl Search for Under<'_> {
    fn least(&self, node: &Node) -> f64 {
        let (lo, hi) = (node.lo(), node.hi());
        let beside = self.x < lo.x || self.x > hi.x || self.y < lo.y || self.y > hi.y;
        if beside { f64::INFINITY } else { lo.z }
    }

    fn best(&self) -> f64 {
        self.lowest_m
    }

    fn look(&mut self, triangle: u32) {
        if let Some(z) = height_at(&self.mesh.triangle(triangle), self.x, self.y) {
            self.lowest_m = self.lowest_m.min(z);
        }
    }
}

/// The first triangle on a ray.
pub(super) struct Along<'a> {
    pub(super) mesh: &'a Mesh,
    pub(super) ray: Ray,
    pub(super) inverse: Vec3,
    /// It ends so many lengths of its direction away.
    pub(super) until: f64,
    pub(super) met: Option<(f64, u32)>,
}

impl Search for Along<'_> {
    fn least(&self, node: &Node) -> f64 {
        entry(node, self.ray.origin, self.inverse)
    }

    fn best(&self) -> f64 {
        self.met.map_or(self.until, |(distance, _)| distance)
    }

    fn look(&mut self, triangle: u32) {
        let hit = self
            .mesh
            .triangle(triangle)
            .cast_local_ray(&self.ray, f64::MAX, false);
        if let Some(distance) = hit.filter(|d| *d < self.best()) {
            self.met = Some((distance, triangle));
        }
    }
}

/// Where a ray enters a node's box, in lengths of its direction; infinite if it misses it. A
/// direction without a share along an axis gives not-a-number at the box's very face, which `min`
/// and `max` pass over: the face belongs to the box.
pub(super) fn entry(node: &Node, origin: Vec3, inverse: Vec3) -> f64 {
    met_at(node.lo(), node.hi(), origin, inverse)
}

/// The same for a box between two corners.
pub(super) fn met_at(lo: Vec3, hi: Vec3, origin: Vec3, inverse: Vec3) -> f64 {
    let (lo, hi) = ((lo - origin) * inverse, (hi - origin) * inverse);
    let (mut enters, mut leaves) = (0.0_f64, f64::MAX);
    for axis in 0..3 {
        enters = enters.max(lo[axis].min(hi[axis]));
        leaves = leaves.min(lo[axis].max(hi[axis]));
    }
    if enters <= leaves {
        enters
    } else {
        f64::INFINITY
    }
}

/// Whether anything is on a ray.
pub(super) struct Barred<'a> {
    pub(super) mesh: &'a Mesh,
    pub(super) ray: Ray,
    pub(super) inverse: Vec3,
    pub(super) met: bool,
}

impl Search for Barred<'_> {
    fn least(&self, node: &Node) -> f64 {
        entry(node, self.ray.origin, self.inverse)
    }

    fn best(&self) -> f64 {
        if self.met {
            f64::NEG_INFINITY
        } else {
            f64::INFINITY
        }
    }

    fn look(&mut self, triangle: u32) {
        let triangle = self.mesh.triangle(triangle);
        self.met |= triangle.intersects_local_ray(&self.ray, f64::MAX);
    }
}

/// The surface nearest to a point.
pub(super) struct Near<'a> {
    pub(super) mesh: &'a Mesh,
    pub(super) point: Vec3,
    pub(super) distance: f64,
    pub(super) at: Vec3,
    pub(super) on: u32,
}

impl Search for Near<'_> {
    fn least(&self, node: &Node) -> f64 {
        let nearest = self.point.clamp(node.lo(), node.hi());
        (nearest - self.point).length()
    }

    fn best(&self) -> f64 {
        self.distance
    }

    fn look(&mut self, triangle: u32) {
        let at = self
            .mesh
            .triangle(triangle)
            .project_local_point(self.point, false)
            .point;
        let distance = (at - self.point).length();
        if distance < self.distance {
            (self.distance, self.at, self.on) = (distance, at, triangle);
        }
    }
}

/// The vertex farthest one way.
pub(super) struct SupportPoint<'a> {
    pub(super) mesh: &'a Mesh,
    pub(super) direction: Vec3,
    pub(super) reach: f64,
    pub(super) at: Vec3,
}

impl Search for SupportPoint<'_> {
    fn least(&self, node: &Node) -> f64 {
        -node.reach(self.direction)
    }

    fn best(&self) -> f64 {
        -self.reach
    }

    fn look(&mut self, triangle: u32) {
        let Triangle { a, b, c } = self.mesh.triangle(triangle);
        for vertex in [a, b, c] {
            let reach = vertex.dot(self.direction);
            if reach > self.reach {
                (self.reach, self.at) = (reach, vertex);
            }
        }
    }
}

/// Height of a triangle over (`x`, `y`); its edges belong to it. None beside it, and none for an
/// upright triangle, whose neighbours hold the same edges.
fn height_at(triangle: &Triangle, x: f64, y: f64) -> Option<f64> {
    let side = |p: Vec3, q: Vec3| (q.x - p.x) * (y - p.y) - (q.y - p.y) * (x - p.x);
    let (a, b, c) = (triangle.a, triangle.b, triangle.c);
    let (wa, wb, wc) = (side(b, c), side(c, a), side(a, b));
    let all_left = wa >= 0.0 && wb >= 0.0 && wc >= 0.0;
    let all_right = wa <= 0.0 && wb <= 0.0 && wc <= 0.0;
    let total = wa + wb + wc;
    ((all_left || all_right) && total != 0.0).then(|| (wa * a.z + wb * b.z + wc * c.z) / total)
}

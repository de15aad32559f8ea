//! Whether a point lies inside the skin of a boat, also where parts split it, where it is open, and where
//! it is wound twice.
//!
//! The winding number of a skin about a point is how much more often rays from the point leave
//! through the skin than they enter, meant over all directions: 1 inside a closed skin, 2 where it is wound twice, 0
//! outside, something between where it is open; and the sum over parts is that of the whole, however they
//! split it. (Jacobson, Kavan, Sorkine-Hornung: "Robust Inside-Outside Segmentation using Generalized Winding Numbers",
//! 2013.) Here it is taken from rays spread evenly, not from the solid angles of triangles: the same rays also tell,
//! whichever side the triangles take for out, how many cross an odd number of sheets and how many ways are barred. And it
//! costs no memory, of which a tree of dipoles (Barill and others: "Fast Winding Numbers for Soups and
//! Clouds", 2018) would take half as much again as the tree that is there.

use parry3d_f64::query::{Ray, RayCast};

use super::Mesh;
use super::find::{Barred, entry, met_at};
use crate::math::{Aabb, Vec3};

/// Directions for the inside test: spread over the sphere, mostly sideways and down, none along an
/// axis or a diagonal, so that none runs along the flats and centreplanes boats are full of.
const RAYS: [[f64; 3]; 9] = [
    [0.0917, 0.0531, -0.9944],
    [0.2713, 0.1907, -0.9434],
    [-0.3119, 0.2203, -0.9242],
    [0.0713, 0.9821, -0.1744],
    [0.0619, -0.9837, -0.1689],
    [0.9787, 0.1093, -0.1737],
    [-0.9803, 0.0811, -0.1801],
    [0.5527, 0.6131, 0.5645],
    [-0.4813, -0.5903, 0.6480],
];

/// So many of them go down or sideways.
const LOW_RAYS: usize = 7;

/// How many rays look around from a point, over the whole sphere.
const ROUND: usize = 96;

/// Steeper up than this a way is no way out: nothing of a rig comes into a boat from above. Sine of the angle.
const FROM_ABOVE: f64 = 0.5;

/// From this share of ways on that are barred the point is inside, whatever else is found: a few slip through seams
/// between parts.
const ENCLOSED: f64 = 0.95;

/// A point with less than this share of ways barred is outside: whatever is there came in by one that is free.
const FREE: f64 = 0.5;

/// From this winding number on a point is inside. Half would be right; what the rays may be off counts as inside.
const INSIDE: f64 = 0.45;

/// Sheets nearer to one another than this along a ray are one: a skin that is there twice, or an edge met
/// in both its triangles, m.
const ONE_SHEET_M: f64 = 1e-5;

impl Mesh {
    /// Whether `point` lies inside.
    ///
    /// Decided by the majority of up to nine rays: each says inside if it crosses an odd number of
    /// sheets, or leaves more often than it enters, as it does where the skin is wound twice. On a closed mesh
    /// all agree; on a hull without a deck a point below the sheer still has most of them
    /// crossing the skin once. On the surface either answer may come.
    pub fn contains(&self, point: Vec3) -> bool {
        if !self.aabb().contains_local_point(point) {
            return false;
        }
        // Once a side has its majority the others change nothing. Of a closed surface all rays say
        // the same but for one that grazes an edge: three of one mind will do.
        let enough = if self.topology.closed() {
            3
        } else {
            RAYS.len() / 2 + 1
        };
        let mut votes = [0; 2];
        let mut met = Vec::new();
        for direction in RAYS.map(Vec3::from_array) {
            met.clear();
            self.crossings(point, direction, &mut met);
            let crossed = Crossed::of(&mut met);
            // Triangles that disagree which side is out say nothing about how often a ray leaves.
            let wound = self.topology.consistent && crossed.leaves != 0;
            let inside = usize::from(crossed.odd || wound);
            votes[inside] += 1;
            if votes[inside] == enough {
                return inside == 1;
            }
        }
        votes[1] > votes[0]
    }

    /// Adds where a ray crosses the surface: how far along, and 1 where it leaves, -1 where it enters.
    fn crossings(&self, origin: Vec3, direction: Vec3, met: &mut Vec<(f64, i32)>) {
        let inverse = direction.recip();
        if !meets(&self.bounds, origin, inverse) {
            return;
        }
        let ray = Ray::new(origin, direction);
        self.tree.each(
            |node| entry(node, origin, inverse) < f64::INFINITY,
            |id| {
                let triangle = self.triangle(id);
                if let Some(at) = triangle.cast_local_ray(&ray, f64::MAX, false) {
                    let normal = (triangle.b - triangle.a).cross(triangle.c - triangle.a);
                    met.push((at, if normal.dot(direction) > 0.0 { 1 } else { -1 }));
                }
            },
        );
    }

    /// Whether a ray meets the surface anywhere.
    fn bars(&self, origin: Vec3, direction: Vec3) -> bool {
        let inverse = direction.recip();
        if !meets(&self.bounds, origin, inverse) {
            return false;
        }
        let mut barred = Barred {
            mesh: self,
            ray: Ray::new(origin, direction),
            inverse,
            met: false,
        };
        self.tree.search(&mut barred);
        barred.met
    }
}

/// Whether a ray meets a box.
fn meets(bounds: &Aabb, origin: Vec3, inverse: Vec3) -> bool {
    met_at(bounds.mins, bounds.maxs, origin, inverse) < f64::INFINITY
}

/// What a ray crossed.
struct Crossed {
    /// An odd number of sheets.
    odd: bool,
    /// How much more often it left than it entered.
    leaves: i32,
}

impl Crossed {
    fn of(met: &mut [(f64, i32)]) -> Self {
        met.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
        let sheets = met.chunk_by(|a, b| b.0 - a.0 < ONE_SHEET_M).count();
        Self {
            odd: sheets % 2 == 1,
            leaves: met.iter().map(|(_, leaves)| leaves).sum(),
        }
    }
}

/// The skin of a boat in as many parts as it comes in.
pub struct Skins<'a> {
    meshes: Vec<&'a Mesh>,
    bounds: Aabb,
    closed: bool,
}

impl<'a> Skins<'a> {
    /// The skin made of these parts.
    pub fn new(meshes: impl Iterator<Item = &'a Mesh>) -> Self {
        let meshes: Vec<&Mesh> = meshes.collect();
        let mut bounds = Aabb::new_invalid();
        for mesh in &meshes {
            bounds.take_point(mesh.aabb().mins);
            bounds.take_point(mesh.aabb().maxs);
        }
        let closed = meshes.iter().all(|mesh| mesh.topology.closed());
        Self {
            meshes,
            bounds,
            closed,
        }
    }

    /// Bounds of all parts.
    pub fn bounds(&self) -> Aabb {
        self.bounds
    }

    /// Whether each part is closed by itself: what cuts no skin is then inside as a whole or not at all.
    pub fn closed(&self) -> bool {
        self.closed
    }

    /// Whether a point lies inside the boat.
    ///
    /// It does if hardly any way down or sideways is free; or if half of them are barred and, meant over all
    /// directions, the open parts together are wound about it, or most rays cross an odd
    /// number of their sheets. So what lies in a cabin, or between a hull and its liner, is inside, and what hangs
    /// between keel and rudder is not. In doubt it is inside.
    pub fn hold(&self, point: Vec3) -> bool {
        if !self.bounds.contains_local_point(point) {
            return false;
        }
        // A way out of a closed skin is none; two, lest one slips between two triangles. Of an open one most of the ways
        // must be free to settle it.
        let settles = if self.closed { 2 } else { LOW_RAYS / 2 + 1 };
        let low = RAYS[..LOW_RAYS].iter().map(|&ray| Vec3::from_array(ray));
        let free = low.filter(|&ray| self.lets(point, ray)).take(settles);
        if free.count() == settles {
            return false;
        }
        if self.closed {
            let low = directions().filter(|ray| ray.z <= FROM_ABOVE);
            let free = low.filter(|&ray| self.lets(point, ray)).take(settles);
            return free.count() < settles;
        }
        self.look_round(point)
    }

    fn lets(&self, point: Vec3, direction: Vec3) -> bool {
        !self.meshes.iter().any(|mesh| mesh.bars(point, direction))
    }

    fn look_round(&self, point: Vec3) -> bool {
        let (mut low, mut barred, mut odd, mut leaves) = (0, 0, 0, 0);
        let mut met = Vec::new();
        for direction in directions() {
            met.clear();
            for mesh in self.meshes.iter().filter(|m| !m.topology.closed()) {
                mesh.crossings(point, direction, &mut met);
            }
            let crossed = Crossed::of(&mut met);
            odd += usize::from(crossed.odd);
            leaves += crossed.leaves;
            if direction.z <= FROM_ABOVE {
                low += 1;
                barred += usize::from(!met.is_empty() || !self.lets(point, direction));
            }
        }
        let share = |count: usize, of: usize| count as f64 / of as f64;
        let barred = share(barred, low);
        let wound = share(leaves.unsigned_abs() as usize, ROUND).max(share(odd, ROUND));
        barred >= ENCLOSED || (barred >= FREE && wound >= INSIDE)
    }
}

/// [`ROUND`] directions spread evenly over the sphere, on a spiral with the golden angle between one and the next.
fn directions() -> impl Iterator<Item = Vec3> {
    let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    (0..ROUND).map(move |i| {
        let z = (2 * i + 1) as f64 / ROUND as f64 - 1.0;
        let across = (1.0 - z * z).sqrt();
        let (sin, cos) = (golden * i as f64 + 0.37).sin_cos();
        Vec3::new(across * cos, across * sin, z)
    })
}

#[cfg(test)]
mod tests;

//! Openings closed: the deck for the sake of volume, small holes as skin.
//!
//! A rim is spread on the plane that fits it and filled by a constrained Delaunay triangulation between its own
//! places, so that the cap of a sheer lies like deck beams from side to side.

use keelstead_geometry::math::Vec3;
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

use super::orient::{Sides, orient, rims};
use super::soup::Soup;

/// An opening is the deck's if it is this part of the boat's length long and faces up.
const DECK_LONG: f64 = 0.05;
/// Cosine of the farthest that a deck opening may face from straight up: 45 degrees.
const DECK_UP: f64 = 0.7;

/// A rim of more edges is too ragged to be filled in the time that anybody waits.
const MOST_EDGES: usize = 20_000;

/// The rim of an opening, followed round.
pub(super) struct Rim {
    /// Its places in order, as the triangles beside it run.
    round: Vec<u32>,
    /// A triangle beside it.
    beside: u32,
    /// Sum of its turns: along the way it faces, twice its area long.
    facing: Vec3,
    low: Vec3,
    high: Vec3,
}

impl Rim {
    pub(super) fn centre(&self) -> Vec3 {
        (self.low + self.high) * 0.5
    }

    pub(super) fn size(&self) -> Vec3 {
        self.high - self.low
    }

    pub(super) fn edges(&self) -> usize {
        self.round.len()
    }

    /// Whether it is the opening of the deck or a cockpit of an upright boat: in her upper half and facing up.
    pub(super) fn is_deck(&self, [low, high]: [Vec3; 2]) -> bool {
        let up = self.facing.z.abs() >= DECK_UP * self.facing.length();
        let long = self.size().x >= DECK_LONG * (high.x - low.x);
        up && long && self.centre().z > 0.5 * (low.z + high.z)
    }
}

/// The rims that go all round, longest first.
pub(super) fn openings(soup: &Soup, sides: &Sides) -> Vec<Rim> {
    let mut openings: Vec<Rim> = rims(&sides.rim)
        .into_iter()
        .filter_map(|edges| {
            let first = *edges.first()?;
            let round: Vec<u32> = edges.iter().map(|&e| sides.rim[e][0]).collect();
            let closed = sides.rim[*edges.last()?][1] == sides.rim[first][0];
            let at = |i: usize| soup.positions[round[i % round.len()] as usize];
            let ends = [Vec3::splat(f64::INFINITY), Vec3::splat(f64::NEG_INFINITY)];
            let [low, high] =
                (0..round.len()).fold(ends, |[lo, hi], i| [lo.min(at(i)), hi.max(at(i))]);
            let middle = (low + high) * 0.5;
            let facing = (0..round.len())
                .map(|i| (at(i) - middle).cross(at(i + 1) - middle))
                .sum();
            (closed && round.len() >= 3).then_some(Rim {
                beside: sides.rim_of[first],
                round,
                facing,
                low,
                high,
            })
        })
        .collect();
    openings.sort_by(|a, b| b.size().length().total_cmp(&a.size().length()));
    openings
}

/// Triangles that fill a rim, facing as the skin beside it does; none where the rim crosses itself as seen from the
/// way it faces.
pub(super) fn cap(soup: &Soup, rim: &Rim) -> Option<Vec<[u32; 3]>> {
    if rim.edges() > MOST_EDGES {
        return None;
    }
    let normal = rim.facing.try_normalize()?;
    let u = normal.any_orthonormal_vector();
    let v = normal.cross(u);
    let middle = rim.centre();
    let flat: Vec<Point2<f64>> = rim
        .round
        .iter()
        .map(|&i| {
            let p = soup.positions[i as usize] - middle;
            // What the library calls too small to reckon with lies on the axis.
            let clean = |c: f64| if c.abs() < 1e-100 { 0.0 } else { c };
            Point2::new(clean(p.dot(u)), clean(p.dot(v)))
        })
        .collect();
    let count = flat.len();
    let mut plane = ConstrainedDelaunayTriangulation::<Point2<f64>>::new();
    let mut handles = Vec::with_capacity(count);
    for point in &flat {
        handles.push(plane.insert(*point).ok()?);
    }
    // Two places that fall on one as seen from there cannot be told apart.
    if plane.num_vertices() != count {
        return None;
    }
    let mut vertex_of = vec![0_u32; count];
    for (handle, &vertex) in handles.iter().zip(&rim.round) {
        vertex_of[handle.index()] = vertex;
    }
    for i in 0..count {
        let (a, b) = (handles[i], handles[(i + 1) % count]);
        if !plane.can_add_constraint(a, b) {
            return None;
        }
        plane.add_constraint(a, b);
    }
    // A place of the rim that lies on another edge would have split it.
    if plane.num_constraints() != count {
        return None;
    }
    // What lies to the left of the rim, as it turns about the way it faces, and all that no rim parts from it.
    let mut inside = vec![false; plane.num_all_faces()];
    let mut open = Vec::new();
    for i in 0..count {
        let edge = plane.get_edge_from_neighbors(handles[i], handles[(i + 1) % count])?;
        open.extend(edge.face().as_inner());
    }
    let mut triangles: Vec<[u32; 3]> = Vec::with_capacity(count);
    while let Some(face) = open.pop() {
        if std::mem::replace(&mut inside[face.index()], true) {
            continue;
        }
        // The cap runs each edge of the rim against the skin beside it.
        let [a, b, c] = face.vertices().map(|v| vertex_of[v.fix().index()]);
        triangles.push([a, c, b]);
        for edge in face.adjacent_edges() {
            if !edge.is_constraint_edge() {
                open.extend(edge.rev().face().as_inner());
            }
        }
    }
    (triangles.len() + 2 == count).then_some(triangles)
}

/// Area of triangles, in the square of the soup's unit.
pub(super) fn area(soup: &Soup, triangles: &[[u32; 3]]) -> f64 {
    let twice = triangles.iter().map(|t| {
        let [a, b, c] = t.map(|i| soup.positions[i as usize]);
        (b - a).cross(c - a).length()
    });
    0.5 * twice.sum::<f64>()
}

/// Fills the holes that `small` says with skin of the part beside them; gives how many, and how many could not be.
pub(super) fn fill(soup: &mut Soup, sides: &mut Sides, small: impl Fn(&Rim) -> bool) -> [usize; 2] {
    let (mut filled, mut failed) = (0, 0);
    for rim in openings(soup, sides).iter().filter(|rim| small(rim)) {
        let Some(triangles) = cap(soup, rim) else {
            failed += 1;
            continue;
        };
        let part = soup.part[rim.beside as usize];
        soup.triangles.extend_from_slice(&triangles);
        soup.part.resize(soup.triangles.len(), part);
        filled += 1;
    }
    if filled > 0 {
        *sides = orient(soup);
    }
    [filled, failed]
}

//! Closed triangle shells on a grid of a tenth of a millimetre.

use std::collections::BTreeMap;

use super::vector::{Vec3, cross, dot, length, sub};
use keelstead_geometry::mesh::Mesh;

/// Steps of the coordinate grid in one metre.
const STEPS_PER_METRE: f64 = 10_000.0;

/// The coordinate of the grid next to `c`, metres.
pub fn on_grid(c: f64) -> f64 {
    (c * STEPS_PER_METRE).round() / STEPS_PER_METRE
}

/// A triangle surface whose vertices lie on a grid of 0.1 mm.
///
/// Equal points become one vertex as they are added, so surfaces that share an edge join by
/// themselves, and a rounding error far below the grid cannot reach the file.
#[derive(Clone, Debug, Default)]
pub struct Shell {
    steps: Vec<[i32; 3]>,
    triangles: Vec<[u32; 3]>,
    lookup: BTreeMap<[i32; 3], u32>,
}

/// A rectangle of cells of a point grid, sunk below the rest: a cockpit well, a window, a slot.
#[derive(Clone, Copy, Debug)]
pub struct Sunk {
    /// First and last point index along the grid's first direction.
    pub i: (usize, usize),
    /// First and last point index along the grid's second direction.
    pub j: (usize, usize),
}

impl Sunk {
    fn holds_cell(&self, i: usize, j: usize) -> bool {
        i >= self.i.0 && i < self.i.1 && j >= self.j.0 && j < self.j.1
    }
}

impl From<&Mesh> for Shell {
    /// The mesh on the grid.
    fn from(mesh: &Mesh) -> Self {
        let mut shell = Self::default();
        let at = |k: u32| mesh.vertices()[k as usize].to_array();
        for [a, b, c] in mesh.triangles() {
            shell.triangle(at(*a), at(*b), at(*c));
        }
        shell
    }
}

impl Shell {
    /// Vertex positions in metres.
    pub fn positions(&self) -> impl ExactSizeIterator<Item = Vec3> + '_ {
        self.steps
            .iter()
            .map(|s| s.map(|k| f64::from(k) / STEPS_PER_METRE))
    }

    /// Vertex indices of each triangle, anticlockwise seen from outside.
    pub fn triangles(&self) -> &[[u32; 3]] {
        &self.triangles
    }

    /// The corner points of each triangle, metres.
    pub fn corners(&self) -> impl Iterator<Item = [Vec3; 3]> + '_ {
        let at = |k: u32| self.steps[k as usize].map(|k| f64::from(k) / STEPS_PER_METRE);
        self.triangles.iter().map(move |t| t.map(at))
    }

    fn vertex(&mut self, p: Vec3) -> u32 {
        self.step_vertex(p.map(|c| (c * STEPS_PER_METRE).round() as i32))
    }

    fn step_vertex(&mut self, step: [i32; 3]) -> u32 {
        let next = self.steps.len() as u32;
        let index = *self.lookup.entry(step).or_insert(next);
        if index == next {
            self.steps.push(step);
        }
        index
    }

    /// Adds a triangle, anticlockwise seen from outside. One that has shrunk to an edge or a point
    /// on the grid is left out: its neighbours then share that edge.
    pub fn triangle(&mut self, a: Vec3, b: Vec3, c: Vec3) {
        let t = [self.vertex(a), self.vertex(b), self.vertex(c)];
        if t[0] != t[1] && t[1] != t[2] && t[2] != t[0] {
            self.triangles.push(t);
        }
    }

    /// Adds a four-sided face, split along its shorter diagonal (`a`–`c` when they are equal).
    pub fn quad(&mut self, a: Vec3, b: Vec3, c: Vec3, d: Vec3) {
        if length(sub(a, c)) <= length(sub(b, d)) * 1.000_001 {
            self.triangle(a, b, c);
            self.triangle(a, c, d);
        } else {
            self.triangle(a, b, d);
            self.triangle(b, c, d);
        }
    }

    /// Adds a net of faces over `points[i][j]`; outside is on the side from which i to j turns
    /// anticlockwise.
    pub fn net(&mut self, points: &[Vec<Vec3>]) {
        self.sunk_net(points, &[], |_, p| p);
    }

    /// [`Shell::net`] with rectangles of cells sunk in: `sink(k, p)` says where point `p` of
    /// rectangle `k` goes. Walls join the rim to the floor, except along the net's own border.
    pub fn sunk_net(
        &mut self,
        points: &[Vec<Vec3>],
        sunk: &[Sunk],
        sink: impl Fn(usize, Vec3) -> Vec3,
    ) {
        let (ni, nj) = (points.len() - 1, points[0].len() - 1);
        for i in 0..ni {
            for j in 0..nj {
                let cell = [
                    points[i][j],
                    points[i + 1][j],
                    points[i + 1][j + 1],
                    points[i][j + 1],
                ];
                let hole = sunk.iter().position(|s| s.holds_cell(i, j));
                let [a, b, c, d] = match hole {
                    Some(k) => cell.map(|p| sink(k, p)),
                    None => cell,
                };
                self.quad(a, b, c, d);
            }
        }
        for (k, s) in sunk.iter().enumerate() {
            let mut wall = |a: Vec3, b: Vec3| self.quad(a, b, sink(k, b), sink(k, a));
            for i in s.i.0..s.i.1 {
                if s.j.0 > 0 {
                    wall(points[i][s.j.0], points[i + 1][s.j.0]);
                }
                if s.j.1 < nj {
                    wall(points[i + 1][s.j.1], points[i][s.j.1]);
                }
            }
            for j in s.j.0..s.j.1 {
                if s.i.0 > 0 {
                    wall(points[s.i.0][j + 1], points[s.i.0][j]);
                }
                if s.i.1 < ni {
                    wall(points[s.i.1][j], points[s.i.1][j + 1]);
                }
            }
        }
    }

    /// Adds a flat or dished face between a ring of points and its middle.
    pub fn fan(&mut self, ring: &[Vec3], middle: Vec3) {
        for k in 0..ring.len() {
            self.triangle(ring[k], ring[(k + 1) % ring.len()], middle);
        }
    }

    /// The shell mirrored in the centreline plane, still facing outward.
    pub fn mirrored(&self) -> Self {
        let flip = |s: &[i32; 3]| [s[0], -s[1], s[2]];
        Self {
            steps: self.steps.iter().map(flip).collect(),
            triangles: self.triangles.clone(),
            lookup: self.lookup.iter().map(|(s, k)| (flip(s), *k)).collect(),
        }
        .flipped()
    }

    /// The same surface facing the other way.
    pub fn flipped(mut self) -> Self {
        for t in &mut self.triangles {
            t.swap(1, 2);
        }
        self
    }

    /// A whole shell from its port half: the half's open edge must lie in the centreline plane.
    pub fn both_sides(mut self) -> Self {
        let mirror = self.mirrored();
        for t in mirror.triangles {
            let t = t.map(|k| self.step_vertex(mirror.steps[k as usize]));
            self.triangles.push(t);
        }
        self
    }

    /// The shell moved by a vector, metres, to the nearest grid point.
    pub fn moved(&self, by: Vec3) -> Self {
        let by = by.map(|c| (c * STEPS_PER_METRE).round() as i32);
        let moved = |s: &[i32; 3]| [0, 1, 2].map(|k| s[k].saturating_add(by[k]));
        Self {
            steps: self.steps.iter().map(moved).collect(),
            triangles: self.triangles.clone(),
            lookup: self.lookup.iter().map(|(s, k)| (moved(s), *k)).collect(),
        }
    }

    /// Puts another closed shell beside this one without joining them.
    pub fn beside(mut self, other: Self) -> Self {
        let base = self.steps.len() as u32;
        self.steps.extend(&other.steps);
        self.triangles
            .extend(other.triangles.iter().map(|t| t.map(|k| k + base)));
        self
    }

    /// This shell and its mirror image beside it.
    pub fn and_mirrored(self) -> Self {
        let mirror = self.mirrored();
        self.beside(mirror)
    }

    /// Enclosed volume, cubic metres; negative when the shell faces inward.
    pub fn volume_m3(&self) -> f64 {
        self.corners()
            .map(|[a, b, c]| dot(a, cross(b, c)))
            .sum::<f64>()
            / 6.0
    }

    /// Smallest and largest corner of the box around the shell, metres.
    pub fn bounds(&self) -> [Vec3; 2] {
        self.positions().fold(
            [[f64::INFINITY; 3], [f64::NEG_INFINITY; 3]],
            |[low, high], p| {
                [
                    [0, 1, 2].map(|k| low[k].min(p[k])),
                    [0, 1, 2].map(|k| high[k].max(p[k])),
                ]
            },
        )
    }
}

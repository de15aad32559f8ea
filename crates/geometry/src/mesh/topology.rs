//! How the triangles of a mesh hang together.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Counts over the edges and shells of a mesh, vertices taken as they are indexed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Topology {
    /// Edges with one triangle: rims of holes.
    pub boundary_edges: usize,
    /// Edges with more than two triangles.
    pub non_manifold_edges: usize,
    /// Connected sets of triangles.
    pub shells: usize,
    /// Vertices in use less edges plus triangles.
    pub euler: i64,
    /// Whether any two triangles that share an edge agree which side is out.
    pub consistent: bool,
}

impl Topology {
    /// Whether every edge has exactly two triangles, so that the mesh encloses a volume.
    pub fn closed(&self) -> bool {
        self.boundary_edges == 0 && self.non_manifold_edges == 0
    }

    /// Counts the edges and shells of `triangles` over `vertices` vertices.
    pub(super) fn of(vertices: usize, triangles: &[[u32; 3]]) -> Self {
        let mut edges: Vec<u64> = triangles
            .iter()
            .flat_map(|&[a, b, c]| [edge(a, b), edge(b, c), edge(c, a)])
            .collect();
        sort(&mut edges);
        let mut topology = Self {
            consistent: true,
            ..Self::default()
        };
        let mut edge_count = 0_i64;
        for sharing in edges.chunk_by(|a, b| a >> 1 == b >> 1) {
            edge_count += 1;
            match sharing {
                [_] => topology.boundary_edges += 1,
                // Two triangles that agree run along their edge in opposite directions.
                [a, b] => topology.consistent &= a & 1 != b & 1,
                more => {
                    topology.non_manifold_edges += 1;
                    let forward = more.iter().filter(|e| *e & 1 == 0).count();
                    topology.consistent &= 2 * forward == more.len();
                }
            }
        }
        let (used, shells) = shells(vertices, triangles);
        topology.shells = shells;
        topology.euler = used as i64 - edge_count + triangles.len() as i64;
        topology
    }
}

/// An edge as one number: lower vertex, upper vertex, direction in the lowest bit.
pub(super) fn edge(from: u32, to: u32) -> u64 {
    // 31 bits for the lower vertex: the search tree holds no more triangles than that anyway.
    let (lo, hi, back) = if from < to {
        (from, to, 0)
    } else {
        (to, from, 1)
    };
    u64::from(lo) << 33 | u64::from(hi) << 1 | back
}

#[cfg(feature = "parallel")]
pub(super) fn sort(edges: &mut [u64]) {
    use rayon::slice::ParallelSliceMut;
    edges.par_sort_unstable();
}

#[cfg(not(feature = "parallel"))]
pub(super) fn sort(edges: &mut [u64]) {
    edges.sort_unstable();
}

/// How many vertices are in use, and how many connected sets they form.
fn shells(vertices: usize, triangles: &[[u32; 3]]) -> (usize, usize) {
    let mut parent: Vec<u32> = (0..vertices as u32).collect();
    let mut used = vec![false; vertices];
    for &[a, b, c] in triangles {
        for v in [a, b, c] {
            used[v as usize] = true;
        }
        join(&mut parent, a, b);
        join(&mut parent, b, c);
    }
    let roots = (0..vertices)
        .filter(|&v| used[v] && parent[v] as usize == v)
        .count();
    (used.iter().filter(|&&u| u).count(), roots)
}

fn root(parent: &mut [u32], mut v: u32) -> u32 {
    while parent[v as usize] != v {
        // Halving the path on the way keeps later look-ups short.
        parent[v as usize] = parent[parent[v as usize] as usize];
        v = parent[v as usize];
    }
    v
}

fn join(parent: &mut [u32], a: u32, b: u32) {
    let (a, b) = (root(parent, a), root(parent, b));
    let (lo, hi) = (a.min(b), a.max(b));
    parent[hi as usize] = lo;
}

//! Edges at which a surface is not closed.

use super::Mesh;
use super::topology::{edge, sort};

impl Mesh {
    /// Edges whose triangles do not run along them as often one way as the other: rims of holes, and
    /// edges where neighbours disagree which side is out. Each runs as most of its triangles do.
    ///
    /// A surface without any bounds a volume exactly, even where more than two triangles share an
    /// edge.
    pub fn unbalanced_edges(&self) -> Vec<[u32; 2]> {
        let topology = self.topology();
        if topology.boundary_edges == 0 && topology.consistent {
            return Vec::new();
        }
        let mut edges: Vec<u64> = self
            .triangles()
            .iter()
            .flat_map(|&[a, b, c]| [edge(a, b), edge(b, c), edge(c, a)])
            .collect();
        sort(&mut edges);
        edges
            .chunk_by(|a, b| a >> 1 == b >> 1)
            .filter_map(|sharing| {
                let back = sharing.iter().filter(|e| *e & 1 == 1).count();
                let (lo, hi) = ((sharing[0] >> 33) as u32, (sharing[0] >> 1) as u32);
                match (2 * back).cmp(&sharing.len()) {
                    std::cmp::Ordering::Less => Some([lo, hi]),
                    std::cmp::Ordering::Equal => None,
                    std::cmp::Ordering::Greater => Some([hi, lo]),
                }
            })
            .collect()
    }
}

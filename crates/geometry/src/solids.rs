//! Meshes whose measures are known, to test against.

#![allow(clippy::unwrap_used)]

use crate::math::Vec3;
use crate::mesh::Mesh;

/// A box between two corners, faces outward.
pub fn cuboid(lo: [f64; 3], hi: [f64; 3]) -> Mesh {
    let corner = |i: usize| {
        Vec3::new(
            if i & 1 == 0 { lo[0] } else { hi[0] },
            if i & 2 == 0 { lo[1] } else { hi[1] },
            if i & 4 == 0 { lo[2] } else { hi[2] },
        )
    };
    let faces = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    let triangles = faces
        .iter()
        .flat_map(|f| [[f[0], f[1], f[2]], [f[0], f[2], f[3]]])
        .collect();
    Mesh::new((0..8).map(corner).collect(), triangles).unwrap()
}

/// An open sheet of `cells`² squares, 4 m each way, that rises and falls.
pub fn wavy(cells: u32) -> Mesh {
    let at = |i: u32| 4.0 * f64::from(i) / f64::from(cells);
    let height = |x: f64, y: f64| 0.3 * (2.0 * x).sin() * (1.5 * y).cos() + 0.2 * x;
    let vertex = |i: u32| {
        let (x, y) = (at(i / (cells + 1)), at(i % (cells + 1)));
        Vec3::new(x, y, height(x, y))
    };
    let vertices = (0..(cells + 1) * (cells + 1)).map(vertex).collect();
    let triangles = (0..cells * cells)
        .flat_map(|i| {
            let a = i / cells * (cells + 1) + i % cells;
            let [b, c, d] = [a + 1, a + cells + 1, a + cells + 2];
            [[a, c, d], [a, d, b]]
        })
        .collect();
    Mesh::new(vertices, triangles).unwrap()
}

//! Closed meshes of known shape.

#![allow(dead_code, clippy::unwrap_used)]

use std::f64::consts::TAU;

use keelstead_geometry::math::{Aabb, Vec3};
use keelstead_geometry::mesh::Mesh;

/// A mesh with every vertex moved.
pub fn moved(mesh: &Mesh, to: impl Fn(Vec3) -> Vec3) -> Mesh {
    let vertices = mesh.vertices().iter().map(|v| to(*v)).collect();
    Mesh::new(vertices, mesh.triangles().to_vec()).unwrap()
}

/// A cuboid between two corners.
pub fn cuboid(lo: [f64; 3], hi: [f64; 3]) -> Mesh {
    let (vertices, triangles) = Aabb::new(lo.into(), hi.into()).to_trimesh();
    Mesh::new(vertices, triangles).unwrap()
}

/// The surface that a profile of (radius, height) sweeps round the z axis in `segments` steps. A
/// profile that runs upward with the axis on its left faces outward; where it meets the axis it
/// closes. `ring` joins its last point to its first.
pub fn revolved(profile: &[(f64, f64)], segments: usize, ring: bool) -> Mesh {
    let at = |point: usize, segment: usize| {
        let (radius, z) = profile[point % profile.len()];
        let (sin, cos) = (TAU * (segment % segments) as f64 / segments as f64).sin_cos();
        if radius == 0.0 {
            Vec3::new(0.0, 0.0, z)
        } else {
            Vec3::new(radius * cos, radius * sin, z)
        }
    };
    let steps = if ring {
        profile.len()
    } else {
        profile.len() - 1
    };
    let mut corners = Vec::new();
    for i in 0..steps {
        for j in 0..segments {
            let (a, b, c, d) = (at(i, j), at(i, j + 1), at(i + 1, j + 1), at(i + 1, j));
            corners.extend(
                [[a, b, c], [a, c, d]]
                    .into_iter()
                    .filter(|t| t[0] != t[1] && t[1] != t[2] && t[2] != t[0]),
            );
        }
    }
    Mesh::welded(&corners).unwrap()
}

/// A sphere of radius 1 about the origin, its vertices on the sphere, two of them at its poles on z.
pub fn sphere(segments: usize) -> Mesh {
    let rows = segments / 2;
    let profile: Vec<(f64, f64)> = (0..=rows)
        .map(|i| match i {
            0 => (0.0, -1.0),
            i if i == rows => (0.0, 1.0),
            i => {
                let (sin, cos) = (std::f64::consts::PI * i as f64 / rows as f64).sin_cos();
                (sin, -cos)
            }
        })
        .collect();
    revolved(&profile, segments, false)
}

/// An icosahedron in the unit sphere, each triangle cut in four `times` times and drawn onto it.
pub fn icosphere(times: usize) -> Mesh {
    let g = (1.0 + 5.0_f64.sqrt()) / 2.0;
    let v: Vec<Vec3> = [
        [-1.0, g, 0.0],
        [1.0, g, 0.0],
        [-1.0, -g, 0.0],
        [1.0, -g, 0.0],
        [0.0, -1.0, g],
        [0.0, 1.0, g],
        [0.0, -1.0, -g],
        [0.0, 1.0, -g],
        [g, 0.0, -1.0],
        [g, 0.0, 1.0],
        [-g, 0.0, -1.0],
        [-g, 0.0, 1.0],
    ]
    .into_iter()
    .map(|c| Vec3::from_array(c).normalize())
    .collect();
    let faces: [[usize; 3]; 20] = [
        [0, 11, 5],
        [0, 5, 1],
        [0, 1, 7],
        [0, 7, 10],
        [0, 10, 11],
        [1, 5, 9],
        [5, 11, 4],
        [11, 10, 2],
        [10, 7, 6],
        [7, 1, 8],
        [3, 9, 4],
        [3, 4, 2],
        [3, 2, 6],
        [3, 6, 8],
        [3, 8, 9],
        [4, 9, 5],
        [2, 4, 11],
        [6, 2, 10],
        [8, 6, 7],
        [9, 8, 1],
    ];
    let mut corners: Vec<[Vec3; 3]> = faces.iter().map(|f| f.map(|i| v[i])).collect();
    for _ in 0..times {
        corners = corners
            .iter()
            .flat_map(|&[a, b, c]| {
                let half = |p: Vec3, q: Vec3| ((p + q) / 2.0).normalize();
                let (ab, bc, ca) = (half(a, b), half(b, c), half(c, a));
                [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]
            })
            .collect();
    }
    Mesh::welded(&corners).unwrap()
}

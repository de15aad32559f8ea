//! The hull's surface as it is drawn, and the line where a plane cuts it.

use bevy::prelude::{Vec2, Vec3};
use keelstead_geometry::math;
use keelstead_geometry::mesh::Mesh as HullMesh;

use super::facets::{Facets, PLAIN};
use crate::convert;

/// Faces that meet at a flatter angle than this are shaded as one round surface: cosine of 35°.
const CREASE_COS: f64 = 0.819;
/// Normals nearer than this share a vertex.
const SAME_COS: f64 = 0.9999;

/// The surface of a part, round where it is fair and sharp at its creases. Surface coordinates are
/// the hull's own x and z, which paint lines follow.
pub fn shape_of(mesh: &HullMesh) -> Facets {
    let (vertices, triangles) = (mesh.vertices(), mesh.triangles());
    let weighted: Vec<math::Vec3> = triangles
        .iter()
        .map(|t| {
            let [a, b, c] = t.map(|i| vertices[i as usize]);
            (b - a).cross(c - a)
        })
        .collect();
    let unit: Vec<math::Vec3> = weighted.iter().map(|n| n.normalize_or_zero()).collect();
    let faces_at = FacesAt::new(vertices.len(), triangles);
    let mut shape = Facets::default();
    // Per vertex of the hull, the vertices made for it so far with their normals.
    let mut made: Vec<Vec<(math::Vec3, u32)>> = vec![Vec::new(); vertices.len()];
    for (face, corners) in triangles.iter().enumerate() {
        if unit[face] == math::Vec3::ZERO {
            continue;
        }
        let indices = corners.map(|corner| {
            let sum: math::Vec3 = faces_at
                .of(corner)
                .iter()
                .filter(|f| unit[**f as usize].dot(unit[face]) >= CREASE_COS)
                .map(|f| weighted[*f as usize])
                .fold(math::Vec3::ZERO, |sum, n| sum + n);
            let normal = sum.normalize_or(unit[face]);
            let same = made[corner as usize]
                .iter()
                .find(|(n, _)| n.dot(normal) > SAME_COS);
            if let Some((_, index)) = same {
                return *index;
            }
            let at = vertices[corner as usize];
            let surface = Vec2::new(at.x as f32, at.z as f32);
            let index = shape.vertex(convert::vec3(at), convert::vec3(normal), surface, PLAIN);
            made[corner as usize].push((normal, index));
            index
        });
        shape.triangle(indices);
    }
    shape
}

/// Most triangles in a piece: some milliseconds of a frame to hand to the graphics card.
const PIECE: usize = 1 << 16;

/// The same in pieces that can be handed to the graphics card one by one.
pub fn pieces_of(mesh: &HullMesh) -> Vec<Facets> {
    shape_of(mesh).pieces(PIECE)
}

/// Which faces meet at each vertex, in one allocation.
struct FacesAt {
    first: Vec<u32>,
    faces: Vec<u32>,
}

impl FacesAt {
    fn new(vertices: usize, triangles: &[[u32; 3]]) -> Self {
        let mut first = vec![0_u32; vertices + 1];
        for corner in triangles.iter().flatten() {
            first[*corner as usize + 1] += 1;
        }
        for i in 0..vertices {
            first[i + 1] += first[i];
        }
        let mut next = first.clone();
        let mut faces = vec![0_u32; triangles.len() * 3];
        for (face, corners) in triangles.iter().enumerate() {
            for corner in corners {
                let slot = &mut next[*corner as usize];
                faces[*slot as usize] = face as u32;
                *slot += 1;
            }
        }
        Self { first, faces }
    }

    fn of(&self, vertex: u32) -> &[u32] {
        let i = vertex as usize;
        &self.faces[self.first[i] as usize..self.first[i + 1] as usize]
    }
}

/// Where the plane x = `station_m` of the hull's frame cuts the mesh: unordered segments.
pub fn section(mesh: &HullMesh, station_m: f64) -> Vec<[Vec3; 2]> {
    let vertices = mesh.vertices();
    mesh.triangles()
        .iter()
        .filter_map(|t| {
            let corners = t.map(|i| vertices[i as usize]);
            let mut cuts = (0..3).filter_map(|i| {
                let (a, b) = (corners[i], corners[(i + 1) % 3]);
                let (from, to) = (a.x - station_m, b.x - station_m);
                // A corner on the plane counts as ahead of it, so that each crossing is met once.
                ((from < 0.0) != (to < 0.0)).then(|| a + (b - a) * (from / (from - to)))
            });
            let (a, b) = (cuts.next()?, cuts.next()?);
            Some([convert::vec3(a), convert::vec3(b)])
        })
        .collect()
}

/// A band of `width_m` along each segment of a section, lying in the cutting plane.
pub fn outline(segments: &[[Vec3; 2]], width_m: f32) -> Facets {
    let mut shape = Facets::default();
    for [a, b] in segments {
        let Some(along) = (*b - *a).try_normalize() else {
            continue;
        };
        let off = Vec3::X.cross(along) * (width_m / 2.0);
        let reach = along * (width_m / 2.0);
        let corners = [
            *a - reach - off,
            *b + reach - off,
            *b + reach + off,
            *a - reach + off,
        ];
        for facing in [Vec3::X, Vec3::NEG_X] {
            shape.polygon(&corners, facing, |p| Vec2::new(p.y, p.z), PLAIN);
        }
    }
    shape
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use bevy::mesh::{Mesh, VertexAttributeValues};

    fn prism() -> HullMesh {
        let v = |x: f64, y: f64, z: f64| math::Vec3::new(x, y, z);
        let vertices = vec![
            v(0.0, -1.0, 0.0),
            v(2.0, -1.0, 0.0),
            v(2.0, 1.0, 0.0),
            v(0.0, 1.0, 0.0),
            v(0.0, -1.0, 1.0),
            v(2.0, -1.0, 1.0),
            v(2.0, 1.0, 1.0),
            v(0.0, 1.0, 1.0),
        ];
        let quads = [
            [0, 3, 2, 1],
            [4, 5, 6, 7],
            [0, 1, 5, 4],
            [1, 2, 6, 5],
            [2, 3, 7, 6],
            [3, 0, 4, 7],
        ];
        let triangles = quads
            .iter()
            .flat_map(|[a, b, c, d]| [[*a, *b, *c], [*a, *c, *d]])
            .collect();
        HullMesh::new(vertices, triangles).unwrap()
    }

    #[test]
    fn a_box_keeps_its_sharp_edges() {
        let mesh: Mesh = shape_of(&prism()).mesh();
        let Some(VertexAttributeValues::Float32x3(normals)) =
            mesh.attribute(Mesh::ATTRIBUTE_NORMAL)
        else {
            panic!("the mesh has no normals");
        };
        assert_eq!(normals.len(), 24, "three normals at each of eight corners");
        let along_axes = normals
            .iter()
            .all(|n| n.iter().filter(|c| c.abs() > 1e-6).count() == 1);
        assert!(along_axes);
    }

    #[test]
    fn a_section_has_the_length_of_the_outline_and_lies_in_the_plane() {
        let segments = section(&prism(), 0.5);
        let length: f32 = segments.iter().map(|[a, b]| a.distance(*b)).sum();
        assert!((length - 6.0).abs() < 1e-5, "{length}");
        assert!(segments.iter().flatten().all(|p| (p.x - 0.5).abs() < 1e-6));
        assert!(section(&prism(), 3.0).is_empty());
    }
}

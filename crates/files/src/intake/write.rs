//! Meshes written: GLB, and binary STL.
//!
//! Both hold the hull frame in metres: the STL as it is, and says so in its comment; the GLB under a node that turns
//! it to what glTF lays down, up +y and the front +z. So both are read back without a question.

use gltf::binary::{Glb, Header};
use serde_json::json;

use crate::mesh_file::OWN;

/// A part to write, hull frame, m.
#[derive(Debug, Clone, Copy)]
pub struct Written<'a> {
    /// Its name.
    pub name: &'a str,
    /// Vertices, m.
    pub positions: &'a [[f64; 3]],
    /// Triangles as indices of vertices.
    pub triangles: &'a [[u32; 3]],
}

/// The bytes of a binary glTF file: one named node a part, positions in single precision.
///
/// # Errors
/// Passes on what the glTF library says of writing.
pub fn glb(parts: &[Written<'_>]) -> Result<Vec<u8>, gltf::Error> {
    let mut data: Vec<u8> = Vec::new();
    let (mut views, mut accessors) = (Vec::new(), Vec::new());
    let (mut meshes, mut nodes) = (Vec::new(), Vec::new());
    for (index, part) in parts.iter().enumerate() {
        let mut low = [f32::INFINITY; 3];
        let mut high = [f32::NEG_INFINITY; 3];
        let start = data.len();
        for position in part.positions {
            for (axis, value) in position.map(|c| c as f32).into_iter().enumerate() {
                low[axis] = low[axis].min(value);
                high[axis] = high[axis].max(value);
                data.extend(value.to_le_bytes());
            }
        }
        let middle = data.len();
        data.extend(
            part.triangles
                .iter()
                .flatten()
                .flat_map(|i| i.to_le_bytes()),
        );
        views.push(json!({"buffer": 0, "byteOffset": start, "byteLength": middle - start, "target": 34962}));
        views.push(json!({"buffer": 0, "byteOffset": middle, "byteLength": data.len() - middle, "target": 34963}));
        accessors.push(
            json!({"bufferView": 2 * index, "componentType": 5126, "count": part.positions.len(),
            "type": "VEC3", "min": low, "max": high}),
        );
        accessors.push(json!({"bufferView": 2 * index + 1, "componentType": 5125,
            "count": 3 * part.triangles.len(), "type": "SCALAR"}));
        meshes.push(json!({"name": part.name,
            "primitives": [{"attributes": {"POSITION": 2 * index}, "indices": 2 * index + 1}]}));
        nodes.push(json!({"name": part.name, "mesh": index}));
    }
    // Minus 120 degrees about (1, 1, 1) takes forward, port and up to glTF's z, x and y, exactly.
    let all: Vec<usize> = (0..parts.len()).collect();
    nodes.push(json!({"name": "hull frame", "children": all, "rotation": [-0.5, -0.5, -0.5, 0.5]}));
    let header = json!({
        "asset": {"version": "2.0", "generator": OWN},
        "scene": 0,
        "scenes": [{"nodes": [parts.len()]}],
        "nodes": nodes,
        "meshes": meshes,
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": data.len()}],
    });
    let container = Glb {
        // Its length is reckoned as it is written.
        header: Header {
            magic: *b"glTF",
            version: 2,
            length: 0,
        },
        json: header.to_string().into_bytes().into(),
        bin: Some(data.into()),
    };
    container.to_vec()
}

/// The bytes of a binary STL of all parts together.
pub fn stl(parts: &[Written<'_>]) -> Vec<u8> {
    let count: usize = parts.iter().map(|part| part.triangles.len()).sum();
    let mut out = format!("{OWN}: metres, x forward, y to port, z up").into_bytes();
    out.resize(80, 0);
    out.reserve(4 + 50 * count);
    out.extend((count as u32).to_le_bytes());
    for part in parts {
        for triangle in part.triangles {
            // The normal may stay zero: readers take it from the corners.
            out.extend([0; 12]);
            for corner in triangle.map(|i| part.positions[i as usize]) {
                out.extend(corner.iter().flat_map(|c| (*c as f32).to_le_bytes()));
            }
            out.extend([0; 2]);
        }
    }
    out
}

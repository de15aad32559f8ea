//! Writing a boat as a binary glTF file: one named node per part.
//!
//! Positions are those of the hull frame (x forward, y to port, z up, metres), under a node that turns them to what
//! glTF lays down: up +y, the front +z.

use gltf::binary::{Glb, Header};
use gltf_json as json;
use gltf_json::validation::{Checked::Valid, USize64};

use crate::boats::Boat;

/// Why a boat could not be written.
#[derive(Debug, thiserror::Error)]
pub enum GlbError {
    /// The glTF header would not serialise.
    #[error("the glTF header of {boat} could not be written: {source}")]
    Header {
        /// The boat.
        boat: &'static str,
        /// What serde_json said.
        source: json::Error,
    },
    /// The file around header and data would not be written.
    #[error("the file of {boat} could not be written: {source}")]
    Container {
        /// The boat.
        boat: &'static str,
        /// What the glTF library said.
        source: gltf::Error,
    },
}

/// The bytes of a `.glb` file: indexed positions in 32-bit floats, indices in 16 bits where they fit.
pub fn to_bytes(boat: &Boat) -> Result<Vec<u8>, GlbError> {
    let mut root = json::Root::default();
    let mut data = Vec::new();
    root.asset.generator = Some("keelstead-demo-data".into());
    let mut nodes = Vec::new();
    for part in &boat.parts {
        let positions = positions(&mut root, &mut data, part);
        let indices = indices(&mut root, &mut data, part);
        let mesh = root.push(json::Mesh {
            extensions: None,
            extras: Default::default(),
            name: Some(part.name.clone()),
            primitives: vec![json::mesh::Primitive {
                attributes: [(Valid(json::mesh::Semantic::Positions), positions)].into(),
                extensions: None,
                extras: Default::default(),
                indices: Some(indices),
                material: None,
                mode: Valid(json::mesh::Mode::Triangles),
                targets: None,
            }],
            weights: None,
        });
        nodes.push(root.push(json::Node {
            mesh: Some(mesh),
            name: Some(part.name.clone()),
            ..Default::default()
        }));
    }
    // Minus 120 degrees about (1, 1, 1), exactly.
    let turned = root.push(json::Node {
        children: Some(nodes),
        name: Some("hull frame".into()),
        rotation: Some(json::scene::UnitQuaternion([-0.5, -0.5, -0.5, 0.5])),
        ..Default::default()
    });
    root.buffers.push(json::Buffer {
        byte_length: USize64::from(data.len()),
        name: None,
        uri: None,
        extensions: None,
        extras: Default::default(),
    });
    let scene = root.push(json::Scene {
        name: Some(boat.particulars.name.into()),
        nodes: vec![turned],
        extensions: None,
        extras: Default::default(),
    });
    root.scene = Some(scene);
    let header = json::serialize::to_vec(&root).map_err(|source| GlbError::Header {
        boat: boat.particulars.name,
        source,
    })?;
    let container = Glb {
        // Its length is reckoned as it is written.
        header: Header {
            magic: *b"glTF",
            version: 2,
            length: 0,
        },
        json: header.into(),
        bin: Some(data.into()),
    };
    container.to_vec().map_err(|source| GlbError::Container {
        boat: boat.particulars.name,
        source,
    })
}

fn positions(
    root: &mut json::Root,
    data: &mut Vec<u8>,
    part: &crate::boats::Part,
) -> json::Index<json::Accessor> {
    let start = data.len();
    for p in part.shell.positions() {
        for c in p {
            data.extend((c as f32).to_le_bytes());
        }
    }
    let [low, high] = part.shell.bounds();
    let extent = |p: [f64; 3]| Some(json::Value::from(p.map(|c| c as f32).to_vec()));
    let view = view(root, start, data.len(), json::buffer::Target::ArrayBuffer);
    root.push(json::Accessor {
        min: extent(low),
        max: extent(high),
        ..accessor(
            view,
            part.shell.positions().len(),
            json::accessor::ComponentType::F32,
            json::accessor::Type::Vec3,
        )
    })
}

fn indices(
    root: &mut json::Root,
    data: &mut Vec<u8>,
    part: &crate::boats::Part,
) -> json::Index<json::Accessor> {
    let start = data.len();
    let short = part.shell.positions().len() <= usize::from(u16::MAX);
    let flat = part.shell.triangles().iter().flatten();
    let kind = if short {
        flat.for_each(|k| data.extend((*k as u16).to_le_bytes()));
        json::accessor::ComponentType::U16
    } else {
        flat.for_each(|k| data.extend(k.to_le_bytes()));
        json::accessor::ComponentType::U32
    };
    let count = part.shell.triangles().len() * 3;
    let end = data.len();
    // glTF wants every block of data to begin on a multiple of four bytes.
    data.resize(end.next_multiple_of(4), 0);
    let view = view(root, start, end, json::buffer::Target::ElementArrayBuffer);
    root.push(accessor(view, count, kind, json::accessor::Type::Scalar))
}

fn view(
    root: &mut json::Root,
    start: usize,
    end: usize,
    target: json::buffer::Target,
) -> json::Index<json::buffer::View> {
    root.push(json::buffer::View {
        buffer: json::Index::new(0),
        byte_length: USize64::from(end - start),
        byte_offset: Some(USize64::from(start)),
        byte_stride: None,
        name: None,
        target: Some(Valid(target)),
        extensions: None,
        extras: Default::default(),
    })
}

fn accessor(
    view: json::Index<json::buffer::View>,
    count: usize,
    component: json::accessor::ComponentType,
    kind: json::accessor::Type,
) -> json::Accessor {
    json::Accessor {
        buffer_view: Some(view),
        byte_offset: Some(USize64(0)),
        count: USize64::from(count),
        component_type: Valid(json::accessor::GenericComponentType(component)),
        extensions: None,
        extras: Default::default(),
        type_: Valid(kind),
        min: None,
        max: None,
        name: None,
        normalized: false,
        sparse: None,
    }
}

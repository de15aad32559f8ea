//! GLB and glTF through the `gltf` crate: every node of the scene that shows a mesh, in its place.
//!
//! The crate reads and checks the document. The numbers are taken from the buffers here, since the
//! crate's own iterators trust accessors that point outside their buffer.

mod accessors;

use base64::Engine;
use gltf::buffer::Source as BufferSource;
use gltf::json::validation::Error as Invalid;
use gltf::mesh::Mode;
use gltf::{Document, Gltf, Node, Primitive, Semantic};

use super::scene::{Columns, DEEPEST, IDENTITY, Shown, place, product};
use super::{OWN, Raw, RawPart, Surface, Surroundings};
use crate::error::{FileError, Spot};
use crate::hull_file::{Axes, Axis};
use crate::progress::step;
use crate::source::read_reference;

/// The format lays down: up is +y, the front of a thing faces +z.
pub(crate) const AXES: Axes = Axes {
    forward: Axis::PlusZ,
    up: Axis::PlusY,
};

const DAMAGED: &str = "The file is damaged: export it again";

pub(super) fn read(bytes: &[u8], name: &str, around: &Surroundings<'_>) -> Result<Raw, FileError> {
    check_length(bytes, name)?;
    let told = |error: gltf::Error| match &error {
        gltf::Error::Validation(problems) if let Some((path, problem)) = problems.first() => {
            invalid(name, path.as_str(), *problem)
        }
        _ => FileError::fault(name, Spot::Whole, error.to_string(), "glTF 2.0", DAMAGED),
    };
    let Gltf { document, blob } = Gltf::from_slice_without_validation(bytes).map_err(told)?;
    check_accessors(&document, name)?;
    let document = Document::from_json(document.into_json()).map_err(told)?;
    step(around.progress, 0.1, "buffers")?;
    let buffers = buffers(&document, blob, name, around)?;
    let size = bytes.len() + buffers.iter().map(Vec::len).sum::<usize>();
    let generator = document.as_json().asset.generator.as_deref();
    let own = generator.is_some_and(|by| by.starts_with(OWN));
    let mut reader = Reader {
        name,
        buffers,
        raw: Raw {
            own_axes: own.then_some(AXES),
            ..Raw::default()
        },
        shown: Shown::new(size),
        within: Vec::new(),
    };
    let scene = document
        .default_scene()
        .or_else(|| document.scenes().next());
    match &scene {
        Some(scene) => {
            for node in scene.nodes() {
                reader.node(&node, &IDENTITY, DEEPEST, around)?;
            }
        }
        None => {
            return Err(reader.fault("scenes", "there is no scene", "one", "Export it again"));
        }
    }
    let scenes = document.scenes().count();
    if let Some(scene) = scene.filter(|_| scenes > 1) {
        let called = scene
            .name()
            .map(|name| format!(" (\"{name}\")"))
            .unwrap_or_default();
        reader.raw.notices.push(
            format!(
                "only scene {}{called} of {scenes}, counted from 0, was read: the file opens with it",
                scene.index()
            )
            .into(),
        );
    }
    if reader.raw.parts.is_empty() {
        return Err(reader.fault(
            "scene",
            "no node shows a mesh of triangles",
            "a surface",
            "Export the hull as a mesh",
        ));
    }
    Ok(reader.raw)
}

/// What the crate's checks found at a place of the document. The place of an extension holds its name.
fn invalid(name: &str, path: &str, problem: Invalid) -> FileError {
    let (place, extension) = match path.split_once(" = ") {
        Some((place, extension)) => (place, extension.trim_matches('"')),
        None => (path, "one it requires"),
    };
    let (found, expected, advice) = match problem {
        Invalid::Unsupported => {
            let advice = if extension.contains("compression") {
                "Export it again without compression (Draco, meshopt)"
            } else if extension.contains("quantization") {
                "Export it again without quantisation: positions as floating point numbers"
            } else {
                "Export it again without that extension"
            };
            let found = format!("the extension {extension} is not supported");
            return FileError::fault(
                name,
                Spot::Named(place.into()),
                found,
                "glTF 2.0 without it",
                advice,
            );
        }
        Invalid::IndexOutOfBounds => (
            "it names what the file does not hold",
            "a number of what is there, counted from 0",
            DAMAGED,
        ),
        // Packed files often lack what must be unpacked first.
        Invalid::Missing => (
            "it is missing",
            "what glTF 2.0 asks for there",
            "Export it again, whole and without compression (Draco, meshopt)",
        ),
        Invalid::Invalid | Invalid::Oversize => (
            "a value that cannot be",
            "what glTF 2.0 allows there",
            DAMAGED,
        ),
    };
    FileError::fault(name, Spot::Named(place.into()), found, expected, advice)
}

/// The crate subtracts the header from the length a GLB claims, so the length is looked at first.
fn check_length(bytes: &[u8], name: &str) -> Result<(), FileError> {
    let Some(rest) = bytes.strip_prefix(b"glTF") else {
        return Ok(());
    };
    let claimed = rest
        .get(4..8)
        .and_then(|length| length.try_into().ok())
        .map(|length| u32::from_le_bytes(length) as usize);
    match claimed {
        Some(claimed) if claimed >= 20 && claimed <= bytes.len() => Ok(()),
        _ => Err(FileError::fault(
            name,
            Spot::Byte(8),
            format!(
                "the file has {} bytes, its header says {}",
                bytes.len(),
                claimed.map_or("nothing".into(), |claimed| claimed.to_string())
            ),
            "a whole GLB",
            "The file is cut short: copy or export it again",
        )),
    }
}

/// The crate's own checks panic on a primitive whose accessor is not there, so that is looked at
/// before them; and the scene, of which they say less.
fn check_accessors(document: &Document, name: &str) -> Result<(), FileError> {
    let root = document.as_json();
    if let Some(scene) = root
        .scene
        .filter(|scene| scene.value() >= root.scenes.len())
    {
        return Err(FileError::fault(
            name,
            Spot::Named("scene".into()),
            format!(
                "it names scene {}, but there are {}",
                scene.value(),
                root.scenes.len()
            ),
            "a scene that is there, counted from 0",
            "Export it again, or correct \"scene\" in the document",
        ));
    }
    let mut used = root
        .meshes
        .iter()
        .flat_map(|mesh| &mesh.primitives)
        .flat_map(|primitive| primitive.attributes.values().chain(&primitive.indices));
    match used.find(|index| index.value() >= root.accessors.len()) {
        None => Ok(()),
        Some(index) => Err(FileError::fault(
            name,
            Spot::Named("meshes".into()),
            format!(
                "a mesh names accessor {}, but there are {}",
                index.value(),
                root.accessors.len()
            ),
            "an accessor that is there, counted from 0",
            DAMAGED,
        )),
    }
}

fn buffers(
    document: &Document,
    mut blob: Option<Vec<u8>>,
    name: &str,
    around: &Surroundings<'_>,
) -> Result<Vec<Vec<u8>>, FileError> {
    document
        .buffers()
        .map(|buffer| {
            let spot = || Spot::Named(format!("buffer {}", buffer.index()));
            let bytes = match buffer.source() {
                BufferSource::Bin => blob.take().ok_or_else(|| {
                    FileError::fault(
                        name,
                        spot(),
                        "its binary part is missing",
                        "one",
                        "Export it again, whole and without compression (Draco, meshopt)",
                    )
                })?,
                BufferSource::Uri(uri) => match uri.strip_prefix("data:") {
                    Some(data) => embedded(data).ok_or_else(|| {
                        FileError::fault(name, spot(), "its data is not base64", "base64", DAMAGED)
                    })?,
                    None => {
                        let path = percent_encoding::percent_decode_str(uri).decode_utf8_lossy();
                        read_reference(around.source, name, &path)?.1
                    }
                },
            };
            if bytes.len() < buffer.length() {
                return Err(FileError::fault(
                    name,
                    spot(),
                    format!("it has {} bytes", bytes.len()),
                    format!("{}", buffer.length()),
                    "The file is cut short: copy or export it again",
                ));
            }
            Ok(bytes)
        })
        .collect()
}

fn embedded(data: &str) -> Option<Vec<u8>> {
    let (_, encoded) = data.split_once(";base64,")?;
    base64::engine::general_purpose::STANDARD
        .decode(encoded)
        .ok()
}

struct Reader<'a> {
    name: &'a str,
    buffers: Vec<Vec<u8>>,
    raw: Raw,
    shown: Shown,
    /// The nodes above the one looked at.
    within: Vec<usize>,
}

impl Reader<'_> {
    fn fault(&self, place: &str, found: &str, expected: &str, advice: &str) -> FileError {
        FileError::fault(
            self.name,
            Spot::Named(place.into()),
            found,
            expected,
            advice,
        )
    }

    fn node(
        &mut self,
        node: &Node<'_>,
        scene_from_parent: &Columns,
        depth: usize,
        around: &Surroundings<'_>,
    ) -> Result<(), FileError> {
        let spot = node.name().map_or_else(
            || format!("node {}", node.index()),
            |name| format!("node \"{name}\""),
        );
        if self.within.contains(&node.index()) {
            return Err(self.fault(
                &spot,
                "nodes in a loop: it is below itself",
                "a tree",
                "Take the node out of its own children, or export it again",
            ));
        }
        if depth == 0 {
            let found = format!("nodes nested deeper than {DEEPEST}");
            return Err(self.fault(&spot, &found, "a flatter tree", DAMAGED));
        }
        if around.progress.cancelled() {
            return Err(FileError::Cancelled);
        }
        let parent_from_node = node
            .transform()
            .matrix()
            .map(|column| column.map(f64::from));
        let scene_from_node = product(scene_from_parent, &parent_from_node);
        if let Some(mesh) = node.mesh() {
            if node.skin().is_some() {
                self.raw
                    .notices
                    .push(format!("{spot}: read as drawn, without its skeleton's pose").into());
            }
            let title = node
                .name()
                .or(mesh.name())
                .map_or_else(|| format!("node {}", node.index()), str::to_owned);
            let (mut positions, mut triangles) = (Vec::new(), Vec::new());
            for primitive in mesh.primitives() {
                self.primitive(&primitive, &spot, &mut positions, &mut triangles)?;
            }
            if !triangles.is_empty() {
                if !place(&scene_from_node, &mut positions, &mut triangles) {
                    return Err(self.fault(
                        &spot,
                        "a coordinate that is not a finite number",
                        "finite positions and transforms",
                        "Repair the mesh in the program that made it and export it again",
                    ));
                }
                let surface = Surface::Indexed(positions, triangles);
                self.raw.parts.push(RawPart {
                    name: title,
                    surface,
                });
            }
        }
        self.within.push(node.index());
        for child in node.children() {
            self.node(&child, &scene_from_node, depth - 1, around)?;
        }
        self.within.pop();
        Ok(())
    }

    fn primitive(
        &mut self,
        primitive: &Primitive<'_>,
        place: &str,
        positions: &mut Vec<[f64; 3]>,
        triangles: &mut Vec<[u32; 3]>,
    ) -> Result<(), FileError> {
        if !matches!(
            primitive.mode(),
            Mode::Triangles | Mode::TriangleStrip | Mode::TriangleFan
        ) {
            self.raw
                .notices
                .push(format!("{place}: its lines or points were left out").into());
            return Ok(());
        }
        if primitive.morph_targets().len() > 0 {
            self.raw
                .notices
                .push(format!("{place}: read without its morph targets").into());
        }
        let Some(accessor) = primitive.get(&Semantic::Positions) else {
            return Err(self.fault(place, "a mesh without positions", "positions", DAMAGED));
        };
        let first = u32::try_from(positions.len()).unwrap_or(u32::MAX);
        let own = self.positions(&accessor, place)?;
        let corners: Vec<u32> = match primitive.indices() {
            Some(indices) => self.indices(&indices, own.len(), place)?,
            None => (0..own.len() as u32).collect(),
        };
        if !self.shown.more(corners.len() + own.len())
            || first.checked_add(own.len() as u32).is_none()
        {
            return Err(self.fault(
                place,
                "the scene shows too many triangles",
                "a file's worth",
                "Export the hull with a coarser mesh",
            ));
        }
        let at = |i: usize| first + corners[i];
        match primitive.mode() {
            Mode::TriangleStrip => triangles.extend((2..corners.len()).map(|i| match i % 2 {
                0 => [at(i - 2), at(i - 1), at(i)],
                _ => [at(i - 1), at(i - 2), at(i)],
            })),
            Mode::TriangleFan => {
                triangles.extend((2..corners.len()).map(|i| [at(0), at(i - 1), at(i)]));
            }
            _ => {
                if !corners.len().is_multiple_of(3) {
                    let found = format!("{} corners", corners.len());
                    return Err(self.fault(place, &found, "three a triangle", DAMAGED));
                }
                triangles.extend(
                    (0..corners.len() / 3).map(|i| [at(3 * i), at(3 * i + 1), at(3 * i + 2)]),
                );
            }
        }
        positions.extend(own);
        Ok(())
    }
}

//! The hull that comes out: half hulls mirrored, parts cut out, the description of them.

use keelstead_boat::hull::{PartKind, PartUse};
use keelstead_geometry::math::Vec3;

use super::Examined;
use super::soup::Soup;
use crate::hull_file::{HullFile, LengthUnit, PartRule};
use crate::mesh_file::GLTF_AXES;
use keelstead_units::sentence_both;

/// Half hulls lie within this part of their length of the middle plane where they are cut: a millimetre of ten metres.
const ON_PLANE: f64 = 1e-4;

/// A part, hull frame's directions, m.
#[derive(Debug, Clone, PartialEq)]
pub struct ImportedPart {
    /// Its name, unique.
    pub name: String,
    /// What it is taken for.
    pub kind: PartKind,
    /// What it counts for.
    pub part_use: PartUse,
    /// Vertices, m.
    pub positions: Vec<[f64; 3]>,
    /// Triangles as indices of vertices, facing outward.
    pub triangles: Vec<[u32; 3]>,
}

/// Adds the other side of a half hull cut along y = 0; says how many triangles that were.
pub(super) fn mirrored(soup: &mut Soup) -> usize {
    let [low, high] = soup.bounds();
    let on_plane = ON_PLANE * (high - low).max_element();
    for p in &mut soup.positions {
        if p.y.abs() <= on_plane {
            p.y = 0.0;
        }
    }
    soup.tidy();
    // What lies in the plane closes the half, and would be an inner wall of the whole.
    let positions = &soup.positions;
    let keep: Vec<bool> = soup
        .triangles
        .iter()
        .map(|t| t.iter().any(|&i| positions[i as usize].y != 0.0))
        .collect();
    let mut kept = keep.iter();
    soup.triangles.retain(|_| *kept.next().unwrap_or(&true));
    let mut kept = keep.iter();
    soup.part.retain(|_| *kept.next().unwrap_or(&true));
    let mut image = Vec::with_capacity(soup.positions.len());
    for i in 0..soup.positions.len() {
        let p = soup.positions[i];
        if p.y == 0.0 {
            image.push(i as u32);
        } else {
            image.push(soup.positions.len() as u32);
            soup.positions.push(Vec3::new(p.x, -p.y, p.z));
        }
    }
    let added = soup.triangles.len();
    for i in 0..added {
        let [a, b, c] = soup.triangles[i].map(|v| image[v as usize]);
        soup.triangles.push([a, c, b]);
        soup.part.push(soup.part[i]);
    }
    added
}

/// The parts of a soup whose triangles know them; what each is and counts for by its number.
pub(super) fn split(soup: &Soup, kinds: &[(PartKind, PartUse)]) -> Vec<ImportedPart> {
    let mut new = vec![(u32::MAX, 0_u32); soup.positions.len()];
    let mut of_part: Vec<Vec<usize>> = vec![Vec::new(); soup.names.len()];
    for (i, &part) in soup.part.iter().enumerate() {
        of_part[part as usize].push(i);
    }
    let named = soup.names.iter().zip(kinds).zip(of_part).enumerate();
    named
        .filter(|(_, (_, triangles))| !triangles.is_empty())
        .map(|(index, ((name, &(kind, part_use)), of))| {
            let mut positions = Vec::new();
            let triangles = of
                .iter()
                .map(|&t| {
                    soup.triangles[t].map(|i| {
                        let slot = &mut new[i as usize];
                        if slot.0 != index as u32 {
                            *slot = (index as u32, positions.len() as u32);
                            positions.push(soup.positions[i as usize].to_array());
                        }
                        slot.1
                    })
                })
                .collect();
            ImportedPart {
                name: name.clone(),
                kind,
                part_use,
                positions,
                triangles,
            }
        })
        .collect()
}

/// The description of an imported hull written as GLB; its mesh file is still to be named.
pub(super) fn described(
    boat: &str,
    parts: &[ImportedPart],
    file: &str,
    examined: &Examined,
) -> HullFile {
    let mut described = HullFile::for_mesh(boat, "", LengthUnit::Metre, GLTF_AXES);
    // Whatever stands out on one side alone must not move it.
    described.middle = Some(0.0);
    described.parts = parts
        .iter()
        .map(|part| PartRule {
            node: part.name.clone(),
            kind: part.kind,
            part_use: part.part_use,
        })
        .collect();
    let word =
        |axis: Option<crate::hull_file::Axis>| axis.map(super::axis_word).unwrap_or_default();
    let file = file.rsplit('/').next().unwrap_or(file);
    described.note = format!(
        "Imported from {file}. Unit: {} ({}). Up: {} ({}). Bow: {} ({}).",
        examined.unit.value.map_or("", LengthUnit::word),
        sentence_both(&examined.unit.because),
        word(examined.up.value),
        sentence_both(&examined.up.because),
        word(examined.forward.value),
        sentence_both(&examined.forward.because),
    );
    described
}

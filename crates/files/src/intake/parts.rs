//! Parts of an imported hull, and its description.

use keelstead::hull::PartKind;
use keelstead::math::Vec3;

use super::Examined;
use super::orient::Sides;
use super::soup::Soup;
use crate::hull_file::{Axes, HullFile, LengthUnit, PartRule, guess_kind};

/// Shells shorter than this part of the boat go together.
const SMALL: f64 = 0.02;
/// At most so many shells of a file without parts become parts.
const MOST_SHELLS: usize = 24;
/// Half hulls lie within this of the middle plane where they are cut, m.
const ON_PLANE_M: f64 = 0.001;

/// A part, hull frame's directions, m.
#[derive(Debug, Clone, PartialEq)]
pub struct ImportedPart {
    /// Its name, unique.
    pub name: String,
    /// What it is taken for.
    pub kind: PartKind,
    /// Vertices, m.
    pub positions: Vec<[f64; 3]>,
    /// Triangles as indices of vertices, facing outward.
    pub triangles: Vec<[u32; 3]>,
}

/// Adds the other side of a half hull cut along y = 0; says how many triangles that were.
pub(super) fn mirrored(soup: &mut Soup) -> usize {
    for p in &mut soup.positions {
        if p.y.abs() <= ON_PLANE_M {
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

/// The parts: the file's own, or the shells of a file of one part.
pub(super) fn split(soup: Soup, sides: &Sides) -> Vec<ImportedPart> {
    let [low, high] = soup.bounds();
    let length = (high - low).max_element();
    let by_shell = soup.names.len() == 1 && sides.shells.len() > 1;
    let large = |i: usize| {
        let shell = &sides.shells[i];
        let longest = (0..3)
            .map(|k| shell.max[k] - shell.min[k])
            .fold(0.0, f64::max);
        i < MOST_SHELLS && longest >= SMALL * length
    };
    let (group, names): (Vec<u32>, Vec<String>) = if by_shell {
        let small = sides.shells.len() as u32;
        let of = |&shell: &u32| if large(shell as usize) { shell } else { small };
        let mut names: Vec<String> = (0..small).map(|i| format!("shell {}", i + 1)).collect();
        names[0] = "hull".into();
        names.push("small pieces".into());
        (sides.shell_of.iter().map(of).collect(), names)
    } else {
        (soup.part.clone(), soup.names.clone())
    };
    let mut parts: Vec<ImportedPart> = names
        .into_iter()
        .enumerate()
        .filter_map(|(index, name)| part(&soup, &group, index as u32, name))
        .collect();
    kinds(&mut parts);
    parts
}

/// The triangles of a group with the vertices they use.
fn part(soup: &Soup, group: &[u32], index: u32, name: String) -> Option<ImportedPart> {
    let mut new = vec![u32::MAX; soup.positions.len()];
    let mut positions = Vec::new();
    let mut triangles = Vec::new();
    for (triangle, _) in soup
        .triangles
        .iter()
        .zip(group)
        .filter(|(_, g)| **g == index)
    {
        triangles.push(triangle.map(|i| {
            let slot = &mut new[i as usize];
            if *slot == u32::MAX {
                *slot = positions.len() as u32;
                positions.push(soup.positions[i as usize].to_array());
            }
            *slot
        }));
    }
    (!triangles.is_empty()).then_some(ImportedPart {
        name,
        kind: PartKind::Other,
        positions,
        triangles,
    })
}

/// What each part is by its name; the largest is the body if none is called so.
fn kinds(parts: &mut [ImportedPart]) {
    for part in parts.iter_mut() {
        part.kind = guess_kind(&part.name).unwrap_or(PartKind::Other);
    }
    if parts.iter().all(|part| part.kind != PartKind::Body)
        && let Some(largest) = parts.iter_mut().max_by(|a, b| area(a).total_cmp(&area(b)))
    {
        largest.kind = PartKind::Body;
    }
}

fn area(part: &ImportedPart) -> f64 {
    let corners = |t: &[u32; 3]| t.map(|i| Vec3::from_array(part.positions[i as usize]));
    let twice = part.triangles.iter().map(|t| {
        let [a, b, c] = corners(t);
        (b - a).cross(c - a).length()
    });
    0.5 * twice.sum::<f64>()
}

/// The description of an imported hull; its mesh file is still to be named.
pub(super) fn described(
    boat: &str,
    parts: &[ImportedPart],
    file: &str,
    examined: &Examined,
) -> HullFile {
    let mut described = HullFile::for_mesh(boat, "", LengthUnit::Metre, Axes::default());
    described.parts = parts
        .iter()
        .map(|part| PartRule {
            node: part.name.clone(),
            kind: part.kind,
            part_use: keelstead::hull::PartUse::Checked,
        })
        .collect();
    let word =
        |axis: Option<crate::hull_file::Axis>| axis.map(super::axis_word).unwrap_or_default();
    let file = file.rsplit('/').next().unwrap_or(file);
    described.note = format!(
        "Imported from {file}. Unit: {} ({}). Up: {} ({}). Bow: {} ({}).",
        examined.unit.value.map_or("", LengthUnit::word),
        examined.unit.because,
        word(examined.up.value),
        examined.up.because,
        word(examined.forward.value),
        examined.forward.because,
    );
    described
}

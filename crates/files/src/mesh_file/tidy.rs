//! Equal positions welded, triangles that are nothing or are there twice dropped and counted, names
//! made unique.

use std::collections::{HashMap, HashSet};

use foldhash::fast::FixedState;
use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::weld;
use keelstead_units::quantity::Sentence;

use super::{MeshPart, Raw, RawPart, Surface};
use crate::error::{FileError, Spot};
use crate::progress::{Progress, step};

/// The parts of a file made sound, and all notices.
pub(super) fn tidy(
    raw: Raw,
    name: &str,
    progress: &dyn Progress,
) -> Result<(Vec<MeshPart>, Vec<Sentence>), FileError> {
    let mut notices = raw.notices;
    let mut names = Names::default();
    let mut parts = Vec::with_capacity(raw.parts.len());
    let count = raw.parts.len().max(1) as f64;
    for (index, part) in raw.parts.into_iter().enumerate() {
        step(progress, 0.4 + 0.6 * index as f64 / count, "welding")?;
        let mut part = welded(part, name)?;
        drop_repeats(&mut part, &mut notices);
        if part.triangles.is_empty() {
            notices.push(
                format!(
                    "part \"{}\" has no triangle with an area and was left out",
                    part.name
                )
                .into(),
            );
            continue;
        }
        part.name = names.unique(part.name);
        parts.push(part);
    }
    if parts.is_empty() {
        return Err(FileError::fault(
            name,
            Spot::Whole,
            "the mesh has no triangles with an area",
            "a surface",
            "Export the hull's surface again",
        ));
    }
    step(progress, 1.0, "welded")?;
    Ok((parts, notices))
}

/// A corner farther out than this, in any unit, is none of a boat's; what is near would be lost beside it.
const FARTHEST: f64 = 1e12;

/// The first corner of a surface that is too far out, and which it is.
fn too_far(surface: &Surface) -> Option<(String, [f64; 3])> {
    let far = |c: &[f64; 3]| c.iter().any(|c| c.abs() > FARTHEST);
    match surface {
        Surface::Loose(loose) => {
            let mut corners = loose.as_flattened().iter().map(|c| c.map(f64::from));
            let at = corners.position(|c| far(&c))?;
            Some((
                format!("triangle {}", at / 3 + 1),
                loose.as_flattened()[at].map(f64::from),
            ))
        }
        Surface::Indexed(positions, triangles) => {
            let used = |at: &u32| far(&positions[*at as usize]);
            let index = triangles
                .iter()
                .position(|corners| corners.iter().any(used))?;
            let at = triangles[index].iter().find(|at| used(at))?;
            Some((format!("triangle {}", index + 1), positions[*at as usize]))
        }
    }
}

/// Equal positions made one vertex.
fn welded(part: RawPart, file: &str) -> Result<MeshPart, FileError> {
    let RawPart { name, surface } = part;
    let too_large = |corners: usize| {
        FileError::fault(
            file,
            Spot::Named(format!("part \"{name}\"")),
            format!("{corners} corners"),
            "at most 4,294,967,295",
            "Export the hull with a coarser mesh",
        )
    };
    if let Some((place, [x, y, z])) = too_far(&surface) {
        return Err(FileError::fault(
            file,
            Spot::Named(format!("part \"{name}\", {place}")),
            format!("a corner at ({x:e}, {y:e}, {z:e})"),
            format!("coordinates of a boat, up to {FARTHEST:e}"),
            "Repair or remove it in the program that made the mesh and export it again",
        ));
    }
    let (vertices, triangles) = match surface {
        Surface::Loose(loose) => {
            if loose.len() > (u32::MAX / 3) as usize {
                return Err(too_large(loose.len() * 3));
            }
            let corners = loose.as_flattened().iter();
            let (vertices, index) = weld(corners.map(|c| Vec3::from_array(c.map(f64::from))));
            (vertices, index.as_chunks().0.to_vec())
        }
        Surface::Indexed(given, mut triangles) => {
            if given.len() > u32::MAX as usize {
                return Err(too_large(given.len()));
            }
            let (vertices, new_index) = weld(given.into_iter().map(Vec3::from_array));
            for corner in triangles.iter_mut().flatten() {
                *corner = new_index[*corner as usize];
            }
            (vertices, triangles)
        }
    };
    Ok(MeshPart {
        name,
        positions: vertices.iter().map(Vec3::to_array).collect(),
        triangles,
    })
}

/// Drops triangles with a repeated corner, and those that stand there before with the same corners
/// in the same turn. A triangle that faces the other way is another side of a thin sheet and stays.
fn drop_repeats(part: &mut MeshPart, notices: &mut Vec<Sentence>) {
    let given = part.triangles.len();
    part.triangles
        .retain(|[a, b, c]| a != b && b != c && c != a);
    let flat = given - part.triangles.len();
    let mut seen: HashSet<[u32; 3], FixedState> =
        HashSet::with_capacity_and_hasher(part.triangles.len(), FixedState::default());
    part.triangles.retain(|triangle| {
        let mut from_least = *triangle;
        let least = (0..3).min_by_key(|&i| triangle[i]).unwrap_or(0);
        from_least.rotate_left(least);
        seen.insert(from_least)
    });
    let twice = given - flat - part.triangles.len();
    for (count, what) in [(flat, "without area"), (twice, "that stood there twice")] {
        if count > 0 {
            let triangles = if count == 1 { "triangle" } else { "triangles" };
            notices
                .push(format!("part \"{}\": {count} {triangles} {what} dropped", part.name).into());
        }
    }
}

/// Makes names unique by adding a number.
#[derive(Default)]
struct Names {
    taken: HashSet<String>,
    next: HashMap<String, usize>,
}

impl Names {
    fn unique(&mut self, name: String) -> String {
        let name = if name.trim().is_empty() {
            "part".to_owned()
        } else {
            name
        };
        if self.taken.insert(name.clone()) {
            return name;
        }
        let next = self.next.entry(name.clone()).or_insert(2);
        loop {
            let candidate = format!("{name} {next}");
            *next += 1;
            if self.taken.insert(candidate.clone()) {
                return candidate;
            }
        }
    }
}

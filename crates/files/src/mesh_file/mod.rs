//! Mesh files: STL, OBJ, PLY, GLB, glTF, 3MF, COLLADA, tables of offsets and measures documents, and clouds of points
//! (PLY without faces, text, LAS, LAZ), recognised by content first and by name second.
//!
//! What comes out is plain: named parts in the file's own unit and axes, equal positions welded
//! into one vertex, every index in range, every coordinate finite. What was left out is counted in
//! the notices. The readers allocate by what a file holds, never by what it claims to hold.

mod collada;
mod foreign;
mod gltf;
mod las;
mod obj;
mod ply;
mod polygon;
mod scene;
mod sniff;
mod stl;
mod threemf;
mod tidy;
mod xml;
mod xyz;

#[cfg(test)]
mod cloud_tests;
#[cfg(test)]
mod scene_tests;
#[cfg(test)]
mod tests;

use keelstead_boat::hull::{HullPart, PartUse, Taped};
use keelstead_units::quantity::{Quantity, Sentence};

use crate::document;
use crate::error::{FileError, Notice};
use crate::fit;
use crate::hull_file::{Axes, LengthUnit};
use crate::measures_file::MeasuresFile;
use crate::offsets::OffsetTable;
use crate::progress::{Progress, Silent, Stretch};
use crate::source::{Memory, Source};

pub(crate) use gltf::AXES as GLTF_AXES;
pub(crate) use obj::text;
pub use sniff::Format;

/// A mesh file read whole.
#[derive(Debug, Clone)]
pub struct MeshFile {
    /// What kind of file it is.
    pub format: Format,
    /// Its parts, names unique; never empty.
    pub parts: Vec<MeshPart>,
    /// The unit, if the format lays one down.
    pub unit: Option<LengthUnit>,
    /// The axes, if the format or the file lays them down.
    pub axes: Option<Axes>,
    /// Whether the axes can be relied on: many writers of glTF leave them as they were.
    pub axes_stated: bool,
    /// Names of parts that stand where such parts usually are, as nobody measured theirs.
    pub guessed: Vec<String>,
    /// How far the surface may be from what the file describes, in the file's unit; nought where the
    /// file is a surface, more where one was fitted to what it holds.
    pub tolerance: f64,
    /// What is known beyond the hull, if the file holds measures; none if its surface is all of the boat.
    pub taped: Option<Taped>,
    /// What was noticed on the way.
    pub notices: Vec<Notice>,
}

/// A named part of a mesh file, in the file's unit and axes.
#[derive(Debug, Clone, PartialEq)]
pub struct MeshPart {
    /// Name of the node, group, object or solid; made unique.
    pub name: String,
    /// Vertices; no two are equal.
    pub positions: Vec<[f64; 3]>,
    /// Triangles as indices of vertices; never empty.
    pub triangles: Vec<[u32; 3]>,
}

/// What a reader may ask of the world around a mesh file.
pub struct Surroundings<'a> {
    /// Where files stand that the mesh file refers to.
    pub source: &'a dyn Source,
    /// Who is watching.
    pub progress: &'a dyn Progress,
}

/// Reads a mesh file that stands alone; `name` is its name in messages.
///
/// # Errors
/// [`FileError::Fault`], or [`FileError::Missing`] if it refers to another file.
pub fn read(bytes: &[u8], name: &str) -> Result<MeshFile, FileError> {
    let nothing = Memory::default();
    read_with(
        bytes,
        name,
        &Surroundings {
            source: &nothing,
            progress: &Silent,
        },
    )
}

/// Reads a mesh file that may refer to others.
///
/// # Errors
/// As [`read`], and [`FileError::Cancelled`].
pub fn read_with(
    bytes: &[u8],
    name: &str,
    around: &Surroundings<'_>,
) -> Result<MeshFile, FileError> {
    let (format, notice) = sniff::format(bytes, name)?;
    let mut axes_stated = false;
    let mut laid_down = match format {
        Format::Glb | Format::Gltf => Some((LengthUnit::Metre, gltf::AXES)),
        _ => None,
    };
    let mut raw = match format {
        Format::StlBinary => stl::binary(bytes, name, around.progress),
        Format::StlAscii => stl::ascii(bytes, name, around.progress),
        Format::Obj => obj::read(bytes, name, around.progress),
        Format::Ply => ply::read(bytes, name, around.progress),
        Format::Glb | Format::Gltf => gltf::read(bytes, name, around),
        Format::ThreeMf => threemf::read(bytes, name, around.progress).map(|(raw, unit)| {
            laid_down = Some((unit, Axes::default()));
            raw
        }),
        Format::Collada => collada::read(bytes, name, around.progress).map(|read| {
            laid_down = Some((read.unit, read.axes));
            read.raw
        }),
        Format::Points => {
            let reading = Stretch::new(around.progress, 0.0, 0.1);
            let points = xyz::read(bytes, name, &reading)?;
            fitted(
                points,
                name,
                Vec::new(),
                &Stretch::new(around.progress, 0.1, 0.4),
            )
        }
        Format::Las => {
            let reading = Stretch::new(around.progress, 0.0, 0.1);
            let points = las::read(bytes, name, &reading)?;
            fitted(
                points,
                name,
                Vec::new(),
                &Stretch::new(around.progress, 0.1, 0.4),
            )
        }
        Format::Offsets => {
            let table = OffsetTable::read(bytes, name)?;
            laid_down = Some((table.unit, Axes::default()));
            axes_stated = true;
            lofted(&table, name)
        }
        Format::Measures => {
            laid_down = Some((LengthUnit::Metre, Axes::default()));
            axes_stated = true;
            measured(&document::read(bytes, name)?, name)
        }
    }?;
    raw.notices.extend(notice);
    if let Some(axes) = raw.own_axes {
        laid_down = Some((LengthUnit::Metre, axes));
        axes_stated = true;
    }
    let tolerance = raw.tolerance;
    let taped = raw.taped;
    let guessed = std::mem::take(&mut raw.guessed);
    let (parts, notices) = tidy::tidy(raw, name, around.progress)?;
    Ok(MeshFile {
        format,
        parts,
        unit: laid_down.map(|(unit, _)| unit),
        axes: laid_down.map(|(_, axes)| axes),
        axes_stated,
        tolerance,
        guessed,
        taped,
        notices: notices
            .into_iter()
            .map(|says| Notice::new(name, says))
            .collect(),
    })
}

/// The word that files of this program begin their comment or generator with: their unit and axes can be relied on.
pub(crate) const OWN: &str = "keelstead";

/// The surface through a table of offsets.
fn lofted(table: &OffsetTable, name: &str) -> Result<Raw, FileError> {
    let surface = table.surface(name)?;
    Ok(Raw {
        parts: vec![RawPart {
            name: "hull".into(),
            surface: Surface::Indexed(surface.positions, surface.triangles),
        }],
        notices: surface.notices,
        tolerance: surface.tolerance,
        ..Raw::default()
    })
}

/// The surface fitted to a cloud of points.
fn fitted(
    points: Vec<[f64; 3]>,
    name: &str,
    mut notices: Vec<Sentence>,
    progress: &dyn Progress,
) -> Result<Raw, FileError> {
    let surface = fit::fit(points, name, progress)?;
    notices.extend(surface.notices);
    let mut parts = vec![RawPart {
        name: "hull".into(),
        surface: Surface::Indexed(surface.positions, surface.triangles),
    }];
    if !surface.thin.1.is_empty() {
        parts.push(RawPart {
            name: fit::THIN.into(),
            surface: Surface::Indexed(surface.thin.0, surface.thin.1),
        });
    }
    Ok(Raw {
        parts,
        notices,
        tolerance: surface.tolerance,
        ..Raw::default()
    })
}

/// The surface fitted to measures, in the hull frame.
fn measured(document: &MeasuresFile, name: &str) -> Result<Raw, FileError> {
    let fitted = document.fit(name)?;
    let mut notices = Vec::new();
    for missed in fitted.measures.iter().filter(|m| !m.met) {
        notices.push(
            Sentence::new(format!(
                "the fitted surface misses the {} by",
                missed.kind.title()
            ))
            .figure(Quantity {
                value: missed.misfit,
                unit: missed.kind.unit(),
            }),
        );
    }
    let guessed = fitted
        .parts
        .iter()
        .filter(|part| part.part_use == PartUse::Guessed);
    let part = |part: &HullPart| RawPart {
        name: part.name.clone(),
        surface: Surface::Indexed(
            part.mesh.vertices().iter().map(|v| v.to_array()).collect(),
            part.mesh.triangles().to_vec(),
        ),
    };
    Ok(Raw {
        parts: fitted.parts.iter().map(part).collect(),
        notices,
        guessed: guessed.map(|part| part.name.clone()).collect(),
        taped: Some(fitted.taped),
        tolerance: fitted.tolerance_m,
        ..Raw::default()
    })
}

/// What a reader hands over, before welding: parts as the file has them.
#[derive(Default)]
struct Raw {
    parts: Vec<RawPart>,
    notices: Vec<Sentence>,
    /// As [`MeshFile::guessed`].
    guessed: Vec<String>,
    /// As [`MeshFile::taped`].
    taped: Option<Taped>,
    /// As [`MeshFile::tolerance`].
    tolerance: f64,
    /// The axes of a file that this program wrote, in metres.
    own_axes: Option<Axes>,
}

/// A part as the file has it: triangles over vertices, or loose corners.
struct RawPart {
    name: String,
    surface: Surface,
}

enum Surface {
    /// Three corners a triangle, nothing shared.
    Loose(Vec<[[f32; 3]; 3]>),
    /// Triangles over a list of vertices; the indices are in range.
    Indexed(Vec<[f64; 3]>, Vec<[u32; 3]>),
}

//! What kind of mesh file it is.

use keelstead_units::quantity::Sentence;

use super::{foreign, threemf, xyz};
use crate::error::{FileError, Spot};

/// A kind of mesh file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Format {
    /// Binary STL.
    StlBinary,
    /// STL in text.
    StlAscii,
    /// Wavefront OBJ.
    Obj,
    /// PLY, text or binary.
    Ply,
    /// glTF in one binary file.
    Glb,
    /// glTF as JSON.
    Gltf,
    /// 3MF, an archive of models.
    ThreeMf,
    /// COLLADA.
    Collada,
    /// A table of offsets, CSV.
    Offsets,
    /// A cloud of points as text, a line each.
    Points,
    /// A cloud of points as LAS, or LAZ, its packed form.
    Las,
    /// A measures document, JSON.
    Measures,
}

impl Format {
    /// Every kind.
    pub const ALL: [Self; 12] = [
        Self::StlBinary,
        Self::StlAscii,
        Self::Obj,
        Self::Ply,
        Self::Glb,
        Self::Gltf,
        Self::ThreeMf,
        Self::Collada,
        Self::Offsets,
        Self::Points,
        Self::Las,
        Self::Measures,
    ];

    /// Its name for readers.
    pub fn word(self) -> &'static str {
        match self {
            Self::StlBinary => "binary STL",
            Self::StlAscii => "ASCII STL",
            Self::Obj => "OBJ",
            Self::Ply => "PLY",
            Self::Glb => "GLB",
            Self::Gltf => "glTF",
            Self::ThreeMf => "3MF",
            Self::Collada => "COLLADA",
            Self::Offsets => "table of offsets",
            Self::Points => "points in text",
            Self::Las => "LAS or LAZ",
            Self::Measures => "measures document",
        }
    }

    /// Whether such a file's axes can be relied on. Many writers of glTF leave the axes as they were.
    pub(crate) fn states_axes(self) -> bool {
        matches!(self, Self::Offsets | Self::Measures)
    }

    /// Whether such a file's up axis can be relied on.
    pub(crate) fn states_up(self) -> bool {
        matches!(self, Self::Offsets | Self::Measures | Self::Collada)
    }

    /// The endings of its files' names, small letters, without the dot.
    pub fn extensions(self) -> &'static [&'static str] {
        match self {
            Self::StlBinary | Self::StlAscii => &["stl"],
            Self::Obj => &["obj"],
            Self::Ply => &["ply"],
            Self::Glb => &["glb"],
            Self::Gltf => &["gltf"],
            Self::ThreeMf => &["3mf"],
            Self::Collada => &["dae"],
            Self::Offsets => &["csv"],
            Self::Points => &["xyz", "txt", "csv", "asc", "pts"],
            Self::Las => &["las", "laz"],
            Self::Measures => &["json"],
        }
    }
}

/// Bytes of a binary STL before its triangles: 80 of comment, 4 of count.
pub(super) const STL_HEAD: usize = 84;
/// Bytes of a triangle in a binary STL.
pub(super) const STL_RECORD: usize = 50;

/// The number of triangles a binary STL says it has.
pub(super) fn stl_count(bytes: &[u8]) -> Option<usize> {
    let count = bytes.get(80..STL_HEAD)?;
    Some(u32::from_le_bytes(count.try_into().ok()?) as usize)
}

/// What the bytes are, and a notice if the name says otherwise.
pub(super) fn format(bytes: &[u8], name: &str) -> Result<(Format, Option<Sentence>), FileError> {
    if bytes.is_empty() {
        return Err(FileError::fault(
            name,
            Spot::Whole,
            "the file is empty",
            "a mesh",
            "Export or copy it again",
        ));
    }
    let extension = name
        .rsplit_once('.')
        .map(|(_, last)| last.to_ascii_lowercase())
        .unwrap_or_default();
    let content = by_content(bytes);
    if content.is_none() {
        refuse_foreign(bytes, name)?;
    }
    let format = content
        .or_else(|| by_extension(&extension))
        .ok_or_else(|| {
            FileError::fault(
                name,
                Spot::Whole,
                "neither content nor name tells what kind of mesh this is",
                "STL, OBJ, PLY, GLB, glTF, 3MF, COLLADA, points (PLY, XYZ, LAS, LAZ), a table of offsets or a measures document",
                "Export the hull in one of these formats",
            )
        })?;
    let notice = (!format.extensions().contains(&extension.as_str())).then(|| {
        format!(
            "read as {} by its content; the name says \"{extension}\"",
            format.word()
        )
        .into()
    });
    Ok((format, notice))
}

/// Refuses what is known to be of a kind that is not read, and says what to do instead.
fn refuse_foreign(bytes: &[u8], name: &str) -> Result<(), FileError> {
    let archive = bytes.starts_with(b"PK");
    let (what, advice) = match foreign::known(bytes) {
        Some(known) => known,
        None if archive => foreign::archive(bytes, threemf::holds_model(bytes).is_some()),
        None => return Ok(()),
    };
    Err(FileError::fault(
        name,
        Spot::Whole,
        format!("this is {what}"),
        "a mesh, points or a table of offsets",
        advice,
    ))
}

fn by_content(bytes: &[u8]) -> Option<Format> {
    if bytes.starts_with(b"glTF") {
        return Some(Format::Glb);
    }
    if bytes.starts_with(b"ply\n") || bytes.starts_with(b"ply\r") {
        return Some(Format::Ply);
    }
    // Some writers begin the comment of a binary STL with "solid"; its length gives it away.
    if let Some(count) = stl_count(bytes)
        && count > 0
        && bytes.len() == STL_HEAD + count * STL_RECORD
    {
        return Some(Format::StlBinary);
    }
    if bytes.starts_with(b"LASF") {
        return Some(Format::Las);
    }
    if bytes.starts_with(b"PK") {
        return threemf::holds_model(bytes)?.then_some(Format::ThreeMf);
    }
    if foreign::known(bytes).is_some() {
        return None;
    }
    let start = &bytes[..bytes.len().min(64 * 1024)];
    if start.contains(&0) {
        return None;
    }
    let text = String::from_utf8_lossy(start);
    let text = text.trim_start_matches('\u{feff}');
    if crate::offsets::begins(text) {
        return Some(Format::Offsets);
    }
    if text.trim_start().starts_with('<') {
        return text.contains("<COLLADA").then_some(Format::Collada);
    }
    if xyz::begins(text, start.len() == bytes.len()) {
        return Some(Format::Points);
    }
    let mut lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    let first = lines.clone().next()?;
    if crate::measures_file::begins(text.trim_start()) {
        return Some(Format::Measures);
    }
    if first.starts_with('{') {
        return Some(Format::Gltf);
    }
    let word = |line: &str| {
        line.split_ascii_whitespace()
            .next()
            .unwrap_or("")
            .to_ascii_lowercase()
    };
    if word(first) == "solid" {
        return Some(Format::StlAscii);
    }
    lines
        .find(|line| !line.starts_with('#'))
        .filter(|line| {
            matches!(
                word(line).as_str(),
                "v" | "vn" | "vt" | "vp" | "o" | "g" | "s" | "f" | "mtllib" | "usemtl"
            )
        })
        .map(|_| Format::Obj)
}

fn by_extension(extension: &str) -> Option<Format> {
    Some(match extension {
        "stl" => Format::StlBinary,
        "obj" => Format::Obj,
        "ply" => Format::Ply,
        "glb" => Format::Glb,
        "gltf" => Format::Gltf,
        "3mf" => Format::ThreeMf,
        "dae" => Format::Collada,
        "csv" => Format::Offsets,
        "xyz" | "asc" | "pts" => Format::Points,
        "las" | "laz" => Format::Las,
        "json" => Format::Measures,
        _ => return None,
    })
}

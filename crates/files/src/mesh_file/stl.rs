//! STL, binary and ASCII.
//!
//! Read here and not by the kept crate `stl_io` because that crate stops at the first `endsolid` of
//! an ASCII file and silently leaves the other solids out, its errors name neither line nor byte,
//! and it reads no names of solids. A binary STL is one loop over 50-byte records.

use super::sniff::{STL_HEAD, STL_RECORD, stl_count};
use super::{OWN, Raw, RawPart, Surface};
use crate::error::{FileError, Spot};
use crate::hull_file::Axes;
use crate::progress::{Progress, step};

/// Triangles read between two looks at whether to stop.
const BATCH: usize = 1 << 16;

pub(super) fn binary(bytes: &[u8], name: &str, progress: &dyn Progress) -> Result<Raw, FileError> {
    let cut_short = |found: String, expected: String| {
        FileError::fault(
            name,
            Spot::Byte(bytes.len()),
            found,
            expected,
            "The file is cut short or damaged: copy or export it again",
        )
    };
    let Some(count) = stl_count(bytes) else {
        return Err(cut_short(
            format!("the file ends after {} bytes", bytes.len()),
            format!("at least {STL_HEAD} bytes of an STL"),
        ));
    };
    let records = &bytes[STL_HEAD..];
    if count == 0 && records.is_empty() {
        return Err(no_triangles(name));
    }
    let wanted = count.saturating_mul(STL_RECORD);
    if records.len() < wanted {
        return Err(cut_short(
            format!(
                "the file ends after {} of {count} triangles",
                records.len() / STL_RECORD
            ),
            format!("{} bytes in all", STL_HEAD.saturating_add(wanted)),
        ));
    }
    let mut raw = Raw {
        own_axes: bytes.starts_with(OWN.as_bytes()).then(Axes::default),
        ..Raw::default()
    };
    if records.len() > wanted {
        if records.len() >= wanted + STL_RECORD {
            return Err(FileError::fault(
                name,
                Spot::Byte(80),
                format!(
                    "the count says {count} triangles, but there is room for {}",
                    records.len() / STL_RECORD
                ),
                "a count that fits the file's length",
                "The file is damaged: export it again",
            ));
        }
        raw.notices.push(
            format!(
                "{} bytes after the last triangle were left out",
                records.len() - wanted
            )
            .into(),
        );
    }
    let mut triangles = Vec::with_capacity(count);
    for (batch, records) in records[..wanted].chunks(BATCH * STL_RECORD).enumerate() {
        step(
            progress,
            (batch * BATCH) as f64 / count as f64 * 0.4,
            "triangles",
        )?;
        triangles.extend(records.chunks_exact(STL_RECORD).map(corners));
    }
    if let Some(at) = triangles
        .iter()
        .position(|t| !t.as_flattened().iter().all(|c| c.is_finite()))
    {
        return Err(FileError::fault(
            name,
            Spot::Byte(STL_HEAD + at * STL_RECORD),
            format!(
                "triangle {} has a coordinate that is not a finite number",
                at + 1
            ),
            "finite coordinates",
            "Repair the mesh in the program that made it and export it again",
        ));
    }
    raw.parts.push(RawPart {
        name: "solid".into(),
        surface: Surface::Loose(triangles),
    });
    Ok(raw)
}

/// The corners in a record: 12 bytes of normal, 36 of corners, 2 of attributes.
fn corners(record: &[u8]) -> [[f32; 3]; 3] {
    let float = |i: usize| {
        let at = 12 + 4 * i;
        f32::from_le_bytes([record[at], record[at + 1], record[at + 2], record[at + 3]])
    };
    [
        [float(0), float(1), float(2)],
        [float(3), float(4), float(5)],
        [float(6), float(7), float(8)],
    ]
}

fn no_triangles(name: &str) -> FileError {
    FileError::fault(
        name,
        Spot::Whole,
        "the mesh has no triangles",
        "a surface",
        "Export the hull's surface, not only its lines or points",
    )
}

/// What an ASCII STL may hold next.
struct Ascii<'a> {
    name: &'a str,
    raw: Raw,
    solid: Option<String>,
    triangles: Vec<[[f32; 3]; 3]>,
    corners: Vec<[f32; 3]>,
    in_facet: bool,
}

pub(super) fn ascii(bytes: &[u8], name: &str, progress: &dyn Progress) -> Result<Raw, FileError> {
    let text = super::obj::text(bytes, name)?;
    let mut reader = Ascii {
        name,
        raw: Raw::default(),
        solid: None,
        triangles: Vec::new(),
        corners: Vec::new(),
        in_facet: false,
    };
    let mut lines = 0;
    let mut read = 0;
    for (index, line) in text.lines().enumerate() {
        if index % BATCH == 0 {
            step(progress, read as f64 / text.len() as f64 * 0.4, "triangles")?;
        }
        read += line.len() + 1;
        lines = index + 1;
        reader.line(line, lines)?;
    }
    if reader.solid.is_some() {
        return Err(reader.fault(
            lines,
            "the file ends inside a solid",
            "endsolid",
            "The file is cut short: copy or export it again",
        ));
    }
    if reader.raw.parts.is_empty() {
        return Err(no_triangles(name));
    }
    Ok(reader.raw)
}

impl Ascii<'_> {
    fn fault(&self, line: usize, found: &str, expected: &str, advice: &str) -> FileError {
        FileError::fault(self.name, Spot::Line(line), found, expected, advice)
    }

    fn unexpected(&self, line: usize, text: &str, expected: &str) -> FileError {
        let shown: String = text.chars().take(40).collect();
        let found = format!("found \"{shown}\"");
        self.fault(
            line,
            &found,
            expected,
            "The file is damaged: export it again",
        )
    }

    fn line(&mut self, text: &str, line: usize) -> Result<(), FileError> {
        let mut words = text.split_ascii_whitespace();
        let Some(first) = words.next() else {
            return Ok(());
        };
        match first.to_ascii_lowercase().as_str() {
            "solid" if self.solid.is_none() => {
                let title = text.trim_start().get(5..).unwrap_or_default().trim();
                self.solid = Some(if title.is_empty() { "solid" } else { title }.to_owned());
            }
            _ if self.solid.is_none() => return Err(self.unexpected(line, text, "solid")),
            "facet" if !self.in_facet => self.in_facet = true,
            "outer" | "endloop" if self.in_facet => {}
            "vertex" if self.in_facet => {
                let corner = self.vertex(words, text, line)?;
                self.corners.push(corner);
            }
            "endfacet" if self.in_facet => self.end_facet(line)?,
            "endsolid" if !self.in_facet => {
                let name = self.solid.take().unwrap_or_default();
                let triangles = std::mem::take(&mut self.triangles);
                if triangles.is_empty() {
                    self.raw
                        .notices
                        .push(format!("solid \"{name}\" has no triangles").into());
                } else {
                    self.raw.parts.push(RawPart {
                        name,
                        surface: Surface::Loose(triangles),
                    });
                }
            }
            _ => {
                let expected = if self.in_facet {
                    "vertex or endfacet"
                } else {
                    "facet or endsolid"
                };
                return Err(self.unexpected(line, text, expected));
            }
        }
        Ok(())
    }

    fn vertex<'w>(
        &self,
        mut words: impl Iterator<Item = &'w str>,
        text: &str,
        line: usize,
    ) -> Result<[f32; 3], FileError> {
        let mut corner = [0.0; 3];
        for slot in &mut corner {
            *slot = words
                .next()
                .and_then(|word| word.parse::<f32>().ok())
                .filter(|value| value.is_finite())
                .ok_or_else(|| self.unexpected(line, text, "vertex with three finite numbers"))?;
        }
        Ok(corner)
    }

    fn end_facet(&mut self, line: usize) -> Result<(), FileError> {
        let Ok(triangle) = <[[f32; 3]; 3]>::try_from(self.corners.as_slice()) else {
            let found = format!("a facet with {} corners", self.corners.len());
            return Err(self.fault(line, &found, "three", "Export the mesh as triangles"));
        };
        self.triangles.push(triangle);
        self.corners.clear();
        self.in_facet = false;
        Ok(())
    }
}

//! Wavefront OBJ: positions and faces, by object and group.
//!
//! Read here and not by the kept crate `tobj` because that crate's errors name no line, its
//! arithmetic on hostile texture indices overflows, its coordinates are single precision unless
//! every user of it agrees otherwise, and it cuts hollow polygons as fans. Of the format only `v`,
//! `f`, `o` and `g` matter here.

use std::collections::HashMap;

use super::polygon::Cutter;
use super::{Raw, RawPart, Surface};
use crate::error::{FileError, Spot};
use crate::progress::{Progress, step};

/// Lines read between two looks at whether to stop.
const BATCH: usize = 1 << 15;

/// The bytes as text. Names in old files may be in any encoding; they are kept as far as they go.
pub(crate) fn text<'a>(
    bytes: &'a [u8],
    name: &str,
) -> Result<std::borrow::Cow<'a, str>, FileError> {
    if let Some(at) = bytes.iter().position(|&byte| byte == 0) {
        return Err(FileError::fault(
            name,
            Spot::Byte(at),
            "a zero byte in a text file",
            "text",
            "The file is damaged or of another kind: export it again",
        ));
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    Ok(String::from_utf8_lossy(bytes))
}

/// A part under way: its triangles over the file's list of positions.
struct Part {
    name: String,
    triangles: Vec<[u32; 3]>,
}

struct Reader<'a> {
    name: &'a str,
    positions: Vec<[f64; 3]>,
    parts: Vec<Part>,
    by_name: HashMap<String, usize>,
    object: String,
    group: String,
    /// The part the next face goes to, once a face has come.
    current: Option<usize>,
    cutter: Cutter,
    corners: Vec<u32>,
    lines_and_points: usize,
    curved: usize,
}

pub(super) fn read(bytes: &[u8], name: &str, progress: &dyn Progress) -> Result<Raw, FileError> {
    let text = text(bytes, name)?;
    let mut reader = Reader {
        name,
        positions: Vec::new(),
        parts: Vec::new(),
        by_name: HashMap::new(),
        object: String::new(),
        group: String::new(),
        current: None,
        cutter: Cutter::new(),
        corners: Vec::new(),
        lines_and_points: 0,
        curved: 0,
    };
    let mut joined = String::new();
    let mut read = 0;
    for (index, line) in text.lines().enumerate() {
        if index % BATCH == 0 {
            step(progress, read as f64 / text.len() as f64 * 0.4, "faces")?;
        }
        read += line.len() + 1;
        // A backslash at the end carries a statement on.
        if let Some(begun) = line.strip_suffix('\\') {
            joined.push_str(begun);
            joined.push(' ');
        } else if joined.is_empty() {
            reader.statement(line, index + 1)?;
        } else {
            joined.push_str(line);
            reader.statement(&joined, index + 1)?;
            joined.clear();
        }
    }
    if !joined.is_empty() {
        reader.statement(&joined, text.lines().count())?;
    }
    reader.finish()
}

impl Reader<'_> {
    fn fault(&self, line: usize, found: String, expected: &str, advice: &str) -> FileError {
        FileError::fault(self.name, Spot::Line(line), found, expected, advice)
    }

    fn statement(&mut self, text: &str, line: usize) -> Result<(), FileError> {
        let text = text.split('#').next().unwrap_or_default().trim();
        let (word, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        match word {
            "v" => self.vertex(rest, line),
            "f" | "fo" => self.face(rest, line),
            "o" => {
                self.object = rest.trim().to_owned();
                self.group.clear();
                self.current = None;
                Ok(())
            }
            "g" => {
                self.group = rest.trim().to_owned();
                self.current = None;
                Ok(())
            }
            "l" | "p" => {
                self.lines_and_points += 1;
                Ok(())
            }
            "curv" | "curv2" | "surf" => {
                self.curved += 1;
                Ok(())
            }
            // Texture, normals, materials, smoothing and curves' details have no shape of their own.
            "" | "vt" | "vn" | "vp" | "s" | "mtllib" | "usemtl" | "mg" | "usemap" | "maplib"
            | "cstype" | "deg" | "bmat" | "step" | "parm" | "trim" | "hole" | "scrv" | "sp"
            | "end" | "con" | "bevel" | "c_interp" | "d_interp" | "lod" | "shadow_obj"
            | "trace_obj" | "ctech" | "stech" => Ok(()),
            other => {
                let shown: String = other.chars().take(40).collect();
                Err(self.fault(
                    line,
                    format!("found \"{shown}\""),
                    "an OBJ statement (v, f, o, g, …)",
                    "The file is damaged or of another kind: export it again",
                ))
            }
        }
    }

    fn vertex(&mut self, rest: &str, line: usize) -> Result<(), FileError> {
        let mut words = rest.split_ascii_whitespace();
        let mut position = [0.0; 3];
        for slot in &mut position {
            *slot = words
                .next()
                .and_then(|word| word.parse::<f64>().ok())
                .filter(|value| value.is_finite())
                .ok_or_else(|| {
                    self.fault(
                        line,
                        format!("found \"v {}\"", rest.chars().take(60).collect::<String>()),
                        "three finite numbers",
                        "Repair the mesh in the program that made it and export it again",
                    )
                })?;
        }
        self.positions.push(position);
        Ok(())
    }

    fn face(&mut self, rest: &str, line: usize) -> Result<(), FileError> {
        let mut corners = std::mem::take(&mut self.corners);
        corners.clear();
        for word in rest.split_ascii_whitespace() {
            let corner = self.corner(word, line)?;
            // A corner given twice in a row adds nothing.
            if corners.last() != Some(&corner) {
                corners.push(corner);
            }
        }
        if corners.len() > 1 && corners.first() == corners.last() {
            corners.pop();
        }
        if rest.split_ascii_whitespace().nth(2).is_none() {
            return Err(self.fault(
                line,
                format!(
                    "a face of {} corners",
                    rest.split_ascii_whitespace().count()
                ),
                "three or more",
                "The file is damaged: export it again",
            ));
        }
        let part = self.part();
        let before = self.parts[part].triangles.len();
        self.cutter
            .cut(&corners, &self.positions, &mut self.parts[part].triangles);
        if self.parts[part].triangles.len() == before {
            // All corners the same: kept as a triangle without area, to be counted with the others.
            let corner = corners[0];
            self.parts[part].triangles.push([corner; 3]);
        }
        self.corners = corners;
        Ok(())
    }

    fn corner(&self, word: &str, line: usize) -> Result<u32, FileError> {
        let count = self.positions.len();
        let index = word.split('/').next().unwrap_or_default();
        let number = index.parse::<i64>().ok();
        let found = match number {
            Some(number) if number > 0 => usize::try_from(number - 1).ok(),
            Some(number) if number < 0 => usize::try_from(number.unsigned_abs())
                .ok()
                .and_then(|back| count.checked_sub(back)),
            _ => None,
        };
        found
            .filter(|&index| index < count)
            .and_then(|index| u32::try_from(index).ok())
            .ok_or_else(|| {
                let shown: String = word.chars().take(40).collect();
                self.fault(
                    line,
                    format!(
                        "a face names vertex \"{shown}\", but {count} vertices stand before it"
                    ),
                    "a vertex that is there",
                    "The file is damaged or cut short: export it again",
                )
            })
    }

    /// The part the next face goes to: a group keeps its name when it comes back later.
    fn part(&mut self) -> usize {
        if let Some(current) = self.current {
            return current;
        }
        let name = match (self.object.as_str(), self.group.as_str()) {
            ("", "") => "mesh".to_owned(),
            (object, "") => object.to_owned(),
            ("", group) => group.to_owned(),
            (object, group) if object == group => object.to_owned(),
            (object, group) => format!("{object}/{group}"),
        };
        let parts = &mut self.parts;
        let index = *self.by_name.entry(name.clone()).or_insert_with(|| {
            parts.push(Part {
                name,
                triangles: Vec::new(),
            });
            parts.len() - 1
        });
        self.current = Some(index);
        index
    }

    fn finish(self) -> Result<Raw, FileError> {
        if self.parts.is_empty() {
            let found = if self.positions.is_empty() {
                "the mesh has no triangles".to_owned()
            } else {
                format!("there are {} vertices, but no faces", self.positions.len())
            };
            return Err(FileError::fault(
                self.name,
                Spot::Whole,
                found,
                "a surface of faces",
                "Export the hull as a polygon mesh, not as curves or points",
            ));
        }
        let mut notices = Vec::new();
        if self.cutter.crossed > 0 {
            notices.push(
                format!(
                    "{} polygons cross themselves and were cut as they came",
                    self.cutter.crossed
                )
                .into(),
            );
        }
        if self.lines_and_points > 0 {
            notices
                .push(format!("{} lines and points were left out", self.lines_and_points).into());
        }
        if self.curved > 0 {
            notices.push(
                format!(
                    "{} curves and curved surfaces were left out: only polygons are read",
                    self.curved
                )
                .into(),
            );
        }
        let positions = self.positions;
        let parts = self
            .parts
            .into_iter()
            .map(|part| RawPart {
                name: part.name,
                surface: used(&positions, part.triangles),
            })
            .collect();
        Ok(Raw {
            parts,
            notices,
            ..Raw::default()
        })
    }
}

/// The triangles over only the positions they use.
fn used(positions: &[[f64; 3]], mut triangles: Vec<[u32; 3]>) -> Surface {
    const UNUSED: u32 = u32::MAX;
    let mut new_index = vec![UNUSED; positions.len()];
    let mut kept = Vec::new();
    for corner in triangles.iter_mut().flatten() {
        let slot = &mut new_index[*corner as usize];
        if *slot == UNUSED {
            *slot = kept.len() as u32;
            kept.push(positions[*corner as usize]);
        }
        *corner = *slot;
    }
    Surface::Indexed(kept, triangles)
}

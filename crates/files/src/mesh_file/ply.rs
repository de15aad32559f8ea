//! PLY, text and binary of both byte orders, through `ply-rs-bw`.

use keelstead_units::quantity::Sentence;
use ply_rs_bw::parser::{Parser, Reader};
use ply_rs_bw::ply::{
    ElementDef, Encoding, Header, Property, PropertyAccess, PropertyAccessResult, PropertyType,
    ScalarType,
};

use super::polygon::Cutter;
use super::{Raw, RawPart, Surface};
use crate::error::{FileError, Spot};
use crate::progress::{Progress, Stretch, step};

const FACE_LISTS: [&str; 2] = ["vertex_indices", "vertex_index"];
const DAMAGED: &str = "The file is cut short or damaged: copy or export it again";

/// An element of any kind: what a vertex and a face need of it.
struct Element {
    at: [f64; 3],
    corners: Vec<i64>,
}

impl PropertyAccess for Element {
    fn new() -> Self {
        Self {
            at: [f64::NAN; 3],
            corners: Vec::new(),
        }
    }

    fn set_property(&mut self, name: &str, property: Property) -> PropertyAccessResult {
        if let Some(axis) = ["x", "y", "z"].iter().position(|&axis| axis == name) {
            match number(&property) {
                Some(value) => self.at[axis] = value,
                None => return PropertyAccessResult::UnsupportedType,
            }
            return PropertyAccessResult::Set;
        }
        if FACE_LISTS.contains(&name) {
            match indices(property) {
                Some(corners) => self.corners = corners,
                None => return PropertyAccessResult::UnsupportedType,
            }
            return PropertyAccessResult::Set;
        }
        PropertyAccessResult::Ignored
    }
}

fn number(property: &Property) -> Option<f64> {
    Some(match *property {
        Property::Char(value) => f64::from(value),
        Property::UChar(value) => f64::from(value),
        Property::Short(value) => f64::from(value),
        Property::UShort(value) => f64::from(value),
        Property::Int(value) => f64::from(value),
        Property::UInt(value) => f64::from(value),
        Property::Float(value) => f64::from(value),
        Property::Double(value) => value,
        _ => return None,
    })
}

fn indices(property: Property) -> Option<Vec<i64>> {
    fn wide<T: Into<i64>>(list: Vec<T>) -> Vec<i64> {
        list.into_iter().map(Into::into).collect()
    }
    Some(match property {
        Property::ListChar(list) => wide(list),
        Property::ListUChar(list) => wide(list),
        Property::ListShort(list) => wide(list),
        Property::ListUShort(list) => wide(list),
        Property::ListInt(list) => wide(list),
        Property::ListUInt(list) => wide(list),
        _ => return None,
    })
}

pub(super) fn read(bytes: &[u8], name: &str, progress: &dyn Progress) -> Result<Raw, FileError> {
    let parser = Parser::<Element>::new();
    let mut reader = Reader::new(bytes);
    let fault = |error: &ply_rs_bw::parser::ParseError, expected: &str, advice: &str| {
        let spot = error.line().map_or(Spot::Whole, Spot::Line);
        let line = error.line().and_then(|line| shown_line(bytes, line));
        let found = line.map_or("the file ends".into(), |line| format!("found \"{line}\""));
        FileError::fault(name, spot, found, expected, advice)
    };
    let header = parser.read_header(&mut reader).map_err(|error| {
        let line = error.line().and_then(|line| shown_line(bytes, line));
        let expected = header_line(line.as_deref().unwrap_or_default());
        fault(&error, expected, "Correct the header, or export it again")
    })?;
    check_header(&header, name)?;
    let mut vertices: Vec<[f64; 3]> = Vec::new();
    let mut faces: Vec<Element> = Vec::new();
    let mut notices = Vec::new();
    let elements: Vec<&ElementDef> = header.elements.iter().map(|(_, element)| element).collect();
    for (index, element) in elements.iter().enumerate() {
        step(
            progress,
            0.3 * index as f64 / elements.len() as f64,
            &element.name,
        )?;
        check_count(element, &header, reader.get_ref().len(), name)?;
        let read = parser
            .read_payload_for_element(&mut reader, element, &header)
            .map_err(|error| {
                if header.encoding == Encoding::Ascii {
                    let figures = element.properties.len();
                    let expected = format!("the {figures} properties of a \"{}\"", element.name);
                    return fault(&error, &expected, DAMAGED);
                }
                let spot = Spot::Byte(bytes.len() - reader.get_ref().len());
                FileError::fault(
                    name,
                    spot,
                    format!(
                        "the file ends or breaks among its {} \"{}\"",
                        element.count, element.name
                    ),
                    "all of them",
                    DAMAGED,
                )
            })?;
        match element.name.as_str() {
            "vertex" => vertices = read.into_iter().map(|element| element.at).collect(),
            "face" => faces = read,
            other => notices.push(format!("{} \"{other}\" were left out", element.count).into()),
        }
    }
    let behind = reader.get_ref().trim_ascii().len();
    if behind > 0 {
        notices.push(format!("{behind} bytes after the last element were left out").into());
    }
    if let Some(at) = vertices
        .iter()
        .position(|v| !v.iter().all(|c| c.is_finite()))
    {
        return Err(FileError::fault(
            name,
            Spot::Named(format!("vertex {at}")),
            "a coordinate that is not a finite number",
            "finite x, y and z",
            "Repair the mesh in the program that made it and export it again",
        ));
    }
    if faces.is_empty() {
        return super::fitted(vertices, name, notices, &Stretch::new(progress, 0.1, 0.4));
    }
    step(progress, 0.35, "faces")?;
    let triangles = cut(&faces, &vertices, name, &mut notices)?;
    let surface = Surface::Indexed(vertices, triangles);
    Ok(Raw {
        parts: vec![RawPart {
            name: "mesh".into(),
            surface,
        }],
        notices,
        ..Raw::default()
    })
}

/// The beginning of a line of the file, counted from 1; none if the file ends before it.
fn shown_line(bytes: &[u8], line: usize) -> Option<String> {
    let text = bytes
        .split(|byte| *byte == b'\n')
        .nth(line.checked_sub(1)?)?;
    let text = String::from_utf8_lossy(text);
    Some(text.trim().chars().take(60).collect())
}

/// What a line of the header that begins so must say.
fn header_line(line: &str) -> &'static str {
    match line.split_ascii_whitespace().next() {
        Some("format") => {
            "format ascii 1.0, format binary_little_endian 1.0 or format binary_big_endian 1.0"
        }
        Some("element") => "element, its name and how many there are",
        Some("property") => {
            "property, a type (char, uchar, short, ushort, int, uint, float, double) and a name; or property list, type \
             of the count, type of the figures and a name"
        }
        _ => "ply, format, comment, obj_info, element, property or end_header",
    }
}

/// The header must promise vertices with x, y, z and, if it has faces, a list of corners for them.
fn check_header(header: &Header, name: &str) -> Result<(), FileError> {
    let wrong = |found: String, expected: &str, advice: &str| {
        Err(FileError::fault(
            name,
            Spot::Named("header".into()),
            found,
            expected,
            advice,
        ))
    };
    let has = |element: &ElementDef, property: &str| {
        element.properties.iter().any(|(key, _)| key == property)
    };
    let element = |wanted: &str| {
        header
            .elements
            .iter()
            .map(|(_, element)| element)
            .find(|element| element.name == wanted)
    };
    let Some(vertex) = element("vertex") else {
        return wrong("no element \"vertex\"".into(), "vertices", "Export a mesh");
    };
    for axis in ["x", "y", "z"] {
        if !has(vertex, axis) {
            return wrong(
                format!("vertices without \"{axis}\""),
                "x, y and z",
                "Export it again",
            );
        }
    }
    let faces = element("face").filter(|face| face.count > 0);
    if faces.is_none() && element("tristrips").is_some_and(|strips| strips.count > 0) {
        return wrong(
            "strips of triangles instead of faces".into(),
            "faces",
            "Export it again as faces",
        );
    }
    match faces {
        // A cloud of points.
        None => Ok(()),
        Some(face) if !FACE_LISTS.iter().any(|list| has(face, list)) => wrong(
            "faces without \"vertex_indices\"".into(),
            "a list of corners",
            "Export it again",
        ),
        Some(_) => Ok(()),
    }
}

/// Refuses a count that the rest of the file cannot hold, before anything is made for it.
fn check_count(
    element: &ElementDef,
    header: &Header,
    left: usize,
    name: &str,
) -> Result<(), FileError> {
    let size = |scalar: &ScalarType| match scalar {
        ScalarType::Char | ScalarType::UChar => 1,
        ScalarType::Short | ScalarType::UShort => 2,
        ScalarType::Int | ScalarType::UInt | ScalarType::Float => 4,
        ScalarType::Double => 8,
    };
    let properties = element
        .properties
        .iter()
        .map(|(_, property)| &property.data_type);
    let least: usize = match header.encoding {
        // A digit and a space or line end.
        Encoding::Ascii => 2 * properties.count(),
        _ => properties
            .map(|data_type| match data_type {
                PropertyType::Scalar(scalar) | PropertyType::List(scalar, _) => size(scalar),
            })
            .sum(),
    };
    // The last line may lack its end.
    let fits = least > 0 && element.count.saturating_mul(least) <= left.saturating_add(1);
    if fits || element.count == 0 {
        return Ok(());
    }
    Err(FileError::fault(
        name,
        Spot::Named("header".into()),
        format!(
            "the header promises {} \"{}\", but only {left} bytes follow",
            element.count, element.name
        ),
        "as many as there are",
        DAMAGED,
    ))
}

fn cut(
    faces: &[Element],
    vertices: &[[f64; 3]],
    name: &str,
    notices: &mut Vec<Sentence>,
) -> Result<Vec<[u32; 3]>, FileError> {
    let mut cutter = Cutter::new();
    let mut triangles = Vec::with_capacity(faces.len());
    let mut corners: Vec<u32> = Vec::new();
    let mut lines = 0;
    for (at, face) in faces.iter().enumerate() {
        corners.clear();
        for &index in &face.corners {
            let corner = u32::try_from(index)
                .ok()
                .filter(|&corner| (corner as usize) < vertices.len())
                .ok_or_else(|| {
                    FileError::fault(
                        name,
                        Spot::Named(format!("face {at}")),
                        format!("it names vertex {index}, but there are {}", vertices.len()),
                        "a vertex that is there, counted from 0",
                        DAMAGED,
                    )
                })?;
            corners.push(corner);
        }
        if corners.len() < 3 {
            lines += 1;
        }
        cutter.cut(&corners, vertices, &mut triangles);
    }
    if lines > 0 {
        notices.push(format!("{lines} faces of fewer than three corners were left out").into());
    }
    if cutter.crossed > 0 {
        notices.push(
            format!(
                "{} polygons cross themselves and were cut as they came",
                cutter.crossed
            )
            .into(),
        );
    }
    Ok(triangles)
}

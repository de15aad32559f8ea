//! 3MF: a ZIP archive of XML models (3MF Core Specification 1.3 and Production Extension, from
//! memory). Objects, and components of objects, become parts where the build puts them.
//!
//! Unpacked through `zip` and read through `quick-xml`: the crates for the whole format unpack
//! without bound and build a tree of every vertex.

use std::collections::HashMap;
use std::io::{Cursor, Read};

use quick_xml::events::{BytesStart, Event};
use zip::ZipArchive;

use super::scene::{Columns, DEEPEST, IDENTITY, Shown, place, product};
use super::xml::{Xml, attribute};
use super::{Raw, RawPart, Surface};
use crate::error::{FileError, Spot};
use crate::hull_file::LengthUnit;
use crate::progress::{Progress, step};

/// A member may unpack to this many times the archive's size, and a little more.
const MOST_UNPACKED_RATIO: u64 = 40;
const LITTLE: u64 = 1 << 20;
const DAMAGED: &str = "The file is damaged: export it again";

/// An object: a mesh, or other objects in places.
#[derive(Default)]
struct Object {
    name: String,
    positions: Vec<[f64; 3]>,
    triangles: Vec<[u32; 3]>,
    components: Vec<Shows>,
}

/// An object shown in a place, in the model of the given path; empty for the same model.
struct Shows {
    path: String,
    id: String,
    place: Columns,
}

/// One model of the archive.
struct Model {
    unit: LengthUnit,
    /// What its numbers are times, to be in `unit`.
    scale: f64,
    objects: HashMap<String, Object>,
    build: Vec<Shows>,
}

pub(super) fn read(
    bytes: &[u8],
    name: &str,
    progress: &dyn Progress,
) -> Result<(Raw, LengthUnit), FileError> {
    let mut reader = Reader {
        name,
        size: bytes.len() as u64,
        archive: archive(bytes, name)?,
        models: HashMap::new(),
        shown: Shown::new(0),
        within: Vec::new(),
        raw: Raw::default(),
        progress,
    };
    let root = reader.root()?;
    reader.load(&root)?;
    let (unit, build) = match reader.models.get_mut(&root) {
        Some(model) => (model.unit, std::mem::take(&mut model.build)),
        None => (LengthUnit::Millimetre, Vec::new()),
    };
    for item in &build {
        reader.show(item, &root, &IDENTITY, "", DEEPEST)?;
    }
    if reader.raw.parts.is_empty() {
        return Err(reader.fault(
            "build",
            "it shows no mesh",
            "a surface",
            "Export the hull as a mesh",
        ));
    }
    Ok((reader.raw, unit))
}

/// Whether the bytes are an archive that holds a model; none if they are no whole archive.
pub(super) fn holds_model(bytes: &[u8]) -> Option<bool> {
    let archive = ZipArchive::new(Cursor::new(bytes)).ok()?;
    let mut names = archive.file_names_raw();
    Some(names.any(|name| name.to_ascii_lowercase().ends_with(b".model")))
}

fn archive<'a>(bytes: &'a [u8], name: &str) -> Result<ZipArchive<Cursor<&'a [u8]>>, FileError> {
    ZipArchive::new(Cursor::new(bytes)).map_err(|error| {
        FileError::fault(
            name,
            Spot::Whole,
            error.to_string(),
            "a whole archive",
            "The file is cut short or damaged: copy or export it again",
        )
    })
}

struct Reader<'a> {
    name: &'a str,
    size: u64,
    archive: ZipArchive<Cursor<&'a [u8]>>,
    models: HashMap<String, Model>,
    shown: Shown,
    /// Path and id of the objects that the one looked at is a component of.
    within: Vec<(String, String)>,
    raw: Raw,
    progress: &'a dyn Progress,
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

    /// A member unpacked, no further than its archive's size allows.
    fn unpack(&mut self, path: &str) -> Result<String, FileError> {
        let wrong = |found: String, expected: String| {
            FileError::fault(
                self.name,
                Spot::Named(path.into()),
                found,
                expected,
                DAMAGED,
            )
        };
        let most = self.size * MOST_UNPACKED_RATIO + LITTLE;
        let member = self
            .archive
            .by_name(path.trim_start_matches('/'))
            .map_err(|error| wrong(error.to_string(), "a member of the archive".into()))?;
        let mut text = Vec::new();
        member
            .take(most + 1)
            .read_to_end(&mut text)
            .map_err(|error| wrong(error.to_string(), "packed text".into()))?;
        if text.len() as u64 > most {
            return Err(wrong(
                format!("it unpacks to more than {most} bytes"),
                format!("at most {MOST_UNPACKED_RATIO} times the archive"),
            ));
        }
        String::from_utf8(text).map_err(|_| wrong("it is no text in UTF-8".into(), "XML".into()))
    }

    /// The path of the model that the archive is about.
    fn root(&mut self) -> Result<String, FileError> {
        let names: Vec<String> = self
            .archive
            .file_names_raw()
            .map(|name| String::from_utf8_lossy(name).into_owned())
            .collect();
        if names.iter().any(|name| name == "_rels/.rels") {
            let text = self.unpack("_rels/.rels")?;
            let mut xml = Xml::new(&text, self.name, "_rels/.rels");
            loop {
                match xml.next()? {
                    Event::Start(tag)
                        if attribute(&tag, "Type")
                            .is_some_and(|kind| kind.ends_with("/3dmodel")) =>
                    {
                        if let Some(target) = attribute(&tag, "Target") {
                            return Ok(plain(&target));
                        }
                    }
                    Event::Eof => break,
                    _ => {}
                }
            }
        }
        let model = |name: &&String| name.to_ascii_lowercase().ends_with(".model");
        names.iter().find(model).cloned().ok_or_else(|| {
            FileError::fault(
                self.name,
                Spot::Whole,
                "an archive without a model",
                "3D/3dmodel.model",
                DAMAGED,
            )
        })
    }

    fn load(&mut self, path: &str) -> Result<(), FileError> {
        if self.models.contains_key(path) {
            return Ok(());
        }
        let text = self.unpack(path)?;
        self.shown.left_for(text.len());
        let model = Model::read(&text, self.name, path, self.progress)?;
        self.models.insert(path.to_owned(), model);
        Ok(())
    }

    /// Adds what `shows` shows to the parts; `above` is the name of what it belongs to.
    fn show(
        &mut self,
        shows: &Shows,
        from: &str,
        scene_from_parent: &Columns,
        above: &str,
        depth: usize,
    ) -> Result<(), FileError> {
        if depth == 0 {
            return Err(self.fault("components", "they nest too deep", "a tree", DAMAGED));
        }
        if self.progress.cancelled() {
            return Err(FileError::Cancelled);
        }
        let path = if shows.path.is_empty() {
            from
        } else {
            &shows.path
        };
        let title = format!("object {}", shows.id);
        if self
            .within
            .iter()
            .any(|(at, id)| at == path && *id == shows.id)
        {
            return Err(self.fault(
                &title,
                "components in a loop: it is a component of itself",
                "a tree",
                "Take it out of its own components, or export it again",
            ));
        }
        self.load(path)?;
        let Some(model) = self.models.get_mut(path) else {
            return Ok(());
        };
        let scale = model.scale;
        let Some(object) = model.objects.get_mut(&shows.id) else {
            return Err(self.fault(
                &title,
                "it is shown, but not there",
                "an object of the model",
                DAMAGED,
            ));
        };
        let scene_from_object = product(scene_from_parent, &shows.place);
        let name = match (object.name.as_str(), above) {
            ("", "") => title.clone(),
            ("", above) => above.to_owned(),
            (own, _) => own.to_owned(),
        };
        if !self
            .shown
            .more(3 * object.triangles.len() + object.positions.len() + object.components.len() + 1)
        {
            return Err(self.fault(
                &title,
                "too many objects are shown",
                "a file's worth",
                "Export the hull with a coarser mesh",
            ));
        }
        if !object.triangles.is_empty() {
            let (mut positions, mut triangles) =
                (object.positions.clone(), object.triangles.clone());
            let whole = place(&scene_from_object, &mut positions, &mut triangles);
            positions.iter_mut().flatten().for_each(|c| *c *= scale);
            if !whole {
                return Err(self.fault(
                    &title,
                    "a coordinate that is not a finite number",
                    "finite positions",
                    DAMAGED,
                ));
            }
            self.raw.parts.push(RawPart {
                name: name.clone(),
                surface: Surface::Indexed(positions, triangles),
            });
        }
        let components = std::mem::take(&mut object.components);
        let path = path.to_owned();
        self.within.push((path.clone(), shows.id.clone()));
        for component in &components {
            self.show(component, &path, &scene_from_object, &name, depth - 1)?;
        }
        self.within.pop();
        if let Some(object) = self
            .models
            .get_mut(&path)
            .and_then(|m| m.objects.get_mut(&shows.id))
        {
            object.components = components;
        }
        Ok(())
    }
}

fn plain(path: &str) -> String {
    path.trim_start_matches('/').to_owned()
}

impl Model {
    fn read(
        text: &str,
        name: &str,
        path: &str,
        progress: &dyn Progress,
    ) -> Result<Self, FileError> {
        let mut model = Self {
            unit: LengthUnit::Millimetre,
            scale: 1.0,
            objects: HashMap::new(),
            build: Vec::new(),
        };
        let mut xml = Xml::new(text, name, path);
        let mut object: Option<(String, Object)> = None;
        let (mut read, mut ended) = (0_usize, false);
        loop {
            read += 1;
            if read.is_multiple_of(1 << 16) {
                step(
                    progress,
                    0.4 * xml.at() as f64 / text.len() as f64,
                    "objects",
                )?;
            }
            match xml.next()? {
                Event::Start(tag) => match (tag.local_name().as_ref(), &mut object) {
                    ("model", _) => model.unit(&tag, &xml)?,
                    ("object", None) => {
                        let id = needed(&tag, "id", &xml)?;
                        let name = attribute(&tag, "name").unwrap_or_default().into_owned();
                        object = Some((
                            id,
                            Object {
                                name,
                                ..Object::default()
                            },
                        ));
                    }
                    ("vertex", Some((_, object))) => object.vertex(&tag, &xml)?,
                    ("triangle", Some((_, object))) => object.triangle(&tag, &xml)?,
                    ("component", Some((_, object))) => {
                        object.components.push(Shows::read(&tag, &xml)?)
                    }
                    ("item", None) => model.build.push(Shows::read(&tag, &xml)?),
                    _ => {}
                },
                Event::End(tag) => match tag.local_name().as_ref() {
                    "object" => {
                        if let Some((id, object)) = object.take() {
                            object.check(&xml)?;
                            model.objects.insert(id, object);
                        }
                    }
                    "model" => ended = true,
                    _ => {}
                },
                Event::Eof if ended => return Ok(model),
                Event::Eof => {
                    return Err(xml.fault(
                        "the model ends early",
                        "</model>",
                        "The file is cut short: export it again",
                    ));
                }
                _ => {}
            }
        }
    }

    fn unit(&mut self, tag: &BytesStart<'_>, xml: &Xml<'_>) -> Result<(), FileError> {
        let unit = attribute(tag, "unit");
        (self.unit, self.scale) = match unit.as_deref() {
            None | Some("millimeter") => (LengthUnit::Millimetre, 1.0),
            Some("micron") => (LengthUnit::Millimetre, 0.001),
            Some("centimeter") => (LengthUnit::Centimetre, 1.0),
            Some("inch") => (LengthUnit::Inch, 1.0),
            Some("foot") => (LengthUnit::Foot, 1.0),
            Some("meter") => (LengthUnit::Metre, 1.0),
            Some(other) => {
                let shown: String = other.chars().take(40).collect();
                return Err(xml.fault(
                    format!("the unit \"{shown}\""),
                    "micron, millimeter, centimeter, inch, foot or meter",
                    "Export it again with one of these",
                ));
            }
        };
        Ok(())
    }
}

fn needed(tag: &BytesStart<'_>, what: &str, xml: &Xml<'_>) -> Result<String, FileError> {
    attribute(tag, what)
        .map(|value| value.into_owned())
        .ok_or_else(|| {
            let tag = tag.local_name().as_ref().to_owned();
            xml.fault(format!("<{tag}> without {what}"), what, DAMAGED)
        })
}

fn figure<T: std::str::FromStr>(
    tag: &BytesStart<'_>,
    what: &str,
    xml: &Xml<'_>,
) -> Result<T, FileError> {
    let text = needed(tag, what, xml)?;
    text.trim().parse().map_err(|_| {
        let shown: String = text.chars().take(40).collect();
        xml.fault(format!("{what}=\"{shown}\""), "a number", DAMAGED)
    })
}

impl Object {
    fn vertex(&mut self, tag: &BytesStart<'_>, xml: &Xml<'_>) -> Result<(), FileError> {
        let position = [
            figure(tag, "x", xml)?,
            figure(tag, "y", xml)?,
            figure(tag, "z", xml)?,
        ];
        if !position.iter().all(|c: &f64| c.is_finite()) {
            return Err(xml.fault(
                "a coordinate that is not a finite number",
                "finite x, y and z",
                DAMAGED,
            ));
        }
        self.positions.push(position);
        Ok(())
    }

    fn triangle(&mut self, tag: &BytesStart<'_>, xml: &Xml<'_>) -> Result<(), FileError> {
        self.triangles.push([
            figure(tag, "v1", xml)?,
            figure(tag, "v2", xml)?,
            figure(tag, "v3", xml)?,
        ]);
        Ok(())
    }

    fn check(&self, xml: &Xml<'_>) -> Result<(), FileError> {
        let count = self.positions.len();
        match self
            .triangles
            .as_flattened()
            .iter()
            .find(|&&corner| corner as usize >= count)
        {
            None => Ok(()),
            Some(corner) => Err(xml.fault(
                format!("a triangle names vertex {corner}, but there are {count}"),
                "a vertex that is there, counted from 0",
                DAMAGED,
            )),
        }
    }
}

impl Shows {
    fn read(tag: &BytesStart<'_>, xml: &Xml<'_>) -> Result<Self, FileError> {
        let mut place = IDENTITY;
        if let Some(text) = attribute(tag, "transform") {
            let numbers: Vec<f64> = text
                .split_ascii_whitespace()
                .map_while(|word| word.parse().ok())
                .collect();
            if numbers.len() != 12 {
                return Err(xml.fault(
                    "a transform that is not twelve numbers",
                    "twelve numbers",
                    DAMAGED,
                ));
            }
            for (column, three) in place.iter_mut().zip(numbers.chunks_exact(3)) {
                column[..3].copy_from_slice(three);
            }
        }
        Ok(Self {
            path: attribute(tag, "path")
                .map(|path| plain(&path))
                .unwrap_or_default(),
            id: needed(tag, "objectid", xml)?,
            place,
        })
    }
}

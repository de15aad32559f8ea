//! COLLADA 1.4 and 1.5 (Khronos, "COLLADA – Digital Asset Schema Release 1.4.1", 2008, from memory):
//! every node of the scene that shows a geometry, in its place.
//!
//! Read through `quick-xml`: of the crates for the whole format one leaves out the nodes' places, the
//! other is no longer kept.

mod geometry;
mod tree;

use std::collections::HashMap;

use super::scene::{Columns, DEEPEST, IDENTITY, Shown, place, product};
use super::{Raw, RawPart, Surface};
use crate::error::{FileError, Spot};
use crate::hull_file::{Axes, Axis, LengthUnit};
use crate::progress::{Progress, step};
use geometry::Shape;
use tree::{Node, Tree};

const DAMAGED: &str = "The file is damaged: export it again";

/// A file read: its parts, its unit and its axes, all of which the format lays down.
pub(super) struct Read {
    pub(super) raw: Raw,
    pub(super) unit: LengthUnit,
    pub(super) axes: Axes,
}

pub(super) fn read(bytes: &[u8], name: &str, progress: &dyn Progress) -> Result<Read, FileError> {
    let text = super::obj::text(bytes, name)?;
    let tree = Tree::read(&text, name, progress)?;
    let root = tree.root();
    let asset = root.child("asset");
    let (unit, scale) = unit(asset.as_ref())?;
    let axes = axes(asset.as_ref())?;
    let mut reader = Reader {
        ids: tree.ids(),
        shapes: HashMap::new(),
        shown: Shown::new(bytes.len()),
        raw: Raw::default(),
        progress,
    };
    step(progress, 0.2, "scene")?;
    let scene = root
        .child("scene")
        .and_then(|scene| scene.child("instance_visual_scene"));
    let scene = match &scene {
        Some(shown) => reader.target(shown, "url")?,
        None => root
            .child("library_visual_scenes")
            .and_then(|library| library.child("visual_scene"))
            .ok_or_else(|| root.fault("there is no scene", "one", "Export it again"))?,
    };
    for node in scene.children().filter(|child| child.is("node")) {
        reader.node(&node, &IDENTITY, DEEPEST)?;
    }
    let mut raw = reader.raw;
    if raw.parts.is_empty() {
        return Err(FileError::fault(
            name,
            Spot::Whole,
            "no node shows a mesh of triangles or polygons",
            "a surface",
            "Export the hull as a mesh",
        ));
    }
    for part in &mut raw.parts {
        if let Surface::Indexed(positions, _) = &mut part.surface {
            positions.iter_mut().flatten().for_each(|c| *c *= scale);
        }
    }
    Ok(Read { raw, unit, axes })
}

/// The unit, and what the numbers are times to be in it: metres where it is none of ours.
fn unit(asset: Option<&Node<'_>>) -> Result<(LengthUnit, f64), FileError> {
    let Some(unit) = asset.and_then(|asset| asset.child("unit")) else {
        return Ok((LengthUnit::Metre, 1.0));
    };
    let Some(text) = unit.get("meter") else {
        return Ok((LengthUnit::Metre, 1.0));
    };
    let metres = text
        .trim()
        .parse::<f64>()
        .ok()
        .filter(|metres| metres.is_finite() && *metres > 0.0)
        .ok_or_else(|| {
            let shown: String = text.chars().take(40).collect();
            unit.fault(
                format!("meter=\"{shown}\""),
                "its length in metres",
                DAMAGED,
            )
        })?;
    let same = |unit: &LengthUnit| (unit.metres() - metres).abs() < 1e-6 * metres;
    Ok(match LengthUnit::ALL.into_iter().find(same) {
        Some(unit) => (unit, 1.0),
        None => (LengthUnit::Metre, metres),
    })
}

/// The axes. The format lays down up and right, and so front, which writers seldom keep to.
fn axes(asset: Option<&Node<'_>>) -> Result<Axes, FileError> {
    let axis = asset.and_then(|asset| asset.child("up_axis"));
    let word = axis.as_ref().map_or("Y_UP", |axis| axis.text().trim());
    match word {
        "X_UP" => Ok(Axes {
            forward: Axis::PlusZ,
            up: Axis::PlusX,
        }),
        "Y_UP" | "" => Ok(Axes {
            forward: Axis::PlusZ,
            up: Axis::PlusY,
        }),
        "Z_UP" => Ok(Axes {
            forward: Axis::MinusY,
            up: Axis::PlusZ,
        }),
        other => {
            let shown: String = other.chars().take(40).collect();
            let found = format!("the up axis \"{shown}\"");
            match &axis {
                Some(axis) => Err(axis.fault(found, "X_UP, Y_UP or Z_UP", DAMAGED)),
                None => Ok(Axes::default()),
            }
        }
    }
}

struct Reader<'t> {
    ids: HashMap<&'t str, Node<'t>>,
    /// Geometries met so far, by where they stand.
    shapes: HashMap<usize, Shape>,
    shown: Shown,
    raw: Raw,
    progress: &'t dyn Progress,
}

impl<'t> Reader<'t> {
    /// What an attribute refers to.
    fn target(&self, node: &Node<'t>, attribute: &str) -> Result<Node<'t>, FileError> {
        let reference = node.get(attribute).unwrap_or_default();
        let id = reference.strip_prefix('#').ok_or_else(|| {
            let shown: String = reference.chars().take(80).collect();
            node.fault(
                format!("{attribute}=\"{shown}\""),
                "something of this file, with # before its id",
                "Export everything into one file",
            )
        })?;
        self.ids.get(id).copied().ok_or_else(|| {
            let shown: String = id.chars().take(80).collect();
            node.fault(
                format!("\"{shown}\" is not there"),
                "an id of this file",
                DAMAGED,
            )
        })
    }

    fn node(
        &mut self,
        node: &Node<'t>,
        scene_from_parent: &Columns,
        depth: usize,
    ) -> Result<(), FileError> {
        if depth == 0 {
            return Err(node.fault("nodes nested too deep or in a loop", "a tree", DAMAGED));
        }
        if self.progress.cancelled() {
            return Err(FileError::Cancelled);
        }
        if !self.shown.more(1) {
            return Err(too_many(node));
        }
        let mut scene_from_node = *scene_from_parent;
        for child in node.children() {
            if let Some(transform) = transform(&child)? {
                scene_from_node = product(&scene_from_node, &transform);
            }
        }
        for child in node.children() {
            match child.name() {
                "node" => self.node(&child, &scene_from_node, depth - 1)?,
                "instance_node" => {
                    let target = self.target(&child, "url")?;
                    self.node(&target, &scene_from_node, depth - 1)?;
                }
                "instance_geometry" => {
                    let geometry = self.target(&child, "url")?;
                    self.show(node, &geometry, &scene_from_node)?;
                }
                "instance_controller" => {
                    let controller = self.target(&child, "url")?;
                    if let Some(skin) = controller.child("skin") {
                        let geometry = self.target(&skin, "source")?;
                        self.raw.notices.push(
                            format!(
                                "{}: read as drawn, without its skeleton's pose",
                                title(node, &geometry)
                            )
                            .into(),
                        );
                        self.show(node, &geometry, &scene_from_node)?;
                    }
                }
                _ => {}
            }
        }
        Ok(())
    }

    fn show(
        &mut self,
        node: &Node<'t>,
        geometry: &Node<'t>,
        scene_from_node: &Columns,
    ) -> Result<(), FileError> {
        if !self.shapes.contains_key(&geometry.index()) {
            let shape =
                geometry::shape(geometry, &self.ids, &mut self.shown, &mut self.raw.notices)?;
            self.shapes.insert(geometry.index(), shape);
        }
        let Some(shape) = self.shapes.get(&geometry.index()) else {
            return Ok(());
        };
        if !self
            .shown
            .more(3 * shape.triangles.len() + shape.positions.len())
        {
            return Err(too_many(node));
        }
        if shape.triangles.is_empty() {
            return Ok(());
        }
        let (mut positions, mut triangles) = (shape.positions.clone(), shape.triangles.clone());
        if !place(scene_from_node, &mut positions, &mut triangles) {
            return Err(node.fault(
                "a coordinate that is not a finite number",
                "finite positions and transforms",
                "Repair the mesh in the program that made it and export it again",
            ));
        }
        self.raw.parts.push(RawPart {
            name: title(node, geometry),
            surface: Surface::Indexed(positions, triangles),
        });
        Ok(())
    }
}

fn too_many(node: &Node<'_>) -> FileError {
    node.fault(
        "the scene shows too much",
        "a file's worth",
        "Export the hull with a coarser mesh",
    )
}

fn title(node: &Node<'_>, geometry: &Node<'_>) -> String {
    let named = |node: &Node<'_>| {
        let name = node.get("name").filter(|name| !name.is_empty());
        name.or(node.get("id")).map(str::to_owned)
    };
    named(node).or_else(|| named(geometry)).unwrap_or_default()
}

/// The transform that an element is, if it is one.
fn transform(element: &Node<'_>) -> Result<Option<Columns>, FileError> {
    let count = match element.name() {
        "matrix" => 16,
        "translate" | "scale" => 3,
        "rotate" => 4,
        "lookat" | "skew" => {
            return Err(element.fault(
                format!("a place given by <{}>", element.name()),
                "matrix, translate, rotate or scale",
                "Export it again with plain transforms",
            ));
        }
        _ => return Ok(None),
    };
    let n = element.numbers()?;
    if n.len() != count {
        return Err(element.fault(
            format!("{} numbers in <{}>", n.len(), element.name()),
            &count.to_string(),
            DAMAGED,
        ));
    }
    let mut columns = IDENTITY;
    match element.name() {
        "matrix" => {
            columns = std::array::from_fn(|column| std::array::from_fn(|row| n[4 * row + column]));
        }
        "translate" => columns[3][..3].copy_from_slice(&n),
        "scale" => (0..3).for_each(|axis| columns[axis][axis] = n[axis]),
        _ => {
            let axis = keelstead_geometry::math::Vec3::new(n[0], n[1], n[2]).normalize_or_zero();
            let turn = keelstead_geometry::math::Rot3::from_axis_angle(axis, n[3].to_radians());
            let turned = keelstead_geometry::math::Mat3::from_quat(turn);
            if axis != keelstead_geometry::math::Vec3::ZERO {
                for (column, turned) in columns.iter_mut().zip(turned.to_cols_array_2d()) {
                    column[..3].copy_from_slice(&turned);
                }
            }
        }
    }
    Ok(Some(columns))
}

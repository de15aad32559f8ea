//! A geometry's positions and polygons.

use std::collections::HashMap;

use keelstead_units::quantity::Sentence;

use super::DAMAGED;
use super::tree::Node;
use crate::error::FileError;
use crate::mesh_file::polygon::Cutter;
use crate::mesh_file::scene::Shown;

/// Positions, and triangles over them.
#[derive(Default)]
pub(super) struct Shape {
    pub(super) positions: Vec<[f64; 3]>,
    pub(super) triangles: Vec<[u32; 3]>,
}

type Ids<'t> = HashMap<&'t str, Node<'t>>;
/// Where the positions of a source begin among the shape's, and how many they are.
type Sources = HashMap<usize, (usize, usize)>;

/// What a geometry is, as far as it is made of polygons.
pub(super) fn shape<'t>(
    geometry: &Node<'t>,
    ids: &Ids<'t>,
    shown: &mut Shown,
    notices: &mut Vec<Sentence>,
) -> Result<Shape, FileError> {
    let title = geometry
        .get("name")
        .or(geometry.get("id"))
        .unwrap_or_default();
    let Some(mesh) = geometry.child("mesh") else {
        notices.push(format!("geometry \"{title}\" is no mesh and was left out").into());
        return Ok(Shape::default());
    };
    let mut shape = Shape::default();
    let mut cutter = Cutter::new();
    let mut sources = Sources::new();
    let mut left_out = 0;
    for primitive in mesh.children() {
        let strip = match primitive.name() {
            "triangles" | "polylist" | "polygons" | "trifans" => false,
            "tristrips" => true,
            "lines" | "linestrips" => {
                left_out += 1;
                continue;
            }
            _ => continue,
        };
        let corners = Corners::of(&primitive, ids, &mut shape, &mut sources, shown)?;
        for polygon in corners.polygons(&primitive, shape.positions.len())? {
            if strip {
                let strip = polygon.windows(3).enumerate();
                shape.triangles.extend(strip.map(|(i, t)| match i % 2 {
                    0 => [t[0], t[1], t[2]],
                    _ => [t[1], t[0], t[2]],
                }));
            } else {
                cutter.cut(&polygon, &shape.positions, &mut shape.triangles);
            }
        }
    }
    if left_out > 0 {
        notices.push(format!("geometry \"{title}\": its lines were left out").into());
    }
    if cutter.crossed > 0 {
        notices.push(
            format!(
                "geometry \"{title}\": {} polygons cross themselves and were cut as they came",
                cutter.crossed
            )
            .into(),
        );
    }
    Ok(shape)
}

/// Where in a primitive's list of indices its corners stand.
struct Corners {
    /// Indices a corner.
    stride: usize,
    /// Which of them is the position.
    offset: usize,
    /// The first of the geometry's positions that they count from.
    first: usize,
    count: usize,
}

impl Corners {
    fn of<'t>(
        primitive: &Node<'t>,
        ids: &Ids<'t>,
        shape: &mut Shape,
        sources: &mut Sources,
        shown: &mut Shown,
    ) -> Result<Self, FileError> {
        let offset = |input: &Node<'_>| -> Result<usize, FileError> {
            let text = input.get("offset").unwrap_or("0");
            let number = text.parse().ok().filter(|&offset: &usize| offset < 256);
            number.ok_or_else(|| {
                let shown: String = text.chars().take(40).collect();
                input.fault(
                    format!("offset=\"{shown}\""),
                    "a small whole number",
                    DAMAGED,
                )
            })
        };
        let (mut stride, mut vertex) = (1, None);
        for input in primitive.children().filter(|child| child.is("input")) {
            stride = stride.max(offset(&input)? + 1);
            if input.get("semantic") == Some("VERTEX") {
                vertex = Some((offset(&input)?, input));
            }
        }
        let lost = |node: &Node<'_>| node.fault("polygons without positions", "positions", DAMAGED);
        let target = |node: &Node<'t>| -> Option<Node<'t>> {
            ids.get(node.get("source")?.strip_prefix('#')?).copied()
        };
        let (offset, input) = vertex.ok_or_else(|| lost(primitive))?;
        let vertices = target(&input).ok_or_else(|| lost(&input))?;
        let position = vertices
            .children()
            .find(|child| child.is("input") && child.get("semantic") == Some("POSITION"))
            .ok_or_else(|| lost(&vertices))?;
        let source = target(&position).ok_or_else(|| lost(&position))?;
        // Most geometries have one list of positions, used by all that they are made of.
        let (first, count) = match sources.get(&source.index()) {
            Some(&known) => known,
            None => {
                let own = positions(&source, ids)?;
                if !shown.more(own.len()) {
                    return Err(super::too_many(&source));
                }
                let known = (shape.positions.len(), own.len());
                shape.positions.extend(own);
                sources.insert(source.index(), known);
                known
            }
        };
        Ok(Self {
            stride,
            offset,
            first,
            count,
        })
    }

    /// The polygons as corners among the geometry's positions, of which there are `total`.
    fn polygons(&self, primitive: &Node<'_>, total: usize) -> Result<Vec<Vec<u32>>, FileError> {
        if u32::try_from(total).is_err() {
            return Err(primitive.fault("too many positions", "at most 4,294,967,295", DAMAGED));
        }
        let mut polygons = Vec::new();
        let lists = primitive.children().flat_map(|child| match child.name() {
            "p" => vec![child],
            // Holes of polygons are closed: only the outline counts.
            "ph" => child.child("p").into_iter().collect(),
            _ => Vec::new(),
        });
        let sizes = match primitive.child("vcount") {
            Some(counts) if primitive.is("polylist") => Some((counts, counts.indices()?)),
            _ => None,
        };
        // A polylist has one list; a polygon each has its own.
        let most = if sizes.is_some() { 1 } else { usize::MAX };
        for list in lists.take(most) {
            let corners = self.corners(&list)?;
            match &sizes {
                Some((counts, sizes)) => {
                    let mut rest = corners.as_slice();
                    for &size in sizes {
                        let Some((polygon, others)) = rest.split_at_checked(size) else {
                            return Err(counts.fault(
                                "more corners than there are",
                                "as many",
                                DAMAGED,
                            ));
                        };
                        polygons.push(polygon.to_vec());
                        rest = others;
                    }
                }
                None if primitive.is("triangles") => {
                    polygons.extend(corners.chunks_exact(3).map(<[u32]>::to_vec));
                }
                None => polygons.push(corners),
            }
        }
        Ok(polygons)
    }

    fn corners(&self, list: &Node<'_>) -> Result<Vec<u32>, FileError> {
        let indices = list.indices()?;
        indices
            .chunks_exact(self.stride)
            .map(|corner| {
                let index = corner[self.offset];
                if index >= self.count {
                    return Err(list.fault(
                        format!(
                            "a polygon names position {index}, but there are {}",
                            self.count
                        ),
                        "a position that is there, counted from 0",
                        DAMAGED,
                    ));
                }
                Ok((self.first + index) as u32)
            })
            .collect()
    }
}

/// The positions that a source holds.
fn positions<'t>(source: &Node<'t>, ids: &Ids<'t>) -> Result<Vec<[f64; 3]>, FileError> {
    let accessor = source
        .child("technique_common")
        .and_then(|common| common.child("accessor"));
    let array = accessor
        .and_then(|accessor| ids.get(accessor.get("source")?.strip_prefix('#')?).copied())
        .or_else(|| source.child("float_array"))
        .ok_or_else(|| source.fault("positions without numbers", "a float_array", DAMAGED))?;
    let number = |attribute: &str, usual: usize| -> Result<usize, FileError> {
        let text = accessor
            .as_ref()
            .and_then(|accessor| accessor.get(attribute));
        text.map_or(Ok(usual), |text| {
            text.parse().map_err(|_| {
                let shown: String = text.chars().take(40).collect();
                source.fault(
                    format!("{attribute}=\"{shown}\""),
                    "a whole number",
                    DAMAGED,
                )
            })
        })
    };
    let (stride, offset) = (number("stride", 3)?, number("offset", 0)?);
    if stride < 3 {
        return Err(source.fault(format!("{stride} numbers a position"), "three", DAMAGED));
    }
    let numbers = array.numbers()?;
    let numbers = numbers.get(offset..).unwrap_or_default();
    Ok(numbers
        .chunks(stride)
        .filter(|chunk| chunk.len() >= 3)
        .map(|chunk| [chunk[0], chunk[1], chunk[2]])
        .collect())
}

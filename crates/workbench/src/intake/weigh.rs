//! What the hull being brought in weighs, by all that was said.

use std::sync::Arc;

use keelstead_boat::hull::{CentreOfGravity, Hull, Mass, PartKind};
use keelstead_boat::weigh::{Mark, MarkedWaterline, Weighed, WeightSources, weigh};
use keelstead_geometry::math::{Aabb, Point};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::begun::through;
use super::draft::Draft;

/// A hull with fewer triangles is weighed at once: it takes less than a frame.
const AT_ONCE: usize = 30_000;

/// What was said of a hull's weight.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Said {
    mass: Option<Mass>,
    centre: Option<CentreOfGravity>,
    weighing: WeightSources,
}

impl Said {
    pub(super) fn of(draft: &Draft) -> Self {
        Self {
            mass: draft.mass,
            centre: draft.centre,
            weighing: draft.weighing.clone(),
        }
    }

    /// Whether it takes longer than a frame to weigh `hull` by it: only water does, by every triangle.
    pub(super) fn takes_long(&self, hull: &Hull) -> bool {
        let triangles = hull.parts.iter().map(|part| part.mesh.triangles().len());
        self.weighing.waterline.is_some() && triangles.sum::<usize>() > AT_ONCE
    }
}

/// A hull that is shared; two are the same only if they are one.
#[derive(Debug, Clone)]
pub struct SharedHull(pub(crate) Arc<Hull>);

impl PartialEq for SharedHull {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

impl Serialize for SharedHull {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.0.as_ref().serialize(to)
    }
}

impl<'de> Deserialize<'de> for SharedHull {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Hull::deserialize(from).map(|hull| Self(Arc::new(hull)))
    }
}

/// A hull to be weighed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ToWeigh {
    /// As it stands.
    pub(crate) hull: SharedHull,
    /// By what.
    pub(crate) said: Said,
}

/// What a hull weighs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WeighedBy {
    /// By what.
    pub(super) said: Said,
    /// What all sources say together; in words why they cannot be right.
    pub(super) weighed: Result<Weighed, String>,
    /// Where the marked water meets the skin, in no order.
    pub(super) waterline: Vec<Cut>,
}

impl ToWeigh {
    /// Weighs it.
    pub(crate) fn weigh(self) -> WeighedBy {
        let Self {
            hull: SharedHull(hull),
            said,
        } = self;
        let stated = Hull {
            mass: said.mass,
            centre: said.centre,
            weighed: None,
            ..Hull::clone(&hull)
        };
        let weighed = weigh(&stated, &said.weighing).map_err(|problem| problem.to_string());
        let line = said.weighing.waterline;
        let waterline = line.map_or_else(Vec::new, |line| cut(&hull, &line));
        WeighedBy {
            said,
            weighed,
            waterline,
        }
    }
}

/// Stations of marks along a level waterline, as parts of the body's length from aft.
const ENDS_AT: [f64; 2] = [0.15, 0.85];

/// The waterline of a hull that floats level, as deep as was measured.
pub(crate) fn level_waterline(hull: &Hull, draft_m: f64) -> MarkedWaterline {
    let body = hull.parts.iter().find(|part| part.kind == PartKind::Body);
    let bounds: Aabb = body.map_or(hull.bounds, |part| part.mesh.aabb());
    let (aft_m, length_m) = (bounds.mins.x, bounds.extents().x);
    let z_m = hull.bounds.mins.z + draft_m;
    through(ENDS_AT.map(|part| Mark {
        x_m: aft_m + part * length_m,
        z_m,
    }))
}

/// The waterline with its nearer mark, fore or aft, at a point of the hull that was pressed.
pub(crate) fn marked_at(line: &MarkedWaterline, at: Point) -> MarkedWaterline {
    let mut line = *line;
    let mark = Mark {
        x_m: at.x_m,
        z_m: at.z_m,
    };
    if (at.x_m - line.aft.x_m).abs() < (at.x_m - line.fore.x_m).abs() {
        line.aft = mark;
    } else {
        line.fore = mark;
    }
    line
}

/// Where the water meets a triangle of the skin, hull frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Cut {
    /// From where to where.
    pub ends: [Point; 2],
    /// Out of the skin there; its length says nothing.
    pub out: Point,
}

/// Where the water meets the skin, in no order.
fn cut(hull: &Hull, line: &MarkedWaterline) -> Vec<Cut> {
    let water = line.plane();
    let mut segments = Vec::new();
    for part in &hull.parts {
        let vertices = part.mesh.vertices();
        let over: Vec<f64> = vertices.iter().map(|v| water.height_over_m(*v)).collect();
        for triangle in part.mesh.triangles() {
            let corners = triangle.map(|i| i as usize);
            let mut cuts = (0..3).filter_map(|i| {
                let (a, b) = (corners[i], corners[(i + 1) % 3]);
                ((over[a] < 0.0) != (over[b] < 0.0)).then(|| {
                    let part = over[a] / (over[a] - over[b]);
                    vertices[a] + (vertices[b] - vertices[a]) * part
                })
            });
            if let (Some(a), Some(b)) = (cuts.next(), cuts.next()) {
                let [p, q, r] = corners.map(|i| vertices[i]);
                segments.push(Cut {
                    ends: [a.into(), b.into()],
                    out: (q - p).cross(r - p).into(),
                });
            }
        }
    }
    segments
}

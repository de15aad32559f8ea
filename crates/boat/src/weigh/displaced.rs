//! What a whole hull displaces, its parts taken together: where they overlap water is pushed aside
//! once, and an inner skin keeps water out.
//!
//! The triangles below the water fall into shells that hang together there. Each must be closed and
//! is taken as facing outward. A shell inside another displaces nothing more; where two overlap,
//! upright columns measure what both enclose.

use serde::Serialize;

use super::columns::{Overlap, overlap};
use crate::hull::{Hull, PartKind};
use crate::hydrostatics::{Immersed, Sum, WaterFrame, WaterPlane};
use keelstead_geometry::math::{Aabb, Vec3};
use keelstead_geometry::mesh::{Mesh, weld};

/// What lies below the water of a hull.
#[derive(Debug, Clone, PartialEq)]
pub struct Displaced {
    /// Volume, centre, waterplane and skin of all parts together; skin that one part hides in
    /// another counts as well.
    pub below: Immersed,
    /// Where the water cuts the body: its aftmost and foremost point, m along the hull's x.
    pub waterline_x_m: [f64; 2],
    /// Volume that overlapping parts would count twice, m³; taken off.
    pub overlap_m3: f64,
    /// How far that may be off, m³.
    pub overlap_off_m3: f64,
    /// Volume within inner skins, m³: they keep water out and are passed over.
    pub inner_m3: f64,
    /// Parts of which a shell faces inward and is taken as facing outward.
    pub turned: Vec<String>,
    /// Parts of which an open surface lies inside another part and is passed over.
    pub passed_over: Vec<String>,
}

/// Why a hull has no displacement.
#[derive(Debug, Clone, PartialEq, Serialize, thiserror::Error)]
pub enum NotClosed {
    /// Water would run in.
    #[error(
        "{part} is open below the water, or its triangles disagree which side is out, at ({x:.3}, {y:.3}, {z:.3}); close it there, or mark a lower waterline"
    )]
    Open {
        /// The part.
        part: String,
        /// Where its lowest open edge is, hull frame, m: along x.
        x: f64,
        /// Along y.
        y: f64,
        /// Along z.
        z: f64,
    },
    /// Nothing is below the water.
    #[error("the water lies below the whole hull")]
    Dry,
}

/// A shell of triangles that hang together below the water.
struct Shell {
    triangles: Vec<u32>,
    sum: Sum,
    /// Bounds of its triangles, up to the water. Water frame.
    bounds: Aabb,
    /// Lowest corner of an edge that is not closed.
    open_at: Option<Vec3>,
}

impl Shell {
    fn sign(&self) -> f64 {
        if self.sum.volume < 0.0 { -1.0 } else { 1.0 }
    }
}

/// All parts as one set of triangles, in the frame of the water.
struct Whole {
    at: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
    /// The first triangle of each part.
    starts: Vec<usize>,
}

impl Whole {
    fn new(hull: &Hull, frame: &WaterFrame) -> Self {
        let mut corners = Vec::new();
        let mut starts = Vec::new();
        for part in &hull.parts {
            starts.push(corners.len() / 3);
            if !part.part_use.displaces() {
                continue;
            }
            let vertices = part.mesh.vertices();
            let triangles = part.mesh.triangles().iter().flatten();
            corners.extend(triangles.map(|&i| vertices[i as usize]));
        }
        // Parts that were cut apart at an edge close one another.
        let (vertices, index) = weld(corners.into_iter());
        Self {
            at: vertices.iter().map(|&v| frame.water_from_hull(v)).collect(),
            triangles: index.as_chunks().0.to_vec(),
            starts,
        }
    }

    fn corners(&self, triangle: u32) -> [Vec3; 3] {
        self.triangles[triangle as usize].map(|i| self.at[i as usize])
    }

    fn part_of(&self, triangle: u32) -> usize {
        self.starts
            .partition_point(|&start| start <= triangle as usize)
            - 1
    }

    /// Below the water by more than rounding: a rim cut along the waterline lies within that.
    fn is_under(&self, vertex: u32, slack_m: f64) -> bool {
        self.at[vertex as usize].z < -slack_m
    }

    /// The shells below the water, joined over edges that reach below it.
    fn shells(&self, slack_m: f64) -> Vec<Shell> {
        let wet: Vec<u32> = (0..self.triangles.len() as u32)
            .filter(|&t| {
                self.triangles[t as usize]
                    .iter()
                    .any(|&v| self.is_under(v, slack_m))
            })
            .collect();
        let mut edges: Vec<([u32; 2], bool, u32)> = Vec::new();
        for (slot, &t) in wet.iter().enumerate() {
            let [a, b, c] = self.triangles[t as usize];
            for [from, to] in [[a, b], [b, c], [c, a]] {
                if from != to && (self.is_under(from, slack_m) || self.is_under(to, slack_m)) {
                    edges.push(([from.min(to), from.max(to)], from > to, slot as u32));
                }
            }
        }
        edges.sort_unstable();
        let mut parent: Vec<u32> = (0..wet.len() as u32).collect();
        let mut open: Vec<(u32, Vec3)> = Vec::new();
        for sharing in edges.chunk_by(|a, b| a.0 == b.0) {
            let first = sharing[0].2;
            for other in &sharing[1..] {
                join(&mut parent, first, other.2);
            }
            let back = sharing.iter().filter(|e| e.1).count();
            if 2 * back != sharing.len() {
                let [a, b] = sharing[0].0.map(|v| self.at[v as usize]);
                open.push((first, if a.z < b.z { a } else { b }));
            }
        }
        let mut slot_of_root = vec![u32::MAX; wet.len()];
        let mut shells: Vec<Shell> = Vec::new();
        for (slot, &t) in wet.iter().enumerate() {
            let root = root(&mut parent, slot as u32) as usize;
            if slot_of_root[root] == u32::MAX {
                slot_of_root[root] = shells.len() as u32;
                shells.push(Shell {
                    triangles: Vec::new(),
                    sum: Sum::default(),
                    bounds: Aabb::new_invalid(),
                    open_at: None,
                });
            }
            let shell = &mut shells[slot_of_root[root] as usize];
            let corners = self.corners(t);
            shell.triangles.push(t);
            shell.sum.add_below(corners);
            for corner in corners {
                let reach = Vec3::new(corner.x, corner.y, corner.z.min(0.0));
                shell.bounds.take_point(reach);
            }
        }
        for (slot, at) in open {
            let shell = &mut shells[slot_of_root[root(&mut parent, slot) as usize] as usize];
            if shell.open_at.is_none_or(|lowest| at.z < lowest.z) {
                shell.open_at = Some(at);
            }
        }
        shells
    }

    /// Whether `inner` lies inside `outer` wherever it is looked at.
    fn lies_within(&self, inner: &Shell, outer: &Shell) -> bool {
        /// Corners looked at: enough that a shell poking out by more than a few triangles is seen.
        const LOOKED_AT: usize = 600;
        if outer.open_at.is_some() || !contains(&outer.bounds, &inner.bounds) {
            return false;
        }
        let triangles = outer.triangles.iter().map(|&t| self.triangles[t as usize]);
        let Ok(mesh) = Mesh::welded(
            &triangles
                .map(|t| t.map(|i| self.at[i as usize]))
                .collect::<Vec<_>>(),
        ) else {
            return false;
        };
        let step = (inner.triangles.len() / LOOKED_AT).max(1);
        inner
            .triangles
            .iter()
            .step_by(step)
            .flat_map(|&t| self.corners(t))
            .filter(|c| c.z < 0.0)
            .all(|corner| mesh.contains(corner))
    }
}

fn contains(outer: &Aabb, inner: &Aabb) -> bool {
    inner.mins.cmpge(outer.mins).all() && inner.maxs.cmple(outer.maxs).all()
}

fn root(parent: &mut [u32], mut v: u32) -> u32 {
    while parent[v as usize] != v {
        parent[v as usize] = parent[parent[v as usize] as usize];
        v = parent[v as usize];
    }
    v
}

fn join(parent: &mut [u32], a: u32, b: u32) {
    let (a, b) = (root(parent, a), root(parent, b));
    parent[a.max(b) as usize] = a.min(b);
}

/// What `hull` displaces below `water` (hull frame).
///
/// Parts may overlap, touch, face inward as a whole, or be cut apart where they join. A shell
/// or an open surface inside another shell displaces nothing more than that.
///
/// # Errors
/// [`NotClosed`] if a part is open below the water, or nothing is below it.
pub fn displaced(hull: &Hull, water: &WaterPlane) -> Result<Displaced, NotClosed> {
    let frame = WaterFrame::new(water, hull.bounds.center());
    let whole = Whole::new(hull, &frame);
    let shells = whole.shells(1e-9 * hull.bounds.extents().length());
    let name = |shell: &Shell| {
        let part = shell.triangles.first().map_or(0, |&t| whole.part_of(t));
        hull.parts[part].name.clone()
    };
    let mut found = Displaced {
        below: Sum::default().figures(&frame, 0.0),
        waterline_x_m: [f64::INFINITY, f64::NEG_INFINITY],
        overlap_m3: 0.0,
        overlap_off_m3: 0.0,
        inner_m3: 0.0,
        turned: Vec::new(),
        passed_over: Vec::new(),
    };
    let mut kept: Vec<&Shell> = Vec::new();
    for (i, shell) in shells.iter().enumerate() {
        // Of two shells that are the same, the first counts.
        let inside = shells.iter().enumerate().find(|&(j, outer)| {
            j != i && (outer.bounds != shell.bounds || j < i) && whole.lies_within(shell, outer)
        });
        match (inside, shell.open_at) {
            (Some(_), Some(_)) => found.passed_over.push(name(shell)),
            (Some((_, outer)), None) if outer.sign() != shell.sign() => {
                found.inner_m3 += shell.sum.volume.abs();
            }
            (Some(_), None) => found.overlap_m3 += shell.sum.volume.abs(),
            (None, Some(at)) => {
                let at = frame.hull_from_water(at);
                return Err(NotClosed::Open {
                    part: name(shell),
                    x: at.x,
                    y: at.y,
                    z: at.z,
                });
            }
            (None, None) => kept.push(shell),
        }
    }
    let mut sum = Sum::default();
    for shell in &kept {
        sum.plus(&shell.sum, shell.sign());
    }
    // All facing inward is how some programs write; one among others is worth telling.
    let inward = kept.iter().filter(|s| s.sign() < 0.0);
    if inward.clone().count() < kept.len() {
        found.turned.extend(inward.map(|s| name(s)));
    }
    let faced: Vec<(f64, Aabb, &[u32])> = kept
        .iter()
        .map(|s| (s.sign(), s.bounds, s.triangles.as_slice()))
        .collect();
    let Overlap { twice, off_m3 } = overlap(&faced, |t| whole.corners(t));
    sum.plus(&twice, -1.0);
    found.overlap_m3 += twice.volume;
    found.overlap_off_m3 = off_m3;
    let lowest_m = kept.iter().map(|s| s.bounds.mins.z).fold(0.0, f64::min);
    if sum.volume <= 0.0 {
        return Err(NotClosed::Dry);
    }
    found.below = sum.figures(&frame, -lowest_m);
    found.waterline_x_m = waterline(&whole, hull, &kept, &frame);
    Ok(found)
}

/// The aftmost and foremost point at which the water cuts the body, hull frame: a rudder hung on the
/// transom makes no longer waterline. Of everything where it cuts no body.
fn waterline(whole: &Whole, hull: &Hull, kept: &[&Shell], frame: &WaterFrame) -> [f64; 2] {
    let wet = || kept.iter().flat_map(|shell| &shell.triangles).copied();
    let is_body = |&t: &u32| hull.parts[whole.part_of(t)].kind == PartKind::Body;
    let body = ends(whole, wet().filter(is_body), frame);
    if body[0] <= body[1] {
        return body;
    }
    let cut = ends(whole, wet(), frame);
    if cut[0] <= cut[1] {
        return cut;
    }
    let corners = wet().flat_map(|t| whole.corners(t));
    reach(corners.map(|corner| frame.hull_from_water(corner).x))
}

/// The aftmost and foremost point at which the plane cuts triangles, hull frame.
fn ends(whole: &Whole, triangles: impl Iterator<Item = u32>, frame: &WaterFrame) -> [f64; 2] {
    let edges = triangles.flat_map(|t| {
        let [a, b, c] = whole.corners(t);
        [(a, b), (b, c), (c, a)]
    });
    let cut = edges.filter(|(a, b)| (a.z < 0.0) != (b.z < 0.0));
    reach(cut.map(|(a, b)| frame.hull_from_water(a + (b - a) * (a.z / (a.z - b.z))).x))
}

fn reach(along: impl Iterator<Item = f64>) -> [f64; 2] {
    along.fold([f64::INFINITY, f64::NEG_INFINITY], |[from, to], x| {
        [from.min(x), to.max(x)]
    })
}

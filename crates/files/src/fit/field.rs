//! The surface where the weighted distance to the planes around is nought, on the cells' grid; round
//! cells whose plane tells nothing, a ball.

use std::collections::HashMap;

use foldhash::fast::FixedState;
use keelstead_geometry::math::Vec3;

use super::cells::{Grid, block, key};
use crate::error::FileError;
use crate::progress::{Progress, step};

/// How far a plane is felt, in cells.
const REACH: f64 = 2.5;
/// Means within this are looked at, to tell whether they hold the surface, in cells.
const AROUND: f64 = 2.0;
/// Radius of a ball, in cells.
const BALL: f64 = 0.6;
/// Farthest a place of the surface may be from the nearest mean, in cells.
const FARTHEST: f64 = 1.25;
/// Farthest it may be beside the middle of the means around, in cells: at the edge of a plane it is
/// 0.85, at a square corner 1.2.
const BESIDE: f64 = 1.3;
/// Gaps up to about this wide are bridged, in cells.
pub(super) const BRIDGED: f64 = 2.0 * FARTHEST;

/// Triangles over vertices, in the file's unit.
pub(super) struct Surface {
    pub(super) positions: Vec<Vec3>,
    pub(super) triangles: Vec<[u32; 3]>,
}

/// What is felt at a corner of the grid.
#[derive(Default)]
struct Corner {
    weight: f64,
    /// Weighted distances to planes.
    sum: f64,
    /// Distance to the nearest ball less [`REACH`], so that nought is far from all.
    ball: f64,
}

impl Corner {
    /// The distance, and whether a ball governs it.
    fn distance(&self) -> (f64, bool) {
        let plane = self.sum / self.weight;
        let ball = self.ball + REACH;
        if ball < plane {
            (ball, true)
        } else {
            (plane, false)
        }
    }
}

type Corners = HashMap<u64, Corner, FixedState>;
/// Vertices, by the cell that holds them.
type Vertices = HashMap<u64, u32, FixedState>;

/// The surface through the grid's planes, one vertex in each cell it passes (surface nets; Gibson,
/// "Constrained Elastic Surface Nets", 1998, from memory).
pub(super) fn surface(grid: &Grid, progress: &dyn Progress) -> Result<Surface, FileError> {
    let corners = distances(grid);
    step(progress, 0.4, "surface")?;
    let mut candidates: Vec<[i32; 3]> = grid
        .cells
        .iter()
        .flat_map(|cell| block(cell.at, 1))
        .collect();
    candidates.sort_unstable();
    candidates.dedup();
    let mut positions = Vec::new();
    let mut vertices = Vertices::default();
    let mut passed = Vec::new();
    for at in candidates {
        let passed_at = vertex(&corners, at);
        if let Some((vertex, _)) = passed_at.filter(|&(vertex, ball)| ball || held(grid, vertex)) {
            vertices.insert(key(at), positions.len() as u32);
            positions.push(vertex);
            passed.push(at);
        }
    }
    step(progress, 0.8, "surface")?;
    let mut triangles = Vec::with_capacity(2 * passed.len());
    for at in passed {
        for axis in 0..3 {
            quad(&corners, &vertices, &positions, at, axis, &mut triangles);
        }
    }
    for position in &mut positions {
        *position = *position * grid.size + grid.low;
    }
    Ok(Surface {
        positions,
        triangles,
    })
}

/// The weighted distance to the planes around and to balls, at every corner that feels one.
fn distances(grid: &Grid) -> Corners {
    let mut corners = Corners::default();
    for cell in &grid.cells {
        let nearest = cell.mean.round().to_array().map(|c| c as i32);
        for corner in block(nearest, 3) {
            let away = Vec3::from_array(corner.map(f64::from)) - cell.mean;
            let part = 1.0 - away.length_squared() / (REACH * REACH);
            if part > 0.0 {
                let weight = f64::from(cell.count) * part.powi(6);
                let slot = corners.entry(key(corner)).or_default();
                slot.weight += weight;
                if cell.ball {
                    let ball = away.length() - BALL;
                    slot.sum += weight * ball;
                    slot.ball = slot.ball.min(ball - REACH);
                } else {
                    slot.sum += weight * cell.normal.dot(away);
                }
            }
        }
    }
    corners
}

fn distance(corners: &Corners, corner: [i32; 3]) -> Option<(f64, bool)> {
    corners
        .get(&key(corner))
        .filter(|felt| felt.weight > 0.0)
        .map(Corner::distance)
}

/// The middle of the places where the surface crosses the cell's edges, and whether a ball has a
/// part in it; none if it does not pass.
fn vertex(corners: &Corners, at: [i32; 3]) -> Option<(Vec3, bool)> {
    let mut values = [0.0; 8];
    let mut by_ball = false;
    for (i, value) in values.iter_mut().enumerate() {
        let bit = |axis: usize| (i >> axis & 1) as i32;
        let (here, ball) = distance(corners, std::array::from_fn(|axis| at[axis] + bit(axis)))?;
        *value = here;
        by_ball |= ball;
    }
    let (mut sum, mut crossed) = (Vec3::ZERO, 0.0);
    for from in 0..8_usize {
        for axis in 0..3 {
            let to = from | 1 << axis;
            if to == from || (values[from] < 0.0) == (values[to] < 0.0) {
                continue;
            }
            let part = values[from] / (values[from] - values[to]);
            let mut place = Vec3::from_array(std::array::from_fn(|a| (from >> a & 1) as f64));
            place[axis] = part;
            sum += place;
            crossed += 1.0;
        }
    }
    (crossed > 0.0).then(|| (Vec3::from_array(at.map(f64::from)) + sum / crossed, by_ball))
}

/// Whether points hold the surface at a place: some are near, and not all to one side.
fn held(grid: &Grid, vertex: Vec3) -> bool {
    let at = vertex.floor().to_array().map(|c| c as i32);
    let (mut nearest, mut count) = (f64::INFINITY, 0.0);
    let (mut sum, mut normal) = (Vec3::ZERO, Vec3::ZERO);
    for index in block(at, AROUND as i32).filter_map(|place| grid.cell(place)) {
        let cell = &grid.cells[index];
        let away = cell.mean - vertex;
        let distance = away.length();
        if distance < AROUND {
            nearest = nearest.min(distance);
            count += 1.0;
            sum += away;
            normal += cell.normal;
        }
    }
    let normal = normal.normalize_or_zero();
    let beside = sum - normal * normal.dot(sum);
    nearest <= FARTHEST && beside.length() <= BESIDE * count
}

/// The two triangles across the edge from the low corner of a cell along `axis`, if the surface
/// crosses it.
fn quad(
    corners: &Corners,
    vertices: &Vertices,
    positions: &[Vec3],
    at: [i32; 3],
    axis: usize,
    triangles: &mut Vec<[u32; 3]>,
) {
    let step = |place: [i32; 3], along: usize, by: i32| {
        let mut place = place;
        place[along] += by;
        place
    };
    let (Some((from, _)), Some((to, _))) =
        (distance(corners, at), distance(corners, step(at, axis, 1)))
    else {
        return;
    };
    if (from < 0.0) == (to < 0.0) {
        return;
    }
    let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
    let back = step(at, b, -1);
    let around = [step(back, c, -1), step(at, c, -1), at, back];
    let mut ring = [0; 4];
    for (slot, place) in ring.iter_mut().zip(around) {
        match vertices.get(&key(place)) {
            Some(&vertex) => *slot = vertex,
            None => return,
        }
    }
    if from >= 0.0 {
        ring.reverse();
    }
    let [p, q, r, s] = ring.map(|i| positions[i as usize]);
    let [i, j, k, l] = ring;
    if p.distance_squared(r) <= q.distance_squared(s) {
        triangles.extend([[i, j, k], [i, k, l]]);
    } else {
        triangles.extend([[i, j, l], [j, k, l]]);
    }
}

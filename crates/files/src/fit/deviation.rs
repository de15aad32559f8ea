//! How far the points are from the surface fitted to them, and boxes round those that it misses.

use std::collections::BTreeMap;

use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;

use super::cells::{Grid, Sorted};
use crate::error::FileError;
use crate::progress::{Progress, step};

/// Points between two looks at whether to stop.
const BATCH: usize = 1 << 17;
/// Farthest a point that the surface follows may be from it, in cells.
const FOLLOWED: f64 = 0.9;
/// What the surface may miss a point by before its cell is taken as a ball, in cells.
const MISSED: f64 = 0.5;
/// Points looked at of a cell, to tell whether the surface misses it.
const OF_A_CELL: usize = 6;
/// What a box is larger than its points, in cells.
const AROUND_BOX: f64 = 0.05;

/// Marks the cells with points that the surface misses as balls; says whether there are any.
pub(super) fn mark_missed(sorted: &Sorted, grid: &mut Grid, mesh: &Mesh) -> bool {
    let stride = (sorted.points.len() / (OF_A_CELL * grid.cells.len().max(1))).max(1);
    let mut any = false;
    for &point in sorted.points.iter().step_by(stride) {
        let here = Vec3::from_array(point);
        if let Some(cell) = grid.cell(grid.around(here))
            && !grid.cells[cell].ball
            && mesh.nearest_to(here).distance(here) > MISSED * grid.size
        {
            grid.cells[cell].ball = true;
            any = true;
        }
    }
    any
}

/// What the distances of the points say. Lengths in the file's unit.
pub(super) struct Deviation {
    /// Points that the surface or a box follows.
    pub(super) followed: usize,
    /// The farthest of them.
    pub(super) largest: f64,
    /// Low and high corners of boxes round the points of cells that the surface misses.
    pub(super) boxes: Vec<[Vec3; 2]>,
    /// Points that no surface is near.
    pub(super) left_out: usize,
    /// One of those, the highest.
    pub(super) example: [f64; 3],
}

/// Measures every point against the surface.
pub(super) fn measure(
    sorted: &Sorted,
    grid: &Grid,
    mesh: &Mesh,
    progress: &dyn Progress,
) -> Result<Deviation, FileError> {
    let mut found = Deviation {
        followed: 0,
        largest: 0.0,
        boxes: Vec::new(),
        left_out: 0,
        example: [0.0, 0.0, f64::NEG_INFINITY],
    };
    let mut boxes: BTreeMap<usize, [Vec3; 2]> = BTreeMap::new();
    for (batch, points) in sorted.points.chunks(BATCH).enumerate() {
        let done = (batch * BATCH) as f64 / sorted.points.len() as f64;
        step(progress, done, "points against the surface")?;
        for &point in points {
            let here = Vec3::from_array(point);
            // Away from all cells nothing of the surface is near.
            let around = grid.around(here);
            let near = grid.touching(around).next().is_some();
            let distance = near.then(|| mesh.nearest_to(here).distance(here));
            if let Some(distance) = distance.filter(|&d| d <= FOLLOWED * grid.size) {
                found.followed += 1;
                found.largest = found.largest.max(distance);
            } else if let Some(cell) = grid.cell(around) {
                found.followed += 1;
                let [low, high] = boxes.entry(cell).or_insert([here; 2]);
                (*low, *high) = (low.min(here), high.max(here));
            } else {
                found.left_out += 1;
                if point[2] > found.example[2] {
                    found.example = point;
                }
            }
        }
    }
    let more = Vec3::splat(AROUND_BOX * grid.size);
    for [low, high] in boxes.into_values() {
        let (low, high) = (low - more, high + more);
        // A point inside is no farther from the box than half its least side.
        found.largest = found.largest.max(0.5 * (high - low).min_element());
        found.boxes.push([low, high]);
    }
    Ok(found)
}

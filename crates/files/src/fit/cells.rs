//! Points sorted along a curve that fills space, and gathered into the cells of a grid.

use std::collections::HashMap;

use foldhash::fast::FixedState;
use keelstead_geometry::math::{Mat3, Vec3};

use super::planes;

/// Steps along each axis of the finest grid, as a power of two.
const BITS: u32 = 20;
/// Most cells of a grid: about a million triangles.
const MOST_CELLS: usize = 400_000;
/// Fewer cells than this show no shape.
const LEAST_CELLS: usize = 60;
/// Points that half the cells must hold: with those around it a cell has a score, enough for a plane.
const LEAST_IN_CELL: u32 = 2;
/// Most noise, as part of a cell: else points at the same place fill several cells.
const MOST_NOISE: f64 = 0.2;
/// Least spread of points in the second direction, as part of a cell: a line has none.
const LEAST_SPREAD: f64 = 0.35;

/// Points in the order of their cells, for grids of every size at once.
pub(super) struct Sorted {
    /// The points, none twice.
    pub(super) points: Vec<[f64; 3]>,
    codes: Vec<u64>,
    low: Vec3,
    step: f64,
}

impl Sorted {
    /// Sorts `points`, which lie within `longest` of `low`.
    pub(super) fn new(mut points: Vec<[f64; 3]>, low: Vec3, longest: f64) -> Self {
        let step = longest / f64::from(1_u32 << BITS);
        let code = |point: &[f64; 3]| {
            let [x, y, z] = place(*point, low, step).map(spread);
            x | y << 1 | z << 2
        };
        points.sort_by_cached_key(code);
        for alike in points.chunk_by_mut(|a, b| code(a) == code(b)) {
            alike.sort_unstable_by(|a, b| {
                let by = |i: usize| a[i].total_cmp(&b[i]);
                by(0).then(by(1)).then(by(2))
            });
        }
        points.dedup();
        let codes = points.iter().map(code).collect();
        Self {
            points,
            codes,
            low,
            step,
        }
    }

    /// The points of each cell of the grid whose cells are `2^level` of the finest ones.
    fn runs(&self, level: u32) -> impl Iterator<Item = std::ops::Range<usize>> {
        let mut start = 0;
        self.codes
            .chunk_by(move |a, b| a >> (3 * level) == b >> (3 * level))
            .map(move |run| {
                let range = start..start + run.len();
                start = range.end;
                range
            })
    }
}

/// The cell of the finest grid that holds a point.
fn place(point: [f64; 3], low: Vec3, step: f64) -> [u32; 3] {
    let last = f64::from((1_u32 << BITS) - 1);
    ((Vec3::from_array(point) - low) / step)
        .to_array()
        .map(|c| c.clamp(0.0, last) as u32)
}

/// The bits of a number three apart.
fn spread(number: u32) -> u64 {
    let mut bits = u64::from(number);
    for (by, mask) in [
        (32, 0x001f_0000_0000_ffff),
        (16, 0x001f_0000_ff00_00ff),
        (8, 0x100f_00f0_0f00_f00f),
        (4, 0x10c3_0c30_c30c_30c3),
        (2, 0x1249_2492_4924_9249),
    ] {
        bits = (bits | bits << by) & mask;
    }
    bits
}

/// A cell that holds points. Places count in cells from the grid's low corner.
pub(super) struct Cell {
    /// Which cell.
    pub(super) at: [i32; 3],
    /// Points in it.
    pub(super) count: u32,
    /// Their mean.
    pub(super) mean: Vec3,
    /// Unit normal of the plane through the points here and around.
    pub(super) normal: Vec3,
    /// How far these points are from it, in cells: much where two skins are near each other.
    pub(super) noise: f64,
    /// Taken as a ball, because its plane does not tell where its points are.
    pub(super) ball: bool,
    /// Sums of the points and of their products, from the middle of the cell.
    sum: Vec3,
    products: Mat3,
}

impl Cell {
    fn new(points: &[[f64; 3]], low: Vec3, size: f64, at: [i32; 3]) -> Self {
        let middle = Vec3::from_array(at.map(|c| f64::from(c) + 0.5));
        let (mut sum, mut products) = (Vec3::ZERO, Mat3::ZERO);
        for &point in points {
            let here = (Vec3::from_array(point) - low) / size - middle;
            sum += here;
            products += outer(here, here);
        }
        Self {
            at,
            count: points.len() as u32,
            mean: middle + sum / points.len() as f64,
            normal: Vec3::ZERO,
            noise: 0.0,
            ball: false,
            sum,
            products,
        }
    }
}

fn outer(a: Vec3, b: Vec3) -> Mat3 {
    Mat3::from_cols(a * b.x, a * b.y, a * b.z)
}

/// Cells of one size with the points' means and planes.
pub(super) struct Grid {
    /// Edge of a cell, in the file's unit.
    pub(super) size: f64,
    /// The low corner.
    pub(super) low: Vec3,
    /// The cells that hold points.
    pub(super) cells: Vec<Cell>,
    index: HashMap<u64, u32, FixedState>,
}

impl Grid {
    /// The finest grid whose cells hold enough points that lie in a plane with those around; none if
    /// the points form no surface.
    pub(super) fn fitting(sorted: &Sorted) -> Option<Self> {
        for level in 1..BITS {
            let mut counts: Vec<u32> = sorted.runs(level).map(|run| run.len() as u32).collect();
            if counts.len() < LEAST_CELLS {
                return None;
            }
            let middle = counts.len() / 2;
            if counts.len() > MOST_CELLS || *counts.select_nth_unstable(middle).1 < LEAST_IN_CELL {
                continue;
            }
            let mut grid = Self::new(sorted, level);
            let (noise, spread) = planes::find(&mut grid);
            if noise <= MOST_NOISE && spread >= LEAST_SPREAD {
                return Some(grid);
            }
        }
        None
    }

    fn new(sorted: &Sorted, level: u32) -> Self {
        let (low, size) = (sorted.low, sorted.step * f64::from(1_u32 << level));
        let cells: Vec<Cell> = sorted
            .runs(level)
            .map(|run| {
                let at =
                    place(sorted.points[run.start], low, sorted.step).map(|c| (c >> level) as i32);
                Cell::new(&sorted.points[run], low, size, at)
            })
            .collect();
        let index = cells
            .iter()
            .enumerate()
            .map(|(i, cell)| (key(cell.at), i as u32))
            .collect();
        Self {
            size,
            low,
            cells,
            index,
        }
    }

    /// The index of the cell at a place.
    pub(super) fn cell(&self, at: [i32; 3]) -> Option<usize> {
        self.index.get(&key(at)).map(|&index| index as usize)
    }

    /// Whether the cell at a place, in or far out of the grid, holds points.
    pub(super) fn holds(&self, at: [i32; 3]) -> bool {
        at.iter().all(|c| (0..1 << BITS).contains(c)) && self.cell(at).is_some()
    }

    /// The cell a point lies in.
    pub(super) fn around(&self, point: Vec3) -> [i32; 3] {
        ((point - self.low) / self.size)
            .floor()
            .to_array()
            .map(|c| c as i32)
    }

    /// The cells that touch the one at `at`, itself included.
    pub(super) fn touching(&self, at: [i32; 3]) -> impl Iterator<Item = usize> {
        block(at, 1).filter_map(|place| self.cell(place))
    }

    /// Mean and covariance of the points in a cell and those that touch it, from its middle.
    pub(super) fn pooled(&self, cell: usize) -> Mat3 {
        let at = self.cells[cell].at;
        let (mut count, mut sum, mut products) = (0.0, Vec3::ZERO, Mat3::ZERO);
        for other in self.touching(at) {
            let other = &self.cells[other];
            let n = f64::from(other.count);
            let shift = Vec3::from_array(std::array::from_fn(|i| f64::from(other.at[i] - at[i])));
            count += n;
            sum += other.sum + shift * n;
            products += other.products
                + outer(shift, other.sum)
                + outer(other.sum, shift)
                + outer(shift, shift) * n;
        }
        let mean = sum / count;
        products * (1.0 / count) - outer(mean, mean)
    }

    /// Drops the cells of patches that hold fewer than `least` points; gives how many points those are.
    pub(super) fn drop_small(&mut self, patches: &[u32], least: u32) -> usize {
        let mut held = vec![0_u32; patches.iter().max().map_or(0, |&last| last as usize + 1)];
        for (&patch, cell) in patches.iter().zip(&self.cells) {
            held[patch as usize] += cell.count;
        }
        let mut patch = patches.iter();
        let mut loose = 0;
        self.cells.retain(|cell| {
            let small = patch
                .next()
                .is_some_and(|&patch| held[patch as usize] < least);
            if small {
                loose += cell.count as usize;
            }
            !small
        });
        self.index = self
            .cells
            .iter()
            .enumerate()
            .map(|(i, cell)| (key(cell.at), i as u32))
            .collect();
        loose
    }
}

/// A place as one number; places may lie a few cells outside the grid.
pub(super) fn key(at: [i32; 3]) -> u64 {
    at.iter().fold(0, |key, &c| key << 21 | (c + 16) as u64)
}

/// The places up to `reach` cells from `at` along each axis.
pub(super) fn block(at: [i32; 3], reach: i32) -> impl Iterator<Item = [i32; 3]> {
    let span = 2 * reach + 1;
    (0..span * span * span).map(move |i| {
        [
            at[0] + i % span - reach,
            at[1] + i / span % span - reach,
            at[2] + i / (span * span) - reach,
        ]
    })
}

//! The plane through each cell's neighbourhood, and which side of it is out.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use keelstead_geometry::math::{SymmetricEigen3, Vec3};

use super::cells::Grid;

/// Finds the plane of each cell. Gives the noise square to the planes and the spread along their
/// narrower way, both the middle of all cells' and as parts of a cell.
pub(super) fn find(grid: &mut Grid) -> (f64, f64) {
    let mut noise = Vec::with_capacity(grid.cells.len());
    let mut spread = Vec::with_capacity(grid.cells.len());
    for index in 0..grid.cells.len() {
        let eigen = SymmetricEigen3::new(grid.pooled(index));
        let normal = eigen.eigenvectors.x_axis.normalize_or(Vec3::Z);
        grid.cells[index].normal = if normal.is_finite() { normal } else { Vec3::Z };
        grid.cells[index].noise = eigen.eigenvalues.x.max(0.0).sqrt();
        noise.push(grid.cells[index].noise);
        spread.push(eigen.eigenvalues.y.max(0.0).sqrt());
    }
    (middle(&mut noise), middle(&mut spread))
}

fn middle(values: &mut [f64]) -> f64 {
    let at = values.len() / 2;
    *values.select_nth_unstable_by(at, f64::total_cmp).1
}

/// Turns the planes to agree; gives the patch of each cell, where patches do not touch.
///
/// From the outermost place of a patch on, the step that is surest comes first: between planes that
/// are alike, lie beside each other and hold one skin. Past a step that is not sure the plane looks
/// for itself which side is free: at a knife-edge both skins are in one plane, and neighbours mislead.
pub(super) fn orient(grid: &mut Grid) -> Vec<u32> {
    const NONE: u32 = u32::MAX;
    let mut noise: Vec<f64> = grid.cells.iter().map(|cell| cell.noise).collect();
    let usual = 1.5 * middle(&mut noise) + SECOND_SKIN;
    let mut patches = vec![NONE; grid.cells.len()];
    let mut next = 0;
    for start in 0..grid.cells.len() {
        if patches[start] != NONE {
            continue;
        }
        let members = spread(grid, start, next, &mut patches);
        next += 1;
        let (seed, way) = outermost(grid, &members);
        if grid.cells[seed].normal.dot(way) < 0.0 {
            grid.cells[seed].normal *= -1.0;
        }
        agree(grid, seed, members.len(), usual);
    }
    patches
}

/// The cells joined to `start`, marked as `patch`.
fn spread(grid: &Grid, start: usize, patch: u32, patches: &mut [u32]) -> Vec<usize> {
    patches[start] = patch;
    let mut members = vec![start];
    let mut done = 0;
    while done < members.len() {
        for other in grid.touching(grid.cells[members[done]].at) {
            if patches[other] != patch {
                patches[other] = patch;
                members.push(other);
            }
        }
        done += 1;
    }
    members
}

/// The outermost cell along an axis whose plane is squarest to it, and the way out.
fn outermost(grid: &Grid, members: &[usize]) -> (usize, Vec3) {
    let ways = [Vec3::X, Vec3::Y, Vec3::Z].map(|axis| [axis, -axis]);
    let mut best = (members[0], Vec3::Z, -1.0);
    for &way in ways.as_flattened() {
        let out = |cell: &usize| grid.cells[*cell].mean.dot(way);
        let far = members
            .iter()
            .copied()
            .max_by(|a, b| out(a).total_cmp(&out(b)));
        let far = far.unwrap_or(members[0]);
        let square = grid.cells[far].normal.dot(way).abs();
        if square > best.2 {
            best = (far, way, square);
        }
    }
    (best.0, best.1)
}

/// Costs of steps above this are unsure.
const SURE: f64 = 0.6;
/// Noise of a cell, beyond that usual in the cloud, that tells of a second skin.
const SECOND_SKIN: f64 = 0.1;
/// Farthest that is looked for something in the way, in cells.
const IN_SIGHT: usize = 1000;

/// Which side of a plane is free: positive if more ways from it out are on its normal's side.
fn freer(grid: &Grid, cell: usize) -> i32 {
    let cell = &grid.cells[cell];
    let (across, along) = cell.normal.any_orthonormal_pair();
    let ways = [Vec3::ZERO, across, -across, along, -along];
    let free = |out: Vec3| {
        let clear = |way: &&Vec3| {
            let step = (out + **way * 0.8).normalize() * 0.7;
            // The first two cells may hold this skin's own points.
            (3..IN_SIGHT).all(|n| {
                let place = (cell.mean + step * n as f64)
                    .floor()
                    .to_array()
                    .map(|c| c as i32);
                !grid.holds(place)
            })
        };
        ways.iter().filter(clear).count() as i32
    };
    free(cell.normal) - free(-cell.normal)
}

/// Turns every plane of a patch as its surest neighbour is, `seed` first; noise above `usual` tells of
/// a second skin.
fn agree(grid: &mut Grid, seed: usize, members: usize, usual: f64) {
    let mut turned = std::collections::HashSet::with_capacity_and_hasher(
        members,
        foldhash::fast::FixedState::default(),
    );
    let mut open = BinaryHeap::new();
    open.push(Reverse((0_u64, seed, seed)));
    while let Some(Reverse((cost, cell, from))) = open.pop() {
        if !turned.insert(cell) {
            continue;
        }
        if grid.cells[cell].normal.dot(grid.cells[from].normal) < 0.0 {
            grid.cells[cell].normal *= -1.0;
        }
        if f64::from_bits(cost) > SURE && freer(grid, cell) < 0 {
            grid.cells[cell].normal *= -1.0;
        }
        let here = &grid.cells[cell];
        for other in grid.touching(here.at) {
            if turned.contains(&other) {
                continue;
            }
            let there = &grid.cells[other];
            let way = (there.mean - here.mean).normalize_or_zero();
            let behind = way.dot(here.normal).abs() + way.dot(there.normal).abs();
            let skins = (here.noise - usual).max(0.0) + (there.noise - usual).max(0.0);
            let unsure = 1.0 - here.normal.dot(there.normal).abs() + 0.5 * behind + 4.0 * skins;
            open.push(Reverse((unsure.max(0.0).to_bits(), other, cell)));
        }
    }
}

//! All parts of a mesh file as one surface: positions welded within a hair, every triangle knowing
//! its part.

use std::collections::HashMap;

use foldhash::fast::FixedState;
use keelstead_geometry::math::Vec3;

use crate::mesh_file::MeshPart;

/// Positions nearer than this part of the size along every axis are one: ten micrometres over ten
/// metres, above the rounding of a single-precision file and below anything built.
const HAIR: f64 = 1e-6;

/// One surface, in the file's unit and axes until it is placed.
#[derive(Debug, Clone, Default)]
pub(super) struct Soup {
    pub positions: Vec<Vec3>,
    pub triangles: Vec<[u32; 3]>,
    /// Part of each triangle, as an index of `names`.
    pub part: Vec<u32>,
    pub names: Vec<String>,
}

/// What welding and cleaning removed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
pub struct Removed {
    /// Positions joined to one a hair away.
    pub positions_joined: usize,
    /// Triangles that had no area left, slivers included.
    pub slivers: usize,
    /// Triangles that stood there already, in either turn.
    pub duplicates: usize,
}

impl Soup {
    /// The parts of a file together.
    pub(super) fn new(parts: Vec<MeshPart>) -> (Self, Removed) {
        let mut soup = Self {
            positions: Vec::with_capacity(parts.iter().map(|p| p.positions.len()).sum()),
            triangles: Vec::with_capacity(parts.iter().map(|p| p.triangles.len()).sum()),
            part: Vec::new(),
            names: Vec::with_capacity(parts.len()),
        };
        for (index, part) in parts.into_iter().enumerate() {
            let base = soup.positions.len() as u32;
            let positions = part.positions.into_iter().map(Vec3::from_array);
            soup.positions.extend(positions);
            let shifted = part.triangles.iter().map(|t| t.map(|i| i + base));
            soup.triangles.extend(shifted);
            soup.part.resize(soup.triangles.len(), index as u32);
            soup.names.push(part.name);
        }
        let removed = soup.tidy();
        (soup, removed)
    }

    /// Welds, and drops what that left without area or twice.
    pub(super) fn tidy(&mut self) -> Removed {
        let joined = self.weld();
        self.clean(joined)
    }

    /// Keeps only the triangles that `keep` says, by index.
    pub(super) fn keep(&mut self, keep: impl Fn(usize) -> bool) {
        let kept: Vec<usize> = (0..self.triangles.len()).filter(|&i| keep(i)).collect();
        self.part = kept.iter().map(|&i| self.part[i]).collect();
        self.triangles = kept.iter().map(|&i| self.triangles[i]).collect();
        let mut new = vec![u32::MAX; self.positions.len()];
        let mut positions = Vec::new();
        for corner in self.triangles.iter_mut().flatten() {
            let slot = &mut new[*corner as usize];
            if *slot == u32::MAX {
                *slot = positions.len() as u32;
                positions.push(self.positions[*corner as usize]);
            }
            *corner = *slot;
        }
        self.positions = positions;
    }

    /// Least and greatest coordinates.
    pub(super) fn bounds(&self) -> [Vec3; 2] {
        let ends = [Vec3::splat(f64::INFINITY), Vec3::splat(f64::NEG_INFINITY)];
        self.positions
            .iter()
            .fold(ends, |[lo, hi], &p| [lo.min(p), hi.max(p)])
    }

    pub(super) fn corners(&self, triangle: usize) -> [Vec3; 3] {
        self.triangles[triangle].map(|i| self.positions[i as usize])
    }

    /// Joins positions that fall into the same or a touching cell of a grid a hair wide and lie a
    /// hair apart.
    fn weld(&mut self) -> usize {
        let [low, high] = self.bounds();
        let hair = (HAIR * (high - low).length()).max(f64::MIN_POSITIVE);
        let cell = |p: Vec3| ((p - low) / hair).to_array().map(|c| c.floor() as i64);
        let mut index: HashMap<[i64; 3], u32, FixedState> =
            HashMap::with_capacity_and_hasher(self.positions.len(), FixedState::default());
        let mut kept: Vec<Vec3> = Vec::with_capacity(self.positions.len());
        let of: Vec<u32> = self
            .positions
            .iter()
            .map(|&p| {
                let at = cell(p);
                let found = near_cells(p, low, hair, at)
                    .filter_map(|cell| index.get(&cell).copied())
                    .find(|&i| (kept[i as usize] - p).length() <= 0.5 * hair);
                found.unwrap_or_else(|| {
                    let new = kept.len() as u32;
                    index.insert(at, new);
                    kept.push(p);
                    new
                })
            })
            .collect();
        for corner in self.triangles.iter_mut().flatten() {
            *corner = of[*corner as usize];
        }
        let joined = self.positions.len() - kept.len();
        self.positions = kept;
        joined
    }

    /// Drops triangles that welding left without area, and all but one of those over the same three
    /// corners in the same part.
    fn clean(&mut self, positions_joined: usize) -> Removed {
        let given = self.triangles.len();
        let flat = |&[a, b, c]: &[u32; 3]| a == b || b == c || c == a;
        let slivers = self.triangles.iter().filter(|t| flat(t)).count();
        let mut keys: Vec<([u32; 3], u32)> = (0..given)
            .filter(|&i| !flat(&self.triangles[i]))
            .map(|i| {
                let mut key = self.triangles[i];
                key.sort_unstable();
                (key, i as u32)
            })
            .collect();
        keys.sort_unstable();
        let mut keep: Vec<u32> = keys
            .chunk_by(|a, b| a.0 == b.0)
            .map(|same| same[0].1)
            .collect();
        keep.sort_unstable();
        let at = |i: &u32| *i as usize;
        self.part = keep.iter().map(|i| self.part[at(i)]).collect();
        self.triangles = keep.iter().map(|i| self.triangles[at(i)]).collect();
        Removed {
            positions_joined,
            slivers,
            duplicates: given - slivers - self.triangles.len(),
        }
    }
}

/// The cells that hold positions within half a hair: the one the position is in and those across the
/// nearer face on each axis.
fn near_cells(p: Vec3, low: Vec3, hair: f64, at: [i64; 3]) -> impl Iterator<Item = [i64; 3]> {
    let within = ((p - low) / hair).to_array();
    let step: [i64; 3] = std::array::from_fn(|k| {
        if within[k] - within[k].floor() < 0.5 {
            -1
        } else {
            1
        }
    });
    (0..8).map(move |mask| {
        std::array::from_fn(|k| at[k] + if mask >> k & 1 == 1 { step[k] } else { 0 })
    })
}

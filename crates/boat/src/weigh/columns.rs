//! What overlapping shells enclose more than once, by upright columns.

use crate::hydrostatics::Sum;
use keelstead_geometry::math::{Aabb, Vec3};

/// Columns over the stretch where shells overlap.
const COLUMNS: f64 = 160_000.0;

/// What is enclosed more than once.
pub(super) struct Overlap {
    /// Volume, moments and waterplane that a plain sum counts too often, water frame.
    pub twice: Sum,
    /// How far the volume may be off, m³: what half the columns either way make of it.
    pub off_m3: f64,
}

/// What `shells` (1 for facing out or −1, bounds, triangles) enclose more than once below z = 0.
pub(super) fn overlap(
    shells: &[(f64, Aabb, &[u32])],
    corners: impl Fn(u32) -> [Vec3; 3],
) -> Overlap {
    let mut over: Option<[[f64; 2]; 2]> = None;
    let mut common = vec![false; shells.len()];
    for (i, (_, a, _)) in shells.iter().enumerate() {
        for (j, (_, b, _)) in shells.iter().enumerate().skip(i + 1) {
            let (lo, hi) = (a.mins.max(b.mins), a.maxs.min(b.maxs));
            if lo.cmplt(hi).all() {
                (common[i], common[j]) = (true, true);
                let [from, to] = over.unwrap_or([[lo.x, lo.y], [hi.x, hi.y]]);
                over = Some([
                    [from[0].min(lo.x), from[1].min(lo.y)],
                    [to[0].max(hi.x), to[1].max(hi.y)],
                ]);
            }
        }
    }
    let Some([from, to]) = over else {
        return Overlap {
            twice: Sum::default(),
            off_m3: 0.0,
        };
    };
    let triangles: Vec<(f64, [Vec3; 3])> = shells
        .iter()
        .zip(common)
        .filter(|(_, common)| *common)
        .flat_map(|((sign, _, triangles), _)| triangles.iter().map(|&t| (*sign, corners(t))))
        .collect();
    let count = |columns: f64| {
        let grid = Grid::over(from, to, columns);
        grid.counted_twice(&triangles)
    };
    let twice = count(COLUMNS);
    let off_m3 = (twice.volume - count(COLUMNS / 4.0).volume).abs();
    Overlap { twice, off_m3 }
}

/// Columns side by side.
struct Grid {
    from: [f64; 2],
    count: [usize; 2],
    width: [f64; 2],
}

impl Grid {
    fn over(from: [f64; 2], to: [f64; 2], columns: f64) -> Self {
        let size = [to[0] - from[0], to[1] - from[1]];
        let width = (size[0] * size[1] / columns).sqrt();
        let count = size.map(|s| ((s / width).ceil() as usize).clamp(1, columns as usize));
        Self {
            from,
            count,
            width: [size[0] / count[0] as f64, size[1] / count[1] as f64],
        }
    }

    /// Where a column stands: off its middle by a hair, so that none runs along the middle plane or
    /// an edge drawn on round figures.
    fn at(&self, axis: usize, index: usize) -> f64 {
        const HAIR: [f64; 2] = [0.001_37, 0.000_73];
        self.from[axis] + (index as f64 + 0.5 + HAIR[axis]) * self.width[axis]
    }

    /// The columns whose place along `axis` lies between two.
    fn between(&self, axis: usize, lo: f64, hi: f64) -> std::ops::Range<usize> {
        let index = |at: f64| ((at - self.from[axis]) / self.width[axis] - 0.5).max(0.0);
        let end = (index(hi) as usize).saturating_add(2).min(self.count[axis]);
        (index(lo) as usize).saturating_sub(1).min(end)..end
    }

    fn counted_twice(&self, triangles: &[(f64, [Vec3; 3])]) -> Sum {
        let mut crossings: Vec<(u32, f64, f64)> = Vec::new();
        for (sign, corners) in triangles {
            self.cross(*sign, corners, &mut crossings);
        }
        crossings.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let foot = self.width[0] * self.width[1];
        let mut sum = Sum::default();
        for column in crossings.chunk_by(|a, b| a.0 == b.0) {
            let index = column[0].0 as usize;
            let (x, y) = (
                self.at(0, index / self.count[1]),
                self.at(1, index % self.count[1]),
            );
            let mut depth = 0.0;
            let ends = column[1..].iter().map(|c| c.1).chain([0.0]);
            for (&(_, z, step), end) in column.iter().zip(ends) {
                depth += step;
                let more = depth - 1.0;
                if more < 0.5 {
                    continue;
                }
                let part = more * (end - z) * foot;
                sum.volume += part;
                sum.moment += Vec3::new(x, y, 0.5 * (z + end)) * part;
            }
            if depth > 1.5 {
                let part = (depth - 1.0) * foot;
                sum.area += part;
                sum.first = [sum.first[0] + x * part, sum.first[1] + y * part];
                sum.second = [sum.second[0] + x * x * part, sum.second[1] + y * y * part];
            }
        }
        sum
    }

    /// Notes where the columns under a triangle cross it below the water: +1 going up into its
    /// shell, −1 out of it.
    fn cross(&self, sign: f64, [a, b, c]: &[Vec3; 3], crossings: &mut Vec<(u32, f64, f64)>) {
        let area = (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
        if area == 0.0 {
            return;
        }
        let [lo, hi] = [a.min(*b).min(*c), a.max(*b).max(*c)];
        for i in self.between(0, lo.x, hi.x) {
            for j in self.between(1, lo.y, hi.y) {
                let (x, y) = (self.at(0, i), self.at(1, j));
                let share =
                    |p: &Vec3, q: &Vec3| ((q.x - p.x) * (y - p.y) - (x - p.x) * (q.y - p.y)) / area;
                let (wc, wa, wb) = (share(a, b), share(b, c), share(c, a));
                if wa >= 0.0 && wb >= 0.0 && wc >= 0.0 {
                    let z = wa * a.z + wb * b.z + wc * c.z;
                    if z < 0.0 {
                        let step = if area > 0.0 { -sign } else { sign };
                        crossings.push(((i * self.count[1] + j) as u32, z, step));
                    }
                }
            }
        }
    }
}

//! Extents and middles that tell one end of a boat from the other.

use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;

/// Breadths are taken in slices this part of the length or height thick.
const SLICE: f64 = 0.08;

/// A slice of a mesh square to an axis.
pub(super) struct Slab {
    k: usize,
    high_end: bool,
    from: f64,
}

impl Slab {
    /// The slab along axis `k` that begins this part of the size in from the low or the high end.
    pub(super) fn end(k: usize, high_end: bool, from: f64) -> Self {
        Self { k, high_end, from }
    }

    /// How far the mesh reaches along `of` within the slab.
    pub(super) fn extent(&self, mesh: &Mesh, of: usize) -> f64 {
        let k = self.k;
        let bounds = mesh.aabb();
        let size = bounds.extents()[k];
        let (start, stop) = (self.from * size, (self.from + SLICE) * size);
        let (from, to) = if self.high_end {
            (bounds.maxs[k] - stop, bounds.maxs[k] - start)
        } else {
            (bounds.mins[k] + start, bounds.mins[k] + stop)
        };
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        for triangle in mesh.triangles() {
            let corners = triangle.map(|i| mesh.vertices()[i as usize]);
            for i in 0..3 {
                let (a, b) = (corners[i], corners[(i + 1) % 3]);
                for end in clipped(a, b, k, from, to).into_iter().flatten() {
                    least = least.min(end[of]);
                    most = most.max(end[of]);
                }
            }
        }
        (most - least).max(0.0)
    }
}

/// The ends of the piece of a segment that lies between two heights along axis `k`.
fn clipped(a: Vec3, b: Vec3, k: usize, from: f64, to: f64) -> Option<[Vec3; 2]> {
    let (low, high) = if a[k] <= b[k] { (a, b) } else { (b, a) };
    if high[k] < from || low[k] > to {
        return None;
    }
    let rise = high[k] - low[k];
    let at = |level: f64| {
        if rise > 0.0 {
            low + (high - low) * ((level - low[k]) / rise).clamp(0.0, 1.0)
        } else {
            low
        }
    };
    Some([
        if low[k] < from { at(from) } else { low },
        if high[k] > to { at(to) } else { high },
    ])
}

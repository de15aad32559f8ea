//! Extents and middles that tell one end of a boat from the other.

use keelstead::math::Vec3;
use keelstead::mesh::Mesh;

/// Breadths are taken in slices this part of the length or height thick.
const SLICE: f64 = 0.08;

/// How far the mesh reaches along `of` within a slab at the low or high end of axis `k`.
pub(super) fn slab_extent(mesh: &Mesh, k: usize, high_end: bool, of: usize) -> f64 {
    let bounds = mesh.aabb();
    let thick = SLICE * bounds.extents()[k];
    let (from, to) = if high_end {
        (bounds.maxs[k] - thick, bounds.maxs[k])
    } else {
        (bounds.mins[k], bounds.mins[k] + thick)
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

/// Middle of the skin's area.
pub(super) fn area_centre(mesh: &Mesh) -> Vec3 {
    let (mut sum, mut area) = (Vec3::ZERO, 0.0);
    for triangle in mesh.triangles() {
        let [a, b, c] = triangle.map(|i| mesh.vertices()[i as usize]);
        let part = (b - a).cross(c - a).length();
        sum += (a + b + c) * (part / 3.0);
        area += part;
    }
    sum / area.max(f64::MIN_POSITIVE)
}

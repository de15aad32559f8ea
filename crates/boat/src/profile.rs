//! The hull seen from the side: how much of it the wind meets.
//!
//! The silhouette is the union of all triangles projected on the plane of length and height. It is
//! measured by upright lines at even stations: each triangle covers an interval of a line, and the
//! intervals' union is summed. That takes any mesh as it comes, open, crossing itself or doubled,
//! and a large scan in milliseconds, where a union of polygons would have to mend it first.

use serde::{Deserialize, Serialize};

use crate::hull::HullPart;
use keelstead_geometry::math::{Aabb, Point, Vec3};

/// Upright lines over the hull's length.
const LINES: usize = 512;

/// Lateral profile of a hull. Hull frame.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Profile {
    /// Area of the silhouette, m².
    pub area_m2: f64,
    /// Its centroid, on the middle plane.
    pub centroid: Point,
}

impl Profile {
    /// The profile of those of `parts` that count for size, within `bounds`.
    pub fn of(parts: &[HullPart], bounds: &Aabb) -> Self {
        let step = (bounds.maxs.x - bounds.mins.x) / LINES as f64;
        if step.is_nan() || step <= 0.0 {
            return Self::default();
        }
        let line = |i: usize| bounds.mins.x + (i as f64 + 0.5) * step;
        let mut cuts: Vec<Vec<(f64, f64)>> = vec![Vec::new(); LINES];
        for part in parts.iter().filter(|part| part.part_use.in_size()) {
            let vertices = part.mesh.vertices();
            for corners in part.mesh.triangles() {
                let t = corners.map(|i| vertices[i as usize]);
                let (lo, hi) = t
                    .iter()
                    .fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v.x), h.max(v.x)));
                let first = ((lo - bounds.mins.x) / step - 0.5).ceil().max(0.0) as usize;
                for (i, cut) in cuts.iter_mut().enumerate().skip(first) {
                    let x = line(i);
                    if x > hi {
                        break;
                    }
                    cut.extend(covered(&t, x));
                }
            }
        }
        let (mut area, mut moment) = (0.0, Vec3::ZERO);
        for (i, cut) in cuts.iter_mut().enumerate() {
            cut.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
            let mut top = f64::NEG_INFINITY;
            for &(low, high) in cut.iter() {
                let low = low.max(top);
                if high > low {
                    let piece = (high - low) * step;
                    area += piece;
                    moment += Vec3::new(line(i), 0.0, (low + high) / 2.0) * piece;
                }
                top = top.max(high);
            }
        }
        if area > 0.0 {
            Self {
                area_m2: area,
                centroid: (moment / area).into(),
            }
        } else {
            Self::default()
        }
    }
}

/// The heights a triangle covers on the upright line at `x`.
fn covered(triangle: &[Vec3; 3], x: f64) -> Option<(f64, f64)> {
    let (mut low, mut high) = (f64::MAX, f64::MIN);
    for (a, b) in [(0, 1), (1, 2), (2, 0)].map(|(i, j)| (triangle[i], triangle[j])) {
        if (a.x <= x) != (b.x <= x) {
            let z = a.z + (b.z - a.z) * (x - a.x) / (b.x - a.x);
            (low, high) = (low.min(z), high.max(z));
        }
    }
    (high >= low).then_some((low, high))
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::hull::{PartKind, PartUse};
    use keelstead_geometry::mesh::Mesh;
    use keelstead_geometry::solids::cuboid;

    fn profile(meshes: Vec<Mesh>) -> Profile {
        let parts: Vec<HullPart> = meshes
            .into_iter()
            .enumerate()
            .map(|(i, mesh)| HullPart {
                name: format!("part {i}"),
                kind: PartKind::Body,
                part_use: PartUse::Checked,
                mesh: Arc::new(mesh),
            })
            .collect();
        let points = parts.iter().flat_map(|p| p.mesh.vertices().iter().copied());
        let bounds = Aabb::from_points(points);
        Profile::of(&parts, &bounds)
    }

    #[test]
    fn what_lies_behind_something_else_adds_nothing() {
        // By hand: 4 x 2 with a quarter of it again behind, and 1 x 1 on top.
        let found = profile(vec![
            cuboid([0.0, -1.0, 0.0], [4.0, 1.0, 2.0]),
            cuboid([1.0, -2.0, 0.5], [2.0, 2.0, 1.5]),
            cuboid([1.0, -0.5, 1.0], [2.0, 0.5, 3.0]),
        ]);
        assert!((found.area_m2 - 9.0).abs() < 1e-9, "{found:?}");
        let z = (8.0 * 1.0 + 1.0 * 2.5) / 9.0;
        assert!((found.centroid.z_m - z).abs() < 1e-9, "{found:?}");
        assert!((found.centroid.x_m - (8.0 * 2.0 + 1.5) / 9.0).abs() < 1e-9);
    }

    #[test]
    fn a_triangle_is_measured_to_a_thousandth() {
        let corners = [
            Vec3::ZERO,
            Vec3::new(3.0, 0.2, 0.0),
            Vec3::new(1.0, 0.0, 2.0),
        ];
        let mesh = Mesh::new(corners.to_vec(), vec![[0, 1, 2]]).ok();
        let found = profile(mesh.into_iter().collect());
        assert!((found.area_m2 - 3.0).abs() < 3e-3, "{found:?}");
    }
}

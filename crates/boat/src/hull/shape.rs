//! How far a hull's surface may be from the real boat's, by place: a surface fitted to points or measures is known where
//! it was measured and less so between.

use super::{Hull, HullPart};
use keelstead_geometry::math::Vec3;
use keelstead_units::fields::FieldProblem;

/// For each part, in the hull's order, a distance in metres for each vertex of its mesh.
pub type ByVertex = Vec<Vec<f32>>;

/// No surface that is farther off than this is a boat's, m.
const MOST_M: f64 = 1.0;

impl Hull {
    /// The same boat with her shape tolerance given by place: for each part, in order, metres at each vertex of its mesh,
    /// even between the corners of a triangle at the greatest of them. [`Hull::shape_tolerance_m`] becomes the greatest
    /// of all.
    ///
    /// # Errors
    /// Lists that fit neither parts nor vertices, or a distance that is negative, over a metre or not a number.
    pub fn with_shape_tolerances(
        mut self,
        by_vertex_m: Vec<Vec<f32>>,
    ) -> Result<Self, FieldProblem> {
        let problem = |found: String, expected: String| FieldProblem {
            path: "shape_tolerances".into(),
            found,
            expected,
            range: None,
        };
        if by_vertex_m.len() != self.parts.len() {
            return Err(problem(
                format!("{} lists", by_vertex_m.len()),
                format!("one for each of {} parts", self.parts.len()),
            ));
        }
        for (part, list) in self.parts.iter().zip(&by_vertex_m) {
            let vertices = part.mesh.vertices().len();
            if list.len() != vertices {
                return Err(problem(
                    format!("{} figures for part \"{}\"", list.len(), part.name),
                    format!("one for each of its {vertices} vertices"),
                ));
            }
            if let Some(bad) = list.iter().find(|m| !(0.0..=MOST_M as f32).contains(*m)) {
                return Err(problem(
                    format!("{bad} m for part \"{}\"", part.name),
                    format!("a number from 0 to {MOST_M}"),
                ));
            }
        }
        let all = by_vertex_m.iter().flatten();
        self.shape_tolerance_m = all.fold(0.0, |most, m| f64::from(*m).max(most));
        self.shape_by_vertex_m = Some(by_vertex_m);
        Ok(self)
    }

    /// The farthest that any of a part's surface may be off, m.
    pub fn shape_tolerance_of_part(&self, part: usize) -> f64 {
        match self
            .shape_by_vertex_m
            .as_ref()
            .and_then(|all| all.get(part))
        {
            Some(list) => list.iter().fold(0.0, |most, m| f64::from(*m).max(most)),
            None => self.shape_tolerance_m,
        }
    }

    /// How far a part's surface may be off at its place nearest to a point of the hull's frame, m.
    pub fn shape_tolerance_at(&self, part: usize, point: Vec3) -> f64 {
        let by_vertex = self
            .shape_by_vertex_m
            .as_ref()
            .and_then(|all| all.get(part));
        let (Some(list), Some(part)) = (by_vertex, self.parts.get(part)) else {
            return self.shape_tolerance_m;
        };
        let corners = part.mesh.triangles()[part.mesh.nearest_triangle(point) as usize];
        let at = corners.map(|v| {
            list.get(v as usize)
                .map_or(self.shape_tolerance_m, |m| f64::from(*m))
        });
        at.into_iter().fold(0.0, f64::max)
    }

    /// The same for whatever may bear on a block nearest to a point of the hull's frame, m.
    pub fn shape_tolerance_under(&self, point: Vec3) -> f64 {
        if self.shape_by_vertex_m.is_none() {
            return self.shape_tolerance_m;
        }
        let apart = |part: &HullPart| (part.mesh.nearest_to(point) - point).length();
        let bearing = self.parts.iter().enumerate().filter(|(_, p)| p.may_bear());
        let nearest = bearing.min_by(|a, b| apart(a.1).total_cmp(&apart(b.1)));
        nearest.map_or(self.shape_tolerance_m, |(i, _)| {
            self.shape_tolerance_at(i, point)
        })
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::hull::{HullFacts, PartKind, PartUse};
    use keelstead_geometry::solids::cuboid;

    fn hull() -> Hull {
        let part = |name: &str, z: f64| HullPart {
            name: name.into(),
            kind: PartKind::Body,
            part_use: PartUse::Checked,
            mesh: Arc::new(cuboid([0.0, -1.0, z], [8.0, 1.0, z + 1.0])),
        };
        let facts = HullFacts {
            shape_tolerance_m: 0.02,
            ..HullFacts::default()
        };
        Hull::new("boat", vec![part("low", 0.0), part("high", 2.0)], facts).unwrap()
    }

    #[test]
    fn what_is_said_by_place_is_read_by_place() {
        // A box's corners are numbered with x as the lowest bit: the forward ones are odd.
        let known_forward = |i: usize| if i % 2 == 1 { 0.005 } else { 0.1 };
        let by_vertex = vec![(0..8).map(known_forward).collect(), vec![0.03; 8]];
        let hull = hull();
        assert_eq!(hull.shape_tolerance_at(0, Vec3::ZERO), 0.02);
        let hull = hull.with_shape_tolerances(by_vertex).unwrap();
        assert!((hull.shape_tolerance_m - 0.1).abs() < 1e-6);
        let bow = hull.shape_tolerance_at(0, Vec3::new(9.0, 0.3, 0.5));
        assert!((bow - 0.005).abs() < 1e-6, "{bow}");
        let bottom = hull.shape_tolerance_under(Vec3::new(4.0, 0.2, -1.0));
        assert!((bottom - 0.1).abs() < 1e-6, "{bottom}");
        assert!((hull.shape_tolerance_of_part(1) - 0.03).abs() < 1e-6);
    }

    #[test]
    fn nonsense_is_refused_with_its_place() {
        let refused = |by_vertex| hull().with_shape_tolerances(by_vertex).unwrap_err();
        assert!(refused(vec![vec![0.1; 8]]).expected.contains("2 parts"));
        assert!(
            refused(vec![vec![0.1; 8], vec![0.1; 7]])
                .found
                .contains("high")
        );
        for bad in [-0.1, f32::NAN, 2.0] {
            assert!(
                refused(vec![vec![bad; 8], vec![0.1; 8]])
                    .found
                    .contains("low")
            );
        }
    }
}

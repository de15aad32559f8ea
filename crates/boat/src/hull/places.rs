//! Places of a hull that a crew finds on the boat and can hold a tape to.

use super::{Hull, PartKind};
use keelstead_geometry::math::{Point, Vec3};

/// A place with what a reader would call it.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedPlace {
    /// What it is: "stem head".
    pub name: String,
    /// Where it is, hull frame.
    pub at: Point,
}

/// Points of the body no farther than this from its end, as a share of its length, are at that end.
const END: f64 = 0.01;

impl Hull {
    /// Places to measure a height at: stem head, top of the stern, the keel under each mark that has a station, and the
    /// lowest point of each place to keep off. Bow first; marks in their order.
    pub fn named_places(&self) -> Vec<NamedPlace> {
        let mut places = Vec::new();
        for (name, forward) in [("stem head", true), ("top of the stern", false)] {
            places.extend(self.end_of_body(forward).map(|at| NamedPlace {
                name: name.into(),
                at: at.into(),
            }));
        }
        let slings = (self.marks.lifting_marks.iter()).map(|m| (m.name.as_str(), m.x_m));
        let strong = (self.marks.strong_stations.iter()).map(|m| (m.name.as_str(), m.x_m));
        for (name, x_m) in slings.chain(strong) {
            places.extend(self.keel_under(x_m).map(|at| NamedPlace {
                name: match name.trim() {
                    "" => "keel under a bulkhead".into(),
                    name => format!("keel under {name}"),
                },
                at: at.into(),
            }));
        }
        places.extend(self.marks.keep_offs.iter().map(|zone| {
            let (lo, hi) = (zone.min.vec(), zone.max.vec());
            let middle = (lo + hi) / 2.0;
            NamedPlace {
                name: zone.name.clone(),
                at: Vec3::new(middle.x, middle.y, lo.z).into(),
            }
        }));
        places
    }

    /// The highest point of the body at its bow, or at its stern.
    fn end_of_body(&self, forward: bool) -> Option<Vec3> {
        let bounds = self.body_bounds();
        let within_m = END * bounds.extents().x;
        let bodies = self.parts.iter().filter(|p| p.kind == PartKind::Body);
        let vertices = bodies.flat_map(|part| part.mesh.vertices());
        vertices
            .copied()
            .filter(|v| match forward {
                true => v.x >= bounds.maxs.x - within_m,
                false => v.x <= bounds.mins.x + within_m,
            })
            .max_by(|a, b| a.z.total_cmp(&b.z))
    }

    fn keel_under(&self, x_m: f64) -> Option<Vec3> {
        let lowest = self
            .bearing_parts()
            .filter_map(|part| part.mesh.lowest_surface(x_m, 0.0));
        let z_m = lowest.reduce(f64::min)?;
        Some(Vec3::new(x_m, 0.0, z_m))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::hull::{HullFacts, HullPart, LiftingMark, Marks, PartUse};
    use keelstead_geometry::solids::cuboid;

    #[test]
    fn ends_are_told_by_their_top_and_marks_by_the_keel_under_them() {
        let part = |name: &str, kind, from, to| HullPart {
            name: name.into(),
            kind,
            part_use: PartUse::Checked,
            mesh: Arc::new(cuboid(from, to)),
        };
        let parts = vec![
            part("body", PartKind::Body, [0.0, -1.0, 1.0], [8.0, 1.0, 2.5]),
            part("keel", PartKind::Keel, [2.0, -0.1, 0.0], [5.0, 0.1, 1.2]),
            part("mast", PartKind::Mast, [-1.0, -0.1, 2.5], [9.0, 0.1, 3.0]),
        ];
        let sling = |name: &str, x_m| LiftingMark {
            name: name.into(),
            x_m,
        };
        let marks = Marks {
            lifting_marks: vec![
                sling("SLING fore", 6.0),
                sling("SLING aft", 3.0),
                sling("off", 40.0),
            ],
            ..Marks::default()
        };
        let facts = HullFacts {
            marks,
            ..HullFacts::default()
        };
        let hull = Hull::new("boat", parts, facts).unwrap();
        let places = hull.named_places();
        let at = |name: &str| places.iter().find(|p| p.name == name).map(|p| p.at);
        let bow = at("stem head").unwrap();
        assert_eq!((bow.x_m, bow.z_m), (8.0, 2.5));
        let stern = at("top of the stern").unwrap();
        assert_eq!((stern.x_m, stern.z_m), (0.0, 2.5));
        assert_eq!(at("keel under SLING fore"), Some(Point::new(6.0, 0.0, 1.0)));
        assert_eq!(at("keel under SLING aft"), Some(Point::new(3.0, 0.0, 0.0)));
        assert_eq!(at("keel under off"), None);
    }
}

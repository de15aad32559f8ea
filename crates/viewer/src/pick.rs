//! What lies under a ray: the engine's own shapes, asked by the engine's own queries.

use keelstead::findings::Findings;
use keelstead_boat::hull::Hull;
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_geometry::shape::Shape;
use keelstead_workbench::Session;

use crate::camera::Sight;
use crate::convert;

/// What was hit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Target {
    /// A hull part, by its index in the hull.
    Hull(usize),
    /// A rig part, by its index in the findings.
    Rig(usize),
}

/// Where a ray meets something.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// What it meets.
    pub target: Target,
    /// How far from the ray's start, m.
    pub distance_m: f64,
    /// Where. Trailer frame.
    pub at: Vec3,
}

/// A ray of the trailer frame.
#[derive(Debug, Clone, Copy)]
pub struct Ray {
    /// Where it starts.
    pub origin: Vec3,
    /// Where it goes, length 1.
    pub direction: Vec3,
}

/// What of the hull is drawn, and so can be hit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn {
    /// Where it is cut; none draws it all.
    pub cut: Option<Cut>,
    /// Whether the hull is there at all; a hull faded to nothing lets the ray through.
    pub visible: bool,
}

/// A cut through the hull: the half on the eye's side is left out, so that the section shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// Where, m forward of the hull's origin.
    pub station_m: f64,
    /// Whether what lies ahead is left out; else what lies aft.
    pub without_ahead: bool,
}

impl Cut {
    /// The cut of the session's view as seen from where the eye is.
    pub fn of(session: &Session, sight: &Sight) -> Option<Self> {
        let station_m = session.drawn_cut_m()?;
        let (_, trailer_from_hull) = session.drawn_hull()?;
        let hull_from_trailer = trailer_from_hull.inverse();
        let eye = hull_from_trailer * convert::engine_vec3(sight.orbit.eye());
        Some(Self {
            station_m,
            without_ahead: eye.x >= station_m,
        })
    }

    /// Whether a point at this station is still drawn.
    pub fn keeps(&self, x_m: f64) -> bool {
        x_m == self.station_m || (x_m < self.station_m) == self.without_ahead
    }
}

/// How often a ray may pass a part of the hull that is cut away.
const PASSES: usize = 16;
/// How far behind a surface the ray goes on, m.
const STEP_M: f64 = 1e-4;

/// The nearest thing the ray meets; the ground is never one.
pub fn pick(hull: &Hull, findings: &Findings, drawn: Drawn, ray: Ray) -> Option<Hit> {
    let on_hull = pick_hull(hull, &findings.trailer_from_hull.pose(), drawn, ray);
    let on_hull = on_hull.map(|hit| (hit.target, hit.distance_m));
    let on_rig = findings
        .rig_parts
        .iter()
        .enumerate()
        .filter_map(|(index, part)| {
            let local = ray.seen_from(&part.trailer_from_part.pose());
            Some((Target::Rig(index), cast_on_shape(&part.shape, local)?))
        });
    nearest(on_hull.into_iter().chain(on_rig), ray)
}

/// The nearest part of a hull that the ray meets, the hull standing at `trailer_from_hull`.
pub fn pick_hull(hull: &Hull, trailer_from_hull: &Pose, drawn: Drawn, ray: Ray) -> Option<Hit> {
    let in_hull = ray.seen_from(trailer_from_hull);
    let parts = hull.parts.iter().enumerate();
    let hits = parts.filter(|_| drawn.visible).filter_map(|(index, part)| {
        let distance_m = cast_on_part(part.mesh.as_ref(), in_hull, drawn.cut)?;
        Some((Target::Hull(index), distance_m))
    });
    nearest(hits, ray)
}

fn nearest(hits: impl Iterator<Item = (Target, f64)>, ray: Ray) -> Option<Hit> {
    hits.min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(target, distance_m)| Hit {
            target,
            distance_m,
            at: ray.origin + ray.direction * distance_m,
        })
}

impl Ray {
    /// The same ray in the frame that `outer_from_inner` places.
    fn seen_from(&self, outer_from_inner: &Pose) -> Self {
        let back = outer_from_inner.inverse();
        Self {
            origin: back * self.origin,
            direction: back.rotation * self.direction,
        }
    }
}

/// Distance to the first surface that is drawn.
fn cast_on_part(mesh: &keelstead_geometry::mesh::Mesh, ray: Ray, cut: Option<Cut>) -> Option<f64> {
    let mut gone_m = 0.0;
    for _ in 0..PASSES {
        let hit = mesh.cast_ray(ray.origin + ray.direction * gone_m, ray.direction)?;
        let distance_m = gone_m + hit.distance;
        let x_m = ray.origin.x + ray.direction.x * distance_m;
        if cut.is_none_or(|cut| cut.keeps(x_m)) {
            return Some(distance_m);
        }
        gone_m = distance_m + STEP_M;
    }
    None
}

/// Distance to a box or cylinder from outside; none from inside, past it, or for the ground.
fn cast_on_shape(shape: &Shape, ray: Ray) -> Option<f64> {
    match *shape {
        Shape::Ground => None,
        Shape::Box { half } => {
            let half = half.vec();
            let (enter, leave) = [0, 1, 2]
                .map(|i| slab(ray.origin[i], ray.direction[i], half[i]))
                .into_iter()
                .fold((f64::NEG_INFINITY, f64::INFINITY), |(e, l), (from, to)| {
                    (e.max(from), l.min(to))
                });
            (enter <= leave && enter > 0.0).then_some(enter)
        }
        Shape::Cylinder {
            half_length_m,
            radius_m,
        } => {
            let (o, d) = (ray.origin, ray.direction);
            let (from, to) = slab(o.y, d.y, half_length_m);
            let a = d.x * d.x + d.z * d.z;
            let b = o.x * d.x + o.z * d.z;
            let c = o.x * o.x + o.z * o.z - radius_m * radius_m;
            let (in_round, out_round) = if a <= f64::EPSILON {
                let inside = c <= 0.0;
                if inside {
                    (f64::NEG_INFINITY, f64::INFINITY)
                } else {
                    (1.0, 0.0)
                }
            } else {
                let root = (b * b - a * c).sqrt();
                // Missing the round gives NaN, which fails the comparison below.
                ((-b - root) / a, (-b + root) / a)
            };
            let missed = in_round.is_nan() || in_round > out_round;
            let enter = from.max(in_round);
            (!missed && enter <= to.min(out_round) && enter > 0.0).then_some(enter)
        }
    }
}

/// Where a ray's coordinate lies between −`half` and `half`.
fn slab(origin: f64, direction: f64, half: f64) -> (f64, f64) {
    if direction.abs() <= f64::EPSILON {
        return if origin.abs() <= half {
            (f64::NEG_INFINITY, f64::INFINITY)
        } else {
            (f64::INFINITY, f64::NEG_INFINITY)
        };
    }
    let (a, b) = ((-half - origin) / direction, (half - origin) / direction);
    (a.min(b), a.max(b))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use keelstead_geometry::math::Point;

    fn ray(origin: [f64; 3], toward: [f64; 3]) -> Ray {
        let origin = Vec3::from_array(origin);
        Ray {
            origin,
            direction: (Vec3::from_array(toward) - origin).normalize(),
        }
    }

    #[test]
    fn a_box_is_hit_on_its_near_face_and_missed_beside_it() {
        let shape = Shape::Box {
            half: Point::new(1.0, 2.0, 0.5),
        };
        let hit = cast_on_shape(&shape, ray([5.0, 1.5, 0.2], [0.0, 1.5, 0.2])).unwrap();
        assert!((hit - 4.0).abs() < 1e-12);
        assert!(cast_on_shape(&shape, ray([5.0, 2.1, 0.2], [0.0, 2.1, 0.2])).is_none());
        assert!(cast_on_shape(&shape, ray([5.0, 0.0, 0.0], [9.0, 0.0, 0.0])).is_none());
    }

    #[test]
    fn a_cylinder_is_hit_on_its_round_and_on_its_end() {
        let shape = Shape::Cylinder {
            half_length_m: 0.15,
            radius_m: 0.5,
        };
        let round = cast_on_shape(&shape, ray([3.0, 0.1, 0.0], [0.0, 0.1, 0.0])).unwrap();
        assert!((round - 2.5).abs() < 1e-12);
        let end = cast_on_shape(&shape, ray([0.2, 3.0, 0.3], [0.2, 0.0, 0.3])).unwrap();
        assert!((end - 2.85).abs() < 1e-12);
        assert!(cast_on_shape(&shape, ray([0.6, 3.0, 0.3], [0.6, 0.0, 0.3])).is_none());
        assert!(cast_on_shape(&shape, ray([3.0, 0.1, 0.6], [0.0, 0.1, 0.6])).is_none());
    }
}

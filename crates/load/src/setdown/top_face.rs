//! What of a hull stands over a top face.

use parry3d_f64::shape::Triangle;

use crate::rig_parts::TopFace;
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_geometry::mesh::tree::Node;
use keelstead_geometry::polygon::Polygon;

/// A top face under a hull that stands at a pose.
#[derive(Debug, Clone, Copy)]
pub struct TopFaceQuery<'a> {
    /// The face.
    pub face: &'a TopFace,
    frame_from_hull: &'a Pose,
    /// Fore and aft and athwart, hull frame.
    along: Vec3,
    across: Vec3,
    /// Height over the face as a plane over hull coordinates: `up` and what it is at the origin.
    up: Vec3,
    base_m: f64,
}

impl<'a> TopFaceQuery<'a> {
    /// What lies over a face of the frame, with the hull at a pose.
    pub fn new(face: &'a TopFace, frame_from_hull: &'a Pose) -> Self {
        let hull_from_frame = frame_from_hull.rotation.inverse();
        let from = frame_from_hull.translation - face.middle;
        Self {
            face,
            frame_from_hull,
            along: hull_from_frame * Vec3::X,
            across: hull_from_frame * Vec3::Y,
            up: hull_from_frame * Vec3::new(-face.slope, 0.0, 1.0),
            base_m: from.z - face.slope * from.x,
        }
    }

    /// What nothing in the node stands lower over the face than, m; infinite for one beside it.
    pub fn least_m(&self, node: &Node) -> f64 {
        let (middle, half) = node.middle_and_half();
        let from = self.frame_from_hull.translation - self.face.middle;
        let beside = |way: Vec3, from: f64, face_half: f64| {
            (middle.dot(way) + from).abs() > half.dot(way.abs()) + face_half
        };
        if beside(self.along, from.x, self.face.half_length_m)
            || beside(self.across, from.y, self.face.half_width_m)
        {
            return f64::INFINITY;
        }
        self.base_m - node.reach(-self.up)
    }

    /// Height over the face, or over its plane beside it, of the lowest corner of a triangle of the
    /// hull, m.
    pub fn lowest_corner_m(&self, triangle: &Triangle) -> f64 {
        let [p, q, r] = [triangle.a, triangle.b, triangle.c].map(|v| self.up.dot(v));
        p.min(q).min(r) + self.base_m
    }

    /// Height over the face of a point in frame coordinates, m.
    pub fn over_m(&self, p: Vec3) -> f64 {
        let middle = self.face.middle;
        p.z - middle.z - self.face.slope * (p.x - middle.x)
    }

    /// What of a triangle of the hull stands over the face. Frame coordinates.
    pub fn piece(&self, triangle: &Triangle) -> Polygon {
        let corners = [triangle.a, triangle.b, triangle.c].map(|v| *self.frame_from_hull * v);
        let mut piece = Polygon::triangle(&corners);
        let (middle, half) = (
            self.face.middle,
            [self.face.half_length_m, self.face.half_width_m],
        );
        for axis in [0, 1] {
            let (low, high) = (middle[axis] - half[axis], middle[axis] + half[axis]);
            if !(piece.cut(|p| p[axis] - low) && piece.cut(|p| high - p[axis])) {
                break;
            }
        }
        piece
    }
}

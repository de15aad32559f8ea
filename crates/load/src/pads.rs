//! Pads run out along their stroke until they touch the hull. They steady it and carry nothing.

use parry3d_f64::query::{self, ClosestPoints, PointQuery};
use parry3d_f64::shape::{Cuboid, Triangle};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::load::{PadSetting, Reach};
use crate::rig::PadMount;
use crate::rig_parts::{RigPart, RigPartKind};
use crate::rig_parts::{pad_arm, part};
use keelstead_boat::hull::{Hull, HullPart};
use keelstead_geometry::math::{Point, Pose, Rot3, Vec3};
use keelstead_geometry::mesh::Mesh;
use keelstead_geometry::mesh::tree::{Node, Search};
use keelstead_geometry::shape::Shape;

/// A pad as it stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Pad {
    /// The pad's name.
    pub name: String,
    /// Whether it is in use.
    pub state: PadState,
    /// Distance from pivot to pad face, m.
    pub reach_m: f64,
    /// Point of the hull it touches. Trailer frame.
    pub contact: Option<Point>,
    /// Angle between pad face and hull at the contact, rad.
    pub face_angle_rad: Option<f64>,
}

/// What became of a pad.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PadState {
    /// Not in use.
    Stowed,
    /// Touches the hull.
    Touching,
    /// Set short of the hull.
    Short,
    /// Set so far out that it would press into the hull.
    Pressing,
    /// Run out as far as it goes without touching.
    OutOfReach,
}

/// A pad as it stands, with its parts for drawing and clearance.
#[derive(Debug, Clone)]
pub struct StandingPad {
    /// What is shown.
    pub pad: Pad,
    /// The hull part it met first, by index.
    pub hull_part: Option<usize>,
    /// Reach at which it meets the hull or would if it ran out so far, m; none where nothing is in its way.
    pub meets_m: Option<f64>,
    /// Outward normal of the hull where it touches. Hull frame.
    pub normal: Option<Vec3>,
    /// How far its face is turned off the arm's axis to lie against the hull, rad.
    pub turned_rad: f64,
    /// Unit vector along its arm, from pivot to face. Trailer frame.
    pub direction: Vec3,
    /// Pad, arm and post. Trailer frame.
    pub parts: Vec<RigPart>,
}

impl StandingPad {
    /// Middle of the pad's face. Trailer frame.
    pub fn face_middle(&self) -> Option<Vec3> {
        let pad = self.parts.first()?;
        let Shape::Box { half } = pad.shape else {
            return None;
        };
        let pose = pad.trailer_from_part.pose();
        let out = pose.rotation * Vec3::Y;
        let out = out * out.dot(self.direction).signum();
        Some(pose.translation + out * half.y_m)
    }
}

/// Runs one pad out as it is set. `None` for the setting means stowed.
pub fn stand(
    hull: &Hull,
    mount: &PadMount,
    setting: Option<&PadSetting>,
    trailer_from_frame: &Pose,
    trailer_from_hull: &Pose,
    contact_m: f64,
) -> StandingPad {
    let elevation = setting.map_or(mount.elevation_rad.nearest(0.0), |s| s.elevation_rad);
    let stroke = Stroke::new(mount, elevation, trailer_from_frame, trailer_from_hull);
    let meeting = setting.and_then(|_| stroke.meet(hull));
    let (reach_m, state) = match setting.map(|s| s.reach) {
        None => (mount.reach_m.min, PadState::Stowed),
        Some(Reach::UntilTouching) => match &meeting {
            // Drawn in as far as it goes it stands in her already.
            Some(m) if m.reach_m <= mount.reach_m.min => (m.reach_m, PadState::Pressing),
            Some(m) if m.reach_m <= mount.reach_m.max => (m.reach_m, PadState::Touching),
            _ => (mount.reach_m.max, PadState::OutOfReach),
        },
        Some(Reach::SetM(reach)) => {
            let gap = meeting
                .as_ref()
                .map_or(f64::INFINITY, |m| m.reach_m - reach);
            let state = if gap < -contact_m {
                PadState::Pressing
            } else if gap <= contact_m {
                PadState::Touching
            } else {
                PadState::Short
            };
            (reach, state)
        }
    };
    let meets_m = meeting.as_ref().map(|m| m.reach_m);
    let met = matches!(state, PadState::Touching | PadState::Pressing);
    // A pad that does not reach her yet is turned to her already: square it might stand in her.
    let turn = meeting.as_ref().map_or(Rot3::IDENTITY, |m| m.turn);
    let meeting = meeting.filter(|_| met);
    StandingPad {
        parts: stroke.parts(reach_m, turn, trailer_from_frame),
        hull_part: meeting.as_ref().map(|m| m.hull_part),
        meets_m,
        normal: meeting.as_ref().map(|m| m.normal),
        turned_rad: turn.to_axis_angle().1.abs(),
        direction: trailer_from_frame.transform_vector(stroke.direction),
        pad: Pad {
            name: mount.name.clone(),
            state,
            reach_m,
            contact: meeting
                .as_ref()
                .map(|m| (trailer_from_hull * m.contact).into()),
            face_angle_rad: meeting.as_ref().map(|m| m.face_angle_rad),
        },
    }
}

/// The way a pad goes: from its pivot along its arm.
struct Stroke<'a> {
    mount: &'a PadMount,
    /// Unit direction, frame coordinates.
    direction: Vec3,
    /// Pad axes at rest: x along the trailer, y along the stroke, z up across it.
    at_rest: Rot3,
    hull_from_frame: Pose,
}

/// Where a pad meets the hull. Hull frame.
struct Meeting {
    reach_m: f64,
    hull_part: usize,
    contact: Vec3,
    normal: Vec3,
    /// Turn of the face off the arm's axis, about the frame's axes.
    turn: Rot3,
    face_angle_rad: f64,
}

impl<'a> Stroke<'a> {
    fn new(
        mount: &'a PadMount,
        elevation_rad: f64,
        trailer_from_frame: &Pose,
        trailer_from_hull: &Pose,
    ) -> Self {
        let inboard = if mount.pivot.y_m > 0.0 { -1.0 } else { 1.0 };
        let (rise, level) = elevation_rad.sin_cos();
        let at_rest = Rot3::from_rotation_x(inboard * elevation_rad)
            * Rot3::from_rotation_z(if inboard < 0.0 {
                std::f64::consts::PI
            } else {
                0.0
            });
        Self {
            mount,
            direction: Vec3::new(0.0, inboard * level, rise),
            at_rest,
            hull_from_frame: trailer_from_hull.inv_mul(trailer_from_frame),
        }
    }

    /// First with the face square to the arm, then turned to the surface that is under it, as far as it swivels: and again
    /// as what is under it then is another, until it lies flat. The flattest of them counts.
    fn meet(&self, hull: &Hull) -> Option<Meeting> {
        /// Flat enough to stop, rad.
        const FLAT_RAD: f64 = 0.01;
        const ROUNDS: usize = 6;
        /// Rounds that turn all the way; later ones go half of it, lest it turns to and fro over a knuckle.
        const WHOLE: usize = 2;
        let mut met = self.cast(hull, Rot3::IDENTITY)?;
        let mut turn = Rot3::IDENTITY;
        let mut flattest = self.meeting(&met, turn);
        let mut at_its_end = false;
        for round in 0..ROUNDS {
            let normal_in_frame = self.hull_from_frame.inverse_transform_vector(met.normal);
            let full = Rot3::from_rotation_arc(self.direction, -normal_in_frame);
            let wanted = if round < WHOLE {
                full
            } else {
                turn.slerp(full, 0.5)
            };
            let (axis, angle) = wanted.to_axis_angle();
            turn = Rot3::from_axis_angle(axis, angle.min(self.mount.swivel_rad));
            let Some(again) = self.cast(hull, turn) else {
                // Turned so it passes her by.
                break;
            };
            met = again;
            let meeting = self.meeting(&met, turn);
            // At its end once it may come back from it, where less is asked of it there.
            let stays_at_its_end = at_its_end && angle > self.mount.swivel_rad;
            at_its_end = angle > self.mount.swivel_rad;
            let done = meeting.face_angle_rad < FLAT_RAD || stays_at_its_end;
            // A pad that pushes turns, flatter or not: only square, before it did, is no rest.
            if round == 0 || meeting.face_angle_rad < flattest.face_angle_rad {
                flattest = meeting;
            }
            if done {
                break;
            }
        }
        Some(flattest)
    }

    fn meeting(&self, met: &Cast, turn: Rot3) -> Meeting {
        let face = self.hull_from_frame.transform_vector(turn * self.direction);
        Meeting {
            reach_m: met.reach_m,
            hull_part: met.hull_part,
            contact: met.contact,
            normal: met.normal,
            turn,
            face_angle_rad: face.angle_between(-met.normal),
        }
    }

    fn cast(&self, hull: &Hull, turn: Rot3) -> Option<Cast> {
        let m = self.mount;
        let half = Vec3::new(m.pad_length_m, m.pad_thickness_m, m.pad_height_m) / 2.0;
        let pad = Cuboid::new(half);
        let start = self.hull_from_frame * self.pad_pose(m.reach_m.min, turn);
        let direction = self.hull_from_frame.transform_vector(self.direction);
        // Past the end of the stroke too, so that a setting beyond it still finds the hull.
        let farthest_m = m.reach_m.max - m.reach_m.min + 3.0;
        let mut first: Option<Met> = None;
        let met_by_pads = |(_, part): &(usize, &HullPart)| part.part_use.in_gaps();
        for (hull_part, part) in hull.parts.iter().enumerate().filter(met_by_pads) {
            let until_m = first.map_or(farthest_m, |f| f.way_m);
            let mut way = ShapeCast::new(&part.mesh, pad, start, direction, until_m);
            part.mesh.tree().search(&mut way);
            if let Some(triangle) = way.met {
                first = Some(Met {
                    hull_part,
                    triangle,
                    way_m: way.until_m,
                });
            }
        }
        /// What touches is looked for so far before it does, m: once it does, there is no telling where.
        const BACK_M: f64 = 1e-4;
        let met = first?;
        let mesh = &hull.parts[met.hull_part].mesh;
        let triangle = mesh.triangle(met.triangle);
        let there = Pose::from_translation(direction * (met.way_m - BACK_M)) * start;
        let contact = nearest_on(&triangle, &there, &pad);
        let face = self.hull_from_frame.transform_vector(turn * self.direction);
        let middle = there.translation + face * half.y;
        let axes = self.hull_from_frame.rotation * turn * self.at_rest;
        Some(Cast {
            reach_m: m.reach_m.min + met.way_m,
            hull_part: met.hull_part,
            contact,
            normal: surface_normal(mesh, middle, direction, axes, half)
                .or_else(|| against(&triangle, direction))
                .unwrap_or(-direction),
        })
    }

    fn pad_pose(&self, reach_m: f64, turn: Rot3) -> Pose {
        let middle = reach_m - self.mount.pad_thickness_m / 2.0;
        Pose::from_parts(
            self.mount.pivot.vec() + self.direction * middle,
            turn * self.at_rest,
        )
    }

    fn parts(&self, reach_m: f64, turn: Rot3, trailer_from_frame: &Pose) -> Vec<RigPart> {
        let m = self.mount;
        let half = Point::new(
            m.pad_length_m / 2.0,
            m.pad_thickness_m / 2.0,
            m.pad_height_m / 2.0,
        );
        let pose = *trailer_from_frame * self.pad_pose(reach_m, turn);
        let mut parts = vec![part(
            m.name.clone(),
            RigPartKind::Pad,
            Shape::Box { half },
            pose,
        )];
        let arm = reach_m - m.pad_thickness_m;
        let pivot = m.pivot.vec();
        parts.extend(pad_arm(
            &m.name,
            pivot,
            self.direction,
            arm,
            trailer_from_frame,
        ));
        parts
    }
}

/// What a pad meets first.
#[derive(Clone, Copy)]
struct Met {
    hull_part: usize,
    triangle: u32,
    /// How far the pad has gone then, m.
    way_m: f64,
}

/// The point of a triangle that a pad just short of it is about to touch: where its face meets it flat, any of them.
fn nearest_on(triangle: &Triangle, hull_from_pad: &Pose, pad: &Cuboid) -> Vec3 {
    /// How far off it a pad is looked for that meets it, m: more than rounding.
    const NEAR_M: f64 = 1e-3;
    let nearest = query::closest_points(hull_from_pad, pad, &Pose::identity(), triangle, NEAR_M);
    match nearest {
        Ok(ClosestPoints::WithinMargin(_, at)) => triangle.project_local_point(at, false).point,
        // It slides along it: what lies nearest to its middle.
        _ => {
            let middle = hull_from_pad.translation;
            triangle.project_local_point(middle, false).point
        }
    }
}

/// Normal of a triangle, turned against a way; none if it has no area.
fn against(triangle: &Triangle, way: Vec3) -> Option<Vec3> {
    let normal = triangle.normal()?;
    Some(-normal * normal.dot(way).signum())
}

/// The search for the triangle a pad meets first on its way. Hull frame.
struct ShapeCast<'a> {
    mesh: &'a Mesh,
    pad: Cuboid,
    start: Pose,
    /// Unit vector.
    direction: Vec3,
    /// The pad's axes, and the direction along them.
    axes: [Vec3; 3],
    own_direction: Vec3,
    /// Outward normal of the pad's face.
    face: Vec3,
    /// How far the face stands along its normal at the start, m.
    face_at_m: f64,
    until_m: f64,
    met: Option<u32>,
}

impl<'a> ShapeCast<'a> {
    fn new(mesh: &'a Mesh, pad: Cuboid, start: Pose, direction: Vec3, until_m: f64) -> Self {
        let axes = [Vec3::X, Vec3::Y, Vec3::Z].map(|a| start.rotation * a);
        let face = axes[1] * axes[1].dot(direction).signum();
        Self {
            mesh,
            pad,
            start,
            direction,
            axes,
            own_direction: Vec3::from_array(axes.map(|a| a.dot(direction))),
            face,
            face_at_m: start.translation.dot(face) + pad.half_extents.y,
            until_m,
            met: None,
        }
    }

    /// The length of the way at which the pad meets a triangle; infinite if it passes it by. Two convex bodies overlap while
    /// their shadows do on every axis that may part them: the box's, the triangle's normal, and across each two of their
    /// edges.
    fn meets_m(&self, triangle: &Triangle) -> f64 {
        /// A hair before it, for rounding, m.
        const HAIR_M: f64 = 1e-9;
        /// Edges that are this parallel, sine, part nothing that other axes do not.
        const PARALLEL: f64 = 1e-6;
        let own = |v: Vec3| Vec3::from_array(self.axes.map(|axis| axis.dot(v)));
        let corners = [triangle.a, triangle.b, triangle.c].map(|v| own(v - self.start.translation));
        let half = self.pad.half_extents;
        let (mut enters, mut leaves) = (0.0_f64, f64::MAX);
        let mut parted = |axis: Vec3| {
            let at = corners.map(|corner| corner.dot(axis));
            let wide = half.dot(axis.abs());
            let (near, far) = (
                at[0].min(at[1]).min(at[2]) - wide,
                at[0].max(at[1]).max(at[2]) + wide,
            );
            let pace = self.own_direction.dot(axis);
            let (one, other) = (near / pace, far / pace);
            enters = enters.max(one.min(other));
            leaves = leaves.min(one.max(other));
            enters > leaves + HAIR_M
        };
        if [Vec3::X, Vec3::Y, Vec3::Z].into_iter().any(&mut parted) {
            return f64::INFINITY;
        }
        let edges = [0, 1, 2].map(|i| corners[(i + 1) % 3] - corners[i]);
        if parted(edges[0].cross(edges[1])) {
            return f64::INFINITY;
        }
        for edge in edges {
            let [x, y, z] = edge.to_array();
            let across = [
                Vec3::new(0.0, -z, y),
                Vec3::new(z, 0.0, -x),
                Vec3::new(-y, x, 0.0),
            ];
            let least = PARALLEL * PARALLEL * edge.length_squared();
            let parting = across.into_iter().filter(|a| a.length_squared() > least);
            if parting.into_iter().any(&mut parted) {
                return f64::INFINITY;
            }
        }
        (enters - HAIR_M).max(0.0)
    }

    /// A length of the way before which nothing is met that begins there along the face's normal.
    fn before_m(&self, begins_m: f64) -> f64 {
        let pace = self.direction.dot(self.face);
        if pace > 0.0 {
            ((begins_m - self.face_at_m) / pace).max(0.0)
        } else {
            0.0
        }
    }
}

impl Search for ShapeCast<'_> {
    /// Of two bounds the greater: of the boxes along the pad's axes, and of the surface and the
    /// face along the face's normal.
    fn least(&self, node: &Node) -> f64 {
        let (middle, half) = node.middle_and_half();
        let from = middle - self.start.translation;
        let (mut enters, mut leaves) = (0.0_f64, f64::MAX);
        for i in 0..3 {
            let at = from.dot(self.axes[i]);
            let wide = half.dot(self.axes[i].abs()) + self.pad.half_extents[i];
            let pace = self.own_direction[i];
            if pace.abs() < f64::EPSILON {
                if at.abs() > wide {
                    return f64::INFINITY;
                }
                continue;
            }
            let (one, other) = ((at - wide) / pace, (at + wide) / pace);
            enters = enters.max(one.min(other));
            leaves = leaves.min(one.max(other));
        }
        if enters > leaves {
            return f64::INFINITY;
        }
        enters.max(self.before_m(-node.reach(-self.face)))
    }

    fn best(&self) -> f64 {
        self.until_m
    }

    fn look(&mut self, triangle: u32) {
        let way_m = self.meets_m(&self.mesh.triangle(triangle));
        if way_m < self.until_m {
            (self.until_m, self.met) = (way_m, Some(triangle));
        }
    }
}

struct Cast {
    reach_m: f64,
    hull_part: usize,
    contact: Vec3,
    normal: Vec3,
}

/// Mean outward normal of the surface under a pad's face, turned against its way: sixteen rays over the face, from just
/// behind it, so that which facet of a faired hull the pad happens to touch, and with which corner, makes no difference.
/// None where no ray finds the surface near.
fn surface_normal(
    mesh: &Mesh,
    face_middle: Vec3,
    direction: Vec3,
    axes: Rot3,
    half: Vec3,
) -> Option<Vec3> {
    /// Where rays start, in parts of half the face. None at the corners: they are the first to leave a curved hull.
    const AT: [f64; 4] = [-0.6, -0.2, 0.2, 0.6];
    /// How far behind the face rays start, m.
    const BEHIND_M: f64 = 0.01;
    /// How far ahead the surface is looked for, in half diagonals of the face: so far a face that touches with a corner
    /// stands off with the other, on a surface that leans to it by 60 degrees.
    const AHEAD: f64 = 3.5;
    let far_m = BEHIND_M + AHEAD * half.x.hypot(half.z);
    let mut sum = Vec3::ZERO;
    for along in AT {
        for up in AT {
            let offset = axes * Vec3::new(along * half.x, 0.0, up * half.z);
            let start = face_middle + offset - direction * BEHIND_M;
            if let Some(hit) = mesh.cast_ray_until(start, direction, far_m) {
                sum -= hit.normal * hit.normal.dot(direction).signum();
            }
        }
    }
    sum.try_normalize()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;

//! The one place where the engine's double-precision maths becomes Bevy's single precision.
//!
//! The scene's world is the trailer frame itself, z up: nothing is swizzled, only narrowed. The
//! two sides use different vector crates, so values cross as arrays.

use bevy::prelude::{Quat, Transform, Vec3};
use keelstead_geometry::math::{self, Point, PoseRecord};

/// The same point or direction in single precision.
pub fn vec3(v: math::Vec3) -> Vec3 {
    Vec3::from_array(v.to_array().map(|c| c as f32))
}

/// The same point in single precision.
pub fn point(p: Point) -> Vec3 {
    vec3(p.vec())
}

/// The same point or direction in double precision.
pub fn engine_vec3(v: Vec3) -> math::Vec3 {
    math::Vec3::from_array(v.to_array().map(f64::from))
}

/// A rigid transform as Bevy writes it.
pub fn transform(pose: PoseRecord) -> Transform {
    let rotation = Quat::from_array(pose.rotation_xyzw.map(|c| c as f32));
    Transform {
        translation: point(pose.translation),
        rotation: rotation.normalize(),
        scale: Vec3::ONE,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pose_takes_points_where_the_engine_takes_them() {
        let pose = math::Pose::from_parts(
            math::Vec3::new(1.0, -2.0, 3.0),
            math::Rot3::from_rotation_z(0.7) * math::Rot3::from_rotation_y(-0.2),
        );
        let inner = math::Vec3::new(4.0, 5.0, -6.0);
        let by_engine = vec3(pose * inner);
        let by_bevy = transform(pose.into()).transform_point(vec3(inner));
        assert!(by_engine.distance(by_bevy) < 1e-5, "{by_engine} {by_bevy}");
    }
}

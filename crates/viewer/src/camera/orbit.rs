//! Where the eye is: a point looked at, two angles and a distance; and what that does to pixels.
//!
//! Plain arithmetic on the trailer frame (z up), without Bevy's world, so that it tests without one.

use bevy::prelude::{Mat4, Transform, Vec2, Vec3};
use keelstead_workbench::view::{Camera, HALF_FIELD_OF_VIEW_RAD};

use crate::convert;

/// Upright angle of view, rad.
pub const FIELD_OF_VIEW_RAD: f32 = 2.0 * HALF_FIELD_OF_VIEW_RAD as f32;
/// Nearest the eye comes to what it looks at, m.
const NEAREST_M: f32 = 0.25;
/// Farthest the eye goes from it, m.
const FARTHEST_M: f32 = 160.0;
/// Steepest look down or up, rad.
const STEEPEST_RAD: f32 = 1.5698;
/// The eye stays this far above the ground unless it went below on purpose, m.
const ABOVE_GROUND_M: f32 = 0.12;
/// Farthest the point looked at strays from the trailer's coupling, m.
const FOCUS_REACH_M: f32 = 60.0;

/// Where the eye is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Orbit {
    /// What is looked at. Trailer frame.
    pub focus: Vec3,
    /// From the point looked at to the eye: turned from forward to the left, rad.
    pub azimuth_rad: f32,
    /// From the point looked at to the eye: above level, rad.
    pub elevation_rad: f32,
    /// From the point looked at to the eye, m.
    pub distance_m: f32,
}

impl From<Camera> for Orbit {
    fn from(camera: Camera) -> Self {
        Self {
            focus: convert::point(camera.focus),
            azimuth_rad: camera.azimuth_rad as f32,
            elevation_rad: camera.elevation_rad as f32,
            distance_m: camera.distance_m as f32,
        }
    }
}

impl From<Orbit> for Camera {
    fn from(orbit: Orbit) -> Self {
        Self {
            focus: convert::engine_vec3(orbit.focus).into(),
            azimuth_rad: f64::from(orbit.azimuth_rad),
            elevation_rad: f64::from(orbit.elevation_rad),
            distance_m: f64::from(orbit.distance_m),
        }
    }
}

impl Orbit {
    /// From the point looked at to the eye, length 1.
    pub fn outward(&self) -> Vec3 {
        let (sin_e, cos_e) = self.elevation_rad.sin_cos();
        let (sin_a, cos_a) = self.azimuth_rad.sin_cos();
        Vec3::new(cos_e * cos_a, cos_e * sin_a, sin_e)
    }

    /// Up in the picture, length 1; defined at every elevation.
    pub fn up(&self) -> Vec3 {
        let (sin_e, cos_e) = self.elevation_rad.sin_cos();
        let (sin_a, cos_a) = self.azimuth_rad.sin_cos();
        Vec3::new(-sin_e * cos_a, -sin_e * sin_a, cos_e)
    }

    /// To the right in the picture, length 1.
    pub fn right(&self) -> Vec3 {
        self.up().cross(self.outward())
    }

    /// The eye.
    pub fn eye(&self) -> Vec3 {
        self.focus + self.outward() * self.distance_m
    }

    /// The eye's place and turn.
    pub fn transform(&self) -> Transform {
        Transform::from_translation(self.eye()).looking_to(-self.outward(), self.up())
    }

    /// Whether the eye is under the ground, as only the view from below puts it.
    pub fn is_below_ground(&self) -> bool {
        self.eye().z < 0.0
    }

    /// Turned about the point looked at. An eye above the ground stays above.
    #[must_use]
    pub fn turned(mut self, azimuth_rad: f32, elevation_rad: f32) -> Self {
        let below = self.is_below_ground();
        self.azimuth_rad = wrapped(self.azimuth_rad + azimuth_rad);
        self.elevation_rad =
            (self.elevation_rad + elevation_rad).clamp(-STEEPEST_RAD, STEEPEST_RAD);
        if below {
            self
        } else {
            self.kept_above_ground()
        }
    }

    /// Moved across the picture, `right` and `up` in m at the distance of the point looked at.
    #[must_use]
    pub fn moved(mut self, right_m: f32, up_m: f32) -> Self {
        let below = self.is_below_ground();
        self.focus += self.right() * right_m + self.up() * up_m;
        self.focus = self
            .focus
            .clamp(Vec3::splat(-FOCUS_REACH_M), Vec3::splat(FOCUS_REACH_M));
        if below {
            self
        } else {
            self.kept_above_ground()
        }
    }

    /// Nearer (`factor` below 1) or farther, keeping what is at `at` where it is in the picture.
    #[must_use]
    pub fn zoomed(mut self, factor: f32, at: Vec3) -> Self {
        let below = self.is_below_ground();
        let distance_m = (self.distance_m * factor).clamp(NEAREST_M, FARTHEST_M);
        let factor = distance_m / self.distance_m;
        self.distance_m = distance_m;
        self.focus = at + (self.focus - at) * factor;
        if below {
            self
        } else {
            self.kept_above_ground()
        }
    }

    /// The way from here to `goal`, at `part` 0 to 1 of it, turning the short way round.
    #[must_use]
    pub fn toward(&self, goal: &Self, part: f32) -> Self {
        let turn = wrapped(goal.azimuth_rad - self.azimuth_rad);
        let far = self.distance_m.max(NEAREST_M).ln();
        let near = goal.distance_m.max(NEAREST_M).ln();
        Self {
            focus: self.focus.lerp(goal.focus, part),
            azimuth_rad: wrapped(self.azimuth_rad + turn * part),
            elevation_rad: self.elevation_rad + (goal.elevation_rad - self.elevation_rad) * part,
            distance_m: (far + (near - far) * part).exp(),
        }
    }

    fn kept_above_ground(mut self) -> Self {
        let height = self.eye().z;
        if height < ABOVE_GROUND_M {
            let sine = (ABOVE_GROUND_M - self.focus.z) / self.distance_m;
            if sine.abs() <= 1.0 {
                self.elevation_rad = self.elevation_rad.max(sine.asin());
            } else {
                self.focus.z += ABOVE_GROUND_M - height;
            }
        }
        self
    }
}

/// An angle brought into half a turn either way.
fn wrapped(angle_rad: f32) -> f32 {
    use std::f32::consts::{PI, TAU};
    (angle_rad + PI).rem_euclid(TAU) - PI
}

/// An eye and the rectangle of the screen it fills: takes points to pixels and pixels to rays.
#[derive(Debug, Clone, Copy)]
pub struct Lens {
    /// Where the eye is.
    pub orbit: Orbit,
    /// Corner of the picture, in logical pixels of the screen.
    pub min: Vec2,
    /// Width and height of the picture, in logical pixels.
    pub size: Vec2,
}

impl Lens {
    /// Width to height.
    pub fn aspect(&self) -> f32 {
        (self.size.x / self.size.y.max(1.0)).max(0.01)
    }

    /// Metres that a pixel covers at `distance_m` in front of the eye.
    pub fn metres_per_pixel(&self, distance_m: f32) -> f32 {
        2.0 * distance_m * (FIELD_OF_VIEW_RAD / 2.0).tan() / self.size.y.max(1.0)
    }

    /// Where a point of the trailer frame appears on the screen; none if it is behind the eye.
    pub fn project(&self, at: Vec3) -> Option<Vec2> {
        let clip = self.clip_from_world() * at.extend(1.0);
        if clip.w <= NEAREST_M * 0.1 {
            return None;
        }
        let ndc = clip.truncate() / clip.w;
        Some(self.min + self.size * Vec2::new(0.5 + 0.5 * ndc.x, 0.5 - 0.5 * ndc.y))
    }

    /// The ray from the eye through a pixel: where it starts and its direction, length 1.
    pub fn ray(&self, pixel: Vec2) -> (Vec3, Vec3) {
        let part = (pixel - self.min) / self.size.max(Vec2::ONE);
        let tall = (FIELD_OF_VIEW_RAD / 2.0).tan();
        let x = (2.0 * part.x - 1.0) * tall * self.aspect();
        let y = (1.0 - 2.0 * part.y) * tall;
        let orbit = &self.orbit;
        let direction = orbit.right() * x + orbit.up() * y - orbit.outward();
        (orbit.eye(), direction.normalize())
    }

    /// The point under a pixel at the distance of the point looked at.
    pub fn at_focus(&self, pixel: Vec2) -> Vec3 {
        let (eye, direction) = self.ray(pixel);
        let ahead = -direction.dot(self.orbit.outward());
        eye + direction * (self.orbit.distance_m / ahead.max(1e-3))
    }

    fn clip_from_world(&self) -> Mat4 {
        let view_from_world = self.orbit.transform().to_matrix().inverse();
        Mat4::perspective_infinite_reverse_rh(FIELD_OF_VIEW_RAD, self.aspect(), 0.05)
            * view_from_world
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const ORBIT: Orbit = Orbit {
        focus: Vec3::new(-6.0, 0.3, 1.2),
        azimuth_rad: -2.0,
        elevation_rad: 0.4,
        distance_m: 14.0,
    };

    fn lens(orbit: Orbit) -> Lens {
        Lens {
            orbit,
            min: Vec2::new(320.0, 48.0),
            size: Vec2::new(960.0, 640.0),
        }
    }

    #[test]
    fn a_pixels_ray_comes_back_to_the_pixel() {
        let lens = lens(ORBIT);
        let pixel = Vec2::new(411.0, 503.0);
        let (eye, direction) = lens.ray(pixel);
        let back = lens.project(eye + direction * 9.0).unwrap();
        assert!(back.distance(pixel) < 0.01, "{back}");
        assert!(lens.project(eye - direction).is_none());
    }

    #[test]
    fn zooming_keeps_the_point_under_the_cursor() {
        let before = lens(ORBIT);
        let pixel = Vec2::new(1100.0, 200.0);
        let at = before.at_focus(pixel);
        let after = lens(ORBIT.zoomed(0.6, at));
        assert!(after.project(at).unwrap().distance(pixel) < 0.05);
        assert!((after.orbit.distance_m - 8.4).abs() < 1e-4);
    }

    #[test]
    fn the_eye_does_not_sink_into_the_ground() {
        let low = ORBIT.turned(0.0, -3.0);
        assert!(low.eye().z >= ABOVE_GROUND_M - 1e-4, "{}", low.eye().z);
        let sunk = ORBIT.moved(0.0, -40.0);
        assert!(sunk.eye().z >= ABOVE_GROUND_M - 1e-3, "{}", sunk.eye().z);
    }

    #[test]
    fn flying_turns_the_short_way_and_arrives() {
        let goal = Orbit {
            azimuth_rad: 3.0,
            ..ORBIT
        };
        let start = Orbit {
            azimuth_rad: -3.0,
            ..ORBIT
        };
        let middle = start.toward(&goal, 0.5);
        assert!(middle.azimuth_rad.abs() > 3.0, "{}", middle.azimuth_rad);
        let end = start.toward(&goal, 1.0);
        assert!((end.azimuth_rad - 3.0).abs() < 1e-5 && end.focus == goal.focus);
    }
}

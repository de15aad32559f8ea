//! Where the scene is seen from.

pub mod orbit;

use std::time::Duration;

use bevy::camera::Viewport;
use bevy::core_pipeline::tonemapping::{DebandDither, Tonemapping};
use bevy::prelude::*;
use bevy::window::RequestRedraw;
use keelstead_workbench::action::{Action, Request};

use crate::app::Workbench;
use orbit::{FIELD_OF_VIEW_RAD, Lens, Orbit};

/// How long a flight takes.
const FLIGHT: Duration = Duration::from_millis(650);
/// Nothing nearer to the eye than this is drawn, m.
const NEAR_M: f32 = 0.05;
/// Nothing farther is drawn, m: past the end of the ground.
const FAR_M: f32 = 420.0;

/// The camera and its flights.
pub struct CameraPlugin;

impl Plugin for CameraPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Sight>()
            .add_systems(Startup, spawn_camera)
            .add_systems(Update, (start_flight, fly, place_camera).chain());
    }
}

/// Marks the camera that draws the scene.
#[derive(Component)]
pub struct SceneCamera;

/// Where the scene is seen from, and the part of the screen it fills.
#[derive(Resource, Debug, Clone, Copy)]
pub struct Sight {
    /// Where the eye is.
    pub orbit: Orbit,
    /// Corner of the scene's picture on the screen, logical pixels.
    pub min: Vec2,
    /// Its width and height, logical pixels; zero until the panels were laid out once.
    pub size: Vec2,
    /// Physical pixels in a logical one.
    pub scale: f32,
    /// Whether flights arrive at once.
    pub at_once: bool,
    flight: Option<Flight>,
}

#[derive(Debug, Clone, Copy)]
struct Flight {
    from: Orbit,
    to: Orbit,
    gone: Duration,
}

impl Default for Sight {
    fn default() -> Self {
        Self {
            orbit: keelstead_workbench::view::Camera::default().into(),
            min: Vec2::ZERO,
            size: Vec2::ZERO,
            scale: 1.0,
            at_once: false,
            flight: None,
        }
    }
}

impl Sight {
    /// The eye with the rectangle it fills.
    pub fn lens(&self) -> Lens {
        Lens {
            orbit: self.orbit,
            min: self.min,
            size: self.size.max(Vec2::ONE),
        }
    }

    /// Whether the panels were laid out once, so that the picture's shape is known.
    pub fn is_laid_out(&self) -> bool {
        self.size.min_element() > 0.0
    }

    /// Flies to another eye.
    pub fn fly_to(&mut self, to: Orbit) {
        if self.at_once {
            self.orbit = to;
            return;
        }
        self.flight = Some(Flight {
            from: self.orbit,
            to,
            gone: Duration::ZERO,
        });
    }

    /// Moves the eye by hand, which ends a flight.
    pub fn move_to(&mut self, orbit: Orbit) {
        self.flight = None;
        self.orbit = orbit;
    }

    /// Whether the eye is on its way somewhere.
    pub fn is_flying(&self) -> bool {
        self.flight.is_some()
    }

    fn advance(&mut self, step: Duration) {
        let Some(flight) = &mut self.flight else {
            return;
        };
        flight.gone += step;
        let part = (flight.gone.as_secs_f32() / FLIGHT.as_secs_f32()).min(1.0);
        let eased = part * part * (3.0 - 2.0 * part);
        self.orbit = flight.from.toward(&flight.to, eased);
        if part >= 1.0 {
            self.flight = None;
        }
    }
}

fn spawn_camera(mut commands: Commands) {
    commands.spawn((
        SceneCamera,
        Camera3d::default(),
        Camera::default(),
        Projection::Perspective(PerspectiveProjection {
            fov: FIELD_OF_VIEW_RAD,
            near: NEAR_M,
            far: FAR_M,
            ..default()
        }),
        // Colours stay as painted: a chart to be read, lit well within range.
        Tonemapping::None,
        DebandDither::Disabled,
        Transform::default(),
    ));
}

/// Takes the session's wish to look somewhere.
fn start_flight(mut workbench: ResMut<Workbench>, mut sight: ResMut<Sight>) {
    let wishes = workbench
        .bypass_change_detection()
        .take(|request| matches!(request, Request::FlyTo(_)));
    if let Some(Request::FlyTo(camera)) = wishes.into_iter().next_back() {
        sight.fly_to(camera.into());
    }
}

fn fly(mut sight: ResMut<Sight>, time: Res<Time>, mut redraw: MessageWriter<RequestRedraw>) {
    if sight.is_flying() {
        // A slow frame must not swallow the flight.
        sight.advance(time.delta().min(Duration::from_millis(100)));
        redraw.write(RequestRedraw);
    }
}

/// Puts Bevy's camera where the eye is and tells the session.
fn place_camera(
    sight: Res<Sight>,
    mut workbench: ResMut<Workbench>,
    camera: Single<(&mut Transform, &mut Camera), With<SceneCamera>>,
) {
    let (mut transform, mut camera) = camera.into_inner();
    transform.set_if_neq(sight.orbit.transform());
    let whole = camera.physical_target_size().unwrap_or_default();
    let position = (sight.min * sight.scale).round().as_uvec2().min(whole);
    let size = (sight.size * sight.scale)
        .round()
        .as_uvec2()
        .min(whole - position);
    let viewport = (size.min_element() > 0).then(|| Viewport {
        physical_position: position,
        physical_size: size,
        ..default()
    });
    let same = match (&camera.viewport, &viewport) {
        (Some(a), Some(b)) => {
            a.physical_position == b.physical_position && a.physical_size == b.physical_size
        }
        (None, None) => true,
        _ => false,
    };
    if !same {
        camera.viewport = viewport;
    }
    let told = keelstead_workbench::view::Camera::from(sight.orbit);
    let workbench = workbench.bypass_change_detection();
    if workbench.session.view().camera != told {
        workbench.perform(Action::CameraMoved(told));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flight_arrives_and_a_hand_ends_it() {
        let mut sight = Sight::default();
        let goal = Orbit {
            distance_m: 3.0,
            ..sight.orbit
        };
        sight.fly_to(goal);
        sight.advance(FLIGHT / 2);
        assert!(sight.is_flying() && sight.orbit.distance_m > 3.0);
        sight.advance(FLIGHT);
        assert!(!sight.is_flying());
        assert!((sight.orbit.distance_m - 3.0).abs() < 1e-4);
        sight.fly_to(Sight::default().orbit);
        sight.move_to(goal);
        assert!(!sight.is_flying());
    }
}

//! The app both platforms run.

use bevy::log::{Level, LogPlugin};
use bevy::prelude::*;
use keelstead_workbench::Session;
use keelstead_workbench::action::{Action, Request};
use keelstead_workbench::view::LookFrom;

use crate::camera::CameraPlugin;
use crate::hand::HandPlugin;
use crate::opening::OpeningPlugin;
use crate::panels::PanelsPlugin;
use crate::resting::RestingPlugin;
use crate::scene::ScenePlugin;
use crate::scene::surface::SurfacePlugin;

/// Everything but the platform: Bevy's plugins, the window and what only a platform can do come
/// from `native`, `web` or `picture`.
pub struct ViewerPlugin;

impl Plugin for ViewerPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Workbench>()
            .init_resource::<IsDark>()
            .add_plugins((
                SurfacePlugin,
                ScenePlugin,
                CameraPlugin,
                HandPlugin,
                OpeningPlugin,
                PanelsPlugin,
                RestingPlugin,
            ));
    }
}

/// The session, with what it asked of the platform and has not been given yet.
#[derive(Resource, Default)]
pub struct Workbench {
    /// The session.
    pub session: Session,
    /// The side the eye was last put at, until it was moved or sent elsewhere.
    pub looking_from: Option<LookFrom>,
    requests: Vec<Request>,
}

impl Workbench {
    /// Does one thing; what it asks of the platform waits to be taken.
    pub fn perform(&mut self, action: Action) {
        match action {
            Action::LookFrom(from) => self.looking_from = Some(from),
            Action::Select(Some(_)) | Action::SelectNext | Action::SelectPrevious => {
                self.looking_from = None;
            }
            _ => {}
        }
        let requests = self.session.perform(action);
        self.ask(requests);
    }

    /// Adds to what waits to be taken.
    pub fn ask(&mut self, requests: Vec<Request>) {
        self.requests.extend(requests);
    }

    /// Takes the waiting requests that `wanted` picks, oldest first.
    pub fn take(&mut self, wanted: impl Fn(&Request) -> bool) -> Vec<Request> {
        let (taken, left) = std::mem::take(&mut self.requests)
            .into_iter()
            .partition(wanted);
        self.requests = left;
        taken
    }

    /// Does an action without the flights that it asks for: what is selected is looked at from where the eye is.
    pub fn perform_in_place(&mut self, action: Action) {
        let before = self.requests.len();
        self.perform(action);
        let asked = self.requests.split_off(before.min(self.requests.len()));
        let kept = asked.into_iter();
        self.requests
            .extend(kept.filter(|r| !matches!(r, Request::FlyTo(_))));
    }
}

/// Whether the dark theme is on, the system's wish already looked up.
#[derive(Resource, Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct IsDark(pub bool);

/// Errors, and warnings that a person could act on: not what a graphics card lacks that is not used.
pub fn quiet_log() -> LogPlugin {
    LogPlugin {
        level: Level::WARN,
        filter: "wgpu=error,naga=error,bevy_render=error,bevy_pbr=error,bevy_core_pipeline=error,\
                 bevy_egui=error,winit=error"
            .into(),
        ..default()
    }
}

//! Boat, rig and yard as entities: each system makes the world match the session, touching only
//! what differs.
//!
//! The world's frame is the trailer frame, z up.

pub mod facets;
pub mod hull;
pub mod marks;
pub mod palette;
pub mod rig;
pub mod surface;
mod sync_hull;
mod sync_rig;
pub mod water;
pub mod yard;

use bevy::prelude::*;

use crate::app::{IsDark, Workbench};
use crate::camera::Sight;
use crate::pick::Cut;

pub use sync_hull::{HullPartMark, HullRoot, HullShapes};
pub use sync_rig::RigPartMark;

/// Systems that make the scene match the session.
#[derive(SystemSet, Debug, Clone, PartialEq, Eq, Hash)]
pub struct SceneSystems;

/// The scene.
pub struct ScenePlugin;

impl Plugin for ScenePlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Shown>()
            .add_plugins((
                sync_hull::HullPlugin,
                sync_rig::RigPlugin,
                marks::MarksPlugin,
                water::WaterPlugin,
                yard::YardPlugin,
            ))
            .init_resource::<Wanted>()
            .configure_sets(Update, SceneSystems.run_if(scene_is_stale))
            .add_systems(Update, see_what_is_wanted.before(SceneSystems))
            .add_systems(Update, note_what_is_shown.after(SceneSystems));
    }
}

/// What the scene was last made to match.
#[derive(Resource, Default, PartialEq, Clone, Copy)]
struct Shown {
    revision: Option<u64>,
    dark: bool,
    cut: Option<Cut>,
}

/// What it is to match, as it was before the scene was made: the session may change while it is.
#[derive(Resource, Default, PartialEq, Clone, Copy)]
struct Wanted(Shown);

fn see_what_is_wanted(
    mut wanted: ResMut<Wanted>,
    workbench: Res<Workbench>,
    dark: Res<IsDark>,
    sight: Res<Sight>,
) {
    wanted.set_if_neq(Wanted(now(&workbench, &dark, &sight)));
}

/// Whether it does not match yet; a hull is drawn over several frames, in which nothing else changes.
fn scene_is_stale(shown: Res<Shown>, wanted: Res<Wanted>, hull: Res<sync_hull::Drawn>) -> bool {
    *shown != wanted.0 || hull.is_under_way()
}

fn note_what_is_shown(mut shown: ResMut<Shown>, wanted: Res<Wanted>) {
    shown.set_if_neq(wanted.0);
}

fn now(workbench: &Workbench, dark: &IsDark, sight: &Sight) -> Shown {
    Shown {
        revision: Some(workbench.session.revision()),
        dark: dark.0,
        cut: Cut::of(&workbench.session, sight),
    }
}

//! Marks where blocks carry and pads touch.

use bevy::light::{NotShadowCaster, NotShadowReceiver};
use bevy::prelude::*;
use keelstead::findings::Findings;
use keelstead_geometry::math::Point;
use keelstead_load::pads::PadState;
use keelstead_workbench::theme::Palette;

use super::SceneSystems;
use super::facets::{Facets, PLAIN, Turned};
use crate::app::{IsDark, Workbench};
use crate::convert;

/// Radius of a mark, m.
const RADIUS_M: f32 = 0.055;
/// Draws a mark before whatever hides it: it is a sign, not a thing.
const IN_FRONT: f32 = 1.0e7;

/// Draws the marks.
pub struct MarksPlugin;

impl Plugin for MarksPlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(Startup, set_up_marks)
            .add_systems(Update, draw_marks.in_set(SceneSystems));
    }
}

/// What a mark says.
#[derive(Component, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// A block bears here.
    Bears,
    /// A pad touches here.
    Steadies,
}

#[derive(Resource)]
struct Looks {
    bears: Handle<Mesh>,
    steadies: Handle<Mesh>,
    light: [Handle<StandardMaterial>; 2],
    dark: [Handle<StandardMaterial>; 2],
}

fn set_up_marks(
    mut commands: Commands,
    mut meshes: ResMut<Assets<Mesh>>,
    mut materials: ResMut<Assets<StandardMaterial>>,
) {
    let mut sign = |colour: Color| {
        materials.add(StandardMaterial {
            base_color: colour,
            unlit: true,
            depth_bias: IN_FRONT,
            ..default()
        })
    };
    // A bearing is a drum, a steadying contact a diamond: told apart without colour.
    let mut signs = |dark: bool| {
        let palette = Palette::of(dark);
        [palette.bears, palette.steadies].map(|colour| {
            let [r, g, b, _] = colour.to_array();
            sign(Color::srgb_u8(r, g, b))
        })
    };
    let (light, dark) = (signs(false), signs(true));
    commands.insert_resource(Looks {
        bears: meshes.add(turned(
            &[(-0.6, 0.0), (-0.6, 1.0), (0.6, 1.0), (0.6, 0.0)],
            24,
        )),
        steadies: meshes.add(turned(&[(-1.1, 0.0), (0.0, 1.1), (1.1, 0.0)], 4)),
        light,
        dark,
    });
}

fn turned(ends: &[(f32, f32)], sides: u32) -> Mesh {
    let profile: Vec<Turned> = ends
        .iter()
        .map(|(along, radius)| Turned {
            along_m: along * RADIUS_M,
            radius_m: radius * RADIUS_M,
            colour: PLAIN,
        })
        .collect();
    let mut shape = Facets::default();
    shape.turn(Vec3::ZERO, Vec3::Z, &profile, sides);
    shape.mesh()
}

fn draw_marks(
    mut commands: Commands,
    looks: Res<Looks>,
    workbench: Res<Workbench>,
    dark: Res<IsDark>,
    old: Query<Entity, With<Mark>>,
) {
    for mark in &old {
        commands.entity(mark).despawn();
    }
    let Some(findings) = workbench.session.drawn_findings() else {
        return;
    };
    let paints = if dark.0 { &looks.dark } else { &looks.light };
    for (mark, at) in marks(findings) {
        let (mesh, paint) = match mark {
            Mark::Bears => (&looks.bears, &paints[0]),
            Mark::Steadies => (&looks.steadies, &paints[1]),
        };
        commands.spawn((
            mark,
            Mesh3d(mesh.clone()),
            MeshMaterial3d(paint.clone()),
            Transform::from_translation(convert::point(at)),
            NotShadowCaster,
            NotShadowReceiver,
        ));
    }
}

/// Every contact of the findings.
fn marks(findings: &Findings) -> Vec<(Mark, Point)> {
    let bearing = findings
        .supports
        .iter()
        .filter(|support| support.carries)
        .filter_map(|support| Some((Mark::Bears, support.contact?)));
    let steadying = findings
        .pads
        .iter()
        .filter(|pad| matches!(pad.state, PadState::Touching | PadState::Pressing))
        .filter_map(|pad| Some((Mark::Steadies, pad.contact?)));
    bearing.chain(steadying).collect()
}

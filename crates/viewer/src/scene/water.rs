//! The water about a hull being brought in, at the waterline that was marked.

use bevy::light::{NotShadowCaster, NotShadowReceiver};
use bevy::prelude::*;
use keelstead_workbench::theme::Palette;

use super::SceneSystems;
use super::facets::{Facets, PLAIN};
use crate::app::{IsDark, Workbench};
use crate::convert;

/// How much of what lies beyond it the water hides, 0 to 1.
const HIDES: f32 = 0.36;
/// How far it reaches beyond the hull's box on every side, as a part of the hull's length.
const BEYOND: f64 = 0.06;

/// Draws the water.
pub struct WaterPlugin;

impl Plugin for WaterPlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(Startup, set_up_water)
            .add_systems(Update, lay_water.in_set(SceneSystems));
    }
}

/// The water's surface.
#[derive(Component, Debug, Clone, Copy)]
pub struct Water;

fn set_up_water(
    mut commands: Commands,
    mut meshes: ResMut<Assets<Mesh>>,
    mut materials: ResMut<Assets<StandardMaterial>>,
) {
    let mut flat = Facets::default();
    let corners = [(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)];
    let corners = corners.map(|(x, y)| Vec3::new(x, y, 0.0));
    flat.polygon(&corners, Vec3::Z, Vec3::truncate, PLAIN);
    let material = StandardMaterial {
        alpha_mode: AlphaMode::Blend,
        unlit: true,
        // It is seen from below as well.
        cull_mode: None,
        double_sided: true,
        ..default()
    };
    commands.spawn((
        Water,
        Mesh3d(meshes.add(flat.mesh())),
        MeshMaterial3d(materials.add(material)),
        Visibility::Hidden,
        NotShadowCaster,
        NotShadowReceiver,
    ));
}

/// Lays it where it was marked, in the theme's colour.
fn lay_water(
    mut materials: ResMut<Assets<StandardMaterial>>,
    workbench: Res<Workbench>,
    dark: Res<IsDark>,
    water: Single<
        (
            &mut Transform,
            &mut Visibility,
            &MeshMaterial3d<StandardMaterial>,
        ),
        With<Water>,
    >,
) {
    let (mut transform, mut visibility, material) = water.into_inner();
    let Some((plane, (hull, trailer_from_hull))) = workbench.session.drawn_water() else {
        visibility.set_if_neq(Visibility::Hidden);
        return;
    };
    visibility.set_if_neq(Visibility::Inherited);
    let (middle, size) = (hull.bounds.center(), hull.bounds.extents());
    let middle = middle - plane.up * plane.height_over_m(middle);
    let [forward, up] =
        [plane.forward, plane.up].map(|way| convert::vec3(trailer_from_hull.rotation * way));
    let room = 2.0 * BEYOND * size.x;
    transform.set_if_neq(Transform {
        translation: convert::vec3(trailer_from_hull * middle),
        rotation: Quat::from_mat3(&Mat3::from_cols(forward, up.cross(forward), up)),
        scale: Vec3::new((size.x + room) as f32, (size.y + room) as f32, 1.0),
    });
    let [r, g, b, _] = Palette::of(dark.0).bears.to_array();
    let colour = Color::srgba_u8(r, g, b, (255.0 * HIDES) as u8);
    // Touched only where the theme turned: what is touched goes to the graphics card anew.
    let turned = |material: &StandardMaterial| material.base_color != colour;
    if materials.get(&material.0).is_some_and(turned)
        && let Some(mut material) = materials.get_mut(&material.0)
    {
        material.base_color = colour;
    }
}

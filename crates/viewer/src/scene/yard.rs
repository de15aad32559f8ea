//! The yard around the rig: ground, light, and a person to measure by.

use bevy::camera::ClearColorConfig;
use bevy::light::{
    CascadeShadowConfig, CascadeShadowConfigBuilder, DirectionalLightShadowMap, NotShadowCaster,
};
use bevy::prelude::*;
use keelstead_geometry::math::Aabb;

use super::facets::{Facets, PLAIN, Turned};
use super::surface::{self, SurfaceMaterial};
use super::{SceneSystems, palette};
use crate::app::{IsDark, Workbench};
use crate::camera::{SceneCamera, Sight};
use crate::convert;

/// Half the side of the ground, m; it has faded into the sky long before.
const GROUND_HALF_M: f32 = 160.0;
/// Height of the figure, m.
const FIGURE_M: f32 = 1.75;
/// How far the figure stands behind and beside everything, m: it hides nothing from any side.
const FIGURE_OFF_M: f32 = 0.4;
/// Side of the shadow map, texels.
#[cfg(not(target_arch = "wasm32"))]
const SHADOW_TEXELS: usize = 2048;
/// Side of the shadow map, texels; phones draw it too.
#[cfg(target_arch = "wasm32")]
const SHADOW_TEXELS: usize = 1024;

/// Ground, light and figure.
pub struct YardPlugin;

impl Plugin for YardPlugin {
    fn build(&self, app: &mut App) {
        app.insert_resource(DirectionalLightShadowMap {
            size: SHADOW_TEXELS,
        })
        .insert_resource(GlobalAmbientLight::NONE)
        .insert_resource(Shadows(true))
        .add_systems(Startup, set_up_yard)
        .add_systems(Update, (paint_yard, stand_figure).in_set(SceneSystems))
        .add_systems(
            Update,
            (spare_shadows, fit_shadows).chain().after(SceneSystems),
        );
    }
}

/// Whether the sun throws shadows: the dearest part of a picture on a weak machine.
#[derive(Resource, Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shadows(pub bool);

/// A frame longer than this is too slow to turn the scene by, s.
const SLOW_S: f32 = 0.12;
/// A longer one was no frame but a rest, s.
const REST_S: f32 = 0.8;
/// So many slow frames in a row during a flight are enough.
const SLOW_FRAMES: u32 = 4;

/// Leaves shadows out where flights stutter: on a page, drawn by a weak phone or in software.
fn spare_shadows(
    time: Res<Time<Real>>,
    sight: Res<Sight>,
    mut shadows: ResMut<Shadows>,
    mut slow: Local<u32>,
) {
    let frame_s = time.delta_secs();
    let stutters = sight.is_flying() && (SLOW_S..REST_S).contains(&frame_s);
    *slow = if stutters { *slow + 1 } else { 0 };
    if cfg!(target_arch = "wasm32") && shadows.0 && *slow >= SLOW_FRAMES {
        shadows.0 = false;
    }
}

#[derive(Component)]
struct Ground;

#[derive(Component)]
struct Sun;

#[derive(Component)]
struct Figure;

fn set_up_yard(
    mut commands: Commands,
    mut meshes: ResMut<Assets<Mesh>>,
    mut materials: ResMut<Assets<SurfaceMaterial>>,
) {
    let mut flat = Facets::default();
    let h = GROUND_HALF_M;
    let corners = [(-h, -h), (h, -h), (h, h), (-h, h)].map(|(x, y)| Vec3::new(x, y, 0.0));
    flat.polygon(&corners, Vec3::Z, Vec3::truncate, PLAIN);
    commands.spawn((
        Ground,
        Mesh3d(meshes.add(flat.mesh())),
        MeshMaterial3d(materials.add(SurfaceMaterial::default())),
        NotShadowCaster,
    ));
    commands.spawn((
        Figure,
        Mesh3d(meshes.add(figure().mesh())),
        MeshMaterial3d(materials.add(SurfaceMaterial::default())),
        Visibility::Hidden,
    ));
    commands.spawn((
        Sun,
        DirectionalLight {
            color: Color::srgb(1.0, 0.975, 0.94),
            shadow_maps_enabled: true,
            shadow_normal_bias: 2.0,
            ..default()
        },
        Transform::from_xyz(0.30, 0.62, 1.0).looking_at(Vec3::ZERO, Vec3::Z),
        CascadeShadowConfig::default(),
    ));
}

/// Colours ground, sky, sun and figure for the theme, and darkens the ground under the rig.
fn paint_yard(
    mut materials: ResMut<Assets<SurfaceMaterial>>,
    workbench: Res<Workbench>,
    dark: Res<IsDark>,
    ground: Single<&MeshMaterial3d<SurfaceMaterial>, With<Ground>>,
    figure: Single<&MeshMaterial3d<SurfaceMaterial>, With<Figure>>,
    mut sun: Single<&mut DirectionalLight, With<Sun>>,
    mut cameras: Query<&mut Camera, With<SceneCamera>>,
) {
    let around = palette::surroundings(dark.0);
    let (middle, half) =
        workbench
            .session
            .scene_bounds()
            .map_or((Vec2::ZERO, Vec2::ZERO), |bounds| {
                let (middle, half) = (
                    convert::vec3(bounds.center()),
                    convert::vec3(bounds.half_extents()),
                );
                (middle.truncate(), half.truncate())
            });
    // What hangs over the edge shades less than what stands near the ground.
    let shaded = (half - Vec2::splat(0.5)).max(Vec2::ZERO);
    if let Some(mut material) = materials.get_mut(&ground.0) {
        *material = surface::ground(&around, middle, shaded);
    }
    let skin = if dark.0 {
        Color::srgb_u8(0x8a, 0x97, 0xa0)
    } else {
        Color::srgb_u8(0x6f, 0x7d, 0x86)
    };
    if let Some(mut material) = materials.get_mut(&figure.0) {
        *material = surface::paint(&around, skin, 0.9, 0.0);
    }
    sun.illuminance = around.sun_lx;
    for mut camera in &mut cameras {
        camera.clear_color = ClearColorConfig::Custom(around.sky);
    }
}

/// Stands the figure behind the stern, to starboard.
fn stand_figure(
    workbench: Res<Workbench>,
    mut figure: Single<(&mut Transform, &mut Visibility), With<Figure>>,
) {
    let (transform, visibility) = &mut *figure;
    let bounds = workbench.session.scene_bounds();
    let shown = workbench.session.view().figure && bounds.is_some();
    visibility.set_if_neq(if shown {
        Visibility::Inherited
    } else {
        Visibility::Hidden
    });
    if let Some(bounds) = bounds {
        let mut place = figure_place(&bounds);
        if workbench.session.intake().is_some() {
            // Within the room for dimension lines, which there is all about.
            place.translation += Vec3::new(2.0 * FIGURE_OFF_M, FIGURE_OFF_M, 0.0);
        }
        transform.set_if_neq(place);
    }
}

fn figure_place(bounds: &Aabb) -> Transform {
    let mins = convert::vec3(bounds.mins);
    Transform::from_xyz(mins.x - FIGURE_OFF_M, mins.y - FIGURE_OFF_M, 0.0)
        .with_rotation(Quat::from_rotation_z(0.9))
}

/// Lets the shadow map cover what the camera looks at, and no more.
fn fit_shadows(
    camera: Query<&Transform, (With<SceneCamera>, Changed<Transform>)>,
    workbench: Res<Workbench>,
    shadows: Res<Shadows>,
    mut sun: Single<(&mut DirectionalLight, &mut CascadeShadowConfig), With<Sun>>,
) {
    if sun.0.shadow_maps_enabled != shadows.0 {
        sun.0.shadow_maps_enabled = shadows.0;
    }
    let (Ok(eye), Some(bounds)) = (camera.single(), workbench.session.scene_bounds()) else {
        return;
    };
    let middle = convert::vec3(bounds.center());
    let radius = bounds.half_extents().length() as f32;
    let reach = eye.translation.distance(middle) + radius;
    *sun.1 = CascadeShadowConfigBuilder {
        num_cascades: 1,
        minimum_distance: 0.1,
        maximum_distance: reach,
        first_cascade_far_bound: reach,
        overlap_proportion: 0.0,
    }
    .build();
}

/// A person of plain shapes, feet on the origin, facing forward.
fn figure() -> Facets {
    let mut shape = Facets::default();
    let mut limb = |base: Vec3, axis: Vec3, ends: &[(f32, f32)]| {
        let profile: Vec<Turned> = ends
            .iter()
            .map(|(along_m, radius_m)| Turned {
                along_m: *along_m,
                radius_m: *radius_m,
                colour: PLAIN,
            })
            .collect();
        shape.turn(base, axis, &profile, 20);
    };
    let round = |low: f32, high: f32, foot: f32, top: f32| {
        let mut ends = vec![(low, 0.0)];
        for i in 1..5 {
            let (sin, cos) = (i as f32 / 5.0 * std::f32::consts::FRAC_PI_2).sin_cos();
            ends.push((low + foot * (1.0 - cos), foot * sin));
        }
        ends.push((low + foot, foot));
        ends.push((high - top, top));
        for i in (1..5).rev() {
            let (sin, cos) = (i as f32 / 5.0 * std::f32::consts::FRAC_PI_2).sin_cos();
            ends.push((high - top * (1.0 - cos), top * sin));
        }
        ends.push((high, 0.0));
        ends
    };
    let head = 0.105;
    limb(
        Vec3::ZERO,
        Vec3::Z,
        &round(FIGURE_M - 0.25, FIGURE_M, head, head + 0.012),
    );
    limb(Vec3::ZERO, Vec3::Z, &round(0.80, 1.47, 0.145, 0.165));
    for side in [-1.0, 1.0] {
        limb(
            Vec3::Y * 0.085 * side,
            Vec3::Z,
            &round(0.0, 0.92, 0.07, 0.09),
        );
        let shoulder = Vec3::new(0.0, 0.172 * side, 1.40);
        let down = Vec3::new(0.03, 0.10 * side, -1.0);
        limb(shoulder, down, &round(-0.03, 0.66, 0.055, 0.045));
    }
    shape
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_figure_is_as_tall_as_it_says_and_stands_on_the_ground() {
        let figure = figure();
        let top = figure.positions().map(|p| p.z).fold(f32::MIN, f32::max);
        let foot = figure.positions().map(|p| p.z).fold(f32::MAX, f32::min);
        assert!(
            (top - FIGURE_M).abs() < 1e-4 && foot.abs() < 1e-4,
            "{foot} {top}"
        );
    }
}

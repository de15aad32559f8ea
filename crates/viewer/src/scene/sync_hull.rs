//! Keeps the drawn hull the session's hull: shape, place, fading and cutting.

use std::sync::Arc;

use bevy::light::NotShadowCaster;
use bevy::prelude::*;
use keelstead::hull::{Hull, PartKind};
use keelstead::math;
use keelstead_workbench::intake::Intake;
use keelstead_workbench::theme::Palette;

use super::surface::{self, SurfaceMaterial};
use super::{SceneSystems, hull, palette};
use crate::app::{IsDark, Workbench};
use crate::camera::Sight;
use crate::convert;
use crate::pick::Cut;

/// Height of the painted line, as a part of the body's height.
const PAINTED_PART: f64 = 0.42;
/// Width of the band along a cut, m.
const OUTLINE_M: f32 = 0.016;

/// Draws the hull.
pub struct HullPlugin;

impl Plugin for HullPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Drawn>().add_systems(
            Update,
            (shape_hull, place_hull, paint_hull, outline_cut)
                .chain()
                .in_set(SceneSystems),
        );
    }
}

/// The hull's frame in the scene: its parts are children.
#[derive(Component)]
pub struct HullRoot;

/// A hull part in the scene, by its index in the hull.
#[derive(Component, Debug, Clone, Copy, PartialEq, Eq)]
pub struct HullPartMark(pub usize);

/// The band along the cut.
#[derive(Component)]
struct CutOutline;

/// What hull is drawn, and where it is cut.
#[derive(Resource, Default)]
struct Drawn {
    hull: Option<Arc<Hull>>,
    outlined: Option<f64>,
}

/// Makes the meshes anew when another hull is open.
fn shape_hull(
    mut commands: Commands,
    mut drawn: ResMut<Drawn>,
    mut meshes: ResMut<Assets<Mesh>>,
    mut materials: ResMut<Assets<SurfaceMaterial>>,
    workbench: Res<Workbench>,
    roots: Query<Entity, With<HullRoot>>,
) {
    let hull = workbench.session.drawn_hull().map(|(hull, _)| hull);
    let same = match (hull, &drawn.hull) {
        (Some(new), Some(old)) => Arc::ptr_eq(new, old),
        (None, None) => true,
        _ => false,
    };
    if same {
        return;
    }
    for root in &roots {
        commands.entity(root).despawn();
    }
    drawn.hull = hull.cloned();
    drawn.outlined = None;
    let Some(hull) = hull else { return };
    let root = commands
        .spawn((HullRoot, Transform::default(), Visibility::default()))
        .id();
    for (index, part) in hull.parts.iter().enumerate() {
        let shape = hull::shape_of(&part.mesh);
        commands.spawn((
            HullPartMark(index),
            Mesh3d(meshes.add(shape.mesh())),
            MeshMaterial3d(materials.add(SurfaceMaterial::default())),
            ChildOf(root),
        ));
    }
}

/// Puts the hull where it came to rest.
fn place_hull(
    workbench: Res<Workbench>,
    mut roots: Query<(&mut Transform, &mut Visibility), With<HullRoot>>,
) {
    let Some((_, trailer_from_hull)) = workbench.session.drawn_hull() else {
        return;
    };
    let gone = workbench.session.view().hull_opacity <= 0.0;
    for (mut transform, mut visibility) in &mut roots {
        transform.set_if_neq(convert::transform(trailer_from_hull.into()));
        visibility.set_if_neq(if gone {
            Visibility::Hidden
        } else {
            Visibility::Inherited
        });
    }
}

/// Paints the parts, fades and cuts them.
fn paint_hull(
    mut commands: Commands,
    mut materials: ResMut<Assets<SurfaceMaterial>>,
    workbench: Res<Workbench>,
    sight: Res<Sight>,
    dark: Res<IsDark>,
    parts: Query<(Entity, &HullPartMark, &MeshMaterial3d<SurfaceMaterial>)>,
) {
    let session = &workbench.session;
    let Some((hull, trailer_from_hull)) = session.drawn_hull() else {
        return;
    };
    let looked_at = session.intake().and_then(Intake::part);
    let [r, g, b, _] = Palette::of(dark.0).accent.to_array();
    let around = palette::surroundings(dark.0);
    let opacity = session.view().hull_opacity as f32;
    let cut = Cut::of(session, &sight);
    let plane = cut.map_or(Vec4::ZERO, |cut| cutting_plane(trailer_from_hull, cut));
    let line_m = painted_line_m(hull);
    for (entity, mark, material) in &parts {
        let Some(part) = hull.parts.get(mark.0) else {
            continue;
        };
        let mut paint = palette::hull_paint(part.kind);
        if looked_at == Some(mark.0) {
            paint = paint.marked(Color::srgb_u8(r, g, b));
        }
        let mut painted = surface::hull(&around, paint, line_m, opacity);
        painted.extension.surface.cut = plane;
        if cut.is_some() {
            // The far side of the shell shows from inside.
            painted.base.cull_mode = None;
            painted.base.double_sided = true;
        }
        if let Some(mut old) = materials.get_mut(&material.0) {
            *old = painted;
        }
        if cut.is_some() || opacity < 1.0 {
            commands.entity(entity).insert(NotShadowCaster);
        } else {
            commands.entity(entity).remove::<NotShadowCaster>();
        }
    }
}

/// The plane beyond which nothing of the hull is drawn, in the world: p · xyz > w.
fn cutting_plane(trailer_from_hull: math::Pose, cut: Cut) -> Vec4 {
    let toward_eye = if cut.without_ahead {
        math::Vec3::X
    } else {
        -math::Vec3::X
    };
    let away = trailer_from_hull.rotation * toward_eye;
    let at = trailer_from_hull * math::Vec3::new(cut.station_m, 0.0, 0.0);
    convert::vec3(away).extend(away.dot(at) as f32)
}

/// Where the paint changes, hull frame, m. Decoration: no waterline is computed here.
fn painted_line_m(hull: &Hull) -> f32 {
    let body = hull.parts.iter().find(|part| part.kind == PartKind::Body);
    let bounds = body.map_or(hull.bounds, |part| part.mesh.aabb());
    (bounds.mins.z + PAINTED_PART * (bounds.maxs.z - bounds.mins.z)) as f32
}

/// Draws the line where the hull is cut.
fn outline_cut(
    mut commands: Commands,
    mut drawn: ResMut<Drawn>,
    mut meshes: ResMut<Assets<Mesh>>,
    mut materials: ResMut<Assets<StandardMaterial>>,
    workbench: Res<Workbench>,
    roots: Query<Entity, With<HullRoot>>,
    outlines: Query<Entity, With<CutOutline>>,
) {
    let cut = workbench.session.view().cut_station_m;
    if drawn.outlined == cut {
        return;
    }
    let Ok(root) = roots.single() else { return };
    for outline in &outlines {
        commands.entity(outline).despawn();
    }
    drawn.outlined = cut;
    let (Some(station_m), Some(hull)) = (cut, workbench.session.drawn_hull().map(|(hull, _)| hull))
    else {
        return;
    };
    let mut shape = super::shape::Shape::default();
    for part in &hull.parts {
        shape.append(&hull::outline(
            &hull::section(&part.mesh, station_m),
            OUTLINE_M,
        ));
    }
    if shape.is_empty() {
        return;
    }
    commands.spawn((
        CutOutline,
        Mesh3d(meshes.add(shape.mesh())),
        MeshMaterial3d(materials.add(StandardMaterial {
            base_color: Color::srgb_u8(0x1d, 0x24, 0x29),
            unlit: true,
            ..default()
        })),
        NotShadowCaster,
        ChildOf(root),
    ));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_half_towards_the_eye_is_cut_away() {
        let pose = math::Pose::from_parts(
            math::Vec3::new(-9.0, 0.0, 1.0),
            math::Rot3::from_rotation_z(0.1),
        );
        for without_ahead in [true, false] {
            let cut = Cut {
                station_m: 4.0,
                without_ahead,
            };
            let plane = cutting_plane(pose, cut);
            for x_m in [3.9, 4.1] {
                let p = convert::vec3(pose * math::Vec3::new(x_m, 0.7, 0.3));
                let gone = p.dot(plane.truncate()) > plane.w;
                assert_eq!(gone, !cut.keeps(x_m), "{x_m} {without_ahead}");
            }
        }
    }
}

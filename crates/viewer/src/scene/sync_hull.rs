//! Keeps the drawn hull the session's hull: shape, place, fading and cutting.

use std::collections::VecDeque;
use std::sync::{Arc, Weak};

use bevy::asset::RenderAssetUsages;
use bevy::light::NotShadowCaster;
use bevy::prelude::*;
use bevy::window::RequestRedraw;
use keelstead_boat::hull::{Hull, PartKind};
use keelstead_geometry::math;
use keelstead_geometry::mesh::Mesh as HullMesh;
use keelstead_workbench::intake::Intake;
use keelstead_workbench::theme::Palette;

use super::facets::Facets;
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
        app.init_resource::<Drawn>()
            // Added already where there is a window.
            .add_message::<RequestRedraw>()
            .init_resource::<HullShapes>()
            .add_systems(
                Update,
                (
                    shape_hull,
                    spawn_pieces,
                    place_hull,
                    paint_hull,
                    outline_cut,
                )
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
pub(super) struct Drawn {
    hull: Option<Arc<Hull>>,
    outlined: Option<f64>,
    /// Pieces still to be drawn.
    waiting: VecDeque<Waiting>,
}

impl Drawn {
    /// Whether pieces are still to be drawn.
    pub(super) fn is_under_way(&self) -> bool {
        !self.waiting.is_empty()
    }
}

/// A piece of a part that is to be drawn.
struct Waiting {
    mesh: Arc<HullMesh>,
    piece: usize,
    material: Handle<SurfaceMaterial>,
    part: usize,
    root: Entity,
}

/// How many pieces a frame takes. A page has one thread for all, and each is some milliseconds.
const PIECES_A_FRAME: usize = if cfg!(target_arch = "wasm32") { 2 } else { 64 };

/// Hull parts as they are drawn, made beside the app and kept while anything holds the part: undo brings
/// a hull back at once.
#[derive(Resource, Default)]
pub struct HullShapes(Vec<(Weak<HullMesh>, Vec<Piece>)>);

/// A piece of a part, before and after it is handed to the graphics card.
enum Piece {
    Facets(Facets),
    Mesh(Handle<Mesh>),
}

impl HullShapes {
    /// Keeps the pieces of each part of a hull until it is drawn.
    pub fn keep(&mut self, hull: &Hull, shapes: Vec<Vec<Facets>>) {
        for (part, shapes) in hull.parts.iter().zip(shapes) {
            self.keep_part(&part.mesh, shapes);
        }
    }

    fn keep_part(&mut self, part: &Arc<HullMesh>, shapes: Vec<Facets>) {
        let pieces = shapes.into_iter().map(Piece::Facets).collect();
        self.0.push((Arc::downgrade(part), pieces));
    }

    /// How many pieces a part has; they are made now if nobody has made them.
    fn count(&mut self, part: &Arc<HullMesh>) -> usize {
        self.0.retain(|(mesh, _)| mesh.strong_count() > 0);
        if self.pieces(part).is_none() {
            self.keep_part(part, hull::pieces_of(part));
        }
        self.pieces(part).map_or(0, |pieces| pieces.len())
    }

    /// A piece of a part, handed to the graphics card now if it was not before.
    fn mesh(
        &mut self,
        part: &Arc<HullMesh>,
        piece: usize,
        meshes: &mut Assets<Mesh>,
    ) -> Option<Handle<Mesh>> {
        let piece = self.pieces(part)?.get_mut(piece)?;
        if let Piece::Facets(shape) = piece {
            let mesh = std::mem::take(shape).mesh_for(RenderAssetUsages::RENDER_WORLD);
            *piece = Piece::Mesh(meshes.add(mesh));
        }
        match piece {
            Piece::Mesh(mesh) => Some(mesh.clone()),
            Piece::Facets(_) => None,
        }
    }

    fn pieces(&mut self, part: &Arc<HullMesh>) -> Option<&mut Vec<Piece>> {
        let same = |mesh: &Weak<HullMesh>| std::ptr::eq(mesh.as_ptr(), Arc::as_ptr(part));
        let found = self.0.iter_mut().find(|(mesh, _)| same(mesh));
        found.map(|(_, pieces)| pieces)
    }
}

/// Makes the meshes anew when another hull is open.
fn shape_hull(
    mut commands: Commands,
    mut drawn: ResMut<Drawn>,
    mut shapes: ResMut<HullShapes>,
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
    drawn.waiting.clear();
    let Some(hull) = hull else { return };
    let root = commands
        .spawn((HullRoot, Transform::default(), Visibility::default()))
        .id();
    for (index, part) in hull.parts.iter().enumerate() {
        let material = materials.add(SurfaceMaterial::default());
        for piece in 0..shapes.count(&part.mesh) {
            drawn.waiting.push_back(Waiting {
                mesh: part.mesh.clone(),
                piece,
                material: material.clone(),
                part: index,
                root,
            });
        }
    }
}

/// Puts pieces into the scene, some a frame.
fn spawn_pieces(
    mut commands: Commands,
    mut drawn: ResMut<Drawn>,
    mut shapes: ResMut<HullShapes>,
    mut meshes: ResMut<Assets<Mesh>>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    if drawn.waiting.is_empty() {
        return;
    }
    redraw.write(RequestRedraw);
    let now = drawn.waiting.len().min(PIECES_A_FRAME);
    for waiting in drawn.waiting.drain(..now) {
        let Some(mesh) = shapes.mesh(&waiting.mesh, waiting.piece, &mut meshes) else {
            continue;
        };
        commands.spawn((
            HullPartMark(waiting.part),
            Mesh3d(mesh),
            MeshMaterial3d(waiting.material),
            ChildOf(waiting.root),
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
    let gone = workbench.session.drawn_opacity() <= 0.0;
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
    let opacity = session.drawn_opacity() as f32;
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
    let cut = workbench.session.drawn_cut_m();
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
    let mut shape = super::facets::Facets::default();
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

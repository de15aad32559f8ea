//! Keeps the drawn rig the rig the engine reports: one entity a part.

use std::sync::Arc;

use bevy::prelude::*;
use keelstead::findings::Findings;
use keelstead_geometry::shape::Shape;
use keelstead_load::load::Load;
use keelstead_load::rig::{Material as Stuff, Rig};
use keelstead_load::rig_parts::RigPartKind;
use keelstead_statics::carrying::Utilisation;
use keelstead_units::verdict::Verdict;
use keelstead_workbench::loads::uses_of_parts;
use keelstead_workbench::theme::Palette;

use super::surface::{self, SurfaceMaterial};
use super::{SceneSystems, palette, rig};
use crate::app::{IsDark, Workbench};
use crate::convert;

/// Draws the rig.
pub struct RigPlugin;

impl Plugin for RigPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Drawn>()
            .add_systems(Update, draw_rig.in_set(SceneSystems));
    }
}

/// A rig part in the scene, by its index in the findings.
#[derive(Component, Debug, Clone, Copy, PartialEq, Eq)]
pub struct RigPartMark(pub usize);

/// What is drawn.
#[derive(Resource, Default)]
struct Drawn {
    rig: Option<Arc<Rig>>,
    dark: bool,
    parts: Vec<(Entity, Look)>,
}

/// All that decides what a part looks like, its place aside.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Look {
    kind: RigPartKind,
    shape: Shape,
    stuff: Option<Stuff>,
    /// Which one it is in its stack.
    place: usize,
    /// Verdict on how hard it is used, where loads are shown.
    used: Option<Verdict>,
}

/// Makes the parts match the findings; a part that only moved keeps its mesh.
fn draw_rig(
    mut commands: Commands,
    mut drawn: ResMut<Drawn>,
    mut meshes: ResMut<Assets<Mesh>>,
    mut materials: ResMut<Assets<SurfaceMaterial>>,
    workbench: Res<Workbench>,
    dark: Res<IsDark>,
    mut transforms: Query<&mut Transform, With<RigPartMark>>,
) {
    let session = &workbench.session;
    let (rig, parts, looks) = match (session.rig(), session.load(), session.drawn_findings()) {
        (Some(rig), Some(load), Some(findings)) => (
            Some(rig),
            findings.rig_parts.as_slice(),
            looks(findings, load, rig, session.view().loads),
        ),
        _ => (None, [].as_slice(), Vec::new()),
    };
    let same_rig = match (rig, &drawn.rig) {
        (Some(new), Some(old)) => Arc::ptr_eq(new, old),
        (None, None) => true,
        _ => false,
    };
    let keep = same_rig && drawn.dark == dark.0;
    let around = palette::surroundings(dark.0);
    let mut old = std::mem::take(&mut drawn.parts).into_iter();
    for (index, (part, look)) in parts.iter().zip(looks).enumerate() {
        let place = convert::transform(part.trailer_from_part);
        let entity = match old.next() {
            Some((entity, was)) if keep && was == look => {
                if let Ok(mut transform) = transforms.get_mut(entity) {
                    transform.set_if_neq(place);
                }
                entity
            }
            other => {
                if let Some((entity, _)) = other {
                    commands.entity(entity).despawn();
                }
                let Some(rig) = rig else { continue };
                let shape = rig::shape_of(part, rig);
                let mut new = commands.spawn((RigPartMark(index), place, Visibility::default()));
                if !shape.is_empty() {
                    let material = materials.add(material(&around, look, index, dark.0));
                    new.insert((Mesh3d(meshes.add(shape.mesh())), MeshMaterial3d(material)));
                }
                new.id()
            }
        };
        drawn.parts.push((entity, look));
    }
    for (entity, _) in old {
        commands.entity(entity).despawn();
    }
    drawn.rig = rig.cloned();
    drawn.dark = dark.0;
}

/// What each part looks like: its stuff found through the load's beams and stacks.
fn looks(findings: &Findings, load: &Load, rig: &Rig, loads: bool) -> Vec<Look> {
    let mut blocks_of = vec![0_usize; load.beams.len()];
    let uses = uses_of_parts(findings);
    findings
        .rig_parts
        .iter()
        .zip(uses)
        .map(|(part, used)| {
            let placed = part.beam.and_then(|beam| load.beams.get(beam));
            let mut place = 0;
            let stuff = match (part.kind, placed) {
                (RigPartKind::Beam, Some(placed)) => {
                    let stock = rig.beams.iter().find(|stock| stock.name == placed.beam);
                    stock.map(|stock| stock.material)
                }
                (RigPartKind::Block, Some(placed)) => {
                    let count = part.beam.and_then(|beam| blocks_of.get_mut(beam));
                    if let Some(count) = count {
                        place = *count + 1;
                        *count += 1;
                    }
                    let block = placed.stack.get(place.saturating_sub(1));
                    let stock = block.and_then(|block| {
                        rig.blocks.iter().find(|stock| stock.name == block.block)
                    });
                    stock.map(|stock| stock.material)
                }
                _ => None,
            };
            Look {
                kind: part.kind,
                shape: part.shape,
                stuff,
                place,
                used: used.filter(|_| loads).map(Utilisation::verdict),
            }
        })
        .collect()
}

fn material(
    around: &palette::Surroundings,
    look: Look,
    seed: usize,
    dark: bool,
) -> SurfaceMaterial {
    let seed = (seed % 97) as f32;
    let wood = |stuff| {
        let plain = palette::wood(stuff, look.place);
        look.used.map_or(plain, |verdict| {
            palette::used(plain, Palette::of(dark).verdict_rgb(verdict))
        })
    };
    match (look.kind, look.stuff) {
        (RigPartKind::Packing, _) => surface::timber(around, palette::rig_paint(look.kind), seed),
        (RigPartKind::Beam | RigPartKind::Block, Some(Stuff::Steel)) => {
            surface::paint(around, wood(Stuff::Steel), 0.5, 0.3)
        }
        (RigPartKind::Beam | RigPartKind::Block, stuff) => {
            let colour = wood(stuff.unwrap_or(Stuff::WhiteOak));
            surface::timber(around, colour, seed)
        }
        (RigPartKind::Tyre, _) => surface::paint(around, palette::rig_paint(look.kind), 0.9, 0.0),
        (RigPartKind::Tractor, _) if matches!(look.shape, Shape::Cylinder { .. }) => {
            surface::paint(around, palette::rig_paint(RigPartKind::Tyre), 0.9, 0.0)
        }
        (kind, _) => surface::paint(around, palette::rig_paint(kind), 0.6, 0.0),
    }
}

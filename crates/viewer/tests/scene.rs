//! The scene's systems without a window: what stands in the world is what the engine reports.
#![allow(clippy::unwrap_used)]

use bevy::asset::AssetPlugin;
use bevy::mesh::MeshPlugin;
use bevy::prelude::*;
use keelstead_files::given::Given;
use keelstead_files::{Silent, open_job};
use keelstead_viewer::app::{IsDark, Workbench};
use keelstead_viewer::camera::Sight;
use keelstead_viewer::hand::drag::{Grab, Handle};
use keelstead_viewer::pick::{Cut, Drawn, Ray, Target, pick};
use keelstead_viewer::scene::marks::Mark;
use keelstead_viewer::scene::palette;
use keelstead_viewer::scene::surface::SurfaceMaterial;
use keelstead_viewer::scene::water::Water;
use keelstead_viewer::scene::{HullPartMark, HullRoot, RigPartMark, ScenePlugin};
use keelstead_viewer::{convert, opening};
use keelstead_workbench::Session;
use keelstead_workbench::action::{Action, Request};
use keelstead_workbench::intake::IntakeAction;
use keelstead_workbench::loads::uses_of_parts;
use keelstead_workbench::task::{Files, carry_out};
use keelstead_workbench::theme::Palette;

fn demo(name: &str) -> Workbench {
    let path = opening::demo_path(name).unwrap();
    let mut workbench = Workbench::default();
    let job = open_job(&opening::demo_files(), path, &Silent).unwrap();
    workbench.session = Session::new(job);
    workbench
}

fn app(workbench: Workbench) -> App {
    let mut app = App::new();
    app.add_plugins((MinimalPlugins, AssetPlugin::default(), MeshPlugin))
        .init_asset::<SurfaceMaterial>()
        .init_asset::<StandardMaterial>()
        .insert_resource(workbench)
        .init_resource::<IsDark>()
        .init_resource::<Sight>()
        .add_plugins(ScenePlugin);
    app.update();
    app
}

fn assert_rig_stands_as_found(app: &mut App) {
    let mut query = app.world_mut().query::<(&RigPartMark, &Transform)>();
    let placed: Vec<(usize, Transform)> = query
        .iter(app.world())
        .map(|(mark, place)| (mark.0, *place))
        .collect();
    let workbench = app.world().resource::<Workbench>();
    let parts = &workbench.session.findings().unwrap().rig_parts;
    assert_eq!(placed.len(), parts.len(), "one entity a part");
    for (index, place) in placed {
        let wanted = convert::transform(parts[index].trailer_from_part);
        assert!(
            place.translation.distance(wanted.translation) < 1e-5,
            "{}",
            parts[index].name
        );
    }
}

#[test]
fn every_part_of_every_demo_stands_where_the_engine_says() {
    for path in opening::demo_jobs() {
        let mut app = app(demo(path));
        assert_rig_stands_as_found(&mut app);
        let world = app.world_mut();
        let hull_parts = world.query::<&HullPartMark>().iter(world).count();
        let root = *world
            .query_filtered::<&Transform, With<HullRoot>>()
            .single(world)
            .unwrap();
        let marks = world.query::<&Mark>().iter(world).count();
        let session = &app.world().resource::<Workbench>().session;
        let findings = session.findings().unwrap();
        assert_eq!(hull_parts, session.hull().unwrap().parts.len(), "{path}");
        assert_eq!(
            root,
            convert::transform(findings.trailer_from_hull),
            "{path}"
        );
        let carrying = findings.supports.iter().filter(|s| s.carries).count();
        assert!(
            marks >= carrying,
            "{path}: {marks} marks, {carrying} stacks carry"
        );
    }
}

/// A page draws two pieces of a hull a frame, and stopped after the first frame until something else changed: mast and
/// rails were missing.
#[test]
fn a_hull_of_more_parts_than_a_frame_takes_is_drawn_whole_with_nothing_else_changing() {
    let path = opening::demo_jobs().next().unwrap();
    let mut job = open_job(&opening::demo_files(), path, &Silent).unwrap();
    let parts = &mut job.hull.parts;
    let small = parts.iter().min_by_key(|part| part.mesh.triangles().len());
    let small = small.unwrap().clone();
    while parts.len() < 150 {
        let mut more = small.clone();
        more.name = format!("stanchion {}", parts.len());
        parts.push(more);
    }
    let mut workbench = Workbench::default();
    workbench.session = Session::new(job);
    let mut app = app(workbench);
    for _ in 0..3 {
        app.update();
    }
    let world = app.world_mut();
    let mut drawn: Vec<usize> = world
        .query::<&HullPartMark>()
        .iter(world)
        .map(|mark| mark.0)
        .collect();
    drawn.sort_unstable();
    drawn.dedup();
    assert_eq!(drawn.len(), 150);
}

#[test]
fn an_edit_moves_what_it_moves_and_keeps_the_meshes_of_the_rest() {
    let mut app = app(demo(opening::demo_jobs().next().unwrap()));
    let meshes = |app: &mut App| {
        let world = app.world_mut();
        let mut query = world.query_filtered::<(Entity, &Mesh3d), With<RigPartMark>>();
        let mut all: Vec<_> = query.iter(world).map(|(e, mesh)| (e, mesh.id())).collect();
        all.sort_by_key(|(entity, _)| *entity);
        all
    };
    let before = meshes(&mut app);
    let x_m = app
        .world()
        .resource::<Workbench>()
        .session
        .load()
        .unwrap()
        .stand
        .x_m;
    let mut workbench = app.world_mut().resource_mut::<Workbench>();
    workbench.perform(Action::HullForward(x_m + 0.25));
    app.update();
    let world = app.world_mut();
    let root = *world
        .query_filtered::<&Transform, With<HullRoot>>()
        .single(world)
        .unwrap();
    let session = &app.world().resource::<Workbench>().session;
    let wanted = convert::transform(session.findings().unwrap().trailer_from_hull);
    assert_eq!(root, wanted);
    let kept = meshes(&mut app)
        .iter()
        .filter(|part| before.contains(part))
        .count();
    assert!(
        kept * 4 > before.len() * 3,
        "{kept} of {} parts kept",
        before.len()
    );
    assert_rig_stands_as_found(&mut app);
}

/// Colour of each part of the rig that is drawn, by its index.
fn colours(app: &mut App) -> Vec<(usize, Color)> {
    let world = app.world_mut();
    let mut query = world.query::<(&RigPartMark, &MeshMaterial3d<SurfaceMaterial>)>();
    let looks: Vec<_> = query
        .iter(world)
        .map(|(m, look)| (m.0, look.0.clone()))
        .collect();
    let materials = world.resource::<Assets<SurfaceMaterial>>();
    looks
        .into_iter()
        .map(|(index, look)| (index, materials.get(&look).unwrap().base.base_color))
        .collect()
}

#[test]
fn beams_and_blocks_wear_the_verdict_on_their_use_while_loads_are_shown() {
    let mut app = app(demo("petrel-idle-block"));
    let with = colours(&mut app);
    app.world_mut()
        .resource_mut::<Workbench>()
        .perform(Action::Loads(false));
    app.update();
    let mut without = colours(&mut app);
    without.sort_by_key(|(index, _)| *index);
    let session = &app.world().resource::<Workbench>().session;
    let uses = uses_of_parts(session.findings().unwrap());
    let palette = Palette::of(app.world().resource::<IsDark>().0);
    let mut worn = 0;
    for (index, colour) in with {
        let at = without.binary_search_by_key(&index, |(i, _)| *i).unwrap();
        let own = without[at].1;
        let wanted = uses[index].map_or(own, |used| {
            palette::used(own, palette.verdict_rgb(used.verdict()))
        });
        assert_eq!(colour, wanted, "part {index}");
        worn += usize::from(uses[index].is_some());
    }
    assert!(worn >= 4, "beams and blocks: {worn}");
}

#[test]
fn a_ray_from_abeam_hits_the_hull_and_one_past_it_does_not() {
    let workbench = demo(opening::demo_jobs().next().unwrap());
    let session = &workbench.session;
    let (hull, findings) = (session.hull().unwrap(), session.findings().unwrap());
    let bounds = hull.bounds.transform_by(&findings.trailer_from_hull.pose());
    let centre = bounds.center();
    let drawn = Drawn {
        cut: None,
        visible: true,
    };
    let ray = |z: f64| Ray {
        origin: keelstead_geometry::math::Vec3::new(centre.x, centre.y + 30.0, z),
        direction: -keelstead_geometry::math::Vec3::Y,
    };
    let body_z = bounds.mins.z + 0.55 * (bounds.maxs.z - bounds.mins.z);
    let hit = pick(hull, findings, drawn, ray(body_z)).unwrap();
    assert!(matches!(hit.target, Target::Hull(_)));
    assert!(hit.at.y > centre.y && hit.at.y <= bounds.maxs.y + 1e-6);
    assert!(pick(hull, findings, drawn, ray(bounds.maxs.z + 5.0)).is_none());
    // With the hull cut far aft, the same ray goes through where it was.
    let cut = Drawn {
        cut: Some(Cut {
            station_m: hull.bounds.mins.x + 0.2,
            without_ahead: true,
        }),
        ..drawn
    };
    let beyond = pick(hull, findings, cut, ray(body_z));
    assert!(beyond.is_none_or(|hit| !matches!(hit.target, Target::Hull(_))));
}

#[test]
fn dragging_the_hull_is_one_step_to_undo() {
    let mut workbench = demo(opening::demo_jobs().next().unwrap());
    let start = workbench.session.load().unwrap().stand.x_m;
    let at = keelstead_geometry::math::Vec3::new(start + 3.0, 0.0, 2.0);
    let grab = Grab::take(Handle::Hull, at, &workbench.session).unwrap();
    for step in 1..=5 {
        let to = at + keelstead_geometry::math::Vec3::X * 0.02 * f64::from(step);
        let origin = to + keelstead_geometry::math::Vec3::Y * 12.0;
        let ray = Ray {
            origin,
            direction: -keelstead_geometry::math::Vec3::Y,
        };
        let action = grab.drag(ray, &workbench.session).unwrap();
        workbench.perform(action);
    }
    workbench.perform(Action::Settle);
    let moved = workbench.session.load().unwrap().stand.x_m;
    assert!((moved - start - 0.10).abs() < 1e-9, "{moved} {start}");
    workbench.perform(Action::Undo);
    assert_eq!(workbench.session.load().unwrap().stand.x_m, start);
    assert_eq!(workbench.session.to_undo(), None);
}

/// Where the water lies, if it shows.
fn water(app: &mut App) -> Option<Transform> {
    let mut query = app
        .world_mut()
        .query_filtered::<(&Transform, &Visibility), With<Water>>();
    let (place, shown) = query.single(app.world()).unwrap();
    (*shown != Visibility::Hidden).then_some(*place)
}

#[test]
fn the_water_lies_at_the_marked_waterline_until_it_is_left_out() {
    let bytes = keelstead_demo_data::file("hulls/petrel.glb").unwrap();
    let mut workbench = Workbench::default();
    let session = &mut workbench.session;
    let mut waiting = session.handed_over(Files::Given(vec![Given::new("petrel.glb", bytes)]));
    while let Some(request) = waiting.pop() {
        if let Request::Carry(task) = request {
            let outcome = carry_out(*task, keelstead_demo_data::FILES, &Silent);
            waiting.extend(session.finished("petrel.glb", outcome));
        }
    }
    let mut app = app(workbench);
    assert_eq!(water(&mut app), None, "nobody marked any");
    let mark = |x_m, z_m| keelstead_boat::weigh::Mark { x_m, z_m };
    let line = keelstead_boat::weigh::MarkedWaterline {
        aft: mark(1.0, 1.3),
        fore: mark(7.0, 1.6),
        heel_rad: 0.05,
        tolerance_m: 0.02,
        water: keelstead_boat::weigh::Water::Salt,
    };
    let act = |app: &mut App, action: Action| {
        app.world_mut()
            .resource_mut::<Workbench>()
            .session
            .perform(action);
        app.update();
    };
    act(
        &mut app,
        Action::Intake(IntakeAction::Waterline(Some(line))),
    );
    let place = water(&mut app).unwrap();
    // Each corner of what is drawn is in the water's plane, and the hull's middle over its middle.
    let session = &app.world().resource::<Workbench>().session;
    let (hull, trailer_from_hull) = session.drawn_hull().unwrap();
    let plane = line.plane();
    for (x, y) in [(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)] {
        let corner = place.transform_point(Vec3::new(x, y, 0.0));
        let in_hull = trailer_from_hull.inverse() * convert::engine_vec3(corner);
        let over_m = plane.height_over_m(in_hull);
        assert!(over_m.abs() < 1e-4, "{over_m} m off at {x} {y}");
    }
    let length_m = hull.bounds.extents().x as f32;
    assert!(place.scale.x > length_m && place.scale.x < 1.5 * length_m);
    act(&mut app, Action::Water(false));
    assert_eq!(water(&mut app), None, "left out");
    act(&mut app, Action::Water(true));
    assert!(water(&mut app).is_some());
    act(&mut app, Action::Intake(IntakeAction::Waterline(None)));
    assert_eq!(water(&mut app), None, "taken away");
}

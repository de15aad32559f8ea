//! One picture of each demo job, drawn without a display: the bottom paint is where the engine's
//! own rays meet the hull's bottom, and nowhere else.
//!
//! Slow on a machine that draws in software, so behind the feature `pixels`.
#![cfg(feature = "pixels")]
#![allow(clippy::unwrap_used)]

use bevy::image::Image;
use bevy::prelude::Vec2;
use keelstead_boat::hull::PartKind;
use keelstead_files::given::Given;
use keelstead_files::{Silent, open_job};
use keelstead_viewer::app::Workbench;
use keelstead_viewer::camera::orbit::{Lens, Orbit};
use keelstead_viewer::pick::{Drawn, Ray, Target, pick, pick_hull};
use keelstead_viewer::{convert, opening, picture};
use keelstead_workbench::Session;
use keelstead_workbench::action::{Action, Request};
use keelstead_workbench::intake::IntakeAction;
use keelstead_workbench::task::{Files, carry_out};
use keelstead_workbench::theme::Palette;
use keelstead_workbench::view::{LookFrom, ThemeChoice};

const SIZE: (u32, u32) = (720, 480);
/// Every so many pixels one is looked at.
const GRID: usize = 9;

fn open(path: &str) -> Workbench {
    let mut workbench = Workbench::default();
    let job = open_job(&opening::demo_files(), path, &Silent).unwrap();
    workbench.session = Session::new(job);
    workbench.perform(Action::Theme(ThemeChoice::Light));
    workbench.perform(Action::Figure(false));
    // Arrows would lie over the paint that is looked for.
    workbench.perform(Action::Loads(false));
    workbench
}

/// The eye that the picture uses, found the way the picture finds it.
fn lens(workbench: &mut Workbench) -> Lens {
    let size = picture::scene_size(SIZE);
    workbench.session.set_aspect(f64::from(size.x / size.y));
    let requests = workbench.session.perform(Action::LookFrom(LookFrom::Port));
    let orbit = requests.into_iter().find_map(|request| match request {
        Request::FlyTo(camera) => Some(Orbit::from(camera)),
        _ => None,
    });
    Lens {
        orbit: orbit.unwrap(),
        min: Vec2::ZERO,
        size,
    }
}

fn is_bottom_paint([r, g, b]: [u8; 3]) -> bool {
    let light = (u16::from(r) + u16::from(g) + u16::from(b)) / 3;
    i16::from(b) > i16::from(r) + 8 && light < 125
}

fn colour(image: &Image, x: usize, y: usize) -> [u8; 3] {
    let data = image.data.as_ref().unwrap();
    let at = (y * SIZE.0 as usize + x) * 4;
    [data[at], data[at + 1], data[at + 2]]
}

#[test]
fn every_demo_job_shows_its_hull_where_it_is() {
    for path in opening::demo_jobs() {
        let lens = lens(&mut open(path));
        // Arrows and plates of the loads would lie over the paint.
        let look = vec![Action::LookFrom(LookFrom::Port), Action::Loads(false)];
        let image = picture::render(open(path), SIZE, look).unwrap();
        assert_eq!((image.width(), image.height()), SIZE);
        let workbench = open(path);
        let session = &workbench.session;
        let (hull, findings) = (session.hull().unwrap(), session.findings().unwrap());
        let hull_from_trailer = findings.trailer_from_hull.pose().inverse();
        let drawn = Drawn {
            cut: None,
            visible: true,
        };
        let body = hull
            .parts
            .iter()
            .find(|part| part.kind == PartKind::Body)
            .unwrap()
            .mesh
            .aabb();
        // Well under the painted line, whatever part of the height that is.
        let low = body.mins.z + 0.33 * (body.maxs.z - body.mins.z);
        let (mut bottom, mut painted, mut beside, mut spilt) = (0, 0, 0, 0);
        for y in (0..lens.size.y as usize).step_by(GRID) {
            for x in (0..SIZE.0 as usize).step_by(GRID) {
                let (origin, direction) = lens.ray(Vec2::new(x as f32 + 0.5, y as f32 + 0.5));
                let ray = Ray {
                    origin: convert::engine_vec3(origin),
                    direction: convert::engine_vec3(direction).normalize(),
                };
                let paint = is_bottom_paint(colour(&image, x, y));
                match pick(hull, findings, drawn, ray) {
                    Some(hit) => {
                        let Target::Hull(part) = hit.target else {
                            continue;
                        };
                        let kind = hull.parts[part].kind;
                        let wet = matches!(kind, PartKind::Body | PartKind::Keel | PartKind::Skeg);
                        if wet && (hull_from_trailer * hit.at).z < low {
                            bottom += 1;
                            painted += usize::from(paint);
                        }
                    }
                    None => {
                        beside += 1;
                        spilt += usize::from(paint);
                    }
                }
            }
        }
        assert!(
            bottom > 20,
            "{path}: only {bottom} samples of the bottom are in the picture"
        );
        // Marks and numbers are written over some of it: a plate hides a third of a small boat's.
        assert!(
            painted * 10 >= bottom * 6,
            "{path}: {painted} of {bottom} samples are painted"
        );
        assert!(
            spilt * 50 <= beside,
            "{path}: {spilt} of {beside} samples beside are painted"
        );
    }
}

/// A hull brought in over an open job: it stands alone, upright, where its own rays say, with its
/// dimension lines beside it.
#[test]
fn a_hull_brought_in_is_drawn_alone_with_its_dimensions() {
    let bring_in = || {
        let mut workbench = open(opening::demo_jobs().next().unwrap());
        let named = ["gannet.json", "gannet.glb"];
        let given = named.map(|name| {
            let bytes = keelstead_demo_data::file(&format!("hulls/{name}")).unwrap();
            Given::new(name, bytes)
        });
        workbench.perform(Action::Intake(IntakeAction::Begin));
        let asked = workbench.session.handed_over(Files::Given(given.to_vec()));
        for request in asked {
            if let Request::Carry(task) = request {
                let outcome = carry_out(*task, keelstead_demo_data::FILES, &Silent);
                workbench.session.finished("gannet", outcome);
            }
        }
        workbench
    };
    let lens = lens(&mut bring_in());
    let look = vec![Action::LookFrom(LookFrom::Port)];
    let image = picture::render(bring_in(), SIZE, look).unwrap();
    let workbench = bring_in();
    let (hull, pose) = workbench.session.drawn_hull().unwrap();
    let drawn = Drawn {
        cut: None,
        visible: true,
    };
    let body = hull.parts.iter().find(|part| part.kind == PartKind::Body);
    let body = body.unwrap().mesh.aabb();
    let low = body.mins.z + 0.33 * (body.maxs.z - body.mins.z);
    let accent = Palette::of(false).accent.to_array();
    let (mut bottom, mut painted, mut beside, mut spilt, mut lines) = (0, 0, 0, 0, 0);
    for y in 0..lens.size.y as usize {
        for x in 0..SIZE.0 as usize {
            let seen = colour(&image, x, y);
            lines += usize::from((0..3).all(|i| seen[i].abs_diff(accent[i]) < 6));
            if x % GRID != 0 || y % GRID != 0 {
                continue;
            }
            let (origin, direction) = lens.ray(Vec2::new(x as f32 + 0.5, y as f32 + 0.5));
            let ray = Ray {
                origin: convert::engine_vec3(origin),
                direction: convert::engine_vec3(direction).normalize(),
            };
            let paint = is_bottom_paint(seen);
            match pick_hull(hull, &pose, drawn, ray) {
                Some(hit) if (pose.inverse() * hit.at).z < low => {
                    bottom += 1;
                    painted += usize::from(paint);
                }
                Some(_) => {}
                None => {
                    // The lines' blue, and its soft edges, are near to the paint's.
                    let line = (0..3).all(|i| seen[i].abs_diff(accent[i]) < 60);
                    beside += 1;
                    spilt += usize::from(paint && !line);
                }
            }
        }
    }
    assert!(
        bottom > 20 && painted * 10 >= bottom * 6,
        "{painted} of {bottom}"
    );
    assert!(
        spilt * 50 <= beside,
        "{spilt} of {beside} samples beside are painted"
    );
    assert!(lines > 200, "only {lines} pixels of dimension lines");
}

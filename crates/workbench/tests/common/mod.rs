//! A small job made here: a prism with a keel on a trailer with three beams.
#![allow(clippy::unwrap_used, dead_code)]

pub mod bench;
pub mod bring;

use std::sync::Arc;

use keelstead_boat::hull::{
    CentreOfGravity, Hull, HullFacts, HullPart, Marks, Mass, PartKind, StrongStation,
};
use keelstead_files::OpenJob;
use keelstead_files::job::Job;
use keelstead_files::kept::{JobFiles, KeptFile, Place};
use keelstead_files::save::Saved;
use keelstead_geometry::math::{Aabb, Point};
use keelstead_geometry::mesh::Mesh;
use keelstead_load::load::*;
use keelstead_load::rig::*;
use keelstead_units::fields::Range;
use keelstead_units::quantity::Basis;
use keelstead_workbench::{Action, Demo, Session};

fn cuboid(lo: [f64; 3], hi: [f64; 3]) -> Arc<Mesh> {
    let (vertices, triangles) = Aabb::new(lo.into(), hi.into()).to_trimesh();
    Arc::new(Mesh::new(vertices, triangles).unwrap())
}

/// 8 m long, 2.4 m wide body over a 0.5 m deep keel.
pub fn hull() -> Hull {
    let part = |name: &str, kind, min, max| HullPart {
        name: name.to_owned(),
        kind,
        part_use: keelstead_boat::hull::PartUse::Checked,
        mesh: cuboid(min, max),
    };
    Hull::new(
        "Dunlin",
        vec![
            part("body", PartKind::Body, [-0.5, -1.2, 0.5], [7.5, 1.2, 2.0]),
            part("keel", PartKind::Keel, [0.0, -0.1, 0.0], [6.0, 0.1, 0.5]),
        ],
        HullFacts {
            mass: Some(Mass {
                mass_kg: 4_000.0,
                tolerance_kg: 200.0,
                basis: Basis::Measured,
            }),
            centre: Some(CentreOfGravity {
                at: Point::new(3.0, 0.0, 0.9),
                tolerance: Point::new(0.1, 0.05, 0.1),
                basis: Basis::Computed,
            }),
            shape_tolerance_m: 0.01,
            marks: Marks {
                strong_stations: [1.0, 4.0]
                    .map(|x_m| StrongStation {
                        name: String::new(),
                        x_m,
                        reach_m: StrongStation::usual_reach(),
                    })
                    .to_vec(),
                ..Marks::default()
            },
            ..HullFacts::default()
        },
    )
    .unwrap()
}

fn block(name: &str, count: usize, length_m: f64, width_m: f64, thickness_m: f64) -> BlockStock {
    BlockStock {
        name: name.to_owned(),
        count,
        length_m,
        width_m,
        thickness_m,
        material: Material::WhiteOak,
        grade: None,
    }
}

fn pad(name: &str, x_m: f64, y_m: f64) -> PadMount {
    PadMount {
        name: name.to_owned(),
        pivot: Point::new(x_m, y_m, 0.1),
        elevation_rad: Range { min: 0.0, max: 1.2 },
        reach_m: Range { min: 0.3, max: 1.1 },
        pad_length_m: 0.3,
        pad_height_m: 0.3,
        pad_thickness_m: 0.08,
        swivel_rad: 0.5,
        rating_n: None,
        stiffness_n_per_m: None,
    }
}

/// A trailer of 10 m with six pockets and four pads.
pub fn rig() -> Rig {
    Rig {
        name: "Yard trailer 10".into(),
        rails: Rails {
            front_x_m: -1.5,
            aft_x_m: -10.5,
            clear_width_m: 1.8,
            seat_stiffness_n_per_m: None,
            bending_n_m2: None,
            width_m: 0.15,
            depth_m: 0.30,
            pockets: (0..6)
                .map(|i| Pocket {
                    x_m: -3.0 - 1.2 * f64::from(i),
                    opening_width_m: 0.24,
                    opening_height_m: 0.22,
                    sill_below_top_m: 0.26,
                })
                .collect(),
        },
        members: vec![Member {
            name: "front cross member".into(),
            from: Point::new(-1.5, -1.0, -0.15),
            to: Point::new(-1.5, 1.0, -0.15),
            width_m: 0.2,
            depth_m: 0.3,
        }],
        coupling: Coupling {
            height_m: 1.2,
            rating_kg: Some(8_000.0),
        },
        axles: [-7.4, -8.6]
            .map(|x_m| Axle {
                x_m,
                track_m: 2.3,
                tyre_diameter_m: 0.9,
                tyre_width_m: 0.14,
                dual_spacing_m: None,
                rating_kg: Some(9_000.0),
            })
            .to_vec(),
        mudguards: vec![FixedBox {
            name: "mudguard, left".into(),
            min: Point::new(-9.2, 0.98, 0.08),
            max: Point::new(-6.8, 1.32, 0.12),
        }],
        pads: vec![
            pad("front left pad", -4.0, 1.3),
            pad("front right pad", -4.0, -1.3),
            pad("aft left pad", -6.5, 1.3),
            pad("aft right pad", -6.5, -1.3),
        ],
        suspension: Suspension {
            rail_top_m: Range { min: 0.8, max: 1.2 },
            level_m: 1.0,
            roll_stiffness_nm_per_rad: None,
        },
        tractor: None,
        beams: vec![BeamStock {
            name: "oak 200".into(),
            count: 4,
            length_m: 2.1,
            width_m: 0.2,
            depth_m: 0.2,
            material: Material::WhiteOak,
            grade: None,
            section: None,
        }],
        blocks: vec![
            block("thick", 6, 0.6, 0.20, 0.15),
            block("thin", 4, 0.6, 0.20, 0.05),
        ],
        timbers: Vec::new(),
        packing: Packing {
            shims_m: vec![0.003, 0.006, 0.012],
            shims_at_most_m: 0.03,
            wedge_rad: Some(0.06),
        },
        ratings: Ratings {
            payload_kg: Some(12_000.0),
            gross_kg: None,
        },
        tare: Some(Tare {
            mass_kg: 3_500.0,
            centre: Some(Point::new(-6.5, 0.0, 0.9)),
        }),
        tolerance_m: 0.005,
    }
}

fn beam(pocket: usize, blocks: &[&str]) -> PlacedBeam {
    PlacedBeam {
        beam: "oak 200".into(),
        seat: Seat::Pocket(pocket),
        stack: blocks
            .iter()
            .map(|block| PlacedBlock {
                block: (*block).to_owned(),
                lie: BlockOrientation::Flat,
            })
            .collect(),
        stack_y_m: 0.0,
        shim_m: 0.0,
        wedge_rad: 0.0,
        wanted_share: None,
        soft_packing_n_per_m: None,
    }
}

pub fn load() -> Load {
    Load {
        stand: HullPosition {
            x_m: -9.0,
            y_m: 0.0,
            yaw_rad: 0.0,
            heel_rad: 0.0,
            wanted: None,
        },
        beams: vec![beam(2, &["thick", "thin"]), beam(5, &["thick"])],
        pads: vec![PadSetting {
            pad: "aft left pad".into(),
            elevation_rad: 0.6,
            reach: Reach::UntilTouching,
        }],
        rail_top_m: 1.0,
        extra_weights: Vec::new(),
        measured: Vec::new(),
        required: Required::default(),
    }
}

pub fn job() -> OpenJob {
    OpenJob {
        path: "jobs/dunlin.json".into(),
        job: Job {
            version: 1,
            name: "Dunlin <on> the yard trailer".into(),
            hull: "../hulls/dunlin.json".into(),
            rig: "../rigs/yard.json".into(),
            load: load(),
            note: "A prism, to try things on.".into(),
        },
        hull: hull(),
        rig: rig(),
        files: JobFiles {
            hull: vec![in_memory("hulls/dunlin.json")],
            rig: vec![in_memory("rigs/yard.json")],
            marks: None,
        },
        notices: Vec::new(),
    }
}

/// A file that lies on no disk.
pub fn in_memory(name: &str) -> KeptFile {
    KeptFile {
        name: name.to_owned(),
        place: Place::Memory([].into()),
    }
}

/// How the platform tells that it saved the open job as it is.
pub fn saved_as_is(session: &Session) -> Saved {
    Saved {
        job: session.job().unwrap().clone(),
        files: session.files().unwrap().clone(),
        brought: Vec::new(),
    }
}

/// A session with that job open and some demos to choose from.
pub fn session() -> Session {
    let mut session = Session::new(job());
    session.set_demos(demos());
    session
}

pub fn demos() -> Vec<Demo> {
    ["easy", "high blocking", "foul mudguard"]
        .map(|name| Demo {
            path: format!("jobs/{name}.json"),
            name: format!("Demo: {name}"),
            note: "A sentence on what this job shows, long enough to wrap on a narrow screen."
                .into(),
        })
        .to_vec()
}

pub fn do_all(session: &mut Session, actions: impl IntoIterator<Item = Action>) {
    for action in actions {
        session.perform(action);
    }
}

/// The demo's jobs, opened as the page opens them.
pub fn demo_jobs() -> Vec<OpenJob> {
    let files = keelstead_demo_data::FILES
        .iter()
        .map(|(path, bytes)| ((*path).to_owned(), bytes.to_vec()));
    let source = keelstead_files::source::Memory::new(files);
    keelstead_demo_data::FILES
        .iter()
        .filter(|(path, _)| path.starts_with("jobs/"))
        .map(|(path, _)| {
            keelstead_files::open_job(&source, path, &keelstead_files::Silent).unwrap()
        })
        .collect()
}

/// A sentence in metric figures.
pub fn said(sentence: &keelstead_units::quantity::Sentence) -> String {
    keelstead_units::sentence(sentence, keelstead_units::Units::Metric)
}

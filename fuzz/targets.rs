//! What the fuzzer and the test of its seeds call: every reader, and what makes sense of a mesh. Each takes any bytes, and
//! panics where a promise is broken.

use std::io::{Cursor, Write};

use keelstead_files::hull_file::{Axis, HullFile, LengthUnit};
use keelstead_files::intake::{Answers, import};
use keelstead_files::job::Job;
use keelstead_files::mesh_file::{self, MeshFile};
use keelstead_files::offsets::OffsetTable;
use keelstead_files::source::Memory;
use keelstead_files::{Silent, document, open, placing};

pub mod soup;

/// A name, and what is called with the bytes.
pub type Target = (&'static str, fn(&[u8]));

/// Every target. A new document or reader gets a line here, seeds beside the
/// others, and nothing else.
pub const TARGETS: &[Target] = &[
    ("stl", |bytes| mesh(bytes, "a.stl")),
    ("obj", |bytes| mesh(bytes, "a.obj")),
    ("ply", |bytes| mesh(bytes, "a.ply")),
    ("glb", |bytes| mesh(bytes, "a.glb")),
    ("gltf", |bytes| mesh(bytes, "a.gltf")),
    ("3mf", |bytes| mesh(bytes, "a.3mf")),
    ("3mf-model", three_mf_model),
    ("collada", |bytes| mesh(bytes, "a.dae")),
    ("xyz", |bytes| mesh(bytes, "a.xyz")),
    ("las", |bytes| mesh(bytes, "a.laz")),
    ("offsets", offsets),
    ("measures", |bytes| mesh(bytes, "a.measures.json")),
    ("hull", hull),
    ("job", job),
    ("rig", rig),
    ("intake", intake),
    ("soup", soup::soup),
];

/// What every reader owes: an error that names the file, or something sound.
fn mesh(bytes: &[u8], name: &str) {
    match mesh_file::read(bytes, name) {
        Ok(file) => sound(&file),
        Err(error) => assert!(error.to_string().contains(name), "{error}"),
    }
}

fn sound(file: &MeshFile) {
    assert!(!file.parts.is_empty());
    assert!(file.tolerance.is_finite() && file.tolerance >= 0.0);
    for part in &file.parts {
        assert!(!part.triangles.is_empty() && !part.name.is_empty());
        assert!(part.positions.iter().flatten().all(|c| c.is_finite()));
        let corners = part.triangles.iter().flatten();
        assert!(
            corners
                .into_iter()
                .all(|&i| (i as usize) < part.positions.len())
        );
    }
}

/// The model inside a 3MF, so that the fuzzer need not learn to pack.
fn three_mf_model(bytes: &[u8]) {
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let stored =
        zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    let written = writer
        .start_file("3D/3dmodel.model", stored)
        .and_then(|()| Ok(writer.write_all(bytes)?))
        .and_then(|()| writer.finish());
    mesh(&written.expect("writing to memory").into_inner(), "a.3mf");
}

fn offsets(bytes: &[u8]) {
    if let Ok(table) = OffsetTable::read(bytes, "a.csv") {
        let _ = table.surface("a.csv");
    }
    mesh(bytes, "a.csv");
}

/// A hull description beside a small mesh.
fn hull(bytes: &[u8]) {
    let source = Memory::dropped([
        ("a.json".to_owned(), bytes.to_vec()),
        ("boat.stl".to_owned(), BOAT.as_bytes().to_vec()),
    ]);
    let _ = open::open_hull(&source, "a.json", &Silent);
    if let Ok(described) = document::read::<HullFile>(bytes, "a.json")
        && let Ok(file) = mesh_file::read(BOAT.as_bytes(), "boat.stl")
    {
        let _ = placing::hull(&described, "a.json", file);
    }
}

fn job(bytes: &[u8]) {
    if let Ok(job) = document::read::<Job>(bytes, "a.json") {
        let _ = job.load.validate();
    }
}

fn rig(bytes: &[u8]) {
    let source = Memory::new([("a.json".to_owned(), bytes.to_vec())]);
    let _ = open::open_rig(&source, "a.json");
}

/// A mesh of whatever kind, made sense of: as it comes, and with every question answered.
fn intake(bytes: &[u8]) {
    let Ok(file) = mesh_file::read(bytes, "a.mesh") else {
        return;
    };
    let told = Answers {
        unit: Some(LengthUnit::Metre),
        up: Some(Axis::PlusZ),
        forward: Some(Axis::PlusX),
        ..Answers::default()
    };
    let scaled = Answers {
        length_m: Some(10.0),
        close_deck: true,
        join_slits_m: Some(0.05),
        close_holes_m: Some(1.0),
        ..told.clone()
    };
    for answers in [
        Answers::default(),
        told,
        scaled.clone(),
        Answers {
            mirror: Some(true),
            separate: Some(true),
            ..scaled
        },
    ] {
        if let Ok(hull) = import(file.clone(), "a.mesh", "Boat", &answers) {
            soup::sound(&hull);
        }
    }
}

/// A boat of four triangles, 8 m long.
const BOAT: &str = "solid body
facet normal 0 0 0\nouter loop\nvertex 0 -1 1\nvertex 8 0 1.2\nvertex 1 0 0\nendloop\nendfacet
facet normal 0 0 0\nouter loop\nvertex 0 1 1\nvertex 1 0 0\nvertex 8 0 1.2\nendloop\nendfacet
facet normal 0 0 0\nouter loop\nvertex 0 -1 1\nvertex 1 0 0\nvertex 0 1 1\nendloop\nendfacet
facet normal 0 0 0\nouter loop\nvertex 0 -1 1\nvertex 0 1 1\nvertex 8 0 1.2\nendloop\nendfacet
endsolid body\n";

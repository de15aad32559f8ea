#![allow(clippy::unwrap_used)]

use keelstead_geometry::math::{Pose, Rot3, Vec3};
use keelstead_geometry::mesh::Mesh;
use proptest::prelude::*;

use super::*;
use crate::mesh_file;
use crate::offsets::OffsetTable;
use keelstead_units::Units;

/// A boat of formula, 10 m long, 3 m wide, 1.2 m deep, transom aft at x = 0, stem at x = 10.
fn boat() -> (Vec<Vec3>, Vec<[u32; 3]>) {
    let mut text = String::from("z_m\\x_m");
    for x in 0..=20 {
        text += &format!(",{}", 0.5 * f64::from(x));
    }
    for k in 0..=6 {
        let z = f64::from(k) * 0.2;
        text += &format!("\n{z}");
        for x in 0..=20 {
            let along = f64::from(x) / 20.0;
            text += &format!(",{:.6}", 1.5 * (1.0 - along * along) * (z / 1.2).sqrt());
        }
    }
    let table = OffsetTable::read(text.as_bytes(), "boat.csv").unwrap();
    let surface = table.surface("boat.csv").unwrap();
    let vertices = surface
        .positions
        .into_iter()
        .map(Vec3::from_array)
        .collect();
    (vertices, surface.triangles)
}

fn stl_of(vertices: &[Vec3], triangles: &[[u32; 3]]) -> MeshFile {
    let positions: Vec<[f64; 3]> = vertices.iter().map(|v| v.to_array()).collect();
    let part = Written {
        name: "a",
        positions: &positions,
        triangles,
    };
    let mut bytes = stl(&[part]);
    // Nobody says how it lies.
    bytes[..80].fill(0);
    mesh_file::read(&bytes, "boat.stl").unwrap()
}

fn bounds(hull: &Imported) -> [Vec3; 2] {
    let ends = [Vec3::splat(f64::INFINITY), Vec3::splat(f64::NEG_INFINITY)];
    let positions = hull.parts.iter().flat_map(|part| &part.positions);
    positions.fold(ends, |[lo, hi], p| {
        let p = Vec3::from_array(*p);
        [lo.min(p), hi.max(p)]
    })
}

fn mesh(hull: &Imported) -> Mesh {
    let part = &hull.parts[0];
    let vertices = part.positions.iter().copied().map(Vec3::from_array);
    Mesh::new(vertices.collect(), part.triangles.clone()).unwrap()
}

fn volume_m3() -> f64 {
    let (vertices, triangles) = boat();
    Mesh::new(vertices, triangles).unwrap().volume_m3().unwrap()
}

fn up_is_z() -> Answers {
    Answers {
        up: Some(Axis::PlusZ),
        ..Answers::default()
    }
}

/// A sentence in metric figures.
fn metric(sentence: &Sentence) -> String {
    keelstead_units::sentence(sentence, Units::Metric)
}

fn says(sentences: &[Sentence], what: &str) -> bool {
    sentences.iter().any(|one| metric(one).contains(what))
}

#[test]
fn a_boat_stood_on_its_side_in_millimetres_comes_upright_in_metres() {
    let (vertices, triangles) = boat();
    // File axes: bow along −z, up along +x, port along −y (a right-handed frame).
    let laid: Vec<Vec3> = vertices
        .iter()
        .map(|v| Vec3::new(v.z, -v.y, -v.x) * 1000.0 + Vec3::new(7.0, 900.0, -50.0))
        .collect();
    let file = stl_of(&laid, &triangles);
    let up = Answers {
        up: Some(Axis::PlusX),
        ..Answers::default()
    };
    let hull = import(file, "boat.stl", "Boat", &up).unwrap();
    let found = &hull.examined;
    assert_eq!(
        found.unit.value,
        Some(LengthUnit::Millimetre),
        "{:?}",
        found.unit
    );
    assert_eq!(
        found.forward.value,
        Some(Axis::MinusZ),
        "{:?}",
        found.forward
    );
    assert_eq!(found.half.value, Some(false));
    let [low, high] = bounds(&hull);
    let size = high - low;
    assert!((size - Vec3::new(10.0, 3.0, 1.2)).length() < 1e-5, "{size}");
    assert!(
        (low.y + high.y).abs() < 1e-5,
        "the middle is the centreline"
    );
    let mesh = mesh(&hull);
    assert!(mesh.topology().closed() && mesh.topology().consistent);
    assert!((mesh.signed_volume_m3() / volume_m3() - 1.0).abs() < 1e-5);
    assert!(
        mesh.lowest_surface(low.x + 9.5, 0.8).is_none(),
        "the bow is the fine end"
    );
}

#[test]
fn heel_and_yaw_are_taken_out() {
    let (vertices, triangles) = boat();
    for (heel, yaw) in [(0.07_f64, 0.02), (-0.12, -0.05), (0.2, 0.0)] {
        let turn = Rot3::from_rotation_z(yaw) * Rot3::from_rotation_x(heel);
        let pose = Pose::from_parts(Vec3::new(3.0, 1.0, 2.0), turn);
        let laid: Vec<Vec3> = vertices.iter().map(|v| pose * *v).collect();
        let answers = Answers {
            unit: Some(LengthUnit::Metre),
            ..up_is_z()
        };
        let hull = import(stl_of(&laid, &triangles), "b.stl", "B", &answers).unwrap();
        let [low, high] = bounds(&hull);
        let size = high - low;
        assert!(
            (size - Vec3::new(10.0, 3.0, 1.2)).length() < 1e-4,
            "heel {heel}, yaw {yaw}: {size}"
        );
        assert!((low.y + high.y).abs() < 1e-4, "{low} {high}");
        assert!(says(&hull.changed, "heel"), "{:?}", hull.changed);
    }
}

#[test]
fn an_open_boat_is_up_where_it_is_open() {
    let (vertices, triangles) = boat();
    let deck = |t: &&[u32; 3]| t.iter().any(|&i| vertices[i as usize].z < 1.2 - 1e-9);
    let open: Vec<[u32; 3]> = triangles.iter().filter(deck).copied().collect();
    let unit = Answers {
        unit: Some(LengthUnit::Metre),
        ..Answers::default()
    };
    let over: Vec<Vec3> = vertices
        .iter()
        .map(|v| Vec3::new(v.x, -v.y, -v.z))
        .collect();
    for (positions, up) in [(&vertices, Axis::PlusZ), (&over, Axis::MinusZ)] {
        let hull = import(stl_of(positions, &open), "b.stl", "B", &unit).unwrap();
        assert_eq!(hull.examined.up.value, Some(up), "{:?}", hull.examined.up);
        assert_eq!(hull.examined.sides.holes.len(), 1);
        assert!(says(&hull.left, "One hole"), "{:?}", hull.left);
        let top = bounds(&hull)[1].z;
        let rim = mesh(&hull).unbalanced_edges();
        let mesh = mesh(&hull);
        let at_top = |i: &u32| (mesh.vertices()[*i as usize].z - top).abs() < 1e-6;
        assert!(rim.iter().flatten().all(at_top));
        // The bottom faces down.
        let hit = mesh.cast_ray(Vec3::new(3.017, 0.303, -5.0), Vec3::Z);
        let [a, b, c] =
            mesh.triangles()[hit.unwrap().triangle as usize].map(|i| mesh.vertices()[i as usize]);
        assert!((b - a).cross(c - a).z < 0.0);
    }
}

#[test]
fn half_a_hull_is_recognised_and_mirrored_when_told() {
    let (vertices, triangles) = boat();
    let port = |t: &&[u32; 3]| {
        let sum: f64 = t.iter().map(|&i| vertices[i as usize].y).sum();
        sum > 0.0 && t.iter().all(|&i| vertices[i as usize].y >= 0.0)
    };
    let half: Vec<[u32; 3]> = triangles.iter().filter(port).copied().collect();
    let unit = Answers {
        unit: Some(LengthUnit::Metre),
        ..up_is_z()
    };
    let error = import(stl_of(&vertices, &half), "b.stl", "B", &unit).unwrap_err();
    assert!(
        error.to_string().contains("half a hull, to be mirrored"),
        "{error}"
    );
    let mirror = Answers {
        mirror: Some(true),
        ..unit.clone()
    };
    let hull = import(stl_of(&vertices, &half), "b.stl", "B", &mirror).unwrap();
    let [low, high] = bounds(&hull);
    assert!(
        (high.y - 1.5).abs() < 1e-5 && (low.y + 1.5).abs() < 1e-5,
        "{low} {high}"
    );
    let mesh = mesh(&hull);
    assert!(mesh.topology().consistent);
    // Deck and transom went across the middle and are no part of the half: open there only.
    let open = mesh.unbalanced_edges();
    let ends = open
        .iter()
        .flatten()
        .map(|&i| mesh.vertices()[i as usize] - low);
    assert!(open.len() > 100);
    for end in ends {
        assert!(end.x < 1e-5 || end.z > 1.2 - 1e-5, "open at {end}");
    }
    let error = import(stl_of(&vertices, &triangles), "b.stl", "B", &mirror).unwrap_err();
    assert!(error.to_string().contains("same on both sides"), "{error}");
}

#[test]
fn sides_doubles_and_slivers_are_put_right() {
    let (mut vertices, triangles) = boat();
    let mut spoilt = triangles.clone();
    for (i, triangle) in spoilt.iter_mut().enumerate() {
        if i % 3 != 0 {
            triangle.swap(0, 1);
        }
    }
    spoilt.extend_from_slice(&triangles[..50]);
    // A corner split by five micrometres, with the sliver that closes the crack.
    let [a, b, _] = spoilt[200];
    let moved = vertices[a as usize] + Vec3::new(2e-6, 0.0, 0.0);
    vertices.push(moved);
    let new = vertices.len() as u32 - 1;
    spoilt[200][0] = new;
    spoilt.push([new, b, a]);
    let part = mesh_file::MeshPart {
        name: "hull".into(),
        positions: vertices.iter().map(|v| v.to_array()).collect(),
        triangles: spoilt,
    };
    let mut file = stl_of(&vertices, &triangles);
    file.parts = vec![part];
    let answers = Answers {
        unit: Some(LengthUnit::Metre),
        ..up_is_z()
    };
    let hull = import(file, "b.stl", "B", &answers).unwrap();
    let mesh = mesh(&hull);
    assert!(
        mesh.topology().closed() && mesh.topology().consistent,
        "{:?}",
        mesh.topology()
    );
    assert!((mesh.signed_volume_m3() / volume_m3() - 1.0).abs() < 1e-6);
    let removed = hull.examined.removed;
    assert_eq!(
        (
            removed.duplicates,
            removed.slivers,
            removed.positions_joined
        ),
        (50, 1, 1)
    );
    assert!(hull.examined.sides.turned > triangles.len() / 4);
}

#[test]
fn shells_of_a_file_without_parts_become_parts() {
    let (vertices, triangles) = boat();
    let mut all = vertices.clone();
    let mut both = triangles.clone();
    let shift = all.len() as u32;
    // A small copy ahead of the middle, over the deck.
    all.extend(vertices.iter().map(|v| *v * 0.1 + Vec3::new(3.0, 0.0, 1.5)));
    both.extend(triangles.iter().map(|t| t.map(|i| i + shift)));
    let answers = Answers {
        unit: Some(LengthUnit::Metre),
        ..up_is_z()
    };
    let hull = import(stl_of(&all, &both), "b.stl", "B", &answers).unwrap();
    let names: Vec<&str> = hull.parts.iter().map(|part| part.name.as_str()).collect();
    assert_eq!(names, ["hull", "shell 2"]);
    assert_eq!(hull.parts[0].kind, keelstead_boat::hull::PartKind::Body);
    assert_eq!(hull.described.parts.len(), 2);
}

#[test]
fn what_the_mesh_does_not_tell_is_asked() {
    let (vertices, triangles) = boat();
    let asked = |answers: &Answers| {
        let error = import(stl_of(&vertices, &triangles), "b.stl", "B", answers).unwrap_err();
        error.to_string()
    };
    let text = asked(&Answers::default());
    for piece in [
        "metre or foot",
        "10.00 m",
        "3.05 m",
        "in which unit",
        "which way is up",
        "b.stl",
    ] {
        assert!(text.contains(piece), "{piece:?} is not in: {text}");
    }
    assert!(!text.contains("bow points"), "the bow is plain: {text}");
    let scaled = Answers {
        length_m: Some(9.4),
        ..up_is_z()
    };
    let hull = import(stl_of(&vertices, &triangles), "b.stl", "B", &scaled).unwrap();
    let [low, high] = bounds(&hull);
    assert!((high.x - low.x - 9.4).abs() < 1e-9);
    let crossed = Answers {
        forward: Some(Axis::MinusZ),
        ..up_is_z()
    };
    assert!(asked(&crossed).contains("same axis"));
    let tiny: Vec<Vec3> = vertices.iter().map(|v| *v * 1e-6).collect();
    let error = import(stl_of(&tiny, &triangles), "b.stl", "B", &up_is_z()).unwrap_err();
    assert!(
        error.to_string().contains("how long it is over all"),
        "{error}"
    );
}

#[test]
fn a_lump_without_a_middle_is_asked_about() {
    let corners = [
        [0.0, 0.0, 0.0],
        [9.0, 1.0, 0.3],
        [2.0, 3.0, 0.1],
        [1.0, 0.5, 2.0],
    ];
    let vertices: Vec<Vec3> = corners.map(Vec3::from_array).to_vec();
    let file = stl_of(&vertices, &[[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]);
    let error = import(file, "lump.stl", "L", &Answers::default()).unwrap_err();
    let text = error.to_string();
    assert!(
        text.contains("which way is up") && text.contains("which way the bow points"),
        "{text}"
    );
}

#[test]
fn what_is_written_reads_back() {
    let (vertices, triangles) = boat();
    let positions: Vec<[f64; 3]> = vertices.iter().map(|v| v.to_array()).collect();
    let part = |name| Written {
        name,
        positions: &positions,
        triangles: &triangles,
    };
    let read = mesh_file::read(&glb(&[part("hull"), part("copy")]).unwrap(), "b.glb").unwrap();
    assert_eq!(read.format, mesh_file::Format::Glb);
    assert_eq!(read.parts.len(), 2);
    assert_eq!(
        (read.parts[0].name.as_str(), read.parts[1].name.as_str()),
        ("hull", "copy")
    );
    assert_eq!(read.parts[0].triangles.len(), triangles.len());
    let read = mesh_file::read(&stl(&[part("hull"), part("copy")]), "b.stl").unwrap();
    assert_eq!(
        read.parts[0].triangles.len(),
        triangles.len(),
        "the copy stands there twice"
    );
}

/// The demo's boats are written as glTF lays down, and say so: nothing is asked.
#[test]
fn the_demo_boats_come_in_without_a_question() {
    let files = keelstead_demo_data::FILES.iter();
    let mut boats = 0;
    for (name, bytes) in files.filter(|(name, _)| name.ends_with(".glb")) {
        let file = mesh_file::read(bytes, name).unwrap();
        let nodes = file.parts.len();
        let hull = import(file, name, "Boat", &Answers::default()).unwrap();
        let found = &hull.examined;
        assert_eq!(found.unit.value, Some(LengthUnit::Metre), "{name}");
        assert_eq!(
            (found.up.value, found.forward.value, found.half.value),
            (Some(Axis::PlusY), Some(Axis::PlusZ), Some(false)),
            "{name}"
        );
        assert_eq!(
            (found.sides.turned, found.sides.disagreeing),
            (0, 0),
            "{name}"
        );
        assert_eq!(
            found.trim_rad.value,
            Some(0.0),
            "{name}: {:?}",
            found.trim_rad
        );
        assert_eq!(hull.parts.len(), nodes, "{name}: parts are the file's own");
        assert!(
            hull.changed
                .iter()
                .map(metric)
                .all(|c| c.contains("Turned: +z") || c.contains("a hair apart")),
            "{name}: {:?}",
            hull.changed
        );
        boats += 1;
    }
    assert!(boats >= 4, "{boats}");
}

mod kinds;
mod lie;
mod place;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// A table with any cells: a surface or a message.
    #[test]
    fn any_table_gives_a_surface_or_a_message(
        cells in prop::collection::vec(prop::sample::select(vec!["", "0", "1", "-1", "2.5", "1e6", "x", "1-2-3"]), 12..40),
        wide in 2_usize..6, named: bool,
    ) {
        let mut text = String::from(if named { "offsets,metre\nstation,0,1,2\n" } else { "z_m\\x_m,0,1,2\n" });
        let lines = ["profile height", "sheer height", "sheer half-breadth", "stem x", "stem height",
            "buttock 1", "rabbet height", "rabbet half-breadth", "waterline 2"];
        for (i, row) in cells.chunks(wide).enumerate() {
            let title = if named { lines[i % lines.len()].to_owned() } else { i.to_string() };
            text += &format!("{title},{}\n", row.join(","));
        }
        if let Ok(surface) = OffsetTable::read(text.as_bytes(), "t.csv").and_then(|t| t.surface("t.csv")) {
            prop_assert!(surface.positions.as_flattened().iter().all(|c| c.is_finite()));
        }
    }
}

#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use serde_json::json;

use super::*;

/// A unit tetrahedron.
const CORNERS: [[f32; 3]; 4] = [
    [0.0, 0.0, 0.0],
    [1.0, 0.0, 0.0],
    [0.0, 1.0, 0.0],
    [0.0, 0.0, 1.0],
];
const FACES: [[usize; 3]; 4] = [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]];

fn stl(faces: &[[usize; 3]]) -> Vec<u8> {
    let mut bytes = vec![b' '; 80];
    bytes.extend((faces.len() as u32).to_le_bytes());
    for face in faces {
        bytes.extend([0; 12]);
        for &corner in face {
            bytes.extend(CORNERS[corner].iter().flat_map(|c| c.to_le_bytes()));
        }
        bytes.extend([0; 2]);
    }
    bytes
}

fn stl_text(name: &str, faces: &[[usize; 3]]) -> String {
    let mut text = format!("solid {name}\n");
    for face in faces {
        text += "  facet normal 0 0 0\n    outer loop\n";
        for &corner in face {
            let [x, y, z] = CORNERS[corner];
            text += &format!("      vertex {x:e} {y} {z}\n");
        }
        text += "    endloop\n  endfacet\n";
    }
    text + &format!("endsolid {name}\n")
}

fn obj_text() -> String {
    let mut text = String::from("# a comment\nmtllib no.mtl\n");
    for [x, y, z] in CORNERS {
        text += &format!("v {x} {y} {z} 1.0\n");
    }
    text += "vt 0 0\nvn 0 0 1\no Hull\ng bottom\nf 1/1/1 3/1/1 2//1\nf 1 2 4\ng side\nusemtl a\nf -4 -1 -2\nf 2 3 4\n";
    text
}

fn ply(encoding: &str) -> Vec<u8> {
    let mut bytes = format!(
        "ply\nformat {encoding} 1.0\ncomment by hand\nelement vertex 4\nproperty float x\n\
         property float y\nproperty float z\nproperty uchar red\nelement face 4\n\
         property list uchar int vertex_indices\nend_header\n"
    )
    .into_bytes();
    let big = encoding.contains("big");
    for corner in CORNERS {
        if encoding == "ascii" {
            bytes.extend(format!("{} {} {} 255\n", corner[0], corner[1], corner[2]).bytes());
            continue;
        }
        for c in corner {
            bytes.extend(if big {
                c.to_be_bytes()
            } else {
                c.to_le_bytes()
            });
        }
        bytes.push(255);
    }
    for face in FACES {
        if encoding == "ascii" {
            bytes.extend(format!("3 {} {} {}\n", face[0], face[1], face[2]).bytes());
            continue;
        }
        bytes.push(3);
        for corner in face {
            let corner = corner as i32;
            bytes.extend(if big {
                corner.to_be_bytes()
            } else {
                corner.to_le_bytes()
            });
        }
    }
    bytes
}

fn buffer() -> Vec<u8> {
    let mut bytes: Vec<u8> = CORNERS
        .iter()
        .flatten()
        .flat_map(|c| c.to_le_bytes())
        .collect();
    bytes.extend(
        FACES
            .iter()
            .flatten()
            .flat_map(|&i| (i as u16).to_le_bytes()),
    );
    bytes
}

/// Two nodes show the tetrahedron: one moved and doubled, its child mirrored.
fn gltf_json(uri: Option<&str>) -> serde_json::Value {
    let mut buffer = json!({ "byteLength": 72 });
    if let Some(uri) = uri {
        buffer["uri"] = uri.into();
    }
    json!({
        "asset": { "version": "2.0" },
        "scene": 0,
        "scenes": [{ "nodes": [0] }],
        "nodes": [
            { "name": "hull", "mesh": 0, "translation": [10, 0, 0], "scale": [2, 2, 2], "children": [1] },
            { "name": "keel", "mesh": 0, "scale": [-1, 1, 1] },
        ],
        "meshes": [{ "primitives": [{ "attributes": { "POSITION": 0 }, "indices": 1 }] }],
        "buffers": [buffer],
        "bufferViews": [
            { "buffer": 0, "byteLength": 48 },
            { "buffer": 0, "byteOffset": 48, "byteLength": 24 },
        ],
        "accessors": [
            { "bufferView": 0, "componentType": 5126, "count": 4, "type": "VEC3",
              "min": [0, 0, 0], "max": [1, 1, 1] },
            { "bufferView": 1, "componentType": 5123, "count": 12, "type": "SCALAR" },
        ],
    })
}

fn glb(json: &serde_json::Value, buffer: &[u8]) -> Vec<u8> {
    let mut text = json.to_string().into_bytes();
    text.resize(text.len().next_multiple_of(4), b' ');
    let mut bytes = b"glTF".to_vec();
    bytes.extend(2_u32.to_le_bytes());
    bytes.extend((28 + text.len() as u32 + buffer.len() as u32).to_le_bytes());
    bytes.extend((text.len() as u32).to_le_bytes());
    bytes.extend(b"JSON");
    bytes.extend(text);
    bytes.extend((buffer.len() as u32).to_le_bytes());
    bytes.extend(b"BIN\0");
    bytes.extend(buffer);
    bytes
}

/// Six times the volume of a part.
fn volume6(part: &MeshPart) -> f64 {
    let at = |i: u32| keelstead_geometry::math::Vec3::from_array(part.positions[i as usize]);
    part.triangles
        .iter()
        .map(|&[a, b, c]| at(a).dot(at(b).cross(at(c))))
        .sum()
}

fn good() -> Vec<(&'static str, Vec<u8>, Format)> {
    vec![
        ("a.stl", stl(&FACES), Format::StlBinary),
        (
            "b.stl",
            stl_text("hull", &FACES).into_bytes(),
            Format::StlAscii,
        ),
        ("c.obj", obj_text().into_bytes(), Format::Obj),
        ("d.ply", ply("ascii"), Format::Ply),
        ("e.ply", ply("binary_little_endian"), Format::Ply),
        ("f.ply", ply("binary_big_endian"), Format::Ply),
        ("g.glb", glb(&gltf_json(None), &buffer()), Format::Glb),
    ]
}

fn fault(bytes: &[u8], name: &str) -> String {
    let error = read(bytes, name).unwrap_err();
    let text = error.to_string();
    assert!(text.starts_with(name), "names the file: {text}");
    text
}

#[test]
fn every_format_gives_the_tetrahedron() {
    for (name, bytes, format) in good() {
        let file = read(&bytes, name).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(file.format, format, "{name}");
        let triangles: usize = file.parts.iter().map(|part| part.triangles.len()).sum();
        if format == Format::Glb {
            assert_eq!(triangles, 8);
            continue;
        }
        assert_eq!(triangles, 4, "{name}");
        if format != Format::Obj {
            assert_eq!(file.parts[0].positions.len(), 4, "{name} welded");
            assert!((volume6(&file.parts[0]) - 1.0).abs() < 1e-9, "{name}");
        }
        assert!(file.notices.is_empty(), "{name}: {:?}", file.notices);
    }
}

#[test]
fn obj_groups_and_solids_become_parts() {
    let names = |file: MeshFile| {
        file.parts
            .into_iter()
            .map(|part| part.name)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        names(read(obj_text().as_bytes(), "a.obj").unwrap()),
        ["Hull/bottom", "Hull/side"]
    );
    let two = stl_text("hull", &FACES) + &stl_text("keel low", &FACES) + &stl_text("hull", &FACES);
    assert_eq!(
        names(read(two.as_bytes(), "a.stl").unwrap()),
        ["hull", "keel low", "hull 2"]
    );
}

#[test]
fn nodes_stand_where_the_scene_puts_them() {
    let file = read(&glb(&gltf_json(None), &buffer()), "a.glb").unwrap();
    let [hull, keel] = &file.parts[..] else {
        panic!("{:?}", file.parts)
    };
    assert_eq!((hull.name.as_str(), keel.name.as_str()), ("hull", "keel"));
    assert_eq!(
        hull.positions[1..],
        [[12.0, 0.0, 0.0], [10.0, 2.0, 0.0], [10.0, 0.0, 2.0]]
    );
    assert!((volume6(hull) - 8.0).abs() < 1e-9);
    // Mirrored by -1 in x, yet still facing outward.
    assert!((volume6(keel) - 8.0).abs() < 1e-9);
    assert!(keel.positions.contains(&[8.0, 0.0, 0.0]));
    assert_eq!(file.unit, Some(LengthUnit::Metre));
}

#[test]
fn gltf_finds_its_buffer_beside_it_or_inside() {
    use base64::Engine;
    let encoded = base64::engine::general_purpose::STANDARD.encode(buffer());
    let inside = gltf_json(Some(&format!(
        "data:application/octet-stream;base64,{encoded}"
    )));
    assert_eq!(
        read(inside.to_string().as_bytes(), "a.gltf")
            .unwrap()
            .parts
            .len(),
        2
    );

    let beside = gltf_json(Some("the%20buffer.bin")).to_string();
    let source = Memory::new([("hulls/the buffer.bin".to_owned(), buffer())]);
    let around = Surroundings {
        source: &source,
        progress: &Silent,
    };
    assert_eq!(
        read_with(beside.as_bytes(), "hulls/a.gltf", &around)
            .unwrap()
            .parts
            .len(),
        2
    );

    let missing = read(beside.as_bytes(), "hulls/a.gltf").unwrap_err();
    assert!(matches!(&missing, FileError::Missing { .. }), "{missing}");
    let text = missing.to_string();
    assert!(
        text.contains("the buffer.bin") && text.contains("hulls/a.gltf"),
        "{text}"
    );
    let out = gltf_json(Some("../../x.bin")).to_string();
    assert!(matches!(
        read(out.as_bytes(), "a.gltf"),
        Err(FileError::Outside { .. })
    ));
}

#[test]
fn content_counts_more_than_the_name() {
    for (_, bytes, format) in good() {
        let file = read(&bytes, "hull.xyz").unwrap();
        assert_eq!(file.format, format);
        assert!(
            file.notices[0].to_string().contains(format.word()),
            "{:?}",
            file.notices
        );
    }
    let file = read(obj_text().as_bytes(), "hull.stl").unwrap();
    assert_eq!(file.format, Format::Obj);
    // The comment of a binary STL may begin as an ASCII one does.
    let mut bytes = stl(&FACES);
    bytes[..5].copy_from_slice(b"solid");
    assert_eq!(read(&bytes, "a.stl").unwrap().format, Format::StlBinary);
}

#[test]
fn hollow_polygons_keep_their_outline() {
    // An L seen from above: 3 of the 4 unit squares; a fan from its inner corner's neighbour
    // would reach outside.
    let text = "v 2 0 0\nv 2 1 0\nv 1 1 0\nv 1 2 0\nv 0 2 0\nv 0 0 0\nf 1 2 3 4 5 6\n";
    let file = read(text.as_bytes(), "l.obj").unwrap();
    let part = &file.parts[0];
    assert_eq!(part.triangles.len(), 4);
    let at = |i: u32| keelstead_geometry::math::Vec3::from_array(part.positions[i as usize]);
    let areas: Vec<f64> = part
        .triangles
        .iter()
        .map(|&[a, b, c]| 0.5 * (at(b) - at(a)).cross(at(c) - at(a)).z)
        .collect();
    assert!(areas.iter().all(|&area| area > 0.0), "{areas:?}");
    assert!((areas.iter().sum::<f64>() - 3.0).abs() < 1e-12);
}

#[test]
fn what_is_dropped_is_counted() {
    let faces = [
        FACES[0],
        FACES[1],
        FACES[2],
        FACES[3],
        FACES[3],
        [2, 3, 1],
        [1, 3, 2],
        [1, 1, 2],
    ];
    let file = read(&stl(&faces), "a.stl").unwrap();
    // The same face turned the other way is another side and stays.
    assert_eq!(file.parts[0].triangles.len(), 5);
    let says: Vec<_> = file
        .notices
        .iter()
        .map(|notice| keelstead_units::sentence(&notice.says, keelstead_units::Units::Metric))
        .collect();
    assert_eq!(
        says,
        [
            "part \"solid\": 1 triangle without area dropped",
            "part \"solid\": 2 triangles that stood there twice dropped",
        ]
    );
}

#[test]
fn each_defect_has_its_own_error() {
    assert!(fault(b"", "a.stl").contains("empty"));
    assert!(fault(b"hello", "a.txt").contains("what kind"));
    assert!(fault(&stl(&FACES)[..200], "a.stl").contains("after 2 of 4 triangles"));
    assert!(fault(&stl(&[]), "a.stl").contains("no triangles"));
    assert!(fault(&stl(&[[0, 0, 1]]), "a.stl").contains("no triangles with an area"));
    let mut nan = stl(&FACES);
    nan[84 + 50 + 12..][..4].copy_from_slice(&f32::NAN.to_le_bytes());
    let text = fault(&nan, "a.stl");
    assert!(
        text.contains("triangle 2") && text.contains("byte 134"),
        "{text}"
    );
    let mut more = stl(&FACES);
    more[80] = 2;
    assert!(fault(&more, "a.stl").contains("room for 4"));

    let text = stl_text("hull", &FACES);
    let text = fault(&text.as_bytes()[..text.len() - 14], "a.stl");
    assert!(text.contains("ends inside a solid"), "{text}");
    let text = fault(b"solid x\n facet normal 0 0 0\n vertex 1 2 inf\n", "a.stl");
    assert!(text.contains("line 3"), "{text}");

    let text = fault(b"v 0 0 0\nv 1 0 0\nf 1 2 3\n", "a.obj");
    assert!(text.contains("line 3") && text.contains("\"3\""), "{text}");
    assert!(fault(b"v 0 0 nan\nf 1 1 1\n", "a.obj").contains("line 1"));
    assert!(fault(b"v 0 0 0\nf 1 1\n", "a.obj").contains("2 corners"));
    assert!(fault(b"v 0 0 0\nf 0 1 1\n", "a.obj").contains("line 2"));
    assert!(fault(b"v 0 0 0\nf -99999999999999999999 1 1\n", "a.obj").contains("line 2"));
    assert!(fault(b"v 0 0 0\n", "a.obj").contains("no faces"));

    let promise = String::from_utf8(ply("ascii"))
        .unwrap()
        .replace("vertex 4", "vertex 4000000000");
    assert!(fault(promise.as_bytes(), "a.ply").contains("promises 4000000000"));
    let whole = ply("binary_little_endian");
    assert!(fault(&whole[..whole.len() - 3], "a.ply").contains("face"));
    let out = String::from_utf8(ply("ascii"))
        .unwrap()
        .replace("3 1 2 3", "3 1 2 9");
    assert!(fault(out.as_bytes(), "a.ply").contains("vertex 9"));
    let points = "ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\nproperty float z\nend_header\n0 0 0\n";
    assert!(fault(points.as_bytes(), "a.ply").contains("1 different point"));
    let strips = points.replace(
        "end_header",
        "element tristrips 1\nproperty list int int vertex_indices\nend_header",
    );
    assert!(fault(strips.as_bytes(), "a.ply").contains("strips"));

    let whole = glb(&gltf_json(None), &buffer());
    assert!(fault(&whole[..whole.len() - 8], "a.glb").contains("cut short"));
    assert!(fault(b"glTF\x02\0\0\0\x01\0\0\0", "a.glb").contains("whole GLB"));
    let mut json = gltf_json(None);
    json["accessors"][1]["count"] = 4_000_000_000_u64.into();
    assert!(fault(&glb(&json, &buffer()), "a.glb").contains("beyond its buffer"));
    let mut json = gltf_json(None);
    json["nodes"][1]["children"] = json!([0]);
    let told = fault(&glb(&json, &buffer()), "a.glb");
    assert!(told.contains("loop") && told.contains("node"), "{told}");
    let mut json = gltf_json(None);
    json["scene"] = 9.into();
    let told = fault(&glb(&json, &buffer()), "a.glb");
    assert!(
        told.contains("scene 9, but there are 1") && !told.contains("compression"),
        "{told}"
    );
    let mut json = gltf_json(None);
    json["extensionsRequired"] = json!(["KHR_mesh_quantization"]);
    let told = fault(&glb(&json, &buffer()), "a.glb");
    for piece in [
        "extensionsRequired[0]: the extension KHR_mesh_quantization is not supported; expected",
        "without quantisation",
    ] {
        assert!(told.contains(piece), "{piece:?} is not in: {told}");
    }
    let mut bad = buffer();
    bad[48] = 9;
    assert!(fault(&glb(&gltf_json(None), &bad), "a.glb").contains("vertex 9"));
    let mut json = gltf_json(None);
    json["extensionsRequired"] = json!(["KHR_draco_mesh_compression"]);
    assert!(fault(&glb(&json, &buffer()), "a.glb").contains("without compression"));
    json["extensionsRequired"] = json!(["EXT_meshopt_compression"]);
    assert!(fault(&glb(&json, &buffer()), "a.glb").contains("without compression"));
    // Packed without saying that it must be unpacked.
    let mut json = gltf_json(None);
    json["extensionsUsed"] = json!(["KHR_draco_mesh_compression"]);
    for accessor in 0..2 {
        json["accessors"][accessor]
            .as_object_mut()
            .unwrap()
            .remove("bufferView");
    }
    assert!(fault(&glb(&json, &buffer()), "a.glb").contains("without compression"));
    let mut json = gltf_json(None);
    json["buffers"] = json!([{ "byteLength": 72 }, { "byteLength": 72 }]);
    json["bufferViews"][1]["buffer"] = 1.into();
    assert!(fault(&glb(&json, &buffer()), "a.glb").contains("without compression"));
    let mut json = gltf_json(None);
    json["accessors"][0]["componentType"] = 5122.into();
    assert!(fault(&glb(&json, &buffer()), "a.glb").contains("without quantisation"));
}

#[test]
fn polygons_of_every_format_are_cut() {
    // A cube of quads, its lid an octagon of eight corners on the square's sides.
    let corners = [
        [0, 0, 0],
        [2, 0, 0],
        [2, 2, 0],
        [0, 2, 0],
        [0, 0, 2],
        [2, 0, 2],
        [2, 2, 2],
        [0, 2, 2],
        [1, 0, 2],
        [2, 1, 2],
        [1, 2, 2],
        [0, 1, 2],
    ];
    let faces: [&[usize]; 6] = [
        &[0, 3, 2, 1],
        &[0, 1, 5, 8, 4],
        &[1, 2, 6, 9, 5],
        &[2, 3, 7, 10, 6],
        &[3, 0, 4, 11, 7],
        &[4, 8, 5, 9, 6, 10, 7, 11],
    ];
    let list = |face: &[usize], by: usize| -> String {
        face.iter()
            .map(|corner| format!(" {}", corner + by))
            .collect()
    };
    let mut obj: String = corners
        .iter()
        .map(|[x, y, z]| format!("v {x} {y} {z}\n"))
        .collect();
    obj.extend(faces.iter().map(|face| format!("f{}\n", list(face, 1))));
    let mut ply = "ply\nformat ascii 1.0\nelement vertex 12\nproperty int x\nproperty int y\nproperty int z\n\
                   property uchar red\nproperty uchar green\nproperty uchar blue\nproperty uchar alpha\n\
                   element face 6\nproperty list uchar uint vertex_index\nproperty uchar flags\nend_header\n"
        .to_owned();
    ply.extend(
        corners
            .iter()
            .map(|[x, y, z]| format!("{x} {y} {z} 10 20 30 255\n")),
    );
    ply.extend(
        faces
            .iter()
            .map(|face| format!("{}{} 1\n", face.len(), list(face, 0))),
    );
    for (name, text) in [("a.obj", obj), ("a.ply", ply)] {
        let file = read(text.as_bytes(), name).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(file.parts[0].triangles.len(), 2 + 4 * 3 + 6, "{name}");
        assert!((volume6(&file.parts[0]) - 48.0).abs() < 1e-9, "{name}");
        assert!(file.notices.is_empty(), "{name}: {:?}", file.notices);
    }
}

#[test]
fn line_ends_of_other_systems_are_read() {
    for (name, bytes, format) in good() {
        if matches!(format, Format::StlAscii | Format::Obj) || name == "d.ply" {
            let text = String::from_utf8(bytes).unwrap().replace('\n', "\r\n");
            let file = read(text.as_bytes(), name).unwrap_or_else(|error| panic!("{error}"));
            let triangles: usize = file.parts.iter().map(|part| part.triangles.len()).sum();
            assert_eq!(triangles, 4, "{name}");
        }
    }
}

#[test]
fn reading_stops_when_asked() {
    struct Stop;
    impl Progress for Stop {
        fn report(&self, _: f64, _: &str) {}
        fn cancelled(&self) -> bool {
            true
        }
    }
    let source = Memory::default();
    let around = Surroundings {
        source: &source,
        progress: &Stop,
    };
    for (name, bytes, _) in good() {
        let error = read_with(&bytes, name, &around).unwrap_err();
        assert_eq!(error, FileError::Cancelled, "{name}");
    }
}

/// What every reader owes: no panic, and nothing unsound called sound.
fn sound(bytes: &[u8], name: &str) {
    if let Ok(file) = read(bytes, name) {
        assert!(!file.parts.is_empty());
        for part in &file.parts {
            assert!(!part.triangles.is_empty());
            assert!(part.positions.iter().flatten().all(|c| c.is_finite()));
            assert!(
                part.triangles
                    .iter()
                    .flatten()
                    .all(|&i| (i as usize) < part.positions.len())
            );
        }
    }
}

const NAMES: [&str; 5] = ["a.stl", "a.obj", "a.ply", "a.glb", "a.gltf"];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn any_bytes_are_a_mesh_or_an_error(bytes in prop::collection::vec(any::<u8>(), 0..400), name in 0..5_usize) {
        sound(&bytes, NAMES[name]);
    }

    #[test]
    fn any_text_is_a_mesh_or_an_error(
        start in prop::sample::select(vec!["solid x\n", "v 0 0 0\n", "ply\nformat ascii 1.0\n", "{", ""]),
        text in "[-v fgo/.0-9e\n\\\\a-z{}\":,\\[\\]]{0,200}",
        name in 0..5_usize,
    ) {
        sound(format!("{start}{text}").as_bytes(), NAMES[name]);
    }

    #[test]
    fn a_damaged_file_is_a_mesh_or_an_error(
        which in 0..7_usize,
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..6),
        keep in any::<prop::sample::Index>(),
        cut in any::<bool>(),
    ) {
        let (name, mut bytes, _) = good().swap_remove(which);
        for (at, value) in changes {
            let at = at.index(bytes.len());
            bytes[at] = value;
        }
        if cut {
            bytes.truncate(keep.index(bytes.len()));
        }
        sound(&bytes, name);
    }

    #[test]
    fn a_damaged_scene_is_a_mesh_or_an_error(
        line in 0..60_usize,
        value in prop::sample::select(vec!["-1", "0", "1", "3", "18446744073709551615", "4294967295", "1e300", "null", "\"x\"", "[]", "{}"]),
    ) {
        // Puts an odd value in place of one number of the document.
        let text = gltf_json(None).to_string();
        let numbers: Vec<_> = text
            .match_indices(|c: char| c.is_ascii_digit())
            .filter(|(at, _)| !text[..*at].ends_with(|c: char| c.is_ascii_digit() || c == '.'))
            .collect();
        let (at, _) = numbers[line % numbers.len()];
        let end = at + text[at..].find(|c: char| !c.is_ascii_digit()).unwrap();
        let damaged = format!("{}{value}{}", &text[..at], &text[end..]);
        let mut padded = damaged.into_bytes();
        padded.resize(padded.len().next_multiple_of(4), b' ');
        let json: Result<serde_json::Value, _> = serde_json::from_slice(&padded);
        if let Ok(json) = json {
            sound(&glb(&json, &buffer()), "a.glb");
        }
    }
}

#[test]
fn the_scene_that_was_read_is_named() {
    let mut json = gltf_json(None);
    let scenes = json["scenes"].as_array_mut().unwrap();
    scenes.insert(0, json!({ "nodes": [] }));
    scenes[1]["name"] = "afloat".into();
    json["scene"] = 1.into();
    let file = read(&glb(&json, &buffer()), "a.glb").unwrap();
    let told: Vec<String> = file.notices.iter().map(ToString::to_string).collect();
    assert!(
        told.iter()
            .any(|told| told.contains("only scene 1 (\"afloat\") of 2")),
        "{told:?}"
    );
}

#[test]
fn a_header_of_ply_that_is_wrong_is_shown() {
    let text = String::from_utf8(ply("ascii")).unwrap();
    let (line, property) = text
        .lines()
        .enumerate()
        .find(|(_, line)| line.starts_with("property"))
        .unwrap();
    for (good, bad, at, pieces) in [
        (
            property,
            "property float99 x",
            line + 1,
            ["found \"property float99 x\"", "a type (char"],
        ),
        (
            "format ascii 1.0",
            "format binary_middle_endian 1.0",
            2,
            [
                "found \"format binary_middle_endian 1.0\"",
                "format binary_little_endian 1.0",
            ],
        ),
    ] {
        let told = fault(text.replacen(good, bad, 1).as_bytes(), "a.ply");
        let place = format!("line {at}:");
        for piece in pieces
            .into_iter()
            .chain([place.as_str(), "export it again"])
        {
            assert!(told.contains(piece), "{piece:?} is not in: {told}");
        }
    }
}

#[test]
fn what_stands_after_the_last_element_is_told() {
    for encoding in ["ascii", "binary_little_endian"] {
        let mut bytes = ply(encoding);
        assert!(
            read(&bytes, "a.ply").unwrap().notices.is_empty(),
            "{encoding}"
        );
        bytes.extend(b"12345");
        let told = read(&bytes, "a.ply").unwrap().notices;
        assert!(
            told.iter().any(|n| n.to_string().contains("5 bytes")),
            "{encoding}: {told:?}"
        );
    }
}

#[test]
fn a_corner_at_the_end_of_the_world_is_named() {
    let mut far = stl(&FACES);
    far[84 + 50 + 12..][..4].copy_from_slice(&1e30_f32.to_le_bytes());
    let told = fault(&far, "a.stl");
    for piece in ["triangle 2", "a corner at (1", "e30", "up to 1e12"] {
        assert!(told.contains(piece), "{piece:?} is not in: {told}");
    }
    let told = fault(b"v 0 0 0\nv 1e39 0 0\nv 0 1 0\nf 1 2 3\n", "a.obj");
    assert!(
        told.contains("triangle 1") && told.contains("(1e39, 0e0, 0e0)"),
        "{told}"
    );
}

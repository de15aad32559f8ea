#![allow(clippy::unwrap_used)]

use std::io::Cursor;

use super::*;

/// Points of a ball of 3 m, spread evenly (a spiral of the golden angle).
fn ball(count: usize) -> Vec<[f64; 3]> {
    (0..count)
        .map(|i| {
            let z = 1.0 - 2.0 * (i as f64 + 0.5) / count as f64;
            let (sin, cos) = (i as f64 * 2.399_963_229_728_653).sin_cos();
            let r = (1.0 - z * z).sqrt();
            [r * cos, r * sin, z].map(|c| 1.5 * c)
        })
        .collect()
}

fn text(between: &str, more: &str) -> String {
    ball(4000)
        .iter()
        .map(|[x, y, z]| format!("{x:.4}{between}{y:.4}{between}{z:.4}{more}\n"))
        .collect()
}

/// The ball is there, closed and as large as it is.
fn whole(bytes: &[u8], name: &str, format: Format) -> MeshFile {
    let file = read(bytes, name).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(file.format, format, "{name}");
    let [part] = &file.parts[..] else {
        panic!("{} parts", file.parts.len())
    };
    let at = |i: u32| keelstead_geometry::math::Vec3::from_array(part.positions[i as usize]);
    let volume = part
        .triangles
        .iter()
        .map(|&[a, b, c]| at(a).dot(at(b).cross(at(c))) / 6.0);
    let volume = volume.sum::<f64>().abs();
    assert!((volume - 14.137).abs() < 0.2, "{name}: {volume}");
    assert!(
        file.tolerance > 0.0 && file.tolerance < 0.05,
        "{}",
        file.tolerance
    );
    assert!(
        file.notices
            .iter()
            .any(|n| n.to_string().contains("cloud of 4000 points")),
        "{:?}",
        file.notices
    );
    file
}

fn las(format: u8, count: u32, scale: f64) -> Vec<u8> {
    let mut bytes = vec![0; 375];
    bytes[..4].copy_from_slice(b"LASF");
    bytes[24..26].copy_from_slice(&[1, 4]);
    bytes[94..96].copy_from_slice(&375_u16.to_le_bytes());
    bytes[96..100].copy_from_slice(&375_u32.to_le_bytes());
    bytes[104] = format;
    let record = [20, 28, 26, 34, 57, 63, 30, 36, 38, 59, 67][usize::from(format)];
    bytes[105..107].copy_from_slice(&(record as u16).to_le_bytes());
    bytes[107..111].copy_from_slice(&count.to_le_bytes());
    for axis in 0..3 {
        bytes[131 + 8 * axis..][..8].copy_from_slice(&scale.to_le_bytes());
        // Far from the origin, as surveyors have it.
        bytes[155 + 8 * axis..][..8].copy_from_slice(&(4_000_000.0 * axis as f64).to_le_bytes());
    }
    bytes
}

fn records(format: u8, record: usize) -> Vec<u8> {
    let mut bytes = Vec::new();
    for (i, point) in ball(4000).into_iter().enumerate() {
        let mut one = vec![0; record];
        for (axis, c) in point.into_iter().enumerate() {
            one[4 * axis..][..4].copy_from_slice(&((c / 1e-4).round() as i32).to_le_bytes());
        }
        // A first return of one, a colour or a time that changes.
        one[14] = if format >= 6 { 0x11 } else { 0x09 };
        one[record - 1] = (i % 250) as u8;
        bytes.extend(one);
    }
    bytes
}

/// The points packed as a LAZ file.
fn laz(format: u8) -> Vec<u8> {
    let mut bytes = las(format, 4000, 1e-4);
    let record = usize::from(bytes[105]);
    let mut packing = laz::LazVlrBuilder::default()
        .with_point_format(format, 0)
        .unwrap()
        .build();
    if format < 6 {
        packing = laz::LazVlrBuilder::new(packing.items().clone())
            .with_fixed_chunk_size(1000)
            .build();
    }
    let mut data = Vec::new();
    packing.write_to(&mut data).unwrap();
    bytes[100..104].copy_from_slice(&1_u32.to_le_bytes());
    bytes[104] = format | 0x80;
    bytes.extend([0; 2]);
    bytes.extend(b"laszip encoded\0\0");
    bytes.extend(22204_u16.to_le_bytes());
    bytes.extend((data.len() as u16).to_le_bytes());
    bytes.extend([0; 32]);
    bytes.extend(data);
    let points_at = bytes.len() as u32;
    bytes[96..100].copy_from_slice(&points_at.to_le_bytes());
    let mut target = Cursor::new(bytes);
    target.set_position(u64::from(points_at));
    let mut packer = laz::LasZipCompressor::new(target, packing).unwrap();
    packer.compress_many(&records(format, record)).unwrap();
    packer.done().unwrap();
    packer.into_inner().into_inner()
}

#[test]
fn text_of_every_layout_is_read() {
    let count = format!("4000\n{}", text(" ", " 12 250 130 7"));
    let header = format!("//X Y Z R G B\n{}", text(" ", " 250 130 7"));
    let semicolons = text(";", ";1").replace('.', ",");
    let commas = text(" ", "").replace('.', ",");
    let named: String = ball(4000)
        .iter()
        .map(|[x, y, z]| format!("{z},label,{x},{y}\n"))
        .collect();
    let named = format!("Z,name,\"X\",Y [m]\n{named}");
    for (name, text) in [
        ("a.xyz", text(" ", "")),
        ("a.txt", text("\t", "\t0.1\t0.2\t0.3")),
        ("a.asc", format!("# made by hand\n\n{}", text(", ", ""))),
        ("a.csv", format!("x,y,z,intensity\n{}", text(",", ",7"))),
        ("a.csv", text(",", "")),
        ("b.xyz", header),
        ("a.pts", count),
        ("b.txt", semicolons),
        ("c.txt", commas),
        ("c.csv", named),
    ] {
        let file = whole(text.as_bytes(), name, Format::Points);
        assert!(
            !file
                .notices
                .iter()
                .any(|n| n.to_string().contains("name says")),
            "{name}"
        );
        assert_eq!(file.unit, None);
    }
    let file = whole(
        text(" ", "").replace('\n', "\r\n").as_bytes(),
        "a.stl",
        Format::Points,
    );
    assert!(
        file.notices
            .iter()
            .any(|n| n.to_string().contains("name says \"stl\""))
    );
}

#[test]
fn ply_without_faces_is_a_cloud() {
    for (encoding, big) in [("binary_little_endian", false), ("binary_big_endian", true)] {
        let mut bytes = format!(
            "ply\nformat {encoding} 1.0\nelement vertex 4000\nproperty double x\nproperty double y\n\
             property double z\nproperty uchar red\nproperty float nx\nelement face 0\n\
             property list uchar int vertex_indices\nend_header\n"
        )
        .into_bytes();
        for point in ball(4000) {
            let double = |c: f64| {
                if big {
                    c.to_be_bytes()
                } else {
                    c.to_le_bytes()
                }
            };
            bytes.extend(point.into_iter().flat_map(double));
            bytes.extend([200, 0, 0, 0, 0]);
        }
        whole(&bytes, "scan.ply", Format::Ply);
    }
}

#[test]
fn las_and_laz_of_every_kind_are_read() {
    for format in 0..=10 {
        let mut bytes = las(format, 4000, 1e-4);
        bytes.extend(records(format, usize::from(bytes[105])));
        let file = whole_far(&bytes, "scan.las");
        assert!(
            file.parts[0]
                .positions
                .iter()
                .all(|p| (p[2] - 8_000_000.0).abs() < 2.0)
        );
        // Waves have no layers of their own in the crate's table of kinds 4 and 5.
        if !matches!(format, 4 | 5) {
            let packed = laz(format);
            assert!(packed.len() < bytes.len());
            let unpacked = whole_far(&packed, "scan.laz");
            assert_eq!(unpacked.parts, file.parts, "kind {format}");
        }
    }
}

/// As [`whole`], far from the origin.
fn whole_far(bytes: &[u8], name: &str) -> MeshFile {
    let mut file = read(bytes, name).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(file.format, Format::Las);
    for part in &mut file.parts {
        for position in &part.positions {
            let r = (0..3)
                .map(|i| (position[i] - 4_000_000.0 * i as f64).powi(2))
                .sum::<f64>()
                .sqrt();
            assert!((r - 1.5).abs() < 0.05, "{r}");
        }
    }
    file
}

fn fault(bytes: &[u8], name: &str) -> String {
    let text = read(bytes, name).unwrap_err().to_string();
    assert!(text.starts_with(name), "{text}");
    text
}

#[test]
fn each_defect_of_a_cloud_has_its_own_error() {
    let broken = text(" ", "").replacen("\n", "\n1 nan 2\n", 30);
    assert!(fault(broken.as_bytes(), "a.xyz").contains("line 2"));
    let broken = text(" ", "") + "1 2\n";
    let told = fault(broken.as_bytes(), "a.xyz");
    assert!(
        told.contains("line 4001") && told.contains("\"1 2\""),
        "{told}"
    );
    assert!(fault(b"0 0 0\n1 0 0\n0 1 0\n", "a.xyz").contains("3 different points"));
    assert!(fault(b"hello\n", "a.xyz").contains("line 1"));

    let whole = laz(7);
    for cut in [100, 300, 440, 500, whole.len() / 2] {
        let told = fault(&whole[..cut], "a.laz");
        assert!(
            told.contains("byte") || told.contains("points"),
            "{cut}: {told}"
        );
    }
    let mut much = las(0, u32::MAX, 1e-4);
    much.extend([0; 40]);
    assert!(fault(&much, "a.las").contains("promises 4294967295"));
    let mut kind = las(0, 1, 1e-4);
    kind[104] = 33;
    assert!(fault(&kind, "a.las").contains("kind 33"));
    assert!(fault(&las(3, 1, f64::NAN), "a.las").contains("scale"));
    // Layers that claim more than the file has.
    let mut layers = laz(6);
    let points_at = u32::from_le_bytes(layers[96..100].try_into().unwrap()) as usize;
    layers[points_at + 8 + 30 + 4..][..4].copy_from_slice(&u32::MAX.to_le_bytes());
    assert!(fault(&layers, "a.laz").contains("beyond the file"));
}

#[test]
fn foreign_kinds_are_named_with_what_to_do() {
    let iges = format!("{:72}S      1\n", "A hull");
    let bmp = [b"BM".as_slice(), &20_u32.to_le_bytes(), &[0; 14]].concat();
    let three_ds = [b"MM".as_slice(), &20_u32.to_le_bytes(), &[0; 14]].concat();
    let usdz = [
        b"PK\x03\x04".as_slice(),
        &[0; 22],
        &[9, 0, 0, 0],
        b"hull.usdc",
    ]
    .concat();
    let empty_zip = [b"PK\x05\x06".as_slice(), &[0; 18]].concat();
    let ptx = "10\n10\n0 0 0\n1 0 0\n0 1 0\n0 0 1\n1 0 0 0\n0 1 0 0\n0 0 1 0\n0 0 0 1\n1 2 3 0.5\n";
    for (bytes, what, advice) in [
        (b"ISO-10303-21;\nHEADER;".as_slice(), "STEP", "as a mesh"),
        (iges.as_bytes(), "IGES", "as a mesh"),
        (b"  0\nSECTION\n  2\nHEADER\n", "DXF", "as a mesh"),
        (b"AC1027\0\0\0", "DWG", "as a mesh"),
        (b"3D Geometry File Format        4", "3DM", "as a mesh"),
        (b"Kaydara FBX Binary  \0\x1a\0", "FBX", "GLB"),
        (b"BLENDER-v300", "Blender", "GLB"),
        (&three_ds, "3DS", "GLB"),
        (&usdz, "USDZ", "GLB"),
        (b"ASTM-E57\x01\0\0\0", "E57", "LAZ, PLY or XYZ"),
        (ptx.as_bytes(), "PTX", "LAZ, PLY or XYZ"),
        (b"# .PCD v0.7\nVERSION 0.7\n", "PCD", "LAZ, PLY or XYZ"),
        (b"%PDF-1.7\n", "PDF", "table of offsets"),
        (b"\x89PNG\r\n\x1a\n", "PNG", "table of offsets"),
        (b"\xFF\xD8\xFF\xE0", "JPEG", "table of offsets"),
        (&bmp, "BMP", "table of offsets"),
        (b"PK\x03\x04\x14\0", "ZIP", "Copy"),
        (&empty_zip, "no 3MF", "Unpack"),
        (b"\x1F\x8B\x08\0", "gzip", "Unpack"),
        (b"<!DOCTYPE html>\n<html>Not found", "web page", "Download"),
        (b"<?xml version=\"1.0\"?><svg/>", "SVG", "table of offsets"),
        (
            b"version https://git-lfs.github.com/spec/v1\noid sha256:0\nsize 1\n",
            "LFS",
            "git lfs pull",
        ),
        (b"", "empty", "Export"),
    ] {
        for name in ["hull.stl", "hull.obj", "hull.csv", "hull.3mf", "hull"] {
            let told = fault(bytes, name);
            assert!(told.contains(what) && told.contains(advice), "{told}");
        }
    }
}

/// A boat of the demo with keel, rudder and propeller, as a scanner with 2 mm of noise sees it.
#[test]
fn a_whole_boat_comes_back_within_its_tolerance() {
    use keelstead_geometry::math::Vec3;
    use keelstead_geometry::mesh::Mesh;

    let (name, bytes) = keelstead_demo_data::FILES
        .iter()
        .find(|(name, _)| name.ends_with("petrel.glb"))
        .unwrap();
    let boat = read(bytes, name).unwrap();
    let meshes: Vec<Mesh> = boat
        .parts
        .iter()
        .map(|part| {
            let vertices = part
                .positions
                .iter()
                .map(|&p| Vec3::from_array(p))
                .collect();
            Mesh::new(vertices, part.triangles.clone()).unwrap()
        })
        .collect();
    let mut samples = Vec::new();
    let mut walked = 0.0;
    let spacing = meshes.iter().map(Mesh::area_m2).sum::<f64>() / 120_000.0;
    for mesh in &meshes {
        for triangle in mesh.triangles() {
            let [a, b, c] = triangle.map(|i| mesh.vertices()[i as usize]);
            walked += 0.5 * (b - a).cross(c - a).length();
            while walked >= spacing {
                walked -= spacing;
                // The fractions of multiples of irrational numbers spread evenly.
                let part = |by: f64| (samples.len() as f64 * by).fract();
                let (mut u, mut v) = (part(0.754_877_666), part(0.569_840_291));
                if u + v > 1.0 {
                    (u, v) = (1.0 - u, 1.0 - v);
                }
                let noise = [0.819_172_513, 0.671_043_607, 0.549_700_478].map(|by| part(by) - 0.5);
                samples.push(a + (b - a) * u + (c - a) * v + Vec3::from_array(noise) * 0.004);
            }
        }
    }
    let mut bytes = format!(
        "ply\nformat binary_little_endian 1.0\nelement vertex {}\nproperty double x\nproperty double y\n\
         property double z\nend_header\n",
        samples.len()
    )
    .into_bytes();
    bytes.extend(
        samples
            .iter()
            .flat_map(|p| p.to_array())
            .flat_map(f64::to_le_bytes),
    );
    let file = read(&bytes, "scan.ply").unwrap_or_else(|error| panic!("{error}"));
    assert!(
        file.tolerance < 0.05,
        "{}: {:?}",
        file.tolerance,
        file.notices
    );
    let fitted: Vec<Mesh> = file
        .parts
        .iter()
        .map(|part| {
            let vertices = part
                .positions
                .iter()
                .map(|&p| Vec3::from_array(p))
                .collect();
            Mesh::new(vertices, part.triangles.clone()).unwrap()
        })
        .collect();
    let told = file
        .notices
        .iter()
        .map(|n| keelstead_units::sentence(&n.says, keelstead_units::Units::Metric))
        .find_map(|n| Some(n.split_once(" points near no surface")?.0.to_owned()));
    let left_out: usize = told.map_or(0, |count| count.parse().unwrap());
    assert!(left_out * 200 < samples.len(), "{left_out} left out");
    let beyond = samples.iter().filter(|&&sample| {
        let off = |mesh: &Mesh| mesh.nearest_to(sample).distance(sample);
        fitted.iter().map(off).fold(f64::INFINITY, f64::min) > file.tolerance
    });
    let beyond = beyond.count();
    assert!(
        beyond <= left_out,
        "{beyond} beyond the tolerance, {left_out} told"
    );
}

#![allow(clippy::unwrap_used)]

use std::io::{Cursor, Write as _};

use zip::write::SimpleFileOptions;

use super::*;

const RELS: &str = r#"<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Target="/3D/3dmodel.model" Id="r" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>"#;

const MESH: &str = r#"<mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="1" y="0" z="0"/><vertex x="0" y="1" z="0"/>
<vertex x="0" y="0" z="1"/></vertices><triangles><triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/>
<triangle v1="0" v2="3" v3="2"/><triangle v1="1" v2="2" v3="3"/></triangles></mesh>"#;

/// A hull moved by the build, and a keel twice as a component in another model, once mirrored.
fn model(unit: &str) -> String {
    format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<model {unit} xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
 xmlns:p="http://schemas.microsoft.com/3dmanufacturing/production/2015/06"><resources>
<object id="1" name="Hull &amp; deck" type="model">{MESH}</object>
<object id="2" name="Keels"><components><component objectid="7" p:path="/3D/Objects/keel.model"/>
<component objectid="7" p:path="/3D/Objects/keel.model" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/></components></object>
</resources><build><item objectid="1" transform="2 0 0 0 2 0 0 0 2 10 0 0"/><item objectid="2"/></build></model>"#
    )
}

fn zipped(files: &[(&str, &str)]) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in files {
        writer
            .start_file(*name, SimpleFileOptions::default())
            .unwrap();
        writer.write_all(text.as_bytes()).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

fn archive(model: &str) -> Vec<u8> {
    let keel =
        format!(r#"<model><resources><object id="7">{MESH}</object></resources><build/></model>"#);
    zipped(&[
        ("_rels/.rels", RELS),
        ("3D/Objects/keel.model", &keel),
        ("3D/3dmodel.model", model),
    ])
}

fn volume6(part: &MeshPart) -> f64 {
    let at = |i: u32| keelstead_geometry::math::Vec3::from_array(part.positions[i as usize]);
    let tetra = |&[a, b, c]: &[u32; 3]| at(a).dot(at(b).cross(at(c)));
    part.triangles.iter().map(tetra).sum()
}

fn fault(bytes: &[u8], name: &str) -> String {
    let text = read(bytes, name).unwrap_err().to_string();
    assert!(text.starts_with(name), "{text}");
    text
}

#[test]
fn three_mf_objects_stand_where_the_build_puts_them() {
    let file = read(&archive(&model("")), "a.3mf").unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(
        (file.format, file.unit),
        (Format::ThreeMf, Some(LengthUnit::Millimetre))
    );
    assert_eq!(file.axes, Some(Axes::default()));
    let names: Vec<_> = file.parts.iter().map(|part| part.name.as_str()).collect();
    assert_eq!(names, ["Hull & deck", "Keels", "Keels 2"]);
    let volumes: Vec<_> = file.parts.iter().map(volume6).collect();
    for (volume, exact) in volumes.iter().zip([8.0, 1.0, 1.0]) {
        assert!((volume - exact).abs() < 1e-9, "{volumes:?}");
    }
    assert!(file.parts[0].positions.contains(&[12.0, 0.0, 0.0]));
    assert!(file.parts[2].positions.contains(&[-1.0, 0.0, 0.0]));
    assert!(file.notices.is_empty(), "{:?}", file.notices);

    let inch = read(&archive(&model("unit=\"inch\"")), "a.3mf").unwrap();
    assert_eq!(inch.unit, Some(LengthUnit::Inch));
    let micron = read(&archive(&model("unit=\"micron\"")), "a.3mf").unwrap();
    assert_eq!(micron.unit, Some(LengthUnit::Millimetre));
    assert!(micron.parts[0].positions.contains(&[0.012, 0.0, 0.0]));
    let wrong = read(&archive(&model("")), "a.stl").unwrap();
    assert!(wrong.notices[0].to_string().contains("3MF"));
}

#[test]
fn each_defect_of_a_three_mf_has_its_own_error() {
    let whole = archive(&model(""));
    assert!(fault(&whole[..whole.len() - 30], "a.3mf").contains("cut short"));
    let cut = model("");
    let told = fault(&archive(&cut[..cut.len() - 40]), "a.3mf");
    assert!(told.contains("3D/3dmodel.model, line 9"), "{told}");
    let told = fault(
        &archive(&model("").replace("v3=\"1\"", "v3=\"4\"")),
        "a.3mf",
    );
    assert!(told.contains("vertex 4, but there are 4"), "{told}");
    assert!(
        fault(
            &archive(&model("").replace("x=\"1\"", "x=\"inf\"")),
            "a.3mf"
        )
        .contains("finite")
    );
    assert!(fault(&archive(&model("unit=\"furlong\"")), "a.3mf").contains("furlong"));
    assert!(
        fault(
            &archive(&model("").replace("objectid=\"1\"", "objectid=\"9\"")),
            "a.3mf"
        )
        .contains("object 9")
    );
    let looped = model("").replace(
        "objectid=\"7\" p:path=\"/3D/Objects/keel.model\"/",
        "objectid=\"2\"/",
    );
    let told = fault(&archive(&looped), "a.3mf");
    assert!(told.contains("object 2") && told.contains("loop"), "{told}");
    // Forty times the archive and no more is unpacked.
    let bomb = format!("{}{}", model(""), " ".repeat(8 << 20));
    let told = fault(&archive(&bomb), "a.3mf");
    assert!(told.contains("40 times"), "{told}");
    // Ten of ten of ten … of one object.
    let many: String = (2..12)
        .map(|id| {
            let ten = format!("<component objectid=\"{}\"/>", id - 1).repeat(10);
            format!("<object id=\"{id}\"><components>{ten}</components></object>")
        })
        .collect();
    let many = format!(
        "<model><resources><object id=\"1\">{MESH}</object>{many}</resources><build><item objectid=\"11\"/></build></model>"
    );
    assert!(fault(&archive(&many), "a.3mf").contains("too many"));
}

fn collada(asset: &str) -> String {
    format!(
        r##"<?xml version="1.0" encoding="utf-8"?>
<COLLADA xmlns="http://www.collada.org/2005/11/COLLADASchema" version="1.4.1">
<asset>{asset}</asset>
<library_geometries><geometry id="box" name="Box"><mesh>
<source id="box-pos"><float_array id="box-array" count="12">0 0 0 1 0 0
 0 1 0 0 0 1</float_array><technique_common><accessor source="#box-array" count="4" stride="3"/></technique_common></source>
<vertices id="box-v"><input semantic="POSITION" source="#box-pos"/></vertices>
<triangles count="2"><input semantic="VERTEX" source="#box-v" offset="0"/><input semantic="NORMAL" source="#n" offset="1"/>
<p>0 9 2 9 1 9 0 9 1 9 3 9</p></triangles>
<polylist count="2"><input semantic="VERTEX" source="#box-v" offset="0"/><vcount>3 3</vcount><p>0 3 2 1 2 3</p></polylist>
</mesh></geometry></library_geometries>
<library_nodes><node id="keel"><scale>-1 1 1</scale><instance_geometry url="#box"/></node></library_nodes>
<library_visual_scenes><visual_scene id="s">
<node name="hull"><translate>10 0 0</translate><rotate>0 0 1 90</rotate><matrix>2 0 0 0 0 2 0 0 0 0 2 0 0 0 0 1</matrix>
<instance_geometry url="#box"/><node name="inner"><instance_node url="#keel"/></node></node>
</visual_scene></library_visual_scenes><scene><instance_visual_scene url="#s"/></scene></COLLADA>"##
    )
}

#[test]
fn collada_nodes_stand_where_the_scene_puts_them() {
    let text = collada("<unit meter=\"0.0254\" name=\"inch\"/><up_axis>Z_UP</up_axis>");
    let file = read(text.as_bytes(), "a.dae").unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(
        (file.format, file.unit),
        (Format::Collada, Some(LengthUnit::Inch))
    );
    assert_eq!(file.axes.unwrap().up, crate::hull_file::Axis::PlusZ);
    let names: Vec<_> = file.parts.iter().map(|part| part.name.as_str()).collect();
    assert_eq!(names, ["hull", "keel"]);
    for part in &file.parts {
        assert_eq!((part.positions.len(), part.triangles.len()), (4, 4));
        assert!(
            (volume6(part) - 8.0).abs() < 1e-9,
            "{}: {}",
            part.name,
            volume6(part)
        );
    }
    // 1 along x, doubled, a quarter turn about z, moved by 10.
    let near = |part: &MeshPart, at: [f64; 3]| {
        part.positions
            .iter()
            .any(|p| (0..3).all(|i| (p[i] - at[i]).abs() < 1e-9))
    };
    assert!(
        near(&file.parts[0], [10.0, 2.0, 0.0]),
        "{:?}",
        file.parts[0].positions
    );
    assert!(
        near(&file.parts[1], [10.0, -2.0, 0.0]),
        "{:?}",
        file.parts[1].positions
    );
    // A unit that is none of ours becomes metres.
    let file = read(collada("<unit meter=\"0.5\"/>").as_bytes(), "a.dae").unwrap();
    assert_eq!(file.unit, Some(LengthUnit::Metre));
    assert!(near(&file.parts[0], [5.0, 1.0, 0.0]));
    assert_eq!(file.axes.unwrap().up, crate::hull_file::Axis::PlusY);
}

#[test]
fn each_defect_of_a_collada_has_its_own_error() {
    let good = collada("");
    let with = |from: &str, to: &str| fault(good.replacen(from, to, 1).as_bytes(), "a.dae");
    assert!(fault(&good.as_bytes()[..good.len() - 30], "a.dae").contains("line"));
    assert!(with("9 2 9 1 9", "9 7 9 1 9").contains("position 7, but there are 4"));
    assert!(with("12\">0 0 0", "12\">0 x 0").contains("\"x\" in <float_array>"));
    assert!(
        with(
            "url=\"#box\"/></node></library_nodes>",
            "url=\"b.dae#box\"/></node></library_nodes>"
        )
        .contains("one file")
    );
    assert!(
        with("url=\"#keel\"", "url=\"#s\"").contains("no mesh")
            || with("url=\"#keel\"", "url=\"#gone\"").contains("gone")
    );
    assert!(with("<vcount>3 3", "<vcount>3 9").contains("more corners"));
    assert!(with("90</rotate>", "90 1</rotate>").contains("5 numbers"));
    let told = with(
        "<node name=\"inner\"><instance_node url=\"#keel\"/>",
        "<node id=\"i\"><instance_node url=\"#i\"/>",
    );
    assert!(told.contains("loop"), "{told}");
    assert!(fault(collada("<unit meter=\"-1\"/>").as_bytes(), "a.dae").contains("meter=\"-1\""));
    assert!(fault(collada("<up_axis>UP</up_axis>").as_bytes(), "a.dae").contains("Z_UP"));
    let entity = good.replacen("?>", "?><!DOCTYPE a [<!ENTITY b \"ccc\">]>", 1);
    let read = read(entity.as_bytes(), "a.dae");
    assert!(read.is_ok() || read.is_err(), "no panic");
    let deep = format!("<COLLADA>{}", "<node>".repeat(200_000));
    assert!(fault(deep.as_bytes(), "a.dae").contains("ends early"));
}

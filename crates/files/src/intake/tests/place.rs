//! Where a hull is and how large: far away, one-sided, of two hulls, flat, told to be what it is not.

use keelstead_boat::hull::{Hull, PartKind};

use super::kinds::{add, cuboid};
use super::*;
use crate::placing;

type Shape = (Vec<Vec3>, Vec<[u32; 3]>);

/// The shapes as an OBJ, a group each, every coordinate in double precision.
fn obj(shapes: &[(&str, &Shape)]) -> MeshFile {
    let mut text = String::new();
    let mut base = 1;
    for (name, (vertices, triangles)) in shapes {
        text += &format!("g {name}\n");
        for v in vertices {
            text += &format!("v {} {} {}\n", v.x, v.y, v.z);
        }
        for [a, b, c] in triangles {
            text += &format!("f {} {} {}\n", a + base, b + base, c + base);
        }
        base += vertices.len() as u32;
    }
    mesh_file::read(text.as_bytes(), "b.obj").unwrap()
}

fn told() -> Answers {
    Answers {
        unit: Some(LengthUnit::Metre),
        up: Some(Axis::PlusZ),
        forward: Some(Axis::PlusX),
        ..Answers::default()
    }
}

fn moved((vertices, triangles): Shape, by: Vec3) -> Shape {
    (vertices.iter().map(|v| *v + by).collect(), triangles)
}

/// As it stands once it was written and read again.
fn kept(hull: &Imported) -> Hull {
    let file = mesh_file::read(&glb(&hull.written()).unwrap(), "b.glb").unwrap();
    placing::hull(&hull.described, "b.json", file).unwrap().0
}

fn refusal(file: MeshFile, answers: &Answers) -> String {
    match import(file, "b.stl", "B", answers) {
        Ok(hull) => panic!("taken: {:?}", hull.changed),
        Err(error) => error.to_string(),
    }
}

#[test]
fn a_hull_in_a_surveys_grid_keeps_its_shape() {
    let far = Vec3::new(451_234.5, 5_412_345.25, 112.3);
    let hull = import(obj(&[("hull", &moved(boat(), far))]), "b.obj", "B", &told()).unwrap();
    assert!(
        says(&hull.changed, "to her own place"),
        "{:?}",
        hull.changed
    );
    let near = kept(&import(obj(&[("hull", &boat())]), "b.obj", "B", &told()).unwrap());
    let kept = kept(&hull);
    // Doubles have steps of a nanometre there; a GLB at that place would have half a metre.
    let off = (kept.bounds.mins - near.bounds.mins).length()
        + (kept.bounds.maxs - near.bounds.maxs).length();
    assert!(off < 1e-5, "{off}");
    let volumes = [&kept, &near].map(|hull| hull.parts[0].mesh.signed_volume_m3());
    assert!((volumes[0] / volumes[1] - 1.0).abs() < 1e-6, "{volumes:?}");
    // A place of the file is still found.
    let at = hull.hull_from_file.pose * (Vec3::new(10.0, 0.0, 1.2) + far);
    let bow = hull.parts[0]
        .positions
        .iter()
        .map(|p| (Vec3::from_array(*p) - at).length());
    assert!(bow.fold(f64::MAX, f64::min) < 1e-6);
}

#[test]
fn coordinates_too_coarse_for_the_boat_are_told_and_widen_the_tolerance() {
    let far = moved(boat(), Vec3::new(451_234.5, 3_000_000.0, 12.0));
    let hull = import(stl_of(&far.0, &far.1), "b.stl", "B", &told()).unwrap();
    // Single precision has steps of 2^-2 m from 2^21 m to 2^22 m.
    assert_eq!(hull.described.shape_tolerance_m, 0.25);
    assert!(says(&hull.left, "to steps of 250"), "{:?}", hull.left);
    let near = import_of_boat(&told());
    assert_eq!(near.described.shape_tolerance_m, 0.020);
    assert!(!says(&near.left, "steps"), "{:?}", near.left);
}

fn import_of_boat(answers: &Answers) -> Imported {
    let (vertices, triangles) = boat();
    import(stl_of(&vertices, &triangles), "b.stl", "B", answers).unwrap()
}

#[test]
fn what_stands_out_on_one_side_does_not_move_the_middle() {
    let keel = cuboid([2.0, -0.15, -1.0], [6.0, 0.15, 0.1]);
    let mut all = boat();
    add(&mut all, cuboid([3.0, 1.2, 1.0], [4.0, 2.1, 1.2]));
    let hull = import(
        obj(&[("hull", &all), ("keel", &keel)]),
        "b.obj",
        "B",
        &told(),
    )
    .unwrap();
    let hull = kept(&hull);
    let keel = hull
        .parts
        .iter()
        .find(|p| p.kind == PartKind::Keel)
        .unwrap();
    let bounds = keel.mesh.aabb();
    assert!((bounds.mins.y + bounds.maxs.y).abs() < 1e-3, "{bounds:?}");
    assert!(
        bounds.mins.x.abs() < 0.2 && bounds.mins.z.abs() < 1e-6,
        "{bounds:?}"
    );
}

#[test]
fn two_hulls_stand_on_their_own_keels() {
    let mut all = cuboid([1.0, -2.2, 1.1], [7.0, 2.2, 1.3]);
    for side in [-2.0, 2.0] {
        add(
            &mut all,
            cuboid([0.0, side - 0.4, 0.0], [10.0, side + 0.4, 1.2]),
        );
    }
    let hull = import(obj(&[("hull", &all)]), "b.obj", "B", &told()).unwrap();
    let bounds = kept(&hull).bounds;
    assert!(
        bounds.mins.z.abs() < 1e-6 && bounds.mins.x.abs() < 1e-6,
        "{bounds:?}"
    );
    assert!((bounds.mins.y + bounds.maxs.y).abs() < 1e-3, "{bounds:?}");
}

#[test]
fn a_measured_length_is_that_of_the_hull_without_her_mast() {
    let mast = cuboid([-1.5, -0.08, 1.3], [11.0, 0.08, 1.45]);
    let answers = Answers {
        unit: None,
        length_m: Some(9.0),
        ..told()
    };
    let hull = import(
        obj(&[("hull", &boat()), ("mast", &mast)]),
        "b.obj",
        "B",
        &answers,
    )
    .unwrap();
    let body = hull
        .parts
        .iter()
        .find(|p| p.kind == PartKind::Body)
        .unwrap();
    let x = || body.positions.iter().map(|p| p[0]);
    let length = x().fold(f64::MIN, f64::max) - x().fold(f64::MAX, f64::min);
    assert!((length - 9.0).abs() < 1e-3, "{length}");
    assert!(
        says(&hull.changed, "Scaled by 0.900000"),
        "{:?}",
        hull.changed
    );
}

#[test]
fn points_that_tell_no_trim_are_refused() {
    let level = |a: [f64; 3], b: [f64; 3]| Answers {
        level: Some([a, b]),
        ..told()
    };
    let file = || obj(&[("hull", &boat())]);
    let abreast = refusal(file(), &level([5.0, -1.0, 0.5], [5.1, 1.0, 0.5]));
    assert!(abreast.contains("abreast"), "{abreast}");
    let stacked = refusal(file(), &level([0.0, 0.0, 0.0], [3.0, 0.0, 2.9]));
    assert!(stacked.contains("far above"), "{stacked}");
    import(
        file(),
        "b.obj",
        "B",
        &level([1.0, 0.0, 1.0], [9.0, 0.0, 1.2]),
    )
    .unwrap();
}

#[test]
fn a_flat_thing_and_a_tower_are_no_boats() {
    let (vertices, triangles) = boat();
    for by in [
        Vec3::new(1.0, 1e-4, 1.0),
        Vec3::new(1.0, 1.0, 1e-4),
        Vec3::new(1.0, 1.0, 30.0),
    ] {
        let vertices: Vec<Vec3> = vertices.iter().map(|v| *v * by).collect();
        let says = refusal(stl_of(&vertices, &triangles), &told());
        assert!(says.contains("expected a boat"), "{says}");
    }
}

#[test]
fn what_a_table_says_of_itself_is_not_answered_otherwise() {
    let table = "z_m\\x_m,0,2,4,6\n0,0,0,0,0\n0.5,0.8,1,0.8,0.1\n1,1,1.2,1,0.2\n";
    let file = || mesh_file::read(table.as_bytes(), "t.csv").unwrap();
    let unit = Answers {
        unit: Some(LengthUnit::Foot),
        ..Answers::default()
    };
    let up = Answers {
        up: Some(Axis::PlusY),
        ..Answers::default()
    };
    let forward = Answers {
        forward: Some(Axis::MinusX),
        ..Answers::default()
    };
    for (answers, what) in [
        (unit, "foot for a table in metre"),
        (up, "up along +y"),
        (forward, "forward along -x"),
    ] {
        let says = refusal(file(), &answers);
        assert!(says.contains(what), "{says}");
    }
    import(file(), "t.csv", "B", &Answers::default()).unwrap();
}

#[test]
fn parts_taken_out_are_not_asked_about_and_none_is_answered_twice() {
    let stand = cuboid([3.0, 1.0, -0.6], [3.3, 1.4, 0.05]);
    let file = || obj(&[("hull", &boat()), ("thing", &stand)]);
    let remove = |name: &str| PartAnswer {
        name: name.into(),
        remove: true,
        ..PartAnswer::default()
    };
    let of = |parts: Vec<PartAnswer>| Answers { parts, ..told() };
    let hull = import(file(), "b.obj", "B", &of(vec![remove("thing")])).unwrap();
    assert!(!says(&hull.left, "to be named"), "{:?}", hull.left);
    let twice = refusal(file(), &of(vec![remove("thing"), remove("Thing")]));
    assert!(twice.contains("answered twice"), "{twice}");
    let bodiless = import(
        file(),
        "b.obj",
        "B",
        &of(vec![PartAnswer {
            name: "hull".into(),
            kind: Some(PartKind::Other),
            ..PartAnswer::default()
        }]),
    );
    let bodiless = bodiless.unwrap();
    assert!(
        says(&bodiless.left, "No part is the body"),
        "{:?}",
        bodiless.left
    );
}

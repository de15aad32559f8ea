//! How a hull lies: any axes, askew, half, trimmed; always the same boat, laid down otherwise.

use super::*;

/// The boat without her deck.
fn open_boat() -> (Vec<Vec3>, Vec<[u32; 3]>) {
    let (vertices, triangles) = boat();
    let below = |t: &&[u32; 3]| t.iter().any(|&i| vertices[i as usize].z < 1.2 - 1e-9);
    let open = triangles.iter().filter(below).copied().collect();
    (vertices, open)
}

/// Her port half, cut along the middle, without deck and transom.
fn half_boat() -> (Vec<Vec3>, Vec<[u32; 3]>) {
    let (vertices, triangles) = boat();
    let port = |t: &&[u32; 3]| {
        let sum: f64 = t.iter().map(|&i| vertices[i as usize].y).sum();
        sum > 0.0 && t.iter().all(|&i| vertices[i as usize].y >= 0.0)
    };
    let half = triangles.iter().filter(port).copied().collect();
    (vertices, half)
}

fn metres() -> Answers {
    Answers {
        unit: Some(LengthUnit::Metre),
        ..Answers::default()
    }
}

fn assert_boat(hull: &Imported, says: &str) {
    let [low, high] = bounds(hull);
    let size = high - low;
    assert!(
        (size - Vec3::new(10.0, 3.0, 1.2)).length() < 2e-3,
        "{says}: {size}"
    );
    assert!((low.y + high.y).abs() < 1e-3, "{says}: {low} {high}");
}

#[test]
fn an_open_boat_lies_along_any_axes() {
    let (vertices, triangles) = open_boat();
    let axes = [
        Axis::PlusX,
        Axis::MinusX,
        Axis::PlusY,
        Axis::MinusY,
        Axis::PlusZ,
        Axis::MinusZ,
    ];
    let ways = axes.iter().flat_map(|f| axes.iter().map(move |u| (*f, *u)));
    // Every third of the 24: forward along every axis both ways.
    for (forward, up) in ways.filter(|(f, u)| f.index() != u.index()).step_by(3) {
        let [f, u] = [forward, up].map(|axis| Vec3::from_array(axis.vector()));
        let port = u.cross(f);
        let laid: Vec<Vec3> = vertices
            .iter()
            .map(|v| (f * v.x + port * v.y + u * v.z + Vec3::new(0.3, -2.0, 7.0)) / 0.0254)
            .collect();
        let answers = Answers {
            unit: Some(LengthUnit::Inch),
            ..Answers::default()
        };
        let hull = import(stl_of(&laid, &triangles), "b.stl", "B", &answers).unwrap();
        let found = (hull.examined.forward.value, hull.examined.up.value);
        assert_eq!(found, (Some(forward), Some(up)));
        assert_boat(&hull, &format!("{forward:?} {up:?}"));
        let back = hull.hull_from_file.point(laid[40].to_array());
        let there = hull.hull_from_file.inverse_point(back);
        assert!((Vec3::from_array(there) - laid[40]).length() < 1e-9 * laid[40].length());
        let near = mesh(&hull).nearest_to(Vec3::from_array(back));
        assert!((near - Vec3::from_array(back)).length() < 1e-4, "{near}");
    }
}

#[test]
fn a_boat_scanned_askew_is_put_upright() {
    let (vertices, triangles) = open_boat();
    for (heel, yaw) in [(0.5_f64, 0.1), (0.0, 0.6), (-0.35, -0.7), (0.1, 0.75)] {
        let turn = Rot3::from_rotation_z(yaw) * Rot3::from_rotation_x(heel);
        let laid: Vec<Vec3> = vertices.iter().map(|v| turn * *v + Vec3::ONE).collect();
        let answers = Answers {
            up: Some(Axis::PlusZ),
            ..metres()
        };
        let hull = import(stl_of(&laid, &triangles), "b.stl", "B", &answers).unwrap();
        assert_boat(&hull, &format!("heel {heel}, yaw {yaw}"));
        let found = &hull.examined;
        assert!(
            (found.heel_rad.value.unwrap() - heel).abs() < 2e-3,
            "{:?}",
            found.heel_rad
        );
        assert!(
            (found.yaw_rad.value.unwrap() - yaw).abs() < 2e-3,
            "{:?}",
            found.yaw_rad
        );
        let mesh = mesh(&hull);
        let low = bounds(&hull)[0];
        assert!(
            mesh.lowest_surface(low.x + 9.5, 0.8).is_none(),
            "the bow is the fine end"
        );
    }
}

#[test]
fn heel_and_yaw_are_taken_as_told() {
    let (vertices, triangles) = open_boat();
    let turn = Rot3::from_rotation_z(0.05) * Rot3::from_rotation_x(0.1);
    let laid: Vec<Vec3> = vertices.iter().map(|v| turn * *v).collect();
    let answers = Answers {
        up: Some(Axis::PlusZ),
        heel_rad: Some(0.0),
        ..metres()
    };
    let hull = import(stl_of(&laid, &triangles), "b.stl", "B", &answers).unwrap();
    assert_eq!(hull.examined.heel_rad.value, Some(0.0));
    assert!(
        metric(&hull.examined.heel_rad.because).contains("5.73 degrees"),
        "{:?}",
        hull.examined.heel_rad
    );
    // She stays heeled: one side of the sheer is higher.
    let size = bounds(&hull)[1] - bounds(&hull)[0];
    assert!(size.z > 1.2 + 0.1, "{size}");
}

#[test]
fn a_heeled_half_is_mirrored_in_its_own_plane() {
    let (vertices, triangles) = half_boat();
    for (heel, yaw) in [(0.0_f64, 0.0), (0.2, 0.0), (-0.3, 0.15), (0.1, -0.4)] {
        let turn = Rot3::from_rotation_z(yaw) * Rot3::from_rotation_x(heel);
        let laid: Vec<Vec3> = vertices
            .iter()
            .map(|v| turn * *v + Vec3::new(4.0, 1.0, 0.0))
            .collect();
        let told = Answers {
            up: Some(Axis::PlusZ),
            forward: Some(Axis::PlusX),
            ..metres()
        };
        let file = || stl_of(&laid, &triangles);
        let error = import(file(), "b.stl", "B", &told)
            .map(|hull| hull.examined.half)
            .unwrap_err()
            .to_string();
        assert!(
            error.contains("half a hull, to be mirrored"),
            "heel {heel}, yaw {yaw}: {error}"
        );
        let answers = Answers {
            mirror: Some(true),
            ..told.clone()
        };
        let hull = import(file(), "b.stl", "B", &answers).unwrap();
        assert_boat(&hull, &format!("heel {heel}, yaw {yaw}"));
        assert!(mesh(&hull).topology().consistent);
        let left = Answers {
            mirror: Some(false),
            ..told
        };
        let as_it_is = import(file(), "b.stl", "B", &left).unwrap();
        assert_eq!(as_it_is.parts[0].triangles.len(), triangles.len());
    }
}

#[test]
fn the_open_edge_of_a_stem_does_not_tilt_the_cut() {
    let (vertices, triangles) = half_boat();
    for half_siding in [0.005, 0.010, 0.020] {
        let open = |v: &Vec3| match v.z > 0.0 {
            true => *v + Vec3::Y * (half_siding * (v.x / 10.0).powi(8)),
            false => *v,
        };
        let vertices: Vec<Vec3> = vertices.iter().map(open).collect();
        let told = Answers {
            up: Some(Axis::PlusZ),
            mirror: Some(true),
            ..metres()
        };
        let hull = import(stl_of(&vertices, &triangles), "b.stl", "B", &told).unwrap();
        let heel = hull.examined.heel_rad.value.unwrap();
        let yaw = hull.examined.yaw_rad.value.unwrap();
        assert!(
            heel.abs() < 1e-4 && yaw.abs() < 1e-4,
            "{half_siding}: {heel} {yaw}"
        );
        let [low, high] = bounds(&hull);
        assert!((high.y - low.y - 3.0).abs() < 2e-3, "{half_siding}");
    }
}

fn trimmed(trim: f64) -> MeshFile {
    let (vertices, triangles) = boat();
    let turn = Rot3::from_rotation_y(-trim);
    let laid: Vec<Vec3> = vertices.iter().map(|v| turn * *v).collect();
    stl_of(&laid, &triangles)
}

#[test]
fn a_straight_keel_and_a_flat_deck_that_agree_give_the_trim() {
    for trim in [0.07_f64, -0.03] {
        let answers = Answers {
            up: Some(Axis::PlusZ),
            ..metres()
        };
        let hull = import(trimmed(trim), "b.stl", "B", &answers).unwrap();
        let found = &hull.examined.trim_rad;
        assert!((found.value.unwrap() - trim).abs() < 2e-4, "{found:?}");
        assert!(
            metric(&found.because).contains("keel") && metric(&found.because).contains("flat"),
            "{found:?}"
        );
        assert!(says(&hull.changed, "Trim"), "{:?}", hull.changed);
        assert_boat(&hull, "trimmed");
        let left = Answers {
            trim_rad: Some(0.0),
            ..answers
        };
        let hull = import(trimmed(trim), "b.stl", "B", &left).unwrap();
        assert!(
            bounds(&hull)[1].z - bounds(&hull)[0].z > 1.3,
            "she stays trimmed as told"
        );
    }
}

#[test]
fn a_keel_alone_may_be_built_with_drag() {
    let (vertices, triangles) = open_boat();
    let turn = Rot3::from_rotation_y(-0.05);
    let laid: Vec<Vec3> = vertices.iter().map(|v| turn * *v).collect();
    let answers = Answers {
        up: Some(Axis::PlusZ),
        ..metres()
    };
    let hull = import(stl_of(&laid, &triangles), "b.stl", "B", &answers).unwrap();
    let found = &hull.examined.trim_rad;
    assert_eq!(found.value, Some(0.0));
    assert!((found.choices[1] - 0.05).abs() < 2e-4, "{found:?}");
    assert!(says(&hull.left, "how she is built"), "{:?}", hull.left);
}

#[test]
fn two_points_that_are_level_give_the_trim() {
    let trim = -0.04_f64;
    let turn = Rot3::from_rotation_y(-trim);
    let level =
        [Vec3::new(1.0, 1.0, 0.5), Vec3::new(9.0, -0.3, 0.5)].map(|p| (turn * p).to_array());
    let answers = Answers {
        up: Some(Axis::PlusZ),
        level: Some(level),
        ..metres()
    };
    let hull = import(trimmed(trim), "b.stl", "B", &answers).unwrap();
    assert!((hull.examined.trim_rad.value.unwrap() - trim).abs() < 1e-5);
    assert_boat(&hull, "level");
    let both = Answers {
        trim_rad: Some(0.1),
        ..answers
    };
    let error = import(trimmed(trim), "b.stl", "B", &both).unwrap_err();
    assert!(error.to_string().contains("one tells the other"), "{error}");
}

#[test]
fn what_this_program_writes_comes_back_without_a_question() {
    let (vertices, triangles) = boat();
    let positions: Vec<[f64; 3]> = vertices.iter().map(|v| v.to_array()).collect();
    let part = Written {
        name: "hull",
        positions: &positions,
        triangles: &triangles,
    };
    for (bytes, file) in [(glb(&[part]).unwrap(), "b.glb"), (stl(&[part]), "b.stl")] {
        let read = mesh_file::read(&bytes, file).unwrap();
        let hull = import(read, file, "B", &Answers::default()).unwrap();
        assert_boat(&hull, file);
        let [low, high] = bounds(&hull);
        let deck = mesh(&hull).lowest_surface(9.5, 0.8);
        assert!(
            low.x.abs() < 1e-6 && (high.z - 1.2).abs() < 1e-6 && deck.is_none(),
            "{file}: {low} {high}"
        );
    }
}

//! What is found of a boat beside her skin: parts, skins, slits, openings.

use keelstead_boat::hull::{PartKind, PartUse};

use super::*;

/// A box as vertices and triangles.
pub(super) fn cuboid(low: [f64; 3], high: [f64; 3]) -> (Vec<Vec3>, Vec<[u32; 3]>) {
    keelstead_geometry::math::Aabb::new(low.into(), high.into()).to_trimesh()
}

pub(super) fn add(to: &mut (Vec<Vec3>, Vec<[u32; 3]>), more: (Vec<Vec3>, Vec<[u32; 3]>)) {
    let shift = to.0.len() as u32;
    to.0.extend(more.0);
    to.1.extend(more.1.iter().map(|t| t.map(|i| i + shift)));
}

/// The boat with all that hangs on her, every piece a shell of one STL.
fn rigged() -> (Vec<Vec3>, Vec<[u32; 3]>) {
    let mut all = boat();
    for (low, high) in [
        ([6.0, -0.08, 1.25], [6.15, 0.08, 13.0]),
        ([3.0, -0.05, 2.3], [5.9, 0.05, 2.4]),
        ([4.0, -0.15, -1.0], [6.0, 0.15, 0.05]),
        ([0.1, -0.03, -0.7], [0.5, 0.03, 0.3]),
        ([0.9, -0.2, -0.3], [1.0, 0.2, 0.1]),
    ] {
        add(&mut all, cuboid(low, high));
    }
    for side in [-1.0, 1.0] {
        for x in [2.0, 4.0] {
            let y = side * 1.2;
            add(
                &mut all,
                cuboid([x, y - 0.012, 1.2], [x + 0.025, y + 0.012, 1.8]),
            );
            add(
                &mut all,
                cuboid([x, y - 0.012, 1.8], [x + 2.0, y + 0.012, 1.825]),
            );
        }
    }
    all
}

fn told(parts: Vec<PartAnswer>) -> Answers {
    Answers {
        unit: Some(LengthUnit::Metre),
        up: Some(Axis::PlusZ),
        parts,
        ..Answers::default()
    }
}

fn import_of((vertices, triangles): &(Vec<Vec3>, Vec<[u32; 3]>), answers: &Answers) -> Imported {
    import(stl_of(vertices, triangles), "b.stl", "B", answers).unwrap()
}

fn kinds(hull: &Imported) -> Vec<(&str, PartKind)> {
    let mut kinds: Vec<_> = hull
        .parts
        .iter()
        .map(|p| (p.name.as_str(), p.kind))
        .collect();
    kinds.sort();
    kinds
}

#[test]
fn rig_and_appendages_are_known_by_their_shape() {
    let hull = import_of(&rigged(), &told(Vec::new()));
    assert_eq!(
        kinds(&hull),
        [
            ("hull", PartKind::Body),
            ("keel", PartKind::Keel),
            ("mast", PartKind::Mast),
            ("propeller", PartKind::Propeller),
            ("rails and gear", PartKind::DeckGear),
            ("rudder", PartKind::Rudder),
        ]
    );
    for found in &hull.examined.parts {
        assert!(!found.kind.because.is_empty() && found.part_use.value == Some(PartUse::Checked));
    }
    let mast = hull
        .examined
        .parts
        .iter()
        .find(|p| p.name == "mast")
        .unwrap();
    assert!(
        mast.part_use.choices.contains(&PartUse::LeftOut),
        "{mast:?}"
    );
    assert!((mast.max[2] - 13.0).abs() < 1e-4, "{mast:?}");
    assert_eq!(
        hull.examined.forward.value,
        Some(Axis::PlusX),
        "the mast does not hide the bow"
    );
}

#[test]
fn parts_are_what_a_person_says() {
    let part = |name: &str| PartAnswer {
        name: name.into(),
        ..PartAnswer::default()
    };
    let answers = told(vec![
        PartAnswer {
            part_use: Some(PartUse::LeftOut),
            rename: Some("rig".into()),
            ..part("Mast")
        },
        PartAnswer {
            part_use: Some(PartUse::HeightOnly),
            ..part("rails and gear")
        },
        PartAnswer {
            remove: true,
            ..part("propeller")
        },
        PartAnswer {
            kind: Some(PartKind::Skeg),
            ..part("keel")
        },
    ]);
    let hull = import_of(&rigged(), &answers);
    let part = |name: &str| hull.parts.iter().find(|p| p.name == name);
    assert_eq!(part("rig").unwrap().part_use, PartUse::LeftOut);
    assert_eq!(
        part("rails and gear").unwrap().part_use,
        PartUse::HeightOnly
    );
    assert_eq!(part("keel").unwrap().kind, PartKind::Skeg);
    assert!(part("propeller").is_none() && part("mast").is_none());
    for piece in [
        "\"rig\" is left out",
        "kept for height",
        "\"propeller\" taken out",
    ] {
        assert!(says(&hull.changed, piece), "{piece}: {:?}", hull.changed);
    }
    let rule = hull
        .described
        .parts
        .iter()
        .find(|r| r.node == "rig")
        .unwrap();
    let json = serde_json::to_string(rule).unwrap();
    assert_eq!(json, r#"{"node":"rig","kind":"mast","use":"left-out"}"#);
    let wrong = told(vec![PartAnswer {
        name: "sail".into(),
        ..PartAnswer::default()
    }]);
    let (vertices, triangles) = rigged();
    let error = import(stl_of(&vertices, &triangles), "b.stl", "B", &wrong).unwrap_err();
    assert!(error.to_string().contains("rails and gear"), "{error}");
}

#[test]
fn a_stand_under_the_boat_is_asked_about_and_stays_until_told() {
    let mut all = boat();
    add(&mut all, cuboid([2.0, -1.4, -0.8], [2.2, 1.4, -0.6]));
    add(&mut all, cuboid([3.0, 1.2, -0.8], [3.2, 1.4, 0.3]));
    let hull = import_of(&all, &told(Vec::new()));
    let open: Vec<_> = hull
        .examined
        .parts
        .iter()
        .filter(|p| p.kind.value.is_none())
        .collect();
    assert_eq!(open.len(), 2, "{:?}", hull.examined.parts);
    assert!(
        open.iter()
            .all(|p| metric(&p.kind.because).contains("stand")),
        "{open:?}"
    );
    assert!(
        hull.left
            .iter()
            .filter(|l| metric(l).contains("to be named"))
            .count()
            == 2,
        "{:?}",
        hull.left
    );
    assert_eq!(hull.parts.len(), 3);
}

#[test]
fn shells_are_separated_as_told() {
    // Each stanchion meets its rail: two shells a side of them make one.
    let all = rigged();
    let never = Answers {
        separate: Some(false),
        ..told(Vec::new())
    };
    assert_eq!(import_of(&all, &never).parts.len(), 1);
    let always = Answers {
        separate: Some(true),
        ..told(Vec::new())
    };
    assert_eq!(import_of(&all, &always).parts.len(), 8);
}

#[test]
fn of_two_skins_the_outer_is_kept() {
    let (vertices, triangles) = boat();
    let mut all = (vertices.clone(), triangles.clone());
    // An inside 10 mm off, its own way round.
    let inner = vertices
        .iter()
        .map(|v| Vec3::new(0.01 + v.x * 0.998, v.y * 0.99, 0.01 + v.z * 0.985));
    let turned = triangles.iter().map(|&[a, b, c]| [a, c, b]);
    add(&mut all, (inner.collect(), turned.collect()));
    let hull = import_of(&all, &told(Vec::new()));
    assert_eq!(
        hull.examined.skins.len(),
        1,
        "{:?}",
        hull.examined.sides.shells
    );
    let apart = hull.examined.skins[0].apart;
    assert!((0.002..0.02).contains(&apart), "{apart}");
    assert!(says(&hull.changed, "Two skins"), "{:?}", hull.changed);
    assert!((mesh(&hull).signed_volume_m3() / volume_m3() - 1.0).abs() < 1e-5);
    let both = Answers {
        skin: Some(Skin::Both),
        ..told(Vec::new())
    };
    let hull = import_of(&all, &both);
    assert_eq!(hull.parts[0].triangles.len(), 2 * triangles.len());
    assert!(says(&hull.left, "Two skins"), "{:?}", hull.left);
}

/// The boat's port and starboard sides, `gap` apart, without deck and transom.
fn two_halves(gap: f64) -> (Vec<Vec3>, Vec<[u32; 3]>) {
    let (vertices, triangles) = boat();
    let mut all = (Vec::new(), Vec::new());
    for side in [1.0, -1.0] {
        let on = |t: &&[u32; 3]| {
            let sum: f64 = t.iter().map(|&i| side * vertices[i as usize].y).sum();
            sum > 0.0 && t.iter().all(|&i| side * vertices[i as usize].y >= 0.0)
        };
        let own = triangles.iter().filter(on).copied().collect();
        let moved = vertices.iter().map(|v| *v + Vec3::Y * (0.5 * side * gap));
        add(&mut all, (moved.collect(), own));
    }
    all
}

#[test]
fn a_seam_is_told_and_joined_when_asked() {
    let all = two_halves(0.002);
    let hull = import_of(&all, &told(Vec::new()));
    let slit = hull.examined.slits.first().unwrap();
    assert!(
        (slit.width - 0.002).abs() < 1e-6 && slit.length > 9.0,
        "{slit:?}"
    );
    assert!(says(&hull.left, "up to 2.00 mm wide"), "{:?}", hull.left);
    let answers = Answers {
        join_slits_m: Some(0.003),
        ..told(Vec::new())
    };
    let hull = import_of(&all, &answers);
    assert!(says(&hull.changed, "joined"), "{:?}", hull.changed);
    let joined = mesh(&hull);
    assert!(joined.topology().consistent && joined.topology().shells == 1);
    let keel = |i: &u32| {
        let p = joined.vertices()[*i as usize];
        p.z < 0.01 && p.x > 0.1
    };
    let open = joined.unbalanced_edges();
    assert!(
        !open.iter().any(|edge| edge.iter().all(keel)),
        "the keel is closed"
    );
}

#[test]
fn slits_of_a_width_that_no_mesh_has_are_none() {
    for width in [1e-40, 1e-25, 1e-12, 1e12, 1e25] {
        let answers = Answers {
            join_slits_m: Some(width),
            ..told(Vec::new())
        };
        let hull = import_of(&two_halves(0.002), &answers);
        assert!(hull.examined.slits.is_empty(), "{width}");
    }
}

#[test]
fn an_open_deck_is_closed_for_volume_alone() {
    let (vertices, triangles) = boat();
    let below = |t: &&[u32; 3]| t.iter().any(|&i| vertices[i as usize].z < 1.2 - 1e-9);
    let open: Vec<[u32; 3]> = triangles.iter().filter(below).copied().collect();
    let answers = Answers {
        close_deck: true,
        ..told(Vec::new())
    };
    let hull = import_of(&(vertices, open), &answers);
    let cap = &hull.caps[0];
    // By hand: the deck is a parabola, 2/3 of length by beam.
    assert!((cap.area_m2 - 20.0).abs() < 0.05, "{cap:?}");
    let part = hull.parts.iter().find(|p| p.name == cap.part).unwrap();
    assert_eq!(
        (part.kind, part.part_use),
        (PartKind::Other, PartUse::VolumeOnly)
    );
    assert!(
        says(&hull.changed, "for volume alone"),
        "{:?}",
        hull.changed
    );
    assert!(!says(&hull.left, "hole"), "{:?}", hull.left);
    let corners: Vec<[Vec3; 3]> = hull
        .parts
        .iter()
        .flat_map(|p| {
            p.triangles
                .iter()
                .map(|t| t.map(|i| Vec3::from_array(p.positions[i as usize])))
        })
        .collect();
    let whole = Mesh::welded(&corners).unwrap();
    assert!(whole.topology().closed() && whole.topology().consistent);
    assert!((whole.volume_m3().unwrap() / volume_m3() - 1.0).abs() < 1e-5);
}

#[test]
fn small_holes_are_closed_with_skin() {
    let (vertices, mut triangles) = boat();
    let gone = triangles.iter().position(|t| {
        t.iter()
            .all(|&i| vertices[i as usize].y > 0.5 && vertices[i as usize].z < 1.1)
    });
    triangles.remove(gone.unwrap());
    let answers = Answers {
        close_holes_m: Some(1.0),
        ..told(Vec::new())
    };
    let hull = import_of(&(vertices, triangles), &answers);
    assert!(mesh(&hull).topology().closed());
    assert!((mesh(&hull).signed_volume_m3() / volume_m3() - 1.0).abs() < 1e-5);
    assert_eq!(hull.parts.len(), 1, "it is skin, not a part");
}

#[test]
fn answers_that_cannot_be_are_refused() {
    let (vertices, triangles) = boat();
    for (answers, piece) in [
        (
            Answers {
                heel_rad: Some(2.0),
                ..Answers::default()
            },
            "heel",
        ),
        (
            Answers {
                trim_rad: Some(f64::NAN),
                ..Answers::default()
            },
            "trim",
        ),
        (
            Answers {
                join_slits_m: Some(-1.0),
                ..Answers::default()
            },
            "slits",
        ),
        (
            Answers {
                close_holes_m: Some(f64::INFINITY),
                ..Answers::default()
            },
            "holes",
        ),
    ] {
        let error = import(stl_of(&vertices, &triangles), "b.stl", "B", &answers).unwrap_err();
        assert!(error.to_string().contains(piece), "{error}");
    }
    let text = r#"{"unit":"inch","parts":[{"name":"mast","use":"left-out"}]}"#;
    let read: Answers = serde_json::from_str(text).unwrap();
    assert_eq!(read.parts[0].part_use, Some(PartUse::LeftOut));
    let again: Answers = serde_json::from_str(&serde_json::to_string(&read).unwrap()).unwrap();
    assert_eq!(again, read);
    let (found, file) = (stl_of(&vertices, &triangles), "b.stl");
    let examined = examine(&found, file, &Answers::default()).unwrap();
    let text = serde_json::to_string(&examined).unwrap();
    let read: Examined = serde_json::from_str(&text).unwrap();
    assert_eq!(read.trim_rad, examined.trim_rad);
}

#[test]
fn shapes_and_places_tell_kinds() {
    use crate::intake::kinds::{Piece, by_shape};
    let piece = |low: [f64; 3], high: [f64; 3]| Piece {
        low: low.into(),
        high: high.into(),
        area: 1.0,
        volume: None,
    };
    let body = Piece {
        area: 60.0,
        ..piece([0.0, -1.5, 0.0], [10.0, 1.5, 1.5])
    };
    for (what, low, high, kind) in [
        (
            "laid mast",
            [-1.0, -0.1, 1.6],
            [10.5, 0.1, 1.8],
            Some(PartKind::Mast),
        ),
        (
            "house",
            [3.0, -0.9, 1.4],
            [6.0, 0.9, 2.3],
            Some(PartKind::Cabin),
        ),
        (
            "skeg",
            [0.8, -0.05, -0.6],
            [1.9, 0.05, 0.1],
            Some(PartKind::Skeg),
        ),
        (
            "shaft",
            [1.5, -0.03, -0.3],
            [3.5, 0.03, -0.1],
            Some(PartKind::Shaft),
        ),
        (
            "long keel",
            [1.0, -0.15, -0.8],
            [8.0, 0.15, 0.1],
            Some(PartKind::Keel),
        ),
        (
            "rudder hung aft",
            [-0.4, -0.03, -0.5],
            [0.0, 0.03, 1.2],
            Some(PartKind::Rudder),
        ),
        (
            "twin rudder",
            [0.3, 0.5, -0.7],
            [0.6, 0.55, 0.1],
            Some(PartKind::Rudder),
        ),
        (
            "cleat",
            [9.0, 0.2, 1.5],
            [9.2, 0.25, 1.56],
            Some(PartKind::DeckGear),
        ),
        ("board", [4.5, -0.02, -1.2], [5.5, 0.02, 0.2], None),
        ("lump under her", [4.0, 0.4, -0.5], [4.8, 0.9, 0.3], None),
        ("something inside", [4.0, 0.2, 0.4], [5.0, 0.8, 0.9], None),
    ] {
        let found = by_shape(&piece(low, high), &body);
        assert_eq!(found.value, kind, "{what}: {found:?}");
        let bears = found.taken().is_some_and(PartKind::may_bear);
        assert!(
            kind.is_some() || !bears,
            "{what} is open, and nothing may bear on it: {found:?}"
        );
    }
}

#[test]
fn a_board_under_the_hull_is_no_part_of_her_skin() {
    let mut all = boat();
    add(&mut all, cuboid([4.5, -0.02, -1.2], [5.5, 0.02, 0.2]));
    let hull = import_of(&all, &told(Vec::new()));
    assert_eq!(
        kinds(&hull),
        [("hull", PartKind::Body), ("shell 2", PartKind::Centreboard)]
    );
    assert!(says(&hull.left, "to be named"), "{:?}", hull.left);
}

/// A plate, an outer and an inner skin in one: twice its volume by its area is 3.0 / 61.3 m.
fn plate() -> (Vec<Vec3>, Vec<[u32; 3]>) {
    cuboid([0.0, -1.5, 0.0], [10.0, 1.5, 0.05])
}

fn bow_along_x() -> Answers {
    Answers {
        forward: Some(Axis::PlusX),
        ..told(Vec::new())
    }
}

const AS_THICK: &str = "about 48.94 mm thick: outside and inside";

#[test]
fn a_skin_with_its_inside_in_one_piece_is_told() {
    let hull = import_of(&plate(), &bow_along_x());
    assert!(says(&hull.left, AS_THICK), "{:?}", hull.left);
}

#[test]
fn how_thick_a_skin_is_does_not_hang_on_the_unit_of_the_file() {
    let large = |(vertices, triangles): (Vec<Vec3>, Vec<[u32; 3]>)| {
        let vertices: Vec<Vec3> = vertices.iter().map(|v| 1000.0 * *v).collect();
        (vertices, triangles)
    };
    let millimetres = Answers {
        unit: Some(LengthUnit::Millimetre),
        ..bow_along_x()
    };
    let as_long = Answers {
        unit: None,
        length_m: Some(10.0),
        ..bow_along_x()
    };
    for answers in [millimetres, as_long] {
        let hull = import_of(&large(plate()), &answers);
        assert!(says(&hull.left, AS_THICK), "{:?}", hull.left);
        let solid = large(cuboid([0.0, -1.5, 0.0], [10.0, 1.5, 1.2]));
        let hull = import_of(&solid, &answers);
        assert!(!says(&hull.left, "thick"), "{:?}", hull.left);
    }
}

#[test]
fn what_closes_an_opening_is_no_part_of_a_skin() {
    let mut all = plate();
    // An open box on it, closed for volume alone: the plate is as thick as before.
    let (vertices, mut triangles) = cuboid([4.0, -0.5, 0.3], [5.0, 0.5, 0.8]);
    let is_top = |t: &[u32; 3]| t.iter().all(|&i| vertices[i as usize].z > 0.5);
    triangles.retain(|t| !is_top(t));
    add(&mut all, (vertices, triangles));
    let open = Answers {
        close_deck: true,
        ..bow_along_x()
    };
    let hull = import_of(&all, &open);
    assert_eq!(hull.caps.len(), 1, "{:?}", hull.left);
    assert!(says(&hull.left, AS_THICK), "{:?}", hull.left);
}

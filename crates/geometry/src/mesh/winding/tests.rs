//! Skins made by construction, whose inside is known.

#![allow(clippy::unwrap_used)]

use super::Skins;
use crate::math::Vec3;
use crate::mesh::Mesh;
use crate::solids::cuboid;

/// A hull of box shape: 6 m long, 2 m wide, 1 m deep, its faces outward.
fn body() -> Mesh {
    cuboid([0.0, -1.0, 0.0], [6.0, 1.0, 1.0])
}

/// The triangles of a mesh as loose corners.
fn corners(mesh: &Mesh) -> Vec<[Vec3; 3]> {
    let at = |i: u32| mesh.vertices()[i as usize];
    mesh.triangles().iter().map(|t| t.map(at)).collect()
}

/// Each triangle in four, `times` over.
fn finer(mut corners: Vec<[Vec3; 3]>, times: usize) -> Vec<[Vec3; 3]> {
    for _ in 0..times {
        corners = corners
            .into_iter()
            .flat_map(|[a, b, c]| {
                let [ab, bc, ca] = [(a + b) / 2.0, (b + c) / 2.0, (c + a) / 2.0];
                [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]
            })
            .collect();
    }
    corners
}

/// The triangles of a finely cut mesh whose middles pass.
fn only(mesh: &Mesh, keep: impl Fn(Vec3) -> bool) -> Mesh {
    let mut some = finer(corners(mesh), 3);
    some.retain(|[a, b, c]| keep((*a + *b + *c) / 3.0));
    Mesh::welded(&some).unwrap()
}

fn turned(mesh: &Mesh) -> Mesh {
    let triangles = mesh.triangles().iter().map(|&[a, b, c]| [a, c, b]);
    Mesh::new(mesh.vertices().to_vec(), triangles.collect()).unwrap()
}

fn joined(meshes: &[&Mesh]) -> Mesh {
    let all: Vec<_> = meshes.iter().flat_map(|m| corners(m)).collect();
    Mesh::welded(&all).unwrap()
}

/// What is in her and what is not, away from rims.
const IN: [[f64; 3]; 5] = [
    [3.0, 0.0, 0.5],
    [0.2, 0.0, 0.1],
    [5.5, 0.7, 0.2],
    [2.0, -0.9, 0.5],
    [4.1, 0.03, 0.6],
];
const OUT: [[f64; 3]; 6] = [
    [3.0, 0.0, -0.05],
    [3.0, 1.05, 0.5],
    [1.0, -1.2, 0.1],
    [-0.1, 0.3, 0.5],
    [6.2, 0.0, 0.9],
    [0.5, 0.9, -0.3],
];

/// All points asked lie in the box of the skin: a plate stands far off each corner of it.
fn with_far_plates(meshes: &[&Mesh], ask: impl Fn(&Skins)) {
    let plates = [[-9.0, -9.0, -9.0], [15.0, 9.0, 9.0]].map(|[x, y, z]| {
        let at = [[x, y, z], [x, y + 0.1, z], [x, y, z + 0.1]].map(Vec3::from_array);
        Mesh::new(at.to_vec(), vec![[0, 1, 2]]).unwrap()
    });
    ask(&Skins::new(meshes.iter().copied()));
    ask(&Skins::new(meshes.iter().copied().chain(&plates)));
}

fn in_and_out(what: &str, meshes: &[&Mesh]) {
    with_far_plates(meshes, |skins| {
        for at in IN {
            assert!(skins.hold(Vec3::from_array(at)), "{what}: {at:?} is in her");
        }
        for at in OUT {
            assert!(!skins.hold(Vec3::from_array(at)), "{what}: {at:?} is not");
        }
    });
}

#[test]
fn a_skin_split_over_parts_has_the_inside_of_the_whole() {
    let whole = body();
    let [port, starboard] = [1.0, -1.0].map(|side| only(&whole, |at| at.y * side > 0.0));
    let [upper, lower] = [1.0, -1.0].map(|side| only(&whole, |at| (at.z - 0.5) * side > 0.0));
    let [fore, aft] = [1.0, -1.0].map(|side| only(&whole, |at| (at.x - 3.0) * side > 0.0));
    in_and_out("whole", &[&whole]);
    in_and_out("sides", &[&port, &starboard]);
    in_and_out("upper and lower", &[&upper, &lower]);
    in_and_out("ends", &[&aft, &fore]);
    // One of them, or all, inside out.
    in_and_out("one side turned", &[&port, &turned(&starboard)]);
    in_and_out("both turned", &[&turned(&port), &turned(&starboard)]);
    in_and_out("lower turned", &[&upper, &turned(&lower)]);
    // Plate by plate.
    let plates: Vec<Mesh> = corners(&whole)
        .chunks(2)
        .enumerate()
        .map(|(i, two)| {
            let plate = Mesh::welded(two).unwrap();
            if i % 2 == 0 { plate } else { turned(&plate) }
        })
        .collect();
    in_and_out("plates", &plates.iter().collect::<Vec<_>>());
}

#[test]
fn a_skin_wound_twice_has_the_inside_of_one() {
    let whole = body();
    let twice = joined(&[&whole, &whole]);
    let nested = joined(&[&whole, &cuboid([0.1, -0.95, 0.05], [5.9, 0.95, 0.95])]);
    let both_sides = joined(&[&whole, &turned(&whole)]);
    let root = joined(&[&whole, &cuboid([1.5, -0.9, -0.02], [5.9, 0.9, 0.9])]);
    for (what, mesh) in [
        ("twice", &twice),
        ("nested", &nested),
        ("both sides", &both_sides),
        ("root", &root),
    ] {
        in_and_out(what, &[mesh]);
        for at in IN {
            assert!(mesh.contains(Vec3::from_array(at)), "{what}: {at:?}");
        }
        for at in OUT {
            assert!(!mesh.contains(Vec3::from_array(at)), "{what}: {at:?}");
        }
    }
    let sides = [1.0, -1.0].map(|side| only(&whole, |at| at.y * side > 0.0));
    in_and_out("parts twice", &[&sides[0], &sides[1], &sides[0], &sides[1]]);
}

#[test]
fn what_lies_between_skin_and_liner_or_in_the_cabin_is_in_the_boat() {
    let outer = body();
    let inner = cuboid([0.15, -0.93, 0.06], [5.9, 0.93, 0.94]);
    in_and_out("parts", &[&outer, &inner]);
    in_and_out("liner turned", &[&outer, &turned(&inner)]);
    in_and_out("one part", &[&joined(&[&outer, &turned(&inner)])]);
    let between = Vec3::new(3.0, 0.0, 0.03);
    assert!(Skins::new([&outer, &turned(&inner)].into_iter()).hold(between));
}

#[test]
fn an_open_boat_holds_what_is_below_her_sheer() {
    let open = only(&body(), |at| at.z < 0.999);
    let shallow = only(&cuboid([0.0, -1.0, 0.0], [6.0, 1.0, 0.15]), |at| {
        at.z < 0.149
    });
    // A mast that makes the box of her taller.
    let mast = cuboid([4.0, -0.05, 0.1], [4.1, 0.05, 6.0]);
    let open_twice = joined(&[&open, &open]);
    let both_sides = joined(&[&open, &turned(&open)]);
    for (what, tub) in [
        ("open", &open),
        ("turned", &turned(&open)),
        ("twice", &open_twice),
        ("both sides", &both_sides),
    ] {
        with_far_plates(&[tub, &mast], |skins| {
            for at in [[3.0, 0.0, 0.5], [1.0, 0.6, 0.8], [0.2, -0.9, 0.3]] {
                assert!(skins.hold(Vec3::from_array(at)), "{what}: {at:?}");
            }
            for at in OUT {
                assert!(!skins.hold(Vec3::from_array(at)), "{what}: {at:?}");
            }
            if what != "twice" {
                for at in [[2.0, 0.0, 1.6], [2.5, 0.8, 1.3], [3.0, 0.0, 4.0]] {
                    assert!(!skins.hold(Vec3::from_array(at)), "{what}: {at:?}");
                }
            }
        });
    }
    // Nothing is in her where a beam lies close under a shallow one, however often she is wound.
    for shallow in [&shallow, &joined(&[&shallow, &shallow]), &turned(&shallow)] {
        with_far_plates(&[shallow], |skins| {
            for x in [0.5, 3.0, 5.0] {
                assert!(!skins.hold(Vec3::new(x, 0.0, -0.03)), "{x}");
                assert!(!skins.hold(Vec3::new(x, 1.03, 0.05)), "{x}");
            }
        });
    }
}

#[test]
fn a_hole_lets_in_and_does_not_let_out() {
    // A window of a quarter of a metre in her side, another in her bottom.
    let holed = only(&body(), |at| {
        let side = at.y > 0.99 && (at.x - 3.0).abs() < 0.4 && (at.z - 0.5).abs() < 0.2;
        let bottom = at.z < 0.01 && (at.x - 1.5).abs() < 0.4 && at.y.abs() < 0.2;
        !side && !bottom
    });
    assert!(holed.topology().boundary_edges > 0);
    with_far_plates(&[&holed], |skins| {
        for at in IN.into_iter().chain([[3.0, 0.7, 0.5], [1.5, 0.0, 0.25]]) {
            assert!(skins.hold(Vec3::from_array(at)), "{at:?}");
        }
        for at in OUT.into_iter().chain([[3.0, 1.3, 0.5], [1.5, 0.0, -0.3]]) {
            assert!(!skins.hold(Vec3::from_array(at)), "{at:?}");
        }
    });
}

#[test]
fn what_hangs_among_keel_and_rudder_is_not_in_the_boat() {
    // Body, a fin whose root lies in it, a bulb under the fin, a rudder; two hulls under one bridge.
    let open = |mesh: &Mesh, top: f64| only(mesh, |at| at.z < top - 0.001);
    let body = body();
    let fin = cuboid([2.5, -0.05, -1.0], [3.5, 0.05, 0.3]);
    let bulb = cuboid([2.0, -0.3, -1.3], [4.0, 0.3, -0.95]);
    let rudder = cuboid([0.2, -0.03, -0.9], [0.6, 0.03, 0.2]);
    let under = [
        [3.0, 0.12, -0.85],
        [3.0, 0.2, -0.5],
        [3.0, -0.08, -0.1],
        [1.5, 0.0, -0.4],
        [0.8, 0.0, -0.2],
    ];
    let parts = [&body, &fin, &bulb, &rudder];
    let open_parts = [
        &open(&body, 1.0),
        &open(&fin, 0.3),
        &bulb,
        &open(&rudder, 0.2),
    ];
    let soup = joined(&open_parts);
    for meshes in [&parts[..], &open_parts[..], &[&soup][..]] {
        with_far_plates(meshes, |skins| {
            for at in under {
                assert!(!skins.hold(Vec3::from_array(at)), "{at:?}");
            }
            for at in [
                [3.0, 0.0, 0.1],
                [1.0, 0.2, 0.4],
                [3.0, 0.0, -0.5],
                [3.0, 0.2, -1.1],
            ] {
                assert!(skins.hold(Vec3::from_array(at)), "{at:?}");
            }
        });
    }
    let bridge = cuboid([0.0, -1.5, 0.9], [6.0, 1.5, 1.2]);
    let hulls = [[0.5, 1.5], [-1.5, -0.5]].map(|[lo, hi]| cuboid([0.0, lo, 0.0], [6.0, hi, 1.0]));
    let twin = [&bridge, &hulls[0], &hulls[1]];
    for meshes in [&twin[..], &[&joined(&twin)]] {
        with_far_plates(meshes, |skins| {
            for at in [[3.0, 0.0, 0.7], [3.0, 0.3, 0.3], [1.0, -0.4, 0.8]] {
                assert!(!skins.hold(Vec3::from_array(at)), "{at:?}");
            }
            assert!(skins.hold(Vec3::new(3.0, 1.0, 0.5)));
        });
    }
}

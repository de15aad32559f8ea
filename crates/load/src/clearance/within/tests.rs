//! Rig parts in boats made by construction; gaps by hand.

#![allow(clippy::unwrap_used)]

use std::sync::Arc;

use crate::clearance::Clearance;
use crate::clearance::all_pairs;
use crate::rig_parts::part;
use crate::rig_parts::{RigPart, RigPartKind};
use keelstead_boat::hull::{Hull, HullFacts, HullPart, PartKind, PartUse};
use keelstead_geometry::math::{Point, Pose, Rot3, Vec3};
use keelstead_geometry::mesh::Mesh;
use keelstead_geometry::shape::Shape;
use keelstead_geometry::solids::cuboid;

/// 6 m long, 2 m wide, 1 m deep, each face in squares of 0.1 m or so.
fn body() -> Vec<[Vec3; 3]> {
    let mesh = cuboid([0.0, -1.0, 0.0], [6.0, 1.0, 1.0]);
    let at = |i: u32| mesh.vertices()[i as usize];
    let mut corners: Vec<[Vec3; 3]> = mesh.triangles().iter().map(|t| t.map(at)).collect();
    for _ in 0..4 {
        corners = (corners.into_iter())
            .flat_map(|[a, b, c]| {
                let [ab, bc, ca] = [(a + b) / 2.0, (b + c) / 2.0, (c + a) / 2.0];
                [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]
            })
            .collect();
    }
    corners
}

fn only(corners: &[[Vec3; 3]], keep: impl Fn(Vec3) -> bool) -> Mesh {
    let middle = |t: &&[Vec3; 3]| (t[0] + t[1] + t[2]) / 3.0;
    let some: Vec<_> = corners
        .iter()
        .filter(|t| keep(middle(t)))
        .copied()
        .collect();
    Mesh::welded(&some).unwrap()
}

fn hull(meshes: Vec<Mesh>) -> Hull {
    let part = |(i, mesh)| HullPart {
        name: format!("part {i}"),
        kind: PartKind::Body,
        part_use: PartUse::Checked,
        mesh: Arc::new(mesh),
    };
    let parts = meshes.into_iter().enumerate().map(part).collect();
    Hull::new("boat", parts, HullFacts::default()).unwrap()
}

fn arm(edges: [f64; 3], at: [f64; 3]) -> RigPart {
    let half = Point::from(Vec3::from_array(edges) / 2.0);
    let pose = Pose::from_translation(Vec3::from_array(at));
    part("arm", RigPartKind::PadArm, Shape::Box { half }, pose)
}

/// The least gap of a rig part, wherever hull and rig stand together.
fn least(hull: &Hull, arm: &RigPart) -> Clearance {
    let carried = Pose::from_parts(
        Vec3::new(-7.0, 0.4, 1.3),
        Rot3::from_rotation_y(0.02) * Rot3::from_rotation_z(0.7),
    );
    let there = RigPart {
        trailer_from_part: (carried * arm.trailer_from_part.pose()).into(),
        ..arm.clone()
    };
    let found = all_pairs(hull, &[there], &carried);
    let counting = hull.parts.iter().filter(|p| p.part_use.in_gaps());
    assert_eq!(found.len(), counting.count());
    found
        .into_iter()
        .min_by(|a, b| a.gap_m.total_cmp(&b.gap_m))
        .unwrap()
}

fn assert_gap(hull: &Hull, arm: &RigPart, gap_m: f64, what: &str) {
    let found = least(hull, arm);
    assert!((found.gap_m - gap_m).abs() < 1e-6, "{what}: {found:?}");
}

#[test]
fn an_arm_through_a_boat_whose_skin_is_split_overlaps() {
    let skin = body();
    let side = |s: f64| only(&skin, |at| at.y * s > 0.0);
    let height = |s: f64| only(&skin, |at| (at.z - 0.5) * s > 0.0);
    // 69 mm over the bottom, right across the middle; by hand it must go that and its own 90 mm.
    let arm = arm([0.09, 1.2, 0.09], [3.0, 0.0, 0.114]);
    for (what, parts) in [
        ("whole", vec![only(&skin, |_| true)]),
        ("sides", vec![side(1.0), side(-1.0)]),
        ("heights", vec![height(-1.0), height(1.0)]),
        (
            "sides twice",
            vec![side(1.0), side(-1.0), side(1.0), side(-1.0)],
        ),
    ] {
        assert_gap(&hull(parts), &arm, -(0.069 + 0.09), what);
    }
}

#[test]
fn a_post_in_a_volume_wound_twice_overlaps() {
    let skin = body();
    let twice: Vec<_> = skin.iter().chain(&skin).copied().collect();
    let turned = skin.iter().map(|&[a, b, c]| [a, c, b]);
    let both_sides: Vec<_> = skin.iter().copied().chain(turned).collect();
    // 32 mm from her side.
    let post = arm([0.09, 0.09, 0.5], [3.0, 1.0 - 0.032 - 0.045, 0.5]);
    for corners in [twice, both_sides] {
        let hull = hull(vec![Mesh::welded(&corners).unwrap()]);
        assert_gap(&hull, &post, -(0.032 + 0.09), "post");
    }
}

#[test]
fn what_comes_in_through_an_opening_overlaps_and_what_only_stands_before_it_does_not() {
    // A window 0.75 by 0.25 m in her side, its edges 0.08 m and more from the arm.
    let holed = only(&body(), |at| {
        at.y < 0.999 || (at.x - 3.0).abs() > 0.375 || (at.z - 0.5).abs() > 0.125
    });
    let holed = hull(vec![holed]);
    let through = arm([0.09, 1.6, 0.09], [3.0, 1.4, 0.5]);
    assert!(least(&holed, &through).gap_m < -0.05);
    // The tip alone.
    let tip = arm([0.09, 1.6, 0.09], [3.0, 1.0 + 0.8 - 0.1, 0.5]);
    assert!(least(&holed, &tip).gap_m < -0.05);
    // The tip of a long one, by little.
    let long = arm([0.09, 9.0, 0.09], [3.0, 1.0 + 4.5 - 0.05, 0.5]);
    assert!(least(&holed, &long).gap_m < -0.05);
    // Before it, 0.1 m off her side; nearest is the edge of the window, 80 mm aside.
    let before = arm([0.09, 1.6, 0.09], [3.0, 1.1 + 0.8, 0.5]);
    assert_gap(&holed, &before, 0.1_f64.hypot(0.125 - 0.045), "before");
}

#[test]
fn what_is_about_an_open_boat_keeps_its_gap() {
    let open = only(&body(), |at| at.z < 0.999);
    let mast = cuboid([1.0, -0.05, 0.1], [1.1, 0.05, 6.0]);
    let open = hull(vec![open, mast]);
    // A post that stands in her, and one over her sheer: by hand.
    let below = arm([0.09, 0.09, 0.3], [4.0, 0.0, 0.55]);
    assert_gap(&open, &below, -(0.4 + 0.3), "below the sheer");
    let over = arm([0.09, 0.09, 0.3], [4.0, 0.9, 1.75]);
    assert_gap(&open, &over, 0.6_f64.hypot(0.055), "over the sheer");
    // A block that she stands on, a beam just under, a pad against her side.
    for (seated, gap_m) in [
        (arm([0.3, 0.3, 0.2], [2.0, 0.0, -0.1]), 0.0),
        (arm([0.2, 2.4, 0.2], [2.0, 0.0, -0.102]), 0.002),
        (arm([0.3, 0.05, 0.3], [4.0, 1.025, 0.5]), 0.0),
    ] {
        let found = least(&open, &seated);
        assert!((found.gap_m - gap_m).abs() < 1e-6, "{found:?}");
    }
    // The same block inside her.
    let inside = arm([0.3, 0.3, 0.2], [2.0, 0.0, 0.1]);
    assert!(least(&open, &inside).gap_m < -0.05);
}

#[test]
fn a_cap_that_is_not_there_and_parts_left_out_make_no_inside() {
    let skin = body();
    let mut boat = hull(vec![
        only(&skin, |at| at.y > 0.0),
        only(&skin, |at| at.y < 0.0),
    ]);
    let arm = arm([0.09, 0.4, 0.09], [3.0, -0.5, 0.5]);
    assert!(least(&boat, &arm).gap_m < 0.0);
    boat.parts[1].part_use = PartUse::LeftOut;
    assert_gap(&boat, &arm, (0.3_f64).hypot(0.455), "one side only");
}

#[test]
fn in_the_cabin_of_a_boat_with_a_liner_is_in_the_boat() {
    let outer = cuboid([0.0, -1.0, 0.0], [6.0, 1.0, 1.0]);
    let liner = cuboid([0.1, -0.9, 0.1], [5.9, 0.9, 0.9]);
    // One part of outer skin and a liner that faces the cabin: air there, and inside the boat all the same.
    let loose = |mesh: &Mesh, [b, c]: [usize; 2]| {
        let at = |t: &[u32; 3], i: usize| mesh.vertices()[t[i] as usize];
        let all = mesh.triangles().iter();
        all.map(|t| [at(t, 0), at(t, b), at(t, c)])
            .collect::<Vec<_>>()
    };
    let both = [loose(&outer, [1, 2]), loose(&liner, [2, 1])].concat();
    let one = hull(vec![Mesh::welded(&both).unwrap()]);
    let boat = hull(vec![outer, liner]);
    let post = arm([0.1, 0.1, 0.2], [3.0, 0.0, 0.4]);
    assert_gap(&one, &post, -(0.2 + 0.2), "in the cabin, one part");
    // Each part holds the post by itself; out of the outer one it is farther.
    assert_gap(&boat, &post, -(0.3 + 0.2), "in the cabin");
    let between = arm([0.1, 0.1, 0.02], [3.0, 0.0, 0.05]);
    assert_gap(&boat, &between, -(0.04 + 0.02), "between");
}

//! What must hold for any pose, whatever the numbers.

#![allow(clippy::unwrap_used)]

use std::f64::consts::PI;
use std::sync::Arc;

use keelstead_boat::hull::{Hull, HullFacts, HullPart, PartKind};
use keelstead_geometry::distance::gap;
use keelstead_geometry::math::{Point, Pose, Rot3, Vec3};
use keelstead_geometry::mesh::Mesh;
use keelstead_geometry::shape::Shape;
use keelstead_load::clearance::all_pairs;
use keelstead_load::rig_parts::{RigPart, RigPartKind};
use proptest::prelude::*;

const STATIONS: usize = 24;
const RIBS: usize = 16;
const LENGTH_M: f64 = 9.0;

/// A closed canoe: pointed at both ends, round below, decked. x forward, z up, keel at z = 0
/// amidships.
fn canoe() -> Mesh {
    let skin = |station: usize, rib: usize| {
        let along = station as f64 / STATIONS as f64;
        let full = (PI * along).sin();
        let (sin, cos) = (PI * rib as f64 / RIBS as f64).sin_cos();
        Vec3::new(LENGTH_M * along, -1.4 * full * cos, 1.2 - 1.2 * full * sin)
    };
    let mut corners = Vec::new();
    for i in 0..STATIONS {
        for j in 0..RIBS {
            let (a, b, c, d) = (
                skin(i, j),
                skin(i, j + 1),
                skin(i + 1, j + 1),
                skin(i + 1, j),
            );
            corners.extend([[a, b, c], [a, c, d]]);
        }
        let (port_aft, port, starboard_aft, starboard) =
            (skin(i, RIBS), skin(i + 1, RIBS), skin(i, 0), skin(i + 1, 0));
        corners.extend([
            [starboard_aft, starboard, port],
            [starboard_aft, port, port_aft],
        ]);
    }
    // At the ends all ribs meet in a point: exactly, so that the skin closes.
    for v in corners.as_flattened_mut() {
        for end in [0.0, LENGTH_M] {
            if (v.x - end).abs() < 1e-9 {
                *v = Vec3::new(end, 0.0, 1.2);
            }
        }
    }
    corners.retain(|[a, b, c]| a != b && b != c && c != a);
    Mesh::welded(&corners).unwrap()
}

fn hull_of(mesh: Mesh) -> Hull {
    let part = HullPart {
        name: "body".into(),
        kind: PartKind::Body,
        part_use: keelstead_boat::hull::PartUse::Checked,
        mesh: Arc::new(mesh),
    };
    Hull::new("Canoe", vec![part], HullFacts::default()).unwrap()
}

fn pose() -> impl Strategy<Value = Pose> {
    let at = [-12.0..12.0_f64, -12.0..12.0, -12.0..12.0];
    let turn = [-3.0..3.0_f64, -3.0..3.0, -3.0..3.0];
    (at, turn).prop_map(|([x, y, z], [a, b, c])| {
        let turn = Rot3::from_rotation_z(a) * Rot3::from_rotation_y(b) * Rot3::from_rotation_x(c);
        Pose::from_parts(Vec3::new(x, y, z), turn)
    })
}

fn solid() -> impl Strategy<Value = Shape> {
    prop_oneof![
        [0.03..1.5_f64, 0.03..1.5, 0.03..1.5].prop_map(|[x, y, z]| Shape::Box {
            half: Point::new(x, y, z)
        }),
        (0.05..0.5_f64, 0.1..0.8_f64).prop_map(|(half_length_m, radius_m)| Shape::Cylinder {
            half_length_m,
            radius_m
        }),
    ]
}

fn part(shape: Shape, trailer_from_part: Pose) -> RigPart {
    RigPart {
        name: "part".into(),
        kind: RigPartKind::Member,
        shape,
        trailer_from_part: trailer_from_part.into(),
        beam: None,
        pad: None,
    }
}

#[test]
fn the_canoe_is_closed() {
    let canoe = canoe();
    assert!(canoe.topology().closed() && canoe.topology().consistent);
    assert!(canoe.signed_volume_m3() > 0.0, "faces outward");
}

/// Whether two gaps of the same pair agree, or two depths: to a micrometre.
fn agree(a_m: f64, b_m: f64) -> bool {
    (a_m - b_m).abs() < 1e-6
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// Boat and rig carried elsewhere together, as a whole: no gap changes.
    #[test]
    fn moving_hull_and_rig_together_changes_no_gap(
        shape in solid(), stands in pose(), boat in pose(), carried in pose()
    ) {
        let hull = hull_of(canoe());
        let near = Pose::from_parts(stands.translation * 0.4, stands.rotation);
        let boat = Pose::from_parts(boat.translation * 0.2, boat.rotation);
        let here = all_pairs(
            &hull,
            &[part(shape, near), part(Shape::Ground, stands)],
            &boat,
        );
        let there = all_pairs(
            &hull,
            &[part(shape, carried * near), part(Shape::Ground, carried * stands)],
            &(carried * boat),
        );
        prop_assert_eq!(here.len(), 2);
        for (a, b) in here.iter().zip(&there) {
            prop_assert!(agree(a.gap_m, b.gap_m), "{:?} became {:?}", a, b);
        }
    }

    /// The same with the move cast into the mesh itself: other coordinates, another search tree.
    #[test]
    fn a_mesh_written_in_other_coordinates_has_the_same_gaps(
        shape in solid(), stands in pose(), carried in pose()
    ) {
        let canoe = canoe();
        let stands = Pose::from_parts(stands.translation * 0.4, stands.rotation);
        let vertices = canoe.vertices().iter().map(|v| carried * *v).collect();
        let rewritten = Mesh::new(vertices, canoe.triangles().to_vec()).unwrap();
        for shape in [shape, Shape::Ground] {
            let a = gap(&canoe, &shape, &stands).unwrap();
            let b = gap(&rewritten, &shape, &(carried * stands)).unwrap();
            prop_assert!(agree(a.gap_m, b.gap_m), "{:?} became {:?}", a, b);
            // The points named are that far apart.
            if a.gap_m > 0.0 {
                prop_assert!(((a.on_mesh - a.on_shape).length() - a.gap_m).abs() < 1e-9);
            }
        }
    }

    /// A part wholly inside the hull overlaps, however little room it takes and however it is
    /// turned: a shell of triangles alone would call it clear.
    #[test]
    fn what_is_wholly_inside_overlaps(
        along in 0.3..0.7_f64, across in -0.2..0.2_f64, turn in pose(),
        half in [0.01..0.15_f64, 0.01..0.15, 0.01..0.15], round in any::<bool>()
    ) {
        let middle = Vec3::new(along * LENGTH_M, across, 0.72);
        let [x, y, z] = half;
        let shape = if round {
            Shape::Cylinder { half_length_m: y, radius_m: x }
        } else {
            Shape::Box { half: Point::new(x, y, z) }
        };
        let found = gap(&canoe(), &shape, &Pose::from_parts(middle, turn.rotation)).unwrap();
        prop_assert!(found.gap_m < 0.0, "{:?}", found);
        // It must at least come out by its own thickness.
        let thinnest = if round { x.min(y) } else { x.min(y).min(z) };
        prop_assert!(found.gap_m < -2.0 * thinnest, "{:?}", found);
    }

    /// Drawn off the hull by a distance, a part is no farther away than that.
    #[test]
    fn a_gap_grows_no_faster_than_the_part_is_moved(
        shape in solid(), stands in pose(), away in [-1.0..1.0_f64, -1.0..1.0, -1.0..1.0]
    ) {
        let canoe = canoe();
        let step = Vec3::from_array(away);
        let moved = Pose::from_parts(stands.translation + step, stands.rotation);
        let (a, b) = (gap(&canoe, &shape, &stands).unwrap(), gap(&canoe, &shape, &moved).unwrap());
        if a.gap_m > 0.0 && b.gap_m > 0.0 {
            prop_assert!((a.gap_m - b.gap_m).abs() <= step.length() + 1e-6);
        }
    }
}

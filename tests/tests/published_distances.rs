//! The nine pairs whose distance or penetration is exact by construction: check-values.md 9.2, all
//! `[derived]` there.
//!
//! The engine measures a mesh against a box, a cylinder or the ground. Where a pair has another
//! shape on its second side, the engine's shape that has the same feature in the same place stands
//! in for it, and the test says so: the nearest points are the published ones all the same.

#![allow(clippy::unwrap_used)]

mod solids;

use std::f64::consts::{FRAC_PI_4, SQRT_2};

use keelstead_geometry::distance::{Gap, gap};
use keelstead_geometry::math::{Point, Pose, Rot3, Vec3};
use keelstead_geometry::mesh::Mesh;
use keelstead_geometry::shape::Shape;
use solids::{cuboid, moved, sphere};

/// The general query stops within this of the least distance, m.
const EXACT_M: f64 = 1e-6;
/// Nearest points may lie apart by more than the distance is off: where two shapes curve away
/// slowly, many points are almost equally near.
const PLACE_M: f64 = 1e-3;

fn unit_box() -> Shape {
    Shape::Box {
        half: Point::new(1.0, 1.0, 1.0),
    }
}

fn triangle(corners: [[f64; 3]; 3]) -> Mesh {
    Mesh::new(corners.map(Vec3::from_array).to_vec(), vec![[0, 1, 2]]).unwrap()
}

/// A ball whose mesh has a vertex toward `toward`, so that it is as large as the sphere there.
fn ball(middle: Vec3, radius: f64, toward: Vec3) -> Mesh {
    let turn = Rot3::from_rotation_arc(Vec3::Z, (toward - middle).normalize());
    moved(&sphere(96), |v| middle + turn * v * radius)
}

fn expect(found: Gap, gap_m: f64, on_mesh: Vec3, on_shape: Vec3) {
    assert!(
        (found.gap_m - gap_m).abs() < EXACT_M,
        "{found:?} for {gap_m}"
    );
    assert!(
        (found.on_mesh - on_mesh).length() < PLACE_M,
        "{found:?} for {on_mesh}"
    );
    assert!(
        (found.on_shape - on_shape).length() < PLACE_M,
        "{found:?} for {on_shape}"
    );
}

/// Spheres (0,0,0) r 2 and (3,4,12) r 3: 13 − 5 = 8 [derived]. A cylinder of radius 3 lying square
/// to the line of centres stands in for the second: it is as round where it is nearest.
#[test]
fn two_spheres() {
    let centre = Vec3::new(3.0, 4.0, 12.0);
    let line = centre.normalize();
    let drum = Shape::Cylinder {
        half_length_m: 0.5,
        radius_m: 3.0,
    };
    let across = Rot3::from_rotation_arc(Vec3::Y, line.any_orthonormal_vector());
    let found = gap(
        &ball(Vec3::ZERO, 2.0, centre),
        &drum,
        &Pose::from_parts(centre, across),
    )
    .unwrap();
    expect(found, 8.0, 2.0 * line, 10.0 * line);
}

/// Sphere r 1 at (4,6,3) and box [−1,1]³: √38 − 1, from (1,1,1) [derived].
#[test]
fn sphere_and_box() {
    let (centre, corner) = (Vec3::new(4.0, 6.0, 3.0), Vec3::ONE);
    let found = gap(&ball(centre, 1.0, corner), &unit_box(), &Pose::identity()).unwrap();
    let nearest = centre + (corner - centre).normalize();
    expect(found, 38.0_f64.sqrt() - 1.0, nearest, corner);
}

/// Skew lines through 0 along (1,0,0) and through (0,0,2) along (0,1,1): √2 [derived]. The first is
/// an edge of a triangle that falls away from the second, which is the axis of a cylinder.
#[test]
fn skew_lines() {
    let mesh = triangle([[-10.0, 0.0, 0.0], [10.0, 0.0, 0.0], [0.0, 5.0, -5.0]]);
    let turn = Rot3::from_rotation_x(FRAC_PI_4);
    assert!((turn * Vec3::Y - Vec3::new(0.0, 1.0, 1.0).normalize()).length() < 1e-12);
    let pose = Pose::from_parts(Vec3::new(0.0, 0.0, 2.0), turn);
    for radius_m in [0.001, 0.25, 1.0] {
        let pole = Shape::Cylinder {
            half_length_m: 20.0,
            radius_m,
        };
        let found = gap(&mesh, &pole, &pose).unwrap();
        let toward = Vec3::new(0.0, -1.0, 1.0).normalize();
        expect(
            found,
            SQRT_2 - radius_m,
            Vec3::ZERO,
            toward * (SQRT_2 - radius_m),
        );
    }
}

/// Triangle (0,0,0),(4,0,0),(0,4,0) and (1,1,2),(1,1,5),(2,2,5), vertex to face: 2, at (1,1,0)
/// [derived]. A box standing on its corner at (1,1,2) stands in for the second.
#[test]
fn vertex_and_face() {
    let mesh = triangle([[0.0; 3], [4.0, 0.0, 0.0], [0.0, 4.0, 0.0]]);
    let on_corner = Rot3::from_rotation_arc(Vec3::ONE.normalize(), Vec3::NEG_Z);
    let corner = Vec3::new(1.0, 1.0, 2.0);
    let middle = corner + Vec3::Z * 3.0_f64.sqrt();
    let found = gap(&mesh, &unit_box(), &Pose::from_parts(middle, on_corner)).unwrap();
    expect(found, 2.0, Vec3::new(1.0, 1.0, 0.0), corner);
}

/// Triangle (−1,0,0),(1,0,0),(0,0,−4) and (0,−1,1),(0,1,1),(0,0,6), edge to edge: 1, at the origin
/// and (0,0,1) [derived]. A box standing on the second's edge stands in for it.
#[test]
fn edge_and_edge_of_triangles() {
    let mesh = triangle([[-1.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, -4.0]]);
    let on_edge = Rot3::from_rotation_y(FRAC_PI_4);
    let pose = Pose::from_parts(Vec3::new(0.0, 0.0, 1.0 + SQRT_2), on_edge);
    let found = gap(&mesh, &unit_box(), &pose).unwrap();
    expect(found, 1.0, Vec3::ZERO, Vec3::Z);
}

/// Box [−1,1]³ and a box of half size 1 turned edge on: 0.5, at (1,1,0) and (1.353553, 1.353553, 0)
/// [derived].
#[test]
fn edge_and_edge_of_boxes() {
    let n = Vec3::new(1.0, 1.0, 0.0) / SQRT_2;
    // Takes x to (1,−1,0)/√2, y and z to (n ± k)/√2 but for the sign.
    let turn = Rot3::from_rotation_z(-FRAC_PI_4) * Rot3::from_rotation_x(FRAC_PI_4);
    assert!((turn * Vec3::Y - (n + Vec3::Z) / SQRT_2).length() < 1e-12);
    let centre = (2.0 * SQRT_2 + 0.5) * n;
    let pose = Pose::from_parts(centre, turn);
    let (on_first, on_second) = (
        Vec3::new(1.0, 1.0, 0.0),
        Vec3::new(1.353_553, 1.353_553, 0.0),
    );
    let cube = cuboid([-1.0; 3], [1.0; 3]);
    expect(
        gap(&cube, &unit_box(), &pose).unwrap(),
        0.5,
        on_first,
        on_second,
    );
    // And with the sides exchanged.
    let turned = moved(&cube, |v| pose * v);
    expect(
        gap(&turned, &unit_box(), &Pose::identity()).unwrap(),
        0.5,
        on_second,
        on_first,
    );
}

/// A cube of half size 1 at the origin standing on a corner, plane z = −2: 2 − √3 [derived].
#[test]
fn cube_on_its_corner_and_plane() {
    let turn = Rot3::from_rotation_arc(Vec3::ONE.normalize(), Vec3::NEG_Z);
    let cube = moved(&cuboid([-1.0; 3], [1.0; 3]), |v| turn * v);
    let ground = Pose::from_translation(Vec3::new(0.0, 0.0, -2.0));
    let found = gap(&cube, &Shape::Ground, &ground).unwrap();
    let root = 3.0_f64.sqrt();
    expect(
        found,
        2.0 - root,
        Vec3::new(0.0, 0.0, -root),
        Vec3::new(0.0, 0.0, -2.0),
    );
}

/// Along each axis, both ways.
const WAYS: [Vec3; 6] = [
    Vec3::X,
    Vec3::NEG_X,
    Vec3::Y,
    Vec3::NEG_Y,
    Vec3::Z,
    Vec3::NEG_Z,
];

/// Touching cubes, a face shared: 0, contact without penetration [derived].
#[test]
fn touching_cubes() {
    let cube = cuboid([-1.0; 3], [1.0; 3]);
    for way in WAYS {
        let found = gap(&cube, &unit_box(), &Pose::from_translation(2.0 * way)).unwrap();
        assert!(found.gap_m.abs() < EXACT_M, "{way}: {found:?}");
    }
}

/// Cubes of half size 1, centres 1.9 apart on x: penetration 0.1 along x [derived].
#[test]
fn cubes_that_overlap() {
    let cube = cuboid([-1.0; 3], [1.0; 3]);
    for way in WAYS {
        let found = gap(&cube, &unit_box(), &Pose::from_translation(1.9 * way)).unwrap();
        assert!((found.gap_m + 0.1).abs() < EXACT_M, "{way}: {found:?}");
        let along = (found.on_mesh - found.on_shape).dot(way);
        assert!((along - 0.1).abs() < EXACT_M, "{way}: {found:?}");
    }
}

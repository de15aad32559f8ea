//! Volumes and areas of solids whose formulas are known. Values: check-values.md 9.1, closed forms
//! (Mirtich 1996; Eberly) `[from memory]`, numbers `[derived]` there and mesh-checked.

#![allow(clippy::unwrap_used)]

mod solids;

use std::f64::consts::{PI, TAU};

use keelstead_geometry::math::{Rot3, Vec3};
use keelstead_geometry::mesh::Mesh;
use solids::{cuboid, icosphere, moved, revolved, sphere};

/// Facets in a round; a faceted round solid is smaller by about (π / FACETS)² · 2 of itself.
const FACETS: usize = 512;

fn tetrahedron() -> Mesh {
    let vertices = vec![Vec3::ZERO, Vec3::X, Vec3::Y, Vec3::Z];
    Mesh::new(vertices, vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]]).unwrap()
}

fn within(found: f64, known: f64, part: f64, what: &str) {
    assert!(
        (found - known).abs() <= part * known,
        "{what}: {found} for {known}"
    );
}

#[test]
fn flat_faced_solids_have_their_volume_exactly() {
    within(
        tetrahedron().volume_m3().unwrap(),
        1.0 / 6.0,
        1e-14,
        "tetrahedron",
    );
    let box_234 = cuboid([0.0; 3], [2.0, 3.0, 4.0]);
    within(
        box_234.volume_m3().unwrap(),
        24.0,
        1e-14,
        "cuboid 2 x 3 x 4",
    );
    let octahedron = revolved(&[(0.0, -1.0), (1.0, 0.0), (0.0, 1.0)], 4, false);
    assert_eq!(octahedron.triangles().len(), 8);
    within(
        octahedron.volume_m3().unwrap(),
        4.0 / 3.0,
        1e-14,
        "octahedron",
    );
    // The published figures have seven digits.
    within(
        icosphere(0).volume_m3().unwrap(),
        2.536_151,
        2e-7,
        "icosahedron",
    );
    assert_eq!(icosphere(3).triangles().len(), 1280);
    within(
        icosphere(3).volume_m3().unwrap(),
        4.152_741,
        2e-7,
        "icosphere of 1,280",
    );
    within(
        icosphere(4).volume_m3().unwrap(),
        4.179_739,
        2e-7,
        "icosphere of 5,120",
    );
}

#[test]
fn round_solids_have_their_volume_but_for_the_facets() {
    let lost = 2.0 * (PI / FACETS as f64).powi(2);
    let ellipsoid = moved(&sphere(FACETS), |v| Vec3::new(3.0 * v.x, 2.0 * v.y, v.z));
    within(
        ellipsoid.volume_m3().unwrap(),
        8.0 * PI,
        lost,
        "ellipsoid 3, 2, 1",
    );
    let frustum = revolved(
        &[(0.0, 0.0), (2.0, 0.0), (1.0, 3.0), (0.0, 3.0)],
        FACETS,
        false,
    );
    within(
        frustum.volume_m3().unwrap(),
        7.0 * PI,
        lost,
        "frustum 2, 1, 3",
    );
    let circle: Vec<(f64, f64)> = (0..FACETS)
        .map(|i| (TAU * i as f64 / FACETS as f64).sin_cos())
        .map(|(sin, cos)| (3.0 + cos, sin))
        .collect();
    let torus = revolved(&circle, FACETS, true);
    within(
        torus.volume_m3().unwrap(),
        6.0 * PI * PI,
        lost,
        "torus 3, 1",
    );
    within(torus.area_m2(), 12.0 * PI * PI, lost, "torus 3, 1, area");
    assert_eq!(torus.topology().euler, 0);
}

#[test]
fn moving_and_turning_changes_no_volume() {
    let turn = Rot3::from_rotation_z(0.7) * Rot3::from_rotation_x(-1.1);
    for (mesh, what) in [
        (tetrahedron(), "tetrahedron"),
        (icosphere(2), "icosphere"),
        (cuboid([-1.0; 3], [1.0, 2.0, 3.0]), "cuboid"),
    ] {
        let elsewhere = moved(&mesh, |v| turn * v + Vec3::new(12.0, -7.0, 3.0));
        let (here, there) = (mesh.volume_m3().unwrap(), elsewhere.volume_m3().unwrap());
        within(there, here, 1e-12, what);
        within(elsewhere.area_m2(), mesh.area_m2(), 1e-12, what);
    }
}

#[test]
fn turned_inside_out_the_signed_volume_changes_sign() {
    for mesh in [
        tetrahedron(),
        icosphere(1),
        cuboid([0.0; 3], [2.0, 3.0, 4.0]),
    ] {
        let reversed = mesh
            .triangles()
            .iter()
            .map(|&[a, b, c]| [a, c, b])
            .collect();
        let inside_out = Mesh::new(mesh.vertices().to_vec(), reversed).unwrap();
        assert!(mesh.signed_volume_m3() > 0.0);
        within(
            -inside_out.signed_volume_m3(),
            mesh.signed_volume_m3(),
            1e-14,
            "reversed",
        );
        assert_eq!(inside_out.volume_m3(), mesh.volume_m3());
    }
}

#[test]
fn a_solid_without_one_face_has_no_volume() {
    for mesh in [
        tetrahedron(),
        icosphere(1),
        cuboid([0.0; 3], [2.0, 3.0, 4.0]),
    ] {
        for missing in 0..mesh.triangles().len() {
            let mut triangles = mesh.triangles().to_vec();
            triangles.remove(missing);
            let open = Mesh::new(mesh.vertices().to_vec(), triangles).unwrap();
            assert_eq!(open.topology().boundary_edges, 3);
            assert_eq!(open.volume_m3(), None);
        }
    }
}

#[test]
fn one_face_turned_over_leaves_no_volume() {
    let mut triangles = tetrahedron().triangles().to_vec();
    triangles[2].swap(0, 1);
    let mesh = Mesh::new(tetrahedron().vertices().to_vec(), triangles).unwrap();
    assert!(mesh.topology().closed() && !mesh.topology().consistent);
    assert_eq!(mesh.volume_m3(), None);
}

#[test]
fn vertices_that_stand_there_twice_are_made_one_by_welding() {
    let whole = icosphere(2);
    let corners: Vec<[Vec3; 3]> = whole
        .triangles()
        .iter()
        .map(|t| t.map(|i| whole.vertices()[i as usize]))
        .collect();
    let loose = corners.as_flattened().to_vec();
    let each_its_own = (0..corners.len() as u32)
        .map(|i| [3 * i, 3 * i + 1, 3 * i + 2])
        .collect();
    let unwelded = Mesh::new(loose, each_its_own).unwrap();
    assert_eq!(
        unwelded.volume_m3(),
        None,
        "nothing is shared, so nothing is closed"
    );
    let welded = Mesh::welded(&corners).unwrap();
    assert_eq!(welded.vertices().len(), whole.vertices().len());
    within(
        welded.volume_m3().unwrap(),
        whole.volume_m3().unwrap(),
        1e-14,
        "welded",
    );
}

//! Hydrostatics against a hull of known formula and a published model.
//!
//! Values: check-values.md 5.2 (Wigley parabolic hull; form `[source read]` in open codes, integrals
//! `[derived]` symbolically) and 5.4 (Duisburg Test Case: O. el Moctar, V. Shigunov, T. Zorn, Ship
//! Technology Research 59(3), 2012; surface and case data of the Debian package openfoam-examples,
//! case DTCHullMoving `[source read]`, integrals `[derived]` there with other code).

#![allow(clippy::unwrap_used)]

use std::sync::Arc;

use keelstead_boat::hull::{Hull, HullFacts, HullPart, PartKind, PartUse};
use keelstead_boat::hydrostatics::{Immersed, WaterPlane, float, immersed};
use keelstead_boat::weigh::{Mark, MarkedWaterline, Water, WeightSources};
use keelstead_files::mesh_file;
use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;

const LENGTH_M: f64 = 10.0;
const BEAM_M: f64 = 3.0;
const DRAFT_M: f64 = 1.0;

/// The Wigley hull, z = 0 at its keel, decked at its design waterline.
fn wigley(columns: usize, rows: usize) -> Mesh {
    let point = |i: usize, j: usize, side: f64| {
        let x = -1.0 + 2.0 * i as f64 / columns as f64;
        let z = 1.0 - j as f64 / rows as f64;
        let half = 0.5 * BEAM_M * (1.0 - x * x) * (1.0 - z * z);
        Vec3::new(0.5 * LENGTH_M * x, side * half, DRAFT_M * (1.0 - z))
    };
    let mut corners = Vec::new();
    let mut quad = |[a, b, c, d]: [Vec3; 4]| {
        corners.extend(
            [[a, b, c], [a, c, d]]
                .into_iter()
                .filter(|t| t[0] != t[1] && t[1] != t[2] && t[2] != t[0]),
        );
    };
    for i in 0..columns {
        for j in 0..rows {
            let [a, b, c, d] = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)];
            quad([a, b, c, d].map(|(i, j)| point(i, j, -1.0)));
            quad([d, c, b, a].map(|(i, j)| point(i, j, 1.0)));
        }
        quad([
            point(i, rows, -1.0),
            point(i + 1, rows, -1.0),
            point(i + 1, rows, 1.0),
            point(i, rows, 1.0),
        ]);
    }
    Mesh::welded(&corners).unwrap()
}

fn within(found: f64, known: f64, part: f64, what: &str) {
    assert!(
        (found - known).abs() <= part * known.abs(),
        "{what}: {found} for {known}"
    );
}

fn at(mesh: &Mesh, height_m: f64) -> Immersed {
    immersed(mesh, &WaterPlane::level(height_m)).unwrap()
}

#[test]
fn the_wigley_hull_has_its_closed_forms() {
    let mesh = wigley(200, 100);
    let (l, b, t) = (LENGTH_M, BEAM_M, DRAFT_M);
    let full = at(&mesh, t);
    within(full.volume_m3, 4.0 * l * b * t / 9.0, 1e-3, "volume");
    within(full.waterplane_m2, 2.0 * l * b / 3.0, 1e-3, "waterplane");
    within(full.centre.z, 5.0 * t / 8.0, 1e-3, "KB");
    within(
        full.second_moment_trans_m4,
        4.0 * l * b.powi(3) / 105.0,
        1e-3,
        "I_T",
    );
    within(
        full.second_moment_long_m4,
        b * l.powi(3) / 30.0,
        1e-3,
        "I_L",
    );
    within(full.wetted_m2, 30.8779, 1e-3, "wetted");
    let half = at(&mesh, 0.5 * t);
    within(
        half.volume_m3,
        5.0 * l * b * t / 36.0,
        1e-3,
        "volume at half draft",
    );
    within(
        half.waterplane_m2,
        l * b / 2.0,
        1e-3,
        "waterplane at half draft",
    );
    within(half.centre.z, 13.0 * t / 40.0, 1e-3, "KB at half draft");
    within(
        half.second_moment_trans_m4,
        9.0 * l * b.powi(3) / 560.0,
        1e-3,
        "I_T at half draft",
    );
    for found in [full, half] {
        let middle = [
            found.centre.x,
            found.centre.y,
            found.flotation.x,
            found.flotation.y,
        ];
        assert!(middle.iter().all(|off| off.abs() < 1e-9), "{middle:?}");
    }
}

#[test]
fn the_wigley_hull_floats_at_half_draft_with_its_weight() {
    let mesh = wigley(200, 100);
    let mass = 5.0 * LENGTH_M * BEAM_M * DRAFT_M / 36.0 * 1025.0;
    let found = float(&mesh, mass, Vec3::new(0.0, 0.0, 0.5), 1025.0, 0.0).unwrap();
    within(found.immersed.draft_m, 0.5 * DRAFT_M, 1e-3, "draft");
    assert!(found.trim_rad.abs() < 2e-6);
}

/// The file lies outside the repository: DTC-scaled.stl of the Debian package openfoam-examples,
/// unpacked into the folder of meshes. Model scale, x from the aft perpendicular, z = 0 at the keel.
#[test]
fn the_duisburg_test_case_displaces_what_is_published() {
    let Some(folder) = keelstead_tests::shared("meshes") else {
        return;
    };
    let path =
        std::env::var_os("KEELSTEAD_DTC").map_or_else(|| folder.join("DTC-scaled.stl"), Into::into);
    let Ok(bytes) = std::fs::read(&path) else {
        println!("skipped: there is no {}; set KEELSTEAD_DTC", path.display());
        return;
    };
    let read = mesh_file::read(&bytes, "DTC-scaled.stl").unwrap();
    let corners: Vec<[Vec3; 3]> = read
        .parts
        .iter()
        .flat_map(|part| {
            let at = |i: u32| Vec3::from_array(part.positions[i as usize]);
            part.triangles.iter().map(move |corners| corners.map(at))
        })
        .collect();
    let mesh = Mesh::welded(&corners).unwrap();
    let found = at(&mesh, 0.244);
    // The figures have six digits; the mass of the case is 0.03 % off its own mesh.
    within(found.volume_m3, 0.826_707, 2e-6, "volume");
    within(
        found.volume_m3,
        2.0 * 412.73 / 998.8,
        5e-4,
        "volume of the stated mass",
    );
    within(found.centre.x, 2.929_99, 2e-6, "LCB");
    within(found.centre.z, 0.134_45, 5e-5, "KB");
    within(found.waterplane_m2, 4.338_58, 2e-6, "waterplane");
    within(found.wetted_m2, 6.244_80, 2e-6, "wetted");
    // Weighed by that waterline in the water of the case: twice the stated mass, over its centre.
    let (mass, x_m) = weighed(mesh, 0.244, Water::KgM3(998.8));
    within(mass, 2.0 * 412.73, 5e-4, "mass by the waterline");
    assert!(
        (x_m - 2.929_541).abs() < 1e-3,
        "centre by the waterline: {x_m}"
    );
}

/// Mass, kg, and place fore and aft of a hull on level marks, m.
fn weighed(mesh: Mesh, height_m: f64, water: Water) -> (f64, f64) {
    let bounds = mesh.aabb();
    let mark = |x_m| Mark { x_m, z_m: height_m };
    let body = HullPart {
        name: "body".into(),
        kind: PartKind::Body,
        part_use: PartUse::Checked,
        mesh: Arc::new(mesh),
    };
    let weighing = WeightSources {
        waterline: Some(MarkedWaterline {
            aft: mark(bounds.mins.x),
            fore: mark(bounds.maxs.x),
            heel_rad: 0.0,
            tolerance_m: 0.001,
            water,
        }),
        ..WeightSources::default()
    };
    let hull = Hull::new("model", vec![body], HullFacts::default()).unwrap();
    let hull = hull.weighed_by(&weighing).unwrap();
    let (mass, centre) = (hull.mass.unwrap(), hull.centre.unwrap());
    (mass.mass_kg, centre.at.x_m)
}

#[test]
fn the_wigley_hull_weighs_its_closed_form() {
    let (l, b, t) = (LENGTH_M, BEAM_M, DRAFT_M);
    for (height_m, volume_m3) in [
        (t, 4.0 * l * b * t / 9.0),
        (0.5 * t, 5.0 * l * b * t / 36.0),
    ] {
        let (mass, x_m) = weighed(wigley(200, 100), height_m, Water::Salt);
        within(mass, 1025.0 * volume_m3, 1e-3, "mass by the waterline");
        assert!(x_m.abs() < 1e-6, "centre by the waterline: {x_m}");
    }
}

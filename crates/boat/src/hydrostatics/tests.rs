#![allow(clippy::unwrap_used)]

use super::*;
use keelstead_geometry::solids::cuboid;
use keelstead_units::liquid::{FRESH_WATER_KG_M3, SEA_WATER_KG_M3};

fn near(found: f64, known: f64, what: &str) {
    assert!(
        (found - known).abs() <= 1e-9 * known.abs().max(1.0),
        "{what}: {found} for {known}"
    );
}

/// Check-values 5.3, box 10 × 4 × 1 m `[derived]`: 40 m³, KB 0.5, BM 1.33333, BM_L 8.33333.
#[test]
fn a_box_is_as_reckoned_by_hand() {
    let hull = cuboid([0.0, -2.0, 0.0], [10.0, 2.0, 3.0]);
    let found = immersed(&hull, &WaterPlane::level(1.0)).unwrap();
    near(found.volume_m3, 40.0, "volume");
    near(found.centre.x, 5.0, "LCB");
    near(found.centre.y, 0.0, "TCB");
    near(found.centre.z, 0.5, "KB");
    near(found.waterplane_m2, 40.0, "waterplane");
    near(found.flotation.x, 5.0, "LCF");
    near(found.wetted_m2, 40.0 + 28.0, "wetted");
    near(found.draft_m, 1.0, "draft");
    near(found.second_moment_trans_m4 / 40.0, 4.0 / 3.0, "BM");
    near(found.second_moment_long_m4 / 40.0, 25.0 / 3.0, "BM_L");
    near(found.displacement_kg(SEA_WATER_KG_M3), 41_000.0, "mass");
}

#[test]
fn a_face_in_the_water_plane_is_no_wetted_skin() {
    let hull = cuboid([0.0; 3], [2.0, 3.0, 4.0]);
    let whole = immersed(&hull, &WaterPlane::level(4.0)).unwrap();
    near(whole.volume_m3, 24.0, "volume");
    near(whole.waterplane_m2, 6.0, "waterplane");
    near(whole.wetted_m2, 6.0 + 40.0, "wetted");
    let none = immersed(&hull, &WaterPlane::level(0.0)).unwrap();
    near(none.volume_m3, 0.0, "volume out of the water");
    near(none.wetted_m2, 0.0, "skin out of the water");
}

/// Bow up by an angle: the aft end goes deeper. By hand: a trapezium of mean draft T and slope t
/// has its centre L²t/12T aft of the middle.
#[test]
fn bow_up_takes_buoyancy_aft() {
    let hull = cuboid([-5.0, -2.0, -1.0], [5.0, 2.0, 3.0]);
    let trim: f64 = 0.05;
    let found = immersed(&hull, &WaterPlane::about(0.0, trim, 0.0)).unwrap();
    near(found.volume_m3, 40.0, "volume");
    near(found.centre.x, -100.0 * trim.tan() / 12.0, "LCB");
    near(found.waterplane_m2, 40.0 / trim.cos(), "waterplane");
}

#[test]
fn heel_to_starboard_takes_buoyancy_to_starboard() {
    let hull = cuboid([-5.0, -2.0, -1.0], [5.0, 2.0, 3.0]);
    let heel: f64 = 0.1;
    let found = immersed(&hull, &WaterPlane::about(0.0, 0.0, heel)).unwrap();
    near(found.centre.y, -16.0 * heel.tan() / 12.0, "TCB");
}

/// An open box: its rim at 3 m.
fn open_box() -> Mesh {
    let closed = cuboid([0.0, -2.0, 0.0], [10.0, 2.0, 3.0]);
    let lid = |t: &&[u32; 3]| t.iter().any(|&i| closed.vertices()[i as usize].z < 3.0);
    let triangles = closed.triangles().iter().filter(lid).copied().collect();
    Mesh::new(closed.vertices().to_vec(), triangles).unwrap()
}

#[test]
fn an_open_hull_floats_up_to_its_rim_and_no_deeper() {
    let hull = open_box();
    near(
        immersed(&hull, &WaterPlane::level(3.0)).unwrap().volume_m3,
        120.0,
        "to the rim",
    );
    let error = immersed(&hull, &WaterPlane::level(3.01)).unwrap_err();
    assert!(
        matches!(error, HydrostaticsError::Open { edges: 4, z, .. } if z == 3.0),
        "{error}"
    );
    let error = float(&hull, 1.0e5, Vec3::new(2.0, 0.0, 1.0), 1000.0, 0.0).unwrap_err();
    assert!(matches!(error, HydrostaticsError::Open { .. }), "{error}");
}

#[test]
fn a_hull_inside_out_displaces_the_same() {
    let hull = cuboid([0.0; 3], [2.0, 3.0, 4.0]);
    let turned = hull
        .triangles()
        .iter()
        .map(|&[a, b, c]| [a, c, b])
        .collect();
    let turned = Mesh::new(hull.vertices().to_vec(), turned).unwrap();
    let water = WaterPlane::about(1.5, 0.1, -0.2);
    let (a, b) = (
        immersed(&hull, &water).unwrap(),
        immersed(&turned, &water).unwrap(),
    );
    near(b.volume_m3, a.volume_m3, "volume");
    near(b.waterplane_m2, a.waterplane_m2, "waterplane");
    near((b.centre - a.centre).length(), 0.0, "centre");
}

/// Check-values 5.3 `[derived]`: a 12 t box 10 × 3 m floats at 0.390244 m (1025) or 0.4 m (1000).
#[test]
fn a_box_floats_where_it_is_reckoned_to() {
    let hull = cuboid([0.0, -1.5, 0.0], [10.0, 1.5, 2.0]);
    let middle = Vec3::new(5.0, 0.0, 0.5);
    for (water, draft_m) in [
        (SEA_WATER_KG_M3, 12.0 / 1.025 / 30.0),
        (FRESH_WATER_KG_M3, 0.4),
    ] {
        let found = float(&hull, 12_000.0, middle, water, 0.0).unwrap();
        near(found.immersed.draft_m, draft_m, "draft");
        assert!(found.trim_rad.abs() < 2e-6, "{}", found.trim_rad);
    }
}

/// A weight low in a box and d off its middle: the water's slope t makes the centre of buoyancy
/// move by L²t/12T and rise by L²t²/24T; square to the water it is over the weight where
/// L²t/12T − d + t (L²t²/24T + T/2 − h) = 0.
#[test]
fn a_box_trims_towards_its_weight() {
    let hull = cuboid([-5.0, -1.5, 0.0], [5.0, 1.5, 2.0]);
    let (draft, off, high): (f64, f64, f64) = (0.4, 0.3, 0.5);
    let found = float(&hull, 12_000.0, Vec3::new(off, 0.0, high), 1000.0, 0.0).unwrap();
    assert!(found.trim_rad < 0.0, "bow down: {}", found.trim_rad);
    let t = -found.trim_rad.tan();
    let lever = 100.0 * t / (12.0 * draft) - off
        + t * (100.0 * t * t / (24.0 * draft) + draft / 2.0 - high);
    // A slope off by 2e-6 moves the lever by 20.8 times that.
    assert!(lever.abs() < 1e-4, "{lever}");
    near(found.immersed.volume_m3, 12.0, "volume");
}

#[test]
fn what_cannot_float_is_told() {
    let hull = cuboid([0.0, -1.5, 0.0], [10.0, 1.5, 2.0]);
    let afloat = |mass, x| float(&hull, mass, Vec3::new(x, 0.0, 0.5), 1000.0, 0.0).unwrap_err();
    assert!(
        matches!(afloat(70_000.0, 5.0), HydrostaticsError::Sinks { most_kg, .. } if (most_kg - 60_000.0).abs() < 1.0)
    );
    assert!(matches!(
        afloat(12_000.0, 60.0),
        HydrostaticsError::NoTrim { .. }
    ));
    for bad in [f64::NAN, 0.0, -1.0, f64::INFINITY] {
        assert!(matches!(afloat(bad, 5.0), HydrostaticsError::Value { .. }));
    }
    assert!(immersed(&hull, &WaterPlane::level(f64::NAN)).is_err());
}

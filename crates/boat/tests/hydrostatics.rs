//! What must hold of any floating body: sinking adds volume, moving it about changes nothing.

#![allow(clippy::unwrap_used)]

use keelstead_boat::hydrostatics::{WaterPlane, float, immersed};
use keelstead_geometry::math::{Pose, Rot3, Vec3};
use keelstead_geometry::mesh::Mesh;
use proptest::prelude::*;

/// A closed lump: a sphere of latitude and longitude with its vertices drawn in and out.
fn lump(radii: &[f64]) -> Mesh {
    const ROWS: usize = 6;
    const ROUND: usize = 8;
    let radius = |k: usize| radii[k % radii.len()];
    let mut vertices = vec![Vec3::new(0.0, 0.0, -radius(0))];
    for row in 1..ROWS {
        for turn in 0..ROUND {
            let down = std::f64::consts::PI * row as f64 / ROWS as f64;
            let round = std::f64::consts::TAU * turn as f64 / ROUND as f64;
            let way = Vec3::new(
                2.5 * down.sin() * round.cos(),
                down.sin() * round.sin(),
                -down.cos(),
            );
            vertices.push(way * radius(vertices.len()));
        }
    }
    vertices.push(Vec3::new(0.0, 0.0, radius(1)));
    let at = |row: usize, turn: usize| match row {
        0 => 0,
        ROWS => vertices.len() as u32 - 1,
        row => (1 + (row - 1) * ROUND + turn % ROUND) as u32,
    };
    let triangles = (0..ROWS)
        .flat_map(|row| (0..ROUND).map(move |turn| (row, turn)))
        .flat_map(|(row, turn)| {
            let [a, b] = [at(row, turn), at(row, turn + 1)];
            let [c, d] = [at(row + 1, turn + 1), at(row + 1, turn)];
            [[a, b, c], [a, c, d]]
        })
        .collect();
    Mesh::new(vertices, triangles).unwrap()
}

fn moved(mesh: &Mesh, pose: Pose) -> Mesh {
    let vertices = mesh.vertices().iter().map(|&v| pose * v).collect();
    Mesh::new(vertices, mesh.triangles().to_vec()).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn sinking_adds_volume_and_its_rate_is_the_waterplane(
        radii in prop::collection::vec(0.7..1.3_f64, 11),
        trim in -0.3..0.3_f64, heel in -0.3..0.3_f64, height in -1.0..1.0_f64,
    ) {
        let mesh = lump(&radii);
        let whole = mesh.volume_m3().unwrap();
        let at = |h| immersed(&mesh, &WaterPlane::about(h, trim, heel)).unwrap();
        let step = 1e-4;
        let (below, above) = (at(height), at(height + step));
        prop_assert!(below.volume_m3 >= -1e-12 && below.volume_m3 <= whole + 1e-12);
        prop_assert!(above.volume_m3 >= below.volume_m3 - 1e-12);
        let mean = 0.5 * (below.waterplane_m2 + above.waterplane_m2);
        let rate = (above.volume_m3 - below.volume_m3) / step;
        prop_assert!((rate - mean).abs() < 1e-4, "{} for {}", rate, mean);
        let all = at(10.0);
        prop_assert!((all.volume_m3 - whole).abs() < 1e-9);
        prop_assert!((all.wetted_m2 - mesh.area_m2()).abs() < 1e-9);
        prop_assert!(all.waterplane_m2.abs() < 1e-9);
    }

    #[test]
    fn a_rigid_motion_of_hull_and_water_changes_nothing(
        radii in prop::collection::vec(0.7..1.3_f64, 11), height in -0.8..0.8_f64,
        turn in -3.0..3.0_f64, roll in -3.0..3.0_f64, far in -50.0..50.0_f64,
    ) {
        let mesh = lump(&radii);
        let turned = Rot3::from_rotation_z(turn) * Rot3::from_rotation_x(roll);
        let pose = Pose::from_parts(Vec3::new(far, -0.3 * far, 0.1), turned);
        let water = WaterPlane::level(height);
        let up = turned * water.up;
        let with = WaterPlane {
            up,
            forward: turned * water.forward,
            height_m: up.dot(pose * Vec3::new(0.0, 0.0, height)),
        };
        let (a, b) = (immersed(&mesh, &water).unwrap(), immersed(&moved(&mesh, pose), &with).unwrap());
        prop_assert!((a.volume_m3 - b.volume_m3).abs() < 1e-9);
        prop_assert!((a.waterplane_m2 - b.waterplane_m2).abs() < 1e-9);
        prop_assert!((a.wetted_m2 - b.wetted_m2).abs() < 1e-9);
        prop_assert!((a.second_moment_long_m4 - b.second_moment_long_m4).abs() < 1e-8);
        prop_assert!((a.second_moment_trans_m4 - b.second_moment_trans_m4).abs() < 1e-8);
        prop_assert!((pose * a.centre - b.centre).length() < 1e-8);
        prop_assert!((pose * a.flotation - b.flotation).length() < 1e-8);
    }

    #[test]
    fn what_floats_carries_its_weight_under_its_centre(
        radii in prop::collection::vec(0.8..1.2_f64, 11), share in 0.2..0.8_f64, x in -0.2..0.2_f64,
    ) {
        let mesh = lump(&radii);
        let mass = share * mesh.volume_m3().unwrap() * 1000.0;
        let centre = Vec3::new(x, 0.0, -0.3);
        let found = float(&mesh, mass, centre, 1000.0, 0.0).unwrap();
        prop_assert!((found.immersed.displacement_kg(1000.0) / mass - 1.0).abs() < 1e-9);
        let lever = found.water.forward.dot(found.immersed.centre - centre);
        prop_assert!(lever.abs() < 1e-4, "{}", lever);
    }
}

//! Each boat a second time, from a tape: her measures to the nearest 5 mm, her family's surface fitted to
//! them. The lofted boat must lie within the tolerance that the fit states, and the fit must float as she
//! does.
#![allow(clippy::unwrap_used)]

use keelstead::family::{Family, Measures, fit};
use keelstead::math::Vec3;
use keelstead_demo_data::{boats, file};
use serde_json::Value;

#[test]
fn the_lofted_boat_lies_within_the_tolerance_of_her_measures() {
    for boat in boats::all() {
        let name = boat.particulars.name;
        let text = file(&format!("hulls/{name}.measures.json")).unwrap();
        let document: Value = serde_json::from_slice(text).unwrap();
        let family: Family = serde_json::from_value(document["family"].clone()).unwrap();
        let measures: Measures = serde_json::from_value(document["measures"].clone()).unwrap();
        let fitted = fit(family, &measures).unwrap();
        // A family is not her lines: a place or two it cannot have to a tape's width.
        for m in &fitted.measures {
            assert!(m.misfit.abs() <= 2.5 * m.tolerance, "{name}: {m:?}");
        }
        let mass_kg = boat.particulars.mass_kg;
        assert!(
            (fitted.displacement_kg / mass_kg - 1.0).abs() < 0.05,
            "{name}"
        );
        assert!(fitted.tolerance_m < 0.3, "{name}: {}", fitted.tolerance_m);

        let skin = boat.lines.grid(60).into_iter().flatten();
        // A bulb is no part of a fin keel's family.
        let keel = boat
            .parts
            .iter()
            .filter(|part| ["keel", "skeg"].contains(&part.name.as_str()) && name != "gannet")
            .flat_map(|part| part.shell.positions().collect::<Vec<_>>());
        // Where the keel's underside begins, a tape finds within reach of a hand: the after ends are laid
        // on each other.
        let ends = boat
            .lines
            .strakes
            .iter()
            .flat_map(|s| [s.at(0.0, 0.0)[0], s.at(0.0, 1.0)[0]]);
        let shift = Vec3::X * (fitted.after_end_x_m - ends.fold(f64::INFINITY, f64::min));
        let mut worst = (0.0, Vec3::ZERO);
        for point in skin.chain(keel).map(|p| Vec3::from_array(p) + shift) {
            let off = fitted
                .parts
                .iter()
                .map(|part| (part.mesh.nearest_to(point) - point).length())
                .fold(f64::INFINITY, f64::min);
            if off > worst.0 {
                worst = (off, point);
            }
        }
        println!(
            "{name}: {:.3} m off at {:.2}, tolerance {:.3} m",
            worst.0, worst.1, fitted.tolerance_m
        );
        assert!(
            worst.0 <= fitted.tolerance_m,
            "{name}: {worst:?}, but the tolerance is {} m",
            fitted.tolerance_m
        );
    }
}

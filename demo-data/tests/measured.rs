//! The boats have the measures that they are made with.
#![allow(clippy::unwrap_used)]

use keelstead_boat::family::{Family, Measures, fit};
use keelstead_demo_data::{boats, file};
use serde_json::Value;

/// Her family and all that is measured of her.
fn measured(name: &str) -> (Family, Measures) {
    let text = file(&format!("hulls/{name}.measures.json")).unwrap();
    let document: Value = serde_json::from_slice(text).unwrap();
    (
        serde_json::from_value(document["family"].clone()).unwrap(),
        serde_json::from_value(document["measures"].clone()).unwrap(),
    )
}

#[test]
fn a_boat_is_made_to_her_measures() {
    for boat in boats::all().unwrap() {
        let name = boat.particulars.name;
        let (family, measures) = measured(name);
        let fitted = fit(family, &measures).unwrap();
        // A family does not have every place to a tape's width.
        for m in &fitted.measures {
            assert!(m.misfit.abs() <= 2.5 * m.tolerance, "{name}: {m:?}");
        }
    }
}

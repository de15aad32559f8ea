//! What presses on coupling and axles, as a driver reads it.

use keelstead::findings::{Findings, LoadRange};
use keelstead_load::rig::Rig;
use keelstead_units::quantity::Quantity;
use keelstead_units::{Units, sentence, write};

use crate::report::{align_right, table, wrapped};

/// Loads beside their ratings, and what they leave out.
pub(crate) fn presses(out: &mut String, rig: &Rig, findings: &Findings, units: Units) {
    let Some(road) = &findings.road else {
        out.push_str("Loads on coupling and axles are not known: the findings say why.\n\n");
        return;
    };
    let mass = |kg: f64| write(Quantity::mass(kg), units);
    let mut table = table(&["Presses on", "Load", "Least", "Most", "Allowed"]);
    let mut row = |name: String, load: &LoadRange, rating: Option<f64>| {
        table.add_row([
            name,
            mass(load.load_kg),
            mass(load.least_kg),
            mass(load.most_kg),
            rating.map_or_else(|| "not known".into(), mass),
        ]);
    };
    row("coupling".into(), &road.coupling, rig.coupling.rating_kg);
    for (i, axle) in rig.axles.iter().enumerate() {
        row(format!("axle {}", i + 1), &road.each_axle, axle.rating_kg);
    }
    align_right(&mut table, 1..5);
    out.push_str(&format!("{table}\n"));
    for mind in &road.mind {
        out.push_str(&wrapped("", &sentence(mind, units)));
    }
    out.push('\n');
}

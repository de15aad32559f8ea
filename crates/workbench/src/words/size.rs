//! How much room the load takes and what it weighs, in a line.

use keelstead::findings::{Bound, Findings};
use keelstead_units::quantity::Quantity;
use keelstead_units::{Units, write};

/// Height, width and length of boat and trailer, and the boat's weight.
pub fn on_the_road(findings: &Findings, units: Units) -> String {
    let size = &findings.size;
    let weight = findings.mass_kg.map_or_else(
        || "boat\u{2019}s weight unknown".to_owned(),
        |mass_kg| {
            format!(
                "boat\u{2019}s weight {}",
                write(Quantity::mass(mass_kg), units)
            )
        },
    );
    if !size.is_known() {
        return format!("Height, width and length unknown, {weight}");
    }
    let one = |is: Bound, value_m| {
        let length = write(Quantity::length(value_m), units);
        format!("{}{length}", is.words())
    };
    format!(
        "Height {}, width {}, length {}, {weight}",
        one(size.height_is, size.height_m),
        one(size.width_is, size.width_m),
        one(size.length_is, size.length_m),
    )
}

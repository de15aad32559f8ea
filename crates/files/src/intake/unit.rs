//! Which unit makes the mesh a boat.

use super::propose::Proposal;
use crate::hull_file::LengthUnit;

/// Lengths over all of the boats that go on trailers, m; common practice, no source.
pub const BOAT_LENGTHS_M: std::ops::RangeInclusive<f64> = 2.5..=60.0;

/// The unit: the one that the file states, else those that make the mesh as long as a boat.
pub(super) fn unit(stated: Option<LengthUnit>, longest: f64) -> Proposal<LengthUnit> {
    let fits = |unit: &LengthUnit| BOAT_LENGTHS_M.contains(&(longest * unit.metres()));
    let [shortest_m, longest_m] = [BOAT_LENGTHS_M.start(), BOAT_LENGTHS_M.end()];
    let fitting: Vec<LengthUnit> = LengthUnit::ALL.into_iter().filter(fits).collect();
    if let Some(unit) = stated {
        let length_m = longest * unit.metres();
        if fits(&unit) {
            return Proposal::decided(unit, format!("the file states it; {length_m:.2} m long"));
        }
        return Proposal::open(
            fitting,
            format!(
                "the file states the {}, but then it is {length_m} m long and no boat of {shortest_m} to \
                 {longest_m} m",
                unit.word()
            ),
        );
    }
    let readings: Vec<String> = fitting
        .iter()
        .map(|unit| {
            format!(
                "{:.2} m long if in {}",
                longest * unit.metres(),
                plural(*unit)
            )
        })
        .collect();
    let readings = readings.join(", ");
    match fitting.as_slice() {
        [] => Proposal::open(
            fitting,
            format!("in no unit is it {shortest_m} to {longest_m} m long"),
        ),
        [only] => Proposal::decided(
            *only,
            format!("{readings}; in no other unit is it {shortest_m} to {longest_m} m long"),
        ),
        _ => Proposal::open(fitting, readings),
    }
}

fn plural(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Metre => "metres",
        LengthUnit::Millimetre => "millimetres",
        LengthUnit::Centimetre => "centimetres",
        LengthUnit::Inch => "inches",
        LengthUnit::Foot => "feet",
    }
}

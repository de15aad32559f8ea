//! Which unit makes the mesh a boat.

use keelstead_units::quantity::Sentence;

use super::propose::Proposal;
use crate::hull_file::LengthUnit;

/// Lengths over all of the boats that go on trailers, m; common practice, no source.
pub const BOAT_LENGTHS_M: std::ops::RangeInclusive<f64> = 2.5..=60.0;

/// The unit: the one that the file states, else those that make the mesh as long as a boat.
pub(super) fn unit(stated: Option<LengthUnit>, longest: f64) -> Proposal<LengthUnit> {
    let fits = |unit: &LengthUnit| BOAT_LENGTHS_M.contains(&(longest * unit.metres()));
    let boats = |before: Sentence| {
        before
            .length(*BOAT_LENGTHS_M.start())
            .words("to")
            .length(*BOAT_LENGTHS_M.end())
    };
    let fitting: Vec<LengthUnit> = LengthUnit::ALL.into_iter().filter(fits).collect();
    if let Some(unit) = stated {
        let length_m = longest * unit.metres();
        if fits(&unit) {
            let says = Sentence::new("the file states it;").length(length_m);
            return Proposal::decided(unit, says.words("long"));
        }
        let says = Sentence::new(format!(
            "the file states the {}, but then it is",
            unit.word()
        ))
        .length(length_m)
        .words("long and no boat of");
        return Proposal::open(fitting, boats(says));
    }
    let readings: Vec<Sentence> = fitting
        .iter()
        .map(|unit| {
            Sentence::default()
                .length(longest * unit.metres())
                .words(format!("long if in {}", plural(*unit)))
        })
        .collect();
    let readings = Sentence::joined(&readings, ",");
    match fitting.as_slice() {
        [] => Proposal::open(
            fitting,
            boats(Sentence::new("in no unit is it")).words("long"),
        ),
        [only] => Proposal::decided(
            *only,
            boats(readings.words("; in no other unit is it")).words("long"),
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

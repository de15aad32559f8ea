//! Whether a hull comes out as large as a boat, and which unit would make it one.

use keelstead_boat::hull::PLAUSIBLE_LENGTH_M;
use keelstead_geometry::math::Vec3;
use keelstead_units::quantity::Sentence;

use crate::error::{FileError, Notice};
use crate::hull_file::{HullFile, LengthUnit};

/// Widest boat that can be meant, m: wider ones go by water.
const PLAUSIBLE_WIDTH_M: f64 = 20.0;
/// Lengths that make a unit worth suggesting, m.
const LIKELY_LENGTH_M: std::ops::RangeInclusive<f64> = 2.0..=40.0;

/// Refuses what is no boat's size, and says which unit would make it one.
pub(super) fn check_size<'a>(
    described: &HullFile,
    path: &str,
    points: impl Iterator<Item = &'a Vec3>,
    notices: &mut Vec<Notice>,
) -> Result<(), FileError> {
    let (mut low, mut high) = (Vec3::splat(f64::INFINITY), Vec3::splat(f64::NEG_INFINITY));
    for &point in points {
        low = low.min(point);
        high = high.max(point);
    }
    let size = high - low;
    let (shortest, longest) = PLAUSIBLE_LENGTH_M;
    let longest_edge = size.max_element();
    let sound = size.is_finite()
        && (shortest..=longest).contains(&longest_edge)
        && size.y <= PLAUSIBLE_WIDTH_M;
    if !sound {
        let unit = described.unit.word();
        return Err(FileError::UnitLooksWrong {
            path: path.to_owned(),
            found: Sentence::new(format!("read in {} the hull is", plural(unit)))
                .length(size.x)
                .words("long and")
                .length(size.y)
                .words("wide"),
            advice: unit_advice(size, described.unit),
        });
    }
    if size.y > size.x {
        let says = Sentence::new("the hull comes out wider (")
            .length(size.y)
            .words(") than long (")
            .length(size.x)
            .words("): check \"axes\"");
        notices.push(Notice::new(path, says));
    }
    Ok(())
}

fn plural(unit: &str) -> String {
    match unit {
        "inch" => "inches".into(),
        "foot" => "feet".into(),
        other => format!("{other}s"),
    }
}

fn unit_advice(size_m: Vec3, declared: LengthUnit) -> Sentence {
    let fitting: Vec<Sentence> = LengthUnit::ALL
        .into_iter()
        .filter(|&unit| unit != declared)
        .filter_map(|unit| {
            let length_m = size_m.max_element() / declared.metres() * unit.metres();
            LIKELY_LENGTH_M.contains(&length_m).then(|| {
                Sentence::new(format!("In {} it would be", plural(unit.word())))
                    .length(length_m)
                    .words(format!(": set \"unit\": \"{}\"", unit.word()))
            })
        })
        .collect();
    if fitting.is_empty() {
        return "No unit makes it a boat: check that this is the right mesh, exported at full size"
            .into();
    }
    Sentence::joined(&fitting, ". Or:")
}

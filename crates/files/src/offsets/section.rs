//! The section at each station: half-breadth as a curve over height.

use keelstead_units::quantity::Sentence;

use super::curve::Curve;
use super::{OffsetLine, OffsetTable};
use crate::error::{FileError, Spot};

/// Heights nearer than this part of the table's height are one height.
const SAME: f64 = 1e-6;

/// Half-breadth over height, from the bottom to the deck's edge.
pub(super) type Section = Curve;

/// The section of every station, and what had to be assumed.
pub(super) fn sections(
    table: &OffsetTable,
    name: &str,
) -> Result<(Vec<Section>, Vec<Sentence>), FileError> {
    let heights = heights(table);
    let extent = heights[1] - heights[0];
    let mut assumed = 0;
    let sections = (0..table.stations.len())
        .map(|station| {
            let fault = |found: String, expected: &str, advice: &str| {
                let spot = Spot::Named(format!("station {}", table.stations[station]));
                FileError::fault(name, spot, found, expected, advice)
            };
            let (mut points, ran_down) = points(table, station);
            assumed += usize::from(ran_down);
            if let Some([z, y]) = points.iter().find(|[_, y]| *y < 0.0) {
                return Err(fault(
                    format!("the half-breadth at height {z} is {y}"),
                    "half-breadths off the centreline, not negative",
                    "Correct the cell; an empty one means that the hull is not there",
                ));
            }
            within_lines(table, station, &points, extent).map_err(|(found, expected)| {
                fault(
                    found,
                    expected,
                    "Correct the cell, or the height of the line",
                )
            })?;
            points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
            let points = one_a_height(points, SAME * extent).map_err(|[z, a, b]| {
                fault(
                    format!("the half-breadth at height {z} is both {a} and {b}"),
                    "one half-breadth at a height above the bottom",
                    "Correct the waterline or the buttock that is wrong",
                )
            })?;
            // An end that comes to a point on the centreline is the tip of a stem or stern.
            let end = station == 0 || station + 1 == table.stations.len();
            let tip = end && matches!(points[..], [[_, 0.0]]);
            if points.len() < 2 && !tip {
                return Err(fault(
                    format!("{} heights with a half-breadth", points.len()),
                    "at least two",
                    "Fill in the station, or leave its column out",
                ));
            }
            Ok(Curve::through(points))
        })
        .collect::<Result<Vec<_>, _>>()?;
    let mut notices = Vec::new();
    if assumed > 0 {
        let stations = if assumed == 1 { "station" } else { "stations" };
        notices.push(format!(
            "at {assumed} {stations} the table does not say how deep the hull reaches: it was run straight to the \
             centreline at the next waterline below; give the line \"profile height\""
        ).into());
    }
    Ok((sections, notices))
}

/// Least and greatest height of a table.
pub(super) fn heights(table: &OffsetTable) -> [f64; 2] {
    let given = [
        &table.profile_heights,
        &table.rabbet_heights,
        &table.sheer_heights,
    ]
    .into_iter()
    .chain(table.buttocks.iter().map(|line| &line.values))
    .flat_map(|values| values.iter().flatten().copied());
    let filled = |line: &&OffsetLine| line.values.iter().any(Option::is_some);
    given
        .chain(table.waterlines.iter().filter(filled).map(|line| line.at))
        .fold([f64::INFINITY, f64::NEG_INFINITY], |[lo, hi], z| {
            [lo.min(z), hi.max(z)]
        })
}

/// Points of a station, height and half-breadth, in no order; and whether the bottom was run down to
/// an empty waterline.
fn points(table: &OffsetTable, station: usize) -> (Vec<[f64; 2]>, bool) {
    let of = |values: &[Option<f64>]| values.get(station).copied().flatten();
    let on = |line: &OffsetLine| of(&line.values);
    let waterlines = table.waterlines.iter();
    let mut points: Vec<[f64; 2]> = waterlines.filter_map(|w| Some([w.at, on(w)?])).collect();
    points.extend(table.buttocks.iter().filter_map(|b| Some([on(b)?, b.at])));
    let rabbet = of(&table.rabbet_heights).zip(of(&table.rabbet_half_breadths));
    points.extend(rabbet.map(|(z, y)| [z, y]));
    if let Some(z) = of(&table.profile_heights) {
        // Below the rabbet stands the keel, as wide as the rabbet lies apart.
        points.push([z, rabbet.map_or(0.0, |(_, y)| y)]);
    }
    let sheer = of(&table.sheer_heights).zip(of(&table.sheer_half_breadths));
    points.extend(sheer.map(|(z, y)| [z, y]));
    let lowest = points
        .iter()
        .copied()
        .reduce(|a, b| if b[0] < a[0] { b } else { a });
    let below = lowest.filter(|p| p[1] > 0.0 && of(&table.profile_heights).is_none());
    let empty = below.and_then(|[z, _]| {
        let lower = table.waterlines.iter().rev().find(|w| w.at < z)?;
        on(lower).is_none().then_some(lower.at)
    });
    points.extend(empty.map(|z| [z, 0.0]));
    (points, empty.is_some())
}

/// Refuses points under the profile or over the sheer.
fn within_lines(
    table: &OffsetTable,
    station: usize,
    points: &[[f64; 2]],
    extent: f64,
) -> Result<(), (String, &'static str)> {
    let of = |values: &[Option<f64>]| values.get(station).copied().flatten();
    let slack = SAME * extent;
    for &[z, _] in points {
        if let Some(profile) = of(&table.profile_heights).filter(|p| z < p - slack) {
            let found = format!("a half-breadth at height {z}, under the profile at {profile}");
            return Err((found, "nothing under the profile"));
        }
        if let Some(sheer) = of(&table.sheer_heights).filter(|s| z > s + slack) {
            let found = format!("a half-breadth at height {z}, over the sheer at {sheer}");
            return Err((found, "nothing over the sheer"));
        }
    }
    Ok(())
}

/// Points sorted by height made one at each; at the bottom, where a flat floor has many, the widest.
fn one_a_height(sorted: Vec<[f64; 2]>, same: f64) -> Result<Vec<[f64; 2]>, [f64; 3]> {
    let mut kept: Vec<[f64; 2]> = Vec::with_capacity(sorted.len());
    for point in sorted {
        match kept.last() {
            Some(last) if point[0] - last[0] <= same => {
                let at = kept.len() - 1;
                if at > 0 && (point[1] - kept[at][1]).abs() > same {
                    return Err([point[0], kept[at][1], point[1]]);
                }
                kept[at][1] = kept[at][1].max(point[1]);
            }
            _ => kept.push(point),
        }
    }
    Ok(kept)
}

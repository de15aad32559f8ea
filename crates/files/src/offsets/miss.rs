//! How far the hull that a table describes may be from the surface lofted through it.

use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;

use super::OffsetTable;
use super::curve::Curve;
use super::section::Section;
use super::surface::lofted;

/// What of the miss of a loft without every second station or line is taken for the loft with all of them.
///
/// Twice as dense, a curve of second order misses a quarter, one across a knuckle a half; these curves are between the
/// two, since they lie flat at their tops. Over hulls given by formulas from 5 × 5 to 21 × 19 figures it was 0.1 to
/// 0.36 (tests of this module). A chine between two lines is smooth to the table: give a waterline or buttock close to either side.
const SHARE: f64 = 0.4;

/// The same where there are three stations or lines: without the middle one nothing is left but a straight line. The
/// curve through all three is a parabola wherever it does not turn, so at least of second order.
const SHARE_OF_THREE: f64 = 0.25;

/// An estimate from the table itself, in its unit.
///
/// Every second station is left out and the rest lofted, odd and even ones in turn, then every second point of every
/// section; the greatest distance of the whole surface at the stations from what comes out is the miss. A share of it
/// along the hull and one up the sections are added, since a place may lie between both, and half of the last place
/// to which the figures are written. `positions` are those of the whole surface.
pub(super) fn tolerance(table: &OffsetTable, sections: &[Section], positions: &[[f64; 3]]) -> f64 {
    let at_stations: Vec<Vec3> = positions
        .iter()
        .filter(|[x, y, _]| *y >= 0.0 && table.stations.contains(x))
        .map(|&point| Vec3::from_array(point))
        .collect();
    let missed = |stations: &[f64], sections: &[Section]| {
        let (vertices, triangles) = lofted(table, stations, sections);
        let vertices = vertices.into_iter().map(Vec3::from_array).collect();
        let fewer = Mesh::new(vertices, triangles).ok();
        // With nothing left that has a breadth, the middle plane is all that is lofted.
        let miss = |&point: &Vec3| {
            fewer
                .as_ref()
                .map_or(point.y, |mesh| mesh.nearest_to(point).distance(point))
        };
        at_stations.iter().map(miss).fold(0.0, f64::max)
    };
    let along = [0, 1].map(|kept| {
        missed(
            &every_second(&table.stations, kept),
            &every_second(sections, kept),
        )
    });
    let up = [0, 1].map(|kept| {
        let fewer = sections
            .iter()
            .map(|section| every_second(section.points(), kept));
        let fewer: Vec<Section> = fewer.map(Curve::through).collect();
        missed(&table.stations, &fewer)
    });
    let most_points = sections.iter().map(|s| s.points().len()).max().unwrap_or(0);
    share(table.stations.len()) * along[0].max(along[1])
        + share(most_points) * up[0].max(up[1])
        + table.last_place / 2.0
}

fn share(count: usize) -> f64 {
    if count <= 3 { SHARE_OF_THREE } else { SHARE }
}

/// Those at even places, or at odd ones; the ends always.
fn every_second<T: Clone>(all: &[T], kept: usize) -> Vec<T> {
    let ends = |i: usize| i == 0 || i + 1 == all.len();
    all.iter()
        .enumerate()
        .filter(|(i, _)| ends(*i) || i % 2 == kept)
        .map(|(_, one)| one.clone())
        .collect()
}

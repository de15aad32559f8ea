//! A real ship's table of offsets, lofted, against rules applied to the same table.
//!
//! Values: shared/meshes/README.md, research_vessel_36m_offsets.csv: volumes and waterplane area by
//! the trapezoid rule, empty = 0, computed there with other code `[source read]`. Simpson's rule is
//! applied here to the cells themselves, read without the reader under test.

#![allow(clippy::unwrap_used)]

use keelstead_boat::hydrostatics::{Immersed, WaterPlane, immersed};
use keelstead_files::hull_file::LengthUnit;
use keelstead_files::mesh_file::{self, Format};
use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;

const FILE: &str = "research_vessel_36m_offsets.csv";

/// The file's text, if it is at hand.
fn text() -> Option<String> {
    let path = keelstead_tests::shared("meshes")?.join(FILE);
    Some(std::fs::read_to_string(path).unwrap())
}

fn lofted(text: &str) -> Mesh {
    let read = mesh_file::read(text.as_bytes(), FILE).unwrap();
    assert_eq!(
        (read.format, read.unit),
        (Format::Offsets, Some(LengthUnit::Metre))
    );
    assert_eq!(read.parts.len(), 1);
    let part = &read.parts[0];
    let vertices = part.positions.iter().copied().map(Vec3::from_array);
    Mesh::new(vertices.collect(), part.triangles.clone()).unwrap()
}

fn below(mesh: &Mesh, height_m: f64) -> Immersed {
    immersed(mesh, &WaterPlane::level(height_m)).unwrap()
}

fn within(found: f64, known: f64, part: f64, what: &str) {
    assert!(
        (found - known).abs() <= part * known,
        "{what}: {found} for {known}"
    );
}

/// Stations, waterlines, and half-breadths by waterline and station, empty cells as 0.
fn cells(text: &str) -> (Vec<f64>, Vec<f64>, Vec<Vec<f64>>) {
    let figure = |cell: &str| cell.trim().parse().unwrap_or(0.0);
    let mut lines = text.lines().skip(1);
    let stations = lines
        .next()
        .unwrap()
        .split(',')
        .skip(1)
        .map(figure)
        .collect();
    let rows = lines.map(|line| line.split(',').map(figure).collect::<Vec<f64>>());
    let (heights, breadths) = rows.map(|row| (row[0], row[1..].to_vec())).unzip();
    (stations, heights, breadths)
}

/// Simpson's first rule over evenly spaced ordinates.
fn simpson(spacing: f64, ordinates: &[f64]) -> f64 {
    assert!(ordinates.len() % 2 == 1, "an even number of spaces");
    let last = ordinates.len() - 1;
    let weighted = ordinates.iter().enumerate().map(|(i, y)| match i {
        0 => *y,
        _ if i == last => *y,
        _ if i % 2 == 1 => 4.0 * y,
        _ => 2.0 * y,
    });
    spacing / 3.0 * weighted.sum::<f64>()
}

#[test]
fn the_table_is_closed_and_as_large_as_it_says() {
    let Some(text) = text() else { return };
    let mesh = lofted(&text);
    let topology = mesh.topology();
    assert_eq!(topology.boundary_edges, 0);
    assert!(topology.consistent);
    assert!(mesh.signed_volume_m3() > 0.0);
    let bounds = mesh.aabb();
    let (low, high) = (bounds.mins, bounds.maxs);
    assert_eq!((low.x, low.z, high.x, high.z), (0.0, 0.0, 36.25, 7.5));
    // The largest half-breadth is 4.80513 m.
    assert!(
        (high.y - 4.80513).abs() < 1e-9 && low.y == -high.y,
        "{bounds:?}"
    );
}

#[test]
fn volume_and_waterplane_are_near_the_trapezoid_rules() {
    let Some(text) = text() else { return };
    let mesh = lofted(&text);
    // Abaft the break the table ends at the main deck, 4.0 m. With empty = 0 the trapezoid rule lets
    // the hull taper off from there to the empty waterline half a metre up; a deck stops.
    let (stations, heights, breadths) = cells(&text);
    let deck = heights.iter().position(|&z| z == 4.0).unwrap();
    let open: Vec<[f64; 2]> = (0..stations.len())
        .filter(|&i| breadths[deck][i] > 0.0 && breadths[deck + 1][i] == 0.0 && stations[i] < 17.0)
        .map(|i| [stations[i], breadths[deck][i]])
        .collect();
    assert_eq!(open.len(), 29);
    let area: f64 = open
        .windows(2)
        .map(|p| (p[1][0] - p[0][0]) * (p[0][1] + p[1][1]))
        .sum();
    let taper = 0.5 * area * (heights[deck + 1] - heights[deck]);
    within(
        below(&mesh, 7.5).volume_m3,
        1369.40 - taper,
        1e-2,
        "below 7.5 m",
    );
    within(below(&mesh, 3.0).volume_m3, 542.92, 1e-2, "below 3.0 m");
    within(
        below(&mesh, 3.0).waterplane_m2,
        273.40,
        2e-3,
        "waterplane at 3.0 m",
    );
}

#[test]
fn volume_is_simpsons_of_the_same_table() {
    let Some(text) = text() else { return };
    let mesh = lofted(&text);
    let (stations, heights, breadths) = cells(&text);
    // The stations stand evenly up to the last but one.
    let even = stations.len() - 1;
    let spacing = stations[1] - stations[0];
    assert!((stations[even - 1] - (even - 1) as f64 * spacing).abs() < 1e-9);
    for rows in [7, 9] {
        let areas: Vec<f64> = breadths[..rows]
            .iter()
            .map(|row| 2.0 * simpson(spacing, &row[..even]))
            .collect();
        let volume = simpson(heights[1] - heights[0], &areas);
        let found = below(&mesh, heights[rows - 1]);
        within(found.volume_m3, volume, 1e-2, "volume by Simpson's rule");
        within(
            found.waterplane_m2,
            areas[rows - 1],
            3e-3,
            "waterplane by Simpson's rule",
        );
    }
}

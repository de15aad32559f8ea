//! A surface through a cloud of points, fit for clearance: it says how far it may be off, and where
//! there are no points it is open.
//!
//! Points are averaged over the cells of a grid, each cell gets the plane of its neighbourhood,
//! planes are turned to agree, and the surface is where the weighted distance to the planes around
//! is nought. Cells that this surface misses, at blades thinner than a cell, knife-edges and wires, are
//! taken as balls, and the points of those that it still misses get boxes of their own, which puts the
//! skin outside of the points. The tolerance is the largest distance of any point from the surface;
//! only loose patches are left out, and told.

use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;
use keelstead_units::quantity::Sentence;

use crate::error::{FileError, Spot};
use crate::progress::{Progress, Stretch, step};
use cells::{Grid, Sorted};

mod cells;
mod deviation;
mod field;
mod planes;

#[cfg(test)]
mod tests;

/// Most points that are taken: with what is worked out beside them about 2 GB.
pub(crate) const MOST_POINTS: usize = 20_000_000;
/// Fewer points than this make no surface.
const LEAST_POINTS: usize = 200;
/// Patches of fewer points than this are loose: dust, spray. More of them may be gear.
const LEAST_PATCH: u32 = 4;
/// What may lie between the points, as part of a cell.
const BETWEEN_POINTS: f64 = 0.01;

/// Name of the part that boxes round missed points make.
pub(crate) const THIN: &str = "thin places";

/// A surface through points, in their unit and axes.
#[derive(Debug)]
pub(crate) struct Fitted {
    /// Vertices.
    pub(crate) positions: Vec<[f64; 3]>,
    /// Triangles; which side is out is a guess.
    pub(crate) triangles: Vec<[u32; 3]>,
    /// Boxes round points that the surface misses, as vertices and triangles.
    pub(crate) thin: (Vec<[f64; 3]>, Vec<[u32; 3]>),
    /// No point that the surface follows is farther from it than this.
    pub(crate) tolerance: f64,
    /// What was averaged, left out and left open, a sentence each.
    pub(crate) notices: Vec<Sentence>,
}

/// The surface through `points`; `name` names their file in messages.
///
/// # Errors
/// [`FileError::Fault`] if the points are too few, too many, not finite or form no surface;
/// [`FileError::Cancelled`].
pub(crate) fn fit(
    points: Vec<[f64; 3]>,
    name: &str,
    progress: &dyn Progress,
) -> Result<Fitted, FileError> {
    let given = points.len();
    let sorted = sorted(points, name, progress)?;
    step(progress, 0.2, "spacing of the points")?;
    let mut grid = Grid::fitting(&sorted).ok_or_else(|| {
        fault(
            name,
            format!("{} points that form no surface", sorted.points.len()),
            "points close together on a surface, with less noise than spacing",
            "Scan more densely, or make a mesh in the scanner's program",
        )
    })?;
    step(progress, 0.3, "sides")?;
    let patches = planes::orient(&mut grid);
    let loose = grid.drop_small(&patches, LEAST_PATCH);
    step(progress, 0.4, "surface")?;
    let mut mesh = surface(&grid, name, progress)?;
    // What planes do not tell, thin blades, knife-edges, wires, is taken as balls.
    step(progress, 0.5, "thin places")?;
    if deviation::mark_missed(&sorted, &mut grid, &mesh) {
        mesh = surface(&grid, name, progress)?;
    }
    let found = deviation::measure(&sorted, &grid, &mesh, &Stretch::new(progress, 0.6, 1.0))?;
    if 2 * found.followed < sorted.points.len() {
        return Err(fault(
            name,
            format!(
                "only {} of {} points lie on a surface",
                found.followed,
                sorted.points.len()
            ),
            "points on a surface",
            "Cut away what is no boat, or make a mesh in the scanner's program",
        ));
    }
    let tolerance = found.largest + BETWEEN_POINTS * grid.size;
    let notices = told(given, &sorted, &grid, loose, &mesh, &found, tolerance);
    Ok(Fitted {
        positions: mesh.vertices().iter().map(Vec3::to_array).collect(),
        triangles: mesh.triangles().to_vec(),
        thin: boxed(&found.boxes),
        tolerance,
        notices,
    })
}

fn surface(grid: &Grid, name: &str, progress: &dyn Progress) -> Result<Mesh, FileError> {
    let surface = field::surface(grid, &Stretch::new(progress, 0.4, 0.5))?;
    Mesh::new(surface.positions, surface.triangles).map_err(|_| {
        fault(
            name,
            "points that form no surface".into(),
            "points close together on a surface",
            "Scan more densely, or make a mesh in the scanner's program",
        )
    })
}

/// The triangles of boxes, facing outward.
fn boxed(boxes: &[[Vec3; 2]]) -> (Vec<[f64; 3]>, Vec<[u32; 3]>) {
    const SIDES: [[u32; 4]; 6] = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    let (mut positions, mut triangles) = (Vec::new(), Vec::new());
    for corners in boxes {
        let first = positions.len() as u32;
        positions.extend(
            (0..8_usize)
                .map(|i| -> [f64; 3] { std::array::from_fn(|axis| corners[i >> axis & 1][axis]) }),
        );
        for side in SIDES {
            let [a, b, c, d] = side.map(|corner| first + corner);
            triangles.extend([[a, b, c], [a, c, d]]);
        }
    }
    (positions, triangles)
}

fn fault(name: &str, found: String, expected: &str, advice: &str) -> FileError {
    FileError::fault(name, Spot::Whole, found, expected, advice)
}

/// The points checked and sorted.
fn sorted(points: Vec<[f64; 3]>, name: &str, progress: &dyn Progress) -> Result<Sorted, FileError> {
    if points.len() > MOST_POINTS {
        return Err(fault(
            name,
            format!("{} points", points.len()),
            &format!("at most {MOST_POINTS}"),
            "Thin the scan in the scanner's program: a point every 2 mm is plenty",
        ));
    }
    if let Some(at) = points.iter().position(|p| !p.iter().all(|c| c.is_finite())) {
        return Err(FileError::fault(
            name,
            Spot::Named(format!("point {}", at + 1)),
            "a coordinate that is not a finite number",
            "finite x, y and z",
            "Export the points again without those that were not measured",
        ));
    }
    step(progress, 0.0, "sorting points")?;
    let (low, high) = points.iter().fold(
        (Vec3::INFINITY, Vec3::NEG_INFINITY),
        |(low, high), &point| {
            let point = Vec3::from_array(point);
            (low.min(point), high.max(point))
        },
    );
    let longest = (high - low).max_element();
    let few = |count: usize| {
        fault(
            name,
            format!(
                "{count} different {}",
                if count == 1 { "point" } else { "points" }
            ),
            &format!("at least {LEAST_POINTS}, close together on a surface"),
            "Export the whole scan",
        )
    };
    if points.is_empty() || longest <= 0.0 {
        return Err(few(points.len().min(1)));
    }
    // Coordinates so large that their differences are lost, or so close that a cell has no size.
    let coarse = low.abs().max(high.abs()).max_element() * 1e-12;
    if !longest.is_finite() || longest <= coarse || longest < 1e-100 {
        return Err(fault(
            name,
            format!("points within {longest:e} of each other, {coarse:e} thought away"),
            "points as far apart as a boat is long",
            "Export the scan with its origin near the boat",
        ));
    }
    let sorted = Sorted::new(points, low, longest);
    if sorted.points.len() < LEAST_POINTS {
        return Err(few(sorted.points.len()));
    }
    Ok(sorted)
}

/// What was done and found, a sentence each. The file's unit may not be known yet.
fn told(
    given: usize,
    sorted: &Sorted,
    grid: &Grid,
    loose: usize,
    mesh: &Mesh,
    found: &deviation::Deviation,
    tolerance: f64,
) -> Vec<Sentence> {
    let size = grid.size;
    let mut notices = vec![
        format!(
            "a cloud of {given} points, averaged over cells of {}: a surface of {} triangles was fitted, within {} \
             of every point that it follows (lengths in the file's unit)",
            figure(size),
            mesh.triangles().len(),
            figure(tolerance),
        ).into(),
        format!(
            "where there are no points the surface is open; gaps up to about {} wide are bridged, and its edges may \
             reach {} past the last points",
            figure(field::BRIDGED * size),
            figure(size),
        ).into(),
    ];
    let doubles = given - sorted.points.len();
    if doubles > 0 {
        notices.push(format!("{doubles} points that stood there twice dropped").into());
    }
    if !found.boxes.is_empty() {
        notices.push(format!(
            "in {} places thinner than a cell the surface misses the points: boxes round them stand in for it, as part \
             \"{THIN}\"",
            found.boxes.len(),
        ).into());
    }
    if found.left_out > 0 {
        let [x, y, z] = found.example.map(figure);
        notices.push(format!(
            "{} points near no surface were left out ({loose} of them loose), the highest at ({x}, {y}, {z}): thin \
             things such as wires and rails may be missing from the hull",
            found.left_out,
        ).into());
    }
    notices
}

/// A length to four digits.
fn figure(value: f64) -> String {
    let digits = if value == 0.0 {
        0
    } else {
        3 - value.abs().log10().floor() as i32
    };
    format!("{value:.*}", digits.clamp(0, 12) as usize)
}

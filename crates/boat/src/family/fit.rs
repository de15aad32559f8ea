//! From measures to a fitted hull.

use std::sync::Arc;

use super::check::{FitError, problems, too_low};
use super::measures::{Given, Measures};
use super::parts::{Detail, Made, body, hung, lines};
use super::plan::{Below, Plan};
use super::solve::{Solved, solve};
use super::space::{Figure, Shape, Space};
use super::spread::{estimates, spread};
use super::surface::Surface;
use super::{Family, Fitted, MeasureKind, Open, Reached};
use crate::hull::{HullPart, PartKind, PartUse};
use crate::hydrostatics::{WaterPlane, immersed};
use crate::loft::shell::{Shell, on_grid};
use keelstead_geometry::math::{Point, Vec3};
use keelstead_geometry::mesh::Mesh;
use keelstead_units::liquid::SEA_WATER_KG_M3;

/// The keel ends where the underside has risen by this part of the hull's height: as the hull
/// frame's origin has it.
const KEEL_END_RISE: f64 = 0.1;

/// Fits a family's surface to measures.
///
/// # Errors
/// [`FitError`]: measures that contradict one another or that no boat has, each named, or measures
/// to which no surface of the family comes near enough to be a hull.
pub fn fit(family: Family, measures: &Measures) -> Result<Fitted, FitError> {
    let problems = problems(family, measures);
    if !problems.is_empty() {
        return Err(FitError::Measures(problems));
    }
    let mut given = measures.list();
    given.retain(|given| given.kind.is_of_surface());
    let space = Space::new(Plan::of(family), measures.length_m, measures.beam_m);
    let plan = space.plan();
    let solved = solve(&space, &given, |shape| {
        let draft_m = shape.figure(Figure::Draft);
        let below = hung(plan, shape, Detail::Coarse);
        below
            .iter()
            .filter_map(|made| under(&mesh(&made.shell, 0.0).ok()?, draft_m))
            .sum()
    });
    let shape = &solved.shape;
    // On the grid that the shells lie on, so that they stay on it.
    let after_end_x_m = -on_grid(origin(plan, shape));
    let no_surface = |why: &str| FitError::NoSurface {
        why: why.into(),
        kind: worst(&given, &solved),
    };
    let made = std::iter::once(Made {
        name: "body",
        kind: PartKind::Body,
        guessed: false,
        shell: body(plan, shape),
    })
    .chain(hung(plan, shape, Detail::Fine));
    let draft_m = shape.figure(Figure::Draft);
    let (mut parts, mut volume_m3, mut hung_m3) = (Vec::new(), 0.0, 0.0);
    for made in made {
        let mesh = mesh(&made.shell, after_end_x_m).map_err(|e| no_surface(&e))?;
        if !mesh.unbalanced_edges().is_empty() || mesh.signed_volume_m3() <= 0.0 {
            return Err(no_surface("folds over itself"));
        }
        let below = under(&mesh, draft_m).ok_or_else(|| no_surface("is open under water"))?;
        volume_m3 += below;
        if made.kind != PartKind::Body {
            hung_m3 += below;
        }
        parts.push(HullPart {
            name: made.name.into(),
            kind: made.kind,
            part_use: if made.guessed {
                PartUse::Guessed
            } else {
                PartUse::Checked
            },
            mesh: Arc::new(mesh),
        });
    }
    let displacement_kg = volume_m3 * SEA_WATER_KG_M3;
    let spread = spread(&space, &solved, &given, measures);
    let estimates = estimates(&space, &solved, &given, hung_m3);
    if let Some(problem) = too_low(measures, &estimates) {
        return Err(FitError::Measures(vec![problem]));
    }
    Ok(Fitted {
        measures: reached(&given, &solved, displacement_kg),
        estimates,
        displacement_kg,
        draft_m,
        lines: lines(plan, shape).moved([after_end_x_m, 0.0, 0.0]),
        after_end_x_m,
        tolerance_m: spread.tolerance_m,
        taped: measures.taped(family),
        open: Open {
            part: spread.part.into(),
            at: Point::new(spread.at[0] + after_end_x_m, spread.at[1], spread.at[2]),
            next: spread.next,
        },
        parts,
    })
}

/// Volume of a mesh below the draft, m³; none if water would run in.
fn under(mesh: &Mesh, draft_m: f64) -> Option<f64> {
    let below = immersed(mesh, &WaterPlane::level(draft_m)).ok()?;
    Some(below.volume_m3)
}

/// A shell as a mesh, its stations moved.
fn mesh(shell: &Shell, by_x: f64) -> Result<Mesh, String> {
    let vertices = shell
        .positions()
        .map(|[x, y, z]| Vec3::new(x + by_x, y, z))
        .collect();
    Mesh::new(vertices, shell.triangles().to_vec()).map_err(|error| error.to_string())
}

/// Station of the hull frame's origin: the after end of the keel line.
fn origin(plan: &Plan, shape: &Shape) -> f64 {
    if plan.below != Below::Nothing {
        return shape.figure(Figure::KeelStart);
    }
    let height = shape.point(plan.sheer(), 0)[2];
    let profile = Surface { plan, shape }.profile(true);
    let low = profile
        .iter()
        .filter(|hit| hit.p[2] <= KEEL_END_RISE * height);
    let x = low.map(|hit| hit.p[0]).fold(f64::INFINITY, f64::min);
    if x.is_finite() { x } else { 0.0 }
}

/// The measure that is furthest from being met.
fn worst(given: &[Given], solved: &Solved) -> MeasureKind {
    given
        .iter()
        .zip(&solved.readings)
        .map(|(g, r)| {
            let off = r
                .as_ref()
                .map_or(f64::INFINITY, |r| (r.value - g.value).abs());
            (off / g.tolerance, g.kind)
        })
        .reduce(|a, b| if b.0 > a.0 { b } else { a })
        .map_or(MeasureKind::Length, |(_, kind)| kind)
}

fn reached(given: &[Given], solved: &Solved, displacement_kg: f64) -> Vec<Reached> {
    given
        .iter()
        .zip(&solved.readings)
        .map(|(g, r)| {
            let reached = match g.kind {
                MeasureKind::Displacement => Some(displacement_kg),
                _ => r.as_ref().filter(|r| r.there).map(|r| r.value),
            };
            let misfit = reached.map_or(-g.value, |r| r - g.value);
            Reached {
                kind: g.kind,
                index: g.index,
                at: g.at,
                asked: g.value,
                tolerance: g.tolerance,
                reached,
                misfit,
                met: reached.is_some() && misfit.abs() <= g.tolerance,
            }
        })
        .collect()
}

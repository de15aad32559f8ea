//! From a mesh file's unit and axes to the hull frame: metres, bow along x, port along y, up
//! along z, origin at the aft end of the keel.

mod keel;
mod parts;
mod size;

use std::sync::Arc;

use keelstead_boat::hull::{Hull, HullError, HullPart};
use keelstead_boat::weigh::Weighed;
use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;
use keelstead_units::fields::FieldProblem;
use keelstead_units::quantity::{Quantity, Sentence};

use crate::error::{FileError, Notice, Spot};
use crate::hull_file::{Axes, HullFile, Origin};
use crate::measures_file::too_open;
use crate::mesh_file::{Format, MeshFile, MeshPart};
use keel::aft_end_of_keel;
use parts::{kinds, told_of_use};
use size::check_size;

/// The hull that `described`, standing in `path`, makes of a mesh file.
///
/// # Errors
/// [`FileError`] if the declared axes are no frame, the size is no boat's, a part has no kind
/// where one must be given, or the engine refuses a fact.
pub fn hull(
    described: &HullFile,
    path: &str,
    file: MeshFile,
) -> Result<(Hull, Vec<Notice>), FileError> {
    let turned = Turned::new(described.axes, path)?;
    as_the_file_says(described, path, &file)?;
    let mut notices = file.notices.clone();
    let kinds = kinds(described, path, &file, &mut notices)?;
    let fitted = file.format == Format::Measures;
    told_of_use(path, &file.parts, &kinds, &mut notices);
    let scale = described.unit.metres();
    // A description cannot know less of a fitted surface than the fit does.
    let fitted_m = file.tolerance * scale;
    let taped = described.taped.or(file.taped);
    let mut parts: Vec<(MeshPart, Vec<Vec3>)> = file
        .parts
        .into_iter()
        .map(|mut part| {
            let positions = std::mem::take(&mut part.positions);
            let placed = positions.iter().map(|&p| turned.apply(p) * scale).collect();
            (part, placed)
        })
        .collect();
    check_size(
        described,
        path,
        parts.iter().flat_map(|(_, placed)| placed),
        &mut notices,
    )?;
    let origin = match described.origin {
        Origin::At(point) => turned.apply(point) * scale,
        // A fitted surface lies in the hull frame already.
        Origin::AftEndOfKeel if fitted => Vec3::ZERO,
        Origin::AftEndOfKeel => aft_end_of_keel(
            parts
                .iter()
                .zip(&kinds)
                .filter(|(_, (kind, used))| kind.may_bear() && used.in_gaps())
                .map(|((part, placed), _)| (placed.as_slice(), part.triangles.as_slice())),
            described.middle.map(|y| y * scale),
        )
        .ok_or_else(|| no_keel(path))?,
    };
    let hull_parts = parts
        .iter_mut()
        .zip(kinds)
        .map(|((part, placed), (kind, part_use))| {
            let vertices = placed.iter().map(|&p| p - origin).collect();
            let mesh =
                Mesh::new(vertices, std::mem::take(&mut part.triangles)).map_err(|error| {
                    let spot = Spot::Named(format!("part \"{}\"", part.name));
                    FileError::fault(&described.mesh, spot, error.to_string(), "", "")
                })?;
            Ok(HullPart {
                name: part.name.clone(),
                kind,
                part_use,
                mesh: Arc::new(mesh),
            })
        })
        .collect::<Result<Vec<_>, FileError>>()?;
    if let Some(open) = too_open(&described.mesh, fitted_m) {
        return Err(open);
    }
    let mut facts = described.facts();
    facts.taped = taped;
    // What is no tolerance at all is not raised to one: it is refused below.
    if facts.shape_tolerance_m >= 0.0 {
        facts.shape_tolerance_m = facts.shape_tolerance_m.max(fitted_m);
    }
    let mut value = Hull::new(described.name.clone(), hull_parts, facts)
        .map_err(|error| refused(path, &error))?;
    if let Some(weighing) = &described.weighing {
        value = value
            .weighed_by(weighing)
            .map_err(|problem| weighed_wrong(path, &problem))?;
        if let Some(weighed) = &value.weighed {
            notices.extend(
                taken(weighed)
                    .into_iter()
                    .map(|says| Notice::new(path, says)),
            );
        }
    }
    Ok((value, notices))
}

/// A figure of the weighing that cannot be right.
fn weighed_wrong(path: &str, problem: &FieldProblem) -> FileError {
    FileError::Contradiction {
        path: path.to_owned(),
        problems: vec![format!("at weighing.{problem}").into()],
    }
}

/// What was taken for weight and centre, and what speaks against it.
fn taken(weighed: &Weighed) -> Vec<Sentence> {
    let mut says = Vec::new();
    if let Some((source, mass)) = weighed.mass {
        says.push(
            Sentence::new(format!("weight by {}:", source.words()))
                .figure(Quantity::mass(mass.mass_kg))
                .words("\u{b1}")
                .figure(Quantity::mass(mass.tolerance_kg)),
        );
    }
    if let Some((source, centre)) = weighed.centre {
        says.push(
            Sentence::new(format!("centre of gravity by {}:", source.words()))
                .length(centre.at.x_m)
                .words("forward of the origin \u{b1}")
                .length(centre.tolerance.x_m),
        );
    }
    let disagreements = weighed.disagreements.iter().map(|d| &d.says);
    let untold = weighed.untold.iter().map(|u| &u.says);
    says.extend(disagreements.chain(untold).chain(&weighed.notes).cloned());
    says
}

/// Refuses a unit or axes other than those the file states, where it cannot be read otherwise.
fn as_the_file_says(described: &HullFile, path: &str, file: &MeshFile) -> Result<(), FileError> {
    let stated = file.unit.zip(file.axes);
    let Some((unit, axes)) = stated.filter(|_| file.format.states_axes()) else {
        return Ok(());
    };
    let word = file.format.word();
    let wrong = |field: &str, found: String, expected: String| {
        let spot = Spot::Json {
            path: field.into(),
            line: 0,
            column: 0,
        };
        let advice = format!("Write it so, or correct the {word}");
        Err(FileError::fault(path, spot, found, expected, advice))
    };
    if described.unit != unit {
        let found = format!("\"{}\"", described.unit.word());
        let expected = format!("\"{}\", as {} says", unit.word(), described.mesh);
        return wrong("unit", found, expected);
    }
    if described.axes != axes {
        let found = format!("axes other than those of a {word}");
        let expected = format!("\"forward\": \"+x\", \"up\": \"+z\" for a {word}");
        return wrong("axes", found, expected);
    }
    Ok(())
}

fn no_keel(path: &str) -> FileError {
    FileError::fault(
        path,
        Spot::Json {
            path: "origin".into(),
            line: 0,
            column: 0,
        },
        "no part that may carry the boat (body, keel, skeg) crosses the middle plane",
        "a keel to measure from",
        "Say which part is the body or the keel under \"parts\", or give \"origin\": {\"at\": [x, y, z]}",
    )
}

fn refused(path: &str, error: &HullError) -> FileError {
    FileError::Contradiction {
        path: path.to_owned(),
        problems: vec![match error {
            HullError::Field(problem) => format!("at {problem}").into(),
            other => other.to_string().into(),
        }],
    }
}

/// Rows that take the mesh file's axes to forward, port and up.
struct Turned {
    forward: Vec3,
    port: Vec3,
    up: Vec3,
}

impl Turned {
    fn new(axes: Axes, path: &str) -> Result<Self, FileError> {
        if axes.forward.index() == axes.up.index() {
            return Err(FileError::fault(
                path,
                Spot::Json {
                    path: "axes".into(),
                    line: 0,
                    column: 0,
                },
                "forward and up lie along the same axis",
                "two different axes",
                "Look at the mesh in a viewer: along which axis does the bow point, and which is up?",
            ));
        }
        let forward = Vec3::from_array(axes.forward.vector());
        let up = Vec3::from_array(axes.up.vector());
        Ok(Self {
            forward,
            port: up.cross(forward),
            up,
        })
    }

    fn apply(&self, point: [f64; 3]) -> Vec3 {
        let point = Vec3::from_array(point);
        Vec3::new(
            self.forward.dot(point),
            self.port.dot(point),
            self.up.dot(point),
        )
    }
}

//! Sense made of a mesh file: unit, axes, bow, middle plane, sides, shells and holes; each proposed
//! with its evidence, and open where the evidence does not decide.
//!
//! [`examine`] looks; [`import`] puts the mesh into the hull frame with what was proposed and what a
//! person answered, or says which questions are left. Nothing ambiguous is decided in silence.

use keelstead::mesh::Mesh;

use crate::error::{FileError, Spot};
use crate::hull_file::{Axes, Axis, HullFile, LengthUnit};
use crate::mesh_file::MeshFile;
use orient::{Sides, orient};
use propose::{Lie, Told, lie};
use soup::Soup;
use upright::{middle_in_hull, place, upright};

mod answers;
mod arrive;
mod found;
mod measure;
mod orient;
mod parts;
mod propose;
mod soup;
mod symmetry;
mod unit;
mod upright;
mod write;

#[cfg(test)]
mod tests;

pub use answers::{Answers, PartAnswer, Skin};
pub use arrive::{Arrived, examine_file, import_file};
pub use found::{Cap, Examined, FoundPart, HullFromFile, SkinPair, Slit};
pub use orient::{Hole, Shell, Sides as SidesFound};
pub use parts::ImportedPart;
pub use propose::Proposal;
pub use soup::Removed;
pub use symmetry::Mirror;
pub use unit::BOAT_LENGTHS_M;
pub use write::{Written, glb, stl};

/// A hull in the hull frame's directions, ready to be written.
#[derive(Debug, Clone)]
pub struct Imported {
    /// Its parts: x forward, y to port, z up, metres, the middle plane at y = 0.
    pub parts: Vec<ImportedPart>,
    /// The description of it, all but the name of its mesh file.
    pub described: HullFile,
    /// What was proposed, found and taken away.
    pub examined: Examined,
    /// What was changed, a sentence each.
    pub changed: Vec<String>,
    /// What could not be put right or told, a sentence each.
    pub left: Vec<String>,
}

/// What a mesh file most likely is, given what is already answered.
///
/// # Errors
/// [`FileError::Fault`] if nothing is left of the mesh.
pub fn examine(file: &MeshFile, name: &str, answers: &Answers) -> Result<Examined, FileError> {
    Ok(look(file.clone(), name, answers)?.1)
}

/// The mesh made whole, and what it most likely is.
fn look(file: MeshFile, name: &str, answers: &Answers) -> Result<(Soup, Examined), FileError> {
    let stated_axes = file.axes.filter(|_| file.format.states_axes());
    let stated_up = file.axes.filter(|_| file.format.states_up());
    let told = Told {
        up: answers.up.or(stated_up.map(|axes| axes.up)),
        forward: answers.forward.or(stated_axes.map(|axes| axes.forward)),
        by: if stated_axes.is_some() || (stated_up.is_some() && answers.up.is_none()) {
            "the file states it"
        } else {
            "as told"
        },
    };
    if let (Some(up), Some(forward)) = (told.up, told.forward)
        && up.index() == forward.index()
    {
        return Err(FileError::fault(
            name,
            Spot::Whole,
            "up and forward lie along the same axis",
            "two different axes",
            "Look along which axis the bow points, and which is up",
        ));
    }
    let stated = file.unit;
    let (mut soup, removed) = Soup::new(file.parts);
    let sides = orient(&mut soup);
    let mesh = Mesh::new(soup.positions.clone(), soup.triangles.clone()).map_err(|error| {
        FileError::fault(
            name,
            Spot::Whole,
            error.to_string(),
            "a surface",
            "Export the hull again",
        )
    })?;
    let Lie {
        up,
        forward,
        half,
        middle,
    } = lie(&mesh, &sides, told);
    let longest = mesh.aabb().extents().max_element();
    let unit = match (answers.unit, answers.length_m) {
        (Some(unit), _) => Proposal::decided(unit, "as told"),
        (None, Some(length_m)) => Proposal::decided(
            LengthUnit::Metre,
            format!("it does not matter: scaled to {length_m} m over all"),
        ),
        _ => unit::unit(stated, longest),
    };
    let open = || Proposal::open(Vec::new(), "up and bow are open");
    let examined = Examined {
        unit,
        up,
        forward,
        half,
        middle,
        heel_rad: open(),
        yaw_rad: open(),
        trim_rad: open(),
        sides,
        removed,
        skins: Vec::new(),
        skin: Proposal::decided(Skin::Both, "no two skins run side by side"),
        slits: Vec::new(),
        parts: Vec::new(),
    };
    Ok((soup, examined))
}

/// The hull that a mesh file is, by the answers and else by what is proposed; `name` names the file
/// in messages, `boat` is what the boat is called. Where the parts of a file overlap they stay so.
///
/// # Errors
/// [`FileError::Fault`] with the questions that only a person can answer, or if answers contradict
/// the mesh.
pub fn import(
    file: MeshFile,
    name: &str,
    boat: &str,
    answers: &Answers,
) -> Result<Imported, FileError> {
    let fitted = file.tolerance;
    let (mut soup, examined) = look(file, name, answers)?;
    let (unit, axes) = settled(&examined, name, answers)?;
    let mut fitted_m = fitted * unit.metres();
    let mut changed = Vec::new();
    let mut left = Vec::new();
    place(&mut soup, unit, axes, &mut changed);
    let middle = examined
        .middle
        .map(|mirror| middle_in_hull(&mirror, unit, axes));
    match middle {
        Some(plane) => upright(&mut soup, plane, &mut changed, &mut left),
        None => left.push(
            "The two sides differ, so no middle plane was found: heel was not taken out, and the middle of the \
             beam is taken for the centreline."
                .into(),
        ),
    }
    let mut sides = examined.sides.clone();
    if answers.mirror == Some(true) {
        let doubled = parts::mirrored(&mut soup);
        sides = orient(&mut soup);
        changed.push(format!(
            "Mirrored in the middle plane: {doubled} triangles added."
        ));
    }
    if let Some(length_m) = answers.length_m {
        let [low, high] = soup.bounds();
        let scale = length_m / (high.x - low.x);
        soup.positions.iter_mut().for_each(|p| *p *= scale);
        fitted_m *= scale;
        changed.push(format!("Scaled by {scale:.6} to {length_m} m over all."));
    }
    check_length(&soup, name)?;
    told_of_sides(&examined.removed, &sides, &mut changed, &mut left);
    left.push(
        "The trim is as the file has it: a shape alone does not tell how the boat floats. Weight and centre of \
         gravity are not known."
            .into(),
    );
    let parts = parts::split(soup, &sides);
    let mut described = parts::described(boat, &parts, name, &examined);
    described.shape_tolerance_m = described.shape_tolerance_m.max(fitted_m);
    Ok(Imported {
        parts,
        described,
        examined,
        changed,
        left,
    })
}

/// Unit and axes, or the questions left.
fn settled(
    examined: &Examined,
    name: &str,
    answers: &Answers,
) -> Result<(LengthUnit, Axes), FileError> {
    let mut questions = Vec::new();
    if examined.unit.value.is_none() {
        let choices = words(&examined.unit.choices, |unit| unit.word().to_owned());
        let because = &examined.unit.because;
        questions.push(if choices.is_empty() {
            format!("what is its length over all? {because} (--scale-length)")
        } else {
            format!("what is its unit: {choices}? {because} (--unit, or --scale-length)")
        });
    }
    for (what, option, open) in [
        ("which way is up", "--up", &examined.up),
        (
            "which way does the bow point",
            "--forward",
            &examined.forward,
        ),
    ] {
        if open.value.is_none() {
            let choices = words(&open.choices, axis_word);
            questions.push(format!("{what}: {choices}? {} ({option})", open.because));
        }
    }
    let half = examined.half.value == Some(true);
    if half && answers.mirror.is_none() {
        questions.push(format!(
            "is it half a hull, to be mirrored? {} (--mirror)",
            examined.half.because
        ));
    }
    if answers.mirror == Some(true) && !half {
        return Err(FileError::fault(
            name,
            Spot::Whole,
            format!("to be mirrored, but {}", examined.half.because),
            "half a hull, cut along its middle plane",
            "Leave --mirror out, or say which axes are up and forward",
        ));
    }
    match (
        examined.unit.value,
        examined.up.value,
        examined.forward.value,
    ) {
        (Some(unit), Some(up), Some(forward)) if questions.is_empty() => {
            Ok((unit, Axes { forward, up }))
        }
        _ => Err(FileError::fault(
            name,
            Spot::Whole,
            format!(
                "the mesh does not tell everything: {}",
                questions.join("; ")
            ),
            "",
            "Answer with the options named",
        )),
    }
}

fn words<T: Copy>(choices: &[T], word: impl Fn(T) -> String) -> String {
    let words: Vec<String> = choices.iter().map(|choice| word(*choice)).collect();
    words.join(" or ")
}

/// An axis as it stands in a hull description: "+x".
pub fn axis_word(axis: Axis) -> String {
    let sign = if axis.vector()[axis.index()] > 0.0 {
        '+'
    } else {
        '-'
    };
    format!("{sign}{}", ['x', 'y', 'z'][axis.index()])
}

fn check_length(soup: &Soup, name: &str) -> Result<(), FileError> {
    let finite = soup.positions.iter().all(|p| p.is_finite());
    if soup.triangles.is_empty() || !finite {
        return Err(FileError::fault(
            name,
            Spot::Whole,
            "nothing of the mesh is left, or a coordinate is not finite",
            "a hull's surface, off its middle plane",
            "Check --mirror and the axes, or export the hull again",
        ));
    }
    let [low, high] = soup.bounds();
    let size = high - low;
    if BOAT_LENGTHS_M.contains(&size.x) && size.y < size.x {
        return Ok(());
    }
    Err(FileError::fault(
        name,
        Spot::Whole,
        format!("{:.4} m long and {:.4} m wide", size.x, size.y),
        format!(
            "a boat {} to {} m long, narrower than long",
            BOAT_LENGTHS_M.start(),
            BOAT_LENGTHS_M.end()
        ),
        "Check --unit, --forward and --scale-length",
    ))
}

/// Says what was done to triangles, and what is open.
fn told_of_sides(
    removed: &Removed,
    sides: &Sides,
    changed: &mut Vec<String>,
    left: &mut Vec<String>,
) {
    for (count, what) in [
        (removed.positions_joined, "positions a hair apart joined"),
        (removed.slivers, "triangles without area removed"),
        (
            removed.duplicates,
            "triangles that stood there twice removed",
        ),
        (sides.turned, "triangles turned to face outward"),
    ] {
        if count > 0 {
            changed.push(format!("{count} {what}."));
        }
    }
    for (count, what) in [
        (
            sides.shared_edges,
            "edges are shared by more than two triangles: inner skins or parts that touch",
        ),
        (
            sides.disagreeing,
            "edges have triangles that cannot agree which side is out",
        ),
    ] {
        if count > 0 {
            left.push(format!("{count} {what}."));
        }
    }
    if !sides.holes.is_empty() {
        let edges = sides.rim.len();
        left.push(match sides.holes.len() {
            1 => format!("One hole with {edges} open edges was left as it is."),
            count => format!("{count} holes with {edges} open edges were left as they are."),
        });
    }
}

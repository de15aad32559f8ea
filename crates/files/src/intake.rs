//! Sense made of a mesh file: unit, axes, bow, middle plane, sides, shells and holes; each proposed
//! with its evidence, and open where the evidence does not decide.
//!
//! [`examine`] looks; [`import`] puts the mesh into the hull frame with what was proposed and what a
//! person answered, or says which questions are left. Nothing ambiguous is decided in silence.

use keelstead::hull::{PartKind, PartUse};
use keelstead::math::{Pose, Vec3};

use crate::error::{FileError, Spot};
use crate::hull_file::{Axis, HullFile, LengthUnit};
use crate::mesh_file::MeshFile;
use look::{Looked, look};
use soup::Soup;

mod answers;
mod arrive;
mod close;
mod cut;
mod found;
mod kinds;
mod look;
mod made;
mod measure;
mod orient;
mod parts;
mod propose;
mod right;
mod skins;
mod slits;
mod soup;
mod stand;
mod symmetry;
mod trim;
mod unit;
mod write;

#[cfg(test)]
mod tests;

pub use answers::{Answers, PartAnswer, Skin};
pub use arrive::{Arrived, examine_file, import_file};
pub use found::{Cap, Examined, FoundPart, HullFromFile, SkinPair, Slit};
pub use made::ImportedPart;
pub use orient::{Hole, Shell, Sides as SidesFound};
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
    /// The description of it as [`glb`] writes it, all but the name of its mesh file.
    pub described: HullFile,
    /// Openings that were closed for volume.
    pub caps: Vec<Cap>,
    /// From the file's coordinates to those of the parts.
    pub hull_from_file: HullFromFile,
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
/// [`FileError::Fault`] if nothing is left of the mesh, or an answer contradicts it or another.
pub fn examine(file: &MeshFile, name: &str, answers: &Answers) -> Result<Examined, FileError> {
    Ok(look(file.clone(), name, answers)?.examined)
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
    let mut looked = look(file, name, answers)?;
    let unit = settled(&looked.examined, name, answers)?;
    let scale = scaled(&mut looked, unit, answers);
    check_length(&looked.soup, name)?;
    told_of_sides(&mut looked);
    told_of_parts(&mut looked);
    let caps = told_of_caps(&mut looked, scale);
    looked
        .left
        .push("Weight and centre of gravity are not known.".into());
    let kinds: Vec<(PartKind, PartUse)> = looked
        .groups
        .iter()
        .map(|group| {
            (
                group.kind.taken().unwrap_or(PartKind::Other),
                group.part_use.value.unwrap_or_default(),
            )
        })
        .collect();
    let parts = made::split(&looked.soup, &kinds);
    let mut described = made::described(boat, &parts, name, &looked.examined);
    described.shape_tolerance_m = described.shape_tolerance_m.max(fitted * scale);
    let pose = looked.hull_from_file;
    Ok(Imported {
        parts,
        described,
        caps,
        hull_from_file: HullFromFile {
            scale,
            pose: Pose::from_parts(pose.translation * scale, pose.rotation),
        },
        examined: looked.examined,
        changed: looked.changed,
        left: looked.left,
    })
}

/// Brings the soup to metres; gives how long the file's unit is then, m.
fn scaled(looked: &mut Looked, unit: LengthUnit, answers: &Answers) -> f64 {
    let scale = match answers.length_m {
        Some(length_m) => {
            let [low, high] = looked.soup.bounds();
            let scale = length_m / (high.x - low.x);
            let says = format!("Scaled by {scale:.6} to {length_m} m over all.");
            looked.changed.push(says);
            scale
        }
        None if unit == LengthUnit::Metre => 1.0,
        None => {
            let says = format!("Taken from {} to metres.", unit.word());
            looked.changed.push(says);
            unit.metres()
        }
    };
    looked.soup.positions.iter_mut().for_each(|p| *p *= scale);
    scale
}

/// The unit, or the questions left.
fn settled(examined: &Examined, name: &str, answers: &Answers) -> Result<LengthUnit, FileError> {
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
    match examined.unit.value {
        Some(unit) if questions.is_empty() => Ok(unit),
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
fn told_of_sides(looked: &mut Looked) {
    let Looked {
        examined,
        sides,
        changed,
        left,
        ..
    } = looked;
    let removed = &examined.removed;
    for (count, what) in [
        (removed.positions_joined, "positions a hair apart joined"),
        (removed.slivers, "triangles without area removed"),
        (
            removed.duplicates,
            "triangles that stood there twice removed",
        ),
        (examined.sides.turned, "triangles turned to face outward"),
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
    let capped: usize = looked.caps.iter().map(|(_, rim, _)| rim.edges()).sum();
    let holes = sides.holes.len().saturating_sub(looked.caps.len());
    let edges = sides.rim.len().saturating_sub(capped);
    match holes {
        0 => {}
        1 => left.push(format!(
            "One hole with {edges} open edges was left as it is."
        )),
        count => left.push(format!(
            "{count} holes with {edges} open edges were left as they are."
        )),
    }
    if let Some(thickness) = skins::wall(&looked.soup, sides) {
        left.push(format!(
            "Her skin is closed and about {:.0} mm thick: outside and inside are one surface, and its volume is that of \
             the skin alone.",
            1000.0 * thickness
        ));
    }
}

/// Says which parts are still to be named, and which are not wholly checked.
fn told_of_parts(looked: &mut Looked) {
    for group in &looked.groups {
        let name = &group.name;
        if group.kind.value.is_none() {
            let because = &group.kind.because;
            looked
                .left
                .push(format!("\"{name}\" is to be named: {because}."));
        }
        match group.part_use.value {
            Some(PartUse::HeightOnly) => looked.changed.push(format!(
                "\"{name}\" is kept for height: no gap from it to the rig will be measured."
            )),
            Some(PartUse::LeftOut) => looked
                .changed
                .push(format!("\"{name}\" is left out of every check.")),
            _ => {}
        }
    }
}

/// Says which openings were closed.
fn told_of_caps(looked: &mut Looked, scale: f64) -> Vec<Cap> {
    let mut caps = Vec::new();
    for (number, rim, area) in &looked.caps {
        let cap = Cap {
            part: looked.soup.names[*number].clone(),
            area_m2: area * scale * scale,
            centre_m: (rim.centre() * scale).to_array(),
            edges: rim.edges(),
        };
        let Vec3 { x, y, z } = rim.centre() * scale;
        looked.changed.push(format!(
            "An opening of {:.2} m² about ({x:.2}, {y:.2}, {z:.2}) m was closed by \"{}\", for volume alone.",
            cap.area_m2, cap.part
        ));
        caps.push(cap);
    }
    caps
}

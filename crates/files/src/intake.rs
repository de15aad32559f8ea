//! Sense made of a mesh file: unit, axes, bow, middle plane, sides, shells and holes; each proposed
//! with its evidence, and open where the evidence does not decide.
//!
//! [`examine`] looks; [`import`] puts the mesh into the hull frame with what was proposed and what a
//! person answered, or says which questions are left. Nothing ambiguous is decided in silence:
//! [`import_to_look_at`], which goes on by the likeliest answers, hands the questions over with the hull.

use keelstead_boat::hull::{PartKind, PartUse, Taped};
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_units::quantity::{Quantity, Sentence};

use crate::error::{FileError, Spot};
use crate::hull_file::{Axis, HullFile, LengthUnit};
use crate::mesh_file::MeshFile;
use look::{Looked, look};

mod answers;
mod arrive;
mod ask;
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
mod told;
mod trim;
mod unit;
mod write;

#[cfg(test)]
mod tests;

pub use answers::{Answers, PartAnswer, Skin};
pub use arrive::{Arrived, arrive};
pub use ask::{Ask, Asked, Choice, Question};
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
    /// What only a person can say; the hull stands by the likeliest answers until then, to be looked at. Empty if it
    /// comes from [`import`].
    pub open: Vec<Asked>,
    /// What was changed, a sentence each.
    pub changed: Vec<Sentence>,
    /// What could not be put right or told, a sentence each.
    pub left: Vec<Sentence>,
}

impl Imported {
    /// Its parts as they are written to a mesh file.
    pub fn written(&self) -> Vec<Written<'_>> {
        self.parts
            .iter()
            .map(|part| Written {
                name: &part.name,
                positions: &part.positions,
                triangles: &part.triangles,
            })
            .collect()
    }
}

/// What a mesh file most likely is, given what is already answered.
///
/// # Errors
/// [`FileError::Fault`] if nothing is left of the mesh, [`FileError::Ask`] if an answer contradicts it or another.
pub fn examine(file: &MeshFile, name: &str, answers: &Answers) -> Result<Examined, FileError> {
    Ok(look(file.clone(), name, answers)?.examined)
}

/// The hull that a mesh file is, by the answers and else by what is proposed; `name` names the file
/// in messages, `boat` is what the boat is called. Where the parts of a file overlap they stay so.
///
/// # Errors
/// [`FileError::Ask`] with the questions that only a person can answer, or if answers contradict the mesh;
/// [`FileError::Fault`] if nothing is left of it.
pub fn import(
    file: MeshFile,
    name: &str,
    boat: &str,
    answers: &Answers,
) -> Result<Imported, FileError> {
    let around = Around::of(&file);
    let looked = look(file, name, answers)?;
    if looked.open.is_empty() {
        return hull(looked, name, boat, answers, around);
    }
    Err(FileError::Ask(Box::new(Ask {
        file: name.into(),
        found: "the mesh does not tell everything".into(),
        expected: Sentence::default(),
        open: looked.open,
        check: Vec::new(),
    })))
}

/// As [`import`], but where a question is open the hull stands by the likeliest answer, to be looked at and asked
/// about: it is no hull to be kept before [`Imported::open`] is empty.
///
/// # Errors
/// As [`import`], but for questions.
pub fn import_to_look_at(
    file: MeshFile,
    name: &str,
    boat: &str,
    answers: &Answers,
) -> Result<Imported, FileError> {
    let around = Around::of(&file);
    hull(look(file, name, answers)?, name, boat, answers, around)
}

/// What a mesh file says besides its surface.
#[derive(Clone, Copy)]
struct Around {
    /// How far the surface may be from what the file describes, in its unit.
    fitted: f64,
    /// To what steps its coordinates are written, in its unit; nought where they are fine enough.
    step: f64,
    taped: Option<Taped>,
}

impl Around {
    fn of(file: &MeshFile) -> Self {
        Self {
            fitted: file.tolerance,
            step: step(file),
            taped: file.taped,
        }
    }
}

/// The step between numbers of single precision as large as the largest coordinate, if all of the file's are such numbers.
fn step(file: &MeshFile) -> f64 {
    let coordinates = || {
        file.parts
            .iter()
            .flat_map(|part| part.positions.as_flattened())
    };
    if coordinates().any(|&c| f64::from(c as f32) != c) {
        return 0.0;
    }
    let largest = coordinates().fold(0.0_f64, |most, c| most.max(c.abs())) as f32;
    f64::from(largest.next_up()) - f64::from(largest)
}

/// The hull that a mesh looked at is.
fn hull(
    mut looked: Looked,
    name: &str,
    boat: &str,
    answers: &Answers,
    Around {
        fitted,
        step,
        taped,
    }: Around,
) -> Result<Imported, FileError> {
    let half = &looked.examined.half;
    if answers.mirror == Some(true) && half.value != Some(true) {
        return Err(refused(
            name,
            Sentence::new("to be mirrored, but").and(&half.because),
            "half a hull, cut along its middle plane".into(),
            &[Question::Half, Question::Up, Question::Forward],
        ));
    }
    let scale = scaled(&mut looked);
    let moved = brought_near(&mut looked);
    let step_m = step * scale;
    if step_m > COARSE_M {
        let says = Sentence::new("Her coordinates are so large that the file has them to steps of")
            .figure(Quantity::thickness(step_m))
            .words("only; the shape tolerance is no less. Export her again near the origin, or in double precision.");
        looked.left.push(says);
    }
    check_length(&looked, name)?;
    told::of_sides(&mut looked);
    told::of_parts(&mut looked);
    let caps = told::of_caps(&mut looked, scale, moved);
    looked
        .left
        .push("Weight and centre of gravity are not known.".into());
    if taped.is_some() {
        looked.left.push(
            "She was measured with a tape: what stands above her sheer and what else hangs under her is not drawn, and \
             every check says so."
                .into(),
        );
    }
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
    described.shape_tolerance_m = described.shape_tolerance_m.max(fitted * scale).max(step_m);
    // The mesh that is written holds no measures any more.
    described.taped = taped.map(|taped| taped.scaled(scale));
    let pose = looked.hull_from_file;
    Ok(Imported {
        parts,
        described,
        caps,
        hull_from_file: HullFromFile {
            scale,
            pose: Pose::from_parts(pose.translation * scale - moved, pose.rotation),
        },
        examined: looked.examined,
        open: looked.open,
        changed: looked.changed,
        left: looked.left,
    })
}

/// Coordinates are kept to within this near the origin in the single precision of a GLB: 100 m to 8 micrometres.
const NEAR_M: f64 = 100.0;
/// Steps between a file's coordinates that are worth a word, m.
const COARSE_M: f64 = 0.001;

/// Moves a soup that lies far away, as in a survey's grid, to where its aft end and its lowest point are nought, since the
/// mesh that is written would lose its shape there; gives by how much, m.
fn brought_near(looked: &mut Looked) -> Vec3 {
    let [low, high] = looked.soup.bounds();
    let far = [low, high]
        .iter()
        .any(|p| p.x.abs().max(p.z.abs()) > NEAR_M);
    if !(far && low.is_finite() && high.is_finite()) {
        return Vec3::ZERO;
    }
    let by = Vec3::new(low.x, 0.0, low.z);
    looked.soup.positions.iter_mut().for_each(|p| *p -= by);
    looked.changed.push(
        Sentence::new("Moved by")
            .length(-by.x)
            .words("along and")
            .length(-by.z)
            .words(
                "up to her own place: so far from the origin her shape would be lost in writing.",
            ),
    );
    by
}

/// Brings the soup to metres; gives how long the file's unit is then, m.
fn scaled(looked: &mut Looked) -> f64 {
    // A file without a unit is asked about, or scaled to a length.
    let unit = looked.drawn.unit.or(looked.examined.unit.value);
    let unit = unit.unwrap_or(LengthUnit::Metre);
    let scale = match looked.drawn.length_m {
        Some(length_m) => {
            let scale = length_m / looked.over_all();
            let says = Sentence::new(format!("Scaled by {scale:.6} to"))
                .length(length_m)
                .words("over all, mast and gear left out.");
            looked.changed.push(says);
            scale
        }
        None if unit == LengthUnit::Metre => 1.0,
        None => {
            let says = format!("Taken from {} to metres.", unit.word());
            looked.changed.push(says.into());
            unit.metres()
        }
    };
    looked.soup.positions.iter_mut().for_each(|p| *p *= scale);
    scale
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

/// A mesh that answers contradict: `check` are those to look at again.
fn refused(name: &str, found: Sentence, expected: Sentence, check: &[Question]) -> FileError {
    FileError::Ask(Box::new(Ask {
        file: name.into(),
        found,
        expected,
        open: Vec::new(),
        check: check.to_vec(),
    }))
}

/// Parts of her length that a boat, or a half of one, is wide and high: no less, and no more. Common practice, no source.
const NARROWEST: f64 = 0.01;
const LOWEST: f64 = 0.003;
const HIGHEST: f64 = 3.0;

fn check_length(looked: &Looked, name: &str) -> Result<(), FileError> {
    let soup = &looked.soup;
    let finite = soup.positions.iter().all(|p| p.is_finite());
    if soup.triangles.is_empty() || !finite {
        return Err(FileError::fault(
            name,
            Spot::Whole,
            "nothing of the mesh is left, or a coordinate is not finite",
            "a hull's surface, off its middle plane",
            "Check whether it is half a hull and which way its axes point, or export the hull again",
        ));
    }
    let [low, high] = soup.bounds();
    let size = high - low;
    let is_boat = BOAT_LENGTHS_M.contains(&size.x)
        && (NARROWEST * size.x..size.x).contains(&size.y)
        && (LOWEST * size.x..HIGHEST * size.x).contains(&size.z);
    // As it is drawn a boat may lie across; what she is shows once the questions are answered.
    if !looked.open.is_empty() || is_boat {
        return Ok(());
    }
    Err(refused(
        name,
        Sentence::figure_first(Quantity::length(size.x))
            .words("long,")
            .length(size.y)
            .words("wide and")
            .length(size.z)
            .words("high"),
        Sentence::new("a boat")
            .length(*BOAT_LENGTHS_M.start())
            .words("to")
            .length(*BOAT_LENGTHS_M.end())
            .words("long, narrower than long but not flat, and no higher than three times her length with her mast"),
        &[Question::Unit, Question::Up, Question::Forward, Question::Length],
    ))
}

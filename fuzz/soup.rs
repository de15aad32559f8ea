//! Triangles and answers of whatever kind, past every reader, so that the fuzzer need not learn a format to reach what
//! makes sense of a mesh.

use arbitrary::{Result, Unstructured};
use keelstead_boat::hull::{PartKind, PartUse};
use keelstead_files::hull_file::{Axis, LengthUnit};
use keelstead_files::intake::{Answers, Imported, PartAnswer, Skin, import, import_to_look_at};
use keelstead_files::mesh_file::{Format, MeshFile, MeshPart};
use keelstead_units::quantity::Sentence;
use keelstead_units::{Units, sentence};

const NAME: &str = "a.mesh";
/// Bytes that tell the answers; the rest are triangles.
const ANSWERS: usize = 48;
/// Parts that a mesh may have: one that tells nothing, and some that tell a kind.
const PARTS: [&str; 4] = ["a", "hull", "keel", "mast"];
/// Lengths of the mesh's unit.
const SCALES: [f64; 8] = [1.0, 0.001, 1000.0, 25.4, 1e-9, 1e-30, 1e30, 1e150];
const AXES: [Axis; 6] = [
    Axis::PlusZ,
    Axis::PlusX,
    Axis::MinusX,
    Axis::PlusY,
    Axis::MinusY,
    Axis::MinusZ,
];
/// Lengths that a person may type, m.
const LENGTHS: [f64; 8] = [0.05, 1.0, 10.0, 0.001, 1e-12, 1e-40, 1e12, 1e40];
const ANGLES: [f64; 6] = [0.0, 0.1, -0.2, 1.5, 1e-9, 4.0];

/// What the intake owes: a hull of finite places whose report can be read, or a message.
pub fn soup(bytes: &[u8]) {
    let (told, triangles) = bytes.split_at(bytes.len().min(ANSWERS));
    let Some(file) = file(told, triangles) else {
        return;
    };
    let Ok(answers) = answers(&mut Unstructured::new(told)) else {
        return;
    };
    if let Ok(hull) = import(file.clone(), NAME, "Boat", &answers) {
        assert!(hull.open.is_empty());
        sound(&hull);
    }
    if let Ok(hull) = import_to_look_at(file, NAME, "Boat", &answers) {
        sound(&hull);
    }
}

/// What is promised of every imported hull.
pub fn sound(hull: &Imported) {
    assert!(!hull.parts.is_empty());
    for part in &hull.parts {
        assert!(!part.triangles.is_empty(), "{}", part.name);
        let places = part.positions.as_flattened();
        assert!(places.iter().all(|c| c.is_finite()), "{}", part.name);
        let corners = part.triangles.as_flattened();
        assert!(corners.iter().all(|&i| (i as usize) < part.positions.len()));
    }
    assert!(hull.described.shape_tolerance_m.is_finite());
    for says in hull.changed.iter().chain(&hull.left) {
        readable(says);
    }
}

fn readable(says: &Sentence) {
    for units in [Units::Metric, Units::Imperial] {
        let says = sentence(says, units);
        assert!(!says.contains("NaN") && !says.contains("inf "), "{says}");
    }
}

/// Four bytes a triangle: its part, and three places.
fn file(told: &[u8], triangles: &[u8]) -> Option<MeshFile> {
    // From the other end than the answers, so that either can change without the other.
    let scale = SCALES[usize::from(*told.last()?) % SCALES.len()];
    let mut parts = PARTS.map(|name| MeshPart {
        name: name.to_owned(),
        positions: Vec::new(),
        triangles: Vec::new(),
    });
    for &[part, a, b, c] in triangles.as_chunks().0 {
        let part = &mut parts[usize::from(part) % PARTS.len()];
        let corners = [a, b, c].map(|byte| {
            let at = place(byte).map(|c| c * scale);
            let known = part.positions.iter().position(|&p| p == at);
            known.unwrap_or_else(|| {
                part.positions.push(at);
                part.positions.len() - 1
            }) as u32
        });
        part.triangles.push(corners);
    }
    let mut parts = Vec::from(parts);
    parts.retain(|part| !part.triangles.is_empty());
    (!parts.is_empty()).then_some(MeshFile {
        format: Format::StlBinary,
        parts,
        unit: None,
        axes: None,
        axes_stated: false,
        guessed: Vec::new(),
        tolerance: 0.0,
        taped: None,
        notices: Vec::new(),
    })
}

/// Places of a lattice as long and wide as a boat, a few of them once more a little way off.
fn place(byte: u8) -> [f64; 3] {
    let (at, off) = match byte.checked_sub(7 * 5 * 6) {
        None => (byte, 0.0),
        Some(near) => (5 * near, 0.002),
    };
    let [x, y, z] = [at % 7, at / 7 % 5, at / 35 % 6].map(f64::from);
    [1.5 * x, 0.6 * (y - 2.0) + off, 0.4 * z]
}

fn answers(given: &mut Unstructured) -> Result<Answers> {
    Ok(Answers {
        unit: one_of(given, &LengthUnit::ALL)?,
        up: one_of(given, &AXES)?,
        forward: one_of(given, &AXES)?,
        mirror: given.arbitrary()?,
        length_m: one_of(given, &LENGTHS)?,
        heel_rad: one_of(given, &ANGLES)?,
        yaw_rad: one_of(given, &ANGLES)?,
        trim_rad: one_of(given, &ANGLES)?,
        level: one_of(
            given,
            &[
                [[0.0; 3], [9.0, 0.0, 0.1]],
                [[0.0; 3], [0.0, 0.0, 1.0]],
                [[1e300; 3], [-1e300; 3]],
            ],
        )?,
        skin: one_of(given, &[Skin::Outer, Skin::Inner, Skin::Both])?,
        join_slits_m: one_of(given, &LENGTHS)?,
        close_deck: given.arbitrary()?,
        close_holes_m: one_of(given, &LENGTHS)?,
        separate: given.arbitrary()?,
        parts: (0..given.int_in_range(0..=2)?)
            .map(|_| part(given))
            .collect::<Result<_>>()?,
    })
}

fn part(given: &mut Unstructured) -> Result<PartAnswer> {
    Ok(PartAnswer {
        name: (*given.choose(&["a", "hull", "keel", "shell 2", "mast"])?).to_owned(),
        rename: one_of(given, &["hull", "shell 2", ""])?.map(str::to_owned),
        kind: one_of(given, &[PartKind::Body, PartKind::Keel, PartKind::Mast])?,
        part_use: one_of(
            given,
            &[PartUse::Checked, PartUse::HeightOnly, PartUse::VolumeOnly],
        )?,
        remove: given.arbitrary()?,
    })
}

fn one_of<T: Copy>(given: &mut Unstructured, all: &[T]) -> Result<Option<T>> {
    let told: bool = given.arbitrary()?;
    told.then(|| given.choose(all).copied()).transpose()
}

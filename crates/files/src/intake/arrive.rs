//! A hull that was imported, as files and as the engine has it.

use keelstead_units::quantity::Sentence;

use super::{Answers, Asked, Examined, glb, import_to_look_at};
use crate::error::{FileError, Spot};
use crate::kept::{KeptFile, Place};
use crate::mesh_file::{Surroundings, read_with};
use crate::names::stem;
use crate::open::{OpenHull, hull_of};
use crate::progress::{Progress, Stretch, step};
use crate::source::Source;

/// An imported hull ready for the engine, with the report on it.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
pub struct Arrived {
    /// The hull as its new files give it: a description and a GLB, both made here and nowhere else
    /// yet.
    pub opened: OpenHull,
    /// What was proposed, found and taken away.
    pub examined: Examined,
    /// What only a person can say; the hull stands by the likeliest answers until then.
    pub open: Vec<Asked>,
    /// What was changed, a sentence each.
    pub changed: Vec<Sentence>,
    /// What could not be put right or told, a sentence each.
    pub left: Vec<Sentence>,
}

/// The hull that the mesh file `name` of a source is, by the answers and else by what is proposed;
/// `boat` is what it is called. Where a question is open it stands by the likeliest answer, to be looked at.
///
/// It is read once, and read back from the files made for it, so that what is shown is what they say.
///
/// # Errors
/// As [`read_with`] and [`import_to_look_at`].
pub fn arrive(
    source: &dyn Source,
    name: &str,
    boat: &str,
    answers: &Answers,
    progress: &dyn Progress,
) -> Result<Arrived, FileError> {
    let read = || {
        let reading = Stretch::new(progress, 0.0, 0.3);
        let around = Surroundings {
            source,
            progress: &reading,
        };
        let mesh = read_with(&source.read(name)?, name, &around)?;
        let notices = mesh.notices.clone();
        step(progress, 0.3, "unit, axes, middle")?;
        let imported = import_to_look_at(mesh, name, boat, answers)?;
        step(progress, 0.7, "hull")?;
        let mut opened = written(&imported, name, &Stretch::new(progress, 0.7, 1.0))?;
        opened.notices.extend(notices);
        Ok(Arrived {
            opened,
            examined: imported.examined,
            open: imported.open,
            changed: imported.changed,
            left: imported.left,
        })
    };
    read().map_err(|error: FileError| error.shown_by(source))
}

/// The hull read from the files made for it.
fn written(
    imported: &super::Imported,
    name: &str,
    progress: &dyn Progress,
) -> Result<OpenHull, FileError> {
    let failed = |why: String| {
        FileError::fault(
            name,
            Spot::Whole,
            why,
            "a hull that can be written",
            "Please report this",
        )
    };
    let stem = stem(name);
    let mut described = imported.described.clone();
    described.mesh = format!("{stem}.hull.glb");
    let mesh = glb(&imported.written()).map_err(|error| failed(error.to_string()))?;
    let text = serde_json::to_vec_pretty(&described).map_err(|error| failed(error.to_string()))?;
    let description = format!("{stem}.hull.json");
    let memory = crate::source::Memory::new([(described.mesh.clone(), mesh)]);
    let mut opened = hull_of(&memory, &described, &description, progress)?;
    for file in &mut opened.files {
        if let Place::Memory(bytes) = &file.place {
            file.place = Place::Made(bytes.clone());
        }
    }
    let file = KeptFile {
        name: description,
        place: Place::Made(text.into()),
    };
    opened.files.insert(0, file);
    Ok(opened)
}

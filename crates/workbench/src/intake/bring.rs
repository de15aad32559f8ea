//! From files and answers to a hull that stands: the part of the work that takes long.

use keelstead_files::hull_file::HullFile;
use keelstead_files::intake::{Asked, Examined, Question, arrive};
use keelstead_files::kept::{KeptFile, Place};
use keelstead_files::kind::Kind;
use keelstead_files::names::boat_of;
use keelstead_files::open::{OpenHull, hull_of, open_hull};
use keelstead_files::shelf::id_of;
use keelstead_files::source::{Memory, Source};
use keelstead_files::{FileError, Progress, document};
use keelstead_units::quantity::Sentence;
use serde::{Deserialize, Serialize};

use super::draft::Draft;
use super::measured::{self, Fit};

/// A hull that stands.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Stood {
    /// The hull, and the files it is written to: its description first, without what was said of
    /// weight and marks.
    pub opened: OpenHull,
    /// The description among them.
    pub described: HullFile,
    /// What the file most likely is; none if it was a description, which says so itself.
    pub examined: Option<Examined>,
    /// What the fitted surface has, if the hull was measured.
    pub fit: Option<Fit>,
    /// The questions still open: the hull stands by the first choice of each, to be looked at.
    pub open: Vec<Asked>,
    /// What was changed, a sentence each.
    pub changed: Vec<Sentence>,
    /// What could not be put right or told, a sentence each.
    pub left: Vec<Sentence>,
}

impl Stood {
    /// Whether a question is open.
    pub fn asks(&self, question: Question) -> bool {
        self.open.iter().any(|asked| asked.question == question)
    }

    /// Whether its size hangs on a question that is open.
    pub fn asks_size(&self) -> bool {
        self.asks(Question::Unit) || self.asks(Question::Length)
    }
}

/// Stands the hull of the file `name` up: a mesh by what was said of it, a description as it says.
///
/// # Errors
/// What is wrong with the file, or with the answers; [`FileError::Cancelled`] if that was wished.
pub fn stand(
    source: &dyn Source,
    name: &str,
    kind: Kind,
    draft: &Draft,
    progress: &dyn Progress,
) -> Result<Stood, FileError> {
    match kind {
        Kind::Hull => return described(source, name, draft, progress),
        Kind::Measures => return measured::stand_document(source, name, progress),
        _ => {}
    }
    let boat = match draft.name.trim() {
        "" => boat_of(name),
        said => said.to_owned(),
    };
    let arrived = arrive(source, name, &boat, &draft.answers, progress)?;
    let made = description(&arrived.opened)?;
    let (opened, described) = with_parts(arrived.opened, made, draft, progress)?;
    Ok(Stood {
        opened,
        described,
        examined: Some(arrived.examined),
        fit: None,
        open: arrived.open,
        changed: arrived.changed,
        left: arrived.left,
    })
}

/// Fits a surface to what was measured, if the hull is no file; as [`stand`].
///
/// # Errors
/// Measures that cannot be right.
pub fn stand_measured(draft: &Draft, progress: &dyn Progress) -> Option<Result<Stood, FileError>> {
    let measured = draft.measured.as_ref()?;
    Some(measured::stand(draft, measured, progress))
}

/// The description that a hull was opened from.
fn description(opened: &OpenHull) -> Result<HullFile, FileError> {
    let missing = || FileError::Missing {
        path: "the hull's description".into(),
        referred_by: None,
    };
    let file = opened.files.first().ok_or_else(missing)?;
    document::read(&file.bytes()?, &file.name)
}

/// The hull with its parts as they were said to be; the same if nothing was said.
fn with_parts(
    opened: OpenHull,
    made: HullFile,
    draft: &Draft,
    progress: &dyn Progress,
) -> Result<(OpenHull, HullFile), FileError> {
    let described = draft.with_parts(made.clone());
    if described == made {
        return Ok((opened, made));
    }
    let others = opened.files.get(1..).unwrap_or_default();
    let bytes: Vec<(String, Vec<u8>)> = others
        .iter()
        .map(|file| Ok((file.name.clone(), file.bytes()?.to_vec())))
        .collect::<Result<_, FileError>>()?;
    let name = opened
        .files
        .first()
        .map_or("hull.json", |file| file.name.as_str());
    let again = hull_of(&Memory::new(bytes), &described, name, progress)?;
    let text = serde_json::to_vec_pretty(&described).map_err(|error| FileError::Unreadable {
        path: name.to_owned(),
        why: error.to_string(),
    })?;
    let mut files = opened.files.clone();
    if let Some(first) = files.first_mut() {
        first.place = Place::Made(text.into());
    }
    let notices = opened.notices;
    Ok((
        OpenHull {
            hull: again.hull,
            files,
            notices,
        },
        described,
    ))
}

/// A hull that comes with its description, which says all of it.
fn described(
    source: &dyn Source,
    name: &str,
    draft: &Draft,
    progress: &dyn Progress,
) -> Result<Stood, FileError> {
    let read: HullFile = document::read(&source.read(name)?, name)?;
    let mut opened = open_hull(source, name, progress)?;
    // What was handed over in memory has to be handed on with the hull.
    for file in &mut opened.files {
        if let Place::Memory(bytes) = &file.place {
            file.place = Place::Made(bytes.clone());
        }
    }
    if let Some(stood) = measured::stand_described(&read, &opened.files, progress)? {
        return Ok(stood);
    }
    let (opened, described) = with_parts(opened, read, draft, progress)?;
    Ok(Stood {
        opened,
        described,
        examined: None,
        fit: None,
        open: Vec::new(),
        changed: Vec::new(),
        left: Vec::new(),
    })
}

/// The files of a hull under names of its own; a page knows no folders.
pub(crate) fn named_after(
    described: &HullFile,
    files: &[KeptFile],
) -> Result<(HullFile, Vec<KeptFile>), String> {
    let stem = id_of(&described.name);
    let mut described = described.clone();
    let mut own = Vec::new();
    let old = files.get(1..).unwrap_or_default();
    // One mesh made here takes the boat's name; a mesh that refers to others keeps what it calls them.
    let alone = old.len() == 1;
    for file in old {
        let mut file = file.clone();
        if alone {
            // All of it: measures end in two words, and their second is the description's too.
            let last = file.name.rsplit('/').next().unwrap_or(&file.name);
            let ending = last.split_once('.').map_or("glb", |(_, ending)| ending);
            file.name = format!("{stem}.{ending}");
            described.mesh.clone_from(&file.name);
        }
        own.push(file);
    }
    // Beside its mesh, wherever that is.
    let old_name = files.first().map_or("", |file| file.name.as_str());
    let folder = match old_name.rsplit_once('/') {
        Some((folder, _)) if !alone => format!("{folder}/"),
        _ => String::new(),
    };
    let text = serde_json::to_vec_pretty(&described).map_err(|error| error.to_string())?;
    own.insert(
        0,
        KeptFile {
            name: format!("{folder}{stem}.json"),
            place: Place::Made(text.into()),
        },
    );
    Ok((described, own))
}

//! A hull from a tape: what was measured, and what the surface fitted to it has.

use keelstead_boat::family::{Estimate, Family, Fitted, MeasureKind, Measures, Open, Reached};
use keelstead_files::document::Document;
use keelstead_files::hull_file::{Axes, HullFile, LengthUnit};
use keelstead_files::intake::PartAnswer;
use keelstead_files::kept::{KeptFile, Place};
use keelstead_files::kind::Kind;
use keelstead_files::measures_file::MeasuresFile;
use keelstead_files::open::hull_of;
use keelstead_files::shelf::id_of;
use keelstead_files::source::{Memory, Source};
use keelstead_files::{FileError, Progress, document};
use serde::{Deserialize, Serialize};

use super::bring::Stood;
use super::draft::Draft;

/// A kind of hull and what was measured of one. Length and beam are nought until they are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Measured {
    /// The kind of hull.
    pub family: Family,
    /// What was measured.
    pub measures: Measures,
    /// Anything worth telling: who measured, and when.
    #[serde(default)]
    pub note: String,
}

/// What a fitted surface has, without the surface.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fit {
    /// What it was fitted to.
    pub measured: Measured,
    /// Each measure given: what was asked, what the surface has.
    pub measures: Vec<Reached>,
    /// What was not measured, as the surface has it.
    pub estimates: Vec<Estimate>,
    /// What the surface displaces, kg.
    pub displacement_kg: f64,
    /// How high the water stands over the lowest point, m.
    pub draft_m: f64,
    /// How far the boat's surface may be from this one anywhere, m.
    pub tolerance_m: f64,
    /// Where it is widest open, and what to measure next.
    pub open: Open,
}

impl Measured {
    /// Nothing measured yet.
    pub fn begun(family: Family) -> Self {
        Self {
            family,
            measures: Measures::default(),
            note: String::new(),
        }
    }

    /// The measure of a kind that is measured once; none if it was not.
    pub fn value(&self, kind: MeasureKind) -> Option<f64> {
        // Length and beam stand there from the start, as nought.
        self.measures
            .value(kind)
            .filter(|value| *value != 0.0 || !is_needed(kind))
    }

    /// Whether there is enough to fit a surface to.
    pub fn can_stand(&self) -> bool {
        self.measures.length_m > 0.0 && self.measures.beam_m > 0.0
    }
}

/// Whether no surface is fitted without a measure of this kind.
pub(crate) fn is_needed(kind: MeasureKind) -> bool {
    matches!(kind, MeasureKind::Length | MeasureKind::Beam)
}

impl From<MeasuresFile> for Measured {
    fn from(file: MeasuresFile) -> Self {
        Self {
            family: file.family,
            measures: file.measures,
            note: file.note,
        }
    }
}

impl Fit {
    fn new(measured: &Measured, fitted: &Fitted) -> Self {
        Self {
            measured: measured.clone(),
            measures: fitted.measures.clone(),
            estimates: fitted.estimates.clone(),
            displacement_kg: fitted.displacement_kg,
            draft_m: fitted.draft_m,
            tolerance_m: fitted.tolerance_m,
            open: fitted.open.clone(),
        }
    }
}

/// Fits a surface to the measures document `name`: it goes on being measured as one that was begun here.
///
/// # Errors
/// As [`stand`], and what is wrong with the document.
pub(super) fn stand_document(
    source: &dyn Source,
    name: &str,
    progress: &dyn Progress,
) -> Result<Stood, FileError> {
    let file: MeasuresFile = document::read(&source.read(name)?, name)?;
    let draft = Draft {
        name: file.name.clone(),
        ..Draft::default()
    };
    fitted(&draft, &file.into(), name, progress)
}

/// Fits the surface of a description whose mesh is a measures document, if that and what can be said here is all that it
/// holds: it can then be measured further. None where it holds more, which fitting it anew would lose.
pub(super) fn stand_described(
    read: &HullFile,
    files: &[KeptFile],
    progress: &dyn Progress,
) -> Result<Option<Stood>, FileError> {
    let Some(mesh) = files.get(1) else {
        return Ok(None);
    };
    let bytes = mesh.bytes()?;
    if Kind::of(&mesh.name, &bytes) != Kind::Measures {
        return Ok(None);
    }
    let file: MeasuresFile = document::read(&bytes, &mesh.name)?;
    let measured = file.into();
    let stood = fitted(&draft_of(read, &measured), &measured, &mesh.name, progress)?;
    let described = draft_of(read, &measured).described(&stood.described);
    let same = HullFile {
        mesh: read.mesh.clone(),
        // At least the fit's, whatever the description says.
        shape_tolerance_m: read.shape_tolerance_m,
        ..described.clone()
    } == *read;
    Ok(same.then_some(Stood { described, ..stood }))
}

/// What the description of a measured hull says, to go on from.
pub(crate) fn draft_of(described: &HullFile, measured: &Measured) -> Draft {
    let mut draft = Draft::of(described);
    let rules = described.parts.iter().map(|rule| PartAnswer {
        name: rule.node.clone(),
        kind: Some(rule.kind),
        part_use: Some(rule.part_use),
        ..PartAnswer::default()
    });
    draft.answers.parts = rules.collect();
    draft.measured = Some(measured.clone());
    draft
}

/// Fits the family's surface to what was measured: a hull whose mesh is the measures themselves, so
/// that more can be measured later.
///
/// # Errors
/// Measures that cannot be right; [`FileError::Cancelled`] if that was wished.
pub(super) fn stand(
    draft: &Draft,
    measured: &Measured,
    progress: &dyn Progress,
) -> Result<Stood, FileError> {
    fitted(draft, measured, "the measures", progress)
}

/// The same; messages call the measures `shown`.
fn fitted(
    draft: &Draft,
    measured: &Measured,
    shown: &str,
    progress: &dyn Progress,
) -> Result<Stood, FileError> {
    let name = match draft.name.trim() {
        "" => "Measured boat",
        said => said,
    };
    let stem = id_of(name);
    let file = MeasuresFile {
        version: MeasuresFile::VERSION,
        name: name.to_owned(),
        family: measured.family,
        measures: measured.measures.clone(),
        note: measured.note.clone(),
    };
    let mesh = format!("{stem}.measures.json");
    let fitted = file.fit(shown)?;
    if progress.cancelled() {
        return Err(FileError::Cancelled);
    }
    let mut described = HullFile::for_mesh(name, &mesh, LengthUnit::Metre, Axes::default());
    described.shape_tolerance_m = fitted.tolerance_m;
    described.note = format!(
        "Measured with a tape; the surface is a {} hull\u{2019}s, fitted to the measures.",
        measured.family.word()
    );
    let described = draft.with_parts(described);
    let written = |path: &str, text: serde_json::Result<Vec<u8>>| {
        text.map_err(|error| FileError::Unreadable {
            path: path.to_owned(),
            why: error.to_string(),
        })
    };
    let own = format!("{stem}.json");
    let text = written(&mesh, serde_json::to_vec_pretty(&file))?;
    let memory = Memory::new([(mesh.clone(), text.clone())]);
    let mut opened = hull_of(&memory, &described, &own, progress)?;
    let made = |name: String, bytes: Vec<u8>| KeptFile {
        name,
        place: Place::Made(bytes.into()),
    };
    let description = written(&own, serde_json::to_vec_pretty(&described))?;
    opened.files = vec![made(own, description), made(mesh, text)];
    Ok(Stood {
        opened,
        described,
        examined: None,
        fit: Some(Fit::new(measured, &fitted)),
        open: Vec::new(),
        changed: Vec::new(),
        left: Vec::new(),
    })
}

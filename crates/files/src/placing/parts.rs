//! What each part of a mesh file is and counts for.

use keelstead_boat::hull::{PartKind, PartUse};

use crate::error::{FileError, Notice, Spot};
use crate::hull_file::{HullFile, guess_kind};
use crate::mesh_file::{Format, MeshFile, MeshPart};

/// What each part is and counts for: by the rules, else by its name.
pub(super) fn kinds(
    described: &HullFile,
    path: &str,
    file: &MeshFile,
    notices: &mut Vec<Notice>,
) -> Result<Vec<(PartKind, PartUse)>, FileError> {
    let parts = &file.parts;
    for rule in &described.parts {
        if !parts.iter().any(|part| rule.fits(&part.name)) {
            let names: Vec<_> = parts.iter().map(|part| part.name.as_str()).collect();
            let says = format!(
                "no part of {} is called \"{}\"; there are: {}",
                described.mesh,
                rule.node,
                names.join(", ")
            );
            notices.push(Notice::new(path, says));
        }
    }
    parts
        .iter()
        .map(|part| {
            if let Some(rule) = described.parts.iter().find(|rule| rule.fits(&part.name)) {
                return Ok((rule.kind, rule.part_use));
            }
            // What parts a family has, its names say.
            let stated = guess_kind(&part.name).filter(|_| file.format == Format::Measures);
            if let Some(kind) = stated {
                let part_use = match file.guessed.contains(&part.name) {
                    true => PartUse::Guessed,
                    false => PartUse::Checked,
                };
                return Ok((kind, part_use));
            }
            if described.strict_parts {
                return Err(FileError::fault(
                    path,
                    Spot::Json {
                        path: "parts".into(),
                        line: 0,
                        column: 0,
                    },
                    format!(
                        "no rule fits the part \"{}\" of {}",
                        part.name, described.mesh
                    ),
                    "a rule for every part, since strict_parts is true",
                    "Add {\"node\": …, \"kind\": …} for it",
                ));
            }
            // A file of one part is the boat itself, whatever it is called.
            let (kind, why) = match guess_kind(&part.name) {
                _ if parts.len() == 1 => (PartKind::Body, "it is the only part"),
                Some(kind) => (kind, "from its name"),
                None => (
                    PartKind::Other,
                    "its name tells nothing, so nothing may bear on it",
                ),
            };
            let says = format!(
                "part \"{}\" is taken as {} ({why}); say what it is under \"parts\"",
                part.name,
                kind_word(kind)
            );
            notices.push(Notice::new(path, says));
            Ok((kind, PartUse::Checked))
        })
        .collect()
}

/// Says which parts are not wholly checked: nothing is left out in silence.
pub(super) fn told_of_use(
    path: &str,
    parts: &[MeshPart],
    kinds: &[(PartKind, PartUse)],
    notices: &mut Vec<Notice>,
) {
    for (part_use, says) in [
        (
            PartUse::LeftOut,
            "left out of every check, as not on the boat",
        ),
        (
            PartUse::Guessed,
            "of unmeasured place, so never clear unless far off",
        ),
        (
            PartUse::HeightOnly,
            "kept for height, width, length and wind, but no gap to the rig is measured",
        ),
    ] {
        let names: Vec<String> = parts
            .iter()
            .zip(kinds)
            .filter(|(_, (_, used))| *used == part_use)
            .map(|(part, _)| format!("\"{}\"", part.name))
            .collect();
        if !names.is_empty() {
            notices.push(Notice::new(path, format!("{says}: {}", names.join(", "))));
        }
    }
}

/// The kind's word as it stands in a hull description.
fn kind_word(kind: PartKind) -> String {
    serde_json::to_value(kind)
        .ok()
        .and_then(|word| word.as_str().map(str::to_owned))
        .unwrap_or_default()
}

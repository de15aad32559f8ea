//! Reading a document strictly: every field known, every type right, the version not newer than
//! this program.

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use crate::error::{FileError, Spot};

/// A versioned JSON document.
pub trait Document: Serialize + DeserializeOwned {
    /// The newest version this program reads, and the one it writes.
    const VERSION: u32;
    /// What it is called: "job".
    const KIND: &'static str;
}

/// Only the version: read first, since a newer document may hold anything else.
#[derive(Deserialize)]
struct VersionOnly {
    version: Option<serde_json::Value>,
}

/// Reads the document in `bytes`; `file` is its name in messages.
///
/// # Errors
/// [`FileError::Newer`] or [`FileError::Fault`] with the place of the first problem.
pub fn read<D: Document>(bytes: &[u8], file: &str) -> Result<D, FileError> {
    let text = text_of(bytes, file, D::KIND)?;
    check_version::<D>(text, file)?;
    let mut reader = serde_json::Deserializer::from_str(text);
    let document = serde_path_to_error::deserialize(&mut reader).map_err(|error| {
        let path = error.path().to_string();
        told(error.inner(), &path, file, D::KIND)
    })?;
    reader
        .end()
        .map_err(|error| told(&error, "", file, D::KIND))?;
    Ok(document)
}

fn text_of<'a>(bytes: &'a [u8], file: &str, kind: &str) -> Result<&'a str, FileError> {
    // Some editors put a byte order mark in front.
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let text = std::str::from_utf8(bytes).map_err(|error| {
        FileError::fault(
            file,
            Spot::Byte(error.valid_up_to()),
            "this is not text",
            format!("a {kind} document: JSON in UTF-8"),
            "Open the right file, or save it as UTF-8",
        )
    })?;
    if text.trim().is_empty() {
        return Err(FileError::fault(
            file,
            Spot::Whole,
            "the file is empty",
            format!("a {kind} document"),
            "Restore it from a copy, or save the job again",
        ));
    }
    Ok(text)
}

fn check_version<D: Document>(text: &str, file: &str) -> Result<(), FileError> {
    let probe: VersionOnly =
        serde_json::from_str(text).map_err(|error| told(&error, "", file, D::KIND))?;
    let wrong = |found: String| {
        FileError::fault(
            file,
            Spot::Json {
                path: "version".into(),
                line: 0,
                column: 0,
            },
            found,
            format!("\"version\": {}", D::VERSION),
            format!("Check that this is a {} document", D::KIND),
        )
    };
    let Some(version) = probe.version else {
        return Err(wrong("the version is missing".into()));
    };
    match version.as_u64() {
        Some(found) if found > u64::from(D::VERSION) => Err(FileError::Newer {
            path: file.to_owned(),
            found,
            known: D::VERSION,
        }),
        Some(found) if found >= 1 => Ok(()),
        _ => Err(wrong(format!("found {version}"))),
    }
}

/// A message of the JSON reader, with what to do about it.
fn told(error: &serde_json::Error, path: &str, file: &str, kind: &str) -> FileError {
    let whole = error.to_string();
    let text = match whole.rfind(" at line ") {
        Some(at) => &whole[..at],
        None => &whole,
    };
    let (found, expected) = match text.split_once(", expected ") {
        Some((found, expected)) => (found, expected),
        None => (text, ""),
    };
    let expected = match expected {
        "f64" | "f32" => "a number",
        "u32" | "u64" | "usize" => "a whole number, not negative",
        other => other,
    };
    let path = if path == "." { "" } else { path };
    let spot = Spot::Json {
        path: path.to_owned(),
        line: error.line(),
        column: error.column(),
    };
    FileError::fault(
        file,
        spot,
        found,
        expected,
        advice(text, found, expected, kind),
    )
}

fn advice(text: &str, found: &str, expected: &str, kind: &str) -> String {
    if let Some(field) = quoted(found)
        .next()
        .filter(|_| found.starts_with("unknown field"))
    {
        return advice_on_field(field, expected);
    }
    if text.starts_with("missing field") {
        return format!("Add it; the schema tells what it means: keelstead schema {kind}");
    }
    if text.starts_with("duplicate field") {
        return "Keep one of the two".into();
    }
    if text.starts_with("unknown variant") {
        return match quoted(found)
            .next()
            .and_then(|name| nearest(name, expected))
        {
            Some(name) => format!("Perhaps \"{name}\" is meant"),
            None => "Write one of the words expected".into(),
        };
    }
    if text.starts_with("invalid") && expected.contains("number") {
        return "Numbers stand without quotation marks and without a unit: the field's name says the unit".into();
    }
    if text.starts_with("EOF") {
        return "The file is cut short: restore it from a copy, or save it again".into();
    }
    format!(
        "Check that this is a {kind} document: the schema (keelstead schema {kind}) tells what one holds"
    )
}

fn advice_on_field(field: &str, expected: &str) -> String {
    let stem = |name: &str| -> Option<(String, String)> {
        let (stem, unit) = name.rsplit_once('_')?;
        unit_word(unit).map(|word| (stem.to_owned(), word.to_owned()))
    };
    if let Some((given_stem, given_unit)) = stem(field) {
        for known in quoted(expected) {
            if let Some((known_stem, known_unit)) = stem(known)
                && known_stem == given_stem
            {
                return format!(
                    "The unit is wrong: write \"{known}\", in {known_unit}, not {given_unit}"
                );
            }
        }
    }
    if let Some(known) = quoted(expected)
        .find(|known| stem(known).is_some_and(|(known_stem, _)| known_stem == field))
    {
        return format!("The unit is missing from the name: write \"{known}\"");
    }
    match nearest(field, expected) {
        Some(known) => format!("Perhaps \"{known}\" is meant"),
        None => "Remove it, or correct its name".into(),
    }
}

/// The unit that a field's name ends in.
fn unit_word(suffix: &str) -> Option<&'static str> {
    Some(match suffix {
        "m" => "metres",
        "mm" => "millimetres",
        "cm" => "centimetres",
        "in" | "inch" | "inches" => "inches",
        "ft" | "feet" | "foot" => "feet",
        "kg" => "kilograms",
        "t" | "tonnes" => "tonnes",
        "lb" | "lbs" => "pounds",
        "g" => "grams",
        "n" => "newtons",
        "kn" => "kilonewtons",
        "lbf" => "pounds-force",
        "rad" => "radians",
        "deg" | "degrees" => "degrees",
        _ => return None,
    })
}

/// The names that stand between back-quotes.
fn quoted(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

/// The expected name that `name` is most likely a slip of.
fn nearest<'a>(name: &str, expected: &'a str) -> Option<&'a str> {
    quoted(expected)
        .map(|known| (strsim::normalized_damerau_levenshtein(name, known), known))
        .filter(|&(alike, _)| alike > 0.7)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, known)| known)
}

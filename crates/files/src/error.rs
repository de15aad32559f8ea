//! What can go wrong with a file, told so that a person can put it right.

use std::fmt;

use keelstead_units::quantity::Sentence;
use serde::{Deserialize, Serialize};

use crate::intake::{Ask, Question};
use crate::source::Source;
use keelstead_units::sentence_both;

/// Something worth saying about a file that was read whole all the same.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Notice {
    /// The file, as its source names it.
    pub file: String,
    /// What was noticed.
    pub says: Sentence,
}

impl Notice {
    /// A notice about `file`.
    pub fn new(file: impl Into<String>, says: impl Into<Sentence>) -> Self {
        Self {
            file: file.into(),
            says: says.into(),
        }
    }

    /// File and notice in one.
    pub fn sentence(&self) -> Sentence {
        Sentence::new(format!("{}:", self.file)).and(&self.says)
    }
}

impl fmt::Display for Notice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&sentence_both(&self.sentence()))
    }
}

/// Where in a file something is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Spot {
    /// The file as a whole.
    Whole,
    /// A line, counted from 1.
    Line(usize),
    /// A byte, counted from 0.
    Byte(usize),
    /// A named thing: a node, a buffer, an element.
    Named(String),
    /// A place in a JSON document.
    Json {
        /// Path of the field, as in `load.beams[1].shim_m`; empty for the document itself.
        path: String,
        /// Line, counted from 1; 0 if unknown.
        line: usize,
        /// Column, counted from 1.
        column: usize,
    },
}

impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Whole => Ok(()),
            Self::Line(line) => write!(f, ", line {line}"),
            Self::Byte(byte) => write!(f, ", byte {byte}"),
            Self::Named(name) => write!(f, ", {name}"),
            Self::Json { path, line, column } => {
                if !path.is_empty() {
                    write!(f, ", at {path}")?;
                }
                if *line > 0 {
                    write!(f, " (line {line}, column {column})")?;
                }
                Ok(())
            }
        }
    }
}

/// What is wrong at a place of a file: what stands there, what ought to, and what to do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fault {
    /// The file, as its source names it.
    pub file: String,
    /// Where in the file.
    pub spot: Spot,
    /// What was found.
    pub found: Sentence,
    /// What was expected; empty if that goes without saying.
    pub expected: Sentence,
    /// What to do about it.
    pub advice: Sentence,
}

impl Fault {
    /// All of it in one.
    fn sentence(&self) -> Sentence {
        let mut says = Sentence::new(format!("{}{}:", self.file, self.spot)).and(&self.found);
        if !self.expected.is_empty() {
            says = says.words("; expected").and(&self.expected);
        }
        if !self.advice.is_empty() {
            says = says.words(".").and(&self.advice);
        }
        says
    }
}

/// Why a file could not be read or written.
///
/// Nothing half read ever comes with it.
#[derive(Debug, Clone, PartialEq, thiserror::Error, Serialize, Deserialize)]
pub enum FileError {
    /// A file is not there.
    #[error("{path}: no such file{}. Check the name, or put the file there", referred(.referred_by))]
    Missing {
        /// The file looked for.
        path: String,
        /// The file that names it.
        referred_by: Option<String>,
    },
    /// A reference leads out of the folder or the dropped files it may lead to.
    #[error(
        "{path}: this leads outside the folder that may be read{}. \
         Write a path relative to the file, with / between folders, and keep the files together",
        referred(.referred_by)
    )]
    Outside {
        /// The reference as written.
        path: String,
        /// The file that holds it.
        referred_by: Option<String>,
    },
    /// A file is there and cannot be read.
    #[error("{path}: cannot be read: {why}")]
    Unreadable {
        /// The file.
        path: String,
        /// What the system says.
        why: String,
    },
    /// A document of a version this program does not know yet.
    #[error(
        "{path}: this file is version {found}; this program reads up to {known}: update the program"
    )]
    Newer {
        /// The file.
        path: String,
        /// Its version.
        found: u64,
        /// The newest version read.
        known: u32,
    },
    /// Figures in a document that cannot be.
    #[error("{}", sentence_both(&contradiction(.path, .problems)))]
    Contradiction {
        /// The file.
        path: String,
        /// Each problem with its place.
        problems: Vec<Sentence>,
    },
    /// A document or mesh file that does not say what it must.
    #[error("{}", sentence_both(&.0.sentence()))]
    Fault(Box<Fault>),
    /// A mesh that only a person can say more of.
    #[error("{}", sentence_both(&.0.says(&|_| None)))]
    Ask(Box<Ask>),
    /// A hull whose size says that its unit or axes are declared wrongly.
    #[error("{}", sentence_both(&unit_wrong(.path, .found, .advice)))]
    UnitLooksWrong {
        /// The hull description.
        path: String,
        /// How large the hull comes out.
        found: Sentence,
        /// Which unit would give a boat.
        advice: Sentence,
    },
    /// A file that could not be written; what stood there before still stands.
    #[error("{path}: not saved: {why}. The file is as it was; {advice}")]
    NotSaved {
        /// The file.
        path: String,
        /// What the system says.
        why: String,
        /// What to do.
        advice: String,
    },
    /// The person asked to stop.
    #[error("stopped")]
    Cancelled,
}

fn referred(by: &Option<String>) -> String {
    by.as_ref()
        .map(|by| format!(" ({by} refers to it)"))
        .unwrap_or_default()
}

fn contradiction(path: &str, problems: &[Sentence]) -> Sentence {
    Sentence::new(format!("{path}:"))
        .and(&Sentence::joined(problems, "\n  "))
        .words("\n  Put that right in the file, then open it again.")
}

fn unit_wrong(path: &str, found: &Sentence, advice: &Sentence) -> Sentence {
    Sentence::new(format!("{path}: the unit looks wrong:"))
        .and(found)
        .words(".")
        .and(advice)
}

impl FileError {
    /// All of it as a sentence whose figures each face writes in its reader's units; `place` tells where a question
    /// about a mesh is answered there, if that is worth telling.
    pub fn says(&self, place: &dyn Fn(Question) -> Option<String>) -> Sentence {
        match self {
            Self::Fault(fault) => fault.sentence(),
            Self::Ask(ask) => ask.says(place),
            Self::Contradiction { path, problems } => contradiction(path, problems),
            Self::UnitLooksWrong {
                path,
                found,
                advice,
            } => unit_wrong(path, found, advice),
            other => other.to_string().into(),
        }
    }

    /// A fault at a place of a file.
    pub(crate) fn fault(
        file: &str,
        spot: Spot,
        found: impl Into<Sentence>,
        expected: impl Into<Sentence>,
        advice: impl Into<Sentence>,
    ) -> Self {
        Self::Fault(Box::new(Fault {
            file: file.into(),
            spot,
            found: found.into(),
            expected: expected.into(),
            advice: advice.into(),
        }))
    }

    /// The same error with its files named as `source` shows them, so that the reader finds them.
    #[must_use]
    pub fn shown_by(mut self, source: &dyn Source) -> Self {
        let rename = |name: &mut String| *name = source.shown(name);
        match &mut self {
            Self::Missing { path, referred_by } => {
                rename(path);
                referred_by.iter_mut().for_each(rename);
            }
            // The reference stays as it is written.
            Self::Outside { referred_by, .. } => referred_by.iter_mut().for_each(rename),
            Self::Unreadable { path, .. }
            | Self::Newer { path, .. }
            | Self::Contradiction { path, .. }
            | Self::UnitLooksWrong { path, .. } => rename(path),
            Self::Fault(fault) => rename(&mut fault.file),
            Self::Ask(ask) => rename(&mut ask.file),
            Self::NotSaved { .. } | Self::Cancelled => {}
        }
        self
    }

    /// The same error, saying which file refers to the missing one.
    #[must_use]
    pub(crate) fn referred_by(mut self, referrer: &str) -> Self {
        if let Self::Missing { referred_by, .. } | Self::Outside { referred_by, .. } = &mut self {
            referred_by.get_or_insert_with(|| referrer.to_owned());
        }
        self
    }
}

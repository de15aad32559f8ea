//! What the session has to say beside the findings: errors and notices.

use std::sync::Arc;

use keelstead_files::kept::KeptFile;
use keelstead_load::rig::Rig;
use keelstead_units::quantity::Sentence;
use serde::Serialize;

use crate::action::Action;

/// How much a message matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// Something asked for could not be done. What is open stays open.
    Error,
    /// Something to know about what is open.
    Notice,
    /// Something was done.
    Done,
}

/// A message, shown until it is put away.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Message {
    /// Its number, for [`crate::Action::Dismiss`].
    pub id: u64,
    /// How much it matters.
    pub level: Level,
    /// What happened, in a few words.
    pub title: String,
    /// File, place, what was found, what was expected, what to do.
    pub text: Sentence,
}

/// A question that lies over everything until it is answered.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// What is to be decided.
    pub asks: String,
    /// What hangs on it.
    pub means: &'static str,
    /// What can be answered and what that does, the safest first.
    pub answers: [(&'static str, Action); 3],
    /// What stays as it is, whatever is answered.
    pub stays: Option<&'static str>,
}

/// A job being read.
#[derive(Debug, Clone, PartialEq)]
pub struct Loading {
    /// What is read, as the person knows it.
    pub name: String,
    /// How far it is, 0 to 1; none if that cannot be told.
    pub fraction: Option<f32>,
    /// What is being done just now.
    pub doing: String,
}

/// A demo job to choose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Demo {
    /// Its path in the demo data.
    pub path: String,
    /// Its name.
    pub name: String,
    /// A sentence on what it shows.
    pub note: String,
}

/// A rig that a job can be started on.
#[derive(Debug, Clone)]
pub struct RigChoice {
    /// Its name.
    pub name: String,
    /// The rig.
    pub rig: Arc<Rig>,
    /// Where it was read from.
    pub files: Vec<KeptFile>,
}

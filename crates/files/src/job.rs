//! The job: which hull on which rig, and how.

use keelstead_load::load::Load;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::document::Document;

/// A job document.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// Version of the format: 1.
    pub version: u32,
    /// The job's name, as the yard calls it.
    pub name: String,
    /// The hull description, relative to this file, `/` between folders.
    pub hull: String,
    /// The rig, relative to this file, `/` between folders.
    pub rig: String,
    /// How the hull is arranged on the rig.
    pub load: Load,
    /// Anything worth telling.
    #[serde(default)]
    pub note: String,
}

impl Document for Job {
    const VERSION: u32 = 1;
    const KIND: &'static str = "job";
}

//! The rig: a trailer, its tractor and its stock.

use keelstead_load::rig::Rig;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::document::Document;

/// A rig document.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RigFile {
    /// Version of the format: 1.
    pub version: u32,
    /// The trailer with its tractor and its stock.
    pub rig: Rig,
    /// Anything worth telling: who measured it, and when.
    #[serde(default)]
    pub note: String,
}

impl Document for RigFile {
    const VERSION: u32 = 1;
    const KIND: &'static str = "rig";
}

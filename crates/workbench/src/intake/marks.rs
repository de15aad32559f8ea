//! What a press on the hull being brought in puts there.

use keelstead_boat::hull::KeepOffKind;
use serde::{Deserialize, Serialize};

use crate::marks::MarkKind;

/// A mark to be put where the hull is pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct MarkTool {
    /// What it says.
    pub what: MarkKind,
    /// Whether there is the same on the other side.
    #[serde(default)]
    pub both_sides: bool,
}

impl Default for MarkTool {
    fn default() -> Self {
        Self {
            what: MarkKind::KeepOff(KeepOffKind::ThroughHull),
            both_sides: false,
        }
    }
}

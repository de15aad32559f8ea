//! The first check of what a task read, carried out with it: on a large hull it takes longer than a frame.

use keelstead::check::check;
use keelstead::findings::Findings;
use keelstead_boat::hull::Hull;
use keelstead_load::load::Load;
use keelstead_load::rig::Rig;
use serde::{Deserialize, Serialize};

/// What a hull is to stand on: rig and arrangement of the open job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Onto {
    /// The trailer.
    pub rig: Rig,
    /// How the hull is arranged on it.
    pub load: Load,
}

/// What was found of a hull there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Checked {
    onto: Onto,
    findings: Findings,
}

impl Checked {
    /// Checks a hull.
    pub(super) fn new(hull: &Hull, onto: Onto) -> Self {
        let findings = check(hull, &onto.rig, &onto.load);
        Self { onto, findings }
    }

    /// The findings, if the hull still stands on this rig in this arrangement.
    pub(crate) fn findings_on(self, rig: &Rig, load: &Load) -> Option<Findings> {
        let same = self.onto.rig == *rig && self.onto.load == *load;
        same.then_some(self.findings)
    }
}

//! What a person has said of a hull so far.

use keelstead::hull::{CentreOfGravity, KeepOff, Mass, PartKind};
use keelstead_files::hull_file::{HullFile, PartRule};
use keelstead_files::intake::Answers;
use serde::{Deserialize, Serialize};

/// What was said of a hull: the unit of undo.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Draft {
    /// The boat's name.
    pub name: String,
    /// How the file is to be read.
    pub answers: Answers,
    /// What parts are, where it was said, by name.
    pub kinds: Vec<(String, PartKind)>,
    /// What she weighs.
    pub mass: Option<Mass>,
    /// Where the weight acts, hull frame.
    pub centre: Option<CentreOfGravity>,
    /// Where nothing may press, hull frame.
    pub keep_offs: Vec<KeepOff>,
    /// Stations of bulkheads and frames, m.
    pub strong_stations_m: Vec<f64>,
}

impl Draft {
    /// Whether a hull that stands by `other` stands by this too, shape and parts alike.
    pub fn stands_as(&self, other: &Self) -> bool {
        self.answers == other.answers && self.kinds == other.kinds
    }

    /// Whether anything was entered that lies somewhere on the hull.
    pub fn has_places(&self) -> bool {
        self.centre.is_some() || !self.keep_offs.is_empty() || !self.strong_stations_m.is_empty()
    }

    /// Says what a part is.
    pub fn set_kind(&mut self, part: &str, kind: PartKind) {
        match self.kinds.iter_mut().find(|(name, _)| name == part) {
            Some((_, old)) => *old = kind,
            None => self.kinds.push((part.to_owned(), kind)),
        }
    }

    /// A description as it was made, with what was said of parts.
    pub(super) fn with_kinds(&self, mut described: HullFile) -> HullFile {
        for (name, kind) in &self.kinds {
            let rule = described.parts.iter_mut().find(|rule| rule.node == *name);
            match rule {
                Some(rule) => rule.kind = *kind,
                // The first rule that fits counts, so what was said stands before what was there.
                None => described.parts.insert(
                    0,
                    PartRule {
                        node: name.clone(),
                        kind: *kind,
                    },
                ),
            }
        }
        described
    }

    /// A description with all that was said.
    pub fn described(&self, made: &HullFile) -> HullFile {
        let mut described = made.clone();
        if !self.name.trim().is_empty() {
            self.name.trim().clone_into(&mut described.name);
        }
        described.mass = self.mass;
        described.centre = self.centre;
        described.keep_offs.clone_from(&self.keep_offs);
        described
            .strong_stations_m
            .clone_from(&self.strong_stations_m);
        described
    }

    /// What a description says, to go on from.
    pub fn of(described: &HullFile) -> Self {
        Self {
            name: described.name.clone(),
            mass: described.mass,
            centre: described.centre,
            keep_offs: described.keep_offs.clone(),
            strong_stations_m: described.strong_stations_m.clone(),
            ..Self::default()
        }
    }
}

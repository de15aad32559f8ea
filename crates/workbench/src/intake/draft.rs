//! What a person has said of a hull so far.

use keelstead_boat::hull::{CentreOfGravity, Marks, Mass, PartKind};
use keelstead_boat::weigh::WeightSources;
use keelstead_files::hull_file::{HullFile, PartRule, guess_kind};
use keelstead_files::intake::{Answers, PartAnswer};
use serde::{Deserialize, Serialize};

use super::begun::Begun;
use super::measured::Measured;

/// What was said of a hull: the unit of undo.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Draft {
    /// The boat's name.
    pub name: String,
    /// How the file is to be read, and what its parts are.
    pub answers: Answers,
    /// What was measured of it, if it is no file.
    pub measured: Option<Measured>,
    /// How far the surface may be from the boat's, m, if somebody says.
    pub shape_tolerance_m: Option<f64>,
    /// What she weighs.
    pub mass: Option<Mass>,
    /// Where the weight acts, hull frame.
    pub centre: Option<CentreOfGravity>,
    /// What else tells weight and centre.
    pub weighing: WeightSources,
    /// What was chosen to tell weight and centre, and does not say enough yet.
    pub begun: Begun,
    /// Where nothing may press, where pads and where slings belong.
    pub marks: Marks,
}

impl Draft {
    /// Whether a hull that stands by `other` stands by this too, shape and parts alike.
    pub fn stands_as(&self, other: &Self) -> bool {
        self.answers == other.answers && self.measured == other.measured
    }

    /// Whether anything was entered that lies somewhere on the hull.
    pub fn has_places(&self) -> bool {
        self.centre.is_some()
            || self.weighing.waterline.is_some()
            || self.weighing.supports.is_some()
            || self.has_begun_places()
            || self.marks != Marks::default()
    }

    /// What is said of the part that is now called `part`.
    pub fn part(&self, part: &str) -> Option<&PartAnswer> {
        let parts = self.answers.parts.iter();
        parts
            .clone()
            .find(|answer| answer.rename.as_deref() == Some(part))
            .or_else(|| parts.clone().find(|answer| answer.name == part))
    }

    /// The same, to change; a new answer if nothing was said yet.
    pub(super) fn part_mut(&mut self, part: &str) -> &mut PartAnswer {
        let parts = &mut self.answers.parts;
        let renamed = parts
            .iter()
            .position(|answer| answer.rename.as_deref() == Some(part));
        let at = renamed.or_else(|| parts.iter().position(|answer| answer.name == part));
        let at = at.unwrap_or_else(|| {
            parts.push(PartAnswer {
                name: part.to_owned(),
                ..PartAnswer::default()
            });
            parts.len() - 1
        });
        &mut parts[at]
    }

    /// A description as it was made, with what was said of its parts; what nobody said stays.
    pub(super) fn with_parts(&self, mut described: HullFile) -> HullFile {
        for answer in &self.answers.parts {
            if answer.kind.is_none() && answer.part_use.is_none() {
                continue;
            }
            let name = answer.rename.as_ref().unwrap_or(&answer.name);
            let fits = described.parts.iter().position(|rule| rule.fits(name));
            let old = fits.map(|at| &described.parts[at]);
            let guessed = guess_kind(name).unwrap_or(PartKind::Other);
            let rule = PartRule {
                node: name.clone(),
                kind: answer.kind.or(old.map(|rule| rule.kind)).unwrap_or(guessed),
                part_use: answer
                    .part_use
                    .or(old.map(|rule| rule.part_use))
                    .unwrap_or_default(),
            };
            match fits.filter(|at| described.parts[*at].node == *name) {
                Some(at) => described.parts[at] = rule,
                // The first rule that fits counts, so what was said stands before what was there.
                None => described.parts.insert(0, rule),
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
        if let Some(tolerance_m) = self.shape_tolerance_m {
            described.shape_tolerance_m = tolerance_m;
        }
        described.mass = self.mass;
        described.centre = self.centre;
        described.weighing = (!self.weighing.is_empty()).then(|| self.weighing.clone());
        described.marked(&self.marks)
    }

    /// What a description says, to go on from.
    pub fn of(described: &HullFile) -> Self {
        Self {
            name: described.name.clone(),
            mass: described.mass,
            centre: described.centre,
            weighing: described.weighing.clone().unwrap_or_default(),
            marks: described.marks(),
            ..Self::default()
        }
    }
}

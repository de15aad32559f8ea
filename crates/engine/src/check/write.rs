//! Findings written down: a builder that keeps each of them to a few lines.

use crate::findings::{Finding, Place, Topic};
use keelstead_units::quantity::{Basis, Quantity, Sentence};
use keelstead_units::verdict::Verdict;

impl Finding {
    /// A finding with neither figures nor place.
    pub(super) fn new(
        id: impl Into<String>,
        topic: Topic,
        verdict: Verdict,
        title: impl Into<String>,
        says: Sentence,
    ) -> Self {
        Self {
            id: id.into(),
            topic,
            verdict,
            title: title.into(),
            says,
            advice: None,
            found: None,
            required: None,
            tolerance: None,
            rests_on: vec![Basis::Computed],
            place: None,
        }
    }

    #[must_use]
    pub(super) fn advising(mut self, advice: Sentence) -> Self {
        self.advice = Some(advice);
        self
    }

    #[must_use]
    pub(super) fn found(mut self, found: Quantity) -> Self {
        self.found = Some(found);
        self
    }

    #[must_use]
    pub(super) fn against(mut self, required: Quantity, tolerance: Quantity) -> Self {
        self.required = Some(required);
        self.tolerance = Some(tolerance);
        self
    }

    #[must_use]
    pub(super) fn resting_on(mut self, basis: &[Basis]) -> Self {
        self.rests_on = basis.to_vec();
        self
    }

    #[must_use]
    pub(super) fn at(mut self, place: Place) -> Self {
        self.place = Some(place);
        self
    }
}

//! Figures as people read and type them, metric or feet and inches.
//!
//! Inside all is SI; here, at the edge, a figure becomes text and text a figure.
//!
//! **Rounding.** A figure is rounded to the nearest step of its unit (1 mm, 1/8 in). Rounding never
//! hides a verdict: figures written together ([`write_together`], [`sentence`]) get more digits
//! until two that differ read differently, so 149.6 mm against 150 mm reads "149.6 mm" against
//! "150.0 mm"; and a figure below zero never reads as zero while it is more than a hair below.

mod parse;
mod write;

use keelstead::quantity::{Quantity, Sentence, Span};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use parse::{LengthError, parse_length};
pub(crate) use write::grouped;

/// Which units a person reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Units {
    /// Millimetres, metres, kilograms, kilonewtons.
    #[default]
    Metric,
    /// Feet and inches, pounds.
    Imperial,
}

/// One figure as text.
pub fn write(quantity: Quantity, units: Units) -> String {
    write::figure(quantity, units, write::least_detail(quantity, units))
}

/// Figures that a reader holds against each other: those that differ read differently.
pub fn write_together(quantities: &[Quantity], units: Units) -> Vec<String> {
    let mut details: Vec<u8> = quantities
        .iter()
        .map(|&quantity| write::least_detail(quantity, units))
        .collect();
    for (i, &a) in quantities.iter().enumerate() {
        for (j, &b) in quantities.iter().enumerate().skip(i + 1) {
            if a.unit != b.unit || !write::differ(a.value, b.value) {
                continue;
            }
            let mut detail = details[i].max(details[j]);
            let alike = |detail| write::figure(a, units, detail) == write::figure(b, units, detail);
            if write::figure(a, units, details[i]) != write::figure(b, units, details[j]) {
                continue;
            }
            while detail < write::MOST_DETAIL && alike(detail) {
                detail += 1;
            }
            details[i] = detail;
            details[j] = detail;
        }
    }
    quantities
        .iter()
        .zip(details)
        .map(|(&quantity, detail)| write::figure(quantity, units, detail))
        .collect()
}

/// A sentence as text.
pub fn sentence(sentence: &Sentence, units: Units) -> String {
    let figures: Vec<Quantity> = sentence
        .0
        .iter()
        .filter_map(|span| match span {
            Span::Figure(quantity) => Some(*quantity),
            Span::Words(_) => None,
        })
        .collect();
    let mut written = write_together(&figures, units).into_iter();
    sentence
        .0
        .iter()
        .map(|span| match span {
            Span::Words(words) => words.clone(),
            Span::Figure(_) => written.next().unwrap_or_default(),
        })
        .collect()
}

#[cfg(test)]
mod tests;

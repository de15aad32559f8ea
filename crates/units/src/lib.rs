//! **Keelstead units**: figures with their dimension, and how people read and type them, metric or feet and inches.
//!
//! | module | what stands there |
//! |---|---|
//! | [`quantity`] | a figure with its dimension and what it is based on; sentences that hold figures |
//! | [`verdict`] | what is said of a figure held against what is required |
//! | [`liquid`] | densities, and what a volume of a liquid weighs |
//! | [`fields`] | numbers held against the range they must lie in |
//!
//! The rest, reading and writing figures, stands here at the root.
//!
//! Inside all is SI; here, at the edge, a figure becomes text and text a figure.
//!
//! **Rounding.** A figure alone is rounded to the nearest step: 1 mm below a metre, 10 mm above;
//! 1/16 in below three feet, 1/8 in above. So a gap of up to a yard is never off by more than
//! 0.8 mm. Rounding never hides a verdict: figures written together ([`write_together`],
//! [`sentence`]) get more digits until two that differ read differently and in their order, so
//! 149.6 mm against 150 mm reads "149.6 mm" against "150.0 mm", and a gap never reads as what is
//! asked while it is less. A figure below zero never reads as zero while it is more than a hair
//! below.

pub mod fields;
pub mod liquid;
mod parse;
pub mod quantity;
pub mod verdict;
mod write;

use crate::quantity::{Quantity, Sentence, Span};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use parse::{TypedError, parse, parse_angle, parse_length, parse_mass};

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

/// Figures that a reader holds against each other: those that differ read differently, and the
/// greater reads greater.
///
/// ```
/// # use keelstead_units::quantity::Quantity;
/// # use keelstead_units::{Units, write_together};
/// let gap = |found_m, asked_m, units| {
///     write_together(&[Quantity::length(found_m), Quantity::length(asked_m)], units)
/// };
/// assert_eq!(gap(0.083, 0.150, Units::Metric), ["83 mm", "150 mm"]);
/// assert_eq!(gap(0.1496, 0.150, Units::Metric), ["149.6 mm", "150.0 mm"]);
/// assert_eq!(gap(0.1522, 0.1524, Units::Imperial), ["5 63/64 in", "6 in"]);
/// ```
pub fn write_together(quantities: &[Quantity], units: Units) -> Vec<String> {
    let mut details: Vec<u8> = quantities
        .iter()
        .map(|&quantity| write::least_detail(quantity, units))
        .collect();
    // Figures that differ at one detail keep their order if one of them is written finer. Writing a
    // pair finer can set another pair wrong, so this goes round until none is.
    let mut settled = false;
    while !settled {
        settled = true;
        for (i, &a) in quantities.iter().enumerate() {
            for (j, &b) in quantities.iter().enumerate().skip(i + 1) {
                let differ =
                    |detail| write::figure(a, units, detail) != write::figure(b, units, detail);
                let same = a.unit != b.unit || !write::differ(a.value, b.value);
                if same || differ(details[i].min(details[j])) {
                    continue;
                }
                let from = details[i].max(details[j]);
                let detail = (from..write::MOST_DETAIL)
                    .find(|&detail| differ(detail))
                    .unwrap_or(write::MOST_DETAIL);
                settled &= details[i] == detail && details[j] == detail;
                (details[i], details[j]) = (detail, detail);
            }
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
    spelled(sentence, figures_of(sentence, units))
}

/// A sentence as text for whoever reads it, each figure in both unit systems: "0.52 m (1 ft 8 1/2 in)".
pub fn sentence_both(sentence: &Sentence) -> String {
    let both = figures_of(sentence, Units::Metric)
        .into_iter()
        .zip(figures_of(sentence, Units::Imperial))
        .map(|(metric, imperial)| beside(metric, &imperial));
    spelled(sentence, both.collect())
}

/// One figure as text, in both unit systems.
pub fn write_both(quantity: Quantity) -> String {
    let metric = write(quantity, Units::Metric);
    beside(metric, &write(quantity, Units::Imperial))
}

fn beside(metric: String, imperial: &str) -> String {
    if metric == imperial {
        metric
    } else {
        format!("{metric} ({imperial})")
    }
}

fn figures_of(sentence: &Sentence, units: Units) -> Vec<String> {
    let figures: Vec<Quantity> = sentence
        .0
        .iter()
        .filter_map(|span| match span {
            Span::Figure(quantity) => Some(*quantity),
            Span::Words(_) => None,
        })
        .collect();
    write_together(&figures, units)
}

fn spelled(sentence: &Sentence, figures: Vec<String>) -> String {
    let mut written = figures.into_iter();
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

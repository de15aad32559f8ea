//! Measures that contradict one another, or that no boat has.

use std::fmt;

use super::kind::MeasureKind as K;
use super::measures::{Given, Measures};
use super::{Estimate, Family, MeasureKind};
use keelstead_units::liquid::SEA_WATER_KG_M3;
use keelstead_units::quantity::{Quantity, Sentence, Span, Unit};

/// A measure that cannot be right.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasureProblem {
    /// The measure.
    pub kind: MeasureKind,
    /// Which of its kind, counted from nought.
    pub index: usize,
    /// What was found.
    pub found: Sentence,
    /// What was expected.
    pub expected: Sentence,
}

impl fmt::Display for MeasureProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.kind.title())?;
        if self.kind.at_places() {
            write!(f, " {}", self.index + 1)?;
        }
        let (found, expected) = (plain(&self.found), plain(&self.expected));
        write!(f, ": {found}; expected {expected}")
    }
}

/// A sentence in SI units.
fn plain(sentence: &Sentence) -> String {
    let spans = sentence.0.iter().map(|span| match span {
        Span::Words(words) => words.clone(),
        Span::Figure(Quantity { value, unit }) => match unit {
            Unit::Length => format!("{value:.3} m"),
            Unit::Mass => format!("{value:.0} kg"),
            _ => value.to_string(),
        },
    });
    spans.collect()
}

/// Why measures give no surface.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FitError {
    /// Measures contradict one another, or no boat has them.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Measures(Vec<MeasureProblem>),
    /// The surface that comes nearest to them is none: it folds over itself or encloses nothing.
    #[error(
        "no hull of the family has these measures: the surface nearest to them {why}; check {}, or choose another family",
        .kind.title()
    )]
    NoSurface {
        /// What is wrong with it.
        why: String,
        /// The measure furthest from being met.
        kind: MeasureKind,
    },
}

/// Every measure that cannot be right.
pub(super) fn problems(family: Family, measures: &Measures) -> Vec<MeasureProblem> {
    let mut check = Check {
        problems: Vec::new(),
    };
    for given in measures.list() {
        check.alone(family, &given);
    }
    check.number(measures);
    // What is no number on its own would only be named again for what it is held against.
    if check.problems.is_empty() {
        check.together(measures);
    }
    check.problems
}

/// The kinds that say how high the deck's edge is.
const SHEER: [MeasureKind; 3] = [K::HeightBow, K::HeightMiddle, K::HeightStern];

/// The highest point that was measured, if it lies below the deck's edge as the surface has it, further than both may be off.
pub(super) fn too_low(measures: &Measures, estimates: &[Estimate]) -> Option<MeasureProblem> {
    let highest_m = measures.highest_m?;
    let sheer = estimates.iter().filter(|e| SHEER.contains(&e.kind));
    let least = |e: &Estimate| e.value - e.tolerance;
    let edge = sheer.max_by(|a, b| least(a).total_cmp(&least(b)))?;
    let lower = highest_m + measures.tolerance(K::Highest, highest_m) < least(edge);
    lower.then(|| MeasureProblem {
        kind: K::Highest,
        index: 0,
        found: Sentence::figure_first(Quantity::length(highest_m)),
        expected: Sentence::new("at least").length(least(edge)).words(format!(
            ", the least that the {} can be by what else was measured; measure that too",
            edge.kind.title()
        )),
    })
}

/// Most measures at places: a fit takes a time that grows with the square of their number, and no tape takes more.
/// Common practice, no source.
const MOST_PLACES: usize = 300;

/// Most that a length may be off, as a part of the length over all; a weight may be off by half. What is less certain is not
/// measured. Common practice, no source.
const MOST_OFF: f64 = 0.1;

/// Shortest waterline, as a part of the length over all. Common practice, no source.
const LEAST_WATERLINE: f64 = 0.5;

fn quantity(kind: MeasureKind, value: f64) -> Quantity {
    Quantity {
        value,
        unit: kind.unit(),
    }
}

struct Check {
    problems: Vec<MeasureProblem>,
}

impl Check {
    fn add(&mut self, kind: MeasureKind, index: usize, found: Sentence, expected: Sentence) {
        self.problems.push(MeasureProblem {
            kind,
            index,
            found,
            expected,
        });
    }

    /// A measure against the range of its kind, and its place against the boat.
    fn alone(&mut self, family: Family, given: &Given) {
        let Given { kind, index, .. } = *given;
        let range = kind.range();
        let found = Sentence::figure_first(quantity(kind, given.value));
        if !kind.fits(family) {
            let none = Sentence::new(format!("none: a {} has no such measure", family.word()));
            self.add(kind, index, found, none);
        } else if !range.contains(given.value) {
            let expected = Sentence::figure_first(quantity(kind, range.min))
                .words("to")
                .figure(quantity(kind, range.max));
            self.add(kind, index, found, expected);
        }
        let Some(at) = given.at else { return };
        let places = [
            ("at the station", Some(at.station_m), 60.0),
            ("at the height", at.height_m, 20.0),
            ("off the centreline by", at.off_m, 10.0),
        ];
        for (what, value, most) in places {
            if let Some(value) = value
                && !(value >= 0.0 && value <= most)
            {
                let expected = Sentence::figure_first(Quantity::length(0.0))
                    .words("to")
                    .length(most);
                self.add(kind, index, Sentence::new(what).length(value), expected);
            }
        }
    }

    /// How many measures at places there are.
    fn number(&mut self, measures: &Measures) {
        let given = measures.list();
        let at_places: Vec<&Given> = given.iter().filter(|g| g.kind.at_places()).collect();
        if let Some(first) = at_places.get(MOST_PLACES) {
            let found = Sentence::new(format!("{} measures at places", at_places.len()));
            let expected = Sentence::new(format!(
                "{MOST_PLACES} at most: half-breadths, heights of the bottom and girths together"
            ));
            self.add(first.kind, first.index, found, expected);
        }
    }

    /// How far measures are said to be off.
    fn tolerances(&mut self, measures: &Measures) {
        for (&kind, &tolerance) in &measures.tolerances {
            let (least, most) = match kind.unit() {
                Unit::Mass => (1.0, 0.5 * measures.value(kind).unwrap_or(kind.range().max)),
                _ => (0.001, MOST_OFF * measures.length_m),
            };
            if !(tolerance >= least && tolerance <= most) {
                let found = Sentence::new("a tolerance of").figure(quantity(kind, tolerance));
                let expected = Sentence::figure_first(quantity(kind, least))
                    .words("to")
                    .figure(quantity(kind, most));
                self.add(kind, 0, found, expected);
            }
        }
    }

    /// `kind` may not be less than `least`, which is what `what` says.
    fn at_least(&mut self, measures: &Measures, kind: MeasureKind, least: f64, what: &str) {
        if let Some(value) = measures.value(kind)
            && value < least - measures.tolerance(kind, value)
        {
            let expected = Sentence::new("at least")
                .figure(quantity(kind, least))
                .words(format!(", {what}"));
            let found = Sentence::figure_first(quantity(kind, value));
            self.add(kind, 0, found, expected);
        }
    }

    /// `kind` may not be more than `most_m`, which is what `what` says.
    fn at_most(&mut self, measures: &Measures, kind: MeasureKind, most: f64, what: &str) {
        if let Some(value) = measures.value(kind)
            && value > most + measures.tolerance(kind, value)
        {
            let expected = Sentence::new("no more than")
                .figure(quantity(kind, most))
                .words(format!(", {what}"));
            let found = Sentence::figure_first(quantity(kind, value));
            self.add(kind, 0, found, expected);
        }
    }

    /// Measures against one another.
    fn together(&mut self, measures: &Measures) {
        self.tolerances(measures);
        let (length, beam) = (measures.length_m, measures.beam_m);
        self.at_most(measures, K::Beam, 0.8 * length, "four fifths of the length");
        if beam < 0.05 * length {
            let expected = Sentence::new("at least")
                .length(0.05 * length)
                .words(", a twentieth of the length");
            self.add(
                K::Beam,
                0,
                Sentence::figure_first(Quantity::length(beam)),
                expected,
            );
        }
        let over_all = "the length over all";
        self.at_most(measures, K::WaterlineLength, length, over_all);
        self.at_least(
            measures,
            K::WaterlineLength,
            LEAST_WATERLINE * length,
            "half the length over all",
        );
        self.at_most(measures, K::KeelLength, length, over_all);
        self.at_most(
            measures,
            K::KeelStart,
            0.9 * length,
            "nine tenths of the length",
        );
        self.at_most(measures, K::Forefoot, length, over_all);
        let half = 0.5 * length;
        self.at_most(measures, K::RudderStart, half, "half the length");
        self.at_most(measures, K::StemRake, half, "half the length");
        self.at_most(measures, K::SternRake, half, "half the length");
        if let (Some(start), Some(keel)) = (measures.keel_start_m, measures.keel_length_m) {
            let left = length - start;
            self.at_most(
                measures,
                K::KeelLength,
                left,
                "what lies ahead of its start",
            );
            if let Some(forefoot) = measures.forefoot_m
                && forefoot + measures.tolerance(K::Forefoot, forefoot) < start + 0.5 * keel
            {
                let expected =
                    Sentence::new("ahead of the middle of the keel, at").length(start + 0.5 * keel);
                let found = Sentence::figure_first(Quantity::length(forefoot));
                self.add(K::Forefoot, 0, found, expected);
            }
        }
        if let Some(over_all) = measures.beam_over_all_m {
            self.at_most(measures, K::Beam, over_all, "the beam over all");
        }
        self.at_most(measures, K::TransomBreadth, beam, "the beam");
        self.at_most(measures, K::HullBreadth, 0.5 * beam, "half the beam");
        self.at_most(measures, K::KeelWidth, 0.5 * beam, "half the beam");
        self.heights(measures);
        self.weight(measures);
        self.places(measures);
    }

    fn heights(&mut self, measures: &Measures) {
        for height in SHEER {
            if let Some(value) = measures.value(height) {
                let what = format!("the {}", height.title());
                self.at_most(measures, K::Draft, value - 0.02, &what);
                self.at_most(measures, K::RudderFoot, value - 0.02, &what);
                self.at_most(measures, K::BridgeHeight, value - 0.02, &what);
            }
            if let Some(highest) = measures.highest_m {
                let what = "the height of the highest point";
                self.at_most(measures, height, highest, what);
            }
        }
        if let Some(draft) = measures.draft_m {
            self.at_least(measures, K::Highest, draft, "the draft");
        }
        if let Some(bridge) = measures.bridge_height_m {
            self.at_most(
                measures,
                K::Draft,
                bridge,
                "the height under the bridge deck",
            );
        }
        self.at_most(
            measures,
            K::Draft,
            0.6 * measures.length_m,
            "six tenths of the length",
        );
        for height in SHEER {
            self.at_most(measures, height, measures.length_m, "the length over all");
        }
    }

    /// The displacement against the box of length, beam and draft: no boat fills it, and none fills
    /// less than a fiftieth of it.
    fn weight(&mut self, measures: &Measures) {
        let (Some(mass), Some(draft)) = (measures.displacement_kg, measures.draft_m) else {
            return;
        };
        let box_kg = measures.length_m * measures.beam_m * draft * SEA_WATER_KG_M3;
        let what = "what a box of length, beam and draft displaces";
        self.at_most(measures, K::Displacement, box_kg, what);
        if mass < 0.02 * box_kg {
            let expected = Sentence::new("at least")
                .figure(Quantity::mass(0.02 * box_kg))
                .words(", a fiftieth of what a box of length, beam and draft displaces");
            let found = Sentence::figure_first(Quantity::mass(mass));
            self.add(K::Displacement, 0, found, expected);
        }
    }

    /// Measures at places against length, beam and heights.
    fn places(&mut self, measures: &Measures) {
        let half = 0.5 * measures.hull_breadth_m.unwrap_or(measures.beam_m);
        let sheer = [
            measures.height_bow_m,
            measures.height_middle_m,
            measures.height_stern_m,
        ];
        let top = sheer.into_iter().flatten().reduce(f64::max);
        let limit = |what: &str, most: f64| {
            Sentence::new("no more than")
                .length(most)
                .words(format!(", {what}"))
        };
        for given in measures.list() {
            let (kind, index) = (given.kind, given.index);
            let Some(at) = given.at else { continue };
            let mut over = |what: &str, value: f64, most: f64, most_is: &str| {
                if value > most {
                    let found = Sentence::new(what).length(value);
                    self.add(kind, index, found, limit(most_is, most));
                }
            };
            over(
                "at the station",
                at.station_m,
                measures.length_m,
                "the length over all",
            );
            match kind {
                K::HalfBreadth => {
                    over(
                        "a half-breadth of",
                        given.value,
                        half + given.tolerance,
                        "half the beam",
                    );
                }
                K::BottomHeight => {
                    over(
                        "off the centreline by",
                        at.off_m.unwrap_or(0.0),
                        half,
                        "half the beam",
                    );
                    if let Some(top) = top {
                        over("a height of", given.value, top, "the height of the sheer");
                    }
                }
                K::Girth => {
                    let most = half + top.unwrap_or(measures.length_m);
                    over(
                        "a girth of",
                        given.value,
                        most,
                        "half the beam and the height together",
                    );
                }
                _ => {}
            }
            if let (Some(height), Some(top)) = (at.height_m, top) {
                over("at the height", height, top, "the height of the sheer");
            }
        }
    }
}

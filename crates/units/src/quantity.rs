//! Figures with their dimension and what they rest on, and sentences that hold figures.
//!
//! The engine never turns a figure into text: a sentence carries the figure itself, and each face
//! writes it in the reader's units.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Standard acceleration of free fall, m/s² (ISO 80000-3).
pub const STANDARD_GRAVITY: f64 = 9.806_65;

/// What a figure measures; its value is always in the SI unit named here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Unit {
    /// Metres.
    Length,
    /// Metres across something thin, a skin or a slit: read finer than a length.
    Thickness,
    /// Kilograms.
    Mass,
    /// Newtons.
    Force,
    /// Radians.
    Angle,
    /// A number of things.
    Count,
    /// Pascals.
    Pressure,
    /// A fraction of one, read in percent.
    Ratio,
    /// An acceleration in multiples of free fall.
    Gravity,
    /// Metres a second.
    Speed,
    /// Newton metres.
    Moment,
    /// Newtons a metre.
    Stiffness,
    /// A plain number: a factor, a friction, a proportion.
    Factor,
}

/// A value in the SI unit of its dimension.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Quantity {
    /// The value, in the SI unit of `unit`.
    pub value: f64,
    /// What is measured.
    pub unit: Unit,
}

impl Quantity {
    /// A length of `value_m` metres.
    pub const fn length(value_m: f64) -> Self {
        Self {
            value: value_m,
            unit: Unit::Length,
        }
    }

    /// A thickness or the width of a slit, `value_m` metres.
    pub const fn thickness(value_m: f64) -> Self {
        Self {
            value: value_m,
            unit: Unit::Thickness,
        }
    }

    /// A mass of `value_kg` kilograms.
    pub const fn mass(value_kg: f64) -> Self {
        Self {
            value: value_kg,
            unit: Unit::Mass,
        }
    }

    /// An angle of `value_rad` radians.
    pub const fn angle(value_rad: f64) -> Self {
        Self {
            value: value_rad,
            unit: Unit::Angle,
        }
    }

    /// A force of `value_n` newtons.
    pub const fn force(value_n: f64) -> Self {
        Self {
            value: value_n,
            unit: Unit::Force,
        }
    }

    /// A pressure of `value_pa` pascals.
    pub const fn pressure(value_pa: f64) -> Self {
        Self {
            value: value_pa,
            unit: Unit::Pressure,
        }
    }

    /// A fraction, read in percent.
    pub const fn ratio(value: f64) -> Self {
        Self {
            value,
            unit: Unit::Ratio,
        }
    }

    /// An acceleration of `value_g` times free fall.
    pub const fn gravity(value_g: f64) -> Self {
        Self {
            value: value_g,
            unit: Unit::Gravity,
        }
    }

    /// A speed of `value_m_s` metres a second.
    pub const fn speed(value_m_s: f64) -> Self {
        Self {
            value: value_m_s,
            unit: Unit::Speed,
        }
    }

    /// A moment of `value_nm` newton metres.
    pub const fn moment(value_nm: f64) -> Self {
        Self {
            value: value_nm,
            unit: Unit::Moment,
        }
    }

    /// A stiffness of `value_n_per_m` newtons a metre.
    pub const fn stiffness(value_n_per_m: f64) -> Self {
        Self {
            value: value_n_per_m,
            unit: Unit::Stiffness,
        }
    }

    /// A plain number.
    pub const fn factor(value: f64) -> Self {
        Self {
            value,
            unit: Unit::Factor,
        }
    }

    /// A number of things.
    pub fn count(value: usize) -> Self {
        Self {
            value: value as f64,
            unit: Unit::Count,
        }
    }
}

/// What a figure rests on.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// Somebody measured it.
    Measured,
    /// Computed from other figures.
    Computed,
    /// A default assumed because nothing better was given.
    AssumedDefault,
    /// Common practice of the trade, without a published source.
    CommonPractice,
}

/// A run of words or a figure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Span {
    /// Words as they are.
    Words(String),
    /// A figure, written by each face in the reader's units.
    Figure(Quantity),
}

/// A sentence with figures in it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct Sentence(pub Vec<Span>);

impl Sentence {
    /// A sentence that starts with `words`.
    pub fn new(words: impl Into<String>) -> Self {
        Self::default().words(words)
    }

    /// A sentence that starts with a figure.
    pub fn figure_first(quantity: Quantity) -> Self {
        Self::default().figure(quantity)
    }

    /// Adds words, with a space before them unless they open with a closing mark.
    #[must_use]
    pub fn words(mut self, words: impl Into<String>) -> Self {
        let words = words.into();
        if words.is_empty() {
            return self;
        }
        let closes = words.starts_with([' ', '\n', ',', ';', '.', ':', '?', ')']);
        let opens = match self.0.last() {
            Some(Span::Words(before)) => before.ends_with([' ', '(']),
            Some(Span::Figure(_)) => false,
            None => true,
        };
        let space = if opens || closes { "" } else { " " };
        match self.0.last_mut() {
            Some(Span::Words(before)) => {
                before.push_str(space);
                before.push_str(&words);
            }
            _ => self.0.push(Span::Words(format!("{space}{words}"))),
        }
        self
    }

    /// Adds a figure, with a space before it unless a bracket opens there.
    #[must_use]
    pub fn figure(mut self, quantity: Quantity) -> Self {
        if let Some(Span::Words(before)) = self.0.last_mut()
            && !before.ends_with([' ', '('])
        {
            before.push(' ');
        }
        self.0.push(Span::Figure(quantity));
        self
    }

    /// Adds a length in metres.
    #[must_use]
    pub fn length(self, value_m: f64) -> Self {
        self.figure(Quantity::length(value_m))
    }

    /// Adds all that another sentence says.
    #[must_use]
    pub fn and(self, other: &Self) -> Self {
        other.0.iter().fold(self, |whole, span| match span {
            Span::Words(words) => whole.words(words.as_str()),
            Span::Figure(quantity) => whole.figure(*quantity),
        })
    }

    /// Sentences one after another, with `between` between two of them: "; ".
    pub fn joined<'a>(sentences: impl IntoIterator<Item = &'a Self>, between: &str) -> Self {
        sentences.into_iter().fold(Self::default(), |whole, next| {
            if whole.is_empty() {
                next.clone()
            } else {
                whole.words(between).and(next)
            }
        })
    }

    /// Whether it says nothing.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl From<&str> for Sentence {
    fn from(words: &str) -> Self {
        Self::new(words)
    }
}

impl From<String> for Sentence {
    fn from(words: String) -> Self {
        Self::new(words)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_and_figures_stand_apart() {
        let sentence = Sentence::new("needs")
            .length(0.2)
            .words("; has")
            .length(0.1)
            .words("at most");
        let joined: String = sentence
            .0
            .iter()
            .map(|span| match span {
                Span::Words(words) => words.clone(),
                Span::Figure(quantity) => quantity.value.to_string(),
            })
            .collect();
        assert_eq!(joined, "needs 0.2; has 0.1 at most");
    }

    #[test]
    fn sentences_join_as_if_written_in_one() {
        let first = Sentence::new("as long as").length(0.2).words("(or so)");
        let second = Sentence::figure_first(Quantity::length(0.1)).words("wide");
        let joined = Sentence::joined([&first, &second], ";");
        let whole = Sentence::new("as long as")
            .length(0.2)
            .words("(or so);")
            .length(0.1)
            .words("wide");
        assert_eq!(joined, whole);
        assert_eq!(Sentence::joined([], ";"), Sentence::default());
        assert!(Sentence::default().is_empty());
        let after = Sentence::new("seen").and(&second).words("here");
        let expected = Sentence::new("seen").length(0.1).words("wide here");
        assert_eq!(after, expected);
    }
}

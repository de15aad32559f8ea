//! What only a person can say of a mesh, as data: each face asks in its own words, and says where to answer.

use keelstead_units::quantity::Sentence;
use serde::{Deserialize, Serialize};

use super::{Answers, Examined, axis_word};
use crate::hull_file::{Axis, LengthUnit};

/// A boat of this length is drawn where nothing tells the size, m; no figure of it is shown.
const DRAWN_LENGTH_M: f64 = 10.0;

/// What a person may have to say of a mesh.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Question {
    /// In which unit it is.
    Unit,
    /// How long it is over all.
    Length,
    /// Which way is up.
    Up,
    /// Which way the bow points.
    Forward,
    /// Whether it is half a hull.
    Half,
}

impl Question {
    /// What is asked, as it stands behind "say" or "check": "in which unit it is".
    pub fn words(self) -> &'static str {
        match self {
            Self::Unit => "in which unit it is",
            Self::Length => "how long it is over all",
            Self::Up => "which way is up",
            Self::Forward => "which way the bow points",
            Self::Half => "whether it is half a hull, to be mirrored",
        }
    }
}

/// A question that the mesh leaves open.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Asked {
    /// What is asked.
    pub question: Question,
    /// What may be answered, the likeliest first; empty where it is a figure.
    pub choices: Vec<Choice>,
    /// Why it stays open.
    pub because: Sentence,
}

/// An answer that may be given.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Choice {
    /// A unit of the coordinates.
    Unit(LengthUnit),
    /// An axis of the file.
    Axis(Axis),
    /// To mirror it, or that it is whole.
    Mirror(bool),
}

impl Choice {
    /// The word for it.
    pub fn word(self) -> String {
        match self {
            Self::Unit(unit) => unit.word().to_owned(),
            Self::Axis(axis) => axis_word(axis),
            Self::Mirror(true) => "half".to_owned(),
            Self::Mirror(false) => "whole".to_owned(),
        }
    }
}

/// Why a mesh does not become a hull before a person says something of it, or something else.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ask {
    /// The mesh file, as its source names it.
    pub file: String,
    /// What was found.
    pub found: Sentence,
    /// What was expected; empty if that goes without saying.
    pub expected: Sentence,
    /// What the mesh leaves open; empty if an answer contradicts it.
    pub open: Vec<Asked>,
    /// Which answers to look at again.
    pub check: Vec<Question>,
}

impl Ask {
    /// All of it in a sentence; `place` tells where a question is answered, as "--unit", if that is worth telling.
    pub fn says(&self, place: &dyn Fn(Question) -> Option<String>) -> Sentence {
        let mut says = Sentence::new(format!("{}:", self.file)).and(&self.found);
        if !self.expected.is_empty() {
            says = says.words("; expected").and(&self.expected);
        }
        for (count, asked) in self.open.iter().enumerate() {
            let mut places = place(asked.question).into_iter().collect::<Vec<_>>();
            if asked.question == Question::Unit {
                places.extend(place(Question::Length));
            }
            says = says
                .words(if count == 0 { ": say" } else { "; say" })
                .words(asked.question.words())
                .and(&choices(&asked.choices))
                .words(":")
                .and(&asked.because);
            if !places.is_empty() {
                says = says.words(format!("({})", places.join(", or ")));
            }
        }
        if !self.check.is_empty() {
            let words: Vec<&str> = self.check.iter().map(|q| q.words()).collect();
            let places: Vec<String> = self.check.iter().filter_map(|q| place(*q)).collect();
            says = says.words(format!(". Check {}", listed(&words, "and")));
            if !places.is_empty() {
                says = says.words(format!("({})", places.join(", ")));
            }
        }
        says
    }
}

fn choices(choices: &[Choice]) -> Sentence {
    let words: Vec<String> = choices.iter().map(|choice| choice.word()).collect();
    match words.is_empty() {
        true => Sentence::default(),
        false => Sentence::new(format!(", {}", words.join(" or "))),
    }
}

fn listed(words: &[&str], last: &str) -> String {
    match words {
        [rest @ .., one] if !rest.is_empty() => format!("{} {last} {one}", rest.join(", ")),
        _ => words.concat(),
    }
}

/// The questions that neither the mesh nor the answers settle.
pub(super) fn open(examined: &Examined, answers: &Answers) -> Vec<Asked> {
    let mut open = Vec::new();
    let unit = &examined.unit;
    if unit.value.is_none() {
        open.push(Asked {
            // No unit makes it a boat: then only its length does.
            question: match unit.choices.is_empty() {
                true => Question::Length,
                false => Question::Unit,
            },
            choices: unit.choices.iter().copied().map(Choice::Unit).collect(),
            because: unit.because.clone(),
        });
    }
    for (question, axis) in [
        (Question::Up, &examined.up),
        (Question::Forward, &examined.forward),
    ] {
        if axis.value.is_none() {
            open.push(Asked {
                question,
                choices: axis.choices.iter().copied().map(Choice::Axis).collect(),
                because: axis.because.clone(),
            });
        }
    }
    if examined.half.value == Some(true) && answers.mirror.is_none() {
        open.push(Asked {
            question: Question::Half,
            choices: vec![Choice::Mirror(true), Choice::Mirror(false)],
            because: examined.half.because.clone(),
        });
    }
    open
}

/// The answers with the likeliest wherever a question is open: what the hull is drawn by until somebody says.
pub(super) fn as_drawn(answers: &Answers, open: &[Asked]) -> Answers {
    let mut drawn = answers.clone();
    for asked in open {
        match (asked.question, asked.choices.first()) {
            (Question::Unit, Some(Choice::Unit(unit))) => drawn.unit = Some(*unit),
            (Question::Up, Some(Choice::Axis(axis))) => drawn.up = Some(*axis),
            (Question::Forward, choice) => {
                let taken = drawn.up.map(Axis::index);
                let of = |choice: &Choice| match choice {
                    Choice::Axis(axis) => Some(*axis),
                    _ => None,
                };
                let mut axes = asked.choices.iter().filter_map(of);
                let free = axes.find(|axis| Some(axis.index()) != taken);
                drawn.forward = free.or(choice.and_then(of));
            }
            (Question::Half, _) => drawn.mirror = Some(true),
            _ => drawn.length_m = Some(DRAWN_LENGTH_M),
        }
    }
    drawn
}

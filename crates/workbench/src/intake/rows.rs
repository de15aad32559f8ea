//! What a file was taken for, a row each: what is proposed, why, and what else it may be.

use keelstead_files::hull_file::{Axis, LengthUnit};
use keelstead_files::intake::{Answers, Examined, Proposal, axis_word};

use super::action::IntakeAction;
use super::bring::{Question, Stood};
use super::edit::unit_word;

/// A row of the proposals.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it is about.
    pub title: &'static str,
    /// What is proposed or was answered, in words; none while it is open.
    pub value: Option<String>,
    /// What speaks for it, or why it stays open.
    pub because: String,
    /// What may be chosen.
    pub choices: Vec<Choice>,
    /// Whether nothing goes on before it is answered.
    pub open: bool,
    /// Whether a person answered it.
    pub told: bool,
}

/// One thing to choose.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// The words on its button.
    pub words: String,
    /// What choosing it does.
    pub action: IntakeAction,
    /// Whether it holds now.
    pub chosen: bool,
}

/// The rows, those to be answered first.
pub fn rows(stood: &Stood, answers: &Answers) -> Vec<Row> {
    let Some(examined) = &stood.examined else {
        return Vec::new();
    };
    let mut rows = vec![
        unit(stood, examined, answers),
        axis_row(
            ("Up", Question::Up),
            stood,
            &examined.up,
            answers.up,
            IntakeAction::Up,
        ),
        axis_row(
            ("Bow", Question::Forward),
            stood,
            &examined.forward,
            answers.forward,
            IntakeAction::Forward,
        ),
        half(stood, examined, answers),
    ];
    rows.sort_by_key(|row| !row.open);
    rows
}

fn unit(stood: &Stood, examined: &Examined, answers: &Answers) -> Row {
    let open = stood.open.contains(&Question::Unit);
    let proposal = &examined.unit;
    let now = answers.unit.or(proposal.value);
    let scaled = answers.length_m.is_some() && answers.unit.is_none();
    let units = LengthUnit::ALL.into_iter();
    // Units that make no boat of it are not offered; the one in use always is.
    let sensible =
        |unit: &LengthUnit| proposal.choices.contains(unit) || now == Some(*unit) || !open;
    Row {
        title: "Unit of the file",
        value: now.map(|unit| {
            let word = if scaled {
                "of no matter"
            } else {
                unit_word(unit)
            };
            word.to_owned()
        }),
        because: proposal.because.clone(),
        choices: units
            .filter(sensible)
            .map(|unit| Choice {
                words: unit_word(unit).to_owned(),
                action: IntakeAction::Unit(Some(unit)),
                chosen: !scaled && now == Some(unit),
            })
            .collect(),
        open,
        told: answers.unit.is_some() || scaled,
    }
}

fn axis_row(
    (title, question): (&'static str, Question),
    stood: &Stood,
    proposal: &Proposal<Axis>,
    answer: Option<Axis>,
    act: fn(Option<Axis>) -> IntakeAction,
) -> Row {
    let now = answer.or(proposal.value);
    let mut choices = proposal.choices.clone();
    // What was decided can still be turned over.
    for axis in now.into_iter().flat_map(|axis| [axis, opposite(axis)]) {
        if !choices.contains(&axis) {
            choices.push(axis);
        }
    }
    let open = stood.open.contains(&question);
    Row {
        title,
        value: now.map(|axis| format!("{} of the file", axis_word(axis))),
        because: proposal.because.clone(),
        choices: choices
            .iter()
            .enumerate()
            .map(|(at, axis)| Choice {
                words: if open && at == 0 {
                    format!("{}, as drawn", axis_word(*axis))
                } else {
                    axis_word(*axis)
                },
                action: act(Some(*axis)),
                chosen: now == Some(*axis),
            })
            .collect(),
        open,
        told: answer.is_some(),
    }
}

fn half(stood: &Stood, examined: &Examined, answers: &Answers) -> Row {
    let open = stood.open.contains(&Question::Half);
    let told = answers.mirror;
    let offered = [(true, "Mirror it"), (false, "It is whole as it is")];
    let is_half = examined.half.value == Some(true);
    let choices = offered.map(|(mirror, words)| Choice {
        words: words.to_owned(),
        action: IntakeAction::Mirror(Some(mirror)),
        chosen: told == Some(mirror),
    });
    Row {
        title: "Half a hull",
        value: (!open).then(|| {
            let words = if told == Some(true) {
                "yes, mirrored"
            } else {
                "no"
            };
            words.to_owned()
        }),
        because: examined.half.because.clone(),
        // A whole hull cannot be mirrored.
        choices: if is_half || told.is_some() {
            choices.to_vec()
        } else {
            Vec::new()
        },
        open,
        told: told.is_some(),
    }
}

/// The other way along the same axis.
pub(crate) fn opposite(axis: Axis) -> Axis {
    match axis {
        Axis::PlusX => Axis::MinusX,
        Axis::MinusX => Axis::PlusX,
        Axis::PlusY => Axis::MinusY,
        Axis::MinusY => Axis::PlusY,
        Axis::PlusZ => Axis::MinusZ,
        Axis::MinusZ => Axis::PlusZ,
    }
}

/// Port, if `forward` and `up` are: the frame is right-handed.
pub(crate) fn port(forward: Axis, up: Axis) -> Option<Axis> {
    let ([a, b, c], [x, y, z]) = (up.vector(), forward.vector());
    let port = [b * z - c * y, c * x - a * z, a * y - b * x];
    let all = [
        Axis::PlusX,
        Axis::MinusX,
        Axis::PlusY,
        Axis::MinusY,
        Axis::PlusZ,
        Axis::MinusZ,
    ];
    all.into_iter().find(|axis| axis.vector() == port)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn port_is_square_to_forward_and_up_and_turning_four_times_comes_round() {
        assert_eq!(port(Axis::PlusX, Axis::PlusZ), Some(Axis::PlusY));
        assert_eq!(port(Axis::PlusX, Axis::MinusX), None);
        let mut up = Axis::PlusY;
        for turn in 1..=4 {
            up = port(Axis::MinusZ, up).unwrap_or(up);
            assert_eq!(up == Axis::PlusY, turn == 4, "turn {turn}");
        }
    }
}

//! What a file was taken for, a row each: what is proposed, why, and what else it may be.

use keelstead_files::hull_file::{Axis, LengthUnit};
use keelstead_files::intake::{Answers, Examined, Proposal, Question, Skin, axis_word};
use keelstead_units::quantity::{Quantity, Sentence};

use super::action::IntakeAction;
use super::bring::Stood;
use super::edit::unit_word;
use crate::words::intake::question;

/// A row of the proposals.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it is about.
    pub title: &'static str,
    /// What is proposed or was answered, in words; none while it is open.
    pub value: Option<String>,
    /// What speaks for it, or why it stays open.
    pub because: Sentence,
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
            Question::Up,
            stood,
            &examined.up,
            answers.up,
            IntakeAction::Up,
        ),
        axis_row(
            Question::Forward,
            stood,
            &examined.forward,
            answers.forward,
            IntakeAction::Forward,
        ),
        half(stood, examined, answers),
    ];
    rows.extend(lie(examined, answers));
    rows.extend(skin(examined, answers));
    rows.extend(openings(examined, answers));
    rows.sort_by_key(|row| !row.open);
    rows
}

fn unit(stood: &Stood, examined: &Examined, answers: &Answers) -> Row {
    let open = stood.asks_size();
    let proposal = &examined.unit;
    let now = answers.unit.or(proposal.value);
    let scaled = answers.length_m.is_some() && answers.unit.is_none();
    let units = LengthUnit::ALL.into_iter();
    // Units that make no boat of it are not offered; the one in use always is.
    let sensible =
        |unit: &LengthUnit| proposal.choices.contains(unit) || now == Some(*unit) || !open;
    Row {
        title: question(Question::Unit),
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
    asked: Question,
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
    let open = stood.asks(asked);
    Row {
        title: question(asked),
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
    let open = stood.asks(Question::Half);
    let told = answers.mirror;
    let offered = [(true, "Mirror it"), (false, "It is whole as it is")];
    let is_half = examined.half.value == Some(true);
    let choices = offered.map(|(mirror, words)| Choice {
        words: words.to_owned(),
        action: IntakeAction::Mirror(Some(mirror)),
        chosen: told == Some(mirror),
    });
    Row {
        title: question(Question::Half),
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

/// Heel and trim, where there is something to say of them.
fn lie(examined: &Examined, answers: &Answers) -> Vec<Row> {
    [
        angle_row(
            "Heel",
            &examined.heel_rad,
            answers.heel_rad,
            IntakeAction::Heel,
        ),
        angle_row(
            "Trim",
            &examined.trim_rad,
            answers.trim_rad,
            IntakeAction::Trim,
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// An angle that is taken out; none if nothing was found or said.
fn angle_row(
    title: &'static str,
    proposal: &Proposal<f64>,
    answer: Option<f64>,
    act: fn(Option<f64>) -> IntakeAction,
) -> Option<Row> {
    let now = answer.or(proposal.value);
    let mut offered: Vec<f64> = proposal.choices.clone();
    offered.extend(proposal.value);
    offered.push(0.0);
    offered.dedup();
    if now.is_none() && offered.len() < 2 {
        return None;
    }
    let words = |angle_rad: f64| {
        if angle_rad == 0.0 {
            "leave it as it lies".to_owned()
        } else {
            format!("take {:.2}\u{b0} out", angle_rad.to_degrees())
        }
    };
    Some(Row {
        title,
        value: now.map(words),
        because: proposal.because.clone(),
        choices: offered
            .into_iter()
            .map(|angle_rad| Choice {
                words: words(angle_rad),
                action: act(Some(angle_rad)),
                chosen: now == Some(angle_rad),
            })
            .collect(),
        open: false,
        told: answer.is_some(),
    })
}

/// Which of two skins counts, where there are two.
fn skin(examined: &Examined, answers: &Answers) -> Option<Row> {
    if examined.skins.is_empty() && answers.skin.is_none() {
        return None;
    }
    let now = answers.skin.or(examined.skin.value);
    let word = |skin: Skin| match skin {
        Skin::Outer => "the outer",
        Skin::Inner => "the inner",
        Skin::Both => "both",
    };
    Some(Row {
        title: "Two skins",
        value: now.map(|skin| word(skin).to_owned()),
        because: examined.skin.because.clone(),
        choices: [Skin::Outer, Skin::Inner, Skin::Both]
            .map(|skin| Choice {
                words: format!("Keep {}", word(skin)),
                action: IntakeAction::Skin(Some(skin)),
                chosen: now == Some(skin),
            })
            .to_vec(),
        open: false,
        told: answers.skin.is_some(),
    })
}

/// What is open: the deck, and edges that ought to meet.
fn openings(examined: &Examined, answers: &Answers) -> Vec<Row> {
    let mut rows = Vec::new();
    let holes = examined.sides.holes.len();
    if holes > 0 || answers.close_deck {
        let offered = [(false, "Leave it open"), (true, "Close it for the volume")];
        rows.push(Row {
            title: "Openings",
            value: Some(match holes {
                1 => "one hole".into(),
                count => format!("{count} holes"),
            }),
            because: "a hull that is closed above tells its weight from a marked waterline; what closes it \
                      counts for nothing else"
                .into(),
            choices: offered
                .map(|(close, words)| Choice {
                    words: words.into(),
                    action: IntakeAction::CloseDeck(close),
                    chosen: answers.close_deck == close,
                })
                .to_vec(),
            open: false,
            told: answers.close_deck,
        });
    }
    let unit = answers.unit.or(examined.unit.value);
    let metres = unit.map_or(1.0, LengthUnit::metres);
    let widest_m = examined.slits.iter().map(|slit| slit.width * metres);
    if let Some(widest_m) = widest_m.reduce(f64::max) {
        // A little more than the widest, or it would stay open for a rounding.
        let join_m = 1.05 * widest_m;
        let joined = answers.join_slits_m.is_some();
        rows.push(Row {
            title: "Slits",
            value: Some(if joined { "joined" } else { "left open" }.into()),
            because: Sentence::new(format!(
                "{} open edges run side by side,",
                examined.slits.len()
            ))
            .figure(Quantity::thickness(widest_m))
            .words("apart at most"),
            choices: [(None, "Leave them"), (Some(join_m), "Join them")]
                .map(|(width_m, words)| Choice {
                    words: words.into(),
                    action: IntakeAction::JoinSlits(width_m),
                    chosen: width_m.is_some() == joined,
                })
                .to_vec(),
            open: false,
            told: joined,
        });
    }
    rows
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

//! What an answer makes of a draft.

use keelstead_files::hull_file::{Axis, LengthUnit};

use super::action::IntakeAction;
use super::begun::Figured;
use super::bring::Stood;
use super::draft::Draft;
use super::measured::is_needed;
use super::rows::{opposite, port};

/// Why an answer was not taken; nothing has changed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refused {
    /// The length is none that a boat on a trailer has.
    #[error(
        "a boat is 1 to 100 m long (3 ft 4 in to 328 ft); give its length over all, as measured"
    )]
    Length,
    /// No surface is off by so much, or by less than nothing.
    #[error("a surface may be off by nothing to 1 m (3 ft 3 in)")]
    Tolerance,
    /// A hull without a name.
    #[error("a hull needs a name to be found again by")]
    NoName,
    /// Up and bow are not known, so there is nothing to turn.
    #[error("say first which way is up and which way the bow points, then turn it")]
    NothingToTurn,
}

impl IntakeAction {
    /// The draft after it.
    pub(crate) fn apply(&self, now: &Draft, stood: Option<&Stood>) -> Result<Draft, Refused> {
        let mut draft = now.clone();
        let answers = &mut draft.answers;
        match self {
            Self::Name(name) => {
                let name = name.trim();
                if name.is_empty() {
                    return Err(Refused::NoName);
                }
                name.clone_into(&mut draft.name);
            }
            Self::Unit(unit) => {
                answers.unit = *unit;
                // A unit and a measured length would contradict each other.
                answers.length_m = None;
            }
            Self::ScaleLength(length_m) => {
                if length_m.is_some_and(|length_m| !(1.0..=100.0).contains(&length_m)) {
                    return Err(Refused::Length);
                }
                answers.length_m = *length_m;
                answers.unit = None;
            }
            Self::Up(up) => answers.up = *up,
            Self::Forward(forward) => answers.forward = *forward,
            Self::Mirror(mirror) => answers.mirror = *mirror,
            Self::Heel(heel_rad) => answers.heel_rad = *heel_rad,
            Self::Trim(trim_rad) => {
                answers.trim_rad = *trim_rad;
                // Either gives the trim.
                answers.level = None;
            }
            Self::Skin(skin) => answers.skin = *skin,
            Self::CloseDeck(close) => answers.close_deck = *close,
            Self::JoinSlits(width_m) => answers.join_slits_m = *width_m,
            Self::TurnRound | Self::UpsideDown | Self::OnItsSide => {
                let (forward, up) = drawn(now, stood).ok_or(Refused::NothingToTurn)?;
                let side = port(forward, up).ok_or(Refused::NothingToTurn)?;
                let (forward, up) = match self {
                    Self::TurnRound => (opposite(forward), up),
                    Self::UpsideDown => (forward, opposite(up)),
                    _ => (forward, side),
                };
                answers.forward = Some(forward);
                answers.up = Some(up);
            }
            Self::Family(family) => {
                if let Some(measured) = &mut draft.measured {
                    measured.family = *family;
                }
            }
            Self::Measure { kind, value } => {
                // Nought stands for a length or beam that was taken back.
                let value = if is_needed(*kind) {
                    value.or(Some(0.0))
                } else {
                    *value
                };
                if let Some(measured) = &mut draft.measured {
                    measured.measures.set(*kind, value);
                }
            }
            Self::Measures(measures) => {
                if let Some(measured) = &mut draft.measured {
                    measured.measures.clone_from(measures);
                }
            }
            Self::PartUse { part, part_use } => {
                draft.part_mut(part).part_use = Some(*part_use);
            }
            Self::PartName { part, name } => {
                let name = name.trim();
                if name.is_empty() {
                    return Err(Refused::NoName);
                }
                draft.part_mut(part).rename = Some(name.to_owned());
            }
            Self::PartRemove(part) => draft.part_mut(part).remove = true,
            Self::PartKind { part, kind } => draft.part_mut(part).kind = Some(*kind),
            Self::Tolerance(tolerance_m) => {
                if tolerance_m.is_some_and(|off_m| !(0.0..=1.0).contains(&off_m)) {
                    return Err(Refused::Tolerance);
                }
                draft.shape_tolerance_m = *tolerance_m;
            }
            Self::Source { source, chosen } => draft.choose(*source, *chosen),
            Self::Figure {
                source,
                which,
                value,
            } => {
                let hull = stood.map(|stood| &stood.opened.hull);
                draft.figure(*source, &[(*which, *value)], hull);
            }
            Self::Mass(mass) => {
                draft.choose(Figured::Mass, false);
                draft.mass = *mass;
            }
            Self::Centre(centre) => {
                draft.choose(Figured::Centre, false);
                draft.centre = *centre;
            }
            Self::Waterline(line) => {
                draft.choose(Figured::Waterline, false);
                draft.weighing.waterline = *line;
            }
            Self::Scales(scales) => {
                draft.choose(Figured::Scales, false);
                draft.weighing.supports = *scales;
            }
            Self::Kind(kind) => draft.weighing.typical = *kind,
            _ => {}
        }
        Ok(draft)
    }

    /// What it changes, in words with hyphens; runs of the same are one step to undo.
    pub(crate) fn gesture(&self) -> &'static str {
        match self {
            Self::Name(_) => "name",
            Self::Unit(_) => "unit",
            Self::ScaleLength(_) => "length",
            Self::Up(_) => "which-way-is-up",
            Self::Forward(_) => "where-the-bow-is",
            Self::Mirror(_) => "mirror",
            Self::Heel(_) => "heel",
            Self::Trim(_) => "trim",
            Self::Skin(_) => "which-skin",
            Self::CloseDeck(_) => "deck-opening",
            Self::JoinSlits(_) => "slits",
            Self::TurnRound => "turn-round",
            Self::UpsideDown => "turn-over",
            Self::OnItsSide => "turn-on-its-side",
            Self::Family(_) => "kind-of-hull",
            Self::Measure { kind, .. } => kind.word(),
            Self::Measures(_) => "measures",
            Self::PartKind { .. } => "what-a-part-is",
            Self::PartUse { .. } => "what-a-part-counts-for",
            Self::PartName { .. } => "name-of-a-part",
            Self::PartRemove(_) => "take-part-away",
            Self::Tolerance(_) => "shape-tolerance",
            Self::Source { source, .. } | Self::Figure { source, .. } => gesture_of(*source),
            Self::Mass(_) => gesture_of(Figured::Mass),
            Self::Centre(_) => gesture_of(Figured::Centre),
            Self::Waterline(_) => gesture_of(Figured::Waterline),
            Self::Scales(_) => gesture_of(Figured::Scales),
            Self::Kind(_) => "kind-of-boat",
            _ => "hull",
        }
    }
}

fn gesture_of(source: Figured) -> &'static str {
    match source {
        Figured::Mass => "weight",
        Figured::Centre => "centre-of-gravity",
        Figured::Waterline => "waterline",
        Figured::Scales => "scales",
    }
}

/// Bow and up as the hull is drawn: as answered, else as proposed, else the first choice.
fn drawn(draft: &Draft, stood: Option<&Stood>) -> Option<(Axis, Axis)> {
    let examined = stood?.examined.as_ref()?;
    let first = |proposal: &keelstead_files::intake::Proposal<Axis>| {
        proposal.value.or(proposal.choices.first().copied())
    };
    let forward = draft.answers.forward.or(first(&examined.forward))?;
    let up = draft.answers.up.or(first(&examined.up))?;
    Some((forward, up))
}

/// A unit's word with what it is short for.
pub(crate) fn unit_word(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Metre => "metres",
        LengthUnit::Millimetre => "millimetres",
        LengthUnit::Centimetre => "centimetres",
        LengthUnit::Inch => "inches",
        LengthUnit::Foot => "feet",
    }
}

//! What steadies the boat, in figures: pads in turns, on slopes and in wind, and the rig's wheels.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::carrying::Force;

/// Which side the load is pushed to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// To the left (port).
    Left,
    /// To the right (starboard).
    Right,
}

/// What pushes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PushKind {
    /// A turn as working loads ask.
    WorkingTurn,
    /// The hardest turn asked.
    Turn,
    /// A cross slope.
    CrossSlope,
    /// Wind on the lateral profile.
    Wind,
}

impl PushKind {
    /// As a reader would call it.
    pub fn word(self) -> &'static str {
        match self {
            Self::WorkingTurn => "in a turn, working load",
            Self::Turn => "in the hardest turn",
            Self::CrossSlope => "on the cross slope",
            Self::Wind => "in the wind",
        }
    }
}

/// The hull pushed sideways.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Push {
    /// What pushes.
    pub kind: PushKind,
    /// To which side.
    pub to: Side,
    /// Force sideways, N, lean of the suspension left out.
    pub force_n: f64,
    /// How far the suspension leans, rad.
    pub lean_rad: f64,
    /// Whether keel and pads hold it.
    pub held: bool,
    /// Force of each pad, N, in the rig's order; zero where it does not press. Empty if not held.
    pub pads_n: Vec<f64>,
}

/// What one pad must hold.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PadLoad {
    /// Which pad, in the order of `Findings::pads`.
    pub pad: usize,
    /// The greatest force, N.
    pub most_n: f64,
    /// The push that asks it: index into `Steadying::pushes`; none if none presses it.
    pub push: Option<usize>,
    /// That force on the hull, for an arrow.
    pub force: Force,
    /// Force at rest, N.
    pub rest_n: f64,
    /// Of the pad's rating; none if it has none.
    pub rating_ratio: Option<f64>,
    /// Pressure of that force on the hull, Pa.
    pub pressure_pa: f64,
    /// That pressure, of what is asked.
    pub pressure_ratio: f64,
}

/// When the whole rig rolls over.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Rollover {
    /// Lateral acceleration at which the inner wheels lift towards the worse side, (T / 2 − off) / h of
    /// a rigid rig, in multiples of free fall; negative where it rolls over at rest.
    pub rigid_g: f64,
    /// The same with the lean of the suspension.
    pub leaning_g: f64,
    /// The same with every weight and place at the worst end of its tolerance.
    pub worst_g: f64,
    /// Height of the common centre of gravity of boat and trailer, m.
    pub centre_height_m: f64,
    /// How far that centre lies to the left of the trailer's middle, m.
    pub centre_left_m: f64,
    /// Narrowest track of the trailer's axles, m.
    pub track_m: f64,
}

/// What holds the hull upright.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Steadying {
    /// Each way of pushing asked, to both sides.
    pub pushes: Vec<Push>,
    /// Each pad that touches.
    pub pads: Vec<PadLoad>,
    /// Lateral acceleration the keel alone stands before the hull falls, in multiples of free fall.
    pub keel_alone_g: f64,
    /// Lateral acceleration at which a pad reaches its rating or the hull is held no more, in
    /// multiples of free fall, up to [`Steadying::MOST_G`]; none if no pad touches or a touching one
    /// has no rating.
    pub with_pads_g: Option<f64>,
    /// Share of the weight that pads carry at rest.
    pub pad_weight_share: f64,
    /// The same with the centre of gravity at the worse side of its tolerance.
    pub pad_weight_share_worst: f64,
    /// Whether the hull stands at rest at all, pads helping.
    pub rests: bool,
    /// Area of the lateral profile, m².
    pub profile_area_m2: f64,
    /// Stagnation pressure of the wind asked, Pa.
    pub stagnation_pa: f64,
    /// When the whole rig rolls over; none if nobody said what the empty trailer weighs and where.
    pub rollover: Option<Rollover>,
}

impl Steadying {
    /// Where the search for [`Steadying::with_pads_g`] ends.
    pub const MOST_G: f64 = 1.0;
}

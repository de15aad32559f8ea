//! What presses on the road, in figures: coupling and axles.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use keelstead_units::quantity::Sentence;

/// A load as the mass that weighs as much, and how far it may be off.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LoadRange {
    /// As everything is said to be, kg.
    pub load_kg: f64,
    /// At the lightest corner of all tolerances, kg.
    pub least_kg: f64,
    /// At the heaviest corner of all tolerances, kg.
    pub most_kg: f64,
}

/// How boat and trailer press on coupling and axles, standing level and at rest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct AxleLoads {
    /// On the coupling, kg; negative where the trailer lifts it.
    pub coupling: LoadRange,
    /// On each axle of the trailer, kg: all take the same.
    pub each_axle: LoadRange,
    /// How many axles share.
    pub axles: usize,
    /// What the figures leave out or take for granted, for whoever reads them.
    pub mind: Vec<Sentence>,
}

//! What the crew measured once she was set down on the day.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::fields::Fields;
use crate::math::Point;

/// What a height is measured over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// The ground.
    Ground,
    /// The rails' top, along the rails.
    RailTop,
}

/// Something measured after set-down, before she moves.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Measured {
    /// How high a point of the hull stands.
    Height {
        /// What the point is, as a reader would call it: "stem head".
        name: String,
        /// The point, hull frame.
        at: Point,
        /// What it is measured over.
        over: Level,
        /// The height, m.
        height_m: f64,
        /// How far that may be off, m, either way.
        tolerance_m: f64,
    },
    /// The gap between a part of the hull and a part of the rig, at rest.
    Gap {
        /// Name of the hull's part.
        hull_part: String,
        /// Name of the rig's part, as the findings call it.
        rig_part: String,
        /// The gap, m.
        gap_m: f64,
        /// How far that may be off, m, either way.
        tolerance_m: f64,
    },
    /// Whether a stack bears: a knife does not go in between, or it does.
    Bears {
        /// Which beam of the load, from 0.
        beam: usize,
        /// Whether it bears.
        bears: bool,
    },
}

/// No tape is read worse than this, m: a figure beyond it is a slip.
const WORST_TAPE_M: f64 = 0.2;

impl Measured {
    pub(super) fn check(&self, path: &str, beams: usize, fields: &mut Fields) {
        let at = |field: &str| format!("{path}.{field}");
        match self {
            Self::Height {
                at: point,
                height_m,
                tolerance_m,
                ..
            } => {
                fields.point(&at("height.at"), *point, -100.0, 100.0);
                fields.within(&at("height.height_m"), *height_m, -5.0, 30.0);
                fields.within(&at("height.tolerance_m"), *tolerance_m, 0.0, WORST_TAPE_M);
            }
            Self::Gap {
                gap_m, tolerance_m, ..
            } => {
                fields.within(&at("gap.gap_m"), *gap_m, 0.0, 5.0);
                fields.within(&at("gap.tolerance_m"), *tolerance_m, 0.0, WORST_TAPE_M);
            }
            Self::Bears { beam, .. } if *beam >= beams => {
                fields.problem(
                    &at("bears.beam"),
                    beam.to_string(),
                    format!("a beam of the load, from 0 to {}", beams.max(1) - 1),
                );
            }
            Self::Bears { .. } => {}
        }
    }
}

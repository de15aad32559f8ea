//! What is said of a figure that is held against what is required.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a finding says, worst first in order.
///
/// Neither unknown nor pending reads as clear: they stand between foul and tight.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Does not meet what is asked.
    Foul,
    /// A needed input is missing.
    Unknown,
    /// Not foul with every measurement exact; what it is with their tolerances is still to be worked out. Only
    /// a check as drawn says so.
    Pending,
    /// Meets it only if every measurement is exact.
    Tight,
    /// Meets it with its tolerance.
    Clear,
}

impl Verdict {
    /// The verdict on a `value` that must be at least `required`, known to within `tolerance`.
    ///
    /// A NaN gives [`Verdict::Unknown`].
    pub fn at_least(value: f64, required: f64, tolerance: f64) -> Self {
        if !(value.is_finite() && required.is_finite() && tolerance.is_finite()) {
            Self::Unknown
        } else if value < required {
            Self::Foul
        } else if value - tolerance < required {
            Self::Tight
        } else {
            Self::Clear
        }
    }

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Foul => "foul",
            Self::Unknown => "unknown",
            Self::Pending => "pending",
            Self::Tight => "tight",
            Self::Clear => "clear",
        }
    }
}

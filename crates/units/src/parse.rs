//! Figures as people type them, in either unit system whatever they read.

mod length;
mod scalar;

use crate::quantity::Unit;

use super::Units;
pub use length::parse_length;
pub use scalar::{parse_angle, parse_mass};

/// Why a text is no figure of the kind asked for.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TypedError {
    /// Nothing was typed.
    #[error("type {what}, such as {example}")]
    Empty {
        /// What is asked for: "a length".
        what: &'static str,
        /// One in the reader's units.
        example: &'static str,
    },
    /// Something in it is neither number nor unit.
    #[error("\"{found}\" is neither a number nor a unit; type {what} such as {example}")]
    NotUnderstood {
        /// The piece that was not understood.
        found: String,
        /// What is asked for.
        what: &'static str,
        /// One in the reader's units.
        example: &'static str,
    },
    /// A comma that could part thousands or decimals.
    #[error("\"{0}\" can be read two ways: write it without the comma, or with a point")]
    Ambiguous(String),
    /// A decimal length without a unit.
    #[error("\"{0}\" of what? add the unit: mm, cm, m, in or ft")]
    UnitMissing(String),
    /// Units that do not go together, or not in this order.
    #[error("\"{0}\": write the larger unit first and each once, such as 11 ft 3 1/2 in")]
    Mixed(String),
    /// Nothing on this trailer.
    #[error("\"{0}\" is too large here")]
    TooLarge(String),
}

/// The figure that `text` says, in the SI unit of its kind.
///
/// ```
/// # use keelstead_units::quantity::Unit;
/// # use keelstead_units::{Units, parse};
/// assert_eq!(parse("1.2 t", Unit::Mass, Units::Imperial), Ok(1200.0));
/// assert_eq!(parse("148", Unit::Length, Units::Metric), Ok(0.148));
/// ```
///
/// # Errors
/// [`TypedError`], with what to type instead.
pub fn parse(text: &str, unit: Unit, units: Units) -> Result<f64, TypedError> {
    match unit {
        Unit::Length | Unit::Thickness => parse_length(text, units),
        Unit::Mass => parse_mass(text, units),
        Unit::Angle => parse_angle(text),
        Unit::Force => scalar::parse_force(text, units),
        Unit::Pressure => scalar::parse_pressure(text, units),
        Unit::Speed => scalar::parse_speed(text, units),
        Unit::Ratio => scalar::parse_ratio(text),
        Unit::Gravity => scalar::parse_gravity(text),
        Unit::Count => scalar::parse_count(text),
        Unit::Moment => scalar::parse_moment(text, units),
        Unit::Stiffness => scalar::parse_stiffness(text, units),
        Unit::Factor => scalar::parse_factor(text),
    }
}

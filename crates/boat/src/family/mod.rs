//! A hull from a tape: a family of boats whose surface is fitted to a handful of measures.
//!
//! A family is a lines plan at its usual proportions and a prior: how boats of the kind differ from
//! it, as sizes, lines and sections. Measures narrow it. What they leave open is the shape
//! tolerance: how far the surface may be elsewhere, from the spread of surfaces that still meet the
//! measures.
//!
//! Stations are measured forward from the after end of the length over all, heights up from the
//! level of the lowest point of keel or bottom, the boat standing as she floats.
//!
//! ```
//! use keelstead_boat::family::{Family, MeasureKind, Measures, fit};
//!
//! let mut measures = Measures::new(9.4, 2.9);
//! measures.draft_m = Some(1.5);
//! measures.set(MeasureKind::KeelLength, Some(4.2));
//! let fitted = fit(Family::FullKeel, &measures)?;
//! let draft = fitted.measures.iter().find(|m| m.kind == MeasureKind::Draft).unwrap();
//! assert!(draft.misfit.abs() < 0.02);
//! assert!(fitted.tolerance_m > 0.02);
//! # Ok::<(), keelstead_boat::family::FitError>(())
//! ```

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::hull::{HullPart, Taped};
use crate::loft::lines::Lines;
use keelstead_geometry::math::Point;

mod check;
mod fit;
mod keel;
mod kind;
mod measures;
mod parts;
mod plan;
mod reading;
mod solve;
mod space;
mod spread;
mod surface;

#[cfg(test)]
mod tests;

pub use check::{FitError, MeasureProblem};
pub use fit::fit;
pub use kind::{MeasureKind, Place};
pub use measures::{BottomHeight, Girth, Given, HalfBreadth, Measures};

/// A kind of hull.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// Displacement hull, round bilge, long keel, rudder hung on it.
    FullKeel,
    /// Displacement hull, round bilge, fin keel, spade rudder.
    FinKeel,
    /// Beamy hull on a shallow keel with a board in it, rudder on the transom.
    Centreboarder,
    /// Hard-chine planing motorboat: V-bottom, no keel.
    Planing,
    /// Hard-chine workboat with a long skeg, propeller and spade rudder.
    SkegWorkboat,
    /// Two slender hulls and a bridge deck.
    Catamaran,
    /// Round bilge, pointed at both ends.
    DoubleEnder,
    /// Flat bottom, one chine, flared sides.
    Skiff,
}

impl Family {
    /// Every family, as lists show them.
    pub const ALL: [Self; 8] = [
        Self::FullKeel,
        Self::FinKeel,
        Self::Centreboarder,
        Self::Planing,
        Self::SkegWorkboat,
        Self::Catamaran,
        Self::DoubleEnder,
        Self::Skiff,
    ];

    /// Its word, as it stands in a measures document.
    pub fn word(self) -> &'static str {
        match self {
            Self::FullKeel => "full-keel",
            Self::FinKeel => "fin-keel",
            Self::Centreboarder => "centreboarder",
            Self::Planing => "planing",
            Self::SkegWorkboat => "skeg-workboat",
            Self::Catamaran => "catamaran",
            Self::DoubleEnder => "double-ender",
            Self::Skiff => "skiff",
        }
    }

    /// Length over all and beam of a usual boat of the family, m: to draw or try it by, never to stand for a measure.
    /// Common practice, no source.
    pub fn usual_size_m(self) -> (f64, f64) {
        match self {
            Self::FullKeel => (9.4, 2.9),
            Self::FinKeel => (10.5, 3.3),
            Self::Centreboarder => (7.0, 2.75),
            Self::Planing => (9.0, 2.9),
            Self::SkegWorkboat => (11.0, 3.6),
            Self::Catamaran => (11.5, 6.4),
            Self::DoubleEnder => (8.0, 2.5),
            Self::Skiff => (5.0, 1.6),
        }
    }

    /// What boats are of it, in a sentence.
    pub fn says(self) -> &'static str {
        match self {
            Self::FullKeel => {
                "round bilge, a long keel with the rudder hung on its after end: older sailing yachts, motor sailers"
            }
            Self::FinKeel => {
                "round bilge, a fin keel and a spade rudder apart from it: most sailing yachts since the seventies"
            }
            Self::Centreboarder => {
                "beamy and round, a shallow keel with a board hauled up into it, rudder on the transom: boats that dry out"
            }
            Self::Planing => {
                "a V-bottom with a hard chine and no keel: fast motorboats and cruisers on outdrives or shafts"
            }
            Self::SkegWorkboat => {
                "hard chine, a long straight skeg to stand on, propeller and rudder behind it: workboats, trawler yachts"
            }
            Self::Catamaran => "two slender round hulls joined by a bridge deck",
            Self::DoubleEnder => {
                "round bilge, pointed at both ends, a bar keel: lifeboats, whaleboats, canoe-sterned boats"
            }
            Self::Skiff => {
                "a flat bottom, one chine and flared sides: skiffs, punts with a pointed bow, barges' boats"
            }
        }
    }
}

/// A surface fitted to measures.
#[derive(Debug, Clone)]
pub struct Fitted {
    /// Its named parts, hull frame, each closed and facing outward.
    pub parts: Vec<HullPart>,
    /// The lines that its body was made from, hull frame; of two hulls those of one, about its own middle plane.
    pub lines: Lines,
    /// Each measure given: what was asked, what the surface has.
    pub measures: Vec<Reached>,
    /// What was not measured, as the surface has it, with how far the boat may be from it.
    pub estimates: Vec<Estimate>,
    /// Mass of the sea water that the parts push aside at the draft, kg.
    pub displacement_kg: f64,
    /// Height of the water over the lowest point: the draft, m.
    pub draft_m: f64,
    /// Where the after end of the length over all lies, hull frame, m: a station of the measures is
    /// so much forward of it.
    pub after_end_x_m: f64,
    /// How far the boat's surface may be from this one anywhere, m: see [`CONFIDENCE`].
    pub tolerance_m: f64,
    /// What is known beyond the surface.
    pub taped: Taped,
    /// Where it is widest open, and what would narrow it.
    pub open: Open,
}

/// Standard deviations that the shape tolerance spans: two, so that at its widest place about one
/// boat in twenty of the family lies beyond. Common practice, no source.
pub const CONFIDENCE: f64 = 2.0;

/// A measure and what became of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Reached {
    /// What was measured.
    pub kind: MeasureKind,
    /// Which of its kind, counted from nought, where a kind is measured at several places.
    pub index: usize,
    /// Where, for such a kind.
    pub at: Option<Place>,
    /// What was asked for: m, or kg for the displacement.
    pub asked: f64,
    /// How far the measure may be off, either way.
    pub tolerance: f64,
    /// What the surface has; none where it is not there at all.
    pub reached: Option<f64>,
    /// Reached less asked; the whole of what was asked where the surface is not there.
    pub misfit: f64,
    /// Whether it is met within its tolerance.
    pub met: bool,
}

/// What was not measured, as the surface has it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// What it is.
    pub kind: MeasureKind,
    /// Its figure: m, or kg for the displacement.
    pub value: f64,
    /// How far the boat's may be from it, either way.
    pub tolerance: f64,
}

/// Where the surface is widest open.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Open {
    /// Name of the part.
    pub part: String,
    /// The place, hull frame.
    pub at: Point,
    /// What to measure next, the best first; empty if no measure would help.
    pub next: Vec<Next>,
}

/// A measure not taken yet, and what it would do.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Next {
    /// What to measure.
    pub kind: MeasureKind,
    /// Where, for a kind that is measured at places.
    pub at: Option<Place>,
    /// What the shape tolerance would then be, m.
    pub tolerance_m: f64,
}

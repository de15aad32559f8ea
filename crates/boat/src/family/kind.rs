//! What can be measured of a boat on the hard in five minutes.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Family;
use super::reading::HAND_M;
use keelstead_units::fields::Range;
use keelstead_units::quantity::{Sentence, Unit};

/// A kind of measure.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum MeasureKind {
    /// Length over all of the hull.
    Length,
    /// Greatest beam.
    Beam,
    /// Draft.
    Draft,
    /// Length of the waterline.
    WaterlineLength,
    /// Height of the sheer at the stem.
    HeightBow,
    /// Height of the sheer at half the length.
    HeightMiddle,
    /// Height of the sheer at the after end.
    HeightStern,
    /// Breadth of the transom at the sheer.
    TransomBreadth,
    /// Rake of the stem.
    StemRake,
    /// Rake of the transom or sternpost.
    SternRake,
    /// Where the underside of the keel begins.
    KeelStart,
    /// Length of the keel's underside.
    KeelLength,
    /// Width of the keel's underside.
    KeelWidth,
    /// Where the underside rises to the bow.
    Forefoot,
    /// Where the rudder begins.
    RudderStart,
    /// Height of the rudder's foot.
    RudderFoot,
    /// Breadth of one hull of two.
    HullBreadth,
    /// Height of the bridge deck's underside.
    BridgeHeight,
    /// Height of the highest point that travels with her.
    Highest,
    /// How far anything that travels with her reaches forward of the stem.
    BeyondBow,
    /// How far anything that travels with her reaches aft of the length over all.
    BeyondStern,
    /// Greatest breadth with all that is fixed to her sides.
    BeamOverAll,
    /// Displacement.
    Displacement,
    /// Half-breadth at a station and height.
    HalfBreadth,
    /// Height of the bottom at a station and breadth.
    BottomHeight,
    /// Girth at a station.
    Girth,
}

/// Where a measure is taken: a station, and a height or a distance off the centreline.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Forward of the after end of the length over all, m.
    pub station_m: f64,
    /// Over the level of the lowest point, m; none where it is not asked, or means the sheer.
    pub height_m: Option<f64>,
    /// Off the centreline of the hull, m; none where it is not asked.
    pub off_m: Option<f64>,
}

use MeasureKind as K;

impl MeasureKind {
    /// Every kind, as a form asks for them: those that matter most first.
    pub const ALL: [Self; 26] = [
        K::Length,
        K::Beam,
        K::Draft,
        K::WaterlineLength,
        K::HeightBow,
        K::HeightMiddle,
        K::HeightStern,
        K::TransomBreadth,
        K::StemRake,
        K::SternRake,
        K::KeelStart,
        K::KeelLength,
        K::KeelWidth,
        K::Forefoot,
        K::RudderStart,
        K::RudderFoot,
        K::HullBreadth,
        K::BridgeHeight,
        K::Highest,
        K::BeyondBow,
        K::BeyondStern,
        K::BeamOverAll,
        K::Displacement,
        K::HalfBreadth,
        K::BottomHeight,
        K::Girth,
    ];

    /// Its word: in a measures document under `tolerances`, and as an option of the command.
    pub fn word(self) -> &'static str {
        match self {
            K::Length => "length",
            K::Beam => "beam",
            K::Draft => "draft",
            K::WaterlineLength => "waterline-length",
            K::HeightBow => "height-bow",
            K::HeightMiddle => "height-middle",
            K::HeightStern => "height-stern",
            K::TransomBreadth => "transom-breadth",
            K::StemRake => "stem-rake",
            K::SternRake => "stern-rake",
            K::KeelStart => "keel-start",
            K::KeelLength => "keel-length",
            K::KeelWidth => "keel-width",
            K::Forefoot => "forefoot",
            K::RudderStart => "rudder-start",
            K::RudderFoot => "rudder-foot",
            K::HullBreadth => "hull-breadth",
            K::BridgeHeight => "bridge-height",
            K::Highest => "highest",
            K::BeyondBow => "beyond-bow",
            K::BeyondStern => "beyond-stern",
            K::BeamOverAll => "beam-over-all",
            K::Displacement => "displacement",
            K::HalfBreadth => "half-breadth",
            K::BottomHeight => "bottom-height",
            K::Girth => "girth",
        }
    }

    /// Its field in a measures document.
    pub fn field(self) -> &'static str {
        match self {
            K::Length => "length_m",
            K::Beam => "beam_m",
            K::Draft => "draft_m",
            K::WaterlineLength => "waterline_length_m",
            K::HeightBow => "height_bow_m",
            K::HeightMiddle => "height_middle_m",
            K::HeightStern => "height_stern_m",
            K::TransomBreadth => "transom_breadth_m",
            K::StemRake => "stem_rake_m",
            K::SternRake => "stern_rake_m",
            K::KeelStart => "keel_start_m",
            K::KeelLength => "keel_length_m",
            K::KeelWidth => "keel_width_m",
            K::Forefoot => "forefoot_m",
            K::RudderStart => "rudder_start_m",
            K::RudderFoot => "rudder_foot_m",
            K::HullBreadth => "hull_breadth_m",
            K::BridgeHeight => "bridge_height_m",
            K::Highest => "highest_m",
            K::BeyondBow => "beyond_bow_m",
            K::BeyondStern => "beyond_stern_m",
            K::BeamOverAll => "beam_over_all_m",
            K::Displacement => "displacement_kg",
            K::HalfBreadth => "half_breadths",
            K::BottomHeight => "bottom_heights",
            K::Girth => "girths",
        }
    }

    /// What it is called in a table or a form.
    pub fn title(self) -> &'static str {
        match self {
            K::Length => "length over all",
            K::Beam => "beam",
            K::Draft => "draft",
            K::WaterlineLength => "waterline length",
            K::HeightBow => "height at the bow",
            K::HeightMiddle => "height amidships",
            K::HeightStern => "height at the stern",
            K::TransomBreadth => "breadth of the transom",
            K::StemRake => "rake of the stem",
            K::SternRake => "rake of the stern",
            K::KeelStart => "start of the keel",
            K::KeelLength => "length of the keel",
            K::KeelWidth => "width of the keel",
            K::Forefoot => "forefoot",
            K::RudderStart => "start of the rudder",
            K::RudderFoot => "foot of the rudder",
            K::HullBreadth => "breadth of one hull",
            K::BridgeHeight => "height under the bridge deck",
            K::Highest => "height of the highest point",
            K::BeyondBow => "reach beyond the bow",
            K::BeyondStern => "reach beyond the stern",
            K::BeamOverAll => "beam over all",
            K::Displacement => "displacement",
            K::HalfBreadth => "half-breadth",
            K::BottomHeight => "height of the bottom",
            K::Girth => "girth",
        }
    }

    /// How to measure it, in a sentence.
    pub fn how(self) -> Sentence {
        Sentence::new(match self {
            K::Length => {
                "Along the ground from a plumb line at the transom to one at the stem, without rudder, rails or bowsprit."
            }
            K::Beam => "The greatest breadth over the skin, without rubbing strakes.",
            K::Draft => {
                "From the waterline (the boot top's lower edge or the weed) down to the level of the lowest point, board up."
            }
            K::WaterlineLength => {
                "Between plumb lines from the two ends of the waterline on the hull."
            }
            K::HeightBow => "From the level of the lowest point up to the deck's edge at the stem.",
            K::HeightMiddle => {
                "From the level of the lowest point up to the deck's edge at half the length."
            }
            K::HeightStern => {
                "From the level of the lowest point up to the deck's edge at the transom or sternpost."
            }
            K::TransomBreadth => "Across the top edge of the transom.",
            K::StemRake => {
                "How far a plumb line from the head of the stem hangs forward of the stem at the waterline."
            }
            K::SternRake => {
                "How far a plumb line from the top of the transom or sternpost hangs aft of its foot; less than nothing if the top leans forward."
            }
            K::KeelStart => {
                "From the after end of the boat forward to the after end of the keel's underside."
            }
            K::KeelLength => {
                "Along the part of the keel's underside that a straightedge would lie on: what stands on blocks."
            }
            K::KeelWidth => "Across the keel's underside where it is widest.",
            K::Forefoot => {
                return Sentence::new(
                    "From the after end of the boat forward to where the underside has risen",
                )
                .length(HAND_M)
                .words("over the lowest point.");
            }
            K::RudderStart => {
                "From the after end of the boat forward to the rudder's forward edge, at half its height."
            }
            K::RudderFoot => "From the level of the lowest point up to the rudder's foot.",
            K::HullBreadth => "The greatest breadth of one hull of the two.",
            K::BridgeHeight => {
                "From the level of the lowest point up to the underside of the bridge deck."
            }
            K::Highest => {
                "From the level of the lowest point up to the highest that travels with her: house, rails, arch, a lowered mast. They are not drawn; it lets the height on the road be known."
            }
            K::BeyondBow => {
                "From the head of the stem forward to the foremost that travels with her: bowsprit, pulpit, anchor. Nothing if nothing reaches beyond."
            }
            K::BeyondStern => {
                "From the after end of the length over all aft to the aftmost that travels with her: platform, bracket, davits, rudder. Nothing if nothing reaches beyond."
            }
            K::BeamOverAll => {
                "The greatest breadth with all that is fixed to her sides: rubbing strakes, rails, fenders that stay on. Between plumb lines from both sides."
            }
            K::Displacement => "What the boat weighs afloat, from papers or a crane's scale.",
            K::HalfBreadth => {
                "At a station and a height: from the centreline out to the skin. Hold a level against the hull, drop a plumb line, halve the distance between both sides' lines."
            }
            K::BottomHeight => {
                "At a station and a distance off the centreline: from the level of the lowest point up to the bottom."
            }
            K::Girth => {
                "At a station: along the skin from the deck's edge down to the centreline, or to where the keel meets the hull."
            }
        })
    }

    /// What its figure is: a length in metres or a mass in kilograms.
    pub fn unit(self) -> Unit {
        match self {
            K::Displacement => Unit::Mass,
            _ => Unit::Length,
        }
    }

    /// Values that can be meant, m or kg.
    pub fn range(self) -> Range {
        let (min, max) = match self {
            K::Length => (1.5, 60.0),
            K::WaterlineLength => (1.0, 60.0),
            K::Beam => (0.4, 20.0),
            K::Draft => (0.03, 10.0),
            K::HeightBow | K::HeightMiddle | K::HeightStern => (0.1, 20.0),
            K::TransomBreadth => (0.0, 20.0),
            K::StemRake | K::SternRake => (-20.0, 20.0),
            K::KeelStart | K::RudderStart => (-1.0, 60.0),
            K::RudderFoot => (0.0, 10.0),
            K::KeelLength => (0.05, 60.0),
            K::KeelWidth => (0.005, 3.0),
            K::Forefoot => (0.0, 60.0),
            K::HullBreadth => (0.2, 10.0),
            K::BridgeHeight => (0.1, 10.0),
            K::Highest => (0.1, 40.0),
            K::BeyondBow | K::BeyondStern => (0.0, 10.0),
            K::BeamOverAll => (0.4, 20.0),
            K::Displacement => (20.0, 500_000.0),
            K::HalfBreadth => (0.0, 10.0),
            K::BottomHeight => (0.0, 20.0),
            K::Girth => (0.1, 20.0),
        };
        Range { min, max }
    }

    /// How far a measure of its kind may be off where nobody says, either way: metres, and for the
    /// displacement a part of it. What a tape held by two people in a yard is good for: common
    /// practice, no source.
    pub fn usual_tolerance(self) -> f64 {
        match self {
            K::Beam | K::BeamOverAll | K::TransomBreadth | K::KeelWidth | K::HullBreadth => 0.010,
            K::Length | K::HalfBreadth | K::BottomHeight | K::BridgeHeight => 0.015,
            K::Draft | K::HeightBow | K::HeightMiddle | K::HeightStern | K::Girth => 0.020,
            K::KeelStart | K::SternRake | K::RudderStart | K::RudderFoot => 0.025,
            K::Highest | K::BeyondBow | K::BeyondStern => 0.025,
            K::KeelLength | K::StemRake => 0.040,
            K::WaterlineLength | K::Forefoot => 0.060,
            K::Displacement => 0.05,
        }
    }

    /// Whether the fitted surface has it; what it has not is kept beside it.
    pub fn is_of_surface(self) -> bool {
        !matches!(
            self,
            K::Highest | K::BeyondBow | K::BeyondStern | K::BeamOverAll
        )
    }

    /// Whether it is measured at places, as often as one likes.
    pub fn at_places(self) -> bool {
        matches!(self, K::HalfBreadth | K::BottomHeight | K::Girth)
    }

    /// Whether boats of the family have it.
    pub fn fits(self, family: Family) -> bool {
        use Family as F;
        match self {
            K::KeelStart | K::KeelLength | K::KeelWidth => {
                !matches!(family, F::Planing | F::Catamaran | F::Skiff)
            }
            K::Forefoot => family != F::FinKeel,
            K::TransomBreadth => family != F::DoubleEnder,
            K::RudderStart | K::RudderFoot => matches!(family, F::FinKeel | F::SkegWorkboat),
            K::HullBreadth | K::BridgeHeight => family == F::Catamaran,
            _ => true,
        }
    }
}

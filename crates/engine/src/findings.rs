//! Everything the engine concluded about a load: what every face shows.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use keelstead_boat::hull::PartKind;
use keelstead_geometry::math::{Point, PoseRecord};
use keelstead_geometry::shape::Shape;
use keelstead_units::quantity::{Basis, Quantity, Sentence};

mod carrying;
mod road;
mod steadying;

pub use carrying::{Carried, Carrying, Check, Force, KeelStation, Member, Use};
pub use road::{AxleLoads, LoadRange};
pub use steadying::{PadLoad, Push, PushKind, Rollover, Side, Steadying};

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
    /// [`check_as_drawn`](crate::check::check_as_drawn) says so.
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

/// What a finding is about.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Topic {
    /// The job itself contradicts its rig or hull, or names what is not there.
    Input,
    /// Whether the hull stands at all: centre of gravity and supports.
    Balance,
    /// Whether a stack reaches the keel, or can be made.
    Support,
    /// Whether beams, blocks and keel hold what they carry.
    Strength,
    /// Gap between hull and rig or ground, or between parts of the rig.
    Clearance,
    /// A pad.
    Pad,
    /// Whether pads hold the hull upright, and the rig its wheels on the road.
    Steadying,
    /// Weights against ratings.
    Weight,
    /// Overall height and width.
    Size,
    /// The hull's mesh or figures.
    Hull,
}

/// Where in space a finding is. Trailer frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    /// At a point.
    Point(Point),
    /// Between a point of the hull and a point of the rig or the ground.
    Between {
        /// On the hull.
        hull: Point,
        /// On the rig or the ground.
        rig: Point,
    },
}

/// One conclusion.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Finding {
    /// Stable name: the same for the same question in every check of a load.
    pub id: String,
    /// What it is about.
    pub topic: Topic,
    /// What it says.
    pub verdict: Verdict,
    /// A few words that name it: "keel to tyre, axle 1 left".
    pub title: String,
    /// What was found, in a sentence.
    pub says: Sentence,
    /// What to do about it, where the engine knows.
    pub advice: Option<Sentence>,
    /// The figure found.
    pub found: Option<Quantity>,
    /// The figure asked.
    pub required: Option<Quantity>,
    /// How far the figure found may be off.
    pub tolerance: Option<Quantity>,
    /// What the figures rest on.
    pub rests_on: Vec<Basis>,
    /// Where it is.
    pub place: Option<Place>,
}

/// Everything concluded about a load.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Findings {
    /// The worst of all findings.
    pub verdict: Verdict,
    /// Whether what the tolerances make of them is still to be worked out: they are those of
    /// [`check_as_drawn`](crate::check::check_as_drawn), even where all of them are foul or unknown.
    #[serde(default, skip)]
    pub pending: bool,
    /// All findings, worst first.
    pub list: Vec<Finding>,
    /// Where the hull came to rest; where it was put if nothing holds it up.
    pub trailer_from_hull: PoseRecord,
    /// Bow up relative to the ground, rad.
    pub trim_rad: f64,
    /// Each beam in place, in the load's order.
    pub supports: Vec<Support>,
    /// Each pad of the rig, in the rig's order.
    pub pads: Vec<Pad>,
    /// What each support carries and how hard it is used; none where nothing can be shared: no
    /// weight known, no support under the hull, or the hull tips.
    pub carrying: Option<Carrying>,
    /// What the pads must hold; none where the hull does not stand or its weight is not known.
    pub steadying: Option<Steadying>,
    /// What presses on coupling and axles; none where something needed is not known: the findings say
    /// what.
    pub road: Option<AxleLoads>,
    /// How much room the whole takes on the road.
    pub size: Size,
    /// Mass of the boat with what the load adds, kg; none if nobody said what she weighs.
    pub mass_kg: Option<f64>,
    /// What was measured after set-down beside what was worked out without it, in the load's order.
    pub measured: Vec<Compared>,
    /// The rig as it stands: every part with shape and place.
    pub rig_parts: Vec<RigPart>,
}

impl Findings {
    /// The finding of this id; none if the question did not come up.
    pub fn finding(&self, id: &str) -> Option<&Finding> {
        self.list.iter().find(|finding| finding.id == id)
    }
}

/// Something measured after set-down beside what was worked out without it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Compared {
    /// What it is of, as a reader would call it: "height of stem head over the ground".
    pub name: String,
    /// What was measured, in a sentence.
    pub measured: Sentence,
    /// The height or gap at rest that was worked out, m; none where none could be, and of a stack that bears or does not.
    pub computed_m: Option<f64>,
    /// How far that may be off, m, either way.
    pub tolerance_m: Option<f64>,
    /// Clear where both may be right, foul where they cannot or it is of nothing that is there, unknown where they cannot be
    /// compared.
    pub verdict: Verdict,
    /// What was worked out, in a sentence.
    pub says: Sentence,
    /// What to do, where it cannot be.
    pub advice: Option<Sentence>,
}

impl Compared {
    /// Something that cannot be compared.
    pub(crate) fn unknown(name: impl Into<String>, says: Sentence) -> Self {
        Self {
            name: name.into(),
            measured: Sentence::default(),
            computed_m: None,
            tolerance_m: None,
            verdict: Verdict::Unknown,
            says,
            advice: None,
        }
    }
}

/// A beam in place, with its stack.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Support {
    /// Which beam of the load it is, from 0: a beam that cannot be placed has no support.
    pub beam: usize,
    /// As a reader would call it: "beam in pocket 2".
    pub name: String,
    /// Middle of the top face of the stack. Trailer frame.
    pub top: Point,
    /// Height of blocks and shims on the beam, m.
    pub stack_height_m: f64,
    /// Vertical gap from the top face to the hull, m; none if the hull does not reach over it.
    pub gap_m: Option<f64>,
    /// Whether the hull rests on it: it carries a load, or is within the contact setting.
    pub carries: bool,
    /// Point of the hull nearest above the top face. Trailer frame.
    pub contact: Option<Point>,
    /// Stack height the wanted stance needs here, m; none if no stance is wanted or nothing is
    /// above.
    pub needed_height_m: Option<f64>,
}

/// A pad as it stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Pad {
    /// The pad's name.
    pub name: String,
    /// Whether it is in use.
    pub state: PadState,
    /// Distance from pivot to pad face, m.
    pub reach_m: f64,
    /// Point of the hull it touches. Trailer frame.
    pub contact: Option<Point>,
    /// Angle between pad face and hull at the contact, rad.
    pub face_angle_rad: Option<f64>,
}

/// What became of a pad.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PadState {
    /// Not in use.
    Stowed,
    /// Touches the hull.
    Touching,
    /// Set short of the hull.
    Short,
    /// Set so far out that it would press into the hull.
    Pressing,
    /// Run out as far as it goes without touching.
    OutOfReach,
}

/// Signed gap between a hull part and a rig part or the ground.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Clearance {
    /// Index of the hull part.
    pub hull_part: usize,
    /// Index into [`Findings::rig_parts`].
    pub rig_part: usize,
    /// Gap, m; negative where they overlap, by how much.
    pub gap_m: f64,
    /// The nearest (or deepest) point of the hull. Trailer frame.
    pub on_hull: Point,
    /// The nearest (or deepest) point of the rig part. Trailer frame.
    pub on_rig: Point,
}

/// How much room the whole takes on the road. Trailer and boat, tractor left out.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Size {
    /// Greatest height above ground, m.
    pub height_m: f64,
    /// How that height is to be read.
    pub height_is: Bound,
    /// Greatest width, m.
    pub width_m: f64,
    /// How that width is to be read.
    pub width_is: Bound,
    /// From the foremost to the aftmost point, m.
    pub length_m: f64,
    /// How that length is to be read.
    pub length_is: Bound,
    /// How far the boat reaches behind the trailer, m (negative: it ends before it).
    pub rear_overhang_m: f64,
    /// How that overhang is to be read.
    pub rear_overhang_is: Bound,
    /// Highest point. Trailer frame.
    pub highest: Point,
    /// Widest point, on the side that reaches farther from the middle of the trailer. Trailer frame.
    pub widest: Point,
}

impl Size {
    /// Whether it was worked out: a job that contradicts itself has none.
    pub fn is_known(&self) -> bool {
        self.height_m > 0.0
    }
}

/// How a figure is to be read that rests on what was not drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Bound {
    /// As it stands.
    #[default]
    Exact,
    /// It is no less, and may be more: something that counts was not measured.
    AtLeast,
    /// It is no more.
    AtMost,
}

impl Bound {
    /// The words before the figure, with a space behind; empty where it stands as it is.
    pub fn words(self) -> &'static str {
        match self {
            Self::Exact => "",
            Self::AtLeast => "at least ",
            Self::AtMost => "at most ",
        }
    }
}

/// What a rig part is; decides what gap is asked.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum RigPartKind {
    /// Side rail.
    Rail,
    /// Cross member or gooseneck.
    Member,
    /// Tyre.
    Tyre,
    /// Mudguard.
    Mudguard,
    /// Pad, the part that touches.
    Pad,
    /// Arm or post of a pad.
    PadArm,
    /// Cross beam.
    Beam,
    /// Block of a stack.
    Block,
    /// Shim or wedge.
    Packing,
    /// Tractor.
    Tractor,
    /// Ground: the plane z = 0.
    Ground,
}

/// A part of the rig as it stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RigPart {
    /// As a reader would call it: "tyre, axle 1 left".
    pub name: String,
    /// What it is.
    pub kind: RigPartKind,
    /// Its shape.
    pub shape: Shape,
    /// Where it stands.
    pub trailer_from_part: PoseRecord,
    /// Which beam of the load it belongs to, for beams, blocks and packing.
    pub beam: Option<usize>,
    /// Which pad of the rig it belongs to, for pads and their arms.
    pub pad: Option<usize>,
}

/// Whether a hull part of this kind may touch a rig part of that kind.
pub fn may_touch(hull: PartKind, rig: RigPartKind) -> bool {
    match rig {
        RigPartKind::Beam | RigPartKind::Block | RigPartKind::Packing => hull.may_bear(),
        RigPartKind::Pad => hull.may_be_steadied(),
        _ => false,
    }
}

//! Everything the engine concluded about a load: what every face shows.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use keelstead_geometry::math::{Point, PoseRecord};
use keelstead_load::pads::Pad;
use keelstead_load::rig_parts::RigPart;
use keelstead_statics::carrying::Carrying;
use keelstead_statics::steadying::Steadying;
use keelstead_units::quantity::{Basis, Quantity, Sentence};
use keelstead_units::verdict::Verdict;

mod road;

pub use road::{AxleLoads, LoadRange};

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

//! What a person can do while a hull is brought in, as data.

use keelstead_boat::family::{Family, MeasureKind, Measures};
use keelstead_boat::hull::{CentreOfGravity, Mass, PartKind, PartUse};
use keelstead_boat::weigh::{MarkedWaterline, SupportLoads, Typical};
use keelstead_files::hull_file::{Axis, LengthUnit};
use keelstead_files::intake::Skin;
use keelstead_geometry::math::Point;
use serde::{Deserialize, Serialize};

use super::begun::Figured;
use super::marks::MarkTool;

/// Where on the way a hull is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// Where it comes from.
    Choose,
    /// Which way up, how large, which end is the bow.
    Stand,
    /// What a tape measured, in the place of standing up.
    Measure,
    /// What its parts are.
    Parts,
    /// What it weighs and how it floats.
    Weigh,
    /// Where nothing may press, where pads belong, where it is lifted.
    Marks,
    /// What was found and done, and what shall become of it.
    Done,
    /// The yard's own hulls, beside the way.
    Shelf,
}

impl Step {
    /// Every step of any way, in order.
    pub const PATH: [Self; 7] = [
        Self::Choose,
        Self::Stand,
        Self::Measure,
        Self::Parts,
        Self::Weigh,
        Self::Marks,
        Self::Done,
    ];

    /// The word on its button.
    pub fn word(self) -> &'static str {
        match self {
            Self::Choose => "Choose",
            Self::Stand => "Stand up",
            Self::Measure => "Measure",
            Self::Parts => "Parts",
            Self::Weigh => "Weight",
            Self::Marks => "Marks",
            Self::Done => "Put to use",
            Self::Shelf => "Shelf",
        }
    }
}

/// One thing done while a hull is brought in. Lengths in metres, places in the hull frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum IntakeAction {
    /// Begins to bring in a hull, or goes back to the one put aside.
    Begin,
    /// Asks for a file of a hull.
    Open,
    /// Goes to a step.
    Go(Step),
    /// Goes one step on.
    Next,
    /// Goes one step back; from the first it leaves.
    Back,
    /// Leaves, and asks first if something would be lost.
    Leave,
    /// Goes back to the job and keeps the hull for later.
    PutAside,
    /// Gives the hull up.
    GiveUp,
    /// Stays after all.
    Stay,
    /// Stops what is being worked out.
    Stop,
    /// Works it out once more.
    TryAgain,

    /// Names the boat.
    Name(String),
    /// Says in which unit the file is; none leaves it to what is proposed.
    Unit(Option<LengthUnit>),
    /// Says which of the file's axes points up.
    Up(Option<Axis>),
    /// Says which of the file's axes points to the bow.
    Forward(Option<Axis>),
    /// Says whether it is half a hull, to be mirrored.
    Mirror(Option<bool>),
    /// Says how far it is heeled in the file, rad; that is taken out.
    Heel(Option<f64>),
    /// Says how far the bow is up in the file, rad; that is taken out.
    Trim(Option<f64>),
    /// Says which of two skins is kept.
    Skin(Option<Skin>),
    /// Closes the openings upward, so that the hull has a volume, or leaves them.
    CloseDeck(bool),
    /// Joins open edges that run side by side no farther apart than this, m; none leaves them.
    JoinSlits(Option<f64>),
    /// Says how long the boat is over all; none leaves the size to the unit.
    ScaleLength(Option<f64>),
    /// Turns the bow to where the stern is.
    TurnRound,
    /// Turns keel and deck over.
    UpsideDown,
    /// Turns a hull that lies on its side a quarter about its length.
    OnItsSide,

    /// Begins with a tape measure instead of a file.
    MeasureIt,
    /// Says which kind of hull was measured.
    Family(Family),
    /// Says what was measured, once for the boat; none takes it back.
    Measure {
        /// What.
        kind: MeasureKind,
        /// The measure, m or kg.
        value: Option<f64>,
    },
    /// Says all that was measured, measures at places too.
    Measures(Box<Measures>),

    /// Looks at a part, by its index in the hull.
    PickPart(Option<usize>),
    /// Something of the hull was pressed in the picture.
    Pressed {
        /// The part, by its index in the hull.
        part: usize,
        /// Where, hull frame.
        at: Point,
    },
    /// Says what a part counts for.
    PartUse {
        /// Its name.
        part: String,
        /// What it counts for.
        #[serde(rename = "use")]
        part_use: PartUse,
    },
    /// Gives a part another name.
    PartName {
        /// Its name so far.
        part: String,
        /// The new one.
        name: String,
    },
    /// Says that a part is none of the boat: a stand, the ground.
    PartRemove(String),
    /// Says what a part is.
    PartKind {
        /// Its name.
        part: String,
        /// What it is.
        kind: PartKind,
    },

    /// Says how far the surface may be from the boat's, m; none leaves it to what is known of it.
    Tolerance(Option<f64>),
    /// Chooses what shall tell weight or centre, and nothing more; or takes it back with all that it said.
    Source {
        /// What.
        source: Figured,
        /// Whether it is chosen.
        chosen: bool,
    },
    /// Gives a figure of a source that was chosen; nothing follows before all of them are there.
    Figure {
        /// Of what.
        source: Figured,
        /// Which, by its number in [`Figured::asks`].
        which: usize,
        /// The figure, m or kg.
        value: f64,
    },
    /// States what she weighs; none if that is not known.
    Mass(Option<Mass>),
    /// States where the weight acts.
    Centre(Option<CentreOfGravity>),
    /// Marks the waterline.
    Waterline(Option<MarkedWaterline>),
    /// Says what two scales under her read.
    Scales(Option<SupportLoads>),
    /// Says what kind of boat she is, for what is usual of it.
    Kind(Option<Typical>),

    /// Says what a press on the hull puts there.
    Tool(MarkTool),

    /// Puts the hull on the yard's shelf.
    Shelve {
        /// Whether it takes the place of a hull of the same name.
        #[serde(default)]
        replace: bool,
    },
    /// Takes a hull from the shelf to work on it, by its id.
    OpenShelved(String),
    /// Gives a hull on the shelf another name.
    RenameShelved {
        /// Its id.
        id: String,
        /// The new name.
        name: String,
    },
    /// Asks whether a hull shall be taken off the shelf for good, by its id; none thinks better of
    /// it.
    AskRemove(Option<String>),

    /// Puts the hull in place of the open job's.
    UseInJob,
    /// Starts a job with it on this rig, by its number among [`crate::Session::rigs`].
    NewJob(usize),
}

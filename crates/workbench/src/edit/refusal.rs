//! Why an edit is refused.

use keelstead_files::FileError;
use keelstead_units::fields::FieldProblem;
use keelstead_units::quantity::Sentence;

use crate::words::capital;

impl Refusal {
    /// The same as a sentence, in the reader's units.
    pub fn says(&self) -> Sentence {
        match self {
            Self::WrongMeasurement(problem) | Self::WrongMark(problem) => {
                Sentence::new(format!("{}:", capital(&problem.field()))).and(&problem.says())
            }
            _ => Sentence::new(capital(&self.to_string())),
        }
    }
}

/// Why an edit was refused; nothing has changed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// The load has no such beam.
    #[error("there is no beam {number} in this arrangement; it has {count}")]
    NoBeam {
        /// Asked for, counted from 1.
        number: usize,
        /// How many there are.
        count: usize,
    },
    /// The stack has no such block.
    #[error("there is no block {number} on that beam; its stack has {count}")]
    NoBlock {
        /// Asked for, counted from 1 at the bottom.
        number: usize,
        /// How many there are.
        count: usize,
    },
    /// The stock does not have it, or not so many.
    #[error(
        "no {what} \u{201c}{name}\u{201d} is left: the rig has {has}, all in use. Take one out elsewhere, or choose another"
    )]
    NoneLeft {
        /// Beam or block.
        what: &'static str,
        /// Its name.
        name: String,
        /// How many the rig has.
        has: usize,
    },
    /// The rig has no such pocket.
    #[error("there is no pocket {number}: the rails have {count}, counted from the front")]
    NoPocket {
        /// Asked for.
        number: usize,
        /// How many there are.
        count: usize,
    },
    /// Another beam is in the pocket.
    #[error("pocket {0} already holds a beam; take that one out first, or choose another pocket")]
    PocketTaken(usize),
    /// The rig has no such pad.
    #[error("the rig has no pad called \u{201c}{0}\u{201d}")]
    NoPad(String),
    /// Nothing of this number was measured.
    #[error("there is no measurement {0}")]
    NothingMeasured(usize),
    /// A measurement that cannot be right.
    #[error("{0}")]
    WrongMeasurement(FieldProblem),
    /// There is no such weight.
    #[error("there is no weight {0} on board")]
    NoWeight(usize),
    /// The hull has no such mark.
    #[error("there is no mark {0} of that kind on the hull")]
    NoMark(usize),
    /// A mark that cannot be right.
    #[error("{0}")]
    WrongMark(FieldProblem),
    /// The hull's description cannot take marks.
    #[error("{0}")]
    NoDescription(FileError),
    /// The job would have no name.
    #[error("a job needs a name: say which boat, and where to")]
    NoName,
    /// Not a number.
    #[error("that is not a number; enter a figure such as 1.25 m or 4' 1\"")]
    NotANumber,
    /// No shims are advised.
    #[error("no shims are advised: the loads are shared as well as shims can, or are not known")]
    NoShims,
    /// No stance is wanted, so no stack can be made for it.
    #[error("ask for a stance first: how high the keel shall stand over the rails")]
    NoStance,
    /// The hull does not reach over the beam at the wanted stance.
    #[error(
        "the hull does not reach over beam {number}, so no stack can be made there: move the beam or the hull"
    )]
    NothingAbove {
        /// Which beam, counted from 1.
        number: usize,
    },
}

//! What a family is at its usual proportions: a lines plan of one boat of the kind, and how boats of
//! the kind differ from it.
//!
//! The plans are drawn for this program; the spreads are common practice, no source, and wide enough
//! that boats which were not drawn for it lie within them.

use super::Family;

mod chined;
mod round;

/// Control points in a row, from the after end to the stem.
pub(super) const COLUMNS: usize = 8;

/// A row of control points: x, y and z of each, m.
pub(super) type Row = [[f64; COLUMNS]; 3];

/// A strake of the plan: its rows and how many faces a mesh gets across it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Strip {
    /// First and last row.
    pub rows: (usize, usize),
    /// Faces from its lower to its upper edge.
    pub cells: usize,
}

/// What hangs below the hull.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Below {
    /// Nothing.
    Nothing,
    /// A keel or skeg that runs out into the forefoot.
    Long,
    /// A fin.
    Fin,
}

/// Where the rudder hangs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Steering {
    /// No rudder is made.
    None,
    /// On the after edge of the keel.
    OnKeel,
    /// Under the hull.
    Spade,
    /// On the transom, its blade kicked up.
    OnTransom,
}

/// How boats of a family differ, as standard deviations.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spread {
    /// Depth of the hull, and of its immersed part, as a part of theirs.
    pub depth: f64,
    /// Depth of the keel, as a part of it.
    pub keel_depth: f64,
    /// Half-breadths amidships, at the transom and at the bow, as a part of theirs.
    pub breadth: [f64; 3],
    /// Height of the bottom line amidships and at the ends, as a part of the depth.
    pub bottom: [f64; 2],
    /// Height of the sheer amidships and at the ends, as a part of the depth.
    pub sheer: [f64; 2],
    /// How high the inner lines run between bottom and sheer.
    pub fullness: f64,
    /// Foot of transom and stem fore and aft, as a part of the length.
    pub rake: [f64; 2],
}

/// A keel at its usual proportions: stations as parts of the length.
#[derive(Debug, Clone, Copy)]
pub(super) struct KeelPlan {
    /// After end of the underside.
    pub start: f64,
    /// Length of the underside.
    pub length: f64,
    /// Where a long keel's underside has risen a hand's breadth.
    pub forefoot: f64,
    /// After and forward end of its root, ahead of the ends of the underside.
    pub root: [f64; 2],
    /// Width of the underside over the hull's beam.
    pub width: f64,
}

/// A family at its usual proportions.
#[derive(Debug, Clone)]
pub(super) struct Plan {
    /// The family.
    pub family: Family,
    /// Rows of control points from the centreline to the sheer, of a boat with her lowest point at
    /// z = 0.
    pub rows: Vec<Row>,
    /// Strakes, lowest first.
    pub strips: Vec<Strip>,
    /// Rows that lie as high as the bottom line: a flat bottom.
    pub flat_rows: usize,
    /// Whether the after end is pointed.
    pub pointed: bool,
    /// Height of the water.
    pub waterline_m: f64,
    /// What hangs below.
    pub below: Below,
    /// The keel, where there is one.
    pub keel: KeelPlan,
    /// Where the rudder hangs.
    pub steering: Steering,
    /// Forward edge of the rudder, as a part of the length, and height of its foot over the draft.
    pub rudder: [f64; 2],
    /// Distance between the middles of two hulls over the beam, and height of the bridge deck over
    /// the depth of a hull; none for one hull.
    pub twin: Option<[f64; 2]>,
    /// Rise of the deck over its half-breadth.
    pub camber: f64,
    /// How boats of the family differ from this one.
    pub spread: Spread,
}

impl Plan {
    /// The plan of a family.
    pub(super) fn of(family: Family) -> Self {
        match family {
            Family::FullKeel => round::full_keel(),
            Family::FinKeel => round::fin_keel(),
            Family::Centreboarder => round::centreboarder(),
            Family::Catamaran => round::catamaran(),
            Family::DoubleEnder => round::double_ender(),
            Family::Planing => chined::planing(),
            Family::SkegWorkboat => chined::skeg_workboat(),
            Family::Skiff => chined::skiff(),
        }
    }

    /// Last row: the sheer.
    pub(super) fn sheer(&self) -> usize {
        self.rows.len() - 1
    }
}

/// No keel.
const NO_KEEL: KeelPlan = KeelPlan {
    start: 0.0,
    length: 0.0,
    forefoot: 0.0,
    root: [0.0; 2],
    width: 0.0,
};

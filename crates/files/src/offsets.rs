//! Tables of offsets: half-breadths and heights of a hull, station by station, as CSV.
//!
//! The first cell of a line says what the line holds; columns are stations, x forward of the aft
//! end. A line whose first cell begins with `#` is a comment. An empty cell means that the hull is
//! not there; it is written, also at the end of a line.
//!
//! ```text
//! offsets,feet-inches-eighths          unit: metre, millimetre, centimetre, inch, foot, or this
//! station,0-0-0,4-0-0,8-0-0            where the stations stand, rising from aft to fore
//! profile height,1-2-0,0-6-4,0-4-0     lowest point on the centreline: keel or bottom
//! rabbet height,1-8-0,1-0-0,0-10-0     where planking meets keel; both rabbet lines or neither
//! rabbet half-breadth,0-2-0,0-2-0,0-2-0
//! buttock 1-0-0,2-1-3,1-5-0,1-2-2      heights of the hull this far off the centreline
//! waterline 2-0-0,,3-1-4,3-6-0         half-breadths at this height
//! sheer height,4-0-0,3-10-0,3-11-0     the deck's edge; both sheer lines or neither
//! sheer half-breadth,2-0-0,3-4-0,3-8-0
//! stem x,12-6-0,13-2-0                 profile of the stem, from its foot up: where it stands …
//! stem height,0-6-0,4-0-0              … and how high; `stern` likewise for a pointed stern
//! transom x,-0-6-0,-2-0-0              a raked transom's centreline from its foot up, abaft the first station
//! transom height,1-2-0,4-0-0
//! transom half-breadth,1-6-0,2-0-0     how wide it is there; without it the waterlines run on straight
//! ```
//!
//! Feet, inches and eighths are three whole numbers, `3-4-6` for 3 ft 4 ¾ in; a `+` behind adds a
//! sixteenth. A table of waterlines alone may also begin with the corner cell `z_m\x_m` (lengths in
//! m, mm, cm, in or ft): then the first line holds the stations and the first column the heights;
//! `y_m\x_m` holds buttocks and their heights so, and `x_m\z_m`, `x_m\y_m` have a line a station.

use keelstead_units::quantity::Sentence;

use crate::error::FileError;
use crate::hull_file::LengthUnit;

mod cell;
mod curve;
mod first;
mod miss;
mod read;
mod section;
mod surface;
mod whole;

#[cfg(test)]
mod tests;

/// Most stations and most lines of a table; more is no table that anyone lifted from a loft floor.
pub(crate) const MOST_LINES: usize = 400;

/// A table of offsets as it stands in the file, in the file's unit.
#[derive(Debug, Clone, PartialEq)]
pub struct OffsetTable {
    /// Unit of every figure; feet for feet, inches and eighths.
    pub unit: LengthUnit,
    /// Where the stations stand, forward of the aft end, rising.
    pub stations: Vec<f64>,
    /// Half-breadths at heights, heights rising.
    pub waterlines: Vec<OffsetLine>,
    /// Heights at distances off the centreline, distances rising.
    pub buttocks: Vec<OffsetLine>,
    /// Height of the hull's lowest point on the centreline, by station; empty if not given.
    pub profile_heights: Vec<Option<f64>>,
    /// Height of the rabbet, by station; empty if not given.
    pub rabbet_heights: Vec<Option<f64>>,
    /// Half-breadth of the rabbet, by station; empty if not given.
    pub rabbet_half_breadths: Vec<Option<f64>>,
    /// Height of the sheer, by station; empty if not given.
    pub sheer_heights: Vec<Option<f64>>,
    /// Half-breadth of the sheer, by station; empty if not given.
    pub sheer_half_breadths: Vec<Option<f64>>,
    /// Profile of the stem, height and x, from its foot up; empty if the last station ends the hull.
    pub stem: Vec<[f64; 2]>,
    /// Profile of a pointed stern, height and x, from its foot up; empty if the first station is the
    /// transom.
    pub stern: Vec<[f64; 2]>,
    /// Profile of a raked transom on the centreline, height and x, from its foot up; empty if the first station is
    /// the transom or the stern is pointed.
    pub transom: Vec<[f64; 2]>,
    /// Half-breadths of the raked transom at those heights; empty if the waterlines run on straight to it.
    pub transom_half_breadths: Vec<f64>,
    /// One in the last place of the figure written most finely: 0.001 for metres written to the millimetre.
    pub last_place: f64,
}

/// One line of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct OffsetLine {
    /// Height of the waterline, or distance of the buttock off the centreline.
    pub at: f64,
    /// By station: half-breadth, or height; none where the hull is not there.
    pub values: Vec<Option<f64>>,
}

/// A surface through a table: triangles facing outward, closed at stem, transom and deck.
///
/// Frame: x forward from the aft end, y to port, z up; the table's unit.
#[derive(Debug, Clone, PartialEq)]
pub struct OffsetSurface {
    /// Vertices, no two equal.
    pub positions: Vec<[f64; 3]>,
    /// Triangles as indices of vertices.
    pub triangles: Vec<[u32; 3]>,
    /// How far the hull that the table describes may be from the surface, in the table's unit; an estimate from the
    /// table itself.
    pub tolerance: f64,
    /// What had to be assumed.
    pub notices: Vec<Sentence>,
}

impl OffsetTable {
    /// Reads a table; `name` is its name in messages.
    ///
    /// # Errors
    /// [`FileError::Fault`] with line, found, expected and what to do.
    pub fn read(bytes: &[u8], name: &str) -> Result<Self, FileError> {
        read::read(bytes, name)
    }

    /// A fair surface through the table: along every station a curve through its points, then along
    /// every waterline a curve through the stations, neither ever passing beyond its neighbours;
    /// `name` names the table in messages.
    ///
    /// # Errors
    /// [`FileError::Fault`] naming the station where points contradict each other or are too few.
    pub fn surface(&self, name: &str) -> Result<OffsetSurface, FileError> {
        let (sections, notices) = section::sections(self, name)?;
        Ok(surface::through(self, &sections, notices))
    }
}

/// Whether text begins as a table of offsets does.
pub(crate) fn begins(text: &str) -> bool {
    first::begins(text)
}

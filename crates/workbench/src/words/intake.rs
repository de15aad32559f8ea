//! Words about a hull being brought in.

use keelstead_boat::family::{MeasureKind, Next, Place};
use keelstead_boat::hull::{PartKind, PartUse};
use keelstead_files::FileError;
use keelstead_files::intake::Question;
use keelstead_units::quantity::{Quantity, Sentence};
use keelstead_units::{Units, write};

use super::capital;
use crate::intake::{Draft, Stood};

/// The title that a question about a mesh stands under.
pub fn question(question: Question) -> &'static str {
    match question {
        Question::Unit => "Unit of the file",
        Question::Length => "Length as measured",
        Question::Up => "Up",
        Question::Forward => "Bow",
        Question::Half => "Half a hull",
    }
}

/// Why a file was not taken, or an answer not followed, and where in the panel to answer.
pub fn refusal(error: &FileError) -> Sentence {
    error.says(&|asked| Some(format!("under \"{}\"", question(asked))))
}

/// Every kind of part, in the order of its menu.
pub const PART_KINDS: [PartKind; 12] = [
    PartKind::Body,
    PartKind::Keel,
    PartKind::Skeg,
    PartKind::Rudder,
    PartKind::Propeller,
    PartKind::Shaft,
    PartKind::Strut,
    PartKind::Centreboard,
    PartKind::Cabin,
    PartKind::DeckGear,
    PartKind::Mast,
    PartKind::Other,
];

/// What a part can count for, in words.
pub const PART_USES: [(PartUse, &str); 4] = [
    (PartUse::Checked, "Everything"),
    (PartUse::Guessed, "Everything, its place guessed"),
    (PartUse::HeightOnly, "Height and wind alone"),
    (PartUse::LeftOut, "Nothing: it stays ashore"),
];

/// What a part of a kind is.
pub fn part_kind(kind: PartKind) -> &'static str {
    match kind {
        PartKind::Body => "Body: skin, deck, transom",
        PartKind::Keel => "Keel",
        PartKind::Skeg => "Skeg",
        PartKind::Rudder => "Rudder",
        PartKind::Propeller => "Propeller or outboard leg",
        PartKind::Shaft => "Propeller shaft",
        PartKind::Strut => "Shaft bracket or saildrive leg",
        PartKind::Centreboard => "Centreboard or daggerboard",
        PartKind::Cabin => "Cabin or wheelhouse",
        PartKind::DeckGear => "Rails and deck gear",
        PartKind::Mast => "Mast or spar",
        PartKind::Other => "Something else",
    }
}

/// What it means for blocks and pads that a part is of this kind.
pub fn part_kind_means(kind: PartKind) -> &'static str {
    if kind.may_be_steadied() {
        "The boat may stand on it, and pads may steady it."
    } else if kind.may_bear() {
        "The boat may stand on it."
    } else {
        "Nothing may bear or press on it; gaps to it are measured."
    }
}

/// The main dimensions, name and figure; a figure that is not known yet is a question mark.
pub fn dimensions(stood: &Stood, units: Units) -> [(&'static str, String); 3] {
    let size = stood.opened.hull.bounds.extents();
    let known = !stood.asks_size();
    let figure = |value_m: f64| {
        if known {
            write(Quantity::length(value_m), units)
        } else {
            "?".to_owned()
        }
    };
    [
        ("Length over everything", figure(size.x)),
        ("Beam", figure(size.y)),
        ("Height", figure(size.z)),
    ]
}

/// How well the shape is known: "Shape known to ± 35 mm", and whether that is only assumed.
pub fn shape_tolerance(stood: &Stood, draft: &Draft, units: Units) -> String {
    let made_m = stood.opened.hull.shape_tolerance_m;
    let off_m = draft.shape_tolerance_m.unwrap_or(made_m);
    let off = write(Quantity::length(off_m), units);
    let assumed = stood.examined.is_some() && draft.shape_tolerance_m.is_none();
    let basis = if assumed { ", an assumed default" } else { "" };
    format!("Shape known to \u{b1} {off}{basis}")
}

/// A measure, and where it was or is to be taken: "Half-breadth at 4.00 m from the after end, 1.50 m up".
pub fn measure_at(kind: MeasureKind, at: Option<Place>, units: Units) -> String {
    let length = |value_m: f64| write(Quantity::length(value_m), units);
    let mut words = capital(kind.title());
    if let Some(at) = at {
        words.push_str(&format!(" at {} from the after end", length(at.station_m)));
        if let Some(height_m) = at.height_m {
            words.push_str(&format!(", {} up", length(height_m)));
        }
        if let Some(off_m) = at.off_m {
            words.push_str(&format!(", {} off the centreline", length(off_m)));
        }
    }
    words
}

/// What to measure next, and what the shape tolerance would then be.
pub fn next_measure(next: &Next, units: Units) -> String {
    let then = write(Quantity::length(next.tolerance_m), units);
    format!(
        "{}: then \u{b1} {then}",
        measure_at(next.kind, next.at, units)
    )
}

//! How hulls are made: a lines plan of a few control points, a fair surface through it, a closed mesh.
//!
//! - [`lines`]: hull sides as Bézier surfaces;
//! - [`body`]: sides, transom and deck closed into one shell;
//! - [`foil`]: keels, skegs, rudders, boards; [`bulb`]: ballast bulbs; [`sweep`]: rails, tubes, turned parts;
//!   [`propeller`]: blades on a hub;
//! - [`shell`]: the closed triangle mesh they all end in.
//!
//! Only `+ - * /` and `sqrt` are used: IEEE 754 fixes their results to the last bit, so every machine
//! lofts the same hull from the same control points.

pub mod body;
pub mod bulb;
pub mod foil;
pub mod lines;
pub mod propeller;
pub mod shell;
pub mod sweep;
pub mod vector;

#[cfg(test)]
mod tests;

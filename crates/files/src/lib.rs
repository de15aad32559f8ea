//! **Keelstead files**: job, rig and hull files in and out, mesh formats, units at the edge.
//!
//! Everything a person hands in passes through here once, and either becomes a checked engine
//! value or a [`FileError`] that names the file, the place, what was found, what was expected and
//! what to do.
//!
//! | module | what stands there |
//! |---|---|
//! | [`shelf`] | the yard's own shelf of hulls |
//! | [`source`] | where files come from: a folder on disk, or files dropped on the page |
//! | [`open`] | a job with its hull and rig, ready for the engine |
//! | [`kind`], [`given`] | what a file is, told by content; files a person hands over |
//! | [`kept`] | the files a job rests on, and where they are |
//! | [`save`] | a job written whole or not at all, and what it needs beside it |
//! | [`job`], [`hull_file`], [`rig_file`], [`measures_file`] | the documents, versioned JSON |
//! | [`document`] | reading a document strictly |
//! | [`schema`] | their published JSON Schemas |
//! | [`intake`] | sense made of a mesh: unit, axes, bow, middle, sides, holes |
//! | [`mesh_file`] | STL, OBJ, PLY, GLB, glTF, 3MF, COLLADA, clouds of points, tables of offsets and measures, by content |
//! | `fit` | a surface through a cloud of points, fit for clearance |
//! | [`offsets`] | tables of offsets, and the fair surface through them |
//! | [`placing`] | from a mesh file's unit and axes to the hull frame |

#[cfg(not(target_arch = "wasm32"))]
mod disk;
pub mod document;
pub mod error;
mod fit;
pub mod given;
pub mod hull_file;
pub mod intake;
pub mod job;
pub mod kept;
pub mod kind;
pub mod measures_file;
pub mod mesh_file;
pub mod names;
pub mod offsets;
pub mod open;
pub mod placing;
pub mod progress;
pub mod rig_file;
pub mod save;
pub mod schema;
pub mod shelf;
pub mod source;

pub use error::{FileError, Notice};
pub use open::{OpenJob, open_job};
pub use progress::{Progress, Silent};

//! **Keelstead's viewer**: one Bevy app around the workbench, for the window, the page and the
//! picture without a display.
//!
//! | module | what stands there |
//! |---|---|
//! | [`app`] | the app both platforms run, put together from small plugins |
//! | [`scene`] | boat, rig and yard as meshes, made to match the session |
//! | [`camera`] | where the scene is seen from; flights |
//! | [`pick`] | what lies under a ray |
//! | [`hand`] | mouse, touch and keys over the scene: turning, picking, dragging |
//! | [`opening`] | work beside the running app: reading jobs and hulls |
//! | [`shelf`] | what the shelf of hulls answers |
//! | [`panels`] | the workbench's panels and labels through egui |
//! | [`picture`] | a PNG without a display |
//! | `native`, `web` | the two platforms |
//!
//! Nothing is computed here that a person acts on: shapes and figures are the engine's, words and
//! panels the workbench's.

// Bevy's systems say what they work on in their arguments; Bevy switches both lints off for itself too.
#![allow(clippy::too_many_arguments, clippy::type_complexity)]

pub mod app;
pub mod camera;
pub mod convert;
pub mod hand;
pub mod opening;
pub mod panels;
pub mod pick;
mod resting;
pub mod scene;
pub mod shelf;

#[cfg(not(target_arch = "wasm32"))]
pub mod native;
#[cfg(not(target_arch = "wasm32"))]
pub mod picture;
#[cfg(target_arch = "wasm32")]
pub mod web;

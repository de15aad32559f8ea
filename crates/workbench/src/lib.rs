//! **Keelstead workbench**: an open job as a person works on it. No window of its own, no Bevy.
//!
//! | module | what stands there |
//! |---|---|
//! | [`action`] | everything a person can do, as data |
//! | [`session`] | the open job, its history, its findings, what to tell the person |
//! | [`intake`] | a hull being brought in beside the open job |
//! | [`view`] | what of it is shown, and from where |
//! | [`ui`] | the panels, as [egui] functions that show the session and collect actions |
//! | [`loads`] | the loads as arrows, and which part is used how hard |
//! | [`marks`] | marks on the hull, as they are changed and shown |
//! | [`overlay`] | numbers, names and marks over the scene |
//! | [`mirror`] | the same in HTML, for those who listen |
//! | [`theme`] | colours, fonts, sizes |
//! | [`keys`] | the keys, in one table |
//! | [`task`] | work that takes its time, as data for a thread or a worker |
//!
//! A frame of a viewer:
//!
//! ```
//! use keelstead_workbench::{Action, Session, ui};
//!
//! let mut session = Session::empty();
//! let mut actions = Vec::new();
//! let context = egui::Context::default();
//! let output = context.run_ui(egui::RawInput::default(), |ui| {
//!     let shown = ui::workbench_ui(ui, &session, &mut actions);
//!     assert!(shown.scene.is_none(), "nothing is open");
//! });
//! output.drop_without_applying_deltas();
//! for action in actions {
//!     for request in session.perform(action) {
//!         println!("the platform does {request:?}");
//!     }
//! }
//! assert!(session.perform(Action::Undo).is_empty(), "there is nothing to undo");
//! ```

pub mod action;
pub mod edit;
pub mod history;
pub mod intake;
pub mod keys;
pub mod loads;
pub mod marks;
pub mod message;
pub mod mirror;
pub mod overlay;
pub mod session;
pub mod shape;
mod sight;
pub mod task;
pub mod theme;
pub mod ui;
pub mod view;
pub mod words;

pub use action::{Action, Request};
pub use marks::{MarkEdit, MarkKind, ShownMark};
pub use message::{Demo, Level, Loading, Message};
pub use session::Session;
pub use task::{Outcome, Task};
pub use view::{Camera, LookFrom, View};

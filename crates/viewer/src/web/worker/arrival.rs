//! What a worker made, on its way into the page's memory: a slice a frame.

use std::sync::Arc;

use js_sys::{Array, Uint8Array};
use keelstead_files::FileError;
use keelstead_workbench::task::Outcome;
use wasm_bindgen::JsCast;

use super::baggage::{FilesUnpacking, Unpacking, give_meshes};
use crate::opening::Ready;
use crate::scene::facets::Facets;

/// What the worker made, as far as it has been unpacked.
pub struct Arrival {
    outcome: Uint8Array,
    meshes: Unpacking,
    files: FilesUnpacking,
    parts: Array,
    shapes: Vec<Vec<Facets>>,
}

impl Arrival {
    /// Of a message that says that the worker is done.
    pub fn new(message: &Array) -> Self {
        Self {
            outcome: message.get(1).unchecked_into(),
            meshes: Unpacking::new(message.get(2).into()),
            files: FilesUnpacking::new(message.get(3).into()),
            parts: message.get(4).into(),
            shapes: Vec::new(),
        }
    }

    /// Unpacks until `end_ms`; all of it, once it is done. `given` is what the task was given, `name` what it worked on.
    pub fn step(&mut self, end_ms: f64, given: &[Arc<[u8]>], name: &str) -> Option<Box<Ready>> {
        while js_sys::Date::now() < end_ms {
            match self.meshes.step() {
                Ok(true) => {}
                Ok(false) if self.files.step(given) || self.take_piece() => {}
                Ok(false) => return Some(self.whole(name)),
                Err(why) => return Some(broken(name, &why)),
            }
        }
        None
    }

    /// Puts it together. What is left of it is small.
    fn whole(&mut self, name: &str) -> Box<Ready> {
        let outcome = self.outcome.to_vec();
        let outcome = rmp_serde::from_slice::<Result<Outcome, FileError>>(&outcome);
        let mut outcome = match outcome {
            Ok(outcome) => outcome,
            Err(error) => return broken(name, &error.to_string()),
        };
        if let Ok(outcome) = &mut outcome {
            let files = FilesUnpacking::new(Array::new());
            std::mem::replace(&mut self.files, files).give(outcome.files_mut());
            let meshes = Unpacking::new(Array::new());
            let meshes = std::mem::replace(&mut self.meshes, meshes).finish();
            if !give_meshes(outcome.hull_mut(), meshes) {
                return broken(name, "a hull that lacks parts");
            }
        }
        Box::new(Ready {
            outcome,
            shapes: std::mem::take(&mut self.shapes),
        })
    }

    /// Copies the next piece of a part; false if there is none left.
    fn take_piece(&mut self) -> bool {
        let part = self.shapes.len().saturating_sub(1);
        let pieces: Array = self.parts.get(part as u32).into();
        let Some(shapes) = self.shapes.last_mut() else {
            self.shapes.extend((self.parts.length() > 0).then(Vec::new));
            return self.parts.length() > 0;
        };
        if (shapes.len() as u32) < pieces.length() {
            let lists: Array = pieces.get(shapes.len() as u32).into();
            let list = |i: usize| Uint8Array::from(lists.get(i as u32));
            let lengths = std::array::from_fn(|i| list(i).length() as usize);
            shapes.push(Facets::of_lists(lengths, |i, bytes| list(i).copy_to(bytes)));
            return true;
        }
        let more = self.shapes.len() < self.parts.length() as usize;
        self.shapes.extend(more.then(Vec::new));
        more
    }
}

fn broken(name: &str, why: &str) -> Box<Ready> {
    Box::new(Ready {
        outcome: Err(FileError::Unreadable {
            path: name.to_owned(),
            why: format!(
                "what the worker made of it did not arrive whole: {why}. Please report this"
            ),
        }),
        shapes: Vec::new(),
    })
}

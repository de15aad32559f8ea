//! The worker's end: takes one task, tells how far it is, hands over what came of it.

use std::cell::{Cell, RefCell};

use js_sys::{Array, Uint8Array};
use keelstead_files::Progress;
use keelstead_files::given::Given;
use keelstead_workbench::task::{Files, Task};
use wasm_bindgen::prelude::*;
use web_sys::{DedicatedWorkerGlobalScope, MessageEvent};

use crate::opening::Ready;
use crate::scene::facets::Facets;
use crate::web::bytes_of;

use super::baggage::{Packing, Unpacking, give_meshes, take_files, take_meshes};

/// Least time between two reports that say the same in words, ms.
const REPORT_EVERY_MS: f64 = 50.0;

/// Waits for a task.
pub fn serve() {
    std::panic::set_hook(Box::new(|info| {
        console_error_panic_hook::hook(info);
        post(&Array::of2(&"panic".into(), &info.to_string().into()));
    }));
    let heard = Closure::<dyn FnMut(MessageEvent)>::new(|event: MessageEvent| {
        if let Err(error) = work(&event.data().unchecked_into()) {
            let text = error.as_string().unwrap_or_else(|| format!("{error:?}"));
            post(&Array::of2(&"panic".into(), &text.into()));
        }
    });
    scope().set_onmessage(Some(heard.as_ref().unchecked_ref()));
    heard.forget();
    post(&Array::of1(&"ready".into()));
}

fn scope() -> DedicatedWorkerGlobalScope {
    js_sys::global().unchecked_into()
}

fn post(message: &Array) {
    if let Err(error) = scope().post_message(message) {
        web_sys::console::error_1(&error);
    }
}

/// Carries out the task of a message, and answers.
fn work(message: &Array) -> Result<(), JsValue> {
    let head = Uint8Array::from(message.get(0)).to_vec();
    let mut task: Task = rmp_serde::from_slice(&head).map_err(|error| error.to_string())?;
    let mut given = Vec::new();
    if let Some(Files::Given(files)) = task.files_mut() {
        let list: Array = message.get(1).into();
        files.extend(list.iter().map(|file| {
            let file: Array = file.into();
            let name = file.get(0).as_string().unwrap_or_default();
            Given::new(name, bytes_of(&Uint8Array::from(file.get(1))))
        }));
        given.extend(files.iter().map(|file| file.bytes.clone()));
    }
    let mut meshes = Unpacking::new(message.get(2).into());
    while meshes.step()? {}
    if !give_meshes(task.hull_mut(), meshes.finish()) {
        return Err("a hull that lacks parts".into());
    }
    let Ready {
        mut outcome,
        shapes,
    } = Ready::carry_out(task, &Told::default());
    let mut meshes = Vec::new();
    if let Ok(outcome) = &mut outcome {
        meshes = take_meshes(outcome.hull_mut())?;
    }
    let mut packing = Packing::new(meshes);
    let files = match &mut outcome {
        Ok(outcome) => take_files(outcome.files_mut(), &given, &mut packing),
        Err(_) => Array::new(),
    };
    drop(given);
    let packed = rmp_serde::to_vec_named(&outcome).map_err(|error| error.to_string())?;
    drop(outcome);
    while packing.step()? {}
    let outcome = packing.array(&packed);
    let piece = |shape: Facets| {
        let lists = shape.lists().into_iter();
        lists.map(|list| packing.array(list)).collect::<Array>()
    };
    let parts: Array = shapes
        .into_iter()
        .map(|pieces| pieces.into_iter().map(piece).collect::<Array>())
        .collect();
    let answer = Array::of5(&"done".into(), &outcome, &packing.packed, &files, &parts);
    scope().post_message_with_transfer(&answer, &packing.transfer)
}

/// Tells the page, not too often.
#[derive(Default)]
struct Told {
    at_ms: Cell<f64>,
    doing: RefCell<String>,
}

impl Progress for Told {
    fn report(&self, fraction: f64, doing: &str) {
        let now_ms = js_sys::Date::now();
        if *self.doing.borrow() == doing && now_ms - self.at_ms.get() < REPORT_EVERY_MS {
            return;
        }
        self.at_ms.set(now_ms);
        self.doing.replace(doing.to_owned());
        post(&Array::of3(
            &"progress".into(),
            &fraction.into(),
            &doing.into(),
        ));
    }

    fn cancelled(&self) -> bool {
        // The page ends the worker instead.
        false
    }
}

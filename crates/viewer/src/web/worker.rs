//! A task carried out in a Web Worker: the same program once more, without a window.
//!
//! The page hands it the compiled module and the address of its glue, so nothing is fetched twice.
//! Bytes go over without a copy; what is heavy is packed and unpacked in slices, so that frames keep
//! coming. To cancel, the worker is ended. Where a browser gives no worker the page does the work itself, as
//! well as it can.

use std::cell::{Cell, RefCell};
use std::sync::Arc;

use js_sys::{Array, Uint8Array};
use keelstead_files::given::Given;
use keelstead_files::{FileError, Silent};
use keelstead_workbench::task::{Files, Task};
use wasm_bindgen::prelude::*;
use web_sys::{ErrorEvent, MessageEvent, Url, Worker, WorkerOptions, WorkerType};

use super::{after_a_breath, wake};
use crate::opening::{Ready, Stage};

mod arrival;
mod baggage;
pub mod serve;

use arrival::Arrival;
use baggage::{Packing, take_meshes};

/// How much of a frame packing and unpacking may take, ms.
const SLICE_MS: f64 = 10.0;
/// How much of one that comes this late, ms: on a slow machine it would take minutes else, and is not felt.
const SLOW_SLICE_MS: f64 = 40.0;
/// When a frame is late, ms after the one before.
const LATE_MS: f64 = 120.0;

#[wasm_bindgen]
extern "C" {
    type ImportMeta;
    #[wasm_bindgen(method, getter)]
    fn url(this: &ImportMeta) -> String;
    #[wasm_bindgen(thread_local_v2, js_namespace = import, js_name = meta)]
    static IMPORT_META: ImportMeta;
}

thread_local! {
    /// What is under way. Here and not in the app, because values of the browser stay on their thread.
    static RUNNING: RefCell<Option<Running>> = const { RefCell::new(None) };
    /// The number of the last one started.
    static NUMBER: Cell<u32> = const { Cell::new(0) };
    /// Whether this browser has refused a worker.
    static NO_WORKER: Cell<bool> = const { Cell::new(false) };
}

/// A task under way. Dropped, it is stopped.
pub struct Carrier {
    number: u32,
}

struct Running {
    number: u32,
    name: String,
    worker: Option<Hired>,
    /// The task, until the worker is ready for it.
    task: Option<Task>,
    /// The same while it is packed.
    outgoing: Option<Outgoing>,
    /// What it was given: the worker does not send that back.
    given: Vec<Arc<[u8]>>,
    fraction: f64,
    doing: String,
    came: Option<Came>,
    /// When it was last looked at, ms.
    looked_ms: f64,
}

/// A worker with what hears it.
struct Hired {
    worker: Worker,
    _heard: Closure<dyn FnMut(MessageEvent)>,
    _failed: Closure<dyn FnMut(web_sys::Event)>,
}

/// A task on its way to the worker.
struct Outgoing {
    head: Uint8Array,
    files: Array,
    packing: Packing,
}

/// What came of it.
enum Came {
    /// Something of the worker's to be unpacked.
    Packed(Box<Arrival>),
    /// All of it.
    Ready(Box<Ready>),
}

impl Drop for Hired {
    fn drop(&mut self) {
        self.worker.terminate();
    }
}

impl Drop for Carrier {
    fn drop(&mut self) {
        let ended = RUNNING.with_borrow_mut(|running| running.take_if(|r| r.number == self.number));
        drop(ended);
    }
}

impl Carrier {
    /// Begins.
    pub fn start(task: Task) -> Self {
        let number = NUMBER.get() + 1;
        NUMBER.set(number);
        let running = Running {
            number,
            name: task.name(),
            worker: None,
            doing: task.begins().into(),
            task: Some(task),
            outgoing: None,
            given: Vec::new(),
            fraction: 0.0,
            came: None,
            looked_ms: js_sys::Date::now(),
        };
        RUNNING.set(Some(running));
        if NO_WORKER.get() {
            work_here(number);
        } else {
            match hire(number) {
                Ok(worker) => with(number, |running| running.worker = Some(worker)),
                Err(error) => do_without(number, &format!("{error:?}")),
            }
        }
        Self { number }
    }

    /// How far it is.
    pub fn look(&mut self) -> Stage {
        let mut stage = Stage::Busy {
            fraction: 0.0,
            doing: String::new(),
        };
        with(self.number, |running| stage = running.look());
        stage
    }
}

impl Running {
    fn look(&mut self) -> Stage {
        let now_ms = js_sys::Date::now();
        let late = now_ms - self.looked_ms > LATE_MS;
        let end_ms = now_ms + if late { SLOW_SLICE_MS } else { SLICE_MS };
        self.looked_ms = now_ms;
        if let Err(error) = self.send_some(end_ms) {
            self.fail_to_send(&error);
        }
        let ready = match self.came.take() {
            Some(Came::Ready(ready)) => Some(ready),
            Some(Came::Packed(mut arrival)) => {
                let ready = arrival.step(end_ms, &self.given, &self.name);
                if ready.is_none() {
                    self.came = Some(Came::Packed(arrival));
                }
                ready
            }
            None => None,
        };
        match ready {
            Some(ready) => Stage::Ready(ready),
            None => Stage::Busy {
                fraction: self.fraction,
                doing: self.doing.clone(),
            },
        }
    }

    /// It came to an error; the first one counts.
    fn fail(&mut self, why: String) {
        let error = FileError::Unreadable {
            path: self.name.clone(),
            why,
        };
        let ready = Ready {
            outcome: Err(error),
            shapes: Vec::new(),
        };
        self.came.get_or_insert(Came::Ready(Box::new(ready)));
    }

    fn fail_to_send(&mut self, error: &JsValue) {
        self.fail(format!("the worker did not take it: {error:?}"));
    }

    /// Begins to hand the task to the worker, which is ready for it.
    fn send(&mut self) -> Result<(), JsValue> {
        let Some(mut task) = self.task.take() else {
            return Ok(());
        };
        let files = match task.files_mut() {
            Some(Files::Given(files)) => std::mem::take(files),
            _ => Vec::new(),
        };
        let mut packing = Packing::new(take_meshes(task.hull_mut())?);
        let head = rmp_serde::to_vec_named(&task).map_err(|error| error.to_string())?;
        let list = Array::new();
        for Given { name, bytes } in files {
            self.given.push(bytes.clone());
            list.push(&Array::of2(&name.into(), &packing.file(bytes)));
        }
        self.outgoing = Some(Outgoing {
            head: Uint8Array::from(&*head),
            files: list,
            packing,
        });
        self.send_some(js_sys::Date::now() + SLICE_MS)
    }

    /// Packs until `end_ms`, and sends the task once it is packed.
    fn send_some(&mut self, end_ms: f64) -> Result<(), JsValue> {
        let (Some(outgoing), Some(hired)) = (&mut self.outgoing, &self.worker) else {
            return Ok(());
        };
        while js_sys::Date::now() < end_ms {
            if !outgoing.packing.step()? {
                let Outgoing {
                    head,
                    files,
                    packing,
                } = outgoing;
                let message = Array::of3(head, files, &packing.packed);
                let sent = hired
                    .worker
                    .post_message_with_transfer(&message, &packing.transfer);
                self.outgoing = None;
                return sent;
            }
        }
        Ok(())
    }
}

/// Does something to the task of this number, if it is still under way.
fn with(number: u32, act: impl FnOnce(&mut Running)) {
    RUNNING.with_borrow_mut(|running| {
        if let Some(running) = running.as_mut().filter(|r| r.number == number) {
            act(running);
        }
    });
}

/// A worker that will say when it is ready.
fn hire(number: u32) -> Result<Hired, JsValue> {
    let glue = IMPORT_META.with(ImportMeta::url);
    let script = Url::new_with_base("worker.mjs", &glue)?.href();
    let options = WorkerOptions::new();
    options.set_type(WorkerType::Module);
    let worker = Worker::new_with_options(&script, &options)?;
    let heard = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        hear(number, &event.data().unchecked_into());
        wake();
    });
    let failed = Closure::<dyn FnMut(web_sys::Event)>::new(move |event: web_sys::Event| {
        let message = event.dyn_ref::<ErrorEvent>().map(ErrorEvent::message);
        stopped(number, &message.unwrap_or_default());
        wake();
    });
    worker.set_onmessage(Some(heard.as_ref().unchecked_ref()));
    worker.set_onerror(Some(failed.as_ref().unchecked_ref()));
    worker.post_message(&Array::of2(&glue.into(), &wasm_bindgen::module()))?;
    Ok(Hired {
        worker,
        _heard: heard,
        _failed: failed,
    })
}

/// What the worker says: a word, and what belongs to it.
fn hear(number: u32, message: &Array) {
    let text = |at: u32| message.get(at).as_string().unwrap_or_default();
    match text(0).as_str() {
        "ready" => with(number, |running| {
            if let Err(error) = running.send() {
                running.fail_to_send(&error);
            }
        }),
        "progress" => with(number, |running| {
            running.fraction = message.get(1).as_f64().unwrap_or_default();
            running.doing = text(2);
        }),
        "done" => with(number, |running| {
            let arrival = Box::new(Arrival::new(message));
            running.came.get_or_insert(Came::Packed(arrival));
            running.doing = "handing over".into();
        }),
        "panic" => with(number, |running| {
            running.fail(format!(
                "the program met something that it did not expect. Please report this: {}",
                text(1)
            ));
        }),
        _ => stopped(number, &text(1)),
    }
}

/// The worker has ended by itself: before it had the task, or under it.
fn stopped(number: u32, message: &str) {
    let mut started = true;
    with(number, |running| started = running.task.is_none());
    if !started {
        do_without(number, message);
        return;
    }
    let out_of_memory = [
        "unreachable",
        "memory",
        "Array buffer",
        "Invalid typed array length",
    ]
    .iter()
    .any(|word| message.contains(word));
    with(number, |running| {
        running.fail(if out_of_memory {
            "it needs more memory than a page can have (4 GB at most, less on a phone). Open it with the program for \
             the desktop, or export it with fewer triangles"
                .into()
        } else {
            format!("the worker that read it has stopped: {message}. Please try again")
        });
    });
}

/// Carries on without workers.
fn do_without(number: u32, why: &str) {
    NO_WORKER.set(true);
    web_sys::console::warn_1(
        &format!("No worker: {why}. The page reads files itself, and stands still meanwhile.")
            .into(),
    );
    work_here(number);
}

/// Does the work in the page, after it has shown that it is busy.
fn work_here(number: u32) {
    after_a_breath(move || {
        let mut task = None;
        with(number, |running| task = running.task.take());
        if let Some(task) = task {
            let ready = Box::new(Ready::carry_out(task, &Silent));
            with(number, |running| running.came = Some(Came::Ready(ready)));
        }
    });
}

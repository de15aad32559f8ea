//! A task carried out on a thread.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use keelstead_files::Progress;
use keelstead_workbench::Task;

use super::{Ready, Stage};

/// A task under way on its thread. Dropped, it is stopped.
pub struct Carrier(Arc<Shared>);

/// What thread and app both see.
#[derive(Default)]
struct Shared {
    progress: Mutex<(f64, String)>,
    stop: AtomicBool,
    ready: Mutex<Option<Box<Ready>>>,
}

impl Progress for Shared {
    fn report(&self, fraction: f64, doing: &str) {
        let mut progress = self.progress.lock().unwrap_or_else(PoisonError::into_inner);
        *progress = (fraction, doing.to_owned());
    }

    fn cancelled(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}

impl Carrier {
    /// Begins.
    pub fn start(task: Task) -> Self {
        let shared = Arc::new(Shared::default());
        shared.report(0.0, task.begins());
        let theirs = shared.clone();
        std::thread::spawn(move || {
            let ready = Ready::carry_out(task, theirs.as_ref());
            *theirs.ready.lock().unwrap_or_else(PoisonError::into_inner) = Some(Box::new(ready));
        });
        Self(shared)
    }

    /// How far it is.
    pub fn look(&mut self) -> Stage {
        let ready = &self.0.ready;
        if let Some(ready) = ready.lock().unwrap_or_else(PoisonError::into_inner).take() {
            return Stage::Ready(ready);
        }
        let progress = &self.0.progress;
        let (fraction, doing) = progress
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone();
        Stage::Busy { fraction, doing }
    }
}

impl Drop for Carrier {
    fn drop(&mut self) {
        self.0.stop.store(true, Ordering::Relaxed);
    }
}

//! The shelf of hulls in a folder of this machine, asked on threads: a disk may be slow.

use std::sync::Mutex;
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use bevy::prelude::*;
use bevy::window::RequestRedraw;
use keelstead_files::shelf::DiskShelf;
use keelstead_workbench::action::Request;
use keelstead_workbench::task::Files;

use crate::app::Workbench;
use crate::opening::Opening;
use crate::shelf::ShelfAnswer;

/// Answers awaited from the disk, oldest first.
#[derive(Resource, Default)]
pub(super) struct ShelfAnswers(Vec<Mutex<Receiver<ShelfAnswer>>>);

impl ShelfAnswers {
    /// Asks the disk.
    pub(super) fn ask(&mut self, request: Request) {
        let (sender, receiver) = channel();
        std::thread::spawn(move || {
            if let Some(answer) = answer(request) {
                // Nobody listens any more only when the window is gone.
                drop(sender.send(answer));
            }
        });
        self.0.push(Mutex::new(receiver));
    }
}

fn answer(request: Request) -> Option<ShelfAnswer> {
    let shelf = DiskShelf::of_user();
    Some(match request {
        Request::ShelfList => ShelfAnswer::Listed(shelf.and_then(|shelf| shelf.list())),
        Request::ShelfPut(hull) => ShelfAnswer::Put(shelf.and_then(|shelf| shelf.put(&hull))),
        Request::ShelfGet(id) => {
            let files = shelf.and_then(|shelf| Ok(Files::Disk(shelf.get(&id)?)));
            ShelfAnswer::Got(id, files)
        }
        Request::ShelfRemove(id) => ShelfAnswer::Removed(shelf.and_then(|shelf| shelf.remove(&id))),
        _ => return None,
    })
}

/// Hands the answers to the session.
pub(super) fn hear_shelf(
    mut awaited: ResMut<ShelfAnswers>,
    mut workbench: ResMut<Workbench>,
    mut opening: ResMut<Opening>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    let mut answers = Vec::new();
    awaited.bypass_change_detection().0.retain_mut(|receiver| {
        let Ok(receiver) = receiver.get_mut() else {
            return false;
        };
        match receiver.try_recv() {
            Ok(answer) => {
                answers.push(answer);
                false
            }
            Err(error) => error == TryRecvError::Empty,
        }
    });
    if !awaited.0.is_empty() {
        redraw.write(RequestRedraw);
    }
    for answer in answers {
        answer.deliver(&mut workbench, &mut opening);
        redraw.write(RequestRedraw);
    }
}

//! What waits for a hand that drags to rest: the tolerances are worked out as soon as it does.

use std::time::Duration;

use bevy::prelude::*;
use bevy::window::RequestRedraw;

use crate::app::Workbench;

/// A hand that has changed nothing for so long rests: with a picture or two this is within a tenth of a second.
const RESTS: Duration = Duration::from_millis(60);

/// Works out what is pending once the hand rests.
pub struct RestingPlugin;

impl Plugin for RestingPlugin {
    fn build(&self, app: &mut App) {
        app.add_systems(PostUpdate, work_out);
    }
}

/// What the session showed last while something was pending, and since when.
#[derive(Default)]
struct Shown {
    revision: u64,
    since: Duration,
}

fn work_out(
    time: Res<Time<Real>>,
    mut workbench: ResMut<Workbench>,
    mut shown: Local<Shown>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    if !workbench.session.is_pending() {
        return;
    }
    redraw.write(RequestRedraw);
    let (revision, now) = (workbench.session.revision(), time.elapsed());
    if shown.revision != revision {
        *shown = Shown {
            revision,
            since: now,
        };
    } else if now.saturating_sub(shown.since) >= RESTS {
        let requests = workbench.session.work_out();
        workbench.ask(requests);
    }
}

//! What there is to see.

use std::sync::Arc;

use keelstead::findings::{Finding, Findings};
use keelstead_boat::hull::Hull;
use keelstead_boat::hydrostatics::WaterPlane;
use keelstead_files::job::Job;
use keelstead_files::kept::JobFiles;
use keelstead_geometry::math::{Aabb, Pose, Rot3, Vec3};
use keelstead_load::load::Load;
use keelstead_load::rig::Rig;

use super::Session;
use super::desk::Desk;
use crate::intake::Intake;
use crate::message::{Demo, Loading, Message};
use crate::sight;
use crate::view::{Overlay, View};
use crate::words;

/// Room about a hull for its dimension lines, as a part of its length.
const DIMENSIONS: f64 = 0.07;

impl Session {
    fn desk(&self) -> Option<&Desk> {
        self.open.as_ref().map(|open| open.history.now())
    }

    /// Whether a job is open.
    pub fn is_open(&self) -> bool {
        self.open.is_some()
    }

    /// The open job as it stands, edits included.
    pub fn job(&self) -> Option<&Job> {
        self.desk().map(|desk| &desk.job)
    }

    /// Where the job came from or was last saved.
    pub fn path(&self) -> Option<&str> {
        self.open.as_ref().map(|open| open.path.as_str())
    }

    /// The files that hull and rig of the open job were read from.
    pub fn files(&self) -> Option<&JobFiles> {
        self.desk().map(|desk| &desk.files)
    }

    /// The hull of the open job.
    pub fn hull(&self) -> Option<&Arc<Hull>> {
        self.desk().map(|desk| &desk.hull)
    }

    /// The rig of the open job.
    pub fn rig(&self) -> Option<&Arc<Rig>> {
        self.desk().map(|desk| &desk.rig)
    }

    /// The arrangement as it stands.
    pub fn load(&self) -> Option<&Load> {
        self.job().map(|job| &job.load)
    }

    /// What the engine concluded about it.
    pub fn findings(&self) -> Option<&Findings> {
        self.open.as_ref().map(|open| &open.findings)
    }

    /// Whether what the tolerances make of the job is still to be worked out: somebody drags.
    pub fn is_pending(&self) -> bool {
        self.findings().is_some_and(|findings| findings.pending)
    }

    /// The finding looked at, if it is still among the findings.
    pub fn selected(&self) -> Option<&Finding> {
        let id = self.view.selected.as_ref()?;
        self.findings()?.finding(id)
    }

    /// What is shown, and from where.
    pub fn view(&self) -> &View {
        &self.view
    }

    /// Messages not put away yet, oldest first.
    pub fn messages(&self) -> &[Message] {
        &self.messages
    }

    /// What is being read.
    pub fn loading_now(&self) -> Option<&Loading> {
        self.loading.as_ref()
    }

    /// Whether something waits to be opened until unsaved changes are dealt with.
    pub fn asks_about_changes(&self) -> bool {
        self.waiting.is_some()
    }

    /// The demo jobs there are.
    pub fn demos(&self) -> &[Demo] {
        &self.demos
    }

    /// Grows whenever what the scene or the panels show has changed, the camera aside.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// How many jobs were opened: panels start anew with each.
    pub fn openings(&self) -> u64 {
        self.openings
    }

    /// Whether there are changes not saved.
    pub fn is_dirty(&self) -> bool {
        self.open
            .as_ref()
            .is_some_and(|open| open.history.is_dirty())
    }

    /// What would be taken back, in a few words; none if there is nothing to take back.
    pub fn to_undo(&self) -> Option<String> {
        if let Some(intake) = self.intake() {
            return intake.history.to_undo().map(words::gesture);
        }
        let open = self.open.as_ref()?;
        open.history.to_undo().map(words::gesture)
    }

    /// What would be done again, in a few words; none if there is nothing to do again.
    pub fn to_redo(&self) -> Option<String> {
        if let Some(intake) = self.intake() {
            return intake.history.to_redo().map(words::gesture);
        }
        let open = self.open.as_ref()?;
        open.history.to_redo().map(words::gesture)
    }

    /// Whether something lies over everything and takes the keys.
    pub fn is_covered(&self) -> bool {
        self.waiting.is_some()
            || self.loading.is_some()
            || self.view.overlay.is_some()
            || self.intake().is_some_and(Intake::asks_to_leave)
    }

    /// The hull that the scene shows, and where it stands in the trailer frame: that of the job as
    /// it came to rest, or the one being brought in, upright on the ground.
    pub fn drawn_hull(&self) -> Option<(&Arc<Hull>, Pose)> {
        if let Some(intake) = self.intake() {
            let hull = intake.hull()?;
            return Some((hull, on_the_ground(hull)));
        }
        let pose = self.findings()?.trailer_from_hull.pose();
        Some((self.hull()?, pose))
    }

    /// Where the hull that the scene shows is cut, m forward of its origin; one being brought in is whole, whatever the
    /// job's is.
    pub fn drawn_cut_m(&self) -> Option<f64> {
        let station_m = self.view.cut_station_m?;
        self.intake().is_none().then_some(station_m)
    }

    /// How solid the hull that the scene shows is drawn, 1 solid; one being brought in always is.
    pub fn drawn_opacity(&self) -> f64 {
        match self.intake() {
            Some(_) => 1.0,
            None => self.view.hull_opacity,
        }
    }

    /// The findings that the scene shows: none while a hull is brought in.
    pub fn drawn_findings(&self) -> Option<&Findings> {
        self.findings().filter(|_| self.intake().is_none())
    }

    /// The water at the waterline that was marked, hull frame, if it is to be drawn; and the hull that it is about.
    pub fn drawn_water(&self) -> Option<(WaterPlane, (&Arc<Hull>, Pose))> {
        let line = self.intake()?.draft().weighing.waterline?;
        let hull = self.drawn_hull()?;
        self.view.water.then(|| (line.plane(), hull))
    }

    /// Bounds of what the scene shows, trailer frame; none if that is nothing.
    pub fn scene_bounds(&self) -> Option<Aabb> {
        let (hull, pose) = self.drawn_hull()?;
        Some(match self.drawn_findings() {
            Some(findings) => sight::bounds(hull, findings),
            // With room for dimension lines, and for the person behind the stern.
            None => {
                let bounds = hull.bounds.transform_by(&pose);
                let room = DIMENSIONS * bounds.extents().x;
                let (low, high) = (bounds.mins, bounds.maxs);
                Aabb::new(
                    Vec3::new(low.x - room, low.y - room, low.z),
                    Vec3::new(high.x + room, high.y + room, high.z),
                )
            }
        })
    }

    /// What is laid over everything, if anything.
    pub fn overlay(&self) -> Option<Overlay> {
        self.view.overlay
    }
}

/// Upright, her lowest point on the yard's ground, her middle over the origin.
fn on_the_ground(hull: &Hull) -> Pose {
    let (bounds, middle) = (&hull.bounds, hull.bounds.center());
    Pose::from_parts(
        Vec3::new(-middle.x, -middle.y, -bounds.mins.z),
        Rot3::IDENTITY,
    )
}

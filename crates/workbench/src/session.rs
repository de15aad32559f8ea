//! One open job as a person works on it.

use std::sync::Arc;

use keelstead::check::check;
use keelstead::findings::{Finding, Findings};
use keelstead::hull::Hull;
use keelstead::load::Load;
use keelstead::math::Aabb;
use keelstead::rig::Rig;
use keelstead_files::Notice;
use keelstead_files::job::Job;
use keelstead_files::kept::JobFiles;
use keelstead_files::open::{OpenHull, OpenJob};
use keelstead_files::save::Saved;

use crate::action::{Action, Request};
use crate::edit;
use crate::history::History;
use crate::message::{Demo, Level, Loading, Message};
use crate::sight;
use crate::view::{Camera, LookFrom, Overlay, Tab, View};
use crate::words;

/// What undo brings back: the job with the hull and rig it speaks of.
#[derive(Debug, Clone)]
pub(crate) struct Desk {
    pub job: Job,
    pub hull: Arc<Hull>,
    pub rig: Arc<Rig>,
    /// Where hull and rig were read from.
    pub files: JobFiles,
}

impl Desk {
    /// Takes over how a job was saved, as far as this one has the same hull and rig.
    fn follow(&mut self, saved: &Saved, of: &Self) {
        if Arc::ptr_eq(&self.hull, &of.hull) {
            self.job.hull.clone_from(&saved.job.hull);
            self.files.hull.clone_from(&saved.files.hull);
        }
        if Arc::ptr_eq(&self.rig, &of.rig) {
            self.job.rig.clone_from(&saved.job.rig);
            self.files.rig.clone_from(&saved.files.rig);
        }
    }
}

impl PartialEq for Desk {
    /// Hulls and rigs never change in place, so the same one is the same, wherever its files are.
    fn eq(&self, other: &Self) -> bool {
        self.job == other.job
            && Arc::ptr_eq(&self.hull, &other.hull)
            && Arc::ptr_eq(&self.rig, &other.rig)
    }
}

/// A job that is open.
#[derive(Debug)]
struct Open {
    path: String,
    history: History<Desk>,
    findings: Findings,
}

/// What waits for an answer to "unsaved changes".
#[derive(Debug, Clone, PartialEq)]
enum Waiting {
    Open,
    Path(String),
    Demo(String),
}

/// An open job, or none, with all that a person sees and does around it.
///
/// Every change goes through [`Session::perform`]; what only the platform can do comes back as
/// [`Request`]s, and the platform answers with the methods below it.
#[derive(Debug)]
pub struct Session {
    open: Option<Open>,
    view: View,
    messages: Vec<Message>,
    next_message: u64,
    loading: Option<Loading>,
    waiting: Option<Waiting>,
    once_saved: Option<Waiting>,
    demos: Vec<Demo>,
    revision: u64,
    aspect: f64,
}

impl Default for Session {
    fn default() -> Self {
        Self::empty()
    }
}

impl Session {
    /// Nothing open.
    pub fn empty() -> Self {
        Self {
            open: None,
            view: View::default(),
            messages: Vec::new(),
            next_message: 0,
            loading: None,
            waiting: None,
            once_saved: None,
            demos: Vec::new(),
            revision: 0,
            aspect: 1.3,
        }
    }

    /// A job just opened.
    pub fn new(job: OpenJob) -> Self {
        let mut session = Self::empty();
        session.opened(job);
        session
    }

    /// Does one thing. An action that makes no sense (a beam that is not there, a block the stock
    /// does not have) changes nothing and leaves a message that says why.
    pub fn perform(&mut self, action: Action) -> Vec<Request> {
        if let Some(gesture) = action.gesture() {
            return self.edit(&action, &gesture);
        }
        let mut requests = Vec::new();
        match action {
            Action::Settle => {
                if let Some(open) = &mut self.open {
                    open.history.settle();
                }
            }
            Action::Undo => self.step(History::undo, &mut requests),
            Action::Redo => self.step(History::redo, &mut requests),
            Action::Open => self.guarded(Waiting::Open, &mut requests),
            Action::OpenPath(path) => self.guarded(Waiting::Path(path), &mut requests),
            Action::OpenDemo(path) => self.guarded(Waiting::Demo(path), &mut requests),
            Action::DiscardAndOpen => {
                if let Some(waiting) = self.waiting.take() {
                    requests.push(self.go(waiting));
                }
            }
            Action::SaveAndOpen => {
                self.once_saved = self.waiting.take();
                if self.once_saved.is_some() {
                    self.save(&mut requests);
                }
            }
            Action::KeepOpen => self.waiting = None,
            Action::CancelLoading => {
                if self.loading.is_some() {
                    requests.push(Request::CancelLoading);
                }
            }
            Action::Save => self.save(&mut requests),
            Action::SaveAs => {
                if let Some(open) = &self.open {
                    requests.push(Request::SaveDialog {
                        name: file_name(&open.path),
                    });
                }
            }
            Action::Dismiss(id) => self.messages.retain(|message| message.id != id),
            looking => self.look(looking, &mut requests),
        }
        requests
    }

    /// Actions that change only what is shown.
    fn look(&mut self, action: Action, requests: &mut Vec<Request>) {
        match action {
            Action::Select(id) => self.select(id, requests),
            Action::SelectNext => self.select_by(1, requests),
            Action::SelectPrevious => self.select_by(-1, requests),
            Action::Units(units) => self.view.units = units,
            Action::Theme(theme) => self.view.theme = theme,
            Action::HullOpacity(opacity) if opacity.is_finite() => {
                self.view.hull_opacity = opacity.clamp(0.0, 1.0);
            }
            Action::Cut(station_m) => {
                self.view.cut_station_m = station_m.filter(|x_m| x_m.is_finite());
            }
            Action::Labels(on) => self.view.labels = on,
            Action::Figure(on) => self.view.figure = on,
            Action::LookFrom(from) => {
                if let Some(bounds) = self.scene_bounds() {
                    requests.push(Request::FlyTo(Camera::framing(&bounds, from, self.aspect)));
                }
            }
            Action::CameraMoved(camera) => {
                self.view.camera = camera;
                return;
            }
            Action::Tab(tab) => self.view.tab = tab,
            Action::Show(overlay) => self.view.overlay = overlay,
            Action::Touch(on) => self.view.touch = on,
            _ => return,
        }
        self.revision += 1;
    }

    fn edit(&mut self, action: &Action, gesture: &str) -> Vec<Request> {
        let Some(open) = &mut self.open else {
            return Vec::new();
        };
        let desk = open.history.now();
        let result = edit::apply(action, &desk.rig, &desk.job, &open.findings);
        match result {
            Ok(edit::Edited { job, made }) => {
                let mut next = open.history.now().clone();
                next.job = job;
                let alone = action.stands_alone();
                if alone {
                    open.history.settle();
                }
                let changed = open.history.change(next, gesture);
                if alone {
                    open.history.settle();
                }
                if !made.is_empty() {
                    let text = words::made(&made, self.view.units);
                    self.say(Level::Done, "Made from the stock", text);
                }
                if changed { self.recheck() } else { Vec::new() }
            }
            Err(refusal) => {
                self.say(Level::Error, "That cannot be done", refusal.to_string());
                Vec::new()
            }
        }
    }

    /// Checks the job as it now stands, once, and says so if the verdict changed.
    fn recheck(&mut self) -> Vec<Request> {
        self.revision += 1;
        let Some(open) = &mut self.open else {
            return Vec::new();
        };
        let desk = open.history.now();
        let before = open.findings.verdict;
        open.findings = check(&desk.hull, &desk.rig, &desk.job.load);
        if before == open.findings.verdict {
            return Vec::new();
        }
        vec![Request::Announce(words::headline(&open.findings))]
    }

    fn step(&mut self, step: fn(&mut History<Desk>) -> bool, requests: &mut Vec<Request>) {
        if self
            .open
            .as_mut()
            .is_some_and(|open| step(&mut open.history))
        {
            requests.extend(self.recheck());
        }
    }

    fn select(&mut self, id: Option<String>, requests: &mut Vec<Request>) {
        self.view.selected = id;
        let camera = self.view.camera;
        if let Some(place) = self.selected().and_then(|finding| finding.place) {
            requests.push(Request::FlyTo(sight::of_place(&place, &camera)));
        }
    }

    fn select_by(&mut self, step: isize, requests: &mut Vec<Request>) {
        let Some(open) = &self.open else {
            return;
        };
        let list = &open.findings.list;
        let at = list
            .iter()
            .position(|finding| Some(&finding.id) == self.view.selected.as_ref());
        let to = match at {
            None => 0,
            Some(at) => at
                .saturating_add_signed(step)
                .min(list.len().saturating_sub(1)),
        };
        let id = list.get(to).map(|finding| finding.id.clone());
        self.select(id, requests);
    }

    fn save(&self, requests: &mut Vec<Request>) {
        if let Some(open) = &self.open {
            requests.push(Request::Save {
                path: open.path.clone(),
            });
        }
    }

    fn guarded(&mut self, wanted: Waiting, requests: &mut Vec<Request>) {
        self.once_saved = None;
        if self.is_dirty() {
            self.waiting = Some(wanted);
        } else {
            let request = self.go(wanted);
            requests.push(request);
        }
    }

    fn go(&mut self, wanted: Waiting) -> Request {
        self.view.overlay = None;
        match wanted {
            Waiting::Open => Request::OpenDialog,
            Waiting::Path(path) => Request::OpenPath(path),
            Waiting::Demo(path) => Request::OpenDemo(path),
        }
    }

    fn notice(&mut self, notices: &[Notice]) {
        for notice in notices {
            self.say(Level::Notice, "About the files", notice.to_string());
        }
    }

    /// Adds a message.
    pub fn say(&mut self, level: Level, title: impl Into<String>, text: impl Into<String>) {
        let (title, text) = (title.into(), text.into());
        // The same thing said twice is said once; what was done before is of no interest any more.
        self.messages
            .retain(|old| old.level != Level::Done && (old.title != title || old.text != text));
        self.messages.push(Message {
            id: self.next_message,
            level,
            title,
            text,
        });
        self.next_message += 1;
        self.revision += 1;
    }
}

/// What the platform tells the session.
impl Session {
    /// Something is being read: `fraction` of it so far, if that can be told.
    pub fn loading(&mut self, name: &str, fraction: Option<f32>, doing: &str) {
        self.loading = Some(Loading {
            name: name.to_owned(),
            fraction,
            doing: doing.to_owned(),
        });
    }

    /// A job was read; it takes the place of what was open. Selection and cut begin anew, units,
    /// theme and the like stay.
    pub fn opened(&mut self, job: OpenJob) -> Vec<Request> {
        let OpenJob {
            path,
            job,
            hull,
            rig,
            files,
            notices,
        } = job;
        let findings = check(&hull, &rig, &job.load);
        self.loading = None;
        self.waiting = None;
        self.once_saved = None;
        self.messages.clear();
        self.view.selected = None;
        self.view.cut_station_m = None;
        self.view.overlay = None;
        self.view.tab = Tab::Findings;
        let announce = format!("{}: {}", job.name, words::headline(&findings));
        self.open = Some(Open {
            path,
            history: History::new(Desk {
                job,
                hull: Arc::new(hull),
                rig: Arc::new(rig),
                files,
            }),
            findings,
        });
        self.notice(&notices);
        self.revision += 1;
        let mut requests = vec![Request::Announce(announce)];
        if let Some(bounds) = self.scene_bounds() {
            let camera = Camera::framing(&bounds, LookFrom::Corner, self.aspect);
            requests.push(Request::FlyTo(camera));
        }
        requests
    }

    /// Another hull was read: it stands in place of the open job's hull, as a step that can be
    /// undone. Without an open job nothing happens.
    pub fn hull_replaced(&mut self, opened: OpenHull) -> Vec<Request> {
        self.loading = None;
        let Some(open) = &mut self.open else {
            return Vec::new();
        };
        let mut next = open.history.now().clone();
        if let Some(first) = opened.files.first() {
            next.job.hull.clone_from(&first.name);
        }
        next.hull = Arc::new(opened.hull);
        next.files.hull = opened.files;
        open.history.settle();
        open.history.change(next, "hull");
        open.history.settle();
        let requests = self.recheck();
        self.notice(&opened.notices);
        requests
    }

    /// Reading or writing failed: `text` says file, place, what was found and expected, what to do.
    /// What is open stays open.
    pub fn failed(&mut self, title: &str, text: &str) {
        self.loading = None;
        self.once_saved = None;
        self.say(Level::Error, title, text);
    }

    /// Loading was stopped.
    pub fn cancelled(&mut self) {
        self.loading = None;
    }

    /// The job as it stands was written to `path`. Opens what waited for that.
    pub fn saved(&mut self, path: &str, saved: Saved) -> Vec<Request> {
        if let Some(open) = &mut self.open {
            let now = open.history.now().clone();
            open.history.map(|desk| desk.follow(&saved, &now));
            open.history.mark_saved();
            open.path = path.to_owned();
        }
        self.say(Level::Done, "Saved", words::saved(path, &saved.brought));
        let wanted = self.once_saved.take();
        wanted.map(|wanted| self.go(wanted)).into_iter().collect()
    }

    /// The person chose no place to save the job after all.
    pub fn save_given_up(&mut self) {
        self.once_saved = None;
    }

    /// The demo jobs there are.
    pub fn set_demos(&mut self, demos: Vec<Demo>) {
        self.demos = demos;
    }

    /// Width over height of the picture, for views that show all of it.
    pub fn set_aspect(&mut self, aspect: f64) {
        if aspect.is_finite() && aspect > 0.0 {
            self.aspect = aspect;
        }
    }
}

/// What there is to see.
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

    /// The finding looked at, if it is still among the findings.
    pub fn selected(&self) -> Option<&Finding> {
        let id = self.view.selected.as_ref()?;
        let list = &self.findings()?.list;
        list.iter().find(|finding| finding.id == *id)
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

    /// Whether there are changes not saved.
    pub fn is_dirty(&self) -> bool {
        self.open
            .as_ref()
            .is_some_and(|open| open.history.is_dirty())
    }

    /// Whether there is a step to take back.
    pub fn can_undo(&self) -> bool {
        self.open
            .as_ref()
            .is_some_and(|open| open.history.can_undo())
    }

    /// Whether there is a step to do again.
    pub fn can_redo(&self) -> bool {
        self.open
            .as_ref()
            .is_some_and(|open| open.history.can_redo())
    }

    /// Whether something lies over everything and takes the keys.
    pub fn is_covered(&self) -> bool {
        self.waiting.is_some() || self.loading.is_some() || self.view.overlay.is_some()
    }

    /// Bounds of boat and rig as they stand, trailer frame; none without a job.
    pub fn scene_bounds(&self) -> Option<Aabb> {
        let (hull, findings) = (self.hull()?, self.findings()?);
        Some(sight::bounds(hull, findings))
    }

    /// What is laid over everything, if anything.
    pub fn overlay(&self) -> Option<Overlay> {
        self.view.overlay
    }
}

/// The last part of a path, whichever way its slashes lean.
fn file_name(path: &str) -> String {
    path.rsplit(['/', '\\']).next().unwrap_or(path).to_owned()
}

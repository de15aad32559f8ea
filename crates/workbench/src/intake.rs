//! Bringing in a hull: choose it, stand it up, name its parts, weigh it, mark it, put it to use.
//!
//! An [`Intake`] stands beside the open job and touches nothing of it. What a person answers is a
//! [`Draft`], the unit of undo; what follows from it is worked out by [`stand`], away from the
//! drawing thread, and handed back with the number it was asked under.

mod action;
mod begun;
mod bring;
mod draft;
mod edit;
mod marks;
mod measured;
mod rows;
mod sketch;
mod weigh;

use std::sync::Arc;

use keelstead_boat::hull::Hull;
use keelstead_boat::weigh::Weighed;
use keelstead_files::hull_file::HullFile;
use keelstead_units::quantity::Sentence;

use crate::history::History;
use crate::task::Files;

pub use action::{IntakeAction, Step};
pub use begun::{Begun, Figured};
pub(crate) use bring::named_after;
pub use bring::{Stood, stand, stand_measured};
pub use draft::Draft;
pub use marks::MarkTool;
pub use measured::{Fit, Measured};
pub(crate) use measured::{draft_of, is_needed};
pub use rows::{Choice, Row, rows};
pub use sketch::Sketch;
pub(crate) use sketch::sketches;
pub use weigh::{Cut, ToWeigh, WeighedBy};

pub(crate) use weigh::{level_waterline, marked_at};

use weigh::{Said, SharedHull};

/// A hull being brought in.
#[derive(Debug)]
pub struct Intake {
    pub(crate) step: Step,
    pub(crate) files: Option<Files>,
    pub(crate) history: History<Draft>,
    pub(crate) stood: Option<Box<Stood>>,
    /// The hull as it stands, shared with what draws it.
    pub(crate) hull: Option<Arc<Hull>>,
    /// The draft that the hull stands by.
    pub(crate) stood_by: Option<Draft>,
    /// What all that was said of its weight comes to, or why it cannot be right.
    pub(crate) weighed: Option<Result<Weighed, String>>,
    /// Where the marked water meets the skin, hull frame.
    pub(crate) waterline: Vec<Cut>,
    pub(crate) trouble: Option<Sentence>,
    pub(crate) working: Option<Working>,
    pub(crate) part: Option<usize>,
    pub(crate) tool: MarkTool,
    pub(crate) asks_to_leave: bool,
    /// Another hull of its name stands on the shelf.
    pub(crate) taken: bool,
    /// Id of the hull that the person is asked about before it is taken off the shelf.
    pub(crate) removing: Option<String>,
    /// The draft that was last put on the shelf or to use.
    pub(crate) kept: Option<Draft>,
}

/// What is being worked out just now.
#[derive(Debug, Clone, PartialEq)]
pub struct Working {
    /// Whether the hull stands, and is only weighed.
    pub weighs: bool,
    /// How far it is, 0 to 1; none if that cannot be told.
    pub fraction: Option<f32>,
    /// What is being done, in a few words.
    pub doing: String,
}

impl Default for Intake {
    fn default() -> Self {
        Self {
            step: Step::Choose,
            files: None,
            history: History::new(Draft::default()),
            stood: None,
            hull: None,
            stood_by: None,
            weighed: None,
            waterline: Vec::new(),
            trouble: None,
            working: None,
            part: None,
            tool: MarkTool::default(),
            asks_to_leave: false,
            taken: false,
            removing: None,
            kept: None,
        }
    }
}

impl Intake {
    /// Where on the way it is.
    pub fn step(&self) -> Step {
        self.step
    }

    /// The steps of the way this hull takes, in order.
    pub fn path(&self) -> Vec<Step> {
        let measured = self.draft().measured.is_some();
        let examined = self.stood().is_none_or(|stood| stood.examined.is_some());
        Step::PATH
            .into_iter()
            .filter(|step| match step {
                Step::Measure => measured,
                Step::Stand => !measured && examined,
                _ => true,
            })
            .collect()
    }

    /// What was said of the hull so far.
    pub fn draft(&self) -> &Draft {
        self.history.now()
    }

    /// The hull as it stands, by the answers so far; none before it was read.
    pub fn stood(&self) -> Option<&Stood> {
        self.stood.as_deref()
    }

    /// The hull to draw.
    pub fn hull(&self) -> Option<&Arc<Hull>> {
        self.hull.as_ref()
    }

    /// What all that was said of its weight comes to, or why it cannot be right; none before it
    /// stands.
    pub fn weighed(&self) -> Option<&Result<Weighed, String>> {
        self.weighed.as_ref()
    }

    /// Weighs it by all that was said; hands back what takes longer than a frame, to be carried out.
    pub(crate) fn weigh(&mut self) -> Option<ToWeigh> {
        let said = Said::of(self.history.now());
        self.weighed = None;
        self.waterline.clear();
        let hull = SharedHull(self.hull.clone()?);
        let long = said.takes_long(&hull.0);
        let what = ToWeigh { hull, said };
        if long {
            return Some(what);
        }
        self.weighs(what.weigh());
        None
    }

    /// Takes what it weighs, unless other things were said meanwhile.
    pub(crate) fn weighs(&mut self, by: WeighedBy) {
        if by.said == Said::of(self.history.now()) {
            self.weighed = Some(by.weighed);
            self.waterline = by.waterline;
        }
    }

    /// Where the marked water meets the skin, in no order.
    pub fn waterline(&self) -> &[Cut] {
        &self.waterline
    }

    /// How deep it floats, m, as marked or as measured; none if nobody said.
    pub fn afloat_draft_m(&self) -> Option<f64> {
        let weighed = self
            .weighed
            .as_ref()
            .and_then(|weighed| weighed.as_ref().ok());
        let marked = weighed.and_then(|weighed| weighed.afloat);
        let measured = self.draft().measured.as_ref();
        marked
            .map(|afloat| afloat.draft_m)
            .or(measured.and_then(|measured| measured.measures.draft_m))
    }

    /// Why the hull does not stand as the last answer asks.
    pub fn trouble(&self) -> Option<&Sentence> {
        self.trouble.as_ref()
    }

    /// What is being worked out.
    pub fn working(&self) -> Option<&Working> {
        self.working.as_ref()
    }

    /// The part looked at, by its index in the hull.
    pub fn part(&self) -> Option<usize> {
        let count = self.hull()?.parts.len();
        self.part.filter(|part| *part < count)
    }

    /// What a press on the hull puts there while it is marked.
    pub fn tool(&self) -> MarkTool {
        self.tool
    }

    /// Whether the person is asked what shall become of an unfinished hull.
    pub fn asks_to_leave(&self) -> bool {
        self.asks_to_leave
    }

    /// Whether another hull of its name stands on the shelf already.
    pub fn is_name_taken(&self) -> bool {
        self.taken
    }

    /// Id of the hull that is only taken off the shelf once the person has said so twice.
    pub fn removing(&self) -> Option<&str> {
        self.removing.as_deref()
    }

    /// Whether leaving would lose something.
    pub fn is_touched(&self) -> bool {
        let begun = self.files.is_some() || self.draft().measured.is_some();
        begun && self.kept.as_ref() != Some(self.draft())
    }

    /// Name of the file it comes from, as the person knows it.
    pub fn file_name(&self) -> Option<String> {
        let name = self.files.as_ref()?.name();
        name.rsplit(['/', '\\']).next().map(str::to_owned)
    }

    /// Whether the picture shows what was answered, nothing being open or under way.
    pub fn is_settled(&self) -> bool {
        let settled = self.stood().is_some_and(|stood| stood.open.is_empty());
        settled && self.working.is_none() && self.trouble.is_none()
    }

    /// Whether the hull stands by all that was said.
    pub(crate) fn stands_as_said(&self) -> bool {
        let by = self.stood_by.as_ref();
        by.is_some_and(|by| by.stands_as(self.draft()))
    }

    /// Whether the way on from this step is free.
    pub fn may_go_on(&self) -> bool {
        match self.step {
            Step::Choose | Step::Shelf => self.stood.is_some(),
            Step::Measure => self.is_settled() && self.stands_as_said(),
            Step::Done => false,
            _ => self.is_settled(),
        }
    }

    /// Whether a step can be gone to from here.
    pub fn may_go_to(&self, step: Step) -> bool {
        let path = self.path();
        let at = |step: Step| path.iter().position(|one| *one == step);
        let first = self.draft().measured.is_some() || self.stood.is_some();
        match (at(step), at(self.step)) {
            (Some(0), _) => true,
            (Some(1), _) => first,
            (Some(to), Some(from)) if to <= from => true,
            (Some(_), _) => self.is_settled() && self.stands_as_said(),
            (None, _) => step == Step::Shelf,
        }
    }

    /// The description of the hull as it stands, with all that was said.
    pub fn described(&self) -> Option<HullFile> {
        let stood = self.stood()?;
        Some(self.draft().described(&stood.described))
    }
}

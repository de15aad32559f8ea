//! Changing the job, checked anew at every step; undo and redo.

use keelstead::check::{check, check_as_drawn};
use keelstead::findings::Findings;
use keelstead_units::verdict::Verdict;

use super::Session;
use super::desk::Desk;
use crate::action::{Action, Request};
use crate::edit;
use crate::history::History;
use crate::message::Level;
use crate::words;

impl Session {
    pub(super) fn edit(&mut self, action: &Action, gesture: &str) -> Vec<Request> {
        self.may_lose = false;
        let Some(open) = &mut self.open else {
            return Vec::new();
        };
        let desk = open.history.now();
        let result = match action {
            Action::Mark(edit) => desk.marked(edit).map(|next| (next, Vec::new(), false)),
            _ => edit::apply(action, &desk.rig, &desk.job, &open.findings).map(|edited| {
                let mut next = desk.clone();
                next.job = edited.job;
                (Some(next), edited.made, edited.stale)
            }),
        };
        match result {
            Ok((None, ..)) => Vec::new(),
            Ok((Some(next), made, stale)) => {
                let alone = action.stands_alone();
                if alone {
                    open.history.settle();
                }
                let drags = open.history.goes_on(gesture);
                let changed = open.history.change(next, gesture);
                if alone {
                    open.history.settle();
                }
                if !made.is_empty() {
                    let text = words::made(&made, self.view.units);
                    self.say(Level::Done, "Made from the stock", text);
                }
                if stale {
                    self.say(Level::Notice, "Measured after set-down", edit::STALE);
                }
                match (changed, drags) {
                    (false, _) => Vec::new(),
                    (true, false) => self.recheck(),
                    (true, true) => self.recheck_as_drawn(),
                }
            }
            Err(refusal) => {
                self.say(Level::Error, "That cannot be done", refusal.says());
                Vec::new()
            }
        }
    }

    /// Checks the job as it now stands, once, and says so if the verdict changed.
    pub(super) fn recheck(&mut self) -> Vec<Request> {
        let desk = self.open.as_ref().map(|open| open.history.now());
        let findings = desk.map(|desk| check(&desk.hull, &desk.rig, &desk.job.load));
        findings.map_or_else(Vec::new, |findings| self.found(findings))
    }

    /// The same under a hand that drags: what the tolerances make of it waits until the hand rests
    /// ([`Session::work_out`]).
    fn recheck_as_drawn(&mut self) -> Vec<Request> {
        let desk = self.open.as_ref().map(|open| open.history.now());
        let findings = desk.map(|desk| check_as_drawn(&desk.hull, &desk.rig, &desk.job.load));
        findings.map_or_else(Vec::new, |findings| self.found(findings))
    }

    /// Works out what waits for a hand that drags to rest, if anything does.
    pub fn work_out(&mut self) -> Vec<Request> {
        if self.is_pending() {
            self.recheck()
        } else {
            Vec::new()
        }
    }

    /// This was found of the job as it now stands.
    pub(super) fn found(&mut self, findings: Findings) -> Vec<Request> {
        self.revision += 1;
        let Some(open) = &mut self.open else {
            return Vec::new();
        };
        open.findings = findings;
        let verdict = open.findings.verdict;
        if verdict == Verdict::Pending || verdict == open.announced {
            return Vec::new();
        }
        open.announced = verdict;
        vec![Request::Announce(words::headline(&open.findings))]
    }

    pub(super) fn step(
        &mut self,
        step: fn(&mut History<Desk>) -> bool,
        requests: &mut Vec<Request>,
    ) {
        if self
            .open
            .as_mut()
            .is_some_and(|open| step(&mut open.history))
        {
            requests.extend(self.recheck());
        }
    }
}

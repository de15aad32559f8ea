//! Steps that can be taken back and done again.

/// A value with its past and its undone future.
///
/// Changes that share a key are one step until [`History::settle`]: a drag is taken back whole.
#[derive(Debug, Clone)]
pub struct History<T> {
    now: T,
    past: Vec<Step<T>>,
    future: Vec<Step<T>>,
    saved: T,
    gesture: Option<String>,
}

/// A value beside the one shown, and the gesture between the two.
#[derive(Debug, Clone)]
struct Step<T> {
    value: T,
    gesture: String,
}

/// How many steps are kept; a load is small.
const STEPS_KEPT: usize = 500;

impl<T: Clone + PartialEq> History<T> {
    /// Starts with `value`, counted as saved.
    pub fn new(value: T) -> Self {
        Self {
            saved: value.clone(),
            now: value,
            past: Vec::new(),
            future: Vec::new(),
            gesture: None,
        }
    }

    /// The value as it stands.
    pub fn now(&self) -> &T {
        &self.now
    }

    /// Whether a change by this gesture goes on with the last one.
    pub fn goes_on(&self, gesture: &str) -> bool {
        self.gesture.as_deref() == Some(gesture)
    }

    /// Takes `value` as the next state, in the same step as the last change if that had the same
    /// `gesture` and nothing settled it. Returns false if nothing changed.
    pub fn change(&mut self, value: T, gesture: &str) -> bool {
        if value == self.now {
            return false;
        }
        let old = std::mem::replace(&mut self.now, value);
        if !self.goes_on(gesture) {
            self.past.push(Step {
                value: old,
                gesture: gesture.to_owned(),
            });
            if self.past.len() > STEPS_KEPT {
                self.past.remove(0);
            }
            self.gesture = Some(gesture.to_owned());
        }
        self.future.clear();
        true
    }

    /// Ends the step: the next change is one of its own.
    pub fn settle(&mut self) {
        self.gesture = None;
        // A drag that came back to where it began is no step.
        self.past.pop_if(|step| step.value == self.now);
    }

    /// Takes the last step back; false if there is none.
    pub fn undo(&mut self) -> bool {
        self.settle();
        Self::go(&mut self.past, &mut self.now, &mut self.future)
    }

    /// Does the step taken back again; false if there is none.
    pub fn redo(&mut self) -> bool {
        self.settle();
        Self::go(&mut self.future, &mut self.now, &mut self.past)
    }

    fn go(from: &mut Vec<Step<T>>, now: &mut T, to: &mut Vec<Step<T>>) -> bool {
        let Some(Step { value, gesture }) = from.pop() else {
            return false;
        };
        let value = std::mem::replace(now, value);
        to.push(Step { value, gesture });
        true
    }

    /// The gesture that would be taken back.
    pub fn to_undo(&self) -> Option<&str> {
        self.past.last().map(|step| step.gesture.as_str())
    }

    /// The gesture that would be done again.
    pub fn to_redo(&self) -> Option<&str> {
        self.future.last().map(|step| step.gesture.as_str())
    }

    /// Counts the value as it stands as saved.
    pub fn mark_saved(&mut self) {
        self.settle();
        self.saved = self.now.clone();
    }

    /// Changes all values alike, past and undone ones too: what holds whichever of them is shown.
    pub fn map(&mut self, change: impl Fn(&mut T)) {
        let steps = self.past.iter_mut().chain(&mut self.future);
        let values = steps.map(|step| &mut step.value);
        values
            .chain([&mut self.now, &mut self.saved])
            .for_each(change);
    }

    /// Whether the value differs from what was saved last.
    pub fn is_dirty(&self) -> bool {
        self.now != self.saved
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drag_is_one_step_and_a_new_drag_another() {
        let mut history = History::new(0);
        for x in 1..=5 {
            assert!(history.change(x, "drag"));
        }
        history.settle();
        for x in 6..=9 {
            assert!(history.change(x, "drag"));
        }
        assert!(history.undo());
        assert_eq!(*history.now(), 5);
        assert!(history.undo());
        assert_eq!(*history.now(), 0);
        assert!(!history.undo());
        assert!(history.redo() && history.redo() && !history.redo());
        assert_eq!(*history.now(), 9);
    }

    #[test]
    fn another_gesture_is_another_step_and_a_change_forgets_the_undone() {
        let mut history = History::new(0);
        history.change(1, "a");
        history.change(2, "b");
        history.undo();
        assert_eq!(*history.now(), 1);
        assert_eq!(
            (history.to_undo(), history.to_redo()),
            (Some("a"), Some("b"))
        );
        history.change(3, "c");
        assert_eq!(history.to_redo(), None);
    }

    #[test]
    fn undoing_back_to_the_saved_value_is_clean() {
        let mut history = History::new(0);
        history.change(1, "a");
        history.mark_saved();
        assert!(!history.is_dirty());
        history.change(2, "a");
        assert!(history.is_dirty());
        history.undo();
        assert!(!history.is_dirty());
        history.undo();
        assert!(history.is_dirty());
    }

    #[test]
    fn a_drag_back_to_its_start_leaves_no_step() {
        let mut history = History::new(0);
        history.change(4, "drag");
        history.change(0, "drag");
        history.settle();
        assert_eq!(history.to_undo(), None);
    }
}

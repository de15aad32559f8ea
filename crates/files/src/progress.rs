//! How far a reading has come, and whether the person still wants it.

use crate::error::FileError;

/// Told how far a reading has come; asked whether to go on.
pub trait Progress {
    /// `fraction` of the whole is done, 0 to 1; `doing` says in a few words what comes next.
    fn report(&self, fraction: f64, doing: &str);

    /// Whether the person wants it stopped.
    fn cancelled(&self) -> bool;
}

/// Nobody is watching, nobody stops it.
#[derive(Debug, Clone, Copy, Default)]
pub struct Silent;

impl Progress for Silent {
    fn report(&self, _fraction: f64, _doing: &str) {}

    fn cancelled(&self) -> bool {
        false
    }
}

/// A stretch of a longer task: its 0 to 1 is `from` to `to` of the whole.
pub(crate) struct Stretch<'a> {
    whole: &'a dyn Progress,
    from: f64,
    to: f64,
}

impl<'a> Stretch<'a> {
    pub(crate) fn new(whole: &'a dyn Progress, from: f64, to: f64) -> Self {
        Self { whole, from, to }
    }
}

impl Progress for Stretch<'_> {
    fn report(&self, fraction: f64, doing: &str) {
        let fraction = fraction.clamp(0.0, 1.0);
        self.whole
            .report(self.from + (self.to - self.from) * fraction, doing);
    }

    fn cancelled(&self) -> bool {
        self.whole.cancelled()
    }
}

/// Reports `fraction` and goes on, unless the person wants it stopped.
///
/// # Errors
/// [`FileError::Cancelled`] if that is so.
pub fn step(progress: &dyn Progress, fraction: f64, doing: &str) -> Result<(), FileError> {
    if progress.cancelled() {
        return Err(FileError::Cancelled);
    }
    progress.report(fraction, doing);
    Ok(())
}

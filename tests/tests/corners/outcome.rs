//! Verdicts that do not hold, and a work list of them.

use std::collections::BTreeMap;
use std::fmt;

use keelstead_units::verdict::Verdict;

use super::claims::kind;

/// A tolerance may be so much wider than what the corners find before it takes away what is there.
pub const WIDER: f64 = 1.15;

/// A verdict that does not hold.
#[derive(Debug, Clone)]
pub struct Failure {
    pub job: String,
    pub id: String,
    pub what: What,
    /// What was said of the documents as they stand.
    pub said: String,
    /// Where that does not hold, and what is said there.
    pub corner: String,
    /// How bad: what is missing at the corner in parts of what is asked or of the tolerance, to sort by.
    pub by: f64,
}

/// In which way a verdict does not hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// It was clear, and is foul at a corner.
    ClearButFoul,
    /// Nothing was said, which reads as clear, and it is foul at a corner.
    SilentButFoul,
    /// It was clear, and is unknown at a corner.
    ClearButUnknown,
    /// It was tight, and is foul at no corner, nor at one [`WIDER`].
    TightButNever,
}

impl What {
    fn word(self) -> &'static str {
        match self {
            Self::ClearButFoul => "clear, but foul at a corner",
            Self::SilentButFoul => "nothing said, but foul at a corner",
            Self::ClearButUnknown => "clear, but unknown at a corner",
            Self::TightButNever => "tight, but foul at no corner",
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}: {}: {}\n    said:   {}\n    corner: {}",
            self.job,
            self.id,
            self.what.word(),
            self.said,
            self.corner
        )
    }
}

/// A stated tolerance and what the corners find.
#[derive(Debug, Clone)]
pub struct Width {
    pub job: String,
    pub id: String,
    pub verdict: Verdict,
    pub spare: f64,
    pub stated: f64,
    pub found: f64,
    pub corner: String,
}

impl Width {
    pub fn ratio(&self) -> f64 {
        self.stated / self.found
    }
}

/// What came of a job.
#[derive(Debug, Clone, Default)]
pub struct Outcome {
    pub failures: Vec<Failure>,
    pub widths: Vec<Width>,
    /// How many findings were asked of the corners, by their verdict.
    pub clear: usize,
    pub tight: usize,
    /// Foul or unknown already: nothing to be proven.
    pub skipped: usize,
    pub checks: usize,
}

impl Outcome {
    pub fn add(&mut self, other: Self) {
        self.failures.extend(other.failures);
        self.widths.extend(other.widths);
        self.clear += other.clear;
        self.tight += other.tight;
        self.skipped += other.skipped;
        self.checks += other.checks;
    }

    /// A work list: of each kind of finding, and each way in which its verdict does not hold, how often, and the worst.
    pub fn report(&self) -> String {
        let mut kinds: BTreeMap<(String, What), Vec<&Failure>> = BTreeMap::new();
        for failure in &self.failures {
            let key = (kind(&failure.id), failure.what);
            kinds.entry(key).or_default().push(failure);
        }
        let mut text = String::new();
        for ((kind, what), mut failures) in kinds {
            failures.sort_by(|a, b| b.by.total_cmp(&a.by));
            let count = failures.len();
            text += &format!("\n{kind}: {}: {count}\n", what.word());
            let told = if std::env::var_os("CORNERS_ALL").is_some() {
                count
            } else {
                1
            };
            for failure in &failures[..told] {
                text += &format!("  {failure}\n");
            }
        }
        text += &format!(
            "\n{} checks: {} clear and {} tight findings asked, {} foul or unknown already; {} do not hold\n",
            self.checks,
            self.clear,
            self.tight,
            self.skipped,
            self.failures.len()
        );
        text
    }
}

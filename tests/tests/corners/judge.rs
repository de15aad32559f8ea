//! What was said of the documents as they stand, against what the corners say.

use std::collections::BTreeMap;
use std::fmt;

use keelstead::findings::{Finding, Findings, Verdict};
use keelstead::quantity::{Quantity, Span};

use super::job::Job;
use super::moved::{Corner, How, Mover};

/// A tolerance may be so much wider than what the corners find before it takes away what is there.
pub const WIDER: f64 = 1.15;

/// Lengths and ratios that differ by less are the same.
const SAME: f64 = 1e-6;

/// What a finding is about, for the table and the work list: the id without whom it is about.
pub fn kind(id: &str) -> String {
    let mut words = id.split(':');
    let first = words.next().unwrap_or_default();
    match (first, words.next()) {
        ("strength" | "steady" | "size" | "weight" | "balance" | "lifting" | "carry", Some(of))
            if !of.starts_with(|c: char| c.is_ascii_digit()) =>
        {
            format!("{first}:{of}")
        }
        _ => first.to_owned(),
    }
}

/// Whether a question is put to the corners at all.
///
/// Left out: a wish about the stance, which is judged for the documents as drawn; contradictions between documents; what
/// the sources of a weight say of each other; and slings, whose marks are no measurement of how the boat stands.
fn asked_of_corners(id: &str) -> bool {
    let kind = kind(id);
    !["stance", "input", "weighed", "lifting", "use", "taped"].contains(&kind.as_str())
}

/// The question a finding answers. Of gaps only the worst of each rig part is told while it is clear, so that the rig
/// part is what was asked about.
fn question(id: &str) -> String {
    match id.strip_prefix("gap:").and_then(|rest| rest.split_once(':')) {
        Some((_, rig_part)) => format!("gap to {rig_part}"),
        None => id.to_owned(),
    }
}

/// How much more there is than asked, in the finding's unit; negative where it is foul. None where no figures stand.
pub fn spare(finding: &Finding) -> Option<f64> {
    let (found, asked) = (finding.found?.value, finding.required?.value);
    let less_is_better = ["strength", "size", "weight", "keel", "steady:pad", "steady:rest"];
    let less = less_is_better.iter().any(|of| finding.id.starts_with(of));
    Some(if less { asked - found } else { found - asked })
}

/// Whether a tight finding is tight for its tolerance, and not by a rule.
fn tight_by_tolerance(finding: &Finding) -> bool {
    let by_figures = spare(finding)
        .zip(finding.tolerance)
        .is_some_and(|(spare, tolerance)| {
            spare >= 0.0 && tolerance.value > 0.0 && spare - tolerance.value < 0.0
        });
    let by_words = ["share", "support", "keep-off"].contains(&kind(&finding.id).as_str());
    by_figures || by_words
}

/// What the corners say of one question.
#[derive(Debug, Clone)]
struct Worst {
    /// Least spare, and the corner.
    spare: Option<(f64, usize)>,
    /// The first corner at which it is foul, and what is said there.
    foul: Option<(usize, Finding)>,
    /// The same of unknown.
    unknown: Option<(usize, Finding)>,
}

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

/// Checks the job at each corner and says which verdicts do not hold.
pub fn judge(job: &Job, corners: &[Corner], how: How) -> Outcome {
    judge_said(job, &job.check(), corners, how)
}

/// The same of what was said of the job, whoever said it.
pub fn judge_said(job: &Job, base: &Findings, corners: &[Corner], how: How) -> Outcome {
    let mover = Mover::new(job);
    let mut outcome = Outcome {
        checks: 1 + corners.len(),
        ..Outcome::default()
    };
    let worst = worst(&mover, corners, how);
    let wider = needs_wider(base, &worst).then(|| {
        let wider: Vec<_> = corners.iter().map(|c| c.times(WIDER)).collect();
        outcome.checks += wider.len();
        self::worst(&mover, &wider, how)
    });
    let said = Said {
        job,
        mover: &mover,
        corners,
        base,
        worst: &worst,
    };
    for finding in base.list.iter().filter(|f| asked_of_corners(&f.id)) {
        match finding.verdict {
            Verdict::Clear => outcome.clear += 1,
            Verdict::Tight => outcome.tight += 1,
            Verdict::Foul | Verdict::Unknown => {
                outcome.skipped += 1;
                continue;
            }
        }
        outcome.failures.extend(said.fails(finding, wider.as_ref()));
        outcome.widths.extend(said.width(finding));
    }
    outcome.failures.extend(said.silent());
    outcome
}

fn needs_wider(base: &Findings, worst: &BTreeMap<String, Worst>) -> bool {
    base.list.iter().any(|f| {
        f.verdict == Verdict::Tight
            && asked_of_corners(&f.id)
            && tight_by_tolerance(f)
            && worst.get(&question(&f.id)).is_none_or(|w| w.foul.is_none())
    })
}

/// What is worst of each question at these corners. Gaps answer twice: as the pair and as all of the rig part.
fn worst(mover: &Mover, corners: &[Corner], how: How) -> BTreeMap<String, Worst> {
    let mut all: BTreeMap<String, Worst> = BTreeMap::new();
    let checked = in_parallel(corners, |corner| mover.at(corner, how).check());
    for (at, findings) in checked.into_iter().enumerate() {
        for finding in findings.list {
            if !asked_of_corners(&finding.id) {
                assert!(
                    kind(&finding.id) != "input" || mover.inputs.contains(&finding.id),
                    "a moved document contradicts itself: {}: {}",
                    finding.id,
                    told(&finding)
                );
                continue;
            }
            let spare = spare(&finding);
            let mut names = vec![question(&finding.id)];
            if names[0] != finding.id {
                names.push(finding.id.clone());
            }
            for name in names {
                let entry = all.entry(name).or_insert(Worst {
                    spare: None,
                    foul: None,
                    unknown: None,
                });
                if let Some(spare) = spare {
                    let more = entry.spare.is_none_or(|(least, _)| spare < least);
                    if more {
                        entry.spare = Some((spare, at));
                    }
                    if finding.verdict == Verdict::Foul && (more || entry.foul.is_none()) {
                        entry.foul = Some((at, finding.clone()));
                    }
                }
                if finding.verdict == Verdict::Foul && entry.foul.is_none() {
                    entry.foul = Some((at, finding.clone()));
                }
                if finding.verdict == Verdict::Unknown && entry.unknown.is_none() {
                    entry.unknown = Some((at, finding.clone()));
                }
            }
        }
    }
    all
}

/// How much is lost of what there is more than asked, for each question, at each corner.
pub fn losses(job: &Job, corners: &[Corner]) -> Vec<BTreeMap<String, f64>> {
    let mover = Mover::new(job);
    let of = |findings: &Findings| {
        let mut least: BTreeMap<String, f64> = BTreeMap::new();
        for finding in findings.list.iter().filter(|f| asked_of_corners(&f.id)) {
            if let Some(spare) = spare(finding) {
                let entry = least.entry(question(&finding.id)).or_insert(spare);
                *entry = entry.min(spare);
            }
        }
        least
    };
    let before = of(&mover.at(&Corner::middle(mover.stacks()), How::AtTheSeat).check());
    in_parallel(corners, |corner| {
        let now = of(&mover.at(corner, How::AtTheSeat).check());
        let lost = now.into_iter().filter_map(|(name, spare)| {
            let lost = before.get(&name)? - spare;
            Some((name, lost))
        });
        lost.collect()
    })
}

struct Said<'a> {
    job: &'a Job,
    mover: &'a Mover,
    corners: &'a [Corner],
    base: &'a Findings,
    worst: &'a BTreeMap<String, Worst>,
}

impl Said<'_> {
    fn failure(&self, id: &str, what: What, said: String, at: Option<&(usize, Finding)>) -> Failure {
        let corner = at.map_or_else(
            || format!("none of {}, nor {WIDER} times as far", self.corners.len()),
            |(at, finding)| {
                let corner = self.corners[*at].says(&self.mover.stated);
                format!("{corner}\n            {}", told(finding))
            },
        );
        let by = at.and_then(|(_, f)| Some(-spare(f)? / f.required?.value.abs().max(0.01)));
        Failure {
            job: self.job.name.clone(),
            id: id.to_owned(),
            what,
            said,
            corner,
            by: by.unwrap_or(0.0),
        }
    }

    fn fails(
        &self,
        finding: &Finding,
        wider: Option<&BTreeMap<String, Worst>>,
    ) -> Option<Failure> {
        let fail = |what, at| Some(self.failure(&finding.id, what, told(finding), at));
        let worst = self.worst.get(&finding.id)?;
        if finding.verdict == Verdict::Clear {
            if let Some(foul) = &worst.foul {
                return fail(What::ClearButFoul, Some(foul));
            }
            if let Some(unknown) = &worst.unknown {
                return fail(What::ClearButUnknown, Some(unknown));
            }
            return None;
        }
        if worst.foul.is_some() || !tight_by_tolerance(finding) {
            return None;
        }
        let foul = |all: &BTreeMap<String, Worst>| {
            let of = [finding.id.clone(), question(&finding.id)];
            of.iter()
                .any(|name| all.get(name).is_some_and(|w| w.foul.is_some()))
        };
        if foul(self.worst) || wider.is_some_and(foul) {
            return None;
        }
        fail(What::TightButNever, None)
    }

    /// How wide the tolerance is against what the corners find; none where no tolerance is stated.
    fn width(&self, finding: &Finding) -> Option<Width> {
        if !self.is_worst(finding) {
            return None;
        }
        let stated = finding.tolerance?.value;
        let before = spare(finding)?;
        let (least, at) = self.worst.get(&question(&finding.id))?.spare?;
        if stated <= 0.0 {
            return None;
        }
        let found = before - least;
        // A gap that is not the worst of its rig part is not told at the corners.
        (found > SAME).then(|| Width {
            job: self.job.name.clone(),
            id: finding.id.clone(),
            verdict: finding.verdict,
            spare: before,
            stated,
            found,
            corner: self.corners[at].says(&self.mover.stated),
        })
    }

    /// Whether no other finding on the same question leaves less: at the corners only the worst is sure to be told.
    fn is_worst(&self, finding: &Finding) -> bool {
        let asked = question(&finding.id);
        let same = self.base.list.iter().filter(|f| question(&f.id) == asked);
        let least = same.filter_map(spare).reduce(f64::min);
        spare(finding) == least
    }

    /// What is foul at a corner and was not spoken of: silence reads as clear.
    fn silent(&self) -> Vec<Failure> {
        let mut list = Vec::new();
        for (name, worst) in self.worst {
            let Some(foul) = &worst.foul else { continue };
            let id = &foul.1.id;
            // Of a rig part that is not a pair's own name, the pair tells.
            if name != id || self.base.finding(id).is_some() || self.covered(id) {
                continue;
            }
            let said = "nothing".to_owned();
            list.push(self.failure(id, What::SilentButFoul, said, Some(foul)));
        }
        list
    }

    /// Whether the same question had been answered by something else than clear under another name.
    fn covered(&self, id: &str) -> bool {
        let same: &[&str] = match kind(id).as_str() {
            // One stack that is left, or none: the others were said not to be sure.
            "support" | "carry" => &["support", "share", "balance", "carry"],
            "share" => &["support", "share", "balance"],
            _ => &[],
        };
        self.base.list.iter().any(|f| {
            f.verdict != Verdict::Clear
                && (question(&f.id) == question(id) || same.contains(&kind(&f.id).as_str()))
        })
    }
}

/// Verdict, sentence and figures of a finding.
pub fn told(finding: &Finding) -> String {
    let spans = finding.says.0.iter().map(|span| match span {
        Span::Words(words) => words.clone(),
        Span::Figure(figure) => format!("{:.4}", figure.value),
    });
    let says: String = spans.collect();
    let mut told = format!("{}: {says}", finding.verdict.word());
    let figure = |q: Option<Quantity>| {
        q.map_or("-".to_owned(), |q| format!("{:.4}", q.value))
    };
    told.push_str(&format!(
        " (found {}, asked {}, tolerance {})",
        figure(finding.found),
        figure(finding.required),
        figure(finding.tolerance)
    ));
    told
}

/// The same in the same order, on as many threads as there are cores.
pub fn in_parallel<T: Sync, U: Send>(items: &[T], work: impl Fn(&T) -> U + Sync) -> Vec<U> {
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let share = items.len().div_ceil(threads).max(1);
    std::thread::scope(|scope| {
        let work = &work;
        let runs: Vec<_> = items
            .chunks(share)
            .map(|run| scope.spawn(move || run.iter().map(work).collect::<Vec<U>>()))
            .collect();
        let done = runs.into_iter().flat_map(|run| run.join().unwrap());
        done.collect()
    })
}

//! What was said of the documents as they stand, against what the corners say.

use std::collections::BTreeMap;

use keelstead::findings::{Finding, Findings};
use keelstead_units::verdict::Verdict;

use super::claims::{asked_of_corners, kind, question, spare, tight_by_tolerance, told};
use super::job::Job;
use super::moved::{Corner, How, Mover};
use super::outcome::{Failure, Outcome, WIDER, What, Width};
use super::parallel::in_parallel;

/// Figures that differ by less are the same.
const SAME: f64 = 1e-6;

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
            Verdict::Foul | Verdict::Unknown | Verdict::Pending => {
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
            && worst.get(&f.id).is_none_or(|w| w.foul.is_none())
    })
}

/// What is worst of each question at these corners. Gaps answer twice: as the pair and as all of the rig part.
fn worst(mover: &Mover, corners: &[Corner], how: How) -> BTreeMap<String, Worst> {
    let mut all: BTreeMap<String, Worst> = BTreeMap::new();
    let checked = in_parallel(corners, |corner| mover.at(corner, how).check());
    for (at, findings) in checked.into_iter().enumerate() {
        for finding in findings.list {
            if !asked_of_corners(&finding.id) {
                // Height of a stack is moved in its shims, which a wedge may be thicker than then.
                let moved = finding.id.ends_with(":thin-wedge") || finding.id.ends_with(":shim");
                assert!(
                    kind(&finding.id) != "input" || mover.inputs.contains(&finding.id) || moved,
                    "a moved document contradicts itself: {}: {}",
                    finding.id,
                    told(&finding)
                );
                continue;
            }
            let spare = spare(&finding);
            for name in names(&finding) {
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
            let name = names(finding).pop().unwrap_or_default();
            if let Some(spare) = spare(finding) {
                let entry = least.entry(name).or_insert(spare);
                *entry = entry.min(spare);
            }
        }
        least
    };
    let before = of(&mover
        .at(&Corner::middle(mover.stacks()), How::AtTheSeat)
        .check());
    in_parallel(corners, |corner| {
        let now = of(&mover.at(corner, How::AtTheSeat).check());
        let lost = now.into_iter().filter_map(|(name, spare)| {
            let lost = before.get(&name)? - spare;
            Some((name, lost))
        });
        lost.collect()
    })
}

/// Under which names a finding counts: as the pair, and as all of the rig part. What is meant to rest there is another
/// question than what must stay off.
fn names(finding: &Finding) -> Vec<String> {
    let (id, asked) = (&finding.id, question(&finding.id));
    let rests = kind(id) == "gap" && finding.required.is_some_and(|q| q.value == 0.0);
    if rests || asked == *id {
        vec![id.clone()]
    } else {
        vec![id.clone(), asked]
    }
}

struct Said<'a> {
    job: &'a Job,
    mover: &'a Mover,
    corners: &'a [Corner],
    base: &'a Findings,
    worst: &'a BTreeMap<String, Worst>,
}

impl Said<'_> {
    fn failure(
        &self,
        id: &str,
        what: What,
        said: String,
        at: Option<&(usize, Finding)>,
    ) -> Failure {
        let corner = at.map_or_else(
            || {
                let worst = self.worst.get(id).and_then(|w| w.spare);
                let worst = worst.map_or(String::new(), |(least, at)| {
                    let corner = self.corners[at].says(&self.mover.stated);
                    format!(": at worst {least:.4} is left, at {corner}")
                });
                let of = self.corners.len();
                format!("none of {of}, nor {WIDER} times as far{worst}")
            },
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

    fn fails(&self, finding: &Finding, wider: Option<&BTreeMap<String, Worst>>) -> Option<Failure> {
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
            let mut of = vec![finding.id.clone(), question(&finding.id)];
            if let ("share" | "support", Some((_, beam))) =
                (kind(&finding.id).as_str(), finding.id.split_once(':'))
            {
                // A stack that carries nothing is said under either name, and a hull that tips under its own.
                of.extend([format!("share:{beam}"), format!("support:{beam}")]);
                of.extend(["balance".to_owned(), "carry".to_owned()]);
            }
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
            if name != id || self.base.finding(id).is_some() || self.covered(&foul.1) {
                continue;
            }
            let said = "nothing".to_owned();
            list.push(self.failure(id, What::SilentButFoul, said, Some(foul)));
        }
        list
    }

    /// Whether the same question had been answered by something else than clear, under this name or another.
    fn covered(&self, finding: &Finding) -> bool {
        let id = &finding.id;
        let unclear = |of: &dyn Fn(&Finding) -> bool| {
            let list = &self.base.list;
            list.iter().any(|f| f.verdict != Verdict::Clear && of(f))
        };
        let of_kinds = |kinds: &[&str]| unclear(&|f| kinds.contains(&kind(&f.id).as_str()));
        let named = |names: &[String]| unclear(&|f| names.contains(&f.id));
        unclear(&|f| question(&f.id) == question(id))
            || match kind(id).as_str() {
                // One stack that is left, or none: the others were said not to be sure.
                "support" | "carry" => of_kinds(&["support", "share", "balance", "carry"]),
                "share" => of_kinds(&["support", "share", "balance"]),
                "gap" => named(&self.what_stands_there(finding)),
                _ => false,
            }
    }

    /// Findings on what a rig part belongs to: a pad that may not reach stands elsewhere then, and a keel rests on the
    /// blocks of a stack of which it was not sure whether it carries.
    fn what_stands_there(&self, finding: &Finding) -> Vec<String> {
        let name = finding.id.splitn(3, ':').nth(2);
        let mut parts = self.base.rig_parts.iter();
        let Some(part) = parts.find(|p| Some(p.name.as_str()) == name) else {
            return Vec::new();
        };
        let pad = part.pad.and_then(|pad| self.base.pads.get(pad));
        let rests = finding.required.is_some_and(|asked| asked.value == 0.0);
        let beam = part.beam.filter(|_| rests);
        pad.map(|pad| format!("pad:{}", pad.name))
            .into_iter()
            .chain(beam.map(|beam| format!("support:{beam}")))
            .chain(beam.map(|beam| format!("share:{beam}")))
            .collect()
    }
}

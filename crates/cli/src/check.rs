//! `keelstead check JOB`.

use std::path::Path;

use anyhow::Context;
use keelstead::check::check as conclude;
use keelstead::findings::{Findings, Topic};
use keelstead_files::source::Disk;
use keelstead_files::{Notice, OpenJob, Silent, open_job};
use keelstead_load::clearance::Clearance;
use keelstead_load::clearance::all_pairs;
use keelstead_units::Units;
use keelstead_units::verdict::Verdict;
use serde::Serialize;

use crate::{BAD_INPUT, Outcome, report};

/// What `--json` prints.
#[derive(Serialize)]
struct Checked<'a> {
    /// The job's name.
    job: &'a str,
    /// What was noticed while reading.
    notices: &'a [Notice],
    /// Everything the engine concluded, SI units, trailer frame.
    findings: &'a Findings,
    /// Every pair of hull part and rig part or ground, the clear ones too.
    clearances: Vec<Clearance>,
}

pub(crate) fn check(job: &Path, json: bool, units: Units, all: bool) -> anyhow::Result<Outcome> {
    let (disk, name) = Disk::around(job)?;
    let open = open_job(&disk, &name, &Silent)?;
    let findings = conclude(&open.hull, &open.rig, &open.job.load);
    let text = if json {
        let checked = Checked {
            job: &open.job.name,
            notices: &open.notices,
            findings: &findings,
            clearances: clearances(&open, &findings),
        };
        let mut text = serde_json::to_string_pretty(&checked).context("findings as JSON")?;
        text.push('\n');
        text
    } else {
        report::text(&open, &findings, units, all)
    };
    Ok(Outcome {
        text,
        status: status(&findings),
    })
}

/// All of them, also those that no finding needed; none where a contradiction left nothing placed.
fn clearances(open: &OpenJob, findings: &Findings) -> Vec<Clearance> {
    let pose = findings.trailer_from_hull.pose();
    all_pairs(&open.hull, &findings.rig_parts, &pose)
}

/// The exit status that says what the findings say.
fn status(findings: &Findings) -> u8 {
    let contradiction = findings
        .list
        .iter()
        .any(|finding| finding.topic == Topic::Input && finding.verdict != Verdict::Clear);
    if contradiction {
        return BAD_INPUT;
    }
    match findings.verdict {
        Verdict::Clear => 0,
        Verdict::Foul => 1,
        Verdict::Tight | Verdict::Pending | Verdict::Unknown => 2,
    }
}

//! Parts of the hull that are not held against the rig: each is named, so that nothing is left out in silence.

use crate::check::{Worked, gaps};
use crate::findings::{Finding, Topic};
use keelstead_boat::hull::{GUESS_M, HullPart, PartUse};
use keelstead_units::quantity::{Basis, Sentence};
use keelstead_units::verdict::Verdict;

pub(super) fn findings(worked: &Worked) -> Vec<Finding> {
    let parts = worked.hull.parts.iter().enumerate();
    parts
        .filter_map(|(i, part)| match part.part_use {
            PartUse::Guessed => Some(guessed(worked, i, part)),
            PartUse::HeightOnly => Some(height_only(worked, i, part)),
            PartUse::LeftOut => Some(left_out(part)),
            PartUse::Checked | PartUse::VolumeOnly => None,
        })
        .collect()
}

/// Clear where the rig is farther off than the guess may be wrong.
fn guessed(worked: &Worked, index: usize, part: &HullPart) -> Finding {
    let name = &part.name;
    let finding = |verdict, says| {
        let title = format!("{name}, place guessed");
        Finding::new(format!("use:{name}"), Topic::Hull, verdict, title, says)
            .resting_on(&[Basis::AssumedDefault])
    };
    match gaps::not_surely_clear(worked, index, GUESS_M) {
        None => finding(
            Verdict::Clear,
            Sentence::new(format!("{name} stands where such boats usually have it, and no rig part is within "))
                .length(GUESS_M)
                .words(" of a box around it"),
        ),
        Some(rig) => finding(
            Verdict::Unknown,
            Sentence::new(format!(
                "nobody measured where {name} is; it stands where such boats usually have it, and {} may be nearer than that shows",
                rig.name
            )),
        )
        .advising(Sentence::new(format!(
            "look where {name} is on the boat; once it stands right, set its use to checked"
        ))),
    }
}

/// Clear where boxes alone prove it: nothing finer was measured.
fn height_only(worked: &Worked, index: usize, part: &HullPart) -> Finding {
    let name = &part.name;
    let finding = |verdict, says| {
        let title = format!("{name}, kept for height");
        Finding::new(format!("use:{name}"), Topic::Hull, verdict, title, says)
            .resting_on(&[Basis::Computed])
    };
    match gaps::not_surely_clear(worked, index, 0.0) {
        None => finding(
            Verdict::Clear,
            Sentence::new(format!("a box around {name} is clear of all of the rig")),
        ),
        Some(rig) => finding(
            Verdict::Unknown,
            Sentence::new(format!(
                "{name} counts for size and wind only, and a box around it is not clear of {}",
                rig.name
            )),
        )
        .advising(Sentence::new(
            "let the part be checked whole: set its use to checked",
        )),
    }
}

fn left_out(part: &HullPart) -> Finding {
    let name = &part.name;
    let says = Sentence::new(format!(
        "{name} is taken as not on the boat: gaps, height, width and wind are those without it"
    ));
    let title = format!("{name}, left out");
    Finding::new(
        format!("use:{name}"),
        Topic::Hull,
        Verdict::Clear,
        title,
        says,
    )
    .resting_on(&[Basis::Measured])
    .advising(Sentence::new(
        "see that it is off the boat before she moves",
    ))
}

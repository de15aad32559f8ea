//! Whether what the boat's weight and centre rest on fits together.

use crate::findings::{Finding, Topic};
use keelstead_boat::hull::Hull;
use keelstead_boat::weigh::Source;
use keelstead_units::quantity::{Basis, Sentence};
use keelstead_units::verdict::Verdict;

pub(super) fn findings(hull: &Hull) -> Vec<Finding> {
    let Some(weighed) = &hull.weighed else {
        return Vec::new();
    };
    let mut list = Vec::new();
    for told in &weighed.disagreements {
        let what = if told.id.starts_with("mass") {
            "the boat's weight"
        } else {
            "the boat's centre of gravity"
        };
        let id = format!("weighed:{}", told.id);
        let title = format!("sources of {what} disagree");
        list.push(
            Finding::new(id, Topic::Weight, Verdict::Tight, title, told.says.clone())
                .found(told.apart)
                .advising(advice(told.between))
                .resting_on(&[Basis::Measured, Basis::Computed]),
        );
    }
    for untold in &weighed.untold {
        let id = format!("weighed:{}", untold.source.key());
        let title = format!("weight from {}", untold.source.words());
        list.push(Finding::new(
            id,
            Topic::Weight,
            Verdict::Unknown,
            title,
            untold.says.clone(),
        ));
    }
    list
}

fn advice(between: [Source; 2]) -> Sentence {
    Sentence::new(if between.contains(&Source::Typical) {
        "look for a slip of the pen or of units; if the boat is so, give its own ratio in \
         weighing.typical or leave that out"
    } else {
        "find out which is wrong: weigh it again, or take one of the two out of the description"
    })
}

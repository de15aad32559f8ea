//! Which finding stands first: by verdict, then by what comes of it, then by how far over it is.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::findings::{Finding, Topic};
use keelstead_units::verdict::Verdict;

/// What comes of it where a finding is not met, worst first in order.
///
/// Told from topic and id, so that a finding needs no more than those. A topic or id that is new
/// falls in with its topic.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Consequence {
    /// What was judged is not what was said: a contradiction in the job, to be put right before
    /// anything else is believed.
    Contradicts,
    /// The boat falls over, or the rig rolls over with her.
    Falls,
    /// The boat tips over an end: off her last support, or out of her slings.
    Tips,
    /// Something is asked for more than it may bear: beam, block, keel, pad, axle, coupling.
    Breaks,
    /// Something meets what it must not: an overlap, a place to keep off.
    Touches,
    /// Something does not do its part: a stack that carries nothing, a pad that stands off. What
    /// comes of that for the whole boat is judged with the whole boat.
    Idle,
    /// Something comes nearer than is asked.
    Near,
    /// A limit or a wish that breaks nothing: height and width on the road, a stance.
    Limit,
    /// What the figures rest on: weights and shape that somebody has yet to tell.
    Untold,
}

impl Consequence {
    fn of(finding: &Finding) -> Self {
        let id = finding.id.as_str();
        let (kind, _) = id.split_once(':').unwrap_or((id, ""));
        match finding.topic {
            Topic::Input => Self::Contradicts,
            Topic::Balance => match id {
                // Weight beside the stacks leans on pads, which are not meant to carry it.
                "balance:sideways" | "carry:beside" => Self::Falls,
                _ => Self::Tips,
            },
            Topic::Steadying if id.starts_with("steady:pad:") => Self::Breaks,
            Topic::Steadying => Self::Falls,
            Topic::Strength => Self::Breaks,
            Topic::Weight if kind == "weighed" => Self::Untold,
            Topic::Weight => Self::Breaks,
            Topic::Support => match kind {
                _ if id == "support:one" => Self::Tips,
                // A stack that tips under her, or cannot stand at all.
                "support-tips" | "stand" => Self::Tips,
                "stance" => Self::Limit,
                "keep-off" => Self::Touches,
                _ => Self::Idle,
            },
            // On both sides or she falls over; one pad that stands off is no more than that.
            Topic::Pad if id == "pads" => Self::Falls,
            Topic::Pad => Self::Idle,
            Topic::Clearance if finding.found.is_some_and(|found| found.value < 0.0) => {
                Self::Touches
            }
            Topic::Clearance => Self::Near,
            Topic::Size => Self::Limit,
            Topic::Hull => match id {
                "lifting:balance" => Self::Tips,
                _ if kind == "lifting" => Self::Touches,
                _ => Self::Untold,
            },
        }
    }
}

/// Where nothing is asked there is no proportion: being off by so much, SI unit, then counts as
/// being off by all that is asked. Assumed.
const NOTHING_ASKED: f64 = 0.1;

/// Steps of a proportion that make a difference. Port and starboard of a fair hull differ by
/// rounding alone, which is not the same on every machine, and the order must be.
const STEPS: f64 = 1e4;

/// How far over a finding is, in proportion to what is asked, in [`STEPS`]. What is foul: how far
/// the figure is past it. Otherwise: how far it may be past it by its tolerance, less than nought
/// where that leaves spare. The sign of what was found less what is asked says nothing: a gap must
/// be more than what is asked, a load less.
fn over(finding: &Finding) -> i64 {
    let (Some(found), Some(required)) = (finding.found, finding.required) else {
        return without_figures(finding.verdict);
    };
    let apart = (found.value - required.value).abs();
    let tolerance = finding.tolerance.map_or(0.0, |off| off.value);
    let past = match finding.verdict {
        Verdict::Foul => apart,
        _ => tolerance - apart,
    };
    let scale = match required.value.abs() {
        asked if asked > 0.0 => asked,
        _ => NOTHING_ASKED,
    };
    let part = past / scale;
    if part.is_finite() {
        (part * STEPS).round() as i64
    } else {
        without_figures(finding.verdict)
    }
}

/// What fails without a figure fails altogether; what is clear without one has nothing against it.
fn without_figures(verdict: Verdict) -> i64 {
    match verdict {
        Verdict::Clear => i64::MIN,
        _ => i64::MAX,
    }
}

/// What a finding stands by among those of its verdict, first in order first.
type Rank = (Consequence, Reverse<i64>, Topic);

fn rank(finding: &Finding) -> Rank {
    let of = Consequence::of(finding);
    (of, Reverse(over(finding)), finding.topic)
}

/// The id without its side: the same for left and right of one thing.
fn either_side(id: &str) -> String {
    let sideless = |word: &str| match word.to_ascii_lowercase().as_str() {
        "left" | "right" | "port" | "starboard" => String::new(),
        _ => word.to_owned(),
    };
    let words = id.split_inclusive(|letter: char| !letter.is_alphanumeric());
    words
        .map(|word| {
            let bare = word.trim_end_matches(|letter: char| !letter.is_alphanumeric());
            sideless(bare) + &word[bare.len()..]
        })
        .collect()
}

/// Puts the worst first: by verdict, by [`Consequence`], by how far over. Left and right of one
/// thing stand together where the worse of them stands. What is alike keeps its order.
pub(super) fn worst_first(list: &mut Vec<Finding>) {
    let mut things: BTreeMap<(Verdict, String), (Rank, usize)> = BTreeMap::new();
    let thing = |finding: &Finding| (finding.verdict, either_side(&finding.id));
    for (at, finding) in list.iter().enumerate() {
        let own = (rank(finding), at);
        let worst = things.entry(thing(finding)).or_insert(own);
        *worst = (*worst).min(own);
    }
    let placed = std::mem::take(list).into_iter().enumerate();
    let mut placed: Vec<_> = placed
        .map(|(at, finding)| {
            let worst = things.get(&thing(&finding)).copied();
            let own = (rank(&finding), at);
            ((finding.verdict, worst, own), finding)
        })
        .collect();
    placed.sort_by_key(|a| a.0);
    list.extend(placed.into_iter().map(|(_, finding)| finding));
}

#[cfg(test)]
mod tests {
    use super::*;
    use keelstead_units::quantity::Quantity;

    fn bare(id: &str, topic: Topic, verdict: Verdict) -> Finding {
        Finding::new(id, topic, verdict, id, "as found".into())
    }

    fn with(id: &str, topic: Topic, verdict: Verdict, figures: [Quantity; 3]) -> Finding {
        let [found, required, tolerance] = figures;
        bare(id, topic, verdict)
            .found(found)
            .against(required, tolerance)
    }

    fn used(id: &str, verdict: Verdict, part: f64, tolerance: f64) -> Finding {
        let figures = [part, 1.0, tolerance].map(Quantity::ratio);
        with(id, Topic::Strength, verdict, figures)
    }

    fn gap(id: &str, verdict: Verdict, gap_m: f64, asked_m: f64) -> Finding {
        let figures = [gap_m, asked_m, 0.02].map(Quantity::length);
        with(id, Topic::Clearance, verdict, figures)
    }

    fn ordered(list: impl IntoIterator<Item = Finding>) -> Vec<String> {
        let mut list: Vec<Finding> = list.into_iter().collect();
        worst_first(&mut list);
        list.into_iter().map(|finding| finding.id).collect()
    }

    #[test]
    fn the_farthest_over_stands_first() {
        let list = [171.0, 172.0, 200.0].map(|percent| {
            let id = format!("strength:beam:{percent}");
            used(&id, Verdict::Foul, percent / 100.0, 0.1)
        });
        let expected = [
            "strength:beam:200",
            "strength:beam:172",
            "strength:beam:171",
        ];
        assert_eq!(ordered(list), expected);
    }

    #[test]
    fn a_gap_that_is_missed_by_more_of_what_is_asked_stands_first() {
        // 60 of 150 mm missing, and 20 of 25.
        let list = [
            gap("gap:keel:tyre", Verdict::Foul, 0.090, 0.150),
            gap("gap:keel:frame", Verdict::Foul, 0.005, 0.025),
        ];
        assert_eq!(ordered(list), ["gap:keel:frame", "gap:keel:tyre"]);
    }

    #[test]
    fn what_comes_of_it_goes_before_how_far_over() {
        let (foul, length) = (Verdict::Foul, Quantity::length(0.9));
        let list = [
            bare("use:rudder", Topic::Hull, foul),
            bare("size:height", Topic::Size, foul).found(length),
            gap("gap:a:b", foul, 0.001, 0.150),
            gap("gap:c:d", foul, -0.001, 0.150),
            bare("pad:front left pad", Topic::Pad, foul).found(length),
            bare("support:1", Topic::Support, foul).found(length),
            bare("keep-off:0", Topic::Support, foul),
            bare("pads", Topic::Pad, foul),
            used("strength:beam:0", foul, 1.01, 0.0),
            bare("weight:gross", Topic::Weight, foul),
            bare("balance", Topic::Balance, foul),
            bare("steady:hold", Topic::Steadying, foul),
            bare("input:beam:1:pocket", Topic::Input, foul),
        ];
        let expected = [
            "input:beam:1:pocket",
            // Alike, without figures: by topic.
            "pads",
            "steady:hold",
            "balance",
            "weight:gross",
            "strength:beam:0",
            "keep-off:0",
            "gap:c:d",
            "support:1",
            "pad:front left pad",
            "gap:a:b",
            "size:height",
            "use:rudder",
        ];
        assert_eq!(ordered(list), expected);
    }

    #[test]
    fn no_consequence_goes_before_the_verdict() {
        let list = [
            bare("steady:hold", Topic::Steadying, Verdict::Clear),
            bare("balance", Topic::Balance, Verdict::Tight),
            bare("steady:rollover", Topic::Steadying, Verdict::Unknown),
            bare("size:width", Topic::Size, Verdict::Foul),
        ];
        let expected = ["size:width", "steady:rollover", "balance", "steady:hold"];
        assert_eq!(ordered(list), expected);
    }

    #[test]
    fn left_and_right_stand_together_where_the_worse_stands() {
        let id = |side: &str| format!("gap:keel:tyre, axle 1 {side}");
        let list = [
            gap(&id("right"), Verdict::Foul, 0.140, 0.150),
            gap("gap:keel:tyre, axle 2 left", Verdict::Foul, 0.080, 0.150),
            gap("gap:rudder:frame", Verdict::Foul, 0.015, 0.025),
            gap(&id("left"), Verdict::Foul, -0.010, 0.150),
        ];
        let expected = [
            id("left"),
            id("right"),
            "gap:keel:tyre, axle 2 left".into(),
            "gap:rudder:frame".into(),
        ];
        assert_eq!(ordered(list), expected);
        // A word that holds one is none.
        assert_eq!(
            either_side("gap:Port light:leftover"),
            either_side("gap:starboard light:leftover")
        );
        assert_ne!(
            either_side("gap:keel:leftover"),
            either_side("gap:keel:rightover")
        );
    }

    #[test]
    fn where_it_holds_the_least_spare_stands_first() {
        let list = [
            // Spare past the tolerance, in parts of what is asked: 0.5, 0.2, none to tell.
            used("strength:a:0", Verdict::Clear, 0.4, 0.1),
            used("strength:b:0", Verdict::Clear, 0.5, 0.3),
            bare("strength:c:0", Topic::Strength, Verdict::Clear),
            // Over by the tolerance: 0.1 and 0.3.
            used("strength:d:0", Verdict::Tight, 0.9, 0.2),
            used("strength:e:0", Verdict::Tight, 0.8, 0.5),
        ];
        let expected = ["e", "d", "b", "a", "c"].map(|of| format!("strength:{of}:0"));
        assert_eq!(ordered(list), expected);
    }

    #[test]
    fn rounding_does_not_reorder() {
        let list = |by: f64| {
            [
                used("strength:a:0", Verdict::Foul, 1.5 - by, 0.0),
                used("strength:b:0", Verdict::Foul, 1.5 + by, 0.0),
            ]
        };
        assert_eq!(ordered(list(1e-9)), ordered(list(-1e-9)));
        assert_ne!(ordered(list(1e-3)), ordered(list(-1e-3)));
    }

    #[test]
    fn numbers_that_are_none_stand_with_what_has_no_figures() {
        let list = [
            used("strength:a:0", Verdict::Foul, 9.0, 0.0),
            used("strength:b:0", Verdict::Foul, f64::NAN, 0.0),
        ];
        assert_eq!(ordered(list), ["strength:b:0", "strength:a:0"]);
        let nothing_asked = gap("gap:keel:block", Verdict::Foul, -0.020, 0.0);
        assert_eq!(over(&nothing_asked), 2_000);
    }
}

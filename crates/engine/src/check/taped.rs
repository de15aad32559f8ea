//! What is not drawn of a boat that was measured with a tape: what stands above her sheer, reaches beyond her hull, and
//! hangs under her.

use crate::check::{Worked, gaps};
use crate::findings::{Finding, Size, Topic};
use keelstead_boat::family::MeasureKind;
use keelstead_boat::hull::Taped;
use keelstead_units::quantity::{Basis, Sentence};
use keelstead_units::verdict::Verdict;

/// What makes the height on the road known.
pub(super) const MEASURE_HEIGHT: &str = "measure how high her highest point (house, rails, arch, mast as it travels) is over the level of the lowest \
     point of her keel, and give it with the measures";

/// What makes width and length on the road known.
pub(super) const MEASURE_AROUND: &str = "measure how far anything that travels with her reaches beyond bow and stern (0 if nothing does) and her beam over \
     all, and give them with the measures";

pub(super) fn findings(worked: &Worked, size: &Size) -> Vec<Finding> {
    let Some(taped) = worked.hull.taped else {
        return Vec::new();
    };
    vec![
        above(worked, &taped, size),
        around(worked, &taped, size),
        under(&taped),
    ]
}

fn finding(id: &str, verdict: Verdict, title: &str, says: Sentence) -> Finding {
    Finding::new(id, Topic::Hull, verdict, title, says).resting_on(&[Basis::Measured])
}

/// Clear where her highest point was measured and no rig part comes near whatever may stand under it.
fn above(worked: &Worked, taped: &Taped, size: &Size) -> Finding {
    let finding =
        |verdict, says| finding("taped:above", verdict, "what stands above the sheer", says);
    let (Some(box_above), Some(highest_m)) = (taped.above(worked.hull), taped.highest_m) else {
        return finding(
            Verdict::Unknown,
            Sentence::new(
                "she was measured with a tape, and house, rails, arch and mast are not drawn: on the road she is at least",
            )
            .length(size.height_m)
            .words("high, and wind and gaps are those of the bare hull"),
        )
        .advising(Sentence::new(MEASURE_HEIGHT));
    };
    match gaps::box_not_surely_clear(worked, &box_above) {
        None => finding(
            Verdict::Clear,
            Sentence::new("nothing of her is higher than").length(highest_m).words(
                "over the level of her lowest point, and no rig part comes near a box over all of her from the sheer to there",
            ),
        ),
        Some(rig) => finding(
            Verdict::Unknown,
            Sentence::new(format!(
                "house, rails, arch and mast are not drawn, and {} comes near a box over all of her from the sheer to the highest point",
                rig.name
            )),
        )
        .advising(Sentence::new(
            "look what stands above the sheer there, and measure the gap on the boat",
        )),
    }
}

/// Clear where her reach was measured on every side and no rig part comes near whatever may be there.
fn around(worked: &Worked, taped: &Taped, size: &Size) -> Finding {
    let finding = |verdict, says| {
        finding(
            "taped:around",
            verdict,
            "what reaches beyond her hull",
            says,
        )
    };
    let (Some(bow_m), Some(stern_m), Some(beam_m)) = (
        taped.beyond_bow_m,
        taped.beyond_stern_m,
        taped.beam_over_all_m,
    ) else {
        let missing = [
            (taped.beyond_bow_m, MeasureKind::BeyondBow),
            (taped.beyond_stern_m, MeasureKind::BeyondStern),
            (taped.beam_over_all_m, MeasureKind::BeamOverAll),
        ];
        let missing = missing.into_iter().filter(|(m, _)| m.is_none());
        let missing: Vec<_> = missing.map(|(_, kind)| kind.title()).collect();
        return finding(
            Verdict::Unknown,
            Sentence::new(format!(
                "she was measured with a tape, and bowsprit, pulpit, platform and rubbing strakes are not drawn; not measured: {}. On the road she is at least",
                missing.join(", ")
            ))
            .length(size.width_m)
            .words("wide and, with the trailer,")
            .length(size.length_m)
            .words("long, and what reaches beyond may meet the rig"),
        )
        .advising(Sentence::new(MEASURE_AROUND));
    };
    let near = taped
        .around(worked.hull)
        .iter()
        .find_map(|bounds| gaps::box_not_surely_clear(worked, bounds));
    match near {
        None => finding(
            Verdict::Clear,
            Sentence::new("nothing of her reaches farther than")
                .length(bow_m)
                .words("beyond her stem and")
                .length(stern_m)
                .words("beyond her stern, or is wider than")
                .length(beam_m)
                .words(", and no rig part comes near a box over all that may be there"),
        ),
        Some(rig) => finding(
            Verdict::Unknown,
            Sentence::new(format!(
                "bowsprit, pulpit, platform and rubbing strakes are not drawn, and {} comes near a box over all that may be there",
                rig.name
            )),
        )
        .advising(Sentence::new(
            "look what reaches beyond her hull there, and measure the gap on the boat",
        )),
    }
}

/// Clear where somebody looked.
fn under(taped: &Taped) -> Finding {
    let finding = |verdict, says: &str| {
        let title = "what hangs under her";
        finding("taped:under", verdict, title, Sentence::new(says))
    };
    if taped.nothing_under {
        return finding(
            Verdict::Clear,
            "somebody looked: nothing hangs under her but what is drawn",
        );
    }
    finding(
        Verdict::Unknown,
        "she was measured with a tape, and outdrive, trim tabs, transducers and whatever else hangs under her are not drawn: \
         a block, a beam or the ground may meet them",
    )
    .advising(Sentence::new(
        "look under her: if nothing hangs there but what is drawn, say so with the measures; if something does, bring her in from a scan",
    ))
}

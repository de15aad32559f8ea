//! Gaps at rest and at the bottom of the suspension's travel, held against what is asked.

use crate::check::Worked;
use crate::clearance;
use crate::findings::{Clearance, Finding, Place, RigPart, RigPartKind, Topic, Verdict, may_touch};
use crate::hull::HullPart;
use crate::load::Required;
use crate::quantity::{Basis, Quantity, Sentence};
use crate::standing::trailer_from_frame;

/// Parts meant to touch may sink in by this much before it is an overlap, m: rounding of set-down
/// and of curved skin against a flat pad.
const SEATED_M: f64 = 0.001;

/// All pairs, and a finding for each rig part's worst pair and for every pair that is not clear.
pub(super) fn findings(worked: &Worked) -> (Vec<Clearance>, Vec<Finding>) {
    let pairs = clearance::all_pairs(worked.hull, &worked.parts, &worked.trailer_from_hull);
    let low = compressed(worked, &pairs);
    // In the same order, with pairs left out.
    let mut low = low.iter().peekable();
    let hull_parts = worked.hull.parts.len().max(1);
    let mut list = Vec::new();
    for of_part in pairs.chunks(hull_parts) {
        let mut found: Vec<(f64, Finding)> = of_part
            .iter()
            .filter_map(|rest| {
                let same =
                    |l: &&Clearance| (l.hull_part, l.rig_part) == (rest.hull_part, rest.rig_part);
                let low = low.next_if(same);
                judge(worked, rest, low)
            })
            .collect();
        // By verdict first: a gap that could not be computed sorts behind every number.
        found.sort_by(|a, b| (a.1.verdict).cmp(&b.1.verdict).then(a.0.total_cmp(&b.0)));
        let keep = found
            .iter()
            .filter(|(_, f)| f.verdict != Verdict::Clear)
            .count()
            .max(1);
        list.extend(found.into_iter().take(keep).map(|(_, f)| f));
    }
    (pairs, list)
}

/// Gaps to tyres and ground with the suspension's bags empty: the frame with the hull comes down,
/// the wheels stay.
fn compressed(worked: &Worked, at_rest: &[Clearance]) -> Vec<Clearance> {
    let lowest = worked
        .rig
        .suspension
        .rail_top_m
        .min
        .min(worked.load.rail_top_m);
    let frame = trailer_from_frame(worked.rig, lowest);
    let trailer_from_hull = frame * worked.resting.frame_from_hull;
    let stay: Vec<Clearance> = at_rest
        .iter()
        .filter(|c| stays_down(worked.parts[c.rig_part].kind))
        .cloned()
        .collect();
    let then = &worked.trailer_from_hull;
    clearance::again(worked.hull, &worked.parts, &trailer_from_hull, &stay, then)
}

fn stays_down(kind: RigPartKind) -> bool {
    matches!(
        kind,
        RigPartKind::Tyre | RigPartKind::Ground | RigPartKind::Tractor
    )
}

/// What gap is asked between hull and rig parts, and what that rests on.
fn asked(required: &Required, kind: RigPartKind) -> (f64, Basis) {
    match kind {
        RigPartKind::Tyre => (required.tyre_gap_m, Basis::CommonPractice),
        RigPartKind::Mudguard => (required.mudguard_gap_m, Basis::AssumedDefault),
        RigPartKind::Rail | RigPartKind::Member | RigPartKind::PadArm => {
            (required.frame_gap_m, Basis::AssumedDefault)
        }
        RigPartKind::Tractor => (required.tractor_gap_m, Basis::AssumedDefault),
        RigPartKind::Ground => (required.ground_gap_m, Basis::AssumedDefault),
        RigPartKind::Beam | RigPartKind::Block | RigPartKind::Packing | RigPartKind::Pad => {
            (required.appendage_gap_m, Basis::AssumedDefault)
        }
    }
}

/// The finding on one pair with its spare gap; none for parts that rest on each other as meant.
fn judge(worked: &Worked, rest: &Clearance, low: Option<&Clearance>) -> Option<(f64, Finding)> {
    let hull = &worked.hull.parts[rest.hull_part];
    let rig = &worked.parts[rest.rig_part];
    let worst = low
        .filter(|l| l.gap_m < rest.gap_m || l.gap_m.is_nan())
        .unwrap_or(rest);
    let meant = may_touch(hull.kind, rig.kind);
    if meant && worst.gap_m >= -SEATED_M {
        return None;
    }
    let (gap_asked, basis) = if meant {
        (-SEATED_M, Basis::Computed)
    } else {
        asked(&worked.load.required, rig.kind)
    };
    let tolerance = worked.tolerance_m;
    let verdict = Verdict::at_least(worst.gap_m, gap_asked, tolerance);
    let on_bags = if std::ptr::eq(worst, rest) {
        ""
    } else {
        " with the suspension right down"
    };
    let finding = Finding::new(
        format!("gap:{}:{}", hull.name, rig.name),
        Topic::Clearance,
        verdict,
        format!("{} to {}", hull.name, rig.name),
        says(hull, rig, worst, on_bags),
    )
    .found(Quantity::length(worst.gap_m))
    .against(
        Quantity::length(gap_asked.max(0.0)),
        Quantity::length(tolerance),
    )
    .resting_on(&[Basis::Computed, basis])
    .at(Place::Between {
        hull: worst.on_hull,
        rig: worst.on_rig,
    });
    let finding = match verdict {
        Verdict::Foul => finding.advising(advice(rig.kind)),
        _ => finding,
    };
    Some((worst.gap_m - gap_asked, finding))
}

fn says(hull: &HullPart, rig: &RigPart, pair: &Clearance, on_bags: &str) -> Sentence {
    if pair.gap_m.is_nan() {
        return Sentence::new("the gap could not be computed: measure it on the boat");
    }
    if pair.gap_m < 0.0 {
        Sentence::new(format!("{} and {} overlap by", hull.name, rig.name))
            .length(-pair.gap_m)
            .words(on_bags)
    } else {
        Sentence::new(format!("{} stays", hull.name))
            .length(pair.gap_m)
            .words(format!("from {}{on_bags}", rig.name))
    }
}

fn advice(kind: RigPartKind) -> Sentence {
    Sentence::new(match kind {
        RigPartKind::Tyre | RigPartKind::Mudguard => {
            "block the hull higher, or move it fore or aft"
        }
        RigPartKind::Ground => "block the hull higher, or raise the suspension's lower stop",
        RigPartKind::Tractor | RigPartKind::Member => "move the hull aft, or block it higher",
        RigPartKind::Rail => "block the hull higher, or centre it between the rails",
        RigPartKind::Beam | RigPartKind::Block | RigPartKind::Packing => {
            "use another pocket, or move the hull fore or aft"
        }
        RigPartKind::Pad | RigPartKind::PadArm => "set the pad otherwise, or stow it",
    })
}

//! Gaps at rest and at the bottom of the suspension's travel, held against what is asked.

use crate::check::Worked;
use crate::clearance;
use crate::findings::{Clearance, Finding, Place, RigPart, RigPartKind, Topic, Verdict, may_touch};
use crate::hull::{Hull, HullPart};
use crate::load::Required;
use crate::math::Pose;
use crate::parallel::each;
use crate::quantity::{Basis, Quantity, Sentence};
use crate::standing::trailer_from_frame;

/// Parts meant to touch may sink in by this much before it is an overlap, m: rounding of set-down
/// and of curved skin against a flat pad.
const SEATED_M: f64 = 0.001;

/// All pairs, and a finding for each rig part's worst pair and for every pair that is not clear.
pub(super) fn findings(worked: &Worked) -> (Vec<Clearance>, Vec<Finding>) {
    let pairs = clearance::all_pairs(worked.hull, &worked.parts, &worked.trailer_from_hull);
    let asking = Asking {
        hull: worked.hull,
        parts: &worked.parts,
        required: &worked.load.required,
        tolerance_m: worked.tolerance_m,
    };
    let low = compressed(worked, &asking, &pairs);
    let list = asking.findings(&pairs, &low);
    (pairs, list)
}

/// Gaps to tyres and ground with the suspension's bags empty: the frame with the hull comes down,
/// the wheels stay.
fn compressed(worked: &Worked, asking: &Asking, at_rest: &[Clearance]) -> Vec<Clearance> {
    let lowest = worked
        .rig
        .suspension
        .rail_top_m
        .min
        .min(worked.load.rail_top_m);
    let frame = trailer_from_frame(worked.rig, lowest);
    let down = frame * worked.resting.frame_from_hull;
    asking.lowered(at_rest, &worked.trailer_from_hull, &down)
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

/// What gaps are held against.
struct Asking<'a> {
    hull: &'a Hull,
    parts: &'a [RigPart],
    required: &'a Required,
    tolerance_m: f64,
}

/// A pair held against what is asked of it.
struct Judged<'a> {
    worst: &'a Clearance,
    /// Whether that is with the suspension right down.
    low: bool,
    gap_asked_m: f64,
    basis: Basis,
    verdict: Verdict,
}

impl Asking<'_> {
    /// The pairs that the hull's coming down from one pose to another may make the worst of their
    /// rig part or other than clear, measured again. No gap closes by more than the farthest any
    /// point of the hull part moves, so that most need no second look.
    fn lowered(&self, at_rest: &[Clearance], from: &Pose, to: &Pose) -> Vec<Clearance> {
        let moves_m: Vec<f64> = self
            .hull
            .parts
            .iter()
            .map(|part| {
                let corners = part.mesh.aabb().vertices();
                let moves = corners.iter().map(|c| (from * *c - to * *c).length());
                moves.fold(0.0, f64::max)
            })
            .collect();
        let least_m = |c: &Clearance| c.gap_m - moves_m[c.hull_part];
        let stay: Vec<&[Clearance]> = at_rest
            .chunks(self.hull.parts.len().max(1))
            .filter(|of_part| stays_down(self.parts[of_part[0].rig_part].kind))
            .collect();
        each(&stay, |of_part| {
            let kind = self.parts[of_part[0].rig_part].kind;
            let surely_clear_m = asked(self.required, kind).0 + self.tolerance_m;
            let mut nearest_first: Vec<&Clearance> = of_part.iter().collect();
            nearest_first.sort_by(|a, b| least_m(a).total_cmp(&least_m(b)));
            let mut worst_m = f64::INFINITY;
            let mut low: Vec<Clearance> = Vec::new();
            for c in nearest_first {
                if least_m(c) > surely_clear_m.max(worst_m) {
                    break;
                }
                let again = clearance::again(self.hull, self.parts, to, c, from);
                worst_m = worst_m.min(again.gap_m);
                low.push(again);
            }
            low.sort_unstable_by_key(|c| c.hull_part);
            low
        })
    }

    /// A finding for each rig part's worst pair and for every pair that is not clear. `low` has the
    /// pairs measured with the suspension right down, in the same order with others left out.
    fn findings(&self, pairs: &[Clearance], low: &[Clearance]) -> Vec<Finding> {
        let mut low = low.iter().peekable();
        let mut list = Vec::new();
        for of_part in pairs.chunks(self.hull.parts.len().max(1)) {
            let mut judged: Vec<Judged> = of_part
                .iter()
                .filter_map(|rest| {
                    let low = low
                        .next_if(|l| (l.hull_part, l.rig_part) == (rest.hull_part, rest.rig_part));
                    self.judge(rest, low)
                })
                .collect();
            // By verdict first: a gap that could not be computed sorts behind every number.
            let spare_m = |j: &Judged| j.worst.gap_m - j.gap_asked_m;
            judged.sort_by(|a, b| {
                (a.verdict.cmp(&b.verdict)).then(spare_m(a).total_cmp(&spare_m(b)))
            });
            let unclear = judged
                .iter()
                .filter(|j| j.verdict != Verdict::Clear)
                .count();
            list.extend(judged.iter().take(unclear.max(1)).map(|j| self.finding(j)));
        }
        list
    }

    /// None for parts that rest on each other as meant.
    fn judge<'a>(&self, rest: &'a Clearance, low: Option<&'a Clearance>) -> Option<Judged<'a>> {
        let kind = self.parts[rest.rig_part].kind;
        let low = low.filter(|l| l.gap_m < rest.gap_m || l.gap_m.is_nan());
        let worst = low.unwrap_or(rest);
        let meant = may_touch(self.hull.parts[rest.hull_part].kind, kind);
        if meant && worst.gap_m >= -SEATED_M {
            return None;
        }
        let (gap_asked_m, basis) = if meant {
            (-SEATED_M, Basis::Computed)
        } else {
            asked(self.required, kind)
        };
        Some(Judged {
            worst,
            low: low.is_some(),
            gap_asked_m,
            basis,
            verdict: Verdict::at_least(worst.gap_m, gap_asked_m, self.tolerance_m),
        })
    }

    fn finding(&self, judged: &Judged) -> Finding {
        let worst = judged.worst;
        let hull = &self.hull.parts[worst.hull_part];
        let rig = &self.parts[worst.rig_part];
        let on_bags = if judged.low {
            " with the suspension right down"
        } else {
            ""
        };
        let finding = Finding::new(
            format!("gap:{}:{}", hull.name, rig.name),
            Topic::Clearance,
            judged.verdict,
            format!("{} to {}", hull.name, rig.name),
            says(hull, rig, worst, on_bags),
        )
        .found(Quantity::length(worst.gap_m))
        .against(
            Quantity::length(judged.gap_asked_m.max(0.0)),
            Quantity::length(self.tolerance_m),
        )
        .resting_on(&[Basis::Computed, judged.basis])
        .at(Place::Between {
            hull: worst.on_hull,
            rig: worst.on_rig,
        });
        match judged.verdict {
            Verdict::Foul => finding.advising(advice(rig.kind)),
            _ => finding,
        }
    }
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

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::findings::RigShape;
    use crate::hull::{HullFacts, PartKind};
    use crate::math::{Point, Vec3};
    use crate::mesh::tests::cuboid;
    use crate::standing::part;

    /// A body over a keel, and a tyre and a rail a metre off to the left.
    fn scene() -> (Hull, Vec<RigPart>) {
        let hull_part = |name: &str, kind, z: f64| HullPart {
            name: name.into(),
            kind,
            mesh: Arc::new(cuboid([0.0, -0.5, z], [4.0, 0.5, z + 1.0])),
        };
        let parts = vec![
            hull_part("body", PartKind::Body, 1.0),
            hull_part("keel", PartKind::Keel, 0.0),
        ];
        let half = Point::new(0.1, 0.1, 0.1);
        let beside = |name: &str, kind| {
            let at = Pose::from_translation(Vec3::new(2.0, 1.6, 0.5));
            part(name, kind, RigShape::Box { half }, at)
        };
        (
            Hull::new("boat", parts, HullFacts::default()).unwrap(),
            vec![
                beside("tyre", RigPartKind::Tyre),
                beside("rail", RigPartKind::Rail),
            ],
        )
    }

    fn verdicts(pairs: &[Clearance], low: &[Clearance]) -> Vec<(String, Verdict)> {
        let (hull, parts) = scene();
        let asking = Asking {
            hull: &hull,
            parts: &parts,
            required: &Required::default(),
            tolerance_m: 0.01,
        };
        let list = asking.findings(pairs, low);
        list.into_iter().map(|f| (f.title, f.verdict)).collect()
    }

    #[test]
    fn a_gap_that_cannot_be_computed_reads_unknown_beside_clear_ones() {
        let (hull, parts) = scene();
        let pairs = clearance::all_pairs(&hull, &parts, &Pose::identity());
        // One finding a rig part, clear, where all is known.
        let clear = verdicts(&pairs, &[]);
        assert_eq!(clear.len(), 2);
        assert!(clear.iter().all(|(_, v)| *v == Verdict::Clear), "{clear:?}");
        for lost in 0..pairs.len() {
            let mut pairs = pairs.clone();
            pairs[lost].gap_m = f64::NAN;
            let [hull_part, rig_part] = [pairs[lost].hull_part, pairs[lost].rig_part];
            let title = format!("{} to {}", hull.parts[hull_part].name, parts[rig_part].name);
            let found = verdicts(&pairs, &[]);
            assert!(found.contains(&(title, Verdict::Unknown)), "{found:?}");
            assert_eq!(
                found.iter().filter(|(_, v)| *v != Verdict::Clear).count(),
                1
            );
        }
    }

    #[test]
    fn what_needs_no_second_look_with_the_suspension_down_would_change_no_finding() {
        let (hull, parts) = scene();
        let required = Required::default();
        let asking = Asking {
            hull: &hull,
            parts: &parts,
            required: &required,
            tolerance_m: 0.01,
        };
        let rest = Pose::identity();
        let pairs = clearance::all_pairs(&hull, &parts, &rest);
        for (aside, drop) in [(0.0, 0.1), (0.9, 0.1), (0.95, 0.4), (1.2, 0.2), (0.3, 1.5)] {
            let down = Pose::from_translation(Vec3::new(0.0, aside, -drop));
            let all: Vec<Clearance> = pairs
                .iter()
                .filter(|c| stays_down(parts[c.rig_part].kind))
                .map(|c| clearance::again(&hull, &parts, &down, c, &rest))
                .collect();
            let low = asking.lowered(&pairs, &rest, &down);
            assert_eq!(asking.findings(&pairs, &low), asking.findings(&pairs, &all));
        }
        // A small drop a long way off leaves one pair to look at.
        let down = Pose::from_translation(Vec3::new(0.0, 0.0, -0.05));
        assert!(asking.lowered(&pairs, &rest, &down).len() < hull.parts.len());
    }

    #[test]
    fn a_gap_lost_with_the_suspension_down_is_not_made_good_by_the_one_at_rest() {
        let (hull, parts) = scene();
        let pairs = clearance::all_pairs(&hull, &parts, &Pose::identity());
        let mut low: Vec<Clearance> = pairs.iter().filter(|c| c.rig_part == 0).cloned().collect();
        let down = Pose::from_translation(Vec3::new(0.0, 0.0, -0.1));
        for c in &mut low {
            *c = clearance::again(&hull, &parts, &down, c, &Pose::identity());
        }
        low[1].gap_m = f64::NAN;
        let found = verdicts(&pairs, &low);
        assert_eq!(found[0], ("keel to tyre".into(), Verdict::Unknown));
        assert_eq!(found[1].1, Verdict::Clear);
    }
}

//! Gaps at rest and at the bottom of the suspension's travel, held against what is asked.

use crate::check::deviation::Deviation;
use crate::check::{Worked, measured, touches};
use crate::findings::{Finding, Place, Topic};
use keelstead_boat::hull::{Hull, HullPart};
use keelstead_geometry::math::{Aabb, Pose, Vec3};
use keelstead_geometry::parallel::each;
use keelstead_load::clearance;
use keelstead_load::clearance::Clearance;
use keelstead_load::clearance::Pair;
use keelstead_load::load::{Reach, Required};
use keelstead_load::rig_parts::trailer_from_frame;
use keelstead_load::rig_parts::{RigPart, RigPartKind, may_touch};
use keelstead_load::setdown;
use keelstead_units::quantity::{Basis, Quantity, Sentence};
use keelstead_units::verdict::Verdict;

/// A pad may sink into what it is set against by this much before it is an overlap, m: rounding of curved skin against a
/// flat face. What rests on a stack sinks in by as much as makes it bear ([`Required::contact_m`]), and no less than this.
const SEATED_M: f64 = 0.001;

/// A finding for each rig part's worst pair and for every pair that is not clear.
pub(super) fn findings(worked: &Worked) -> Vec<Finding> {
    GapRequirements::of(worked)
        .findings(|pose, pair, near| clearance::pair(worked.hull, &worked.parts, pose, pair, near))
}

/// The first rig part that boxes around the two do not prove to be clear of a hull part, with `spare_m` left; none if they
/// prove it of all.
pub(super) fn not_surely_clear<'a>(
    worked: &'a Worked,
    hull_part: usize,
    spare_m: f64,
) -> Option<&'a RigPart> {
    let asking = GapRequirements::of(worked);
    let bounds = asking.bounds();
    let near = |rig_part: usize| {
        let pair = Pair {
            hull_part,
            rig_part,
        };
        let least_m = asking.least_spare_m(pair, &bounds);
        least_m.is_nan() || least_m <= bounds[hull_part].tolerance_m + spare_m
    };
    let first = (0..worked.parts.len()).find(|&rig_part| near(rig_part))?;
    worked.parts.get(first)
}

/// The same for whatever lies in a box of the hull's frame, which nothing of the rig is meant to touch.
pub(super) fn box_not_surely_clear<'a>(worked: &'a Worked, bounds: &Aabb) -> Option<&'a RigPart> {
    let asking = GapRequirements::of(worked);
    let bound = asking.bound(bounds, worked.hull.shape_tolerance_m);
    worked.parts.iter().find(|part| {
        let least_m = clearance::least_of_box(bounds, part, &asking.rest);
        let closes_m = bound.moves_m[usize::from(stays_down(part.kind))];
        let spare_m = least_m - closes_m - asked(asking.required, part.kind).0;
        spare_m.is_nan() || spare_m <= bound.tolerance_m
    })
}

/// A measured gap, m, with how far it may be off, beside what is worked out of the pair at rest without it.
pub(super) fn beside_rest(worked: &Worked, pair: Pair, measured: [f64; 2]) -> Taken {
    let asking = GapRequirements::of(worked);
    let measure =
        |pose: &Pose, pair, near| clearance::pair(worked.hull, &worked.parts, pose, pair, near);
    let found = measure(&asking.rest, pair, None);
    asking.taken(&found, pair, measured, &measure)
}

/// What stays where it is when the suspension comes right down.
fn stays_down(kind: RigPartKind) -> bool {
    matches!(
        kind,
        RigPartKind::Tyre | RigPartKind::Ground | RigPartKind::Tractor
    )
}

/// What goes down with the hull as beams and blocks give on the road.
fn goes_down_with_her(kind: RigPartKind) -> bool {
    matches!(
        kind,
        RigPartKind::Beam | RigPartKind::Block | RigPartKind::Packing | RigPartKind::Pad
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

/// What gaps are held against, where the hull stands at rest, and where at the hardest of the road: beams and blocks give
/// the more, and the suspension's bags may be empty, when frame and hull come down and the wheels stay.
struct GapRequirements<'a> {
    hull: &'a Hull,
    parts: &'a [RigPart],
    required: &'a Required,
    /// How far she may be from there at rest, and from there on the road.
    deviation: [&'a Deviation; 2],
    rig_tolerance_m: f64,
    rest: Pose,
    /// On the road as the rails see it, and as what stays down does.
    road: [Pose; 2],
    /// What the suspension's going right down does to all that stands on the frame.
    lowered: Pose,
    /// Gaps that were measured at rest: how wide, and how far that may be off, m.
    measured: Vec<(Pair, [f64; 2])>,
    /// For each rig part that follows the hull, a pad run out until it touches with its arm: the unit vector along the arm
    /// and her outward normal there.
    followed: Vec<Option<[Vec3; 2]>>,
    /// How far heights measured moved her against her stacks as they are drawn, m.
    moved_m: f64,
    /// For each rig part, the hull parts that rest on it, or that it presses against, as meant.
    meant: Vec<Vec<usize>>,
}

/// What is known of a hull part before a gap is measured.
#[derive(Clone, Copy)]
struct Bounded {
    /// How far any point of it comes nearer to the rails on the road, and to what stays down, m. No gap closes by more.
    moves_m: [f64; 2],
    /// The most that any gap of it may be off, m.
    tolerance_m: f64,
}

/// A pair held against what is asked of it.
struct Judged {
    worst: Clearance,
    /// Whether that is on the road.
    low: bool,
    gap_asked_m: f64,
    tolerance_m: f64,
    basis: Basis,
    verdict: Verdict,
    /// What was measured at rest, m, and what was worked out there; none where nobody measured.
    measured: Option<Taken>,
}

impl Taken {
    fn says(&self, hull: &HullPart, rig: &RigPart, worst: &Clearance, when: &str) -> Sentence {
        let both = |says: Sentence| {
            says.length(self.measured_m)
                .words("was measured at rest, where")
                .length(self.computed_m)
                .words("is worked out, which may be off by")
                .length(self.off_m)
        };
        if !self.fits {
            return both(Sentence::default()).words(": both cannot be");
        }
        if when.is_empty() {
            return both(Sentence::default());
        }
        both(says(hull, rig, worst, when).words(";"))
    }
}

/// A measured gap beside the one worked out at rest.
#[derive(Debug, Clone, Copy)]
pub(super) struct Taken {
    measured_m: f64,
    /// What was worked out, m.
    pub computed_m: f64,
    /// How far what was worked out may be off, m.
    pub off_m: f64,
    /// Whether both may be right.
    pub fits: bool,
}

impl Judged {
    /// How much more there is than asked, m.
    fn spare_m(&self) -> f64 {
        self.worst.gap_m - self.gap_asked_m
    }
}

impl<'a> GapRequirements<'a> {
    fn of(worked: &'a Worked) -> Self {
        let range = worked.rig.suspension.rail_top_m;
        let lowest = range.min.min(worked.load.rail_top_m);
        let frame = trailer_from_frame(worked.rig, lowest);
        let frame_from_trailer = worked.trailer_from_frame.inverse();
        let road = worked.trailer_from_hull_on_the_road;
        Self {
            hull: worked.hull,
            parts: &worked.parts,
            required: &worked.load.required,
            deviation: [&worked.deviation, &worked.deviation_on_the_road],
            rig_tolerance_m: worked.rig.tolerance_m,
            rest: worked.trailer_from_hull,
            road: [road, frame * frame_from_trailer * road],
            lowered: frame * frame_from_trailer,
            measured: measured::gaps(worked.load, worked.hull, &worked.parts),
            followed: worked.parts.iter().map(|p| followed(worked, p)).collect(),
            moved_m: worked.moved_m,
            meant: meant(worked),
        }
    }

    /// A finding for each rig part's worst pair and for every pair that is not clear.
    ///
    /// `measure` gives the gap of a pair with the hull in a pose; it may begin from a point of the hull part. It is not
    /// asked where boxes around the two, how far the hull comes down and how far she may be off tell already that the
    /// pair is clear and not the worst: a boat has many small parts, each near to few parts of the rig.
    fn findings(
        &self,
        measure: impl Fn(&Pose, Pair, Option<Vec3>) -> Clearance + Sync + Send,
    ) -> Vec<Finding> {
        let bounds = self.bounds();
        let all: Vec<usize> = (0..self.parts.len()).collect();
        let runs: Vec<&[usize]> = all.chunks(clearance::BATCH).collect();
        each(&runs, |run| {
            let mut near = vec![None; self.hull.parts.len()];
            run.iter()
                .flat_map(|&rig_part| self.of_part(rig_part, &bounds, &mut near, &measure))
                .collect()
        })
    }

    fn bounds(&self) -> Vec<Bounded> {
        let parts = self.hull.parts.iter().enumerate();
        parts
            .map(|(i, part)| self.bound(&part.mesh.aabb(), self.hull.shape_tolerance_of_part(i)))
            .collect()
    }

    fn bound(&self, bounds: &Aabb, shape_m: f64) -> Bounded {
        let corners = bounds.vertices();
        let moves = |low: &Pose| {
            let moves = corners.map(|c| (self.rest * c - *low * c).length());
            moves.into_iter().fold(0.0, f64::max)
        };
        let [rest, road] = self.deviation;
        let deviates = [
            rest.most_in(bounds, &self.rest),
            road.most_in(bounds, &self.road[0]),
        ];
        Bounded {
            moves_m: [moves(&self.road[0]), moves(&self.road[1])],
            tolerance_m: shape_m + self.rig_tolerance_m + deviates.into_iter().fold(0.0, f64::max),
        }
    }

    fn of_part(
        &self,
        rig_part: usize,
        bounds: &[Bounded],
        near: &mut [Option<Vec3>],
        measure: &impl Fn(&Pose, Pair, Option<Vec3>) -> Clearance,
    ) -> Vec<Finding> {
        let kind = self.parts[rig_part].kind;
        let stays = usize::from(stays_down(kind));
        let mut least_first: Vec<(f64, Pair)> = (0..self.hull.parts.len())
            .map(|hull_part| Pair {
                hull_part,
                rig_part,
            })
            .filter(|pair| {
                let in_gaps = self.hull.parts[pair.hull_part].part_use.in_gaps();
                in_gaps || self.measured_of(*pair).is_some()
            })
            .map(|pair| (self.least_spare_m(pair, bounds), pair))
            .collect();
        least_first.sort_by(|a, b| a.0.total_cmp(&b.0));
        // What lies inside the boat may be far from every part of her skin.
        let within = self.within(rig_part, stays);
        let known = within.as_ref().map(|j| j.worst.hull_part);
        let mut worst_m = within.as_ref().map_or(f64::INFINITY, Judged::spare_m);
        let mut judged: Vec<Judged> = within.into_iter().collect();
        for (least_m, pair) in least_first {
            if known == Some(pair.hull_part) {
                continue;
            }
            let bound = bounds[pair.hull_part];
            let matters_m = bound.tolerance_m.max(worst_m);
            let taken = self.measured_of(pair);
            if least_m > matters_m && taken.is_none() {
                continue;
            }
            let rest = measure(&self.rest, pair, near[pair.hull_part]);
            let on_hull = self.rest.inverse_transform_point(rest.on_hull.vec());
            near[pair.hull_part] = Some(on_hull);
            let surely_m = rest.gap_m - bound.moves_m[stays] - self.asked(pair).0;
            let may_matter = surely_m.is_nan() || surely_m <= matters_m || taken.is_some();
            let low = (!goes_down_with_her(kind) && may_matter)
                .then(|| measure(&self.road[stays], pair, Some(on_hull)));
            if let Some(taken) = taken {
                let low = low.unwrap_or_else(|| rest.clone());
                let closes_m = bound.moves_m[stays];
                let found = self.as_measured(pair, [rest, low], taken, closes_m, measure);
                worst_m = worst_m.min(found.spare_m());
                judged.push(found);
                continue;
            }
            if let Some(mut found) = self.judge(pair, rest, low) {
                if found.verdict == Verdict::Clear && found.spare_m() < bound.tolerance_m {
                    found.tolerance_m = self.looked_m(&found.worst, pair, found.low, measure);
                    let (gap_m, asked_m) = (found.worst.gap_m, found.gap_asked_m);
                    found.verdict = Verdict::at_least(gap_m, asked_m, found.tolerance_m);
                }
                worst_m = worst_m.min(found.spare_m());
                judged.push(found);
            }
        }
        // By verdict first: a gap that could not be computed sorts behind every number.
        judged
            .sort_by(|a, b| (a.verdict.cmp(&b.verdict)).then(a.spare_m().total_cmp(&b.spare_m())));
        let unclear = judged
            .iter()
            .filter(|j| j.verdict != Verdict::Clear)
            .count();
        // What somebody measured is always told.
        let told = judged.iter().enumerate();
        told.filter(|(i, j)| *i < unclear.max(1) || j.measured.is_some())
            .map(|(_, j)| self.finding(j))
            .collect()
    }

    /// A rig part that is inside the boat, at rest or on the road, where no pair alone shows it.
    fn within(&self, rig_part: usize, stays: usize) -> Option<Judged> {
        let inside = |pose| clearance::within(self.hull, self.parts, pose, rig_part);
        let (found, low) = match inside(&self.rest) {
            Some(found) => (found, false),
            None if stays == 1 => (inside(&self.road[1])?, true),
            None => return None,
        };
        let hull_part = found.hull_part;
        let pair = Pair {
            hull_part,
            rig_part,
        };
        let judged = self.judge(pair, found, None)?;
        Some(Judged { low, ..judged })
    }

    /// No less is spare of what is asked of a pair, m, at rest and on the road.
    fn least_spare_m(&self, pair: Pair, bounds: &[Bounded]) -> f64 {
        let least_m = clearance::least(self.hull, self.parts, &self.rest, pair);
        let stays = stays_down(self.parts[pair.rig_part].kind);
        let closes_m = bounds[pair.hull_part].moves_m[usize::from(stays)];
        least_m - closes_m - self.asked(pair).0
    }

    /// What gap is asked of a pair, m, and what that rests on. What may bear on a block, or be steadied by a pad, need
    /// only not touch another.
    fn asked(&self, pair: Pair) -> (f64, Basis) {
        if self.is_meant(pair) {
            return (-self.seated_m(pair), Basis::Computed);
        }
        let kind = self.parts[pair.rig_part].kind;
        if may_touch(self.hull.parts[pair.hull_part].kind, kind) {
            return (0.0, Basis::Computed);
        }
        asked(self.required, kind)
    }

    fn measured_of(&self, pair: Pair) -> Option<[f64; 2]> {
        let of = self.measured.iter().find(|(of, _)| *of == pair)?;
        Some(of.1)
    }

    /// How far two that are meant to rest on each other may sink in, m.
    fn seated_m(&self, pair: Pair) -> f64 {
        let gives_m = match self.parts[pair.rig_part].pad {
            Some(_) => 0.0,
            None => self.required.contact_m,
        };
        gives_m.max(SEATED_M) + self.moved_m
    }

    /// Whether the two are meant to rest on each other.
    fn is_meant(&self, pair: Pair) -> bool {
        self.meant[pair.rig_part].contains(&pair.hull_part)
    }

    /// None for parts that rest on each other as meant.
    fn judge(&self, pair: Pair, rest: Clearance, low: Option<Clearance>) -> Option<Judged> {
        let sure_m = |found: &Clearance, low| found.gap_m - self.tolerance_m(found, pair, low);
        let low = low.filter(|l| l.gap_m.is_nan() || sure_m(l, true) < sure_m(&rest, false));
        let is_low = low.is_some();
        let worst = low.unwrap_or(rest);
        if self.is_meant(pair) && worst.gap_m >= -self.seated_m(pair) {
            return None;
        }
        let (gap_asked_m, basis) = self.asked(pair);
        let tolerance_m = self.tolerance_m(&worst, pair, is_low);
        Some(Judged {
            verdict: Verdict::at_least(worst.gap_m, gap_asked_m, tolerance_m),
            worst,
            low: is_low,
            gap_asked_m,
            tolerance_m,
            basis,
            measured: None,
        })
    }

    /// A pair whose gap was measured at rest. What it closes by on the road is worked out still: no less is left there than
    /// what was measured less all that any point of hers may come nearer, nor than was worked out less all that may be off.
    fn as_measured(
        &self,
        pair: Pair,
        [rest, low]: [Clearance; 2],
        [measured_m, off_m]: [f64; 2],
        closes_m: f64,
        measure: &impl Fn(&Pose, Pair, Option<Vec3>) -> Clearance,
    ) -> Judged {
        let (gap_asked_m, basis) = self.asked(pair);
        let taken = self.taken(&rest, pair, [measured_m, off_m], measure);
        let is_low = low.gap_m < rest.gap_m || low.gap_m.is_nan();
        let (worst, gap_m, tolerance_m) = match (taken.fits, is_low) {
            (false, _) => {
                let gap_m = low.gap_m.min(rest.gap_m).min(measured_m);
                (if is_low { low } else { rest }, gap_m, taken.off_m)
            }
            (true, false) => (rest, measured_m, off_m),
            (true, true) => {
                let gap_m = measured_m - (rest.gap_m - low.gap_m);
                let computed_m = low.gap_m - self.looked_m(&low, pair, true, measure);
                let least_m = (measured_m - off_m - closes_m).max(computed_m);
                (low, gap_m, (gap_m - least_m).max(0.0))
            }
        };
        Judged {
            verdict: match taken.fits {
                true => Verdict::at_least(gap_m, gap_asked_m, tolerance_m),
                false => Verdict::Foul,
            },
            worst: Clearance { gap_m, ..worst },
            low: is_low,
            gap_asked_m,
            tolerance_m,
            basis,
            measured: Some(taken),
        }
    }

    /// A measured gap beside the one worked out at rest.
    fn taken(
        &self,
        rest: &Clearance,
        pair: Pair,
        [measured_m, measured_off_m]: [f64; 2],
        measure: &impl Fn(&Pose, Pair, Option<Vec3>) -> Clearance,
    ) -> Taken {
        let off_m = self.looked_m(rest, pair, false, measure);
        Taken {
            measured_m,
            computed_m: rest.gap_m,
            off_m,
            // What was not worked out speaks against nothing.
            fits: rest.gap_m.is_nan()
                || off_m.is_nan()
                || (rest.gap_m - measured_m).abs() <= off_m + measured_off_m,
        }
    }

    /// How far a gap may be off, m, other places of the pair looked at too, but for what follows her: her place at a corner
    /// shows nothing of that.
    fn looked_m(
        &self,
        found: &Clearance,
        pair: Pair,
        low: bool,
        measure: &impl Fn(&Pose, Pair, Option<Vec3>) -> Clearance,
    ) -> f64 {
        let near_m = self.tolerance_m(found, pair, low);
        if self.followed[pair.rig_part].is_some() {
            return near_m;
        }
        self.look_farther(found, pair, low, near_m, measure)
    }

    /// What takes the hull from where her deviation is told of to where the pair was measured: down with the suspension.
    fn lowered(&self, pair: Pair, low: bool) -> Pose {
        match low && stays_down(self.parts[pair.rig_part].kind) {
            true => self.lowered,
            false => Pose::identity(),
        }
    }

    fn pose(&self, pair: Pair, low: bool) -> &Pose {
        let stays = stays_down(self.parts[pair.rig_part].kind);
        if low {
            &self.road[usize::from(stays)]
        } else {
            &self.rest
        }
    }

    /// How far a gap may be off where it was measured, m: shape and rig, and how far she may move there toward the part.
    fn tolerance_m(&self, found: &Clearance, pair: Pair, low: bool) -> f64 {
        let deviation = self.deviation[usize::from(low)];
        let lowered = self.lowered(pair, low);
        let at = lowered.inverse_transform_point(found.on_hull.vec());
        let way = way(found).map(|way| lowered.rotation.inverse() * way);
        let moves_m = match (way, self.followed[found.rig_part]) {
            (Some(way), Some([arm, normal])) => deviation.along_followed(at, way, arm, normal),
            (Some(way), None) => deviation.along(at, way),
            (None, _) => deviation.any_way(at),
        };
        let on_hull = self
            .pose(pair, low)
            .inverse_transform_point(found.on_hull.vec());
        self.rig_tolerance_m + self.hull.shape_tolerance_at(found.hull_part, on_hull) + moves_m
    }

    /// How far a gap may be off, m, no less than `near_m`, which it is where it is nearest: at another place of the pair, where
    /// the hull may move more, it may come nearer still. Measured with her at each corner of where she may be.
    fn look_farther(
        &self,
        found: &Clearance,
        pair: Pair,
        low: bool,
        near_m: f64,
        measure: &impl Fn(&Pose, Pair, Option<Vec3>) -> Clearance,
    ) -> f64 {
        let Some(way) = way(found) else {
            return near_m;
        };
        let lowered = self.lowered(pair, low);
        let at = lowered.inverse_transform_point(found.on_hull.vec());
        let way = lowered.rotation.inverse() * way;
        let trailer_from_hull = *self.pose(pair, low);
        let before = lowered.inverse() * trailer_from_hull;
        let of_itself_m = self.rig_tolerance_m + self.hull.shape_tolerance_of_part(pair.hull_part);
        let near = trailer_from_hull.inverse_transform_point(found.on_hull.vec());
        let corners = self.deviation[usize::from(low)].corners(at, way);
        corners.fold(near_m, |most_m, corner| {
            let there = measure(&(lowered * corner * before), pair, Some(near));
            let off_m = found.gap_m - there.gap_m + of_itself_m;
            if off_m.is_nan() || off_m > most_m {
                off_m
            } else {
                most_m
            }
        })
    }

    fn finding(&self, judged: &Judged) -> Finding {
        let worst = &judged.worst;
        let hull = &self.hull.parts[worst.hull_part];
        let rig = &self.parts[worst.rig_part];
        let when = match judged.low {
            true if stays_down(rig.kind) => " on the road with the suspension right down",
            true => " on the road, as beams and blocks give",
            false => "",
        };
        let rests_on = [Basis::Computed, judged.basis];
        let finding = Finding::new(
            format!("gap:{}:{}", hull.name, rig.name),
            Topic::Clearance,
            judged.verdict,
            format!("{} to {}", hull.name, rig.name),
            match &judged.measured {
                Some(taken) => taken.says(hull, rig, worst, when),
                None => says(hull, rig, worst, when),
            },
        )
        .found(Quantity::length(worst.gap_m))
        .against(
            Quantity::length(judged.gap_asked_m.max(0.0)),
            Quantity::length(judged.tolerance_m),
        )
        .resting_on(match judged.measured {
            Some(_) => &[Basis::Measured, Basis::Computed],
            None => &rests_on,
        })
        .at(Place::Between {
            hull: worst.on_hull,
            rig: worst.on_rig,
        });
        match (judged.verdict, judged.measured) {
            (Verdict::Foul, Some(Taken { fits: false, .. })) => {
                finding.advising(Sentence::new(measured::AGAIN))
            }
            (Verdict::Foul, _) => finding.advising(advice(rig.kind)),
            _ => finding,
        }
    }
}

/// The unit vector along which a gap closes; none where the two meet, or no gap is known.
fn way(found: &Clearance) -> Option<Vec3> {
    /// Nearer than this, rounding decides the way, m.
    const LEAST_M: f64 = 1e-6;
    let between = found.on_rig.vec() - found.on_hull.vec();
    (found.gap_m > LEAST_M).then(|| between.try_normalize())?
}

/// How a pad that is run out until it touches, or its arm, follows the hull; none for all else.
fn followed(worked: &Worked, part: &RigPart) -> Option<[Vec3; 2]> {
    let standing = worked.pads.get(part.pad?)?;
    let run_out =
        worked.load.pads.iter().any(|setting| {
            setting.pad == standing.pad.name && setting.reach == Reach::UntilTouching
        });
    let arm = standing.direction;
    // The post stands where it is; pad and arm lie along the arm.
    let lies = part.kind == RigPartKind::Pad || {
        let along = part.trailer_from_part.pose().transform_vector(Vec3::X);
        along.dot(arm).abs() > 0.999
    };
    let normal = worked.trailer_from_hull.transform_vector(standing.normal?);
    (run_out && lies && touches(standing.pad.state)).then_some([arm, normal])
}

/// For each rig part the hull parts that are meant to touch it: those that rest on the top of a stack, within what timber
/// gives, and the part that a pad is set against.
fn meant(worked: &Worked) -> Vec<Vec<usize>> {
    let mut meant = vec![Vec::new(); worked.parts.len()];
    for (beam, _, face, touch) in worked.supports() {
        let of_beam = |part: &RigPart| part.beam == Some(beam);
        let (Some(top), Some(touch)) = (worked.parts.iter().rposition(of_beam), touch) else {
            continue;
        };
        let pose = &worked.resting.frame_from_hull;
        let within_m = touch.gap_m.max(0.0) + worked.load.required.contact_m;
        let over = setdown::parts_over(worked.hull, face, pose, within_m);
        // Packing is thin, and what lies under it is as far as what lies on it tells.
        for at in (0..=top).rev().filter(|at| of_beam(&worked.parts[*at])) {
            meant[at].clone_from(&over);
            if worked.parts[at].kind != RigPartKind::Packing {
                break;
            }
        }
    }
    for (i, part) in worked.parts.iter().enumerate() {
        let standing = part.pad.and_then(|pad| worked.pads.get(pad));
        if let Some(standing) =
            standing.filter(|s| part.kind == RigPartKind::Pad && touches(s.pad.state))
        {
            let steadied = |p: &usize| worked.hull.parts[*p].kind.may_be_steadied();
            meant[i] = standing.hull_part.filter(steadied).into_iter().collect();
        }
    }
    meant
}

fn says(hull: &HullPart, rig: &RigPart, pair: &Clearance, when: &str) -> Sentence {
    if pair.gap_m.is_nan() {
        return Sentence::new("the gap could not be computed: measure it on the boat");
    }
    if pair.gap_m < 0.0 {
        Sentence::new(format!("{} and {} overlap by", hull.name, rig.name))
            .length(-pair.gap_m)
            .words(when)
    } else {
        Sentence::new(format!("{} stays", hull.name))
            .length(pair.gap_m)
            .words(format!("from {}{when}", rig.name))
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
    use keelstead_boat::hull::{HullFacts, PartKind, PartUse};
    use keelstead_geometry::math::{Point, Vec3};
    use keelstead_geometry::shape::Shape;
    use keelstead_geometry::solids::cuboid;
    use keelstead_load::rig_parts::part;

    /// A body over a keel, and a tyre and a rail a metre off to the left.
    fn scene() -> (Hull, Vec<RigPart>) {
        let hull_part = |name: &str, kind, z: f64| HullPart {
            name: name.into(),
            kind,
            part_use: PartUse::Checked,
            mesh: Arc::new(cuboid([0.0, -0.5, z], [4.0, 0.5, z + 1.0])),
        };
        let parts = vec![
            hull_part("body", PartKind::Body, 1.0),
            hull_part("keel", PartKind::Keel, 0.0),
        ];
        let half = Point::new(0.1, 0.1, 0.1);
        let beside = |name: &str, kind| {
            let at = Pose::from_translation(Vec3::new(2.0, 1.6, 0.5));
            part(name, kind, Shape::Box { half }, at)
        };
        (
            Hull::new("boat", parts, HullFacts::default()).unwrap(),
            vec![
                beside("tyre", RigPartKind::Tyre),
                beside("rail", RigPartKind::Rail),
            ],
        )
    }

    /// The scene at rest, and with the hull lowered by `drop_m` and `aside_m` to the left.
    fn asking<'a>(
        hull: &'a Hull,
        parts: &'a [RigPart],
        required: &'a Required,
        deviation: &'a Deviation,
        [aside_m, drop_m]: [f64; 2],
    ) -> GapRequirements<'a> {
        let down = Pose::from_translation(Vec3::new(0.0, aside_m, -drop_m));
        let meant = |part: &RigPart| match part.kind {
            RigPartKind::Pad => vec![0],
            _ => Vec::new(),
        };
        GapRequirements {
            hull,
            parts,
            required,
            deviation: [deviation; 2],
            rig_tolerance_m: 0.01,
            rest: Pose::identity(),
            road: [Pose::identity(), down],
            lowered: down,
            measured: Vec::new(),
            followed: vec![None; parts.len()],
            moved_m: 0.0,
            meant: parts.iter().map(meant).collect(),
        }
    }

    /// What is found where `spoil` may change what is measured.
    fn verdicts(
        down: [f64; 2],
        spoil: impl Fn(bool, &mut Clearance) + Sync + Send,
    ) -> Vec<(String, Verdict)> {
        let (hull, parts) = scene();
        let required = Required::default();
        let deviation = Deviation::still();
        let asking = asking(&hull, &parts, &required, &deviation, down);
        let list = asking.findings(|pose, pair, near| {
            let mut found = clearance::pair(&hull, &parts, pose, pair, near);
            spoil(*pose == asking.road[1], &mut found);
            found
        });
        list.into_iter().map(|f| (f.title, f.verdict)).collect()
    }

    #[test]
    fn a_gap_that_cannot_be_computed_reads_unknown_beside_clear_ones() {
        let (hull, parts) = scene();
        // One finding a rig part, clear, where all is known.
        let clear = verdicts([0.0, 0.0], |_, _| ());
        assert_eq!(clear.len(), 2);
        assert!(clear.iter().all(|(_, v)| *v == Verdict::Clear), "{clear:?}");
        // The keel is the nearer to either; boxes vouch for the body, which is not measured.
        for (hull_part, rig_part) in [(1, 0), (1, 1), (0, 0), (0, 1)] {
            let found = verdicts([0.0, 0.0], |_, c| {
                if (c.hull_part, c.rig_part) == (hull_part, rig_part) {
                    c.gap_m = f64::NAN;
                }
            });
            let title = format!("{} to {}", hull.parts[hull_part].name, parts[rig_part].name);
            let unknown = (title, Verdict::Unknown);
            assert_eq!(found.contains(&unknown), hull_part == 1, "{found:?}");
            let unclear = found.iter().filter(|(_, v)| *v != Verdict::Clear);
            assert_eq!(unclear.count(), hull_part, "{found:?}");
        }
    }

    #[test]
    fn what_is_not_measured_would_change_no_finding() {
        let (hull, mut parts) = scene();
        // A row of parts nearer and farther, over and under.
        for (i, y) in [0.6, 0.7, 0.9, 1.4, 3.0].into_iter().enumerate() {
            for (kind, z) in [(RigPartKind::Tyre, 0.2), (RigPartKind::Pad, 1.4)] {
                let at = Pose::from_translation(Vec3::new(0.5 + i as f64, y, z));
                let half = Point::new(0.1, 0.1, 0.1);
                parts.push(part(format!("{kind:?} {i}"), kind, Shape::Box { half }, at));
            }
        }
        let required = Required::default();
        let rest = Pose::identity();
        let pairs = clearance::all_pairs(&hull, &parts, &rest);
        for down in [[0.0, 0.1], [0.9, 0.1], [0.95, 0.4], [1.2, 0.2], [0.3, 1.5]] {
            let deviation = Deviation::still();
            let asking = asking(&hull, &parts, &required, &deviation, down);
            let quick = asking
                .findings(|pose, pair, near| clearance::pair(&hull, &parts, pose, pair, near));
            let low = clearance::all_pairs(&hull, &parts, &asking.road[1]);
            let mut all = Vec::new();
            for (rest, low) in pairs
                .chunks(hull.parts.len())
                .zip(low.chunks(hull.parts.len()))
            {
                let kind = parts[rest[0].rig_part].kind;
                let mut judged: Vec<Judged> = (rest.iter().zip(low))
                    .filter_map(|(rest, low)| {
                        let [hull_part, rig_part] = [rest.hull_part, rest.rig_part];
                        let pair = Pair {
                            hull_part,
                            rig_part,
                        };
                        asking.judge(pair, rest.clone(), stays_down(kind).then(|| low.clone()))
                    })
                    .collect();
                judged.sort_by(|a, b| {
                    (a.verdict, a.spare_m())
                        .partial_cmp(&(b.verdict, b.spare_m()))
                        .unwrap()
                });
                let unclear = judged.iter().filter(|j| j.verdict != Verdict::Clear);
                let keep = unclear.count().max(1);
                all.extend(judged.into_iter().take(keep));
            }
            assert_eq!(quick.len(), all.len(), "{down:?}");
            for (quick, all) in quick.iter().zip(&all) {
                assert_eq!(quick.verdict, all.verdict, "{}", quick.title);
                let found = quick.found.unwrap().value;
                assert!((found - all.worst.gap_m).abs() < 1e-7, "{}", quick.title);
            }
        }
    }

    #[test]
    fn she_may_be_as_far_off_with_the_suspension_down_as_on_her_stacks() {
        let (hull, mut parts) = scene();
        // Ahead of her bow, half way up the body: level with it once she is a metre down.
        let half = Point::new(0.1, 0.1, 0.1);
        let at = Pose::from_translation(Vec3::new(4.5, 0.0, 0.5));
        let shape = Shape::Box { half };
        parts.push(part("tyre ahead", RigPartKind::Tyre, shape, at));
        let (required, deviation) = (Required::default(), Deviation::turning(0.02, 4.0));
        let asking = asking(&hull, &parts, &required, &deviation, [0.0, 1.0]);
        let pair = Pair {
            hull_part: 0,
            rig_part: 2,
        };
        let found = clearance::pair(&hull, &parts, &asking.road[1], pair, None);
        // By hand: turned by 0.02 about the height of her keel, a place 1.4 to 1.6 m over it moves fore and aft by 28 to
        // 32 mm, however low the frame is; 10 mm for the rig.
        let off_m = asking.tolerance_m(&found, pair, true);
        assert!((0.0379..=0.0421).contains(&off_m), "{off_m}");
        let looked_m = asking.looked_m(&found, pair, true, &|pose, pair, near| {
            clearance::pair(&hull, &parts, pose, pair, near)
        });
        assert!((looked_m - off_m).abs() < 0.005, "{looked_m}, {off_m}");
    }

    #[test]
    fn a_gap_is_as_far_off_as_she_may_move_there() {
        let (hull, mut parts) = scene();
        // Bow down or up by 0.02 about x = 2: by hand 0.02 x 2 m = 40 mm at the bow, nothing amidships.
        let deviation = Deviation::turning(0.02, 2.0);
        let half = Point::new(0.1, 0.1, 0.1);
        for x in [2.0, 3.9] {
            let at = Pose::from_translation(Vec3::new(x, 0.0, -0.16));
            let shape = Shape::Box { half };
            parts.push(part(format!("under {x}"), RigPartKind::Member, shape, at));
        }
        let required = Required {
            frame_gap_m: 0.025,
            ..Required::default()
        };
        let asking = asking(&hull, &parts, &required, &deviation, [0.0, 0.0]);
        let list =
            asking.findings(|pose, pair, near| clearance::pair(&hull, &parts, pose, pair, near));
        let tolerance = |title: &str| {
            let found = list.iter().find(|f| f.title == title).unwrap();
            (found.verdict, found.tolerance.unwrap().value)
        };
        // 60 mm under the keel, 25 asked. Amidships only the part's own 0.1 m of length counts.
        let (verdict, off_m) = tolerance("keel to under 2");
        assert_eq!(verdict, Verdict::Clear);
        assert!((0.010..=0.0131).contains(&off_m), "{off_m}");
        let (verdict, off_m) = tolerance("keel to under 3.9");
        assert_eq!(verdict, Verdict::Tight);
        // The part is 0.2 m long, and nearest all along.
        assert!((0.045..=0.0505).contains(&off_m), "{off_m}");
    }

    #[test]
    fn a_gap_lost_with_the_suspension_down_is_not_made_good_by_the_one_at_rest() {
        let found = verdicts([0.95, 0.1], |down, c| {
            if down && c.rig_part == 0 && c.hull_part == 1 {
                c.gap_m = f64::NAN;
            }
        });
        assert!(
            found.contains(&("keel to tyre".into(), Verdict::Unknown)),
            "{found:?}"
        );
    }
}

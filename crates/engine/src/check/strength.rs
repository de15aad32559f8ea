//! Whether beams, blocks and keel hold what they carry.

use crate::check::Worked;
use crate::findings::{Finding, Place, Support, Topic};
use keelstead_statics::carrying::{Carried, Carrying, LimitState, Member, Utilisation};
use keelstead_statics::support::{Site, Supports};
use keelstead_units::quantity::{Basis, Quantity, Sentence};
use keelstead_units::verdict::Verdict;

/// A keel that bears on less than this share of its stack's length stands on an edge.
const EDGE_SHARE: f64 = 0.5;

pub(super) fn findings(
    worked: &Worked,
    supports: &[Support],
    model: &Supports,
    carrying: &Carrying,
) -> Vec<Finding> {
    let mut list = Vec::new();
    let each = worked.supports().zip(supports);
    let models = model.sites.iter().zip(&carrying.supports);
    for (((index, _, face, _), support), (site, carried)) in each.zip(models) {
        let Some(site) = site else { continue };
        let used = Used {
            index,
            support,
            site,
            carried,
        };
        list.extend(used.of("beam", &support.name, |m| m == Member::Beam));
        let stack = format!("stack on the {}", support.name);
        list.extend(used.of("stack", &stack, |m| {
            matches!(m, Member::Block(_) | Member::Stack)
        }));
        let keel = format!("keel on the {}", support.name);
        list.extend(used.of("keel", &keel, |m| m == Member::Keel));
        if carried.load_n > 0.0 {
            list.extend(edge(
                worked,
                &used,
                2.0 * face.half_length_m,
                face.slope.atan(),
            ));
        }
    }
    list.extend(stretches(worked, carrying));
    list
}

struct Used<'s, 'a> {
    index: usize,
    support: &'s Support,
    site: &'s Site<'a>,
    carried: &'s Carried,
}

impl Used<'_, '_> {
    /// The check that governs the members; none if there are no such members.
    fn of(&self, what: &str, title: &str, of: impl Fn(Member) -> bool) -> Option<Finding> {
        let worst = self
            .carried
            .uses
            .iter()
            .filter(|u| of(u.member))
            // A keel that surely stands elsewhere slips on nothing here.
            .filter(|u| u.check != LimitState::Slip || self.carried.most_n > 0.0)
            .max_by(|a, b| a.rank().total_cmp(&b.rank()))?;
        let id = format!("strength:{what}:{}", self.index);
        let title = format!("{title}: {}", worst.check.word());
        let place = Place::Point(if self.carried.load_n > 0.0 {
            self.carried.force.at
        } else {
            self.support.top
        });
        let Some(ratio) = worst.ratio else {
            let (says, advice) = match worst.check {
                LimitState::Slip => (
                    "not known: the keel does not reach over the stack far enough to tell its slope",
                    "move the beam under the keel, and chock it against sliding",
                ),
                _ => (
                    "not known: no values for the material, or none that the check needs",
                    "name a grade with values in the rig's file, or give a steel beam its section",
                ),
            };
            let says = Sentence::new(says);
            let finding = Finding::new(id, Topic::Strength, Verdict::Unknown, title, says);
            return Some(finding.at(place).advising(Sentence::new(advice)));
        };
        let verdict = worst.verdict();
        let mut finding = Finding::new(id, Topic::Strength, verdict, title, says(worst, ratio))
            .found(Quantity::ratio(ratio))
            .against(Quantity::ratio(1.0), Quantity::ratio(worst.over(ratio)))
            .resting_on(&self.basis(worst))
            .at(place);
        if verdict != Verdict::Clear {
            finding = finding.advising(Sentence::new(advice(worst)));
        }
        Some(finding)
    }

    fn basis(&self, worst: &Utilisation) -> Vec<Basis> {
        let mut basis = vec![Basis::Computed];
        match worst.check {
            LimitState::KeelPressure | LimitState::Slip => basis.push(Basis::AssumedDefault),
            _ if self.site.stand.assumed() => basis.push(Basis::AssumedDefault),
            _ => {}
        }
        // The road factor and a stack's height over its base have no published source.
        if worst.check != LimitState::Slip {
            basis.push(Basis::CommonPractice);
        }
        basis
    }
}

fn says(worst: &Utilisation, ratio: f64) -> Sentence {
    let sentence = Sentence::new(format!("{} uses", worst.check.word()))
        .figure(Quantity::ratio(ratio))
        .words("of what is allowed");
    match (worst.demand, worst.capacity) {
        (Some(demand), Some(capacity)) => sentence
            .words(":")
            .figure(demand)
            .words("of")
            .figure(capacity),
        _ => sentence,
    }
}

fn advice(worst: &Utilisation) -> &'static str {
    match (worst.member, worst.check) {
        (Member::Beam, LimitState::RailBearing | LimitState::AcrossGrain) => {
            "take a wider beam, or let more beams share the load"
        }
        (Member::Beam, _) => "take a deeper or steel beam, or let more beams share the load",
        (Member::Stack, _) => "build it as a crib on a wider base, or choose a lower stance",
        (Member::Block(_), _) => "put a wider or harder block on top, or let more stacks share",
        (Member::Keel, LimitState::Slip) => {
            "chock the keel against sliding, and drive a wedge so that it bears flat"
        }
        (Member::Keel, _) => "spread the load with a wider block, or let more stacks share",
    }
}

/// A keel that bears on the edge of its stack, and the wedge it needs.
fn edge(worked: &Worked, used: &Used, length_m: f64, top_rad: f64) -> Option<Finding> {
    let bears = used.carried.bearing_length_m;
    let slope = used.site.stand.slope_rad()?;
    if bears >= EDGE_SHARE * length_m {
        return None;
    }
    let forward = worked
        .trailer_from_frame
        .transform_vector(keelstead_geometry::math::Vec3::X);
    let wedge = slope - forward.z.atan2(forward.x);
    // A keel that curves over the stack is no matter of a wedge.
    if (wedge - top_rad).abs() * length_m < worked.load.required.contact_m {
        return None;
    }
    let says = Sentence::new("bears on")
        .length(bears)
        .words("of")
        .length(length_m)
        .words("only: the keel slopes by")
        .figure(Quantity::angle(wedge.abs()))
        .words("over the stack, its top by")
        .figure(Quantity::angle(top_rad.abs()));
    let rising = if wedge > 0.0 { "forward" } else { "aft" };
    let mut advice = Sentence::new("drive a wedge of")
        .figure(Quantity::angle(wedge.abs()))
        .words(format!("that rises {rising}"));
    let steepest = worked.rig.packing.wedge_rad.unwrap_or(0.0);
    if wedge.abs() > steepest {
        advice = advice
            .words("; the steepest on hand has")
            .figure(Quantity::angle(steepest));
    }
    let title = format!("keel flat on the {}", used.support.name);
    Some(
        Finding::new(
            format!("wedge:{}", used.index),
            Topic::Support,
            Verdict::Tight,
            title,
            says,
        )
        .found(Quantity::length(bears))
        .against(
            Quantity::length(EDGE_SHARE * length_m),
            Quantity::length(0.0),
        )
        .advising(advice)
        .at(Place::Point(used.carried.force.at)),
    )
}

fn stretches(worked: &Worked, carrying: &Carrying) -> Vec<Finding> {
    let asked = &worked.load.required.strength;
    let placing_m = worked.load.required.placing_tolerance_m;
    let stretches = [
        (
            "keel:span",
            "longest unsupported stretch of keel",
            carrying.longest_span_m,
            asked.keel_span_m,
            "let a beam between carry too",
        ),
        (
            "keel:bow",
            "hull ahead of the foremost support",
            carrying.bow_overhang_m,
            asked.bow_overhang_m,
            "place a beam farther forward",
        ),
        (
            "keel:stern",
            "hull behind the aftmost support",
            carrying.stern_overhang_m,
            asked.stern_overhang_m,
            "place a beam farther aft",
        ),
    ];
    // Where she was put moves both her ends, but not her supports.
    let [span_m, bow_m, stern_m] = worked.bearing.stretch_m();
    let moves_m = [span_m, placing_m + bow_m, placing_m + stern_m];
    let each = (stretches.into_iter().zip(moves_m)).zip(carrying.stretches_most_m);
    each.map(|(((id, title, found, limit, advice), moves_m), most)| {
        // A support that carries nothing leaves her longer stretches.
        let tolerance = moves_m + (most - found).max(0.0);
        let verdict = Verdict::at_least(limit, found, tolerance);
        let says = Sentence::figure_first(Quantity::length(found))
            .words("where")
            .length(limit)
            .words("is allowed");
        let finding = Finding::new(id, Topic::Strength, verdict, title, says)
            .found(Quantity::length(found))
            .against(Quantity::length(limit), Quantity::length(tolerance))
            .resting_on(&[Basis::Computed, Basis::AssumedDefault]);
        if verdict == Verdict::Clear {
            finding
        } else {
            finding.advising(Sentence::new(advice))
        }
    })
    .collect()
}

//! What presses on coupling and axles, against what the makers allow.
//!
//! Boat and trailer are a beam on the coupling and the middle of the axles, level and at rest. Loads
//! are linear in each mass and each place, so that the least and the most are at corners.

use crate::check::Worked;
use crate::findings::{AxleLoads, Finding, LoadRange, Place, Topic};
use keelstead_geometry::math::Point;
use keelstead_load::setdown::Equilibrium;
use keelstead_statics::riding::Riding;
use keelstead_units::quantity::{Basis, Quantity, Sentence};
use keelstead_units::verdict::Verdict;

pub(super) fn findings(worked: &Worked) -> (Option<AxleLoads>, Vec<Finding>) {
    let riding = match all(worked) {
        Ok(riding) => riding,
        Err((says, advice)) => return (None, vec![not_known(says, advice)]),
    };
    let rig = worked.rig;
    let count = rig.axles.len();
    let [coupling, group] = shared(&riding, rig.axle_middle_x_m(), rig.tolerance_m);
    let loads = AxleLoads {
        coupling,
        each_axle: group.over(count.max(1) as f64),
        axles: count,
        mind: mind(worked),
    };
    let mut list = vec![kept_down(worked, &coupling), coupled(worked, &coupling)];
    list.extend((0..count).map(|i| axle(worked, &loads, i)));
    (Some(loads), list)
}

/// Everything that rides, or what is missing and what to do about it.
fn all(worked: &Worked) -> Result<Vec<Riding>, (&'static str, &'static str)> {
    let rig = worked.rig;
    if worked.resting.rest != Equilibrium::Settled {
        return Err((
            "the boat does not stand, so nobody can tell where she presses",
            "let her stand first",
        ));
    }
    let Some(mut riding) = super::riding::boat(worked) else {
        return Err((
            "nobody said what the boat weighs",
            "give its mass with a tolerance",
        ));
    };
    if worked.hull.centre.is_none() {
        return Err((
            "nobody said where the boat's weight acts",
            "give the centre of gravity with its tolerance",
        ));
    }
    match super::riding::trailer(rig, &worked.trailer_from_frame) {
        Some(tare) => riding.push(tare),
        None if rig.tare.is_none() => {
            return Err((
                "nobody said what the empty trailer weighs",
                "weigh it, or read it off its papers, and give it in the rig's file with its centre of gravity",
            ));
        }
        None => {
            return Err((
                "nobody said where the empty trailer's weight acts",
                "weigh it on its coupling and on its axles, and give its centre of gravity in the rig's file",
            ));
        }
    }
    Ok(riding)
}

fn not_known(says: &str, advice: &str) -> Finding {
    let title = "load on coupling and axles";
    Finding::new(
        "weight:road",
        Topic::Weight,
        Verdict::Unknown,
        title,
        says.into(),
    )
    .advising(advice.into())
}

/// Load on the coupling and on all axles together, kg, the axles' middle `tolerance_m` off at most.
fn shared(riding: &[Riding], axles_x_m: f64, tolerance_m: f64) -> [LoadRange; 2] {
    let apart_m = -axles_x_m;
    let ends = [-tolerance_m, 0.0, tolerance_m].map(|off| (apart_m + off).max(f64::MIN_POSITIVE));
    let on_coupling = |apart_m: f64, x_m: f64| 1.0 + x_m / apart_m;
    let on_axles = |apart_m: f64, x_m: f64| -x_m / apart_m;
    [
        range(riding, ends, on_coupling),
        range(riding, ends, on_axles),
    ]
}

/// A load that is the sum of each mass times its `share`, which is linear in its station.
fn range(riding: &[Riding], ends: [f64; 3], share: impl Fn(f64, f64) -> f64) -> LoadRange {
    let stated = riding.iter().map(|r| r.mass_kg * share(ends[1], r.at.x));
    let (mut least_kg, mut most_kg) = (f64::INFINITY, f64::NEG_INFINITY);
    for apart_m in ends {
        let (mut least, mut most) = (0.0, 0.0);
        for one in riding {
            let corners = [-1.0, 1.0].map(|heavy| {
                [-1.0, 1.0].map(|ahead| {
                    one.mass_at(heavy) * share(apart_m, one.at.x + ahead * one.off_m.x)
                })
            });
            least += corners
                .iter()
                .flatten()
                .copied()
                .fold(f64::INFINITY, f64::min);
            most += corners
                .iter()
                .flatten()
                .copied()
                .fold(f64::NEG_INFINITY, f64::max);
        }
        least_kg = least_kg.min(least);
        most_kg = most_kg.max(most);
    }
    LoadRange {
        load_kg: stated.sum(),
        least_kg,
        most_kg,
    }
}

impl LoadRange {
    fn over(self, count: f64) -> Self {
        Self {
            load_kg: self.load_kg / count,
            least_kg: self.least_kg / count,
            most_kg: self.most_kg / count,
        }
    }
}

/// What the figures leave out.
fn mind(worked: &Worked) -> Vec<Sentence> {
    let mut list = vec![Sentence::new(
        "Level and at rest, the axles sharing alike; bumps and braking press harder.",
    )];
    if !worked.load.beams.is_empty() {
        list.push(Sentence::new(
            "Beams, blocks and packing are in it only as far as the trailer's own weight has them.",
        ));
    }
    if tractor_is_rated(worked) {
        list.push(Sentence::new(
            "The ratings of the tractor's axles are held against nothing: its own weight is not known.",
        ));
    }
    list
}

fn tractor_is_rated(worked: &Worked) -> bool {
    let tractor = worked.rig.tractor.as_ref();
    tractor.is_some_and(|tractor| tractor.axles.iter().any(|axle| axle.rating_kg.is_some()))
}

fn finding(worked: &Worked, id: &str, verdict: Verdict, title: &str, says: Sentence) -> Finding {
    let mut rests_on = vec![Basis::Computed, worked.weight.basis];
    rests_on.extend(worked.hull.mass.map(|m| m.basis));
    rests_on.sort();
    rests_on.dedup();
    Finding::new(id, Topic::Weight, verdict, title, says).resting_on(&rests_on)
}

/// Whether the coupling is pressed down, as it must be: a trailer that lifts it takes the weight off the
/// tractor's rear wheels.
fn kept_down(worked: &Worked, load: &LoadRange) -> Finding {
    let tolerance_kg = load.load_kg - load.least_kg;
    let verdict = Verdict::at_least(load.load_kg, 0.0, tolerance_kg);
    let says = match verdict {
        Verdict::Foul => Sentence::new("the load lifts the coupling, and the tractor's rear with it, by")
            .figure(Quantity::mass(-load.load_kg)),
        Verdict::Tight => Sentence::figure_first(Quantity::mass(load.load_kg))
            .words("press the coupling down; with weights and places off by their tolerances it may be lifted by")
            .figure(Quantity::mass(-load.least_kg)),
        _ => Sentence::figure_first(Quantity::mass(load.least_kg))
            .words("at least press the coupling down"),
    };
    let title = "coupling kept down";
    let finding = finding(worked, "weight:coupling:down", verdict, title, says)
        .found(Quantity::mass(load.load_kg))
        .against(Quantity::mass(0.0), Quantity::mass(tolerance_kg))
        .at(Place::Point(coupling(worked)));
    match verdict {
        Verdict::Clear => finding,
        _ => finding.advising(Sentence::new("move the hull forward")),
    }
}

fn coupling(worked: &Worked) -> Point {
    Point::new(0.0, 0.0, worked.rig.coupling.height_m)
}

fn coupled(worked: &Worked, load: &LoadRange) -> Finding {
    let rating = worked.rig.coupling.rating_kg;
    let mut finding = rated(
        worked,
        "weight:coupling",
        "load on the coupling",
        load,
        rating,
    );
    if tractor_is_rated(worked) {
        finding.says = finding.says.words(
            "; the ratings of the tractor's axles are held against nothing, as its own weight is not known",
        );
    }
    finding = finding.at(Place::Point(coupling(worked)));
    match finding.verdict {
        Verdict::Foul | Verdict::Tight => finding.advising(Sentence::new("move the hull aft")),
        _ => finding,
    }
}

fn axle(worked: &Worked, loads: &AxleLoads, i: usize) -> Finding {
    let axle = &worked.rig.axles[i];
    let (id, title) = (
        format!("weight:axle:{}", i + 1),
        format!("load on axle {}", i + 1),
    );
    let mut finding = rated(worked, &id, &title, &loads.each_axle, axle.rating_kg);
    if loads.axles > 1 {
        finding.says = finding.says.words("; the axles are taken to share alike");
    }
    finding = finding.at(Place::Point(Point::new(axle.x_m, 0.0, 0.0)));
    match finding.verdict {
        Verdict::Foul | Verdict::Tight => finding.advising(Sentence::new(
            "move the hull forward as far as the coupling allows, or take a trailer that is rated for more",
        )),
        _ => finding,
    }
}

fn rated(worked: &Worked, id: &str, title: &str, load: &LoadRange, rating: Option<f64>) -> Finding {
    let found = Quantity::mass(load.load_kg);
    let Some(rating) = rating else {
        let says = Sentence::figure_first(found).words("; the rig's file gives no rating");
        return finding(worked, id, Verdict::Unknown, title, says)
            .found(found)
            .advising(Sentence::new("read the rating off the maker's plate"));
    };
    let tolerance_kg = load.most_kg - load.load_kg;
    let verdict = Verdict::at_least(rating, load.load_kg, tolerance_kg);
    let mut says = Sentence::figure_first(found)
        .words("of")
        .figure(Quantity::mass(rating))
        .words("allowed");
    if !worked.load.beams.is_empty() {
        says = says.words("; beams and blocks only as far as the trailer's own weight has them");
    }
    finding(worked, id, verdict, title, says)
        .found(found)
        .against(Quantity::mass(rating), Quantity::mass(tolerance_kg))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;

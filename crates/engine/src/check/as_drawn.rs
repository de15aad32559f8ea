//! The check under a hand that drags: as if every measurement were exact, in a part of the time that the corners of the
//! tolerances take. What it calls foul is foul whatever the tolerances are; nothing that it says reads as clear.

use super::{Worked, check, concluded, input};
use crate::findings::Findings;
use keelstead_boat::hull::{CentreOfGravity, Hull, Mass};
use keelstead_geometry::math::Point;
use keelstead_load::load::Load;
use keelstead_load::rig::Rig;
use keelstead_units::quantity::Sentence;
use keelstead_units::verdict::Verdict;

/// Checks a hull on a rig as the load arranges it, each thing where and as heavy as it is said to be.
///
/// Place, trim, gaps, loads and what is foul are those of [`check`]; all that is met so is [`Verdict::Pending`], and how far
/// it may be off is left out: to be followed by a [`check`] as soon as the hand rests. What was measured on the load moves
/// her by what may be off, and figures out of range leave nothing to draw: then this is that check, and nothing is pending.
pub fn check_as_drawn(hull: &Hull, rig: &Rig, load: &Load) -> Findings {
    if !load.measured.is_empty() || !input::ranges(rig, load).is_empty() {
        return check(hull, rig, load);
    }
    let said = input::contradictions(rig, load);
    let (hull, rig, load) = (exact_hull(hull), exact_rig(rig), exact_load(load));
    let mut found = concluded(Worked::new(&hull, &rig, &load), said);
    found.pending = true;
    for finding in &mut found.list {
        finding.tolerance = None;
        if matches!(finding.verdict, Verdict::Tight | Verdict::Clear) {
            finding.verdict = Verdict::Pending;
            let says = std::mem::replace(&mut finding.says, Sentence::new(""));
            finding.says = says.words("; how far that may be off is being worked out");
        }
    }
    if matches!(found.verdict, Verdict::Tight | Verdict::Clear) {
        found.verdict = Verdict::Pending;
    }
    let carried = found.carrying.iter_mut().flat_map(|c| &mut c.supports);
    for used in carried.flat_map(|c| &mut c.uses) {
        used.pending = true;
    }
    found
}

fn exact_hull(hull: &Hull) -> Hull {
    Hull {
        name: hull.name.clone(),
        parts: hull.parts.clone(),
        mass: hull.mass.map(|mass| Mass {
            tolerance_kg: 0.0,
            ..mass
        }),
        centre: hull.centre.map(|centre| CentreOfGravity {
            tolerance: Point::new(0.0, 0.0, 0.0),
            ..centre
        }),
        weighed: hull.weighed.clone(),
        shape_tolerance_m: 0.0,
        // Not taken along even for a moment: a scan has as many as vertices.
        shape_by_vertex_m: None,
        marks: hull.marks.clone(),
        bending_n_m2: hull.bending_n_m2,
        taped: hull.taped,
        profile: hull.profile,
        keel_line: hull.keel_line.clone(),
        bounds: hull.bounds,
    }
}

fn exact_rig(rig: &Rig) -> Rig {
    Rig {
        tolerance_m: 0.0,
        ..rig.clone()
    }
}

fn exact_load(load: &Load) -> Load {
    let mut load = load.clone();
    let required = &mut load.required;
    required.placing_tolerance_m = 0.0;
    required.heel_tolerance_rad = 0.0;
    required.strength.stack_tolerance_m = 0.0;
    load
}

//! What each support carries: loads and shares, and the shims that would even them out.

use crate::check::{Worked, strength};
use crate::findings::{Carried, Carrying, Finding, Place, Support, Topic, Verdict};
use crate::math::{STANDARD_GRAVITY, Vec3};
use crate::quantity::{Basis, Quantity, Sentence};
use crate::setdown::{Rest, Touch};
use crate::standing::TopFace;
use crate::support::bend::{Burden, FreeBeam, ProppedBeam};
use crate::support::patch::Patch;
use crate::support::share::ShareError;
use crate::support::stand::{Stand, StandError};
use crate::support::{Site, Supports, Weighing};

/// Step of shims where the rig has none, m.
const SHIM_STEP_M: f64 = 0.001;

pub(super) fn findings(worked: &Worked, supports: &[Support]) -> (Option<Carrying>, Vec<Finding>) {
    // Where nothing is under the hull or it tips, the balance says so.
    if worked.resting.rest != Rest::Settled {
        return (None, Vec::new());
    }
    let Some(weighing) = weighing(worked) else {
        let says = Sentence::new("not known: nobody said what the boat weighs");
        let advice = Sentence::new("give its mass with a tolerance");
        let finding = whole(Verdict::Unknown, says).advising(advice);
        return (None, vec![finding]);
    };
    let Some(sites) = sites(worked) else {
        return (None, Vec::new());
    };
    let model = Supports {
        sites,
        weighing,
        hull_bending_n_m2: worked.hull.bending_n_m2,
        rails: rails(worked),
        asked: worked.load.required.strength,
        shim_step_m: step(worked),
    };
    match model.solve() {
        Ok(carrying) => {
            let mut list = shares(worked, supports, &carrying);
            list.extend(off_the_middle(supports, &carrying));
            list.extend(strength::findings(worked, supports, &model, &carrying));
            (Some(carrying), list)
        }
        Err(error) => (None, vec![refused(error)]),
    }
}

fn whole(verdict: Verdict, says: Sentence) -> Finding {
    let title = "loads on the supports";
    Finding::new("carry", Topic::Balance, verdict, title, says)
}

fn refused(error: ShareError) -> Finding {
    match error {
        ShareError::Tips { bow_down, short_m } => {
            let (way, place) = if bow_down {
                ("bow down", "ahead of")
            } else {
                ("bow up", "behind")
            };
            let says = Sentence::new(format!("the hull tips {way}: the weight acts"))
                .length(short_m)
                .words(format!("{place} where the keel last bears"));
            whole(Verdict::Foul, says).advising(Sentence::new(format!(
                "place a beam {place} the centre of gravity, or move the hull"
            )))
        }
        error => whole(
            Verdict::Unknown,
            Sentence::new(format!("cannot be worked out: {error}")),
        ),
    }
}

/// The boat's weight along the keel; none if nobody gave it.
fn weighing(worked: &Worked) -> Option<Weighing> {
    let mass = worked.hull.mass?;
    let own = match worked.hull.centre {
        Some(centre) => centre.at.vec(),
        None => worked.weight.centre,
    };
    let station = |p: Vec3| (worked.trailer_from_hull * p).x;
    let extras = worked.load.extra_weights.iter().map(|w| Burden {
        x_m: station(w.at.vec()),
        weight_n: w.mass_kg * STANDARD_GRAVITY,
    });
    let bounds = &worked.hull.bounds;
    let centre = worked.trailer_from_hull * worked.weight.centre;
    let end = |x: f64| station(Vec3::new(x, 0.0, 0.0));
    let placing = worked.load.required.placing_tolerance_m;
    Some(Weighing {
        hull_n: mass.mass_kg * STANDARD_GRAVITY,
        tolerance_n: mass.tolerance_kg * STANDARD_GRAVITY,
        hull_x_m: station(own),
        tolerance_x_m: worked.weight.tolerance_x_m.map(|t| t + placing),
        extras: extras.filter(|b| b.weight_n > 0.0).collect(),
        ends_x_m: [end(bounds.mins.x), end(bounds.maxs.x)],
        centre: centre.into(),
    })
}

/// The supports; none where one is at odds with the rig, which is a finding of its own.
fn sites<'a>(worked: &Worked<'a>) -> Option<Vec<Option<Site<'a>>>> {
    worked
        .supports()
        .map(|(index, _, face, touch)| {
            touch
                .map(|touch| site(worked, index, face, &touch))
                .transpose()
                .ok()
        })
        .collect()
}

fn site<'a>(
    worked: &Worked<'a>,
    index: usize,
    face: &TopFace,
    touch: &Touch,
) -> Result<Site<'a>, StandError> {
    let placed = &worked.load.beams[index];
    let give = worked.load.required.contact_m;
    let pose = &worked.resting.frame_from_hull;
    let patch = Patch::under(worked.hull, pose, face, touch, give);
    let forward = worked.trailer_from_frame.transform_vector(Vec3::X);
    let pitch = forward.z.atan2(forward.x);
    Ok(Site {
        stand: Stand::new(worked.rig, placed, patch, pitch)?,
        at: (worked.trailer_from_frame * patch.middle).into(),
        half_length_m: face.half_length_m,
        bears_m: [patch.length_m, patch.width_m],
        spread_m: patch.spread_m,
        gap_m: touch.gap_m.max(0.0),
        removable_m: placed.shim_m,
        addable_m: (worked.rig.packing.shims_at_most_m - placed.shim_m).max(0.0),
        wanted: placed.wanted_share.unwrap_or(1.0),
    })
}

fn rails(worked: &Worked) -> Option<ProppedBeam> {
    let bending_n_m2 = worked.rig.rails.bending_n_m2?;
    let axles = worked.rig.axle_middle_x_m();
    let stations = worked.faces.iter().map(|(_, f)| f.middle.x);
    Some(ProppedBeam {
        beam: FreeBeam {
            bending_n_m2,
            clamp_x_m: stations.fold(axles, f64::min) - 1.0,
        },
        points_x_m: [0.0, axles],
    })
}

/// Thinnest shim on hand, m; what is advised is a whole number of them.
fn step(worked: &Worked) -> f64 {
    let shims = worked.rig.packing.shims_m.iter().copied();
    let thinnest = shims.fold(f64::INFINITY, f64::min);
    if thinnest.is_finite() {
        thinnest
    } else {
        SHIM_STEP_M
    }
}

fn shares(worked: &Worked, supports: &[Support], carrying: &Carrying) -> Vec<Finding> {
    worked
        .supports()
        .zip(supports.iter().zip(&carrying.supports))
        .filter_map(|((index, .., touch), (support, carried))| {
            touch.and_then(|touch| share(worked, carrying, index, &touch, support, carried))
        })
        .collect()
}

fn share(
    worked: &Worked,
    carrying: &Carrying,
    index: usize,
    touch: &Touch,
    support: &Support,
    carried: &Carried,
) -> Option<Finding> {
    let loaded = carried.load_n > 0.0;
    // A stack that stands too low has its finding already.
    if !loaded && !worked.carries(touch.gap_m) {
        return None;
    }
    let several = carrying
        .supports
        .iter()
        .filter(|c| c.gap_m.is_some())
        .count()
        > 2;
    let guessed = several && !carrying.stiffness_known;
    let left = carried.gap_m.unwrap_or(0.0);
    let mut says = if loaded {
        Sentence::new("carries")
            .figure(Quantity::force(carried.load_n))
            .words(",")
            .figure(Quantity::ratio(carried.share))
            .words("of the boat; within the tolerances")
            .figure(Quantity::force(carried.least_n))
            .words("to")
            .figure(Quantity::force(carried.most_n))
    } else {
        Sentence::new("carries nothing:")
            .length(left)
            .words("stay open once the others have given")
    };
    let verdict = if !loaded {
        Verdict::Foul
    } else if worked.weight.tolerance_x_m.is_none() || guessed {
        Verdict::Unknown
    } else if carried.least_n <= 0.0 {
        Verdict::Tight
    } else {
        Verdict::Clear
    };
    if guessed {
        says = says.words("; the stiffness of a beam or block is not known, so this is a guess");
    }
    let title = format!("load on the {}", support.name);
    let finding = Finding::new(
        format!("share:{index}"),
        Topic::Support,
        verdict,
        title,
        says,
    )
    .found(Quantity::force(carried.load_n))
    .resting_on(&[Basis::Computed, worked.weight.basis])
    .at(Place::Point(carried.force.at));
    Some(match carried.shim_advice(&support.name) {
        Some(advice) => finding.advising(advice),
        None if !loaded => finding.advising(
            Sentence::new("add")
                .length(left)
                .words(format!("at the {}, or more", support.name)),
        ),
        None => finding,
    })
}

/// Loads are those of the plane along the keel: a stack under which the weight does not lie is said.
fn off_the_middle(supports: &[Support], carrying: &Carrying) -> Option<Finding> {
    let beside = |c: &Carried| {
        let off_m = (c.force.at.y_m - carrying.centre.y_m).abs();
        (off_m - c.bearing_spread_m / 2.0, off_m)
    };
    let (support, carried) = supports
        .iter()
        .zip(&carrying.supports)
        .filter(|(_, c)| c.load_n > 0.0)
        .max_by(|a, b| beside(a.1).0.total_cmp(&beside(b.1).0))?;
    let (out_m, off_m) = beside(carried);
    if out_m <= 0.0 {
        return None;
    }
    let says = Sentence::new(format!("the {} bears", support.name))
        .length(off_m)
        .words(
            "beside the weight: its load is reckoned along the keel only, and pads must hold what leans",
        );
    let title = "stacks under the weight, seen from behind";
    let finding = Finding::new("carry:beside", Topic::Balance, Verdict::Tight, title, says)
        .found(Quantity::length(off_m))
        .at(Place::Point(carried.force.at))
        .advising(Sentence::new("move the stack under the keel's middle"));
    Some(finding)
}

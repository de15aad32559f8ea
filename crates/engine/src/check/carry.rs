//! What each support carries: loads and shares, and the shims that would even them out.

use crate::check::{Placed, Worked, measured, strength};
use crate::findings::{Finding, Place, Support, Topic};
use keelstead_geometry::math::Vec3;
use keelstead_load::load::HullPosition;
use keelstead_load::rig::Rig;
use keelstead_load::rig_parts::{TopFace, beam_name};
use keelstead_load::setdown::{Equilibrium, Touch, touches_at};
use keelstead_statics::carrying::{Carried, Carrying};
use keelstead_statics::support::bend::{Burden, FreeBeam, ProppedBeam};
use keelstead_statics::support::block_stack;
use keelstead_statics::support::block_stack::StandError;
use keelstead_statics::support::corners;
use keelstead_statics::support::patch::Patch;
use keelstead_statics::support::share::ShareError;
use keelstead_statics::support::{Site, Solved, Supports, WeightDistribution};
use keelstead_units::quantity::STANDARD_GRAVITY;
use keelstead_units::quantity::{Basis, Quantity, Sentence};
use keelstead_units::verdict::Verdict;

mod contact;

use contact::Contact;

/// Step of shims where the rig has none, m.
const SHIM_STEP_M: f64 = 0.001;

/// How the boat's weight comes on her supports.
pub(crate) struct Bearing<'a> {
    /// The supports, as springs with their strength; none where the hull does not settle on any, or one is at odds with
    /// the rig, which is a finding of its own.
    model: Option<Supports<'a>>,
    /// What each carries; none without a model.
    solved: Option<Result<Solved, ShareError>>,
    /// How each may bear within the tolerances; none where the hull does not reach over one.
    contacts: Vec<Option<Contact<'a>>>,
    /// Which beam's stack cannot stand, and why.
    cannot: Option<(usize, StandError)>,
    /// Whether somebody said what she weighs. Else a hair is set down in her place: nothing gives under it.
    weighed: bool,
}

impl<'a> Bearing<'a> {
    pub(super) fn of(placed: &Placed<'a>) -> Self {
        // Where nothing is under the hull or it tips, the balance says so.
        let settled = placed.resting.rest == Equilibrium::Settled;
        let (sites, cannot) = match settled.then(|| sites(placed)) {
            Some(Ok(sites)) => (Some(sites), None),
            Some(Err(error)) => (None, Some(error)),
            None => (None, None),
        };
        let mut model = sites.map(|sites| Supports {
            sites,
            weighing: weighing(placed),
            placing_m: placed.load.required.placing_tolerance_m,
            bearing_moves_m: 0.0,
            stopped_m: 0.0,
            hull_bending_n_m2: placed.hull.bending_n_m2,
            rails: rails(placed),
            asked: placed.load.required.strength,
            shim_step_m: step(placed.rig),
        });
        let mut solved = model.as_ref().map(Supports::solve);
        let mut contacts = Vec::new();
        if let (Some(model), Some(Ok(first))) = (&mut model, &mut solved) {
            contacts = contact::turned(placed, &model.sites, first);
            model.bearing_moves_m = contact::moves_m(&contacts);
            model.stopped_m = contact::stopped_m(&contacts)[0];
            for (site, contact) in model.sites.iter_mut().zip(&contacts) {
                if let (Some(site), Some(contact)) = (site, contact) {
                    site.turned_n_per_m = contact.turned_n_per_m();
                }
            }
            if let Ok(again) = model.solve() {
                *first = again;
            }
            contact::hold(&contacts, &placed.load.required.strength, first);
        }
        Self {
            solved,
            model,
            contacts,
            cannot,
            weighed: placed.hull.mass.is_some(),
        }
    }

    /// Whether she tips at a corner of what may be off.
    pub(super) fn may_tip(&self) -> bool {
        self.solved().is_some_and(|solved| solved.may_tip)
    }

    /// How far where the keel bears may move fore and aft on its stacks, m.
    pub(super) fn bearing_moves_m(&self) -> f64 {
        self.model.as_ref().map_or(0.0, |m| m.bearing_moves_m)
    }

    /// How far the longest stretch between her supports, what reaches past them forward, and what aft, may grow as what bears
    /// moves on its stacks, m.
    pub(super) fn stretch_m(&self) -> [f64; 3] {
        let sites = self.model.iter().flat_map(|model| &model.sites);
        let there = sites
            .zip(&self.contacts)
            .filter_map(|(site, contact)| Some((site.as_ref()?.at.x_m, contact.as_ref()?)));
        contact::stretch_m(&there.collect::<Vec<_>>())
    }

    /// How far her weight may act farther fore or aft as she is set down turned, m, since it acts high.
    pub(super) fn tilts_m(&self) -> f64 {
        let (Some(model), Some(solved)) = (&self.model, self.solved()) else {
            return 0.0;
        };
        let turns = solved.turned.iter().flatten().map(|[_, turn]| turn.abs());
        turns.fold(0.0, f64::max) * model.weighing.height_m.abs()
    }

    /// How far beside the middle of what bears she is stopped first as she is set down heeled, m.
    pub(super) fn stopped_aside_m(&self) -> f64 {
        contact::stopped_m(&self.contacts)[1]
    }

    /// Width that a support surely bears over, about where it does, m: as she is turned and put the worst way.
    pub(super) fn least_width_m(&self, support: usize) -> Option<f64> {
        self.contacts
            .get(support)?
            .as_ref()
            .map(|c| c.least_width_m)
    }

    /// Stations of the aftmost and foremost places at which her keel may come to bear, trailer frame, m: the middle of what
    /// bears there, and its end where her weight at `centre_m` acts beyond the middle. None where nothing is worked out.
    pub(super) fn bears_between_m(&self, centre_m: f64) -> Option<[f64; 2]> {
        let (model, solved) = (self.model.as_ref()?, self.solved()?);
        let sites = model.sites.iter().zip(&solved.carrying.supports);
        let bearing = sites
            .filter(|(_, carried)| carried.most_n > 0.0)
            .filter_map(|(site, _)| site.as_ref())
            .map(|site| (site.at.x_m, site.half_length_m));
        corners::bears_between_m(bearing, centre_m)
    }

    /// How she came down and what that may be within the tolerances; none where it cannot be worked out.
    pub(super) fn solved(&self) -> Option<&Solved> {
        self.solved.as_ref()?.as_ref().ok()
    }

    /// What each support carries; none where nobody said what she weighs, or it cannot be worked out.
    pub(super) fn carrying(&self) -> Option<&Carrying> {
        let solved = self.solved().filter(|_| self.weighed)?;
        Some(&solved.carrying)
    }

    /// Loads, N, with the boat's own weight scaled and its centre moved forward, for the heights of stacks that share otherwise
    /// the most, and for those at which supports as wide as `widths_m` hold her upright the least; none where nothing holds
    /// her. Beside them how far the centre is moved: where she would tip, no farther than to the last support.
    pub(super) fn loads(
        &self,
        scale: f64,
        centre_m: f64,
        widths_m: &[f64],
    ) -> (f64, Vec<Option<Vec<f64>>>) {
        match &self.model {
            Some(model) => model.loads(scale, centre_m, widths_m),
            None => (centre_m, vec![None]),
        }
    }

    /// How far each support gives under its load, m: nothing where the load is not known.
    pub(super) fn gives_m(&self, support: usize) -> f64 {
        let carried = self.carrying().and_then(|c| c.supports.get(support));
        carried.map_or(0.0, |c| c.gives_m)
    }
}

pub(super) fn findings(worked: &Worked, supports: &[Support]) -> Vec<Finding> {
    let bearing = &worked.bearing;
    if let Some((index, error)) = bearing.cannot {
        return stands_not(worked, index, error).into_iter().collect();
    }
    let (Some(model), Some(solved)) = (&bearing.model, &bearing.solved) else {
        return Vec::new();
    };
    if !bearing.weighed {
        let says = Sentence::new("not known: nobody said what the boat weighs");
        let advice = Sentence::new("give its mass with a tolerance");
        return vec![whole(Verdict::Unknown, says).advising(advice)];
    }
    match solved {
        Ok(solved) => {
            let carrying = &solved.carrying;
            let mut list = shares(worked, supports, carrying);
            list.extend(off_the_middle(supports, carrying));
            list.extend(may_not_stand(worked, &bearing.contacts));
            list.extend(strength::findings(worked, supports, model, carrying));
            list
        }
        Err(error) => vec![refused(error)],
    }
}

fn whole(verdict: Verdict, says: Sentence) -> Finding {
    let title = "loads on the supports";
    Finding::new("carry", Topic::Balance, verdict, title, says)
}

fn refused(error: &ShareError) -> Finding {
    match *error {
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
        _ => whole(
            Verdict::Unknown,
            Sentence::new(format!("cannot be worked out: {error}")),
        ),
    }
}

/// What stands for a weight that nobody gave, N: little enough that nothing gives under it.
const HAIR_N: f64 = 1.0e-3;

/// The boat's weight along the keel.
fn weighing(placed: &Placed) -> WeightDistribution {
    let (hull_n, tolerance_n) = match placed.hull.mass {
        Some(mass) => (mass.mass_kg, mass.tolerance_kg),
        None => (HAIR_N / STANDARD_GRAVITY, 0.0),
    };
    let own = match placed.hull.centre {
        Some(centre) => centre.at.vec(),
        None => placed.weight.centre,
    };
    let trailer_from_hull = placed.trailer_from_hull();
    let station = |p: Vec3| (trailer_from_hull * p).x;
    let extras = placed.load.extra_weights.iter().map(|w| Burden {
        x_m: station(w.at.vec()),
        weight_n: w.mass_kg * STANDARD_GRAVITY,
    });
    let bounds = &placed.hull.bounds;
    let centre = trailer_from_hull * placed.weight.centre;
    let end = |x: f64| station(Vec3::new(x, 0.0, 0.0));
    let weighed = placed.hull.mass.is_some();
    let higher_m = placed.hull.centre.map_or(0.0, |c| c.tolerance.z_m);
    WeightDistribution {
        hull_n: hull_n * STANDARD_GRAVITY,
        tolerance_n: tolerance_n * STANDARD_GRAVITY,
        hull_x_m: station(own),
        tolerance_x_m: placed.weight.tolerance_x_m,
        extras: extras.filter(|b| weighed && b.weight_n > 0.0).collect(),
        ends_x_m: [end(bounds.mins.x), end(bounds.maxs.x)],
        centre: centre.into(),
        height_m: centre.z + higher_m - trailer_from_hull.translation.z,
    }
}

/// The supports, or which of them cannot stand.
fn sites<'a>(placed: &Placed<'a>) -> Result<Vec<Option<Site<'a>>>, (usize, StandError)> {
    let put = placed_gaps(placed);
    placed
        .supports()
        .enumerate()
        .map(|(support, (index, _, face, touch))| {
            // One that somebody saw standing free carries nothing.
            touch
                .filter(|_| measured::seen_bearing(placed.load, index) != Some(false))
                .map(|touch| {
                    site(
                        placed,
                        index,
                        face,
                        &touch,
                        [put[0][support], put[1][support]],
                    )
                })
                .transpose()
                .map_err(|error| (index, error))
        })
        .collect()
}

/// What there is to say of a stack that cannot stand and is not said of the rig already.
fn stands_not(worked: &Worked, index: usize, error: StandError) -> Option<Finding> {
    let (_, placed, face, _) = worked.supports().find(|(i, ..)| *i == index)?;
    let advice = to_stand(error)?;
    let title = format!("stack on the {}", beam_name(placed.seat));
    let says = Sentence::new(error.to_string());
    let id = format!("stand:{index}");
    let top = worked.trailer_from_frame * face.middle;
    Some(
        Finding::new(id, Topic::Support, Verdict::Foul, title, says)
            .at(Place::Point(top.into()))
            .advising(Sentence::new(advice)),
    )
}

/// The same of stacks that may not stand, with the hull as far off as she may be.
fn may_not_stand(worked: &Worked, contacts: &[Option<Contact>]) -> Vec<Finding> {
    let stacks = worked.supports().zip(contacts);
    let each = stacks.filter_map(|((index, ..), contact)| {
        let error = contact.as_ref()?.may_not_stand()?;
        let finding = stands_not(worked, index, error)?;
        let says = Sentence::new("with the boat off by her tolerances");
        Some(Finding {
            verdict: Verdict::Tight,
            says: says.words(error.to_string()),
            ..finding
        })
    });
    each.collect()
}

/// What helps a stack to stand; none where that is said of the rig already.
fn to_stand(error: StandError) -> Option<&'static str> {
    match error {
        StandError::Missing | StandError::BeyondRails => None,
        StandError::KeelBeyondRails => Some("move the boat between the rails"),
        StandError::TipsOff => Some("move the stack under the keel, or put a wider block below"),
    }
}

/// The gap over each face where the hull was put as far aft, and as far forward, as she may be off, at the height and trim
/// that she rests at. A face that she does not reach over then has none.
fn placed_gaps(placed: &Placed) -> [Vec<Option<f64>>; 2] {
    let off_m = placed.load.required.placing_tolerance_m;
    let faces: Vec<TopFace> = placed.faces.iter().map(|(_, face)| *face).collect();
    let resting = &placed.resting;
    [-off_m, off_m].map(|off_m| {
        let stand = HullPosition {
            x_m: placed.load.stand.x_m + off_m,
            ..placed.load.stand
        };
        touches_at(
            placed.hull,
            &stand,
            &faces,
            resting.height_m,
            resting.trim_rad,
        )
    })
}

/// What stands for the gap over a face that the hull is not over any more, m: no load closes it.
const NOT_OVER_M: f64 = 10.0;

fn site<'a>(
    placed: &Placed<'a>,
    index: usize,
    face: &TopFace,
    touch: &Touch,
    put_gaps_m: [Option<f64>; 2],
) -> Result<Site<'a>, StandError> {
    let beam = &placed.load.beams[index];
    let give = placed.load.required.contact_m;
    let pose = &placed.resting.frame_from_hull;
    let patch = Patch::under(placed.hull, pose, face, touch, give);
    let forward = placed.trailer_from_frame.transform_vector(Vec3::X);
    let pitch = forward.z.atan2(forward.x);
    let hull_from_frame = pose.inverse();
    let shape_m = placed
        .hull
        .shape_tolerance_under(hull_from_frame * touch.at);
    let strength = &placed.load.required.strength;
    let stand = block_stack::BlockStack::new(placed.rig, beam, patch, pitch)?;
    Ok(Site {
        turned_n_per_m: [stand.stiffness_n_per_m; 2],
        stand,
        at: (placed.trailer_from_frame * patch.middle).into(),
        half_length_m: (patch.ends_x_m[1] - patch.ends_x_m[0]) / 2.0,
        bears_m: [patch.length_m, patch.width_m],
        spread_m: patch.spread_m(),
        gap_m: touch.gap_m.max(0.0),
        height_tolerance_m: shape_m + placed.rig.tolerance_m + strength.stack_tolerance_m,
        placed_gap_m: put_gaps_m.map(|gap| gap.map_or(NOT_OVER_M, |gap| gap - touch.gap_m)),
        removable_m: beam.shim_m,
        addable_m: (placed.rig.packing.shims_at_most_m - beam.shim_m).max(0.0),
        wanted: beam.wanted_share.unwrap_or(1.0),
    })
}

fn rails(placed: &Placed) -> Option<ProppedBeam> {
    let bending_n_m2 = placed.rig.rails.bending_n_m2?;
    let axles = placed.rig.axle_middle_x_m();
    let stations = placed.faces.iter().map(|(_, f)| f.middle.x);
    Some(ProppedBeam {
        beam: FreeBeam {
            bending_n_m2,
            clamp_x_m: stations.fold(axles, f64::min) - 1.0,
        },
        points_x_m: [0.0, axles],
    })
}

/// Thinnest shim on hand, m; what is advised is a whole number of them.
fn step(rig: &Rig) -> f64 {
    let shims = rig.packing.shims_m.iter().copied();
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
    } else if carried.least_n <= 0.0 && measured::seen_bearing(worked.load, index) != Some(true) {
        says = says.words("; a few millimetres of height decide whether it carries at all");
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
        None if !loaded => finding.advising(to_bear(left, &support.name).words(", or more")),
        None if verdict == Verdict::Tight => finding.advising(Sentence::new(EVEN_OUT)),
        None => finding,
    })
}

/// What makes a stack bear that is so far from the keel, m.
pub(super) fn to_bear(gap_m: f64, support: &str) -> Sentence {
    /// Thinner than any shim.
    const NOTHING_M: f64 = 5e-4;
    if gap_m < NOTHING_M {
        return Sentence::new(format!(
            "drive a wedge in at the {support}: it only touches"
        ));
    }
    Sentence::new("add")
        .length(gap_m)
        .words(format!("at the {support}"))
}

/// What helps where stiff supports share a load by millimetres.
pub(super) const EVEN_OUT: &str = "carry her on two beams, which share by her weight alone; or put packing that gives on the stacks; \
     or look after she is set down which stacks bear, and say so; or take beams that hold the greatest load";

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

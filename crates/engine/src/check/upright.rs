//! Whether pads hold the hull upright, and the rig its wheels on the road.

use crate::check::Worked;
use crate::check::taped::{MEASURE_AROUND, MEASURE_HEIGHT};
use crate::findings::{Finding, Place, Topic};
use corners::Worst;
use keelstead_boat::hull::Taped;
use keelstead_boat::profile::Profile;
use keelstead_geometry::math::Vec3;
use keelstead_load::pads::PadState;
use keelstead_statics::carrying::Carrying;
use keelstead_statics::lateral_stability::{
    Footing, PAD_STIFFNESS_N_PER_M, Pressing, SteadiedBoat, Wheels,
};
use keelstead_statics::steadying::{PadLoad, Push, PushKind, Steadying};
use keelstead_units::quantity::{Basis, Quantity, Sentence};
use keelstead_units::verdict::Verdict;

mod corners;

pub(super) fn findings(
    worked: &Worked,
    carrying: Option<&Carrying>,
    pads_sure: bool,
) -> (Option<Steadying>, Vec<Finding>) {
    let Some(carrying) = carrying else {
        return (None, Vec::new());
    };
    let Some(steadying) = steadying(worked, carrying, worked.hull.profile) else {
        return (None, Vec::new());
    };
    let worst = corners::worst(worked, carrying, worked.hull.profile, pads_sure, &steadying);
    let mut list = judged(worked, &steadying, worst.as_ref());
    let blown = |push: &Push| push.kind == PushKind::Wind && push.force_n > 0.0;
    if let Some(taped) = worked.hull.taped
        && steadying.pushes.iter().any(blown)
    {
        let at_most = taped.profile_at_most(worked.hull).and_then(|profile| {
            let most = self::steadying(worked, carrying, profile)?;
            let worst = corners::worst(worked, carrying, profile, pads_sure, &most);
            Some(judged(worked, &most, worst.as_ref()))
        });
        hold_back(&mut list, &taped, at_most.as_deref());
    }
    (Some(steadying), list)
}

/// What is not drawn of a boat from a tape catches wind too: where that could make a verdict worse, or nobody knows how
/// far it reaches, the verdict is unknown. `at_most` are the findings with all the wind that she can catch.
fn hold_back(list: &mut [Finding], of: &Taped, at_most: Option<&[Finding]>) {
    for finding in list.iter_mut() {
        let by_wind = finding.id == "steady:hold" || finding.id.starts_with("steady:pad:");
        let worst = match at_most {
            Some(all) => all.iter().find(|f| f.id == finding.id).map(|f| f.verdict),
            None => by_wind.then_some(Verdict::Unknown),
        };
        if worst.is_some_and(|worst| worst < finding.verdict) && finding.verdict > Verdict::Unknown
        {
            finding.verdict = Verdict::Unknown;
            finding.says = finding.says.clone().words(
                "; what stands above her sheer is not drawn, and the wind on it may push harder",
            );
            finding.advice = Some(Sentence::new(match at_most {
                Some(_) => "measure the boat's side area, or bring her in from a scan",
                None if of.highest_m.is_none() => MEASURE_HEIGHT,
                None => MEASURE_AROUND,
            }));
        }
    }
}

/// The findings on what steadies her.
fn judged(worked: &Worked, steadying: &Steadying, worst: Option<&Worst>) -> Vec<Finding> {
    let mut list = vec![
        at_rest(worked, steadying, worst),
        hold(worked, steadying, worst),
    ];
    list.extend(
        steadying
            .pads
            .iter()
            .map(|pad| pressed(worked, steadying, pad, worst)),
    );
    list.push(rollover(worked, steadying));
    list
}

fn steadying(worked: &Worked, carrying: &Carrying, profile: Profile) -> Option<Steadying> {
    let stated = Stated {
        weight_n: carrying.weight_n,
        centre: carrying.centre.vec(),
        toward_push_m: 0.0,
        footings: Footing::of(carrying),
        pads: pads(worked),
        profile,
        profile_centre: worked.trailer_from_hull * profile.centroid.vec(),
    };
    solving(worked, &stated, |upright| upright.solve())
}

/// A boat on her keel between pads, as she is said to be or at a corner of what may be off.
struct Stated {
    weight_n: f64,
    centre: Vec3,
    toward_push_m: f64,
    footings: Vec<Footing>,
    pads: Vec<Pressing>,
    profile: Profile,
    profile_centre: Vec3,
}

/// What `of` finds of it; none if nothing carries her.
fn solving<T>(
    worked: &Worked,
    stated: &Stated,
    of: impl FnOnce(&SteadiedBoat) -> Option<T>,
) -> Option<T> {
    let rig = worked.rig;
    let boat = super::riding::boat(worked)?;
    let narrowest = rig.axles.iter().map(|a| a.track_m).fold(f64::MAX, f64::min);
    let upright = SteadiedBoat {
        weight_n: stated.weight_n,
        centre: stated.centre,
        tolerance_y_m: corners::sideways_m(worked),
        toward_push_m: stated.toward_push_m,
        footings: &stated.footings,
        pads: &stated.pads,
        pad_count: rig.pads.len(),
        profile: stated.profile,
        profile_centre: stated.profile_centre,
        wheels: Wheels {
            boat: &boat,
            tare: super::riding::trailer(rig, &worked.trailer_from_frame),
            track_m: narrowest,
            roll_stiffness_nm_per_rad: rig.suspension.roll_stiffness_nm_per_rad,
        },
        keel_friction: worked.load.required.strength.keel_friction,
        asked: worked.load.required.steadying,
    };
    of(&upright)
}

/// Pads that touch the hull where a pad may. A face on a swivel presses through its middle, wherever along it she touches
/// first: the swivel bears no moment.
fn pads(worked: &Worked) -> Vec<Pressing> {
    worked
        .pads
        .iter()
        .enumerate()
        .filter_map(|(pad, standing)| {
            let part = standing.hull_part.map(|i| &worked.hull.parts[i])?;
            if !part.kind.may_be_steadied() {
                return None;
            }
            let mount = &worked.rig.pads[pad];
            let inward = -worked.trailer_from_hull.transform_vector(standing.normal?);
            Some(Pressing {
                pad,
                at: standing.face_middle()?,
                normal: inward.try_normalize()?,
                area_m2: mount.pad_length_m * mount.pad_height_m,
                rating_n: mount.rating_n,
                stiffness_n_per_m: mount.stiffness_n_per_m.unwrap_or(PAD_STIFFNESS_N_PER_M),
            })
        })
        .collect()
}

const NO_CENTRE: &str = "give the centre of gravity with its tolerance";

fn finding(id: impl Into<String>, verdict: Verdict, title: &str, says: Sentence) -> Finding {
    Finding::new(id, Topic::Steadying, verdict, title, says)
        .resting_on(&[Basis::Computed, Basis::AssumedDefault])
}

/// Pads are not meant to carry: whether they do at rest.
fn at_rest(worked: &Worked, steadying: &Steadying, worst: Option<&Worst>) -> Finding {
    let limit = worked.load.required.steadying.pad_weight_share;
    let title = "weight on the pads at rest";
    let set_in = worked
        .pads
        .iter()
        .find(|p| p.pad.state == PadState::Pressing);
    if let Some(standing) = set_in {
        let says = Sentence::new(format!(
            "{} is set into the hull: it carries a share of the weight that nobody can tell",
            standing.pad.name
        ));
        return finding("steady:rest", Verdict::Foul, title, says)
            .advising(Sentence::new("draw it in until it only touches"));
    }
    let share = steadying.pad_weight_share;
    let at_corners = worst.map_or(0.0, |worst| worst.rest_share);
    let worst = steadying.pad_weight_share_worst.max(at_corners);
    let says = if !steadying.rests {
        Sentence::new(
            "the boat does not stand upright: its weight lies beside the keel, and no pad holds it",
        )
    } else if share > 0.0 {
        Sentence::new("the boat leans on its pads: they carry")
            .figure(Quantity::ratio(share))
            .words("of its weight, which they are not meant for")
    } else if worst > 0.0 {
        Sentence::new("pads carry nothing; with the boat off by her tolerances")
            .figure(Quantity::ratio(worst))
            .words("of the weight leans on them")
    } else {
        Sentence::new("pads carry nothing: the boat stands on its keel")
    };
    let verdict = match Verdict::at_least(limit, share, (worst - share).max(0.0)) {
        Verdict::Clear if worked.weight.tolerance_y_m.is_none() => Verdict::Unknown,
        verdict => verdict,
    };
    let finding = finding("steady:rest", verdict, title, says)
        .found(Quantity::ratio(share))
        .against(
            Quantity::ratio(limit),
            Quantity::ratio((worst - share).max(0.0)),
        );
    match verdict {
        Verdict::Clear => finding,
        Verdict::Unknown => finding.advising(Sentence::new(NO_CENTRE)),
        _ => finding.advising(Sentence::new(
            "move weights or stacks until the weight lies over the keel",
        )),
    }
}

/// Whether keel and pads hold the hull in every push asked.
fn hold(worked: &Worked, steadying: &Steadying, worst: Option<&Worst>) -> Finding {
    let title = "hull held upright";
    let asked = worked.load.required.steadying.lateral_g;
    let alone = Quantity::gravity(steadying.keel_alone_g);
    if let Some(push) = steadying.pushes.iter().find(|p| !p.held) {
        let says = Sentence::new(format!("not held {}:", push.kind.word()))
            .figure(Quantity::force(push.force_n))
            .words("sideways; the keel alone stands")
            .figure(alone);
        return finding("steady:hold", Verdict::Foul, title, says).advising(Sentence::new(
            "run out pads on both sides, fore and aft, and higher up the hull",
        ));
    }
    let by_keel = steadying.pads.is_empty().then_some(steadying.keel_alone_g);
    let Some(stands) = by_keel.or(steadying.with_pads_g) else {
        let says = Sentence::new(
            "held; how far is not known, as a pad has no rating. The keel alone stands",
        )
        .figure(alone);
        return finding("steady:hold", Verdict::Unknown, title, says).advising(Sentence::new(
            "read the pads' ratings off the maker's plate",
        ));
    };
    let tolerance = worst.map_or(0.0, |worst| (stands - worst.stands_g).max(0.0));
    let verdict = match Verdict::at_least(stands, asked, tolerance) {
        Verdict::Clear if worst.is_none() => Verdict::Unknown,
        Verdict::Clear if worst.is_some_and(|w| w.unsure().is_some()) => Verdict::Tight,
        verdict => verdict,
    };
    let says = Sentence::new("held by keel and pads up to")
        .figure(Quantity::gravity(stands))
        .words("sideways, by the keel alone up to")
        .figure(alone);
    let says = match worst.and_then(Worst::unsure) {
        Some(why) if verdict == Verdict::Tight => says.words(why),
        _ => says,
    };
    let finding = finding("steady:hold", verdict, title, says)
        .found(Quantity::gravity(stands))
        .against(Quantity::gravity(asked), Quantity::gravity(tolerance));
    match verdict {
        Verdict::Clear => finding,
        Verdict::Unknown => finding.advising(Sentence::new(NO_CENTRE)),
        _ => finding.advising(Sentence::new(
            "run out more pads, or choose places higher up the hull",
        )),
    }
}

fn pressed(
    worked: &Worked,
    steadying: &Steadying,
    load: &PadLoad,
    worst: Option<&Worst>,
) -> Finding {
    let name = &worked.pads[load.pad].pad.name;
    let id = format!("steady:pad:{name}");
    let title = format!("force on {name}");
    let when = load.push.map_or("", |i| steadying.pushes[i].kind.word());
    let rating = load.rating_ratio;
    let (ratio, of) = match rating {
        Some(rating) if rating >= load.pressure_ratio => (rating, "its rating"),
        _ => (load.pressure_ratio, "the pressure the hull may take"),
    };
    let says = if load.push.is_some() {
        Sentence::new("presses with up to")
            .figure(Quantity::force(load.most_n))
            .words(format!("{when}:"))
            .figure(Quantity::ratio(ratio))
            .words(format!("of {of}"))
    } else {
        Sentence::new("no push asked presses it")
    };
    let most = worst.map_or(ratio, |worst| worst.ratio(load.pad));
    let tolerance = (most - ratio).max(0.0);
    // What presses it in a push that nothing holds is not known.
    let unsure = if steadying.pushes.iter().all(|push| push.held) {
        worst.and_then(Worst::unsure)
    } else {
        Some("; a push in which nothing holds her is left out of that")
    };
    let verdict = match Verdict::at_least(1.0, ratio, tolerance) {
        Verdict::Clear if unsure.is_some() => Verdict::Tight,
        Verdict::Clear if rating.is_none() || worst.is_none() => Verdict::Unknown,
        verdict => verdict,
    };
    let says = match unsure {
        Some(why) if verdict == Verdict::Tight => says.words(why),
        _ => says,
    };
    let finding = finding(id, verdict, &title, says)
        .found(Quantity::ratio(ratio))
        .against(Quantity::ratio(1.0), Quantity::ratio(tolerance))
        .at(Place::Point(load.force.at));
    match verdict {
        Verdict::Clear => finding,
        Verdict::Unknown if rating.is_some() => finding.advising(Sentence::new(NO_CENTRE)),
        Verdict::Unknown => {
            finding.advising(Sentence::new("read the pad's rating off the maker's plate"))
        }
        _ => finding.advising(Sentence::new(
            "run out more pads, choose places higher up the hull, or use larger pads",
        )),
    }
}

fn rollover(worked: &Worked, steadying: &Steadying) -> Finding {
    let (id, title) = ("steady:rollover", "whole rig against rolling over");
    let Some(roll) = &steadying.rollover else {
        let says = match worked.rig.tare {
            Some(tare) if tare.centre.is_some() => {
                "boat and trailer have their centre of gravity below the ground: a figure is wrong"
            }
            _ => "nobody said what the empty trailer weighs and where",
        };
        return finding(id, Verdict::Unknown, title, says.into()).advising(Sentence::new(
            "give the empty trailer's weight and its centre of gravity in the rig's file",
        ));
    };
    let asked = worked.load.required.steadying.rollover_g;
    let tolerance = roll.leaning_g - roll.worst_g;
    let verdict = match Verdict::at_least(roll.leaning_g, asked, tolerance) {
        Verdict::Clear if worked.hull.centre.is_none() => Verdict::Unknown,
        // With nothing asked too, what rolls over standing still does not stand.
        Verdict::Clear if roll.worst_g < 0.0 => Verdict::Tight,
        verdict => verdict,
    };
    let lifts = if roll.leaning_g < 0.0 {
        Sentence::new("it rolls over standing still")
    } else {
        Sentence::new("inner wheels lift at").figure(Quantity::gravity(roll.leaning_g))
    };
    let says = lifts
        .words("sideways (rigid:")
        .figure(Quantity::gravity(roll.rigid_g))
        .words("); trailer and boat have their centre of gravity at")
        .length(roll.centre_height_m);
    let side = if roll.centre_left_m > 0.0 {
        "left"
    } else {
        "right"
    };
    let says = match roll.centre_left_m.abs() {
        off_m if off_m < 5e-4 => says,
        off_m => says
            .words("and")
            .length(off_m)
            .words(format!("{side} of the middle")),
    };
    let says = says.words("; a swerve needs less");
    let finding = finding(id, verdict, title, says)
        .found(Quantity::gravity(roll.leaning_g))
        .against(Quantity::gravity(asked), Quantity::gravity(tolerance))
        .at(Place::Point(
            Vec3::new(
                worked.rig.axle_middle_x_m(),
                roll.centre_left_m,
                roll.centre_height_m,
            )
            .into(),
        ));
    match verdict {
        Verdict::Clear => finding,
        Verdict::Unknown => finding.advising(Sentence::new(NO_CENTRE)),
        _ => finding.advising(Sentence::new(
            "choose a lower stance or a wider trailer, and take turns slowly",
        )),
    }
}

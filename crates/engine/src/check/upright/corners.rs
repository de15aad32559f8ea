//! What pads must hold at the corners of what may be off.
//!
//! Scaling in proportion is wrong: a heavier boat pushes harder and stands firmer, a higher centre pushes harder and holds no
//! better. So keel and pads are solved anew with weight and its place fore and aft at each of their ends. The rest makes
//! it worse one way only, by how she would go over ([`Over`]), and is taken so at once. Tests of the whole move each of
//! them by itself.

use super::{Stated, pads, solving};
use crate::check::Worked;
use keelstead_boat::profile::Profile;
use keelstead_geometry::math::{Pose, Rot3, Vec3};
use keelstead_load::load::KeelHold;
use keelstead_statics::carrying::{Carried, Carrying};
use keelstead_statics::lateral_stability::{Footing, Pressing, WorstAtCorner};
use keelstead_statics::steadying::Steadying;
use keelstead_units::quantity::STANDARD_GRAVITY;

/// A surface that is off is off over no less than this, and where a pad meets her she is no rounder than a circle of this
/// radius, m: her face there turns by no more than what is off over it. Assumed default.
const WAVE_M: f64 = 0.6;

/// How she would go over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Over {
    /// 1 over the pads that she is pushed to: worse with the centre high and toward them. -1 off those pads, where nothing
    /// holds her keel and it slides under them: worse with the centre low and away.
    toward_push: i8,
    /// 1 where pads meet her with the shortest levers about her keel that they may have, -1 with the longest, which lift her
    /// the less.
    shortest: i8,
}

impl Over {
    /// The ways she may go with her keel held so.
    fn ways(hold: KeelHold) -> impl Iterator<Item = Self> {
        let slides = hold != KeelHold::Chocked;
        let all = [(1, 1), (-1, -1), (-1, 1), (1, -1)].map(|(toward_push, shortest)| Self {
            toward_push,
            shortest,
        });
        all.into_iter().take(if slides { 4 } else { 1 })
    }
}

/// The worst of all corners.
pub(super) struct Worst {
    /// Least acceleration that keel and pads stand, multiples of free fall.
    pub stands_g: f64,
    /// Whether she is held in every push at every corner.
    pub held: bool,
    /// Whether every pad surely stands as it does at each corner: else she is not sure to be held.
    pub pads_sure: bool,
    /// Greatest share of the weight that leans on the pads at rest.
    pub rest_share: f64,
    /// Greatest use of each pad: which, and the use.
    pads: Vec<(usize, f64)>,
}

impl Worst {
    /// Greatest use of a pad, of its rating or of the pressure the hull may take.
    pub fn ratio(&self, pad: usize) -> f64 {
        let of = self.pads.iter().filter(|(which, _)| *which == pad);
        of.map(|(_, ratio)| *ratio).fold(0.0, f64::max)
    }

    /// Why she is not sure to be held at every corner; none if she is.
    pub fn unsure(&self) -> Option<&'static str> {
        if !self.held {
            Some("; off by her tolerances, nothing holds her in one of the pushes")
        } else if !self.pads_sure {
            Some("; more if a pad does not stand as it does here")
        } else {
            None
        }
    }

    /// What stands as stated is the worst where nothing may be off.
    fn as_stated(steadying: &Steadying, pads_sure: bool) -> Self {
        let alone = steadying.pads.is_empty();
        let with_pads_g = steadying.with_pads_g.unwrap_or(0.0);
        Self {
            stands_g: if alone {
                steadying.keel_alone_g
            } else {
                with_pads_g
            },
            held: steadying.pushes.iter().all(|push| push.held),
            pads_sure,
            rest_share: steadying.pad_weight_share_worst,
            pads: steadying
                .pads
                .iter()
                .map(|p| (p.pad, p.use_ratio()))
                .collect(),
        }
    }

    fn take(&mut self, found: Option<&WorstAtCorner>) {
        let Some(found) = found else {
            (self.held, self.stands_g, self.rest_share) = (false, 0.0, 1.0);
            return;
        };
        self.held &= found.held;
        self.stands_g = self.stands_g.min(found.stands_g);
        self.rest_share = self.rest_share.max(found.rest_share);
        self.pads.extend(&found.used);
    }
}

/// How far the centre may be off sideways, m, as she may also be set off the upright; none if nobody said.
pub(super) fn sideways_m(worked: &Worked) -> Option<f64> {
    let off_m = worked.weight.tolerance_y_m?;
    let centre = worked.trailer_from_hull * worked.weight.centre;
    let higher_m = worked.hull.centre.map_or(0.0, |c| c.tolerance.z_m);
    let height_m = (centre.z + higher_m - worked.deviation.keel_m()).max(0.0);
    Some(off_m + worked.load.required.heel_tolerance_rad * height_m)
}

/// The worst of all corners; none if nobody said what she weighs and where it acts.
///
/// `pads_sure` says whether every pad surely stands where it is drawn, `stated` what is found of her as she is said to be.
pub(super) fn worst(
    worked: &Worked,
    carrying: &Carrying,
    profile: Profile,
    pads_sure: bool,
    stated: &Steadying,
) -> Option<Worst> {
    let (mass, centre) = (worked.hull.mass?, worked.hull.centre?);
    let known = mass.tolerance_kg == 0.0 && centre.tolerance.vec() == Vec3::ZERO;
    let stands = worked.hull.shape_tolerance_m == 0.0 && worked.deviation.is_nothing();
    if known && stands {
        return Some(Worst::as_stated(stated, pads_sure));
    }
    let corners = Corners::of(worked, carrying, profile)?;
    let heavier = mass.tolerance_kg / mass.mass_kg;
    // Put elsewhere on her stacks, or bearing elsewhere on them, she loads them as with her centre elsewhere.
    let put_m = centre.tolerance.x_m + worked.load.required.placing_tolerance_m;
    // What bears moves to where she turns down, and so does her weight: only one of the two takes it away from the other.
    let bears_m = worked
        .bearing
        .bearing_moves_m()
        .max(worked.bearing.tilts_m());
    let mut worst = Worst {
        stands_g: f64::INFINITY,
        held: true,
        pads_sure,
        rest_share: 0.0,
        pads: Vec::new(),
    };
    let mut scales = vec![1.0 - heavier, 1.0 + heavier];
    scales.dedup();
    let ways = if put_m + bears_m > 0.0 {
        &[-1.0, 1.0][..]
    } else {
        &[1.0]
    };
    for scale in scales {
        for &way in ways {
            let scale = scale.max(0.01);
            // Whether she tips fore and aft is asked of her balance: up to there she stands, and is to be held upright.
            let forward_m = way * (put_m + bears_m);
            let widths_m = &corners.widths_m;
            let (forward_m, loads) = worked.bearing.loads(scale, forward_m, widths_m);
            for loads in loads {
                let Some(loads) = loads else {
                    worst.take(None);
                    continue;
                };
                for over in Over::ways(worked.load.required.steadying.keel_hold) {
                    for pads in &corners.pads {
                        let stated = corners.at((scale, forward_m, over), &loads, pads);
                        let found = solving(worked, &stated, |u| u.at_corner(worst.stands_g));
                        worst.take(found.as_ref());
                    }
                }
            }
        }
    }
    Some(worst)
}

/// What every corner takes from her as she is said to be.
struct Corners<'a> {
    carrying: &'a Carrying,
    profile: Profile,
    profile_centre: Vec3,
    /// The boat's own weight, N, where it acts, and how far up and sideways that may be off, m. Trailer frame.
    own_n: f64,
    own: Vec3,
    higher_m: f64,
    sideways_m: f64,
    /// Width that the keel surely bears over on each support, m.
    widths_m: Vec<f64>,
    /// For each way she may be trimmed, which moves some pads up her side and others down, each pad wherever it may meet her.
    pads: Vec<Vec<Vec<Pressing>>>,
}

impl<'a> Corners<'a> {
    /// None if nobody said what she weighs and where it acts.
    fn of(worked: &Worked, carrying: &'a Carrying, profile: Profile) -> Option<Self> {
        let (mass, centre) = (worked.hull.mass?, worked.hull.centre?);
        let supports = carrying.supports.iter().enumerate();
        let width_m = |(i, carried): (usize, &Carried)| {
            let least = worked.bearing.least_width_m(i);
            least.unwrap_or(carried.bearing_spread_m)
        };
        Some(Self {
            carrying,
            profile,
            profile_centre: worked.trailer_from_hull * profile.centroid.vec(),
            own_n: mass.mass_kg * STANDARD_GRAVITY,
            own: worked.trailer_from_hull * centre.at.vec(),
            higher_m: centre.tolerance.z_m,
            sideways_m: sideways_m(worked)?,
            widths_m: supports.map(width_m).collect(),
            pads: may_meet(worked),
        })
    }

    /// Where the weight acts, what carries it and what steadies it, with the boat's own weight scaled and moved forward, and
    /// its centre as high and toward the push, or as low and away from it, as it may be. Where the hull may stand otherwise
    /// is in where the pads meet her.
    fn at(
        &self,
        (scale, forward_m, over): (f64, f64, Over),
        loads: &[f64],
        pads: &[Vec<Pressing>],
    ) -> Stated {
        let (carrying, own_n, toward) = (self.carrying, self.own_n, f64::from(over.toward_push));
        let weight_n = carrying.weight_n + (scale - 1.0) * own_n;
        // Moment of what the load adds stays; the boat's own goes with its weight and its place.
        let extras = carrying.centre.vec() * carrying.weight_n - self.own * own_n;
        let off = Vec3::new(forward_m, 0.0, toward * self.higher_m);
        let footings = Footing::with_loads(carrying, loads, &self.widths_m);
        let keel = footings.iter().map(|f| f.at).sum::<Vec3>() / footings.len().max(1) as f64;
        let lever = |pad: &Pressing| (pad.at - keel).cross(pad.normal).x.abs();
        let extreme = |may_meet: &Vec<Pressing>| {
            let levers = may_meet
                .iter()
                .map(|p| (f64::from(over.shortest) * lever(p), *p));
            let least = levers.min_by(|a, b| a.0.total_cmp(&b.0))?;
            Some(least.1)
        };
        Stated {
            weight_n,
            centre: (extras + (self.own + off) * own_n * scale) / weight_n,
            toward_push_m: toward * self.sideways_m,
            pads: pads.iter().filter_map(extreme).collect(),
            footings,
            profile: self.profile,
            profile_centre: self.profile_centre,
        }
    }
}

/// Each pad wherever it may meet her as she may be put and heeled, for each way she may be trimmed, and as she is drawn.
fn may_meet(worked: &Worked) -> Vec<Vec<Vec<Pressing>>> {
    let pads = pads(worked);
    let middle_x_m = pads.iter().map(|p| p.at.x).sum::<f64>() / pads.len().max(1) as f64;
    let trims = worked.deviation.trims(middle_x_m).into_iter();
    let trimmed = trims.map(|sinkage| {
        let poses = worked.deviation.put_sunk(sinkage);
        let meets = |pad: &Pressing| {
            let arm = worked.pads[pad.pad].direction;
            let met = |pose: &Pose| met(worked, *pad, arm, *pose * pad.at - pad.at);
            poses.iter().flat_map(met).collect()
        };
        pads.iter().map(meets).collect()
    });
    // As they are drawn too: a pad that presses nearly toward her keel may have no arm about it at a corner, and spares the
    // others there what it has as she is drawn.
    let as_drawn = pads.iter().map(|pad| vec![*pad]).collect();
    trimmed.chain([as_drawn]).collect()
}

/// A pad where it meets her, as seen from her, where she has moved there by so much: it goes along its arm until it touches
/// her again. Its face turned either way by what her shape and heel may be off, and her being round.
fn met(worked: &Worked, pad: Pressing, arm: Vec3, moved: Vec3) -> [Pressing; 2] {
    let pace = arm.dot(pad.normal);
    let along = if pace.abs() < 0.1 {
        Vec3::ZERO
    } else {
        arm * (moved.dot(pad.normal) / pace)
    };
    let slides = along - moved;
    let off = (worked.hull.shape_tolerance_m + slides.length()) / WAVE_M
        + worked.load.required.heel_tolerance_rad;
    [-off, off].map(|by| Pressing {
        at: pad.at + slides,
        normal: Rot3::from_rotation_x(by) * pad.normal,
        ..pad
    })
}

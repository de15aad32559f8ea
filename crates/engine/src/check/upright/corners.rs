//! What pads must hold at the corners of what may be off.
//!
//! Scaling in proportion is wrong: a heavier boat pushes harder and stands firmer, a higher centre pushes harder and holds no
//! better. So keel and pads are solved anew with weight and its place fore and aft at each of their ends. The rest only
//! ever makes it worse one way, and is taken so at once: the centre as high as it may be and toward the side she is pushed
//! to, the keel as high as it may stand between pads that stay where they are, and every pad's face turned so that it
//! holds with the shorter lever. Tests of the whole move each of them by itself.

use super::{Stated, pads, solved};
use crate::check::Worked;
use crate::findings::{Carrying, Steadying};
use crate::math::{Rot3, STANDARD_GRAVITY, Vec3};
use crate::profile::Profile;
use crate::upright::{Footing, Pressing};

/// A surface that is off is off over no less than this, and where a pad meets her she is no rounder than a circle of this
/// radius, m: her face there turns by no more than what is off over it. Assumed default.
const WAVE_M: f64 = 1.0;

/// The worst of all corners.
pub(super) struct Worst {
    /// Least acceleration that keel and pads stand, multiples of free fall.
    pub stands_g: f64,
    /// Whether she is held in every push at every corner.
    pub held: bool,
    /// Greatest use of each pad: which, and the use.
    pads: Vec<(usize, f64)>,
}

impl Worst {
    /// Greatest use of a pad, of its rating or of the pressure the hull may take.
    pub fn ratio(&self, pad: usize) -> f64 {
        let of = self.pads.iter().filter(|(which, _)| *which == pad);
        of.map(|(_, ratio)| *ratio).fold(0.0, f64::max)
    }

    /// The same where it is sure, or not, that every pad stands as it does at each corner: else she is not sure to be held.
    pub fn with_pads(self, sure: bool) -> Self {
        Self {
            held: self.held && sure,
            ..self
        }
    }

    fn take(&mut self, found: Option<&Steadying>) {
        let Some(found) = found else {
            (self.held, self.stands_g) = (false, 0.0);
            return;
        };
        self.held &= found.pushes.iter().all(|push| push.held);
        let alone = found.pads.is_empty().then_some(found.keel_alone_g);
        if let Some(stands) = alone.or(found.with_pads_g) {
            self.stands_g = self.stands_g.min(stands);
        }
        let used = found.pads.iter();
        self.pads
            .extend(used.map(|p| (p.pad, p.rating_ratio.unwrap_or(0.0).max(p.pressure_ratio))));
    }
}

/// How far the centre may be off sideways, m, as she may also be set off the upright; none if nobody said.
pub(super) fn sideways_m(worked: &Worked) -> Option<f64> {
    let off_m = worked.weight.tolerance_y_m?;
    let centre = worked.trailer_from_hull * worked.weight.centre;
    let height_m = (centre.z - worked.deviation.keel_m()).max(0.0);
    Some(off_m + worked.load.required.heel_tolerance_rad * height_m)
}

/// The worst of all corners; none if nobody said what she weighs and where it acts.
pub(super) fn worst(worked: &Worked, carrying: &Carrying, profile: Profile) -> Option<Worst> {
    let (mass, centre) = (worked.hull.mass?, worked.hull.centre?);
    let heavier = mass.tolerance_kg / mass.mass_kg;
    let sideways_m = sideways_m(worked)?;
    let mut worst = Worst {
        stands_g: f64::INFINITY,
        held: true,
        pads: Vec::new(),
    };
    for scale in [1.0 - heavier, 1.0 + heavier] {
        for forward_m in [-centre.tolerance.x_m, centre.tolerance.x_m] {
            let scale = scale.max(0.01);
            for loads in worked.bearing.loads(scale, forward_m) {
                // Where she tips nothing holds her.
                let found = loads.and_then(|loads| {
                    let stated = at_corner(worked, carrying, profile, (scale, forward_m), &loads);
                    let stated = Stated {
                        toward_push_m: sideways_m,
                        ..stated
                    };
                    solved(worked, &stated)
                });
                worst.take(found.as_ref());
            }
        }
    }
    Some(worst)
}

/// Where the weight acts, what carries it and what steadies it, with the boat's own weight scaled and moved forward, its
/// centre as high as it may be, the keel as high as it may stand.
fn at_corner(
    worked: &Worked,
    carrying: &Carrying,
    profile: Profile,
    (scale, forward_m): (f64, f64),
    loads: &[f64],
) -> Stated {
    let own_n = worked.hull.mass.map_or(0.0, |m| m.mass_kg) * STANDARD_GRAVITY;
    let own_centre = worked
        .hull
        .centre
        .map_or(worked.weight.centre, |c| c.at.vec());
    let higher_m = worked.hull.centre.map_or(0.0, |c| c.tolerance.z_m);
    let weight_n = carrying.weight_n + (scale - 1.0) * own_n;
    // Moment of what the load adds stays; the boat's own goes with its weight and its place.
    let own = worked.trailer_from_hull * own_centre;
    let extras = carrying.centre.vec() * carrying.weight_n - own * own_n;
    let off = Vec3::new(forward_m, 0.0, higher_m);
    let rises_m = |at: Vec3| worked.deviation.along(at, Vec3::Z);
    let centre = (extras + (own + off) * own_n * scale) / weight_n;
    let raised = |at: Vec3| at + Vec3::Z * rises_m(at);
    let narrow: Vec<f64> = (carrying.supports.iter().enumerate())
        .map(|(i, c)| {
            worked
                .bearing
                .least_width_m(i)
                .unwrap_or(c.bearing_spread_m)
        })
        .collect();
    let footings = Footing::with_loads(carrying, loads, &narrow);
    let footings: Vec<Footing> = footings
        .into_iter()
        .map(|f| Footing {
            at: raised(f.at),
            ..f
        })
        .collect();
    let keel = footings.iter().map(|f| f.at).sum::<Vec3>() / footings.len().max(1) as f64;
    let pads = pads(worked).into_iter();
    Stated {
        weight_n,
        centre: raised(centre),
        toward_push_m: 0.0,
        pads: pads.map(|pad| turned(worked, pad, keel)).collect(),
        footings,
        profile,
        profile_centre: raised(worked.trailer_from_hull * profile.centroid.vec()),
    }
}

/// The pad with its face turned, by what shape and heel may be off, to the side on which its lever about the keel is
/// shorter.
fn turned(worked: &Worked, pad: Pressing, keel: Vec3) -> Pressing {
    // As she moves the pad meets another place of her round bilge.
    let moves_m = worked.deviation.any_way(pad.at);
    let off = (worked.hull.shape_tolerance_m + moves_m) / WAVE_M
        + worked.load.required.heel_tolerance_rad;
    let lever = |normal: Vec3| (pad.at - keel).cross(normal).x.abs();
    let either = [-off, off].map(|by| Rot3::from_rotation_x(by) * pad.normal);
    let shorter = if lever(either[0]) < lever(either[1]) {
        either[0]
    } else {
        either[1]
    };
    Pressing {
        normal: shorter,
        ..pad
    }
}

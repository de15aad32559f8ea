//! What holds the boat upright: pads in turns, on slopes and in wind, and the rig's own wheels.
//!
//! The hull is a rigid body on its keel, both edges of every stack that carries, and on the pads
//! that touch, each at its real point and angle ([`hold`]). Pads are run out until they touch while
//! she is held upright, on every stack; what they press is what a push asks of them, and what her
//! weight beside the keel leans on them. Chocks hold her sideways; that she stands by herself, only
//! the edges of her keel can do. As pads give, her weight leans over with her. Forces fore and aft
//! are left out: chocks and tie-downs hold those.

pub mod hold;
mod pushes;
mod rollover;

use crate::carrying::Carrying;
use crate::steadying::Steadying;
use hold::{Contact, Wrench};
use keelstead_boat::profile::Profile;
use keelstead_geometry::math::Vec3;
use keelstead_load::load::{KeelHold, SteadyingLimits};
use pushes::Solving;

pub use rollover::{Wheels, rollover_g};

/// Density of the air in a wind, kg/m³: 15 °C at sea level (check-values.md 7).
pub const AIR_KG_PER_M3: f64 = 1.225;

/// Stiffness of a pad whose rig gives none, N/m. Assumed default; with equal pads it changes little.
pub const PAD_STIFFNESS_N_PER_M: f64 = 1.0e6;

/// A keel on one of its stacks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Footing {
    /// Middle of where it bears. Trailer frame.
    pub at: Vec3,
    /// Width it bears over, m.
    pub width_m: f64,
    /// Load at rest, N.
    pub load_n: f64,
    /// Stiffness, N/m.
    pub stiffness_n_per_m: f64,
}

impl Footing {
    /// The keel on each support that carries.
    pub fn of(carrying: &Carrying) -> Vec<Self> {
        let each = || carrying.supports.iter();
        let loads: Vec<f64> = each().map(|c| c.load_n).collect();
        let widths: Vec<f64> = each().map(|c| c.bearing_spread_m).collect();
        Self::with_loads(carrying, &loads, &widths)
    }

    /// The same with other loads, N, and widths, m, in the order of the supports.
    pub fn with_loads(carrying: &Carrying, loads: &[f64], widths_m: &[f64]) -> Vec<Self> {
        (carrying.supports.iter().zip(loads.iter().zip(widths_m)))
            .filter(|(c, (load, _))| **load > 0.0 && c.gap_m.is_some())
            .map(|(c, (load, width_m))| Self {
                at: c.force.at.vec(),
                width_m: *width_m,
                load_n: *load,
                stiffness_n_per_m: c.stiffness_n_per_m,
            })
            .collect()
    }

    /// How far it gives at rest, m.
    fn given_m(&self) -> f64 {
        self.load_n / self.stiffness_n_per_m
    }
}

/// A pad that touches the hull.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pressing {
    /// Which pad of the rig.
    pub pad: usize,
    /// Where it touches. Trailer frame.
    pub at: Vec3,
    /// Which way it presses on the hull: the hull's inward normal there, unit length.
    pub normal: Vec3,
    /// Face, m².
    pub area_m2: f64,
    /// Greatest push the maker allows, N.
    pub rating_n: Option<f64>,
    /// Stiffness, N/m.
    pub stiffness_n_per_m: f64,
}

/// A boat on her keel between pads.
#[derive(Debug, Clone, PartialEq)]
pub struct SteadiedBoat<'a> {
    /// Weight, N.
    pub weight_n: f64,
    /// Where it acts. Trailer frame.
    pub centre: Vec3,
    /// How far that may be off sideways, m; none if nobody said.
    pub tolerance_y_m: Option<f64>,
    /// How far it lies toward the side that she is pushed to, m, beyond where it is said to be: nought but at a corner of
    /// what may be off.
    pub toward_push_m: f64,
    /// The stacks that carry.
    pub footings: &'a [Footing],
    /// The pads that touch.
    pub pads: &'a [Pressing],
    /// How many pads the rig has.
    pub pad_count: usize,
    /// Lateral profile. Hull frame.
    pub profile: Profile,
    /// Middle of the profile. Trailer frame.
    pub profile_centre: Vec3,
    /// The trailer.
    pub wheels: Wheels<'a>,
    /// Friction of the keel on its blocks.
    pub keel_friction: f64,
    /// What is asked.
    pub asked: SteadyingLimits,
}

/// What is worst of keel and pads at a corner of what may be off.
#[derive(Debug, Clone, PartialEq)]
pub struct WorstAtCorner {
    /// Whether she is held in every push asked.
    pub held: bool,
    /// Acceleration that keel and pads stand, multiples of free fall, if that is less than elsewhere; else that of elsewhere.
    pub stands_g: f64,
    /// Greatest share of the weight that leans on the pads at rest.
    pub rest_share: f64,
    /// Use of each pad, of its rating or of the pressure the hull may take: which pad of the rig, and the greatest ratio.
    pub used: Vec<(usize, f64)>,
}

/// Stagnation pressure of a wind, Pa: half the density times the speed squared.
pub fn stagnation_pa(wind_m_s: f64) -> f64 {
    AIR_KG_PER_M3 * wind_m_s * wind_m_s / 2.0
}

impl SteadiedBoat<'_> {
    /// What pads and wheels must hold; none if nothing carries the hull.
    pub fn solve(&self) -> Option<Steadying> {
        let rollover = self.wheels.rollover(self.asked.roll_rad_per_g);
        Some(self.solving()?.steadying(rollover))
    }

    /// What of it is worst at a corner of what may be off, where elsewhere keel and pads stand `stands_g`, multiples of free
    /// fall; none if nothing carries the hull.
    pub fn at_corner(&self, stands_g: f64) -> Option<WorstAtCorner> {
        Some(self.solving()?.at_corner(stands_g))
    }

    /// Keel and pads ready to be pushed; none if nothing carries her.
    fn solving(&self) -> Option<Solving<'_>> {
        let carried = !self.footings.is_empty() && self.weight_n > 0.0;
        carried.then(|| Solving::new(self))
    }

    /// Middle of the footings: what the body turns about.
    fn origin(&self) -> Vec3 {
        let sum: Vec3 = self.footings.iter().map(|f| f.at).sum();
        sum / self.footings.len() as f64
    }

    /// Both edges of the keel on every stack, each half as stiff as the stack.
    ///
    /// A gap as large as the support has given less than the softest would: so that at rest each
    /// carries its load of the plane problem.
    fn edges(&self, origin: Vec3) -> Vec<Contact> {
        let most = self.most_given();
        let friction = match self.asked.keel_hold {
            KeelHold::Friction => self.keel_friction,
            KeelHold::Chocked | KeelHold::Nothing => 0.0,
        };
        let mut contacts = Vec::with_capacity(4 * self.footings.len());
        for f in self.footings {
            let contact = |at: Vec3, normal: Vec3, gap_m: f64, friction: f64| Contact {
                at: at - origin,
                normal,
                gap_m,
                stiffness_n_per_m: f.stiffness_n_per_m / 2.0,
                friction,
            };
            let edge = |side: f64| {
                let at = f.at + Vec3::Y * (side * f.width_m);
                contact(at, Vec3::Z, most - f.given_m(), friction)
            };
            contacts.extend([edge(-0.5), edge(0.5)]);
            if self.asked.keel_hold == KeelHold::Chocked {
                // All at one height: chocks of unlike height would hold her up by a couple that nobody can vouch for.
                let at = Vec3 {
                    z: origin.z,
                    ..f.at
                };
                contacts.extend([Vec3::Y, Vec3::NEG_Y].map(|n| contact(at, n, 0.0, 0.0)));
            }
        }
        contacts
    }

    fn most_given(&self) -> f64 {
        let given = self.footings.iter().map(Footing::given_m);
        given.fold(0.0, f64::max)
    }

    fn pad_contact(&self, pad: &Pressing, origin: Vec3) -> Contact {
        Contact {
            at: pad.at - origin,
            normal: pad.normal,
            gap_m: 0.0,
            stiffness_n_per_m: pad.stiffness_n_per_m,
            friction: self.asked.pad_friction,
        }
    }

    /// The weight with its centre `off_m` to the left of where it is said to be.
    fn rest(&self, off_m: f64, origin: Vec3) -> Wrench {
        let at = self.centre + Vec3::Y * off_m - origin;
        Wrench::of(Vec3::NEG_Z * self.weight_n, at)
    }

    /// Lateral acceleration that the keel alone stands, in multiples of free fall: how far the
    /// centre lies inside the narrowest keel, over its height.
    fn keel_alone_g(&self) -> f64 {
        let stands = |f: &Footing| {
            let inside = f.width_m / 2.0 - (self.centre.y - f.at.y).abs();
            inside / (self.centre.z - f.at.z).max(1e-3)
        };
        self.footings
            .iter()
            .map(stands)
            .fold(f64::MAX, f64::min)
            .max(0.0)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;

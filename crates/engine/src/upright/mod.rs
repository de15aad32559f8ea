//! What holds the boat upright: pads in turns, on slopes and in wind, and the rig's own wheels.
//!
//! The hull is a rigid body on its keel, both edges of every stack that carries, and on the pads
//! that touch, each at its real point and angle ([`hold`]). At rest, pads are run out until they
//! touch and press no more than that; what they press beyond is what a push asks of them. Forces
//! fore and aft are left out: chocks and tie-downs hold those. That the weight itself leans over as
//! the pads give is left out too: it is a few hundredths of the push.

pub mod hold;

use crate::findings::{Force, PadLoad, Push, PushKind, Rollover, Side, Steadying};
use crate::load::{KeelHold, SteadyingAsked};
use crate::math::{Point, STANDARD_GRAVITY, Vec3};
use crate::profile::Profile;
use hold::{Body, Contact, Held, Motion, Wrench};

/// Density of the air in a wind, kg/m³: 15 °C at sea level (check-values.md 7).
pub const AIR_KG_PER_M3: f64 = 1.225;

/// Stiffness of a pad whose rig gives none, N/m. Assumed default; with equal pads it changes little.
pub const PAD_STIFFNESS_N_PER_M: f64 = 1.0e6;

/// Lean of a suspension too soft to hold the load up at all, rad per free fall.
const FALLS_OVER: f64 = 1.0e6;

/// Most guesses at the acceleration the pads stand.
const GUESSES: usize = 16;

/// How exactly it is found, in multiples of free fall.
const G_STEP: f64 = 0.002;

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

/// The whole rig against rolling over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wheels {
    /// Mass of the empty trailer, kg.
    pub tare_kg: f64,
    /// Its centre of gravity. Trailer frame.
    pub tare_centre: Vec3,
    /// Narrowest track of its axles, m.
    pub track_m: f64,
    /// Roll stiffness of the suspension, N·m/rad; none if unknown.
    pub roll_stiffness_nm_per_rad: Option<f64>,
}

/// A boat on her keel between pads.
#[derive(Debug, Clone, PartialEq)]
pub struct Upright<'a> {
    /// Weight, N.
    pub weight_n: f64,
    /// Where it acts. Trailer frame.
    pub centre: Vec3,
    /// How far that may be off sideways, m; none if nobody said.
    pub tolerance_y_m: Option<f64>,
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
    pub wheels: Wheels,
    /// Friction of the keel on its blocks.
    pub keel_friction: f64,
    /// What is asked.
    pub asked: SteadyingAsked,
}

/// Stagnation pressure of a wind, Pa: half the density times the speed squared.
pub fn stagnation_pa(wind_m_s: f64) -> f64 {
    AIR_KG_PER_M3 * wind_m_s * wind_m_s / 2.0
}

/// Lateral acceleration at which the inner wheels lift, in multiples of free fall: T / 2h for a
/// rigid rig, less as its suspension leans by `lean_rad_per_g`.
///
/// With a lean the weight moves out by `lean` times the height for every multiple of free fall, so
/// that a h + a lean h = T / 2.
pub fn rollover_g(track_m: f64, height_m: f64, lean_rad_per_g: f64) -> f64 {
    track_m / (2.0 * height_m) / (1.0 + lean_rad_per_g)
}

impl Wheels {
    /// How far the sprung weight leans for a lateral acceleration of one free fall, rad; the
    /// setting where the stiffness is unknown.
    ///
    /// The axles' roll axis is taken on the ground: the lever is then longest.
    pub fn lean_rad_per_g(&self, moment_nm: f64, otherwise: f64) -> f64 {
        match self.roll_stiffness_nm_per_rad {
            // The leaning weight helps itself along: K φ = a W h + W h φ.
            Some(k) if k > moment_nm => moment_nm / (k - moment_nm),
            Some(_) => FALLS_OVER,
            None => otherwise,
        }
    }
}

struct Solving<'a> {
    upright: &'a Upright<'a>,
    /// Keel and pads; pads last.
    body: Body,
    edges: usize,
    origin: Vec3,
    at_rest: Motion,
    lean_rad_per_g: f64,
}

impl Upright<'_> {
    /// What pads and wheels must hold; none if nothing carries the hull.
    pub fn solve(&self) -> Option<Steadying> {
        if self.footings.is_empty() || self.weight_n.is_nan() || self.weight_n <= 0.0 {
            return None;
        }
        let rollover = self.rollover();
        let origin = self.origin();
        let edges = self.edges(origin);
        let keel = Body::new(&edges);
        let upright = keel.hold(self.rest(0.0, origin), &[0.0; 5]);
        // Where the keel alone does not hold it, it comes straight down as far as its softest support.
        let sunk = [0.0, -self.most_given(), 0.0, 0.0, 0.0];
        let at_rest = upright.as_ref().map_or(sunk, |held| held.motion);
        let mut contacts = edges.clone();
        contacts.extend(self.pads.iter().map(|pad| {
            let mut contact = self.pad_contact(pad, origin);
            let row = Wrench::of(contact.normal, contact.at).0;
            // Run out until it touches the hull where it rests.
            contact.gap_m = -row.iter().zip(&at_rest).map(|(a, b)| a * b).sum::<f64>();
            contact
        }));
        let (_, rigid) = self.moment();
        let solving = Solving {
            upright: self,
            body: Body::new(&contacts),
            edges: edges.len(),
            origin,
            at_rest,
            lean_rad_per_g: self.wheels.lean_rad_per_g(rigid, self.asked.roll_rad_per_g),
        };
        Some(solving.steadying(&keel, upright.is_some(), rollover))
    }

    /// Height of the common centre of gravity, m, and weight times it, N·m.
    fn moment(&self) -> (f64, f64) {
        let tare_n = self.wheels.tare_kg * STANDARD_GRAVITY;
        let moment = self.weight_n * self.centre.z + tare_n * self.wheels.tare_centre.z;
        (moment / (self.weight_n + tare_n), moment)
    }

    fn rollover(&self) -> Rollover {
        let (height, moment) = self.moment();
        let lean = self
            .wheels
            .lean_rad_per_g(moment, self.asked.roll_rad_per_g);
        let track_m = self.wheels.track_m;
        Rollover {
            rigid_g: rollover_g(track_m, height, 0.0),
            leaning_g: rollover_g(track_m, height, lean),
            centre_height_m: height,
            track_m,
        }
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
                contacts.extend([Vec3::Y, Vec3::NEG_Y].map(|n| contact(f.at, n, 0.0, 0.0)));
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

impl Solving<'_> {
    /// Sideways force and lean of a push.
    fn push(&self, kind: PushKind) -> (f64, f64, Vec3) {
        let (u, asked) = (self.upright, &self.upright.asked);
        let by_weight = |g: f64| (u.weight_n * g, self.lean_rad_per_g * g, u.centre);
        match kind {
            PushKind::WorkingTurn => by_weight(asked.working_lateral_g),
            PushKind::Turn => by_weight(asked.lateral_g),
            PushKind::CrossSlope => by_weight(asked.cross_slope_rad.sin()),
            PushKind::Wind => {
                let pressure = stagnation_pa(asked.wind_m_s) * asked.wind_coefficient;
                let force = pressure * u.profile.area_m2;
                (
                    force,
                    self.lean_rad_per_g * force / u.weight_n,
                    u.profile_centre,
                )
            }
        }
    }

    /// The hull pushed to the left (`side` 1) or right (−1) by a force at a place, its suspension
    /// leaning the same way; the search starts at `from`.
    fn pushed(
        &self,
        side: f64,
        (force_n, lean_rad, at): (f64, f64, Vec3),
        from: &Motion,
    ) -> Option<Held> {
        let u = self.upright;
        // As seen from the leaning frame the weight has a part sideways.
        let (sin, cos) = lean_rad.min(1.5).sin_cos();
        let weight = Vec3::new(0.0, side * u.weight_n * sin, -u.weight_n * cos);
        let load = Wrench::of(weight, u.centre - self.origin)
            .and(Wrench::of(Vec3::Y * (side * force_n), at - self.origin));
        self.body.hold(load, from)
    }

    fn pad_forces<'h>(&self, held: &'h Held) -> &'h [Vec3] {
        &held.forces[self.edges..]
    }

    /// Share of the weight on the pads with the centre `off_m` to the left; one if nothing holds.
    fn pad_share(&self, off_m: f64) -> (f64, Vec<f64>) {
        let u = self.upright;
        match self.body.hold(u.rest(off_m, self.origin), &self.at_rest) {
            Some(held) => {
                let forces = self.pad_forces(&held);
                let upright: f64 = forces.iter().map(|f| f.z.max(0.0)).sum();
                let sizes = forces.iter().map(|f| f.length()).collect();
                (upright / u.weight_n, sizes)
            }
            None => (1.0, vec![0.0; u.pads.len()]),
        }
    }

    fn steadying(&self, keel: &Body, on_keel: bool, rollover: Rollover) -> Steadying {
        let u = self.upright;
        let mut pushes = Vec::with_capacity(8);
        // Each push starts where the last one to its side ended: the contacts are mostly the same.
        let (mut left, mut right) = (self.at_rest, self.at_rest);
        let mut pads: Vec<PadLoad> = u.pads.iter().map(|p| self.unpressed(p)).collect();
        for kind in [
            PushKind::WorkingTurn,
            PushKind::Turn,
            PushKind::CrossSlope,
            PushKind::Wind,
        ] {
            let (force_n, lean_rad, at) = self.push(kind);
            for (to, side, from) in [
                (Side::Left, 1.0, &mut left),
                (Side::Right, -1.0, &mut right),
            ] {
                let held = self.pushed(side, (force_n, lean_rad, at), from);
                let mut pads_n = Vec::new();
                if let Some(held) = &held {
                    *from = held.motion;
                    pads_n = vec![0.0; u.pad_count];
                    let forces = self.pad_forces(held);
                    for (load, (pad, force)) in pads.iter_mut().zip(u.pads.iter().zip(forces)) {
                        pads_n[pad.pad] = force.length();
                        load.take(pad, *force, pushes.len(), &u.asked);
                    }
                }
                pushes.push(Push {
                    kind,
                    to,
                    force_n,
                    lean_rad,
                    held: held.is_some(),
                    pads_n,
                });
            }
        }
        let (rest_share, rest_n) = if on_keel {
            (0.0, vec![0.0; u.pads.len()])
        } else {
            self.pad_share(0.0)
        };
        for (load, rest) in pads.iter_mut().zip(&rest_n) {
            load.rest_n = *rest;
        }
        Steadying {
            pushes,
            pads,
            keel_alone_g: u.keel_alone_g(),
            with_pads_g: self.with_pads_g(),
            pad_weight_share: rest_share,
            pad_weight_share_worst: self.worst_share(keel).max(rest_share),
            rests: on_keel || rest_share < 1.0,
            profile_area_m2: u.profile.area_m2,
            stagnation_pa: stagnation_pa(u.asked.wind_m_s),
            rollover,
        }
    }

    fn unpressed(&self, pad: &Pressing) -> PadLoad {
        PadLoad {
            pad: pad.pad,
            most_n: 0.0,
            push: None,
            force: Force {
                at: Point::from(pad.at),
                x_n: 0.0,
                y_n: 0.0,
                z_n: 0.0,
            },
            rest_n: 0.0,
            rating_ratio: pad.rating_n.map(|_| 0.0),
            pressure_ratio: 0.0,
        }
    }

    /// Largest share of the weight on the pads with the centre at either side of its tolerance.
    fn worst_share(&self, keel: &Body) -> f64 {
        let off = self.upright.tolerance_y_m.unwrap_or(0.0);
        [-off, off]
            .into_iter()
            .filter(|off| {
                let load = self.upright.rest(*off, self.origin);
                keel.hold(load, &self.at_rest).is_none()
            })
            .map(|off| self.pad_share(off).0)
            .fold(0.0, f64::max)
    }

    /// Lateral acceleration up to which the hull is held and no pad passes its rating.
    ///
    /// Forces grow in straight pieces with the push, so that the next guess follows from the last
    /// use of the ratings; where a guess leaves the bracket it is halved.
    fn with_pads_g(&self) -> Option<f64> {
        let u = self.upright;
        if u.pads.is_empty() || u.pads.iter().any(|p| p.rating_n.is_none()) {
            return None;
        }
        let mut from = [self.at_rest; 2];
        let (mut low, mut high) = (0.0, Steadying::MOST_G);
        let mut guess = high;
        for _ in 0..GUESSES {
            let used = self.used(guess, &mut from);
            match used {
                Some(used) if used <= 1.0 => low = guess,
                _ => high = guess,
            }
            if high - low <= G_STEP || low >= Steadying::MOST_G {
                break;
            }
            // A hair to the far side of where the rating seems to be, so that the bracket closes.
            guess = used
                .map(|used| guess / used + (if used > 1.0 { -0.4 } else { 0.4 }) * G_STEP)
                .filter(|g| *g > low && *g < high)
                .unwrap_or((low + high) / 2.0);
        }
        Some(low)
    }

    /// Greatest use of a pad's rating in a turn of `g` to either side; none if the hull is not held.
    fn used(&self, g: f64, from: &mut [Motion; 2]) -> Option<f64> {
        let u = self.upright;
        let push = (u.weight_n * g, self.lean_rad_per_g * g, u.centre);
        let mut most: f64 = 0.0;
        for (side, from) in [1.0, -1.0].into_iter().zip(from) {
            let held = self.pushed(side, push, from)?;
            *from = held.motion;
            for (force, pad) in self.pad_forces(&held).iter().zip(u.pads) {
                most = most.max(force.length() / pad.rating_n?);
            }
        }
        Some(most)
    }
}

impl PadLoad {
    /// Takes a force on the pad in a push, if it is the greatest yet.
    fn take(&mut self, pad: &Pressing, force: Vec3, push: usize, asked: &SteadyingAsked) {
        let size = force.length();
        if size <= self.most_n {
            return;
        }
        self.most_n = size;
        self.push = Some(push);
        (self.force.x_n, self.force.y_n, self.force.z_n) = (force.x, force.y, force.z);
        self.rating_ratio = pad.rating_n.map(|most| size / most);
        self.pressure_ratio = size / pad.area_m2 / asked.hull_pressure_pa;
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    const WEIGHT_N: f64 = 50_000.0;

    /// A keel 0.02 m wide on two stacks, its weight 1.5 m above them.
    fn footings() -> [Footing; 2] {
        [-2.0, 2.0].map(|x| Footing {
            at: Vec3::new(x, 0.0, 0.0),
            width_m: 0.02,
            load_n: WEIGHT_N / 2.0,
            stiffness_n_per_m: 1.0e7,
        })
    }

    /// A pad on each side at both ends, 1 m up, pressing level.
    fn pads(rating_n: Option<f64>) -> Vec<Pressing> {
        let mut pads = Vec::new();
        for x in [-2.0, 2.0] {
            for side in [1.0, -1.0] {
                pads.push(Pressing {
                    pad: pads.len(),
                    at: Vec3::new(x, side, 1.0),
                    normal: Vec3::new(0.0, -side, 0.0),
                    area_m2: 0.1,
                    rating_n,
                    stiffness_n_per_m: 1.0e6,
                });
            }
        }
        pads
    }

    fn upright<'a>(footings: &'a [Footing], pads: &'a [Pressing]) -> Upright<'a> {
        Upright {
            weight_n: WEIGHT_N,
            centre: Vec3::new(0.0, 0.0, 1.5),
            tolerance_y_m: Some(0.0),
            footings,
            pads,
            pad_count: pads.len(),
            profile: Profile {
                area_m2: 20.0,
                centroid: Point::new(0.0, 0.0, 1.2),
            },
            profile_centre: Vec3::new(0.0, 0.0, 1.2),
            wheels: Wheels {
                tare_kg: 5_000.0,
                tare_centre: Vec3::new(0.0, 0.0, 0.6),
                track_m: 2.2,
                roll_stiffness_nm_per_rad: None,
            },
            keel_friction: 0.3,
            asked: SteadyingAsked {
                keel_hold: KeelHold::Chocked,
                roll_rad_per_g: 0.0,
                ..SteadyingAsked::default()
            },
        }
    }

    #[test]
    fn pads_hold_the_moment_about_a_chocked_keel() {
        let (footings, pads) = (footings(), pads(Some(40_000.0)));
        let found = upright(&footings, &pads).solve().unwrap();
        // By hand, about the keel: two pads of 1 MN/m at 1 m and the keel's four edges of 5 MN/m at
        // 10 mm, 2 kN·m/rad, hold 25 kN at 1.5 m.
        let each = 25_000.0 * 1.5 / (2.0 + 4.0 * 5.0e6 * 0.01 * 0.01 / 1.0e6);
        let most = found.pads.iter().map(|p| p.most_n).fold(0.0, f64::max);
        assert!((most - each).abs() < 5.0, "{most} for {each}");
        assert!(found.pushes.iter().all(|p| p.held));
        // The pad away from the push does nothing.
        let turn = found
            .pushes
            .iter()
            .find(|p| p.kind == PushKind::Turn && p.to == Side::Left)
            .unwrap();
        assert!(turn.pads_n[0] > 0.0 && turn.pads_n[1] == 0.0, "{turn:?}");
        // At 1 g a pad presses with 37 kN, short of its 40.
        assert_eq!(found.with_pads_g, Some(Steadying::MOST_G));
        assert!((found.keel_alone_g - 0.01 / 1.5).abs() < 1e-12);
        assert_eq!(found.pad_weight_share, 0.0);
    }

    #[test]
    fn the_margin_ends_where_a_pad_reaches_its_rating() {
        let (footings, pads) = (footings(), pads(Some(20_000.0)));
        let found = upright(&footings, &pads).solve().unwrap();
        let stands = 2.002 * 20_000.0 / (WEIGHT_N * 1.5);
        let with_pads = found.with_pads_g.unwrap();
        assert!(
            (with_pads - stands).abs() < 0.003,
            "{with_pads} for {stands}"
        );
        assert!(with_pads <= stands);
        let unrated = super::tests::pads(None);
        let found = upright(&footings, &unrated).solve().unwrap();
        assert_eq!(found.with_pads_g, None);
    }

    #[test]
    fn a_soft_suspension_leans_and_rolls_over_sooner() {
        let footings = footings();
        let mut rig = upright(&footings, &[]);
        let rigid = rig.solve().unwrap().rollover;
        // T / 2h, the common centre by hand.
        let tare = 5_000.0 * STANDARD_GRAVITY;
        let height = (WEIGHT_N * 1.5 + tare * 0.6) / (WEIGHT_N + tare);
        assert!((rigid.rigid_g - 1.1 / height).abs() < 1e-12);
        assert_eq!(rigid.leaning_g, rigid.rigid_g);
        let moment = WEIGHT_N * 1.5 + tare * 0.6;
        rig.wheels.roll_stiffness_nm_per_rad = Some(11.0 * moment);
        // K φ = a M + M φ: a tenth of a radian for each g.
        let soft = rig.solve().unwrap().rollover;
        assert!((soft.leaning_g - rigid.rigid_g / 1.1).abs() < 1e-12);
        rig.wheels.roll_stiffness_nm_per_rad = Some(0.5 * moment);
        assert!(rig.solve().unwrap().rollover.leaning_g < 1e-3);
    }

    #[test]
    fn a_gust_is_its_pressure_on_the_profile() {
        let footings = footings();
        let found = upright(&footings, &[]).solve().unwrap();
        let wind = found
            .pushes
            .iter()
            .find(|p| p.kind == PushKind::Wind)
            .unwrap();
        // 382.81 Pa x 1.2 x 20 m².
        assert!((wind.force_n - 9_187.5).abs() < 0.1, "{wind:?}");
    }
}

//! The hull pushed every way that is asked, and how far it stands.

use super::hold::{Body, Contact, Held, Motion, ROLL, Wrench};
use super::{Pressing, SteadiedBoat, WorstAtCorner, stagnation_pa};
use crate::carrying::Force;
use crate::steadying::{PadLoad, Push, PushKind, Rollover, Side, Steadying};
use keelstead_geometry::math::{Point, Vec3};
use keelstead_load::load::SteadyingLimits;

/// Most guesses at the acceleration the pads stand.
const GUESSES: usize = 24;

/// How exactly it is found, in multiples of free fall.
const G_STEP: f64 = 0.002;

/// The hull on her keel between pads, ready to be pushed.
pub(super) struct Solving<'a> {
    upright: &'a SteadiedBoat<'a>,
    origin: Vec3,
    /// The keel alone, as it carries weight.
    keel: Body,
    /// Keel and pads, the keel held sideways too; pads last.
    body: Body,
    edges: usize,
    /// How she comes down, upright, before pads are run out until they touch.
    at_rest: Motion,
    lean_rad_per_g: f64,
}

/// A boat that would roll over this far at rest, rad, is not held there: forces at their first places do not tell it any more.
const LEANS: f64 = 0.1;

impl Held {
    fn upright(&self) -> bool {
        self.motion[ROLL].abs() < LEANS
    }
}

/// Sides to push to, and which way that is.
const SIDES: [(Side, f64); 2] = [(Side::Left, 1.0), (Side::Right, -1.0)];

impl<'a> Solving<'a> {
    pub fn new(upright: &'a SteadiedBoat<'a>) -> Self {
        let origin = upright.origin();
        let edges = upright.edges(origin);
        let keel = Body::new(&level(&edges), 0.0);
        // Each stack gives as far as the softest, in the gaps of the edges.
        let at_rest = [0.0, -upright.most_given(), 0.0, 0.0, 0.0];
        let pads = upright.pads.iter().map(|pad| {
            let mut contact = upright.pad_contact(pad, origin);
            let row = Wrench::of(contact.normal, contact.at).0;
            contact.gap_m = -row.iter().zip(&at_rest).map(|(a, b)| a * b).sum::<f64>();
            contact
        });
        let contacts: Vec<_> = edges.iter().copied().chain(pads).collect();
        Self {
            body: Body::new(&contacts, upright.weight_n * (upright.centre - origin).z),
            upright,
            origin,
            keel,
            edges: edges.len(),
            at_rest,
            lean_rad_per_g: upright.wheels.lean_rad_per_g(upright.asked.roll_rad_per_g),
        }
    }

    /// Whether the keel alone carries her with her centre so far to the left of where it is said to be.
    fn on_keel(&self, off_m: f64) -> bool {
        let load = self.upright.rest(off_m, self.origin);
        let held = self.keel.hold(load, &self.at_rest);
        held.is_some_and(|held| held.upright())
    }

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

    /// The hull pushed to the left (`side` 1) or right (−1) by a force at a place, its suspension leaning the same way; the
    /// search starts at `from`.
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
        let centre = u.centre + Vec3::Y * (side * u.toward_push_m);
        let load = Wrench::of(weight, centre - self.origin)
            .and(Wrench::of(Vec3::Y * (side * force_n), at - self.origin));
        // From another push's end the search may lose its way.
        let again = || (from != &self.at_rest).then_some(&self.at_rest);
        let held = self.body.hold(load, from);
        held.or_else(|| self.body.hold(load, again()?))
    }

    fn pad_forces<'h>(&self, held: &'h Held) -> &'h [Vec3] {
        &held.forces[self.edges..]
    }

    /// Share of the weight on the pads at rest with the centre `off_m` to the left, and what each presses with, N; all of it
    /// if nothing holds. Where the keel alone carries her, none.
    fn pad_share(&self, off_m: f64) -> (f64, Vec<f64>) {
        let u = self.upright;
        if self.on_keel(off_m) {
            return (0.0, vec![0.0; u.pads.len()]);
        }
        let held = self.body.hold(u.rest(off_m, self.origin), &self.at_rest);
        let forces = held.as_ref().filter(|held| held.upright());
        let forces = forces.map_or(&[][..], |held| self.pad_forces(held));
        // Without the keel alone, what no pad presses does not stand.
        if forces.iter().all(|force| *force == Vec3::ZERO) {
            return (1.0, vec![0.0; u.pads.len()]);
        }
        let upright: f64 = forces.iter().map(|f| f.z.max(0.0)).sum();
        let sizes = forces.iter().map(|f| f.length()).collect();
        (upright / u.weight_n, sizes)
    }

    /// All of it.
    pub fn steadying(&self, rollover: Option<Rollover>) -> Steadying {
        let u = self.upright;
        let (pushes, mut pads) = self.all_pushes();
        let (rest_share, rest_n) = self.pad_share(0.0);
        for (load, rest) in pads.iter_mut().zip(&rest_n) {
            load.rest_n = *rest;
        }
        Steadying {
            pushes,
            pads,
            keel_alone_g: u.keel_alone_g(),
            with_pads_g: self.with_pads_g(Steadying::MOST_G + 2.0 * G_STEP),
            pad_weight_share: rest_share,
            pad_weight_share_worst: self.worst_share().max(rest_share),
            rests: rest_share < 1.0,
            profile_area_m2: u.profile.area_m2,
            stagnation_pa: stagnation_pa(u.asked.wind_m_s),
            rollover,
        }
    }

    /// What is worst of it at a corner where elsewhere she stands `stands_g`.
    pub fn at_corner(&self, stands_g: f64) -> WorstAtCorner {
        let u = self.upright;
        let (pushes, pads) = self.all_pushes();
        let stands = || {
            if u.pads.is_empty() {
                return Some(u.keel_alone_g());
            }
            // Mostly she stands as far here as elsewhere, and asking that once is enough.
            let mut from = [self.at_rest; 2];
            let as_far = stands_g <= Steadying::MOST_G
                && self
                    .used(stands_g, &mut from)
                    .is_some_and(|used| used <= 1.0);
            if as_far {
                None
            } else {
                self.with_pads_g(stands_g.min(Steadying::MOST_G + 2.0 * G_STEP))
            }
        };
        WorstAtCorner {
            held: pushes.iter().all(|push| push.held),
            stands_g: stands().map_or(stands_g, |g| g.min(stands_g)),
            rest_share: self.worst_share(),
            used: pads.iter().map(|p| (p.pad, p.use_ratio())).collect(),
        }
    }

    /// Every push asked, to either side, and the most it asks of each pad.
    fn all_pushes(&self) -> (Vec<Push>, Vec<PadLoad>) {
        let u = self.upright;
        let mut pushes = Vec::with_capacity(8);
        // Each push starts where the last one to its side ended: the contacts are mostly the same.
        let mut from = [self.at_rest; 2];
        let mut pads: Vec<PadLoad> = u.pads.iter().map(|p| self.unpressed(p)).collect();
        for kind in [
            PushKind::WorkingTurn,
            PushKind::Turn,
            PushKind::CrossSlope,
            PushKind::Wind,
        ] {
            let (force_n, lean_rad, at) = self.push(kind);
            for ((to, side), from) in SIDES.into_iter().zip(&mut from) {
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
        (pushes, pads)
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
            pressure_pa: 0.0,
            pressure_ratio: 0.0,
        }
    }

    /// Largest share of the weight on the pads with the centre at either side of its tolerance.
    fn worst_share(&self) -> f64 {
        let off_m = self.upright.tolerance_y_m.unwrap_or(0.0);
        let share = |off_m: f64| self.pad_share(off_m).0;
        share(-off_m).max(share(off_m))
    }

    /// Lateral acceleration, less than `high`, up to which the hull is held and no pad passes its rating.
    ///
    /// Forces grow in straight pieces with the push, so that the next guess follows from the use of the ratings at both ends
    /// of the bracket, or from the last one; where that has not halved the bracket it is halved (Dekker's method).
    fn with_pads_g(&self, mut high: f64) -> Option<f64> {
        let u = self.upright;
        if u.pads.is_empty() || u.pads.iter().any(|p| p.rating_n.is_none()) {
            return None;
        }
        let mut from = [self.at_rest; 2];
        let most = Steadying::MOST_G;
        let mut low = 0.0;
        // Use of the ratings at both ends, as far as it is known.
        let mut ends = [None; 2];
        // The turn asked tells most; the next guess is then the end itself, or close to it.
        let asked = u.asked.lateral_g.clamp(G_STEP, most);
        let mut guess = if asked < high { asked } else { high / 2.0 };
        for _ in 0..GUESSES {
            let used = self.used(guess, &mut from);
            let before = high - low;
            let below = used.is_some_and(|used| used <= 1.0);
            if below {
                (low, ends[0]) = (guess, used);
            } else {
                (high, ends[1]) = (guess, used);
            }
            if high - low <= G_STEP || low >= most {
                break;
            }
            let reached = match ends {
                [Some(least), Some(greatest)] => {
                    Some(low + (high - low) * (1.0 - least) / (greatest - least))
                }
                _ => used.map(|used| guess / used),
            };
            // A hair to the far side of where the rating seems to be, so that the bracket closes.
            let far = if below { 0.4 } else { -0.4 } * G_STEP;
            let halved = high - low <= before / 2.0 || ends.contains(&None);
            guess = reached
                .map(|g| (g + far).min(most))
                .filter(|g| halved && *g > low && *g < high)
                .unwrap_or(((low + high) / 2.0).min(most));
        }
        Some(low)
    }

    /// Greatest use of a pad's rating in a turn of `g` to either side; none if the hull is not held.
    fn used(&self, g: f64, from: &mut [Motion; 2]) -> Option<f64> {
        let u = self.upright;
        let push = (u.weight_n * g, self.lean_rad_per_g * g, u.centre);
        let mut most: f64 = 0.0;
        for ((_, side), from) in SIDES.into_iter().zip(from) {
            let held = self.pushed(side, push, from)?;
            *from = held.motion;
            for (force, pad) in self.pad_forces(&held).iter().zip(u.pads) {
                most = most.max(force.length() / pad.rating_n?);
            }
        }
        Some(most)
    }
}

/// What of the keel's contacts carries weight alone: its edges, straight up. Chocks and friction on stacks of unlike height
/// would hold her up by a couple, once she has rolled over half a radian.
fn level(edges: &[Contact]) -> Vec<Contact> {
    let up = edges.iter().filter(|c| c.normal == Vec3::Z);
    up.map(|c| Contact {
        friction: 0.0,
        ..*c
    })
    .collect()
}

impl PadLoad {
    /// The greater of its use of the pad's rating and of the pressure that the hull may take.
    pub fn use_ratio(&self) -> f64 {
        self.rating_ratio.unwrap_or(0.0).max(self.pressure_ratio)
    }

    /// Takes a force on the pad in a push, if it is the greatest yet.
    fn take(&mut self, pad: &Pressing, force: Vec3, push: usize, asked: &SteadyingLimits) {
        let size = force.length();
        if size <= self.most_n {
            return;
        }
        self.most_n = size;
        self.push = Some(push);
        (self.force.x_n, self.force.y_n, self.force.z_n) = (force.x, force.y, force.z);
        self.rating_ratio = pad.rating_n.map(|most| size / most);
        self.pressure_pa = size / pad.area_m2;
        self.pressure_ratio = self.pressure_pa / asked.hull_pressure_pa;
    }
}

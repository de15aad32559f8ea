//! A rigid body held by one-way contacts with friction: which of them press, and how hard.
//!
//! The body may shift sideways and upright and turn about all three axes; what holds it fore and
//! aft is left out. Each contact is a spring that only presses, with friction within Coulomb's cone.
//! The stored energy is convex in the five motions and quadratic but for contacts opening, closing,
//! sticking and slipping; Newton's method with its exact second derivative ends in a few steps. Where
//! no balance exists the energy has no bottom, and the body goes over.
//!
//! A load that acts high moves to where the body rolls, and rolls it farther: a spring of negative stiffness about the fore
//! and aft axis (the P-Δ effect of structural engineering). With it the energy is convex no more; where its second derivative
//! is not positive, the step is taken as if the load stayed, and still goes downhill.

use keelstead_geometry::math::Vec3;

/// Motions: sideways, up, roll, pitch, yaw. Metres and radians, about the origin.
pub type Motion = [f64; 5];

/// Which of them is roll.
pub const ROLL: usize = 2;

/// A place that can press on the body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// Where, m from the origin.
    pub at: Vec3,
    /// Which way it presses on the body; unit length.
    pub normal: Vec3,
    /// Distance to the body along the normal before anything moves, m; negative for a contact that
    /// is set into the body.
    pub gap_m: f64,
    /// Stiffness, N/m, along the normal and, while it sticks, across it.
    pub stiffness_n_per_m: f64,
    /// Coefficient of friction; zero leaves friction out.
    pub friction: f64,
}

/// Force and moment on the body: sideways and up (N), about the three axes (N·m).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Wrench(pub [f64; 5]);

impl Wrench {
    /// `force` acting at `at`; its part fore and aft is left out of the balance.
    pub fn of(force: Vec3, at: Vec3) -> Self {
        let level = Vec3::new(0.0, force.y, force.z);
        let moment = at.cross(level);
        Self([force.y, force.z, moment.x, moment.y, moment.z])
    }

    /// Both together.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self(std::array::from_fn(|i| self.0[i] + other.0[i]))
    }
}

/// How a body is held.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// How it has moved.
    pub motion: Motion,
    /// Force of each contact on the body, N.
    pub forces: Vec<Vec3>,
}

/// Steps of Newton's method before the body counts as not held.
const STEPS: usize = 60;

/// How exactly force and moment must balance, of the force applied.
const BALANCED: f64 = 1e-9;

/// The contact's unit directions and how a motion moves the body against them.
struct Row {
    /// Along the normal and across it, sideways.
    along: Vec3,
    across: Vec3,
    press: Motion,
    slide: Motion,
    contact: Contact,
}

impl Row {
    fn new(contact: &Contact) -> Self {
        let along = contact.normal;
        let across = Vec3::X.cross(along).try_normalize().unwrap_or(Vec3::Y);
        Self {
            along,
            across,
            press: Wrench::of(along, contact.at).0,
            slide: Wrench::of(across, contact.at).0,
            contact: *contact,
        }
    }

    /// Pressing and sliding force, and its derivative by the trial force.
    fn force(&self, motion: &Motion) -> ([f64; 2], [[f64; 2]; 2]) {
        let c = &self.contact;
        let k = c.stiffness_n_per_m;
        let press = -k * (dot(&self.press, motion) + c.gap_m);
        let mu = c.friction;
        if mu == 0.0 {
            let on = f64::from(u8::from(press > 0.0));
            return ([press.max(0.0), 0.0], [[on, 0.0], [0.0, 0.0]]);
        }
        let slide = -k * dot(&self.slide, motion);
        if slide.abs() <= mu * press {
            return ([press, slide], [[1.0, 0.0], [0.0, 1.0]]);
        }
        if press + mu * slide.abs() <= 0.0 {
            return ([0.0; 2], [[0.0; 2]; 2]);
        }
        // On the cone's edge: the nearest force that friction allows.
        let length = mu.hypot(1.0);
        let edge = [1.0 / length, mu.copysign(slide) / length];
        let size = press * edge[0] + slide * edge[1];
        let d = [
            [edge[0] * edge[0], edge[0] * edge[1]],
            [edge[0] * edge[1], edge[1] * edge[1]],
        ];
        ([size * edge[0], size * edge[1]], d)
    }
}

fn dot(a: &Motion, b: &Motion) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// A body and what can hold it.
pub struct Body {
    rows: Vec<Row>,
    stiffest: f64,
    /// Moment about the fore and aft axis that rolling adds, N·m/rad.
    leaning_nm_per_rad: f64,
}

impl Body {
    /// A body with these contacts whose load leans over with it: weight times the height at which it acts over the origin,
    /// N·m; nought for a load that stays where it is.
    pub fn new(contacts: &[Contact], leaning_nm_per_rad: f64) -> Self {
        let rows: Vec<Row> = contacts.iter().map(Row::new).collect();
        let stiffest = contacts
            .iter()
            .map(|c| c.stiffness_n_per_m)
            .fold(0.0, f64::max);
        Self {
            rows,
            stiffest,
            leaning_nm_per_rad: leaning_nm_per_rad.max(0.0),
        }
    }

    /// How the contacts hold the body under `load`, starting the search at `from`; none if they
    /// cannot, or if a figure is not finite.
    pub fn hold(&self, load: Wrench, from: &Motion) -> Option<Held> {
        let size = load.0.iter().map(|f| f.abs()).fold(0.0, f64::max);
        if !(size.is_finite() && self.stiffest > 0.0) {
            return None;
        }
        let mut motion = *from;
        let mut state = self.state(&motion, load);
        for _ in 0..STEPS {
            let worst = state.slope.iter().map(|g| g.abs()).fold(0.0, f64::max);
            if worst <= BALANCED * size {
                let forces = self.rows.iter().map(|row| {
                    let ([press, slide], _) = row.force(&motion);
                    row.along * press + row.across * slide
                });
                return Some(Held {
                    motion,
                    forces: forces.collect(),
                });
            }
            let step = self.step(&state, self.leaning_nm_per_rad);
            let step = shortened(step.or_else(|| self.step(&state, 0.0))?);
            let fall = dot(&state.slope, &step);
            let mut part = 1.0;
            loop {
                let next: Motion = std::array::from_fn(|i| motion[i] + part * step[i]);
                let there = self.state(&next, load);
                // Rounding of the energy near its bottom must not stop the last step.
                let rounding = 1e-13 * (state.energy.abs() + there.energy.abs());
                if there.energy <= state.energy + 1e-4 * part * fall + rounding {
                    (motion, state) = (next, there);
                    break;
                }
                part *= 0.5;
                if part < 1e-6 {
                    return None;
                }
            }
            if motion.iter().any(|m| m.is_nan() || m.abs() > FAR) {
                return None;
            }
        }
        None
    }

    fn state(&self, motion: &Motion, load: Wrench) -> State {
        let leaning = self.leaning_nm_per_rad;
        let mut state = State {
            energy: -dot(&load.0, motion) - leaning * motion[ROLL] * motion[ROLL] / 2.0,
            slope: std::array::from_fn(|i| -load.0[i]),
            stiffness: [[0.0; 5]; 5],
        };
        state.slope[ROLL] -= leaning * motion[ROLL];
        for row in &self.rows {
            let ([press, slide], d) = row.force(motion);
            let k = row.contact.stiffness_n_per_m;
            state.energy += (press * press + slide * slide) / (2.0 * k);
            if d[0][0] == 0.0 {
                continue;
            }
            if row.contact.friction == 0.0 {
                for i in 0..5 {
                    state.slope[i] -= press * row.press[i];
                    for j in 0..=i {
                        state.stiffness[i][j] += k * row.press[i] * row.press[j];
                    }
                }
                continue;
            }
            for i in 0..5 {
                state.slope[i] -= press * row.press[i] + slide * row.slide[i];
                let a = k * (d[0][0] * row.press[i] + d[0][1] * row.slide[i]);
                let b = k * (d[1][0] * row.press[i] + d[1][1] * row.slide[i]);
                for j in 0..=i {
                    state.stiffness[i][j] += a * row.press[j] + b * row.slide[j];
                }
            }
        }
        state
    }

    /// Newton's step; a motion that nothing resists is resisted a little, so that it runs off.
    fn step(&self, state: &State, leaning_nm_per_rad: f64) -> Option<Motion> {
        let mut m = state.stiffness;
        m[ROLL][ROLL] -= leaning_nm_per_rad;
        let mut step: Motion = std::array::from_fn(|i| -state.slope[i]);
        for i in 0..5 {
            m[i][i] += 1e-9 * self.stiffest;
            for j in 0..=i {
                let sum: f64 = m[i][j] - (0..j).map(|k| m[i][k] * m[j][k]).sum::<f64>();
                if i != j {
                    m[i][j] = sum / m[j][j];
                } else if sum > 0.0 {
                    m[i][i] = sum.sqrt();
                } else {
                    return None;
                }
            }
            step[i] = (step[i] - (0..i).map(|k| m[i][k] * step[k]).sum::<f64>()) / m[i][i];
        }
        for i in (0..5).rev() {
            step[i] = (step[i] - (i + 1..5).map(|k| m[k][i] * step[k]).sum::<f64>()) / m[i][i];
        }
        Some(step)
    }
}

/// A motion this large, m or rad, is no holding any more.
const FAR: f64 = 0.5;

/// Longest step, m or rad: a motion that no contact resists yet is followed until one does.
const STRIDE: f64 = 0.05;

/// The step, no longer than [`STRIDE`].
fn shortened(step: Motion) -> Motion {
    let most = step.iter().map(|s| s.abs()).fold(0.0, f64::max);
    step.map(|s| s * (STRIDE / most).min(1.0))
}

struct State {
    energy: f64,
    slope: Motion,
    /// Lower half.
    stiffness: [[f64; 5]; 5],
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn contact(at: [f64; 3], normal: [f64; 3], friction: f64) -> Contact {
        Contact {
            at: Vec3::from_array(at),
            normal: Vec3::from_array(normal).normalize(),
            gap_m: 0.0,
            stiffness_n_per_m: 1.0e6,
            friction,
        }
    }

    /// A body on four feet.
    fn feet(friction: f64) -> Vec<Contact> {
        [(-1.0, -0.5), (-1.0, 0.5), (1.0, -0.5), (1.0, 0.5)]
            .map(|(x, y)| contact([x, y, 0.0], [0.0, 0.0, 1.0], friction))
            .to_vec()
    }

    #[test]
    fn four_feet_share_a_weight_and_an_overturning_moment() {
        let body = Body::new(&feet(0.5), 0.0);
        let weight = Wrench::of(Vec3::new(0.0, 0.0, -1000.0), Vec3::ZERO);
        let rest = body.hold(weight, &[0.0; 5]).unwrap();
        assert!(rest.forces.iter().all(|f| (f.z - 250.0).abs() < 1e-5));
        // 200 N sideways at 1 m: the pairs carry 500 ± 200.
        let pushed = weight.and(Wrench::of(
            Vec3::new(0.0, 200.0, 0.0),
            Vec3::new(0.0, 0.0, 1.0),
        ));
        let held = body.hold(pushed, &[0.0; 5]).unwrap();
        assert!((held.forces[1].z - 350.0).abs() < 1e-4, "{held:?}");
        assert!((held.forces[0].z - 150.0).abs() < 1e-4, "{held:?}");
        let sideways: f64 = held.forces.iter().map(|f| f.y).sum();
        assert!((sideways + 200.0).abs() < 1e-5);
    }

    /// By hand: four feet of 1 MN/m at 0.5 m are 1 MN·m/rad; a weight of 100 kN at 2 m takes 0.2 of that away.
    #[test]
    fn a_high_weight_leans_over_with_the_body() {
        let weight = Wrench::of(Vec3::new(0.0, 0.0, -100_000.0), Vec3::ZERO);
        let pushed = weight.and(Wrench::of(
            Vec3::new(0.0, 5000.0, 0.0),
            Vec3::new(0.0, 0.0, 2.0),
        ));
        let roll = |leaning: f64| {
            let held = Body::new(&feet(0.5), leaning).hold(pushed, &[0.0; 5])?;
            Some(held.motion[ROLL])
        };
        let [stays, leans] = [0.0, 200_000.0].map(|leaning| roll(leaning).unwrap());
        assert!((stays + 0.01).abs() < 1e-9, "{stays}");
        assert!((leans + 0.0125).abs() < 1e-9, "{leans}");
        // On feet too soft for it she goes over: a quarter as stiff and up, past where two of them lift.
        assert!(roll(1.1e6).is_none());
    }

    #[test]
    fn it_goes_over_where_the_weight_leaves_the_feet_and_slides_where_friction_ends() {
        let weight = Wrench::of(Vec3::new(0.0, 0.0, -1000.0), Vec3::ZERO);
        let at = |height: f64, push: f64| {
            weight.and(Wrench::of(
                Vec3::new(0.0, push, 0.0),
                Vec3::new(0.0, 0.0, height),
            ))
        };
        let body = Body::new(&feet(0.5), 0.0);
        // By hand: over at push x 2 m = 1000 N x 0.5 m; slides at push = 0.5 x 1000 N.
        assert!(body.hold(at(2.0, 245.0), &[0.0; 5]).is_some());
        assert!(body.hold(at(2.0, 255.0), &[0.0; 5]).is_none());
        assert!(body.hold(at(0.1, 490.0), &[0.0; 5]).is_some());
        assert!(body.hold(at(0.1, 510.0), &[0.0; 5]).is_none());
        assert!(
            Body::new(&feet(0.0), 0.0)
                .hold(at(0.1, 1.0), &[0.0; 5])
                .is_none()
        );
        assert!(body.hold(at(f64::NAN, 1.0), &[0.0; 5]).is_none());
    }
}

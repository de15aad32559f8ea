//! When the whole rig rolls over: boat and trailer on the outer wheels.

use crate::riding::Riding;
use crate::steadying::Rollover;
use keelstead_units::quantity::STANDARD_GRAVITY;

/// Lean of a suspension too soft to hold the load up at all, rad per free fall.
const FALLS_OVER: f64 = 1.0e6;

/// The whole rig against rolling over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wheels<'a> {
    /// The boat and what is on board.
    pub boat: &'a [Riding],
    /// The empty trailer; none if nobody said what it weighs and where.
    pub tare: Option<Riding>,
    /// Narrowest track of its axles, m.
    pub track_m: f64,
    /// Roll stiffness of the suspension, N·m/rad; none if unknown.
    pub roll_stiffness_nm_per_rad: Option<f64>,
}

/// Lateral acceleration at which the inner wheels lift, in multiples of free fall: T / 2h for a
/// rigid rig with its weight in the middle, less with the weight `off_m` towards the outer wheels,
/// and less as its suspension leans by `lean_rad_per_g`.
///
/// Weight off the middle leans the suspension at rest as the acceleration off / h would. So with
/// an acceleration of a free falls it leans by φ = λ (a + off / h) and moves the weight out by φ h;
/// the inner wheels lift where a h + φ h + off = T / 2. Hence a = (T / 2 / (1 + λ) − off) / h.
/// Negative where it rolls over at rest.
pub fn rollover_g(track_m: f64, height_m: f64, off_m: f64, lean_rad_per_g: f64) -> f64 {
    (track_m / 2.0 / (1.0 + lean_rad_per_g) - off_m) / height_m
}

impl Wheels<'_> {
    /// How far the sprung weight leans for a lateral acceleration of one free fall, rad; the
    /// setting `otherwise` where the stiffness is unknown, and no less than it where the trailer's
    /// own weight is.
    ///
    /// The axles' roll axis is taken on the ground: the lever is then longest.
    pub fn lean_rad_per_g(&self, otherwise: f64) -> f64 {
        let lean = self.lean(self.common(&Corner::STATED), otherwise);
        match self.tare {
            Some(_) => lean,
            None => lean.max(otherwise),
        }
    }

    /// When it rolls over; none if nobody said what the trailer weighs and where, or what is said
    /// puts the common centre into the ground.
    pub fn rollover(&self, otherwise: f64) -> Option<Rollover> {
        self.tare?;
        let rigid = |c: Common| rollover_g(self.track_m, c.height_m(), c.off_m(), 0.0);
        let leaning = |c: Common| {
            rollover_g(
                self.track_m,
                c.height_m(),
                c.off_m(),
                self.lean(c, otherwise),
            )
        };
        let least = |of: &dyn Fn(Common) -> f64, corners: &[Corner]| {
            let each = corners.iter().map(|corner| of(self.common(corner)));
            each.fold(f64::INFINITY, f64::min)
        };
        let stated = [1.0, -1.0].map(|side| Corner {
            side,
            ..Corner::STATED
        });
        let worst = Corner::all();
        let centre_height_m = self.common(&Corner::STATED).height_m();
        let found = Rollover {
            rigid_g: least(&rigid, &stated),
            leaning_g: least(&leaning, &stated),
            worst_g: least(&leaning, &worst),
            centre_height_m,
            centre_left_m: self.common(&Corner::STATED).off_m(),
            track_m: self.track_m,
        };
        (centre_height_m > 0.0 && found.worst_g.is_finite()).then_some(found)
    }

    fn lean(&self, common: Common, otherwise: f64) -> f64 {
        let moment_nm = common.up_kgm * STANDARD_GRAVITY;
        match self.roll_stiffness_nm_per_rad {
            // The leaning weight helps itself along: K φ = a W h + W h φ.
            Some(k) if k > moment_nm => moment_nm / (k - moment_nm),
            Some(_) => FALLS_OVER,
            None => otherwise,
        }
    }

    /// All that rides, at a corner of its tolerances.
    fn common(&self, corner: &Corner) -> Common {
        let mut sum = Common {
            mass_kg: 0.0,
            up_kgm: 0.0,
            out_kgm: 0.0,
        };
        for one in self.boat.iter().chain(&self.tare) {
            let mass_kg = one.mass_at(corner.heavy);
            sum.mass_kg += mass_kg;
            sum.up_kgm += mass_kg * (one.at.z + corner.up * one.off_m.z);
            sum.out_kgm += mass_kg * (corner.side * one.at.y + corner.out * one.off_m.y);
        }
        sum
    }
}

/// Mass and moments of all that rides.
#[derive(Clone, Copy)]
struct Common {
    mass_kg: f64,
    /// About the ground, kg·m.
    up_kgm: f64,
    /// About the middle, towards the outer wheels, kg·m.
    out_kgm: f64,
}

impl Common {
    fn height_m(self) -> f64 {
        self.up_kgm / self.mass_kg
    }

    fn off_m(self) -> f64 {
        self.out_kgm / self.mass_kg
    }
}

/// A corner of what all weights may be off.
struct Corner {
    /// Towards which side it rolls: left 1, right -1.
    side: f64,
    /// Each weight towards that side (1) or where it is said to be (0).
    out: f64,
    /// Each weight higher (1), lower (-1) or where it is said to be (0).
    up: f64,
    /// Each weight heavier (1), lighter (-1) or as it is said to be (0).
    heavy: f64,
}

impl Corner {
    const STATED: Self = Self {
        side: 1.0,
        out: 0.0,
        up: 0.0,
        heavy: 0.0,
    };

    /// The corners among which the worst is.
    ///
    /// The threshold is (T W / 2(1 + λ) − W off) / W h. Each weight's place sideways and upright
    /// stands in it linearly, so that all lean the same way at the worst. In the one mass that may
    /// be off the numerator is concave and the denominator linear: the least is at an end.
    fn all() -> Vec<Self> {
        let mut all = Vec::with_capacity(8);
        for side in [1.0, -1.0] {
            for up in [1.0, -1.0] {
                for heavy in [1.0, -1.0] {
                    all.push(Self {
                        side,
                        out: 1.0,
                        up,
                        heavy,
                    });
                }
            }
        }
        all
    }
}

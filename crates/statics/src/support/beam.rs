//! A cross beam between the rails with a load where the keel bears: the simple beam of every
//! handbook (check-values.md 3.4, B1 to B3).

/// A span between the middles of the rails with a load `left_m` from the left one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Distance between the points it lies on, m.
    pub length_m: f64,
    /// Distance of the load from the left point, m: between zero and the length.
    pub left_m: f64,
}

impl Span {
    fn right_m(self) -> f64 {
        self.length_m - self.left_m
    }

    /// Shares of a load that go to the left and to the right point.
    pub fn shares(self) -> [f64; 2] {
        [self.right_m() / self.length_m, self.left_m / self.length_m]
    }

    /// Greatest bending moment of a unit load, P a b / L, m.
    pub fn moment_m(self) -> f64 {
        self.left_m * self.right_m() / self.length_m
    }

    /// Greatest share of the load that goes to one side: shear and reaction of a unit load.
    pub fn most(self) -> f64 {
        let [left, right] = self.shares();
        left.max(right)
    }

    /// Deflection under a unit load, P a² b² / 3 E I L, m/N.
    pub fn sinks_m_per_n(self, bending_n_m2: f64) -> f64 {
        (self.left_m * self.right_m()).powi(2) / (3.0 * bending_n_m2 * self.length_m)
    }

    /// Greatest deflection anywhere for a unit load, P a (L² − a²)^1.5 / 9√3 L E I with `a` the
    /// shorter side, m/N.
    pub fn deflects_m_per_n(self, bending_n_m2: f64) -> f64 {
        let a = self.left_m.min(self.right_m());
        let l = self.length_m;
        a * (l * l - a * a).powf(1.5) / (9.0 * 3.0_f64.sqrt() * l * bending_n_m2)
    }

    /// Give of the points themselves, each of `stiffness_n_per_m`, under the load, m/N.
    pub fn ends_give_m_per_n(self, stiffness_n_per_m: f64) -> f64 {
        let [left, right] = self.shares();
        (left * left + right * right) / stiffness_n_per_m
    }
}

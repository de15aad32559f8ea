//! How a weight shares itself out among one-way springs: the plane problem along the keel.
//!
//! Of all loads that balance the weight in force and moment and pull nowhere, nature takes those
//! that store the least energy. That is a strictly convex quadratic programme with two equations,
//! solved by a primal active set: on the supports in contact the loads follow from one small linear
//! system; one that would pull is let go, one that the hull would sink into is taken up. It ends
//! with a check of force and moment.

/// A support as a one-way spring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spring {
    /// Station along the keel, m, forward.
    pub x_m: f64,
    /// Half the length it bears over, m: where one stack alone may hold the centre of gravity.
    pub half_length_m: f64,
    /// Gap to the unloaded, rigid hull, m.
    pub gap_m: f64,
    /// Stiffness, N/m.
    pub stiffness_n_per_m: f64,
}

/// Loads and how far the hull has come down to them.
#[derive(Debug, Clone, PartialEq)]
pub struct Shared {
    /// Load on each spring, N; never negative.
    pub load_n: Vec<f64>,
    /// How far the hull has come down at x = 0, m.
    pub sink_m: f64,
    /// How far it has turned, rad, bow down.
    pub turn_rad: f64,
    /// What stays between hull and spring, m; zero where it carries.
    pub left_m: Vec<f64>,
}

/// Why loads could not be found.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ShareError {
    /// Nothing to stand on.
    #[error("no support reaches the hull; place one under the keel")]
    NoSupport,
    /// A figure of a spring is no good.
    #[error("support {index}: {what} is {value}; it must be a finite number{more}")]
    Spring {
        /// Which one, from 0.
        index: usize,
        /// Which figure.
        what: &'static str,
        /// What stands there.
        value: f64,
        /// What else it must be.
        more: &'static str,
    },
    /// The weight or its place is no good.
    #[error("the weight is {weight_n} N at {x_m} m; both must be finite, the weight above zero")]
    Weight {
        /// Weight, N.
        weight_n: f64,
        /// Where, m.
        x_m: f64,
    },
    /// The weight acts beyond the outermost support.
    #[error("the centre of gravity lies {short_m} m beyond the last support")]
    Tips {
        /// Ahead of the foremost; else behind the aftmost.
        bow_down: bool,
        /// By how much, m.
        short_m: f64,
    },
    /// Force or moment do not add up: the stiffnesses differ by too many powers of ten.
    #[error("the loads miss the weight by {force_n} N and {moment_nm} N·m")]
    NotBalanced {
        /// Sum of the loads less the weight, N.
        force_n: f64,
        /// Moment of the loads about the centre of gravity, N·m.
        moment_nm: f64,
    },
}

/// How far force and moment may miss, of the weight and of the weight times the span.
const RESIDUAL: f64 = 1e-9;

/// Springs and whatever else gives between hull and ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Bed {
    springs: Vec<Spring>,
    /// Sink of spring `i` for 1 N on spring `j`, its own give included, row by row, m/N.
    flexibility: Vec<f64>,
}

impl Bed {
    /// Springs on a rigid frame under a rigid hull.
    ///
    /// # Errors
    /// [`ShareError`] if there is none, or a figure is no good: a stiffness of zero or less would
    /// make nonsense of every share.
    pub fn new(springs: Vec<Spring>) -> Result<Self, ShareError> {
        if springs.is_empty() {
            return Err(ShareError::NoSupport);
        }
        for (index, spring) in springs.iter().enumerate() {
            let stiffness = spring.stiffness_n_per_m;
            let bad = |what, value, more| ShareError::Spring {
                index,
                what,
                value,
                more,
            };
            if !(stiffness.is_finite() && stiffness > 0.0) {
                return Err(bad("stiffness", stiffness, " above zero"));
            }
            for (what, value) in [
                ("station", spring.x_m),
                ("gap", spring.gap_m),
                ("length", spring.half_length_m),
            ] {
                if !value.is_finite() {
                    return Err(bad(what, value, ""));
                }
            }
        }
        let n = springs.len();
        let mut flexibility = vec![0.0; n * n];
        for (i, spring) in springs.iter().enumerate() {
            flexibility[i * n + i] = 1.0 / spring.stiffness_n_per_m;
        }
        Ok(Self {
            springs,
            flexibility,
        })
    }

    /// The same bed with only the springs `kept`.
    pub(crate) fn only(&self, kept: &[usize]) -> Self {
        let n = self.springs.len();
        let row = |&i: &usize| kept.iter().map(move |j| self.flexibility[i * n + j]);
        Self {
            springs: kept.iter().map(|i| self.springs[*i]).collect(),
            flexibility: kept.iter().flat_map(row).collect(),
        }
    }

    /// The springs, as given.
    pub fn springs(&self) -> &[Spring] {
        &self.springs
    }

    /// Adds what else gives: how far spring `i` sinks for 1 N on spring `j`, m/N, symmetric.
    pub fn give(&mut self, flexibility: impl Fn(f64, f64) -> f64) {
        let n = self.springs.len();
        for i in 0..n {
            for j in 0..n {
                self.flexibility[i * n + j] +=
                    flexibility(self.springs[i].x_m, self.springs[j].x_m);
            }
        }
    }

    /// Shares `weight_n` acting at `x_m`; `change_m` is added to each gap (empty for none).
    ///
    /// # Errors
    /// [`ShareError`] where nothing can be shared.
    pub fn share(&self, weight_n: f64, x_m: f64, change_m: &[f64]) -> Result<Shared, ShareError> {
        self.share_like(weight_n, x_m, change_m, &[])
    }

    /// As [`Bed::share`], where the springs in contact are likely the same as under `before`, loads
    /// of a case nearby: it costs less then, and comes to the same.
    ///
    /// # Errors
    /// As [`Bed::share`].
    pub fn share_like(
        &self,
        weight_n: f64,
        x_m: f64,
        change_m: &[f64],
        before: &[f64],
    ) -> Result<Shared, ShareError> {
        if !(weight_n.is_finite() && weight_n > 0.0 && x_m.is_finite()) {
            return Err(ShareError::Weight { weight_n, x_m });
        }
        let n = self.springs.len();
        let gaps: Vec<f64> = (0..n)
            .map(|i| self.springs[i].gap_m + change_m.get(i).copied().unwrap_or(0.0))
            .collect();
        let (aft, fore) = self.ends();
        if n == 1 || fore - aft < 1e-9 {
            return self.on_one(weight_n, x_m, &gaps);
        }
        if x_m < aft || x_m > fore {
            return Err(ShareError::Tips {
                bow_down: x_m > fore,
                short_m: (x_m - fore).max(aft - x_m),
            });
        }
        let solver = Solver {
            bed: self,
            gaps: &gaps,
            arms: self.springs.iter().map(|s| s.x_m - x_m).collect(),
            weight_n,
        };
        let likely = solver.likely(before);
        let (load_n, sink, turn) = likely.unwrap_or_else(|| solver.solve());
        let force_n = load_n.iter().sum::<f64>() - weight_n;
        let moment_nm: f64 = load_n.iter().zip(&solver.arms).map(|(p, a)| p * a).sum();
        let span = fore - aft;
        if !(force_n.abs() <= RESIDUAL * weight_n && moment_nm.abs() <= RESIDUAL * weight_n * span)
        {
            return Err(ShareError::NotBalanced { force_n, moment_nm });
        }
        let left_m = (0..n)
            .map(|i| {
                let sunk = sink + turn * solver.arms[i];
                if load_n[i] > 0.0 {
                    0.0
                } else {
                    (gaps[i] + self.given(&load_n, i) - sunk).max(0.0)
                }
            })
            .collect();
        Ok(Shared {
            load_n,
            sink_m: sink - turn * x_m,
            turn_rad: turn,
            left_m,
        })
    }

    /// Loads on the springs `held` if each of them could also pull: the two-way beam of the
    /// textbooks. None if they cannot hold the weight at all.
    pub fn held_both_ways(&self, held: &[usize], weight_n: f64, x_m: f64) -> Option<Vec<f64>> {
        let gaps: Vec<f64> = self.springs.iter().map(|s| s.gap_m).collect();
        let solver = Solver {
            bed: self,
            gaps: &gaps,
            arms: self.springs.iter().map(|s| s.x_m - x_m).collect(),
            weight_n,
        };
        solver.on_set(held).map(|(load_n, ..)| load_n)
    }

    /// How far spring `i` gives under the loads, m.
    pub fn given(&self, load_n: &[f64], i: usize) -> f64 {
        let n = self.springs.len();
        let row = &self.flexibility[i * n..(i + 1) * n];
        row.iter().zip(load_n).map(|(f, p)| f * p).sum()
    }

    /// Stations of the aftmost and foremost spring, m.
    pub fn ends(&self) -> (f64, f64) {
        self.springs
            .iter()
            .fold((f64::MAX, f64::MIN), |(aft, fore), s| {
                (aft.min(s.x_m), fore.max(s.x_m))
            })
    }

    /// All springs at one station: they share by stiffness, and hold the weight only over their
    /// length.
    fn on_one(&self, weight_n: f64, x_m: f64, gaps: &[f64]) -> Result<Shared, ShareError> {
        let first = self.springs[0];
        let off = x_m - first.x_m;
        let half = self
            .springs
            .iter()
            .map(|s| s.half_length_m)
            .fold(0.0, f64::max);
        if off.abs() > half {
            return Err(ShareError::Tips {
                bow_down: off > 0.0,
                short_m: off.abs() - half,
            });
        }
        let mut order: Vec<usize> = (0..gaps.len()).collect();
        order.sort_by(|a, b| gaps[*a].total_cmp(&gaps[*b]));
        // Springs are met one after the other as the hull comes down.
        let (mut stiffness, mut moment, mut sink) = (0.0, 0.0, gaps[order[0]]);
        for (k, &i) in order.iter().enumerate() {
            stiffness += self.springs[i].stiffness_n_per_m;
            moment += self.springs[i].stiffness_n_per_m * gaps[i];
            sink = (weight_n + moment) / stiffness;
            if order.get(k + 1).is_none_or(|next| gaps[*next] >= sink) {
                break;
            }
        }
        let load_n = self
            .springs
            .iter()
            .zip(gaps)
            .map(|(s, gap)| s.stiffness_n_per_m * (sink - gap).max(0.0))
            .collect();
        Ok(Shared {
            load_n,
            sink_m: sink,
            turn_rad: 0.0,
            left_m: gaps.iter().map(|gap| (gap - sink).max(0.0)).collect(),
        })
    }
}

struct Solver<'a> {
    bed: &'a Bed,
    gaps: &'a [f64],
    /// Station of each spring from the centre of gravity, m.
    arms: Vec<f64>,
    weight_n: f64,
}

impl Solver<'_> {
    /// Loads on the springs that carried before, if they are right: none of them pulls, and the
    /// hull sinks into no other. Those conditions are enough, however they were come by.
    fn likely(&self, before: &[f64]) -> Option<(Vec<f64>, f64, f64)> {
        let set: Vec<usize> = (0..before.len()).filter(|i| before[*i] > 0.0).collect();
        if set.len() < 2 {
            return None;
        }
        let (load, sink, turn) = self.on_set(&set)?;
        let right = (0..load.len()).all(|i| {
            if set.contains(&i) {
                return load[i] >= 0.0;
            }
            let sunk = sink + turn * self.arms[i] - self.gaps[i];
            sunk - self.bed.given(&load, i) <= self.hair()
        });
        right.then_some((load, sink, turn))
    }

    /// Loads, sink at the centre of gravity and turn.
    fn solve(&self) -> (Vec<f64>, f64, f64) {
        let n = self.arms.len();
        let mut load = self.first();
        let mut set: Vec<usize> = (0..n).filter(|i| load[*i] > 0.0).collect();
        let (mut sink, mut turn) = (0.0, 0.0);
        // The energy falls with every step but those that only let go or take up a support without
        // load; the bound ends a round of those, at the loads already found.
        for _ in 0..8 * n + 8 {
            let Some((wanted, s, t)) = self.on_set(&set) else {
                break;
            };
            (sink, turn) = (s, t);
            let blocking = set
                .iter()
                .filter(|i| wanted[**i] < 0.0)
                .map(|&i| (load[i] / (load[i] - wanted[i]), i))
                .min_by(|a, b| a.0.total_cmp(&b.0));
            match blocking {
                Some((step, out)) if set.len() > 2 => {
                    for &i in &set {
                        load[i] += step.clamp(0.0, 1.0) * (wanted[i] - load[i]);
                    }
                    load[out] = 0.0;
                    set.retain(|i| *i != out);
                }
                _ => {
                    load = wanted.iter().map(|p| p.max(0.0)).collect();
                    let deepest = (0..n)
                        .filter(|i| !set.contains(i))
                        .map(|i| {
                            let sunk = s + t * self.arms[i] - self.gaps[i];
                            (sunk - self.bed.given(&load, i), i)
                        })
                        .max_by(|a, b| a.0.total_cmp(&b.0));
                    match deepest {
                        Some((depth, i)) if depth > self.hair() => set.push(i),
                        _ => break,
                    }
                }
            }
        }
        (load, sink, turn)
    }

    /// Loads that balance: on the nearest support on each side of the centre of gravity.
    fn first(&self) -> Vec<f64> {
        let mut load = vec![0.0; self.arms.len()];
        let nearest = |side: f64| {
            self.arms
                .iter()
                .enumerate()
                .filter(|(_, arm)| *arm * side >= 0.0)
                .min_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))
                .map(|(i, _)| i)
        };
        // There is one on each side: the centre lies between the outermost.
        if let (Some(aft), Some(fore)) = (nearest(-1.0), nearest(1.0)) {
            let span = self.arms[fore] - self.arms[aft];
            if aft == fore || span <= 0.0 {
                load[aft] = self.weight_n;
            } else {
                load[aft] = self.weight_n * self.arms[fore] / span;
                load[fore] = -self.weight_n * self.arms[aft] / span;
            }
        }
        // A set of one cannot turn: let the outermost other keep it company without load.
        if load.iter().filter(|p| **p > 0.0).count() == 1 {
            let far =
                (0..load.len()).max_by(|a, b| self.arms[*a].abs().total_cmp(&self.arms[*b].abs()));
            if let Some(far) = far.filter(|i| load[*i] == 0.0) {
                load[far] = f64::MIN_POSITIVE;
            }
        }
        load
    }

    /// Depth that counts as none, m.
    fn hair(&self) -> f64 {
        let gives = self.weight_n * self.bed.flexibility.iter().fold(0.0, |a: f64, b| a.max(*b));
        let gaps = self.gaps.iter().fold(0.0, |a: f64, b| a.max(b.abs()));
        1e-12 * (gives + gaps)
    }

    /// Loads on the supports `set`, which may come out as pulling, with sink at the centre of
    /// gravity and turn; none if the set stands at one station.
    fn on_set(&self, set: &[usize]) -> Option<(Vec<f64>, f64, f64)> {
        let k = set.len();
        let n = self.arms.len();
        let mut factor = vec![0.0; k * k];
        for (a, &i) in set.iter().enumerate() {
            for (b, &j) in set.iter().enumerate().take(a + 1) {
                factor[a * k + b] = self.bed.flexibility[i * n + j];
            }
        }
        cholesky(&mut factor, k)?;
        let solved = |mut v: Vec<f64>| {
            substitute(&factor, &mut v);
            v
        };
        let level = solved(vec![1.0; k]);
        let tilt = solved(set.iter().map(|i| self.arms[*i]).collect());
        let slack = solved(set.iter().map(|i| self.gaps[*i]).collect());
        let arm = |v: &[f64]| -> f64 { v.iter().zip(set).map(|(p, i)| p * self.arms[*i]).sum() };
        let sum = |v: &[f64]| -> f64 { v.iter().sum() };
        let (a, b, d) = (sum(&level), sum(&tilt), arm(&tilt));
        let det = a * d - b * b;
        if det.is_nan() || det <= 1e-14 * a * d {
            return None;
        }
        let (mut sink, mut turn) = (0.0, 0.0);
        let mut load: Vec<f64> = slack.iter().map(|p| -p).collect();
        // The second round takes out what rounding left of force and moment.
        for _ in 0..2 {
            let force = self.weight_n - sum(&load);
            let moment = -arm(&load);
            let (s, t) = (
                (force * d - moment * b) / det,
                (moment * a - force * b) / det,
            );
            for (p, (l, v)) in load.iter_mut().zip(level.iter().zip(&tilt)) {
                *p += s * l + t * v;
            }
            sink += s;
            turn += t;
        }
        let mut all = vec![0.0; n];
        for (p, &i) in load.iter().zip(set) {
            all[i] = *p;
        }
        Some((all, sink, turn))
    }
}

/// Lower factor of a symmetric matrix in place, row by row; none if it is not positive definite.
fn cholesky(matrix: &mut [f64], n: usize) -> Option<()> {
    for i in 0..n {
        for j in 0..=i {
            let mut sum = matrix[i * n + j];
            for k in 0..j {
                sum -= matrix[i * n + k] * matrix[j * n + k];
            }
            if i == j {
                if sum.is_nan() || sum <= 0.0 {
                    return None;
                }
                matrix[i * n + i] = sum.sqrt();
            } else {
                matrix[i * n + j] = sum / matrix[j * n + j];
            }
        }
    }
    Some(())
}

fn substitute(factor: &[f64], v: &mut [f64]) {
    let n = v.len();
    for i in 0..n {
        for k in 0..i {
            v[i] -= factor[i * n + k] * v[k];
        }
        v[i] /= factor[i * n + i];
    }
    for i in (0..n).rev() {
        for k in i + 1..n {
            v[i] -= factor[k * n + i] * v[k];
        }
        v[i] /= factor[i * n + i];
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn spring(x_m: f64, gap_m: f64, stiffness_n_per_m: f64) -> Spring {
        Spring {
            x_m,
            half_length_m: 0.1,
            gap_m,
            stiffness_n_per_m,
        }
    }

    #[test]
    fn a_low_middle_support_is_met_only_when_the_others_have_given_enough() {
        let bed = |gap| {
            Bed::new(vec![
                spring(0.0, 0.0, 1.0e6),
                spring(2.0, gap, 1.0e6),
                spring(4.0, 0.0, 1.0e6),
            ])
            .unwrap()
        };
        // By hand: two springs of 1 MN/m give 5 mm under 10 kN at the middle.
        let idle = bed(0.006).share(10_000.0, 2.0, &[]).unwrap();
        assert_eq!(idle.load_n[1], 0.0);
        assert!((idle.left_m[1] - 0.001).abs() < 1e-12, "{idle:?}");
        let met = bed(0.002).share(10_000.0, 2.0, &[]).unwrap();
        // Three springs: 3 s - 0.002 = 0.010, s = 4 mm; the middle gives 2 mm.
        assert!((met.load_n[1] - 2000.0).abs() < 1e-6, "{met:?}");
        assert!((met.sink_m - 0.004).abs() < 1e-12);
    }

    #[test]
    fn balanced_on_the_middle_support_alone_it_still_ends() {
        let bed = Bed::new(vec![
            spring(-1.0, 0.5, 1.0e6),
            spring(0.0, 0.0, 1.0e6),
            spring(1.0, 0.5, 1.0e6),
        ])
        .unwrap();
        let shared = bed.share(5000.0, 0.0, &[]).unwrap();
        assert!((shared.load_n[1] - 5000.0).abs() < 1e-6, "{shared:?}");
        assert_eq!(shared.load_n[0] + shared.load_n[2], 0.0);
    }

    #[test]
    fn it_tips_past_the_last_support_and_says_which_way() {
        let bed = Bed::new(vec![spring(0.0, 0.0, 1.0e6), spring(2.0, 0.0, 1.0e6)]).unwrap();
        let tips = bed.share(1000.0, 2.25, &[]).unwrap_err();
        assert_eq!(
            tips,
            ShareError::Tips {
                bow_down: true,
                short_m: 0.25
            }
        );
        let one = Bed::new(vec![spring(1.0, 0.0, 1.0e6)]).unwrap();
        assert_eq!(one.share(1000.0, 1.05, &[]).unwrap().load_n, [1000.0]);
        assert!(matches!(
            one.share(1000.0, 0.85, &[]),
            Err(ShareError::Tips {
                bow_down: false,
                ..
            })
        ));
    }

    #[test]
    fn nonsense_is_refused() {
        assert_eq!(Bed::new(Vec::new()), Err(ShareError::NoSupport));
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let refused = Bed::new(vec![spring(0.0, 0.0, bad)]);
            assert!(matches!(refused, Err(ShareError::Spring { index: 0, .. })));
        }
        assert!(Bed::new(vec![spring(f64::NAN, 0.0, 1.0)]).is_err());
        let bed = Bed::new(vec![spring(0.0, 0.0, 1.0e6), spring(2.0, 0.0, 1.0e6)]).unwrap();
        for (weight, x) in [(0.0, 1.0), (-5.0, 1.0), (f64::NAN, 1.0), (1.0, f64::NAN)] {
            assert!(matches!(
                bed.share(weight, x, &[]),
                Err(ShareError::Weight { .. })
            ));
        }
    }
}

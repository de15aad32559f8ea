//! How a weight shares itself out among one-way springs: the plane problem along the keel.
//!
//! Of all loads that balance the weight in force and moment and pull nowhere, nature takes those
//! that store the least energy. That is a strictly convex quadratic programme with two equations,
//! solved by a primal active set: on the supports in contact the loads follow from one small linear
//! system; one that would pull is let go, one that the hull would sink into is taken up. It ends
//! with a check of force and moment.

use super::active_set::Solver;

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
pub struct ElasticFoundation {
    springs: Vec<Spring>,
    /// Sink of spring `i` for 1 N on spring `j`, its own give included, row by row, m/N.
    flexibility: Vec<f64>,
}

impl ElasticFoundation {
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
    pub fn only(&self, kept: &[usize]) -> Self {
        let n = self.springs.len();
        let row = |&i: &usize| kept.iter().map(move |j| self.flexibility[i * n + j]);
        Self {
            springs: kept.iter().map(|i| self.springs[*i]).collect(),
            flexibility: kept.iter().flat_map(row).collect(),
        }
    }

    /// Sink of spring `i` for 1 N on spring `j`, row by row, m/N.
    pub(super) fn flexibility(&self) -> &[f64] {
        &self.flexibility
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

    /// As [`ElasticFoundation::share`], where the springs in contact are likely the same as under `before`, loads
    /// of a case nearby: it costs less then, and comes to the same.
    ///
    /// # Errors
    /// As [`ElasticFoundation::share`].
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

    /// A station where a weight stands, m: as it is, or a hair within the last spring where it would tip beyond that. Springs
    /// at one station hold it over their length or not at all.
    pub fn just_within(&self, x_m: f64) -> f64 {
        /// So far within, of the way between the last springs.
        const WITHIN: f64 = 1e-6;
        let (aft, fore) = self.ends();
        let hair = WITHIN * (fore - aft);
        if hair > 0.0 {
            x_m.max(aft + hair).min(fore - hair)
        } else {
            x_m
        }
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
            ElasticFoundation::new(vec![
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
        let bed = ElasticFoundation::new(vec![
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
        let bed =
            ElasticFoundation::new(vec![spring(0.0, 0.0, 1.0e6), spring(2.0, 0.0, 1.0e6)]).unwrap();
        let tips = bed.share(1000.0, 2.25, &[]).unwrap_err();
        assert_eq!(
            tips,
            ShareError::Tips {
                bow_down: true,
                short_m: 0.25
            }
        );
        let one = ElasticFoundation::new(vec![spring(1.0, 0.0, 1.0e6)]).unwrap();
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
        assert_eq!(
            ElasticFoundation::new(Vec::new()),
            Err(ShareError::NoSupport)
        );
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let refused = ElasticFoundation::new(vec![spring(0.0, 0.0, bad)]);
            assert!(matches!(refused, Err(ShareError::Spring { index: 0, .. })));
        }
        assert!(ElasticFoundation::new(vec![spring(f64::NAN, 0.0, 1.0)]).is_err());
        let bed =
            ElasticFoundation::new(vec![spring(0.0, 0.0, 1.0e6), spring(2.0, 0.0, 1.0e6)]).unwrap();
        for (weight, x) in [(0.0, 1.0), (-5.0, 1.0), (f64::NAN, 1.0), (1.0, f64::NAN)] {
            assert!(matches!(
                bed.share(weight, x, &[]),
                Err(ShareError::Weight { .. })
            ));
        }
    }
}

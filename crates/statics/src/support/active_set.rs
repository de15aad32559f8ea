//! The active set: which supports carry, found by letting go what would pull and taking up what the
//! hull would sink into.

use super::share::ElasticFoundation;

/// Springs, gaps and a weight, ready to be solved.
pub(super) struct Solver<'a> {
    pub bed: &'a ElasticFoundation,
    pub gaps: &'a [f64],
    /// Station of each spring from the centre of gravity, m.
    pub arms: Vec<f64>,
    pub weight_n: f64,
}

impl Solver<'_> {
    /// Loads on the springs that carried before, if they are right: none of them pulls, and the
    /// hull sinks into no other. Those conditions are enough, however they were come by.
    pub fn likely(&self, before: &[f64]) -> Option<(Vec<f64>, f64, f64)> {
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
    pub fn solve(&self) -> (Vec<f64>, f64, f64) {
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
        let gives = self.weight_n
            * self
                .bed
                .flexibility()
                .iter()
                .fold(0.0, |a: f64, b| a.max(*b));
        let gaps = self.gaps.iter().fold(0.0, |a: f64, b| a.max(b.abs()));
        1e-12 * (gives + gaps)
    }

    /// Loads on the supports `set`, which may come out as pulling, with sink at the centre of
    /// gravity and turn; none if the set stands at one station.
    pub fn on_set(&self, set: &[usize]) -> Option<(Vec<f64>, f64, f64)> {
        let k = set.len();
        let n = self.arms.len();
        let mut factor = vec![0.0; k * k];
        for (a, &i) in set.iter().enumerate() {
            for (b, &j) in set.iter().enumerate().take(a + 1) {
                factor[a * k + b] = self.bed.flexibility()[i * n + j];
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

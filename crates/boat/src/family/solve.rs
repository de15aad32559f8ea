//! The likeliest boat of a family that has the measures: least squares over its numbers and the
//! measures, by Gauss and Newton.
//!
//! The numbers are standard normal before anything is measured, so their squares and the squares of
//! the misfits in standard deviations stand side by side. Each step is solved among the measures,
//! which are fewer than the numbers.

use super::kind::Place;
use super::reading::{Reading, read};
use super::space::{Shape, Space};
use super::surface::Surface;
use super::{CONFIDENCE, MeasureKind, measures::Given};

/// Most steps; a fit takes four to ten.
const MOST_STEPS: usize = 24;
/// A step this small in every number ends the fit: hundredths of a millimetre on the hull.
const SMALL: f64 = 1e-4;
/// Numbers are held within so many standard deviations: no measure makes a hull of more.
const MOST: f64 = 8.0;

/// A boat with measures, and what they leave open.
pub(super) struct Solved {
    pub shape: Shape,
    /// How the boat changes with each number.
    pub slopes: Vec<Vec<f64>>,
    /// Each measure as the boat has it; none where its surface is not there.
    pub readings: Vec<Option<Reading>>,
    /// What the measures leave open.
    pub left: Left,
}

/// Reads every measure of a boat.
pub(super) fn read_all(
    space: &Space,
    shape: &Shape,
    given: &[Given],
    hung_m3: f64,
) -> Vec<Option<Reading>> {
    let surface = Surface {
        plan: space.plan(),
        shape,
    };
    given
        .iter()
        .map(|g| read(&surface, g.kind, g.at, hung_m3))
        .collect()
}

/// How a reading changes with each number.
pub(super) fn by_number(slopes: &[Vec<f64>], reading: &[f64]) -> Vec<f64> {
    slopes
        .iter()
        .map(|mode| mode.iter().zip(reading).map(|(a, b)| a * b).sum())
        .collect()
}

/// What is asked less what is there, in parts of its tolerance; none where nothing is there.
fn misfits(given: &[Given], readings: &[Option<Reading>], parts: f64) -> Vec<Option<f64>> {
    given
        .iter()
        .zip(readings)
        .map(|(g, r)| {
            let r = r.as_ref()?;
            Some((g.value - r.value) / (g.tolerance / parts))
        })
        .collect()
}

/// Parts of a measure's tolerance that a misfit is weighed by when fitting: a surface comes as close to
/// what was measured as it can, though the boat may be off by the whole of it.
const CLOSE: f64 = 2.0 * CONFIDENCE;

/// The first steps weigh measures less, so that the hull as a whole comes near before places are met:
/// straight away, a far one could be met by a fold.
const FIRST: [f64; 3] = [0.06, 0.2, 0.5];

/// Far off, a misfit counts by its size rather than its square, so that no slip of the tape tears the
/// hull apart.
const FAR: f64 = 60.0;

fn cost(numbers: &[f64], misfits: &[Option<f64>]) -> f64 {
    let prior: f64 = numbers.iter().map(|n| n * n).sum();
    let measured: f64 = misfits
        .iter()
        .map(|m| match m {
            Some(m) if m.abs() <= FAR => m * m,
            Some(m) => FAR * (2.0 * m.abs() - FAR),
            None => FAR * FAR,
        })
        .sum();
    prior + measured
}

/// Fits; `hung` is the volume under water of what hangs below a boat's body.
pub(super) fn solve(space: &Space, given: &[Given], hung: impl Fn(&Shape) -> f64) -> Solved {
    let weighs = given.iter().any(|g| g.kind == MeasureKind::Displacement);
    let hung = |shape: &Shape| if weighs { hung(shape) } else { 0.0 };
    let mut numbers = vec![0.0; space.size()];
    let mut shape = space.shape(&numbers);
    let mut hung_m3 = hung(&shape);
    let mut readings = read_all(space, &shape, given, hung_m3);
    let mut slopes = space.slopes(&numbers);
    for round in 0..MOST_STEPS {
        let last = FIRST.get(round).is_none();
        let parts = FIRST.get(round).map_or(CLOSE, |share| share * CLOSE);
        let off = misfits(given, &readings, parts);
        let now = cost(&numbers, &off);
        let rows = rows(given, &readings, &slopes, parts);
        let wanted = step(&rows, &off, &numbers);
        let mut best = None;
        for share in [1.0, 0.5, 0.25, 0.1, 0.03] {
            let tried: Vec<f64> = numbers
                .iter()
                .zip(&wanted)
                .map(|(n, w)| (n + share * (w - n)).clamp(-MOST, MOST))
                .collect();
            // What hangs below changes little in a step: it follows one behind.
            let shape = space.shape(&tried);
            let readings = read_all(space, &shape, given, hung_m3);
            let then = cost(&tried, &misfits(given, &readings, parts));
            if then < now {
                best = Some((tried, shape, readings, then));
                break;
            }
        }
        let Some((tried, new_shape, new_readings, then)) = best else {
            if last {
                break;
            }
            continue;
        };
        let moved = numbers
            .iter()
            .zip(&tried)
            .fold(0.0_f64, |most, (a, b)| most.max((a - b).abs()));
        (numbers, shape, readings) = (tried, new_shape, new_readings);
        slopes = space.slopes(&numbers);
        if weighs {
            hung_m3 = hung(&shape);
            readings = read_all(space, &shape, given, hung_m3);
        }
        if last && (moved < SMALL || now - then < 1e-6 * (1.0 + now)) {
            break;
        }
    }
    let left = Left::after(&rows(given, &readings, &slopes, CONFIDENCE));
    Solved {
        shape,
        slopes,
        readings,
        left,
    }
}

/// Each measure by each number, in parts of its tolerance.
fn rows(
    given: &[Given],
    readings: &[Option<Reading>],
    slopes: &[Vec<f64>],
    parts: f64,
) -> Vec<Option<Vec<f64>>> {
    given
        .iter()
        .zip(readings)
        .map(|(g, r)| {
            let row = by_number(slopes, &r.as_ref()?.slope.0);
            let sd = g.tolerance / parts;
            Some(row.into_iter().map(|h| h / sd).collect())
        })
        .collect()
}

/// The numbers that Gauss and Newton take next.
fn step(rows: &[Option<Vec<f64>>], off: &[Option<f64>], numbers: &[f64]) -> Vec<f64> {
    let there: Vec<(&Vec<f64>, f64)> = rows
        .iter()
        .zip(off)
        .filter_map(|(row, off)| Some((row.as_ref()?, (*off)?)))
        .collect();
    let h: Vec<&Vec<f64>> = there.iter().map(|(row, _)| *row).collect();
    let wanted: Vec<f64> = there
        .iter()
        .map(|(row, off)| {
            let off = off.clamp(-10.0 * FAR, 10.0 * FAR);
            off + dot(row, numbers)
        })
        .collect();
    let weights = Factor::of(&h).solve(wanted);
    let mut next = vec![0.0; numbers.len()];
    for (row, w) in h.iter().zip(weights) {
        for (n, k) in next.iter_mut().zip(row.iter()) {
            *n += w * k;
        }
    }
    next
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// The measures' covariance before they were taken, `H Hᵀ + 1`, as its Cholesky factor.
#[derive(Debug, Clone)]
struct Factor(Vec<Vec<f64>>);

impl Factor {
    fn of(h: &[&Vec<f64>]) -> Self {
        let n = h.len();
        let mut l = vec![vec![0.0; n]; n];
        for i in 0..n {
            for j in 0..=i {
                let mut sum = dot(h[i], h[j]);
                if i == j {
                    sum += 1.0;
                }
                sum -= dot(&l[i][..j], &l[j][..j]);
                // One or more on the diagonal by construction; rounding alone could eat it.
                l[i][j] = if i == j {
                    sum.max(1e-9).sqrt()
                } else {
                    sum / l[j][j]
                };
            }
        }
        Self(l)
    }

    /// `L⁻¹ b`.
    fn forward(&self, mut b: Vec<f64>) -> Vec<f64> {
        for i in 0..b.len() {
            let done = dot(&self.0[i][..i], &b[..i]);
            b[i] = (b[i] - done) / self.0[i][i];
        }
        b
    }

    fn solve(&self, b: Vec<f64>) -> Vec<f64> {
        let mut b = self.forward(b);
        for i in (0..b.len()).rev() {
            let done: f64 = (i + 1..b.len()).map(|k| self.0[k][i] * b[k]).sum();
            b[i] = (b[i] - done) / self.0[i][i];
        }
        b
    }
}

/// What measures leave open of the numbers: a direction among them keeps the part of its length that
/// no measure sees.
pub(super) struct Left {
    rows: Vec<Vec<f64>>,
    factor: Factor,
}

/// A direction among the numbers, and its part that measures see.
#[derive(Debug, Clone)]
pub(super) struct Seen {
    direction: Vec<f64>,
    seen: Vec<f64>,
}

impl Left {
    fn after(rows: &[Option<Vec<f64>>]) -> Self {
        let rows: Vec<Vec<f64>> = rows.iter().flatten().cloned().collect();
        let factor = Factor::of(&rows.iter().collect::<Vec<_>>());
        Self { rows, factor }
    }

    /// A direction made ready for [`Left::covariance`].
    pub(super) fn seen(&self, direction: Vec<f64>) -> Seen {
        let by_measure = self.rows.iter().map(|row| dot(row, &direction)).collect();
        Seen {
            seen: self.factor.forward(by_measure),
            direction,
        }
    }

    /// Covariance of two directions after the measures.
    pub(super) fn covariance(a: &Seen, b: &Seen) -> f64 {
        dot(&a.direction, &b.direction) - dot(&a.seen, &b.seen)
    }

    /// Variance of a direction after the measures.
    pub(super) fn variance(a: &Seen) -> f64 {
        Self::covariance(a, a).max(0.0)
    }
}

/// A measure not taken yet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Untaken {
    pub kind: MeasureKind,
    pub at: Option<Place>,
    pub tolerance: f64,
}

//! How the boats of a family differ: what each of the numbers moves.

use super::{Figure, Terms};
use crate::family::plan::{Below, COLUMNS, Plan, Steering};

/// Standard deviation at a column: that of the middle amidships, that of the ends at the ends.
fn by_column(middle: f64, ends: [f64; 2], column: usize) -> f64 {
    let t = column as f64 / (COLUMNS - 1) as f64;
    let off = (2.0 * t - 1.0) * (2.0 * t - 1.0);
    middle + (if t < 0.5 { ends[0] } else { ends[1] } - middle) * off
}

/// What each number moves, in the terms that vary.
pub(super) fn modes(plan: &Plan, t: Terms, usual: &[f64]) -> Vec<Vec<f64>> {
    let mut modes = Modes {
        count: t.count(),
        all: Vec::new(),
    };
    let (rows, spread) = (t.rows, plan.spread);
    let (length, keel) = (usual[Terms::LENGTH], usual[Terms::KEEL]);
    modes.one(Terms::LENGTH, 0.05 * length);
    modes.one(Terms::HALF_BEAM, 0.05 * usual[Terms::HALF_BEAM]);
    modes.one(Terms::DEPTH, spread.depth * usual[Terms::DEPTH]);
    if plan.below != Below::Nothing {
        modes.one(Terms::KEEL, spread.keel_depth * keel);
    }
    let draft = t.figure(Figure::Draft);
    modes.one(draft, spread.depth * usual[draft]);

    let line = |place: &dyn Fn(usize) -> usize, [middle, ends]: [f64; 2], reach: f64| {
        let at = |c: usize| At {
            term: place(c),
            row: 0.0,
            column: c as f64,
            sd: by_column(middle, [ends; 2], c),
        };
        ((0..COLUMNS).map(at).collect::<Vec<_>>(), reach)
    };
    let (bottom, reach) = line(&|c| t.bottom(c), spread.bottom, 1.6);
    modes.field(&bottom, 1.0, reach);
    let (sheer, reach) = line(&|c| t.sheer(c), spread.sheer, 2.2);
    modes.field(&sheer, 1.0, reach);

    let mut breadths = Vec::new();
    let mut levels = Vec::new();
    for row in 1..rows {
        // The turn of the bilge and the bottom differ more than the deck's edge.
        let down = 1.0 - row as f64 / (rows - 1) as f64;
        for c in 0..COLUMNS {
            let [middle, aft, fore] = spread.breadth;
            let usual_y = usual[t.breadth(row, c)];
            if usual_y > 0.0 {
                breadths.push(At {
                    term: t.breadth(row, c),
                    row: row as f64,
                    column: c as f64,
                    sd: by_column(middle, [aft, fore], c) * (1.0 + down) * (0.75 * usual_y + 0.25),
                });
            }
            if row > plan.flat_rows && row < rows - 1 {
                levels.push(At {
                    term: t.level(row, c),
                    row: row as f64,
                    column: c as f64,
                    sd: spread.fullness,
                });
            }
        }
    }
    modes.field(&breadths, 1.6, 1.5);
    modes.field(&levels, 1.6, 2.0);

    // Ends lean as a whole: what the foot moves, a point half way up moves by half.
    let fore = COLUMNS - 1;
    for (column, sd) in [(0, spread.rake[0]), (fore, spread.rake[1])] {
        let ends: Vec<At> = (0..rows - 1)
            .map(|r| {
                let level = if r == 0 {
                    0.0
                } else {
                    usual[t.level(r, column)]
                };
                At {
                    term: if column == 0 { t.aft(r) } else { t.fore(r) },
                    row: level,
                    column: 0.0,
                    sd: sd * (1.05 - level),
                }
            })
            .collect();
        modes.field(&ends, 0.8, 1.0);
    }
    figures(plan, t, usual, &mut modes);
    modes.all
}

/// The spread of keel, rudder and bridge deck: they are measured or they are anybody's guess.
fn figures(plan: &Plan, t: Terms, usual: &[f64], modes: &mut Modes) {
    let mut one = |figure: Figure, sd: f64| modes.one(t.figure(figure), sd);
    let (length, keel) = (usual[Terms::LENGTH], usual[Terms::KEEL]);
    let of = |figure: Figure| usual[t.figure(figure)];
    if plan.below != Below::Nothing {
        one(Figure::KeelStart, 0.04 * length);
        one(Figure::KeelLength, 0.15 * of(Figure::KeelLength));
        one(Figure::KeelWidth, 0.25 * of(Figure::KeelWidth));
        one(Figure::RootAft, 0.015 * length);
        one(
            Figure::RootFore,
            0.25 * of(Figure::RootFore) + 0.008 * length,
        );
    }
    if plan.below == Below::Long {
        one(Figure::Forefoot, 0.06 * length);
        one(Figure::Toe, 0.35);
    }
    if plan.twin.is_some() {
        one(Figure::Spacing, 0.08 * of(Figure::Spacing));
        one(Figure::Bridge, 0.15 * of(Figure::Bridge));
    }
    if plan.steering == Steering::Spade {
        one(Figure::RudderStart, 0.03 * length);
        one(Figure::RudderFoot, 0.15 * keel);
    }
}

/// A term of a field of neighbours.
struct At {
    term: usize,
    row: f64,
    column: f64,
    sd: f64,
}

struct Modes {
    count: usize,
    all: Vec<Vec<f64>>,
}

impl Modes {
    /// A term on its own.
    fn one(&mut self, term: usize, sd: f64) {
        let mut mode = vec![0.0; self.count];
        mode[term] = sd;
        self.all.push(mode);
    }

    /// Terms that move with their neighbours: correlation falls to a half within about a reach.
    fn field(&mut self, terms: &[At], reach_rows: f64, reach_columns: f64) {
        let n = terms.len();
        // Rows of the Cholesky factor of the terms' correlation.
        let mut factor: Vec<Vec<f64>> = Vec::with_capacity(n);
        for (i, a) in terms.iter().enumerate() {
            let mut row = vec![0.0; n];
            for (j, b) in terms[..=i].iter().enumerate() {
                let r = (a.row - b.row) / reach_rows;
                let c = (a.column - b.column) / reach_columns;
                let done =
                    |other: &[f64]| -> f64 { row[..j].iter().zip(other).map(|(p, q)| p * q).sum() };
                row[j] = if i == j {
                    // The small sum keeps the factor real where rounding would not.
                    let left = 1.0 + 1e-6 - done(&row);
                    left.max(1e-12).sqrt()
                } else {
                    (kernel(r * r + c * c) - done(&factor[j])) / factor[j][j]
                };
            }
            factor.push(row);
        }
        for k in 0..n {
            let mut mode = vec![0.0; self.count];
            for (row, at) in factor.iter().zip(terms).skip(k) {
                mode[at.term] = row[k] * at.sd;
            }
            self.all.push(mode);
        }
    }
}

/// Correlation at a squared distance in reaches: `exp(-d²/2)` by squaring, since the library's own
/// exponential may differ from machine to machine.
fn kernel(distance2: f64) -> f64 {
    let small = 1.0 - 0.5 * distance2 / 1024.0;
    (0..10).fold(small.max(0.0), |k, _| k * k)
}

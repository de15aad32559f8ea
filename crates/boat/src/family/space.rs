//! The boats a family holds: numbers that are independent and standard normal before anything is
//! measured, and the control points they give.
//!
//! Neighbouring control points move together: their covariance falls off with the distance along the
//! hull and across the rows, so that every boat of the family is about as fair as its plan.

use super::plan::{Below, COLUMNS, Plan};
use crate::loft::lines::bezier1;
use crate::loft::vector::{Vec3, even};
use modes::modes;

mod modes;

/// Single figures of a boat beside her control points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Figure {
    /// Height of the water.
    Draft,
    /// Station of the after end of the keel's underside.
    KeelStart,
    /// Length of the keel's underside.
    KeelLength,
    /// Width of the keel's underside.
    KeelWidth,
    /// Station where a long keel has risen a hand's breadth.
    Forefoot,
    /// How far ahead of the after end of the underside the root's after end is.
    RootAft,
    /// How far ahead of the forward end of the underside the root's forward end is.
    RootFore,
    /// Distance between the middles of two hulls.
    Spacing,
    /// Height of the bridge deck's underside.
    Bridge,
    /// Station of the rudder's forward edge.
    RudderStart,
    /// Height of the rudder's foot.
    RudderFoot,
    /// How a long keel rises ahead of its underside: nought evenly, one late and steeply.
    Toe,
    /// Length of the sheer line's stations, to size what is not measured.
    Length,
}

/// How many [`Figure`]s there are.
const FIGURES: usize = 13;

/// A boat: control points row by row, then the figures, m.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Shape {
    /// x, y and z of each control point, rows from the centreline to the sheer.
    pub v: Vec<f64>,
}

impl Shape {
    /// Place of a control point's first coordinate in `v`.
    pub(super) fn at(row: usize, column: usize) -> usize {
        3 * (row * COLUMNS + column)
    }

    /// Place of a figure in `v`.
    pub(super) fn place(&self, figure: Figure) -> usize {
        self.v.len() - FIGURES + figure as usize
    }

    /// A figure, m.
    pub(super) fn figure(&self, figure: Figure) -> f64 {
        self.v[self.place(figure)]
    }

    /// A control point.
    pub(super) fn point(&self, row: usize, column: usize) -> Vec3 {
        let at = Self::at(row, column);
        [self.v[at], self.v[at + 1], self.v[at + 2]]
    }
}

/// The boats of a family at a length and beam.
#[derive(Debug, Clone)]
pub(super) struct Space {
    plan: Plan,
    /// The plan in the terms that vary; see [`Terms`].
    usual: Vec<f64>,
    /// What each number moves.
    modes: Vec<Vec<f64>>,
    /// Columns' share of the way from the after end to the stem, by row.
    along: Vec<[f64; COLUMNS]>,
    places: Terms,
}

/// Where the terms that vary stand in their list.
#[derive(Debug, Clone, Copy)]
struct Terms {
    rows: usize,
}

impl Terms {
    const LENGTH: usize = 0;
    const HALF_BEAM: usize = 1;
    const DEPTH: usize = 2;
    const KEEL: usize = 3;
    const BOTTOM: usize = 4;

    fn bottom(self, column: usize) -> usize {
        Self::BOTTOM + column
    }
    fn sheer(self, column: usize) -> usize {
        Self::BOTTOM + COLUMNS + column
    }
    /// Share of the half beam, rows from one on.
    fn breadth(self, row: usize, column: usize) -> usize {
        Self::BOTTOM + (1 + row) * COLUMNS + column
    }
    /// Share of the way from bottom to sheer, rows between them.
    fn level(self, row: usize, column: usize) -> usize {
        self.breadth(self.rows, 0) + (row - 1) * COLUMNS + column
    }
    /// Station of a row's after end over the length.
    fn aft(self, row: usize) -> usize {
        self.level(self.rows - 1, 0) + row
    }
    /// Station of a row's forward end over the length.
    fn fore(self, row: usize) -> usize {
        self.aft(self.rows) + row
    }
    fn figure(self, figure: Figure) -> usize {
        self.fore(self.rows) + figure as usize
    }
    fn count(self) -> usize {
        self.fore(self.rows) + FIGURES
    }
}

/// Greatest half-breadth of the surface over a plan's control points.
fn widest(plan: &Plan) -> f64 {
    let mut widest = 0.0_f64;
    for strip in &plan.strips {
        for u in even(48) {
            let column: Vec<f64> = (strip.rows.0..=strip.rows.1)
                .map(|row| bezier1(&plan.rows[row][1], u))
                .collect();
            for v in even(20) {
                widest = widest.max(bezier1(&column, v));
            }
        }
    }
    widest
}

impl Space {
    /// The boats of a family about a length and beam, m.
    pub(super) fn new(plan: Plan, length_m: f64, beam_m: f64) -> Self {
        let rows = plan.rows.len();
        let terms = Terms { rows };
        let stations = plan.rows.iter().flat_map(|row| row[0]);
        let (x0, x1) = stations.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| {
            (a.min(x), b.max(x))
        });
        let drawn_length = x1 - x0;
        let hull_beam = match plan.twin {
            Some([apart, _]) => beam_m * (1.0 - apart),
            None => beam_m,
        };
        let drawn_half = widest(&plan);
        let least = |row: &[f64; COLUMNS]| row.iter().copied().fold(f64::INFINITY, f64::min);
        let keel = least(&plan.rows[0][2]);
        let depth = least(&plan.rows[rows - 1][2]) - keel;
        // Depths go with the size of the boat, neither with length nor with beam alone.
        let grown = ((length_m * hull_beam) / (drawn_length * 2.0 * drawn_half)).sqrt();

        let mut usual = vec![0.0; terms.count()];
        usual[Terms::LENGTH] = length_m;
        usual[Terms::HALF_BEAM] = 0.5 * hull_beam;
        usual[Terms::DEPTH] = depth * grown;
        usual[Terms::KEEL] = keel * grown;
        let mut along = vec![[0.0; COLUMNS]; rows];
        for row in 0..rows {
            let [xs, ys, zs] = &plan.rows[row];
            usual[terms.aft(row)] = (xs[0] - x0) / drawn_length;
            usual[terms.fore(row)] = (xs[COLUMNS - 1] - x0) / drawn_length;
            for c in 0..COLUMNS {
                along[row][c] = (xs[c] - xs[0]) / (xs[COLUMNS - 1] - xs[0]);
                let (bottom, sheer) = (plan.rows[0][2][c], plan.rows[rows - 1][2][c]);
                if row > 0 {
                    usual[terms.breadth(row, c)] = ys[c] / drawn_half;
                }
                if row == 0 {
                    usual[terms.bottom(c)] = (bottom - keel) / depth;
                    usual[terms.sheer(c)] = (sheer - keel) / depth;
                } else if row < rows - 1 {
                    usual[terms.level(row, c)] = (zs[c] - bottom) / (sheer - bottom);
                }
            }
        }
        let immersed = (plan.waterline_m - keel) / depth;
        let draft_m = (keel + depth * immersed) * grown;
        let figures = [
            (Figure::Draft, immersed),
            (Figure::KeelStart, plan.keel.start * length_m),
            (Figure::KeelLength, plan.keel.length * length_m),
            (Figure::KeelWidth, plan.keel.width * beam_m),
            (Figure::Forefoot, plan.keel.forefoot * length_m),
            (Figure::RootAft, plan.keel.root[0] * length_m),
            (Figure::RootFore, plan.keel.root[1] * length_m),
            (Figure::Spacing, plan.twin.map_or(0.0, |t| t[0]) * beam_m),
            (
                Figure::Bridge,
                plan.twin.map_or(0.0, |t| t[1]) * depth * grown,
            ),
            (Figure::RudderStart, plan.rudder[0] * length_m),
            (Figure::RudderFoot, plan.rudder[1] * draft_m),
            (Figure::Toe, 0.35),
        ];
        for (figure, value) in figures {
            usual[terms.figure(figure)] = value;
        }
        let modes = modes(&plan, terms, &usual);
        Self {
            plan,
            usual,
            modes,
            along,
            places: terms,
        }
    }

    /// How many numbers a boat of the family takes.
    pub(super) fn size(&self) -> usize {
        self.modes.len()
    }

    /// The plan.
    pub(super) fn plan(&self) -> &Plan {
        &self.plan
    }

    /// The boat of these numbers.
    pub(super) fn shape(&self, numbers: &[f64]) -> Shape {
        self.drawn(&self.terms(numbers))
    }

    /// The terms that vary, of these numbers.
    fn terms(&self, numbers: &[f64]) -> Vec<f64> {
        let mut g = self.usual.clone();
        for (mode, k) in self.modes.iter().zip(numbers) {
            for (value, step) in g.iter_mut().zip(mode) {
                *value += k * step;
            }
        }
        g
    }

    /// How the boat changes with each number, about these numbers.
    pub(super) fn slopes(&self, numbers: &[f64]) -> Vec<Vec<f64>> {
        const STEP: f64 = 1e-5;
        let about = self.terms(numbers);
        let moved = |mode: &[f64], by: f64| {
            let g: Vec<f64> = about.iter().zip(mode).map(|(g, m)| g + by * m).collect();
            self.drawn(&g)
        };
        self.modes
            .iter()
            .map(|mode| {
                let (ahead, behind) = (moved(mode, STEP), moved(mode, -STEP));
                let pairs = ahead.v.iter().zip(&behind.v);
                pairs.map(|(a, b)| (a - b) / (2.0 * STEP)).collect()
            })
            .collect()
    }

    /// Control points of a boat from the terms that vary.
    fn drawn(&self, g: &[f64]) -> Shape {
        let (rows, t) = (self.places.rows, self.places);
        let length = g[Terms::LENGTH].max(0.1);
        let half = g[Terms::HALF_BEAM].max(0.01);
        let depth = g[Terms::DEPTH].max(0.02);
        let keel = match self.plan.below {
            Below::Nothing => 0.0,
            _ => g[Terms::KEEL].max(0.01),
        };
        let aft_most = (0..rows).map(|r| g[t.aft(r)]).fold(f64::INFINITY, f64::min);
        let mut v = Vec::with_capacity(rows * COLUMNS * 3 + FIGURES);
        for row in 0..rows {
            // A flat bottom ends in one line fore and aft.
            let end = if row <= self.plan.flat_rows { 0 } else { row };
            let (aft, fore) = (g[t.aft(end)] - aft_most, g[t.fore(end)] - aft_most);
            for c in 0..COLUMNS {
                let x = aft + self.along[row][c] * (fore - aft);
                let y = if row == 0 || self.is_end(c) {
                    0.0
                } else {
                    // A side never crosses to the other.
                    half * g[t.breadth(row, c)].max(0.01)
                };
                let (bottom, sheer) = (g[t.bottom(c)], g[t.sheer(c)].max(g[t.bottom(c)] + 0.05));
                let level = match row {
                    r if r <= self.plan.flat_rows => 0.0,
                    r if r == rows - 1 => 1.0,
                    r => g[t.level(r, c)],
                };
                let z = keel + depth * (bottom + (sheer - bottom) * level);
                v.extend([length * x, y, z]);
            }
        }
        if self.plan.below == Below::Nothing {
            let lowest = lowest(&v);
            for z in v.iter_mut().skip(2).step_by(3) {
                *z -= lowest;
            }
        }
        let figures = &g[t.figure(Figure::Draft)..];
        v.push(keel + depth * figures[Figure::Draft as usize].max(0.02));
        v.extend_from_slice(&figures[1..FIGURES - 1]);
        v.push(length);
        Shape { v }
    }

    fn is_end(&self, column: usize) -> bool {
        column == COLUMNS - 1 || (column == 0 && self.plan.pointed)
    }
}

/// Lowest point of the bottom line.
fn lowest(v: &[f64]) -> f64 {
    let control: Vec<f64> = (0..COLUMNS).map(|c| v[3 * c + 2]).collect();
    even(64)
        .into_iter()
        .map(|u| bezier1(&control, u))
        .fold(f64::INFINITY, f64::min)
}
